package chart_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"turnsole/chart"
)

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		least, most float64
		wanted      int
		labels      string
	}{
		{0, 90, 3, "0 20 40 60 80"},
		{0, 24, 4, "0 5 10 15 20"},
		{-1, 1, 4, "−1.0 −0.5 0.0 0.5 1.0"},
		{0, 0.03, 3, "0.00 0.01 0.02 0.03"},
		{1995, 2026, 3, "2000 2010 2020"},
		{5, 5, 3, ""},
		{0, math.Inf(1), 3, ""},
		{math.NaN(), 3, 3, ""},
	} {
		var got []string
		for _, tick := range chart.Ticks(c.least, c.most, c.wanted) {
			got = append(got, tick.Label)
		}
		if strings.Join(got, " ") != c.labels {
			t.Errorf("from %g to %g: %v, wanted %s", c.least, c.most, got, c.labels)
		}
	}
	rapid.Check(t, func(r *rapid.T) {
		least := rapid.Float64Range(-1e6, 1e6).Draw(r, "least")
		span := math.Pow(10, rapid.Float64Range(-3, 6).Draw(r, "power of the span"))
		wanted := rapid.IntRange(2, 12).Draw(r, "wanted")
		ticks := chart.Ticks(least, least+span, wanted)
		if len(ticks) < 1 || len(ticks) > 2*wanted+1 {
			t.Fatalf("%d ticks, %d wanted", len(ticks), wanted)
		}
		for _, tick := range ticks {
			// Rounding of a tick at 1e6 with a span of 1e-3, relative to the span.
			if slack := 1e-6 * span; tick.At < least-slack || tick.At > least+span+slack {
				t.Fatalf("a tick at %g, outside %g and %g above", tick.At, least, span)
			}
		}
	})
}

func TestAxesTo(t *testing.T) {
	a := chart.Axes{X: 10, Y: 5, W: 100, H: 50, XMin: -10, XMax: 10, YMax: 200}
	for at, want := range map[chart.Point]chart.Point{
		{X: -10}: {X: 10, Y: 55}, {X: 10, Y: 200}: {X: 110, Y: 5}, {X: 0, Y: 100}: {X: 60, Y: 30},
	} {
		if got := a.To(at.X, at.Y); got != want {
			t.Errorf("%v is at %v, wanted %v", at, got, want)
		}
	}
}

func TestCurvesAreCutOffAtTheEdges(t *testing.T) {
	a := chart.Axes{X: 20, Y: 20, W: 100, H: 50, XMax: 10, YMax: 10}
	rapid.Check(t, func(r *rapid.T) {
		value := rapid.OneOf(rapid.Float64Range(-30, 30), rapid.Just(math.NaN()), rapid.Just(math.Inf(1)))
		var line chart.Series
		for range rapid.IntRange(0, 12).Draw(r, "points") {
			line.Points = append(line.Points, chart.Point{X: value.Draw(r, "x"), Y: value.Draw(r, "y")})
		}
		line.Style = chart.Style{Stroke: chart.Light, Fill: chart.Glow}
		p := chart.New(140, 90)
		p.Curves(a, line)
		least, most := p.Box()
		// Half the line's width (0.18 mm) and rounding.
		const reach = 0.09 + 1e-9
		if p.Err() != nil || most.X > 0 && (least.X < 20-reach || least.Y < 20-reach || most.X > 120+reach || most.Y > 70+reach) {
			t.Fatalf("%v: drawn from %v to %v, %v", line.Points, least, most, p.Err())
		}
	})
}

func TestCurveThroughACorner(t *testing.T) {
	p := chart.New(140, 90)
	a := chart.Axes{X: 20, Y: 20, W: 100, H: 50, XMax: 10, YMax: 10}
	p.Curves(a, chart.Series{Points: []chart.Point{{X: -5, Y: 5}, {X: 5, Y: 15}, {X: 5, Y: 5}, {X: math.NaN()}, {X: 7, Y: 1}, {X: 8, Y: 1}}, Style: edge})
	// The first piece only touches the corner (0, 10); the second comes in
	// from above; after the gap the line starts afresh.
	if out := svg(t, p); !strings.Contains(out, `M70 20L70 45M90 65L100 65"`) {
		t.Error(out)
	}
}

func TestLabelsAtTheEdgeMakeWay(t *testing.T) {
	p := chart.New(160, 90)
	a := chart.Axes{X: 20, Y: 20, W: 100, H: 50, XMax: 10, YMax: 10}
	p.Axes(a)
	var lines []chart.Series
	for _, name := range []string{"June", "March", "December", "skyline"} {
		lines = append(lines, chart.Series{Points: []chart.Point{{}, {X: 10}}, Style: edge, Label: name})
	}
	p.Curves(a, lines...)
	if clashes := p.Clashes(); len(clashes) > 0 {
		t.Error(clashes)
	}
	for _, s := range lines {
		if !strings.Contains(svg(t, p), ">"+s.Label+"</text>") {
			t.Errorf("no label %s", s.Label)
		}
	}
}
