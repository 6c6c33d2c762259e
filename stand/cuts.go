package stand

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"turnsole/compass"
)

// Cut is a wanted tilt and what gives it.
type Cut struct {
	Wanted compass.Angle
	// Front is the front stop, Back the notch, prop length or entry of the list
	// in the plan's frame, from 1; 0 where there is none.
	Front, Back int
	// NotchM is where the notch's mouth begins, from the rails' front end, and
	// PropM the prop's length, in whole millimetres.
	NotchM, PropM float64
	Exact         float64       // NotchM or PropM before it was rounded; where tilts share a notch, that of their mean
	Tilt          compass.Angle // what the cut as rounded gives
	Error         compass.Angle // as in Setting
	ErrorOf       string
}

// CutPlan is where to cut for wanted tilts.
type CutPlan struct {
	Frame  Frame    // with the new notches or prop lengths, in rising order
	Cuts   []Cut    // one for each wanted tilt, in the order asked for
	RailM  float64  // length of rail that the plan needs, in whole millimetres; 0 without notches
	WoodM  float64  // least wood between two neighbouring mouths; infinite where there is one notch
	Merged []string // which tilts share a notch, and why
}

const mostCuts = 12 // wanted tilts

// CutFor turns 1 to 12 wanted tilts into whole millimetres: notches that leave
// LeastWoodM between their mouths and behind the last, on the rail, with the
// fewest of the frame's front stops that make them fit and then the most wood
// between the nearest two; or lengths of the prop. Where nothing else fits,
// neighbouring tilts share a notch, and Merged says so. A list gives its
// nearest tilts, a plain stand the tilts as wanted. The error says which leg
// or rail would do.
func (f Frame) CutFor(tilts []compass.Angle) (CutPlan, error) {
	if err := f.Validate(); err != nil {
		return CutPlan{}, err
	}
	if len(tilts) < 1 || len(tilts) > mostCuts {
		return CutPlan{}, fmt.Errorf("%d tilts to cut for: between 1 and %d", len(tilts), mostCuts)
	}
	for _, t := range tilts {
		if !(t >= 0 && t <= 90) {
			return CutPlan{}, fmt.Errorf("a tilt of %s: it must lie between 0 and 90", degrees(t))
		}
	}
	switch f.Kind {
	case Legs:
		return f.cutNotches(tilts)
	case Prop:
		return f.cutProps(tilts)
	case Listed:
		return f.pickListed(tilts)
	}
	plan := CutPlan{Frame: f, WoodM: math.Inf(1)}
	for _, t := range tilts {
		plan.Cuts = append(plan.Cuts, Cut{Wanted: t, Tilt: t})
	}
	return plan, nil
}

// pickListed takes the nearest of the list's tilts.
func (f Frame) pickListed(tilts []compass.Angle) (CutPlan, error) {
	if len(f.Tilts) == 0 {
		return CutPlan{}, errors.New("the list has no tilts to choose from")
	}
	plan := CutPlan{Frame: f, WoodM: math.Inf(1)}
	users := make([][]compass.Angle, len(f.Tilts))
	for _, want := range tilts {
		best := 0
		for i, t := range f.Tilts {
			if math.Abs(float64(t-want)) < math.Abs(float64(f.Tilts[best]-want)) {
				best = i
			}
		}
		plan.Cuts = append(plan.Cuts, Cut{Wanted: want, Back: best + 1, Tilt: f.Tilts[best]})
		users[best] = append(users[best], want)
	}
	for i, want := range users {
		if want = distinct(want); len(want) > 1 {
			plan.Merged = append(plan.Merged, fmt.Sprintf("%s share the listed %s: the list has nothing nearer", tiltList(want), degrees(f.Tilts[i])))
		}
	}
	return plan, nil
}

// cutProps gives each tilt its length of the prop.
func (f Frame) cutProps(tilts []compass.Angle) (CutPlan, error) {
	plan := CutPlan{WoodM: math.Inf(1)}
	for _, want := range tilts {
		exact, err := f.PropOf(want)
		if err != nil {
			return CutPlan{}, err
		}
		prop, _ := whole(exact, func(m float64) bool { return f.set(Setting{FrontM: f.stops()[0].atM, PropM: m}).Possible })
		plan.Cuts = append(plan.Cuts, Cut{Wanted: want, Exact: exact, PropM: prop})
	}
	f.PropsM = nil
	for _, c := range plan.Cuts {
		f.PropsM = append(f.PropsM, c.PropM)
	}
	slices.Sort(f.PropsM)
	f.PropsM = slices.Compact(f.PropsM)
	plan.Frame = f
	front := f.stops()[0]
	for i := range plan.Cuts {
		c := &plan.Cuts[i]
		c.Front, c.Back = front.index, slices.Index(f.PropsM, c.PropM)+1
		c.describe(f.set(Setting{FrontM: front.atM, PropM: c.PropM}))
	}
	return plan, nil
}

func (c *Cut) describe(s Setting) { c.Tilt, c.Error, c.ErrorOf = s.Tilt, s.Error, s.ErrorOf }

// seat is one notch that gives a tilt: from one front stop.
type seat struct {
	stop
	exactM, notchM float64 // as computed, and in whole millimetres
}

// cutNotches gives each tilt its notch, sharing where they do not fit.
func (f Frame) cutNotches(tilts []compass.Angle) (CutPlan, error) {
	var groups []group
	for _, t := range distinct(tilts) {
		seats := f.seats(t)
		if len(seats) == 0 {
			return CutPlan{}, f.noSeat(t)
		}
		groups = append(groups, group{tilts: []compass.Angle{t}, seats: seats})
	}
	s := search{pitchM: f.NotchWidthM + f.LeastWoodM}
	chosen := s.choose(groups)
	for chosen == nil && len(groups) > 1 {
		groups, chosen = f.merge(&s, groups)
	}
	if chosen == nil {
		return CutPlan{}, errors.New("no arrangement of these notches fits on the rail: fewer tilts, or a longer rail")
	}
	return f.planOf(tilts, groups, chosen), nil
}

