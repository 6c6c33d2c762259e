package trial

import (
	"math"
	"slices"

	"turnsole/hindsight"
)

// shares carry one face's light to another: under any sky the still panel gets
// of the aimed panel's light A
//
//	S = A fromSun + D (evenStill - evenAimed fromSun)
//
// where D is the even part of the sky's light and fromSun what the still face
// gets of the sun's for what the aimed face gets of it.
type shares struct{ fromSun, evenStill, evenAimed float64 }

// still is the light on the still face.
func (s *shares) still(aimed, even float64) float64 {
	if even*s.evenAimed >= aimed { // no more than an even sky
		return aimed * s.evenStill / s.evenAimed
	}
	return max(0, aimed*s.fromSun+even*s.pull())
}

// pull is what the still face gains from the even part of the sky.
func (s *shares) pull() float64 { return s.evenStill - s.evenAimed*s.fromSun }

// steadily is the light on the still face where the even part of the sky's light
// is a share of the aimed face's.
func (s *shares) steadily(aimed, share float64) float64 {
	return max(0, aimed*(s.fromSun+share*s.pull()/s.evenAimed))
}

// minute is a piece of the record between looks: the panel's mean light as it
// was turned.
type minute struct {
	at             *hindsight.Instant
	unixS, seconds float64
	aimed          float64 // W/m2 that entered
	headingDeg     float64
	still          bool // the panel stayed at the still heading
	shares         shares
	unrest         float64
}

// stop is what was looked at around one aiming: the visits before and after it.
type stop struct {
	visits   []visit
	shares   []shares // of each visit
	unixS    float64
	from, to float64 // the minutes that it stands for
	byItself float64 // seconds that it stands for where there is no record
	recordS  float64 // seconds of record that it stands for
	unrest   float64
	tells    tells
}

// tells are a stop's parts of two fits of what is around it: of the even part of
// the sky's light, and of its share of the aimed face's light.
type tells struct{ pulled, pull, sharePulled, sharePull float64 }

func (a *tells) add(b *tells, times float64) {
	a.pulled += times * b.pulled
	a.pull += times * b.pull
	a.sharePulled += times * b.sharePulled
	a.sharePull += times * b.sharePull
}

// even is the even part of the sky's light, and share what it is of the aimed
// face's.
func (a *tells) even() (even, share float64) {
	if a.pull > 0 {
		even = max(0, a.pulled/a.pull)
	}
	if a.sharePull > 0 {
		share = min(max(0, a.sharePulled/a.sharePull), 1)
	}
	return even, share
}

// spell is a day of a trial under one set-up.
type spell struct {
	day      int64 // solar days since 1970
	stops    []stop
	minutes  []minute // empty where nothing was kept between looks
	spacingS float64
	all      tells
}

// nearS parts the visits of one stop, before and after an aiming, from those of
// the next.
const nearS = 240

// gather makes stops of visits, of two that follow each other closely: one before
// an aiming and one after.
func gather(vs []visit) []stop {
	var stops []stop
	for _, v := range vs {
		n := len(stops)
		if n > 0 && len(stops[n-1].visits) == 1 && v.unixS-stops[n-1].visits[0].unixS < nearS {
			stops[n-1].visits = append(stops[n-1].visits, v)
			continue
		}
		stops = append(stops, stop{visits: []visit{v}})
	}
	for i := range stops {
		s := &stops[i]
		for _, v := range s.visits {
			s.unixS += v.unixS / float64(len(s.visits))
		}
	}
	return stops
}

// spacing is the usual time between stops, s.
func spacing(spells []*spell) float64 {
	var gaps []float64
	for _, sp := range spells {
		for i := 1; i < len(sp.stops); i++ {
			gaps = append(gaps, sp.stops[i].unixS-sp.stops[i-1].unixS)
		}
	}
	if len(gaps) == 0 {
		return 900
	}
	slices.Sort(gaps)
	return gaps[len(gaps)/2]
}

// wide is how many spacings stops may lie apart before there is a hole.
const wide = 1.5

// twilightS is the longest that it may be too dark for looks and yet be day, with
// the sun not higher than 10 degrees, of which lowUp is the sine.
const (
	twilightS = 2 * 3600
	lowUp     = 0.17
)

// parcel gives each stop the time around it: halfway to its neighbours, but
// none of a hole between them. At dawn and dusk, where looks are too dark, the
// first and the last stand for the record as far as that may last; without a
// record, for half the spacing as any.
func (sp *spell) parcel() {
	half := wide / 2 * sp.spacingS
	for i := range sp.stops {
		s := &sp.stops[i]
		s.from, s.to = s.unixS-twilightS, s.unixS+twilightS
		before, after := sp.spacingS/2, sp.spacingS/2
		if i > 0 {
			before = min(half, (s.unixS-sp.stops[i-1].unixS)/2)
			s.from = s.unixS - before
		}
		if i < len(sp.stops)-1 {
			after = min(half, (sp.stops[i+1].unixS-s.unixS)/2)
			s.to = s.unixS + after
		}
		s.byItself = before + after
	}
	kept := sp.minutes[:0]
	for _, m := range sp.minutes {
		if i := sp.cell(m.unixS); i >= 0 && !(math.Abs(m.unixS-sp.stops[i].unixS) > sp.spacingS && m.at.Sun.Up > lowUp) {
			sp.stops[i].recordS += m.seconds
			kept = append(kept, m)
		}
	}
	sp.minutes = kept
}

