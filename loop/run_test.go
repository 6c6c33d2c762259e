package loop

import (
	"context"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"turnsole/aim"
	"turnsole/battery"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/place"
	"turnsole/season"
	"turnsole/sensor"
	"turnsole/weather"
)

var wales = spotAt(52.28, -3.62)

// A panel that nobody turns gets what season's still way gets.
func TestHeldPanelIsStill(t *testing.T) {
	rig := rigAt(t, wales)
	rig.BootS = 0
	y := yearOf(t, wales, calendar(wales, 3600, 3, 10, 20), changingAir, 15, 2)
	out, err := season.Run(context.Background(), season.Input{Rig: rig.Season, Years: []*weather.Year{y}, Ways: []string{season.Turning}})
	must(t, err)
	g := lay(t, &rig, y)
	got := run(t, g, Input{Rig: rig, Use: use(sleeper)}).Total
	still, turning := out.Row(season.Still).Total, out.Row(season.Turning).Total
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"light", got.LightWhM2 / 1000, still.LightKWhM2},
		{"panel", got.PanelWh, still.PanelWh},
		{"stored", got.Battery.StoredWh, still.StoredWh},
		{"the ground's still light", got.StillLightWhM2 / 1000, still.LightKWhM2},
		{"the ground's still panel", got.StillPanelWh, still.PanelWh},
		{"the ground's turning light", got.TurningLightWhM2 / 1000, turning.LightKWhM2},
		{"the ground's turning panel", got.TurningPanelWh, turning.PanelWh},
	} {
		// Season keeps an hour's energy as a float32: 6e-8 of it.
		if math.Abs(c.got/c.want-1) > 1e-6 {
			t.Errorf("%s: %v, season has %v", c.name, c.got, c.want)
		}
	}
}

// Endless steps, a clock that is right and a wake every few seconds turn the
// panel exactly.
func TestPerfectSensesTurnExactly(t *testing.T) {
	for name, of := range map[string]air{"clear": clearAir, "beam": beamAir, "changing": changingAir} {
		rig := rigAt(t, wales)
		rig.Train.Stepper.Microsteps = 256
		none := compass.Angle(0)
		rig.Train.Measured = &none
		g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 6, 20, 3), of, 15, 2))
		got := run(t, g, Input{Rig: rig, Use: follower(10)}).Total
		if lost := 1 - got.ShareOfTurning(); math.Abs(lost) > 0.001 {
			t.Errorf("%s: %.4f %% of the light of exact turning is lost", name, 100*lost)
		}
		if got.Error.MeanDeg > 0.1 { // a microstep is 0.0007 degrees, the sun goes 0.07 in ten seconds
			t.Errorf("%s: %v degrees off on average", name, got.Error.MeanDeg)
		}
	}
}

// A panel held e degrees beside the sun loses 1 - cos e of what the beam's level
// part gives it.
func TestHeldErrorsLoseTheirCosine(t *testing.T) {
	rig := rigAt(t, wales)
	rig.Season.Stand.Tilt = 90 // upright: all of the beam that falls is its level part
	rig.Season.Spot.Albedo = [12]float64{}
	none := compass.Angle(0)
	rig.Train.Measured = &none
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 3, 20, 1), beamAir, 15, 2))
	exact := run(t, g, Input{Rig: rig, Use: follower(20)}).Total
	for _, off := range []compass.Angle{1, 3, 10, 30, 60} {
		in := Input{Rig: rig, Use: follower(20)}
		in.Faults.CompassDeg = off
		got := run(t, g, in).Total
		// The night's return and the ends of the day, where it cannot be so far
		// off: 0.1 % of the light.
		if lost := 1 - got.LightWhM2/exact.LightWhM2; math.Abs(lost-(1-off.Cos())) > 0.001 {
			t.Errorf("%v degrees off lose %.5f, the cosine says %.5f", off, lost, 1-off.Cos())
		}
	}
}

// Sleeping T lets the sun go on by its rate times T: 1 - sin x / x of the level
// beam is lost on average, x the angle gone in T.
func TestSleepLosesWhatTheSunGoesOn(t *testing.T) {
	// At the pole the azimuth goes on by 15 degrees an hour all day long.
	pole := spotAt(89.9, 0)
	rig := rigAt(t, pole)
	rig.Season.Stand.Tilt = 90
	rig.Season.Spot.Albedo = [12]float64{}
	none := compass.Angle(0)
	rig.Train.Measured, rig.BootS = &none, 0
	rig.Low, rig.High = -400, 1000
	g := lay(t, &rig, yearOf(t, pole, calendar(pole, 60, 6, 20, 1), beamAir, 0, 2))
	for _, minutes := range []float64{5, 15, 30, 60, 120} {
		got := run(t, g, Input{Rig: rig, Use: follower(60 * minutes)}).Total
		x := 15 * minutes / 60 * math.Pi / 180
		want := 1 - math.Sin(x)/x
		// The day's first turn, half round in 60 s: the mean of a cosine that is
		// cut off below 0 is 1/pi.
		want += 60.0 / 86400 * (1 - 1/math.Pi)
		// The motor's own time, 1 s for 3 degrees.
		if lost := 1 - got.ShareOfTurning(); math.Abs(lost-want) > 0.02*want {
			t.Errorf("sleeping %v minutes loses %.5f, want %.5f", minutes, lost, want)
		}
	}
}

