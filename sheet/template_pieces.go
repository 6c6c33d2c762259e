package sheet

import (
	"fmt"
	"math"

	"turnsole/answer"
	"turnsole/chart"
)

// railSize is a batten at its true size, seen from the side. Of one higher than
// 80 mm only the upper part is drawn.
func railSize(p *answer.Piece, o Options) fullSize {
	shown, share := min(p.HeightM*1000, 80), overlap
	for _, m := range p.Marks {
		share = max(share, 1000*max(m.WidthM, m.DiameterM)+14)
	}
	name := p.Name
	if p.Count == 2 {
		name = "both " + p.Name + "s, marked together"
	}
	return fullSize{letter: p.Letter, name: name, from: -stripEdge, to: p.LengthM*1000 + stripEdge, high: stripHead + max(shown, wordsHigh) + 9, share: share, zero: p.From,
		draw: func(s *strip) { drawRail(s, p, o, stripHead, shown) }}
}

// wordsHigh is the height that the words of marks need; on a thin batten they
// reach beyond it.
const wordsHigh = 34.0

// stripEdge is the white before a batten's first end and behind its last.
const stripEdge = 2.0

// drawRail draws what of a batten lies on a strip.
func drawRail(s *strip, p *answer.Piece, o Options, top, high float64) {
	edge := chart.Style{Stroke: chart.Pen, Width: chart.Medium}
	s.within(profile(p, top, top+high), edge)
	if high < p.HeightM*1000 {
		s.within([]chart.Point{{X: 0, Y: top + high}, {X: p.LengthM * 1000, Y: top + high}}, chart.Style{Stroke: chart.Pencil, Dash: []float64{4, 2}})
	} else {
		s.within([]chart.Point{{X: 0, Y: top + high}, {X: p.LengthM * 1000, Y: top + high}}, edge)
	}
	for _, end := range []float64{0, p.LengthM * 1000} {
		if s.shows(end, end) {
			s.Line(chart.Point{X: s.x(end), Y: top}, chart.Point{X: s.x(end), Y: top + high}, edge)
		}
	}
	for _, m := range p.Marks {
		s.mark(m, o, top, high)
	}
	s.hundreds(p, top+high, top+max(high, wordsHigh))
}

// profile is the upper edge of a batten from its left end to its right one.
func profile(p *answer.Piece, top, foot float64) []chart.Point {
	edge := []chart.Point{{X: 0, Y: top}}
	for _, m := range p.Marks {
		if m.Kind != answer.NotchMark || m.DepthM <= 0 {
			continue
		}
		from, to, deep := m.AtM*1000, (m.AtM+m.WidthM)*1000, min(top+m.DepthM*1000, foot)
		edge = append(edge, chart.Point{X: from, Y: top}, chart.Point{X: from, Y: deep}, chart.Point{X: to, Y: deep}, chart.Point{X: to, Y: top})
	}
	return append(edge, chart.Point{X: p.LengthM * 1000, Y: top})
}

// within draws what of a line that never goes back to the left lies on the
// strip; its x are along the piece, its y on paper.
func (s *strip) within(points []chart.Point, style chart.Style) {
	var run []chart.Point
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		if b.X < s.from || a.X > s.to {
			continue
		}
		if a.X < s.from {
			a = between(a, b, s.from)
		}
		if b.X > s.to {
			b = between(a, b, s.to)
		}
		if len(run) == 0 {
			run = append(run, chart.Point{X: s.x(a.X), Y: a.Y})
		}
		run = append(run, chart.Point{X: s.x(b.X), Y: b.Y})
	}
	if len(run) > 1 {
		s.Polyline(run, style)
	}
}

func between(a, b chart.Point, x float64) chart.Point {
	return chart.Point{X: x, Y: a.Y + (b.Y-a.Y)*(x-a.X)/(b.X-a.X)}
}