// seats returns a tilt's notches from every front stop that has one on the
// rail, with enough wood behind it for the push of the foot.
func (f Frame) seats(tilt compass.Angle) []seat {
	var all []seat
	for _, s := range f.stops() {
		exact, err := f.NotchOf(s.atM, tilt)
		if err != nil {
			continue
		}
		notch, ok := whole(exact, func(m float64) bool {
			return (f.RailM == 0 || f.railFor(m) <= f.RailM+railSlack) && f.set(Setting{FrontM: s.atM, BackM: m}).Possible
		})
		if ok {
			all = append(all, seat{s, exact, notch})
		}
	}
	return all
}

// railFor is the rail that a notch needs.
func (f Frame) railFor(notchM float64) float64 { return notchM + f.NotchWidthM + f.LeastWoodM }

// noSeat says why a tilt has no notch, and what would give it one.
func (f Frame) noSeat(tilt compass.Angle) error {
	rail, leg := math.Inf(1), 0.0
	var first error
	for _, s := range f.stops() {
		notch, err := f.NotchOf(s.atM, tilt)
		if s.atM < 0 {
			err = errors.New(f.stopOffRail(s.atM))
		}
		if err != nil {
			first = err
			continue
		}
		if notch >= 0 {
			rail = math.Min(rail, math.Max(s.atM, f.railFor(math.Round(notch*1000)/1000)))
		}
		leg = math.Max(leg, f.legFor(s.atM, tilt))
	}
	switch {
	case math.IsInf(rail, 1) && first != nil:
		return first
	case math.IsInf(rail, 1):
		return fmt.Errorf("%s needs a notch in front of the rail: a longer leg, or a front stop further back", degrees(tilt))
	case f.RailM == 0 || rail <= f.RailM:
		return fmt.Errorf("no notch in whole millimetres gives %s: a front stop a little further back or forward", degrees(tilt))
	case leg > 0:
		return fmt.Errorf("%s needs a rail of %s, this one has %s; with this rail a leg of at most %s would do, these have %s",
			degrees(tilt), mmUp(rail), mm(f.RailM), mmDown(leg), mm(f.LegM))
	}
	return fmt.Errorf("%s needs a rail of %s, this one has %s", degrees(tilt), mmUp(rail), mm(f.RailM))
}

// legFor is the leg that gives a tilt from the last notch that the rail can
// hold, where that stands behind the hinge; otherwise 0.
func (f Frame) legFor(frontM float64, tilt compass.Angle) float64 {
	lower, _ := f.halves(tilt)
	hinge := f.place(frontM, lower)
	back := f.RailM - f.railFor(0) + f.ContactBackM - hinge[0]
	if f.stopOffRail(frontM) != "" || back <= 0 {
		return 0
	}
	return math.Hypot(back, hinge[1]+f.ContactDownM)
}

// planOf writes down the seats chosen for groups of tilts.
func (f Frame) planOf(tilts []compass.Angle, groups []group, chosen []seat) CutPlan {
	plan := CutPlan{WoodM: math.Inf(1)}
	f.NotchesM = nil
	for _, s := range chosen {
		f.NotchesM = append(f.NotchesM, s.notchM)
		plan.RailM = math.Max(plan.RailM, math.Max(s.atM, f.railFor(s.notchM)))
	}
	slices.Sort(f.NotchesM)
	f.NotchesM = slices.Compact(f.NotchesM)
	for i := range len(f.NotchesM) - 1 {
		plan.WoodM = math.Min(plan.WoodM, f.NotchesM[i+1]-f.NotchesM[i]-f.NotchWidthM)
	}
	plan.Frame, plan.RailM = f, math.Ceil(plan.RailM*1000-1e-6)/1000
	for _, want := range tilts {
		i := slices.IndexFunc(groups, func(g group) bool { return slices.Contains(g.tilts, want) })
		s := chosen[i]
		c := Cut{Wanted: want, Front: s.index, Back: slices.Index(f.NotchesM, s.notchM) + 1, NotchM: s.notchM, Exact: s.exactM}
		c.describe(f.set(Setting{FrontM: s.atM, BackM: s.notchM}))
		plan.Cuts = append(plan.Cuts, c)
	}
	for i, g := range groups {
		if len(g.tilts) > 1 {
			plan.Merged = append(plan.Merged, fmt.Sprintf("%s share the notch at %s: with notches of their own less than %s of wood would be left",
				tiltList(g.tilts), mm(chosen[i].notchM), mm(f.LeastWoodM)))
		}
	}
	return plan
}

// whole rounds a length to the nearest whole millimetre that is possible: a
// cut for a tilt of 90 degrees must not be rounded past it.
func whole(exactM float64, possible func(m float64) bool) (m float64, ok bool) {
	nearest, down, up := math.Round(exactM*1000), math.Floor(exactM*1000), math.Ceil(exactM*1000)
	for _, n := range []float64{nearest, down, up} {
		if possible(n / 1000) {
			return n / 1000, true
		}
	}
	return nearest / 1000, false
}

// distinct returns the tilts in rising order, each once.
func distinct(tilts []compass.Angle) []compass.Angle {
	return slices.Compact(slices.Sorted(slices.Values(tilts)))
}

// tiltList writes "35, 38 and 40.5 degrees".
func tiltList(tilts []compass.Angle) string {
	var words []string
	for _, t := range tilts {
		words = append(words, strings.TrimSuffix(degrees(t), " degrees"))
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last] + " degrees"
}
