package aim

import (
	"math"

	"turnsole/compass"
)

// eyes turns toward the brighter of two light sensors until they are balanced.
type eyes struct {
	state eyesState
	step  compass.Angle // halved whenever the sun turns out to be behind
	side  compass.Angle // of the last step; 0 before the first of a wake
	tries int
}

type eyesState int

const (
	opening   eyesState = iota // the wake begins
	balancing                  // it has turned and rested
)

func (e *eyes) forget() { *e = eyes{} }

func (e *eyes) wake(m *mind) {
	e.state, e.side, e.tries = opening, 0, 0
	e.step = compass.Angle(m.set.StepDeg)
}

func (*eyes) found(*mind, *Sight, compass.Angle) {}

func (e *eyes) aim(m *mind, s *Sight) (Command, progress) {
	switch {
	case m.dim():
		return Command{}, finished
	case e.state == opening:
		e.state = balancing
		return Command{}, e.visit(m, m.heading)
	case !(math.Abs(s.Eyes) > m.set.EyesDeadband) || e.tries >= m.set.Looks:
		return Command{}, finished
	}
	side := compass.Angle(1)
	if s.Eyes > 0 { // the left one, counterclockwise
		side = -1
	}
	if side == -e.side {
		e.step /= 2
	}
	e.side = side
	to := m.site.hold(m.heading + side*e.step)
	if !m.apart(to) {
		return Command{}, finished
	}
	e.tries++
	m.brightS = 0
	return Command{}, e.visit(m, to)
}

// visit turns to a heading and rests there until the light is steady.
func (e *eyes) visit(m *mind, to compass.Angle) progress {
	m.tour.begin()
	m.tour.add(to, NoLook)
	return going
}
