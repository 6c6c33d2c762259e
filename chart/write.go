package chart

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"codeberg.org/go-pdf/fpdf"
)

// SVG writes the picture as a document of its own, one user unit a millimetre.
// Text stays text. Every mark carries its inks as classes (stroke-pen,
// fill-shade) beside its colours, so that a page around it may give the inks
// other colours, for instance in the dark. There are no scripts, styles or
// references. The same picture is always written as the same bytes.
func (p *Picture) SVG(w io.Writer) error {
	if p.err != nil {
		return p.err
	}
	var b bytes.Buffer
	wide, high := digits(p.Width), digits(p.Height)
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img"`, wide, high, wide, high)
	if p.Title != "" {
		fmt.Fprintf(&b, ` aria-label="%s"`, escape(p.Title))
	}
	b.WriteString(` font-family="Go, 'Helvetica Neue', Arial, sans-serif" font-kerning="none" stroke-linejoin="round" fill-rule="evenodd">` + "\n")
	element(&b, "title", p.Title)
	element(&b, "desc", p.Description)
	for _, m := range p.marks {
		m.svg(&b)
	}
	b.WriteString("</svg>\n")
	_, err := w.Write(b.Bytes())
	return err
}

func element(b *bytes.Buffer, name, words string) {
	if words != "" {
		fmt.Fprintf(b, "<%s>%s</%s>\n", name, escape(words), name)
	}
}

func escape(words string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(printable(words))) // a Buffer takes everything
	return b.String()
}

func (m mark) svg(b *bytes.Buffer) {
	if m.words != "" {
		m.svgText(b)
		return
	}
	if !m.style.Stroke.drawn() && !m.style.Fill.drawn() {
		return
	}
	fmt.Fprintf(b, `<path class="%s" d="%s"%s/>`+"\n", m.style.classes(), m.path.svg(), m.style.svg())
}

func (s Style) classes() string {
	var all []string
	if s.Fill.drawn() {
		all = append(all, "fill-"+inks[s.Fill].name)
	}
	if s.Stroke.drawn() {
		all = append(all, "stroke-"+inks[s.Stroke].name)
	}
	return strings.Join(all, " ")
}

func (s Style) svg() string {
	out := ` fill="` + s.Fill.hex() + `"`
	if !s.Stroke.drawn() {
		return out
	}
	out += ` stroke="` + s.Stroke.hex() + `" stroke-width="` + digits(s.width()) + `"`
	if len(s.Dash) > 0 {
		var lengths []string
		for _, mm := range s.Dash {
			lengths = append(lengths, digits(mm))
		}
		out += ` stroke-dasharray="` + strings.Join(lengths, " ") + `"`
	}
	return out
}

func (k Ink) hex() string {
	if !k.drawn() {
		return "none"
	}
	return fmt.Sprintf("#%02x%02x%02x", inks[k].r, inks[k].g, inks[k].b)
}

func (s Path) svg() string {
	var b strings.Builder
	for _, step := range s.steps {
		b.WriteByte(step.kind)
		for i, q := range step.points[:step.count()] {
			if i > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(digits(q.X) + " " + digits(q.Y))
		}
	}
	return b.String()
}

func (m mark) svgText(b *bytes.Buffer) {
	x, y := digits(m.at.X), digits(m.at.Y)
	ink := m.hand.ink()
	fmt.Fprintf(b, `<text class="fill-%s" x="%s" y="%s" font-size="%s" fill="%s"`, inks[ink].name, x, y, digits(m.hand.size()), ink.hex())
	if m.hand.Anchor != Start {
		fmt.Fprintf(b, ` text-anchor="%s"`, [...]string{"start", "middle", "end"}[m.hand.Anchor])
	}
	if m.hand.Turn != 0 {
		fmt.Fprintf(b, ` transform="rotate(%s %s %s)"`, digits(m.hand.Turn), x, y)
	}
	switch family, style := m.hand.face(); {
	case family == MonoFamily:
		b.WriteString(` font-family="'Go Mono', monospace"`)
	case style == "B":
		b.WriteString(` font-weight="bold"`)
	case style == "I":
		b.WriteString(` font-style="italic"`)
	}
	fmt.Fprintf(b, ">%s</text>\n", escape(m.words))
}

