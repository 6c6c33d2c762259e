package aim

import "turnsole/compass"

// clock turns to where the sun must be by the clock. It trusts its heading.
type clock struct{ turned bool }

func (c *clock) forget() { *c = clock{} }

func (c *clock) wake(*mind) { c.turned = false }

func (*clock) found(*mind, *Sight, compass.Angle) {}

// aim turns to where the sun will stand in the middle of the sleep, or after
// another share of it, if that is far enough from here.
func (c *clock) aim(m *mind, s *Sight) (Command, progress) {
	azimuth, _, ok := m.sunAt(s, m.set.LeadShare*m.set.WakeEveryS)
	if !ok || m.dim() || c.turned {
		return Command{}, finished
	}
	to := m.site.fit(azimuth, m.heading)
	if !m.farFrom(to) {
		return Command{}, finished
	}
	c.turned = true
	return m.turn(to), acting
}
