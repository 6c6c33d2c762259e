package chart

import (
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
)

// capitals is the height of capitals and figures as a share of the size:
// 1480 of 2048 units in each of the fonts (their table OS/2).
const capitals = 1480.0 / 2048

// descent is how far letters go below the baseline (432 of 2048, table hhea).
const descent = 432.0 / 2048

// Families of the fonts, as Fonts registers them with a PDF: FontFamily has
// the styles "", "B" and "I", MonoFamily has "".
const (
	FontFamily = "go"
	MonoFamily = "gomono"
)

type face struct {
	family, style string
	ttf           []byte
}

func faces() []face {
	return []face{
		{FontFamily, "", goregular.TTF},
		{FontFamily, "B", gobold.TTF},
		{FontFamily, "I", goitalic.TTF},
		{MonoFamily, "", gomono.TTF},
	}
}

// Fonts gives a PDF the letters of this package. Only the letters that are
// used are stored in the file. It must be called before any Picture is drawn.
// The fonts hold Latin, Greek and Cyrillic with ° ² ± × ≥ ½ µ Ω and the four
// arrows, but neither ⌀ nor ∠ nor ✓; what they lack prints as an empty box.
func Fonts(pdf *fpdf.Fpdf) error {
	for _, f := range faces() {
		// A copy, since the writer cuts the font down in place.
		pdf.AddUTF8FontFromBytes(f.family, f.style, slices.Clone(f.ttf))
	}
	return pdf.Error()
}

// FontLicence says in one line whose fonts a PDF carries and on what terms;
// the terms themselves are in LICENSE-go-fonts.
func FontLicence() string {
	return "Fonts: Go, copyright 2016 Bigelow & Holmes Inc., embedded under their 3-clause BSD licence."
}

// rulers measure letters: a writer for each face that never writes, so that
// what is measured is what a PDF shows.
var rulers = sync.OnceValue(func() map[string]*fpdf.Fpdf {
	all := map[string]*fpdf.Fpdf{}
	for _, f := range faces() {
		pdf := fpdf.New("P", "mm", "A4", "")
		pdf.AddUTF8FontFromBytes(f.family, f.style, slices.Clone(f.ttf))
		pdf.SetFont(f.family, f.style, 10)
		all[f.family+f.style] = pdf
	}
	return all
})

// face is the family and style of a lettering.
func (l Lettering) face() (family, style string) {
	switch {
	case l.Mono:
		return MonoFamily, ""
	case l.Bold:
		return FontFamily, "B"
	case l.Italic:
		return FontFamily, "I"
	}
	return FontFamily, ""
}

// Width is how long a line of text is in this lettering, in mm.
func (l Lettering) Width(text string) float64 {
	family, style := l.face()
	thousandths := rulers()[family+style].GetStringSymbolWidth(printable(text))
	return l.size() * float64(thousandths) / 1000
}

// TextWidth is how long a line of upright text is, in mm, at a size in mm.
func TextWidth(text string, size float64, bold bool) float64 {
	return Lettering{Size: size, Bold: bold}.Width(text)
}

// Fold breaks a text between words, and a word that is too long anywhere, so
// that no line is longer than width (mm) at a size (mm). A line feed in the
// text begins a new line. Every line has at least one letter.
func Fold(text string, width, size float64) []string {
	var lines []string
	for paragraph := range strings.SplitSeq(text, "\n") {
		line := ""
		for _, word := range strings.Fields(paragraph) {
			if line != "" && TextWidth(line+" "+word, size, false) <= width {
				line += " " + word
				continue
			}
			if line != "" {
				lines = append(lines, line)
			}
			for line = word; TextWidth(line, size, false) > width && utf8.RuneCountInString(line) > 1; {
				head := fitting(line, width, size)
				lines, line = append(lines, line[:head]), line[head:]
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// fitting is how many bytes of a word fit a width: one letter at least.
func fitting(word string, width, size float64) int {
	fits := 0
	for fits < len(word) {
		_, letter := utf8.DecodeRuneInString(word[fits:])
		if fits > 0 && TextWidth(word[:fits+letter], size, false) > width {
			break
		}
		fits += letter
	}
	return fits
}

// Text writes one line of text at a point. Its Turn is from the x axis towards
// the y axis, so that it falls with a positive Turn and, within AtUp, rises.
func (p *Picture) Text(x, y float64, text string, hand Lettering) {
	at := p.paper(Point{x, y})
	if p.frame.scale.Y < 0 {
		hand.Turn = -hand.Turn
	}
	hand.Anchor = min(max(hand.Anchor, Start), End)
	text = printable(text)
	if strings.TrimSpace(text) == "" || !p.sound(at) || !p.sound(Point{hand.Turn, hand.size()}) {
		return
	}
	if hand.Centred {
		down := direction(hand.Turn + 90)
		at, hand.Centred = at.plus(down, hand.size()*capitals/2), false
	}
	m := mark{words: text, at: at, hand: hand}
	p.ground(m)
	p.marks = append(p.marks, m)
}

// ground is what a text wants under and around it.
func (p *Picture) ground(m mark) {
	var style Style
	if m.hand.OnPaper {
		style.Fill = Paper
	}
	if m.hand.Enclosed {
		style.Stroke = Pen
	}
	if style.Fill.drawn() || style.Stroke.drawn() {
		corners := m.spread(0.15 * m.hand.size())
		p.onPaper(func() { p.Polygon(corners[:], style) })
	}
}

// begin is where the first letter of a text starts, on its baseline.
func (m mark) begin() Point {
	back := float64(m.hand.Anchor) / 2 * m.hand.Width(m.words)
	return m.at.plus(direction(m.hand.Turn), -back)
}

// corners is the rectangle that a text's letters fill, from the top of the
// capitals to the tails of the letters that have one.
func (m mark) corners() [4]Point { return m.spread(0) }

func (m mark) spread(margin float64) [4]Point {
	along, down := direction(m.hand.Turn), direction(m.hand.Turn+90)
	left := m.begin().plus(along, -margin)
	long := m.hand.Width(m.words) + 2*margin
	top, bottom := -capitals*m.hand.size()-margin, descent*m.hand.size()+margin
	return [4]Point{
		left.plus(down, top), left.plus(along, long).plus(down, top),
		left.plus(along, long).plus(down, bottom), left.plus(down, bottom),
	}
}
