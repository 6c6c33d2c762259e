package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/compass"
)

// TuneTrade draws every setting that was tried as a dot: what it leaves of the
// energy over how far it turns the stand, which is the wear. A stepped line joins
// those that nothing beats at their wear; the present and the chosen settings are
// marked, and those that were put to the judging days where these did not confirm
// them. Settings that leave much less than most stand as small triangles on the
// foot.
func TuneTrade(t *answer.AimTune, width, height float64) *chart.Picture {
	title := "Energy against wear"
	words := tradeWords(t)
	sc := newScribe(width, height, title, words)
	v := &tradeView{plot: plot{scribe: sc}, tune: t}
	v.collect()
	top := sc.caption(title, words)
	if len(v.tried) == 0 {
		return sc.Picture
	}
	v.lay(top)
	v.levels(upright(&v.plot))
	v.columns(v.acrossTicks())
	v.foot()
	v.name("Wh a day left")
	v.nameAcross("degrees turned a day")
	v.dots()
	v.front()
	v.markAll()
	return sc.Picture
}

// tradeWords say what the search came to.
func tradeWords(t *answer.AimTune) string {
	if len(t.Points) == 0 {
		return "No setting was tried."
	}
	words := fmt.Sprintf("Settings tried: %d, on %d days.", len(t.Points), t.TrialDays)
	if !t.Confirmed {
		return words + " None is surely better than the present on fresh days."
	}
	return words + fmt.Sprintf(" On fresh days the chosen leave %s %% more (%s to %s).",
		signed(100*t.Gain.Share), signed(100*t.Gain.Low), signed(100*t.Gain.High))
}

// signed writes a figure to a tenth, with a true minus.
func signed(v float64) string {
	words := fmt.Sprintf("%.1f", math.Abs(v))
	if v < 0 && words != "0.0" {
		return "−" + words
	}
	return words
}

// tradeView is a trade in the making.
type tradeView struct {
	plot
	tune  *answer.AimTune
	tried []answer.AimTried // those that are figures at all
	marks []tradeMark
	small []quad // ground under the dots
}

// tradeMark is a setting that is marked, on the trial's days as the dots are.
type tradeMark struct {
	answer.AimTried
	name string
	draw func(v *tradeView, q chart.Point)
}

// collect takes what can be drawn. The marked settings were last put to other
// days than the dots show; their own dots are marked.
func (v *tradeView) collect() {
	for _, p := range v.tune.Points {
		if finite(p.NetWh) && finite(p.DegreesTurned) {
			v.tried = append(v.tried, p)
		}
	}
	v.mark("present", v.tune.Present, (*tradeView).diamond)
	v.mark("chosen", v.tune.Chosen, (*tradeView).target)
	if len(v.tune.Best.Settings) > 0 && !slices.Equal(v.tune.Best.Settings, v.tune.Chosen.Settings) {
		v.mark("best, not confirmed", v.tune.Best, (*tradeView).square)
	}
}

// mark adds a mark; two on one setting become one.
func (v *tradeView) mark(name string, t answer.AimTried, draw func(*tradeView, chart.Point)) {
	t = v.ownDot(t)
	if !finite(t.NetWh) || !finite(t.DegreesTurned) {
		return
	}
	for i := range v.marks {
		if m := &v.marks[i]; slices.Equal(m.Settings, t.Settings) && m.NetWh == t.NetWh && m.DegreesTurned == t.DegreesTurned {
			m.name, m.draw = m.name+" and "+name, draw
			return
		}
	}
	v.marks = append(v.marks, tradeMark{t, name, draw})
}

func (v *tradeView) ownDot(t answer.AimTried) answer.AimTried {
	for _, p := range v.tried {
		if len(t.Settings) > 0 && slices.Equal(p.Settings, t.Settings) {
			return p
		}
	}
	return t
}

// lay chooses the scales: up, from a little below where most settings lie to the
// best; across, logarithmic where some turn the stand many times as far as most.
func (v *tradeView) lay(top float64) {
	var nets, turned []float64
	for _, p := range append(slices.Clone(v.tried), v.marked()...) {
		nets, turned = append(nets, p.NetWh), append(turned, p.DegreesTurned)
	}
	most, middle := slices.Max(nets), quantile(nets, 0.5)
	low := most - 3*(most-middle)
	for _, p := range v.marked() {
		low = min(low, p.NetWh)
	}
	shown := slices.DeleteFunc(slices.Clone(nets), func(net float64) bool { return net < low })
	v.y = covering(max(0.02*math.Abs(most), 1), shown)
	v.x = covering(10, turned)
	v.x.least = max(v.x.least, min(0, slices.Min(turned)))
	if usual := quantile(turned, 0.5); usual > 30*leastLog && slices.Max(turned) > 12*usual {
		v.x = scale{least: max(slices.Min(turned)/1.3, usual/30), most: 1.3 * slices.Max(turned), log: true}
	}
	v.plot.lay(top)
}

