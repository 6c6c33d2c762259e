package sun

import (
	"math"

	"turnsole/compass"
)

// track is the sun's way among the stars as seen from the earth's centre: the
// report gone through once a day, and cubics between the days.
type track struct {
	first JulianDay // of nodes[0]
	nodes []node
}

// node is the sun's unit vector toward the mean equinox, 90 degrees east of it
// and the pole of date, and its distance. Right ascensions are counted from the
// mean equinox (nutation in right ascension taken off), so that the earth turns
// evenly against them.
type node struct{ x, y, z, distanceAU float64 }

// newTrack covers from..to, cut to Earliest..Latest; a track of nothing where
// that leaves nothing.
func newTrack(from, to JulianDay, deltaTS float64) track {
	from, to = max(from, Earliest), min(to, Latest)
	if !(from <= to) {
		return track{}
	}
	// A cubic needs two nodes on either side.
	first := JulianDay(math.Floor(float64(from))) - 1
	t := track{first: first, nodes: make([]node, int(math.Floor(float64(to)-float64(first)))+3)}
	for i := range t.nodes {
		w := fromCentre(first+JulianDay(i), deltaTS)
		ra := w.Alpha - (w.Nu - w.Nu0)
		d := compass.Toward(ra, w.Delta)
		t.nodes[i] = node{x: d.North, y: d.East, z: d.Up, distanceAU: w.RAU}
	}
	return t
}

// at returns the sun at an instant; its vector is a unit vector to 4e-9. NaN
// beyond the track.
func (t *track) at(jd JulianDay) node {
	days := float64(jd - t.first)
	k := math.Floor(days)
	if !(k >= 1 && k+2 < float64(len(t.nodes))) {
		nan := math.NaN()
		return node{nan, nan, nan, nan}
	}
	// Lagrange's cubic through four days.
	s, n := days-k, t.nodes[int(k)-1:][:4]
	a := -s * (s - 1) * (s - 2) / 6
	b := (s + 1) * (s - 1) * (s - 2) / 2
	c := -(s + 1) * s * (s - 2) / 2
	d := (s + 1) * s * (s - 1) / 6
	return node{
		x:          a*n[0].x + b*n[1].x + c*n[2].x + d*n[3].x,
		y:          a*n[0].y + b*n[1].y + c*n[2].y + d*n[3].y,
		z:          a*n[0].z + b*n[1].z + c*n[2].z + d*n[3].z,
		distanceAU: a*n[0].distanceAU + b*n[1].distanceAU + c*n[2].distanceAU + d*n[3].distanceAU,
	}
}
