package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
)

// trialDay is a day of a trial as it is drawn; gains are in percent.
type trialDay struct {
	date            string
	gain, low, high float64 // NaN where it is not known
	clear           float64 // % of a clear sky's light
	lightWhM2       float64
	running         [3]float64 // gain of all days up to this one, its low and its high
}

// trialDays are the days whose gain, or whose running gain, is a figure.
func trialDays(r *answer.TrialResult) (days []trialDay) {
	if r.Result == nil {
		return nil
	}
	for _, d := range r.Daily {
		one := trialDay{date: r.Date(d.Day).Format("2 Jan"), gain: 100 * d.Gain.Value, low: 100 * d.Gain.Low, high: 100 * d.Gain.High, clear: 100 * d.Clearness,
			lightWhM2: d.AimedWhM2, running: [3]float64{100 * d.Running.Value, 100 * d.Running.Low, 100 * d.Running.High}}
		if finite(one.gain) || finite(one.running[0]) {
			days = append(days, one)
		}
	}
	return days
}

// trialGain is the answer for these days and its range, in percent; NaN where
// there is none.
func trialGain(r *answer.TrialResult) (gain, low, high float64) {
	if r.Result == nil || !r.Sure() {
		return math.NaN(), math.NaN(), math.NaN()
	}
	return 100 * r.TheseDays.Value, 100 * r.TheseDays.Low, 100 * r.TheseDays.High
}

// percent writes a gain, to a tenth where that can be read.
func percent(v float64) string {
	if math.Abs(v) >= 999.5 {
		return rounded(v) + " %"
	}
	return signed(v) + " %"
}

// ranged writes a gain with its range.
func ranged(v, low, high float64) string {
	if !finite(low) || !finite(high) {
		return percent(v)
	}
	return fmt.Sprintf("%s (%s to %s)", percent(v), strings.TrimSuffix(percent(low), " %"), strings.TrimSuffix(percent(high), " %"))
}

// openTrial begins a picture with its title over it and, under it, what it shows;
// it returns where the plot between them may begin and must end.
func openTrial(title string, sentences []string, width, height float64) (sc *scribe, top, foot float64) {
	sc = newScribe(width, height, title, strings.Join(sentences, " "))
	top = sc.caption(title)
	return sc, top, sc.under(sentences)
}

// under writes along the picture's foot as many of the sentences as a third
// of its height holds, and returns where that begins.
func (s *scribe) under(sentences []string) float64 {
	line, wide := 1.25*s.size, s.Width-2*margin
	var lines []string
	for n := range sentences {
		more := chart.Fold(strings.Join(sentences[:n+1], " "), wide, s.size)
		if n > 0 && float64(len(more))*line > 0.34*s.Height {
			break
		}
		lines = more
	}
	lines = lines[:min(len(lines), max(1, int(0.6*s.Height/line)))]
	foot := s.Height - margin - float64(len(lines))*line
	for i, words := range lines {
		at := chart.Point{X: margin, Y: foot + (float64(i)+0.55)*line}
		hand := chart.Lettering{Size: s.size, Centred: true}
		s.Text(at.X, at.Y, words, hand)
		s.taken = append(s.taken, textBox(words, hand, at))
	}
	return foot
}

// layBetween gives a plot the paper between a top and a foot, and reports whether
// there is enough of it.
func (p *plot) layBetween(top, foot float64) bool {
	p.paper = extent{0, top + 1.5*p.size, p.Width - 2*p.size, foot - 2.5*p.size - 1}
	p.paper.x0 = margin + 1 + max(p.widest(upright(p)), 2*p.size)
	return p.paper.y1-p.paper.y0 > 2*p.size && p.paper.x1-p.paper.x0 > 4*p.size
}

// gainScale lays gains up a plot, in percent. It holds nothing gained, all values
// but those far away from most, and of their ranges as much as leaves the values
// to be told apart.
func gainScale(values, ends []float64) scale {
	shown := near(values)
	e := nothing()
	for _, v := range append(shown, 0) {
		e.take(chart.Point{X: v})
	}
	spread := max(e.x1-e.x0, 2) // points
	for _, v := range ends {
		if finite(v) {
			e.take(chart.Point{X: min(max(v, e.x0-0.6*spread), e.x1+0.6*spread)})
		}
	}
	return covering(2, []float64{e.x0, e.x1})
}

// near leaves out what is no figure, and what lies many times as far from the
// middle as most do.
func near(values []float64) (all []float64) {
	for _, v := range values {
		if finite(v) {
			all = append(all, v)
		}
	}
	if len(all) < 3 {
		return all
	}
	middle := quantile(all, 0.5)
	off := make([]float64, len(all))
	for i, v := range all {
		off[i] = math.Abs(v - middle)
	}
	const often, points = 6, 5 // times the usual distance, which is 5 points at least
	far := often * max(quantile(off, 0.5), points)
	return slices.DeleteFunc(all, func(v float64) bool { return math.Abs(v-middle) > far })
}