func (v *tradeView) marked() (all []answer.AimTried) {
	for _, m := range v.marks {
		all = append(all, m.AimTried)
	}
	return all
}

// quantile is the value that such a share of the column does not exceed.
func quantile(column []float64, share float64) float64 {
	sorted := slices.Sorted(slices.Values(column))
	return sorted[int(share*float64(len(sorted)-1))]
}

func (v *tradeView) acrossTicks() []chart.Tick { return acrossTicks(&v.plot, "") }

// acrossTicks are round figures along a plot.
func acrossTicks(p *plot, unit string) []chart.Tick {
	if p.x.log {
		return logTicks(p.x, unit)
	}
	return chart.Ticks(p.x.least, p.x.most, max(2, int((p.paper.x1-p.paper.x0)/(6*p.size))))
}

// logTicks are round figures on a log scale, the powers of ten first; seconds are
// written as the clock counts them.
func logTicks(s scale, unit string) (ticks []chart.Tick) {
	if unit == "s" {
		for _, at := range []float64{1, 10, 60, 600, 3600, 36000, 2, 5, 30, 120, 300, 1800, 7200, 18000, 86400, 900, 20, 0.5} {
			if at >= s.least*0.999 && at <= s.most*1.001 {
				ticks = append(ticks, chart.Tick{At: at, Label: seconds(at)})
			}
		}
		return ticks
	}
	for _, digit := range []float64{1, 3, 2, 5} {
		for e := math.Floor(math.Log10(s.least)); e <= math.Log10(s.most); e++ {
			if at := digit * math.Pow(10, e); at >= s.least*0.999 && at <= s.most*1.001 {
				ticks = append(ticks, chart.Tick{At: at, Label: figure(at)})
			}
		}
	}
	return ticks
}

// figure writes a value to three places.
func figure(v float64) string {
	if math.Abs(v) >= 1000 {
		return rounded(v)
	}
	if v != 0 && math.Abs(v) < 0.995 {
		return fmt.Sprintf("%.2g", v)
	}
	return short(v)
}

// seconds writes a duration in the largest unit that it fills.
func seconds(s float64) string {
	switch {
	case s >= 3600:
		return short(math.Round(10*s/3600)/10) + " h"
	case s >= 600:
		return rounded(s/60) + " min"
	case s >= 60:
		return short(math.Round(10*s/60)/10) + " min"
	}
	return figure(s) + " s"
}

// dots are all settings.
func (v *tradeView) dots() {
	const radius = 0.42
	below := 0
	for _, p := range v.tried {
		q := v.at(p.DegreesTurned, p.NetWh)
		v.small = append(v.small, upsquare(q, radius))
		if p.NetWh < v.y.least {
			below++
			foot := v.paper.y1
			v.Polygon([]chart.Point{{X: q.X, Y: foot - 0.3}, {X: q.X - 0.5, Y: foot - 1.2}, {X: q.X + 0.5, Y: foot - 1.2}}, chart.Style{Stroke: chart.Pencil, Width: chart.Hair, Fill: chart.Paper})
			continue
		}
		v.Circle(q.X, q.Y, radius, chart.Style{Stroke: chart.Pencil, Width: chart.Hair, Fill: chart.Shade})
	}
	if below > 0 {
		e := v.paper
		words := fmt.Sprintf("%d lie lower", below)
		v.write(words, v.asPencil(), place{chart.Point{X: e.x1, Y: e.y1 - 1.5 - 0.6*v.size}, chart.End}, place{chart.Point{X: e.x0 + 1, Y: e.y1 - 1.5 - 0.6*v.size}, chart.Start},
			place{chart.Point{X: e.x0, Y: e.y1 + 0.8 + 1.75*v.size}, chart.Start})
	}
}

// upsquare is an upright square about a point.
func upsquare(q chart.Point, half float64) quad {
	return quad{{X: q.X - half, Y: q.Y - half}, {X: q.X + half, Y: q.Y - half}, {X: q.X + half, Y: q.Y + half}, {X: q.X - half, Y: q.Y + half}}
}