// Whatever a policy asks, energy is conserved and nothing is negative or NaN.
func TestAnyPolicyKeepsTheLedger(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		rig, g := anyRig(t, rt)
		mad := rapid.SliceOfN(rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), -5, 0, 0.3, 7, 90, 200, 271, 1e4, 1e300}), 5, 5).Draw(rt, "numbers")
		turn, seeds := 0, rapid.Uint64().Draw(rt, "seed")
		in := Input{Rig: rig, Seed: seeds, Rate: 1, Steps: true, Use: use(func(s *aim.Sight) aim.Command {
			turn++
			return aim.Command{Verb: aim.Verb(turn*7%11%4 - turn%13/12), Seconds: mad[turn%5]*float64(turn%3) + 60, To: compass.Angle(mad[turn%4] + float64(turn%360))}
		})}
		in.Faults.SleepError = rapid.SampledFrom([]float64{0, -0.1, 0.1}).Draw(rt, "sleep error")
		in.Faults.LevelDeg = compass.Angle(rapid.SampledFrom([]float64{0, 3}).Draw(rt, "lean"))
		out, err := Run(context.Background(), g, in)
		if err != nil {
			rt.Fatal(err)
		}
		keepsTheLedger(rt, &rig, out)
	})
}

// So does every policy that there is, on any rig with any faults.
func TestPoliciesKeepTheLedger(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		rig, g := anyRig(t, rt)
		policy := rapid.SampledFrom(aim.Policies()).Draw(rt, "policy")
		in := Input{Rig: rig, Policy: policy, Settings: aim.DefaultSettings(policy, rig.Site(g)), Seed: rapid.Uint64().Draw(rt, "seed"), Rate: 2, Steps: true}
		in.Settings.TrialEveryS = rapid.SampledFrom([]float64{0, 1800}).Draw(rt, "trial")
		if rapid.Bool().Draw(rt, "faults") {
			in.Faults = sensor.Faults{OffsetA: 0.05, Gain: 0.9, DriftAPerDay: 0.01, ClockPPM: 50, SleepError: 0.1,
				CompassDeg: 15, LevelDeg: 4, LevelToward: 80, TiltBy: -10}
		}
		out, err := Run(context.Background(), g, in)
		if err != nil {
			rt.Fatal(err)
		}
		keepsTheLedger(rt, &rig, out)
	})
}

func keepsTheLedger(t *rapid.T, rig *Rig, out *Outcome) {
	flat(t, "total", reflect.ValueOf(out.Total))
	s := out.Total
	f := s.Battery
	if sum := f.ChargerLossWh + f.LimitLossWh + f.FullLossWh + f.ColdLossWh + f.StoredWh; math.Abs(sum-f.PanelWh) > 1e-6*(1+f.PanelWh) { // rounding
		t.Fatalf("panel %v Wh, gone %v Wh", f.PanelWh, sum)
	}
	if rig.Season.Battery.Charger.Kind == battery.MPPT && math.Abs(f.PanelWh-s.PanelWh) > 1e-6*(1+s.PanelWh) {
		t.Fatalf("the battery saw %v Wh of %v", f.PanelWh, s.PanelWh)
	}
	if asked := f.OwnUseWh + f.OwnShortWh; math.Abs(asked-s.Own.Wh()) > 1e-6*(1+asked) {
		t.Fatalf("the stand asked for %v Wh, the battery saw %v", s.Own.Wh(), asked)
	}
	if s.TurningLightWhM2 > 0 && s.ShareOfTurning() > 1.3 { // diffuse light may favour another heading
		t.Fatalf("%v of exact turning", s.ShareOfTurning())
	}
	for _, h := range out.Headings {
		if h != h {
			t.Fatal("a heading is not a number")
		}
	}
}

// flat reports figures that are negative or not finite.
func flat(t *rapid.T, name string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); !(x >= 0) || math.IsInf(x, 1) {
			t.Fatalf("%s is %v", name, x)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			flat(t, name+"."+v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Array:
		for i := range v.Len() {
			flat(t, name, v.Index(i))
		}
	}
}

