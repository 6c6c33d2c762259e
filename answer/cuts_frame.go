package answer

import (
	"fmt"
	"math"
	"slices"

	"turnsole/compass"
	"turnsole/stand"
)

// legs lists the pieces of a stand whose legs stand in notches.
func (j *joiner) legs() {
	f := j.rig.Frame
	barM := barFor(f.NotchWidthM)
	j.rails()
	j.add(j.batten("cross bar under the rails", 2, j.outer).with("one at each end of the rails, screwed from below; the legs swing above it"))
	reach := j.feet(barM)
	inner := j.outer - 2*j.wide // from rail to rail
	j.leg(barM, reach)
	if tie := inner - 2*besideM - 2*j.wide; tie > 0.04 {
		j.add(j.batten("tie between the legs", 1, tie).with(fmt.Sprintf("its middle %.0f mm from the legs' hinge, so that they cannot twist", 400*reach)))
	}
	j.panelBattens()
	j.add(Piece{Name: "foot bar", Count: 1, Material: Bar, LengthM: j.outer + 0.03, HeightM: barM, ThickM: barM,
		Remarks: []string{fmt.Sprintf("a round bar or tube of %.0f mm, which enters a notch of %.0f mm with play; sticks out 15 mm beyond each rail; a split pin or a screw keeps it in the legs", barM*1000, f.NotchWidthM*1000)}})
	j.list.Work = append(j.list.Work,
		"Clamp the two rails side by side, mark both together with a square, and cut every notch through both at once: a foot that touches one rail first twists the panel.",
		"Saw a notch's two walls first, 1 mm within the line, and pare to the line with a chisel. Its rear wall, towards the rails' rear end, takes the push: keep it upright and sharp.",
		"Bore the pieces of a pair together, clamped.",
		"Try the tilt with a plumb line or a level before you glue anything: the table says what each notch should give.")
}

// barFor is the thickest bar that is sold and enters a notch with 1 mm of play
// (common practice, no source).
func barFor(notchM float64) float64 {
	best := 6.0
	for _, mm := range []float64{8, 10, 12, 15, 16, 18, 20, 22, 25} {
		if mm <= notchM*1000-1+1e-9 {
			best = mm
		}
	}
	return best / 1000
}

func (p Piece) with(remarks ...string) Piece {
	p.Remarks = append(p.Remarks, remarks...)
	return p
}

// rails carry stops, notches and the turning plate.
func (j *joiner) rails() {
	f := j.rig.Frame
	rail := j.batten("rail", 2, f.RailM)
	rail.From, rail.OneToOne = "the front end", true
	for i, at := range f.FrontsM {
		if at >= pegM {
			rail.Marks = append(rail.Marks, Mark{Kind: HoleMark, Name: "peg", AtM: at - pegM/2, DiameterM: pegM, Upright: true})
		}
		rail.Marks = append(rail.Marks, Mark{Kind: StopMark, Name: stopName(i, len(f.FrontsM)), AtM: at})
	}
	for i, at := range f.NotchesM {
		rail.Marks = append(rail.Marks, Mark{Kind: NotchMark, Name: fmt.Sprintf("notch %d", i+1), AtM: at, WidthM: f.NotchWidthM, DepthM: f.ContactDownM,
			TouchM: [2]float64{f.ContactBackM, f.ContactDownM}})
	}
	rail.Marks = append(rail.Marks, Mark{Kind: LineMark, Name: "axle", AtM: j.rig.Base.AxisM})
	sortMarks(rail.Marks)
	rail.Remarks = []string{
		fmt.Sprintf("pegs of %.0f mm stand upright in front of the panel's front edge, their rear side at the stop's mark", pegM*1000),
		"\"axle\" is where the vertical axis passes between the rails; the turning plate lies under them with its middle there",
	}
	j.add(rail)
}

func stopName(i, of int) string {
	if of == 1 {
		return "front stop"
	}
	return fmt.Sprintf("front stop %d", i+1)
}

func sortMarks(marks []Mark) {
	slices.SortStableFunc(marks, func(a, b Mark) int { return int(math.Copysign(1, a.AtM-b.AtM)) })
}

// feet finds the distance from the legs' hinge to the middle of the foot bar,
// in whole millimetres, that gives the rig's own tilt, and what the other
// notches then give.
func (j *joiner) feet(barM float64) (reach float64) {
	f, r := j.rig.Frame, barM/2
	half := r // from the bar's middle to the rear wall
	if f.ContactDownM < r {
		half = math.Sqrt(max(0, r*r-(r-f.ContactDownM)*(r-f.ContactDownM)))
	}
	back, up := max(0, f.NotchWidthM-half), r-f.ContactDownM
	own := j.stand.Standing
	shape := f.ShapeAt(own)
	built := f
	built.ContactBackM, built.ContactDownM = back, -up
	built.LegM = wholeMM(math.Hypot(own.BackM+back-shape.Hinge[0], shape.Hinge[1]-up))
	j.compare(f, built)
	return built.LegM
}

