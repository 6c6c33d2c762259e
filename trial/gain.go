package trial

import (
	"math"

	"turnsole/compass"
	"turnsole/hindsight"
)

// Interval is a figure with the range that holds it at the stated confidence.
// NaN is a range that cannot be told.
type Interval struct{ Value, Low, High float64 }

// Estimate is what a trial's days come to.
type Estimate struct {
	Carried bool    // by a record between the looks
	Gain    float64 // aimed over still, less 1, of the measure
	SE      float64 // of Gain: what lies between the looks, the sensor, headings, hours left out
	Freedom float64 // degrees of it
	Hours   float64 // that the looks stand for

	// Parts of SE, squared.
	Sampling, Headings, Missing float64

	Days    []DayGain
	ByHour  [24]HourLight // by the spot's own sun, 12 when it stands highest
	Scatter []Pair
	raise   float64 // by what share the looks found more still light than was foretold
}

// DayGain is what one day came to.
type DayGain struct {
	Day       int64 // solar days since 1970
	Gain      Interval
	Clearness float64 // aimed light over that of a clear sky
	AimedWhM2 float64 // light that entered
	Stops     int
	Running   Interval // of all days up to this one
}

// HourLight is the light of an hour of the day, W/m2 on average.
type HourLight struct{ AimedWm2, StillWm2, Hours float64 }

// Pair is a pair of looks brought to one instant, W/m2 that entered.
type Pair struct{ AimedWm2, StillWm2 float64 }

// leastRecord is the share of the looks' time that a record must cover to carry
// them.
const leastRecord = 0.6

// estimate chooses the better estimate that the log bears.
func (x *matter) estimate(confidence float64) *Estimate {
	if x.hasRecord() {
		return x.assist(confidence)
	}
	return x.plain(confidence)
}

func (x *matter) hasRecord() bool {
	var record, looked float64
	for _, sp := range x.spells {
		for i := range sp.stops {
			looked += sp.stops[i].byItself
			record += min(sp.stops[i].recordS, sp.stops[i].byItself)
		}
	}
	return record > leastRecord*looked
}

func total(parts []sums) (whole sums) {
	for _, p := range parts {
		whole = whole.plus(p)
	}
	return whole
}

// leaning is what the interval allows, as a share of the standard error, for a
// foretelling that leans one way: with this the check of trials whose gain is
// known comes out at its confidence.
const leaning = 1.06

func (x *matter) assist(confidence float64) *Estimate {
	parts, drops := assisted(x.spells)
	whole := total(parts)
	e := &Estimate{Carried: true, Gain: whole.ratio() - 1, raise: whole.raise()}
	e.Sampling, e.Freedom = jackknife(whole, drops)
	e.Sampling *= sq(leaning)
	e.Headings = x.turnedWrong(whole)
	x.finish(e, confidence)
	at, run := 0, sums{}
	for i, sp := range x.spells {
		if len(sp.minutes) == 0 && len(sp.stops) > 0 {
			x.Bare++
		}
		mine := drops[at : at+len(sp.stops)]
		at += len(sp.stops)
		one := parts[i]
		run = run.plus(one)
		v, f := jackknife(one, mine)
		vr, fr := jackknife(run, drops[:at])
		e.Days = append(e.Days, x.daily(sp, one, spread(one.ratio()-1, sq(leaning)*v, f, confidence),
			spread(run.ratio()-1, sq(leaning)*vr+e.Headings, fr, confidence)))
	}
	return e
}

func (x *matter) plain(confidence float64) *Estimate {
	parts, _ := plain(x.spells)
	whole := total(parts)
	e := &Estimate{Gain: whole.ratio() - 1}
	e.Sampling, e.Freedom = successive(x.spells, whole)
	e.Headings = x.turnedWrong(whole)
	x.finish(e, confidence)
	run := sums{}
	for i, sp := range x.spells {
		run = run.plus(parts[i])
		v, f := successive([]*spell{sp}, parts[i])
		vr, fr := successive(x.spells[:i+1], run)
		e.Days = append(e.Days, x.daily(sp, parts[i], spread(parts[i].ratio()-1, v, f, confidence),
			spread(run.ratio()-1, vr+e.Headings, fr, confidence)))
	}
	return e
}

func spread(value, variance, freedom, confidence float64) Interval {
	if !(variance > 0) {
		return Interval{value, math.NaN(), math.NaN()}
	}
	half := StudentQuantile(1-(1-confidence)/2, freedom) * math.Sqrt(variance)
	return Interval{value, value - half, value + half}
}

// finish adds what both estimates share.
func (x *matter) finish(e *Estimate, confidence float64) {
	e.Missing = x.leftOut()
	e.SE = math.Sqrt(e.Sampling + e.Headings + e.Missing)
	for _, sp := range x.spells {
		for i := range sp.stops {
			s := &sp.stops[i]
			e.Hours += s.byItself / 3600
			for k := range s.visits {
				e.Scatter = append(e.Scatter, Pair{s.visits[k].aimed, s.visits[k].still})
			}
		}
	}
	x.byHour(e)
}

