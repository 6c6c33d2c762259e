package answer_test

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"turnsole/answer"
	"turnsole/compass"
	"turnsole/rigfile"
)

// rigAt is the least rig at a spot.
func rigAt(t interface{ Fatal(...any) }, spot string) *rigfile.Rig {
	rig, err := rigfile.Read("rig.toml", []byte("[spot]\n"+spot+"\n[panel]\npower = \"80 W\"\n"), nil)
	if err != nil {
		t.Fatal(err)
	}
	return rig
}

func on(year int, month time.Month, day int) time.Time {
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}

func setUp(t interface{ Fatal(...any) }, q answer.SetupQuestion) *answer.Setup {
	s, err := answer.SetUp(q)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// A needle that points 2 degrees east of true north shows 178 toward true
// south: the compass's bearing is the true one less the declination.
func TestCompassIsTrueLessDeclination(t *testing.T) {
	for _, spot := range []string{"latitude = 52.28\nlongitude = -3.62", "latitude = -45.9\nlongitude = 170.5", "latitude = 64.1\nlongitude = -21.9"} {
		s := setUp(t, answer.SetupQuestion{Rig: rigAt(t, spot), Dates: []time.Time{on(2026, 6, 21)}})
		d := s.Field.DeclinationDeg
		if off := compass.Turn(s.CompassDeg+d, s.Still); math.Abs(float64(off)) > 1e-9 { // rounding
			t.Errorf("%q: compass %v with a declination of %v, true %v", spot, s.CompassDeg, d, s.Still)
		}
		for _, shadow := range s.Days[0].Shadows {
			if off := compass.Turn(shadow.CompassDeg+d, shadow.Bearing); math.Abs(float64(off)) > 1e-9 { // rounding
				t.Errorf("%q: shadow by compass %v, true %v", spot, shadow.CompassDeg, shadow.Bearing)
			}
		}
	}
	// Dunedin lies under a needle that points some 26 degrees east (the model's
	// maps, to a degree or so), so that it shows 334 toward true north.
	s := setUp(t, answer.SetupQuestion{Rig: rigAt(t, "latitude = -45.9\nlongitude = 170.5"), Dates: []time.Time{on(2026, 6, 21)}})
	if s.Still != compass.North || math.Abs(s.CompassDeg.Degrees()-334) > 1.5 {
		t.Errorf("faces %v, by compass %v", s.Still, s.CompassDeg)
	}
}

// At the equinox the sun goes round in the plane of the equator, so that every
// shadow's tip lies on one straight line from west to east, the stick times the
// tangent of the latitude from its foot.
func TestShadowsAtTheEquinox(t *testing.T) {
	for _, latitude := range []float64{52.28, 35, -33, -45.9} {
		rig := rigAt(t, "longitude = 0\nlatitude = "+plainly(latitude))
		// 23 September 2026, 00:05 UTC, is the equinox; in the twelve hours
		// about it the sun sinks by 0.2 degrees.
		s := setUp(t, answer.SetupQuestion{Rig: rig, Dates: []time.Time{on(2026, 9, 23)}, StickM: 1, EveryH: 0.5})
		want := math.Tan(latitude * math.Pi / 180)
		if len(s.Days[0].Shadows) < 18 {
			t.Errorf("only %d shadows at %v", len(s.Days[0].Shadows), latitude)
		}
		for _, shadow := range s.Days[0].Shadows {
			if shadow.SunElevation < 15 {
				continue // where the air lifts the sun by more than a twentieth of a degree
			}
			north := shadow.LengthM * shadow.Bearing.Cos()
			// 0.3 degrees of declination and refraction are 0.005 rad; they count
			// with the square of the stick's length to the shadow's tip.
			if reach := 1 + shadow.LengthM*shadow.LengthM; math.Abs(north-want) > 0.006*reach {
				t.Errorf("%v at %s: %.4f m to the north, want %.4f", latitude, shadow.At.Format("15:04"), north, want)
			}
		}
	}
}

func plainly(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func anyContains(all []string, part string) bool {
	return slices.ContainsFunc(all, func(s string) bool { return strings.Contains(s, part) })
}

// South of the tropics the panel faces north, shadows at noon fall south, and
// they turn anticlockwise.
func TestSouthernHemisphere(t *testing.T) {
	s := setUp(t, answer.SetupQuestion{Rig: rigAt(t, "latitude = -45.9\nlongitude = 170.5\nzone = \"Pacific/Auckland\""),
		Dates: []time.Time{on(2026, 6, 21), on(2026, 12, 21)}})
	if s.Still != compass.North {
		t.Errorf("faces %v", s.Still)
	}
	for _, day := range s.Days {
		if day.AtNoon == nil || math.Abs(float64(compass.Turn(day.AtNoon.Bearing, compass.South))) > 0.1 { // the transit is told to the second
			t.Errorf("%s: noon %+v", day.Date, day.AtNoon)
		}
		for _, shadow := range day.Shadows {
			if shadow.PerMinute >= 0 {
				t.Errorf("%s: the shadow turns by %v a minute", shadow.At, shadow.PerMinute)
			}
		}
	}
	if june, december := s.Days[0].Zone, s.Days[1].Zone; june != "NZST, UTC+12" || december != "NZDT, UTC+13" {
		t.Errorf("clocks %q and %q", june, december)
	}
}

func TestNoonShadowLiesAlongTheMeridian(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		latitude := rapid.Float64Range(-66, 66).Draw(r, "latitude")
		longitude := rapid.Float64Range(-180, 180).Draw(r, "longitude")
		day := on(2025, 1, 1).AddDate(0, 0, rapid.IntRange(0, 1700).Draw(r, "day"))
		s := setUp(r, answer.SetupQuestion{Rig: rigAt(r, "latitude = "+plainly(latitude)+"\nlongitude = "+plainly(longitude)), Dates: []time.Time{day}, EveryH: 6})
		n := s.Days[0].AtNoon
		if n == nil || n.Steep {
			return // so near overhead the azimuth means little
		}
		off := math.Abs(n.Bearing.Sin()) // 0 toward north and south
		// The transit is told to 0.1 ms of a clock, the meridian's own motion and
		// parallax included: a thousandth of a degree.
		if off > 2e-5 {
			r.Errorf("noon shadow toward %v", n.Bearing)
		}
	})
}

