package sensor_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/sensor"
)

// The mean that is drawn at once has the mean and the spread of reads that are
// played out one by one, whether or not their noise dithers.
func TestReadIsTheMeanOfReads(t *testing.T) {
	const n = 20000
	for _, noise := range []float64{0.1, 0.2, 0.35, 0.49, 0.5, 0.8, 2} {
		for _, share := range []float64{0, 0.25, 0.3, 0.45, 0.5} {
			c := sensor.Common()
			c.Reads, c.NoiseA = 25, noise*c.StepA()
			current := (40 + share) * c.StepA()
			drawn, played := rand.New(rand.NewPCG(1, 2)), rand.New(rand.NewPCG(3, 4))
			var a, b moments
			for range n {
				a.add(c.Read(current, nil, 0, drawn) / c.StepA())
				b.add(reading(c, current, played) / c.StepA())
			}
			// Four times the chance of the two means of n; where hardly one read
			// in 25 strays, whole reads leave up to 1/25 / pi of a step.
			allowed := 4*math.Sqrt2*b.spread()/math.Sqrt(n) + 1e-12
			if b.spread() < 0.02 {
				allowed += 0.013
			}
			if d := a.mean() - b.mean(); math.Abs(d) > allowed {
				t.Errorf("noise of %g steps at %g: mean off by %.5f steps, allowed %.5f", noise, share, d, allowed)
			}
			// The two spreads differ by 0.7 % by chance; 3 % is four times that.
			if d := a.spread() - b.spread(); math.Abs(d) > 0.03*b.spread()+allowed {
				t.Errorf("noise of %g steps at %g: scatters by %.5f steps, read by read %.5f", noise, share, a.spread(), b.spread())
			}
		}
	}
}

type moments struct{ n, sum, squares float64 }

func (m *moments) add(v float64) {
	v -= 40 // near all of them: keeps the digits
	m.n++
	m.sum += v
	m.squares += v * v
}
func (m *moments) mean() float64 { return m.sum / m.n }
func (m *moments) spread() float64 {
	return math.Sqrt(max(0, m.squares/m.n-m.mean()*m.mean()))
}

func TestFaultsShiftTheReading(t *testing.T) {
	c := sensor.Common()
	c.Bits = 24 // steps of 2 microamperes
	rng := rand.New(rand.NewPCG(1, 1))
	for _, x := range []struct {
		f    sensor.Faults
		days float64
		want float64
	}{
		{sensor.Faults{}, 10, 2},
		{sensor.Faults{OffsetA: 0.1}, 0, 2.1},
		{sensor.Faults{Gain: 0.9}, 0, 1.8},
		{sensor.Faults{DriftAPerDay: -0.01}, 30, 1.7},
		{sensor.Faults{OffsetA: 0.5, Gain: 2}, 0, 4.5},
		{sensor.Faults{OffsetA: 9}, 0, 5},   // its range
		{sensor.Faults{OffsetA: -9}, 0, -5}, // both ways
	} {
		if got := c.Read(2, &x.f, x.days, rng); math.Abs(got-x.want) > c.StepA() {
			t.Errorf("%+v after %v days: 2 A read as %v, want %v", x.f, x.days, got, x.want)
		}
	}
}

// The converter reads from 0 V to its full scale: a shunt shows no current
// backwards, and half of 3.3 V ends a sensor of 185 mV at 4.32 A.
func TestTheZeroTakesItsShareOfTheScale(t *testing.T) {
	for _, x := range []struct{ zeroV, referenceV, trueA, want float64 }{
		{0, 5, -1, 0}, {0, 5, 4, 4}, {0.1, 5, -1, -0.1 / 0.185},
		{2.5, 5, -4, -4}, {2.5, 3.3, 4.9, 0.8 / 0.185}, {2.5, 3.3, -4.9, -4.9}, {1.65, 3.3, 4.9, 4.9},
	} {
		c := sensor.Common()
		c.Bits, c.ZeroV, c.ReferenceV = 24, x.zeroV, x.referenceV // steps of 2 microamperes
		if got := c.Read(x.trueA, nil, 0, nil); math.Abs(got-x.want) > c.StepA() {
			t.Errorf("zero at %g V of %g V: %g A read as %v, want %v", x.zeroV, x.referenceV, x.trueA, got, x.want)
		}
	}
}

// One read without noise is the truth rounded to a step, and needs no chance.
func TestReadRoundsToSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := sensor.Common()
		c.Reads = rapid.IntRange(1, 100).Draw(t, "reads")
		current := rapid.Float64Range(-4.9, 4.9).Draw(t, "current")
		got := c.Read(current, nil, 0, nil)
		if whole := got / c.StepA(); math.Abs(whole-math.Round(whole)) > 1e-9 { // rounding of the arithmetic
			t.Fatalf("%v A is %v steps", got, whole)
		}
		if math.Abs(got-current) > c.StepA()/2+1e-12 {
			t.Fatalf("%v A read as %v", current, got)
		}
	})
}

// Whatever is read lies within the range and within what noise can do.
func TestReadStaysInRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := sensor.Common()
		c.Reads = rapid.IntRange(1, 1000).Draw(t, "reads")
		c.NoiseA = rapid.Float64Range(0, 0.5).Draw(t, "noise")
		current := rapid.Float64Range(-20, 20).Draw(t, "current")
		got := c.Read(current, &sensor.Faults{}, 0, rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0)))
		if math.Abs(got) > c.RangeA {
			t.Fatalf("%v A read as %v, beyond the range", current, got)
		}
		held := max(-c.RangeA, min(current, c.RangeA))
		// Eight spreads of the mean, and the staircase.
		if most := 8*math.Hypot(c.NoiseA, c.StepA()/2)/math.Sqrt(float64(c.Reads)) + c.StepA(); math.Abs(got-held) > most {
			t.Fatalf("%v A read as %v, more than %v off", current, got, most)
		}
	})
}

func TestFaultsAreChecked(t *testing.T) {
	good := sensor.Faults{OffsetA: -0.05, Gain: 1.02, ClockPPM: -50, SleepError: -0.1, CompassDeg: -12, LevelDeg: 3, LevelToward: 200, TiltBy: -10}
	if err := good.Validate(); err != nil {
		t.Error(err)
	}
	for _, bad := range []sensor.Faults{
		{OffsetA: math.NaN()}, {DriftAPerDay: math.Inf(1)}, {Gain: -1}, {SleepError: -1},
		{LevelDeg: -1}, {LevelDeg: 50}, {TiltBy: compass.Angle(math.NaN())},
	} {
		if bad.Validate() == nil {
			t.Errorf("%+v passes", bad)
		}
	}
}

func BenchmarkRead(b *testing.B) {
	for name, noise := range map[string]float64{"still": 0, "quarter step": 0.25, "dithered": 0.8} {
		b.Run(name, func(b *testing.B) {
			c := sensor.Common()
			c.Reads, c.NoiseA = 64, noise*c.StepA()
			f, rng := sensor.Faults{OffsetA: 0.03}, rand.New(rand.NewPCG(1, 1))
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				c.Read(float64(i%1000)*0.005, &f, 1, rng)
			}
		})
	}
}
