package hindsight

import (
	"turnsole/sky"
)

// FromOne returns the beam and the diffuse light, W/m2, that let so much light
// enter one face: those that a split of global light holds for the likeliest
// and that put this light on the face (the idea of Marion 2015, Solar Energy
// 122:1037). On its own face the answer gives the reading back.
//
// meanS is the time in seconds of which the reading is the mean, 60 for a
// moment. All is NaN when the reading is not finite or impossible.
func (s *Scene) FromOne(at *Instant, f Face, enteredWm2, meanS float64) sky.Light {
	if !sound(at, []float64{enteredWm2}) {
		return unknown
	}
	r := s.response(at, f)
	if !(enteredWm2 > 0) {
		return sky.Light{}
	}
	if at.Hidden {
		return at.light(beamed{even: positive(enteredWm2 / r.even)})
	}
	split := sky.NewSplit(meanS)
	share := func(ghi float64) float64 {
		return at.share(split.Light(ghi, at.Clear.GHI, at.Sun.Up, at.ExtraNormal, at.SunHour))
	}
	low, high := 0.0, sky.Ceiling(at.Sun.Up, at.ExtraNormal).GHI
	for range halvings {
		ghi := (low + high) / 2
		b := at.bundleOf(split.Light(ghi, at.Clear.GHI, at.Sun.Up, at.ExtraNormal, at.SunHour))
		if r.to(b) < enteredWm2 {
			low = ghi
		} else {
			high = ghi
		}
	}
	return at.scaled(r, share(low), enteredWm2)
}

const halvings = 20

// scaled returns the light with a share of it from the sun's place that lets
// so much enter a face.
func (at *Instant) scaled(r response, share, enteredWm2 float64) sky.Light {
	b := beamed{share, 1 - share}
	sum := enteredWm2 / r.to(b)
	l := at.light(beamed{sum * share, sum * (1 - share)})
	if l.DNI <= at.MostDNI {
		return l
	}
	var n normal
	n.add(r, enteredWm2, 1)
	return at.brightest(&n)
}

func (at *Instant) bundleOf(l sky.Light) beamed {
	return bundle(at, min(l.DNI, at.MostDNI), l.DHI)
}
