package drive

import (
	"fmt"
	"math"
	"slices"

	"turnsole/compass"
)

// StageKind is how one stage of a train hands the turn on.
type StageKind int

// Kinds of stage.
const (
	Spur StageKind = iota // two toothed wheels side by side
	Belt                  // a toothed belt over two pulleys
	Worm                  // a worm in its wheel
)

// stageNames are the kinds as a rig file writes them.
var stageNames = [...]string{Spur: "spur", Belt: "belt", Worm: "worm"}

// String returns the kind's name, "spur", "belt" or "worm".
func (k StageKind) String() string {
	if k < 0 || int(k) >= len(stageNames) {
		return fmt.Sprintf("StageKind(%d)", int(k))
	}
	return stageNames[k]
}

// StageKindNamed returns the kind of a name.
func StageKindNamed(name string) (StageKind, error) {
	if i := slices.Index(stageNames[:], name); i >= 0 {
		return StageKind(i), nil
	}
	return 0, fmt.Errorf("no kind of stage is called %q; known are spur, belt and worm", name)
}

// Stage is one stage of a train, from the motor's side to the panel's.
type Stage struct {
	Kind    StageKind
	Driver  int     // teeth on the motor's side; of a worm its starts
	Driven  int     // teeth on the panel's side
	ModuleM float64 // of the teeth, 0 where it isn't known; of a belt its pitch divided by pi

	CentreM    float64        // between the axes as built; 0 for what the teeth ask for
	Efficiency float64        // 0..1; 0 for what is usual for its kind
	Lead       compass.Angle  // of a worm's thread; 0 for 4 degrees a start
	Play       *compass.Angle // backlash at the driven wheel as its maker states it or as measured; nil to work it out
	FaceM      float64        // width of the teeth, for drawings and lists
}

// pressure is the angle under which standard teeth press (ISO 53).
const pressure compass.Angle = 20

// Ratio returns how many turns of the driver make one of the driven wheel.
func (s Stage) Ratio() float64 { return float64(s.Driven) / float64(s.Driver) }

// DriverM and DrivenM return the pitch diameters d = m z in metres. A worm's
// diameter does not follow from its starts: DriverM is 0.
func (s Stage) DriverM() float64 {
	if s.Kind == Worm {
		return 0
	}
	return s.ModuleM * float64(s.Driver)
}

// DrivenM is beside DriverM.
func (s Stage) DrivenM() float64 { return s.ModuleM * float64(s.Driven) }

// StandardCentreM returns the distance between the axes of spur gears at which
// standard teeth mesh, m (z1 + z2) / 2; 0 for other kinds and without module.
func (s Stage) StandardCentreM() float64 {
	if s.Kind != Spur {
		return 0
	}
	return (s.DriverM() + s.DrivenM()) / 2
}

// CentreAsBuiltM returns the distance between the axes: CentreM, or where that
// is not given StandardCentreM.
func (s Stage) CentreAsBuiltM() float64 {
	if s.CentreM > 0 {
		return s.CentreM
	}
	return s.StandardCentreM()
}

// PressureAsBuilt returns the angle under which spur gears press at the
// distance they are built to, acos(a0/a cos 20), from 0 where they are too
// close to press at all.
func (s Stage) PressureAsBuilt() compass.Angle {
	if s.StandardCentreM() == 0 {
		return pressure
	}
	return compass.Radians(math.Acos(min(1, s.StandardCentreM()/s.CentreAsBuiltM()*pressure.Cos())))
}

// TeethInMesh returns the contact ratio of spur gears as built: how many pairs
// of teeth carry on average. Below 1 the drive jumps. 0 without a module and
// for other kinds.
func (s Stage) TeethInMesh() float64 {
	if s.StandardCentreM() == 0 {
		return 0
	}
	reach := func(pitchM float64) float64 { // along the line of action, to the tip
		tip, base := pitchM/2+s.ModuleM, pitchM/2*pressure.Cos()
		return math.Sqrt(max(0, tip*tip-base*base))
	}
	length := reach(s.DriverM()) + reach(s.DrivenM()) - s.CentreAsBuiltM()*s.PressureAsBuilt().Sin()
	return length / (math.Pi * s.ModuleM * pressure.Cos())
}

