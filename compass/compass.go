// Package compass holds angles and directions: the words in which everything
// else says where the sun is and where the panel points.
//
// The frame is local: east, north, up. An azimuth (a heading) is counted in
// degrees from true north, clockwise: 0 north, 90 east, 180 south, 270 west.
// Elevation is counted from the horizon, tilt from flat.
package compass

import (
	"fmt"
	"math"
	"strings"
)

// Angle is an angle in degrees. Degrees are what a builder reads off a
// protractor and writes in a file, and whole degrees stay exact.
type Angle float64

// Right angles of the compass.
const (
	North Angle = 0
	East  Angle = 90
	South Angle = 180
	West  Angle = 270
)

const radiansPerDegree = math.Pi / 180

// Radians gives an angle counted in radians as an Angle.
func Radians(r float64) Angle { return Angle(r / radiansPerDegree) }

// Radians returns the angle in radians.
func (a Angle) Radians() float64 { return float64(a) * radiansPerDegree }

// Degrees returns the angle in degrees.
func (a Angle) Degrees() float64 { return float64(a) }

// Sin returns the sine.
func (a Angle) Sin() float64 { return math.Sin(a.Radians()) }

// Cos returns the cosine.
func (a Angle) Cos() float64 { return math.Cos(a.Radians()) }

// Azimuth returns the angle brought into 0 <= a < 360.
func (a Angle) Azimuth() Angle {
	m := math.Mod(float64(a), 360)
	if m < 0 {
		m += 360
	}
	if m >= 360 { // a tiny negative angle plus 360 rounds to 360
		m = 0
	}
	return Angle(m)
}

// Turn returns the shortest turn from a to b, clockwise positive, in
// -180 < turn <= 180.
func Turn(a, b Angle) Angle {
	t := (b - a).Azimuth()
	if t > 180 {
		t -= 360
	}
	return t
}

// Equatorward returns the heading from which the sun shines at noon for most
// of the year: south in the northern hemisphere and on the equator, north in
// the southern.
func Equatorward(latitude Angle) Angle {
	if latitude < 0 {
		return North
	}
	return South
}

// Direction is a unit vector in the local frame.
type Direction struct{ East, North, Up float64 }

// Toward returns the direction at an azimuth and an elevation.
func Toward(azimuth, elevation Angle) Direction {
	sinA, cosA := math.Sincos(azimuth.Radians())
	sinE, cosE := math.Sincos(elevation.Radians())
	return Direction{East: sinA * cosE, North: cosA * cosE, Up: sinE}
}

// Normal returns the direction in which a panel looks when it is tilted from
// flat by tilt and turned to heading.
func Normal(heading, tilt Angle) Direction { return Toward(heading, 90-tilt) }

// Azimuth returns the direction's azimuth; 0 for straight up or down.
func (d Direction) Azimuth() Angle { return Radians(math.Atan2(d.East, d.North)).Azimuth() }

// Elevation returns the direction's elevation above the horizon.
func (d Direction) Elevation() Angle {
	return Radians(math.Atan2(d.Up, math.Hypot(d.East, d.North)))
}

// Dot returns the cosine of the angle between two directions.
func (d Direction) Dot(e Direction) float64 { return d.East*e.East + d.North*e.North + d.Up*e.Up }

var points = [16]string{
	"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
	"S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW",
}

// Point returns the nearest of the sixteen points of the compass, "N" to "NNW".
func (a Angle) Point() string {
	return points[int(math.Floor(float64(a.Azimuth())/22.5+0.5))%16]
}

// ParsePoint returns the azimuth of one of the sixteen points of the compass.
func ParsePoint(s string) (Angle, error) {
	for i, p := range points {
		if strings.EqualFold(strings.TrimSpace(s), p) {
			return Angle(float64(i) * 22.5), nil
		}
	}
	return 0, fmt.Errorf("%q is not a point of the compass such as N, SSE or WNW", s)
}
