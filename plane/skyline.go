package plane

import (
	"math"

	"turnsole/compass"
	"turnsole/place"
)

// The tables of what a skyline hides have a row every five degrees of tilt
// and a column every five degrees of heading. In between they are joined by
// straight lines, which leaves an error below 0.001 of the sky.
const (
	tiltStep    = 5.0
	tiltRows    = 180/5 + 1
	headingStep = 5.0
	headings    = 360 / 5
)

// bandHeight is how high the bright band along the horizon is taken to reach,
// degrees: a skyline of that height hides it all (Perez et al. 1987, Solar
// Energy 39:221, from memory). The model of 1990 has no height for it.
const bandHeight = 6.5

// hidden is what a skyline hides from a face by tilt and heading.
type hidden struct {
	sky  [tiltRows][headings + 1]float64 // of an even sky on open flat ground
	band [headings + 1]float64           // share of the band along the horizon
}

// wedge is one degree of skyline: the integrals over its height that need no
// knowledge of the face.
type wedge struct {
	east, north float64
	sin, cos    float64 // of the elevation of its top
	level, wall float64 // of sin h cos h dh and of cos² h dh, from 0 to top
	band        float64 // share of the horizon's band behind it
}

func newHidden(skyline place.Skyline) *hidden {
	if skyline.Free() {
		return nil
	}
	wedges := cut(skyline)
	t := &hidden{}
	for row := range t.sky {
		sin, cos := math.Sincos(float64(row) * tiltStep * math.Pi / 180)
		for col := range headings {
			t.sky[row][col] = blocked(wedges, sin, cos, NewHeading(compass.Angle(float64(col)*headingStep)))
		}
		t.sky[row][headings] = t.sky[row][0]
	}
	for col := range headings {
		t.band[col] = blockedBand(wedges, NewHeading(compass.Angle(float64(col)*headingStep)))
	}
	t.band[headings] = t.band[0]
	return t
}

// cut returns the degrees of the skyline that stand above the horizon.
func cut(skyline place.Skyline) []wedge {
	var ws []wedge
	for deg := range 360 {
		az := compass.Angle(deg)
		top := skyline.At(az)
		if !(top > 0) {
			continue
		}
		h, sin, cos := NewHeading(az), top.Sin(), top.Cos()
		ws = append(ws, wedge{
			east: h.East, north: h.North, sin: sin, cos: cos,
			level: sin * sin / 2, wall: (top.Radians() + sin*cos) / 2,
			band: min(1, float64(top)/bandHeight),
		})
	}
	return ws
}

// blocked integrates the cosine of incidence over the sky behind the skyline,
// over pi: what the face loses of an even sky.
func blocked(ws []wedge, sin, cos float64, h Heading) float64 {
	sum := 0.0
	for i := range ws {
		w := &ws[i]
		// The face sees elevation e in this direction under the cosine
		// cos(tilt) sin e + toward cos e.
		toward := sin * (w.east*h.East + w.north*h.North)
		sum += w.before(cos, toward)
	}
	return sum / 180 // one degree of azimuth each, over pi
}

// before integrates max(0, level sin e + toward cos e) cos e over the wedge's
// height.
func (w *wedge) before(level, toward float64) float64 {
	all := level*w.level + toward*w.wall
	atTop := level*w.sin + toward*w.cos
	switch {
	case toward >= 0 && atTop >= 0:
		return all
	case toward <= 0 && atTop <= 0:
		return 0
	}
	// Somewhere between the horizon and the top the sky passes behind the
	// face, or comes before it.
	r := math.Sqrt(toward*toward + level*level)
	sin, cos := math.Abs(toward)/r, math.Abs(level)/r
	below := level*sin*sin/2 + toward*(math.Atan2(sin, cos)+sin*cos)/2
	if toward > 0 {
		return max(0, below)
	}
	return max(0, all-below)
}

// blockedBand returns the share of the horizon's band before a face that
// stands behind the skyline.
func blockedBand(ws []wedge, h Heading) float64 {
	sum := 0.0
	for i := range ws {
		sum += ws[i].band * max(0, ws[i].east*h.East+ws[i].north*h.North)
	}
	return min(1, sum*math.Pi/180/2) // a half circle of cosines adds up to 2
}

// behind returns what is left of an even sky and of the horizon's band.
func (s *Slope) behind(h Heading, dome, band float64) (domeLeft, bandLeft float64) {
	col, share := between(float64(h.Azimuth), headingStep, headings+1)
	a, b := &s.hides.sky[s.row], &s.hides.sky[s.row+1]
	low := a[col] + share*(a[col+1]-a[col])
	high := b[col] + share*(b[col+1]-b[col])
	seen := max(0, s.sky-low-s.beyond*(high-low))
	if band > 0 {
		c := &s.hides.band
		band *= 1 - c[col] - share*(c[col+1]-c[col])
	}
	return seen * dome, band
}

// between finds x among nodes that stand a step apart: the node before it, one
// that has a next, and the share of the way to the next.
func between(x, step float64, nodes int) (node int, share float64) {
	x /= step
	if !(x > 0) {
		return 0, 0
	}
	node = min(int(x), nodes-2)
	return node, min(x-float64(node), 1)
}
