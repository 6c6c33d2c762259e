package checks

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"turnsole/aim"
	"turnsole/battery"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/loop"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/season"
	"turnsole/sensor"
	"turnsole/stand"
	"turnsole/sun"
	"turnsole/weather"
)

func loopRooms() []Room {
	return append([]Room{
		{
			Title:  "Closed loop: a heading held beside the sun",
			Source: "e degrees beside the sun lose 1 - cos e of the beam: 1, 5, 10, 15 and 20 degrees lose 0.015, 0.38, 1.5, 3.4 and 6.0 % (derived, rounded). An upright panel under a sky without any light but the beam, all day long, turned by a policy that wakes every 20 s and is wrong by e",
			Reason: "half the last digit printed",
			Run:    heldErrors,
		},
		{
			Title:  "Closed loop: the sun's way round by the clock",
			Source: "the sun's azimuth goes on by 15 degrees an hour times sin p - cos p tan h cos A: latitude p, elevation h, azimuth A from north (spherical trigonometry, derived). How far the clock policy turns from half a minute before to half a minute after",
			Reason: "the formula lets the sun's declination stand still. It goes by up to 0.0165 degrees an hour, which turns the azimuth by as much over cos h at most; the equation of time goes by up to 30 s a day, 1/2880 of the rate",
			Run:    azimuthRates,
		},
		{
			Title:  "Closed loop: what the sun goes on in a sleep",
			Source: "a panel that sleeps while the sun goes on loses the mean of 1 - cos of what it has gone by: here on an upright panel under a beam that swells from 8 hours by the sun and is gone at 16, by spherical trigonometry with the declination of equinox and solstice, wakes counted from sunrise. The clock policy without lead in closed loop, a quick motor, weather by the minute",
			Reason: "1 % of the loss: the night's last sleep ends within a minute or two of sunrise, each turn takes up to 2 s, and weather by the minute has the sun stand still for as long",
			Run:    sleepLosses,
		},
		{
			Title:  "Closed loop: a turn and a sleep in joules",
			Source: "a turn of 60 degrees takes 20 s at 10 W, 200 J; a board that draws 1 W spends 900 J asleep for 900 s (common practice, no source; the rest is multiplication). A day of turns to and fro, sleeps and rests, by the loop's own books",
			Reason: "rounding of the microsteps, half of 0.0007 degrees a turn",
			Run:    joules,
		},
		{
			Title:  "Closed loop: perfect senses turn exactly",
			Source: "a clock that is right, light sensors or a current without noise, steps without end, no wind, a wake every few seconds: what is left to lose is nothing",
			Reason: "0.001, a thousandth of the light of exact turning, for the sun's way in some seconds and, where it hunts, the looks to either side. Who hunts is held to it in a clear sky only: while clouds pass, the best sensor cannot tell them from a turn",
			Run:    perfectSenses,
		},
		{
			Title:  "Closed loop: where a year's energy goes",
			Source: "conservation of energy, a made year on a small windy stand with a battery to fill and a lamp for the night, every fault in its sensors switched on: what the panel gave against stored, charger's loss, limit, full and cold together; what the stand asked for against what it got and lacked; and, with a battery without losses, what was stored, less what was used, against what can be in the battery at the end: 0 to 512 Wh",
			Reason: "rounding: 1 part per million, and 0.01 Wh of a battery's",
			Run:    loopLedger,
		},
	}, loopDayRooms()...)
}

// plainLoop is a rig with nothing in its way: an endless battery, no wind, no
// friction, no play and steps that are as good as endless.
func plainLoop(spot place.Spot) (loop.Rig, error) {
	diode, _, err := panel.Fit(panel.Label{PowerW: 80})
	if err != nil {
		return loop.Rig{}, err
	}
	charger, err := battery.ChargerNamed("mppt")
	if err != nil {
		return loop.Rig{}, err
	}
	chemistry, err := battery.ChemistryNamed("lifepo4")
	if err != nil {
		return loop.Rig{}, err
	}
	b := battery.New(chemistry, 512)
	b.Endless = true
	return looped(season.Rig{
		Spot: spot, Sky: plane.Isotropic, Diode: diode, Warmth: panel.OpenRack(),
		Battery: battery.System{Charger: charger, Battery: b},
		Stand:   stand.Stand{Tilt: 90, Highest: 90, Notches: 1, HandsFrom: 7, HandsTo: 21},
		Motor:   drive.DefaultMotor(), Board: drive.Board{WakeEveryS: 900},
	}), nil
}

