package loop

import (
	"math"

	"turnsole/compass"
	"turnsole/stand"
)

// The wind of a weather year is a mean over an hour or so, without direction.
// Gusts come on top of it by chance, and so does where it blows from.
const (
	// turbulence is the spread of the wind's speed over its mean, some metres
	// above open ground with a few hedges: 1/ln(z/z0) with z 2 m and z0 0.04 m
	// (EN 1991-1-4, 4.4).
	turbulence = 0.26
	// blockS is the stretch of time that has one strongest gust.
	blockS = 600
	// gustsPerBlock is how many gusts of three seconds a block has, about.
	gustsPerBlock = 180
	// airKgM3 is the density of cold air (EN 1991-1-4, 4.5).
	airKgM3 = 1.25
)

// Sail is the moment about the vertical axis, in Nm for each N/m2 of wind
// pressure, with which the wind turns a panel, by the direction it comes from:
// every five degrees from 0, onto the face, round its right side to 180, onto
// its back. Positive turns it clockwise. The left side is the mirror image.
type Sail [37]float64

// PlateSail returns the sail of a flat panel at a tilt, its middle on the axis:
// the push on a flat plate, at the plate's centre of pressure, which lies
// towards the edge that meets the wind (stand.PlateCoefficient). It is what a
// wind does, not the cautious envelope that the stand is built for.
func PlateSail(tilt compass.Angle, widthM, lengthM float64) Sail {
	var s Sail
	sinTilt, cosTilt := tilt.Sin(), tilt.Cos()
	for k := range s {
		from := compass.Angle(5 * k)
		met := math.Abs(from.Cos()) * sinTilt // sine of the angle between wind and panel
		coefficient, centre := stand.PlateCoefficient(compass.Radians(math.Asin(min(met, 1))))
		along := math.Hypot(from.Cos()*cosTilt, from.Sin())
		if along < 1e-9 {
			continue
		}
		sideM := (0.5 - centre) * widthM * from.Sin() / along
		s[k] = math.Copysign(coefficient*widthM*lengthM*sinTilt*sideM, from.Cos())
	}
	return s
}

// at returns the moment for a wind from a bearing on a panel that faces
// another, both in degrees.
func (s *Sail) at(fromDeg, facesDeg float64) float64 {
	x := math.Mod(fromDeg-facesDeg, 360)
	if x < 0 {
		x += 360
	}
	sign := 1.0
	if x > 180 {
		x, sign = 360-x, -1
	}
	k := min(int(x/5), len(s)-2)
	share := x/5 - float64(k)
	return sign * (s[k] + share*(s[k+1]-s[k]))
}

// strongest is the greatest moment of any direction.
func (s *Sail) strongest() float64 {
	most := 0.0
	for _, nm := range s {
		most = max(most, math.Abs(nm))
	}
	return most
}

// gale is the wind by chance around the means of the weather.
type gale struct{ seed uint64 }

// peakMS is the strongest gust of three seconds in a block with a mean wind:
// its height above the mean is Gumbel's (Davenport 1964, Proc. Instn Civ. Engrs
// 28:187), and the second of the block at which it comes.
func (g gale) peakMS(meanMS float64, block int64) (gustMS, atS float64) {
	mode := math.Sqrt(2 * math.Log(gustsPerBlock))
	peak := mode - math.Log(-math.Log(even(g.seed, gustPeak, block)))/mode
	return meanMS * (1 + turbulence*peak), blockS * even(g.seed, gustWhen, block)
}

// mostPeak is a gust over the mean wind that no block exceeds: even leaves out
// the last 1e-16.
const mostPeak = 1 + turbulence*15

// secondMS is the wind in a stretch of three seconds.
func (g gale) secondMS(meanMS float64, second int64) float64 {
	return max(0, meanMS*(1+turbulence*bell(g.seed, gustSecond, second/3)))
}

// fromDeg is where the wind comes from in a block: each day from another side,
// veering through the day (the weather has no directions; any is as likely).
func (g gale) fromDeg(block int64) float64 {
	const perDay, perVeer = 86400 / blockS, 36
	day := 360 * drifting(g.seed, windDay, float64(block)/perDay/2)
	return day + 40*drifting(g.seed, windVeer, float64(block)/perVeer) + 15*bell(g.seed, windFlutter, block)
}

func pressurePa(windMS float64) float64 { return airKgM3 / 2 * windMS * windMS }
