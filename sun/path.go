package sun

import (
	"math"

	"turnsole/compass"
)

// Path is the sun's way over an observer's sky, made for long series.
//
// The report is gone through once for each day. Between the days the sun's
// place among the stars follows cubics, within half an hour a straight line,
// and the earth turns under it by one complex multiplication a step. Parallax
// is a small vector taken off; refraction is a table of the report's formula.
// PositionAt and a Path point less than 0.000002 degrees apart, everywhere on
// earth and in all years; only an azimuth straight overhead, where it means
// nothing, may differ by more.
//
// A Path may be used by several goroutines at once.
type Path struct {
	track               track
	from, to            JulianDay
	longitude           compass.Angle
	sinLat, cosLat      float64
	earthNorth, earthUp float64 // from the earth's centre to the observer, in earth radii

	air       float64 // by how much it refracts more than the standard air
	arc, lift *table  // arc tangent; standard refraction by elevation, in degrees
}

// lowestLift is the elevation below which the report knows no refraction.
const lowestLift = -(semidiameter + horizonRefraction)

// NewPath makes the path from one instant to another; instants outside
// Earliest..Latest are cut off. A day costs as much as one PositionAt and 32
// bytes. deltaTS is as for PositionAt, and one value serves the whole path.
func NewPath(o Observer, from, to JulianDay, deltaTS float64) *Path {
	sin, cos := math.Sincos(o.Latitude.Radians())
	_, x, y := o.earthRadii()
	return &Path{
		track:      newTrack(from, to, deltaTS),
		from:       max(from, Earliest),
		to:         min(to, Latest),
		longitude:  o.Longitude,
		sinLat:     sin,
		cosLat:     cos,
		earthNorth: y*cos - x*sin,
		earthUp:    y*sin + x*cos,
		air:        o.airFactor(),
		arc:        arcTable(),
		lift:       liftTable(),
	}
}

// DistanceAU returns the sun's distance from the earth's centre; NaN outside
// the path.
func (p *Path) DistanceAU(jd JulianDay) float64 { return p.track.at(jd).distanceAU }

// Positions writes azimuth (0..360) and apparent elevation in degrees at
// first, first + stepS, and so on, as far as both slices reach. Instants
// outside the path give NaN.
func (p *Path) Positions(first JulianDay, stepS float64, azimuthDeg, elevationDeg []float64) {
	n := min(len(azimuthDeg), len(elevationDeg))
	s := p.stretch(first, stepS)
	for done := 0; done < n; {
		v := s.next(done, n-done)
		azimuth, elevation := azimuthDeg[done:][:len(v)], elevationDeg[done:][:len(v)]
		// One thing at a time keeps the processor's pipelines full.
		for i := range v {
			azimuth[i] = fullCircle(p.arc.atan2(v[i].east, v[i].north))
		}
		for i := range v {
			level := math.Sqrt(v[i].east*v[i].east + v[i].north*v[i].north)
			elevation[i] = p.arc.atan2(v[i].up, level)
		}
		for i, e := range elevation {
			elevation[i] = e + p.refraction(e)
		}
		done += len(v)
	}
}

// Directions writes the apparent direction, a unit vector, at first, first +
// stepS, and so on, as far as all three slices reach. Instants outside the
// path give NaN.
func (p *Path) Directions(first JulianDay, stepS float64, east, north, up []float64) {
	n := min(len(east), len(north), len(up))
	s := p.stretch(first, stepS)
	for done := 0; done < n; {
		v := s.next(done, n-done)
		for i := range v {
			east[done+i], north[done+i], up[done+i] = p.throughAir(v[i])
		}
		done += len(v)
	}
}

// refraction lifts an elevation, in degrees.
func (p *Path) refraction(elevationDeg float64) float64 {
	if elevationDeg < lowestLift {
		return 0
	}
	return p.air * p.lift.at(elevationDeg)
}

// throughAir turns a vector up by refraction and makes it a unit vector.
func (p *Path) throughAir(v local) (east, north, up float64) {
	level2 := v.east*v.east + v.north*v.north
	level, length := math.Sqrt(level2), math.Sqrt(level2+v.up*v.up)
	r := p.refraction(p.arc.atan2(v.up, level)) * (math.Pi / 180)
	// Below 0.02 rad these series are good to 1e-11.
	sin, cos := r-r*r*r/6, 1-r*r/2+r*r*r*r/24
	shrink := cos / length
	if level > 0 { // else straight overhead, where there is no side to turn to
		shrink = (cos - sin*v.up/level) / length
	}
	return v.east * shrink, v.north * shrink, (v.up*cos + level*sin) / length
}

// fullCircle brings -180..180 to 0 <= deg < 360.
func fullCircle(deg float64) float64 {
	if deg < 0 {
		deg += 360
	}
	if deg >= 360 { // a tiny negative angle plus 360 rounds to 360
		return 0
	}
	return deg
}
