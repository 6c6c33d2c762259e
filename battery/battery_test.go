package battery_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/battery"
)

var chemistries = []string{"lifepo4", "flooded", "agm", "gel"}

func chemistry(t interface{ Fatal(...any) }, name string) battery.Chemistry {
	c, err := battery.ChemistryNamed(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func charger(t interface{ Fatal(...any) }, name string) battery.Charger {
	c, err := battery.ChargerNamed(name)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// lossless is a system in which arithmetic can be done by hand: 480 Wh, a
// perfect charger without a draw of its own, half charged.
func lossless(t interface{ Fatal(...any) }) battery.System {
	b := battery.New(chemistry(t, "flooded"), 480)
	b.Efficiency, b.TopEfficiency, b.SelfPerMonth, b.StartShare, b.FloorShare = 1, 1, 0, 0.5, 0.25
	return battery.System{Charger: battery.Charger{Efficiency: 1, TrackingShare: 1}, Battery: b}
}

func anySystem(t *rapid.T) battery.System {
	part := rapid.Float64Range(0, 1)
	s := battery.System{
		Charger: charger(t, rapid.SampledFrom([]string{"mppt", "pwm"}).Draw(t, "charger")),
		Battery: battery.New(chemistry(t, rapid.SampledFrom(chemistries).Draw(t, "chemistry")), rapid.Float64Range(5, 3000).Draw(t, "capacity")),
	}
	s.Battery.StartShare = part.Draw(t, "start")
	s.Battery.FloorShare = 0.9 * part.Draw(t, "floor")
	s.Battery.Blocks = rapid.IntRange(1, 4).Draw(t, "blocks")
	s.Battery.LagH = 10 * part.Draw(t, "lag")
	s.Battery.Indoors = rapid.Bool().Draw(t, "indoors")
	s.Battery.IndoorsC = 40*part.Draw(t, "indoors C") - 20
	limit := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1, 200))
	s.Charger.InputLimitW = limit.Draw(t, "input limit")
	s.Charger.MaxCurrentA = limit.Draw(t, "greatest current") / 10
	if rapid.Bool().Draw(t, "in a box") {
		s.Box = &battery.Box{
			InputLimitW: limit.Draw(t, "box limit"), IdleW: 10 * part.Draw(t, "idle"),
			AutoOffW: limit.Draw(t, "least draw") / 20,
		}
	}
	return s
}

func anyInput(t *rapid.T) battery.Input {
	often := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0, 300))
	low := often.Draw(t, "offered")
	return battery.Input{
		OfferedLowWh: low, OfferedHighWh: low * rapid.Float64Range(0.5, 1.2).Draw(t, "high"),
		CellC:  rapid.Float64Range(-40, 40).Draw(t, "air"),
		LoadWh: often.Draw(t, "load") / 10, OwnWh: often.Draw(t, "own") / 100,
	}
}

func TestNothingIsLostFromTheLedger(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySystem(t)
		if err := s.Validate(); err != nil {
			t.Fatal(err)
		}
		st := s.Start()
		start := st.Share * s.Battery.CapacityWh
		var sum battery.Flow
		dtH := rapid.SampledFrom([]float64{1.0 / 60, 0.25, 1}).Draw(t, "step")
		for range rapid.IntRange(1, 60).Draw(t, "steps") {
			in := anyInput(t)
			f := s.Step(&st, in, dtH)
			nothingNegative(t, f)
			if !(st.Share >= 0 && st.Share <= 1) {
				t.Fatalf("state of charge %v", st.Share)
			}
			if math.Abs(f.OwnUseWh+f.OwnShortWh-in.OwnWh) > 1e-9 { // the same
				t.Fatalf("the stand asked %v, got %v, short %v", in.OwnWh, f.OwnUseWh, f.OwnShortWh)
			}
			if math.Abs(f.NetWh()+f.ShortWh-in.LoadWh) > 1e-9 { // rounding on some 30 Wh
				t.Fatalf("asked %v, got %v, short %v", in.LoadWh, f.NetWh(), f.ShortWh)
			}
			if f.OwnUseWh > in.OwnWh || f.NetWh() > in.LoadWh+1e-9 {
				t.Fatalf("more used than asked: %+v of %+v", f, in)
			}
			sum.Add(f)
		}
		end := st.Share * s.Battery.CapacityWh
		// 1e-9 of what flowed, as promised; thousands of roundings lie far below.
		scale := 1e-9 * (start + sum.PanelWh + 1)
		if lost := sum.PanelWh - sum.ChargerLossWh - sum.LimitLossWh - sum.FullLossWh - sum.ColdLossWh - sum.StoredWh; math.Abs(lost) > scale {
			t.Fatalf("%v Wh of the panel's unaccounted for: %+v", lost, sum)
		}
		if lost := sum.StoredWh + start - sum.UsedWh - sum.IdleWh - sum.BatteryLossWh - end; math.Abs(lost) > scale {
			t.Fatalf("%v Wh of the battery's unaccounted for: %+v, from %v to %v", lost, sum, start, end)
		}
	})
}

