package hindsight

import (
	"math"

	"turnsole/compass"
	"turnsole/plane"
)

// Face is where a panel looks. It belongs to the Scene that made it.
type Face struct {
	heading plane.Heading
	slope   *plane.Slope
}

// Face returns the face that looks to a heading and is tilted from flat by
// tilt, 0..180.
func (s *Scene) Face(heading, tilt compass.Angle) Face {
	return Face{heading: plane.NewHeading(heading), slope: s.light.Slope(tilt)}
}

// Turned returns the face turned to another heading, at the same tilt; it
// costs next to nothing.
func (f Face) Turned(heading compass.Angle) Face {
	f.heading = plane.NewHeading(heading)
	return f
}

// Heading returns the azimuth to which the face looks.
func (f Face) Heading() compass.Angle { return f.heading.Azimuth }

// Light returns the light on a face under a beam facing the sun and a diffuse
// light on the horizontal, W/m2, 0 or more: as it falls on the plane, and what
// of it enters through the glass. While the sun is hidden no beam arrives.
func (s *Scene) Light(at *Instant, f Face, dni, dhi float64) (planeWm2, enteredWm2 float64) {
	if at.Hidden {
		dni *= 0 // NaN stays NaN
	}
	return s.of(at, f, bundle(at, dni, dhi))
}

// beamed is light in two parts: what comes from the sun's place, facing it,
// and what comes evenly from the sky, on the horizontal; W/m2. The light on any
// face is straight in them, where in beam and diffuse Hay & Davies's product
// of the two stands between.
type beamed struct{ fromSun, even float64 }

// lowest is the least sine of elevation by which light around the sun is
// scaled up, sin 5 degrees, as in package plane.
const lowest = 0.08715574274765817

// bundle puts the part of the diffuse light that comes from around the sun to
// the beam: as large a part of it as the beam is of the light outside the air.
func bundle(at *Instant, dni, dhi float64) beamed {
	around := min(dni/at.ExtraNormal, 1)
	return beamed{dni + dhi*around/max(at.Sun.Up, lowest), dhi * (1 - around)}
}

// unbundle takes it apart again. With x for dni over the light outside the air
// E, h for the scaling, fromSun = E x + dhi x/h and even = dhi (1-x): without
// dhi they are E x² - (E + fromSun + even/h) x + fromSun = 0, of which the
// smaller root is meant.
func unbundle(at *Instant, b beamed) (dni, dhi float64) {
	e := at.ExtraNormal
	half := (e + b.fromSun + b.even/max(at.Sun.Up, lowest)) / 2
	root := math.Sqrt(max(0, half*half-e*b.fromSun))
	x := b.fromSun / (half + root) // the smaller root without loss of digits
	if !(x < 1) {                  // no even light at all, and a beam as outside the air
		return e * x, b.even
	}
	return e * x, b.even / (1 - x)
}

// of returns the light of a bundle on a face.
func (s *Scene) of(at *Instant, f Face, b beamed) (planeWm2, enteredWm2 float64) {
	m := plane.Moment{East: at.Sun.East, North: at.Sun.North, Up: max(at.Sun.Up, 0), BeamWm2: b.fromSun, Diffuse: b.even}
	return s.light.AtMoment(at.month, &m, f.heading, f.slope)
}

// response is the light that enters a face for each W/m2 of a bundle's parts.
type response struct{ fromSun, even float64 }

func (s *Scene) response(at *Instant, f Face) response {
	var r response
	if !at.Hidden {
		_, r.fromSun = s.of(at, f, beamed{fromSun: 1})
	}
	_, r.even = s.of(at, f, beamed{even: 1})
	return r
}

func (r response) to(b beamed) float64 { return r.fromSun*b.fromSun + r.even*b.even }
