package trial

import "math"

// warm turns light into what the panel could give. A look at still is taken
// seconds after the panel stood aimed: its cells are as warm as those, where a
// panel that keeps still, in less light, stays cooler and gives more. So the
// looks tell the light, and each heading's cells are warmed by their own.
func (x *matter) warm(r *Result, e *Estimate) {
	r.Light = e.Interval(r.Confidence)
	scale := func(i Interval, by float64) Interval {
		return Interval{(1+i.Value)*by - 1, (1+i.Low)*by - 1, (1+i.High)*by - 1}
	}
	var aimedW, stillW, light, stillLight float64
	factors := make([]float64, len(x.spells))
	for k, sp := range x.spells {
		aw, sw, l, sl := x.power(sp, e.raise)
		aimedW, stillW, light, stillLight = aimedW+aw, stillW+sw, light+l, stillLight+sl
		if factors[k] = aw / sw / (l / sl); math.IsNaN(factors[k]) || x.rig.held() {
			factors[k] = 1
		}
	}
	by := aimedW / stillW / (light / stillLight)
	if x.rig.held() || math.IsNaN(by) { // its volts are the battery's: watts go with the light
		by = 1
	}
	r.Energy = doubt(scale(r.Light, by), by, r.Confidence)
	r.TheseDays = r.Light
	if x.measure == ByPower {
		r.TheseDays = r.Energy
		for k := range r.Daily {
			r.Daily[k].Gain = doubt(scale(r.Daily[k].Gain, factors[k]), factors[k], r.Confidence)
			r.Daily[k].Running = doubt(scale(r.Daily[k].Running, by), by, r.Confidence)
		}
	}
	if x.Limited+x.Idle > 0 {
		r.Used = x.raw.ratio() - 1
	}
}

// warmWithin is what the warming of the cells is wrong by, a share: the wind at
// the panel is not logged (common practice, no source).
const warmWithin = 0.3

// doubt widens an interval by what the cells' warmth, which changed it by a
// factor, is wrong by.
func doubt(i Interval, factor, confidence float64) Interval {
	more := StudentQuantile(1-(1-confidence)/2, math.Inf(1)) * warmWithin * (1 + i.Value) * (factor - 1)
	return Interval{i.Value, i.Value - math.Hypot(i.Value-i.Low, more), i.Value + math.Hypot(i.High-i.Value, more)}
}

// power sums a spell as what the panel could give at each heading, and as light.
func (x *matter) power(sp *spell, raise float64) (aimedW, stillW, light, stillLight float64) {
	p, warmth := x.panel, &x.rig.Season.Warmth
	airC, windMS := x.rig.air()
	var aimedC, stillC float64
	lastS := math.Inf(-1)
	add := func(unixS, aimed, still, seconds float64) {
		decay := 0.0
		if since := unixS - lastS; since < 3600 {
			decay = warmth.Decay(since)
		}
		lastS = unixS
		a, s := warmth.SteadyC(0, max(aimed, 0), windMS), warmth.SteadyC(0, max(still, 0), windMS)
		aimedC, stillC = a+(aimedC-a)*decay, s+(stillC-s)*decay
		aimedW += p.Power(max(aimed, 0), airC+aimedC) * seconds
		stillW += p.Power(max(still, 0), airC+stillC) * seconds
		light, stillLight = light+aimed*seconds, stillLight+still*seconds
	}
	for i := range sp.minutes {
		m := &sp.minutes[i]
		add(m.unixS, m.aimed, sp.still(m.unixS, m.aimed, m.unrest, &m.shares, -1, -1)*(1+raise), m.seconds)
	}
	if len(sp.minutes) == 0 {
		for i := range sp.stops {
			s := &sp.stops[i]
			q := s.plain()
			add(s.unixS, q.aimed/s.byItself, q.foretold/s.byItself, s.byItself)
		}
	}
	return aimedW, stillW, light, stillLight
}
