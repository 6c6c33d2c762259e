// Package plane puts the light of the sky on a tilted face: the beam, the sky
// that the face sees, the ground before it, and what a cover of glass loses at
// a slant. Everything that does not depend on where the face looks is computed
// once per weather year (Prepare) and shared by all ways of aiming.
package plane

import (
	"math"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/sky"
)

// Sky says how the diffuse light is spread over the sky.
type Sky int

// Ways in which the diffuse light is spread.
const (
	// Perez brightens the sky around the sun and along the horizon: Perez et
	// al. 1990, Solar Energy 44:271, with the coefficients of its Table 6.
	Perez Sky = iota
	// HayDavies brightens it around the sun only, as much as the beam is of
	// the light outside the air: Hay & Davies 1980.
	HayDavies
	// Isotropic spreads it evenly: Liu & Jordan 1963, Solar Energy 7:53.
	Isotropic
)

// bands holds Perez's F11 F12 F13 F21 F22 F23 by clearness class. The paper's
// three digits are used: they are what was published, and the seven-digit set
// that circulates moves F1 and F2 by less than 0.0006.
var bands = [8][6]float64{
	{-0.008, 0.588, -0.062, -0.060, 0.072, -0.022},
	{0.130, 0.683, -0.151, -0.019, 0.066, -0.029},
	{0.330, 0.487, -0.221, 0.055, -0.064, -0.026},
	{0.568, 0.187, -0.295, 0.109, -0.152, -0.014},
	{0.873, -0.392, -0.362, 0.226, -0.462, 0.001},
	{1.132, -1.237, -0.412, 0.288, -0.823, 0.056},
	{1.060, -1.600, -0.359, 0.264, -1.127, 0.131},
	{0.678, -0.327, -0.250, 0.156, -1.377, 0.251},
}

var bandEnds = [7]float64{1.065, 1.23, 1.5, 1.95, 2.8, 4.5, 6.2}

// lowest is the least sine of elevation by which light around the sun is
// scaled up, sin 5 degrees (Perez et al. 1990).
const lowest = 0.08715574274765817

// Light is a weather year's light made ready for any face. Several goroutines
// may read it at once.
type Light struct {
	*sky.Series
	steps []step
	aloft []aloft
	model Sky
	pane  *pane
	glass []diffuse
	hides *hidden // nil where the horizon is free
}

// step is all that a face needs to know of one step: eight figures, one cache
// line, since a face always needs all of them at once.
type step struct {
	east, north, up float64 // the sun's direction
	beam            float64 // facing the sun, nothing where the skyline hides it
	around          float64 // diffuse light from around the sun, facing it
	dome            float64 // diffuse light from the even sky, on open flat ground
	band            float64 // diffuse light from along the horizon, on a wall
	ground          float64 // what the ground throws back
}

// aloft is what the sky model needs to know of the sun in one step; it is the
// same in every year that lies on the same steps.
type aloft struct {
	zenith float64 // radians
	clear  float64 // 1/(1 + 1.041 zenith³)
	thick  float64 // air mass over the light outside the air, m2/W
	rise   float64 // 1/max(sine of elevation, lowest)
	hidden bool    // behind the skyline
}

// Prepare makes a weather year's light ready for any face behind a skyline.
func Prepare(s *sky.Series, skyline place.Skyline, model Sky, glass Glass) *Light {
	l := &Light{model: model, pane: newPane(glass), glass: newDiffuse(glass), hides: newHidden(skyline)}
	l.Series = s
	l.seeSun(skyline)
	l.spread()
	return l
}

// Relight puts another year's light in place of the last, reusing its memory.
// The year must lie on the same steps: same sun, other weather. It must not
// run while others read l. It reports false, and does nothing, when the steps
// are others.
func (l *Light) Relight(s *sky.Series) bool {
	n := s.Len()
	if n != len(l.steps) || n > 0 && (s.Up[0] != l.Up[0] || s.Up[n-1] != l.Up[n-1] || s.East[n/2] != l.East[n/2]) {
		return false
	}
	l.Series = s
	l.spread()
	return true
}

func (l *Light) seeSun(skyline place.Skyline) {
	l.steps, l.aloft = make([]step, l.Len()), make([]aloft, l.Len())
	for i := range l.aloft {
		up := min(max(l.Up[i], 0), 1)
		z := math.Acos(up)
		l.aloft[i] = aloft{
			zenith: z,
			clear:  1 / (1 + 1.041*z*z*z),
			thick:  sky.AirMass(up) / l.ExtraNormal[i],
			rise:   1 / max(up, lowest),
			hidden: l.hides != nil && up <= skyline.At(compass.Angle(l.AzimuthDeg[i])).Sin(),
		}
	}
}

