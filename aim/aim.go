// Package aim says where the panel should point: after the sun, by a person who
// comes by, or as a controller decides.
//
// A controller's policy is a small machine: it is shown what the controller knows
// (Sight) and says what to do next (Command). It never sees where the panel
// really points, so that the same policy serves a simulation, a controller's own
// source and a stand outdoors.
package aim

import (
	"math"

	"turnsole/compass"
)

// Follow fills headings with the sun's azimuth at each step: what a stand that
// turns about the vertical axis wants.
func Follow(sunAzimuthDeg []float64, headings []float32) {
	for i, a := range sunAzimuthDeg {
		headings[i] = float32(a)
	}
}

// Hold fills angles with one and the same angle.
func Hold(a compass.Angle, angles []float32) {
	for i := range angles {
		angles[i] = float32(a)
	}
}

// Face fills tilts with the tilt that is square to the sun at each step, for
// a stand with a second axis.
func Face(sunUp []float64, tilts []float32) {
	for i, up := range sunUp {
		tilts[i] = float32(compass.Radians(math.Acos(min(1, max(-1, up)))))
	}
}

// Visit is one turn by hand: from ClockHour on (by the clock on the wall, 0..24)
// the panel stays at Heading until the next visit.
type Visit struct {
	ClockHour float64
	Heading   compass.Angle
}

// Hands is a day's visits in order of the clock. The heading of the evening's
// last visit lasts through the night until the first visit of the morning.
type Hands []Visit

// HeadingAt returns the heading at an hour of the clock.
func (h Hands) HeadingAt(clockHour float64) compass.Angle {
	heading := h[len(h)-1].Heading
	for _, v := range h {
		if clockHour < v.ClockHour {
			break
		}
		heading = v.Heading
	}
	return heading
}