func nothingNegative(t *rapid.T, f battery.Flow) {
	for name, wh := range map[string]float64{
		"panel": f.PanelWh, "charger loss": f.ChargerLossWh, "limit": f.LimitLossWh, "full": f.FullLossWh,
		"cold": f.ColdLossWh, "stored": f.StoredWh, "battery loss": f.BatteryLossWh, "idle": f.IdleWh,
		"used": f.UsedWh, "own": f.OwnUseWh, "short": f.ShortWh,
	} {
		if !(wh >= 0) {
			t.Fatalf("%s is %v Wh: %+v", name, wh, f)
		}
	}
}

func TestShortStepsSumToLongOnes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySystem(t)
		// With a greatest current, or PWM, a long step sees only the voltage at
		// its start.
		s.Charger.MaxCurrentA = 0
		s.Charger = battery.Charger{Kind: battery.MPPT, Efficiency: 0.9, TrackingShare: 1, OwnA: s.Charger.OwnA}
		in := anyInput(t)
		long, short := s.Start(), s.Start()
		whole := s.Step(&long, in, 1)
		parts := 12.0
		in.OfferedLowWh /= parts
		in.LoadWh /= parts
		in.OwnWh /= parts
		var sum battery.Flow
		for range int(parts) {
			sum.Add(s.Step(&short, in, 1/parts))
		}
		// Self discharge is taken at a step's start: of 6e-5 an hour at most
		// a twelfth is shifted, and with it what a full battery takes back.
		if tolerance := 1e-4 * s.Battery.CapacityWh; math.Abs(whole.StoredWh-sum.StoredWh) > tolerance || math.Abs(whole.UsedWh-sum.UsedWh) > tolerance {
			t.Fatalf("one hour %+v,\ntwelve parts %+v", whole, sum)
		}
	})
}

