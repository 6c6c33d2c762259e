package drawing

import (
	"fmt"
	"math"

	"turnsole/answer"
	"turnsole/chart"
)

// TrialDesigns sets the ways of measuring side by side, a row each, the advised
// one in bold: how far its answer would lie off the truth at most, and what it
// costs a day. A tick in the first bar is the usual error.
func TrialDesigns(p *answer.TrialPlan, width, height float64) *chart.Picture {
	v := &designsView{}
	if p.Plan != nil {
		v.days, v.confidence, v.chosen = p.Days, p.Confidence, p.Chosen
		for i := range p.Designs {
			d := &p.Designs[i]
			v.rows = append(v.rows, designRow{name: d.Name, needs: d.Needs, half: 100 * d.Halfwidth, off: 100 * d.Error, costWh: d.CostWhPerDay, daysNeeded: d.DaysNeeded})
		}
	}
	v.wanted = 100 * p.Halfwidth
	sc, top, foot := openTrial("Ways of measuring", v.words(), width, height)
	v.scribe = sc
	if len(v.rows) == 0 {
		return sc.Picture
	}
	v.lay(top, foot)
	v.heads()
	for i := range v.rows {
		v.row(i)
	}
	return sc.Picture
}

// designRow is a way of measuring; half and off are points of gain.
type designRow struct {
	name, needs       string
	half, off, costWh float64
	daysNeeded        int
}

// designsView is the table of bars in the making.
type designsView struct {
	*scribe
	rows       []designRow
	chosen     int
	days       int
	confidence float64
	wanted     float64 // half-width asked for, points; 0 for none

	top, high          float64
	names              float64 // room for them
	left               [2]float64
	long               [2]float64 // of the longest bar
	mostHalf, mostCost float64
}

// words say what the advised way brings over the others.
func (v *designsView) words() []string {
	if v.chosen < 0 || v.chosen >= len(v.rows) {
		return []string{"No way of measuring was tried."}
	}
	best := &v.rows[v.chosen]
	words := []string{fmt.Sprintf("Advised: %s. After %d days its answer is good to %s points of gain, for %s Wh a day.", best.name, v.days, points(best.half), energy(best.costWh))}
	worst := v.chosen
	for i := range v.rows {
		if v.rows[i].half > v.rows[worst].half && finite(v.rows[i].half) {
			worst = i
		}
	}
	if w := &v.rows[worst]; worst != v.chosen && best.half > 0 && w.half >= 1.5*best.half {
		words = append(words, fmt.Sprintf("%s: %s points, %s times as wide.", capital(w.name), points(w.half), short(math.Round(10*w.half/best.half)/10)))
	}
	return append(words, "The tick in a bar is the usual error.")
}

// points writes points of gain, energy watt-hours; a stroke where there is no
// figure.
func points(v float64) string {
	if !finite(v) {
		return "–"
	}
	return signed(v)
}

func energy(v float64) string {
	if !finite(v) {
		return "–"
	}
	if math.Abs(v) >= 10 {
		return rounded(v)
	}
	return signed(v)
}

// lay shares the width between names and the two columns of bars.
func (v *designsView) lay(top, foot float64) {
	v.top = top + 2.9*v.size
	v.high = min((foot-v.top)/float64(len(v.rows)), 5.2*v.size)
	v.names = 0.4 * (v.Width - 2*margin)
	var figures [2]float64
	for i := range v.rows {
		r := &v.rows[i]
		figures[0], figures[1] = max(figures[0], v.hand().Width(v.halfWords(r))), max(figures[1], v.hand().Width(energy(r.costWh)))
		if finite(r.half) {
			v.mostHalf = max(v.mostHalf, r.half)
		}
		if finite(r.costWh) {
			v.mostCost = max(v.mostCost, r.costWh)
		}
	}
	bars := v.Width - 2*margin - v.names - figures[0] - figures[1] - 6
	v.left[0] = margin + v.names
	v.long[0] = max(0.62*bars, 1)
	v.left[1] = v.left[0] + v.long[0] + figures[0] + 4
	v.long[1] = max(0.38*bars, 1)
}

