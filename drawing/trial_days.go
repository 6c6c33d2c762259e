package drawing

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"turnsole/answer"
	"turnsole/chart"
)

// TrialDays draws each day's gain, with its range, over how clear that day's sky
// was; where that is not known, over the days as they came. A larger dot is a day
// with more light, which counts for more in the gain of all days. Gains beyond
// the plot are triangles at its edge.
func TrialDays(r *answer.TrialResult, width, height float64) *chart.Picture {
	days := slices.DeleteFunc(trialDays(r), func(d trialDay) bool { return !finite(d.gain) })
	v := &daysView{days: days, skies: slices.ContainsFunc(days, func(d trialDay) bool { return finite(d.clear) })}
	title := "Each day's gain and its sky"
	if !v.skies {
		title = "Each day's gain"
	} else {
		v.days = slices.DeleteFunc(v.days, func(d trialDay) bool { return !finite(d.clear) })
	}
	sc, top, foot := openTrial(title, v.words(), width, height)
	v.scribe = sc
	if len(v.days) == 0 {
		return sc.Picture
	}
	all, _, _ := trialGain(r)
	v.scales(all)
	if !v.layBetween(top, foot) {
		return sc.Picture
	}
	v.draw(all)
	return sc.Picture
}

// daysView are a trial's days in the making.
type daysView struct {
	plot
	days  []trialDay
	skies bool // the days' clearness is known
}

// words say what the days show.
func (v *daysView) words() []string {
	if len(v.days) == 0 {
		return []string{"No single day's gain can be told."}
	}
	told := func(d trialDay) string {
		words := d.date
		if finite(d.clear) {
			words += fmt.Sprintf(" (%s %% of a clear sky)", rounded(d.clear))
		}
		return words + ", " + ranged(d.gain, d.low, d.high)
	}
	if len(v.days) == 1 {
		return []string{"One day only: " + told(v.days[0]) + "."}
	}
	by := func(of func(d trialDay) float64) func(a, b trialDay) int {
		return func(a, b trialDay) int { return cmp.Compare(of(a), of(b)) }
	}
	if !v.skies {
		gain := by(func(d trialDay) float64 { return d.gain })
		return []string{fmt.Sprintf("Least: %s. Most: %s.", told(slices.MinFunc(v.days, gain)), told(slices.MaxFunc(v.days, gain)))}
	}
	clear := by(func(d trialDay) float64 { return d.clear })
	return []string{v.rule(), fmt.Sprintf("Clearest: %s. Dullest: %s.", told(slices.MaxFunc(v.days, clear)), told(slices.MinFunc(v.days, clear))),
		"Larger dots had more light."}
}

// rule says how gain goes with the sky. A rank correlation of 0.6 is beyond
// chance, one time in twenty, from some ten days on (Student's t).
func (v *daysView) rule() string {
	const least, firm = 5, 0.6
	if len(v.days) < least {
		return fmt.Sprintf("%d days are too few to tell how the gain goes with the sky.", len(v.days))
	}
	switch c := goTogether(v.column(func(d *trialDay) float64 { return d.clear }), v.column(func(d *trialDay) float64 { return d.gain })); {
	case c >= firm:
		return "The clearer the day, the more turning gained."
	case c <= -firm:
		return "The clearer the day, the less turning gained, which is unusual."
	}
	return "How clear the day was tells little of what turning gained."
}

func (v *daysView) column(of func(d *trialDay) float64) []float64 { return column(v.days, of) }

// place is where a day stands across the plot.
func (v *daysView) across(i int) float64 {
	if v.skies {
		return v.days[i].clear
	}
	return float64(i + 1)
}

func (v *daysView) scales(all float64) {
	v.y = gainScale(append(v.column(func(d *trialDay) float64 { return d.gain }), all),
		append(v.column(func(d *trialDay) float64 { return d.low }), v.column(func(d *trialDay) float64 { return d.high })...))
	if !v.skies {
		v.x = scale{least: 0.5, most: float64(len(v.days)) + 0.5}
		return
	}
	v.x = covering(20, near(v.column(func(d *trialDay) float64 { return d.clear })), []float64{0, 100})
	v.x.least = 0
}

func (v *daysView) draw(all float64) {
	v.levels(upright(&v.plot))
	if v.skies {
		v.columns(acrossTicks(&v.plot, ""))
		v.nameAcross("light of the day, % of a clear sky")
	} else {
		v.columns(v.dateTicks(v.days))
		v.nameAcross("day")
	}
	v.foot()
	v.name("gain, % over still")
	nothing := v.nothingGained()
	together := v.levelLine(all, chart.Style{Stroke: chart.Pen, Width: chart.Medium, Dash: []float64{2, 0.8}})
	v.dots()
	if together {
		v.levelWords(all, "all days "+percent(all), true)
	}
	if nothing {
		v.nameNothingGained()
	}
}

// dots are the days, the ranges under them.
func (v *daysView) dots() {
	most := 0.0
	for i := range v.days {
		if d := &v.days[i]; finite(d.lightWhM2) {
			most = max(most, d.lightWhM2)
		}
		v.whisker(v.across(i), v.days[i].low, v.days[i].high, chart.Style{Stroke: chart.Pencil, Width: chart.Thin})
	}
	for i := range v.days {
		d := &v.days[i]
		q := v.at(v.across(i), d.gain)
		radius := 0.9
		if most > 0 && finite(d.lightWhM2) {
			radius = 0.5 + 0.7*math.Sqrt(max(d.lightWhM2, 0)/most)
		}
		v.keepArea(q.X-radius, q.Y-radius, 2*radius, 2*radius)
		if d.gain > v.y.most || d.gain < v.y.least {
			v.beyond(q, d.gain > v.y.most, d.date+": "+percent(d.gain))
			continue
		}
		v.Circle(q.X, q.Y, radius, chart.Style{Stroke: chart.Pen, Width: 0.25, Fill: chart.Shade})
	}
}

// beyond marks a value outside the plot by a triangle at its edge, with words.
func (p *plot) beyond(q chart.Point, up bool, words string) {
	by := 1.6
	if !up {
		by = -1.6
	}
	p.Polygon([]chart.Point{q, {X: q.X - 1, Y: q.Y + by}, {X: q.X + 1, Y: q.Y + by}}, chart.Style{Stroke: chart.Pen, Width: 0.25, Fill: chart.Paper})
	p.keepArea(q.X-1, min(q.Y, q.Y+by), 2, 1.6)
	y := q.Y + by/1.6*(0.4+0.5*p.size)
	p.write(words, p.hand(), place{chart.Point{X: q.X + 1.6, Y: y}, chart.Start}, place{chart.Point{X: q.X - 1.6, Y: y}, chart.End})
}
