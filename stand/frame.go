package stand

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"turnsole/compass"
)

// Kind is how a stand holds its tilt.
type Kind int

// Kinds of stand.
const (
	Plain  Kind = iota // no dimensions are known: any tilt can be set
	Legs               // legs of fixed length hinged to the panel, their feet in notches along the rails
	Prop               // a panel hinged at its front edge, held by a prop of adjustable length
	Listed             // tilts as measured, without dimensions
)

var kindNames = [...]string{Plain: "plain", Legs: "legs", Prop: "prop", Listed: "listed"}

// String returns the kind's name: plain, legs, prop or listed.
func (k Kind) String() string {
	if k < 0 || int(k) >= len(kindNames) {
		return "unknown"
	}
	return kindNames[k]
}

// KindNamed returns the kind of a name that String gives.
func KindNamed(name string) (Kind, error) {
	if i := slices.Index(kindNames[:], name); i >= 0 {
		return Kind(i), nil
	}
	return Plain, fmt.Errorf("%q is no kind of stand: it is plain, legs, prop or listed", name)
}

// Frame is a stand seen from the side. X runs along the rails from their
// front end to the rear, Y upwards from the rails' top. The panel's front edge
// is its low one; at a tilt b the panel rises along (cos b, sin b), and what is
// behind its back plane lies along (sin b, -cos b).
//
// A length of 0 is one that is not there or not known, where that makes sense.
type Frame struct {
	Kind Kind
	// PanelM is the panel's length along its slope.
	PanelM float64
	// HingeM and HingeOffsetM are where the leg or prop is hinged: along the
	// panel from its front edge, and behind its back plane.
	HingeM, HingeOffsetM float64
	// FoldM is where a folding panel folds, from its front edge; 0 for none.
	FoldM float64
	// Fold is by how much a folding panel's upper half is steeper than its
	// lower one, -60..60.
	Fold compass.Angle
	// RailM is the rails' length; 0 where any length can be had.
	RailM float64
	// FrontsM are the stops of the panel's front edge, from the rails' front
	// end. Without any it stands at the front end.
	FrontsM []float64
	// FrontUpM is how far the front edge's contact is above the rails' top.
	FrontUpM float64
	// NotchesM are the notches of the feet: the front edges of their mouths,
	// from the rails' front end.
	NotchesM []float64
	// ContactBackM and ContactDownM are where in its notch a foot touches:
	// behind the mouth's front edge, and below the rails' top.
	ContactBackM, ContactDownM float64
	// NotchWidthM is the width of a notch's mouth, and LeastWoodM the least
	// wood to be left between two mouths and behind the last.
	NotchWidthM, LeastWoodM float64
	// LegM is the length of a leg from its hinge's axis to the foot's contact.
	LegM float64
	// PropFootM and PropFootUpM are where the prop's lower pin is: behind the
	// hinge at the panel's front edge, and above it.
	PropFootM, PropFootUpM float64
	// PropsM are the lengths that the prop can be set to, from axis to axis.
	PropsM []float64
	// Tilts are the tilts of a list, as measured, 0..90.
	Tilts []compass.Angle
	// Friction is the friction of a foot on its rail where there is no notch.
	Friction float64
}

const (
	longestM  = 100 // no stand of this trade is longer
	mostStops = 8   // front stops; the search for cuts tries them in every combination
)

// quantity is one of a frame's figures with its name and range.
type quantity struct {
	name        string
	value       float64
	least, most float64
}

// quantities lists a frame's single figures, which have a range whatever its
// kind.
func (f Frame) quantities() [13]quantity {
	return [...]quantity{
		{"the panel's length", f.PanelM, 0, longestM},
		{"the hinge's distance from the panel's front edge", f.HingeM, 0, longestM},
		{"the hinge's distance behind the panel", f.HingeOffsetM, -longestM, longestM},
		{"the fold's distance from the panel's front edge", f.FoldM, 0, longestM},
		{"the rails' length", f.RailM, 0, longestM},
		{"the front edge's height above the rails", f.FrontUpM, -longestM, longestM},
		{"the foot's contact behind the notch's front edge", f.ContactBackM, 0, longestM},
		{"the foot's contact below the rails' top", f.ContactDownM, -longestM, longestM},
		{"the notch's width", f.NotchWidthM, 0, longestM},
		{"the least wood between notches", f.LeastWoodM, 0, longestM},
		{"the leg's length", f.LegM, 0, longestM},
		{"the prop's foot behind the hinge", f.PropFootM, -longestM, longestM},
		{"the prop's foot above the hinge", f.PropFootUpM, -longestM, longestM},
	}
}

