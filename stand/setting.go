package stand

import (
	"errors"
	"fmt"
	"math"

	"turnsole/compass"
)

// Setting is one way in which a stand can be set up.
type Setting struct {
	// Front and Back say which front stop, and which notch, prop length or
	// entry of the list, from 1; 0 where there is none.
	Front, Back int
	// FrontM and BackM are where the front stop and the notch's mouth are,
	// from the rails' front end; PropM is the prop's length.
	FrontM, BackM, PropM float64
	// Tilt is what counts for the light: the mean of a folding panel's halves
	// by their area. It is 0 where the leg does not meet the panel.
	Tilt compass.Angle
	// Lower and Upper are the tilts of the halves; both Tilt without a fold.
	Lower, Upper compass.Angle
	Possible     bool
	Why          string // why it is not possible, and what would be
	// PastUpright: the foot stands in front of its hinge. It then pushes
	// forwards and lifts out of its notch in wind from behind.
	PastUpright bool
	// LegLean is the leg's or prop's angle from upright, positive where its
	// foot is behind its hinge.
	LegLean compass.Angle
	// FrictionNeeded is the friction below which the foot would slide if it
	// stood on the bare rail: tan |LegLean|, infinite for a leg lying flat. Slides says that the frame's is
	// less. Both are for legs only.
	FrictionNeeded float64
	Slides         bool
	// Error is the greatest change of tilt by one dimension that is 2 mm off,
	// and ErrorOf which it is: leg, notch, front stop, hinge, prop or prop foot.
	Error   compass.Angle
	ErrorOf string
}

const (
	slipM     = 0.002 // how far off a cut or a mark may be
	roundingA = 1e-9  // degrees by which rounding may push a tilt out of 0..90
)

// Settings returns every front stop with every notch, every prop length, or
// every entry of the list, in their order; none for a plain stand.
func (f Frame) Settings() []Setting {
	var all []Setting
	switch f.Kind {
	case Legs:
		for _, s := range f.stops() {
			for i, m := range f.NotchesM {
				all = append(all, f.set(Setting{Front: s.index, FrontM: s.atM, Back: i + 1, BackM: m}))
			}
		}
	case Prop:
		for i, m := range f.PropsM {
			s := f.stops()[0]
			all = append(all, f.set(Setting{Front: s.index, FrontM: s.atM, Back: i + 1, PropM: m}))
		}
	case Listed:
		for i, t := range f.Tilts {
			all = append(all, f.listed(i+1, t))
		}
	}
	return all
}

// Nearest returns the possible setting nearest to a tilt, and its index in
// Settings; where none is possible it is the tilt itself, and -1.
func (f Frame) Nearest(tilt compass.Angle) (own Setting, at int) {
	own, at = Setting{Tilt: tilt, Lower: tilt, Upper: tilt, Possible: true}, -1
	off := func(s Setting) float64 { return math.Abs(float64(s.Tilt - tilt)) }
	for i, s := range f.Settings() {
		if s.Possible && (at < 0 || off(s) < off(own)) {
			own, at = s, i
		}
	}
	return own, at
}

// At returns the setting of a stand without dimensions, plain or a list, at a
// tilt.
func (f Frame) At(tilt compass.Angle) Setting { return f.listed(0, tilt) }

func (f Frame) listed(back int, tilt compass.Angle) Setting {
	s := Setting{Back: back, Tilt: tilt}
	if err := f.Validate(); err != nil {
		s.Why = err.Error()
		return s
	}
	if s.Possible = tilt >= 0 && tilt <= 90; !s.Possible {
		s.Why = fmt.Sprintf("a tilt of %s: it must lie between 0 and 90", degrees(tilt))
	}
	s.Lower, s.Upper = f.halves(tilt)
	return s
}

// set works out everything of a setting of which the positions are known.
func (f Frame) set(s Setting) Setting {
	if s = f.lean(s); s.Possible {
		s.Why = f.offRail(s)
		s.Possible = s.Why == ""
	}
	return s
}

// lean is set wherever the rail begins and ends.
func (f Frame) lean(s Setting) Setting {
	if err := f.Validate(); err != nil {
		s.Why = err.Error()
		return s
	}
	t := f.triangle(s)
	if s.Why = t.apart(); s.Why != "" {
		return s
	}
	s.Lower = t.lower()
	s.Upper = s.Lower
	if f.FoldM > 0 {
		s.Upper += f.Fold
	}
	s.Tilt = s.Lower + f.Fold*compass.Angle(f.upperShare())
	if s.Why = t.outside(s.Tilt); s.Why == "" {
		s.Possible = true
		s.Tilt = min(max(s.Tilt, 0), 90)
	}
	f.judge(&s)
	return s
}

