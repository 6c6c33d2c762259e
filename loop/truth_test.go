package loop

import (
	"context"
	"math"
	"testing"

	"turnsole/aim"
	"turnsole/battery"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/place"
	"turnsole/weather"
)

// noon is a runner at noon of a clear day in March, its panel still.
func noon(t *testing.T, airC float32, change func(*Rig)) *runner {
	t.Helper()
	rig := rigAt(t, wales)
	rig.Season.Battery.Battery.Endless = false
	rig.Season.Battery.Battery.StartShare = 0.5
	change(&rig)
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 3, 20, 1), clearAir, airC, 2))
	r, err := newRunner(g, &Input{Rig: rig, Use: use(sleeper)})
	must(t, err)
	r.pass(12*3600+61, asleep)
	return r
}

// readNow is the true current as it flows, and the power behind the glass.
func (r *runner) readNow() (currentA, mostW float64) {
	k, i := r.step()
	light := r.see(k, i, r.second-float64(r.slot)*r.g.slotS)
	cellC := r.g.light.AirC[i] + r.warmth.aboveAirC
	return r.currentA(i, light.enteredWm2), r.g.low(light.enteredWm2, cellC)
}

// What the charge controller does not want, the sensor does not see.
func TestCurrentFollowsTheCharger(t *testing.T) {
	full, mostW := noon(t, 15, func(*Rig) {}).readNow()
	if volts := mostW / full; full < 2 || volts < 15 || volts > 20 { // an 80 W panel for 12 V
		t.Fatalf("a thirsty battery draws %v A from %v W", full, mostW)
	}
	limited := noon(t, 15, func(r *Rig) { r.Season.Battery.Charger.InputLimitW = 20 })
	if a, _ := limited.readNow(); !(a*20 < 23 && a*20 > 17) { // 20 W at some 20 V
		t.Errorf("with a limit of 20 W %v A flow", a)
	}
	if limited.sum.Battery.LimitLossWh == 0 {
		t.Error("nothing was lost over the limit")
	}
	brim := noon(t, 15, func(r *Rig) { r.Season.Battery.Battery.StartShare = 1 })
	if a, _ := brim.readNow(); a > 0.05*full {
		t.Errorf("a full battery draws %v A", a)
	}
	nearly := noon(t, 15, func(r *Rig) { // cut small: a battery in its last hundredth
		r.Season.Battery.Battery.StartShare, r.Season.Battery.Battery.CapacityWh = 0.5, 300
	})
	nearly.state.Share = 0.999
	nearly.takesW = nearly.wantsW(&battery.Input{CellC: 15}, 1)
	if a, _ := nearly.readNow(); !(a > 0.05*full && a < 0.6*full) {
		t.Errorf("a nearly full battery draws %v A of %v", a, full)
	}
	cold := noon(t, -10, func(*Rig) {})
	if a, w := cold.readNow(); a > 0.01 || w < mostW/2 {
		t.Errorf("below freezing %v A flow, of %v W", a, w)
	}
	if cold.sum.Battery.ColdLossWh == 0 {
		t.Error("nothing was lost to the cold")
	}
}

// After a change the tracker comes to the new current by 63 % in its time.
func TestTrackerSettles(t *testing.T) {
	tr := truth{rig: &Rig{TrackerSettleS: 3}, trackedA: 1}
	if got, want := tr.trackerA(2, 3), 2-math.Exp(-1); math.Abs(got-want) > 1e-12 {
		t.Errorf("%v A after 3 s, want %v", got, want)
	}
	if got := tr.trackerA(2, 60); math.Abs(got-2) > 1e-6 {
		t.Errorf("%v A after a minute", got)
	}
}

// The wander of the tracker has the spread that it is said to have.
func TestTrackerWanders(t *testing.T) {
	tr := truth{rig: &Rig{TrackerWander: 0.02}, seed: 4}
	var sum, squares float64
	const n = 20000
	for k := range n {
		a := tr.trackerA(1, float64(k)*wanderS)
		sum, squares = sum+a, squares+a*a
	}
	mean := sum / n
	if spread := math.Sqrt(squares/n - mean*mean); math.Abs(mean-1) > 0.001 || math.Abs(spread-0.02) > 0.001 { // three standard errors and more
		t.Errorf("mean %v, spread %v", mean, spread)
	}
}

