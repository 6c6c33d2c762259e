package sky_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/sky"
)

func TestSplitsKeepTheWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ghi := rapid.Float64Range(0, 1600).Draw(t, "ghi")
		up := rapid.Float64Range(-0.1, 1).Draw(t, "up")
		clear := rapid.Float64Range(0, 1200).Draw(t, "clear")
		hour := rapid.Float64Range(0, 24).Draw(t, "hour")
		step := rapid.SampledFrom([]float64{60, 300, 420, 3600}).Draw(t, "step")
		for _, l := range []sky.Light{
			sky.Erbs(ghi, up, 1361),
			sky.NewSplit(step).Light(ghi, clear, up, 1361, hour),
		} {
			// 1e-9 W/m2: rounding of one product and one sum.
			if sum := l.DNI*max(up, 0) + l.DHI; math.Abs(sum-ghi) > 1e-9 || l.GHI != ghi {
				t.Fatalf("%+v adds up to %v, not %v", l, sum, ghi)
			}
			if l.DNI < 0 || l.DHI < -1e-9 || l.DNI > 1361 {
				t.Fatalf("impossible light %+v", l)
			}
		}
	})
}

func TestErbsPiecesMeet(t *testing.T) {
	for _, c := range []struct{ kt, want float64 }{
		{0.1, 0.991}, {0.22, 0.9802}, {0.9, 0.165},
	} {
		l := sky.Erbs(c.kt*1000*0.5, 0.5, 1000)
		if got := l.DHI / l.GHI; math.Abs(got-c.want) > 1e-9 {
			t.Errorf("diffuse fraction at kt %v is %v, want %v", c.kt, got, c.want)
		}
	}
	// The published pieces leave steps of at most 0.003 where they meet.
	for _, kt := range []float64{0.22, 0.80} {
		a, b := sky.Erbs((kt-1e-9)*500, 0.5, 1000), sky.Erbs((kt+1e-9)*500, 0.5, 1000)
		if d := math.Abs(a.DHI/a.GHI - b.DHI/b.GHI); d > 0.003 {
			t.Errorf("step of %v at kt %v", d, kt)
		}
	}
}

func TestNewSplitTakesTheNearestAveragingTime(t *testing.T) {
	for _, c := range []struct{ step, like float64 }{{1, 60}, {90, 60}, {240, 300}, {1200, 900}, {7200, 3600}} {
		if sky.NewSplit(c.step) != sky.NewSplit(c.like) {
			t.Errorf("a step of %v s is not split like one of %v s", c.step, c.like)
		}
	}
}

func TestClearSkyKeepsItsBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		altitude := rapid.Float64Range(-430, 9000).Draw(t, "altitude")
		turbidity := rapid.Float64Range(1, 15).Draw(t, "turbidity")
		up := rapid.Float64Range(-0.2, 1).Draw(t, "up")
		l := sky.NewClear(altitude, turbidity).Light(up, sky.SolarConstant)
		if !(l.GHI >= 0 && l.DNI >= 0 && l.DHI >= 0 && l.DNI <= sky.SolarConstant) {
			t.Fatalf("impossible clear light %+v", l)
		}
		hazier := sky.NewClear(altitude, turbidity+0.5).Light(up, sky.SolarConstant)
		if hazier.DNI > l.DNI+1e-9 || hazier.GHI > l.GHI+1e-9 {
			t.Fatalf("more haze gave more light: %+v, then %+v", l, hazier)
		}
		if up <= 0 && l != (sky.Light{}) {
			t.Fatalf("light %+v from a sun that is down", l)
		}
	})
}

// Two clear skies made from different data must tell the same story where one
// of them knows nothing of the air: within 10 % for usual haze and a sun above
// 20 degrees, the spread that clear-sky models show among themselves.
func TestClearSkyAgreesWithHaurwitz(t *testing.T) {
	clear := sky.NewClear(0, 3)
	for h := compass.Angle(20); h <= 90; h += 5 {
		ours, simple := clear.Light(h.Sin(), sky.SolarConstant).GHI, sky.Haurwitz(h.Sin())
		if r := ours/simple - 1; math.Abs(r) > 0.10 {
			t.Errorf("sun at %v: %.0f W/m2 against %.0f, %+.1f %%", h, ours, simple, 100*r)
		}
	}
}

func TestTurbidityByLatitudeAndSeason(t *testing.T) {
	north, south, tropics := sky.Turbidity(50), sky.Turbidity(-50), sky.Turbidity(0)
	if !(north[6] > north[0] && south[0] > south[6] && tropics[3] > north[3]) {
		t.Errorf("haze must follow summer and the tropics: %v %v %v", north, south, tropics)
	}
	for m := range north {
		if north[m] != south[(m+6)%12] && math.Abs(north[m]-south[(m+6)%12]) > 1e-12 {
			t.Errorf("month %d: north %v, south half a year on %v", m, north[m], south[(m+6)%12])
		}
	}
	if polar := sky.Turbidity(90); polar[0] < 1 {
		t.Errorf("turbidity under that of pure air: %v", polar)
	}
}

func TestPressureFallsWithHeight(t *testing.T) {
	// 0.1 hPa: the two printed constants carry that much at sea level.
	if p := place.PressureHPa(0); math.Abs(p-sky.SeaLevelHPa) > 0.1 {
		t.Errorf("pressure at sea level %v", p)
	}
	if !(place.PressureHPa(2000) < place.PressureHPa(1000)) {
		t.Error("pressure does not fall with height")
	}
}

// The table against the formula it was made from, at a hundred thousand heights: what
// its comment promises.
func TestAirMassTable(t *testing.T) {
	worst := 0.0
	for i := range 100_001 {
		up := float64(i) / 1e5
		elevationDeg := math.Asin(up) * 180 / math.Pi
		want := 1 / (up + 0.50572*math.Pow(elevationDeg+6.07995, -1.6364))
		worst = max(worst, math.Abs(sky.AirMass(up)-want))
	}
	if worst > 1e-6 {
		t.Errorf("off by %v", worst)
	}
	if low, horizon := sky.AirMass(-0.3), sky.AirMass(0); low != horizon {
		t.Errorf("below the horizon %v, on it %v", low, horizon)
	}
}

func BenchmarkClear(b *testing.B) {
	c := sky.NewClear(100, 3)
	sum := 0.0
	for i := range b.N {
		sum += c.Light(float64(i%1000+1)/1001, 1361).GHI
	}
	if sum == 0 {
		b.Fatal("dark")
	}
}
