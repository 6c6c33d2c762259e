package aim

import (
	"math"

	"turnsole/compass"
	"turnsole/sun"
)

// park is where the panel waits for the morning.
type park int

const (
	parkUnknown park = iota
	parkMorning      // where the sun will rise, or as near as the cable lets it
	parkStill        // at the still heading
	parkStay         // where the evening left it
)

func parkNamed(name string) park {
	switch name {
	case "morning":
		return parkMorning
	case "still":
		return parkStill
	case "stay":
		return parkStay
	}
	return parkUnknown
}

// hour is the time of day, as far as the panel's turning goes.
type hour int

const (
	daytime hour = iota
	dusk         // time to park
	dark         // no turning
)

const (
	// duskS is how long before sunset the clock parks the panel.
	duskS = 600
	// longDarkS without light is a night, not a storm.
	longDarkS = 2 * 3600
	// calm is the share of the wind limit below which the wind is over.
	calm = 0.8
	// vigil is in how many parts a sleep is cut while the light is less than
	// lowLight times what is needed to move.
	vigil    = 3
	lowLight = 3
	// leastSleepS keeps it from waking over and over at the edge of the day.
	leastSleepS = 60
	// oversleep is by how much a long sleep by the controller's own oscillator
	// may be too long.
	oversleep = 1.15
)

// wake looks at the hour and the wind, and parks, stays or goes on to aim.
func (m *mind) wake(s *Sight) (Command, bool) {
	hour := m.hour(s)
	if hour != daytime {
		m.vigils = 0
	}
	if hour == dark {
		return m.leave(m.nightS(s)), true
	}
	m.chapter = leaving
	if m.blowing(s) {
		return m.retire(m.site.Still)
	}
	if hour == dusk {
		m.parkAt = m.parkHeading(s)
		if m.passesHome(m.parkAt) {
			c, turn := m.retire(m.site.Still)
			m.chapter = parking
			return c, turn
		}
		return m.retire(m.parkAt)
	}
	if m.vigils > 0 {
		m.vigils--
		return m.leave(m.set.WakeEveryS / vigil), true
	}
	m.chapter = homing
	if !m.unhomed {
		m.chapter = sweeping
	}
	return m.resume(s)
}

// hour tells the time of day by the clock or, without one, by the light.
func (m *mind) hour(s *Sight) hour {
	if _, up, ok := m.sunAt(s, 0); ok {
		return m.hourByClock(s, up)
	}
	return m.hourByLight()
}

func (m *mind) hourByClock(s *Sight, up compass.Angle) hour {
	if up < 0 {
		m.night = true
		return dark
	}
	if _, soon, ok := m.sunAt(s, duskS); ok && soon < 0 {
		return dusk
	}
	return daytime
}

// hourByLight takes a long dark spell for the night, and light that is too dim
// to move by for the dusk, at once where the panel faces west, after a wait
// where it does not. While some light is left the panel may still park; if it
// did not come to that, it turns to the morning at first light.
func (m *mind) hourByLight() hour {
	if m.darkS >= longDarkS {
		m.night = true
	}
	if m.blind || m.amps < m.set.NightBelowA {
		return dark
	}
	m.darkS = 0
	if !m.dim() {
		m.dimS = 0
	}
	evening := m.facesWest() || m.dimS >= m.set.NightAfterS
	if m.dim() && evening && !m.night && !m.retired {
		return dusk
	}
	return daytime
}

// facesWest tells the afternoon from the morning by where the panel has come to.
func (m *mind) facesWest() bool { return m.heading.Azimuth() > compass.South }

// blowing reports that the wind is too strong to be turned broadside.
func (m *mind) blowing(s *Sight) bool {
	limit := m.set.WindParkMS
	if m.windy {
		limit *= calm
	}
	m.windy = s.HasWind && m.set.WindParkMS > 0 && s.WindMS >= limit
	return m.windy
}

// retire parks the panel and keeps in mind where it stood.
func (m *mind) retire(to compass.Angle) (Command, bool) {
	if !m.retired {
		m.retired, m.from = true, m.heading
	}
	if m.apart(to) {
		return m.turn(to), true
	}
	return Command{}, false
}

// passesHome reports that the way to a heading leads past the switch at the
// still one, where a halt sets the count right.
func (m *mind) passesHome(to compass.Angle) bool {
	still := m.site.Still
	return m.site.Home && min(m.heading, to) < still && still < max(m.heading, to)
}

// resume takes a panel that hunts to where it will find the sun: after a night
// toward the morning, after a storm to where it stood.
func (m *mind) resume(s *Sight) (Command, bool) {
	to := m.heading
	switch {
	case m.night:
		m.night, m.retired = false, false
		m.dimS, m.brightS, m.unseenS = 0, 0, 0
		to = m.dawn(s)
	case m.retired && !m.dim():
		m.retired = false
		to = m.from
	}
	if m.hunts && !m.lost && m.farFrom(to) {
		return m.turn(to), true
	}
	return Command{}, false
}

// parkHeading returns where to wait for the morning.
func (m *mind) parkHeading(s *Sight) compass.Angle {
	switch m.park {
	case parkMorning:
		return m.morning(s)
	case parkStill:
		return m.site.Still
	}
	return m.heading
}

// dawn returns where the sun is by the clock; without one, where it must have
// risen.
func (m *mind) dawn(s *Sight) compass.Angle {
	if azimuth, _, ok := m.sunAt(s, 0); ok {
		return m.site.fit(azimuth, m.site.Still)
	}
	return m.morning(s)
}

