package trial

import (
	"math"
	"slices"

	"turnsole/hindsight"
)

// steadyC is how warm the cells are under some light.
func (x *matter) steadyC(wm2 float64) float64 {
	airC, windMS := x.rig.air()
	return x.rig.Season.Warmth.SteadyC(airC, max(wm2, 0), windMS)
}

// aimedLight is the light that a value at the aim stands for, and the warmth of
// the cells under it.
func (x *matter) aimedLight(p *hindsight.Panel, value float64) (wm2, cellC float64) {
	cellC = 25
	if x.measure != ByPower {
		wm2 = value * x.scale
		return wm2, x.steadyC(wm2)
	}
	for range 4 { // each brings it ten times closer
		wm2 = x.light(p, value, cellC)
		cellC = x.steadyC(wm2)
	}
	return wm2, cellC
}

// warmRecord finds how warm the cells were at each entry of the record: they
// follow the light by some minutes.
func (x *matter) warmRecord() {
	if x.measure != ByPower {
		return
	}
	airC, _ := x.rig.air()
	above, lastS := 0.0, math.Inf(-1)
	x.cellC = make([]float64, len(x.setup.minutes))
	for i := range x.setup.minutes {
		k := &x.setup.minutes[i]
		v := x.value(&k.figures, k.unixS)
		if math.IsNaN(v) {
			v = 0
		}
		decay := 0.0
		if since := k.unixS - lastS; since < 3600 {
			decay = x.rig.Season.Warmth.Decay(since)
		}
		// By the warmth before, of which the light's own share is small.
		steady := x.steadyC(x.panel.LightOfPower(max(v, 0), airC+above)) - airC
		above, lastS = steady+(above-steady)*decay, k.unixS
		x.cellC[i] = airC + above
	}
}

// aimedAt is aimedLight with the cells as warm as the record around an instant
// has made them.
func (x *matter) aimedAt(p *hindsight.Panel, value, unixS float64) (wm2, cellC float64) {
	i, _ := slices.BinarySearchFunc(x.setup.minutes, unixS, func(k kept, t float64) int { return sign(k.unixS - t) })
	if i = max(0, i-1); x.measure != ByPower || i >= len(x.cellC) || math.Abs(x.setup.minutes[i].unixS-unixS) > mostBracketS {
		return x.aimedLight(p, value)
	}
	return x.light(p, value, x.cellC[i]), x.cellC[i]
}

// looksOf are the set-up's looks by the measure; where it has none, what a log
// in blocks shows as the panel turns from aim to still and back.
func (x *matter) looksOf() []look {
	if len(x.setup.looks) == 0 {
		return x.turns()
	}
	numbered := slices.ContainsFunc(x.setup.looks, func(s seen) bool { return s.pair != 0 })
	var looks []look
	for i := range x.setup.looks {
		s := &x.setup.looks[i]
		if numbered && s.pair == 0 { // one of three points
			continue
		}
		v := x.value(&s.figures, s.unixS)
		if math.IsNaN(v) {
			x.Lone++
			continue
		}
		looks = append(looks, look{s.unixS, s.kind, s.pair, v, s.headingDeg, x.limited(&s.figures), x.riseOf(&s.figures)})
	}
	return looks
}

// pairUp makes stops of the looks and spells of the stops, day by day.
func (x *matter) pairUp(looks []look) {
	vs, lone := visits(looks)
	x.Lone += lone
	p := x.panel
	byDay := map[int64][]visit{}
	for _, v := range vs {
		if x.counts(&v, p) {
			day := x.solarDay(v.unixS)
			byDay[day] = append(byDay[day], v)
		}
	}
	for day, vs := range byDay {
		x.spells = append(x.spells, &spell{day: day, stops: gather(vs)})
	}
	slices.SortFunc(x.spells, func(a, b *spell) int { return sign(float64(a.day - b.day)) })
	for _, sp := range x.spells {
		for i := range sp.stops {
			s := &sp.stops[i]
			for _, v := range s.visits {
				s.shares = append(s.shares, x.sharesAt(v.unixS, v.aimedDeg))
			}
		}
	}
}

