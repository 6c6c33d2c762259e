package drawing

import (
	"fmt"
	"math"
	"time"

	"turnsole/answer"
	"turnsole/chart"
)

// SwapCalendar draws a year as a band: which tilt holds from which day to
// which. It shows the year as cut to whole millimetres where the stand can be
// cut, otherwise with the stand's own settings, otherwise the best tilts.
func SwapCalendar(p *answer.NotchPlan, width, height float64) *chart.Picture {
	year := shownYear(p)
	sc := newScribe(width, height, "When to change the tilt", describeYear(year))
	if len(year.Swaps) == 0 {
		sc.caption("No tilt to set", "The stand has no setting within the tilts allowed.")
		return sc.Picture
	}
	top := sc.caption("When to change the tilt")
	c := &calendar{scribe: sc, year: year, x0: 3, x1: width - 3, y0: top + 6, y1: height - 2*sc.size - 3}
	c.draw()
	return sc.Picture
}

func shownYear(p *answer.NotchPlan) answer.NotchYear {
	switch {
	case p.Cut != nil && len(p.CutYear.Swaps) > 0:
		return p.CutYear
	case len(p.AsBuilt.Swaps) > 0:
		return p.AsBuilt
	}
	return p.Best
}

func describeYear(y answer.NotchYear) string {
	words := "The year from January to December."
	for _, s := range y.Swaps {
		words += fmt.Sprintf(" From %s to %s: %s.", date(s.From.Month, s.From.Day), date(s.To.Month, s.To.Day), degrees(float64(y.Tilts[s.Notch-1])))
	}
	return words
}

func date(month, day int) string { return fmt.Sprintf("%d %s", day, time.Month(month).String()[:3]) }

// calendar is a band in the making.
type calendar struct {
	*scribe
	year           answer.NotchYear
	x0, x1, y0, y1 float64
}

// dayOfYear counts from 0, in a year without a leap day.
func dayOfYear(month, day int) int {
	return time.Date(2026, time.Month(month), day, 0, 0, 0, 0, time.UTC).YearDay() - 1
}

func (c *calendar) x(day float64) float64 { return c.x0 + (c.x1-c.x0)*day/365 }

func (c *calendar) y(notch int) float64 {
	n := len(c.year.Tilts)
	if n < 2 {
		return (c.y0 + c.y1) / 2
	}
	return c.y1 - 4 - (c.y1-c.y0-4)*float64(notch-1)/float64(n-1)
}

func (c *calendar) draw() {
	c.months()
	for _, s := range c.year.Swaps {
		c.step(s.Notch, s.From.Month, s.From.Day, s.To.Month, s.To.Day)
	}
	for _, s := range c.year.Swaps {
		if len(c.year.Swaps) > 1 {
			c.swap(s)
		}
	}
	c.figures()
}

// months rules the band.
func (c *calendar) months() {
	line := chart.Style{Stroke: chart.Faint, Width: chart.Hair}
	wide := (c.x1 - c.x0) / 12
	for m := 1; m <= 12; m++ {
		x := c.x(float64(dayOfYear(m, 1)))
		c.Line(chart.Point{X: x, Y: c.y0 - 2}, chart.Point{X: x, Y: c.y1 + 1}, line)
		name := time.Month(m).String()[:3]
		if wide < c.size*2.2 {
			name = name[:1]
		}
		c.write(name, chart.Lettering{Size: 0.9 * c.size}, place{chart.Point{X: x + wide/2, Y: c.y1 + 1 + 0.7*c.size}, chart.Middle})
	}
	c.Line(chart.Point{X: c.x0, Y: c.y1}, chart.Point{X: c.x1, Y: c.y1}, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
}

// step is the stretch in one notch, in two pieces where it runs across New Year.
func (c *calendar) step(notch, fromMonth, fromDay, toMonth, toDay int) {
	from, to := float64(dayOfYear(fromMonth, fromDay)), float64(dayOfYear(toMonth, toDay)+1)
	pieces := [][2]float64{{from, to}}
	if from >= to {
		pieces = [][2]float64{{0, to}, {from, 365}}
	}
	y := c.y(notch)
	for _, piece := range pieces {
		a, b := c.x(piece[0]), c.x(piece[1])
		c.Rect(a, y, b-a, c.y1-y, chart.Style{Fill: chart.Shade})
		c.Line(chart.Point{X: a, Y: y}, chart.Point{X: b, Y: y}, chart.Style{Stroke: chart.Pen, Width: 2 * chart.Thick})
		c.keepOff(chart.Point{X: a, Y: y}, chart.Point{X: b, Y: y})
	}
}

// swap is the day on which one changes to a notch.
func (c *calendar) swap(s answer.Swap) {
	x := c.x(float64(dayOfYear(s.From.Month, s.From.Day)))
	before := c.before(s)
	a, b := c.y(before), c.y(s.Notch)
	c.Line(chart.Point{X: x, Y: a}, chart.Point{X: x, Y: b}, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	c.keepOff(chart.Point{X: x, Y: a}, chart.Point{X: x, Y: b})
	y := min(a, b) - 1 - 0.4*c.size
	words := date(s.From.Month, s.From.Day)
	c.write(words, chart.Lettering{}, place{chart.Point{X: x, Y: y}, chart.Middle},
		place{chart.Point{X: x + 1, Y: y}, chart.Start}, place{chart.Point{X: x - 1, Y: y}, chart.End},
		place{chart.Point{X: x + 1, Y: (a + b) / 2}, chart.Start}, place{chart.Point{X: x - 1, Y: (a + b) / 2}, chart.End},
		place{chart.Point{X: x + 1, Y: max(a, b) + 2}, chart.Start}, place{chart.Point{X: x - 1, Y: max(a, b) + 2}, chart.End})
}

// before is the notch that holds until a swap.
func (c *calendar) before(s answer.Swap) int {
	for i, other := range c.year.Swaps {
		if other == s {
			n := len(c.year.Swaps)
			return c.year.Swaps[(i+n-1)%n].Notch
		}
	}
	return s.Notch
}

// figures writes the tilt under each step.
func (c *calendar) figures() {
	for _, s := range c.year.Swaps {
		from, to := float64(dayOfYear(s.From.Month, s.From.Day)), float64(dayOfYear(s.To.Month, s.To.Day)+1)
		if from >= to {
			to = math.Max(to, 365)
		}
		x, y := c.x((from+to)/2), c.y(s.Notch)
		c.write(degrees(float64(c.year.Tilts[s.Notch-1])), chart.Lettering{Bold: true}, place{chart.Point{X: x, Y: y + 1 + 0.5*c.size}, chart.Middle})
	}
}
