package chart_test

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"turnsole/chart"
)

// printed writes a PDF where another program can read it. Tests that need
// poppler's tools run with TURNSOLE_PEERS=1, and then fail without them.
func printed(t *testing.T, draw func(*chart.Picture)) string {
	if os.Getenv("TURNSOLE_PEERS") != "1" {
		t.Skip("NOT RUN: set TURNSOLE_PEERS=1 to read pages back with pdftotext and pdftoppm (poppler-utils)")
	}
	p := chart.New(180, 250)
	draw(p)
	pdf := sheet(t)
	p.PDF(pdf, 15, 20)
	file := filepath.Join(t.TempDir(), "page.pdf")
	if err := os.WriteFile(file, output(t, pdf), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func run(t *testing.T, name string, arguments ...string) []byte {
	var complaints bytes.Buffer
	command := exec.Command(name, arguments...)
	command.Stderr = &complaints
	out, err := command.Output()
	if err != nil || complaints.Len() > 0 {
		t.Fatalf("%s: %v %s", name, err, complaints.String())
	}
	return out
}

func TestPrintedTextIsText(t *testing.T) {
	file := printed(t, func(p *chart.Picture) {
		p.Text(10, 10, "Left rail "+needed, chart.Lettering{})
		p.Text(10, 30, "bold ½ µΩ", chart.Lettering{Bold: true})
		p.Text(10, 40, "italic ≥ 2", chart.Lettering{Italic: true})
		p.Text(10, 50, "mono → 3", chart.Lettering{Mono: true})
		p.Dimension(chart.Point{X: 20, Y: 60}, chart.Point{X: 20, Y: 160}, 10, "100,5")
	})
	out := string(run(t, "pdftotext", file, "-"))
	for _, words := range []string{"Left rail " + needed, "bold ½ µΩ", "italic ≥ 2", "mono → 3", "100,5"} {
		if !strings.Contains(out, words) {
			t.Errorf("%q is not in the page's text:\n%s", words, out)
		}
	}
	if fonts := string(run(t, "pdffonts", file)); strings.Count(fonts, "yes yes yes")+strings.Count(fonts, "yes no  yes") != 4 {
		t.Errorf("not every font is embedded with its letters' meaning:\n%s", fonts)
	}
}

// What TextWidth promises is what another program finds on the page.
func TestPrintedTextIsAsLongAsMeasured(t *testing.T) {
	words := map[string]chart.Lettering{
		"Seitenansicht": {Size: 5}, "Wiring,4mm²": {Size: 8, Bold: true}, "1100±0.5": {Size: 3, Mono: true}, "gnomon": {Size: 12, Italic: true},
	}
	file := printed(t, func(p *chart.Picture) {
		y := 10.0
		for text, hand := range words {
			p.Text(10, y, text, hand)
			y += 20
		}
	})
	boxes := regexp.MustCompile(`xMin="([0-9.]+)".* xMax="([0-9.]+)".*>(.*)</word>`)
	found := boxes.FindAllStringSubmatch(string(run(t, "pdftotext", "-bbox", file, "-")), -1)
	if len(found) != len(words) {
		t.Fatal(found)
	}
	for _, box := range found {
		left, _ := strconv.ParseFloat(box[1], 64)
		right, _ := strconv.ParseFloat(box[2], 64)
		// Sizes are written to a hundredth of a point, which is 1e-3 of the
		// smallest here.
		if got, want := (right-left)*25.4/72, words[box[3]].Width(box[3]); math.Abs(got/want-1) > 1e-3 {
			t.Errorf("%s is %.3f mm long on paper, %.3f measured", box[3], got, want)
		}
	}
}

// gray is a page rendered at ten dots a millimetre: 0 black, 255 white.
type gray struct {
	wide, high int
	dots       []byte
}

func render(t *testing.T, file string) gray {
	out := run(t, "pdftoppm", "-r", "254", "-gray", file)
	var g gray
	var most int
	if _, err := fmt.Sscanf(string(out[:min(len(out), 40)]), "P5\n%d %d\n%d\n", &g.wide, &g.high, &most); err != nil || most != 255 {
		t.Fatal(err, most)
	}
	g.dots = out[len(out)-g.wide*g.high:]
	return g
}

// lines are the middles, in mm, of the dark stretches among dots.
func lines(dots []byte) (middles []float64) {
	sum, weight := 0.0, 0.0
	for i, dot := range append(slices.Clip(dots), 255) {
		dark := 255 - float64(dot)
		if dark > 8 {
			sum, weight = sum+dark*(float64(i)+0.5), weight+dark
		} else if weight > 0 {
			middles = append(middles, sum/weight/10)
			sum, weight = 0, 0
		}
	}
	return middles
}

func (g gray) row(mm float64) []byte { y := int(mm * 10); return g.dots[y*g.wide : (y+1)*g.wide] }

func (g gray) column(mm float64) (dots []byte) {
	for y := range g.high {
		dots = append(dots, g.dots[y*g.wide+int(mm*10)])
	}
	return dots
}

func TestPrintedTrueToScale(t *testing.T) {
	file := printed(t, func(p *chart.Picture) {
		p.Dimension(chart.Point{X: 20, Y: 30}, chart.Point{X: 120, Y: 30}, 20, "100")
		p.AtUp(150, 230, 0.1, func() { p.Dimension(chart.Point{}, chart.Point{Y: 1000}, 20, "1000 at 1:10") })
		p.Circle(60, 150, 50, edge)
	})
	page := render(t, file)
	check := func(what string, dots []byte, want ...float64) {
		got := lines(dots)
		if len(got) != len(want) {
			t.Errorf("%s: lines at %.2f mm, wanted %v", what, got, want)
			return
		}
		for i := range got {
			// What a builder can lay a rule to.
			if math.Abs(got[i]-want[i]) > 0.2 {
				t.Errorf("%s: a line at %.2f mm, wanted %g", what, got[i], want[i])
			}
		}
		t.Logf("%s: %.3f mm apart, wanted %g", what, got[1]-got[0], want[1]-want[0])
	}
	// The picture's corner is at 15, 20 mm of the page; the lines are crossed
	// between what is measured and the dimension line.
	check("across", page.row(20+40), 35, 135)
	check("along", page.column(15+160), 20+130, 20+230)
	check("circle", page.row(20 + 150)[:1500], 25, 125)
}
