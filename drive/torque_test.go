package drive_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/drive"
)

// The default train's figures hang together: its coils and DefaultMotor's
// power, its speed and its corner, its wheel and its step.
func TestDefaultTrainHangsTogether(t *testing.T) {
	train, motor := drive.DefaultTrain(), drive.DefaultMotor()
	if problems := train.Problems(); train.Validate() != nil || len(problems) > 0 {
		t.Fatalf("%v %v", train.Validate(), problems)
	}
	near(t, "coils", train.Stepper.CoilsW(), 8.64)
	if share := train.Stepper.CoilsW() / motor.PowerW; share < 0.8 || share > 1 {
		t.Errorf("the coils burn %v of what the motor draws", share)
	}
	steps := motor.DegreesPerS / float64(train.FullStepAtPanel())
	if corner := train.Stepper.CornerStepsPerS(); steps > corner/10 {
		t.Errorf("%v steps/s are not far below the corner at %v", steps, corner)
	}
	near(t, "torque at speed is that of rest", train.TorqueAt(motor.DegreesPerS), 0.4*10*0.96)
	near(t, "detent at the panel", train.BackDriveNm(0), 0.02*10/0.96)
}

func TestPullOutFallsAsOneOverSpeedAboveTheCorner(t *testing.T) {
	m := drive.DefaultStepper()
	near(t, "corner", m.CornerStepsPerS(), 12/(2*4e-3*1.2))
	near(t, "at the corner", m.PullOutNm(m.CornerStepsPerS()), 0.4)
	near(t, "at four times the corner, backward", m.PullOutNm(-4*m.CornerStepsPerS()), 0.1)
	m.SupplyV = 1.8 // drives half the current
	near(t, "starved", m.PullOutNm(0), 0.2)
	m.PhaseH = 0
	near(t, "without inductance", m.PullOutNm(1e6), 0.2)
}

func TestLoadError(t *testing.T) {
	m := drive.DefaultStepper()
	near(t, "all it has", float64(m.LoadError(0.4)), 1.8)
	near(t, "half of it", float64(m.LoadError(-0.2)), 0.6)
	if !math.IsInf(float64(m.LoadError(0.41)), 1) {
		t.Error("an overloaded motor keeps its steps")
	}
	m.Microsteps = 4
	// A microstep's torque is what a microstep of lag gives.
	near(t, "a microstep", float64(m.LoadError(m.MicrostepNm())), 0.45)
	p := drive.DefaultTrain().PointingError(0)
	near(t, "rounding", float64(p.Step), 0.18/32)
	near(t, "motor", float64(p.Motor), 0.009)
	near(t, "total", float64(p.Total), float64(p.Step+p.Motor+p.Load+p.Backlash))
}

// The plate's formula against a sum over small pieces.
func TestInertiaOfATiltedPlate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := drive.Axle{
			PanelKg: rapid.Float64Range(0.1, 50).Draw(t, "kg"),
			WidthM:  rapid.Float64Range(0.1, 2).Draw(t, "width"), LengthM: rapid.Float64Range(0.1, 2).Draw(t, "length"),
			Tilt:    compass.Angle(rapid.Float64Range(0, 90).Draw(t, "tilt")),
			OffsetM: rapid.Float64Range(-0.5, 0.5).Draw(t, "offset"),
		}
		const n = 60
		sum := 0.0
		for i := range n {
			for k := range n {
				across := a.WidthM * ((float64(i)+0.5)/n - 0.5)
				level := a.LengthM*a.Tilt.Cos()*((float64(k)+0.5)/n-0.5) + a.OffsetM
				sum += a.PanelKg / (n * n) * (across*across + level*level)
			}
		}
		// Each piece's own inertia is left out: 1/n^2 of the plate's.
		if got := a.InertiaKgM2(); math.Abs(got-sum) > got/(n*n)+1e-12 {
			t.Fatalf("%v, by pieces %v", got, sum)
		}
	})
}

func TestNeedAndMargin(t *testing.T) {
	a := drive.Axle{PanelKg: 8, WidthM: 0.7, LengthM: 1, Tilt: 60, OffsetM: 0.1, Plumb: 2, BearingNm: 0.1, AccelDegPerS2: 10, WindNm: 0.5}
	if err := a.Validate(); err != nil {
		t.Fatal(err)
	}
	n := a.Need()
	near(t, "plumb", n.PlumbNm, 8*9.80665*0.1*math.Sin(2*math.Pi/180))
	near(t, "inertia", n.InertiaNm, 8*((0.49+0.25)/12+0.01)*10*math.Pi/180)
	near(t, "total", n.TotalNm, 0.1+n.InertiaNm+n.PlumbNm+0.5)
	train := drive.DefaultTrain()
	train.BrakeNm = 0.3
	whole := train.Need(a)
	near(t, "with rotor and brake", whole.TotalNm-n.TotalNm, 0.3+5.4e-6*100*10*math.Pi/180)
	near(t, "margin", train.Margin(a, 3), train.TorqueAt(3)/whole.TotalNm)
	if !math.IsInf(drive.DefaultTrain().Margin(drive.Axle{}, 3), 1) {
		t.Error("nothing to turn, and yet a limit")
	}
	for _, bad := range []drive.Axle{{PanelKg: -1}, {Tilt: 91}, {Plumb: compass.Angle(math.NaN())}, {WindNm: math.Inf(1)}} {
		if bad.Validate() == nil {
			t.Errorf("%+v is accepted", bad)
		}
	}
}

