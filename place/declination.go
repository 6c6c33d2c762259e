package place

import (
	"fmt"
	"math"
	"time"

	"turnsole/compass"
)

// Field is the earth's magnetic field at a spot, in the local frame of the
// plumb line.
type Field struct {
	DeclinationDeg compass.Angle // from true north to where a compass points, east positive
	InclinationDeg compass.Angle // below the horizon
	UncertaintyDeg compass.Angle // of the declination, one standard deviation, free of iron
	YearlyDeg      compass.Angle // change of the declination in a year

	XNT, YNT, ZNT float64 // northward, eastward, downward, nanotesla
	HorizontalNT  float64 // what turns a compass needle
	TotalNT       float64
}

// MagneticField returns the field of the World Magnetic Model 2025 at a spot
// (latitude -90..90, altitude -1000..850000 m) at a decimal year from 2025.0 to
// 2030.0: see DecimalYear. At a pole north is along the spot's meridian. Caution
// says where a compass cannot be trusted with it.
//
// Equation numbers are those of the model's report: A. Chulliat et al., The
// US/UK World Magnetic Model for 2025-2030, NOAA and British Geological Survey,
// 2025, section 1.2 (numbers from memory of the reports since 2010).
func MagneticField(spot Spot, decimalYear float64) (Field, error) {
	switch {
	case !(decimalYear >= wmmEpoch && decimalYear <= wmmEnd):
		return Field{}, fmt.Errorf("the magnetic model holds from %.1f to %.1f, not in %.1f; take the declination from a newer model or a local chart", wmmEpoch, wmmEnd, decimalYear)
	case !(spot.Latitude >= -90 && spot.Latitude <= 90):
		return Field{}, fmt.Errorf("latitude %v degrees, must be -90 to 90", spot.Latitude)
	case !(math.Abs(float64(spot.Longitude)) <= 360):
		return Field{}, fmt.Errorf("longitude %v degrees, must be -180 to 180", spot.Longitude)
	case !(spot.AltitudeM >= -1000 && spot.AltitudeM <= 850e3):
		return Field{}, fmt.Errorf("altitude %v m, must be -1000 to 850000", spot.AltitudeM)
	}
	latitude, radiusKm := geocentric(spot.Latitude, spot.AltitudeM/1000)
	now, yearly := synthesis(latitude, spot.Longitude, radiusKm, decimalYear-wmmEpoch)
	tip := latitude - spot.Latitude
	return fieldOf(now.tipped(tip), yearly.tipped(tip)), nil
}

// fieldOf names the parts of a field and of its change in a year (equations
// 19 and 20).
func fieldOf(b, yearly vector) Field {
	horizontal := math.Hypot(b.north, b.east)
	return Field{
		DeclinationDeg: compass.Radians(math.Atan2(b.east, b.north)),
		InclinationDeg: compass.Radians(math.Atan2(b.down, horizontal)),
		// The model's own error estimate, from memory.
		UncertaintyDeg: compass.Angle(math.Min(180, math.Hypot(0.26, 5417/horizontal))),
		YearlyDeg:      compass.Radians((b.north*yearly.east - b.east*yearly.north) / (horizontal * horizontal)),
		XNT:            b.north, YNT: b.east, ZNT: b.down,
		HorizontalNT: horizontal,
		TotalNT:      math.Hypot(horizontal, b.down),
	}
}

// Bearing returns what a compass shows toward a true azimuth.
func (f Field) Bearing(azimuth compass.Angle) compass.Angle {
	return (azimuth - f.DeclinationDeg).Azimuth()
}

// Caution says why a compass is not to be trusted here; empty where it is. The
// limits are the model's own zones: below 6000 nT of horizontal field caution,
// below 2000 nT blackout.
func (f Field) Caution() string {
	switch {
	case f.HorizontalNT < 2000:
		return fmt.Sprintf("this near to a magnetic pole (%.0f nT along the ground) a compass is useless: go by the sun's shadow", f.HorizontalNT)
	case f.HorizontalNT < 6000:
		return fmt.Sprintf("this near to a magnetic pole (%.0f nT along the ground) a compass is weak and may be several degrees out: go by the sun's shadow", f.HorizontalNT)
	}
	return ""
}

// DecimalYear returns an instant as a year and the part of it that has passed.
func DecimalYear(at time.Time) float64 {
	at = at.UTC()
	first := time.Date(at.Year(), 1, 1, 0, 0, 0, 0, time.UTC)
	next := first.AddDate(1, 0, 0)
	return float64(at.Year()) + float64(at.Sub(first))/float64(next.Sub(first))
}

