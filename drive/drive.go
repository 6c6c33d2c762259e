// Package drive is what turns the panel and what that costs: the motor's
// energy for a move, the draw of the whole board that aims it, the gears
// between motor and panel, the torque that gets through them either way, and
// the turn that the cable must take.
//
// Torques are at the panel, about its vertical axis, unless a name says motor.
package drive

import (
	"fmt"
	"math"

	"turnsole/compass"
)

// Motor turns the panel about the vertical axis. Its figures are taken at the
// battery, driver losses included.
type Motor struct {
	PowerW      float64 // while turning, > 0
	DegreesPerS float64 // speed of the panel, > 0
}

// DefaultMotor is a small geared stepper with its driver: 10 W for 20 s turns
// the panel by 60 degrees (common practice, no source).
func DefaultMotor() Motor { return Motor{PowerW: 10, DegreesPerS: 3} }

// MoveWh returns the energy of turning the panel by an angle, either way.
func (m Motor) MoveWh(turn compass.Angle) float64 {
	return m.PowerW * math.Abs(float64(turn)) / m.DegreesPerS / 3600
}

// Validate returns an error where a figure is outside its range.
func (m Motor) Validate() error {
	if !(m.PowerW > 0 && m.DegreesPerS > 0) || math.IsInf(m.PowerW+m.DegreesPerS, 0) {
		return fmt.Errorf("the motor's power and speed must be more than 0")
	}
	return nil
}
