package season_test

import (
	"math"
	"testing"
	"time"

	"turnsole/battery"
	"turnsole/season"
	"turnsole/sun"
	"turnsole/weather"
)

// rounding is the share by which sums of a few thousand terms may differ
// through their order, and hours kept as 32-bit numbers (6e-8 each).
const rounding = 1e-6

// kept holds one sum to what no ledger may break.
func kept(t *testing.T, name string, s season.Sum, system *battery.System) {
	t.Helper()
	for i, v := range figures(s) {
		if !(v >= 0) {
			t.Errorf("%s: figure %d is %v", name, i, v)
		}
	}
	if s.EnteredKWhM2 > s.LightKWhM2 {
		t.Errorf("%s: %v entered of %v", name, s.EnteredKWhM2, s.LightKWhM2)
	}
	if s.ShortDays > s.Days || s.OwnUseWh > s.UsedWh*(1+rounding) && !system.Battery.Endless {
		t.Errorf("%s: %v short of %v days, own %v of used %v", name, s.ShortDays, s.Days, s.OwnUseWh, s.UsedWh)
	}
	if told := s.StoredWh + s.FullWh + s.ColdWh + s.LimitWh + s.ChargerWh; !near(told, s.PanelWh, rounding) {
		t.Errorf("%s: %v Wh accounted for, %v given by the panel", name, told, s.PanelWh)
	}
	if net := s.UsedWh - s.OwnUseWh; s.NetWh() != net {
		t.Errorf("%s: net %v, want %v", name, s.NetWh(), net)
	}
}

func TestEveryWattHourIsAccountedFor(t *testing.T) {
	spot := spotAt(50, 0)
	for _, c := range []struct {
		name, charger string
		capacityWh    float64
		limitW        float64
		airC          float32
	}{
		{"roomy", "mppt", 5000, 0, 15},
		{"small", "mppt", 120, 0, 15},
		{"cold", "mppt", 500, 0, -12},
		{"limited", "mppt", 5000, 30, 15},
		{"pinned", "pwm", 120, 0, 15},
	} {
		t.Run(c.name, func(t *testing.T) {
			rig := rigAt(t, spot)
			rig.Battery.Battery = battery.New(lifepo4(t), c.capacityWh)
			rig.Battery.Battery.StartShare = 0.5
			rig.Battery.Charger = charger(t, c.charger)
			rig.Battery.Charger.InputLimitW = c.limitW
			rig.Loads = []battery.Load{{Name: "lamp", PowerW: 8, FromHour: 17, ToHour: 7}}
			rig.Board.AwakeW, rig.Board.AsleepW = 0.2, 0.2
			y := sky(t, spot, monthly(spot), changing)
			for i := range y.AirC {
				y.AirC[i] = c.airC
			}
			out := run(t, season.Input{Rig: rig, Years: []*weather.Year{y}, Ways: season.Ideal(), Runs: 3, BlockMin: 1, BlockMax: 3})
			for _, r := range out.Rows {
				start := rig.Battery.Battery.StartShare * c.capacityWh
				for i, s := range append(r.RunTotals(), r.Total) {
					kept(t, r.Way, s, &rig.Battery)
					if s.UsedWh > s.StoredWh+start {
						t.Errorf("%s, run %d: used %v of %v stored and %v there", r.Way, i, s.UsedWh, s.StoredWh, start)
					}
				}
			}
			// The case is what it is called.
			s := out.Row(season.Still).Total
			if (c.capacityWh < 200) != (s.FullWh > 0.1*s.PanelWh) || (c.airC < 0) != (s.ColdWh > 0) || (c.limitW > 0) != (s.LimitWh > 0.1*s.PanelWh) {
				t.Errorf("%+v", s)
			}
		})
	}
}

