package drawing

import (
	"fmt"
	"math"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
)

// Plan draws the stand from above at one of its settings (an index that is none
// gives its own tilt), under its side view: the heading to the left. It shows
// feet, base, rails, panel, axis and ballast, and the edge over which the wind
// tips it first.
func Plan(s *answer.Stand, i int, width, height float64) *chart.Picture {
	p := poseOf(s, settingOf(s, i))
	sc := newScribe(width, height, "From above: "+p.name(), strings.Join(append([]string{"The stand from above, heading to the left."}, append(p.why(), p.tipping()...)...), " "))
	top := sc.caption("From above: "+p.name(), append(p.why(), p.tipping()...)...)
	feet, rear := p.feet()
	d := &planView{scribe: sc, pose: p, feet: feet, rear: rear}
	d.view = fit(d.world(), extent{9, top + 3, width - 9, height - 8})
	d.parts()
	sc.scaleBar(3, height-2.6, width/4, d.mm)
	return sc.Picture
}

// planView is a plan in the making: x along the rails as in the side view, y
// across, up the paper.
type planView struct {
	*scribe
	pose
	view
	feet []chart.Point
	rear bool
}

func (d *planView) world() extent {
	w := nothing()
	for _, f := range d.feet {
		w.take(chart.Point{X: d.axis + f.X - 0.04, Y: f.Y - 0.04}, chart.Point{X: d.axis + f.X + 0.04, Y: f.Y + 0.04})
	}
	if tips := d.tips(); d.tipped() {
		r := 1.4 * d.Body.FootRadiusM
		w.take(chart.Point{X: d.axis - r*tips.From.Cos(), Y: r * tips.From.Sin()})
	}
	if r := d.Body.BallastRadiusM; d.Body.BallastKg > 0 {
		w.take(chart.Point{X: d.axis - r, Y: -r}, chart.Point{X: d.axis + r, Y: r})
	}
	half := d.Body.PanelWidthM / 2
	w.take(chart.Point{X: d.railFrom, Y: -half}, chart.Point{X: d.railTo, Y: half})
	if !d.unknown {
		w.take(chart.Point{X: d.front.X, Y: -half}, chart.Point{X: d.top.X, Y: half})
	}
	return w
}

func (d *planView) at(x, y float64) chart.Point { return d.to(chart.Point{X: x, Y: y}) }

func (d *planView) parts() {
	d.base()
	d.rails()
	d.panel()
	d.heading()
	d.worst()
	d.measures()
	d.labels()
}

// base is a beam to each foot, the axis and the ballast.
func (d *planView) base() {
	c := d.at(d.axis, 0)
	half := max(0.022*d.mm, 0.5)
	for _, f := range d.feet {
		q := d.at(d.axis+f.X, f.Y)
		bar := plank(c, q, half, half)
		d.Wood(bar[:]...)
		d.taken = append(d.taken, bar)
	}
	for _, f := range d.feet {
		q := d.at(d.axis+f.X, f.Y)
		d.Circle(q.X, q.Y, max(0.035*d.mm, 0.9), edge)
		d.keepArea(q.X-1, q.Y-1, 2, 2)
	}
	if d.Body.BallastKg > 0 {
		d.Circle(c.X, c.Y, max(d.Body.BallastRadiusM*d.mm, 2), chart.Style{Stroke: chart.Pencil, Width: chart.Medium, Dash: []float64{0.7, 0.7}})
	}
}

// rails are two, a little within the panel's width.
func (d *planView) rails() {
	y := 0.36 * d.Body.PanelWidthM
	half := max(0.022*d.mm, 0.4)
	for _, side := range []float64{-y, y} {
		a, b := d.at(d.railFrom, side), d.at(d.railTo, side)
		d.Wood(chart.Point{X: a.X, Y: a.Y - half}, chart.Point{X: b.X, Y: a.Y - half}, chart.Point{X: b.X, Y: a.Y + half}, chart.Point{X: a.X, Y: a.Y + half})
		d.keepArea(a.X, a.Y-half, b.X-a.X, 2*half)
	}
	c := d.at(d.axis, 0)
	d.Line(chart.Point{X: c.X - 3, Y: c.Y}, chart.Point{X: c.X + 3, Y: c.Y}, centred)
	d.Line(chart.Point{X: c.X, Y: c.Y - 3}, chart.Point{X: c.X, Y: c.Y + 3}, centred)
	d.Circle(c.X, c.Y, 1.1, edge)
}

