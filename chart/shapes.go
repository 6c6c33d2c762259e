package chart

import (
	"math"
	"slices"
)

// Path is an outline of straight and curved strokes, in the units of the
// picture it is drawn on. The zero Path is empty. Its methods add to it and
// return it.
type Path struct{ steps []step }

type step struct {
	kind   byte // M, L, C, Z as in SVG
	points [3]Point
}

// Move begins a new stroke at x, y.
func (s *Path) Move(x, y float64) *Path { return s.add('M', Point{x, y}) }

// Line goes straight to x, y.
func (s *Path) Line(x, y float64) *Path {
	if len(s.steps) == 0 {
		return s.Move(x, y)
	}
	return s.add('L', Point{x, y})
}

// Curve goes to end by a cubic Bézier curve with two control points.
func (s *Path) Curve(first, second, end Point) *Path {
	if len(s.steps) == 0 {
		s.Move(first.X, first.Y)
	}
	return s.add('C', first, second, end)
}

// Arc goes straight to the beginning of an arc about x, y and then along it,
// from one angle to another (degrees; the second may be the smaller).
func (s *Path) Arc(x, y, radius, from, to float64) *Path {
	centre, turn := Point{x, y}, to-from
	// Pieces of 45 degrees or less are within 5e-6 of the radius of a circle.
	pieces := int(math.Ceil(min(math.Abs(turn), 360) / 45))
	start := centre.plus(direction(from), radius)
	s.Line(start.X, start.Y)
	each := min(max(turn, -360), 360) / float64(max(pieces, 1))
	// The control points' distance: 4/3 tan(angle/4), common knowledge.
	pull := radius * 4 / 3 * math.Tan(each/4*math.Pi/180)
	for i := range pieces {
		a, b := direction(from+float64(i)*each), direction(from+float64(i+1)*each)
		p, q := centre.plus(a, radius), centre.plus(b, radius)
		s.Curve(Point{p.X - pull*a.Y, p.Y + pull*a.X}, Point{q.X + pull*b.Y, q.Y - pull*b.X}, q)
	}
	return s
}

// Close goes straight back to where the stroke began.
func (s *Path) Close() *Path { return s.add('Z') }

func (s *Path) add(kind byte, points ...Point) *Path {
	next := step{kind: kind}
	copy(next.points[:], points)
	s.steps = append(s.steps, next)
	return s
}

// count is how many points a step has.
func (s step) count() int { return map[byte]int{'M': 1, 'L': 1, 'C': 3}[s.kind] }

// flat is the path as straight runs.
func (s Path) flat() [][]Point {
	var runs [][]Point
	for _, step := range s.steps {
		last := len(runs) - 1
		switch step.kind {
		case 'M':
			runs = append(runs, []Point{step.points[0]})
		case 'L':
			runs[last] = append(runs[last], step.points[0])
		case 'C':
			runs[last] = append(runs[last], bezier(runs[last][len(runs[last])-1], step.points)...)
		case 'Z':
			runs[last] = append(runs[last], runs[last][0])
		}
	}
	return runs
}

// bezier is a curve in eight straight pieces.
func bezier(a Point, c [3]Point) (points []Point) {
	for i := 1; i <= 8; i++ {
		t := float64(i) / 8
		u := 1 - t
		q := Point{}.plus(a, u*u*u).plus(c[0], 3*u*u*t).plus(c[1], 3*u*t*t).plus(c[2], t*t*t)
		points = append(points, q)
	}
	return points
}

// Path draws a path.
func (p *Picture) Path(path Path, style Style) {
	steps := slices.Clone(path.steps)
	if len(steps) == 0 {
		return
	}
	if steps[0].kind != 'M' {
		p.fail("a path must begin with Move")
		return
	}
	for i := range steps {
		for j := range steps[i].count() {
			steps[i].points[j] = p.paper(steps[i].points[j])
			if !p.sound(steps[i].points[j]) {
				return
			}
		}
	}
	p.ink(Path{steps}, style)
}

// ink records a path that is in millimetres of paper: the area first, then
// its hatching, then its edge.
func (p *Picture) ink(path Path, style Style) {
	if !p.drawable(style) {
		return
	}
	style.Dash = slices.Clone(style.Dash)
	hatch := style.Hatch
	style.Hatch = Hatch{}
	if hatch.Gap > 0 {
		p.marks = append(p.marks, mark{path: path, style: Style{Fill: style.Fill}})
		style.Fill = None
		p.hatch(path, hatch)
	}
	p.marks = append(p.marks, mark{path: path, style: style})
}