// looped puts a rig on a perfect drive with perfect senses.
func looped(r season.Rig) loop.Rig {
	train := drive.DefaultTrain()
	train.Stepper.Microsteps, train.Measured = 256, new(compass.Angle)
	still := compass.Equatorward(r.Spot.Latitude)
	return loop.Rig{
		Season: r, Train: train, Axle: drive.Axle{PanelKg: 6, WidthM: 0.7, LengthM: 0.8, Tilt: r.Stand.Tilt},
		Sensor: sensor.Current{RangeA: 20, VPerA: 0.2, Bits: 24, ReferenceV: 5, Reads: 1},
		Low:    still - 360, High: still + 360, Clock: true, Eyes: true,
	}
}

// runLoop runs a rig in closed loop and returns what all days bring.
func runLoop(ground *loop.Ground, in loop.Input) (*loop.Sum, error) {
	out, err := loop.Run(context.Background(), ground, in)
	if err != nil {
		return nil, err
	}
	return &out.Total, nil
}

// light is what a row of the sky brings, W/m2.
type light func(r weather.RowSky) (dni, dhi float64)

func evenBeam(r weather.RowSky) (dni, dhi float64)   { return 800 * r.UpShare, 0 }
func clearLight(r weather.RowSky) (dni, dhi float64) { return r.Clear.DNI, r.Clear.DHI }

// midday is a beam that rises from 8 hours by the sun and is gone at 16.
func midday(r weather.RowSky) (dni, dhi float64) { return 800 * middayShare(r.SunHour), 0 }

func middayShare(hour float64) float64 {
	return 0.5 + 0.5*math.Cos(math.Pi*min(math.Abs(hour-12)/4, 1))
}

// passing is clear and overcast by turns.
func passing(r weather.RowSky) (dni, dhi float64) {
	open := 0.5 + 0.5*math.Sin(5*r.SunHour)
	return open * r.Clear.DNI, r.Clear.DHI + 0.3*(1-open)*r.Clear.DNI*r.Up
}

// layDay lays one day of 2025 out under a light, at a spot near Greenwich.
func layDay(rig *loop.Rig, month time.Month, day, stepS int, of light) (*loop.Ground, error) {
	c := weather.Calendar{StepS: stepS, Midnight: []int64{time.Date(2025, month, day, 0, 0, 0, 0, time.UTC).Unix()}}
	grid, err := weather.NewGrid(context.Background(), rig.Season.Spot, c, [12]float64{}, 0)
	if err != nil {
		return nil, err
	}
	n := c.Rows()
	y := &weather.Year{
		Calendar: c, GHI: make([]float32, n), DNI: make([]float32, n), DHI: make([]float32, n),
		AirC: make([]float32, n), WindMS: make([]float32, n),
	}
	for i, r := range grid.Sky() {
		dni, dhi := of(r)
		y.DNI[i], y.DHI[i], y.GHI[i] = float32(dni), float32(dhi), float32(dni*r.Up+dhi)
	}
	return loop.LayOn(context.Background(), grid, &rig.Season, y)
}

// beside is a policy that turns to a heading beside the sun, wake after wake.
type beside struct {
	site   aim.Site
	off    compass.Angle
	turned bool
}

func (b *beside) Next(s *aim.Sight) aim.Command {
	b.turned = !b.turned
	azimuth, elevation := make([]float64, 1), make([]float64, 1)
	b.site.Path.Positions(sun.JulianDayUnix(s.UnixS+10), 1, azimuth, elevation) // in the middle of the sleep
	if b.turned && elevation[0] > -3 {
		return aim.Command{Verb: aim.Turn, To: s.Told + compass.Turn(s.Told, compass.Angle(azimuth[0])+b.off)}
	}
	return aim.Command{Verb: aim.Sleep, Seconds: 20}
}