func TestEndlessBatteryUsesWhatItStores(t *testing.T) {
	spot := spotAt(50, 0)
	rig := rigAt(t, spot)
	rig.Board.AsleepW, rig.Board.AwakeW = 1, 1
	for _, r := range compare(t, rig, sky(t, spot, monthly(spot), changing)).Rows {
		s := r.Total
		kept(t, r.Way, s, &rig.Battery)
		if s.UsedWh != s.StoredWh || s.FullWh != 0 || s.ColdWh != 0 || s.ShortDays != 0 {
			t.Errorf("%s: %+v", r.Way, s)
		}
		// What the charger finds and converts, and nothing else, is between.
		if want := s.PanelWh * 0.96 * 0.99; !near(s.StoredWh, want, rounding) {
			t.Errorf("%s: stored %v, want %v", r.Way, s.StoredWh, want)
		}
		if got := r.Total.Days; got != 12 {
			t.Errorf("%s: %v days, want 12", r.Way, got)
		}
	}
}

func TestTwoPanelsGiveTwiceOne(t *testing.T) {
	spot := spotAt(50, 0)
	out := compare(t, rigAt(t, spot), sky(t, spot, monthly(spot), changing))
	one, two := out.Row(season.Still).Total, out.Row(season.TwoPanels).Total
	// Doubling loses no digit of a binary number.
	if two.PanelWh != 2*one.PanelWh || two.LightKWhM2 != one.LightKWhM2 {
		t.Errorf("two panels %+v, one %+v", two, one)
	}
}

// A board that sleeps all the time draws day and night, by whole watts exactly,
// and only where there is something to turn.
func TestBoardAsleepDrawsRoundTheClock(t *testing.T) {
	spot := spotAt(50, 0)
	rig := rigAt(t, spot)
	rig.Board.AsleepW, rig.Board.AwakeW = 0.25, 0.25
	rig.Motor.DegreesPerS = 1e15 // its energy is lost in rounding
	out := run(t, season.Input{Rig: rig, Years: []*weather.Year{sky(t, spot, monthly(spot), clearAir)}, Ways: season.Ideal(),
		Window: season.Window{From: season.MonthDay{Month: 3, Day: 1}, To: season.MonthDay{Month: 7, Day: 31}}})
	for _, r := range out.Rows {
		want := 0.0
		switch r.Way {
		case season.Turning, season.TurningNotches, season.Facing:
			want = 24 * 0.25 * 5
		}
		if math.Abs(r.Total.OwnUseWh-want) > 1e-9 { // rounding
			t.Errorf("%s draws %v Wh, want %v", r.Way, r.Total.OwnUseWh, want)
		}
	}
}

// By day the board wakes for its looks: from where twilight begins to where it
// ends, counted by the report's positions at the middles of ten minutes.
func TestBoardWakesWhileThereIsLight(t *testing.T) {
	spot := spotAt(50, 0)
	rig := rigAt(t, spot)
	rig.Board.AsleepW, rig.Board.AwakeW, rig.Board.AwakeS = 0.25, 2.25, 90 // a tenth of the time
	rig.Motor.DegreesPerS = 1e15
	c := monthly(spot)
	steps := 0
	for day := range c.Midnight {
		steps += turnedOn(c, day).steps
	}
	want := 12*24*0.25 + 0.1*2*float64(steps)/6
	got := compare(t, rig, sky(t, spot, c, clearAir)).Row(season.Turning).Total.OwnUseWh
	if !near(got, want, rounding) {
		t.Errorf("the board draws %v Wh, want %v", got, want)
	}
}

// A lamp that burns by the clock's night burns in daylight where the clock is
// half a day off, and then a small battery suffices.
func TestLoadsGoByTheClockOnTheWall(t *testing.T) {
	spot := spotAt(30, 0)
	short := map[int]float64{}
	for _, ahead := range []int{0, 12} {
		spot.Zone = time.FixedZone("", ahead*3600)
		rig := rigAt(t, spot)
		rig.Battery.Battery = battery.New(lifepo4(t), 20)
		rig.Loads = []battery.Load{{Name: "lamp", PowerW: 10, FromHour: 22, ToHour: 2}}
		short[ahead] = run(t, season.Input{Rig: rig, Years: []*weather.Year{sky(t, spot, monthly(spot), clearAir)}}).Row(season.Still).Total.ShortDays
	}
	if short[0] != 12 || short[12] != 0 {
		t.Errorf("days short by clock: %v", short)
	}
}

