package drawing

import (
	"fmt"
	"math"

	"turnsole/answer"
	"turnsole/chart"
)

// TrialHours draws the light of the aimed and of the still panel by the hour of
// the spot's own sun, on the average of the trial, with what is between them
// filled where the aim has more and hatched where still has.
func TrialHours(r *answer.TrialResult, width, height float64) *chart.Picture {
	h := hoursOf(r)
	sc, top, foot := openTrial("Light through the day", h.words(), width, height)
	if h.to <= h.from {
		return sc.Picture
	}
	v := &hoursView{plot: plot{scribe: sc}, hours: h}
	v.x = scale{least: float64(h.from), most: float64(h.to)}
	v.y = covering(20, h.aimed[:], h.still[:], []float64{0})
	v.y.least = min(h.least(), 0)
	if !v.layBetween(top, foot) {
		return sc.Picture
	}
	v.between()
	v.levels(upright(&v.plot))
	v.columns(hourTicks(v.x, (v.paper.x1-v.paper.x0)/v.size))
	v.plot.foot()
	v.name("W/m² on average")
	v.nameAcross("hour by the spot's own sun, highest at 12")
	aimed := entry{name: "turned", style: chart.Style{Stroke: chart.Light, Width: chart.Thick}}
	still := entry{name: "still", style: chart.Style{Stroke: chart.Pen, Width: chart.Medium, Dash: []float64{1.4, 0.7}}}
	v.steps(h.aimed[:], aimed.style)
	v.steps(h.still[:], still.style)
	v.keyRow(aimed, still)
	return sc.Picture
}

// hours are a trial's light by the sun's hour; NaN where there is none.
type hours struct {
	aimed, still [24]float64
	measured     [24]float64 // hours of the trial that fell into each
	days         float64
	from, to     int // the first hour with light, and the end of the last
}

func hoursOf(r *answer.TrialResult) *hours {
	h := &hours{from: 24}
	for k := range h.aimed {
		h.aimed[k], h.still[k] = math.NaN(), math.NaN()
	}
	if r.Result == nil {
		return h
	}
	h.days = float64(r.Days)
	for k, one := range r.ByHour {
		if !(one.Hours > 0) || !finite(one.Hours) || !finite(one.AimedWm2) || !finite(one.StillWm2) {
			continue
		}
		h.aimed[k], h.still[k], h.measured[k] = one.AimedWm2, one.StillWm2, one.Hours
		h.from, h.to = min(h.from, k), k+1
	}
	return h
}

func (h *hours) least() float64 {
	least := 0.0
	for k := range h.aimed {
		if h.measured[k] > 0 {
			least = min(least, h.aimed[k], h.still[k])
		}
	}
	return least
}

// words say when in the day turning gained.
func (h *hours) words() []string {
	if h.to <= h.from {
		return []string{"The trial's light cannot be told hour by hour."}
	}
	var parts [3]float64 // Wh/m2 more: before 10, to 14, after
	best := h.from
	for k := h.from; k < h.to; k++ {
		if !(h.measured[k] > 0) {
			continue
		}
		part := 0
		if k >= 10 {
			part++
		}
		if k >= 14 {
			part++
		}
		parts[part] += (h.aimed[k] - h.still[k]) * h.measured[k]
		if !(h.aimed[k]-h.still[k] <= h.aimed[best]-h.still[best]) {
			best = k
		}
	}
	unit := "Wh/m² a day"
	for i := range parts {
		if h.days > 0 {
			parts[i] /= h.days
		} else {
			unit = "Wh/m²"
		}
	}
	words := []string{fmt.Sprintf("More light by turning, %s: %s before 10, %s from 10 to 14, %s after 14.", unit, rounded(parts[0]), rounded(parts[1]), rounded(parts[2]))}
	if most := h.aimed[best] - h.still[best]; most > 0 {
		return append(words, fmt.Sprintf("Most from %d to %d: %s W/m² more.", best, best+1, rounded(most)))
	}
	return append(words, "In no hour did the aim have more.")
}

type hoursView struct {
	plot
	*hours
}

// between fills the difference of each hour.
func (v *hoursView) between() {
	for k := v.from; k < v.to; k++ {
		if !(v.measured[k] > 0) {
			continue
		}
		a, b := v.at(float64(k), v.aimed[k]), v.at(float64(k+1), v.still[k])
		style := chart.Style{Fill: chart.Glow}
		if v.still[k] > v.aimed[k] {
			style = chart.Style{Fill: chart.Paper, Hatch: chart.Hatch{Gap: 0.8, Turn: -45}}
		}
		if high := math.Abs(b.Y - a.Y); high > 0 {
			v.Rect(a.X, min(a.Y, b.Y), b.X-a.X, high, style)
		}
	}
}

// steps draws a level for each hour, joined where hours follow each other.
func (v *hoursView) steps(wm2 []float64, style chart.Style) {
	var line []chart.Point
	for k := v.from; k < v.to; k++ {
		if !(v.measured[k] > 0) {
			v.Polyline(line, style)
			line = nil
			continue
		}
		line = append(line, v.at(float64(k), wm2[k]), v.at(float64(k+1), wm2[k]))
	}
	v.Polyline(line, style)
}

// hourTicks are every hour, or every second or third where there is less room;
// room is in letters.
func hourTicks(x scale, room float64) (ticks []chart.Tick) {
	step := 1
	for (x.most-x.least)/float64(step)*2.2 > room && step < 6 {
		step++
	}
	for k := int(x.least); k <= int(x.most); k++ {
		if k%step == 0 {
			ticks = append(ticks, chart.Tick{At: float64(k), Label: fmt.Sprint(k)})
		}
	}
	return ticks
}
