package loop

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/drive"
)

// machine is a plain rig's plant, all round free, facing south.
func machine(change func(*Rig)) plant {
	r := Rig{Train: drive.DefaultTrain(), Axle: drive.Axle{PanelKg: 6, WidthM: 0.7, LengthM: 0.8, Tilt: 40, BearingNm: 0.02, AccelDegPerS2: 10}}
	r.Season.Motor = drive.DefaultMotor()
	if change != nil {
		change(&r)
	}
	p := newPlant(&r, faultsOfPlant{})
	p.low, p.high = -180, 540
	p.place(180, 180)
	return p
}

// carry turns to a heading in parts, as a run does.
func (p *plant) carry(to, momentNm float64) (lostDeg float64) {
	way := p.steps(to)
	if way == 0 {
		return 0
	}
	p.energise()
	begin := p.told
	const parts = 7
	for range parts {
		p.turn(way/parts, momentNm)
	}
	p.told = begin + way
	return p.end()
}

// In still air the panel never leaves told by more than half the play, whatever
// moves are made, and told never leaves what was asked by more than half a
// microstep.
func TestBacklashHoldsThePanelNearTold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine(func(r *Rig) {
			play := compass.Angle(rapid.Float64Range(0, 5).Draw(t, "backlash"))
			r.Train.Measured = &play
		})
		for _, to := range rapid.SliceOfN(rapid.Float64Range(0, 360), 1, 20).Draw(t, "moves") {
			lost := p.carry(to, 0)
			if off := math.Abs(p.faces - p.told); off > p.halfDeg+1e-9 || lost != 0 { // rounding
				t.Fatalf("told %v, faces %v: %v apart, play %v to either side, %v lost", p.told, p.faces, off, p.halfDeg, lost)
			}
			if math.Abs(p.told-to) > p.stepDeg/2+1e-9 {
				t.Fatalf("asked for %v, told %v, a step is %v", to, p.told, p.stepDeg)
			}
		}
	})
}

// Turning on takes the play up on one side, turning back on the other: the
// panel stays behind by all the backlash between the two.
func TestBacklashByHand(t *testing.T) {
	play := compass.Angle(2)
	p := machine(func(r *Rig) { r.Train.Measured, r.Axle.BearingNm = &play, 0 })
	p.carry(200, 0)
	if math.Abs(p.faces-(p.told-1)) > 1e-9 { // rounding
		t.Errorf("after turning on it faces %v, told %v", p.faces, p.told)
	}
	p.carry(199, 0)
	if math.Abs(p.faces-199) > p.stepDeg { // told is whole steps
		t.Errorf("a turn back by half the play leaves it at %v, want 199", p.faces)
	}
	p.carry(190, 0)
	if math.Abs(p.faces-(p.told+1)) > 1e-9 {
		t.Errorf("after turning back it faces %v, told %v", p.faces, p.told)
	}
}

// Microsteps too fine for the friction are not taken until several have
// gathered: the rotor stays asin(friction/holding) of its sine behind.
func TestFineStepsGather(t *testing.T) {
	none := compass.Angle(0)
	p := machine(func(r *Rig) { r.Train.Measured, r.Axle.BearingNm = &none, 2 })
	// 2 Nm at the panel are 2/(10 x 0.96) at the shaft: asin(0.2083/0.4)/50 = 0.628 degrees there.
	want := math.Asin(2/9.6/0.4) * 180 / math.Pi / 50 / 10
	if math.Abs(p.halfDeg-want) > 1e-12 {
		t.Errorf("stays %v degrees behind, want %v", p.halfDeg, want)
	}
	p.carry(180+p.stepDeg, 0)
	if p.faces != 180 {
		t.Errorf("a single microstep of %v moves the panel to %v", p.stepDeg, p.faces)
	}
	p.carry(180+20*p.stepDeg, 0)
	if math.Abs(p.faces-(p.told-want)) > 1e-9 {
		t.Errorf("20 steps leave it at %v, told %v", p.faces, p.told)
	}
}

// A wind stronger than the motor loses whole periods of the field; a weaker one
// none; wind from behind none.
func TestStepsAreLostInWind(t *testing.T) {
	p := machine(nil)
	spare := p.torqueNm - p.needNm
	if lost := p.carry(200, -0.99*spare); lost != 0 {
		t.Errorf("%v degrees lost against less than the motor has", lost)
	}
	p = machine(nil)
	if lost := p.carry(200, 2*spare); lost != 0 {
		t.Errorf("%v degrees lost with the wind", lost)
	}
	p = machine(nil)
	lost := p.carry(200, -1.01*spare)
	periods := lost / p.periodDeg
	if math.Abs(periods-math.Round(periods)) > 1e-9 || math.Abs(lost-20) > p.periodDeg/2 {
		t.Errorf("%v degrees lost of 20, in periods of %v", lost, p.periodDeg)
	}
	if math.Abs(p.told-lost-p.rotor) > 1e-9 {
		t.Errorf("told %v, lost %v, the rotor is at %v", p.told, lost, p.rotor)
	}
}