// mark draws one mark where the strip shows it with its words.
func (s *strip) mark(m answer.Mark, o Options, top, high float64) {
	at := m.AtM * 1000
	left, right := 5.0, m.WidthM*1000+5
	if r := m.DiameterM*500 + 3; r > left {
		left, right = r, r
	}
	if !s.shows(max(at-left, s.of.from), min(at+right, s.of.to)) {
		return
	}
	wood := high
	high = max(high, wordsHigh)
	x := s.x(at)
	thin := chart.Style{Stroke: chart.Pen, Width: chart.Thin}
	axis := chart.Style{Stroke: chart.Pen, Width: chart.Thin, Dash: []float64{4, 1, 0.8, 1}}
	switch {
	case m.Kind == answer.NotchMark:
		s.notch(m, o, x, top, wood)
	case m.Kind == answer.StopMark:
		s.Line(chart.Point{X: x, Y: top - 3}, chart.Point{X: x, Y: top + high}, thin)
		s.Polygon([]chart.Point{{X: x, Y: top}, {X: x - 1.2, Y: top - 3}, {X: x + 1.2, Y: top - 3}}, chart.Style{Fill: chart.Pen})
		s.words(x+1.4, top+high-6, m.Name, o.mark(m.AtM))
	case m.Kind == answer.HoleMark && m.Upright:
		r := m.DiameterM * 500
		for _, side := range []float64{-r, r} {
			s.Line(chart.Point{X: x + side, Y: top}, chart.Point{X: x + side, Y: top + 0.45*high}, chart.Style{Stroke: chart.Pencil, Dash: []float64{1.2, 0.8}})
		}
		s.Line(chart.Point{X: x, Y: top - 2}, chart.Point{X: x, Y: top + 0.5*high}, axis)
		s.words(x+r+1.4, top+0.36*high, fmt.Sprintf("%s, bore %g from above", m.Name, m.DiameterM*1000), o.mark(m.AtM))
	case m.Kind == answer.HoleMark:
		s.hole(m, o, x, top)
	case m.Kind == answer.LineMark:
		s.Line(chart.Point{X: x, Y: top - 3}, chart.Point{X: x, Y: top + high}, axis)
		s.words(x+1.4, top+high-14, m.Name, o.mark(m.AtM))
	}
}

// words writes lines under each other from x to the right, or further to the
// left where the strip ends.
func (s *strip) words(x, y float64, lines ...string) {
	hand := chart.Lettering{Size: 2.7}
	for _, line := range lines {
		x = min(x, s.Width-hand.Width(line))
	}
	for i, line := range lines {
		s.Text(x, y+3.6*float64(i), line, hand)
	}
}

// notch shows a notch's hatched waste, where the foot touches, and its measures.
func (s *strip) notch(m answer.Mark, o Options, x, top, wood float64) {
	wide, deep := m.WidthM*1000, min(m.DepthM*1000, wood)
	if deep > 0 {
		s.Rect(x, top, wide, deep, chart.Style{Stroke: chart.Pen, Width: chart.Thin, Hatch: chart.Hatch{Gap: 2.2, Turn: -45, Ink: chart.Faint}})
	}
	if m.TouchM[1] > 0 {
		s.cross(x+m.TouchM[0]*1000, top+m.TouchM[1]*1000)
	}
	y := top + deep + 4.4
	if y+7 > top+wood { // under a thin batten
		y = top + wood + 4.4
	}
	s.words(x, y, m.Name, o.mark(m.AtM), fmt.Sprintf("%s wide, %s deep", o.mark(m.WidthM), o.mark(m.DepthM)))
}

// cross is where a foot touches.
func (s *strip) cross(x, y float64) {
	const arm = 1.5
	pen := chart.Style{Stroke: chart.Pen, Width: chart.Thin}
	s.Line(chart.Point{X: x - arm, Y: y - arm}, chart.Point{X: x + arm, Y: y + arm}, pen)
	s.Line(chart.Point{X: x - arm, Y: y + arm}, chart.Point{X: x + arm, Y: y - arm}, pen)
}