// panel is the panel's outline.
func (d *planView) panel() {
	if d.unknown || d.apart {
		return
	}
	half := d.Body.PanelWidthM / 2
	a, b := d.at(d.front.X, half), d.at(d.top.X, -half)
	style := chart.Style{Stroke: chart.Pen, Width: chart.Thick}
	if !d.one.Possible {
		style = hidden
	}
	d.Rect(a.X, a.Y, max(b.X-a.X, 0.3), b.Y-a.Y, style)
	if d.Frame.FoldM > 0 {
		d.Line(d.at(d.fold.X, half), d.at(d.fold.X, -half), chart.Style{Stroke: chart.Pen, Width: chart.Thin})
	}
	d.keepOff(a, chart.Point{X: b.X, Y: a.Y}, b, chart.Point{X: a.X, Y: b.Y}, a)
}

// worst is the edge that the wind tips it over.
func (d *planView) worst() {
	n := len(d.feet)
	if n < 3 {
		return
	}
	for i, f := range d.feet {
		g := d.feet[(i+1)%n]
		d.Line(d.at(d.axis+f.X, f.Y), d.at(d.axis+g.X, g.Y), hidden)
	}
	if !d.tipped() {
		return
	}
	a, b := d.at(d.axis+d.feet[0].X, d.feet[0].Y), d.at(d.axis+d.feet[n-1].X, d.feet[n-1].Y)
	d.Line(a, b, chart.Style{Stroke: chart.Pen, Width: 2 * chart.Thick})
	d.keepOff(a, b)
	d.gust(a, b)
}

// gust marks the edge, and shows whence the wind comes that tips it.
func (d *planView) gust(a, b chart.Point) {
	hand := chart.Lettering{Turn: -90, Size: 0.9 * d.size, OnPaper: true}
	away := 1.2 + 0.36*d.size
	if !d.rear {
		away = -away
	}
	var places []place
	for _, side := range []float64{away, -away} {
		for _, share := range []float64{0.25, 0.75, 0.2, 0.8, 0.5} {
			places = append(places, place{chart.Point{X: a.X + side, Y: a.Y + share*(b.Y-a.Y)}, chart.Middle})
		}
	}
	d.write("tips here", hand, places...)
	from, to := d.windward(1.4), d.windward(1.12)
	d.Arrow([]chart.Point{from, to}, chart.Style{Stroke: chart.Pencil, Width: chart.Thick})
	d.keepOff(from, to)
	d.write("wind", chart.Lettering{Size: 0.9 * d.size}, append(around(between(from, to, 0.5), 1.2)[2:], around(from, 1.5)...)...)
}

// tipping says over which edge it tips first and in which wind, at the panel
// and as a forecast has it.
func (p *pose) tipping() []string {
	tips := p.tips()
	if !p.tipped() {
		return nil
	}
	return []string{fmt.Sprintf("Tips first over the thick line: gust of %s at the panel, forecast of %s mean wind.", answer.WindSpeed(tips.GustMS), answer.WindSpeed(tips.ForecastMS))}
}

// tipped tells whether there is a wind that tips it as it is drawn.
func (p *pose) tipped() bool {
	return p.one.Possible && !math.IsInf(p.tips().GustMS, 0) && p.Body.Feet >= 3
}

// tips is the wind that tips the stand as it is drawn.
func (p *pose) tips() (l answer.NamedLimit) {
	l.Limit = p.one.Wind.Tips
	if l.How == "" {
		l.Limit = p.Wind.Tips
	}
	return l
}

// windward is where the worst wind comes from, so many foot radii from the axis.
func (d *planView) windward(radii float64) chart.Point {
	r, from := radii*d.Body.FootRadiusM, d.tips().From
	return d.at(d.axis-r*from.Cos(), r*from.Sin())
}

