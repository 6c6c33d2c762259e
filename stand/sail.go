package stand

import (
	"math"

	"turnsole/compass"
)

// The wind is level and comes from any side. It pushes square to the panel:
// onto the face (press) or from behind (lift), both at once for a panel that
// lies nearly flat in gusts. The coefficients are cautious: the larger of a
// flat plate's and EN 1991-1-4's. Wind on the rails and legs is left out.

// plates are a square flat plate in a wind that meets it at an angle: force
// coefficient, and centre of pressure from the windward edge in chords. After
// Hoerner 1965 and Flachsbart 1932, rounded, from memory.
var plates = [...]struct{ met, force, centre float64 }{
	{0, 0, 0.25}, {10, 0.3, 0.26}, {20, 0.7, 0.30}, {30, 1.15, 0.33},
	{38, 1.45, 0.36}, {45, 1.15, 0.43}, {60, 1.15, 0.46}, {90, 1.17, 0.5},
}

// PlateCoefficient returns the force coefficient of a flat plate that the wind
// meets at an angle, 0 along it to 90 square on, and the centre of pressure from
// the windward edge as a share of the chord.
func PlateCoefficient(met compass.Angle) (force, centre float64) {
	a := min(max(float64(met), 0), 90)
	i := 1
	for plates[i].met < a {
		i++
	}
	from, to := plates[i-1], plates[i]
	t := (a - from.met) / (to.met - from.met)
	return from.force + t*(to.force-from.force), from.centre + t*(to.centre-from.centre)
}

// canopies are the overall force coefficients of a monopitch canopy for each 5
// degrees of slope: EN 1991-1-4, Table 7.6. Press is for any blockage under it,
// lift the stronger of the columns without blockage (0.5 0.7 0.9 1.1 1.3 1.6 1.8)
// and with full blockage (1.3, then 1.4): rails, folded legs, grass or snow
// under a low panel stop the air, and nobody knows by how much.
var canopies = [...]struct{ press, lift float64 }{
	{0.2, 1.3}, {0.4, 1.4}, {0.5, 1.4}, {0.7, 1.4}, {0.8, 1.4}, {1.0, 1.6}, {1.2, 1.8},
}

// openFlatLift is a flat canopy's lift without blockage, by the same table.
const openFlatLift = 0.5

const (
	canopyTo      = 30   // degrees: end of EN 1991-1-4, Table 7.6
	signFrom      = 45   // degrees: from here a panel counts as a signboard
	signForce     = 1.8  // EN 1991-1-4, 7.4.3
	codeShift     = 0.25 // of the panel's side: canopy d/4 from the edge, signboard b/4 from the middle
	degreesPerRow = 5
)

// CodeCoefficients returns EN 1991-1-4's force coefficients of a panel with the
// wind square to its width: a monopitch canopy to 30 degrees (Table 7.6), a
// signboard from 45 (7.4.3). Between them the code has nothing: there they are
// joined in a straight line, which stays above the peak of a flat plate
// wherever it stalls.
func CodeCoefficients(tilt compass.Angle) (press, lift float64) {
	a := min(max(float64(tilt), 0), 90)
	if steep := steepness(tilt); steep > 0 {
		last := canopies[len(canopies)-1]
		return last.press + steep*(signForce-last.press), last.lift + steep*(signForce-last.lift)
	}
	row := min(int(a/degreesPerRow), len(canopies)-2)
	t := a/degreesPerRow - float64(row)
	from, to := canopies[row], canopies[row+1]
	return from.press + t*(to.press-from.press), from.lift + t*(to.lift-from.lift)
}

// steepness goes from 0 for a canopy to 1 for a signboard.
func steepness(tilt compass.Angle) float64 {
	return min(max((float64(tilt)-canopyTo)/(signFrom-canopyTo), 0), 1)
}

// sail is the panel as the wind sees it.
type sail struct {
	sin, cos        float64 // of the tilt
	steep           float64
	press, lift     float64 // the code's, wind square to the width
	widthM, lengthM float64
	backM, upM      float64 // its middle: back from the axis, up from the ground
}

func sailOf(tilt compass.Angle, widthM, lengthM float64) sail {
	s := sail{sin: tilt.Sin(), cos: tilt.Cos(), steep: steepness(tilt), widthM: widthM, lengthM: lengthM}
	s.press, s.lift = CodeCoefficients(tilt)
	return s
}

// meeting is how the wind of one direction meets the panel.
type meeting struct {
	square        float64 // cosine of the direction: 1 onto the face, -1 onto the back
	right         float64 // its sine: 1 from the right
	sinMet        float64 // sine of the angle between wind and panel
	plate, centre float64 // flat plate at that angle
	up, side      float64 // unit vector of the wind within the panel's plane: up the slope, to its right
}

