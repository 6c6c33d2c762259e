package plane

import (
	"math"

	"turnsole/compass"
)

// Heading is where a face looks along the ground.
type Heading struct {
	Azimuth     compass.Angle // 0..360
	East, North float64       // the same as a unit vector
}

// NewHeading returns the heading of an azimuth.
func NewHeading(azimuth compass.Angle) Heading {
	if !(azimuth >= 0 && azimuth < 360) {
		azimuth = azimuth.Azimuth()
	}
	sin, cos := sincos(float64(azimuth))
	return Heading{Azimuth: azimuth, East: sin, North: cos}
}

// SunHeading returns the sun's own heading in step i: where a turning face
// looks.
func (l *Light) SunHeading(i int) Heading {
	t := &l.steps[i]
	flat := math.Sqrt(t.east*t.east + t.north*t.north)
	if flat < 1e-9 { // straight overhead
		return NewHeading(compass.Angle(l.AzimuthDeg[i]))
	}
	return Heading{Azimuth: compass.Angle(l.AzimuthDeg[i]), East: t.east / flat, North: t.north / flat}
}

// Slope is everything about a face that depends on its tilt only. It belongs
// to the Light that made it.
type Slope struct {
	sin, cos              float64
	sky, ground           float64 // shares of an even sky and ground that it sees
	skyGlass, groundGlass float64 // shares of those that enter

	// Where there is a skyline: its table, between two of its tilts.
	hides  *hidden
	row    int
	beyond float64
}

// Slope returns the slope of a tilt from flat, 0..180 degrees (above 90 the
// face looks down); others are brought to the nearer end.
func (l *Light) Slope(tilt compass.Angle) *Slope {
	s := l.slope(tilt)
	return &s
}

func (l *Light) slope(tilt compass.Angle) Slope {
	deg := float64(tilt)
	if !(deg > 0) {
		deg = 0
	}
	deg = min(deg, 180)
	sin, cos := sincos(deg)
	s := Slope{sin: sin, cos: cos, sky: (1 + cos) / 2, ground: (1 - cos) / 2, hides: l.hides}
	s.skyGlass, s.groundGlass = diffuseAt(l.glass, deg)
	if l.hides != nil {
		s.row, s.beyond = between(deg, tiltStep, tiltRows)
	}
	return s
}

// diffuse is the glass's shares of diffuse light at one tilt.
type diffuse struct{ sky, ground float64 }

// A quarter of a degree leaves an error below 1e-5 in between.
const diffusePerDegree = 4

func newDiffuse(g Glass) []diffuse {
	d := make([]diffuse, 180*diffusePerDegree+2)
	for k := range d {
		tilt := min(float64(k)/diffusePerDegree, 180)
		d[k].sky, d[k].ground = g.Diffuse(tilt * math.Pi / 180)
	}
	return d
}

func diffuseAt(d []diffuse, deg float64) (sky, ground float64) {
	x := deg * diffusePerDegree
	k := int(x)
	x -= float64(k)
	a, b := d[k], d[k+1]
	return a.sky + x*(b.sky-a.sky), a.ground + x*(b.ground-a.ground)
}