// hole is bored through the side.
func (s *strip) hole(m answer.Mark, o Options, x, top float64) {
	y, r := top+m.DownM*1000, m.DiameterM*500
	pen := chart.Style{Stroke: chart.Pen, Width: chart.Thin}
	s.Circle(x, y, r, pen)
	s.Line(chart.Point{X: x - r - 2, Y: y}, chart.Point{X: x + r + 2, Y: y}, pen)
	s.Line(chart.Point{X: x, Y: y - r - 2}, chart.Point{X: x, Y: y + r + 2}, pen)
	s.words(x+r+0.8, y-r-4.4, fmt.Sprintf("%s, bore %g", m.Name, m.DiameterM*1000), o.mark(m.AtM))
}

// hundreds are small ticks under a batten, to find one's way.
func (s *strip) hundreds(p *answer.Piece, foot, under float64) {
	for at := 0.0; at <= p.LengthM*1000; at += 100 {
		if !s.shows(at-4, at+4) {
			continue
		}
		near := false
		for _, join := range s.joins() {
			near = near || math.Abs(join-at) < 24
		}
		s.Line(chart.Point{X: s.x(at), Y: foot}, chart.Point{X: s.x(at), Y: foot + 1.5}, chart.Style{Stroke: chart.Pencil})
		if !near {
			s.Text(s.x(at), under+4.4, mm(at/1000), chart.Lettering{Size: 2.3, Ink: chart.Pencil, Anchor: chart.Middle})
		}
	}
}

// plateSize is the part of the axle plate that is bored, at its true size: the
// line from axle to motor and what lies beside it.
func plateSize(p *answer.AxlePlate) fullSize {
	last, half := 0.0, max(p.AxleHoleM/2+0.008, 0.02)
	for _, w := range p.Wheels {
		last = max(last, w.AtM)
	}
	right := last + 0.02
	if m := p.Motor; m != nil {
		right, half = m.AtM+m.FaceM/2+0.012, max(half, m.FaceM/2+0.004)
	}
	one := fullSize{letter: "P", name: "axle plate, holes", from: -1000 * (p.AxleHoleM/2 + 0.012), to: right * 1000, high: stripHead + 2000*half + 22, share: max(overlap, 2000*half+8), zero: "the axle's middle"}
	one.draw = func(s *strip) { drawPlate(s, p, stripHead+10+1000*half, 1000*half) }
	return one
}