func heldErrors(string) ([]Check, error) {
	rig, err := plainLoop(spotAt(52, 0, 0))
	if err != nil {
		return nil, err
	}
	ground, err := layDay(&rig, time.June, 20, 600, evenBeam)
	if err != nil {
		return nil, err
	}
	held := func(off compass.Angle) (*loop.Sum, error) {
		return runLoop(ground, loop.Input{Rig: rig, Use: func(s aim.Site) (aim.Policy, error) { return &beside{site: s, off: off}, nil }})
	}
	exact, err := held(0)
	if err != nil {
		return nil, err
	}
	var checks []Check
	for _, e := range []struct {
		off     compass.Angle
		percent float64
		digits  int
	}{{1, 0.015, 3}, {5, 0.38, 2}, {10, 1.5, 1}, {15, 3.4, 1}, {20, 6.0, 1}} {
		got, err := held(e.off)
		if err != nil {
			return nil, err
		}
		checks = append(checks, Check{fmt.Sprintf("%.0f degrees beside the sun: lost", float64(e.off)), e.percent, 100 * (1 - got.LightWhM2/exact.LightWhM2), "%",
			0.5 * math.Pow10(-e.digits), e.digits})
	}
	return checks, nil
}

// onTime are settings with which the clock turns to where the sun stands at
// each wake, and to nowhere else.
func onTime(site aim.Site, sleepS float64) aim.Settings {
	s := aim.DefaultSettings("clock", site)
	s.WakeEveryS, s.LeadShare, s.MoveLeastDeg, s.ThreePointDeg, s.ParkHeading = sleepS, 0, 0, 0, "stay"
	return s
}

func azimuthRates(string) ([]Check, error) {
	var checks []Check
	for _, e := range []struct {
		latitude   float64
		month      time.Month
		day, hours int
	}{
		{70, time.June, 20, 12}, {70, time.June, 20, 21}, {52, time.June, 20, 7}, {52, time.June, 20, 12}, {52, time.March, 20, 9}, {52, time.December, 21, 12},
		{40, time.March, 20, 10}, {30, time.June, 20, 12}, {10, time.December, 21, 15}, {0, time.June, 20, 10}, {-34, time.December, 21, 8}, {-34, time.June, 20, 13},
	} {
		spot := spotAt(e.latitude, 0, 0)
		at := time.Date(2025, e.month, e.day, e.hours, 0, 0, 0, time.UTC)
		turned, err := turnedInAnHour(spot, at)
		if err != nil {
			return nil, err
		}
		jd := sun.JulianDayOf(at)
		airless := sun.At(spot)
		airless.PressureHPa = 0
		p := sun.PositionAt(jd, airless, sun.DeltaT(jd))
		rate := 15 * (spot.Latitude.Sin() - spot.Latitude.Cos()*math.Tan(p.Elevation.Radians())*p.Azimuth.Cos())
		checks = append(checks, Check{fmt.Sprintf("latitude %.0f, %s, %d h", e.latitude, at.Format("2 January"), e.hours), rate, turned, "deg/h",
			0.0165/p.Elevation.Cos() + math.Abs(rate)/2880, 2})
	}
	return checks, nil
}

// turnedInAnHour is how fast the clock policy turns about a time, degrees an
// hour, positive clockwise.
func turnedInAnHour(spot place.Spot, at time.Time) (float64, error) {
	jd := sun.JulianDayOf(at)
	still := compass.Equatorward(spot.Latitude)
	site := aim.Site{
		Spot: spot, Still: still, Low: still - 360, High: still + 360, StepDeg: 1e-9, BestA: 5,
		Path: sun.NewPath(sun.At(spot), jd-2, jd+2, sun.DeltaT(jd)),
	}
	var to [2]compass.Angle
	for i := range to {
		p, err := aim.New("clock", onTime(site, 900), site)
		if err != nil {
			return 0, err
		}
		c := p.Next(&aim.Sight{Fresh: true, HasClock: true, CurrentA: 5, Told: still, UnixS: float64(at.Unix() - 30 + 60*int64(i))})
		if c.Verb != aim.Turn {
			return 0, fmt.Errorf("latitude %g, %v: no turn but %v", float64(spot.Latitude), at, c.Verb)
		}
		to[i] = c.To
	}
	return 60 * float64(compass.Turn(to[0], to[1])), nil
}