// counts turns a visit into light and reports whether it has a part in the
// estimate.
func (x *matter) counts(v *visit, p *hindsight.Panel) bool {
	at := x.scene.At(v.unixS)
	if !(at.Sun.Up > 0) {
		x.Night++
		return false
	}
	aimed, cellC := x.aimedAt(p, v.aimed, v.unixS)
	still := x.light(p, v.still, cellC) // seconds after it was aimed: as warm
	x.raw = x.raw.plus(sums{aimed: aimed, foretold: still, told: still})
	v.aimed, v.still = aimed, still
	switch {
	case x.idle(&at, v.aimedDeg, max(aimed, still)):
		x.Idle++
		return false
	case x.measure != ByLight && (v.limited || x.flat(v, &at)):
		x.Limited++
		return false
	}
	return true
}

// idleShare is less of the clear sky's light than any cloud lets through by
// day (a thick one lets a twentieth through; common practice, no source).
const idleShare = 0.008

// idle reports that the charger took nothing: it was day, and less came than
// any cloud lets through.
func (x *matter) idle(at *hindsight.Instant, aimedDeg, wm2 float64) bool {
	if x.measure == ByLight {
		return false
	}
	_, clear := x.scene.Light(at, x.aimedFace(at, aimedDeg), at.Clear.DNI, at.Clear.DHI)
	return clear > 200 && wm2 < idleShare*clear
}

// flat reports that both headings gave the same, steadily so, where the sun stands
// far from one of them, and that either the volts had risen or it was much:
// something took no more.
func (x *matter) flat(v *visit, at *hindsight.Instant) bool {
	switch {
	case v.rough > 0.03:
		return false
	case x.knowsVolts && v.rise < throttledFull, !x.knowsVolts && v.aimed < 500:
		return false
	}
	s := x.sharesTo(at, v.aimedDeg, x.still)
	return s.fromSun < 0.87 && math.Abs(v.still/v.aimed-1) < 0.03
}

// logsVolts reports whether the log has volts that tell when the charger does
// not take all.
func (x *matter) logsVolts() bool {
	for i := range x.setup.looks {
		f := &x.setup.looks[i].figures
		if !math.IsNaN(f.panelV) && !x.rig.held() || !math.IsNaN(f.batteryV) {
			return true
		}
	}
	return false
}

// limited reports whether the charger held back: a tracker by letting the
// panel's volts rise, any by the battery's being at its absorption voltage, or
// at the watts that it takes at most.
func (x *matter) limited(f *figures) bool {
	s := &x.rig.Season
	c, b := &s.Battery.Charger, &s.Battery.Battery
	if c.InputLimitW > 0 && f.panelW > 0.985*c.InputLimitW {
		return true
	}
	full := f.batteryV > 0.995*b.AbsorptionV*float64(max(1, b.Blocks))
	if !x.rig.held() && !math.IsNaN(f.panelV) {
		if !(f.panelA > 0) {
			return false
		}
		share := x.riseOf(f)
		return share > throttled || full && share > throttledFull
	}
	return full
}

// riseOf is how far from the voltage of greatest power to that of no current a
// tracked panel's volts have risen, were its cells as cold as they may be.
func (x *matter) riseOf(f *figures) float64 {
	if x.rig.held() || !(f.panelA > 0) {
		return 0
	}
	best, open := x.volts.at(1000 * f.panelA / x.fullA)
	return (f.panelV - best) / (open - best)
}

// volts are the panel's voltages of greatest power and of no current by the
// light, every voltsStep W/m2, in air as cold as it may be.
type volts struct{ best, open [65]float64 }

const voltsStep = 25

// layVolts fills them.
func (x *matter) layVolts() {
	airC, windMS := x.rig.air()
	for k := range x.volts.best {
		wm2 := max(1, float64(k)*voltsStep)
		cellC := x.rig.Season.Warmth.SteadyC(airC-coldSpell, wm2, windMS)
		x.volts.best[k], _ = x.rig.Season.Diode.MaximumPower(wm2, cellC)
		x.volts.open[k] = x.rig.Season.Diode.OpenCircuitV(wm2, cellC)
	}
}