func TestAnHourByHand(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*battery.System)
		in     battery.Input
		want   battery.Flow
		share  float64
	}{
		"charge": {
			in: battery.Input{OfferedLowWh: 48}, want: battery.Flow{PanelWh: 48, StoredWh: 48}, share: 0.6,
		},
		"loads first, from the panel": {
			in:   battery.Input{OfferedLowWh: 48, LoadWh: 20, OwnWh: 4},
			want: battery.Flow{PanelWh: 48, StoredWh: 48, UsedWh: 24, OwnUseWh: 4}, share: 0.55,
		},
		"loads from the battery": {
			in: battery.Input{LoadWh: 44, OwnWh: 4}, want: battery.Flow{UsedWh: 48, OwnUseWh: 4}, share: 0.4,
		},
		"cut off at the floor": { // 120 Wh lie above a quarter
			in:   battery.Input{LoadWh: 180, OwnWh: 60},
			want: battery.Flow{UsedWh: 150, OwnUseWh: 60, ShortWh: 90}, share: 0.1875, // the stand goes on
		},
		"the stand starves": {
			in: battery.Input{OwnWh: 300}, want: battery.Flow{UsedWh: 240, OwnUseWh: 240, OwnShortWh: 60}, share: 0,
		},
		"charge loss": {
			change: func(s *battery.System) { s.Battery.Efficiency = 0.8 },
			in:     battery.Input{OfferedLowWh: 60}, want: battery.Flow{PanelWh: 60, StoredWh: 60, BatteryLossWh: 12}, share: 0.6,
		},
		"loads by day pay no charge loss": {
			change: func(s *battery.System) { s.Battery.Efficiency = 0.8 },
			in:     battery.Input{OfferedLowWh: 60, LoadWh: 60}, want: battery.Flow{PanelWh: 60, StoredWh: 60, UsedWh: 60}, share: 0.5,
		},
		"charger": {
			change: func(s *battery.System) { s.Charger.Efficiency, s.Charger.TrackingShare = 0.8, 0.75 },
			in:     battery.Input{OfferedLowWh: 80}, want: battery.Flow{PanelWh: 80, ChargerLossWh: 32, StoredWh: 48}, share: 0.6,
		},
		"regulator's own draw": {
			change: func(s *battery.System) { s.Charger.OwnA = 0.1 },
			in:     battery.Input{}, want: battery.Flow{IdleWh: 1.2}, share: 0.4975,
		},
		"input limit": {
			change: func(s *battery.System) { s.Charger.InputLimitW = 40 },
			in:     battery.Input{OfferedLowWh: 48}, want: battery.Flow{PanelWh: 48, LimitLossWh: 8, StoredWh: 40}, share: 0.5 + 40.0/480,
		},
		"greatest current": { // at half charge a block stands at 12.0 + 1.8 x 0.5/0.8 V
			change: func(s *battery.System) { s.Charger.MaxCurrentA = 2 },
			in:     battery.Input{OfferedLowWh: 48}, want: battery.Flow{PanelWh: 48, LimitLossWh: 48 - 26.25, StoredWh: 26.25}, share: 0.5 + 26.25/480,
		},
		"full": {
			change: func(s *battery.System) { s.Battery.StartShare = 1 },
			in:     battery.Input{OfferedLowWh: 48, LoadWh: 10}, want: battery.Flow{PanelWh: 48, StoredWh: 10, UsedWh: 10, FullLossWh: 38}, share: 1,
		},
		"cold": {
			change: func(s *battery.System) { s.Battery.ColdLimitC = 0 },
			in:     battery.Input{OfferedLowWh: 48, LoadWh: 10, CellC: -1}, want: battery.Flow{PanelWh: 48, StoredWh: 10, UsedWh: 10, ColdLossWh: 38}, share: 0.5,
		},
		"pulse-width switch": { // half charged, 13.125 V and half a volt more at the panel
			change: func(s *battery.System) {
				s.Charger = battery.Charger{Kind: battery.PWM, DropV: 0.5}
				s.Battery.AbsorptionV = 14.25 // half way between empty and absorption
			},
			in:   battery.Input{OfferedLowWh: 50, OfferedHighWh: 59},
			want: battery.Flow{PanelWh: 54.5, StoredWh: 52.5, ChargerLossWh: 2}, share: 0.5 + 52.5/480,
		},
		"box: on": {
			change: func(s *battery.System) { s.Box = &battery.Box{IdleW: 6, AutoOffW: 10} },
			in:     battery.Input{LoadWh: 12}, want: battery.Flow{UsedWh: 12, IdleWh: 6}, share: 0.5 - 18.0/480,
		},
		"box: switched itself off": {
			change: func(s *battery.System) { s.Box = &battery.Box{IdleW: 6, AutoOffW: 10} },
			in:     battery.Input{LoadWh: 8, OwnWh: 1}, want: battery.Flow{ShortWh: 8, OwnShortWh: 1}, share: 0.5,
		},
		"box: input limit": {
			change: func(s *battery.System) { s.Box = &battery.Box{InputLimitW: 24} },
			in:     battery.Input{OfferedLowWh: 48}, want: battery.Flow{PanelWh: 48, LimitLossWh: 24, StoredWh: 24}, share: 0.55,
		},
		"endless": {
			change: func(s *battery.System) { s.Battery.Endless, s.Charger.OwnA = true, 1 },
			in:     battery.Input{OfferedLowWh: 9000, OwnWh: 4}, want: battery.Flow{PanelWh: 9000, StoredWh: 9000, UsedWh: 9000, OwnUseWh: 4}, share: 0.5,
		},
		"endless, cold": {
			change: func(s *battery.System) { s.Battery.Endless, s.Battery.ColdLimitC = true, 0 },
			in:     battery.Input{OfferedLowWh: 90, CellC: -5}, want: battery.Flow{PanelWh: 90, ColdLossWh: 90}, share: 0.5,
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := lossless(t)
			if c.change != nil {
				c.change(&s)
			}
			if err := s.Validate(); err != nil {
				t.Fatal(err)
			}
			st := s.Start()
			if got := s.Step(&st, c.in, 1); !alike(got, c.want) || math.Abs(st.Share-c.share) > 1e-12 {
				t.Errorf("got  %+v, %v\nwant %+v, %v", got, st.Share, c.want, c.share)
			}
		})
	}
}