// judge says how a setting stands: the leg's lean and what it means, and what
// a cut that is a little off does to the tilt.
func (f Frame) judge(s *Setting) {
	shape := f.ShapeAt(*s)
	back, up := shape.Foot[0]-shape.Hinge[0], shape.Hinge[1]-shape.Foot[1]
	s.LegLean = compass.Radians(math.Atan2(back, up))
	if f.Kind == Legs {
		s.PastUpright = back < -reachSlack
		s.FrictionNeeded = math.Inf(1) // a leg that lies flat needs a wall
		if up > 0 {
			s.FrictionNeeded = math.Abs(back) / up
		}
		s.Slides = s.FrictionNeeded > f.Friction
	}
	s.Error, s.ErrorOf = f.slip(*s)
}

// slip returns the greatest change of the tilt by one dimension that is off.
func (f Frame) slip(s Setting) (most compass.Angle, of string) {
	exact := f.triangle(s).lower()
	try := func(what string, f Frame, s Setting, alongM, behindM float64) {
		change := f.triangleWith(s, alongM, behindM).lower() - exact
		if change < 0 {
			change = -change
		}
		if change > most+roundingA { // the first of equals
			most, of = change, what
		}
	}
	for _, d := range []float64{slipM, -slipM} {
		if f.Kind == Prop {
			longer, further := s, f
			longer.PropM += d
			further.PropFootM += d
			try("prop", f, longer, 0, 0)
			try("prop foot", further, s, 0, 0)
		} else {
			longer, back, front := f, s, s
			longer.LegM += d
			back.BackM += d
			front.FrontM += d
			try("leg", longer, s, 0, 0)
			try("notch", f, back, 0, 0)
			try("front stop", f, front, 0, 0)
		}
		try("hinge", f, s, d, 0)
		try("hinge", f, s, 0, d)
	}
	return most, of
}

// offRail says which of a setting's positions is not on the rail.
func (f Frame) offRail(s Setting) string {
	if f.Kind != Legs {
		return ""
	}
	if why := f.stopOffRail(s.FrontM); why != "" {
		return why
	}
	return f.notchOffRail(s.BackM)
}

// railSlack is what a sum of decimal lengths may be off by rounding.
const railSlack = 1e-9

func (f Frame) stopOffRail(m float64) string {
	switch {
	case m < -railSlack:
		return fmt.Sprintf("the front stop is %s before the rail's front end", mm(-m))
	case f.RailM > 0 && m > f.RailM+railSlack:
		return fmt.Sprintf("the front stop is at %s, off a rail of %s: a rail of %s would hold it", mm(m), mm(f.RailM), mmUp(m))
	}
	return ""
}

func (f Frame) notchOffRail(m float64) string {
	end := m + f.NotchWidthM
	switch {
	case m < -railSlack:
		return fmt.Sprintf("the notch is %s before the rail's front end", mm(-m))
	case f.RailM > 0 && end > f.RailM+railSlack:
		return fmt.Sprintf("the notch ends at %s, off a rail of %s: a rail of %s would hold it", mm(end), mm(f.RailM), mmUp(end+f.LeastWoodM))
	}
	return ""
}

// TiltOf returns the tilt of a stand on legs from the positions of front stop
// and notch, from the rails' front end, and the length of the leg, in metres.
// The error says what would meet.
func (f Frame) TiltOf(frontM, notchM, legM float64) (compass.Angle, error) {
	f.LegM = legM
	if f.Kind != Legs {
		return 0, errors.New("only a stand on legs has notches")
	}
	return f.reached(Setting{FrontM: frontM, BackM: notchM})
}

// reached returns a setting's tilt, wherever the rail ends.
func (f Frame) reached(s Setting) (compass.Angle, error) {
	if bad := math.Abs(s.FrontM) + math.Abs(s.BackM) + math.Abs(s.PropM); !(bad < 3*longestM) {
		return 0, fmt.Errorf("lengths must be figures below %d m", longestM)
	}
	if s = f.lean(s); !s.Possible {
		return 0, errors.New(s.Why)
	}
	return s.Tilt, nil
}

// NotchOf returns where a notch's mouth begins, in metres from the rails'
// front end, for a tilt from a front stop: the one of two that has the foot
// behind its hinge. It undoes TiltOf exactly and does not ask how long the
// rail is. The error says which leg would do.
func (f Frame) NotchOf(frontM float64, tilt compass.Angle) (notchM float64, err error) {
	if f.Kind != Legs {
		return 0, errors.New("only a stand on legs has notches")
	}
	hinge, err := f.hingeAt(frontM, tilt)
	if err != nil {
		return 0, err
	}
	up := hinge[1] + f.ContactDownM
	if up > f.LegM {
		return 0, fmt.Errorf("at %s the hinge is %s above the foot: the leg is %s too short, %s would just reach",
			degrees(tilt), mm(up), mmUp(up-f.LegM), mmUp(up))
	}
	if up < -f.LegM {
		return 0, fmt.Errorf("at %s the hinge is %s below the foot: a steeper tilt, or a hinge nearer to the panel", degrees(tilt), mm(-up))
	}
	notchM = hinge[0] + math.Sqrt((f.LegM-up)*(f.LegM+up)) - f.ContactBackM
	if err := f.supports(frontM, notchM, tilt); err != nil {
		return 0, err
	}
	return notchM, nil
}

