// Package drawing draws the stand, the sky over it and the year as a carpenter
// would: ink lines, hatched timber, dimensions in whole millimetres, and the
// sun and its rays as the only warm accent.
//
// Every function returns a picture of the width and height asked for, in mm,
// sensible from 50 by 40 up; nothing runs off it and no letters cover each
// other. Where there is little room, the lesser labels are left out.
package drawing

import (
	"fmt"
	"math"
	"slices"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/compass"
)

// Side draws the stand from its right side, the heading to the left, at one of
// its settings, with stop, notch, leg, tilt and heights; an index that is none
// gives the stand's own tilt. A setting that is not possible is drawn as far as
// it goes, and says why it is not.
func Side(s *answer.Stand, i int, width, height float64) *chart.Picture {
	return drawSide(s, settingOf(s, i), width, height)
}

// SideAt is Side at a tilt, 0..90 degrees, for which a notch or a length of the
// prop may still have to be made.
func SideAt(s *answer.Stand, tilt compass.Angle, width, height float64) *chart.Picture {
	return drawSide(s, settingFor(s, tilt), width, height)
}

// SmallSide is Side without dimensions: panel, legs, rail and tilt. All small
// sides of a stand of one size have one scale.
func SmallSide(s *answer.Stand, i int, width, height float64) *chart.Picture {
	p := poseOf(s, settingOf(s, i))
	world := p.world(0.35)
	for _, one := range s.Settings {
		if one.Possible {
			other := poseOf(s, one)
			w := other.world(0.35)
			world.take(chart.Point{X: w.x0, Y: w.y0}, chart.Point{X: w.x1, Y: w.y1})
		}
	}
	sc := newScribe(width, height, p.name(), p.describe())
	top := sc.caption(p.name(), p.why()...)
	d := &sideView{scribe: sc, pose: p, below: top, sunAway: 0.35, view: fit(world, extent{3, top + 2.5, width - 3, height - 6})}
	d.parts()
	d.figure()
	sc.scaleBar(3, height-2.6, width/4, d.mm)
	return sc.Picture
}

func (p *pose) describe() string {
	words := fmt.Sprintf("The stand from its right side, heading to the left, %s.", p.name())
	for _, why := range p.why() {
		words += " " + why
	}
	return words
}

// sideView is a side view in the making.
type sideView struct {
	*scribe
	pose
	view
	below   float64 // the caption, mm of paper
	sunAway float64 // panel lengths
}

func drawSide(s *answer.Stand, one answer.StandSetting, width, height float64) *chart.Picture {
	p := poseOf(s, one)
	sc := newScribe(width, height, p.name(), p.describe())
	top := sc.caption(p.name(), p.why()...)
	full := width >= 95 && height >= 75
	paper := extent{3, top + 3, width - 3, height - 6}
	if full {
		paper = extent{8, top + 3, width - 22, height - 15 - p.runningRoom()}
	}
	d := &sideView{scribe: sc, pose: p, below: top, sunAway: 0.5, view: fit(p.world(0.5), paper)}
	d.parts()
	if full {
		d.running()
		d.heights()
	}
	d.leg()
	d.figure()
	d.labels()
	sc.scaleBar(3, height-2.6, width/4, d.mm)
	return sc.Picture
}

// world is all that must be seen; the sun stands so many panel lengths off.
func (p *pose) world(sunAway float64) extent {
	w := nothing()
	w.take(chart.Point{X: min(p.railFrom, p.front.X-stopM), Y: 0}, chart.Point{X: p.railTo, Y: p.railY})
	feet, _ := p.feet()
	for _, f := range feet {
		w.take(chart.Point{X: p.axis + f.X - 0.04, Y: 0}, chart.Point{X: p.axis + f.X + 0.04, Y: 0})
	}
	if r := p.Body.BallastRadiusM + ballastM/2; p.Body.BallastKg > 0 {
		w.take(chart.Point{X: p.axis - r, Y: 0}, chart.Point{X: p.axis + r, Y: 0})
	}
	if p.unknown {
		return w
	}
	if p.apart {
		h, l := distance(p.hinge, p.front), min(p.legM(), p.Frame.PanelM)
		w.take(chart.Point{X: p.front.X, Y: p.front.Y + 0.8*h}, chart.Point{X: p.foot.X, Y: p.foot.Y + l}, p.top)
		return w
	}
	w.take(p.front, p.fold, p.top)
	if p.jointed {
		w.take(p.hinge, p.foot)
	}
	w.take(p.sunAt(sunAway))
	return w
}