// levelLine draws a level across a plot, and reports whether it lies in it.
func (p *plot) levelLine(level float64, style chart.Style) bool {
	if !finite(level) || level < p.y.least || level > p.y.most {
		return false
	}
	a, b := p.at(p.x.least, level), p.at(p.x.most, level)
	p.Line(a, b, style)
	p.keepOff(a, b)
	return true
}

// levelWords writes beside a level, from its right end on.
func (p *plot) levelWords(level float64, words string, bold bool) {
	a, b := p.at(p.x.least, level), p.at(p.x.most, level)
	hand := chart.Lettering{Size: 0.92 * p.size, OnPaper: true, Bold: bold}
	if !bold {
		hand.Ink = chart.Pencil
	}
	var places []place
	for _, y := range []float64{a.Y - 0.3 - 0.6*p.size, a.Y + 0.4 + 0.6*p.size} {
		if y < p.paper.y0 || y > p.paper.y1 {
			continue
		}
		for share := 1.0; share >= 0; share -= 0.125 {
			anchor := [...]chart.Anchor{chart.Start, chart.Middle, chart.End}[int(math.Round(2*share))]
			places = append(places, place{chart.Point{X: a.X + 1 + share*(b.X-a.X-2), Y: y}, anchor})
		}
	}
	if bold { // it is said somewhere
		places = append(places, place{chart.Point{X: b.X, Y: p.paper.y0 - 0.7*p.size}, chart.End})
	}
	p.write(words, hand, places...)
}

// nothingGained is the level from which turning pays; its name is written once
// all else is drawn.
func (p *plot) nothingGained() bool {
	return p.levelLine(0, chart.Style{Stroke: chart.Pen, Width: 0.25})
}

func (p *plot) nameNothingGained() { p.levelWords(0, "nothing gained", false) }

// keyRow writes the names of lines in a row over the plot, from its right end on.
func (p *plot) keyRow(entries ...entry) {
	x, y := p.paper.x1+p.size, p.paper.y0-0.7*p.size
	for _, e := range slices.Backward(entries) {
		if e.name == "" {
			continue
		}
		x -= p.keyWidth(e.name)
		if p.keyed(chart.Point{X: x, Y: y}, e) {
			p.keepArea(x, y-0.5*p.size, sample, p.size)
		}
		x -= 1
	}
}

// whisker is a range up the plot; an arrowhead tells that it goes on beyond.
func (p *plot) whisker(x, low, high float64, style chart.Style) {
	if !finite(low) || !finite(high) {
		return
	}
	a, b := p.at(x, low), p.at(x, high)
	p.Line(a, b, style)
	if b.Y < a.Y {
		p.keepOff(a, b)
	}
	const half = 0.6
	for _, end := range [2]struct {
		at     chart.Point
		beyond bool
		by     float64
	}{{a, low < p.y.least, -1}, {b, high > p.y.most, 1}} {
		if end.beyond {
			p.Polygon([]chart.Point{end.at, {X: end.at.X - half, Y: end.at.Y + 1.4*end.by}, {X: end.at.X + half, Y: end.at.Y + 1.4*end.by}}, chart.Style{Fill: style.Stroke})
			continue
		}
		p.Line(chart.Point{X: end.at.X - half, Y: end.at.Y}, chart.Point{X: end.at.X + half, Y: end.at.Y}, style)
	}
}

// dateTicks are days along a plot, the first at 1, no more than there is room for.
func (p *plot) dateTicks(days []trialDay) (ticks []chart.Tick) {
	wide := 1.6 * p.hand().Width("30 Sep")
	room := max(1, int((p.paper.x1-p.paper.x0)/wide))
	step := max(1, (len(days)+room-1)/room)
	for i := 0; i < len(days); i += step {
		ticks = append(ticks, chart.Tick{At: float64(i + 1), Label: days[i].date})
	}
	return ticks
}

// column takes one figure of every day.
func column(days []trialDay, of func(d *trialDay) float64) []float64 {
	all := make([]float64, len(days))
	for i := range days {
		all[i] = of(&days[i])
	}
	return all
}

// ranks are the places of values in their order, from 0; equal ones share the
// mean of theirs.
func ranks(values []float64) []float64 {
	order := make([]int, len(values))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(values[a], values[b]) })
	out := make([]float64, len(values))
	for from := 0; from < len(order); {
		to := from
		for to < len(order) && values[order[to]] == values[order[from]] {
			to++
		}
		for _, i := range order[from:to] {
			out[i] = float64(from+to-1) / 2
		}
		from = to
	}
	return out
}

// goTogether is how far two columns rise together, -1 to 1 (Spearman 1904); 0
// where one of them does not change.
func goTogether(xs, ys []float64) float64 {
	a, b := ranks(xs), ranks(ys)
	middle := float64(len(a)-1) / 2
	var ab, aa, bb float64
	for i := range a {
		x, y := a[i]-middle, b[i]-middle
		ab, aa, bb = ab+x*y, aa+x*x, bb+y*y
	}
	if aa == 0 || bb == 0 {
		return 0
	}
	return ab / math.Sqrt(aa*bb)
}
