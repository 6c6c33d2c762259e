package drive

import (
	"fmt"
	"math"

	"turnsole/compass"
)

// wormFriction is the friction angle of an oiled worm of steel in bronze
// (from memory): one of 4 degrees' lead gives on 0.44 of the torque, within the
// 0.25-0.6 that handbooks name for a single start.
const wormFriction compass.Angle = 5

// usualEfficiency of lubricated spur gears and of a toothed belt, within the
// 0.94-0.98 that handbooks name (from memory); printed or dry plastic 0.90.
const usualEfficiency = 0.96

// LeadAngle returns the lead angle of a worm: as stated, or 4 degrees a start.
func (s Stage) LeadAngle() compass.Angle {
	if s.Lead != 0 {
		return s.Lead
	}
	return 4 * compass.Angle(s.Driver)
}

// frictionAngle of a worm: its efficiency's, tan(lead)/tan(lead + friction),
// or the usual one.
func (s Stage) frictionAngle() compass.Angle {
	if s.Efficiency == 0 {
		return wormFriction
	}
	lead := s.LeadAngle()
	return compass.Radians(math.Atan(math.Tan(lead.Radians())/s.Efficiency)) - lead
}

// Forward returns the share of the torque that a stage hands on to the panel.
func (s Stage) Forward() float64 {
	switch lead := s.LeadAngle(); {
	case s.Efficiency != 0:
		return s.Efficiency
	case s.Kind == Worm:
		return math.Tan(lead.Radians()) / math.Tan((lead + wormFriction).Radians())
	}
	return usualEfficiency
}

// Backward returns the share of a torque at the driven wheel that comes
// through to the driver: 0 for a worm that locks. A worm locks while its lead
// angle is no more than its friction angle, about 5 degrees; shaking can still
// make it creep.
func (s Stage) Backward() float64 {
	if s.Kind != Worm {
		return s.Forward()
	}
	lead := s.LeadAngle()
	return max(0, math.Tan((lead-s.frictionAngle()).Radians())/math.Tan(lead.Radians()))
}

// Locks reports whether the stage can't be turned from the panel's side.
func (s Stage) Locks() bool { return s.Backward() == 0 }

// Efficiency returns the share of the motor's torque, times the ratio, that
// reaches the panel.
func (t Train) Efficiency() float64 {
	share := 1.0
	for _, s := range t.Stages {
		share *= s.Forward()
	}
	return share
}

// forwardNm is what a torque at the motor's shaft is at the panel.
func (t Train) forwardNm(motorNm float64) float64 { return motorNm * t.Ratio() * t.Efficiency() }

// backwardNm is the torque at the panel that overcomes one at the motor's
// shaft, through the friction of the gears; infinite where a stage locks.
func (t Train) backwardNm(motorNm float64) float64 {
	for _, s := range t.Stages {
		if s.Locks() {
			return math.Inf(1)
		}
		motorNm *= s.Ratio() / s.Backward()
	}
	return motorNm
}

// TorqueAt returns the torque beyond which the motor falls out of step while
// the panel turns at a speed in degrees a second.
func (t Train) TorqueAt(degPerS float64) float64 {
	return t.forwardNm(t.Stepper.PullOutNm(degPerS / float64(t.FullStepAtPanel())))
}

// gravity is the standard acceleration of free fall, m/s2.
const gravity = 9.80665

// Axle is what the drive has to turn.
type Axle struct {
	PanelKg         float64       // panel and what turns with it
	WidthM, LengthM float64       // of the panel: across, and up its slope
	Tilt            compass.Angle // from flat
	OffsetM         float64       // of the centre of mass from the axle, level
	Plumb           compass.Angle // of the axle, out of plumb
	BearingNm       float64       // friction of the bearing
	AccelDegPerS2   float64       // at which a move starts and ends
	WindNm          float64       // turning moment of the wind in which it should still move
}

// Validate returns an error for the first figure that is out of its range.
func (a Axle) Validate() error {
	switch {
	case !finite(a.PanelKg, a.WidthM, a.LengthM):
		return fmt.Errorf("mass %g kg, width %g m and length %g m of the panel, all must be 0 or more", a.PanelKg, a.WidthM, a.LengthM)
	case !(a.Tilt >= 0 && a.Tilt <= 90):
		return fmt.Errorf("a tilt of %g degrees, must be 0 to 90", a.Tilt)
	case !(math.Abs(float64(a.Plumb)) <= 45):
		return fmt.Errorf("an axle %g degrees out of plumb, must be at most 45", a.Plumb)
	case !finite(math.Abs(a.OffsetM), a.BearingNm, a.AccelDegPerS2, a.WindNm):
		return fmt.Errorf("offset, bearing's friction, acceleration and wind's moment must be 0 or more")
	}
	return nil
}

