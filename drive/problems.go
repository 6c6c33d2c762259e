package drive

import (
	"fmt"
	"math"
	"slices"
)

// Problem is something about a train that will not work, or not work well.
type Problem struct {
	Stage int    // from 1; 0 where it is about the motor or the train
	Key   string // of the rig file, within the stage's section or the drive's
	Text  string // what is wrong and what would be right
	Grave bool   // it can't work as it is
}

const (
	fewestTeeth    = 6  // below this no standard wheel runs (from memory)
	undercutTeeth  = 17 // 2/sin^2 20: below this a rack cutter takes the tooth's foot away
	fewestOfPulley = 10 // teeth of a belt's pulley (from memory)
	mostTeeth      = 2000
	wantedInMesh   = 1.2 // contact ratio (common practice, no source)
)

// StandardModulesM returns the modules of gears that are made everywhere:
// ISO 54:1996 series I up to 10 mm and the fine ones below 1 mm of DIN 780
// (from memory), in metres.
func StandardModulesM() []float64 {
	return []float64{0.3e-3, 0.4e-3, 0.5e-3, 0.6e-3, 0.7e-3, 0.8e-3, 0.9e-3,
		1e-3, 1.25e-3, 1.5e-3, 2e-3, 2.5e-3, 3e-3, 4e-3, 5e-3, 6e-3, 8e-3, 10e-3}
}

// Validate returns an error for the first figure that is out of its range.
func (t Train) Validate() error {
	if err := t.Stepper.Validate(); err != nil {
		return err
	}
	for i, s := range t.Stages {
		if err := s.Validate(); err != nil {
			return fmt.Errorf("stage %d: %w", i+1, err)
		}
	}
	switch {
	case t.Measured != nil && !(*t.Measured >= 0 && *t.Measured <= 90):
		return fmt.Errorf("backlash of %g degrees, must be 0 to 90", *t.Measured)
	case !finite(t.BrakeNm):
		return fmt.Errorf("a brake of %g Nm, must be 0 or more", t.BrakeNm)
	}
	return nil
}

// Validate returns an error for the first figure that is out of its range.
func (m Stepper) Validate() error {
	switch {
	case !(m.FullStep > 0 && m.FullStep <= 90):
		return fmt.Errorf("a full step of %g degrees, must be more than 0 and up to 90; common are 1.8 and 0.9", m.FullStep)
	case m.Microsteps < 1 || m.Microsteps > 256:
		return fmt.Errorf("%d microsteps to a full step, must be 1 to 256", m.Microsteps)
	case !(m.HoldingNm > 0) || !finite(m.HoldingNm):
		return fmt.Errorf("a holding torque of %g Nm, must be more than 0", m.HoldingNm)
	case !(m.DetentNm >= 0 && m.DetentNm <= m.HoldingNm):
		return fmt.Errorf("a detent torque of %g Nm, must be 0 to the holding torque; 2 to 10 %% of it are common", m.DetentNm)
	case !(m.PhaseA > 0 && m.SupplyV > 0) || !finite(m.PhaseA, m.SupplyV):
		return fmt.Errorf("phase current %g A and supply %g V, both must be more than 0", m.PhaseA, m.SupplyV)
	case !finite(m.PhaseOhm, m.PhaseH, m.RotorKgM2):
		return fmt.Errorf("resistance, inductance and rotor's inertia must be 0 or more")
	}
	return nil
}

// Validate returns an error for the first figure that is out of its range.
func (s Stage) Validate() error {
	switch {
	case s.Kind < Spur || s.Kind > Worm:
		return fmt.Errorf("kind %d is unknown", int(s.Kind))
	case s.Driver < 1 || s.Driven < 1 || s.Driver > mostTeeth || s.Driven > mostTeeth:
		return fmt.Errorf("%d teeth drive %d, both must be 1 to %d", s.Driver, s.Driven, mostTeeth)
	case !finite(s.ModuleM, s.CentreM, s.FaceM):
		return fmt.Errorf("module, centre distance and width of the teeth must be 0 or more")
	case !(s.Efficiency >= 0 && s.Efficiency <= 1):
		return fmt.Errorf("an efficiency of %g, must be above 0 and up to 1, or 0 for the usual", s.Efficiency)
	case !(s.LeadAngle() > 0 && s.LeadAngle() < 80) && s.Kind == Worm:
		return fmt.Errorf("a lead angle of %g degrees, must be more than 0 and less than 80; one start has about 4", s.LeadAngle())
	case s.Play != nil && !(*s.Play >= 0 && *s.Play <= 90):
		return fmt.Errorf("backlash of %g degrees, must be 0 to 90", *s.Play)
	}
	return nil
}

// finite reports whether all figures are 0 or more and not infinite.
func finite(figures ...float64) bool {
	for _, f := range figures {
		if !(f >= 0) || math.IsInf(f, 0) {
			return false
		}
	}
	return true
}

