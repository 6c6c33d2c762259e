package chart

import (
	"math"
	"slices"
	"strconv"
)

// What a dimension is made of, in mm of paper.
const (
	figure    = 3.0 // size of its label
	away      = 1.2 // gap between an edge and its extension line
	past      = 1.6 // how far lines go on beyond where they meet
	tick      = 1.3 // half the slanting stroke where they meet
	clearance = 0.9 // between a line and the label on it
)

// Dimension measures from one point to another: a line along the distance,
// offset mm of paper to the right-hand side as one walks from the first to the
// second (to the left where negative), joined to them by extension lines, with
// the label on it, readable from the foot or the right side of the sheet. A
// label that is longer than the distance stands beyond the second point.
func (p *Picture) Dimension(from, to Point, offset float64, label string) {
	a, b := p.paper(from), p.paper(to)
	if !p.sound(a) || !p.sound(b) || !p.sound(Point{offset, 0}) {
		return
	}
	along := unit(b.less(a))
	side := Point{-along.Y, along.X}
	p.onPaper(func() {
		p.extend(a, side, offset)
		p.extend(b, side, offset)
		p.measure(a.plus(side, offset), b.plus(side, offset), along, label)
	})
}

// measure is the dimension line itself, in mm of paper.
func (p *Picture) measure(a, b, along Point, label string) {
	hand := Lettering{Size: figure, Anchor: Middle, Turn: readable(angleOf(along))}
	long, wide := b.less(a).length(), hand.Width(label)
	begin, end, middle := a.plus(along, -past/2), b.plus(along, past/2), a.plus(along, long/2)
	if wide+2*tick > long {
		middle = b.plus(along, past+wide/2)
		end = b.plus(along, past+wide)
	}
	p.Line(begin, end, Style{Stroke: Pen})
	slant := direction(hand.Turn - 45)
	for _, meet := range [2]Point{a, b} {
		p.Line(meet.plus(slant, -tick), meet.plus(slant, tick), Style{Stroke: Pen, Width: Medium})
	}
	at := middle.plus(direction(hand.Turn-90), clearance)
	p.Text(at.X, at.Y, label, hand)
}

// extend draws the line from a measured point to its dimension line.
func (p *Picture) extend(q, side Point, offset float64) {
	if math.Abs(offset) <= away {
		return
	}
	sign := math.Copysign(1, offset)
	p.Line(q.plus(side, sign*away), q.plus(side, offset+sign*past), Style{Stroke: Pen})
}

// readable turns an angle by half a turn where letters along it would stand
// on their heads: the result is -90 (upwards) or more, and below 90.
func readable(angle float64) float64 {
	angle = math.Mod(angle, 360)
	// A hair's breadth, so that upright lines all read upwards.
	const hair = 1e-6
	for angle >= 90-hair {
		angle -= 180
	}
	for angle < -90-hair {
		angle += 180
	}
	return angle
}

// RunningDimensions measures several stops from one end, as one marks them
// out along a rule without moving it: stops are distances from the first point
// towards the second, in the units of the drawing, and labels their figures
// (nil writes the distances, to a tenth). The line is offset mm of paper to
// the right-hand side, as in Dimension; the figures stand beyond it, crosswise,
// and make way for each other where stops are close.
func (p *Picture) RunningDimensions(from, to Point, stops []float64, offset float64, labels []string) {
	if labels == nil {
		labels = figures(stops)
	}
	if len(labels) != len(stops) {
		p.fail("%d stops with %d labels", len(stops), len(labels))
		return
	}
	along := unit(to.less(from))
	a, b := p.paper(from), p.paper(to)
	ends := make([]Point, len(stops))
	for i, stop := range stops {
		ends[i] = p.paper(from.plus(along, stop))
		if !p.sound(ends[i]) {
			return
		}
	}
	if !p.sound(a) || !p.sound(b) || !p.sound(Point{offset, 0}) {
		return
	}
	r := running{origin: a, along: unit(b.less(a)), offset: offset}
	p.onPaper(func() { p.runThrough(r, ends, labels) })
}

func figures(stops []float64) (labels []string) {
	for _, stop := range stops {
		labels = append(labels, strconv.FormatFloat(math.Round(stop*10)/10+0, 'f', -1, 64))
	}
	return labels
}

// running is a line of running dimensions in mm of paper.
type running struct {
	origin, along Point
	offset        float64
}

func (r running) side() Point { return Point{-r.along.Y, r.along.X} }

