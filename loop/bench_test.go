package loop

import (
	"context"
	"math/rand/v2"
	"testing"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/weather"
)

// made is a cloudy year in Wales by the hour.
func made(t testing.TB, seed uint64) *weather.Year {
	t.Helper()
	climate, _ := weather.NearestClimate(wales.Latitude).At(wales.Latitude)
	m, err := weather.NewMaker(wales, climate, 3600)
	must(t, err)
	var y weather.Year
	m.Make(rand.New(rand.NewPCG(seed, 0)), &y)
	return &y
}

// common is a rig with all that makes a policy's life hard.
func common(t testing.TB) Rig {
	rig := rigAt(t, wales)
	rig.Common()
	rig.Sail = PlateSail(40, 0.7, 0.8)
	rig.Eyes = true
	rig.Sensor.Bits, rig.Sensor.NoiseA, rig.Sensor.Reads = 12, 0.01, 16
	return rig
}

// perDay reports nanoseconds a day.
func perDay(b *testing.B, days int) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*days), "ns/day")
}

// A year under each policy, waking every 15 minutes; and the same loop, asked
// every second of two months' worth of days spread over the year.
func BenchmarkYear(b *testing.B) {
	rig := common(b)
	g := lay(b, &rig, made(b, 1))
	for _, policy := range aim.Policies() {
		b.Run(policy, func(b *testing.B) {
			in := Input{Rig: rig, Policy: policy, Settings: aim.DefaultSettings(policy, rig.Site(g)), Seed: 1}
			in.Settings.WakeEveryS = 900
			for b.Loop() {
				run(b, g, in)
			}
			perDay(b, 365)
		})
	}
	b.Run("climb-a-fifth", func(b *testing.B) { // of the days: as much a day, as time grows with the days
		in := Input{Rig: rig, Policy: "climb", Settings: aim.DefaultSettings("climb", rig.Site(g)), Seed: 1}
		for d := 0; d < 365; d += 5 {
			in.Days = append(in.Days, d)
		}
		for b.Loop() {
			run(b, g, in)
		}
		perDay(b, len(in.Days))
	})
	b.Run("every-second", func(b *testing.B) {
		in := Input{Rig: rig, Seed: 1, Use: use(everySecond)}
		for d := 0; d < 365; d += 6 {
			in.Days = append(in.Days, d)
		}
		for b.Loop() {
			run(b, g, in)
		}
		perDay(b, len(in.Days))
	})
	b.Run("lay", func(b *testing.B) {
		y := made(b, 1)
		for b.Loop() {
			_, err := Lay(context.Background(), &rig.Season, y)
			must(b, err)
		}
	})
}

// everySecond never sleeps.
func everySecond(*aim.Sight) aim.Command { return aim.Command{Verb: aim.Rest, Seconds: 1} }

// A longer run allocates no more than a short one: its steps allocate nothing.
func TestStepsAllocateNothing(t *testing.T) {
	rig := common(t)
	g := lay(t, &rig, yearOf(t, wales, calendar(wales, 3600, 3, 10, 12), changingAir, 15, 6))
	for _, policy := range aim.Policies() {
		in := Input{Rig: rig, Policy: policy, Settings: aim.DefaultSettings(policy, rig.Site(g)), Seed: 1, Steps: true}
		allocs := func(days int) float64 {
			in.Days = nil
			for d := range days {
				in.Days = append(in.Days, d)
			}
			return testing.AllocsPerRun(3, func() { run(t, g, in) })
		}
		if few, many := allocs(2), allocs(12); many > few+2 { // the runtime's own come and go
			t.Errorf("%s: 2 days allocate %v times, 12 days %v times", policy, few, many)
		}
	}
	in := Input{Rig: rig, Days: []int{1}, Use: use(func(s *aim.Sight) aim.Command {
		return aim.Command{Verb: aim.Turn, To: s.Told + compass.Angle(int(s.UpS)%3-1)}
	})}
	if n := testing.AllocsPerRun(1, func() { run(t, g, in) }); n > 100 {
		t.Errorf("a day of turning all the time %v times", n)
	}
}
