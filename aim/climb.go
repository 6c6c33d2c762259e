package aim

import (
	"math"

	"turnsole/compass"
)

// climb turns a step to one side and keeps to it where the panel gives more
// current, wake after wake: hill climbing, what builders call hunting.
type climb struct {
	state   climbState
	side    compass.Angle // where the next step goes: 1 clockwise, -1 counterclockwise
	good    compass.Angle // where the last step went that was worth it; 0 for none yet
	tries   int           // steps tried at this wake
	misses  int           // steps that were not worth it since the last that was
	climbed bool          // a step of this wake was worth it
	fell    bool          // a step of this wake was seen to be worse
	unfound bool          // the last wake did not end on a summit that it saw
}

type climbState int

const (
	setOut    climbState = iota // the wake begins
	choosing                    // a step may be tried
	comparing                   // the looks at a step are in
	settled                     // nothing more to do at this wake
)

func (c *climb) forget() { *c = climb{} }

func (c *climb) wake(m *mind) {
	c.tries, c.misses, c.climbed, c.fell = 0, 0, false, false
	c.state = setOut
	if c.good == 0 {
		c.good = m.onward
	}
	c.side = c.good
}

func (c *climb) found(m *mind, _ *Sight, _ compass.Angle) { m.unseenS, c.unfound = 0, false }

func (c *climb) aim(m *mind, _ *Sight) (Command, progress) {
	switch c.state {
	case setOut:
		return c.start(m)
	case choosing:
		return Command{}, c.try(m)
	case comparing:
		return c.judge(m)
	}
	return Command{}, finished
}

// start turns on by as much as the sun is taken to have moved since it was
// last found.
func (c *climb) start(m *mind) (Command, progress) {
	if m.dim() {
		c.unfound = true
		return Command{}, finished
	}
	c.state = choosing
	to := m.site.hold(m.heading + m.onward*compass.Angle(min(180, m.set.FallBackDegPerH*m.unseenS/3600)))
	if !c.unfound || !m.farFrom(to) {
		return Command{}, going
	}
	m.unseenS = 0
	return m.turn(to), acting
}

// try begins the looks at a step: here, there, and here again.
func (c *climb) try(m *mind) progress {
	if c.tries >= m.set.Looks {
		c.state, c.unfound = settled, true
		return finished
	}
	c.tries++
	c.state = comparing
	to := m.site.hold(m.heading + c.side*compass.Angle(m.set.StepDeg))
	m.tour.begin()
	m.tour.addRound(m.heading, to, NoLook, NoLook)
	return going
}

// judge keeps a step that is better than both looks before and after it, by
// more than those differ and by more than the sensor may err.
func (c *climb) judge(m *mind) (Command, progress) {
	here, there, again := m.tour.readA[0], m.tour.readA[1], m.tour.readA[2]
	if !m.agree(here, again) {
		c.state, c.unfound = settled, true
		return Command{}, finished
	}
	see := max(m.set.SeeA, math.Abs(here-again))
	if there-max(here, again) > see {
		c.state, c.misses, c.climbed, c.good = choosing, 0, true, c.side
		m.brightS = 0
		return m.turn(m.tour.heading[1]), acting
	}
	c.fell = c.fell || min(here, again)-there > see
	c.side = -c.side
	if c.misses++; c.misses < 2 && !c.climbed {
		c.state = choosing
		return Command{}, going
	}
	c.state = settled
	if c.unfound = !c.fell && !c.climbed; !c.unfound {
		m.unseenS = 0
	}
	return Command{}, finished
}