// Problems returns what won't work, or not well, in a valid train.
func (t Train) Problems() []Problem {
	var all []Problem
	for i, s := range t.Stages {
		for _, p := range s.Problems() {
			p.Stage = i + 1
			all = append(all, p)
		}
	}
	if m := t.Stepper; m.SupplyV < m.PhaseA*m.PhaseOhm {
		all = append(all, Problem{Key: "supply", Text: fmt.Sprintf("%.3g V cannot drive %.3g A through %.3g ohm, only %.2g A; %.3g V would", m.SupplyV, m.PhaseA, m.PhaseOhm, m.currentA(), m.PhaseA*m.PhaseOhm)})
	}
	return all
}

// Problems returns what won't work, or not well, in a valid stage.
func (s Stage) Problems() []Problem {
	switch s.Kind {
	case Spur:
		return append(s.toothProblems(), s.centreProblems()...)
	case Belt:
		return s.beltProblems()
	}
	return s.wormProblems()
}

func (s Stage) toothProblems() []Problem {
	var all []Problem
	for _, w := range []struct {
		key   string
		teeth int
	}{{"driver", s.Driver}, {"driven", s.Driven}} {
		switch {
		case w.teeth < fewestTeeth:
			all = append(all, Problem{Key: w.key, Grave: true, Text: fmt.Sprintf("no standard gear with %d teeth runs; take %d or more", w.teeth, undercutTeeth)})
		case w.teeth < undercutTeeth:
			all = append(all, Problem{Key: w.key, Text: fmt.Sprintf("standard teeth are undercut, so weak at their foot, on a gear with %d; %d or more are sound, fewer only with shifted profiles", w.teeth, undercutTeeth)})
		}
	}
	if s.ModuleM > 0 && !slices.ContainsFunc(StandardModulesM(), func(m float64) bool { return math.Abs(m-s.ModuleM) < 1e-6 }) {
		all = append(all, Problem{Key: "module", Text: fmt.Sprintf("module %.4g mm is not one of the common sizes; %.4g mm is the nearest", s.ModuleM*1e3, nearestModuleM(s.ModuleM)*1e3)})
	}
	return all
}

func nearestModuleM(m float64) float64 {
	return slices.MinFunc(StandardModulesM(), func(a, b float64) int {
		if math.Abs(a-m) < math.Abs(b-m) {
			return -1
		}
		return 1
	})
}

func (s Stage) centreProblems() []Problem {
	right := s.StandardCentreM()
	if right == 0 {
		return nil
	}
	size := fmt.Sprintf("%d and %d teeth of module %.4g mm belong %.5g mm apart", s.Driver, s.Driven, s.ModuleM*1e3, right*1e3)
	if s.LeastPlayM()+2*(s.CentreAsBuiltM()-right)*pressure.Sin() < 0 {
		return []Problem{{Key: "centre", Grave: true, Text: fmt.Sprintf("at %.5g mm the teeth jam: %s", s.CentreAsBuiltM()*1e3, size)}}
	}
	inMesh := s.TeethInMesh()
	switch {
	case inMesh < 1:
		return []Problem{{Key: "centre", Grave: true, Text: fmt.Sprintf("at %.5g mm each tooth lets go before the next one takes hold: %s", s.CentreAsBuiltM()*1e3, size)}}
	case inMesh < wantedInMesh:
		return []Problem{{Key: "centre", Text: fmt.Sprintf("only %.2f teeth are in mesh at %.5g mm and %.1f are wanted: %s", inMesh, s.CentreAsBuiltM()*1e3, wantedInMesh, size)}}
	}
	return nil
}

func (s Stage) beltProblems() []Problem {
	var all []Problem
	if small := min(s.Driver, s.Driven); small < fewestOfPulley {
		key := "driver"
		if s.Driven < s.Driver {
			key = "driven"
		}
		all = append(all, Problem{Key: key, Grave: small < fewestTeeth, Text: fmt.Sprintf("a belt bends too sharply round %d teeth; take %d or more", small, fewestOfPulley)})
	}
	if least := (s.DriverM() + s.DrivenM()) / 2; s.CentreM > 0 && s.CentreM < least {
		all = append(all, Problem{Key: "centre", Grave: true, Text: fmt.Sprintf("pulleys %.4g mm apart touch each other; they need more than %.4g mm", s.CentreM*1e3, least*1e3)})
	}
	return all
}

func (s Stage) wormProblems() []Problem {
	var all []Problem
	if s.Driver > 8 {
		all = append(all, Problem{Key: "driver", Text: fmt.Sprintf("a worm with %d starts is rare; its driver is the number of starts, mostly 1 to 4", s.Driver)})
	}
	if s.Driven < undercutTeeth {
		all = append(all, Problem{Key: "driven", Grave: s.Driven < fewestTeeth, Text: fmt.Sprintf("a worm wheel with %d teeth is undercut; take %d or more", s.Driven, undercutTeeth)})
	}
	if s.Efficiency > 0 && s.Lead > 0 && s.frictionAngle() < 0.5 {
		all = append(all, Problem{Key: "efficiency", Text: fmt.Sprintf("no worm with a lead of %.3g degrees gives on %.0f %%; oiled steel in bronze gives %.0f %%", s.Lead, 100*s.Efficiency, 100*Stage{Kind: Worm, Driver: 1, Lead: s.Lead}.Forward())})
	}
	return all
}
