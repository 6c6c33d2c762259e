package answer

import (
	"math"
	"testing"

	"turnsole/loop"
)

func TestLongestSleepIsNoAccident(t *testing.T) {
	nan := math.NaN()
	for name, c := range map[string]struct {
		light  []float64
		within float64
		want   float64 // place in light; -1 for none
	}{
		"falls":              {[]float64{1, 0.998, 0.995, 0.985, 0.96}, 0.001, 2},
		"never falls":        {[]float64{1, 0.999, 0.998, 0.997, 0.996}, 0.001, 4},
		"a lucky last":       {[]float64{1, 0.999, 0.97, 0.96, 0.9905}, 0.001, 1},
		"a lucky neighbour":  {[]float64{1, 0.988, 0.992, 0.97, 0.96}, 0.001, 2}, // 0.99 together
		"worse at the start": {[]float64{0.9, 1, 0.995, 0.98, 0.96}, 0.001, 2},
		"all by chance":      {[]float64{1, 0.99, 0.995, 0.99, 0.996}, 0.03, -1},
		"no light":           {[]float64{nan, nan, nan, nan, nan}, nan, -1},
		"few days":           {[]float64{1, 0.998, 0.995, 0.985, 0.96}, nan, 2},
		"a gap":              {[]float64{1, nan, 0.995, 0.985, 0.96}, 0.001, 2},
	} {
		var a Aim
		for i, light := range c.light {
			a.Sleeps = append(a.Sleeps, SleepCost{WakeEveryS: float64(i), Light: light, LossWithin: c.within})
		}
		if got := a.LongestSleep(); got != c.want && !(c.want < 0 && math.IsNaN(got)) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}

// The jackknife's interval of a plain mean is Student's.
func TestLossIsKnownAsWellAsItsDaysAgree(t *testing.T) {
	var a, b []loop.Sum
	for d := range 48 {
		lost := []float64{1, 3}[d/6%2] // every second block loses 3 of 100
		a, b = append(a, loop.Sum{LightWhM2: 100}), append(b, loop.Sum{LightWhM2: 100 - lost})
	}
	// Eight means of 0.01 and 0.03: their spread is 0.01 sqrt(8/7), over sqrt(8).
	want := 2.365 * 0.01 / math.Sqrt(7)
	if got := lossWithin(a, b); math.Abs(got-want) > 1e-9 { // rounding
		t.Errorf("%v, want %v", got, want)
	}
	if got := lossWithin(a, a); got != 0 {
		t.Errorf("against itself %v", got)
	}
	if got := lossWithin(a[:9], b[:9]); !math.IsNaN(got) {
		t.Errorf("of nine days %v", got)
	}
}
