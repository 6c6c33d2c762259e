package loop

import (
	"math"

	"turnsole/compass"
	"turnsole/plane"
	"turnsole/weather"
)

// Eye sees a ground's light at any second: clouds that come and go within a
// step's mean, and the sun as it goes behind the skyline. The same seed and
// rate show the same clouds to every Eye. One goroutine at a time may use it.
type Eye struct {
	g      *Ground
	clouds *weather.Seconds
	begun  int64 // slot of the year that the clouds stand at; -1 none
	step   int32
	moment plane.Moment
	// Of the instant looked at:
	sunDeg, dhiWm2 float64
}

// Eye returns an eye for a ground. Rate is how fast clouds pass against the
// fitted, as Input.Rate; 0 means 1.
func (g *Ground) Eye(seed uint64, rate float64) *Eye {
	if rate == 0 {
		rate = 1
	}
	return &Eye{g: g, clouds: weather.NewSeconds(seed, rate, g.slotS), begun: -1}
}

// Open goes to a second of a day by the calendar's clock, 0 to 86400, and
// reports whether there is light.
func (e *Eye) Open(day int, second float64) bool {
	slot := min(max(int(second/e.g.slotS), 0), e.g.slots-1)
	k := day*e.g.slots + slot
	i := e.g.at[k]
	if i == dark {
		return false
	}
	e.look(k, i, second-float64(slot)*e.g.slotS)
	return true
}

// Light is what falls on a face at the instant, and what of it enters through
// the glass, W/m2.
func (e *Eye) Light(h plane.Heading, s *plane.Slope) (planeWm2, enteredWm2 float64) {
	return e.g.light.AtMoment(int(e.step), &e.moment, h, s)
}

// Sun is the sun's heading at the instant.
func (e *Eye) Sun() plane.Heading { return plane.NewHeading(compass.Angle(e.sunDeg)) }

// Air is the air about the panel at the instant: degrees C and m/s.
func (e *Eye) Air() (airC, windMS float64) {
	return e.g.light.AirC[e.step], e.g.light.WindMS[e.step]
}

// Slope is a face's tilt made ready for Light.
func (g *Ground) Slope(tilt compass.Angle) *plane.Slope { return g.light.Slope(tilt) }

// look goes to a second of slot k of the year, whose step of light is i.
func (e *Eye) look(k int, i int32, second float64) {
	g, l := e.g, e.g.light
	if e.begun != int64(k) {
		e.clouds.Begin(int64(k), l.DNI[i], float64(g.clear[i]), l.DHI[i])
		e.begun = int64(k)
	}
	dni, dhi := e.clouds.At(second)
	m := plane.Moment{BeamWm2: dni, Diffuse: 1}
	m.East, m.North, m.Up = g.sunAt(k, i, second/g.slotS-0.5)
	if l.DHI[i] > 0 {
		m.Diffuse = dhi / l.DHI[i]
	}
	e.sunDeg, e.dhiWm2 = azimuthDeg(m.East, m.North), dhi
	m.BeamWm2 *= g.clearOf(e.sunDeg, m.Up)
	e.step, e.moment = i, m
}

// sunWideDeg is the sun's breadth: so long it takes a sharp edge to pass it.
const sunWideDeg = 0.533

// clearOf is the share of the panel that the skyline leaves in the sun, which
// goes behind it bit by bit.
func (g *Ground) clearOf(sunDeg, up float64) float64 {
	if g.free {
		return 1
	}
	above := float64(compass.Radians(math.Asin(min(up, 1)))) - float64(g.skyline.At(compass.Angle(sunDeg)))
	return min(max(above/sunWideDeg+0.5, 0), 1)
}