// A month's hour of fullness is told by the clock on the wall.
func TestFullnessIsToldByTheClockOnTheWall(t *testing.T) {
	spot := spotAt(30, 0)
	var told [2]float64
	for i := range told {
		spot.Zone = time.FixedZone("", i*3600)
		rig := rigAt(t, spot)
		rig.Battery.Battery = battery.New(lifepo4(t), 50)
		r := run(t, season.Input{Rig: rig, Years: []*weather.Year{sky(t, spot, monthly(spot), clearAir)}}).Row(season.Still)
		told[i] = r.FullAtHour[5]
		if r.FullDays[5] != 1 {
			t.Errorf("full on %v days of one", r.FullDays[5])
		}
	}
	if told[1] != told[0]+1 || told[0] < 4 || told[0] > 12 {
		t.Errorf("full at %v, and at %v by a clock one hour on", told[0], told[1])
	}
}

// The motor follows the sun through the day, and returns before the next.
func TestMotorTurnsWithTheSunAndBack(t *testing.T) {
	spot := spotAt(50, 0)
	rig := rigAt(t, spot)
	c := row(spot, season.MonthDay{Month: 5, Day: 10}, 2)
	out := run(t, season.Input{Rig: rig, Years: []*weather.Year{sky(t, spot, c, clearAir)}, Ways: season.Ideal()})
	first, second := turnedOn(c, 0), turnedOn(c, 1)
	for way, want := range map[string]float64{
		season.Turning: 2*first.azimuth + second.azimuth,
		// Up and down again by tilt: the way back by tilt is only what the
		// evening differs from the morning.
		season.Facing: 2*first.azimuth + second.azimuth + first.tilt + first.backTilt + second.tilt,
	} {
		got := out.Row(way).Total.OwnUseWh / (10.0 / 3 / 3600) // 10 W, 3 degrees a second
		// 0.05 degrees: headings and tilts are kept as 32-bit numbers (3e-5
		// each, over a hundred steps and more), and at the ends of twilight the
		// grid tilts to no more than upright.
		if math.Abs(got-want) > 0.05 {
			t.Errorf("%s turns %v degrees, want %v", way, got, want)
		}
	}
}

type turned struct {
	azimuth, tilt, backTilt float64
	steps                   int
}

// turnedOn follows the sun by the report's positions, at the middles of ten
// minutes, from where twilight begins (3 degrees below the horizon) to where it
// ends.
func turnedOn(c weather.Calendar, day int) (d turned) {
	var last sun.Position
	var first, tilt float64
	begun := false
	observer := sun.At(spotAt(50, 0))
	for s := int64(300); s < 86400; s += 600 {
		jd := sun.JulianDayUnix(float64(c.Midnight[day] + s))
		p := sun.PositionAt(jd, observer, sun.DeltaT(jd))
		if p.Elevation < -3 {
			continue
		}
		d.steps++
		up := 90 - math.Max(0, float64(p.Elevation))
		if begun {
			d.azimuth += math.Abs(float64(p.Azimuth - last.Azimuth))
			d.tilt += math.Abs(up - tilt)
		} else {
			first = up
		}
		begun, last, tilt = true, p, up
	}
	d.backTilt = math.Abs(tilt - first)
	return d
}

func TestWholeYearIsTheSumOfItsParts(t *testing.T) {
	spot := spotAt(50, 0)
	rig := rigAt(t, spot)
	rig.Board.AsleepW, rig.Board.AwakeW = 0.1, 0.5
	ways := []string{season.Flat, season.Still, season.Turning, season.Facing, season.TwoPanels}
	years := []*weather.Year{sky(t, spot, monthly(spot), changing)}
	whole := run(t, season.Input{Rig: rig, Years: years, Ways: ways})
	end := season.MonthDay{Month: 4, Day: 30}
	parts := []season.Window{
		{From: season.MonthDay{Month: 1, Day: 1}, To: end},
		{From: season.MonthDay{Month: 5, Day: 1}, To: season.MonthDay{Month: 9, Day: 15}},
		{From: season.MonthDay{Month: 9, Day: 16}, To: season.MonthDay{Month: 12, Day: 31}},
	}
	sums := make([][12]season.Sum, len(whole.Rows))
	counted := 0
	for _, w := range parts {
		out := run(t, season.Input{Rig: rig, Years: years, Ways: ways, Window: w})
		counted += out.Days
		for i, r := range out.Rows {
			for m, s := range r.Months {
				if s.Days > 0 {
					sums[i][m] = s
				}
			}
		}
	}
	if counted != whole.Days {
		t.Errorf("%d days in the parts, %d in the whole", counted, whole.Days)
	}
	for i, r := range whole.Rows {
		if r.Months != sums[i] { // to the last bit: the same days, summed alike
			t.Errorf("%s: months %v, parts %v", r.Way, r.Months, sums[i])
		}
	}
}

