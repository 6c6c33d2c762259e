package chart_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"turnsole/chart"
)

var edge = chart.Style{Stroke: chart.Pen, Width: 0.5}

// full is a picture with every kind of mark.
func full() *chart.Picture {
	p := chart.New(180, 120)
	p.Title, p.Description = "Side view", "A rail, a leg and the sun"
	p.Circle(160, 18, 6, chart.Style{Fill: chart.Glow, Stroke: chart.Light})
	p.AtUp(25, 85, 0.1, func() {
		p.Line(chart.Point{X: -150}, chart.Point{X: 1300}, edge)
		p.Wood(chart.Point{}, chart.Point{X: 1100}, chart.Point{X: 1100, Y: 45}, chart.Point{Y: 45})
		p.Section(chart.Point{X: 1150}, chart.Point{X: 1240}, chart.Point{X: 1240, Y: 45}, chart.Point{X: 1150, Y: 45})
		p.AngleMark(chart.Point{Y: 45}, 0, 40, 22, "40°")
		p.Dimension(chart.Point{Y: 45}, chart.Point{X: 690, Y: 624}, -14, "900")
		p.RunningDimensions(chart.Point{}, chart.Point{X: 1100}, []float64{250, 410, 430, 455, 1100}, 8, nil)
	})
	a := chart.Axes{X: 110, Y: 35, W: 50, H: 25, XMax: 24, YMax: 90, XLabel: "hour", YLabel: "watts"}
	p.Axes(a)
	p.Curves(a, chart.Series{
		Points: []chart.Point{{X: 6}, {X: 12, Y: 80}, {X: 18, Y: 5}, {X: 24, Y: 5}}, Label: "June",
		Style: chart.Style{Stroke: chart.Light, Fill: chart.Glow, Dash: []float64{2, 1}},
	})
	p.Arrow([]chart.Point{{X: 5, Y: 5}, {X: 20, Y: 5}, {X: 20, Y: 15}}, edge)
	p.Block(30, 5, 30, 15, "Panel", "80 W")
	p.Text(70, 10, "notch", chart.Lettering{Turn: 20, OnPaper: true, Enclosed: true, Mono: true})
	return p
}

