package hindsight

import (
	"math"

	"turnsole/sky"
)

// What the looks and the prior are taken to be good for.
const (
	lookShare = 0.01 // of a look's light: sensor, drift between looks, sky model
	lookWm2   = 2.0  // and at least so much
	// priorShare is the standard error of the prior share of the light that
	// comes from the sun's place. Of single minutes split by global light alone
	// the beam is off by 15 to 30 % (Gueymard & Ruiz-Arias 2016, Solar Energy
	// 128:1, from memory).
	priorShare = 0.2
)

// Split returns the beam and the diffuse light that best explain the light
// that entered faces at one instant, W/m2, one figure for each face. None is
// negative and the beam is not brighter than at.MostDNI: what clouds beside the
// sun add counts as diffuse light.
//
// Faces that see the sun alike tell only the sum. So a prior sky weighs in as
// one more look, at the share of its light that comes from the sun's place, good
// to 0.2: what other looks said of this sky, or where it is dark or cannot be
// what FromOne makes of the brightest face. Determinacy is the part of the
// share that the faces told, 1 for all of it. It is 0 while the sun is hidden:
// there is no beam then and the faces tell the diffuse light.
//
// At one tilt under a free horizon all but the light from the sun's place is
// the same for every heading, so that what the answer puts on a third heading
// holds under any sky. The beam itself does not: in clear air it comes out 5 to
// 13 % low, since Hay & Davies take more of the brightness around the sun for
// diffuse light than Perez does.
//
// All is NaN when a figure is not finite, is brighter than light can be or
// further below 0 than a sensor's zero strays, or when there is no face.
func (s *Scene) Split(at *Instant, faces []Face, enteredWm2 []float64, prior sky.Light) (light sky.Light, determinacy float64) {
	if len(faces) == 0 || len(faces) != len(enteredWm2) || !sound(at, enteredWm2...) {
		return unknown, math.NaN()
	}
	var looks normal
	brightest := 0
	for i, f := range faces {
		looks.add(s.response(at, f), enteredWm2[i], lookWm2+lookShare*math.Abs(enteredWm2[i]))
		if enteredWm2[i] > enteredWm2[brightest] {
			brightest = i
		}
	}
	if at.Hidden {
		return at.light(beamed{even: looks.evenAlone()}), 0
	}
	if !(prior.DNI >= 0 && prior.DHI >= 0 && prior.DNI+prior.DHI > 0) || math.IsInf(prior.DHI, 1) {
		prior = s.FromOne(at, faces[brightest], enteredWm2[brightest], 60)
	}
	share := at.share(prior)
	sum, told := looks.along(share)
	if !(sum > 0) {
		return sky.Light{}, 0 // dark
	}
	// The prior's row: fromSun less its share of the sum is 0.
	looks.add(response{1 - share, -share}, 0, priorShare*sum)
	return at.within(&looks), told / (told + 1/(priorShare*priorShare))
}

// sound reports whether an instant and readings can be reckoned with.
func sound(at *Instant, enteredWm2 ...float64) bool {
	if math.IsNaN(at.Sun.Up + at.ExtraNormal) {
		return false
	}
	for _, e := range enteredWm2 {
		if !(e > darkest && e < dazzling) {
			return false
		}
	}
	return true
}

// Light that a panel can report, W/m2: a sensor's zero may be off, and clouds
// have been seen to send half as much again as the sun.
const darkest, dazzling = -50, 2500

var unknown = sky.Light{GHI: math.NaN(), DNI: math.NaN(), DHI: math.NaN()}

// share returns the share of the sun's place in the sum of a light's bundle.
func (at *Instant) share(l sky.Light) float64 {
	b := bundle(at, min(l.DNI, at.MostDNI), l.DHI)
	return b.fromSun / (b.fromSun + b.even)
}

func (at *Instant) light(b beamed) sky.Light {
	dni, dhi := unbundle(at, b)
	return sky.Light{GHI: dni*max(at.Sun.Up, 0) + dhi, DNI: dni, DHI: dhi}
}

// normal is the normal equations of two unknowns, a bundle's parts.
type normal struct{ ss, se, ee, sy, ey float64 }

func (n *normal) add(r response, y, error float64) {
	w := 1 / (error * error)
	n.ss += w * r.fromSun * r.fromSun
	n.se += w * r.fromSun * r.even
	n.ee += w * r.even * r.even
	n.sy += w * r.fromSun * y
	n.ey += w * r.even * y
}

// along returns the sum of a bundle's parts that explains the looks best while
// the sun's place has a share of it, and the Fisher information of the looks on
// that share when the sum is not known.
func (n *normal) along(share float64) (sum, information float64) {
	rest := 1 - share
	onSum := share*share*n.ss + 2*share*rest*n.se + rest*rest*n.ee
	sum = (share*n.sy + rest*n.ey) / onSum
	return sum, max(0, n.ss*n.ee-n.se*n.se) * sum * sum / onSum
}

// within returns the best light inside the bounds.
func (at *Instant) within(n *normal) sky.Light {
	det := n.ss*n.ee - n.se*n.se
	b := beamed{(n.sy*n.ee - n.ey*n.se) / det, (n.ey*n.ss - n.sy*n.se) / det}
	switch {
	case !(b.fromSun > 0): // also where nothing can be told of it
		b = beamed{even: n.evenAlone()}
	case !(b.even > 0):
		b = beamed{fromSun: positive(n.sy / n.ss)}
	}
	l := at.light(b)
	if l.DNI <= at.MostDNI {
		return l
	}
	return at.brightest(n)
}

// brightest returns the best light with the brightest beam: the diffuse light
// that explains best what that beam leaves.
func (at *Instant) brightest(n *normal) sky.Light {
	dni := at.MostDNI
	per := bundle(at, dni, 1) // straight in the diffuse light
	per.fromSun -= dni
	left := per.fromSun*(n.sy-n.ss*dni) + per.even*(n.ey-n.se*dni)
	dhi := positive(left / (per.fromSun*per.fromSun*n.ss + 2*per.fromSun*per.even*n.se + per.even*per.even*n.ee))
	return sky.Light{GHI: dni*max(at.Sun.Up, 0) + dhi, DNI: dni, DHI: dhi}
}

func (n *normal) evenAlone() float64 { return positive(n.ey / n.ee) }

// positive is x, and 0 where it is negative or 0/0.
func positive(x float64) float64 {
	if !(x > 0) {
		return 0
	}
	return x
}