// cell is the stop to whose time an instant belongs, -1 for none.
func (sp *spell) cell(unixS float64) int {
	i, _ := slices.BinarySearchFunc(sp.stops, unixS, func(s stop, t float64) int {
		if s.to <= t {
			return -1
		}
		return 1
	})
	if i < len(sp.stops) && unixS >= sp.stops[i].from {
		return i
	}
	return -1
}

// The fit's figures, chosen by trial on made days of three climates and left
// alone within a factor of two (the check "Trials of known gain" says how it
// then fares).
const (
	reach   = 2.0  // spacings, how far away a stop still tells of the even light
	ridge   = 0.01 // what the day's mean weighs against a stop at hand
	unrestS = 300  // seconds to either side over which unrest is taken
	calm    = 0.16 // unrest that halves what a look tells
	quiet   = 0.05 // unrest from which clouds come and go
	dimWm2  = 20   // below this light unrest is no cloud's
)

// settle finds the unrest of the light at each minute and stop, and what the
// stops tell of the even light.
func (sp *spell) settle() {
	from, to := 0, 0
	for i := range sp.minutes {
		at := sp.minutes[i].unixS
		for from < len(sp.minutes) && sp.minutes[from].unixS < at-unrestS {
			from++
		}
		for to < len(sp.minutes) && sp.minutes[to].unixS <= at+unrestS {
			to++
		}
		sp.minutes[i].unrest = unrest(sp.minutes[from:to])
	}
	for i := range sp.stops {
		s := &sp.stops[i]
		j, _ := slices.BinarySearchFunc(sp.minutes, s.unixS, func(m minute, t float64) int {
			if m.unixS < t {
				return -1
			}
			return 1
		})
		if len(sp.minutes) > 0 {
			s.unrest = sp.minutes[min(j, len(sp.minutes)-1)].unrest
		}
		for k := range s.visits {
			v, c := &s.visits[k], &s.shares[k]
			more, w, p := v.still-v.aimed*c.fromSun, s.weight(), c.pull()
			q := v.aimed * p / c.evenAimed
			s.tells.add(&tells{p * more, p * p, q * more, q * q}, w)
		}
		sp.all.add(&s.tells, 1)
	}
}

// unrest is how much light changes from minute to minute, as a share of it.
func unrest(around []minute) float64 {
	var change, light, n float64
	for i := 1; i < len(around); i++ {
		a, b := &around[i-1], &around[i]
		change, light, n = change+math.Abs(b.aimed-a.aimed), light+b.aimed, n+1
	}
	if n == 0 {
		return 0
	}
	return change / (light + dimWm2*n)
}

// weight is what a stop tells against one under steady light. It rests on the
// record around the stop, not on its looks: to believe looks the more the
// better they agree would choose among them by what they saw.
func (s *stop) weight() float64 { return 1 / (1 + sq(s.unrest/calm)) }

// still foretells the still face's light at an instant from the aimed face's and
// what the stops around tell, one or two of them left out (-1 for none); the day's
// mean helps where they tell little.
//
// Where clouds come and go the even part of the sky's light stays more or less as
// it is while the sun's comes and goes; where the light is calm all of it grows
// and falls together. The record's unrest says how much it is of either.
func (sp *spell) still(unixS, aimed, unrest float64, c *shares, without, and int) float64 {
	around := sp.around(unixS, without, and)
	even, share := around.even()
	calmly := 1 / (1 + sq(unrest/quiet))
	return calmly*c.steadily(aimed, share) + (1-calmly)*c.still(aimed, even)
}

// around is what the stops around an instant tell.
func (sp *spell) around(unixS float64, without, and int) tells {
	far := reach * sp.spacingS
	var sum tells
	sum.add(&sp.all, ridge)
	first, _ := slices.BinarySearchFunc(sp.stops, unixS-far, func(s stop, t float64) int {
		if s.unixS < t {
			return -1
		}
		return 1
	})
	for i := first; i < len(sp.stops) && sp.stops[i].unixS < unixS+far; i++ {
		if i != without && i != and {
			sum.add(&sp.stops[i].tells, 1-math.Abs(sp.stops[i].unixS-unixS)/far)
		}
	}
	for _, i := range [2]int{without, and} {
		if i >= 0 {
			sum.add(&sp.stops[i].tells, -ridge)
		}
	}
	return sum
}

// foretell is what the other stops make of one: the still light that they
// foretell of its aimed light, and by how much it was seen to be more.
func (sp *spell) foretell(i, and int) (told, more float64) {
	s := &sp.stops[i]
	n := float64(len(s.visits))
	for k := range s.visits {
		v := &s.visits[k]
		f := sp.still(s.unixS, v.aimed, s.unrest, &s.shares[k], i, and)
		told, more = told+f/n, more+(v.still-f)/n
	}
	return told, more
}

func sq(x float64) float64 { return x * x }
