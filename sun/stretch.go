package sun

import (
	"math"

	"turnsole/compass"
)

// local is a direction without air in the observer's frame; its length is 1 but
// for parallax and rounding.
type local struct{ east, north, up float64 }

// stretch walks a path in equal steps, up to half an hour at a time.
type stretch struct {
	path             *Path
	first            JulianDay
	stepDays         float64
	sinStep, cosStep float64 // of the earth's turn in a step
	room             [64]local
}

const (
	halfHour = 1.0 / 48 // days
	// slack lets a last instant that was rounded up by a millisecond stay in.
	slack = 1e-8
)

func (p *Path) stretch(first JulianDay, stepS float64) stretch {
	s := stretch{path: p, first: first, stepDays: stepS / 86400}
	// The rate changes by less than 1e-6 degrees a day within the report's years.
	s.sinStep, s.cosStep = math.Sincos(compass.Angle((360 + turnPerDay) * s.stepDays).Radians())
	return s
}

// next returns the directions from step i on, at least one and at most n,
// valid until it is called again.
func (s *stretch) next(i, n int) []local {
	jd := s.first + JulianDay(float64(i)*s.stepDays)
	if !(jd >= s.path.from-slack && jd <= s.path.to+slack) {
		nan := math.NaN()
		s.room[0] = local{nan, nan, nan}
		return s.room[:1]
	}
	span := min(halfHour, float64(s.path.to+slack-jd))
	steps := min(float64(n), float64(len(s.room)), 1+math.Floor(span/s.stepDays))
	if !(steps >= 1) { // steps backward, or of no length at the very end
		steps = 1
	}
	v := s.room[:int(steps)]
	s.fill(v, jd)
	return v
}

// fill walks from jd on: the sun in a straight line, the earth by rotation.
func (s *stretch) fill(v []local, jd JulianDay) {
	p := s.path
	now, then := p.track.at(jd), p.track.at(jd+halfHour)
	share := s.stepDays / halfHour
	dx, dy, dz := (then.x-now.x)*share, (then.y-now.y)*share, (then.z-now.z)*share
	radius := parallax(now.distanceAU).Sin() // of the earth, seen from the sun
	earthNorth, earthUp := p.earthNorth*radius, p.earthUp*radius
	sin, cos := math.Sincos((meanSidereal(jd) + p.longitude).Radians())
	x, y, z := now.x, now.y, now.z
	for i := range v {
		meridian, west := x*cos+y*sin, x*sin-y*cos
		v[i] = local{
			east:  -west,
			north: z*p.cosLat - meridian*p.sinLat - earthNorth,
			up:    z*p.sinLat + meridian*p.cosLat - earthUp,
		}
		x, y, z = x+dx, y+dy, z+dz
		sin, cos = sin*s.cosStep+cos*s.sinStep, cos*s.cosStep-sin*s.sinStep
	}
}