// geocentric returns latitude and distance in kilometres as seen from the
// earth's centre, of a point above the WGS 84 ellipsoid (equations 7 and 8).
// Sea level is taken for the ellipsoid: they differ by 110 m at most, which is
// 0.003 % of the field.
func geocentric(latitude compass.Angle, heightKm float64) (compass.Angle, float64) {
	const (
		equatorKm  = 6378.137
		flattening = 1 / 298.257223563
		eSquared   = flattening * (2 - flattening)
	)
	sin, cos := math.Sincos(latitude.Radians())
	curvatureKm := equatorKm / math.Sqrt(1-eSquared*sin*sin)
	out := (curvatureKm + heightKm) * cos
	up := (curvatureKm*(1-eSquared) + heightKm) * sin
	return compass.Radians(math.Atan2(up, out)), math.Hypot(out, up)
}

// vector is northward, eastward, downward.
type vector struct{ north, east, down float64 }

func (v *vector) add(w vector, by float64) {
	v.north += w.north * by
	v.east += w.east * by
	v.down += w.down * by
}

// tipped turns a vector from the frame of the earth's centre to that of the
// plumb line (equation 17).
func (v vector) tipped(by compass.Angle) vector {
	sin, cos := math.Sincos(by.Radians())
	return vector{v.north*cos - v.down*sin, v.east, v.north*sin + v.down*cos}
}

// synthesis sums the model's spherical harmonics at a point given from the
// earth's centre (equations 9 to 15).
func synthesis(latitude, longitude compass.Angle, radiusKm, years float64) (now, yearly vector) {
	const referenceKm = 6371.2
	sin, cos := math.Sincos(latitude.Radians())
	legendre := newSchmidt(sin, cos)
	for _, c := range wmm2025 {
		sinM, cosM := math.Sincos(float64(c.m) * longitude.Radians())
		scale := math.Pow(referenceKm/radiusKm, float64(c.n+2))
		value, overCos, slope := legendre.at(c.n, c.m)
		// What g and h bring: the same shape, an m-th part of a turn apart.
		g := vector{-cosM * slope, float64(c.m) * sinM * overCos, -float64(c.n+1) * cosM * value}
		h := vector{-sinM * slope, -float64(c.m) * cosM * overCos, -float64(c.n+1) * sinM * value}
		now.add(g, scale*(c.g+years*c.gDot))
		now.add(h, scale*(c.h+years*c.hDot))
		yearly.add(g, scale*c.gDot)
		yearly.add(h, scale*c.hDot)
	}
	return now, yearly
}

// schmidt holds the Schmidt semi-normalised associated Legendre functions of
// the sine of a latitude, those of order 1 and more divided by the latitude's
// cosine: the field at a pole is finite, and so everything here is.
type schmidt struct {
	sin, cos float64
	p        [wmmDegree + 1][wmmDegree + 1]float64
}

func newSchmidt(sin, cos float64) *schmidt {
	s := &schmidt{sin: sin, cos: cos}
	s.p[0][0], s.p[1][1] = 1, 1
	for m := 2; m <= wmmDegree; m++ {
		s.p[m][m] = s.p[m-1][m-1] * cos * math.Sqrt(float64(2*m-1)/float64(2*m))
	}
	for m := 0; m <= wmmDegree; m++ {
		for n := m + 1; n <= wmmDegree; n++ {
			s.p[n][m] = float64(2*n-1) * sin * s.p[n-1][m]
			if n > m+1 {
				s.p[n][m] -= root(n-1, m) * s.p[n-2][m]
			}
			s.p[n][m] /= root(n, m)
		}
	}
	return s
}

// root is the root of n^2 - m^2.
func root(n, m int) float64 { return math.Sqrt(float64(n*n - m*m)) }

// at returns a function's value, its value over the latitude's cosine (where m
// is not 0), and its slope toward north.
func (s *schmidt) at(n, m int) (value, overCos, slope float64) {
	if m == 0 {
		return s.p[n][0], 0, math.Sqrt(float64(n*(n+1))/2) * s.cos * s.p[n][1]
	}
	overCos = s.p[n][m]
	slope = -float64(n) * s.sin * overCos
	if n > m {
		slope += root(n, m) * s.p[n-1][m]
	}
	return overCos * s.cos, overCos, slope
}
