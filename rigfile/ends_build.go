package rigfile

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"turnsole/compass"
	"turnsole/drive"
	"turnsole/stand"
	"turnsole/wiring"
)

// What a stand weighs whose parts nobody has weighed (common practice, no
// source). A light stand is the one that the wind takes, so these are low.
const (
	usualPanelKgM2 = 11.0 // framed, single glass, from memory
	usualStandKg   = 7.0
	usualDriveKg   = 3.0
)

// endFrame makes the geometry whole: kind, notches where the file has none, and
// what the wind sees.
func (d *draft) endFrame(s *scope) {
	f, b := &d.rig.Frame, &d.rig.Base
	f.PanelM = b.PanelLengthM
	f.Kind, _ = stand.KindNamed(d.frame.kind) // one of the choices of its key
	d.dropOtherKinds(s)
	switch {
	case f.Kind == stand.Listed && len(f.Tilts) == 0:
		d.clash(s, []string{"kind"}, `a listed stand needs its tilts: write for example tilts = [22, 38, 61]`)
		return
	case f.Kind == stand.Prop && f.PropFootM == 0:
		d.clash(s, []string{"kind"}, `a stand with a prop needs prop_foot, the distance from the front hinge back to the prop's lower pin: write for example prop_foot = "60 cm"`)
		return
	case f.FoldM >= f.PanelM && f.FoldM > 0:
		d.problem("panel.fold_at", d.rig.places["panel.fold_at"], "the panel is %.0f mm long and cannot fold at %.0f mm", f.PanelM*1000, f.FoldM*1000)
		return
	case f.HingeM > f.PanelM && f.Kind != stand.Listed:
		d.clash(s, []string{"hinge_at"}, "the hinge stands %.0f mm from the front edge of a panel that is %.0f mm long", f.HingeM*1000, f.PanelM*1000)
		return
	}
	if err := f.Validate(); err != nil {
		d.clash(s, []string{"kind"}, "%v", err)
		return
	}
	before := len(d.problems)
	d.cutUsual(s)
	if len(d.problems) > before {
		return
	}
	for _, p := range f.Problems() {
		d.clash(s, []string{p.Key}, "%s", p.Text)
	}
	d.endBase(s)
}

// dropOtherKinds takes back defaults that belong to another kind of stand.
func (d *draft) dropOtherKinds(s *scope) {
	legs := []string{"leg_length", "rail_length", "front_stops", "front_height", "notch_width", "contact_back", "contact_down", "least_wood", "rail_friction"}
	hinge := []string{"hinge_at", "hinge_offset"}
	switch d.rig.Frame.Kind {
	case stand.Prop:
		d.forgetAll(s, legs)
	case stand.Listed:
		d.forgetAll(s, slices.Concat(legs, hinge))
	}
}

func (d *draft) forgetAll(s *scope, keys []string) {
	for _, k := range keys {
		d.forget(s.of(k))
	}
}

// usualTilts are the tilts that a stand is cut for where nothing is said: its
// own, and the usual ones for the bright and the dark half of the year by the
// latitude (from memory: 0.93 of it less 21, and 0.875 of it plus 19.2).
func (d *draft) usualTilts() []compass.Angle {
	st := &d.rig.Stand
	latitude := 40.0
	if len(d.spots) > 0 {
		latitude = math.Abs(d.spots[0].Latitude.Degrees())
	}
	tilts := []compass.Angle{st.Tilt}
	for _, t := range []float64{0.93*latitude - 21, 0.875*latitude + 19.2} {
		tilt := compass.Angle(math.Round(t))
		tilt = min(max(tilt, st.Lowest, 10), st.Highest, 75)
		if !slices.ContainsFunc(tilts, func(o compass.Angle) bool { return math.Abs(float64(o-tilt)) < 5 }) {
			tilts = append(tilts, tilt)
		}
	}
	slices.Sort(tilts)
	return tilts
}