// floorM is the backlash that gears of a module at a centre distance need so
// as not to jam: (2/3)(0.06 + 0.0005 a + 0.03 m) in millimetres, along the
// line of action (ISO/TR 10064-2, from memory).
func floorM(centreM, moduleM float64) float64 {
	return 2.0 / 3 * (0.06e-3 + 0.0005*centreM + 0.03*moduleM)
}

// LeastPlayM returns the least backlash of a spur gear pair along the line of
// action, in metres, by ISO/TR 10064-2; 0 for other kinds and without module.
func (s Stage) LeastPlayM() float64 {
	if s.StandardCentreM() == 0 {
		return 0
	}
	return floorM(s.CentreAsBuiltM(), s.ModuleM)
}

// usualPlay is the backlash at the driven wheel where nothing is known of its
// size (from memory).
var usualPlay = [...]compass.Angle{Spur: 0.3, Belt: 0.2, Worm: 0.3}

// beltPlayM is what a toothed belt moves in its pulley's teeth (from memory).
const beltPlayM = 0.15e-3

// Backlash returns how far the driven wheel turns freely with the driver held,
// and in a few words where the figure comes from.
func (s Stage) Backlash() (free compass.Angle, from string) {
	radiusM := s.DrivenM() / 2
	switch {
	case s.Play != nil:
		return *s.Play, "as stated"
	case radiusM > 0 && s.Kind == Spur:
		return s.spurBacklash(), "from module and centre distance"
	case radiusM > 0 && s.Kind == Belt:
		return compass.Radians(beltPlayM / radiusM), "usual for a toothed belt, from memory"
	}
	return usualPlay[s.Kind], "usual for its kind, from memory"
}

// spurBacklash is the standard's floor, and what axes further apart add:
// 2 da tan 20 at the pitch circle, which is 2 da sin 20 along the line of
// action. Along that line a wheel turns by j/(r cos 20).
func (s Stage) spurBacklash() compass.Angle {
	apartM := s.CentreAsBuiltM() - s.StandardCentreM()
	alongM := s.LeastPlayM() + 2*apartM*pressure.Sin()
	return compass.Radians(max(0, alongM) / (s.DrivenM() / 2 * pressure.Cos()))
}

// Train is everything from the motor's shaft to the panel's axle.
type Train struct {
	Stepper  Stepper
	Stages   []Stage        // from the motor to the panel; none for a motor on the axle
	Measured *compass.Angle // backlash at the panel as measured, instead of the stages'
	BrakeNm  float64        // friction brake on the panel's axle, always on, >= 0
}

// DefaultTrain is a small stepper with one pair of gears that turns the panel
// at DefaultMotor's speed with DefaultMotor's power (common practice, no
// source). Its pinion has the 17 teeth below which standard ones are undercut.
func DefaultTrain() Train {
	return Train{Stepper: DefaultStepper(), Stages: []Stage{{Kind: Spur, Driver: 17, Driven: 170, ModuleM: 1e-3}}}
}

// Ratio returns how many turns of the motor make one of the panel.
func (t Train) Ratio() float64 {
	ratio := 1.0
	for _, s := range t.Stages {
		ratio *= s.Ratio()
	}
	return ratio
}

// StepAtPanel returns by how much one microstep turns the panel.
func (t Train) StepAtPanel() compass.Angle {
	return t.FullStepAtPanel() / compass.Angle(t.Stepper.Microsteps)
}

// FullStepAtPanel returns by how much one full step turns the panel.
func (t Train) FullStepAtPanel() compass.Angle {
	return t.Stepper.FullStep / compass.Angle(t.Ratio())
}

// Backlash returns how far the panel turns freely with the motor held: as
// measured, else the sum of all stages, each divided by what comes after it.
func (t Train) Backlash() compass.Angle {
	if t.Measured != nil {
		return *t.Measured
	}
	var free compass.Angle
	for _, s := range t.Stages {
		own, _ := s.Backlash()
		free = free/compass.Angle(s.Ratio()) + own
	}
	return free
}
