package drawing

import (
	"fmt"
	"math"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
)

// TuneSweep draws what is left of the energy over one setting, all others as
// chosen. Where the setting does not matter is shaded, the chosen value marked. A
// chosen value outside what was swept is marked at the nearer side.
func TuneSweep(s *answer.AimSweep, width, height float64) *chart.Picture {
	title := plainName(s.Name)
	words := sweepWords(s)
	sc := newScribe(width, height, title, title+": "+words)
	top := sc.caption(title, words)
	p := &plot{scribe: sc, x: sweptScale(s), y: covering(0, s.NetWh)}
	if !p.x.sound() || len(s.NetWh) == 0 {
		return sc.Picture
	}
	p.y = covering(max(0.03*math.Abs(p.y.most), 1), s.NetWh)
	p.lay(top)
	p.flat(s)
	p.levels(upright(p))
	p.columns(acrossTicks(p, s.Unit))
	p.foot()
	p.name("Wh a day left")
	p.nameAcross(unitName(s))
	p.dotted(s.Values, s.NetWh, chart.Style{Stroke: chart.Pen, Width: chart.Thick})
	p.chosen(s)
	p.strong(s.Chosen, s.Values, s.NetWh, chart.Pen)
	return sc.Picture
}

func plainName(name string) string { return strings.ReplaceAll(name, "_", " ") }

func unitName(s *answer.AimSweep) string {
	if s.Unit == "" || s.Unit == "s" && s.Log {
		return plainName(s.Name)
	}
	return plainName(s.Name) + ", " + s.Unit
}

// withUnit writes a value of a setting.
func withUnit(v float64, unit string) string {
	switch unit {
	case "s":
		return seconds(v)
	case "":
		return figure(v)
	case "degrees":
		return figure(v) + "°"
	}
	return figure(v) + " " + unit
}

// sweepWords say how much the setting matters.
func sweepWords(s *answer.AimSweep) string {
	words := "No value is chosen."
	if finite(s.Chosen) {
		words = "Chosen: " + withUnit(s.Chosen, s.Unit) + "."
	}
	if s.High > s.Low {
		words += fmt.Sprintf(" From %s to %s it does not matter.", withUnit(s.Low, s.Unit), withUnit(s.High, s.Unit))
	}
	return words
}

// sweptScale is the scale over the values that were tried.
func sweptScale(s *answer.AimSweep) scale {
	e := nothing()
	for i, v := range s.Values {
		if finite(v) && i < len(s.NetWh) && finite(s.NetWh[i]) && (!s.Log || v > leastLog) {
			e.take(chart.Point{X: v})
		}
	}
	x := scale{least: e.x0, most: e.x1, log: s.Log}
	switch {
	case e.x0 > e.x1:
		return scale{}
	case e.x0 == e.x1 && s.Log:
		x.least, x.most = x.least/2, x.most*2
	case e.x0 == e.x1:
		x.least, x.most = x.least-0.5, x.most+0.5
	}
	return x.wider()
}

// wider is a scale with a little air at both ends.
func (s scale) wider() scale {
	const air = 0.03
	if s.log {
		ratio := math.Pow(s.most/s.least, air)
		return scale{s.least / ratio, s.most * ratio, true}
	}
	by := air * (s.most - s.least)
	return scale{s.least - by, s.most + by, false}
}

// sound tells whether there is anything between the scale's ends.
func (s scale) sound() bool { return s.most > s.least }

// idle tells whether there is a region in the plot in which the setting does
// not matter.
func idle(s *answer.AimSweep, x scale) bool {
	return s.High > s.Low && s.High > x.least && s.Low < x.most
}

// flat shades where the setting does not matter.
func (p *plot) flat(s *answer.AimSweep) {
	if !idle(s, p.x) {
		return
	}
	a, b := p.at(s.Low, p.y.most), p.at(s.High, p.y.least)
	p.Rect(a.X, a.Y, b.X-a.X, b.Y-a.Y, chart.Style{Fill: chart.Shade, Hatch: chart.Hatch{Gap: 1.6, Turn: -45, Ink: chart.Faint}})
}

// dotted draws a line and a dot at each of its points.
func (p *plot) dotted(xs, ys []float64, style chart.Style) {
	p.trace(xs, ys, style)
	for i := range min(len(xs), len(ys)) {
		if finite(xs[i]) && finite(ys[i]) {
			q := p.at(xs[i], ys[i])
			p.Circle(q.X, q.Y, 0.7, chart.Style{Stroke: style.Stroke, Width: 0.25, Fill: chart.Paper})
			p.keepArea(q.X-0.7, q.Y-0.7, 1.4, 1.4)
		}
	}
}

// chosen marks the chosen value by a line up the plot.
func (p *plot) chosen(s *answer.AimSweep) {
	if !finite(s.Chosen) {
		return
	}
	p.marker(s.Chosen, "chosen: "+withUnit(s.Chosen, s.Unit))
	if !idle(s, p.x) {
		return
	}
	const words = "does not matter"
	hand := chart.Lettering{Size: 0.92 * p.size, Italic: true, OnPaper: true}
	e, a, b := p.paper, p.at(s.Low, 0).X, p.at(s.High, 0).X
	if hand.Width(words)+2 > b-a {
		return // it is said above the plot
	}
	var places []place
	for _, y := range []float64{e.y1 - 0.8*p.size, e.y1 - 2*p.size, e.y0 + 2*p.size, e.y0 + 0.8*p.size} {
		places = append(places, place{chart.Point{X: (a + b) / 2, Y: y}, chart.Middle}, place{chart.Point{X: a + 1, Y: y}, chart.Start}, place{chart.Point{X: b - 1, Y: y}, chart.End})
	}
	p.write(words, hand, places...)
}