// digits writes a length to a thousandth of a millimetre.
func digits(mm float64) string {
	s := strconv.FormatFloat(math.Round(mm*1000)/1000+0, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

// PDF draws the picture onto the present page of a PDF with its top left
// corner at x, y (in the PDF's own unit), true to scale; Fonts must have been
// called on it. A picture that could not be drawn becomes the PDF's error. The
// bytes depend on nothing but the pictures as long as the writer of the PDF
// sets SetCreationDate, SetModificationDate and SetCatalogSort(true).
func (p *Picture) PDF(pdf *fpdf.Fpdf, x, y float64) {
	if p.err != nil {
		pdf.SetError(p.err)
		return
	}
	defer restore(pdf)()
	pdf.SetLineJoinStyle("round")
	pdf.SetLineCapStyle("butt")
	q := quill{pdf, Point{x, y}, 72 / 25.4 / pdf.GetConversionRatio()}
	for _, m := range p.marks {
		q.draw(m)
	}
}

// restore returns what puts a PDF's pens, letters and place back as they are
// now, with whole lines.
func restore(pdf *fpdf.Fpdf) func() {
	width, join, ends := pdf.GetLineWidth(), pdf.GetLineJoinStyle(), pdf.GetLineCapStyle()
	draw, fill, letters := paint(pdf.GetDrawColor()), paint(pdf.GetFillColor()), paint(pdf.GetTextColor())
	family, style := pdf.GetFontFamily(), pdf.GetFontStyle()
	size, _ := pdf.GetFontSize()
	x, y := pdf.GetXY()
	return func() {
		pdf.SetDashPattern([]float64{}, 0)
		pdf.SetLineJoinStyle(join)
		pdf.SetLineCapStyle(ends)
		pdf.SetLineWidth(width)
		pdf.SetDrawColor(draw[0], draw[1], draw[2])
		pdf.SetFillColor(fill[0], fill[1], fill[2])
		pdf.SetTextColor(letters[0], letters[1], letters[2])
		if family != "" { // without a font its size in mm is infinite
			pdf.SetFont(family, style, size)
		}
		pdf.SetXY(x, y)
	}
}

func paint(r, g, b int) [3]int { return [3]int{r, g, b} }

// quill draws marks on a PDF's page: unit is a millimetre in its unit.
type quill struct {
	pdf    *fpdf.Fpdf
	corner Point
	unit   float64
}

func (q quill) to(p Point) (x, y float64) {
	at := q.corner.plus(p, q.unit)
	return at.X, at.Y
}

func (q quill) draw(m mark) {
	switch fill, stroke := m.style.Fill.drawn(), m.style.Stroke.drawn(); {
	case m.words != "":
		q.text(m)
	case fill && stroke:
		q.path(m, "FD*")
	case fill:
		q.path(m, "F*")
	case stroke:
		q.path(m, "D")
	}
}

func (q quill) path(m mark, how string) {
	q.pdf.SetFillColor(m.style.Fill.RGB())
	q.pdf.SetDrawColor(m.style.Stroke.RGB())
	q.pdf.SetLineWidth(m.style.width() * q.unit)
	dash := make([]float64, len(m.style.Dash))
	for i, mm := range m.style.Dash {
		dash[i] = mm * q.unit
	}
	q.pdf.SetDashPattern(dash, 0)
	for _, s := range m.path.steps {
		x, y := q.to(s.points[0])
		switch s.kind {
		case 'M':
			q.pdf.MoveTo(x, y)
		case 'L':
			q.pdf.LineTo(x, y)
		case 'C':
			x2, y2 := q.to(s.points[1])
			x3, y3 := q.to(s.points[2])
			q.pdf.CurveBezierCubicTo(x, y, x2, y2, x3, y3)
		case 'Z':
			q.pdf.ClosePath()
		}
	}
	q.pdf.DrawPath(how)
}

func (q quill) text(m mark) {
	family, style := m.hand.face()
	q.pdf.SetFont(family, style, 10) // any size: the next line sets it
	q.pdf.SetFontUnitSize(m.hand.size() * q.unit)
	q.pdf.SetTextColor(m.hand.ink().RGB())
	x, y := q.to(m.begin())
	if m.hand.Turn == 0 {
		q.pdf.Text(x, y, m.words)
		return
	}
	q.pdf.TransformBegin()
	q.pdf.TransformRotate(-m.hand.Turn, x, y) // this writer turns the other way
	q.pdf.Text(x, y, m.words)
	q.pdf.TransformEnd()
}
