package checks

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"turnsole/answer"
	"turnsole/rigfile"
	sheets "turnsole/sheet"
)

func sheetRooms() []Room {
	return []Room{{
		Title:  "Sheets: the template is true to size",
		Source: "poppler's pdftoppm, pdftotext and pdffonts (poppler-utils), which print the pages at ten dots a millimetre: the lines are found among the dots, the published figures are the rig file's own measures and the 100 mm that stand beside the check bars",
		Reason: "what a builder can lay a rule to",
		Need:   Peers,
		Run:    templateOnPaper,
	}}
}

// templateRig has two notches 90 mm apart, its front stop 30 mm from the rails'
// end, and gears of 17 and 170 teeth of module 1 mm: 93.5 mm from axle to shaft.
const templateRig = `
[spot]
latitude = 50
longitude = 8
[panel]
power = "80 W"
length = "800 mm"
width = "560 mm"
[stand]
tilt = 60
hinge_at = "510 mm"
leg_length = "510 mm"
rail_length = "700 mm"
front_stops = ["30 mm"]
notches_at = ["400 mm", "490 mm"]
[[drive.stage]]
driver = 17
driven = 170
module = "1 mm"
`

func templateOnPaper(string) ([]Check, error) {
	var rows []Check
	for _, paper := range []struct {
		name string
		of   sheets.Paper
	}{{"A4", sheets.A4}, {"Letter", sheets.Letter}} {
		p, err := printTemplate(paper.of)
		if err != nil {
			return nil, err
		}
		for _, m := range []struct {
			what      string
			published float64
			find      func() (float64, error)
		}{
			{"check bar across", 100, p.barAcross},
			{"check bar along", 100, p.barAlong},
			{"rails' front end to front stop", 30, p.frontStop},
			{"front edge of notch 1 to front edge of notch 2", 90, p.notches},
			{"gears: axle to motor shaft", 93.5, p.centres},
		} {
			found, err := m.find()
			if err != nil {
				return nil, fmt.Errorf("%s, %s: %w", paper.name, m.what, err)
			}
			rows = append(rows, Check{What: paper.name + ", " + m.what, Published: m.published, Ours: found, Unit: "mm", Tolerance: 0.2, Digits: 1})
		}
		rows = append(rows, Check{What: paper.name + ", letters that are not in the file", Published: 0, Ours: float64(p.strangers), Unit: "fonts", Tolerance: 0})
	}
	return rows, nil
}

// printout is a printed document: its words and its dots, page by page.
type printout struct {
	words     [][]word
	pages     []dots
	strangers int // fonts that are not embedded
}

// word is one word and the upright rectangle it fills, in mm.
type word struct {
	text           string
	x0, y0, x1, y1 float64
}

// printTemplate prints the template of templateRig.
func printTemplate(paper sheets.Paper) (*printout, error) {
	rig, err := rigfile.Read("template", []byte(templateRig), nil)
	if err != nil {
		return nil, err
	}
	cuts, err := answer.ListCuts(rig, "")
	if err != nil {
		return nil, err
	}
	d := sheets.New(sheets.Options{Paper: paper})
	d.Template(cuts)
	dir, err := os.MkdirTemp("", "sheet")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "template.pdf")
	var b bytes.Buffer
	if err := d.Write(&b); err != nil {
		return nil, err
	}
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		return nil, err
	}
	return readPrint(file)
}

func readPrint(file string) (*printout, error) {
	text, err := exec.Command("pdftotext", "-bbox", file, "-").Output()
	if err != nil {
		return nil, fmt.Errorf("pdftotext: %w", err)
	}
	p := &printout{words: wordsOf(string(text))}
	if err := exec.Command("pdftoppm", "-r", "254", "-gray", file, file).Run(); err != nil {
		return nil, fmt.Errorf("pdftoppm: %w", err)
	}
	files, err := filepath.Glob(file + "-*.pgm")
	if err != nil {
		return nil, err
	}
	for _, one := range files {
		page, err := readDots(one)
		if err != nil {
			return nil, err
		}
		p.pages = append(p.pages, page)
	}
	if len(p.pages) != len(p.words) || len(p.pages) == 0 {
		return nil, fmt.Errorf("%d pages of dots and %d of words", len(p.pages), len(p.words))
	}
	fonts, err := exec.Command("pdffonts", file).Output()
	if err != nil {
		return nil, fmt.Errorf("pdffonts: %w", err)
	}
	embedded := regexp.MustCompile(`\s(yes|no)\s+(yes|no)\s+(yes|no)\s`)
	for _, line := range strings.Split(strings.TrimSpace(string(fonts)), "\n")[2:] {
		if found := embedded.FindStringSubmatch(line); found == nil || found[1] != "yes" {
			p.strangers++
		}
	}
	return p, nil
}

var wordBox = regexp.MustCompile(`<word xMin="([-0-9.]+)" yMin="([-0-9.]+)" xMax="([-0-9.]+)" yMax="([-0-9.]+)">([^<]*)</word>`)

func wordsOf(text string) (pages [][]word) {
	for _, page := range strings.Split(text, "<page ")[1:] {
		var words []word
		for _, m := range wordBox.FindAllStringSubmatch(page, -1) {
			var at [4]float64
			for i := range at {
				points, _ := strconv.ParseFloat(m[i+1], 64) // the pattern lets only numbers through
				at[i] = points * 25.4 / 72
			}
			words = append(words, word{m[5], at[0], at[1], at[2], at[3]})
		}
		pages = append(pages, words)
	}
	return pages
}