// December is bright and January dark: what the one leaves in the battery
// feeds the lamp in the other, where December is lived first.
func TestWindowAcrossNewYearIsLivedInOrder(t *testing.T) {
	spot := spotAt(30, 0)
	rig := rigAt(t, spot)
	rig.Battery.Battery = battery.New(lifepo4(t), 2000)
	rig.Battery.Battery.StartShare = 0.1 // all that is left when loads are cut off
	rig.Loads = []battery.Load{{Name: "lamp", PowerW: 5, FromHour: 0, ToHour: 24}}
	var dates []season.MonthDay
	for d := 1; d <= 8; d++ {
		dates = append(dates, season.MonthDay{Month: 1, Day: d})
	}
	for d := 15; d <= 31; d++ {
		dates = append(dates, season.MonthDay{Month: 12, Day: d})
	}
	years := []*weather.Year{sky(t, spot, days(spot, 3600, dates...), func(day int, r weather.RowSky) (float64, float64) {
		if day < 8 {
			return 0, 0
		}
		return clearAir(day, r)
	})}
	winter := season.Window{From: season.MonthDay{Month: 12, Day: 15}, To: season.MonthDay{Month: 1, Day: 8}}
	across := run(t, season.Input{Rig: rig, Years: years, Window: winter}).Row(season.Still)
	alone := run(t, season.Input{Rig: rig, Years: years}).Row(season.Still)
	if across.Total.Days != 25 || across.Months[0].ShortDays != 0 {
		t.Errorf("across New Year: %v short days in January of %v", across.Months[0].ShortDays, across.Total.Days)
	}
	if alone.Months[0].ShortDays != 8 {
		t.Errorf("January first: %v short days, want 8", alone.Months[0].ShortDays)
	}
}

// The same weather in a file that counts in universal time and in one that
// counts in local time makes the battery full at the same hour of the wall
// clock, and as many days short.
func TestTheFilesClockDoesNotMatter(t *testing.T) {
	spot := spotAt(35, -106)
	spot.Zone = time.FixedZone("", -7*3600)
	rig := rigAt(t, spot)
	rig.Battery.Battery = battery.New(lifepo4(t), 60)
	rig.Loads = []battery.Load{{Name: "lamp", PowerW: 9, FromHour: 18, ToHour: 5}}
	var rows [2]*season.Row
	for i, offset := range []time.Duration{0, -7 * time.Hour} {
		c := row(spot, season.MonthDay{Month: 4, Day: 2}, 20)
		for d := range c.Midnight {
			c.Midnight[d] += int64((c.UTCOffset - offset) / time.Second)
		}
		c.UTCOffset = offset
		rows[i] = run(t, season.Input{Rig: rig, Years: []*weather.Year{sky(t, spot, c, clearAir)}}).Row(season.Still)
	}
	utc, local := rows[0], rows[1]
	// The records begin and end at other hours: in the first afternoon the one
	// in universal time begins with a full battery, which moves the mean of
	// twenty days by 9 h/20.
	if math.Abs(utc.FullAtHour[3]-local.FullAtHour[3]) > 0.5 || math.Abs(utc.Total.ShortDays-local.Total.ShortDays) > 2 || local.FullDays[3] < 15 {
		t.Errorf("full at %v and %v, on %v and %v days, short on %v and %v", utc.FullAtHour[3], local.FullAtHour[3],
			utc.FullDays[3], local.FullDays[3], utc.Total.ShortDays, local.Total.ShortDays)
	}
}
