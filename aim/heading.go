package aim

import (
	"math"

	"turnsole/compass"
)

// rehome corrects the count of a drive that has lost steps, where the switch
// at the still heading or an end stop shows it. A difference within the
// switch's own width is left alone: the count is finer.
func (m *mind) rehome(s *Sight) {
	var off compass.Angle
	least := m.set.HomeWithinDeg
	switch {
	case s.Home:
		at, edge := m.switchAt()
		if off = compass.Turn(m.heading, at); edge && m.unhomed {
			least = 0
		}
		m.unhomed = false
		m.lost = m.lost && m.hunts // who goes by the clock needs no more
	case m.missesHome():
		m.unhomed = true
	case s.Stop < 0:
		off = m.site.Low - m.heading
	case s.Stop > 0:
		off = m.site.High - m.heading
	}
	m.stood, m.open = m.heading, !s.Home
	if math.Abs(float64(off)) > least {
		m.frame += off
		m.heading += off
		m.stood += off
		m.slipped = true
	}
}

// switchAt returns where the panel stands that has the switch closed: somewhere
// about still, or, where a short turn has just closed it, by the edge at which it
// came in, half of that turn behind it.
func (m *mind) switchAt() (at compass.Angle, edge bool) {
	way, within := m.heading-m.stood, compass.Angle(m.set.HomeWithinDeg)
	if size := compass.Angle(math.Abs(float64(way))); m.open && size > 0 && size <= within {
		return m.site.Still - compass.Angle(math.Copysign(float64(within-size/2), float64(way))), true
	}
	return m.site.Still, false
}

// seekAgainS is the least time between two searches for the switch, so that a
// broken one does not keep the panel turning.
const seekAgainS = 2 * 3600

// missesHome reports that the switch ought to be closed here and is not: wind
// has turned the panel, or steps were lost. Who hunts need not know.
func (m *mind) missesHome() bool {
	off := compass.Turn(m.heading, m.site.Still)
	return m.site.Home && !m.hunts && m.sinceSeekS >= seekAgainS && math.Abs(float64(off)) <= m.set.HomeWithinDeg/2
}

// apart reports whether a heading is far enough from here for the drive to turn.
func (m *mind) apart(to compass.Angle) bool {
	return math.Abs(float64(to-m.heading)) >= float64(m.site.StepDeg)
}

// farFrom reports whether a heading is worth turning to.
func (m *mind) farFrom(to compass.Angle) bool {
	return m.apart(to) && math.Abs(float64(to-m.heading)) >= m.set.MoveLeastDeg
}

// turn turns to a heading, as far as the cable lets it.
func (m *mind) turn(to compass.Angle) Command {
	return Command{Verb: Turn, To: m.site.hold(to) - m.frame}
}

// hold keeps a heading within the cable's limits.
func (site *Site) hold(h compass.Angle) compass.Angle { return min(max(h, site.Low), site.High) }

// fit returns the heading that looks to an azimuth within the cable's limits,
// the one nearest to another heading where there are several; where there is
// none, the limit that looks closest to it.
func (site *Site) fit(azimuth, near compass.Angle) compass.Angle {
	lowest := site.Low + (azimuth - site.Low).Azimuth()
	if lowest > site.High {
		if math.Abs(float64(compass.Turn(site.Low, azimuth))) < math.Abs(float64(compass.Turn(site.High, azimuth))) {
			return site.Low
		}
		return site.High
	}
	turns := math.Round(float64(near-lowest) / 360)
	turns = min(max(turns, 0), math.Floor(float64(site.High-lowest)/360))
	return site.hold(lowest + compass.Angle(360*turns))
}

// seek turns down to the low limit and up to the high one until the switch at
// the still heading closes.
func (m *mind) seek(s *Sight) (Command, bool) {
	width := compass.Angle(max(m.set.HomeWithinDeg, float64(m.site.StepDeg)))
	if m.chapter == homing {
		m.chapter = seekingLow
		m.sinceSeekS = 0
		m.seeks = 4 + int(2*(m.site.High-m.site.Low)/width)
	}
	if m.seeks--; !m.unhomed || m.seeks < 0 {
		m.unhomed = false
		m.chapter = sweeping
		return Command{}, false
	}
	if m.chapter == seekingLow && (s.Stop < 0 || m.heading <= m.site.Low) {
		m.chapter = seekingHigh
	}
	if m.chapter == seekingLow {
		return m.turn(m.heading - width), true
	}
	if s.Stop > 0 || m.heading >= m.site.High {
		m.seeks = 0
	}
	return m.turn(m.heading + width), true
}
