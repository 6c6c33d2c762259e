package plane

// Moment is an instant within a step: the sun where it then stands, and the
// light that then falls, where clouds come and go within the step's mean.
type Moment struct {
	East, North, Up float64 // the sun's direction, a unit vector; Up not below 0
	BeamWm2         float64 // facing the sun; 0 where something hides it
	Diffuse         float64 // share of the step's mean diffuse light, 0 or more
}

// Mean returns the instant that stands for all of step i.
func (l *Light) Mean(i int) Moment {
	t := &l.steps[i]
	return Moment{East: t.east, North: t.north, Up: t.up, BeamWm2: t.beam, Diffuse: 1}
}

// AtMoment is At for an instant of step i. The diffuse light keeps the step's
// spread over the sky.
func (l *Light) AtMoment(i int, m *Moment, h Heading, s *Slope) (planeWm2, enteredWm2 float64) {
	t := &l.steps[i]
	cos := s.cos*m.Up + s.sin*(m.East*h.East+m.North*h.North)
	cos = min(max(cos, 0), 1)
	dome, band := s.sky*t.dome, s.sin*t.band
	if s.hides != nil {
		dome, band = s.behind(h, t.dome, band)
	}
	through := l.pane.beam(cos)
	even, inside := dome+band, s.skyGlass*(dome+band)
	if even < 0 {
		inside = even // less than no even sky: take all of it off the rest
	}
	even = m.Diffuse * max(0, even+t.around*cos)
	inside = m.Diffuse * max(0, inside+t.around*through)
	// What the ground throws back follows the light that falls on it.
	ground := m.Diffuse*(t.ground-l.Albedo[i]*t.beam*t.up) + l.Albedo[i]*m.BeamWm2*m.Up
	ground = s.ground * max(0, ground)
	return m.BeamWm2*cos + even + ground, m.BeamWm2*through + inside + ground*s.groundGlass
}
