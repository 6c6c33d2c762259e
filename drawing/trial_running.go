package drawing

import (
	"fmt"
	"slices"

	"turnsole/answer"
	"turnsole/chart"
)

// TrialRunning draws the gain of all days up to each, in its range, and at the
// end the trial's answer, which allows for all that the days do not show.
func TrialRunning(r *answer.TrialResult, width, height float64) *chart.Picture {
	days := slices.DeleteFunc(trialDays(r), func(d trialDay) bool { return !finite(d.running[0]) })
	v := &runningView{days: days}
	v.answer[0], v.answer[1], v.answer[2] = trialGain(r)
	sc, top, foot := openTrial("What each further day tells", v.words(), width, height)
	v.scribe = sc
	if len(days) == 0 {
		return sc.Picture
	}
	v.x = scale{least: 0.5, most: float64(len(days)) + 1}
	v.y = gainScale(append(v.column(0), v.answer[0]), append(append(v.column(1), v.column(2)...), v.answer[1], v.answer[2]))
	if !v.layBetween(top, foot) {
		return sc.Picture
	}
	v.draw(r)
	return sc.Picture
}

// runningView is a running estimate in the making.
type runningView struct {
	plot
	days   []trialDay
	answer [3]float64 // gain, low, high
}

func (v *runningView) column(k int) []float64 {
	return column(v.days, func(d *trialDay) float64 { return d.running[k] })
}

// half is how far a day's range goes to each side; NaN where it has none.
func (d *trialDay) half() float64 { return (d.running[2] - d.running[1]) / 2 }

// words say how the estimate came to rest.
func (v *runningView) words() []string {
	n := len(v.days)
	if n == 0 {
		return []string{"No running gain can be told day by day."}
	}
	told := func(d *trialDay) string {
		if !finite(d.half()) {
			return percent(d.running[0])
		}
		return percent(d.running[0]) + " give or take " + signed(d.half())
	}
	first, last := &v.days[0], &v.days[n-1]
	if n == 1 {
		return []string{fmt.Sprintf("One day tells %s; further days would narrow it.", told(first))}
	}
	words := fmt.Sprintf("The first day told %s, all %d tell %s.", told(first), n, told(last))
	return []string{words, v.above()}
}

// above says since when the range has lain to one side of nothing gained.
func (v *runningView) above() string {
	n := len(v.days)
	since := n
	side := func(i int) int {
		switch d := &v.days[i]; {
		case !finite(d.half()):
			return 0
		case d.running[1] > 0:
			return 1
		case d.running[2] < 0:
			return -1
		}
		return 0
	}
	for since > 0 && side(since-1) == side(n-1) {
		since--
	}
	from := "From the first day on"
	if since > 0 {
		from = "From " + v.days[min(since, n-1)].date + " on"
	}
	switch side(n - 1) {
	case 1:
		return from + " the whole range lies above nothing gained."
	case -1:
		return from + " the whole range lies below nothing gained."
	}
	return "The range still holds nothing gained: that turning brings anything is not shown."
}

func (v *runningView) draw(r *answer.TrialResult) {
	band := chart.Style{Fill: chart.Shade, Stroke: chart.Faint, Width: chart.Thin}
	v.band(band)
	v.levels(upright(&v.plot))
	v.columns(v.dateTicks(v.days))
	v.foot()
	v.name("gain, % over still")
	v.nameAcross("all days up to")
	if r.Confidence > 0 {
		band.Stroke, band.Width = chart.Faint, 2
		v.keyRow(entry{name: short(100*r.Confidence) + " % range", style: band})
	}
	nothing := v.nothingGained()
	xs := make([]float64, len(v.days))
	for i := range xs {
		xs[i] = float64(i + 1)
	}
	line := chart.Style{Stroke: chart.Pen, Width: chart.Thick}
	if apart := (v.paper.x1 - v.paper.x0) / float64(len(xs)); apart < 2.5 { // mm: dots would run together
		v.trace(xs, v.column(0), line)
	} else {
		v.dotted(xs, v.column(0), line)
	}
	v.final()
	if nothing {
		v.nameNothingGained()
	}
}

// band fills between the ranges' ends, with gaps where there are none; a range
// without neighbours is a whisker.
func (v *runningView) band(style chart.Style) {
	var low, high []chart.Point
	fill := func(next int) {
		if len(low) == 1 {
			v.whisker(float64(next), v.days[next-1].running[1], v.days[next-1].running[2], chart.Style{Stroke: chart.Pencil})
		}
		if len(low) > 1 {
			v.keepAlong(low)
			v.keepAlong(high)
			for _, q := range slices.Backward(low) {
				high = append(high, q)
			}
			v.Polygon(high, style)
		}
		low, high = nil, nil
	}
	for i := range v.days {
		d := &v.days[i]
		if !finite(d.running[1]) || !finite(d.running[2]) {
			fill(i)
			continue
		}
		low, high = append(low, v.at(float64(i+1), d.running[1])), append(high, v.at(float64(i+1), d.running[2]))
	}
	fill(len(v.days))
}

// final is the trial's answer, after the last day.
func (v *runningView) final() {
	gain, low, high := v.answer[0], v.answer[1], v.answer[2]
	if !finite(gain) {
		return
	}
	x := float64(len(v.days)) + 0.5
	bold := chart.Style{Stroke: chart.Pen, Width: chart.Medium}
	v.whisker(x, low, high, bold)
	q := v.at(x, gain)
	v.Circle(q.X, q.Y, 0.75, chart.Style{Stroke: chart.Pen, Width: 0.25, Fill: chart.Pen})
	v.keepArea(q.X-1, q.Y-1, 2, 2)
	hand := chart.Lettering{Size: 0.92 * v.size, Bold: true, OnPaper: true}
	top, foot := v.at(x, high), v.at(x, low)
	if !finite(low) || !finite(high) {
		top, foot = q, q
	}
	e := v.paper
	var places []place
	for _, y := range []float64{top.Y - 0.5 - 0.6*v.size, foot.Y + 0.6 + 0.6*v.size, top.Y - 0.5 - 1.8*v.size, foot.Y + 0.6 + 1.8*v.size} {
		if y > e.y0 && y < e.y1-0.5*v.size {
			places = append(places, place{chart.Point{X: e.x1 + v.size, Y: y}, chart.End}, place{chart.Point{X: q.X - 1.5, Y: y}, chart.End})
		}
	}
	if words := "answer " + ranged(gain, low, high); !v.write(words, hand, places...) {
		v.ringed(q, words, hand, v.Width)
	}
}