// err says that the figure is out of its range.
func (q quantity) err() error {
	if q.value >= q.least && q.value <= q.most {
		return nil
	}
	return fmt.Errorf("%s is %g m: it must lie between %g and %g m", q.name, q.value, q.least, q.most)
}

// listErr says which of a list of lengths is out of its range.
func listErr(name string, values []float64, least float64) error {
	for i, m := range values {
		if !(m >= least && m <= longestM) {
			return quantity{fmt.Sprintf("%s %d", name, i+1), m, least, longestM}.err()
		}
	}
	return nil
}

// Validate returns an error where a figure is outside its range. Whether the
// figures go together is for Problems to say.
func (f Frame) Validate() error {
	for _, q := range f.quantities() {
		if err := q.err(); err != nil {
			return err
		}
	}
	lists := cmp.Or(listErr("front stop", f.FrontsM, -longestM), listErr("notch", f.NotchesM, -longestM), listErr("prop length", f.PropsM, 0))
	switch {
	case lists != nil:
		return lists
	case f.Kind < Plain || f.Kind > Listed:
		return fmt.Errorf("a stand is of one of the kinds %v", kindNames)
	case !(f.Fold >= -60 && f.Fold <= 60):
		return fmt.Errorf("the panel's halves lie %g degrees apart: between -60 and 60 is a panel that folds", f.Fold)
	case f.FoldM > 0 && f.FoldM >= f.PanelM:
		return fmt.Errorf("the panel folds at %s, but is %s long", mm(f.FoldM), mm(f.PanelM))
	case !(f.Friction >= 0 && f.Friction <= 10):
		return fmt.Errorf("a friction of %g: it lies between 0 and 10, for wood on wood near 0.4", f.Friction)
	}
	return f.validateKind()
}

// validateKind checks what only one kind of stand needs.
func (f Frame) validateKind() error {
	switch {
	case f.Kind == Listed:
		for i, t := range f.Tilts {
			if !(t >= 0 && t <= 90) {
				return fmt.Errorf("tilt %d of the list is %g degrees: it must lie between 0 and 90", i+1, t)
			}
		}
	case f.Kind == Plain:
	case !(f.HingeM > 0 && f.HingeM <= f.PanelM):
		return fmt.Errorf("the hinge is %s along a panel of %s: it must lie on the panel, behind its front edge", mm(f.HingeM), mm(f.PanelM))
	case len(f.FrontsM) > mostStops:
		return fmt.Errorf("%d front stops: at most %d", len(f.FrontsM), mostStops)
	case f.Kind == Legs && !(f.LegM > 0):
		return fmt.Errorf("a stand on legs needs the length of a leg")
	case f.Kind == Prop && !(f.PropFootM > 0):
		return fmt.Errorf("the prop's foot must stand behind the hinge at the panel's front edge")
	}
	return nil
}

// stop is one stop of the panel's front edge.
type stop struct {
	index int // from 1; 0 where the frame names none
	atM   float64
}

// stops returns the frame's front stops; without any, the rails' front end.
func (f Frame) stops() []stop {
	if len(f.FrontsM) == 0 {
		return []stop{{}}
	}
	if f.Kind == Prop {
		return []stop{{1, f.FrontsM[0]}}
	}
	var all []stop
	for i, m := range f.FrontsM {
		all = append(all, stop{i + 1, m})
	}
	return all
}

// upperShare is the share of a folding panel's area in its upper half.
func (f Frame) upperShare() float64 {
	if f.FoldM == 0 {
		return 0
	}
	return (f.PanelM - f.FoldM) / f.PanelM
}

// halves returns the tilts of a panel's halves from the tilt that counts for
// the light, their mean by area.
func (f Frame) halves(tilt compass.Angle) (lower, upper compass.Angle) {
	if f.FoldM == 0 {
		return tilt, tilt
	}
	lower = tilt - f.Fold*compass.Angle(f.upperShare())
	return lower, lower + f.Fold
}

// hinge returns where the hinge lies in the lower half's coordinates, along it
// from the front edge and behind its back plane, when it is moved along its
// own half and away from it.
func (f Frame) hinge(alongM, behindM float64) (u, v float64) {
	u, v = f.HingeM+alongM, f.HingeOffsetM+behindM
	if f.FoldM == 0 || f.HingeM <= f.FoldM {
		return u, v
	}
	sin, cos := math.Sincos(f.Fold.Radians())
	beyond := u - f.FoldM
	return f.FoldM + beyond*cos + v*sin, v*cos - beyond*sin
}

// mm writes a length in whole millimetres.
func mm(m float64) string { return fmt.Sprintf("%.0f mm", math.Abs(math.Round(m*1000))*sign(m)) }