// compare lists every setting as asked for and as built.
func (j *joiner) compare(asked, built stand.Frame) {
	as := built.Settings()
	for i, s := range asked.Settings() {
		if s.Possible && as[i].Possible {
			j.list.Tilts = append(j.list.Tilts, BuiltTilt{Setting: as[i], Asked: s.Tilt})
		}
	}
}

func (j *joiner) leg(barM, reach float64) {
	beyond, high := 0.025, j.high
	if off := j.rig.Frame.HingeOffsetM; off > 0.012 {
		beyond = min(beyond, off-0.002)
	}
	leg := j.batten("leg", 2, beyond+reach+high/2)
	leg.From, leg.OneToOne = "the hinge end", true
	leg.Marks = []Mark{
		{Kind: HoleMark, Name: "hinge bolt", AtM: beyond, DiameterM: j.boltM, DownM: high / 2},
		{Kind: HoleMark, Name: "foot bar", AtM: wholeMM(beyond + reach), DiameterM: barM, DownM: high / 2},
	}
	low, high2 := j.leans()
	leg.Remarks = []string{
		fmt.Sprintf("stands inside the rails with %.0f mm of air, and leans %.0f to %.0f degrees from upright", besideM*1000, low.Degrees(), high2.Degrees()),
		fmt.Sprintf("round the foot to a radius of %.0f mm about the bar, and the hinge end to %.0f mm about the bolt, so that it turns clear of the panel", high*500, beyond*1000),
	}
	leg.RoundM = min(beyond, high/2)
	j.add(leg)
}

// leans are the least and the greatest lean of the legs from upright.
func (j *joiner) leans() (low, high compass.Angle) {
	low = 90
	for _, t := range j.list.Tilts {
		lean := max(t.LegLean, -t.LegLean)
		low, high = min(low, lean), max(high, lean)
	}
	return min(low, high), high
}

// panelBattens lie along the panel above the rails. They begin where they clear
// the rails at the flattest tilt: at a distance u from the front edge there is
// room for u tan(tilt) of wood.
func (j *joiner) panelBattens() {
	f := j.rig.Frame
	flat := compass.Angle(90)
	for _, t := range j.list.Tilts {
		flat = min(flat, t.Asked)
	}
	clear := math.Inf(1)
	if tan := math.Tan(flat.Radians()); tan > 0 {
		clear = math.Ceil((j.high/tan+0.005)*200) / 200
	}
	start := min(clear, math.Floor(f.HingeM*0.5*200)/200)
	for _, part := range j.parts(start, f.PanelM-0.02) {
		b := j.batten(part.which+"panel batten", 2, part.toM-part.fromM).with(
			fmt.Sprintf("its front end %.0f mm behind the panel's front edge, its upper side against the panel's back; right above the rails, outside the legs", part.fromM*1000))
		b.From, b.OneToOne = "the front end", true
		if clear > start && part.fromM == start {
			left := max(0, start*math.Tan(flat.Radians())-0.003)
			b = b.with(fmt.Sprintf("slope its underside so that %.0f mm of wood are left at the front end and all of it from %.0f mm on: it must clear the rails at %.0f degrees", left*1000, 1000*(min(clear, f.PanelM)-start), flat.Degrees()))
		}
		j.add(j.bolted(b, part, "hinge bolt", f.HingeOffsetM))
	}
}

// foldGapM is what battens leave free on either side of a panel's fold (common
// practice, no source).
const foldGapM = 0.005

// part is what a batten takes of the panel's length, from its front edge.
type part struct {
	which      string // "lower " or "upper " of a folding panel
	fromM, toM float64
}

// parts are the lengths of panel along which battens lie: none bridges a fold.
func (j *joiner) parts(fromM, toM float64) []part {
	f := j.rig.Frame
	if f.FoldM == 0 {
		return []part{{"", fromM, toM}}
	}
	missing := func(format string, args ...any) {
		j.list.Missing = append(j.list.Missing, fmt.Sprintf(format, args...))
	}
	missing("What keeps the folding panel's halves as they stand, a catch or a strut across the fold, is not in the rig file: no batten here bridges the fold.")
	if off := math.Abs(f.HingeM - f.FoldM); off < foldGapM+2*j.boltM {
		missing("The hinge, %.0f mm from the front edge, lies on the panel's fold: no batten can carry its bolt. Set hinge_at %.0f mm or more from fold_at.", f.HingeM*1000, math.Ceil((foldGapM+2*j.boltM)*1000))
	}
	return []part{{"lower ", fromM, wholeMM(f.FoldM - foldGapM)}, {"upper ", wholeMM(f.FoldM + foldGapM), toM}}
}

