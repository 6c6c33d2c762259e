package hindsight_test

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/hindsight"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/sky"
	"turnsole/sun"
)

var hill = place.Spot{Name: "hill", Latitude: 52.28, Longitude: -3.62, AltitudeM: 310, Albedo: even(0.2)}

func even(albedo float64) (months [12]float64) {
	for m := range months {
		months[m] = albedo
	}
	return months
}

func walled(t testing.TB) place.Spot {
	spot := hill
	line, err := place.NewSkyline([]place.Mark{{Bearing: 90, Elevation: 12}, {Bearing: 250, Elevation: 20}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	spot.Skyline = line
	return spot
}

const day = 86400

var newYear = float64(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC).Unix())

func scene(t testing.TB, spot place.Spot) *hindsight.Scene {
	s, err := hindsight.NewScene(spot, [12]float64{}, plane.DefaultGlass(), newYear, newYear+365*day)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// june is a morning with the sun in the east, half up.
const june = 160.0*day + 8*3600

func TestInstantIsTheSunAndTheClearSky(t *testing.T) {
	s := scene(t, hill)
	air := sky.NewClear(hill.AltitudeM, sky.Turbidity(hill.Latitude)[5])
	for hour := range 24 {
		unixS := newYear + 160*day + float64(hour)*3600
		at := s.At(unixS)
		jd := sun.JulianDayUnix(unixS)
		want := sun.PositionAt(jd, sun.At(hill), sun.DeltaT(jd))
		// sun.Path's own promise is 0.000002 degrees.
		if d := at.Sun.Dot(want.Direction()); d < 1-1e-12 {
			t.Errorf("%d h: the sun stands elsewhere, cosine %v", hour, d)
		}
		sunHour := 12 + float64(compass.Turn(0, want.HourAngle))/15
		// Air lifts the sun a hundredth of an hour aside at most, at the horizon.
		if turn := math.Remainder(at.SunHour-sunHour, 24); math.Abs(turn) > 0.05 {
			t.Errorf("%d h: the sun's hour %.3f, want %.3f", hour, at.SunHour, sunHour)
		}
		if at.Hidden != (want.Elevation <= 0) || at.Clear != air.Light(at.Sun.Up, at.ExtraNormal) {
			t.Errorf("%d h: %+v at an elevation of %.1f", hour, at, want.Elevation)
		}
		if at.Clear.DNI > at.MostDNI || at.MostDNI > 1.05*at.ExtraNormal {
			t.Errorf("%d h: clear beam %.0f, at most %.0f", hour, at.Clear.DNI, at.MostDNI)
		}
	}
}

func TestSkylineHidesTheSun(t *testing.T) {
	free, behind := scene(t, hill), scene(t, walled(t))
	hidden := 0
	for hour := 3.0; hour < 22; hour += 0.25 {
		a, b := free.At(newYear+100*day+hour*3600), behind.At(newYear+100*day+hour*3600)
		if want := a.Hidden || a.Sun.Elevation() <= walled(t).Skyline.At(a.Sun.Azimuth()); b.Hidden != want {
			t.Errorf("%.2f h: hidden %t, want %t", hour, b.Hidden, want)
		}
		if b.Hidden && !a.Hidden {
			hidden++
			f := behind.Face(b.Sun.Azimuth(), 40)
			_, with := behind.Light(&b, f, 800, 50)
			_, without := behind.Light(&b, f, 0, 50)
			if with != without {
				t.Errorf("%.2f h: a hidden beam adds %v W/m2", hour, with-without)
			}
		}
	}
	if hidden == 0 {
		t.Error("the skyline hid nothing")
	}
}

// The light on a face is package plane's, with Hay & Davies's sky.
func TestLightIsPackagePlanes(t *testing.T) {
	for name, spot := range map[string]place.Spot{"free": hill, "skyline": walled(t)} {
		s := scene(t, spot)
		rapid.Check(t, func(t *rapid.T) {
			at := daylight(t, s)
			dni, dhi := rapid.Float64Range(0, at.MostDNI).Draw(t, "dni"), rapid.Float64Range(0, 600).Draw(t, "dhi")
			if at.Sun.Elevation() < 5 || at.Hidden {
				return // plane scales the ground's part otherwise below 5 degrees
			}
			heading, tilt := anyFace(t)
			one := sky.Series{StepS: 1, Hour: []int32{0}, East: []float64{at.Sun.East}, North: []float64{at.Sun.North}, Up: []float64{at.Sun.Up},
				AzimuthDeg: []float64{float64(at.Sun.Azimuth())}, ExtraNormal: []float64{at.ExtraNormal},
				DNI: []float64{dni}, DHI: []float64{dhi}, Albedo: []float64{0.2}}
			l := plane.Prepare(&one, spot.Skyline, plane.HayDavies, plane.DefaultGlass())
			wantPlane, want := l.At(0, plane.NewHeading(heading), l.Slope(tilt))
			gotPlane, got := s.Light(&at, s.Face(heading, tilt), dni, dhi)
			if math.Abs(gotPlane-wantPlane) > 1e-9 || math.Abs(got-want) > 1e-9 { // rounding
				t.Fatalf("%s: %v and %v, package plane says %v and %v", name, gotPlane, got, wantPlane, want)
			}
		})
	}
}

// daylight draws an instant with the sun up.
func daylight(t *rapid.T, s *hindsight.Scene) hindsight.Instant {
	for {
		at := s.At(newYear + rapid.Float64Range(0, 365*day).Draw(t, "second"))
		if at.Sun.Up > 0 {
			return at
		}
	}
}

func anyFace(t *rapid.T) (heading, tilt compass.Angle) {
	return compass.Angle(rapid.Float64Range(0, 360).Draw(t, "heading")), compass.Angle(rapid.Float64Range(0, 90).Draw(t, "tilt"))
}

func TestSceneRefuses(t *testing.T) {
	white, far := hill, hill
	white.Albedo = even(1.2)
	far.Latitude = 95
	nan := math.NaN()
	for what, c := range map[string]struct {
		spot     place.Spot
		from, to float64
	}{
		"an albedo above 1": {white, newYear, newYear + day}, "a latitude of 95": {far, newYear, newYear + day},
		"a log that runs backwards": {hill, newYear, newYear - 1}, "a time that is none": {hill, nan, newYear},
		"no end": {hill, newYear, math.Inf(1)}, "a thousand years": {hill, newYear, newYear + 365e3*day},
	} {
		if _, err := hindsight.NewScene(c.spot, [12]float64{}, plane.Glass{}, c.from, c.to); err == nil {
			t.Errorf("%s was accepted", what)
		}
	}
}

func TestOutsideTheScene(t *testing.T) {
	s := scene(t, hill)
	for _, unixS := range []float64{newYear - 400*day, newYear + 800*day, math.NaN(), math.Inf(1), math.Inf(-1), 1e300} {
		at := s.At(unixS)
		f := s.Face(180, 40)
		if !math.IsNaN(at.Sun.Up+at.ExtraNormal+at.Clear.GHI+at.MostDNI) || !at.Hidden {
			t.Errorf("at %v: %+v", unixS, at)
		}
		l, sure := s.Split(&at, []hindsight.Face{f}, []float64{500}, sky.Light{})
		if !math.IsNaN(l.DNI+l.DHI+sure) || !math.IsNaN(s.FromOne(&at, f, 500, 60).GHI) {
			t.Errorf("at %v: %v, %v", unixS, l, sure)
		}
	}
}

func BenchmarkAt(b *testing.B) {
	s := scene(b, hill)
	for i := range b.N {
		if at := s.At(newYear + june + float64(i%10000)); at.Hidden {
			b.Fatal("the sun is up")
		}
	}
}
