package sun_test

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
	"turnsole/compass"
	"turnsole/place"
	"turnsole/sun"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.9g, want %.9g within %.1g", what, got, want, tolerance)
	}
}

func day(t testing.TB, year, month int, d float64) sun.JulianDay {
	t.Helper()
	jd, err := sun.CalendarDay(year, month, d)
	if err != nil {
		t.Fatal(err)
	}
	return jd
}

// observers anywhere on earth, in any air.
func observers() *rapid.Generator[sun.Observer] {
	return rapid.Custom(func(t *rapid.T) sun.Observer {
		return sun.Observer{
			Latitude:     compass.Angle(rapid.Float64Range(-90, 90).Draw(t, "latitude")),
			Longitude:    compass.Angle(rapid.Float64Range(-180, 180).Draw(t, "longitude")),
			AltitudeM:    rapid.Float64Range(-430, 9000).Draw(t, "altitude"),
			PressureHPa:  rapid.Float64Range(0, 1100).Draw(t, "pressure"),
			TemperatureC: rapid.Float64Range(-60, 50).Draw(t, "temperature"),
		}
	})
}

// instants of the report's eight thousand years, a few days from either end.
func instants() *rapid.Generator[sun.JulianDay] {
	return rapid.Custom(func(t *rapid.T) sun.JulianDay {
		return sun.JulianDay(rapid.Float64Range(float64(sun.Earliest)+3, float64(sun.Latest)-3).Draw(t, "jd"))
	})
}

func TestObserverAtSpot(t *testing.T) {
	sea := sun.At(place.Spot{Latitude: 52, Longitude: -3.6})
	// The standard atmosphere begins at 1013.25 hPa; the formula's constants
	// are rounded to about 1e-5.
	near(t, "pressure at sea level", sea.PressureHPa, 1013.25, 0.02)
	// U.S. Standard Atmosphere 1976, geometric altitude 2000 m: 795.01 hPa.
	near(t, "pressure at 2000 m", sun.At(place.Spot{AltitudeM: 2000}).PressureHPa, 795.01, 0.1)
	if sea.Latitude != 52 || sea.Longitude != -3.6 || sea.Err() != nil {
		t.Errorf("observer %+v: %v", sea, sea.Err())
	}
}

func TestImpossibleObservers(t *testing.T) {
	for _, o := range []sun.Observer{
		{Latitude: 95}, {Latitude: compass.Angle(math.NaN())}, {Longitude: 181}, {AltitudeM: 20000},
		{PressureHPa: -1}, {TemperatureC: -273}, {TemperatureC: math.Inf(1)},
	} {
		if o.Err() == nil {
			t.Errorf("%+v passes", o)
		}
	}
}

// A report whose series reach for 8000 years says nothing beyond them.
func TestYearsOfTheReport(t *testing.T) {
	for _, c := range []struct {
		jd    sun.JulianDay
		known bool
	}{
		{sun.Earliest, true}, {sun.Latest, true},
		{sun.Earliest - 1, false}, {sun.Latest + 1, false}, {sun.JulianDay(math.NaN()), false},
	} {
		p := sun.PositionAt(c.jd, sun.Observer{}, 0)
		for what, v := range map[string]float64{
			"azimuth": float64(p.Azimuth), "elevation": float64(p.Elevation), "declination": float64(p.Declination),
			"equation of time": p.EquationOfTimeMin, "distance": p.DistanceAU,
		} {
			if math.IsNaN(v) == c.known {
				t.Errorf("%s at %v is %v", what, c.jd, v)
			}
		}
		if (c.jd.Err() == nil) != c.known {
			t.Errorf("Err at %v: %v", c.jd, c.jd.Err())
		}
	}
	if jd := day(t, -2000, 1, 1); jd != sun.Earliest {
		t.Errorf("the year -2000 begins at %v", jd)
	}
	if jd := day(t, 6000, 12, 31); jd+1 != sun.Latest {
		t.Errorf("the year 6000 ends at %v", jd+1)
	}
}

// Between the tropics the noon sun stands south of the zenith in one season and
// north of it in the other; beyond them always on the equator's side.
func TestNoonSide(t *testing.T) {
	for _, c := range []struct {
		latitude compass.Angle
		month    int
		want     compass.Angle
	}{
		{-6, 6, compass.North}, {-6, 12, compass.South}, {10, 6, compass.North}, {10, 12, compass.South},
		{52, 6, compass.South}, {52, 12, compass.South}, {-45, 6, compass.North}, {-45, 12, compass.North},
	} {
		o := sun.Observer{Latitude: c.latitude, PressureHPa: 1010, TemperatureC: 10}
		noon := sun.DayFrom(day(t, 2026, c.month, 21), o, 69).Transit
		p := sun.PositionAt(noon, o, 69)
		// 0.01 s of time is 0.00004 degrees of turn, a few times that near
		// the zenith.
		near(t, "azimuth at noon", float64(compass.Turn(c.want, p.Azimuth)), 0, 0.001)
	}
}