// strong fills the dot of a value that is marked.
func (p *plot) strong(value float64, xs, ys []float64, ink chart.Ink) {
	for i := range min(len(xs), len(ys)) {
		if finite(ys[i]) && math.Abs(xs[i]-value) <= 1e-9*math.Abs(value) {
			q := p.at(xs[i], ys[i])
			p.Circle(q.X, q.Y, 1.1, chart.Style{Stroke: chart.Pen, Width: 0.25, Fill: ink})
		}
	}
}

// marker is a line up the plot at a value, with words beside it; an arrowhead
// tells that the value lies beyond the plot's side.
func (p *plot) marker(value float64, words string) {
	e := p.paper
	foot, top := p.at(value, p.y.least), p.at(value, p.y.most)
	line := chart.Style{Stroke: chart.Pen, Width: chart.Medium, Dash: []float64{2, 0.7, 0.4, 0.7}}
	p.Line(foot, top, line)
	p.keepOff(foot, top)
	out := 0.0
	if value < p.x.least {
		out = -1
	} else if value > p.x.most {
		out = 1
	}
	if out != 0 {
		middle := (e.y0 + e.y1) / 2
		p.Arrow([]chart.Point{{X: foot.X - 3.5*out, Y: middle}, {X: foot.X + 0.5*out, Y: middle}}, chart.Style{Stroke: chart.Pen, Width: 0.25})
		p.keepOff(chart.Point{X: foot.X - 3.5*out, Y: middle}, chart.Point{X: foot.X + 0.5*out, Y: middle})
	}
	bold := chart.Lettering{Size: 0.92 * p.size, Bold: true, OnPaper: true}
	var places []place
	for y := e.y0 + 0.7*p.size; y < e.y1-0.6*p.size; y += 0.6 * p.size {
		places = append(places, place{chart.Point{X: foot.X + 1, Y: y}, chart.Start}, place{chart.Point{X: foot.X - 1, Y: y}, chart.End})
	}
	places = append(places, place{chart.Point{X: foot.X, Y: e.y0 - 0.7*p.size}, chart.Middle}, place{chart.Point{X: e.x1, Y: e.y0 - 0.7*p.size}, chart.End})
	p.write(words, bold, places...)
}

// SleepCost draws the share of exact turning's light over how long the rig
// sleeps, with the level that is 1 % below the best, and marks the longest sleep
// that costs less.
func SleepCost(a *answer.Aim, width, height float64) *chart.Picture {
	const title = "What sleeping longer costs"
	xs, ys := sleepColumns(a)
	words := "No sleep was tried."
	switch longest := a.LongestSleep(); {
	case len(xs) > 0 && !finite(longest):
		words = "How long it may sleep for 1 % of the light cannot be told: chance moves the light by more."
	case len(xs) > 0:
		words = fmt.Sprintf("The longest sleep that costs less than 1 %% of the light is %s.", seconds(longest))
	}
	sc := newScribe(width, height, title, words)
	top := sc.caption(title, words)
	x := sweptScale(&answer.AimSweep{Values: xs, NetWh: ys, Log: true})
	if !x.sound() {
		return sc.Picture
	}
	most := 0.0
	for _, y := range ys {
		most = max(most, y)
	}
	p := &plot{scribe: sc, x: x, y: covering(2, ys, []float64{0.99 * most})}
	p.lay(top)
	p.levels(upright(p))
	p.columns(acrossTicks(p, "s"))
	p.foot()
	p.name("% of exact turning's light")
	p.nameAcross("sleep")
	p.dotted(xs, ys, chart.Style{Stroke: chart.Light, Width: chart.Thick})
	p.dearer(0.99 * most)
	if longest := a.LongestSleep(); finite(longest) {
		p.marker(longest, seconds(longest))
		p.strong(longest, xs, ys, chart.Light)
	}
	return sc.Picture
}

// sleepColumns are the sleeps that are figures and their light in percent.
func sleepColumns(a *answer.Aim) (xs, ys []float64) {
	for _, s := range a.Sleeps {
		if s.WakeEveryS > 0 && finite(s.WakeEveryS) && finite(s.Light) {
			xs, ys = append(xs, s.WakeEveryS), append(ys, 100*s.Light)
		}
	}
	return xs, ys
}

// dearer draws the level that is 1 % below the best.
func (p *plot) dearer(level float64) {
	a, b := p.at(p.x.least, level), p.at(p.x.most, level)
	p.Line(a, b, chart.Style{Stroke: chart.Pen, Width: 0.25, Dash: []float64{1.2, 0.8}})
	p.keepOff(a, b)
	var places []place
	for _, y := range []float64{a.Y + 0.4 + 0.6*p.size, a.Y - 0.3 - 0.6*p.size} {
		places = append(places, place{chart.Point{X: a.X + 1, Y: y}, chart.Start}, place{chart.Point{X: b.X - 1, Y: y}, chart.End}, place{chart.Point{X: (a.X + b.X) / 2, Y: y}, chart.Middle})
	}
	p.write("1 % below the best", chart.Lettering{Size: 0.92 * p.size, OnPaper: true}, places...)
}
