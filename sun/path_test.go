package sun_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"
	"turnsole/compass"
	"turnsole/sun"
)

// apart is the angle between two unit vectors in degrees, exact when small.
func apart(a, b compass.Direction) float64 {
	return float64(compass.Radians(math.Hypot(math.Hypot(a.East-b.East, a.North-b.North), a.Up-b.Up)))
}

// stated is the difference from the full algorithm that Path's comment states.
const stated = 0.000002

// Within a hair of the elevation where the report's refraction ends, rounding
// decides whether the air lifts the sun by half a degree.
func atTheCut(p sun.Position) bool { return math.Abs(float64(p.Geometric)+0.83337) < 1e-5 }

func TestPathAgainstReport(t *testing.T) {
	worst := 0.0
	for _, year := range []int{-2000, -500, 1000, 1990, 2026, 3500, 6000} {
		for _, latitude := range []compass.Angle{-90, -66.6, -33, -10, 0, 10, 23.44, 52, 78, 90} {
			o := sun.Observer{Latitude: latitude, Longitude: -3.62, AltitudeM: 310, PressureHPa: 976, TemperatureC: 10}
			jd := day(t, year, 1, 1)
			worst = max(worst, farthest(o, jd, sun.DeltaT(jd)))
		}
	}
	if !(worst < stated) {
		t.Errorf("Path and PositionAt point %.2g degrees apart, stated %g", worst, stated)
	}
	t.Logf("Path and PositionAt point up to %.2g degrees apart", worst)
}

// farthest walks a day and an hour of each month in minutes and compares every
// 101st with the report.
func farthest(o sun.Observer, from sun.JulianDay, deltaTS float64) float64 {
	const n = 1500
	var azimuth, elevation, east, north, up [n]float64
	worst := 0.0
	for month := range 12 {
		first := from + 30*sun.JulianDay(month)
		p := sun.NewPath(o, first, first+1.1, deltaTS)
		p.Positions(first, 60, azimuth[:], elevation[:])
		p.Directions(first, 60, east[:], north[:], up[:])
		for i := 0; i < n; i += 101 {
			jd := first + sun.JulianDay(i)/1440
			full := sun.PositionAt(jd, o, deltaTS)
			if atTheCut(full) {
				continue
			}
			worst = max(worst,
				apart(full.Direction(), compass.Toward(compass.Angle(azimuth[i]), compass.Angle(elevation[i]))),
				apart(full.Direction(), compass.Direction{East: east[i], North: north[i], Up: up[i]}),
				math.Abs(p.DistanceAU(jd)-full.DistanceAU)*180/math.Pi)
		}
	}
	return worst
}

// Any observer, any instant, any step, forward or backward.
func TestPathAnywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, first := observers().Draw(t, "observer"), instants().Draw(t, "first")
		step := rapid.Float64Range(-4000, 4000).Draw(t, "step")
		const n = 40
		p := sun.NewPath(o, first-2, first+2, 100)
		var azimuth, elevation [n]float64
		p.Positions(first, step, azimuth[:], elevation[:])
		for i := 0; i < n; i += 13 {
			full := sun.PositionAt(first+sun.JulianDay(float64(i)*step/86400), o, 100)
			if atTheCut(full) {
				continue
			}
			got := compass.Toward(compass.Angle(azimuth[i]), compass.Angle(elevation[i]))
			if d := apart(full.Direction(), got); !(d < stated) {
				t.Fatalf("step %d: %.3g degrees apart", i, d)
			}
			if !(azimuth[i] >= 0 && azimuth[i] < 360) {
				t.Fatalf("azimuth %v", azimuth[i])
			}
		}
	})
}

// The sun goes over the sky without a jump, 15 degrees an hour at most, and its
// direction is a unit vector.
func TestPathIsSmooth(t *testing.T) {
	o := sun.Observer{Latitude: -6, Longitude: 39}
	from := day(t, 2026, 3, 1)
	const n = 4 * 86400 / 5
	var d [3][n]float64
	sun.NewPath(o, from, from+4, 69).Directions(from, 5, d[0][:], d[1][:], d[2][:])
	var before compass.Direction
	for i := range n {
		now := compass.Direction{East: d[0][i], North: d[1][i], Up: d[2][i]}
		if l := now.Dot(now); math.Abs(l-1) > 1e-14 { // a few roundings
			t.Fatalf("length^2 %v at %d", l, i)
		}
		// The earth turns by 360.99 degrees a day, the sun goes with it by 1,
		// parallax adds up to 1 in 23000; declination 6 to 8 degrees south.
		if step := apart(before, now); i > 0 && !(step > 0.0205 && step < 0.02085) {
			t.Fatalf("a step of %v degrees at %d", step, i)
		}
		before = now
	}
}

func TestPathOutside(t *testing.T) {
	from := day(t, 2026, 1, 1)
	p := sun.NewPath(sun.Observer{PressureHPa: 1000}, from, from+1, 69)
	var azimuth, elevation [49 + 48]float64
	p.Positions(from-1, 3600, azimuth[:], elevation[:])
	for i := range azimuth {
		inside := i >= 24 && i <= 48
		if math.IsNaN(azimuth[i]) == inside || math.IsNaN(elevation[i]) == inside {
			t.Errorf("hour %d: %v, %v", i-24, azimuth[i], elevation[i])
		}
	}
	if !math.IsNaN(p.DistanceAU(from-1000)) || math.IsNaN(p.DistanceAU(from)) || math.IsNaN(p.DistanceAU(from+1)) {
		t.Error("the distance is known outside the path, or not within")
	}
}

// Whatever it is given, a Path answers with a number or NaN.
func TestPathOfNonsense(t *testing.T) {
	odd := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{
		math.NaN(), math.Inf(1), math.Inf(-1), 0, 90, -90, 2461041.5, float64(sun.Earliest), float64(sun.Latest)}))
	rapid.Check(t, func(t *rapid.T) {
		o := sun.Observer{
			Latitude: compass.Angle(odd.Draw(t, "latitude")), Longitude: compass.Angle(odd.Draw(t, "longitude")),
			AltitudeM: odd.Draw(t, "altitude"), PressureHPa: odd.Draw(t, "pressure"), TemperatureC: odd.Draw(t, "temperature"),
		}
		first, step, deltaT := sun.JulianDay(odd.Draw(t, "first")), odd.Draw(t, "step"), odd.Draw(t, "deltaT")
		p := sun.NewPath(o, first, first+sun.JulianDay(rapid.Float64Range(-1, 3).Draw(t, "days")), deltaT)
		var a, b, c [70]float64
		p.Positions(first, step, a[:], b[:])
		p.Directions(first, step, a[:], b[:], c[:3])
		sun.DayFrom(first, o, deltaT)
		sun.RiseTransitSet(first, o, deltaT)
	})
}

func BenchmarkPath(b *testing.B) {
	o := sun.Observer{Latitude: 52.28, Longitude: -3.62, AltitudeM: 310, PressureHPa: 976, TemperatureC: 10}
	const n = 525600
	azimuth, elevation := make([]float64, n), make([]float64, n)
	for b.Loop() {
		sun.NewPath(o, 2461041.5, 2461041.5+365, 69).Positions(2461041.5, 60, azimuth, elevation)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/position")
}
