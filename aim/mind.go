package aim

import (
	"fmt"
	"math"
	"strings"

	"turnsole/compass"
)

// New returns the policy of a name, "clock", "climb", "eyes" or "learn". Its
// error names the setting that cannot work and what would.
func New(policy string, s Settings, site Site) (Policy, error) {
	m := &mind{set: s, site: site, park: parkNamed(s.ParkHeading), onward: 1, dice: s.Seed}
	switch policy {
	case "clock":
		m.way = &clock{}
	case "climb":
		m.way, m.hunts, m.sweeps = &climb{}, true, true
	case "eyes":
		m.way, m.hunts, m.sweeps = &eyes{}, true, true
	case "learn":
		m.way, m.sweeps = &learn{}, true
	default:
		return nil, fmt.Errorf("there is no policy %q: take one of %s", policy, strings.Join(policies, ", "))
	}
	if err := refuse(policy, &s, &site); err != nil {
		return nil, err
	}
	if site.Spot.Latitude < 0 {
		m.onward = -1
	}
	if m.dice == 0 { // xorshift would stay there
		m.dice = 1
	}
	m.sinceTrialS, m.sinceCheckS = math.Inf(1), checkEveryS
	m.sinceProbeS, m.sinceSweepS, m.sinceSeekS = math.Inf(1), math.Inf(1), math.Inf(1)
	return m, nil
}

// way is in what one policy differs from the others.
type way interface {
	// forget begins anew.
	forget()
	// wake begins the aiming of one wake.
	wake(m *mind)
	// aim returns the next command of the aiming, or what comes instead of one.
	aim(m *mind, s *Sight) (Command, progress)
	// found takes the heading at which a sweep found the sun.
	found(m *mind, s *Sight, sun compass.Angle)
}

// progress is how far the aiming of a wake has come.
type progress int

const (
	acting   progress = iota // a command is to be carried out
	going                    // ask again, after the tour if one has begun
	finished                 // the aiming is over
)

// mind is what all policies share: where the panel is, what time it is, and the
// chapters of a wake.
type mind struct {
	set    Settings
	site   Site
	way    way
	park   park
	hunts  bool          // finds the sun by turning, not from the clock
	sweeps bool          // a new spot is swept
	onward compass.Angle // the sun's usual way round: 1 clockwise, -1 counterclockwise

	// Where the panel is.
	told    compass.Angle // as the drive says
	frame   compass.Angle // what the drive is wrong by: heading = told + frame
	heading compass.Angle
	aimed   compass.Angle // where the last aiming left it
	stood   compass.Angle // where it was at the last sight
	open    bool          // the switch was open there

	// What the clock and the north of the controller are wrong by, as learnt.
	twist compass.Angle
	lateS float64

	// What it sees.
	amps  float64 // last reading; 0 where it was none
	blind bool    // it was none

	// Timers.
	upS         float64
	dimS        float64 // since it was last bright enough to move
	darkS       float64 // since it was last brighter than night
	brightS     float64 // of daylight since a better heading was found
	unseenS     float64 // of daylight since a summit was seen
	sinceProbeS float64
	sinceSweepS float64
	sinceSeekS  float64
	sinceTrialS float64
	sinceCheckS float64

	chapter chapter
	tour    tour
	lost    bool          // sweep when there is light
	unhomed bool          // look for the switch at the still heading
	seeks   int           // turns that this may still take
	night   bool          // one has passed since the last morning
	retired bool          // parked by dusk's light, or from the wind
	from    compass.Angle // where it stood before
	parkAt  compass.Angle
	windy   bool
	vigils  int // short sleeps still to come before the next aiming
	pairs   int32
	paired  bool // a pair was taken at this wake
	phased  bool // the day's looks have had their random start
	dice    uint32
	barA    float64 // what the second look at a sweep's best must reach
	slipped bool    // the count was corrected
}

// chapter is what a wake is busy with, in this order.
type chapter int

const (
	waking      chapter = iota
	parking             // past the switch at the still heading, for the night
	homing              // is the heading to be looked for?
	seekingLow          // the switch, downward
	seekingHigh         // the switch, upward
	sweeping            // is a sweep due?
	swept               // the sweep's readings are in
	confirming          // so is the second look at its best
	before              // pair before the panel is aimed
	starting            // back from the pair, then the policy's own aiming
	aiming
	after     // pair after the panel was aimed
	checking  // three-point look
	checked   // its readings are in
	returning // to where the aiming left it
	leaving
)