func (v *volts) at(wm2 float64) (best, open float64) {
	k, share := math.Modf(min(max(wm2/voltsStep, 0), float64(len(v.best)-2)))
	i := int(k)
	return v.best[i] + share*(v.best[i+1]-v.best[i]), v.open[i] + share*(v.open[i+1]-v.open[i])
}

// A tracker's wandering does not go throttled of the way from the voltage of
// greatest power to that of no current; where the battery is at its absorption
// voltage less is enough to show that it holds back. The air may be colder than
// usual by coldSpell, kelvin. (Common practice, no source.)
const (
	throttled     = 0.7
	throttledFull = 0.3
	coldSpell     = 5
)

// addRecord turns what was kept between looks into minutes of aimed light.
func (x *matter) addRecord() {
	p := x.panel
	byDay := map[int64]*spell{}
	for _, sp := range x.spells {
		byDay[sp.day] = sp
	}
	usual := x.usualGap()
	for i := range x.setup.minutes {
		k := &x.setup.minutes[i]
		day, at := x.solarDay(k.unixS), &x.at[i]
		v, sp := x.value(&k.figures, k.unixS), byDay[day]
		if sp == nil && len(x.setup.looks) == 0 {
			sp = &spell{day: day}
			byDay[day] = sp
			x.spells = append(x.spells, sp)
		}
		if sp == nil || !(at.Sun.Up > 0) || math.IsNaN(v) || x.inBlocks && x.atStill(i) {
			continue
		}
		if x.measure != ByLight && x.limited(&k.figures) {
			x.RecordLimited++
			continue
		}
		if x.away(sp, k) {
			x.RecordAway++
			continue
		}
		m := minute{at: at, still: len(x.setup.looks) == 0 && x.atStill(i), unixS: k.unixS, seconds: min(x.around(i), 1.5*usual), headingDeg: k.headingDeg}
		m.aimed, _ = x.aimedAt(p, v, k.unixS+1e-3)
		if x.idle(at, k.headingDeg, m.aimed) {
			x.RecordLimited++
			continue
		}
		m.shares = x.sharesTo(at, k.headingDeg, x.still)
		sp.minutes = append(sp.minutes, m)
	}
	slices.SortFunc(x.spells, func(a, b *spell) int { return sign(float64(a.day - b.day)) })
}

// away reports that an entry of the record was taken while the panel was at a
// bracket of looks, or on its way there or back: so long as the bracket lasted,
// half of that before and half of it after.
func (x *matter) away(sp *spell, k *kept) bool {
	i, _ := slices.BinarySearchFunc(sp.stops, k.unixS, func(s stop, t float64) int { return sign(s.unixS - t) })
	for _, j := range [2]int{i - 1, i} {
		if j < 0 || j >= len(sp.stops) {
			continue
		}
		for _, v := range sp.stops[j].visits {
			if way := (v.toS - v.fromS) / 2; k.unixS >= v.fromS-way && k.unixS <= v.toS+way {
				return true
			}
		}
	}
	return false
}

// around is half of the time to the entries before and after.
func (x *matter) around(i int) float64 {
	m, n := x.setup.minutes, 0.0
	sum := 0.0
	if i > 0 {
		sum, n = sum+m[i].unixS-m[i-1].unixS, n+1
	}
	if i+1 < len(m) {
		sum, n = sum+m[i+1].unixS-m[i].unixS, n+1
	}
	return sum / max(n, 1)
}

// usualGap is the usual time between entries of the record, s.
func (x *matter) usualGap() float64 {
	var gaps []float64
	for i := 1; i < len(x.setup.minutes); i++ {
		gaps = append(gaps, x.setup.minutes[i].unixS-x.setup.minutes[i-1].unixS)
	}
	if len(gaps) == 0 {
		return 60
	}
	slices.Sort(gaps)
	return gaps[len(gaps)/2]
}