// sign keeps a rounded nothing from being written as minus nothing.
func sign(m float64) float64 {
	if m <= -0.0005 {
		return -1
	}
	return 1
}

// Problem is one thing of a frame that does not go together: the key of the
// rig file's [stand] that is at fault, and what is wrong and would be right.
type Problem struct{ Key, Text string }

// Problems returns what of a valid frame does not go together.
func (f Frame) Problems() []Problem {
	if f.Validate() != nil {
		return nil
	}
	switch f.Kind {
	case Legs:
		all := append(f.stopProblems(), f.notchProblems()...)
		return append(all, f.legProblems()...)
	case Prop:
		return f.propProblems()
	case Listed:
		if len(f.Tilts) == 0 {
			return []Problem{{"tilts", "a list of tilts without a tilt: name those that the stand can be set to"}}
		}
	}
	return nil
}

func (f Frame) stopProblems() (all []Problem) {
	for i, m := range f.FrontsM {
		if why := f.stopOffRail(m); why != "" {
			all = append(all, Problem{"front_stops", fmt.Sprintf("front stop %d: %s", i+1, why)})
		}
	}
	return all
}

// notchProblems are notches off the rail and notches too near to each other.
func (f Frame) notchProblems() (all []Problem) {
	say := func(format string, args ...any) {
		all = append(all, Problem{"notches_at", fmt.Sprintf(format, args...)})
	}
	for i, m := range f.NotchesM {
		if why := f.notchOffRail(m); why != "" {
			say("notch %d: %s", i+1, why)
		}
	}
	inOrder := slices.Sorted(slices.Values(f.NotchesM))
	for i := range max(len(inOrder)-1, 0) {
		if wood := inOrder[i+1] - inOrder[i] - f.NotchWidthM; wood < f.LeastWoodM-railSlack {
			say("the notches at %s and %s leave %s of wood between them: at least %s, so that the mouths begin %s apart",
				mm(inOrder[i]), mm(inOrder[i+1]), mm(max(wood, 0)), mm(f.LeastWoodM), mmUp(f.NotchWidthM+f.LeastWoodM))
		}
	}
	return all
}

// legProblems names what never meets: the leg from every pair, or a notch from
// all front stops. A stop that no notch goes with is only of no use.
func (f Frame) legProblems() (all []Problem) {
	settings := f.Settings()
	if len(settings) == 0 {
		return []Problem{{"notches_at", "a stand on legs without a notch: name where the feet stand"}}
	}
	reached := func(with func(Setting) bool) bool {
		return slices.ContainsFunc(settings, func(s Setting) bool { return s.Possible && with(s) })
	}
	if !reached(func(Setting) bool { return true }) {
		return []Problem{{"leg_length", "no pair of front stop and notch holds the panel up; " + f.bestLeg(settings)}}
	}
	for i := range f.NotchesM {
		mine := func(s Setting) bool { return s.Back == i+1 }
		if f.notchOffRail(f.NotchesM[i]) == "" && !reached(mine) {
			all = append(all, lonely(fmt.Sprintf("notch %d at %s goes with no front stop", i+1, mm(f.NotchesM[i])), settings, mine))
		}
	}
	return all
}

// lonely is the problem of a notch that no leg joins to a front stop, with what
// would do for the first of the pairs. Where that is another leg, the problem is
// the leg's.
func lonely(what string, settings []Setting, mine func(Setting) bool) Problem {
	key, why := "notches_at", settings[slices.IndexFunc(settings, mine)].Why
	if strings.Contains(why, "the leg is ") {
		key = "leg_length"
	}
	return Problem{key, what + "; " + why}
}

// bestLeg says which leg would do where none of the settings is possible: the
// range of the pair that asks for the least change.
func (f Frame) bestLeg(settings []Setting) string {
	nearest, words := math.Inf(1), settings[0].Why
	for _, s := range settings {
		t := f.triangle(s)
		least, most, any := t.sides()
		change := math.Max(least-f.LegM, f.LegM-most)
		if any && t.footBackM > 0 && f.offRail(s) == "" && change < nearest {
			nearest = change
			words = fmt.Sprintf("with the front edge at %s and the notch at %s, legs of %s to %s would: these are %s",
				mm(s.FrontM), mm(s.BackM), mmUp(least), mmDown(most), mm(f.LegM))
		}
	}
	return words
}

func (f Frame) propProblems() (all []Problem) {
	if len(f.PropsM) == 0 {
		return []Problem{{"prop_lengths", "a prop without a length: name those that it can be set to"}}
	}
	for _, s := range f.Settings() {
		if !s.Possible {
			all = append(all, Problem{"prop_lengths", fmt.Sprintf("prop length %d: %s", s.Back, s.Why)})
		}
	}
	return all
}