// Two light sensors with a shade tell which side the sun is on.
func TestEyesTellTheSide(t *testing.T) {
	tr := truth{rig: &Rig{Eyes: true}}
	for _, c := range []struct{ facesDeg, sunDeg, low, high float64 }{
		{180, 180, -0.03, 0.03}, {180, 150, 0.7, 0.9}, {180, 210, -0.9, -0.7}, {180, 190, -0.45, -0.35}, {350, 20, -0.9, -0.7}, {180, 0, -0.03, 0.03},
	} {
		tr.heading.Azimuth = compass.Angle(c.facesDeg)
		if got := tr.eyes(glimpse{sunDeg: c.sunDeg, beamShare: 0.8}, 5); got < c.low || got > c.high {
			t.Errorf("facing %v, the sun at %v: %v, want %v to %v", c.facesDeg, c.sunDeg, got, c.low, c.high)
		}
	}
}

// A level base changes nothing; one that leans toward where the panel looks
// makes it steeper by as much; aside, it turns the face.
func TestLeaningBase(t *testing.T) {
	for _, c := range []struct{ lean, toward, heading, tilt compass.Angle }{
		{5, 180, 180, 45}, {5, 0, 180, 35}, {40, 0, 0, 0},
	} {
		h, tilt := leant(180, 40, c.lean, c.toward)
		if math.Abs(float64(tilt-c.tilt)) > 1e-9 || c.tilt > 0 && math.Abs(float64(h-c.heading)) > 1e-9 { // rounding
			t.Errorf("leaning by %v toward %v it faces %v at %v", c.lean, c.toward, h, tilt)
		}
	}
	h, tilt := leant(180, 40, 5, 270)
	// By hand: normal (0, -sin 40, cos 40) turned by 5 degrees to the west.
	up, west := math.Cos(40*math.Pi/180)*math.Cos(5*math.Pi/180), math.Cos(40*math.Pi/180)*math.Sin(5*math.Pi/180)
	if math.Abs(tilt.Cos()-up) > 1e-12 || math.Abs(compass.Angle(h-180).Sin()*tilt.Sin()-west) > 1e-12 {
		t.Errorf("leaning aside it faces %v at %v", h, tilt)
	}
}

// Behind a skyline the sun goes bit by bit within its own breadth.
func TestSkylineTakesTheSunBitByBit(t *testing.T) {
	rig := rigAt(t, wales)
	line, err := place.NewSkyline(nil, []place.Obstacle{{From: 0, To: 360, HeightM: 1, DistanceM: 5}})
	must(t, err)
	rig.Season.Spot.Skyline = line
	g := lay(t, &rig, yearOf(t, rig.Season.Spot, calendar(wales, 3600, 3, 20, 1), clearAir, 15, 2))
	tr := newTruth(g, &rig, &Input{})
	edge := float64(line.At(180))
	for above, want := range map[float64]float64{-0.3: 0, 0: 0.5, 0.3: 1, 0.1: 0.5 + 0.1/sunWideDeg} {
		if got := tr.g.clearOf(180, compass.Angle(edge+above).Sin()); math.Abs(got-want) > 1e-9 {
			t.Errorf("%v degrees above the edge %v of the panel is lit, want %v", above, got, want)
		}
	}
}

// A controller that lives on the panel's own power wakes at dawn where the
// evening left it, believing it is still.
func TestSupplyFailsByNight(t *testing.T) {
	rig := rigAt(t, wales)
	rig.DaySupply = true
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 6, 20, 3), clearAir, 15, 2))
	fresh, west := 0, 0.0
	out := run(t, g, Input{Rig: rig, Use: func(site aim.Site) (aim.Policy, error) {
		turned := false
		return plain(func(s *aim.Sight) aim.Command {
			if s.Fresh {
				fresh++
				if s.Told != site.Still {
					t.Errorf("power came back and it believed in %v", s.Told)
				}
			}
			if !turned && s.CurrentA > 1 {
				turned = true
				return aim.Command{Verb: aim.Turn, To: 270}
			}
			return aim.Command{Verb: aim.Sleep, Seconds: 900}
		}), nil
	}, Trace: &Trace{Day: 2}, Steps: true})
	if out.Total.Reboots != 3 || fresh != 4 || out.Total.DarkControllerH < 10 {
		t.Errorf("%v reboots, %d fresh starts, %v h without supply", out.Total.Reboots, fresh, out.Total.DarkControllerH)
	}
	// It turns 90 degrees on from where it stood each day, until the stop at 350.
	if west = float64(out.Headings[len(out.Headings)-1]); math.Abs(west-350) > 0.5 { // backlash and a spring back
		t.Errorf("on the third evening it faces %v", west)
	}
}

