package sun_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"
	"turnsole/compass"
	"turnsole/sun"
)

// fromCentre is the sun's elevation without air, seen from the earth's centre.
func fromCentre(jd sun.JulianDay, o sun.Observer, deltaTS float64) float64 {
	w := sun.Work(jd, o, deltaTS)
	return float64(compass.Radians(math.Asin(
		o.Latitude.Sin()*w.Delta.Sin() + o.Latitude.Cos()*w.Delta.Cos()*w.H.Cos())))
}

func TestRiseAndSetAreOnTheHorizon(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, start := observers().Draw(t, "observer"), instants().Draw(t, "start")
		d := sun.DayFrom(start, o, 50)
		for _, at := range []sun.JulianDay{d.Rise, d.Set} {
			if math.IsNaN(float64(at)) {
				continue
			}
			if !(at >= start && at <= start+1) {
				t.Fatalf("%v is not within the day from %v", at, start)
			}
			// 0.01 s is 0.00004 degrees of turn.
			if e := fromCentre(at, o, 50); math.Abs(e+0.8333) > 0.00005 {
				t.Fatalf("the sun stands at %v", e)
			}
		}
	})
}

// Up between rise and set, down between set and rise, all day or never.
func TestUpBetweenRiseAndSet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, start := observers().Draw(t, "observer"), instants().Draw(t, "start")
		d := sun.DayFrom(start, o, 50)
		if d.PolarDay && d.PolarNight || (d.PolarDay || d.PolarNight) == (d.Rises() || d.Sets()) {
			t.Fatalf("%+v", d)
		}
		at := start + sun.JulianDay(rapid.Float64Range(0, 1).Draw(t, "share"))
		e := fromCentre(at, o, 50)
		if math.Abs(e+0.8333) < 0.0001 {
			return // rounding decides
		}
		var up bool
		switch {
		case !d.Rises() && !d.Sets():
			up = d.PolarDay
		case !d.Sets():
			up = at >= d.Rise
		case !d.Rises():
			up = at < d.Set
		case d.Rise < d.Set:
			up = at >= d.Rise && at < d.Set
		default:
			up = at >= d.Rise || at < d.Set
		}
		// A second rise within the day is not told: at most a few minutes of
		// light or dark at the very end of it.
		if up != (e > -0.8333) && start+1-at > 0.01 {
			t.Fatalf("elevation %v at %v, %+v", e, at, d)
		}
	})
}

func TestTransitIsHighest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, start := observers().Draw(t, "observer"), instants().Draw(t, "start")
		d := sun.DayFrom(start, o, 50)
		if !d.Transits() {
			return
		}
		noon := fromCentre(d.Transit, o, 50)
		if h := float64(compass.Turn(0, sun.Work(d.Transit, o, 50).H)); math.Abs(h) > 0.00005 { // 0.01 s
			t.Fatalf("hour angle %v at transit", h)
		}
		for hours := -11.0; hours <= 11; hours += 0.5 {
			// Declination moves by up to 0.0171 degrees an hour, which may lift
			// the sun of a high latitude a little before or after its transit.
			if e := fromCentre(d.Transit+sun.JulianDay(hours/24), o, 50); e > noon+0.0175*math.Abs(hours) {
				t.Fatalf("%v at transit, %v hours from it %v", noon, hours, e)
			}
		}
	})
}

// Twenty-four hours can miss a transit, but two such days in a row can not.
func TestTransitsFollowEachOther(t *testing.T) {
	o := sun.Observer{Latitude: 52, Longitude: -3.62}
	start := day(t, 2026, 1, 1)
	noon := sun.DayFrom(start, o, 69).Transit
	for range 365 {
		next := sun.DayFrom(noon+0.5, o, 69).Transit
		// A solar day is 24 h and at most 30 s more or 22 s less.
		if s := float64(next-noon-1) * 86400; !(s > -23 && s < 31) {
			t.Fatalf("the day from %v is 24 h %v s long", noon.Time(), s)
		}
		noon = next
	}
}

func TestPolarDays(t *testing.T) {
	for _, c := range []struct {
		latitude   compass.Angle
		month      int
		day, night bool
	}{
		{78, 6, true, false}, {78, 12, false, true}, {-78, 6, false, true}, {-78, 12, true, false},
		{90, 6, true, false}, {-90, 6, false, true}, {65, 6, false, false}, {0, 6, false, false},
	} {
		o := sun.Observer{Latitude: c.latitude, Longitude: 15}
		for what, d := range map[string]sun.Day{
			"DayFrom":        sun.DayFrom(day(t, 2026, c.month, 21), o, 69),
			"RiseTransitSet": sun.RiseTransitSet(day(t, 2026, c.month, 21), o, 69),
		} {
			if d.PolarDay != c.day || d.PolarNight != c.night || d.Rises() == (c.day || c.night) || d.Sets() != d.Rises() {
				t.Errorf("%s at %v in month %d: %+v", what, c.latitude, c.month, d)
			}
			if !d.Transits() {
				t.Errorf("%s at %v in month %d: no transit", what, c.latitude, c.month)
			}
		}
	}
}

// A sun that peeps over the horizon for minutes is seen.
func TestFirstSunAfterPolarNight(t *testing.T) {
	o := sun.Observer{Latitude: 69.65, Longitude: 18.96}
	shortest := 24.0
	for jd := day(t, 2026, 1, 10); jd < day(t, 2026, 1, 25); jd++ {
		if d := sun.DayFrom(jd, o, 69); d.Rises() {
			shortest = min(shortest, float64(d.Set-d.Rise)*24)
		}
	}
	if !(shortest < 1) {
		t.Errorf("the first day lasts %v h", shortest)
	}
}

// The report's one step and the whole way agree but near the polar circles.
func TestOneStepIsNearlyThere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := observers().Draw(t, "observer")
		o.Latitude = o.Latitude * 60 / 90
		midnight := sun.JulianDay(math.Floor(float64(instants().Draw(t, "start")))) + 0.5
		one := sun.RiseTransitSet(midnight, o, 60)
		for what, pair := range map[string][2]sun.JulianDay{
			"rise":    {one.Rise, sun.DayFrom(one.Rise-0.5, o, 60).Rise},
			"transit": {one.Transit, sun.DayFrom(one.Transit-0.5, o, 60).Transit},
			"set":     {one.Set, sun.DayFrom(one.Set-0.5, o, 60).Set},
		} {
			// The report compares its own with an almanac and finds 15.4 s.
			if s := math.Abs(float64(pair[0]-pair[1])) * 86400; !(s < 15.4) {
				t.Fatalf("%s: %v s apart", what, s)
			}
		}
	})
}

func BenchmarkDayFrom(b *testing.B) {
	o := sun.Observer{Latitude: 52.28, Longitude: -3.62}
	for i := range b.N {
		sun.DayFrom(2461041.5+sun.JulianDay(i%365), o, 69)
	}
}