// normal is the unit step out of the panel's face.
func (p *pose) normal() chart.Point {
	return chart.Point{X: -p.one.Tilt.Sin(), Y: p.one.Tilt.Cos()}
}

// middle is the middle of the panel's length, on its back.
func (p *pose) middle() chart.Point {
	lower, upper := distance(p.front, p.fold), distance(p.fold, p.top)
	if half := (lower + upper) / 2; half < lower {
		return between(p.front, p.fold, half/lower)
	}
	return between(p.fold, p.top, (upper-lower)/2/upper)
}

func (p *pose) sunAt(away float64) chart.Point {
	return off(p.middle(), p.normal(), away*p.Frame.PanelM)
}

// parts draws the stand itself, the hindmost first.
func (d *sideView) parts() {
	d.ground()
	d.base()
	d.rail()
	foot, head := d.to(chart.Point{X: d.axis}), d.to(chart.Point{X: d.axis, Y: d.railY})
	d.Line(chart.Point{X: foot.X, Y: foot.Y + 2}, chart.Point{X: head.X, Y: head.Y - 3}, centred)
	if d.unknown {
		return
	}
	if d.apart {
		d.miss()
		return
	}
	d.stop()
	d.strut()
	d.panel()
	d.light()
	d.tilt()
}

var (
	edge    = chart.Style{Stroke: chart.Pen, Width: chart.Medium, Fill: chart.Paper}
	hidden  = chart.Style{Stroke: chart.Pencil, Width: chart.Thin, Dash: []float64{2, 1}}
	centred = chart.Style{Stroke: chart.Pencil, Width: chart.Thin, Dash: []float64{4, 0.8, 0.6, 0.8}}
)