// best are the settings that leave more than all that turn the stand as far or
// less, by how far they turn it.
func best(tried []answer.AimTried) (front []answer.AimTried) {
	sorted := slices.SortedStableFunc(slices.Values(tried), func(a, b answer.AimTried) int {
		return cmp.Or(cmp.Compare(a.DegreesTurned, b.DegreesTurned), cmp.Compare(b.NetWh, a.NetWh))
	})
	for _, p := range sorted {
		if n := len(front); n == 0 || p.NetWh > front[n-1].NetWh {
			front = append(front, p)
		}
	}
	return front
}

// front draws the best for each wear as steps.
func (v *tradeView) front() {
	var steps []chart.Point
	for _, p := range best(v.tried) {
		if p.NetWh < v.y.least {
			continue
		}
		q := v.at(p.DegreesTurned, p.NetWh)
		if n := len(steps); n > 0 {
			steps = append(steps, chart.Point{X: q.X, Y: steps[n-1].Y})
		}
		steps = append(steps, q)
		v.Circle(q.X, q.Y, 0.5, chart.Style{Fill: chart.Pen})
	}
	if n := len(steps); n > 0 {
		steps = append(steps, chart.Point{X: v.paper.x1, Y: steps[n-1].Y})
		v.Polyline(steps, chart.Style{Stroke: chart.Pen, Width: 0.25})
		v.keepAlong(steps)
	}
}

// markAll draws the marks, and names them once all are drawn.
func (v *tradeView) markAll() {
	for _, m := range v.marks {
		q := v.at(m.DegreesTurned, m.NetWh)
		v.keepArea(q.X-1.3, q.Y-1.3, 2.6, 2.6)
		m.draw(v, q)
	}
	for _, m := range v.marks {
		words := fmt.Sprintf("%s: %s Wh, %s°", m.name, short(m.NetWh), rounded(m.DegreesTurned))
		v.called(v.at(m.DegreesTurned, m.NetWh), words, chart.Lettering{Bold: true, Size: 0.92 * v.size, OnPaper: true})
	}
}

// The marks differ in shape, so that they are told apart in grey.

func (v *tradeView) diamond(q chart.Point) {
	const half = 1.2 // mm
	v.Polygon([]chart.Point{{X: q.X - half, Y: q.Y}, {X: q.X, Y: q.Y - half}, {X: q.X + half, Y: q.Y}, {X: q.X, Y: q.Y + half}}, chart.Style{Stroke: chart.Pen, Width: chart.Medium, Fill: chart.Paper})
}

func (v *tradeView) target(q chart.Point) {
	v.Circle(q.X, q.Y, 1.2, chart.Style{Stroke: chart.Pen, Width: chart.Medium, Fill: chart.Paper})
	v.Circle(q.X, q.Y, 0.6, chart.Style{Fill: chart.Pen})
}

func (v *tradeView) square(q chart.Point) {
	v.Rect(q.X-1, q.Y-1, 2, 2, chart.Style{Stroke: chart.Pen, Width: chart.Medium, Fill: chart.Paper})
}

// called writes a name near a mark, with a line to it where it had to go away;
// over dots only where there is no room between them.
func (v *tradeView) called(q chart.Point, words string, hand chart.Lettering) {
	const near = 14.0 // mm
	free := v.taken
	v.taken = append(slices.Clone(free), v.small...)
	done := v.ringed(q, words, hand, near)
	v.taken = append(free, v.taken[len(free)+len(v.small):]...)
	if !done {
		v.ringed(q, words, hand, math.Hypot(v.Width, v.Height))
	}
}

// ringed writes words at the first free place on rings around a point.
func (p *plot) ringed(q chart.Point, words string, hand chart.Lettering, most float64) bool {
	e := p.paper
	for off := 2.0; off < most; off += 1.2 {
		for a := compass.Angle(0); a < 360; a += 30 {
			at := place{chart.Point{X: q.X + off*a.Cos(), Y: q.Y - off*a.Sin()}, chart.Middle}
			if a.Cos() > 0.3 {
				at.anchor = chart.Start
			} else if a.Cos() < -0.3 {
				at.anchor = chart.End
			}
			if at.Y < e.y0 || at.Y > e.y1-0.7*p.size || !p.write(words, hand, at) {
				continue
			}
			if off > 3.5 {
				p.Line(chart.Point{X: q.X + 1.4*a.Cos(), Y: q.Y - 1.4*a.Sin()}, chart.Point{X: q.X + (off-0.6)*a.Cos(), Y: q.Y - (off-0.6)*a.Sin()}, chart.Style{Stroke: chart.Pen})
			}
			return true
		}
	}
	return false
}