// spread parts each step's diffuse light into around, dome and band.
func (l *Light) spread() {
	open := 1.0
	if l.hides != nil {
		open -= l.hides.sky[0][0]
	}
	for i := range l.steps {
		a, dni, dhi := &l.aloft[i], l.DNI[i], l.DHI[i]
		f1, f2 := l.shares(i)
		s := step{
			east: l.East[i], north: l.North[i], up: l.Up[i],
			beam: dni, around: dhi * f1 * a.rise, dome: dhi * (1 - f1), band: dhi * f2,
		}
		if a.hidden {
			s.beam, s.around = 0, 0
		}
		// The skyline hides from the ground what it hides from the panel.
		lit := s.dome*open + s.around/a.rise + s.beam*s.up
		s.ground = l.Albedo[i] * max(lit, 0)
		l.steps[i] = s
	}
}

// shares returns the share of step i's diffuse light that comes from around
// the sun, and the one that a wall gets from along the horizon (which is taken
// off where negative: the horizon is then the darker part).
func (l *Light) shares(i int) (around, band float64) {
	dni, dhi := l.DNI[i], l.DHI[i]
	if !(dhi > 0) || !(l.Up[i] > 0) {
		return 0, 0 // in twilight there is no sun to be around
	}
	switch l.model {
	case Perez:
		return perez(dni, dhi, &l.aloft[i])
	case HayDavies:
		return min(dni/l.ExtraNormal[i], 1), 0
	}
	return 0, 0
}

func perez(dni, dhi float64, a *aloft) (f1, f2 float64) {
	// ((DHI+DNI)/DHI + k z³)/(1 + k z³), with k z³ taken out of it.
	clearness := 1 + dni/dhi*a.clear
	brightness := dhi * a.thick
	k := 0
	for k < len(bandEnds) && clearness >= bandEnds[k] {
		k++
	}
	f := &bands[k]
	f1 = f[0] + f[1]*brightness + f[2]*a.zenith
	f2 = f[3] + f[4]*brightness + f[5]*a.zenith
	return min(max(f1, 0), 1), f2
}

// At returns the light of step i on a face, W/m2: as it falls on the plane,
// and what of it has entered through the glass. Entered is never more than
// plane, and neither is negative.
func (l *Light) At(i int, h Heading, s *Slope) (planeWm2, enteredWm2 float64) {
	t := &l.steps[i]
	cos := s.cos*t.up + s.sin*(t.east*h.East+t.north*h.North)
	if !(cos > 0) {
		cos = 0
	} else if cos > 1 {
		cos = 1
	}
	dome, band := s.sky*t.dome, s.sin*t.band
	if s.hides != nil {
		dome, band = s.behind(h, t.dome, band)
	}
	through := l.pane.beam(cos)
	even, inside := dome+band, s.skyGlass*(dome+band)
	if even < 0 {
		inside = even // less than no even sky: take all of it off the rest
	}
	if even += t.around * cos; !(even > 0) {
		even = 0
	}
	if inside += t.around * through; !(inside > 0) {
		inside = 0
	}
	ground := s.ground * t.ground
	return t.beam*cos + even + ground, t.beam*through + inside + ground*s.groundGlass
}

// On returns the light of a whole way of aiming: one heading and one tilt in
// degrees for each step, as At would give them one by one. Plane or entered
// may be nil; the others must be as long as the series.
func (l *Light) On(headingDeg, tiltDeg []float32, plane, entered []float64) {
	if len(l.steps) == 0 {
		return
	}
	turned, tilted := headingDeg[0], tiltDeg[0]
	h, s := NewHeading(compass.Angle(turned)), l.slope(compass.Angle(tilted))
	for i := range l.steps {
		if headingDeg[i] != turned {
			turned = headingDeg[i]
			h = NewHeading(compass.Angle(turned))
		}
		if tiltDeg[i] != tilted {
			tilted = tiltDeg[i]
			s = l.slope(compass.Angle(tilted))
		}
		p, e := l.At(i, h, &s)
		if plane != nil {
			plane[i] = p
		}
		if entered != nil {
			entered[i] = e
		}
	}
}