func svg(t interface{ Fatal(...any) }, p *chart.Picture) string {
	var b bytes.Buffer
	if err := p.SVG(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestNothingIsCutOffOrWrittenOver(t *testing.T) {
	p := full()
	least, most := p.Box()
	if least.X < 0 || least.Y < 0 || most.X > p.Width || most.Y > p.Height {
		t.Errorf("marks from %v to %v on %g by %g", least, most, p.Width, p.Height)
	}
	if clashes := p.Clashes(); len(clashes) > 0 {
		t.Error(clashes)
	}
}

func TestClashes(t *testing.T) {
	p := chart.New(100, 100)
	p.Text(10, 50, "a line of text", chart.Lettering{})
	p.Text(12, 55, "across", chart.Lettering{Turn: -60})
	p.Text(60, 50, "far away", chart.Lettering{})
	if got := p.Clashes(); len(got) != 1 || got[0] != `"across" over "a line of text"` {
		t.Error(got)
	}
}

func TestBox(t *testing.T) {
	near := func(t *testing.T, got, want chart.Point, slack float64) {
		t.Helper()
		if math.Abs(got.X-want.X) > slack || math.Abs(got.Y-want.Y) > slack {
			t.Errorf("got %v, want %v", got, want)
		}
	}
	t.Run("empty", func(t *testing.T) {
		least, most := chart.New(9, 9).Box()
		near(t, least, chart.Point{}, 0)
		near(t, most, chart.Point{}, 0)
	})
	rapid.Check(t, func(r *rapid.T) {
		x, y := rapid.Float64Range(0, 100).Draw(r, "x"), rapid.Float64Range(0, 100).Draw(r, "y")
		radius := rapid.Float64Range(1, 80).Draw(r, "radius")
		scale := rapid.Float64Range(0.1, 3).Draw(r, "scale")
		p := chart.New(10, 10)
		p.AtUp(x, y, scale, func() { p.Circle(5, 7, radius, edge) })
		least, most := p.Box()
		reach := radius*scale + 0.25
		centre := chart.Point{X: x + 5*scale, Y: y - 7*scale}
		// The pieces' ends lie on the four outermost points; a piece of curve
		// is within 5e-6 of the radius.
		slack := 1e-5 * radius * scale
		near(t, least, chart.Point{X: centre.X - reach, Y: centre.Y - reach}, slack+1e-9)
		near(t, most, chart.Point{X: centre.X + reach, Y: centre.Y + reach}, slack+1e-9)
	})
}

func TestScaleKeepsLettersAndLines(t *testing.T) {
	size := func(scale float64) float64 {
		p := chart.New(100, 100)
		p.At(50, 50, scale, func() { p.Text(0, 0, "Letters", chart.Lettering{}) })
		least, most := p.Box()
		return most.X - least.X
	}
	// The same letters at another place: only rounding can differ.
	if a, b := size(0.1), size(7); math.Abs(a-b) > 1e-9 {
		t.Errorf("letters %g mm long at one scale, %g at another", a, b)
	}
}

func TestAtNests(t *testing.T) {
	p := chart.New(100, 100)
	p.At(10, 20, 2, func() {
		p.AtUp(5, 5, 3, func() { p.Line(chart.Point{X: 1, Y: 1}, chart.Point{X: 2, Y: 2}, edge) })
	})
	// 10 + 2*5 + 6*1 = 26; 20 + 2*5 - 6*1 = 24.
	if out := svg(t, p); !strings.Contains(out, `d="M26 24L32 18"`) {
		t.Error(out)
	}
}

func TestWhatCannotBeDrawnIsSaid(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, draw := range map[string]func(*chart.Picture){
		"no number":      func(p *chart.Picture) { p.Circle(nan, 1, 1, edge) },
		"infinite":       func(p *chart.Picture) { p.Line(chart.Point{}, chart.Point{X: inf}, edge) },
		"scale":          func(p *chart.Picture) { p.At(0, 0, 0, func() { t.Error("drawn") }) },
		"width":          func(p *chart.Picture) { p.Circle(1, 1, 1, chart.Style{Stroke: chart.Pen, Width: inf}) },
		"dash":           func(p *chart.Picture) { p.Circle(1, 1, 1, chart.Style{Stroke: chart.Pen, Dash: []float64{-1}}) },
		"dashes of none": func(p *chart.Picture) { p.Circle(1, 1, 1, chart.Style{Stroke: chart.Pen, Dash: []float64{0, 0}}) },
		"hatch":          func(p *chart.Picture) { p.Circle(1, 1, 9, chart.Style{Hatch: chart.Hatch{Gap: 1e-9}}) },
		"text":           func(p *chart.Picture) { p.Text(0, nan, "a", chart.Lettering{}) },
		"turn":           func(p *chart.Picture) { p.Text(0, 0, "a", chart.Lettering{Turn: inf}) },
		"dimension":      func(p *chart.Picture) { p.Dimension(chart.Point{}, chart.Point{X: 9}, nan, "9") },
		"labels": func(p *chart.Picture) {
			p.RunningDimensions(chart.Point{}, chart.Point{X: 9}, []float64{1, 2}, 5, []string{"1"})
		},
		"stop": func(p *chart.Picture) {
			p.RunningDimensions(chart.Point{}, chart.Point{X: 9}, []float64{nan}, 5, nil)
		},
		"angle": func(p *chart.Picture) { p.AngleMark(chart.Point{}, 0, 40, 0, "40°") },
		"axes":  func(p *chart.Picture) { p.Axes(chart.Axes{W: 10, H: 10, XMax: 1}) },
		"path":  func(p *chart.Picture) { var path chart.Path; p.Path(*path.Close(), edge) },
	} {
		p := chart.New(10, 10)
		draw(p)
		if p.Err() == nil || p.SVG(&bytes.Buffer{}) == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	if chart.New(0, 10).Err() == nil {
		t.Error("a canvas of no width was accepted")
	}
}

func TestNothingToDrawIsNoError(t *testing.T) {
	p := chart.New(10, 10)
	p.Polyline(nil, edge)
	p.Polygon(nil, edge)
	p.Arrow([]chart.Point{{X: 1}}, edge)
	p.Wood()
	p.Path(chart.Path{}, edge)
	p.Text(1, 1, " ", chart.Lettering{})
	p.RunningDimensions(chart.Point{}, chart.Point{X: 9}, nil, 5, nil)
	p.Dimension(chart.Point{X: 3}, chart.Point{X: 3}, 2, "0")
	p.Text(1, 1, "odd", chart.Lettering{Anchor: 99, Ink: 99, Size: -1})
	if p.Err() != nil {
		t.Error(p.Err())
	}
	svg(t, p)
}
