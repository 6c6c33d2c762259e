// Package sheet prints what the builder takes to the bench: lists, cuts,
// templates true to scale, settings and cards, as a PDF of real text with its
// letters in it.
package sheet

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"turnsole/chart"
)

// Paper is the size that sheets are printed on.
type Paper int

// Papers.
const (
	A4     Paper = iota // 210 x 297 mm, ISO 216
	Letter              // 8.5 x 11 in
)

// size is the paper upright, in mm.
func (p Paper) size() (wide, high float64) {
	if p == Letter {
		return 8.5 * 25.4, 11 * 25.4
	}
	return 210, 297
}

// Options are what all sheets of a document share. The same options and the
// same answers always give the same bytes.
type Options struct {
	Paper   Paper
	Inches  bool      // show inches beside millimetres
	Made    time.Time // the day in every title block and the PDF's own date; zero prints none
	Version string    // of the program, in every title block; "" prints none
}

// Document is one or several sheets. Each method that adds a sheet adds its
// pages; Write prints them.
type Document struct {
	options Options
	pages   []*page
	sheets  int // begun so far
}

// New returns a document without pages.
func New(o Options) *Document { return &Document{options: o} }

// Write prints the document as a PDF. The error is the first thing that could
// not be drawn, a document without a sheet, or that of w.
func (d *Document) Write(w io.Writer) error {
	if len(d.pages) == 0 {
		return fmt.Errorf("a document without a sheet: add one before it is written")
	}
	pdf, err := d.blank()
	if err != nil {
		return err
	}
	for _, p := range d.pages {
		pdf.AddPageFormat("P", fpdf.SizeType{Wd: p.ink.Width, Ht: p.ink.Height})
		p.frame(d.options, d.numberOf(p), d.countOf(p)).PDF(pdf, 0, 0)
		p.ink.PDF(pdf, 0, 0)
		for _, one := range p.placed {
			one.picture.PDF(pdf, one.x, one.y)
		}
	}
	var b bytes.Buffer
	if err := pdf.Output(&b); err != nil {
		return err
	}
	_, err = w.Write(b.Bytes())
	return err
}

// blank is a PDF without pages, with its letters and with nothing in it that
// changes from run to run.
func (d *Document) blank() (*fpdf.Fpdf, error) {
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetMargins(0, 0, 0)
	made := time.Unix(0, 0).UTC()
	if m := d.options.Made; !m.IsZero() { // the day alone, so that a day's sheets are all the same
		made = time.Date(m.Year(), m.Month(), m.Day(), 0, 0, 0, 0, time.UTC)
	}
	pdf.SetCreationDate(made)
	pdf.SetModificationDate(made)
	pdf.SetCatalogSort(true)
	pdf.SetTitle(d.title(), true)
	pdf.SetSubject("Sheets for building and setting up a small stand that turns a solar panel", true)
	pdf.SetKeywords(chart.FontLicence(), true)
	pdf.SetCreator(strings.TrimSpace("Turnsole "+d.options.Version), true)
	pdf.SetProducer("Turnsole", true)
	pdf.SetLang("en")
	return pdf, chart.Fonts(pdf)
}

// title names the rig and every sheet once.
func (d *Document) title() string {
	var names []string
	for _, p := range d.pages {
		if !slices.Contains(names, p.name) {
			names = append(names, p.name)
		}
	}
	return d.pages[0].rig + ": " + strings.Join(names, ", ")
}

// numberOf is the number of a page within its sheet, from 1.
func (d *Document) numberOf(p *page) (n int) {
	for _, other := range d.pages[:slices.Index(d.pages, p)+1] {
		if other.sheet == p.sheet {
			n++
		}
	}
	return n
}

// countOf is how many pages a page's sheet has.
func (d *Document) countOf(p *page) (n int) {
	for _, other := range d.pages {
		if other.sheet == p.sheet {
			n++
		}
	}
	return n
}

// length writes a length in whole millimetres and, where asked for, in inches
// to the nearest 32nd.
func (o Options) length(m float64) string {
	text := mm(m) + " mm"
	if o.Inches {
		text += " (" + inches(m) + ")"
	}
	return text
}

// mark is a length as it stands on a dimension line, where millimetres go
// without saying.
func (o Options) mark(m float64) string {
	if o.Inches {
		return mm(m) + " (" + inches(m) + ")"
	}
	return mm(m)
}

// far writes a length in metres, to a tenth, and in feet where asked for.
func (o Options) far(m float64) string {
	text := fmt.Sprintf("%.1f m", m)
	if o.Inches {
		text += fmt.Sprintf(" (%.1f ft)", m/0.3048)
	}
	return text
}

// mass writes kilograms, and pounds where asked for.
func (o Options) mass(kg float64) string {
	text := fmt.Sprintf("%.1f kg", kg)
	if o.Inches {
		text += fmt.Sprintf(" (%.1f lb)", kg/0.45359237)
	}
	return text
}

func mm(m float64) string { return fmt.Sprintf("%.0f", math.Round(m*1000)+0) }

// inches writes a length as a rule shows it, to a 32nd of an inch, which is
// 0.4 mm off at most: 22 15/16 in.
func inches(m float64) string {
	parts := int(math.Round(math.Abs(m) / 0.0254 * 32))
	sign := ""
	if m < 0 && parts > 0 {
		sign = "-"
	}
	whole, rest, of := parts/32, parts%32, 32
	for rest > 0 && rest%2 == 0 {
		rest, of = rest/2, of/2
	}
	switch {
	case rest == 0:
		return fmt.Sprintf("%s%d in", sign, whole)
	case whole == 0:
		return fmt.Sprintf("%s%d/%d in", sign, rest, of)
	}
	return fmt.Sprintf("%s%d %d/%d in", sign, whole, rest, of)
}