// alike compares ledgers of some hundreds of watt-hours but for rounding.
func alike(a, b battery.Flow) bool {
	for _, d := range []float64{
		a.PanelWh - b.PanelWh, a.ChargerLossWh - b.ChargerLossWh, a.LimitLossWh - b.LimitLossWh, a.FullLossWh - b.FullLossWh,
		a.ColdLossWh - b.ColdLossWh, a.StoredWh - b.StoredWh, a.BatteryLossWh - b.BatteryLossWh, a.IdleWh - b.IdleWh,
		a.UsedWh - b.UsedWh, a.OwnUseWh - b.OwnUseWh, a.ShortWh - b.ShortWh,
	} {
		if !(math.Abs(d) < 1e-9) {
			return false
		}
	}
	return true
}

// The law of acceptance, solved by many small Euler steps, must give what its
// closed form gives.
func TestAbsorptionFollowsItsLaw(t *testing.T) {
	for _, name := range chemistries {
		for _, watts := range []float64{5, 30, 100, 400} {
			s := lossless(t)
			s.Battery.Chemistry = chemistry(t, name)
			s.Battery.SelfPerMonth, s.Battery.StartShare = 0, 0.7
			c := s.Battery.Chemistry
			st := s.Start()
			share := st.Share
			for hour := range 14 {
				s.Step(&st, battery.Input{OfferedLowWh: watts, CellC: 20}, 1)
				const parts = 20000
				for range parts {
					take, efficiency := watts/480, c.Efficiency
					if share >= c.KneeShare {
						take = math.Min(take, c.TailC+(c.KneeC-c.TailC)*(1-share)/(1-c.KneeShare))
						efficiency = c.TopEfficiency
					}
					share = math.Min(share+take*efficiency/parts, 1)
				}
				if math.Abs(st.Share-share) > 1e-4 { // of Euler's step of 1/20000 h
					t.Fatalf("%s, %v W, hour %d: %v, by small steps %v", name, watts, hour, st.Share, share)
				}
			}
		}
	}
}

func TestTheCellsFollowTheAir(t *testing.T) {
	s := lossless(t)
	air := []float32{10, 0, 0, 0, 0} // hours; the lag of New is four
	s.Battery.Lag(air, 1)
	if air[0] != 10 || math.Abs(float64(air[4])-10/math.E) > 1e-5 { // float32
		t.Errorf("cells at %v C, want 10 at first and 10/e after one lag", air)
	}
	s.Battery.Indoors, s.Battery.IndoorsC = true, 6
	if s.Battery.Lag(air, 1); air[0] != 6 || air[4] != 6 {
		t.Errorf("indoors at 6 C the cells have %v", air)
	}
}

func TestHourly(t *testing.T) {
	wh, err := battery.Hourly([]battery.Load{
		{Name: "lamp", PowerW: 10, FromHour: 21.5, ToHour: 1.25},
		{Name: "camera", PowerW: 2, FromHour: 0, ToHour: 24},
		{Name: "bell", PowerW: 60, FromHour: 8.25, ToHour: 8.5},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := [24]float64{0: 12, 1: 4.5, 8: 17, 21: 7, 22: 12, 23: 12}
	for h := range want {
		if want[h] == 0 {
			want[h] = 2
		}
	}
	if wh != want {
		t.Errorf("got %v, want %v", wh, want)
	}
}

func TestLoadsThatCannotBe(t *testing.T) {
	for says, l := range map[string]battery.Load{
		"power is -1":       {PowerW: -1, ToHour: 5},
		"power is NaN":      {PowerW: math.NaN(), ToHour: 5},
		"hours are 0 to 24": {PowerW: 1, FromHour: 20, ToHour: 26},
		"runs from NaN":     {PowerW: 1, FromHour: math.NaN(), ToHour: 6},
		"write from 0 to":   {PowerW: 1, FromHour: 6, ToHour: 6},
	} {
		if _, err := battery.Hourly([]battery.Load{l}); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%+v: got %v, want an error about %q", l, err, says)
		}
	}
}

func TestHoursAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := rapid.Float64Range(0, 23.99).Draw(t, "from")
		to := rapid.Float64Range(0, 24).Filter(func(h float64) bool { return h != from }).Draw(t, "to")
		wh, err := battery.Hourly([]battery.Load{{PowerW: 10, FromHour: from, ToHour: to}})
		if err != nil {
			t.Fatal(err)
		}
		hours := to - from
		if hours < 0 {
			hours += 24
		}
		var sum float64
		for _, h := range wh {
			if !(h >= 0 && h <= 10+1e-12) {
				t.Fatalf("%v Wh in an hour of 10 W", h)
			}
			sum += h
		}
		if math.Abs(sum-10*hours) > 1e-9 { // rounding
			t.Fatalf("%v Wh in %v h of 10 W", sum, hours)
		}
	})
}