// heading points where the panel looks.
func (d *planView) heading() {
	c := d.at(d.axis, 0)
	end := chart.Point{X: 3, Y: c.Y}
	d.Line(c, end, centred)
	d.Arrow([]chart.Point{{X: end.X + 6, Y: c.Y}, end}, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	d.keepOff(c, end)
	d.write("heading", chart.Lettering{Size: 0.9 * d.size}, place{chart.Point{X: 2, Y: c.Y - 2.4}, chart.Start}, place{chart.Point{X: 2, Y: c.Y + 2.6}, chart.Start})
}

// measures are the panel's width, the feet's distance and how far they are from
// the axis.
func (d *planView) measures() {
	n := len(d.feet)
	if n < 3 {
		return
	}
	right := d.at(d.world().x1, 0).X
	half := d.Body.PanelWidthM / 2
	if !d.unknown && !d.apart {
		a := d.at(d.top.X, half)
		d.dimension(a, d.at(d.top.X, -half), -(right + 6 - a.X), "panel "+whole(d.Body.PanelWidthM))
	}
	for i, f := range d.feet {
		q, c := d.at(d.axis+f.X, f.Y), d.at(d.axis, 0)
		words := whole(d.Body.FootRadiusM) + " to the axis"
		u := toward(c, q)
		turn := readable(math.Atan2(u.Y, u.X) * 180 / math.Pi)
		hand := chart.Lettering{Size: 0.9 * d.size, Turn: turn, OnPaper: true}
		var places []place
		for _, share := range []float64{0.6, 0.5, 0.7, 0.4} {
			for _, side := range []float64{1, -1} {
				by := side * (max(0.022*d.mm, 0.5) + 0.8 + 0.4*hand.Size)
				m := between(c, q, share)
				places = append(places, place{chart.Point{X: m.X - u.Y*by, Y: m.Y + u.X*by}, chart.Middle})
			}
		}
		if d.write(words, hand, places...) || i == n-1 && d.write(whole(d.Body.FootRadiusM), hand, places...) {
			return
		}
	}
}

// labels name the parts where there is room.
func (d *planView) labels() {
	small := chart.Lettering{Size: 0.9 * d.size, OnPaper: true}
	half := d.Body.PanelWidthM / 2
	if !d.unknown && !d.apart {
		var places []place
		for _, y := range []float64{-half, half} {
			for _, share := range []float64{0.5, 0.25, 0.75} {
				q := between(d.at(d.front.X, y), d.at(d.top.X, y), share)
				lift := 1 + 0.5*d.size
				places = append(places, place{chart.Point{X: q.X, Y: q.Y + lift}, chart.Middle}, place{chart.Point{X: q.X, Y: q.Y - lift}, chart.Middle})
			}
		}
		d.write("panel", small, places...)
	}
	y := d.at(0, 0.36*d.Body.PanelWidthM).Y
	end := chart.Point{X: d.at(d.railTo, 0).X, Y: y}
	lift := max(0.022*d.mm, 0.4) + 0.8 + 0.4*d.size
	d.write("rail", small, place{chart.Point{X: end.X, Y: y - lift}, chart.End}, place{chart.Point{X: end.X, Y: y + lift}, chart.End}, place{chart.Point{X: end.X + 1, Y: y}, chart.Start})
	c := d.at(d.axis, 0)
	d.write("axis", small, around(c, 2)...)
	if kg := d.Body.BallastKg; kg > 0 {
		r := max(d.Body.BallastRadiusM*d.mm, 2)
		var places []place
		for a := 0.0; a < 360; a += 20 {
			sin, cos := math.Sincos((a + 80) * math.Pi / 180)
			for _, reach := range []float64{r - 2.5, r + 2.5} {
				places = append(places, place{chart.Point{X: c.X + reach*cos, Y: c.Y + reach*sin}, chart.Middle})
			}
		}
		d.write(fmt.Sprintf("ballast %.0f kg", kg), small, places...)
	}
}