// anyRig is a rig of any kind on two days of any weather.
func anyRig(t testing.TB, rt *rapid.T) (Rig, *Ground) {
	spot := spotAt(compass.Angle(rapid.SampledFrom([]float64{-70, -45, -6, 0, 6, 52, 70, 90}).Draw(rt, "latitude")), 10)
	rig := rigAt(t, spot)
	b := &rig.Season.Battery
	b.Battery.Endless = rapid.Bool().Draw(rt, "endless")
	b.Battery.StartShare = rapid.SampledFrom([]float64{0, 0.01, 0.5, 0.98, 1}).Draw(rt, "charge")
	b.Battery.CapacityWh = rapid.SampledFrom([]float64{5, 500}).Draw(rt, "capacity")
	if rapid.Bool().Draw(rt, "pwm") {
		c, err := battery.ChargerNamed("pwm")
		must(t, err)
		b.Charger = c
	}
	b.Charger.InputLimitW = rapid.SampledFrom([]float64{0, 20}).Draw(rt, "limit")
	if rapid.Bool().Draw(rt, "skyline") {
		line, err := place.NewSkyline(nil, []place.Obstacle{{From: 60, To: 130, HeightM: 2, DistanceM: 5}, {From: 200, To: 300, HeightM: 30, DistanceM: 50}})
		must(t, err)
		rig.Season.Spot.Skyline = line
	}
	rig.Season.Loads = []battery.Load{{Name: "lamp", PowerW: 5, FromHour: 18, ToHour: 24}}
	rig.Train.Stepper.CoilsOn = rapid.Bool().Draw(rt, "coils on")
	rig.DaySupply = rapid.Bool().Draw(rt, "day supply")
	rig.StopSwitch = rapid.Bool().Draw(rt, "stop switch")
	rig.Eyes, rig.Home, rig.WindSensor, rig.HomeWithin = true, true, true, 3
	rig.TrackerWander, rig.TrackerSettleS = 0.02, 3
	rig.Sail = PlateSail(40, 0.7, 0.8)
	rig.Axle.OffsetM, rig.Axle.Plumb = 0.1, compass.Angle(rapid.SampledFrom([]float64{0, 2, 20}).Draw(rt, "plumb"))
	rig.Axle.AccelDegPerS2 = rapid.SampledFrom([]float64{0, 5}).Draw(rt, "acceleration")
	of := rapid.SampledFrom([]air{clearAir, beamAir, overcastAir, changingAir}).Draw(rt, "air")
	airC, wind := rapid.SampledFrom([]float32{-15, 20}).Draw(rt, "warmth"), rapid.SampledFrom([]float32{0, 4, 15}).Draw(rt, "wind")
	step := rapid.SampledFrom([]int{60, 600, 1200, 3600}).Draw(rt, "step")
	return rig, lay(t, &rig, yearOf(t, rig.Season.Spot, calendar(spot, step, 6, 20, 2), of, airC, float32(wind)))
}

// The same input gives the same outcome; runs side by side do not touch one
// another.
func TestRunsRepeat(t *testing.T) {
	rig := rigAt(t, wales)
	rig.Common()
	rig.Sail = PlateSail(40, 0.7, 0.8)
	rig.Sensor.NoiseA = 0.02
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 3, 10, 5), changingAir, 15, 6))
	in := Input{Rig: rig, Policy: "climb", Settings: aim.DefaultSettings("climb", rig.Site(g)), Seed: 5}
	want := run(t, g, in)
	others := make(chan *Outcome, 2)
	for range 2 {
		go func() {
			out, _ := Run(context.Background(), g, in)
			others <- out
		}()
	}
	for range 2 {
		if got := <-others; !reflect.DeepEqual(got, want) {
			t.Error("the same input gave another outcome")
		}
	}
	in.Seed = 6
	if reflect.DeepEqual(run(t, g, in), want) {
		t.Error("another seed gave the same outcome")
	}
}

// A drive that runs all day long against a fine sky draws what its parts do.
func TestOwnUseByHand(t *testing.T) {
	rig := rigAt(t, wales)
	rig.Season.Board = drive.Board{AwakeW: 2, AsleepW: 0.1, WakeEveryS: 900}
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 6, 20, 1), clearAir, 15, 2))
	n := 0
	got := run(t, g, Input{Rig: rig, Use: use(func(s *aim.Sight) aim.Command {
		switch n++; n {
		case 1:
			return aim.Command{Verb: aim.Rest, Seconds: 100}
		case 2:
			return aim.Command{Verb: aim.Turn, To: 240} // 60 degrees at 3 a second: 20 s at 10 W are 200 J
		}
		return aim.Command{Verb: aim.Sleep, Seconds: 1e5}
	})}).Total
	motor, awake, asleep := 200.0/3600, 2*120.0/3600, 0.1*(86400-120)/3600
	// 60 degrees are not whole microsteps: half a one of 0.011 degrees.
	if math.Abs(got.Own.MotorWh-motor) > 1e-4*motor || math.Abs(got.Own.AwakeWh-awake) > 1e-4*awake || math.Abs(got.Own.AsleepWh-asleep) > 1e-4*asleep {
		t.Errorf("%+v, want %v %v %v", got.Own, motor, awake, asleep)
	}
	if got.Moves != 1 || got.NightMoves != 1 || math.Abs(got.DegreesTurned-60) > 0.006 {
		t.Errorf("%v moves, %v by night, %v degrees", got.Moves, got.NightMoves, got.DegreesTurned)
	}
}
