package chart_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"codeberg.org/go-pdf/fpdf"
	"turnsole/chart"
)

// Worked out by hand from the SVG 1.1 recommendation, not recorded.
func TestSVG(t *testing.T) {
	p := chart.New(40, 30)
	p.Title, p.Description = "A & B", "two < marks"
	p.Rect(1, 2, 10, 5, chart.Style{Stroke: chart.Pen, Width: 0.5, Dash: []float64{2, 1}, Fill: chart.Shade})
	p.Text(20, 25, "<40°>", chart.Lettering{Bold: true, Anchor: chart.End, Turn: -90})
	want := `<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30" role="img" aria-label="A &amp; B" font-family="Go, 'Helvetica Neue', Arial, sans-serif" font-kerning="none" stroke-linejoin="round" fill-rule="evenodd">
<title>A &amp; B</title>
<desc>two &lt; marks</desc>
<path class="fill-shade stroke-pen" d="M1 2L11 2L11 7L1 7Z" fill="#eaeae6" stroke="#20262b" stroke-width="0.5" stroke-dasharray="2 1"/>
<text class="fill-pen" x="20" y="25" font-size="3" fill="#20262b" text-anchor="end" transform="rotate(-90 20 25)" font-weight="bold">&lt;40°&gt;</text>
</svg>
`
	if got := svg(t, p); got != want {
		t.Errorf("got\n%swant\n%s", got, want)
	}
}

func TestDigits(t *testing.T) {
	p := chart.New(40, 30)
	p.Line(chart.Point{X: 1.0 / 3, Y: -0.0001}, chart.Point{X: 100, Y: 2.0005}, edge)
	if out := svg(t, p); !strings.Contains(out, `d="M0.333 0L100 2.001"`) {
		t.Error(out)
	}
}

// letters are all the words of a document, in its own order.
func letters(t *testing.T, document string) (words []string) {
	reader := xml.NewDecoder(strings.NewReader(document))
	for {
		token, err := reader.Token()
		if errors.Is(err, io.EOF) {
			return words
		}
		if err != nil {
			t.Fatalf("%v in\n%s", err, document)
		}
		if text, ok := token.(xml.CharData); ok && strings.TrimSpace(string(text)) != "" {
			words = append(words, string(text))
		}
	}
}

var oddTexts = []string{"rail", "</text><script>alert(1)</script>", "]]>", "&amp;", "\x00\x1b\x7f", "\xff\xc0", "a\nb", "\U0010ffff \U00010000 \ufffe", "日本", "(\\)"}

func labelled(text string) *chart.Picture {
	p := chart.New(100, 50)
	p.Title, p.Description = text, text
	p.Text(10, 10, text, chart.Lettering{OnPaper: true, Turn: 10})
	p.Dimension(chart.Point{X: 10, Y: 20}, chart.Point{X: 80, Y: 20}, 5, text)
	return p
}

func FuzzSVGTakesAnyText(f *testing.F) {
	for _, seed := range oddTexts {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		p := labelled(text)
		if p.Err() != nil {
			if len(text) < 10000 {
				t.Fatal(p.Err())
			}
			return // a label so long that it runs off every paper
		}
		words := letters(t, svg(t, p))
		odd := func(r rune) bool { return r < ' ' || r > '~' && r < 0xa1 || r > 0xfff0 || r == utf8.RuneError }
		if strings.TrimSpace(text) == "" || strings.IndexFunc(text, odd) >= 0 {
			return
		}
		for _, word := range words {
			if word != text || len(words) != 4 {
				t.Fatalf("%q was written as %q", text, words)
			}
		}
	})
}

func FuzzPDFTakesAnyText(f *testing.F) {
	for _, seed := range oddTexts {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		pdf := sheet(t)
		if p := labelled(text); p.Err() == nil {
			p.PDF(pdf, 10, 10)
		}
		if err := pdf.Output(io.Discard); err != nil {
			t.Fatal(err)
		}
	})
}

// sheet is an A4 page whose bytes depend on nothing but what is drawn.
func sheet(t testing.TB) *fpdf.Fpdf {
	pdf := fpdf.New("P", "mm", "A4", "")
	pdf.SetCreationDate(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC))
	pdf.SetModificationDate(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC))
	pdf.SetCatalogSort(true)
	if err := chart.Fonts(pdf); err != nil {
		t.Fatal(err)
	}
	pdf.AddPage()
	return pdf
}

