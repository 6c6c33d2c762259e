package trial

import "math"

// Promise is what a model says of a typical year before anything is measured:
// the gain of turning over still at the panel, and the range in which single
// years lie at the confidence that Year is then asked for.
type Promise struct{ Gain, Low, High float64 }

// Year is what a trial makes of a promise.
type Year struct {
	Interval
	Promised float64

	// Taken is how far the trial's word is taken against the model's, 0..1:
	// little where it is noisy, or where its days were so dim that turning
	// could bring nothing.
	Taken float64

	// Shares of the interval's variance: the trial's own, the model's that is
	// left, and the weather's from year to year.
	Measured, Modelled, Weather float64
}

// modelWithin is the standard deviation of what a model's gain is wrong by, a
// share of that gain: sky model, angles, ground, dirt (the checks "Gain of a tracker,
// measured" find 1 to 12 % of it; the rest is common practice, no source).
const modelWithin = 0.08

// Year corrects a year's promise by what the trial found against what the sky
// model makes of the trial's own days. One figure is corrected, by what share
// the model's gain is wrong, shrunk by its own error: the normal-normal rule of
// Bayes (Gelman et al., Bayesian Data Analysis, 2013). What a rig's heading,
// tilt, ground and glass do to the gain all grows with the gain, so one figure
// carries from bright days to dim.
func (r *Result) Year(p Promise, confidence float64) Year {
	y := Year{Interval: nothing(), Promised: p.Gain}
	if r.Why != "" || math.IsNaN(p.Gain) {
		return y
	}
	prior := sq(modelWithin)
	wrong, noise := 0.0, math.Inf(1)
	if m := r.Modelled; m > 0 && r.Method != LookingBack {
		wrong = (r.Light.Value - m) / m
		noise = (sq(r.SE) + sq(r.ModelledWithin)) / sq(m)
	}
	y.Taken = prior / (prior + noise)
	gain := p.Gain * (1 + y.Taken*wrong)
	q := StudentQuantile(1-(1-confidence)/2, math.Inf(1))
	weather := sq((p.High - p.Low) / 2 / q)
	measured := 0.0
	if y.Taken > 0 {
		measured = sq(p.Gain*y.Taken) * noise
	}
	modelled := sq(p.Gain*(1-y.Taken)) * prior
	all := measured + modelled + weather
	if !(all >= 0) {
		return y
	}
	half := q * math.Sqrt(all)
	y.Interval = Interval{gain, gain - half, gain + half}
	if all > 0 {
		y.Measured, y.Modelled, y.Weather = measured/all, modelled/all, weather/all
	}
	return y
}