// phrase finds words that follow each other and returns the page and the
// rectangle around them.
func (p *printout) phrase(texts ...string) (page int, all word, err error) {
	for page, words := range p.words {
		for i := 0; i+len(texts) <= len(words); i++ {
			all, fits := words[i], true
			for k, text := range texts {
				w := words[i+k]
				fits = fits && w.text == text
				all.x0, all.y0, all.x1, all.y1 = min(all.x0, w.x0), min(all.y0, w.y0), max(all.x1, w.x1), max(all.y1, w.y1)
			}
			if fits {
				return page, all, nil
			}
		}
	}
	return 0, word{}, fmt.Errorf("no words %q on any page", strings.Join(texts, " "))
}

func (p *printout) barAcross() (float64, error) {
	page, w, err := p.phrase("100", "mm", "across")
	if err != nil {
		return 0, err
	}
	middle := (w.x0 + w.x1) / 2
	row := p.pages[page].row(w.y1 + 2.4) // below the bar, through the strokes at its ends
	return between(row, middle-50, middle+50)
}

func (p *printout) barAlong() (float64, error) {
	page, w, err := p.phrase("100", "mm", "along")
	if err != nil {
		return 0, err
	}
	middle := (w.y0 + w.y1) / 2
	column := p.pages[page].column(w.x1 + 2.4)
	return between(column, middle-50, middle+50)
}

// frontStop: the stop's words stand at its line's right, near the rail's foot.
func (p *printout) frontStop() (float64, error) {
	page, w, err := p.phrase("front", "stop", "30")
	if err != nil {
		return 0, err
	}
	row := p.pages[page].row(w.y0 - 2)
	return between(row, w.x0-31.4, w.x0-1.4)
}

// notches: each notch's words stand below it and begin at its front edge; it is
// 10 mm deep.
func (p *printout) notches() (float64, error) {
	page, first, err := p.phrase("notch", "1")
	if err != nil {
		return 0, err
	}
	other, second, err := p.phrase("notch", "2")
	if err != nil {
		return 0, err
	}
	if page != other || math.Abs(first.y0-second.y0) > 0.1 {
		return 0, fmt.Errorf("notch 1 and notch 2 are on different strips")
	}
	return between(p.pages[page].row(first.y0-5), first.x0, second.x0)
}

// centres: the words stand in the middle above each shaft's line.
func (p *printout) centres() (float64, error) {
	page, motor, err := p.phrase("motor", "shaft,", "93.50")
	if err != nil {
		return 0, err
	}
	for _, axle := range p.words[page] {
		if axle.text == "axle" && math.Abs(axle.y1-motor.y1) < 0.5 && axle.x1 < motor.x0 {
			return between(p.pages[page].row(motor.y1+2), (axle.x0+axle.x1)/2, (motor.x0+motor.x1)/2)
		}
	}
	return 0, fmt.Errorf("no axle beside the motor's shaft")
}

// dots is a page at ten dots a millimetre: 0 black, 255 white.
type dots struct {
	wide, high int
	gray       []byte
}

func readDots(file string) (d dots, err error) {
	all, err := os.ReadFile(file)
	if err != nil {
		return d, err
	}
	var most int
	if _, err := fmt.Sscanf(string(all[:min(len(all), 40)]), "P5\n%d %d\n%d\n", &d.wide, &d.high, &most); err != nil || most != 255 || len(all) < d.wide*d.high {
		return d, fmt.Errorf("%s is not a grey picture: %v", filepath.Base(file), err)
	}
	d.gray = all[len(all)-d.wide*d.high:]
	return d, nil
}

func (d dots) row(mm float64) []byte {
	y := min(max(int(mm*10), 0), d.high-1)
	return d.gray[y*d.wide : (y+1)*d.wide]
}

func (d dots) column(mm float64) (all []byte) {
	x := min(max(int(mm*10), 0), d.wide-1)
	for y := range d.high {
		all = append(all, d.gray[y*d.wide+x])
	}
	return all
}

// between is the distance in mm of the two drawn lines nearest to where they
// are looked for, which must be within 3 mm.
func between(across []byte, from, to float64) (float64, error) {
	const near = 3.0
	ends := [2]float64{from, to}
	lines := darkLines(across)
	for i, wanted := range ends {
		best := math.Inf(1)
		for _, at := range lines {
			if math.Abs(at-wanted) < math.Abs(best-wanted) {
				best = at
			}
		}
		if !(math.Abs(best-wanted) <= near) {
			return 0, fmt.Errorf("no line near %.1f mm; there are some at %.1f", wanted, lines)
		}
		ends[i] = best
	}
	return ends[1] - ends[0], nil
}

// darkLines are the middles, in mm, of dark stretches; hatching is lighter than
// a third.
func darkLines(across []byte) (middles []float64) {
	sum, weight, darkest := 0.0, 0.0, 0.0
	for i, dot := range append(across[:len(across):len(across)], 255) {
		if dark := 255 - float64(dot); dark > 8 {
			sum, weight, darkest = sum+dark*(float64(i)+0.5), weight+dark, max(darkest, dark)
			continue
		}
		if darkest > 85 {
			middles = append(middles, sum/weight/10)
		}
		sum, weight, darkest = 0, 0, 0
	}
	return middles
}
