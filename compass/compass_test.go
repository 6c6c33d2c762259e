package compass_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
)

func TestAzimuthStaysInTheCircle(t *testing.T) {
	for _, c := range []struct{ in, want compass.Angle }{
		{0, 0}, {360, 0}, {-90, 270}, {725, 5},
		{-2.8e-14, 0}, // math.Mod plus 360 would give 360 here
	} {
		if got := c.in.Azimuth(); got != c.want {
			t.Errorf("(%v).Azimuth() = %v, want %v", c.in, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		a := compass.Angle(rapid.Float64Range(-1e6, 1e6).Draw(t, "a"))
		if z := a.Azimuth(); z < 0 || z >= 360 {
			t.Fatalf("(%v).Azimuth() = %v", a, z)
		}
	})
}

func TestTurnIsTheShortWay(t *testing.T) {
	for _, c := range []struct{ from, to, want compass.Angle }{
		{350, 10, 20}, {10, 350, -20}, {0, 180, 180}, {90, 270, 180}, {200, 200, 0},
	} {
		if got := compass.Turn(c.from, c.to); got != c.want {
			t.Errorf("Turn(%v, %v) = %v, want %v", c.from, c.to, got, c.want)
		}
	}
}

func TestDirectionAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		az := compass.Angle(rapid.Float64Range(0, 359.99).Draw(t, "azimuth"))
		el := compass.Angle(rapid.Float64Range(-89, 89).Draw(t, "elevation"))
		d := compass.Toward(az, el)
		if n := d.Dot(d); math.Abs(n-1) > 1e-12 {
			t.Fatalf("length² %v", n)
		}
		// 1e-9 degrees: rounding in sine and arctangent near the zenith.
		if e := compass.Turn(d.Azimuth(), az); math.Abs(float64(e)) > 1e-9 {
			t.Fatalf("azimuth %v came back as %v", az, d.Azimuth())
		}
		if e := d.Elevation() - el; math.Abs(float64(e)) > 1e-9 {
			t.Fatalf("elevation %v came back as %v", el, d.Elevation())
		}
	})
}

func TestPoints(t *testing.T) {
	for _, c := range []struct {
		in   compass.Angle
		want string
	}{{0, "N"}, {11, "N"}, {12, "NNE"}, {180, "S"}, {348.75, "N"}, {348.7, "NNW"}} {
		if got := c.in.Point(); got != c.want {
			t.Errorf("(%v).Point() = %s, want %s", c.in, got, c.want)
		}
	}
	if a, err := compass.ParsePoint("wsw"); err != nil || a != 247.5 {
		t.Errorf("ParsePoint(wsw) = %v, %v", a, err)
	}
	if _, err := compass.ParsePoint("up"); err == nil {
		t.Error("ParsePoint(up) gave no error")
	}
}

func TestEquatorward(t *testing.T) {
	if compass.Equatorward(52) != compass.South || compass.Equatorward(-6) != compass.North {
		t.Error("equatorward is south in the north and north in the south")
	}
}