func (p *Picture) runThrough(r running, ends []Point, labels []string) {
	side, sign := r.side(), math.Copysign(1, r.offset)
	furthest, places := 0.0, make([]float64, len(ends))
	for i, q := range ends {
		step := q.less(r.origin)
		places[i] = step.X*r.along.X + step.Y*r.along.Y
		furthest = max(furthest, places[i])
	}
	zero := r.origin.plus(side, r.offset)
	p.extend(r.origin, side, r.offset)
	p.Line(zero, zero.plus(r.along, furthest), Style{Stroke: Pen})
	p.Circle(zero.X, zero.Y, 0.9, Style{Stroke: Pen, Width: Thin, Fill: Paper})
	for i, place := range apart(places, 1.05*figure) {
		meet := zero.plus(r.along, places[i])
		p.extend(ends[i], side, r.offset)
		if places[i] > 1 {
			p.head(meet, Point{-r.along.X, -r.along.Y}, 2.2, Pen)
		}
		knee := meet.plus(side, sign*past)
		foot := zero.plus(r.along, place).plus(side, sign*(past+2))
		p.Line(knee, foot, Style{Stroke: Pen})
		p.crosswise(foot, Point{side.X * sign, side.Y * sign}, labels[i])
	}
}

// crosswise writes a figure outwards from a line of running dimensions.
func (p *Picture) crosswise(foot, outwards Point, label string) {
	hand := Lettering{Size: figure, Turn: readable(angleOf(outwards)), Centred: true}
	if reading := direction(hand.Turn); reading.X*outwards.X+reading.Y*outwards.Y < 0 {
		hand.Anchor = End
	}
	at := foot.plus(outwards, 0.7)
	p.Text(at.X, at.Y, label, hand)
}

// apart moves places along a line as little as it can (least squares) so that
// in their order each is at least gap beyond the one before. It pools
// neighbours that would collide and centres each pool (isotonic regression,
// Ayer et al. 1955).
func apart(places []float64, gap float64) []float64 {
	order := make([]int, len(places))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return compare(places[a], places[b]) })
	type pool struct{ mean, size float64 }
	var pools []pool
	for i, k := range order {
		next := pool{places[k] - float64(i)*gap, 1}
		for len(pools) > 0 && pools[len(pools)-1].mean > next.mean {
			last := pools[len(pools)-1]
			size := last.size + next.size
			next = pool{(last.mean*last.size + next.mean*next.size) / size, size}
			pools = pools[:len(pools)-1]
		}
		pools = append(pools, next)
	}
	moved, i := make([]float64, len(places)), 0
	for _, pool := range pools {
		for range int(pool.size) {
			moved[order[i]] = pool.mean + float64(i)*gap
			i++
		}
	}
	return moved
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// AngleMark draws the arc between two directions (degrees) at a centre, radius
// mm of paper from it, and the label beside its middle.
func (p *Picture) AngleMark(centre Point, from, to, radius float64, label string) {
	c := p.paper(centre)
	if !p.sound(c) || !p.sound(Point{from, to}) || !(radius > 0 && radius < tooFar) {
		p.fail("an angle from %g to %g degrees at %g mm", from, to, radius)
		return
	}
	if p.frame.scale.Y < 0 {
		from, to = -from, -to
	}
	p.onPaper(func() {
		p.Arc(c.X, c.Y, radius, from, to, Style{Stroke: Pen})
		p.arcHeads(c, from, to, radius)
		outwards := direction((from + to) / 2)
		hand := Lettering{Size: figure, Anchor: Middle, Centred: true}
		// Half the label's extent in the direction it is pushed.
		reach := math.Abs(outwards.X)*hand.Width(label)/2 + math.Abs(outwards.Y)*figure*capitals/2
		at := c.plus(outwards, radius+clearance+reach)
		p.Text(at.X, at.Y, label, hand)
	})
}

// arcHeads puts arrowheads on an arc that is long enough for two.
func (p *Picture) arcHeads(c Point, from, to, radius float64) {
	const length = 2.2
	if math.Abs(to-from)*math.Pi/180*radius < 3*length {
		return
	}
	half := math.Copysign(length/radius*90/math.Pi, to-from) // half a head, in degrees
	p.head(c.plus(direction(from), radius), chord(from, from+2*half), length, Pen)
	p.head(c.plus(direction(to), radius), chord(to, to-2*half), length, Pen)
}

// chord is the direction from one point of a circle to another.
func chord(from, to float64) Point { return unit(direction(to).less(direction(from))) }
