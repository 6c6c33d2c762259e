package weather_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/weather"
)

// broken draws a step with a beam that some cloud takes from.
func broken(t *rapid.T) (clear, dni, dhi float64) {
	clear = rapid.Float64Range(50, 1000).Draw(t, "clear")
	return clear, clear * rapid.Float64Range(0.16, 0.84).Draw(t, "share"), rapid.Float64Range(10, 400).Draw(t, "diffuse")
}

func stepMean(s *weather.Seconds, stepS float64) (dni, dhi float64) {
	n := 0.0
	for t := 0.5; t < stepS; t++ {
		b, d := s.At(t)
		dni, dhi, n = dni+b, dhi+d, n+1
	}
	return dni / n, dhi / n
}

// Whatever was asked before, a second is the same.
func TestSecondsInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed, rate := rapid.Uint64().Draw(t, "seed"), rapid.SampledFrom([]float64{0.5, 1, 2}).Draw(t, "rate")
		stepS := rapid.SampledFrom([]float64{60, 300, 900, 3600}).Draw(t, "step")
		step := rapid.Int64Range(0, int64(366*86400/stepS)).Draw(t, "number")
		clear, dni, dhi := broken(t)
		fresh, used := weather.NewSeconds(seed, rate, stepS), weather.NewSeconds(seed, rate, stepS)
		for range 3 {
			used.Begin(step+rapid.Int64Range(-3, 3).Draw(t, "before"), clear/2, clear, 100)
			used.At(rapid.Float64Range(0, stepS).Draw(t, "asked"))
		}
		fresh.Begin(step, dni, clear, dhi)
		used.Begin(step, dni, clear, dhi)
		from := rapid.Float64Range(0, stepS/2).Draw(t, "from")
		for i := 0.0; i < 30; i++ {
			a, b := fresh.At(from + i)
			c, d := used.At(from + i)
			if i == 0 {
				used.At(stepS - from) // and back again
			}
			// The straight line between knots may be laid from another second.
			if math.Abs(a-c) > 1e-6 || math.Abs(b-d) > 1e-6 {
				t.Fatalf("second %v: %v, %v and %v, %v", from+i, a, b, c, d)
			}
		}
	})
}

// The beam stays between darkness and the beam between clouds, and the step
// keeps its means.
func TestSecondsKeepTheMeans(t *testing.T) {
	for _, stepS := range []float64{60, 300, 900, 3600} {
		var off, square, diffuse float64
		const n = 400
		s := weather.NewSeconds(5, 1, stepS)
		for step := range int64(n) {
			share := 0.16 + 0.68*float64(step)/n
			s.Begin(step*97, 900*share, 900, 200)
			dni, dhi := stepMean(s, stepS)
			d := dni/900 - share
			off, square = off+d/n, square+d*d/n
			diffuse = max(diffuse, math.Abs(dhi/200-1))
		}
		allowed := 0.001 // to 2 minutes, each second is looked at: what rounding leaves
		if stepS > 120 {
			allowed = 0.012 // 0.008 as At says, and half of it more for other days' veils
		}
		if math.Sqrt(square) > allowed || math.Abs(off) > allowed/5 {
			t.Errorf("%v s: the beam is off by %.4f of the clear one on the mean, with a spread of %.4f", stepS, off, math.Sqrt(square))
		}
		if diffuse > 0.03 { // a quarter of the beam's worst, as bright as edges are
			t.Errorf("%v s: the diffuse light is off by up to %.3f", stepS, diffuse)
		}
	}
}

func TestSecondsStayInBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stepS := rapid.SampledFrom([]float64{1, 60, 900, 3600}).Draw(t, "step")
		s := weather.NewSeconds(rapid.Uint64().Draw(t, "seed"), rapid.Float64Range(0.1, 10).Draw(t, "rate"), stepS)
		clear, dni, dhi := broken(t)
		s.Begin(rapid.Int64Range(0, 500000).Draw(t, "number"), dni, clear, dhi)
		for i := 0.0; i < stepS; i += 7 {
			b, d := s.At(i)
			if !(b >= 0 && b <= clear*(1+1e-12)) || !(d >= 0.7*dhi && d <= 1.3*dhi) {
				t.Fatalf("second %v: beam %v of %v, diffuse %v of %v", i, b, clear, d, dhi)
			}
		}
	})
}

