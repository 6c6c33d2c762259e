package hindsight

import "turnsole/sky"

// FromOne returns the beam and the diffuse light, W/m2, that let so much light
// enter one face: those that a split of global light (sky.Split) holds for the
// likeliest and that put this light on the face (the idea of Marion 2015, Solar
// Energy 122:1037). On its own face the answer gives the reading back, but for
// readings below 0, which are darkness.
//
// meanS is the time in seconds of which the reading is the mean, 60 for a
// moment. All is NaN when the reading is not finite or impossible. For a whole
// log LookBack is better.
func (s *Scene) FromOne(at *Instant, f Face, enteredWm2, meanS float64) sky.Light {
	if !sound(at, enteredWm2) {
		return unknown
	}
	if !(enteredWm2 > 0) {
		return sky.Light{}
	}
	r := s.response(at, f)
	if at.Hidden {
		return at.light(beamed{even: positive(enteredWm2 / r.even)})
	}
	split := sky.NewSplit(meanS)
	low, high := 0.0, sky.Ceiling(at.Sun.Up, at.ExtraNormal).GHI
	for range halvings {
		ghi := (low + high) / 2
		l := at.likely(split, ghi)
		if r.to(bundle(at, l.DNI, l.DHI)) < enteredWm2 {
			low = ghi
		} else {
			high = ghi
		}
	}
	return at.scaled(r, at.share(at.likely(split, high)), enteredWm2)
}

// halvings of the range in which the global light lies: to half a W/m2, which
// settles the share of the beam; its height then follows from the reading.
const halvings = 12

// likely splits global light within what is possible: a beam no brighter than
// the cleanest air's, and a diffuse light that alone is no brighter than the
// whole clear sky is. The split itself knows no beam at low sun, where a face
// that turns to it sees little else.
func (at *Instant) likely(split sky.Split, ghi float64) sky.Light {
	up := at.Sun.Up
	l := split.Light(ghi, at.Clear.GHI, max(up, 0), at.ExtraNormal, at.SunHour)
	if at.Hidden {
		return l
	}
	if most := at.Clear.GHI + glow; l.DHI > most {
		l.DNI = (ghi - most) / up
	}
	l.DNI = min(l.DNI, at.MostDNI)
	l.DHI = max(0, ghi-l.DNI*up)
	return l
}

// glow is the diffuse light in W/m2 that the sky may have beyond the clear
// sky's, which is nothing at sunrise: common practice, no source.
const glow = 10

// scaled returns the light with a share of it from the sun's place that lets
// so much enter a face.
func (at *Instant) scaled(r response, share, enteredWm2 float64) sky.Light {
	sum := enteredWm2 / r.to(beamed{share, 1 - share})
	l := at.light(beamed{sum * share, sum * (1 - share)})
	if l.DNI <= at.MostDNI {
		return l
	}
	var n normal
	n.add(r, enteredWm2, 1)
	return at.brightest(&n)
}
