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
	if !(r.even > 0) {
		return unknown // it sees neither sky nor ground
	}
	if at.Hidden {
		return at.light(beamed{even: enteredWm2 / r.even})
	}
	split := sky.NewSplit(meanS)
	c, share := newChase(at, enteredWm2), 0.0
	for range tries {
		ghi := c.next()
		l := at.likely(split, ghi)
		b := bundle(at, l.DNI, l.DHI)
		c.take(ghi, r.to(b)-enteredWm2)
		share = b.fromSun / (b.fromSun + b.even)
	}
	return at.scaled(r, share, enteredWm2)
}

// tries at the global light bring it to a W/m2 or so, which settles the share
// of the beam; the light's height then follows from the reading.
const tries = 8

// chase narrows down the global light in W/m2 at which the light on a face
// passes a reading: false position, where an end that stays put twice counts
// half (the Illinois way, Dowell & Jarratt 1971, BIT 11:168).
type chase struct {
	low, high   float64
	under, over float64 // what is amiss at the ends; over is 0 while unknown
	side        int8    // which end moved last
}

func newChase(at *Instant, enteredWm2 float64) chase {
	return chase{high: sky.Ceiling(at.Sun.Up, at.ExtraNormal).GHI, under: enteredWm2}
}

// next returns the light to try, never none at all: darkness has no shares.
func (c *chase) next() float64 {
	if c.over == 0 {
		return (c.low + c.high) / 2
	}
	return max(1e-6, c.low+(c.high-c.low)*c.under/(c.under+c.over))
}

// take learns how much too bright the light that next gave makes the face.
func (c *chase) take(ghi, tooBright float64) {
	if tooBright > 0 {
		if c.side > 0 {
			c.under /= 2
		}
		c.high, c.over, c.side = ghi, tooBright, 1
		return
	}
	if c.side < 0 {
		c.over /= 2
	}
	c.low, c.under, c.side = ghi, -tooBright, -1
}

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