func TestEquationOfTimeStaysASundialsError(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		jd := sun.JulianDay(rapid.Float64Range(2378496, 2488070).Draw(t, "jd")) // 1800 to 2100
		p := sun.PositionAt(jd, sun.Observer{}, 60)
		// Today it goes from -14.3 to +16.5 minutes, in 1800 from -14.6.
		if !(p.EquationOfTimeMin > -14.7 && p.EquationOfTimeMin < 16.7) {
			t.Fatalf("%v minutes", p.EquationOfTimeMin)
		}
		// The earth's eccentricity is 0.0167, its obliquity 23.44.
		if !(math.Abs(p.DistanceAU-1) < 0.0171) || !(math.Abs(float64(p.Declination)) < 23.48) {
			t.Fatalf("distance %v au, declination %v", p.DistanceAU, p.Declination)
		}
	})
}

func TestNoAirNoRefraction(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, jd := observers().Draw(t, "observer"), instants().Draw(t, "jd")
		p := sun.PositionAt(jd, o, 0)
		if d := p.Elevation - p.Geometric; !(d > -0.001 && d < 1.2) {
			t.Fatalf("the air lifts the sun by %v degrees", d)
		}
		o.PressureHPa = 0
		if p = sun.PositionAt(jd, o, 0); p.Elevation != p.Geometric {
			t.Fatalf("%v and %v without air", p.Elevation, p.Geometric)
		}
	})
}

func TestJulianDayAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		unix := rapid.Int64Range(-125_000_000_000, 127_000_000_000).Draw(t, "unix")
		want := time.Unix(unix, 0).UTC()
		if got := sun.JulianDayOf(want).Time(); !got.Equal(want) { // whole seconds survive
			t.Fatalf("%v became %v", want, got)
		}
	})
	if !sun.JulianDay(math.NaN()).Time().IsZero() || !sun.JulianDay(1e300).Time().IsZero() {
		t.Error("an instant outside the years has a time")
	}
}

func TestCalendarDay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		year, month := rapid.IntRange(1583, 6000).Draw(t, "year"), rapid.IntRange(1, 12).Draw(t, "month")
		d := rapid.IntRange(1, 28).Draw(t, "day")
		got, err := sun.CalendarDay(year, month, float64(d))
		if want := sun.JulianDayOf(time.Date(year, time.Month(month), d, 0, 0, 0, 0, time.UTC)); err != nil || got != want {
			t.Fatalf("%d-%02d-%02d is %v (%v), the Gregorian calendar says %v", year, month, d, got, err, want)
		}
	})
	if a, b := day(t, 1582, 10, 4), day(t, 1582, 10, 15); b != a+1 {
		t.Errorf("15 October 1582 came %v days after the 4th", b-a)
	}
	for _, c := range []struct {
		year, month int
		day         float64
	}{
		{-4713, 1, 1}, {6001, 1, 1}, {2026, 0, 1}, {2026, 13, 1}, {2026, 2, 29}, {1900, 2, 29}, {2026, 4, 31},
		{2026, 1, 0.5}, {1582, 10, 5}, {1582, 10, 14.9}, {2026, 1, math.NaN()},
	} {
		if jd, err := sun.CalendarDay(c.year, c.month, c.day); err == nil {
			t.Errorf("%v is %v", c, jd)
		}
	}
	day(t, 1500, 2, 29) // a leap day of the Julian calendar
}

// The pieces of DeltaT were fitted to meet.
func TestDeltaTIsWhole(t *testing.T) {
	for year := -1999.0; year < 2999; year++ {
		jd := sun.JulianDay(2451544.5 + (year-2000)*365.25)
		// One year changes it by less than 25 s at -2000 and 9 s at 3000, and
		// the joints are within 1.5 s.
		if step := sun.DeltaT(jd+365.25) - sun.DeltaT(jd); math.Abs(step) > 27 || year > 1600 && math.Abs(step) > 12 {
			t.Errorf("from %v it changes by %v s in a year", year, step)
		}
	}
}

func BenchmarkPositionAt(b *testing.B) {
	o := sun.Observer{Latitude: 52.28, Longitude: -3.62, AltitudeM: 310, PressureHPa: 976, TemperatureC: 10}
	for i := range b.N {
		sun.PositionAt(2461041.5+sun.JulianDay(i%525600)/1440, o, 69)
	}
}