// Interval is the gain with its range.
func (e *Estimate) Interval(confidence float64) Interval {
	return spread(e.Gain, e.Sampling+e.Headings+e.Missing, e.Freedom, confidence)
}

// daily tells a day.
func (x *matter) daily(sp *spell, s sums, gain, running Interval) DayGain {
	d := DayGain{Day: sp.day, Gain: gain, Running: running, Stops: len(sp.stops)}
	var light, clear float64
	note := func(at *hindsight.Instant, aimedDeg, aimed, seconds float64) {
		_, most := x.scene.Light(at, x.aimedFace(at, aimedDeg), at.Clear.DNI, at.Clear.DHI)
		light, clear = light+aimed*seconds, clear+most*seconds
	}
	for i := range sp.minutes {
		m := &sp.minutes[i]
		note(m.at, m.headingDeg, m.aimed, m.seconds)
	}
	if len(sp.minutes) == 0 {
		for i := range sp.stops {
			v := &sp.stops[i].visits[0]
			at := x.scene.At(v.unixS)
			note(&at, v.aimedDeg, v.aimed, sp.stops[i].byItself)
		}
	}
	d.AimedWhM2, d.Clearness = light/3600, light/clear
	return d
}

// byHour fills the hours of the day.
func (x *matter) byHour(e *Estimate) {
	put := func(at *hindsight.Instant, aimed, still, seconds float64) {
		h := &e.ByHour[min(max(int(at.SunHour), 0), 23)]
		h.AimedWm2, h.StillWm2, h.Hours = h.AimedWm2+aimed*seconds, h.StillWm2+still*seconds, h.Hours+seconds/3600
	}
	for _, sp := range x.spells {
		for i := range sp.minutes {
			m := &sp.minutes[i]
			put(m.at, m.aimed, sp.still(m.unixS, m.aimed, m.unrest, &m.shares, -1, -1)*(1+e.raise), m.seconds)
		}
		if len(sp.minutes) == 0 {
			for i := range sp.stops {
				p := sp.stops[i].plain()
				at := x.scene.At(sp.stops[i].unixS)
				put(&at, p.aimed/sp.stops[i].byItself, p.foretold/sp.stops[i].byItself, sp.stops[i].byItself)
			}
		}
	}
	for k := range e.ByHour {
		if h := &e.ByHour[k]; h.Hours > 0 {
			h.AimedWm2, h.StillWm2 = h.AimedWm2/(3600*h.Hours), h.StillWm2/(3600*h.Hours)
		}
	}
}

// turnedWrong is the variance of the gain from headings that are told wrong:
// the whole rig may stand some degrees off, and the looks at still with it. The
// panel as it was aimed is what it is.
func (x *matter) turnedWrong(whole sums) float64 {
	off := x.rig.HeadingWithin
	if off == 0 {
		return 0
	}
	high, low := x.stillTurned(off), x.stillTurned(-off)
	if !(high > 0 && low > 0) {
		return 0
	}
	// With a the first order and b the second, the variance of a z + b z².
	r := whole.ratio()
	return sq(r*(high-low)/2) + 2*sq(r*(high+low-2)/2)
}

// stillTurned is the light of a still panel turned by an angle, over that of
// the still panel as it was looked at.
func (x *matter) stillTurned(by compass.Angle) float64 {
	turned := x.still.Turned(compass.Angle(x.stillDeg) + by)
	var as, would float64
	for _, sp := range x.spells {
		for i := range sp.stops {
			s := &sp.stops[i]
			for k := range s.visits {
				v := &s.visits[k]
				at := x.scene.At(v.unixS)
				c := x.sharesTo(&at, v.aimedDeg, turned)
				w := s.byItself / float64(len(s.visits))
				as += w * sp.still(s.unixS, v.aimed, s.unrest, &s.shares[k], -1, -1)
				would += w * sp.still(s.unixS, v.aimed, s.unrest, &c, -1, -1)
			}
		}
	}
	return would / as
}

// leftOut is the variance from hours that had to be left out while the charger
// did not take all: they may have been other than those that are in. The ratio
// of half a day strays from the trial's by what the half days show.
func (x *matter) leftOut() float64 {
	out := float64(x.Limited+x.Idle) / float64(max(1, x.Limited+x.Idle+x.inPairs()))
	if out == 0 {
		return 0
	}
	var aimed, still []float64
	for _, sp := range x.spells {
		var halves [2]sums
		for i := range sp.stops {
			at := x.scene.At(sp.stops[i].unixS)
			k := 0
			if at.SunHour >= 12 {
				k = 1
			}
			halves[k] = halves[k].plus(sp.stops[i].plain())
		}
		for _, h := range halves {
			if h.foretold > 0 {
				aimed, still = append(aimed, h.aimed), append(still, h.foretold)
			}
		}
	}
	if len(aimed) < 2 {
		return math.Inf(1)
	}
	_, se := Ratio(still, aimed)
	n := float64(len(aimed))
	gone := max(1, n*out/(1-out)) // half days
	return sq(out) * sq(se) * n * (1/n + 1/gone)
}

func (x *matter) inPairs() (n int) {
	for _, sp := range x.spells {
		for i := range sp.stops {
			n += len(sp.stops[i].visits)
		}
	}
	return n
}
