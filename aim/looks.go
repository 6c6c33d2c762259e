package aim

import (
	"math"

	"turnsole/compass"
)

// mostStops is the length of the longest tour, a sweep.
const mostStops = 16

// labelledS is the rest before a labelled reading, taken once the light has
// settled, so that each look of a trial is one reading.
const labelledS = 1

// tour is a round of headings at which the panel's current is read at rest.
type tour struct {
	heading [mostStops]compass.Angle
	label   [mostStops]Look
	readA   [mostStops]float64
	pair    int32
	stops   int
	at      int // the stop it is at; stops when it is over
	phase   phase
	lastA   float64 // reading before this one
	restedS float64
}

// phase is what the tour waits for at a stop.
type phase int

const (
	travelling phase = iota // to get there
	arriving                // the turn to end
	resting                 // the first reading
	settling                // a reading that agrees with the one before
	reading                 // the labelled reading
)

// begin starts an empty tour.
func (t *tour) begin() { t.stops, t.at, t.phase, t.pair = 0, 0, travelling, 0 }

// add appends a stop.
func (t *tour) add(heading compass.Angle, label Look) {
	t.heading[t.stops], t.label[t.stops] = heading, label
	t.stops++
}

// addRound appends a, b, a: what b is worth shows against both of its
// neighbours, so that a cloud that comes or goes is not taken for a gain.
func (t *tour) addRound(a, b compass.Angle, ofA, ofB Look) {
	t.add(a, ofA)
	t.add(b, ofB)
	t.add(a, ofA)
}

// step returns the tour's next command; false when it is over.
func (m *mind) step() (Command, bool) {
	t := &m.tour
	for t.at < t.stops {
		if c, ready := m.stop(t); ready {
			return c, true
		}
	}
	return Command{}, false
}

// stop does the next thing at a stop; false when there is nothing left to do.
func (m *mind) stop(t *tour) (Command, bool) {
	switch t.phase {
	case travelling:
		t.phase = arriving
		if to := t.heading[t.at]; m.apart(to) {
			return m.turn(to), true
		}
	case arriving:
		t.phase, t.restedS = resting, m.set.LookS
		return rest(m.set.LookS), true
	case resting, settling:
		agree := t.phase == settling && m.agree(m.amps, t.lastA)
		if !agree && t.restedS+m.set.LookS <= m.set.SettleMostS {
			t.phase, t.lastA = settling, m.amps
			t.restedS += m.set.LookS
			return rest(m.set.LookS), true
		}
		if t.label[t.at] == NoLook {
			t.done(m.amps)
			return Command{}, false
		}
		t.phase = reading
		return Command{Verb: Rest, Seconds: labelledS, Look: t.label[t.at], Pair: t.pair}, true
	case reading:
		t.done(m.amps)
	}
	return Command{}, false
}

// done keeps a stop's reading and goes on to the next stop.
func (t *tour) done(amps float64) {
	t.readA[t.at] = amps
	t.at++
	t.phase = travelling
}

func rest(seconds float64) Command { return Command{Verb: Rest, Seconds: seconds} }

// agree reports whether two readings are the same but for what settling and
// the sensor may do to them.
func (m *mind) agree(a, b float64) bool {
	return math.Abs(a-b) <= max(m.set.SettleWithin*max(a, b), m.set.SeeA)
}

// brightest returns the index of the tour's largest reading, and how far the
// smallest lies below it.
func (t *tour) brightest() (best int, overA float64) {
	least := t.readA[0]
	for i, a := range t.readA[:t.stops] {
		if a > t.readA[best] {
			best = i
		}
		least = min(least, a)
	}
	return best, t.readA[best] - least
}

// pairUp begins a pair of looks: still between two aimed, or aimed between two
// still, as chance will have it. A change of light that is steady through the
// three looks then falls on both headings alike.
func (m *mind) pairUp(number int32) {
	m.tour.begin()
	m.tour.pair = number
	if m.chance() {
		m.tour.addRound(m.site.Still, m.aimed, StillLook, AimedLook)
	} else {
		m.tour.addRound(m.aimed, m.site.Still, AimedLook, StillLook)
	}
}

// chance tosses a coin: G. Marsaglia, Xorshift RNGs, Journal of Statistical
// Software 8(14), 2003, the triple 13, 17, 5.
func (m *mind) chance() bool {
	m.dice ^= m.dice << 13
	m.dice ^= m.dice >> 17
	m.dice ^= m.dice << 5
	return m.dice>>31 == 1
}

// flank begins looks to both sides of a heading: itself, the high side,
// itself, the low side, itself. False where the cable does not reach both.
func (m *mind) flank(centre, reach compass.Angle, middle, high, low Look) bool {
	if centre-reach < m.site.Low || centre+reach > m.site.High {
		return false
	}
	m.tour.begin()
	m.tour.addRound(centre, centre+reach, middle, high)
	m.tour.add(centre-reach, low)
	m.tour.add(centre, middle)
	return true
}

// steady reports whether the light stayed the same, within a share, through a
// flank's looks.
func (m *mind) steady(within float64) bool {
	a := &m.tour.readA
	same := func(a, b float64) bool { return math.Abs(a-b) <= max(within*max(a, b), m.set.SeeA) }
	return same(a[0], a[2]) && same(a[2], a[4])
}

// sweepAgainS is the time before a sweep that did not find the sun is repeated.
const sweepAgainS = 3600

// contrast is the share of the brightest reading by which the darkest of a
// sweep lies below it where the sun shines; clouds are more even.
const contrast = 0.3