// A battery that runs out takes the controller with it, until it is charged.
func TestEmptyBatteryTakesTheController(t *testing.T) {
	rig := rigAt(t, wales)
	rig.Season.Battery.Battery = battery.New(rig.Season.Battery.Battery.Chemistry, 3)
	rig.Season.Battery.Battery.StartShare = 0.05
	rig.Season.Board = drive.Board{AwakeW: 0.5, AsleepW: 0.5, WakeEveryS: 900}
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 6, 20, 2), clearAir, 15, 2))
	out := run(t, g, Input{Rig: rig, Use: use(func(*aim.Sight) aim.Command { return aim.Command{Verb: aim.Sleep, Seconds: 600} })}).Total
	// 0.15 Wh last 18 minutes of 0.5 W; and the second night is longer than 3 Wh last.
	if out.Reboots != 2 || out.DarkControllerH < 3 || out.DarkControllerH > 12 {
		t.Errorf("%v reboots, %v h without supply", out.Reboots, out.DarkControllerH)
	}
}

// The headings and hours that are handed on bring the same light and own use as
// the run itself.
func TestStepsTellTheRun(t *testing.T) {
	rig := rigAt(t, wales)
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 3, 10, 6), changingAir, 15, 2))
	in := Input{Rig: rig, Policy: "clock", Settings: aim.DefaultSettings("clock", rig.Site(g)), Steps: true}
	out := run(t, g, in)
	tilts, light := make([]float32, g.Steps()), make([]float64, g.Steps())
	aim.Hold(rig.Season.Stand.Tilt, tilts)
	g.light.On(out.Headings, tilts, light, nil)
	var lightWh, ownWh float64
	for _, w := range light {
		lightWh += w * g.slotS / 3600
	}
	for _, wh := range out.OwnWh {
		ownWh += float64(wh)
	}
	// The mean heading of ten minutes is no more than a few degrees from any in
	// it, which moves 1e-4 of the light.
	if got := out.Total.LightWhM2; math.Abs(lightWh/got-1) > 5e-4 {
		t.Errorf("the headings bring %v Wh/m2, the run %v", lightWh, got)
	}
	if got := out.Total.Own.Wh(); math.Abs(ownWh/got-1) > 1e-5 { // float32
		t.Errorf("the hours tell %v Wh, the run %v", ownWh, got)
	}
}

func TestDaysAndSeasonsAddUp(t *testing.T) {
	rig := rigAt(t, wales)
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 2, 20, 20), changingAir, 15, 2))
	out := run(t, g, Input{Rig: rig, Policy: "climb", Settings: aim.DefaultSettings("climb", rig.Site(g)), Seed: 3})
	var days, seasons Sum
	for i := range out.Days {
		days.add(&out.Days[i])
	}
	for i := range out.Seasons {
		seasons.add(&out.Seasons[i])
	}
	for _, s := range []Sum{days, seasons} {
		if math.Abs(s.LightWhM2/out.Total.LightWhM2-1) > 1e-12 || math.Abs(s.NetWh()/out.Total.NetWh()-1) > 1e-12 || s.Days != 20 { // rounding
			t.Errorf("%+v, the total %+v", s, out.Total)
		}
	}
	if out.Seasons[0].Days != 9 || out.Seasons[1].Days != 11 {
		t.Errorf("%v days of winter, %v of spring", out.Seasons[0].Days, out.Seasons[1].Days)
	}
}

// A traced run is the run it would have been, and its points go on in time.
func TestTraceOnlyLooks(t *testing.T) {
	rig := rigAt(t, wales)
	rig.Common()
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 6, 20, 2), changingAir, 15, 2))
	in := Input{Rig: rig, Policy: "climb", Settings: aim.DefaultSettings("climb", rig.Site(g)), Seed: 3}
	plain := run(t, g, in)
	in.Trace = &Trace{Day: 1}
	if traced := run(t, g, in); traced.Total != plain.Total {
		t.Error("tracing changed the run")
	}
	tr := in.Trace
	n := len(tr.Hour)
	if n < 1440 || len(tr.SunDeg) != n || len(tr.WantDeg) != n || len(tr.ToldDeg) != n || len(tr.FacesDeg) != n || len(tr.CurrentA) != n || len(tr.LightWm2) != n || len(tr.TurnedWm2) != n || len(tr.Awake) != n {
		t.Fatalf("%d points, or columns of other lengths", n)
	}
	for k := 1; k < n; k++ {
		if tr.Hour[k] < tr.Hour[k-1] || tr.Hour[k] > 24 {
			t.Fatalf("point %d at %v h follows one at %v h", k, tr.Hour[k], tr.Hour[k-1])
		}
	}
}

// Without knowing where it points, a clock is wrong by as much.
func TestUnknownHeading(t *testing.T) {
	rig := rigAt(t, wales)
	rig.Low, rig.High = -180, 540
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 3, 20, 1), clearAir, 15, 2))
	west := compass.Angle(270)
	got := run(t, g, Input{Rig: rig, Use: follower(60), Faces: &west}).Total
	if got.Error.MeanDeg < 85 || got.Error.MeanDeg > 95 { // 90, and the backlash
		t.Errorf("%v degrees off", got.Error.MeanDeg)
	}
}

