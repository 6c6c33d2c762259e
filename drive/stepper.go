package drive

import (
	"math"

	"turnsole/compass"
)

// Stepper is a two-phase stepping motor with its driver's supply.
type Stepper struct {
	FullStep   compass.Angle // 0 < step <= 90; 1.8 makes 200 a turn
	Microsteps int           // to a full step, 1..256
	HoldingNm  float64       // at the shaft, both phases at PhaseA, > 0
	DetentNm   float64       // at the shaft without current, 0..HoldingNm
	PhaseA     float64       // current in each phase as the driver is set, > 0
	PhaseOhm   float64       // resistance of a phase, >= 0
	PhaseH     float64       // inductance of a phase, >= 0
	SupplyV    float64       // at the driver, > 0
	RotorKgM2  float64       // inertia of the rotor, >= 0
	CoilsOn    bool          // the driver keeps the current on at standstill
}

// DefaultStepper is a common small motor: face 42 mm, 1.8 degrees a step, 5 %
// detent, at 12 V. Both phases burn 8.6 W; driver and gears make it
// DefaultMotor's 10 W (common practice, no source).
func DefaultStepper() Stepper {
	return Stepper{
		FullStep: 1.8, Microsteps: 16, HoldingNm: 0.4, DetentNm: 0.02,
		PhaseA: 1.2, PhaseOhm: 3, PhaseH: 4e-3, SupplyV: 12, RotorKgM2: 5.4e-6,
	}
}

// StepsPerTurn returns the full steps in one turn of the shaft.
func (m Stepper) StepsPerTurn() float64 { return 360 / float64(m.FullStep) }

// perStep turns an angle at the shaft into the angle of the torque's sine: a
// full step is a right angle of it (50 periods a turn for 1.8 degrees).
func (m Stepper) perStep() float64 { return 90 / float64(m.FullStep) }

// MicrostepNm returns the torque at the shaft that builds up while the rotor
// stays behind by one microstep, holding x sin(90/m): a finer step than
// friction allows is not taken until several have gathered.
func (m Stepper) MicrostepNm() float64 {
	return m.HoldingNm * (90 / compass.Angle(m.Microsteps)).Sin()
}

// LoadError returns how far the shaft stays behind under a torque at the
// shaft, asin(T/holding) of its sine: a full step where the torque is all the
// motor has, and infinitely far beyond, where it loses steps.
func (m Stepper) LoadError(motorNm float64) compass.Angle {
	share := math.Abs(motorNm) / m.HoldingNm
	if share > 1 {
		return compass.Angle(math.Inf(1))
	}
	return compass.Radians(math.Asin(share) / m.perStep())
}

// currentA is what the supply can drive through a phase at rest.
func (m Stepper) currentA() float64 {
	if m.SupplyV < m.PhaseA*m.PhaseOhm {
		return m.SupplyV / m.PhaseOhm
	}
	return m.PhaseA
}

// CornerStepsPerS returns the full steps a second above which the current has
// no time to build up, V/(2 L I); infinite without inductance.
func (m Stepper) CornerStepsPerS() float64 { return m.SupplyV / (2 * m.PhaseH * m.currentA()) }

// PullOutNm returns the torque at the shaft beyond which a motor that runs at
// so many full steps a second falls out of step: its holding torque up to the
// corner, falling as 1/speed above it. Real motors give less, mostly where
// they resonate: plan for half of it.
func (m Stepper) PullOutNm(stepsPerS float64) float64 {
	still := m.HoldingNm * m.currentA() / m.PhaseA
	if corner := m.CornerStepsPerS(); math.Abs(stepsPerS) > corner {
		return still * corner / math.Abs(stepsPerS)
	}
	return still
}

// CoilsW returns what both phases burn at standstill with the current on,
// 2 I^2 R, the driver's own loss not counted.
func (m Stepper) CoilsW() float64 { i := m.currentA(); return 2 * i * i * m.PhaseOhm }

// HeatK returns how much warmer than the air the motor becomes with its
// current on, for a case that sheds heat at so many kelvin a watt.
func (m Stepper) HeatK(kelvinPerW float64) float64 { return m.CoilsW() * kelvinPerW }

// FrameSize is a standard size of stepper: NEMA ICS 16 names it by the width of
// its face in tenths of an inch. All figures from memory.
type FrameSize struct {
	Name          string
	FaceM, BoltsM float64 // width of the face; distance between bolts along an edge
	LowNm, HighNm float64 // holding torques that are made in it
	KelvinPerW    float64 // warming in still air, hung free; half of it on a metal plate
}

// FrameSizes returns the standard sizes, smallest first.
func FrameSizes() []FrameSize {
	// Warming: makers rate the current at about 80 K with both phases on.
	return []FrameSize{
		{"NEMA 11", 28.2e-3, 23e-3, 0.06, 0.12, 16},
		{"NEMA 14", 35.2e-3, 26e-3, 0.1, 0.3, 14},
		{"NEMA 17", 42.3e-3, 31e-3, 0.16, 0.65, 8.5},
		{"NEMA 23", 56.4e-3, 47.14e-3, 0.55, 3, 5.5},
		{"NEMA 24", 60e-3, 50e-3, 1.5, 4, 4.8},
		{"NEMA 34", 86e-3, 69.6e-3, 3, 13, 3.3},
	}
}
