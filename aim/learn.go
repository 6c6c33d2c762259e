package aim

import (
	"math"

	"turnsole/compass"
)

// learn goes by the clock and learns, from looks to both sides of its aim, what
// its north and its clock are wrong by.
//
// With r the rate at which the sun's azimuth changes and R = 15 degrees an hour
// the mean of it, a north that is wrong by h and a clock that is wrong by t
// shift the aim by
//
//	h + r t = (h + R t) + (r/R - 1) R t = level + u late
//
// so that level and late, both in degrees, can be told apart as far as u
// changes through the day, and where it does not, late stays near 0 and level
// has it all. Both are corrected at each probe by normalized least mean squares
// (B. Widrow and M. E. Hoff, Adaptive switching circuits, 1960).
type learn struct {
	clock
	state learnState
	level compass.Angle
	late  compass.Angle // what the clock is wrong by, as 15 degrees for an hour
	n     int           // probes so far
}

type learnState int

const (
	asking    learnState = iota // is a probe due?
	probing                     // its looks are in
	following                   // the clock
)

func (l *learn) forget() { *l = learn{} }

func (l *learn) wake(m *mind) {
	l.clock.wake(m)
	l.state = asking
}

func (l *learn) aim(m *mind, s *Sight) (Command, progress) {
	switch l.state {
	case asking:
		l.state = following
		if l.probe(m, s) {
			l.state = probing
		}
		return Command{}, going
	case probing:
		l.state = following
		l.weigh(m, s)
		return Command{}, going
	}
	return l.clock.aim(m, s)
}

// found takes the heading that a sweep found for the sun's, if it is farther from
// where the sun is believed than a sweep may err: by half a step.
func (l *learn) found(m *mind, s *Sight, sun compass.Angle) {
	azimuth, _, ok := m.sunAt(s, 0)
	off := compass.Turn(azimuth, sun)
	if ok && math.Abs(float64(off)) > m.set.SweepDeg/2 {
		l.level += off
		l.n = 0
		l.apply(m)
	}
}

// probe begins the looks if they are due and the cable reaches to both sides.
func (l *learn) probe(m *mind, s *Sight) bool {
	if _, _, ok := m.sunAt(s, 0); !ok || !m.clear() || m.sinceProbeS < m.set.LearnEveryS {
		return false
	}
	return m.flank(m.onTheSun(s), compass.Angle(m.set.LearnStepDeg), NoLook, NoLook, NoLook)
}

// weigh learns from a probe if the light was steady; if not, it will try again
// sooner.
func (l *learn) weigh(m *mind, s *Sight) {
	m.sinceProbeS = m.set.LearnEveryS / 2
	if !m.steady(m.set.SettleWithin) {
		return
	}
	m.sinceProbeS = 0
	off, seen := m.summit(compass.Angle(m.set.LearnStepDeg))
	if !seen {
		return
	}
	if m.slipped { // what was learnt belongs to another count
		m.slipped, l.n = false, 0
	}
	// The first probes are averaged, later ones make the older fade.
	gain := max(m.set.LearnRate, 1/float64(l.n+1))
	l.n = min(l.n+1, 1000)
	u := m.quickness(s)
	share := compass.Angle(gain / (1 + trust*u*u) * float64(off))
	share = min(max(share, -mostAtOnce), mostAtOnce)
	l.level += share
	l.late = min(max(l.late+share*compass.Angle(trust*u), -mostLate), mostLate)
	l.apply(m)
}

const (
	// trust is how much sooner a probe is laid to the clock than to the north:
	// less, as clocks are more often right.
	trust = 0.5
	// mostLate is an hour.
	mostLate compass.Angle = 15
	// mostAtOnce is how far one probe may move what was learnt, degrees.
	mostAtOnce compass.Angle = 8
)

// apply sets north and clock by what was learnt.
func (l *learn) apply(m *mind) {
	l.level = compass.Turn(0, l.level)
	m.twist = l.level - l.late
	m.lateS = float64(m.onward*l.late) * meanSecondsPerDegree
}

const meanSecondsPerDegree = 240

// quickness returns by how much faster than on average the sun's azimuth
// changes now: u of the formula above, 0 at 15 degrees an hour.
func (m *mind) quickness(s *Sight) float64 {
	const halfS = 300
	before, _, _ := m.sunAt(s, -halfS)
	later, _, ok := m.sunAt(s, halfS)
	if !ok || math.IsNaN(float64(before)) {
		return 0
	}
	rate := float64(m.onward*compass.Turn(before, later)) / (2 * halfS)
	return min(max(rate*meanSecondsPerDegree-1, -3), 3)
}

// A panel that is free to give has a current of d + b cos e at e degrees from
// the sun, and a share q = b cos e / (d + b cos e) of it hangs on the heading:
// little under a high sun, nearly all under a low one. Looks at a reach r to both
// sides then fall short of the centre by 2 q (1 - cos r) together, and differ by
// 2 q sin r tan e. Where the charge controller does not take all, the looks come
// out alike, or brighter beside the sun than in it, as the panel's voltage rises
// there; and what falls off by more than any cosine is a cloud or a shade.
const (
	leastShare = 0.2  // of q, below which the looks are not a free panel's
	mostShare  = 1.5  // and above
	usualShare = 0.4  // q is not taken for less: from it a noise would seem far off
	farBright  = 1.35 // a side so much brighter is: no voltage rises so far above that of full power
)

// summit returns about how far clockwise of a flank's centre the sun stands, by
// the looks to both sides, each counted against the looks beside it. False where
// they do not differ by more than the sensor may err, or are not such as a free
// panel gives.
func (m *mind) summit(reach compass.Angle) (off compass.Angle, seen bool) {
	a := &m.tour.readA
	high, low := 2*a[1]/(a[0]+a[2]), 2*a[3]/(a[2]+a[4])
	slope, bend := high-low, 2-high-low
	if err := 4 * m.set.SeeA / a[2]; !(math.Abs(slope)+math.Abs(bend) > err) {
		return 0, false
	}
	share := bend / (2 * (1 - reach.Cos()))
	if !(share >= leastShare && share <= mostShare || max(high, low) > farBright) {
		return 0, false
	}
	return compass.Radians(math.Atan(slope / (2 * max(share, usualShare) * reach.Sin()))), true
}
