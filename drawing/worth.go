package drawing

import (
	"fmt"
	"math"

	"turnsole/answer"
	"turnsole/chart"
)

// monthLetters are the months on an axis.
const monthLetters = "JFMAMJJASOND"

// WorthMonths draws what each month leaves to use a day: a bar for the panel
// that stands still, and beside it one for the panel that turns, with what nine
// years in ten lie between where that is known.
func WorthMonths(s *answer.SpotWorth, width, height float64) *chart.Picture {
	still, turning := s.Way(s.Baseline), s.Way("turning")
	if still == nil || turning == nil {
		return newScribe(width, height, "months", "There is nothing to compare.").Picture
	}
	sc := newScribe(width, height, "net watt-hours by month, standing still and turning", monthWords(still, turning))
	a := monthAxes(sc, still, turning)
	sc.Axes(a)
	for m := range still.Months {
		if still.Months[m].Days == 0 {
			continue
		}
		at := float64(m)
		sc.bar(a, at-0.4, at-0.02, still.Months[m].NetWh()/still.Months[m].Days, chart.Style{Stroke: chart.Pen, Fill: chart.Shade})
		sc.bar(a, at+0.02, at+0.4, turning.Months[m].NetWh()/turning.Months[m].Days, chart.Style{Stroke: chart.Pen, Fill: chart.Glow, Hatch: chart.Hatch{Gap: 1.6, Turn: 45, Ink: chart.Light}})
		sc.spread(a, at+0.21, &still.Months[m], &turning.Months[m])
	}
	sc.monthKey()
	return sc.Picture
}

// monthAxes leave room above for the key.
func monthAxes(sc *scribe, still, turning *answer.WayWorth) chart.Axes {
	least, most := 0.0, 1.0
	for m := range still.Months {
		base, turned := &still.Months[m], &turning.Months[m]
		if base.Days == 0 {
			continue
		}
		for _, wh := range []float64{base.NetWh(), turned.NetWh(), base.NetWh() + value(turned.ExtraNetLowWh), base.NetWh() + value(turned.ExtraNetHighWh)} {
			least, most = min(least, wh/base.Days), max(most, wh/base.Days)
		}
	}
	var ticks []chart.Tick
	for m, letter := range monthLetters {
		ticks = append(ticks, chart.Tick{At: float64(m), Label: string(letter)})
	}
	left, top, below := max(4.4*sc.size, 11), 3.6*sc.size, max(3.2*sc.size, 8)
	return chart.Axes{X: left, Y: top, W: sc.Width - left - sc.size, H: sc.Height - top - below,
		XMin: -0.6, XMax: 11.6, YMin: least * 1.05, YMax: most * 1.05, XLabel: "month", YLabel: "net, Wh a day", XTicks: ticks}
}

func value(x *float64) float64 {
	if x == nil {
		return 0
	}
	return *x
}

func (s *scribe) bar(a chart.Axes, from, to, high float64, style chart.Style) {
	foot, tip := a.To(from, 0), a.To(to, high)
	s.Polygon([]chart.Point{foot, {X: tip.X, Y: foot.Y}, tip, {X: foot.X, Y: tip.Y}}, style)
}

// spread is what turning leaves in nine years of ten where standing still
// leaves what it does on average.
func (s *scribe) spread(a chart.Axes, at float64, still, turning *answer.Figures) {
	if turning.ExtraNetLowWh == nil || turning.ExtraNetHighWh == nil {
		return
	}
	low, high := (still.NetWh()+*turning.ExtraNetLowWh)/still.Days, (still.NetWh()+*turning.ExtraNetHighWh)/still.Days
	pen := chart.Style{Stroke: chart.Pen, Width: chart.Medium}
	s.Line(a.To(at, low), a.To(at, high), pen)
	for _, end := range []float64{low, high} {
		s.Line(a.To(at-0.1, end), a.To(at+0.1, end), pen)
	}
}

// monthKey says which bar is which.
func (s *scribe) monthKey() {
	x, y, side := 12*s.size, s.size, s.size
	hand := chart.Lettering{Size: s.size, Centred: true}
	for _, k := range []struct {
		words string
		style chart.Style
	}{{"still", chart.Style{Stroke: chart.Pen, Fill: chart.Shade}},
		{"turning", chart.Style{Stroke: chart.Pen, Fill: chart.Glow, Hatch: chart.Hatch{Gap: 1.6, Turn: 45, Ink: chart.Light}}}} {
		s.Rect(x, y-side/2, side, side, k.style)
		s.Text(x+1.5*side, y, k.words, hand)
		x += 3*side + hand.Width(k.words)
	}
}

// monthWords say which months turning helps most and least.
func monthWords(still, turning *answer.WayWorth) string {
	best, worst := -1, -1
	extra := func(m int) float64 { return turning.Months[m].ExtraNetWh / still.Months[m].Days }
	for m := range still.Months {
		if still.Months[m].Days == 0 {
			continue
		}
		if best < 0 || extra(m) > extra(best) {
			best = m
		}
		if worst < 0 || extra(m) < extra(worst) {
			worst = m
		}
	}
	if best < 0 {
		return "No day counts."
	}
	words := fmt.Sprintf("Turning brings most in %s, %s Wh a day over standing still, and least in %s, %s.",
		monthNames[best], answer.Signed(extra(best), 1), monthNames[worst], answer.Signed(extra(worst), 1))
	if math.Abs(extra(best)-extra(worst)) < 0.05 {
		words = fmt.Sprintf("Turning brings about the same in every month: %s Wh a day over standing still.", answer.Signed(extra(best), 1))
	}
	if turning.Months[best].ExtraNetLowWh != nil {
		words += " The upright lines span nine coming years in ten, counted from what standing still leaves on average."
	}
	return words
}

var monthNames = [12]string{"January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"}
