package drawing

import (
	"math"

	"turnsole/chart"
)

// miss shows why leg and panel do not meet: the ways of their two ends.
func (d *sideView) miss() {
	d.stop()
	front, foot := d.to(d.front), d.to(d.foot)
	h, l := distance(d.hinge, d.front)*d.mm, d.legM()*d.mm
	small := chart.Lettering{Size: 0.9 * d.size}
	d.arcs(front, h, "way of the hinge", small)
	d.arcs(foot, l, "reach of the "+d.strutName(), small)
	thick := max(panelThickM*d.mm, 0.8)
	flat := plank(front, d.to(d.top), 0, thick)
	d.Polygon(flat[:], hidden)
}

// strutName is what holds the panel up.
func (p *pose) strutName() string {
	if p.Propped() {
		return "prop"
	}
	return "leg"
}

// arcs draws as much of the upper half of a circle as lies below the caption,
// and its name beside it.
func (d *sideView) arcs(c chart.Point, r float64, name string, hand chart.Lettering) {
	style := chart.Style{Stroke: chart.Pencil, Dash: []float64{0.6, 0.8}}
	var run []chart.Point
	var places []place
	for a := 0.0; a <= 180; a += 2 {
		sin, cos := math.Sincos(a * math.Pi / 180)
		q := chart.Point{X: c.X + r*cos, Y: c.Y - r*sin}
		if q.X > margin && q.X < d.Width-margin && q.Y > d.below {
			run = append(run, q)
			places = append(places, d.beside(q, chart.Point{X: sin, Y: cos}, chart.Point{X: cos, Y: -sin}, name, hand, 1)...)
			continue
		}
		d.follow(run, style)
		run = nil
	}
	d.follow(run, style)
	for i := range places { // from the top of the arc outwards
		j := len(places)/2 + (i+1)/2*(1-i%2*2)
		if j >= 0 && j < len(places) && d.write(name, hand, places[j]) {
			return
		}
	}
}
