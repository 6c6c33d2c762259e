package drawing

import (
	"fmt"
	"math"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/compass"
)

// mostDialDays is how many days a dial holds before its paths crowd.
const mostDialDays = 3

// ShadowDial draws from above, true north up, where the tip of the upright
// stick's shadow lies on each day (the first three), hour by hour of the clock,
// with circles of round lengths. The still heading is drawn as a line.
func ShadowDial(s *answer.Setup, width, height float64) *chart.Picture {
	title := fmt.Sprintf("Shadow of a stick of %.0f cm", s.StickM*100)
	sc := newScribe(width, height, title, title+", from above, north up.")
	d := &dial{scribe: sc, setup: s}
	top := sc.caption(title, d.missing()...)
	d.lay(extent{2, top + 2, width - 2, height - 2})
	d.rings()
	d.north()
	d.heading()
	for i, day := range d.days() {
		d.path(i, day)
	}
	return sc.Picture
}

// dial is a dial in the making.
type dial struct {
	*scribe
	view
	setup    *answer.Setup
	longestM float64
	paper    extent
}

func (d *dial) days() []answer.SetupDay { return d.setup.Days[:min(len(d.setup.Days), mostDialDays)] }

// missing says on which days there is no shadow.
func (d *dial) missing() (notes []string) {
	for _, day := range d.days() {
		if len(day.Shadows) == 0 {
			notes = append(notes, fmt.Sprintf("No shadow on %d %s: the sun is too low all day.", day.Date.Day(), day.Date.Month()))
		}
	}
	return notes
}

// tip is where a shadow's tip lies: metres east and north of the stick.
func tip(sh answer.Shadow) chart.Point {
	return chart.Point{X: sh.LengthM * sh.Bearing.Sin(), Y: sh.LengthM * sh.Bearing.Cos()}
}

// lay chooses how long a shadow is still drawn, and the scale.
func (d *dial) lay(paper extent) {
	stick := d.setup.StickM
	d.longestM = 2 * stick
	for _, day := range d.days() {
		least := math.Inf(1)
		for _, sh := range day.Shadows {
			least = min(least, sh.LengthM)
		}
		if !math.IsInf(least, 0) {
			d.longestM = max(d.longestM, 1.8*least)
		}
	}
	world := nothing()
	world.take(chart.Point{X: -0.4 * stick, Y: -0.4 * stick}, chart.Point{X: 0.4 * stick, Y: 0.4 * stick})
	for _, day := range d.days() {
		for _, sh := range day.Shadows {
			if sh.LengthM <= d.longestM {
				world.take(tip(sh))
			}
		}
	}
	d.paper = paper
	inner := extent{paper.x0 + 7, paper.y0 + 5, paper.x1 - 7, paper.y1 - 5}
	d.view = fit(world, inner)
}

func (d *dial) shown(q chart.Point) bool {
	e := d.paper
	return q.X >= e.x0 && q.X <= e.x1 && q.Y >= e.y0 && q.Y <= e.y1
}

// rings are circles of round lengths about the stick.
func (d *dial) rings() {
	far := d.longestM
	step := roundStep(far / 4)
	for r := step; r*d.mm < 400 && r < 20*d.setup.StickM; r += step {
		var run []chart.Point
		for a := 0.0; a <= 360; a += 2 {
			q := d.to(chart.Point{X: r * compass.Angle(a).Sin(), Y: r * compass.Angle(a).Cos()})
			if d.shown(q) {
				run = append(run, q)
				continue
			}
			d.Polyline(run, chart.Style{Stroke: chart.Faint, Width: chart.Hair})
			run = nil
		}
		d.Polyline(run, chart.Style{Stroke: chart.Faint, Width: chart.Hair})
		var places []place
		for _, a := range []compass.Angle{150, 210, 30, 330, 120, 240} {
			q := d.to(chart.Point{X: r * a.Sin(), Y: r * a.Cos()})
			if d.shown(q) {
				places = append(places, place{q, chart.Middle})
			}
		}
		d.write(fmt.Sprintf("%.0f cm", r*100), chart.Lettering{Size: 0.85 * d.size, Ink: chart.Pencil, OnPaper: true}, places...)
	}
}

// roundStep is 1, 2 or 5 times a power of ten, at least x.
func roundStep(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, f := range []float64{1, 2, 5} {
		if f*power >= x*0.999 {
			return f * power
		}
	}
	return 10 * power
}

func (d *dial) north() {
	x, y := d.paper.x1-4, d.paper.y0+2
	d.Arrow([]chart.Point{{X: x, Y: y + 9}, {X: x, Y: y + 3}}, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	d.keepOff(chart.Point{X: x, Y: y + 9}, chart.Point{X: x, Y: y + 3})
	d.write("N", chart.Lettering{Bold: true}, place{chart.Point{X: x, Y: y + 1}, chart.Middle})
}

// heading is the line along which the stand faces, standing still.
func (d *dial) heading() {
	c := d.to(chart.Point{})
	sin, cos := d.setup.Still.Sin(), d.setup.Still.Cos()
	end := c
	for d.shown(chart.Point{X: end.X + sin, Y: end.Y - cos}) && distance(c, end) < 30 {
		end = chart.Point{X: end.X + sin, Y: end.Y - cos}
	}
	d.Arrow([]chart.Point{c, end}, centred)
	d.keepOff(c, end)
	d.Circle(c.X, c.Y, 0.9, chart.Style{Fill: chart.Pen})
	d.keepArea(c.X-1, c.Y-1, 2, 2)
	d.write("stand faces "+d.setup.Still.Point(), chart.Lettering{Size: 0.85 * d.size}, around(between(c, end, 0.7), 1.5)...)
	d.write("stick", chart.Lettering{Size: 0.85 * d.size}, around(c, 1.8)...)
}

// path is one day's way of the tip.
func (d *dial) path(i int, day answer.SetupDay) {
	style := []chart.Style{
		{Stroke: chart.Pen, Width: chart.Thick},
		{Stroke: chart.Pen, Width: chart.Medium, Dash: []float64{2.5, 1}},
		{Stroke: chart.Pen, Width: chart.Medium, Dash: []float64{0.6, 0.8}},
	}[i]
	var run []chart.Point
	for _, sh := range day.Shadows {
		q := d.to(tip(sh))
		if d.shown(q) {
			run = append(run, q)
			continue
		}
		d.Polyline(run, style)
		run = nil
	}
	d.Polyline(run, style)
	for _, sh := range day.Shadows {
		q := d.to(tip(sh))
		if !d.shown(q) {
			continue
		}
		d.Circle(q.X, q.Y, 0.6, chart.Style{Fill: chart.Pen})
		d.write(sh.At.Format("15:04"), chart.Lettering{Size: 0.85 * d.size}, around(q, 1.5)...)
	}
}
