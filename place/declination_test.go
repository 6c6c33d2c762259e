package place_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/place"
)

func field(t interface{ Fatal(...any) }, lat, lon compass.Angle, altitudeM, year float64) place.Field {
	f, err := place.MagneticField(place.Spot{Latitude: lat, Longitude: lon, AltitudeM: altitudeM}, year)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// A field that comes from inside the earth and from nothing else has a
// potential: walked round a closed loop, what it does adds up to nothing. The
// walk is at sea level along meridians and parallels of the WGS 84 ellipsoid,
// so it also holds the turn from the earth's centre to the plumb line.
func TestFieldHasAPotential(t *testing.T) {
	const a, e2, steps = 6378.137, 0.00669437999014, 200
	rapid.Check(t, func(t *rapid.T) {
		south := rapid.Float64Range(-80, 60).Draw(t, "south")
		west := rapid.Float64Range(-180, 150).Draw(t, "west")
		const high, wide = 20.0, 30.0
		round, sum := 0.0, 0.0
		walk := func(part float64) { round += part; sum += math.Abs(part) }
		for i := range steps {
			share := (float64(i) + 0.5) / steps // the middle of each step
			lat, lon := south+share*high, west+share*wide
			sin := math.Sin(lat * math.Pi / 180)
			north := a * (1 - e2) / math.Pow(1-e2*sin*sin, 1.5) * high / steps
			walk(north * field(t, compass.Angle(lat), compass.Angle(west+wide), 0, 2026).XNT)
			walk(-north * field(t, compass.Angle(lat), compass.Angle(west), 0, 2026).XNT)
			for _, side := range []struct{ lat, way float64 }{{south, 1}, {south + high, -1}} {
				s, c := math.Sincos(side.lat * math.Pi / 180)
				east := a * c / math.Sqrt(1-e2*s*s) * wide / steps
				walk(side.way * east * field(t, compass.Angle(side.lat), compass.Angle(lon), 0, 2026).YNT)
			}
		}
		// Middles of 0.15 degrees for waves of 30 and more: a relative error of
		// (12 x 0.15 degrees)^2 / 24 = 4e-5 in each harmonic at most.
		if math.Abs(round) > 5e-5*sum {
			t.Errorf("round a loop from %.1f N %.1f E: %.3g of %.3g", south, west, round, sum)
		}
	})
}

// At the poles the parts depend on the meridian that is called north, the
// field itself does not.
func TestPolesAreOnePoint(t *testing.T) {
	for _, lat := range []compass.Angle{90, -90} {
		at := field(t, lat, 0, 0, 2025)
		for lon := compass.Angle(-180); lon <= 180; lon += 30 {
			f := field(t, lat, lon, 0, 2025)
			// Turning the meridian by lon turns the declination the other way at
			// the north pole and the same way at the south pole.
			turned := f.DeclinationDeg + lon
			if lat > 0 {
				turned = f.DeclinationDeg - lon
			}
			if off := compass.Turn(at.DeclinationDeg, turned); math.Abs(float64(off)) > 1e-9 || math.Abs(f.TotalNT-at.TotalNT) > 1e-6 { // rounding
				t.Errorf("%v N %v E: %+v, at the prime meridian %+v", lat, lon, f, at)
			}
		}
		near := field(t, lat*(1-1e-9), 0, 0, 2025)
		if math.Abs(near.XNT-at.XNT) > 1e-3 || math.Abs(near.YNT-at.YNT) > 1e-3 { // 1e-7 degrees of a field that changes by some 100 nT in a degree
			t.Errorf("a centimetre from the pole %+v, at it %+v", near, at)
		}
	}
}

func TestYearlyChangeIsTheDifferenceOfTwoYears(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat := compass.Angle(rapid.Float64Range(-60, 60).Draw(t, "latitude"))
		lon := compass.Angle(rapid.Float64Range(-180, 180).Draw(t, "longitude"))
		const apart = 0.01
		before, after := field(t, lat, lon, 0, 2027), field(t, lat, lon, 0, 2027+apart)
		rate := float64(compass.Turn(before.DeclinationDeg, after.DeclinationDeg)) / apart
		// A hundredth of a year's curvature: the rate itself changes by a percent
		// or so in a year where the field is strong.
		if math.Abs(rate-float64(before.YearlyDeg)) > 1e-3*(0.1+math.Abs(rate)) {
			t.Errorf("%v N %v E: %v degrees a year, told %v", lat, lon, rate, before.YearlyDeg)
		}
	})
}

func TestWhereACompassCannotBeTrusted(t *testing.T) {
	for _, c := range []struct {
		name     string
		lat, lon compass.Angle
		says     string
	}{
		{"a temperate spot", 52.28, -3.62, ""},
		{"northern Canada", 77, -90, "several degrees"},
		{"the north magnetic pole", 86, 139, "useless"}, // 85.8 N 139 E in 2025 (the model's report)
		{"the south magnetic pole", -63.9, 135.1, "useless"},
	} {
		f := field(t, c.lat, c.lon, 0, 2025)
		if got := f.Caution(); (got == "") != (c.says == "") || !strings.Contains(got, c.says) {
			t.Errorf("%s, %.0f nT: %q, want %q", c.name, f.HorizontalNT, got, c.says)
		}
	}
	wales := field(t, 52.28, -3.62, 0, 2025)
	if math.Abs(float64(wales.UncertaintyDeg)-0.38) > 0.01 { // hypot(0.26, 5417 / 19400)
		t.Errorf("uncertain by %v degrees", wales.UncertaintyDeg)
	}
}

func TestBearing(t *testing.T) {
	f := place.Field{DeclinationDeg: 10}
	if f.Bearing(180) != 170 || f.Bearing(5) != 355 {
		t.Errorf("with 10 degrees east a compass shows %v toward south, %v toward 5", f.Bearing(180), f.Bearing(5))
	}
}

func TestImpossibleFieldsAreRefused(t *testing.T) {
	ok := place.Spot{Latitude: 50}
	for says, try := range map[string]struct {
		spot place.Spot
		year float64
	}{
		"not in 2024.9": {ok, 2024.9},
		"not in 2030.5": {ok, 2030.5},
		"not in NaN":    {ok, math.NaN()},
		"latitude":      {place.Spot{Latitude: 91}, 2026},
		"longitude":     {place.Spot{Longitude: compass.Angle(math.Inf(1))}, 2026},
		"altitude":      {place.Spot{AltitudeM: -6371200}, 2026},
	} {
		if _, err := place.MagneticField(try.spot, try.year); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v", says, err)
		}
	}
}

func TestDecimalYear(t *testing.T) {
	for at, want := range map[string]float64{"2025-01-01T00:00:00Z": 2025, "2028-07-02T00:00:00Z": 2028.5, "2026-12-31T23:00:00-01:00": 2027} {
		when, err := time.Parse(time.RFC3339, at)
		if err != nil {
			t.Fatal(err)
		}
		if got := place.DecimalYear(when); got != want {
			t.Errorf("%s is %v, want %v", at, got, want)
		}
	}
}

func BenchmarkMagneticField(b *testing.B) {
	spot := place.Spot{Latitude: 52.28, Longitude: -3.62, AltitudeM: 220}
	for b.Loop() {
		if _, err := place.MagneticField(spot, 2026.5); err != nil {
			b.Fatal(err)
		}
	}
}