// halfWords are what stands behind a row's first bar.
func (v *designsView) halfWords(r *designRow) string {
	words := "±" + points(r.half)
	switch {
	case r.daysNeeded > 0:
		words += fmt.Sprintf("; %d days", r.daysNeeded)
	case r.daysNeeded < 0:
		words += "; too long"
	}
	return words
}

// heads name the columns and their units, on two lines.
func (v *designsView) heads() {
	half := [2]string{fmt.Sprintf("half-width after %d days,", v.days), "points of gain"}
	if v.wanted > 0 {
		half[1] += "; days for ±" + short(v.wanted)
	}
	for k, lines := range [2][2]string{half, {"cost,", "Wh a day"}} {
		for i, words := range lines {
			hand := v.asPencil()
			if room := v.Width - margin - v.left[k]; k == 1 && hand.Width(words) > room {
				continue
			}
			v.write(words, hand, place{chart.Point{X: v.left[k], Y: v.top - (2.1-1.2*float64(i))*v.size}, chart.Start})
		}
	}
}

// row is one way of measuring.
func (v *designsView) row(i int) {
	r := &v.rows[i]
	y := v.top + v.high*float64(i)
	v.Line(chart.Point{X: margin, Y: y}, chart.Point{X: v.Width - margin, Y: y}, chart.Style{Stroke: chart.Faint, Width: chart.Thin})
	v.name(r, y, i == v.chosen)
	thick := min(0.4*v.high, 1.5*v.size)
	middle := y + v.high/2
	v.bar(0, r.half, v.mostHalf, middle, thick, v.halfWords(r), chart.Style{Fill: chart.Pencil})
	if finite(r.off) && v.mostHalf > 0 && r.off >= 0 && r.off < v.mostHalf {
		x := v.left[0] + v.long[0]*r.off/v.mostHalf
		v.Line(chart.Point{X: x, Y: middle - thick/2}, chart.Point{X: x, Y: middle + thick/2}, chart.Style{Stroke: chart.Paper, Width: 0.9})
		v.Line(chart.Point{X: x, Y: middle - thick/2 - 0.4}, chart.Point{X: x, Y: middle + thick/2 + 0.4}, chart.Style{Stroke: chart.Pen, Width: 0.25})
	}
	v.bar(1, r.costWh, v.mostCost, middle, thick, energy(r.costWh), chart.Style{Fill: chart.Shade, Stroke: chart.Pencil, Width: chart.Thin})
}

// name writes what a way is and, where there is room, what it would need.
func (v *designsView) name(r *designRow, y float64, bold bool) {
	hand := v.hand()
	hand.Bold = bold
	step := 1.25 * hand.Size
	room := v.names - 2
	lines := chart.Fold(r.name, room, hand.Size)
	if bold {
		lines = foldBold(r.name, room, hand.Size)
	}
	var notes []string
	if r.needs != "" {
		notes = chart.Fold("needs "+r.needs, room, hand.Size)
	}
	fit := max(int(v.high/step), 1)
	lines = lines[:min(len(lines), fit)]
	if len(lines)+len(notes) > fit {
		notes = nil
	}
	at := y + v.high/2 - step*float64(len(lines)+len(notes)-1)/2
	for i, words := range append(lines, notes...) {
		if i >= len(lines) {
			hand.Bold, hand.Ink = false, chart.Pencil
		}
		hand.Centred = true
		p := chart.Point{X: margin, Y: at + step*float64(i)}
		v.Text(p.X, p.Y, words, hand)
		v.taken = append(v.taken, textBox(words, hand, p))
	}
}

// bar is one figure of a row as a length, and in words.
func (v *designsView) bar(k int, value, most, y, thick float64, words string, style chart.Style) {
	x, end := v.left[k], v.left[k]
	if finite(value) && value > 0 && most > 0 {
		end += v.long[k] * value / most
		v.Rect(x, y-thick/2, end-x, thick, style)
	}
	v.Line(chart.Point{X: x, Y: y - thick/2 - 0.3}, chart.Point{X: x, Y: y + thick/2 + 0.3}, chart.Style{Stroke: chart.Pen})
	v.write(words, v.hand(), place{chart.Point{X: end + 0.8, Y: y}, chart.Start})
}
