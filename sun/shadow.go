package sun

import (
	"math"

	"turnsole/compass"
)

// Shadow returns where the shadow of an upright stick falls on level ground,
// and how long it is, in the unit of the stick: away from the sun, and the
// stick over the tangent of the sun's elevation as seen through the air. With
// the sun on the horizon or under it the length is +Inf: there is no shadow.
//
// That is the shadow cast by the sun's middle. The sun is half a degree wide,
// so the shadow of a thin tip blurs over that: by a hundredth of the stick with
// the sun overhead, a thirtieth at 30 degrees, a third at 10. A ball or a
// washer on the tip has a shadow whose middle can be told.
func Shadow(azimuth, elevation compass.Angle, stickM float64) (bearing compass.Angle, lengthM float64) {
	bearing = (azimuth + 180).Azimuth()
	if elevation <= 0 {
		return bearing, math.Inf(1)
	}
	return bearing, stickM * elevation.Cos() / elevation.Sin()
}