func output(t testing.TB, pdf *fpdf.Fpdf) []byte {
	var b bytes.Buffer
	if err := pdf.Output(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestTheSamePictureIsTheSameBytes(t *testing.T) {
	var svgs, pdfs [2]string
	for i := range svgs {
		svgs[i] = svg(t, full())
		pdf := sheet(t)
		full().PDF(pdf, 15, 15)
		pdfs[i] = string(output(t, pdf))
	}
	if svgs[0] != svgs[1] || pdfs[0] != pdfs[1] {
		t.Error("the same picture was written differently")
	}
}

func TestPDFLeavesPensAsTheyWere(t *testing.T) {
	pdf := sheet(t)
	pdf.SetFont(chart.FontFamily, "B", 17)
	pdf.SetLineWidth(0.77)
	pdf.SetDrawColor(1, 2, 3)
	pdf.SetFillColor(4, 5, 6)
	pdf.SetTextColor(7, 8, 9)
	pdf.SetXY(33, 44)
	state := func() [16]any {
		points, _ := pdf.GetFontSize()
		x, y := pdf.GetXY()
		a, b, c := pdf.GetDrawColor()
		d, e, f := pdf.GetFillColor()
		g, h, i := pdf.GetTextColor()
		return [16]any{points, x, y, a, b, c, d, e, f, g, h, i, pdf.GetLineWidth(), pdf.GetFontFamily(), pdf.GetFontStyle(), pdf.GetLineJoinStyle()}
	}
	before := state()
	full().PDF(pdf, 15, 15)
	if after := state(); after != before {
		t.Errorf("%v became %v", before, after)
	}
}

func TestPDFInOtherUnits(t *testing.T) {
	line := func(unit string, x, y float64) string {
		pdf := fpdf.New("P", unit, "A4", "")
		pdf.SetCompression(false)
		pdf.AddPage()
		p := chart.New(100, 100)
		p.Line(chart.Point{X: 10, Y: 10}, chart.Point{X: 90, Y: 10}, edge)
		p.PDF(pdf, x, y)
		out := string(output(t, pdf))
		at := strings.Index(out, " m\n")
		return out[strings.LastIndex(out[:at], "\n"):strings.Index(out, " l\n")]
	}
	if mm, inch := line("mm", 25.4, 25.4), line("in", 1, 1); mm != inch {
		t.Errorf("in mm%s, in inches%s", mm, inch)
	}
}

func TestPDFTellsWhatWentWrong(t *testing.T) {
	p := chart.New(10, 10)
	p.Circle(math.NaN(), 0, 1, edge)
	pdf := sheet(t)
	p.PDF(pdf, 0, 0)
	if pdf.Error() == nil {
		t.Error("a circle nowhere was drawn")
	}
}

// The fonts alone: what every PDF pays once.
func BenchmarkFonts(b *testing.B) {
	for b.Loop() {
		pdf := sheet(b)
		p := chart.New(100, 100)
		for i, hand := range []chart.Lettering{{}, {Bold: true}, {Italic: true}, {Mono: true}} {
			p.Text(0, float64(10*i), "Cut list: 4 rails, 1100 × 45 × 45 mm, ±1 mm", hand)
		}
		p.PDF(pdf, 0, 0)
		b.ReportMetric(float64(len(output(b, pdf))), "bytes")
	}
}

// Twenty full pages, as a set of sheets has.
func BenchmarkTwentySheets(b *testing.B) {
	for b.Loop() {
		pdf := sheet(b)
		for page := range 20 {
			if page > 0 {
				pdf.AddPage()
			}
			full().PDF(pdf, 15, 15)
			full().PDF(pdf, 15, 145)
		}
		b.ReportMetric(float64(len(output(b, pdf))), "bytes")
	}
}

func BenchmarkSVG(b *testing.B) {
	for b.Loop() {
		if err := full().SVG(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTextWidth(b *testing.B) {
	for b.Loop() {
		chart.TextWidth("Drill both axle holes before the rails are glued", 3, false)
	}
}