func TestPolarNightAndDay(t *testing.T) {
	rig := rigAt(t, "latitude = 71.3\nlongitude = -156.8\nzone = \"America/Anchorage\"")
	s := setUp(t, answer.SetupQuestion{Rig: rig, Dates: []time.Time{on(2026, 12, 21), on(2026, 6, 21)}})
	night, day := s.Days[0], s.Days[1]
	if night.Rise != nil || night.Set != nil || len(night.Shadows) != 0 || night.AtNoon != nil ||
		!strings.Contains(night.Never, "not rise") || !strings.Contains(night.Check, "no check") {
		t.Errorf("polar night: %+v", night)
	}
	if day.Rise != nil || day.Set != nil || !strings.Contains(day.Never, "not set") || len(day.Shadows) < 20 {
		t.Errorf("polar day: %d shadows, %q", len(day.Shadows), day.Never)
	}
	if !anyContains(s.Findings, "there is no shadow to go by") {
		t.Errorf("%q", s.Findings)
	}
}

func TestSunOverhead(t *testing.T) {
	rig := rigAt(t, "latitude = 0\nlongitude = 0")
	s := setUp(t, answer.SetupQuestion{Rig: rig, Dates: []time.Time{on(2026, 3, 20)}})
	steep := 0
	for _, shadow := range s.Days[0].Shadows {
		if shadow.Steep != (shadow.SunElevation > 70) {
			t.Errorf("sun at %v: steep %v", shadow.SunElevation, shadow.Steep)
		}
		if shadow.Steep {
			steep++
			// A lean of 1 degree seen along a shadow of at most stick / tan 70.
			if shadow.PlumbError < 2.74 {
				t.Errorf("sun at %v: a leaning stick errs by %v only", shadow.SunElevation, shadow.PlumbError)
			}
		}
	}
	if steep < 2 || !strings.Contains(s.Days[0].Check, "too short") || !anyContains(s.Findings, "too short to show the meridian") {
		t.Errorf("%d steep, %q, %q", steep, s.Days[0].Check, s.Findings)
	}
}