// InertiaKgM2 returns the panel's inertia about the axle. Across the panel a
// plate's width counts in full, up its slope only the level part of its
// length: M (w^2 + l^2 cos^2 tilt)/12, and M e^2 for a centre of mass off the
// axle.
func (a Axle) InertiaKgM2() float64 {
	level := a.LengthM * a.Tilt.Cos()
	return a.PanelKg * ((a.WidthM*a.WidthM+level*level)/12 + a.OffsetM*a.OffsetM)
}

// PlumbNm returns the greatest torque with which an off-centre panel pulls on
// an axle out of plumb, at the heading where that is worst.
func (a Axle) PlumbNm() float64 {
	return math.Abs(a.PanelKg * gravity * a.OffsetM * a.Plumb.Sin())
}

// Need is the torque that a move asks for at its worst, part by part.
type Need struct {
	BearingNm float64
	InertiaNm float64 // to start and stop
	PlumbNm   float64
	WindNm    float64
	BrakeNm   float64 // a friction brake is always on
	TotalNm   float64
}

func (n Need) added() Need {
	n.TotalNm = n.BearingNm + n.InertiaNm + n.PlumbNm + n.WindNm + n.BrakeNm
	return n
}

// Need returns what the panel alone asks for.
func (a Axle) Need() Need {
	return Need{
		BearingNm: a.BearingNm,
		InertiaNm: a.InertiaKgM2() * compass.Angle(a.AccelDegPerS2).Radians(),
		PlumbNm:   a.PlumbNm(),
		WindNm:    a.WindNm,
	}.added()
}

// Need returns what panel, brake and the motor's own rotor ask for; the rotor
// counts with the square of the ratio.
func (t Train) Need(a Axle) Need {
	n := a.Need()
	rotorKgM2 := t.Stepper.RotorKgM2 * t.Ratio() * t.Ratio()
	n.InertiaNm += rotorKgM2 * compass.Angle(a.AccelDegPerS2).Radians()
	n.BrakeNm = t.BrakeNm
	return n.added()
}

// Margin returns how often TorqueAt has the torque of Need. 2 or more is what
// is wanted: half of what would pull the motor out of step. Infinite where
// nothing is needed.
func (t Train) Margin(a Axle, degPerS float64) float64 {
	return t.TorqueAt(degPerS) / t.Need(a).TotalNm
}

// MoveTime returns the seconds of a turn, either way, that speeds up and slows
// down evenly and never exceeds a speed; 0 or infinite acceleration is none to
// wait for.
func (t Train) MoveTime(turn compass.Angle, degPerS, accelDegPerS2 float64) float64 {
	way := math.Abs(float64(turn))
	switch {
	case accelDegPerS2 == 0 || math.IsInf(accelDegPerS2, 0):
		return way / degPerS
	case way*accelDegPerS2 < degPerS*degPerS: // full speed is never reached
		return 2 * math.Sqrt(way/accelDegPerS2)
	}
	return way/degPerS + degPerS/accelDegPerS2
}

// Pointing is how far the panel may lie from where it was told to, by cause.
type Pointing struct {
	Step     compass.Angle // half a microstep of rounding
	Motor    compass.Angle // 5 % of a full step, which does not add up from step to step
	Load     compass.Angle // the rotor stays behind under load; infinite where steps are lost
	Backlash compass.Angle // all of it: the panel may lie anywhere within
	Total    compass.Angle // all at once
}

// stepAccuracy of common steppers, 3-5 % of a full step (from memory).
const stepAccuracy = 0.05

// PointingError returns how far the panel may lie from where it was told to
// under a torque at the panel.
func (t Train) PointingError(loadNm float64) Pointing {
	ratio := compass.Angle(t.Ratio())
	p := Pointing{
		Step:     t.StepAtPanel() / 2,
		Motor:    stepAccuracy * t.FullStepAtPanel(),
		Load:     t.Stepper.LoadError(loadNm/t.forwardNm(1)) / ratio,
		Backlash: t.Backlash(),
	}
	p.Total = p.Step + p.Motor + p.Load + p.Backlash
	return p
}