func TestRefusals(t *testing.T) {
	rig := rigAt(t, wales)
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 3, 20, 1), clearAir, 15, 2))
	good := Input{Rig: rig, Policy: "clock", Settings: aim.DefaultSettings("clock", rig.Site(g))}
	run(t, g, good)
	for name, change := range map[string]func(*Input){
		"no clock":       func(in *Input) { in.Rig.Clock = false },
		"a lost clock":   func(in *Input) { in.Faults.NoClock = true },
		"no policy":      func(in *Input) { in.Policy = "" },
		"no sleep":       func(in *Input) { in.Settings.WakeEveryS = 0 },
		"no such day":    func(in *Input) { in.Days = []int{1} },
		"no days":        func(in *Input) { in.Days = []int{} },
		"stops crossed":  func(in *Input) { in.Rig.Low, in.Rig.High = 300, 100 },
		"still outside":  func(in *Input) { in.Rig.Low, in.Rig.High = 200, 300 },
		"clouds":         func(in *Input) { in.Rate = math.NaN() },
		"gain":           func(in *Input) { in.Faults.Gain = -1 },
		"wander":         func(in *Input) { in.Rig.TrackerWander = 2 },
		"settling":       func(in *Input) { in.Rig.TrackerSettleS = -1 },
		"start":          func(in *Input) { in.Rig.BootS = math.Inf(1) },
		"switch":         func(in *Input) { in.Rig.HomeWithin = -1 },
		"sail":           func(in *Input) { in.Rig.Sail[3] = math.NaN() },
		"sensor":         func(in *Input) { in.Rig.Sensor.Bits = 0 },
		"train":          func(in *Input) { in.Rig.Train.BrakeNm = -1 },
		"no motor":       func(in *Input) { in.Rig.Season.Motor.DegreesPerS = 0 },
		"no light sleep": func(in *Input) { in.Faults.SleepError = -1 },
	} {
		bad := good
		change(&bad)
		if _, err := Run(context.Background(), g, bad); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// Whatever a policy did before, at one and the same second it meets the same
// clouds, the same wander and the same noise.
func TestChanceHangsOnTimeAlone(t *testing.T) {
	rig := rigAt(t, wales)
	rig.TrackerWander, rig.Sensor.NoiseA, rig.Eyes, rig.WindSensor = 0.02, 0.02, true, true
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 3, 20, 1), changingAir, 15, 5))
	seen := func(everyS float64) map[int]aim.Sight {
		at := map[int]aim.Sight{}
		run(t, g, Input{Rig: rig, Seed: 8, Use: use(func(s *aim.Sight) aim.Command {
			at[int(math.Round(s.UpS))] = *s
			return aim.Command{Verb: aim.Rest, Seconds: everyS}
		})})
		return at
	}
	often, rarely := seen(30), seen(900)
	compared := 0
	for second, s := range rarely {
		o := often[second]
		// The panel's warmth is summed in other stretches: a thousandth of an
		// ampere; the noise is twenty.
		if math.Abs(o.CurrentA-s.CurrentA) > 0.001 || math.Abs(o.Eyes-s.Eyes) > 1e-9 || o.WindMS != s.WindMS {
			t.Errorf("at %d s: %+v and %+v", second, s, o)
		}
		if s.CurrentA > 0.5 {
			compared++
		}
	}
	if compared < 20 {
		t.Errorf("only %d readings by daylight", compared)
	}
}

// A year may lie on the coarser steps that made years share.
func TestLayOnAnotherGrid(t *testing.T) {
	rig := rigAt(t, wales)
	c := calendar(wales, 3600, 3, 20, 2)
	grid, err := weather.NewGrid(context.Background(), wales, c, [12]float64{}, 1200)
	must(t, err)
	y := yearOf(t, wales, c, changingAir, 15, 2)
	g, err := LayOn(context.Background(), grid, &rig.Season, y)
	must(t, err)
	fine := lay(t, &rig, y)
	in := Input{Rig: rig, Policy: "clock", Settings: aim.DefaultSettings("clock", rig.Site(g)), Steps: true}
	got, want := run(t, g, in), run(t, fine, in)
	if len(got.Headings) != g.Steps() || g.Steps() > fine.Steps()/2+4 {
		t.Errorf("%d headings on %d steps, %d on the finer grid", len(got.Headings), g.Steps(), fine.Steps())
	}
	// Twenty minutes move energy by less than 0.5 % on single days.
	if a, b := got.Total.LightWhM2, want.Total.LightWhM2; math.Abs(a/b-1) > 0.005 {
		t.Errorf("%v Wh/m2 on coarse steps, %v on fine ones", a, b)
	}
}