// ground is the line that everything stands on.
func (d *sideView) ground() {
	y := d.to(chart.Point{}).Y
	x0, x1 := 2.0, d.Width-2
	d.Line(chart.Point{X: x0, Y: y}, chart.Point{X: x1, Y: y}, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	for x := x0 + 1.5; x <= x1; x += 2.2 {
		d.Line(chart.Point{X: x, Y: y}, chart.Point{X: x - 1.1, Y: y + 1.1}, chart.Style{Stroke: chart.Pencil, Width: chart.Hair})
	}
	d.keepArea(x0, y-0.2, x1-x0, 1.4)
}

// block draws an upright rectangle of timber, by its corners in metres.
func (d *sideView) block(x0, y0, x1, y1 float64) {
	a, b := d.to(chart.Point{X: x0, Y: y0}), d.to(chart.Point{X: x1, Y: y1})
	if b.X-a.X < 0.2 || a.Y-b.Y < 0.2 {
		return
	}
	d.Wood(a, chart.Point{X: b.X, Y: a.Y}, b, chart.Point{X: a.X, Y: b.Y})
	d.keepArea(a.X, b.Y, b.X-a.X, a.Y-b.Y)
}

// base is feet, foot beam, post and the axis that all turns about.
func (d *sideView) base() {
	feet, _ := d.feet()
	least, most := 0.0, 0.0
	for _, f := range feet {
		least, most = min(least, f.X), max(most, f.X)
	}
	under := d.railY - d.railThick
	beam := max(min(0.045, 0.4*under), 0.8/d.mm)
	d.block(d.axis-postThickM/2, beam, d.axis+postThickM/2, under)
	d.block(d.axis+least-0.04, 0, d.axis+most+0.04, beam)
	if d.Body.BallastKg > 0 {
		d.ballast(beam)
	}
}

func (d *sideView) ballast(beam float64) {
	r := d.Body.BallastRadiusM
	for _, x := range []float64{-r, r} {
		a, b := d.to(chart.Point{X: d.axis + x - ballastM/2, Y: beam}), d.to(chart.Point{X: d.axis + x + ballastM/2, Y: beam + 0.05})
		d.Rect(a.X, b.Y, b.X-a.X, a.Y-b.Y, chart.Style{Stroke: chart.Pen, Width: chart.Thin, Fill: chart.Shade, Hatch: chart.Hatch{Gap: 0.9, Turn: 45}})
	}
}

// rail is the rail with its notches, and what the panel's edge stands against.
func (d *sideView) rail() {
	top, bottom := d.railY, d.railY-d.railThick
	f := d.Frame
	corners := []chart.Point{{X: d.railFrom, Y: bottom}, {X: d.railFrom, Y: top}}
	if d.OnLegs() {
		for _, m := range d.notches() {
			down := top - max(f.ContactDownM, 0.2*d.railThick)
			corners = append(corners, chart.Point{X: m, Y: top}, chart.Point{X: m, Y: down},
				chart.Point{X: m + f.NotchWidthM, Y: down}, chart.Point{X: m + f.NotchWidthM, Y: top})
		}
	}
	corners = append(corners, chart.Point{X: d.railTo, Y: top}, chart.Point{X: d.railTo, Y: bottom})
	paper := make([]chart.Point, len(corners))
	for i, q := range corners {
		paper[i] = d.to(q)
	}
	d.Wood(paper...)
	a, b := d.to(corners[1]), d.to(corners[len(corners)-1])
	d.keepArea(a.X, a.Y, b.X-a.X, b.Y-a.Y)
}

// notches are the mouths on the rail, from its front end, one after another.
func (d *sideView) notches() (mouths []float64) {
	f := d.Frame
	mouths = append(mouths, f.NotchesM...)
	if d.one.Back == 0 && d.jointed {
		mouths = []float64{d.one.BackM}
	}
	slices.Sort(mouths)
	end := d.railFrom
	var clear []float64
	for _, m := range mouths {
		if m >= end && m+f.NotchWidthM <= d.railTo {
			clear, end = append(clear, m), m+f.NotchWidthM
		}
	}
	return clear
}

// plank is a bar between two points of paper, to one side of the line.
func plank(a, b chart.Point, right, left float64) [4]chart.Point {
	u := toward(a, b)
	side := chart.Point{X: -u.Y, Y: u.X}
	return [4]chart.Point{off(a, side, right), off(b, side, right), off(b, side, -left), off(a, side, -left)}
}

// strut is the leg or prop, from hinge to foot.
func (d *sideView) strut() {
	if !d.jointed {
		if !d.measured() {
			a := d.to(between(d.front, d.top, 0.7))
			b := chart.Point{X: a.X, Y: d.to(chart.Point{Y: d.railY}).Y}
			d.Line(a, b, hidden)
			d.keepOff(a, b)
		}
		return
	}
	a, b := d.to(d.hinge), d.to(d.foot)
	half := max(legThickM*d.mm, 0.9) / 2
	bar := plank(a, b, half, half)
	if d.one.Possible {
		d.Wood(bar[:]...)
	} else {
		d.Polygon(bar[:], hidden)
	}
	d.taken = append(d.taken, quad(bar))
	lower := compass.Angle(d.lower())
	root := chart.Point{X: d.hinge.X - d.Frame.HingeOffsetM*lower.Sin(), Y: d.hinge.Y + d.Frame.HingeOffsetM*lower.Cos()}
	d.Line(a, d.to(root), chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	d.Circle(a.X, a.Y, max(half*0.5, 0.4), edge)
	if d.Propped() {
		d.Circle(b.X, b.Y, max(half*0.5, 0.4), edge)
	}
}

// panel is the panel, both halves where it folds, and the stop before it.
func (d *sideView) panel() {
	thick := max(panelThickM*d.mm, 0.8)
	style := chart.Style{Stroke: chart.Pen, Width: chart.Thick, Fill: chart.Shade}
	if !d.one.Possible {
		style = chart.Style{Stroke: chart.Pencil, Width: chart.Medium, Dash: []float64{2, 1}}
	}
	a, f, t := d.to(d.front), d.to(d.fold), d.to(d.top)
	if d.Frame.FoldM > 0 {
		half := plank(a, f, 0, thick)
		d.Polygon(half[:], style)
		d.taken = append(d.taken, quad(half))
	}
	half := plank(f, t, 0, thick)
	d.Polygon(half[:], style)
	d.taken = append(d.taken, quad(half))
}

// stop is what the front edge stands against: a block before it, or a bearer
// under it where it is held above the rails.
func (d *sideView) stop() {
	if !d.measured() {
		return
	}
	a, q := d.to(chart.Point{X: d.front.X, Y: d.railY}), d.to(d.front)
	wide, high := max(stopM*d.mm, 0.8), max(stopM*d.mm, 0.8)
	if a.Y-q.Y > 0.3 {
		d.Wood(chart.Point{X: a.X - wide, Y: a.Y}, chart.Point{X: a.X - wide, Y: q.Y}, chart.Point{X: a.X + wide, Y: q.Y}, chart.Point{X: a.X + wide, Y: a.Y})
		d.keepArea(a.X-wide, q.Y, 2*wide, a.Y-q.Y)
		return
	}
	d.Section(chart.Point{X: a.X - wide, Y: a.Y}, chart.Point{X: a.X - wide, Y: a.Y - high}, chart.Point{X: a.X, Y: a.Y - high}, chart.Point{X: a.X, Y: a.Y})
}

// light is the sun that this tilt faces squarely, and its ray.
func (d *sideView) light() {
	n := chart.Point{X: d.normal().X, Y: -d.normal().Y}
	middle := off(d.to(d.middle()), n, max(panelThickM*d.mm, 0.8)+0.3)
	far := d.to(d.sunAt(d.sunAway))
	long := distance(middle, far)
	radius := min(max(long/9, 0.8), 2)
	at := off(middle, n, long-2*radius)
	d.Arrow([]chart.Point{off(at, n, -2.2*radius), middle}, chart.Style{Stroke: chart.Light, Width: chart.Medium})
	d.keepOff(at, middle)
	along, side := off(middle, chart.Point{X: -n.Y, Y: n.X}, 1.6), off(middle, n, 1.6)
	corner := off(along, n, 1.6)
	d.Polyline([]chart.Point{along, corner, side}, chart.Style{Stroke: chart.Light})
	d.sun(at, radius)
}

// lower is the tilt at the front edge.
func (d *sideView) lower() float64 {
	if d.one.Lower == 0 && !d.one.Possible {
		return float64(d.one.Tilt)
	}
	return float64(d.one.Lower)
}

// arcRadius is that of the tilt's arc, mm.
func (d *sideView) arcRadius() float64 {
	longer := max(distance(d.front, d.fold), distance(d.fold, d.top)) * d.mm
	return max(min(0.3*d.Frame.PanelM*d.mm, 16, 0.8*longer, d.Width-margin-4-d.to(d.front).X), 0.5)
}

// tilt is the angle at the front edge.
func (d *sideView) tilt() {
	a, lower, r := d.to(d.front), d.lower(), d.arcRadius()
	if lower > 1 {
		d.Line(a, chart.Point{X: min(a.X+r+3, d.Width-margin), Y: a.Y}, chart.Style{Stroke: chart.Pencil})
		d.AngleMark(a, -lower, 0, r, "")
		sin, cos := math.Sincos(lower / 2 * math.Pi / 180)
		d.keepOff(chart.Point{X: a.X + r, Y: a.Y}, chart.Point{X: a.X + r*cos, Y: a.Y - r*sin})
	}
}

// figure is the tilt's figure, at its arc.
func (d *sideView) figure() {
	if d.unknown || d.apart {
		return
	}
	a, lower, r := d.to(d.front), d.lower(), d.arcRadius()
	label := degrees(lower)
	var places []place
	for _, share := range []float64{0.5, 0.4, 0.3, 0.6} {
		sin, cos := math.Sincos(lower * share * math.Pi / 180)
		for _, more := range []float64{1.5, 3} {
			places = append(places, place{chart.Point{X: a.X + (r+more)*cos, Y: a.Y - (r+more)*sin}, chart.Start})
		}
		in := r - 1
		places = append(places, place{chart.Point{X: a.X + in*cos, Y: a.Y - in*sin}, chart.End})
	}
	left := a.X - 2 - 0.025*d.mm
	places = append(places, place{chart.Point{X: left, Y: a.Y - 0.5*d.size - 0.6}, chart.End}, place{chart.Point{X: left, Y: a.Y}, chart.End})
	d.write(label, chart.Lettering{Bold: true}, places...)
}

// runningRoom is how far down the figures of the running dimensions reach.
func (p *pose) runningRoom() float64 {
	long := 0.0
	for _, stop := range p.stops() {
		long = max(long, chart.TextWidth(stop.label(), 3, false))
	}
	return long
}

// stop is a place on the rail, metres from its front end.
type stop struct {
	at   float64
	name string
}

func (s stop) label() string { return s.name + " " + whole(s.at) }

// stops are the places that are measured along the rail.
func (p *pose) stops() (all []stop) {
	if !p.measured() {
		return nil
	}
	all = []stop{{p.one.FrontM, "stop"}, {p.axis, "axis"}, {p.railTo, "rail"}}
	switch {
	case p.OnLegs() && p.jointed:
		all = append(all, stop{p.one.BackM, "notch"})
	case p.Propped():
		all = append(all, stop{p.foot.X, "prop foot"})
	}
	return slices.DeleteFunc(all, func(s stop) bool { return !(s.at >= 0) })
}

// running are the distances along the rail, all from its front end.
func (d *sideView) running() {
	var stops []float64
	var labels []string
	for _, one := range d.stops() {
		stops, labels = append(stops, one.at*d.mm), append(labels, one.label())
	}
	if len(stops) == 0 {
		return
	}
	from := chart.Point{X: d.to(chart.Point{}).X, Y: d.to(chart.Point{}).Y + 1}
	d.RunningDimensions(from, chart.Point{X: from.X + 10, Y: from.Y}, stops, 4, labels)
	d.keepArea(from.X-4, from.Y, d.Width, d.Height-from.Y-4.5)
}

// heights are the rails' top and the panel's upper edge above the ground.
func (d *sideView) heights() {
	x := d.Width - 5
	ground := d.to(chart.Point{}).Y
	if t := d.to(d.top); !d.unknown && !d.apart && math.Abs(d.top.Y-d.railY)*d.mm > 2 {
		d.dimension(chart.Point{X: t.X, Y: t.Y}, chart.Point{X: t.X, Y: ground}, -(x - t.X), whole(d.top.Y))
	}
	r := d.to(chart.Point{X: d.railTo, Y: d.railY})
	d.dimension(chart.Point{X: r.X, Y: r.Y}, chart.Point{X: r.X, Y: ground}, -(x - 7 - r.X), whole(d.railY))
}

// leg is the leg's length along it.
func (d *sideView) leg() {
	if !d.jointed || d.apart {
		return
	}
	half := max(legThickM*d.mm, 0.9) / 2
	d.dimension(d.to(d.hinge), d.to(d.foot), -(half + 2.5), d.strutName()+" "+whole(d.legM()))
}

// labels are the words that stand where there is room.
func (d *sideView) labels() {
	if d.unknown || d.apart {
		return
	}
	up := 90 - float64(d.one.Tilt)
	n := chart.Point{X: d.normal().X, Y: -d.normal().Y}
	at := d.to(d.sunAt(d.sunAway))
	at = off(at, n, -4)
	small := chart.Lettering{Size: 0.9 * d.size}
	for _, words := range []string{"faces a sun %.0f° high", "sun %.0f° high", "%.0f°"} {
		if d.write(fmt.Sprintf(words, up), small, around(at, 4.2)...) {
			return
		}
	}
}