// cutUsual cuts notches, or sets a prop's lengths, where the file has none.
func (d *draft) cutUsual(s *scope) {
	f := &d.rig.Frame
	key := map[stand.Kind]string{stand.Legs: "notches_at", stand.Prop: "prop_lengths"}[f.Kind]
	if key == "" || s.has(key) {
		return
	}
	tilts := d.usualTilts()
	plan, err := f.CutFor(tilts)
	for len(tilts) > 1 && (err != nil || !gives(plan, d.rig.Stand.Tilt)) { // as many as its legs allow, its own tilt last
		drop := 0
		if tilts[0] == d.rig.Stand.Tilt {
			drop = len(tilts) - 1
		}
		tilts = slices.Delete(tilts, drop, drop+1)
		plan, err = f.CutFor(tilts)
	}
	if err != nil && !s.hasAny("kind", "leg_length", "rail_length", "hinge_at", "hinge_offset", "front_stops", "front_height") {
		d.listUsual(s)
		return
	}
	if err != nil {
		d.clash(s, []string{"leg_length", "rail_length", "hinge_at", "prop_foot", "tilt"}, "no notch fits the stand's tilt of %v degrees: %v", d.rig.Stand.Tilt.Degrees(), err)
		return
	}
	plan.Frame.RailM = f.RailM
	*f = plan.Frame
	at := f.NotchesM
	if f.Kind == stand.Prop {
		at = f.PropsM
	}
	d.rig.Assumed = append(d.rig.Assumed, Assumed{Key: s.of(key), Value: lengths(at), For: ForStand,
		Why: fmt.Sprintf("for tilts of %s degrees: the stand's own, and the usual ones for the bright and the dark half of the year (from memory); turnsole notches finds yours", angles(tilts))})
}

// gives reports whether a plan gives a tilt, to a degree.
func gives(plan stand.CutPlan, tilt compass.Angle) bool {
	return slices.ContainsFunc(plan.Cuts, func(c stand.Cut) bool {
		return c.Wanted == tilt && math.Abs(float64(c.Tilt-tilt)) < 1
	})
}

// listUsual takes a stand of unknown measures as it is said to be: set to its
// own tilt, which no usual legs can hold.
func (d *draft) listUsual(s *scope) {
	f := &d.rig.Frame
	f.Kind, f.Tilts = stand.Listed, []compass.Angle{d.rig.Stand.Tilt}
	d.forgetAll(s, []string{"kind"})
	d.dropOtherKinds(s)
	d.rig.Assumed = append(d.rig.Assumed, Assumed{Key: s.of("tilts"), Value: fmt.Sprintf("[%s]", angles(f.Tilts)), For: ForStand,
		Why: "the stand's own tilt; usual legs cannot hold it, and the file gives no measures"})
}

func lengths(all []float64) string {
	text := "["
	for i, l := range all {
		if i > 0 {
			text += ", "
		}
		text += mm(l)
	}
	return text + "]"
}

func angles(all []compass.Angle) (text string) {
	for i, a := range all {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%.3g", a.Degrees())
	}
	return text
}

// endBase gathers what the wind takes hold of and what weighs against it.
func (d *draft) endBase(s *scope) {
	b := &d.rig.Base
	b.PanelKg = d.weight("panel.mass", d.rig.PanelMassKg, usualPanelKgM2*b.PanelLengthM*b.PanelWidthM, "11 kg to the square metre, single glass in a frame, from memory")
	b.StandKg = d.weight("stand.mass", d.rig.StandMassKg, usualStandKg, "a light stand (common practice, no source)")
	b.StandCentreUpM = b.RailTopM / 2
	if footing, ok := stand.FootingNamed(d.frame.footing); ok {
		b.Friction = footing.Friction
	}
	if d.frame.friction != nil {
		b.Friction = *d.frame.friction
		d.forget(s.of("footing"))
	}
	if edge := b.EdgeM(); b.BallastRadiusM > edge {
		d.clash(s, []string{"ballast_radius"}, "the ballast would lie outside the base: the line from foot to foot passes %.0f mm from the axis; lay it within that", edge*1000)
	}
	if d.rig.Frame.Kind == stand.Legs && b.AxisM > d.rig.Frame.RailM {
		d.clash(s, []string{"axis_at"}, "the axis would stand %.0f mm behind the end of the rails, which are %.0f mm long", (b.AxisM-d.rig.Frame.RailM)*1000, d.rig.Frame.RailM*1000)
	}
}

