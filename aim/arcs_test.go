package aim_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/place"
	"turnsole/sun"
)

func at(latitude compass.Angle) place.Spot { return place.Spot{Latitude: latitude, Longitude: -3.62} }

// The report's own positions, step by step through a day's light, lie within
// what the arc says.
func TestNoSunOutsideItsArc(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spot := place.Spot{
			Latitude:  compass.Angle(rapid.Float64Range(-89, 89).Draw(t, "latitude")),
			Longitude: compass.Angle(rapid.Float64Range(-180, 180).Draw(t, "longitude")),
		}
		above := compass.Angle(rapid.Float64Range(0, 20).Draw(t, "above"))
		arcs := aim.Arcs(spot, 2026, above)
		if len(arcs) == 0 {
			return
		}
		arc := arcs[rapid.IntRange(0, len(arcs)-1).Draw(t, "arc")]
		noon := sun.JulianDay(2461041.5 + float64(arc.Day-1) + 0.5 - float64(spot.Longitude)/360)
		low, high := float64(-arc.BeyondFrom), float64(arc.To-arc.From+arc.BeyondTo)
		if arc.To < arc.From {
			low, high = float64(arc.To-arc.From-arc.BeyondTo), float64(arc.BeyondFrom)
		}
		for minutes := -700.0; minutes <= 700; minutes += 10 {
			jd := noon + sun.JulianDay(minutes/1440)
			p := sun.PositionAt(jd, sun.At(spot), sun.DeltaT(jd))
			// 0.01 degrees: one delta T for the year, and straight lines over 15 s.
			if p.Elevation < above+0.01 || p.Elevation > 88 {
				continue
			}
			away := float64((p.Azimuth - arc.From).Azimuth())
			const slack = 0.5 // an azimuth where the sun is up to 2 degrees from the zenith
			if away > high+slack && away-360 < low-slack {
				t.Fatalf("day %d: the sun at %v is outside %v..%v from %v", arc.Day, p.Azimuth, low, high, arc.From)
			}
		}
	})
}

func TestOrdinaryDaysRunFromRiseToSet(t *testing.T) {
	spot := at(52.28)
	for _, above := range []compass.Angle{0, 5} {
		testOrdinaryDays(t, spot, above)
	}
}

func testOrdinaryDays(t *testing.T, spot place.Spot, above compass.Angle) {
	arcs := aim.Arcs(spot, 2026, above)
	if len(arcs) != 365 {
		t.Fatalf("%d days", len(arcs))
	}
	o := sun.At(spot)
	for _, a := range arcs {
		for _, end := range []compass.Angle{a.From, a.To} {
			jd := crossing(o, a.Day, above, end > 180)
			p := sun.PositionAt(jd, o, sun.DeltaT(jd))
			// One delta T for the year, and straight lines over 15 s.
			if d := compass.Turn(p.Azimuth, end); math.Abs(float64(d)) > 0.001 {
				t.Errorf("day %d: %v, the sun crosses %v degrees at %v", a.Day, end, above, p.Azimuth)
			}
		}
		if a.BeyondFrom != 0 || a.BeyondTo != 0 || a.To < a.From {
			t.Errorf("%+v", a)
		}
	}
}

// crossing finds when the sun passes an elevation, before or after noon.
func crossing(o sun.Observer, day int, elevation compass.Angle, evening bool) sun.JulianDay {
	noon := sun.JulianDay(2461041.5 + float64(day-1) + 0.5 - float64(o.Longitude)/360)
	up, down := noon, noon-0.5
	if evening {
		down = noon + 0.5
	}
	for range 30 {
		middle := (up + down) / 2
		if sun.PositionAt(middle, o, sun.DeltaT(noon)).Elevation > elevation {
			up = middle
		} else {
			down = middle
		}
	}
	return up
}

func TestPolarSummerGoesFullCircle(t *testing.T) {
	for _, c := range []struct {
		latitude  compass.Angle
		day       int
		from      compass.Angle
		clockwise bool
	}{{70, 172, 0, true}, {-70, 355, 180, false}, {90, 172, 0, true}, {-90, 1, 180, false}} {
		found := false
		for _, a := range aim.Arcs(at(c.latitude), 2026, 0) {
			if a.Day != c.day {
				continue
			}
			found = true
			// Rounding of 360 sums.
			if turn := a.To - a.From; math.Abs(math.Abs(float64(turn))-360) > 1e-9 || turn > 0 != c.clockwise || a.From != c.from {
				t.Errorf("%v: %+v", c.latitude, a)
			}
		}
		if !found {
			t.Errorf("%v: no sun on day %d", c.latitude, c.day)
		}
	}
	if n := len(aim.Arcs(at(90), 2026, 30)); n != 0 {
		t.Errorf("%d days with the sun at 30 degrees over the pole", n)
	}
}

// Inside the tropics the sun passes on either side of the zenith, and where it
// does so on the pole's side it swings out before noon and back after it.
func TestTropics(t *testing.T) {
	north, south := 0, 0
	for _, a := range aim.Arcs(at(10), 2026, 0) {
		if a.To < a.From {
			north++
			// The azimuth is greatest where the sun climbs straight up:
			// sin A = cos d / cos p (spherical astronomy).
			d := sun.Work(sun.JulianDay(2461041.5+float64(a.Day)), sun.At(at(10)), 69).Delta
			if d < 10.5 {
				continue
			}
			greatest := compass.Radians(math.Asin(d.Cos() / compass.Angle(10).Cos()))
			// Declination moves by up to 0.25 degrees a day, least where it is high.
			if got := a.From + a.BeyondFrom; math.Abs(float64(got-greatest)) > 1 {
				t.Errorf("day %d swings out to %v, want %v", a.Day, got, greatest)
			}
			continue
		}
		south++
	}
	// The sun is north of 10 degrees from mid April to the end of August.
	if north < 125 || north > 140 || north+south != 365 {
		t.Errorf("%d days round the north, %d round the south", north, south)
	}
}

func TestYearsBeyondTheSunsHaveNoArcs(t *testing.T) {
	if aim.Arcs(at(50), 10000, 0) != nil {
		t.Error("arcs in the year 10000")
	}
	if n := len(aim.Arcs(at(50), 2028, 0)); n != 366 {
		t.Errorf("%d days in a leap year", n)
	}
}

func BenchmarkArcsOfAYear(b *testing.B) {
	for b.Loop() {
		aim.Arcs(at(52.28), 2026, 0)
	}
}