// Next implements Policy.
func (m *mind) Next(s *Sight) Command {
	m.take(s)
	for {
		if c, busy := m.step(); busy {
			return c
		}
		if c, ready := m.turnPage(s); ready {
			return c
		}
	}
}

// turnPage goes on to the next command or the next chapter.
func (m *mind) turnPage(s *Sight) (Command, bool) {
	switch m.chapter {
	case waking:
		return m.wake(s)
	case parking:
		m.chapter = leaving
		if m.apart(m.parkAt) {
			return m.turn(m.parkAt), true
		}
	case homing, seekingLow, seekingHigh:
		return m.seek(s)
	case sweeping, swept, confirming:
		m.sweep(s)
	case before:
		m.aimed = m.heading
		m.chapter = starting
		m.pairBefore()
	case starting:
		m.chapter = aiming
		m.way.wake(m)
		if m.paired && m.apart(m.aimed) {
			return m.turn(m.aimed), true
		}
	case aiming:
		c, progress := m.way.aim(m, s)
		if progress == finished {
			m.chapter = after
		}
		return c, progress == acting
	case after:
		m.chapter = checking
		m.pairAfter()
	case checking, checked:
		m.check(s)
	case returning:
		m.chapter = leaving
		if m.apart(m.aimed) {
			return m.turn(m.aimed), true
		}
	case leaving:
		return m.leave(m.restS(s)), true
	}
	return Command{}, false
}

// leave ends the wake.
func (m *mind) leave(seconds float64) Command {
	m.chapter = waking
	return Command{Verb: Sleep, Seconds: seconds}
}

// take reads a sight into the mind and keeps out what cannot be.
func (m *mind) take(s *Sight) {
	if s.Fresh {
		m.forget()
	}
	m.amps, m.blind = s.CurrentA, !(math.Abs(s.CurrentA) < math.MaxFloat32)
	if m.blind || m.amps < 0 {
		m.amps = 0
	}
	const week = 7 * 86400
	if dt := s.UpS - m.upS; dt >= 0 && dt < week {
		m.age(dt)
	}
	if s.UpS >= 0 && !math.IsInf(s.UpS, 1) {
		m.upS = s.UpS
	}
	if math.Abs(float64(s.Told)) < 1e6 {
		m.told = s.Told
	}
	m.heading = m.told + m.frame
	m.rehome(s)
}

// age lets time pass.
func (m *mind) age(dt float64) {
	m.dimS += dt
	m.darkS += dt
	m.sinceTrialS += dt
	m.sinceCheckS += dt
	if m.chapter == waking && m.amps >= m.set.StayBelowA {
		m.brightS += dt
	}
	m.sinceProbeS += dt
	m.sinceSweepS += dt
	m.sinceSeekS += dt
	if m.amps >= m.set.NightBelowA {
		m.unseenS += dt
	}
}

// forget begins anew at an unknown heading.
func (m *mind) forget() {
	m.frame, m.twist, m.lateS, m.open = 0, 0, 0, false
	m.dimS, m.darkS, m.brightS, m.unseenS = 0, 0, 0, 0
	m.chapter, m.tour.stops, m.tour.at = waking, 0, 0
	m.night, m.retired, m.windy, m.vigils = false, false, false, 0
	m.lost, m.unhomed = m.sweeps, m.site.Home
	m.sinceProbeS, m.sinceSweepS, m.sinceSeekS = math.Inf(1), math.Inf(1), math.Inf(1)
	m.way.forget()
}

// dim reports that it is too dark to move. Who reads no current cannot tell,
// and only who goes by the clock may move then.
func (m *mind) dim() bool {
	if m.blind {
		return m.hunts
	}
	return m.amps < m.set.StayBelowA
}

// lit reports that there is light enough for looks that are to be compared.
func (m *mind) lit() bool { return !m.blind && !m.dim() && m.amps >= m.set.NightBelowA }

// clear reports that it is bright enough to learn from.
func (m *mind) clear() bool { return m.lit() && m.amps >= m.set.ClearAboveA }