// weight is a mass that the file gives, or a usual one.
func (d *draft) weight(key string, given *float64, usual float64, why string) float64 {
	if given != nil {
		return *given
	}
	usual = math.Round(usual*10) / 10
	d.rig.Assumed = append(d.rig.Assumed, Assumed{Key: key, Value: fmt.Sprintf("%g kg", usual), Why: why, For: ForWind})
	return usual
}

func (d *draft) endStage(s *scope) {
	stage := d.stageNow()
	stage.Kind, _ = drive.StageKindNamed(d.stage.kind) // one of the choices of its key
	set(&stage.Efficiency, d.stage.efficiency)
	d.stage.efficiency = nil
}

// endDrive makes the train whole.
func (d *draft) endDrive(s *scope) {
	t, a, b := &d.rig.Train, &d.rig.Axle, &d.rig.Base
	t.Stepper.CoilsOn = d.coils == "on"
	t.Stepper.RotorKgM2 = drive.DefaultTrain().Stepper.RotorKgM2
	if len(t.Stages) == 0 {
		t.Stages = drive.DefaultTrain().Stages
		stage := t.Stages[0]
		d.rig.Assumed = append(d.rig.Assumed, Assumed{Key: s.of("stage"), Value: fmt.Sprintf("%d:%d", stage.Driver, stage.Driven),
			Why: "a pair of spur gears that lets the usual motor turn the panel at the usual speed (common practice, no source)", For: ForDrive})
	}
	for _, p := range t.Problems() {
		if p.Grave {
			key := s.of(p.Key)
			if p.Stage > 0 {
				key = join(s.of("stage."+strconv.Itoa(p.Stage)), p.Key)
			}
			d.problem(key, d.placeOf(key, s), "%s", p.Text)
		}
	}
	moved := d.weight("drive.mass", d.rig.DriveMassKg, usualDriveKg, "bearing, motor, gears and controller of a small stand (common practice, no source)")
	b.StandKg += moved
	own, _ := d.rig.Frame.Nearest(d.rig.Stand.Tilt)
	a.PanelKg, a.WidthM, a.LengthM, a.Tilt = b.PanelKg, b.PanelWidthM, b.PanelLengthM, own.Tilt
	a.OffsetM = math.Abs(stand.Body{Base: *b, Frame: d.rig.Frame}.PanelBackM(own))
	set(&a.OffsetM, d.offAxis)
	if c := d.cable; len(c) == 2 {
		switch {
		case c[0] == c[1]:
			d.clash(s, []string{"cable_range"}, "from %v to %v is no range: write for example [45, 315]", c[0], c[1])
		case c[0] > c[1]:
			d.clash(s, []string{"cable_range"}, "the lower heading comes first: write [%v, %v], or count on past 360: [%v, %v]", c[1], c[0], c[0], c[1]+360)
		}
		d.rig.CableRange = &[2]float64{c[0], c[1]}
	}
}

// placeOf is where a key stands in the file, or else its section.
func (d *draft) placeOf(key string, s *scope) where {
	if at, given := d.rig.places[key]; given {
		return at
	}
	return s.table.at
}

// endWires takes the cables over and refuses fuses that do not guard them.
func (d *draft) endWires() {
	w := &d.rig.Wires
	for i := range d.loads {
		w.Loads = append(w.Loads, d.loads[i].wire)
	}
	check := func(section string, one *Wire) {
		if one.cable == nil {
			return
		}
		c := one.cable.Cable
		one.Cable = &c
		if carries := c.MaxAAt(wiring.WarmAirC); one.FuseA != nil && *one.FuseA > carries {
			key := join(section, "fuse")
			d.problem(key, d.rig.places[key], "a fuse of %g A lets a cable of %s burn, which carries %.3g A in air of %g C: take a fuse of %.3g A or less, or a thicker cable", *one.FuseA, c.Name, carries, wiring.WarmAirC, carries)
		}
	}
	check("panel", &w.Panel)
	check("battery", &w.Battery)
	check("drive", &w.Motor)
	check("controller", &w.Controller)
	for i := range w.Loads {
		check(join("load", d.loads[i].Name), &w.Loads[i])
	}
	d.rig.Sensor.VPerA = d.sensorMVPerA / 1000
}
