package sheet

import (
	"fmt"
	"strings"

	"turnsole/chart"
)

// The page's frame, in mm: printers leave some 6 mm white all round.
const (
	margin = 10.0 // from the paper's edge to the frame
	inside = 5.0  // from the frame to what stands in it
	block  = 16.0 // height of the title block, the licence's line in it
)

// page is one printed page: ink is all that stands on it but for pictures.
type page struct {
	sheet     int // which sheet of the document it belongs to
	rig, name string
	ink       *chart.Picture
	placed    []placed
}

// placed is a picture with its top left corner on the page, in mm.
type placed struct {
	picture *chart.Picture
	x, y    float64
}

// addPage begins the next page of the present sheet.
func (d *Document) addPage(rig, name string, landscape bool) *page {
	wide, high := d.options.Paper.size()
	if landscape {
		wide, high = high, wide
	}
	p := &page{sheet: d.sheets, rig: rig, name: name, ink: chart.New(wide, high)}
	d.pages = append(d.pages, p)
	return p
}

// area is the part of a page that may be filled, in mm.
func (p *page) area() (x, y, wide, high float64) {
	edge := margin + inside
	return edge, edge, p.ink.Width - 2*edge, p.ink.Height - edge - margin - block - 3
}

// place puts a picture on the page.
func (p *page) place(picture *chart.Picture, x, y float64) {
	p.placed = append(p.placed, placed{picture, x, y})
}

// frame rules a page's frame and, along its foot, who and what the page is.
func (p *page) frame(o Options, number, of int) *chart.Picture {
	f := chart.New(p.ink.Width, p.ink.Height)
	wide, foot := p.ink.Width-2*margin, p.ink.Height-margin
	rule := chart.Style{Stroke: chart.Pen, Width: chart.Thin}
	f.Rect(margin, margin, wide, p.ink.Height-2*margin, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	top, low := foot-block, foot-4.5
	f.Line(chart.Point{X: margin, Y: top}, chart.Point{X: margin + wide, Y: top}, rule)
	f.Line(chart.Point{X: margin, Y: low}, chart.Point{X: margin + wide, Y: low}, rule)
	made := ""
	if !o.Made.IsZero() {
		made = o.Made.Format("2 January 2006")
	}
	x := margin
	for i, cell := range []struct{ label, words string }{
		{"rig", p.rig}, {"sheet", p.name}, {"made", strings.TrimSpace(made + "  " + version(o))}, {"page", pageOf(number, of)},
	} {
		share := [...]float64{0.32, 0.30, 0.26, 0.12}[i] * wide
		if i > 0 {
			f.Line(chart.Point{X: x, Y: top}, chart.Point{X: x, Y: low}, rule)
		}
		f.Text(x+2, top+3.4, cell.label, chart.Lettering{Size: 2.3, Ink: chart.Pencil})
		fitted(f, x+2, low-2.4, share-4, cell.words, chart.Lettering{Size: 4, Bold: i < 2})
		x += share
	}
	fitted(f, margin+2, foot-1.5, wide-4, "Lengths are in mm where nothing else is said. "+chart.FontLicence(), chart.Lettering{Size: 2.1, Ink: chart.Pencil})
	return f
}

func version(o Options) string {
	if o.Version == "" {
		return ""
	}
	return "Turnsole " + o.Version
}

// fitted writes one line, smaller where it would be too long for its place.
func fitted(f *chart.Picture, x, y, width float64, words string, hand chart.Lettering) {
	if long := hand.Width(words); long > width {
		hand.Size *= width / long
	}
	f.Text(x, y, words, hand)
}

func pageOf(number, of int) string { return fmt.Sprintf("%d of %d", number, of) }
