package trial

import (
	"context"
	"math"
)

// leastMatched is how many minutes two panels must have looked the same way,
// well lit, before one may be held against the other.
const leastMatched = 60

// beside answers from a second panel, or a second of two cells, that keeps
// still: what it gives for the first when both look the same way is read off
// the minutes in which the first stands at the still heading.
func (r *Result) beside(ctx context.Context, x *matter, q *Question) error {
	r.Method = Beside
	type both struct{ aimed, still float64 }
	var most float64
	for i := range x.setup.minutes {
		most = max(most, x.setup.minutes[i].stillA)
	}
	var matchedA, matchedS []float64
	days := map[int64]both{}
	hours := map[int64]float64{}
	usual := x.usualGap()
	for i := range x.setup.minutes {
		k := &x.setup.minutes[i]
		at := x.scene.At(k.unixS)
		a, s := x.value(&k.figures, k.unixS), k.stillA
		if !(at.Sun.Up > 0) || math.IsNaN(a+s) || x.measure != ByLight && x.limited(&k.figures) {
			continue
		}
		if off := math.Abs(k.headingDeg - x.stillDeg); off < 4 && s > 0.2*most {
			matchedA, matchedS = append(matchedA, a), append(matchedS, s)
		}
		seconds := min(x.around(i), 1.5*usual)
		d := days[x.solarDay(k.unixS)]
		days[x.solarDay(k.unixS)] = both{d.aimed + a*seconds, d.still + s*seconds}
		hours[x.solarDay(k.unixS)] += seconds / 3600
		if h := &r.ByHour[min(max(int(at.SunHour), 0), 23)]; true {
			h.AimedWm2, h.StillWm2, h.Hours = h.AimedWm2+a*x.scale*seconds, h.StillWm2+s*seconds, h.Hours+seconds/3600
		}
	}
	if len(matchedA) < leastMatched {
		r.Why = "the two panels were never, or too briefly, seen side by side looking the same way: let the turning one stand at the still heading for an hour or two of sun, so that one can be held against the other"
		return nil
	}
	match, _ := Ratio(matchedS, matchedA)
	residuals := make([]float64, len(matchedA))
	for i := range residuals {
		residuals[i] = (matchedA[i] - match*matchedS[i]) / (match * average(matchedS))
	}
	matchSE := NeweyWest(residuals, max(NeweyWestLags(len(residuals)), 15))
	var all both
	for day := x.solarDay(x.setup.FromS); day <= x.solarDay(x.setup.ToS); day++ {
		d, ok := days[day]
		if !ok || !(d.still > 0) {
			continue
		}
		all = both{all.aimed + d.aimed, all.still + d.still}
		r.Hours += hours[day]
		ratio, run := d.aimed/(match*d.still), all.aimed/(match*all.still)
		variance := sq(matchSE) + sq(aligned)
		r.Daily = append(r.Daily, DayGain{Day: day, AimedWhM2: d.aimed * x.scale / 3600, Clearness: math.NaN(),
			Gain: spread(ratio-1, sq(ratio)*variance, math.Inf(1), q.Confidence), Running: spread(run-1, sq(run)*variance, math.Inf(1), q.Confidence)})
	}
	for k := range r.ByHour {
		if h := &r.ByHour[k]; h.Hours > 0 {
			h.AimedWm2, h.StillWm2 = h.AimedWm2/(3600*h.Hours), h.StillWm2*match*x.scale/(3600*h.Hours)
		}
	}
	ratio := all.aimed / (match * all.still)
	variance := sq(ratio) * (sq(matchSE) + sq(aligned))
	r.TheseDays, r.Days, r.SE, r.Freedom = spread(ratio-1, variance, math.Inf(1), q.Confidence), len(r.Daily), math.Sqrt(variance), math.Inf(1)
	r.Light, r.Modelled, r.Parts.Sampling = r.TheseDays, math.NaN(), 1
	return r.season(ctx, q)
}

// aligned is what two panels that are set up to look the same way may differ by
// (common practice, no source).
const aligned = 0.005