func sleepLosses(string) ([]Check, error) {
	var checks []Check
	for _, e := range []struct {
		latitude    float64
		month       time.Month
		day         int
		declination compass.Angle
	}{{65, time.June, 21, 23.44}, {52, time.March, 20, 0}, {40, time.June, 21, 23.44}, {-34, time.December, 21, -23.44}, {15, time.March, 20, 0}} {
		rig, err := plainLoop(spotAt(e.latitude, 0, 0))
		if err != nil {
			return nil, err
		}
		rig.Season.Motor.DegreesPerS = 30
		ground, err := layDay(&rig, e.month, e.day, 60, midday)
		if err != nil {
			return nil, err
		}
		date := time.Date(2025, e.month, e.day, 0, 0, 0, 0, time.UTC)
		for _, minutes := range []float64{15, 30, 60} {
			got, err := runLoop(ground, loop.Input{Rig: rig, Policy: "clock", Settings: onTime(rig.Site(ground), 60*minutes)})
			if err != nil {
				return nil, err
			}
			want := 100 * sleepLoss(compass.Angle(e.latitude), e.declination, minutes/60)
			checks = append(checks, Check{fmt.Sprintf("latitude %.0f, %s, asleep for %.0f minutes: lost", e.latitude, date.Format("2 January"), minutes),
				want, 100 * (1 - got.ShareOfTurning()), "%", 0.01 * want, 3})
		}
	}
	return checks, nil
}

// sleepLoss is the share of midday's level beam that a panel loses that is
// turned at sunrise and every so many hours later.
func sleepLoss(latitude, declination compass.Angle, everyH float64) float64 {
	at := func(hour float64) compass.Direction { return sunAt(latitude, declination, compass.Angle(15*(hour-12))) }
	rise := 0.0
	for at(rise).Up < 0 {
		rise += 1.0 / 60
	}
	got, all := 0.0, 0.0
	for hour := 8 + 5.0/3600; hour < 16; hour += 10.0 / 3600 { // the middles of ten seconds
		now := at(hour)
		held := at(rise + everyH*math.Floor((hour-rise)/everyH)).Azimuth()
		level := middayShare(hour) * math.Hypot(now.East, now.North)
		got, all = got+level*(now.Azimuth()-held).Cos(), all+level
	}
	return 1 - got/all
}

// toAndFro turns by 60 degrees, sleeps for 900 s and rests for the remainder of
// half an hour.
type toAndFro struct{ asked, sleeps int }

func (t *toAndFro) Next(s *aim.Sight) aim.Command {
	t.asked++
	switch t.asked % 3 {
	case 1:
		to := compass.Angle(60 * (t.asked / 3 % 2))
		return aim.Command{Verb: aim.Turn, To: 240 - to}
	case 2:
		t.sleeps++
		return aim.Command{Verb: aim.Sleep, Seconds: 900}
	}
	return aim.Command{Verb: aim.Rest, Seconds: 890}
}

func joules(string) ([]Check, error) {
	rig, err := plainLoop(spotAt(52, 0, 0))
	if err != nil {
		return nil, err
	}
	rig.Season.Board = drive.Board{AwakeW: 2, AsleepW: 1, WakeEveryS: 900}
	ground, err := layDay(&rig, time.June, 20, 600, clearLight)
	if err != nil {
		return nil, err
	}
	var policy toAndFro
	got, err := runLoop(ground, loop.Input{Rig: rig, Use: func(aim.Site) (aim.Policy, error) { return &policy, nil }})
	if err != nil {
		return nil, err
	}
	return []Check{
		{"one turn of 60 degrees: motor", 200, 3600 * got.Own.MotorWh / got.Moves, "J", 0.01, 1},
		{"one sleep of 900 s", 900, 3600 * got.Own.AsleepWh / float64(policy.sleeps), "J", 0.01, 1},
	}, nil
}