func TestPresetsAreValid(t *testing.T) {
	for _, c := range chemistries {
		for _, k := range []string{"mppt", "PWM"} {
			s := battery.System{Charger: charger(t, k), Battery: battery.New(chemistry(t, strings.ToUpper(c)), 480)}
			if err := s.Validate(); err != nil {
				t.Errorf("%s on %s: %v", k, c, err)
			}
			if low, high := s.PinnedV(); (s.Charger.Kind == battery.PWM) != (high > low && low > 12) {
				t.Errorf("%s on %s: pinned from %v to %v V", k, c, low, high)
			}
		}
	}
	if _, err := battery.ChemistryNamed("nickel"); err == nil {
		t.Error("nickel is no preset")
	}
	if _, err := battery.ChargerNamed("wind"); err == nil {
		t.Error("wind is no charge controller")
	}
}

func TestSystemsThatCannotBe(t *testing.T) {
	for says, change := range map[string]func(*battery.System){
		"capacity (Wh) is 0":           func(s *battery.System) { s.Battery.CapacityWh = 0 },
		"capacity (Wh) is NaN":         func(s *battery.System) { s.Battery.CapacityWh = math.NaN() },
		"at the start is 1.5":          func(s *battery.System) { s.Battery.StartShare = 1.5 },
		"floor is 1":                   func(s *battery.System) { s.Battery.FloorShare = 1 },
		"blocks in series is 0":        func(s *battery.System) { s.Battery.Blocks = 0 },
		"controller's efficiency is 0": func(s *battery.System) { s.Charger.Efficiency = 0 },
		"of no known kind":             func(s *battery.System) { s.Charger.Kind = 7 },
		"drop (V) is 9":                func(s *battery.System) { s.Charger = battery.Charger{Kind: battery.PWM, DropV: 9} },
		"box's idle draw (W) is -1":    func(s *battery.System) { s.Box = &battery.Box{IdleW: -1} },
		"tail":                         func(s *battery.System) { s.Battery.TailC = 0.5 },
		"must rise":                    func(s *battery.System) { s.Battery.KneeV = 11 },
		"lowest charging temperature":  func(s *battery.System) { s.Battery.ColdLimitC = math.NaN() },
	} {
		s := lossless(t)
		change(&s)
		if err := s.Validate(); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("got %v, want an error about %q", err, says)
		}
	}
}

var sink float64

// A year of hours with a sun that is up for half of each day.
func BenchmarkStep(b *testing.B) {
	for _, kind := range []string{"mppt", "pwm"} {
		b.Run(kind, func(b *testing.B) {
			s := battery.System{Charger: charger(b, kind), Battery: battery.New(chemistry(b, "lifepo4"), 512)}
			var day [24]battery.Input
			for h := range day {
				sun := math.Max(0, math.Sin(float64(h-6)*math.Pi/12))
				day[h] = battery.Input{OfferedLowWh: 60 * sun, OfferedHighWh: 65 * sun, CellC: 8, LoadWh: 12, OwnWh: 0.3}
			}
			st := s.Start()
			var sum battery.Flow
			b.ReportAllocs()
			for b.Loop() {
				for h := range day {
					s.StepInto(&sum, &st, &day[h], 1)
				}
			}
			sink += sum.UsedWh
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/24, "ns/step")
		})
	}
}
