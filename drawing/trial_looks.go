package drawing

import (
	"fmt"
	"math"

	"turnsole/answer"
	"turnsole/chart"
)

// TrialLooks draws every pair of looks: the light at the still heading over the
// light at the aim. On one line both are equal; on the other the aim has as much
// more as the trial found. Dots that fall on each other become one larger dot.
func TrialLooks(r *answer.TrialResult, width, height float64) *chart.Picture {
	l := looksOf(r)
	sc, top, foot := openTrial("The looks, two by two", l.words(), width, height)
	if len(l.pairs) == 0 {
		return sc.Picture
	}
	v := &looksView{looks: l, plot: plot{scribe: sc}}
	v.x = covering(50, []float64{l.least, l.most})
	v.x.least = min(0, l.least)
	v.y = v.x
	if !v.layBetween(top, foot) {
		return sc.Picture
	}
	v.levels(upright(&v.plot))
	v.columns(acrossTicks(&v.plot, ""))
	v.plot.foot()
	v.name("still, W/m²")
	v.nameAcross("aimed, W/m²")
	v.dots()
	v.lines()
	return sc.Picture
}

// looks are a trial's pairs that are figures, aimed light as X and still as Y.
type looks struct {
	pairs       []chart.Point
	least, most float64
	gain        float64 // in light, as a share; NaN where it cannot be told
	why         string
}

func looksOf(r *answer.TrialResult) *looks {
	l := &looks{gain: math.NaN(), why: "The log has no pairs of looks."}
	if r.Result == nil {
		return l
	}
	for _, p := range r.Scatter {
		if !finite(p.AimedWm2) || !finite(p.StillWm2) {
			continue
		}
		l.pairs = append(l.pairs, chart.Point{X: p.AimedWm2, Y: p.StillWm2})
		l.least, l.most = min(l.least, p.AimedWm2, p.StillWm2), max(l.most, p.AimedWm2, p.StillWm2)
	}
	if r.Why == "" {
		l.gain = r.Light.Value
	}
	return l
}

// words say where in the looks the gain lies.
func (l *looks) words() []string {
	if len(l.pairs) == 0 {
		return []string{l.why}
	}
	more, gained, bright := 0, 0.0, 0.0
	half := 50 * math.Round(l.most/100)
	for _, q := range l.pairs {
		if q.X > q.Y {
			more++
		}
		if gained += q.X - q.Y; q.X > half {
			bright += q.X - q.Y
		}
	}
	words := []string{fmt.Sprintf("In %d of %d pairs the aim had more light than still.", more, len(l.pairs))}
	switch {
	case gained <= 0:
		words = append(words, "Over all of them it had none more.")
	case bright >= 0 && bright <= gained:
		words = append(words, fmt.Sprintf("Of what it had more, %s %% came while it had over %s W/m².", rounded(100*bright/gained), rounded(half)))
	}
	return words
}

type looksView struct {
	plot
	*looks
}

// dots are the pairs, those that fall into the same small square as one.
func (v *looksView) dots() {
	const square = 0.5 // mm
	type cell [2]int
	many := map[cell]int{}
	var order []cell
	for _, pair := range v.pairs {
		q := v.at(pair.X, pair.Y)
		c := cell{int(math.Floor(q.X / square)), int(math.Floor(q.Y / square))}
		if many[c]++; many[c] == 1 {
			order = append(order, c)
		}
	}
	for _, c := range order {
		radius := 0.26 * math.Sqrt(float64(min(many[c], 5)))
		v.Circle((float64(c[0])+0.5)*square, (float64(c[1])+0.5)*square, radius, chart.Style{Fill: chart.Pencil})
	}
}

// lines are equal light and the light that the trial found, each from nothing to
// the edge of the plot.
func (v *looksView) lines() {
	equal := entry{name: "equal light", style: chart.Style{Stroke: chart.Pen, Width: 0.25, Dash: []float64{1.2, 0.8}}}
	v.ray(1, equal.style)
	if !finite(v.gain) || !(v.gain > -1) {
		v.keyRow(equal)
		return
	}
	found := entry{name: percent(100*v.gain) + " more light", style: chart.Style{Stroke: chart.Light, Width: chart.Thick}}
	if v.gain < 0 {
		found.name = percent(-100*v.gain) + " less light"
	}
	v.ray(1/(1+v.gain), found.style)
	v.keyRow(equal, found)
}

// ray is the line on which still has a share of the aimed light.
func (v *looksView) ray(share float64, style chart.Style) {
	x := v.x.most
	if share > 1 {
		x = v.y.most / share
	}
	v.Line(v.at(0, 0), v.at(x, share*x), style)
}