// sweep goes through the cable's range for the brightest heading, and looks
// there once more, so that a gap in the clouds is not taken for the sun. Where
// all is alike it goes back to where it stood.
func (m *mind) sweep(s *Sight) {
	switch m.chapter {
	case sweeping:
		due := m.lost || m.hunts && m.set.FallBackAfterS > 0 && m.brightS >= m.set.FallBackAfterS
		if !due || !m.lit() || m.sinceSweepS < sweepAgainS {
			m.chapter = before
			return
		}
		m.sinceSweepS, m.brightS, m.aimed = 0, 0, m.heading
		m.planSweep()
		m.chapter = swept
	case swept:
		to := m.judgeSweep()
		m.tour.begin()
		m.tour.add(to, NoLook)
		m.chapter = confirming
	case confirming:
		if m.tour.readA[0] >= m.barA {
			m.lost = false
			m.way.found(m, s, m.heading)
		}
		m.chapter = before
	}
}

// judgeSweep returns where the sun stands by a sweep, or where the panel stood
// where nothing stands out, and sets the bar for a second look.
func (m *mind) judgeSweep() compass.Angle {
	best, over := m.tour.brightest()
	bestA := m.tour.readA[best]
	to, seen := m.middle()
	if !seen && m.hunts { // what it sees is good enough to hunt on from
		to, seen = m.tour.heading[best], true
	}
	if over <= max(m.set.SeeA, contrast*bestA) || !seen {
		m.barA = math.Inf(1)
		return m.aimed
	}
	m.barA = bestA - over/2
	return m.site.fit(to, m.site.Still) // where the cable goes round twice, that is nearer
}

// A sweep's flanks are those of a sun when they lie about as far apart as a
// cosine's, or farther, as those of one whose top is cut off do.
const leastWide, mostWide = 0.65, 1.65

// leastFall is the share of its height by which a sweep must fall off to both
// sides before its flanks can be told.
const leastFall = 0.25

// middle returns the middle between the two flanks of a sweep at half of its
// height, or as far down as both are seen: that of a top that was cut off by the
// charge controller, too. False where they are not those of a sun.
func (m *mind) middle() (compass.Angle, bool) {
	t := &m.tour
	best, over := t.brightest()
	level := max(t.readA[best]-over/2, t.readA[0], t.readA[t.stops-1])
	fall := (t.readA[best] - level) / over
	if !(fall >= leastFall) {
		return 0, false
	}
	a, b := t.falls(best, -1, level), t.falls(best, 1, level)
	wide := math.Abs(float64(b-a)) / (2 * float64(compass.Radians(math.Acos(1-fall))))
	return (a + b) / 2, wide >= leastWide && wide <= mostWide
}

// falls returns where the readings, from a stop on to one side, fall to a level;
// the last of them is no higher.
func (t *tour) falls(from, way int, level float64) compass.Angle {
	i := from + way
	for t.readA[i] > level {
		i += way
	}
	a, b := t.readA[i-way], t.readA[i]
	share := compass.Angle((a - level) / (a - b))
	return t.heading[i-way] + share*(t.heading[i]-t.heading[i-way])
}

// planSweep begins at the nearer limit.
func (m *mind) planSweep() {
	from, reach := m.site.Low, m.site.High-m.site.Low
	if m.heading-m.site.Low > m.site.High-m.heading {
		from, reach = m.site.High, -reach
	}
	n := min(mostStops, 1+int(math.Ceil(math.Abs(float64(reach))/m.set.SweepDeg)))
	m.tour.begin()
	for i := range n {
		m.tour.add(from+reach*compass.Angle(i)/compass.Angle(n-1), NoLook)
	}
}

// pairBefore takes a pair where the sleep has left the panel, if one is due.
func (m *mind) pairBefore() {
	m.paired = m.set.TrialEveryS > 0 && m.phased && m.sinceTrialS >= m.set.TrialEveryS && m.lit()
	if !m.paired {
		return
	}
	m.sinceTrialS = 0
	m.pairs += 2
	m.pairUp(m.pairs - 1)
}

// pairAfter takes a pair where the aiming has left the panel, if one was taken
// before it and the panel has been turned.
func (m *mind) pairAfter() {
	moved := m.apart(m.aimed)
	m.aimed = m.heading
	if m.paired && moved {
		m.pairUp(m.pairs)
	}
}

// checkEveryS is the time between two three-point looks: the next fair morning
// may come earlier than this one.
const checkEveryS = 20 * 3600

// fair light stays within this share through a three-point look: more than a
// tracker wanders, less than a cloud takes.
const fair = 0.06

// check takes the three-point look, once a day if the light was steady, and
// again after an hour if it was not.
func (m *mind) check(s *Sight) {
	if m.chapter == checked {
		m.chapter = returning
		if m.sinceCheckS = 0; !m.steady(max(m.set.SettleWithin, fair)) {
			m.sinceCheckS = checkEveryS - 3600
		}
		return
	}
	m.chapter = returning
	due := m.set.ThreePointDeg > 0 && m.sinceCheckS >= checkEveryS && m.clear()
	if due && m.flank(m.onTheSun(s), compass.Angle(m.set.ThreePointDeg), AimedLook, HighLook, LowLook) {
		m.chapter = checked
	}
}

// onTheSun returns where the policy believes the sun to be just now.
func (m *mind) onTheSun(s *Sight) compass.Angle {
	if azimuth, _, ok := m.sunAt(s, 0); ok && !m.hunts {
		return m.site.fit(azimuth, m.heading)
	}
	return m.heading
}