// drawable tells whether a style's lengths are lengths.
func (p *Picture) drawable(s Style) bool {
	sum := 0.0
	for _, mm := range s.Dash {
		sum += mm
		if !(mm >= 0 && mm < tooFar) {
			p.fail("a dash of %g mm", mm)
			return false
		}
	}
	if len(s.Dash) > 0 && sum == 0 {
		p.fail("dashes of no length")
		return false
	}
	return p.sound(Point{s.Width, s.Hatch.Turn})
}

// Line draws from a to b.
func (p *Picture) Line(a, b Point, style Style) { p.Polyline([]Point{a, b}, style) }

// Polyline draws from point to point.
func (p *Picture) Polyline(points []Point, style Style) { p.Path(through(points), style) }

// Polygon draws an area with straight edges.
func (p *Picture) Polygon(corners []Point, style Style) {
	if path := through(corners); len(corners) > 0 {
		p.Path(*path.Close(), style)
	}
}

func through(points []Point) (path Path) {
	for _, q := range points {
		path.Line(q.X, q.Y)
	}
	return path
}

// Rect draws an upright rectangle from its corner of least x and y.
func (p *Picture) Rect(x, y, width, height float64, style Style) {
	p.Polygon([]Point{{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}}, style)
}

// Circle draws a circle about x, y.
func (p *Picture) Circle(x, y, radius float64, style Style) {
	var path Path
	p.Path(*path.Arc(x, y, radius, 0, 360).Close(), style)
}

// Arc draws a part of a circle about x, y, from one angle to another, degrees.
func (p *Picture) Arc(x, y, radius, from, to float64, style Style) {
	var path Path
	p.Path(*path.Arc(x, y, radius, from, to), style)
}

// Arrow draws from point to point with a head at the last.
func (p *Picture) Arrow(points []Point, style Style) {
	if len(points) < 2 {
		return
	}
	points = slices.Clone(points)
	for i := range points {
		points[i] = p.paper(points[i])
	}
	tip := points[len(points)-1]
	back := unit(points[len(points)-2].less(tip))
	length := 2 + 2*style.width()
	points[len(points)-1] = tip.plus(back, length/2) // the line ends inside the head
	p.onPaper(func() {
		p.Polyline(points, style)
		p.head(tip, back, length, style.Stroke)
	})
}

// head is a slim arrowhead, in millimetres of paper.
func (p *Picture) head(tip, back Point, length float64, ink Ink) {
	base, across := tip.plus(back, length), Point{-back.Y, back.X}
	p.Polygon([]Point{tip, base.plus(across, length/5), base.plus(across, -length/5)}, Style{Fill: ink})
}

// unit is a step of one along q, or to the right where q is no step at all.
func unit(q Point) Point {
	if l := q.length(); l > 0 {
		return Point{q.X / l, q.Y / l}
	}
	return Point{1, 0}
}

// Wood draws a piece of timber seen from the side: its outline, and its grain
// along the longest edge.
func (p *Picture) Wood(corners ...Point) {
	p.Polygon(corners, Style{Fill: Paper})
	longest := Point{1, 0}
	for i, q := range corners {
		edge := p.paper(q).less(p.paper(corners[(i+1)%len(corners)]))
		if edge.length() > longest.length()+1e-6 {
			longest = edge
		}
	}
	if p.err == nil && len(corners) > 2 {
		outline := through(corners)
		p.grain(*outline.Close(), angleOf(longest))
	}
	p.Polygon(corners, Style{Stroke: Pen, Width: Medium})
}

// Section draws a piece of timber cut through: its outline and hatching.
func (p *Picture) Section(corners ...Point) {
	p.Polygon(corners, Style{Stroke: Pen, Width: Medium, Fill: Paper, Hatch: Hatch{Gap: 1.4, Turn: -45}})
}

// Block draws one part of a block diagram, its corner of least x and y at x, y:
// a box with its name and, smaller, what there is to say of it.
func (p *Picture) Block(x, y, width, height float64, name string, about ...string) {
	p.Rect(x, y, width, height, Style{Stroke: Pen, Width: Medium, Fill: Paper})
	middle := p.paper(Point{x + width/2, y + height/2})
	const line = 1.35 * small
	top := middle.Y - line*float64(len(about))/2
	p.onPaper(func() {
		p.Text(middle.X, top, name, Lettering{Bold: true, Anchor: Middle, Centred: true})
		for i, words := range about {
			p.Text(middle.X, top+line*float64(i+1)+0.3, words, Lettering{Size: small, Anchor: Middle, Centred: true})
		}
	})
}