func TestNoCompassWhereNoneIsToBeTrusted(t *testing.T) {
	for name, q := range map[string]answer.SetupQuestion{
		"before the model": {Rig: rigAt(t, "latitude = 52\nlongitude = 0"), Dates: []time.Time{on(2019, 6, 1)}},
		"after the model":  {Rig: rigAt(t, "latitude = 52\nlongitude = 0"), Dates: []time.Time{on(2031, 6, 1)}},
		"at the pole":      {Rig: rigAt(t, "latitude = 85.8\nlongitude = 139"), Dates: []time.Time{on(2026, 6, 1)}},
	} {
		s := setUp(t, q)
		if s.FieldWhy == "" || s.CompassDeg != s.Still || s.Field.TotalNT != 0 || !anyContains(s.Findings, "No bearing by compass") {
			t.Errorf("%s: %q, %v, %q", name, s.FieldWhy, s.CompassDeg, s.Findings)
		}
		for _, shadow := range s.Days[0].Shadows {
			if shadow.CompassDeg != shadow.Bearing {
				t.Errorf("%s: a compass shows %v", name, shadow.CompassDeg)
			}
		}
	}
}

func TestLevelCosts(t *testing.T) {
	s := setUp(t, answer.SetupQuestion{Rig: rigAt(t, "latitude = 52\nlongitude = 0"), Dates: []time.Time{on(2026, 6, 1)}})
	// 1 - cos of 1, 2, 3, 5, 10, 15 degrees, by hand.
	want := []float64{0.000152, 0.000609, 0.001370, 0.003805, 0.015192, 0.034074}
	for i, l := range s.Level {
		// Half the last digit, and 1 - cos(30+a)/cos 30 = 1 - cos a + tan 30 sin a.
		if aside := want[i] + math.Sin(l.OffDeg*math.Pi/180)/math.Sqrt(3); math.Abs(l.Loss-want[i]) > 6e-7 || math.Abs(l.Aside-aside) > 6e-7 {
			t.Errorf("%+v, want %v and %v", l, want[i], aside)
		}
	}
	if len(s.Level) != len(want) || !anyContains(s.Leaning, "0.4 %") {
		t.Errorf("%d rows, %q", len(s.Level), s.Leaning)
	}
}

func TestSetupRefuses(t *testing.T) {
	rig := rigAt(t, "latitude = 52\nlongitude = 0")
	day := []time.Time{on(2026, 6, 1)}
	for name, c := range map[string]struct {
		q    answer.SetupQuestion
		says string
	}{
		"no date":        {answer.SetupQuestion{}, "1 to 6"},
		"seven dates":    {answer.SetupQuestion{Dates: make([]time.Time, 7)}, "1 to 6"},
		"a matchstick":   {answer.SetupQuestion{Dates: day, StickM: 0.04}, "0.05 and 5 m"},
		"a mast":         {answer.SetupQuestion{Dates: day, StickM: 6}, "0.05 and 5 m"},
		"no stick":       {answer.SetupQuestion{Dates: day, StickM: math.NaN()}, "0.05 and 5 m"},
		"every minute":   {answer.SetupQuestion{Dates: day, EveryH: 1.0 / 60}, "quarter of an hour"},
		"the year 7000":  {answer.SetupQuestion{Dates: []time.Time{on(7000, 1, 1)}}, "1800 to 2200"},
		"another's spot": {answer.SetupQuestion{Dates: day, Spot: "moor"}, "moor"},
	} {
		c.q.Rig = rig
		_, err := answer.SetUp(c.q)
		var wrong *answer.BadInput
		if !errors.As(err, &wrong) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestNotchOfTheDay(t *testing.T) {
	season := &answer.Notches{}
	season.Turning.Best = answer.NotchYear{Tilts: []compass.Angle{40, 65}, Swaps: []answer.Swap{
		{From: answer.MonthDay{Month: 10, Day: 13}, To: answer.MonthDay{Month: 4, Day: 1}, Notch: 2},
		{From: answer.MonthDay{Month: 4, Day: 2}, To: answer.MonthDay{Month: 10, Day: 12}, Notch: 1}}}
	s := setUp(t, answer.SetupQuestion{Rig: rigAt(t, "latitude = 52\nlongitude = 0"), Season: season,
		Dates: []time.Time{on(2026, 1, 1), on(2026, 4, 1), on(2026, 4, 2), on(2026, 10, 13)}})
	for i, want := range []compass.Angle{65, 65, 40, 65} {
		if n := s.Days[i].Notch; n == nil || n.Tilt != want {
			t.Errorf("%s: %+v, want %v", s.Days[i].Date, n, want)
		}
	}
}
