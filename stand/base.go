package stand

import (
	"errors"
	"fmt"
	"math"
)

// Base is what wind works against: the feet, the masses and what they rest on.
type Base struct {
	Feet                      int     // 3..12, evenly spaced round the axis
	FootRadiusM               float64 // from the vertical axis to each foot, > 0
	RailTopM                  float64 // top of the rails above the ground
	AxisM                     float64 // where the vertical axis meets the rails, from their front end
	PanelKg                   float64 // all that leans: panel, frame and legs
	StandKg                   float64 // all the rest, centred on the axis, without ballast
	PanelWidthM, PanelLengthM float64 // across and up the slope
	StandCentreUpM            float64 // middle of the stand's mass above the ground; on level ground, as taken here, it changes no limit
	BallastKg                 float64 // spread evenly round the axis
	BallastRadiusM            float64 // how far from the axis, at most EdgeM
	Friction                  float64 // of the feet on the ground, see Footings
	Latched                   bool    // latches hold down the front edge and the legs' feet
	HoldingNm                 float64 // what holds the panel against turning with the motor off, bearing included
	Terrain                   Terrain
}

const mostFeet = 12

// Body is a base with the frame on it.
type Body struct {
	Base
	Frame
}

// EdgeM returns how far the line between two neighbouring feet is from the
// axis, R cos(180/n): the stand tips over that line.
func (b Base) EdgeM() float64 {
	return b.FootRadiusM * math.Cos(math.Pi/float64(b.Feet))
}

// Problems says what is wrong with the base, and what would be right.
func (b Base) Problems() []Problem {
	var found []Problem
	refuse := func(bad bool, key, form string, figures ...any) {
		if bad {
			found = append(found, Problem{Key: key, Text: fmt.Sprintf(form, figures...)})
		}
	}
	refuse(b.Feet < 3 || b.Feet > mostFeet, "feet", "%d feet: a stand needs 3 to %d", b.Feet, mostFeet)
	refuse(!positive(b.FootRadiusM), "foot_radius", "feet %v m from the axis: a distance above 0 is needed", b.FootRadiusM)
	refuse(!positive(b.PanelWidthM), "width", "a panel %v m wide: a width above 0 is needed", b.PanelWidthM)
	refuse(!positive(b.PanelLengthM), "length", "a panel %v m long: a length above 0 is needed", b.PanelLengthM)
	refuse(!positive(b.PanelKg), "mass", "a panel of %v kg: a mass above 0 is needed", b.PanelKg)
	refuse(!notNegative(b.StandKg), "mass", "a stand of %v kg: a mass of 0 or more is needed", b.StandKg)
	refuse(!notNegative(b.BallastKg), "ballast", "ballast of %v kg: a mass of 0 or more is needed", b.BallastKg)
	refuse(!notNegative(b.Friction), "footing_friction", "friction %v: 0 or more is needed, such as 0.25 for wood on grass", b.Friction)
	refuse(!notNegative(b.RailTopM), "rail_height", "rails %v m above the ground: 0 or more is needed", b.RailTopM)
	if err := b.ballastInside(); err != nil && len(found) == 0 {
		found = append(found, Problem{Key: "ballast_radius", Text: err.Error()})
	}
	return found
}

// ballastInside returns an error where ballast would stand outside the feet's
// edges, where it helps to tip the stand.
func (b Base) ballastInside() error {
	if edge := b.EdgeM(); !(b.BallastRadiusM >= 0 && b.BallastRadiusM <= edge) {
		return fmt.Errorf("ballast %.2f m from the axis stands outside the feet: the line between two feet is %.2f m from it; put the ballast within that, or the feet further out", b.BallastRadiusM, edge)
	}
	return nil
}

func positive(v float64) bool    { return v > 0 && !math.IsInf(v, 1) }
func notNegative(v float64) bool { return v >= 0 && !math.IsInf(v, 1) }

// GravityMS2 is the standard acceleration of free fall.
const GravityMS2 = 9.80665

// pose is where the panel is: back from the vertical axis (away from the
// heading) and up from the ground.
type pose struct {
	sail
	front, hinge, foot [2]float64
	legs               bool // whether front, hinge and foot are known
	hinged             bool // held at the front and at both ends of a prop
}

var errImpossible = errors.New("the stand cannot be put at this setting")

// poseAt places the panel. Without dimensions its middle is over the axis and
// its lower edge on the rails.
func (b Body) poseAt(s Setting) (pose, error) {
	if !(s.Tilt >= 0 && s.Tilt <= 90) {
		return pose{}, errImpossible
	}
	if b.Kind == Plain || b.Kind == Listed {
		p := pose{sail: sailOf(s.Tilt, b.PanelWidthM, b.PanelLengthM)}
		p.upM = b.RailTopM + b.PanelLengthM/2*p.sin
		return p, nil
	}
	if !s.Possible {
		return pose{}, errImpossible
	}
	shape := b.ShapeAt(s)
	place := func(at [2]float64) [2]float64 { return [2]float64{at[0] - b.AxisM, at[1] + b.RailTopM} }
	p := pose{sail: sailOf(s.Tilt, b.PanelWidthM, b.PanelLengthM), legs: true, hinged: b.Kind == Prop,
		front: place(shape.Front), hinge: place(shape.Hinge), foot: place(shape.Foot)}
	middle := place(middleOf(shape))
	p.backM, p.upM = middle[0], middle[1]
	return p, nil
}

// middleOf is the middle of the panel's area, of both halves where it folds.
func middleOf(s Shape) [2]float64 {
	lower := math.Hypot(s.Fold[0]-s.Front[0], s.Fold[1]-s.Front[1])
	upper := math.Hypot(s.Top[0]-s.Fold[0], s.Top[1]-s.Fold[1])
	var middle [2]float64
	for i := range middle {
		middle[i] = (lower*(s.Front[i]+s.Fold[i]) + upper*(s.Fold[i]+s.Top[i])) / (2 * (lower + upper))
	}
	return middle
}

// PanelUpM returns the height of the panel's middle above the ground, for which
// the gusts are reckoned.
func (b Body) PanelUpM(s Setting) float64 {
	p, err := b.poseAt(s)
	if err != nil {
		return b.RailTopM
	}
	return p.upM
}

// PanelBackM returns how far the panel's middle is behind the vertical axis,
// negative in front of it; 0 for a stand without dimensions.
func (b Body) PanelBackM(s Setting) float64 {
	p, err := b.poseAt(s)
	if err != nil {
		return 0
	}
	return p.backM
}

// GustPerForecast returns the gust at the panel per mean wind of the forecast.
func (b Body) GustPerForecast(s Setting) float64 { return b.Terrain.GustPerForecast(b.PanelUpM(s)) }