func perfectSenses(string) ([]Check, error) {
	rig, err := plainLoop(spotAt(52, 0, 0))
	if err != nil {
		return nil, err
	}
	rig.Season.Stand.Tilt, rig.Season.Sky, rig.Season.Glass = 40, plane.Perez, plane.DefaultGlass()
	var checks []Check
	for _, e := range []struct {
		policy, sky string
		of          light
	}{
		{"clock", "clear", clearLight}, {"clock", "clear and overcast by turns", passing},
		{"eyes", "clear", clearLight}, {"climb", "clear", clearLight},
	} {
		ground, err := layDay(&rig, time.June, 20, 600, e.of)
		if err != nil {
			return nil, err
		}
		got, err := runLoop(ground, loop.Input{Rig: rig, Policy: e.policy, Settings: wideAwake(e.policy, rig.Site(ground))})
		if err != nil {
			return nil, err
		}
		checks = append(checks, Check{e.policy + ", " + e.sky + ": share of exact turning", 1, got.ShareOfTurning(), "", 0.001, 4})
	}
	return checks, nil
}

// wideAwake are the settings of a policy that may wake and turn as it likes.
func wideAwake(policy string, site aim.Site) aim.Settings {
	s := aim.DefaultSettings(policy, site)
	s.WakeEveryS, s.MoveLeastDeg, s.ThreePointDeg = 5, 0, 0
	s.LookS, s.SettleWithin, s.SettleMostS = 0.1, 1, 0.1
	s.StepDeg, s.SeeA, s.EyesDeadband = 1, 0, 0.01
	s.StayBelowA, s.NightBelowA = 0, 0
	return s
}

// hardLife is a made cloudy year on a small stand in the wind, with a battery
// to fill and empty and a lamp for the night.
func hardLife() (loop.Rig, *loop.Ground, error) {
	rig, err := plainLoop(spotAt(52.28, -3.62, 310))
	if err != nil {
		return rig, nil, err
	}
	s := &rig.Season
	s.Stand.Tilt, s.Sky, s.Glass = 40, plane.Perez, plane.DefaultGlass()
	home := readyYear{rig: *s}
	home.household()
	*s = home.rig
	s.Battery.Charger.InputLimitW = 60
	rig.Low, rig.High = 0, 0 // the usual ones
	rig.Common()
	rig.Train.Measured, rig.Axle.BearingNm, rig.Axle.Plumb, rig.Axle.OffsetM = nil, 0.02, 2, 0.02
	rig.Sail = loop.PlateSail(40, 0.7, 0.8)
	climate, _ := weather.NearestClimate(s.Spot.Latitude).At(s.Spot.Latitude)
	maker, err := weather.NewMaker(s.Spot, climate, 3600)
	if err != nil {
		return rig, nil, err
	}
	var y weather.Year
	maker.Make(rand.New(rand.NewPCG(1, 0)), &y)
	ground, err := loop.Lay(context.Background(), s, &y)
	return rig, ground, err
}

func loopLedger(string) ([]Check, error) {
	rig, ground, err := hardLife()
	if err != nil {
		return nil, err
	}
	year := func(rig loop.Rig, policy string) (*loop.Sum, error) {
		in := loop.Input{Rig: rig, Policy: policy, Settings: aim.DefaultSettings(policy, rig.Site(ground)), Seed: 1}
		in.Faults = sensor.Faults{OffsetA: 0.02, Gain: 0.95, ClockPPM: 20, SleepError: 0.05, CompassDeg: 5, LevelDeg: 2, LevelToward: 80, TiltBy: -5}
		return runLoop(ground, in)
	}
	panel, own := 0.0, 0.0
	for _, policy := range aim.Policies() {
		s, err := year(rig, policy)
		if err != nil {
			return nil, err
		}
		f := &s.Battery
		panel = max(panel, apartPPM(f.StoredWh+f.ChargerLossWh+f.LimitLossWh+f.FullLossWh+f.ColdLossWh, s.PanelWh))
		own = max(own, apartPPM(f.OwnUseWh+f.OwnShortWh, s.Own.Wh()))
	}
	home := readyYear{rig: rig.Season}
	home.lossless()
	rig.Season = home.rig
	s, err := year(rig, "climb")
	if err != nil {
		return nil, err
	}
	left := s.Battery.StoredWh - s.Battery.UsedWh
	return []Check{
		{"panel's energy not accounted for, worst of all policies", 0, panel, "ppm", 1, 0},
		{"the stand's own use not accounted for, worst of all policies", 0, own, "ppm", 1, 0},
		{"climb, stored and not used, beyond what the battery can hold", 0, max(0, -left, left-512), "Wh", 0.01, 2},
	}, nil
}

func apartPPM(a, b float64) float64 { return 1e6 * math.Abs(a/b-1) }