// What is not broken has nothing to switch, and nonsense does no harm.
func TestEvenSeconds(t *testing.T) {
	for _, x := range []struct{ dni, clear, dhi float64 }{
		{0, 800, 50}, {0, 0, 0}, {790, 800, 90}, {850, 800, 90}, {5, 800, 200}, {math.NaN(), 800, 1}, {400, math.NaN(), 1}, {400, math.Inf(1), 1},
	} {
		for _, s := range []*weather.Seconds{weather.NewSeconds(1, 1, 900), weather.NewSeconds(1, 0, -1), weather.NewSeconds(1, math.NaN(), math.NaN())} {
			s.Begin(40, x.dni, x.clear, x.dhi)
			for _, second := range []float64{0, 100, 899, -5, 1e9} {
				dni, dhi := s.At(second)
				if dhi != x.dhi || dni != x.dni && !math.IsNaN(x.dni) {
					t.Errorf("%+v: %v and %v at %v s", x, dni, dhi, second)
				}
			}
		}
	}
}

// Rates and lengths outside their range are taken as its ends.
func TestSecondsOutsideTheirRange(t *testing.T) {
	for _, v := range []float64{-1, 0, math.NaN(), math.Inf(1), math.Inf(-1)} {
		s := weather.NewSeconds(1, v, v)
		for _, step := range []int64{0, -9, math.MaxInt64, math.MinInt64} {
			s.Begin(step, 400, 900, 100)
			if dni, dhi := s.At(0.5); !(dni >= 0 && dni <= 900 && dhi > 70 && dhi < 130) {
				t.Errorf("rate and length %v, step %d: %v and %v", v, step, dni, dhi)
			}
		}
	}
}

// Slow, fitted and quick clouds: the beam of half-open hours crosses its half
// more often the quicker they are.
func TestRateSwitches(t *testing.T) {
	var crossings [3]float64
	for i, rate := range []float64{0.5, 1, 2} {
		s := weather.NewSeconds(3, rate, 3600)
		for step := range int64(300) {
			s.Begin(step*24, 450, 900, 200)
			last, _ := s.At(0)
			for t := 1.0; t < 3600; t++ {
				b, _ := s.At(t)
				if (b > 450) != (last > 450) {
					crossings[i] += 1.0 / 300
				}
				last = b
			}
		}
	}
	for i := range 2 {
		// Twice; hours that a soft band or the hour's end cuts short have less.
		if ratio := crossings[i+1] / crossings[i]; ratio < 1.5 || ratio > 2.5 {
			t.Errorf("crossings %.1f in an hour, each should be about twice the one before", crossings)
		}
	}
}

func TestSecondsAllocateNothing(t *testing.T) {
	s := weather.NewSeconds(1, 1, 900)
	if n := testing.AllocsPerRun(100, func() { s.Begin(7, 400, 900, 200); s.At(3); s.At(800) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkSeconds(b *testing.B) {
	for name, stepS := range map[string]float64{"begin 60 s": 60, "begin 900 s": 900, "begin 3600 s": 3600} {
		b.Run(name, func(b *testing.B) {
			s := weather.NewSeconds(1, 1, stepS)
			b.ReportAllocs()
			for i := int64(0); b.Loop(); i++ {
				s.Begin(i, 400, 900, 200)
			}
		})
	}
	s := weather.NewSeconds(1, 1, 900)
	s.Begin(0, 400, 900, 200)
	b.Run("walk", func(b *testing.B) {
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			s.At(float64(i % 900))
		}
	})
	b.Run("anywhere", func(b *testing.B) {
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			s.At(float64(i * 389 % 900))
		}
	})
}
