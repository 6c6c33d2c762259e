package answer_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"turnsole/answer"
	"turnsole/compass"
	"turnsole/place"
	"turnsole/rigfile"
)

func hutRig(t *testing.T) *rigfile.Rig {
	t.Helper()
	e := rigfile.Examples()[0]
	rig, err := rigfile.Read(e.Name, []byte(e.TOML), nil)
	if err != nil {
		t.Fatal(err)
	}
	return rig
}

// Every point of the paths is where the sun's own answer has it.
func TestPathsPassThroughTheSun(t *testing.T) {
	rig := hutRig(t)
	k, err := answer.PathOverSkyline(rig, "", nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(k.Days) != 3 || k.Equator != compass.South {
		t.Fatalf("%d days, equator at %v", len(k.Days), k.Equator)
	}
	spot := rig.Spots[0].Spot
	for _, d := range k.Days {
		for i := 0; i < len(d.Points); i += 24 {
			p := d.Points[i]
			s, err := answer.WhereIsTheSun(answer.SunQuestion{LatitudeDeg: float64(spot.Latitude), LongitudeDeg: float64(spot.Longitude), AltitudeM: spot.AltitudeM, At: p.At})
			if err != nil {
				t.Fatal(err)
			}
			// A path is within 2e-6 degrees of the full reckoning, and a day's
			// change of the earth's lag is less.
			if off := math.Abs(float64(compass.Turn(s.Azimuth, p.Azimuth))) + math.Abs(float64(s.Elevation-p.Elevation)); off > 1e-5 {
				t.Errorf("%v: %v degrees off", p.At, off)
			}
			if p.Hidden != (p.Elevation <= spot.Skyline.At(p.Azimuth)) {
				t.Errorf("%v: hidden is %v at %v under %v", p.At, p.Hidden, p.Elevation, spot.Skyline.At(p.Azimuth))
			}
		}
		if !(d.FreeH > 0 && d.FreeH < d.UpH && d.UpH < 24) {
			t.Errorf("%v: %v of %v hours", d.Date, d.FreeH, d.UpH)
		}
	}
}

func TestPathsFromPoleToPole(t *testing.T) {
	june, december := time.Date(2026, 6, 21, 0, 0, 0, 0, time.UTC), time.Date(2026, 12, 21, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		latitude    compass.Angle
		day         time.Time
		equator     compass.Angle
		hours       float64
		polar, dark bool
		says        string
	}{
		// Hours of the sun's middle above the true horizon are 24/180 arccos(-tan
		// latitude tan declination), plus some minutes for the air's lift.
		{0, june, compass.South, 12.1, false, false, "next to nothing"},
		{52, june, compass.South, 16.6, false, false, "next to nothing"},
		{-34, june, compass.North, 9.8, false, false, "next to nothing"},
		{75, june, compass.South, 24, true, false, "next to nothing"},
		{75, december, compass.South, 0, false, true, "does not rise"},
		{-75, december, compass.North, 24, true, false, "next to nothing"},
	} {
		rig := hutRig(t)
		rig.Spots[0].Spot = place.Spot{Latitude: c.latitude, Zone: time.UTC}
		k, err := answer.PathOverSkyline(rig, "", []time.Time{c.day})
		if err != nil {
			t.Fatal(err)
		}
		d := k.Days[0]
		const step = 0.2 // hours: two steps of five minutes, rounded figures
		if k.Equator != c.equator || math.Abs(d.UpH-c.hours) > step || d.PolarDay != c.polar || d.PolarNight != c.dark {
			t.Errorf("%v: equator %v, up %v h, %v %v", c.latitude, k.Equator, d.UpH, d.PolarDay, d.PolarNight)
		}
		if !strings.Contains(k.Verdict, c.says) {
			t.Errorf("%v: %q", c.latitude, k.Verdict)
		}
	}
}

func TestPathsOverAWall(t *testing.T) {
	rig := hutRig(t)
	wall, err := place.NewSkyline([]place.Mark{{Bearing: 0, Elevation: 80}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	rig.Spots[0].Skyline = wall
	k, err := answer.PathOverSkyline(rig, "", nil)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(k.Verdict, "hides the sun all day") || k.Days[0].AboveSkyline || k.Height(123) != 80 {
		t.Errorf("%q", k.Verdict)
	}
	if _, err := answer.PathOverSkyline(rig, "nowhere", nil); err == nil || !strings.Contains(err.Error(), "nowhere") {
		t.Errorf("a spot that is not there: %v", err)
	}
}