// bolted marks the hole for the hinge on the batten that carries it, and says
// how a batten is fixed.
func (j *joiner) bolted(b Piece, of part, name string, downM float64) Piece {
	b = b.with("screw it to the panel's frame only, with short screws: one that touches glass or cells ends the panel")
	switch at := j.rig.Frame.HingeM; {
	case at < of.fromM || at > of.toM:
	case downM < j.boltM || downM > j.high-j.boltM:
		b = b.with(fmt.Sprintf("the hinge's axis, %.0f mm behind the panel, lies outside this batten: carry the bolt on a steel angle", downM*1000))
	default:
		b.Marks = []Mark{{Kind: HoleMark, Name: name, AtM: wholeMM(at - of.fromM), DiameterM: j.boltM, DownM: downM}}
	}
	return b
}

// prop lists the pieces of a hinged frame with a prop of adjustable length.
func (j *joiner) prop() {
	f := j.rig.Frame
	front := 0.03
	if len(f.FrontsM) > 0 {
		front = f.FrontsM[0]
	}
	side := j.batten("base side", 2, max(j.rig.Base.AxisM, front+f.PropFootM)+0.06)
	side.From, side.OneToOne = "the front end", true
	side.Marks = []Mark{
		{Kind: LineMark, Name: "front hinge", AtM: front},
		{Kind: LineMark, Name: "axle", AtM: j.rig.Base.AxisM},
	}
	side.Remarks = []string{"the front hinge's pin lies on its upper edge, under the panel's front edge; the turning plate lies under both sides with its middle at \"axle\""}
	pin := Mark{Kind: HoleMark, Name: "prop's pin", AtM: wholeMM(front + f.PropFootM), DiameterM: j.boltM, DownM: -f.PropFootUpM}
	if pin.DownM < j.boltM || pin.DownM > j.high-j.boltM {
		pin = Mark{Kind: LineMark, Name: pin.Name, AtM: pin.AtM}
		side.Remarks = append(side.Remarks, fmt.Sprintf("carry the prop's pin on a steel angle, its middle %.0f mm %s the upper edge", math.Abs(f.PropFootUpM)*1000, map[bool]string{true: "below", false: "above"}[f.PropFootUpM < 0]))
	}
	side.Marks = append(side.Marks, pin)
	sortMarks(side.Marks)
	j.add(side)
	j.add(j.batten("cross bar under the base sides", 2, j.outer).with("one at each end, screwed from below"))
	j.hingedFrame()
	j.props()
	j.compare(f, f)
	j.list.Work = append(j.list.Work,
		"Bore the sides of a pair together, clamped: both hinge axes must be in one line.",
		"Bore the props clamped together, from the upper pin down, and try each tilt with a level.")
}

func (j *joiner) hingedFrame() {
	f := j.rig.Frame
	for _, part := range j.parts(0, f.PanelM) {
		side := j.batten(part.which+"side of the hinged frame", 2, part.toM-part.fromM).with("its upper side lies against the panel's back")
		side.From, side.OneToOne = "the front end", true
		if part.fromM == 0 {
			side = side.with("the front end turns on the base's front hinge")
		} else {
			side = side.with(fmt.Sprintf("its front end %.0f mm behind the panel's front edge", part.fromM*1000))
		}
		j.add(j.bolted(side, part, "prop's hinge", min(max(f.HingeOffsetM, j.boltM), j.high-j.boltM)))
	}
	j.add(j.batten("cross bar of the hinged frame", 2, j.outer-2*j.wide).with("between the sides, one near each end"))
}

func (j *joiner) props() {
	lengths := slices.Sorted(slices.Values(j.rig.Frame.PropsM))
	if len(lengths) == 0 {
		return
	}
	const end = 0.025 // from a pin to the wood's end
	p := j.batten("prop", 2, lengths[len(lengths)-1]+2*end)
	p.From, p.OneToOne = "the upper end", true
	p.Marks = []Mark{{Kind: HoleMark, Name: "upper pin", AtM: end, DiameterM: j.boltM, DownM: j.high / 2}}
	for i, m := range lengths {
		p.Marks = append(p.Marks, Mark{Kind: HoleMark, Name: fmt.Sprintf("length %d", i+1), AtM: wholeMM(end + m), DiameterM: j.boltM, DownM: j.high / 2})
	}
	for i := 1; i < len(lengths); i++ {
		if lengths[i]-lengths[i-1] < 3*j.boltM {
			p.Remarks = append(p.Remarks, fmt.Sprintf("lengths %d and %d are only %.0f mm apart: make the prop of steel strip", i, i+1, 1000*(lengths[i]-lengths[i-1])))
		}
	}
	p.RoundM = min(end, j.high/2)
	p.Remarks = append([]string{"one at each side, between the base sides; a hole is set on the prop's pin, the upper pin stays"}, p.Remarks...)
	j.add(p)
}
