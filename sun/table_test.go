package sun

import (
	"math"
	"testing"
)

// The tables are as good as the comments beside them say.
func TestTables(t *testing.T) {
	arc, worst := arcTable(), 0.0
	for i := range 100_000 {
		sin, cos := math.Sincos(float64(i) * 2 * math.Pi / 99_999)
		want := math.Atan2(sin, cos) * 180 / math.Pi
		worst = max(worst, math.Abs(arc.atan2(sin, cos)-want))
	}
	if !(worst < 1e-9) {
		t.Errorf("arc tangent off by %.2g degrees", worst)
	}
	p := NewPath(Observer{PressureHPa: 1010, TemperatureC: 10}, 2461041.5, 2461041.5, 69)
	worst = 0
	for e := lowestLift; e <= 90; e += 0.001 {
		worst = max(worst, math.Abs(p.refraction(e)-standardRefraction(e)))
	}
	if !(worst < 1e-6) {
		t.Errorf("refraction off by %.2g degrees", worst)
	}
	t.Logf("refraction off by %.2g degrees", worst)
}

func TestTableEnds(t *testing.T) {
	square := tabulate(func(x float64) float64 { return x * x }, -1, 3, 4)
	for _, x := range []float64{-1, 0, 0.5, 3} {
		if got := square.at(x); math.Abs(got-x*x) > 1e-14 { // a cubic is exact but for rounding
			t.Errorf("%v squared is %v", x, got)
		}
	}
	for _, x := range []float64{-2.5, 4.5, math.NaN(), math.Inf(1)} {
		if got := square.at(x); !math.IsNaN(got) {
			t.Errorf("beyond the table %v squared is %v", x, got)
		}
	}
}