func TestWormLocksByItsLead(t *testing.T) {
	for _, c := range []struct {
		what  string
		stage drive.Stage
		locks bool
	}{
		{"one start", drive.Stage{Kind: drive.Worm, Driver: 1, Driven: 60}, true},
		{"three starts", drive.Stage{Kind: drive.Worm, Driver: 3, Driven: 60}, false},
		{"a lead of 4 degrees", drive.Stage{Kind: drive.Worm, Driver: 3, Driven: 60, Lead: 4}, true},
		{"a lead of 6 degrees", drive.Stage{Kind: drive.Worm, Driver: 1, Driven: 60, Lead: 6}, false},
		{"slippery", drive.Stage{Kind: drive.Worm, Driver: 1, Driven: 60, Lead: 4, Efficiency: 0.8}, false},
		{"spur", drive.Stage{Kind: drive.Spur, Driver: 17, Driven: 60}, false},
	} {
		train := drive.DefaultTrain()
		train.Stages = []drive.Stage{c.stage}
		h := train.Hold(drive.Axle{})
		if c.stage.Locks() != c.locks || math.IsInf(h.OffNm, 1) != c.locks || (h.Kind == "worm") != c.locks {
			t.Errorf("%s: locks %v, holds %v by its %s", c.what, c.stage.Locks(), h.OffNm, h.Kind)
		}
	}
}

// What comes back through a stage never exceeds what goes forward through it,
// and a worm that gives on more than half of the torque does not lock.
func TestFrictionWorksBothWays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drive.Stage{Kind: drive.Worm, Driver: 1, Driven: 60,
			Lead:       compass.Angle(rapid.Float64Range(1, 40).Draw(t, "lead")),
			Efficiency: rapid.Float64Range(0.05, 0.99).Draw(t, "efficiency")}
		back := s.Backward()
		if !(back >= 0 && back <= s.Forward()) {
			t.Fatalf("%v forward, %v back", s.Forward(), back)
		}
		if s.Forward() > 0.5 && s.Locks() {
			t.Fatalf("%v forward, and locked", s.Forward())
		}
	})
}

func TestHoldAndWhatWouldHold(t *testing.T) {
	train, a := drive.DefaultTrain(), drive.Axle{BearingNm: 0.05}
	h := train.Hold(a)
	near(t, "off", h.OffNm, 0.2/0.96+0.05)
	near(t, "on", h.OnNm, 4/0.96+0.05)
	near(t, "a day of coils", h.CoilsWhPerDay, 24*8.64)
	near(t, "now off", h.NowNm, h.OffNm)
	if h.Kind != "detent" || train.Remedies(a, h.OffNm) != nil {
		t.Errorf("%s holds; %v", h.Kind, train.Remedies(a, h.OffNm))
	}
	train.Stepper.CoilsOn = true
	near(t, "now on", train.Hold(a).NowNm, h.OnNm)

	remedies := train.Remedies(a, 2)
	if len(remedies) != 3 {
		t.Fatalf("%+v", remedies)
	}
	train.BrakeNm = remedies[1].BrakeNm
	near(t, "with the brake", train.Hold(a).OffNm, 2)
	if kind := train.Hold(a).Kind; kind != "brake" {
		t.Errorf("%s holds", kind)
	}
	if got := drive.DefaultTrain().Remedies(a, 100); len(got) != 2 {
		t.Errorf("coils hold 100 Nm: %+v", got)
	}
	heavy := drive.Axle{PanelKg: 20, OffsetM: 0.3, Plumb: 5}
	near(t, "a panel that turns by its own weight", drive.DefaultTrain().Hold(heavy).OffNm, 0)
}

func TestMoveTime(t *testing.T) {
	var train drive.Train
	near(t, "at once", train.MoveTime(-60, 3, 0), 20)
	near(t, "with a start and a stop", train.MoveTime(60, 3, 1.5), 22)
	near(t, "never at full speed", train.MoveTime(1, 3, 4), 1)
	near(t, "just at full speed", train.MoveTime(6, 3, 1.5), 4)
}

func TestBearings(t *testing.T) {
	b, err := drive.BearingNamed("plain bronze")
	if err != nil {
		t.Fatal(err)
	}
	near(t, "plain", b.FrictionNm(100, 0.02), 0.1)
	if _, err := drive.BearingNamed("magnetic"); err == nil {
		t.Error("an unknown bearing gave no error")
	}
	near(t, "heat", drive.DefaultStepper().HeatK(8.5), 8.5*8.64)
}
