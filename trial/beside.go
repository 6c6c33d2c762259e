package trial

import (
	"context"
	"math"
	"slices"
)

// leastMatched is how many minutes two panels must have looked the same way,
// well lit, before one may be held against the other.
const leastMatched = 60

// side is a day of two panels beside each other.
type side struct {
	day                 int64
	aimed, still, hours float64 // light by their own measures, times seconds
	// In the minutes in which both looked the same way, well lit.
	matchedAimed, matchedStill []float64
	matchedSum                 [2]float64    // of both
	byHour                     [24]HourLight // sums
}

// sides brings a log of two panels together day by day.
func (x *matter) sides() []side {
	most := 0.0
	for i := range x.setup.minutes {
		most = max(most, x.setup.minutes[i].stillA)
	}
	var days []side
	usual, zero := x.usualGap(), x.stillZero()
	for i := range x.setup.minutes {
		k, at := &x.setup.minutes[i], &x.at[i]
		a, s := x.value(&k.figures, k.unixS), k.stillA-zero
		if !(at.Sun.Up > 0) || math.IsNaN(a+s) || x.measure != ByLight && x.limited(&k.figures) {
			continue
		}
		day := x.solarDay(k.unixS)
		if n := len(days); n == 0 || days[n-1].day != day {
			days = append(days, side{day: day})
		}
		d := &days[len(days)-1]
		if x.offStill(k) < sameWayDeg && s > 0.2*most {
			d.matchedAimed, d.matchedStill = append(d.matchedAimed, a), append(d.matchedStill, s)
			d.matchedSum = [2]float64{d.matchedSum[0] + a, d.matchedSum[1] + s}
		}
		seconds := min(x.around(i), 1.5*usual)
		d.aimed, d.still, d.hours = d.aimed+a*seconds, d.still+s*seconds, d.hours+seconds/3600
		h := &d.byHour[min(max(int(at.SunHour), 0), 23)]
		h.AimedWm2, h.StillWm2, h.Hours = h.AimedWm2+a*seconds, h.StillWm2+s*seconds, h.Hours+seconds/3600
	}
	return days
}

// stillZero is what the still one's sensor shows by night; 0 where no night is on
// record.
func (x *matter) stillZero() float64 {
	var night []float64
	for i := range x.setup.minutes {
		if a := x.setup.minutes[i].stillA; x.at[i].Sun.Up < nightUp && !math.IsNaN(a) {
			night = append(night, a)
		}
	}
	if len(night) < leastNight {
		return 0
	}
	slices.Sort(night)
	return night[len(night)/2]
}

// sameWayDeg is how far apart two panels may look and still be held against
// each other: the cosine of it is 0.998.
const sameWayDeg = 4

// match is what the still panel's figure must be multiplied by to be the turned
// one's, and its standard error as a share of it; false where they were seen
// side by side too briefly.
func match(days []side) (factor, se float64, ok bool) {
	var aimed, still []float64
	for i := range days {
		aimed, still = append(aimed, days[i].matchedAimed...), append(still, days[i].matchedStill...)
	}
	if len(aimed) < leastMatched {
		return math.NaN(), math.NaN(), false
	}
	factor, _ = Ratio(still, aimed)
	residuals, mean := make([]float64, len(aimed)), factor*average(still)
	for i := range residuals {
		residuals[i] = (aimed[i] - factor*still[i]) / mean
	}
	return factor, NeweyWest(residuals, max(NeweyWestLags(len(residuals)), 15)), true
}

// beside answers from a second panel, or a second of two cells, that keeps
// still: what it gives for the first when both look the same way is read off
// the minutes in which the first stands at the still heading.
func (r *Result) beside(ctx context.Context, x *matter, q *Question) error {
	r.Method = Beside
	if x.measure == ByPower { // the still one is known by its current
		x.measure = ByCurrent
		r.Measure = ByCurrent
		x.findScale()
	}
	days := x.sides()
	factor, matchSE, ok := match(days)
	if !ok {
		r.Why = "the two panels were never, or too briefly, seen side by side looking the same way: let the turning one stand at the still heading for an hour or two of sun, so that one can be held against the other"
		return nil
	}
	share := sq(matchSE) + sq(aligned)
	var aimed, still float64
	for i := range days {
		d := &days[i]
		aimed, still = aimed+d.aimed, still+factor*d.still
		one, run := d.aimed/(factor*d.still), aimed/still
		r.Hours += d.hours
		r.Daily = append(r.Daily, DayGain{Day: d.day, AimedWhM2: d.aimed * x.scale / 3600, Clearness: math.NaN(),
			Gain:    spread(one-1, sq(one)*share, math.Inf(1), q.Confidence),
			Running: spread(run-1, sq(run)*share, math.Inf(1), q.Confidence)})
		for k, h := range d.byHour {
			o := &r.ByHour[k]
			o.AimedWm2, o.StillWm2, o.Hours = o.AimedWm2+h.AimedWm2*x.scale, o.StillWm2+h.StillWm2*factor*x.scale, o.Hours+h.Hours
		}
	}
	for k := range r.ByHour {
		if h := &r.ByHour[k]; h.Hours > 0 {
			h.AimedWm2, h.StillWm2 = h.AimedWm2/(3600*h.Hours), h.StillWm2/(3600*h.Hours)
		}
	}
	ratio := aimed / still
	variance := sq(ratio) * share
	r.TheseDays, r.Days, r.SE, r.Freedom = spread(ratio-1, variance, math.Inf(1), q.Confidence), len(r.Daily), math.Sqrt(variance), math.Inf(1)
	r.Light, r.Modelled, r.Parts.Sampling = r.TheseDays, math.NaN(), 1
	return r.season(ctx, q)
}

// aligned is what two panels that are set up to look the same way may differ by
// (common practice, no source).
const aligned = 0.005
