package sun_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/sun"
)

func TestShadow(t *testing.T) {
	for _, c := range []struct {
		azimuth, elevation compass.Angle
		bearing            compass.Angle
		length             float64
	}{
		{180, 45, 0, 2}, {90, 90, 270, 0}, {350, 30, 170, 2 * math.Sqrt(3)},
		{200, 0, 20, math.Inf(1)}, {200, -5, 20, math.Inf(1)},
	} {
		bearing, length := sun.Shadow(c.azimuth, c.elevation, 2)
		if bearing != c.bearing || !(length == c.length || math.Abs(length-c.length) < 1e-12) { // rounding
			t.Errorf("sun at %v, %v up: shadow toward %v, %v long; want %v, %v", c.azimuth, c.elevation, bearing, length, c.bearing, c.length)
		}
	}
}

// A line from the shadow's end over the stick's tip meets the sun.
func TestShadowPointsBackAtTheSun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		azimuth := compass.Angle(rapid.Float64Range(0, 360).Draw(t, "azimuth"))
		elevation := compass.Angle(rapid.Float64Range(0.1, 90).Draw(t, "elevation"))
		stick := rapid.Float64Range(0.01, 3).Draw(t, "stick")
		bearing, length := sun.Shadow(azimuth, elevation, stick)
		end := compass.Toward(bearing, 0)
		line := compass.Direction{East: -length * end.East, North: -length * end.North, Up: stick}
		toward, size := compass.Toward(azimuth, elevation), math.Hypot(length, stick)
		if got := line.Dot(toward) / size; math.Abs(got-1) > 1e-12 { // rounding
			t.Errorf("the cosine between shadow's end and sun is %v", got)
		}
	})
}