func (s sail) meet(from compass.Angle) meeting {
	sinFrom, cosFrom := math.Sincos(from.Radians())
	m := meeting{square: cosFrom, right: sinFrom, sinMet: min(math.Abs(cosFrom)*s.sin, 1)}
	m.plate, m.centre = PlateCoefficient(compass.Radians(math.Asin(m.sinMet)))
	if along := math.Sqrt(1 - m.sinMet*m.sinMet); along > 1e-9 {
		m.up, m.side = cosFrom*s.cos/along, -sinFrom/along
	}
	return m
}

// coefficients returns the cautious force coefficients, press onto the face and
// lift from behind. The code's figures ease with the cosine to those of a flat
// roof for wind along the panel, and gusts keep some of the flat roof's on the
// lee side (our reading; the code gives one figure for all sides). The roof is
// blocked below as the table's is, and open the nearer the panel comes to a
// signboard, under which nothing stops the air.
func (s sail) coefficients(m meeting) (press, lift float64) {
	ease := func(square float64, code, flat, plate float64) float64 {
		if square >= 0 {
			return max(flat+(code-flat)*square, plate)
		}
		return flat * (1 - m.sinMet)
	}
	flat := canopies[0]
	flat.lift += s.steep * (openFlatLift - flat.lift)
	return ease(m.square, s.press, flat.press, m.plate), ease(-m.square, s.lift, flat.lift, m.plate)
}

// push is one way in which the wind of a direction may load the panel, for each
// N/m² of pressure.
type push struct {
	normalN        float64 // onto the face; negative from behind
	backN, upN     float64 // its level part, away from the heading, and its uplift
	slopeM, sideM  float64 // where it acts: from the panel's middle up the slope and to the right
	atBackM, atUpM float64 // the same, from the axis and from the ground
}

// pushes returns press and lift, each at a flat plate's centre of pressure and
// at the code's.
func (s sail) pushes(from compass.Angle) [4]push {
	m := s.meet(from)
	press, lift := s.coefficients(m)
	area := s.widthM * s.lengthM
	slope, side := s.plateCentre(m)
	codeSlope, codeSide := s.codeCentre(m)
	return [4]push{
		s.push(press*area, slope, side), s.push(press*area, codeSlope, codeSide),
		s.push(-lift*area, slope, side), s.push(-lift*area, codeSlope, codeSide),
	}
}

// plateCentre is a flat plate's centre of pressure: shifted against the wind
// along the plate.
func (s sail) plateCentre(m meeting) (slopeM, sideM float64) {
	shift := 0.5 - m.centre
	return -shift * m.up * s.lengthM, -shift * m.side * s.widthM
}

// codeCentre is EN 1991-1-4's: a quarter from the windward edge for a canopy
// (Figure 7.16), a quarter of the width to either side for a signboard (7.4.3);
// of the two sides the windward one.
func (s sail) codeCentre(m meeting) (slopeM, sideM float64) {
	flat := codeShift * (1 - s.steep)
	return -flat * m.up * s.lengthM, -flat*m.side*s.widthM + math.Copysign(codeShift*s.steep*s.widthM, m.right)
}

func (s sail) push(normalN, slopeM, sideM float64) push {
	return push{
		normalN: normalN, backN: normalN * s.sin, upN: -normalN * s.cos,
		slopeM: slopeM, sideM: sideM,
		atBackM: s.backM + slopeM*s.cos, atUpM: s.upM + slopeM*s.sin,
	}
}

// share is how much of the push the side of the panel nearer to it takes.
func (s sail) share(p push) float64 { return 0.5 + math.Abs(p.sideM)/s.widthM }

// turnNm is the push's moment about the vertical axis, positive clockwise from
// above.
func (p push) turnNm() float64 { return p.backN * p.sideM }

// Load is what a gust does to the panel, without safety factors.
type Load struct {
	NormalN float64 // square to the panel: positive onto the face, negative from behind
	DragN   float64 // its level part: positive away from the heading
	UpliftN float64 // its upright part: positive up
	TurnNm  float64 // greatest about the vertical axis: positive clockwise from above
	TipNm   float64 // greatest over an edge line between two feet, of the wind alone
}

// LoadAt returns the load of a gust from a side relative to the heading: 0 blows
// onto the face, 90 from the heading's right, 180 onto the back. Where the wind
// may press or lift, it is the stronger. All zero for a setting that is not
// possible.
func (b Body) LoadAt(s Setting, from compass.Angle, gustMS float64) Load {
	p, err := b.poseAt(s)
	if err != nil {
		return Load{}
	}
	pushes, pa := p.pushes(from), PressurePa(gustMS)
	two := pushes[:2]
	if math.Abs(pushes[2].normalN) > math.Abs(two[0].normalN) {
		two = pushes[2:]
	}
	load := Load{NormalN: pa * two[0].normalN, DragN: pa * two[0].backN, UpliftN: pa * two[0].upN}
	for _, push := range two {
		if t := pa * push.turnNm(); math.Abs(t) > math.Abs(load.TurnNm) {
			load.TurnNm = t
		}
		load.TipNm = max(load.TipNm, stance{edgeM: b.EdgeM()}.overEdgeNm(push, pa))
	}
	return load
}