// morning returns the heading of the next sunrise by the clock; east without
// one. Of several it takes the one nearest to still, so that the cable is
// unwound each night.
func (m *mind) morning(s *Sight) compass.Angle {
	azimuth := compass.East
	if wait, ok := m.untilSunrise(s); ok {
		if a, _, ok := m.sunAt(s, wait); ok {
			azimuth = a
		}
	}
	return m.site.fit(azimuth, m.site.Still)
}

// restS returns how long to sleep by day, or after parking.
func (m *mind) restS(s *Sight) float64 {
	_, up, ok := m.sunAt(s, 0)
	if !ok {
		return m.atRandomOnce(m.vigilS())
	}
	if _, soon, ok := m.sunAt(s, duskS); up < 0 || ok && soon < 0 {
		m.phased = false
		return m.nightS(s)
	}
	return m.atRandomOnce(min(m.set.WakeEveryS, max(leastSleepS, (m.untilSunset(s)-duskS/2)/oversleep)))
}

// atRandomOnce cuts the first sleep of a day short by chance while a trial runs,
// and lets its looks begin at a chance wake of their own round, so that they fall
// at other minutes every day.
func (m *mind) atRandomOnce(seconds float64) float64 {
	if m.amps < m.set.NightBelowA {
		m.phased = false
	}
	if m.set.TrialEveryS == 0 || m.phased || !m.lit() {
		return seconds
	}
	m.phased = true
	m.sinceTrialS = m.set.TrialEveryS * m.fraction()
	return leastSleepS + m.fraction()*max(0, seconds-leastSleepS)
}

// fraction is a chance number from 0 to 1.
func (m *mind) fraction() float64 {
	m.chance()
	return float64(m.dice) / (1 << 32)
}

// vigilS is the sleep by day without a clock. When the light of an afternoon is
// low, it is cut into short ones, from which the controller wakes only to see
// whether it is dusk: there is light enough to park by for some ten minutes.
func (m *mind) vigilS() float64 {
	if m.facesWest() && !m.dim() && m.amps < lowLight*m.set.StayBelowA {
		m.vigils = vigil - 1
		return m.set.WakeEveryS / vigil
	}
	return m.set.WakeEveryS
}

// nightS returns how long to sleep in the dark.
func (m *mind) nightS(s *Sight) float64 {
	wait, ok := m.untilSunrise(s)
	if !ok {
		return m.set.NightWakeS
	}
	if wait > m.set.WakeEveryS {
		wait /= oversleep
	}
	return max(leastSleepS, wait)
}

// sunAt returns the azimuth, by the controller's own north, and the elevation
// of the sun some seconds from now; false where the clock does not tell.
func (m *mind) sunAt(s *Sight, inS float64) (azimuth, elevation compass.Angle, ok bool) {
	if !s.HasClock || m.site.Path == nil {
		return 0, 0, false
	}
	var a, e, spare [1]float64
	m.sunFrom(s.UnixS+inS, 1, a[:], e[:], spare[:])
	return compass.Angle(a[0]) + m.twist, compass.Angle(e[0]), e[0] == e[0]
}

// sunFrom fills azimuths and elevations in equal steps. What was learnt about
// the clock may be wrong, too: the elevation is the lower of those by the clock
// as it is and as it was corrected.
func (m *mind) sunFrom(unixS, stepS float64, azimuth, elevation, spare []float64) {
	path := m.site.Path
	if m.lateS == 0 {
		path.Positions(sun.JulianDayUnix(unixS), stepS, azimuth, elevation)
		return
	}
	path.Positions(sun.JulianDayUnix(unixS), stepS, azimuth, spare)
	path.Positions(sun.JulianDayUnix(unixS+m.lateS), stepS, azimuth, elevation)
	for i, e := range spare {
		elevation[i] = min(elevation[i], e)
	}
}

// A day of the sun in steps of sampleDayS.
const (
	sampleDayS = 600
	daySamples = 86400 / sampleDayS
)

// horizon walks through the next 24 hours until the sun, from sample i on,
// is no longer up or no longer down, and returns the sample and the time.
func horizon(elevation *[daySamples]float64, i int, up bool) (next int, seconds float64) {
	for i < daySamples && (elevation[i] >= 0) == up {
		i++
	}
	if i == 0 || i == daySamples {
		return i, float64(i) * sampleDayS
	}
	last, now := elevation[i-1], elevation[i]
	share := last / (last - now)
	if !(share >= 0 && share <= 1) { // the clock leaves the years of the path
		share = 0
	}
	return i, (float64(i-1) + share) * sampleDayS
}

// untilSunrise returns the seconds until the next sunrise: 24 hours' worth
// where the sun stays down, 0 where it stays up. False without a clock.
func (m *mind) untilSunrise(s *Sight) (seconds float64, ok bool) {
	var e [daySamples]float64
	if !m.dayAhead(s, &e) {
		return 0, false
	}
	i, _ := horizon(&e, 0, true)
	if i == daySamples {
		return 0, true
	}
	_, seconds = horizon(&e, i, false)
	return seconds, true
}

// untilSunset returns the seconds until the sun, which is up, sets.
func (m *mind) untilSunset(s *Sight) float64 {
	if _, later, ok := m.sunAt(s, oversleep*m.set.WakeEveryS+duskS); ok && later >= 0 && m.set.WakeEveryS < longDarkS {
		return math.Inf(1) // not in this sleep
	}
	var e [daySamples]float64
	m.dayAhead(s, &e)
	_, seconds := horizon(&e, 0, true)
	return seconds
}

// dayAhead fills the sun's elevations of the next 24 hours.
func (m *mind) dayAhead(s *Sight, e *[daySamples]float64) bool {
	if _, _, ok := m.sunAt(s, 0); !ok {
		return false
	}
	var a, spare [daySamples]float64
	m.sunFrom(s.UnixS, sampleDayS, a[:], e[:], spare[:])
	return true
}