// supports returns an error where a notch would not carry the panel at the
// tilt: the panel's weight must push the leg, not pull it.
func (f Frame) supports(frontM, notchM float64, tilt compass.Angle) error {
	t := f.triangle(Setting{FrontM: frontM, BackM: notchM})
	lower, _ := f.halves(tilt)
	if t.footBackM <= 0 {
		return fmt.Errorf("at %s the foot would stand in front of the panel's front edge: a longer leg, or a hinge higher up the panel", degrees(tilt))
	}
	if (lower - t.below - t.slope).Sin() < -1e-12 { // rounding at a leg and a panel in one line
		return fmt.Errorf("at %s the hinge lies below the line from front stop to foot and the leg holds nothing up: a steeper tilt, or a hinge nearer to the panel", degrees(tilt))
	}
	return nil
}

// PropOf returns the prop's length in metres, from axis to axis, for a tilt.
func (f Frame) PropOf(tilt compass.Angle) (propM float64, err error) {
	if f.Kind != Prop {
		return 0, errors.New("only a stand with a prop has prop lengths")
	}
	front := f.stops()[0].atM
	hinge, err := f.hingeAt(front, tilt)
	if err != nil {
		return 0, err
	}
	t := f.triangle(Setting{FrontM: front})
	lower, _ := f.halves(tilt)
	if (lower - t.below - t.slope).Sin() < -1e-12 {
		return 0, fmt.Errorf("at %s the prop's upper end lies below the line from hinge to prop foot: a steeper tilt, or a lower prop foot", degrees(tilt))
	}
	return math.Hypot(hinge[0]-front-f.PropFootM, hinge[1]-f.FrontUpM-f.PropFootUpM), nil
}

// hingeAt returns where the leg's hinge is at a tilt from a front stop.
func (f Frame) hingeAt(frontM float64, tilt compass.Angle) (at [2]float64, err error) {
	if err := f.Validate(); err != nil {
		return at, err
	}
	if !(tilt >= 0 && tilt <= 90) {
		return at, fmt.Errorf("a tilt of %s: it must lie between 0 and 90", degrees(tilt))
	}
	if !(math.Abs(frontM) <= longestM) {
		return at, fmt.Errorf("a front stop at %g m: it must lie within %d m", frontM, longestM)
	}
	lower, _ := f.halves(tilt)
	return f.place(frontM, lower), nil
}

// place returns the hinge's position at a tilt of the lower half.
func (f Frame) place(frontM float64, lower compass.Angle) [2]float64 {
	u, v := f.hinge(0, 0)
	sin, cos := math.Sincos(lower.Radians())
	return [2]float64{frontM + u*cos + v*sin, f.FrontUpM + u*sin - v*cos}
}

// Shape is where the parts of a stand are in the side view, in metres: X from
// the rails' front end to the rear, Y up from the rails' top.
type Shape struct {
	Front, Fold, Top [2]float64 // of the panel's back plane; Fold is Front where there is none
	Hinge, Foot      [2]float64 // of leg or prop
	RailFrom, RailTo [2]float64
}

// ShapeAt returns a setting's shape. For a stand without dimensions only Front
// and Top are there.
func (f Frame) ShapeAt(s Setting) Shape {
	if f.Validate() != nil {
		return Shape{}
	}
	front := [2]float64{s.FrontM, f.FrontUpM}
	lower, upper := f.halves(s.Tilt)
	shape := Shape{Front: front, Fold: front, Top: along(front, f.PanelM-f.FoldM, upper)}
	if f.FoldM > 0 {
		shape.Fold = along(front, f.FoldM, lower)
		shape.Top = along(shape.Fold, f.PanelM-f.FoldM, upper)
	}
	if f.Kind == Legs || f.Kind == Prop {
		shape.RailTo = [2]float64{f.RailM, 0}
		shape.Hinge, shape.Foot = f.place(s.FrontM, lower), f.foot(s)
	}
	return shape
}

func along(from [2]float64, m float64, tilt compass.Angle) [2]float64 {
	sin, cos := math.Sincos(tilt.Radians())
	return [2]float64{from[0] + m*cos, from[1] + m*sin}
}

// foot returns where a setting's leg or prop ends.
func (f Frame) foot(s Setting) [2]float64 {
	if f.Kind == Prop {
		return [2]float64{s.FrontM + f.PropFootM, f.FrontUpM + f.PropFootUpM}
	}
	return [2]float64{s.BackM + f.ContactBackM, -f.ContactDownM}
}
