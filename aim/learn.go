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

// found takes the brightest heading of a sweep for the sun's.
func (l *learn) found(m *mind, s *Sight, brightest compass.Angle) {
	if azimuth, _, ok := m.sunAt(s, 0); ok {
		l.level += compass.Turn(azimuth, brightest)
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
	if !m.steady() {
		return
	}
	m.sinceProbeS = 0
	reach := compass.Angle(m.set.LearnStepDeg)
	off, seen := m.summit(reach)
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
	if off == reach || off == -reach { // only a bound, from which no clock can be set
		u = 0
	}
	share := compass.Angle(gain / (1 + trust*u*u) * float64(off))
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

// summit returns how far clockwise of a flank's centre the brightest heading
// lies: the vertex of the parabola through the looks to both sides, each
// counted against the looks beside it. False where the looks do not differ by
// more than the sensor may err.
func (m *mind) summit(reach compass.Angle) (off compass.Angle, seen bool) {
	a := &m.tour.readA
	high, low := 2*a[1]/(a[0]+a[2]), 2*a[3]/(a[2]+a[4])
	slope, bend := high-low, 2-high-low
	if err := 4 * m.set.SeeA / a[2]; !(math.Abs(slope)+math.Abs(bend) > err) {
		return 0, false
	}
	if bend <= math.Abs(slope)/2 { // the summit is farther than the looks went
		return compass.Angle(math.Copysign(float64(reach), slope)), true
	}
	return reach / 2 * compass.Angle(slope/bend), true
}