// A motor too weak for its axle never moves.
func TestTooWeakAMotor(t *testing.T) {
	p := machine(func(r *Rig) { r.Train.BrakeNm = 1e3 })
	p.carry(300, 0)
	if math.Abs(p.faces-180) > p.periodDeg || p.told < 299 {
		t.Errorf("faces %v, told %v", p.faces, p.told)
	}
}

func TestEndStops(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := machine(nil)
		p.low, p.high = 100, 260
		for _, to := range rapid.SliceOfN(rapid.Float64Range(-400, 800), 1, 10).Draw(t, "moves") {
			lost := p.carry(to, 0)
			if p.faces < 100 || p.faces > 260 {
				t.Fatalf("faces %v, beyond a stop", p.faces)
			}
			if r := p.rotor; r-p.halfDeg > 260+1e-9 || r+p.halfDeg < 100-1e-9 {
				t.Fatalf("the motor stands at %v, beyond a stop", r)
			}
			if lost != 0 && p.stop == 0 {
				t.Fatal("steps lost without a stop")
			}
		}
	})
}

// The wind turns a panel whose motor is off as soon as its moment exceeds
// detent and friction, to where it stands broadside; a locking worm never.
func TestBlownRound(t *testing.T) {
	sail := PlateSail(40, 0.7, 0.8)
	p := machine(nil)
	from := 180.0 + 60
	pa := 1.01 * p.offNm / sail.at(from, 180)
	quiet := p
	if turned := quiet.blow(&sail, from, 0.98*pa, false); turned != 0 {
		t.Errorf("turned %v degrees by less than what holds it", turned)
	}
	if turned := p.blow(&sail, from, 3*pa, false); !(turned > 10) {
		t.Errorf("a wind from the right turned it by %v degrees", turned)
	}
	if m := p.momentNm(&sail, from, 3*pa); math.Abs(m) > p.offNm {
		t.Errorf("it came to rest under %v Nm, held by %v", m, p.offNm)
	}
	if p.told != 180 {
		t.Error("the drive has noticed")
	}
	held := machine(nil)
	if turned := held.blow(&sail, from, 3*pa, true); turned != 0 {
		t.Errorf("with its coils on it turned %v degrees", turned)
	}
	worm := machine(func(r *Rig) {
		r.Train.Stages = append(r.Train.Stages, drive.Stage{Kind: drive.Worm, Driver: 1, Driven: 40})
	})
	if turned := worm.blow(&sail, from, 1e5, false); turned != 0 {
		t.Errorf("a worm let it turn by %v degrees", turned)
	}
}

// An axle out of plumb lets an off-centre panel swing round to where it hangs.
func TestLeanTurnsThePanel(t *testing.T) {
	p := machine(func(r *Rig) {
		r.Train.Stepper.DetentNm, r.Axle.BearingNm = 0.001, 0
		r.Axle.OffsetM, r.Axle.Plumb = 0.1, 10
	})
	p.leanDeg = 270
	p.blow(&Sail{}, 0, 0, false)
	// It stops where its pull is what still holds it.
	rest := math.Asin(p.offNm/p.plumbNm) * 180 / math.Pi
	if off := math.Abs(270 - p.faces); off > rest+1+p.freeDeg { // a degree is how finely it goes
		t.Errorf("it swung to %v, wants 270 within %v", p.faces, rest)
	}
}

// After it was turned from outside, the field catches the rotor within half a
// period, so that what is lost is whole periods.
func TestFieldCatchesTheRotor(t *testing.T) {
	sail := PlateSail(40, 0.7, 0.8)
	p := machine(nil)
	p.blow(&sail, 240, 50, false)
	p.energise()
	periods := (p.rotor - p.told) / p.periodDeg
	if periods == 0 || math.Abs(periods-math.Round(periods)) > 1e-9 {
		t.Errorf("the rotor is %v periods from where it was", periods)
	}
}

func TestSailIsItsOwnMirrorImage(t *testing.T) {
	s := PlateSail(40, 0.7, 0.8)
	rapid.Check(t, func(t *rapid.T) {
		from, faces := rapid.Float64Range(-720, 720).Draw(t, "from"), rapid.Float64Range(-720, 720).Draw(t, "faces")
		if a, b := s.at(from, faces), s.at(2*faces-from, faces); math.Abs(a+b) > 1e-9 { // rounding of the angles
			t.Fatalf("%v from one side, %v from the other", a, b)
		}
		if math.Abs(s.at(from, faces)) > s.strongest() {
			t.Fatal("stronger than the strongest")
		}
	})
}
