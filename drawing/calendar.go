package drawing

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"turnsole/answer"
	"turnsole/chart"
)

// SwapCalendar draws a year as a band: which tilt holds from which day to
// which. It shows the year as cut to whole millimetres where the stand can be
// cut, otherwise with the stand's own settings, otherwise the best tilts.
func SwapCalendar(p *answer.NotchPlan, width, height float64) *chart.Picture {
	year := shownYear(p)
	c := newCalendar(year, width, height, nil)
	late := c.draw()
	// The note of those that found no room takes some of it.
	for told := 0; len(late) > told && told < len(year.Swaps); {
		told = len(late)
		c = newCalendar(year, width, height, late)
		for _, words := range c.draw() {
			if !slices.Contains(late, words) {
				late = append(late, words)
			}
		}
	}
	return c.Picture
}

// newCalendar rules a band; late are the days that found no room at their steps.
func newCalendar(year answer.NotchYear, width, height float64, late []string) *calendar {
	sc := newScribe(width, height, "When to change the tilt", describeYear(year))
	if len(year.Swaps) == 0 {
		sc.caption("No tilt to set", "The stand has no setting within the tilts allowed.")
		return &calendar{scribe: sc}
	}
	var notes []string
	if len(late) > 0 {
		notes = []string{"Also on " + strings.Join(late, ", ") + "."}
	}
	top := sc.caption("When to change the tilt", notes...)
	return &calendar{scribe: sc, year: year, x0: 3, x1: width - 3, y0: top + 6, y1: height - 2*sc.size - 3}
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

// draw draws the year, and returns the changes that found no room.
func (c *calendar) draw() (late []string) {
	if len(c.year.Swaps) == 0 {
		return nil
	}
	c.months()
	for _, s := range c.year.Swaps {
		c.step(s)
	}
	for _, s := range c.year.Swaps {
		c.riser(s)
	}
	told := map[answer.Swap]bool{}
	for _, s := range c.year.Swaps {
		told[s] = c.figure(s)
	}
	for _, s := range c.year.Swaps {
		if !c.day(s, !told[s]) {
			late = append(late, date(s.From.Month, s.From.Day)+": "+c.tilt(s))
		}
	}
	return late
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

// span is a stretch's first day and the day after its last, within the year or,
// where it runs across New Year, beyond it.
func span(s answer.Swap) (from, to float64) {
	from, to = float64(dayOfYear(s.From.Month, s.From.Day)), float64(dayOfYear(s.To.Month, s.To.Day)+1)
	if from >= to {
		to += 365
	}
	return from, to
}

// step is the stretch in one notch, in two pieces where it runs across New Year.
func (c *calendar) step(s answer.Swap) {
	from, to := span(s)
	y := c.y(s.Notch)
	for _, shift := range []float64{0, 365} {
		a, b := c.x(max(from-shift, 0)), c.x(min(to-shift, 365))
		if a >= b {
			continue
		}
		c.Rect(a, y, b-a, c.y1-y, chart.Style{Fill: chart.Shade})
		c.follow([]chart.Point{{X: a, Y: y}, {X: b, Y: y}}, chart.Style{Stroke: chart.Pen, Width: 2 * chart.Thick})
	}
}

// before is the notch that holds until a swap.
func (c *calendar) before(s answer.Swap) int {
	n := len(c.year.Swaps)
	return c.year.Swaps[(slices.Index(c.year.Swaps, s)+n-1)%n].Notch
}

// riser is the line of the day on which one changes to a notch.
func (c *calendar) riser(s answer.Swap) {
	from, _ := span(s)
	x, before := c.x(from), c.before(s)
	if before != s.Notch {
		c.follow([]chart.Point{{X: x, Y: c.y(before)}, {X: x, Y: c.y(s.Notch)}}, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	}
}

// day writes the day of a change, with the tilt where that stands nowhere else,
// and reports whether there was room.
func (c *calendar) day(s answer.Swap, withTilt bool) bool {
	from, _ := span(s)
	x, before := c.x(from), c.before(s)
	if before == s.Notch {
		return true
	}
	a, b := c.y(before), c.y(s.Notch)
	words, hand := date(s.From.Month, s.From.Day), chart.Lettering{}
	if withTilt {
		words += ": " + c.tilt(s)
	}
	lift := 1 + 0.45*c.size
	var places []place
	for _, y := range []float64{min(a, b) - lift, (a + b) / 2, max(a, b) + lift} {
		places = append(places, place{chart.Point{X: x, Y: y}, chart.Middle}, place{chart.Point{X: x + 1, Y: y}, chart.Start}, place{chart.Point{X: x - 1, Y: y}, chart.End})
	}
	return c.write(words, hand, places...)
}

func (c *calendar) tilt(s answer.Swap) string { return degrees(float64(c.year.Tilts[s.Notch-1])) }

// figure writes the tilt at the middle of the longer piece of its step, and where
// there is room draws a panel at that tilt. Notches go by the stand's own
// numbers, which the calendar does not know, and so it names none.
func (c *calendar) figure(s answer.Swap) bool {
	from, to := span(s)
	switch {
	case to > 365 && 365-from >= to-365:
		to = 365
	case to > 365:
		from, to = 0, to-365
	}
	x, y, wide := c.x((from+to)/2), c.y(s.Notch), c.x(to)-c.x(from)
	hand := chart.Lettering{Bold: true, Size: c.size}
	if words := c.tilt(s); hand.Width(words)+1 < wide && c.write(words, hand, place{chart.Point{X: x, Y: y + 1.2 + 0.5*c.size}, chart.Middle}) {
		c.leaning(x, y, wide, s)
		return true
	}
	return false
}

// leaning is a panel at a step's tilt, under its figure or over its line.
func (c *calendar) leaning(x, y, wide float64, s answer.Swap) {
	const long = 7.0
	if wide < 2*long {
		return
	}
	tilt := c.year.Tilts[s.Notch-1]
	high := long * tilt.Sin()
	foot := y + 2.4 + c.size + high
	if foot+2 > c.y1 {
		if foot = y - 3; foot-high < c.y0 {
			return
		}
	}
	a := chart.Point{X: x - long/2*tilt.Cos(), Y: foot}
	b := chart.Point{X: a.X + long*tilt.Cos(), Y: foot - high}
	box := quad{{X: x - long/2, Y: foot - high}, {X: x + long/2, Y: foot - high}, {X: x + long/2, Y: foot + 0.3}, {X: x - long/2, Y: foot + 0.3}}
	if c.isTaken(box) {
		return
	}
	c.taken = append(c.taken, box)
	c.Line(chart.Point{X: x - long/2, Y: foot}, chart.Point{X: x + long/2, Y: foot}, chart.Style{Stroke: chart.Pencil})
	c.Line(a, b, chart.Style{Stroke: chart.Pen, Width: 2 * chart.Thick})
}
