package drive_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/drive"
)

// near allows for rounding only.
func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-12*(1+math.Abs(want))) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

func TestTwoStagesMultiplyAndTheFirstOnesPlayShrinks(t *testing.T) {
	first, last := compass.Angle(1), compass.Angle(0.25)
	train := drive.DefaultTrain()
	train.Stages = []drive.Stage{
		{Kind: drive.Belt, Driver: 20, Driven: 60, Efficiency: 0.9, Play: &first},
		{Kind: drive.Spur, Driver: 17, Driven: 68, Efficiency: 0.8, Play: &last},
	}
	near(t, "ratio", train.Ratio(), 12)
	near(t, "full step", float64(train.FullStepAtPanel()), 0.15)
	near(t, "microstep", float64(train.StepAtPanel()), 0.15/16)
	near(t, "efficiency", train.Efficiency(), 0.72)
	near(t, "backlash", float64(train.Backlash()), 0.25+1.0/4)
	measured := compass.Angle(0.7)
	train.Measured = &measured
	near(t, "measured backlash", float64(train.Backlash()), 0.7)
}

// A millimetre of distance too much gives 2 x 1 mm x tan 20 of play at the
// pitch circle, above the floor at the distance as built.
func TestAxesTooFarApartRattle(t *testing.T) {
	s := drive.Stage{Kind: drive.Spur, Driver: 17, Driven: 170, ModuleM: 1e-3}
	near(t, "centre distance", s.StandardCentreM(), 0.0935)
	tight, how := s.Backlash()
	near(t, "floor", float64(tight), float64(compass.Radians(s.LeastPlayM()/(0.085*compass.Angle(20).Cos()))))
	if !strings.Contains(how, "module") {
		t.Errorf("play comes %s", how)
	}
	s.CentreM = 0.0945
	loose, _ := s.Backlash()
	wider := 2.0 / 3 * 0.0005 * 0.001 // the floor grows with the distance
	want := tight + compass.Radians((2*0.001*compass.Angle(20).Sin()+wider)/(0.085*compass.Angle(20).Cos()))
	near(t, "loose", float64(loose), float64(want))
}

func TestProblemsNameTheKeyAndWhatWouldDo(t *testing.T) {
	sound := drive.Stage{Kind: drive.Spur, Driver: 17, Driven: 170, ModuleM: 1e-3}
	change := func(f func(*drive.Stage)) drive.Stage { s := sound; f(&s); return s }
	for _, c := range []struct {
		what  string
		stage drive.Stage
		key   string // none where it is empty
		grave bool
		says  string
	}{
		{"sound", sound, "", false, ""},
		{"four teeth", change(func(s *drive.Stage) { s.Driver = 4 }), "driver", true, "17 or more"},
		{"twelve teeth", change(func(s *drive.Stage) { s.Driver = 12 }), "driver", false, "undercut"},
		{"odd module", change(func(s *drive.Stage) { s.ModuleM = 1.1e-3 }), "module", false, "1 mm"},
		{"jammed", change(func(s *drive.Stage) { s.CentreM = 0.0930 }), "centre", true, "93.5 mm"},
		{"apart", change(func(s *drive.Stage) { s.CentreM = 0.0958 }), "centre", true, "93.5 mm"},
		{"a little apart", change(func(s *drive.Stage) { s.CentreM = 0.0942 }), "centre", false, "in mesh"},
		{"small pulley", drive.Stage{Kind: drive.Belt, Driver: 8, Driven: 60}, "driver", false, "10 or more"},
		{"pulleys touch", drive.Stage{Kind: drive.Belt, Driver: 20, Driven: 60, ModuleM: 1e-3, CentreM: 0.03}, "centre", true, "40 mm"},
		{"many starts", drive.Stage{Kind: drive.Worm, Driver: 17, Driven: 170}, "driver", false, "starts"},
		{"small worm wheel", drive.Stage{Kind: drive.Worm, Driver: 1, Driven: 5}, "driven", true, "17 or more"},
		{"a worm too good", drive.Stage{Kind: drive.Worm, Driver: 1, Driven: 60, Lead: 4, Efficiency: 0.95}, "efficiency", false, "44 %"},
	} {
		train := drive.DefaultTrain()
		train.Stages = []drive.Stage{c.stage}
		if err := train.Validate(); err != nil {
			t.Errorf("%s: %v", c.what, err)
		}
		got := train.Problems()
		if c.key == "" {
			if len(got) > 0 {
				t.Errorf("%s: %v", c.what, got)
			}
			continue
		}
		if len(got) != 1 || got[0].Key != c.key || got[0].Grave != c.grave || got[0].Stage != 1 || !strings.Contains(got[0].Text, c.says) {
			t.Errorf("%s: %+v", c.what, got)
		}
	}
	weak := drive.DefaultTrain()
	weak.Stepper.SupplyV = 3
	if got := weak.Problems(); len(got) != 1 || got[0].Key != "supply" {
		t.Errorf("a supply too low: %+v", got)
	}
}

