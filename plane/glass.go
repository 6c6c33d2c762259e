package plane

import "math"

// Glass is what the cover of a panel lets through at a slant, as a share of
// what it lets through head on. The zero Glass loses nothing; DefaultGlass is
// a clean panel.
type Glass struct {
	kind glassKind
	loss float64 // ar or b0
}

type glassKind int

const (
	noLoss glassKind = iota
	martinRuiz
	ashrae
)

// DefaultGlass is clean, slightly dusty glass as it comes on most panels:
// between the 0.14 of anti-reflective and the 0.17 of plain clean glass.
func DefaultGlass() Glass { return MartinRuiz(0.16) }

// MartinRuiz returns a cover by the angular loss coefficient ar: 0.14
// anti-reflective, 0.17 clean glass, 0.20 and more dusty; values outside
// 0.05..0.5 are brought to the nearer end. Beam: Martin & Ruiz 2001, Solar
// Energy Materials and Solar Cells 70:25. Diffuse: the same, 2005, Progress in
// Photovoltaics 13:75, corrected 2013.
func MartinRuiz(ar float64) Glass { return Glass{martinRuiz, min(max(ar, 0.05), 0.5)} }

// ASHRAE returns a cover by the one coefficient b0 of ASHRAE 93, 0.05 for plain
// glass; values outside 0..0.3 are brought to the nearer end. Diffuse light
// counts as beam at the effective angles of Brandemuehl & Beckman 1980 (Solar
// Energy 24:511, from memory), which were found for one sheet of plain glass.
func ASHRAE(b0 float64) Glass { return Glass{ashrae, min(max(b0, 0), 0.3)} }

// Beam returns the share of the beam that enters when it comes in at an angle
// with the cosine cosIncidence; 0 from behind.
func (g Glass) Beam(cosIncidence float64) float64 {
	if !(cosIncidence > 0) {
		return 0
	}
	switch g.kind {
	case martinRuiz:
		return math.Expm1(-cosIncidence/g.loss) / math.Expm1(-1/g.loss)
	case ashrae:
		return max(0, 1-g.loss*(1/cosIncidence-1))
	}
	return 1
}

// Diffuse returns the shares of an even sky's and of an even ground's light
// that enter a panel tilted by tilt radians, 0..pi.
func (g Glass) Diffuse(tilt float64) (sky, ground float64) {
	switch g.kind {
	case martinRuiz:
		// The ground is to a panel tilted by b what the sky is to one tilted
		// by pi-b: the paper's two expressions are one.
		return g.dome(tilt), g.dome(math.Pi - tilt)
	case ashrae:
		deg := tilt * 180 / math.Pi
		return g.Beam(math.Cos((59.68 - 0.1388*deg + 0.001497*deg*deg) * math.Pi / 180)),
			g.Beam(math.Cos((90 - 0.5788*deg + 0.002693*deg*deg) * math.Pi / 180))
	}
	return 1, 1
}

// dome is the Martin-Ruiz share of an even dome's light.
func (g Glass) dome(tilt float64) float64 {
	seen := 1 + math.Cos(tilt)
	if seen < 1e-9 { // the dome is behind the panel: nothing to lose
		return 0
	}
	sin := math.Sin(tilt)
	s := sin + (math.Pi-tilt-sin)/seen
	c1, c2 := 4/(3*math.Pi), g.loss/2-0.154
	return min(max(-math.Expm1(-(c1*s+c2*s*s)/g.loss), 0), 1)
}

// cells is how finely pane cuts the cosine. With ar = 0.16 its parabolas leave
// an error below 1e-7 of full light.
const cells = 256

// pane is a Glass made ready to be asked a thousand million times: the beam
// that enters a unit of panel, cosine times share, as a function of the
// cosine. The product is smooth where the share alone is not.
type pane struct {
	straight bool // no loss and ASHRAE: a straight line, no table
	rise     float64
	fall     float64
	parabola [cells + 1][3]float64
}

func newPane(g Glass) *pane {
	switch g.kind {
	case noLoss:
		return &pane{straight: true, rise: 1}
	case ashrae: // c (1 - b0 (1/c - 1)) = (1 + b0) c - b0
		return &pane{straight: true, rise: 1 + g.loss, fall: g.loss}
	}
	p := &pane{}
	enters := func(c float64) float64 { return c * g.Beam(c) }
	for k := range p.parabola {
		a := float64(k) / cells
		y0, y1, y2 := enters(a), enters(a+0.5/cells), enters(a+1.0/cells)
		p.parabola[k] = [3]float64{y0, -3*y0 + 4*y1 - y2, 2*y0 - 4*y1 + 2*y2}
	}
	return p
}

// beam returns cosine times share for a cosine in 0..1.
func (p *pane) beam(cos float64) float64 {
	if p.straight {
		return max(0, p.rise*cos-p.fall)
	}
	x := cos * cells
	k := min(uint32(x), cells)
	x -= float64(k)
	c := &p.parabola[k]
	return c[0] + x*(c[1]+x*c[2])
}