// drawPlate draws what of the plate's holes lies on a strip.
func drawPlate(s *strip, p *answer.AxlePlate, y, half float64) {
	axis := chart.Style{Stroke: chart.Pen, Width: chart.Thin, Dash: []float64{6, 1.5, 1, 1.5}}
	s.within([]chart.Point{{X: s.of.from, Y: y}, {X: s.of.to, Y: y}}, axis)
	centre := func(at float64, name string) {
		if !s.shows(at-8, at+8) {
			return
		}
		s.Line(chart.Point{X: s.x(at), Y: y - half - 6}, chart.Point{X: s.x(at), Y: y + half}, chart.Style{Stroke: chart.Pen, Width: chart.Thin})
		s.Text(s.x(at), y-half-7, name, chart.Lettering{Size: 2.7, Anchor: chart.Middle})
	}
	centre(0, "axle")
	for _, at := range p.Shafts() {
		centre(at*1000, fmt.Sprintf("shaft, %.2f", at*1000))
	}
	if r := p.AxleHoleM * 500; s.shows(-r, r) {
		s.Circle(s.x(0), y, r, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	}
	if m := p.Motor; m != nil {
		if m.AtM > 0 {
			centre(m.AtM*1000, fmt.Sprintf("motor shaft, %.2f", m.AtM*1000))
		}
		if r := m.FaceM * 500; s.shows(m.AtM*1000-r, m.AtM*1000+r) {
			s.motor(m, y)
		}
	}
	if s.number > 1 {
		return
	}
	s.Text(1, y+half+4.5, "Dashed: the middle of the plate's width. Prick the centres through the paper. The small holes are the motor plate's.", chart.Lettering{Size: 2.5})
}

// motor draws a motor's face with its holes.
func (s *strip) motor(m *answer.PlateMotor, y float64) {
	thin := chart.Style{Stroke: chart.Pen, Width: chart.Thin}
	x, r := s.x(m.AtM*1000), m.FaceM*500
	s.Rect(x-r, y-r, 2*r, 2*r, thin)
	s.Circle(x, y, m.BossM*500, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	b := m.BoltsM * 500
	for _, dx := range []float64{-b, b} {
		for _, dy := range []float64{-b, b} {
			s.Circle(x+dx, y+dy, m.HoleM*500, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
			s.Line(chart.Point{X: x + dx - 3, Y: y + dy}, chart.Point{X: x + dx + 3, Y: y + dy}, thin)
			s.Line(chart.Point{X: x + dx, Y: y + dy - 3}, chart.Point{X: x + dx, Y: y + dy + 3}, thin)
		}
	}
}

// explain is the first page: a map of the strips, and what to do where the
// check bars are not 100 mm long.
func (g *galley) explain(pages [][]*strip) {
	g.heading("The check bars")
	g.say("Every page has two bars, one across the page and one along it, because printers scale the two differently. Measure both with a steel rule on every page.")
	g.table([]column{{head: "both bars read, mm", mm: 40, right: true}, {head: "print again at, %", mm: 36, right: true}, {head: "a mark 500 mm away is off by, mm", mm: 60, right: true}, {}}, scalings())
	g.points([]string{
		"Both 100 mm within 0.5 mm: cut.",
		"Both the same, but not 100: print again with the scale from the table, and measure again.",
		"One right and the other wrong: no scale helps. Use the strip's shapes, but lay out every distance with a rule by the figure that is printed beside the mark; on these pages the pieces lie across.",
		"In any case measure the joined strip from end to end before you prick through: ten small errors add up.",
	})
	g.caution("Paper is not wood", "Paper grows and shrinks with damp: use the template on the day it is printed.", "Check the first mark, the last mark and the whole length against the cut list with a rule before you saw.")
	g.heading("Map of the strips")
	g.say("Hatched is sawn away; the small cross in a notch is where the foot touches. Join two strips where \"join at\" says the same figure: cut one along its dashed line, lay it over the other until both crosses meet, and tape it down on glass.")
	g.picture(stripMap(pages, g.width))
}

// scalings are what the bars say.
func scalings() (rows [][]string) {
	for _, reads := range []float64{98, 99, 99.5, 100, 100.5, 101, 102} {
		off := "0"
		if reads != 100 {
			off = figure((reads-100)*5, 1)
		}
		rows = append(rows, []string{figure(reads, 1), figure(10000/reads, 1), off})
	}
	return rows
}

// stripMap draws every piece small, with its strips and the pages they are on.
func stripMap(pages [][]*strip, width float64) *chart.Picture {
	type row struct {
		of     fullSize
		strips []*strip
		page   []int
	}
	var rows []*row
	for i, strips := range pages {
		for _, s := range strips {
			if len(rows) == 0 || rows[len(rows)-1].of.letter != s.of.letter {
				rows = append(rows, &row{of: s.of})
			}
			last := rows[len(rows)-1]
			last.strips, last.page = append(last.strips, s), append(last.page, i+2)
		}
	}
	const rowHigh = 21.0
	pic := chart.New(width, rowHigh*float64(len(rows))+1)
	pic.Title = "map of the strips"
	longest := 0.0
	for _, r := range rows {
		longest = max(longest, r.of.to-r.of.from)
	}
	scale := (width - 2) / longest
	for k, r := range rows {
		y := rowHigh * float64(k)
		pic.Text(1, y+3.4, r.of.letter+"  "+r.of.name, chart.Lettering{Size: 3, Bold: true})
		for i, s := range r.strips {
			from, to := 1+(s.from-r.of.from)*scale, 1+(s.to-r.of.from)*scale
			down := y + 5 + 6.2*float64(i%2)
			pic.Rect(from, down, to-from, 6, chart.Style{Stroke: chart.Pen, Width: chart.Thin})
			label := fmt.Sprintf("%s%d, page %d", r.of.letter, s.number, r.page[i])
			if (chart.Lettering{Size: 2.6}).Width(label) > to-from-4 {
				label = fmt.Sprint(r.page[i])
			}
			pic.Text((from+to)/2, down+3, label, chart.Lettering{Size: 2.6, Anchor: chart.Middle, Centred: true})
		}
	}
	return pic
}