func TestImpossibleTrainsAreRefused(t *testing.T) {
	nan, negative := math.NaN(), compass.Angle(-1)
	for i, spoil := range []func(*drive.Train){
		func(d *drive.Train) { d.Stepper.FullStep = 0 },
		func(d *drive.Train) { d.Stepper.Microsteps = 0 },
		func(d *drive.Train) { d.Stepper.HoldingNm = -1 },
		func(d *drive.Train) { d.Stepper.DetentNm = 1 },
		func(d *drive.Train) { d.Stepper.SupplyV = 0 },
		func(d *drive.Train) { d.Stepper.PhaseH = nan },
		func(d *drive.Train) { d.Stages[0].Kind = 7 },
		func(d *drive.Train) { d.Stages[0].Driver = 0 },
		func(d *drive.Train) { d.Stages[0].ModuleM = -1 },
		func(d *drive.Train) { d.Stages[0].Efficiency = 1.1 },
		func(d *drive.Train) { d.Stages[0].Kind, d.Stages[0].Lead = drive.Worm, 90 },
		func(d *drive.Train) { d.Stages[0].Play = &negative },
		func(d *drive.Train) { d.Measured = &negative },
		func(d *drive.Train) { d.BrakeNm = math.Inf(1) },
	} {
		train := drive.DefaultTrain()
		if err := train.Validate(); err != nil {
			t.Fatal(err)
		}
		spoil(&train)
		if train.Validate() == nil {
			t.Errorf("case %d is accepted", i)
		}
	}
}

func TestKindsOfStageHaveNames(t *testing.T) {
	for _, k := range []drive.StageKind{drive.Spur, drive.Belt, drive.Worm} {
		if got, err := drive.StageKindNamed(k.String()); err != nil || got != k {
			t.Errorf("%v is read as %v, %v", k, got, err)
		}
	}
	if _, err := drive.StageKindNamed("chain"); err == nil {
		t.Error("an unknown kind gave no error")
	}
}

// At the standard distance the angle of pressure is the standard one, and more
// distance means more pressure angle and fewer teeth in mesh.
func TestMeshLoosensWithDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drive.Stage{
			Kind:   drive.Spur,
			Driver: rapid.IntRange(17, 60).Draw(t, "driver"), Driven: rapid.IntRange(17, 300).Draw(t, "driven"),
			ModuleM: rapid.Float64Range(0.5e-3, 5e-3).Draw(t, "module"),
		}
		if d := s.PressureAsBuilt() - 20; math.Abs(float64(d)) > 1e-9 { // acos of a rounded cosine
			t.Fatalf("pressure angle off by %v", d)
		}
		// Two standard gears of 17 teeth or more have 1.5 to 2 teeth in mesh.
		tight := s.TeethInMesh()
		if !(tight > 1.5 && tight < 2) {
			t.Fatalf("%v teeth in mesh", tight)
		}
		s.CentreM = s.StandardCentreM() + s.ModuleM*rapid.Float64Range(0.01, 0.5).Draw(t, "apart")
		if !(s.PressureAsBuilt() > 20 && s.TeethInMesh() < tight) {
			t.Fatalf("pressure angle %v, %v teeth in mesh", s.PressureAsBuilt(), s.TeethInMesh())
		}
	})
}
