// Package chart puts marks, axes and dimension lines on a canvas measured in
// millimetres. A picture is a list of marks: the same list is written as SVG
// and drawn into a page of a PDF, true to scale.
//
// X grows to the right and y down the paper. Angles are in degrees, from the x
// axis towards the y axis: clockwise on the paper. Positions and radii may be
// scaled with At and AtUp; letters, line widths, arrowheads and the distance of
// a dimension line from what it measures always keep their size on paper.
package chart

import (
	"fmt"
	"math"
)

// Point is a place on the canvas, in millimetres, or in the units of the At
// that surrounds it.
type Point struct{ X, Y float64 }

// Picture is a canvas and the marks on it, the oldest undermost.
type Picture struct {
	Width, Height      float64 // mm
	Title, Description string  // for those who listen instead of look
	marks              []mark
	frame              frame
	err                error
}

// mark is a path or, where there are words, a line of text at a point; both
// in millimetres of paper.
type mark struct {
	path  Path
	style Style
	words string
	at    Point
	hand  Lettering
}

// frame turns positions of a drawing into positions on paper.
type frame struct{ origin, scale Point }

func (f frame) to(p Point) Point {
	return Point{f.origin.X + f.scale.X*p.X, f.origin.Y + f.scale.Y*p.Y}
}

// New returns an empty picture of a width and height in mm.
func New(width, height float64) *Picture {
	p := &Picture{Width: width, Height: height, frame: frame{scale: Point{1, 1}}}
	if !(width > 0 && height > 0 && width < tooFar && height < tooFar) {
		p.fail("a canvas of %g by %g mm: both must be above nothing", width, height)
	}
	return p
}

// At moves and scales everything that draw draws: its zero lies at x, y, and
// one of its units is scale (above 0) of the present ones. At may nest.
func (p *Picture) At(x, y, scale float64, draw func()) { p.within(x, y, scale, scale, draw) }

// AtUp is At with y growing up the paper, as heights above the ground do; its
// angles are anticlockwise on the paper.
func (p *Picture) AtUp(x, y, scale float64, draw func()) { p.within(x, y, scale, -scale, draw) }

func (p *Picture) within(x, y, right, down float64, draw func()) {
	if !(right > 0) {
		p.fail("a scale of %g: it must be above nothing", right)
		return
	}
	outer := p.frame
	p.frame = frame{outer.to(Point{x, y}), Point{outer.scale.X * right, outer.scale.Y * down}}
	draw()
	p.frame = outer
}

// paper is where a point of the drawing lies on the canvas, in mm.
func (p *Picture) paper(q Point) Point { return p.frame.to(q) }

// onPaper draws in millimetres of paper, whatever At surrounds it.
func (p *Picture) onPaper(draw func()) {
	outer := p.frame
	p.frame = frame{scale: Point{1, 1}}
	draw()
	p.frame = outer
}

// Err is the first thing that could not be drawn, nil where all could. SVG
// and PDF report it too.
func (p *Picture) Err() error { return p.err }

func (p *Picture) fail(format string, figures ...any) {
	if p.err == nil {
		p.err = fmt.Errorf("drawing: "+format, figures...)
	}
}

// tooFar is further from the canvas's corner, in mm, than any paper reaches.
const tooFar = 1e5

func (p *Picture) sound(q Point) bool {
	if math.Abs(q.X) < tooFar && math.Abs(q.Y) < tooFar {
		return true
	}
	p.fail("a mark at %g, %g mm is nowhere on paper", q.X, q.Y)
	return false
}

// Box is the smallest upright rectangle around all marks, line widths and
// letters included, in mm: its top left and bottom right corners. It lies
// within 0, 0 and Width, Height where nothing is cut off. An empty picture has
// an empty one at 0, 0.
func (p *Picture) Box() (least, most Point) {
	if len(p.marks) == 0 {
		return least, most
	}
	b := bounds{Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}}
	for _, m := range p.marks {
		if m.words != "" {
			for _, corner := range m.corners() {
				b.take(corner, 0)
			}
			continue
		}
		for _, run := range m.path.flat() {
			for _, q := range run {
				b.take(q, m.style.reach())
			}
		}
	}
	return b.least, b.most
}

type bounds struct{ least, most Point }

func (b *bounds) take(q Point, reach float64) {
	b.least = Point{min(b.least.X, q.X-reach), min(b.least.Y, q.Y-reach)}
	b.most = Point{max(b.most.X, q.X+reach), max(b.most.Y, q.Y+reach)}
}

// Clashes lists every two texts whose letters run into each other, so that a
// test can ask for none.
func (p *Picture) Clashes() []string {
	var found []string
	var texts []mark
	for _, m := range p.marks {
		if m.words == "" {
			continue
		}
		for _, other := range texts {
			if overlap(m.corners(), other.corners()) {
				found = append(found, fmt.Sprintf("%q over %q", m.words, other.words))
			}
		}
		texts = append(texts, m)
	}
	return found
}

// overlap tells whether two rectangles, turned any way, share ground: they do
// unless a side of one separates them.
func overlap(a, b [4]Point) bool {
	for _, box := range [2][4]Point{a, b} {
		for side := range 2 {
			axis := box[side+1].less(box[side])
			leastA, mostA := spanAlong(axis, a)
			leastB, mostB := spanAlong(axis, b)
			if mostA <= leastB || mostB <= leastA {
				return false
			}
		}
	}
	return true
}

func spanAlong(axis Point, box [4]Point) (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for _, q := range box {
		reach := axis.X*q.X + axis.Y*q.Y
		least, most = min(least, reach), max(most, reach)
	}
	return least, most
}

func (q Point) plus(step Point, times float64) Point {
	return Point{q.X + step.X*times, q.Y + step.Y*times}
}

func (q Point) less(r Point) Point { return Point{q.X - r.X, q.Y - r.Y} }

func (q Point) length() float64 { return math.Hypot(q.X, q.Y) }

// direction is the unit step an angle in degrees points along.
func direction(angle float64) Point {
	sin, cos := math.Sincos(angle * math.Pi / 180)
	return Point{cos, sin}
}

// angleOf is the inverse of direction, -180..180 degrees.
func angleOf(q Point) float64 { return math.Atan2(q.Y, q.X) * 180 / math.Pi }
