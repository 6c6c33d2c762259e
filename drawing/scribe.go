package drawing

import (
	"math"
	"slices"
	"strconv"
	"time"

	"turnsole/chart"
)

// scribe draws on a picture and remembers where letters and lines are, so that
// letters are only put where there is room for them.
type scribe struct {
	*chart.Picture
	size  float64 // of letters, mm
	taken []quad
}

// quad is a rectangle on paper, turned any way.
type quad [4]chart.Point

// place is where a text could stand, with its capitals' middle at the point.
type place struct {
	chart.Point
	anchor chart.Anchor
}

// Margins and gaps, mm.
const (
	margin = 1.0
	gap    = 1.2
)

// newScribe opens a picture. The letters follow its size, from those of a thumb
// nail to those of a full sheet.
func newScribe(width, height float64, title, description string) *scribe {
	p := chart.New(width, height)
	p.Title, p.Description = title, description
	return &scribe{Picture: p, size: min(max(min(width, 1.25*height)/32, 2.1), 3)}
}

// write puts a text at the first of some places where it lies on the paper and
// clear of all that is taken, and reports whether there was one.
func (s *scribe) write(words string, hand chart.Lettering, places ...place) bool {
	if hand.Size == 0 {
		hand.Size = s.size
	}
	hand.Centred = true
	for _, at := range places {
		hand.Anchor = at.anchor
		box := textBox(words, hand, at.Point)
		if !s.onSheet(box) || s.isTaken(box) {
			continue
		}
		s.Text(at.X, at.Y, words, hand)
		s.taken = append(s.taken, box)
		return true
	}
	return false
}

// textBox is the rectangle that a text fills, with a little air around it.
func textBox(words string, hand chart.Lettering, at chart.Point) quad {
	const air = 0.35
	long := hand.Width(words)
	left := -float64(hand.Anchor)/2*long - air
	right := left + long + 2*air
	top, bottom := -0.37*hand.Size-air, 0.58*hand.Size+air/2
	sin, cos := math.Sincos(hand.Turn * math.Pi / 180)
	to := func(x, y float64) chart.Point { return chart.Point{X: at.X + x*cos - y*sin, Y: at.Y + x*sin + y*cos} }
	return quad{to(left, top), to(right, top), to(right, bottom), to(left, bottom)}
}

func (s *scribe) onSheet(box quad) bool {
	for _, q := range box {
		if q.X < margin/2 || q.Y < margin/2 || q.X > s.Width-margin/2 || q.Y > s.Height-margin/2 {
			return false
		}
	}
	return true
}

func (s *scribe) isTaken(box quad) bool {
	for _, other := range s.taken {
		if overlap(box, other) {
			return true
		}
	}
	return false
}

// keepOff takes the ground under a line, so that no letters cross it.
func (s *scribe) keepOff(points ...chart.Point) {
	const half = 0.25
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		if long == 0 {
			continue
		}
		x, y := -(b.Y-a.Y)/long*half, (b.X-a.X)/long*half
		s.taken = append(s.taken, quad{{X: a.X + x, Y: a.Y + y}, {X: b.X + x, Y: b.Y + y}, {X: b.X - x, Y: b.Y - y}, {X: a.X - x, Y: a.Y - y}})
	}
}

// keepArea takes an upright rectangle.
func (s *scribe) keepArea(x, y, width, height float64) {
	s.taken = append(s.taken, quad{{X: x, Y: y}, {X: x + width, Y: y}, {X: x + width, Y: y + height}, {X: x, Y: y + height}})
}

// overlap tells whether two rectangles share ground: they do unless a side of
// one of them separates them.
func overlap(a, b quad) bool {
	for _, box := range [2]quad{a, b} {
		for side := range 2 {
			x, y := box[side+1].X-box[side].X, box[side+1].Y-box[side].Y
			leastA, mostA := reach(a, x, y)
			leastB, mostB := reach(b, x, y)
			if mostA <= leastB || mostB <= leastA {
				return false
			}
		}
	}
	return true
}

func reach(box quad, x, y float64) (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for _, q := range box {
		along := x*q.X + y*q.Y
		least, most = min(least, along), max(most, along)
	}
	return least, most
}

// around are the places beside a point, the right one first.
func around(p chart.Point, off float64) []place {
	x, y := p.X, p.Y
	slant := 0.75 * off
	return []place{
		{chart.Point{X: x + off, Y: y}, chart.Start}, {chart.Point{X: x - off, Y: y}, chart.End},
		{chart.Point{X: x, Y: y - off - 1}, chart.Middle}, {chart.Point{X: x, Y: y + off + 1}, chart.Middle},
		{chart.Point{X: x + slant, Y: y - slant - 0.7}, chart.Start}, {chart.Point{X: x - slant, Y: y - slant - 0.7}, chart.End},
		{chart.Point{X: x + slant, Y: y + slant + 0.7}, chart.Start}, {chart.Point{X: x - slant, Y: y + slant + 0.7}, chart.End},
	}
}

// beside are places for words on both sides of a line at a point: along is the
// line's step there, off the gap in mm. The side that away points to is first.
func (s *scribe) beside(at, along, away chart.Point, words string, hand chart.Lettering, off float64) (places []place) {
	normal := chart.Point{X: -along.Y, Y: along.X}
	if normal.X*away.X+normal.Y*away.Y < 0 {
		normal = chart.Point{X: -normal.X, Y: -normal.Y}
	}
	if hand.Size == 0 {
		hand.Size = s.size
	}
	reach := off + math.Abs(normal.X)*hand.Width(words)/2 + math.Abs(normal.Y)*0.4*hand.Size
	for _, by := range []float64{reach, -reach, reach + 1.2, -reach - 1.2} {
		places = append(places, place{chart.Point{X: at.X + by*normal.X, Y: at.Y + by*normal.Y}, chart.Middle})
	}
	return places
}

// follow draws a line that no letters may cross.
func (s *scribe) follow(line []chart.Point, style chart.Style) {
	s.Polyline(line, style)
	s.keepOff(line...)
}

// hourRank orders the hours of a day by how soon they are written where there
// is little room: noon, then every third, every other, the rest, and parts of
// hours.
func hourRank(t time.Time) int {
	switch h := t.Hour(); {
	case t.Minute() != 0:
		return 4
	case h == 12:
		return 0
	case h%3 == 0:
		return 1
	case h%2 == 0:
		return 2
	}
	return 3
}

// caption writes a bold line and under it notes, folded to the width, from the
// top left; it returns where the picture below may begin. Notes take up to half
// of the height.
func (s *scribe) caption(title string, notes ...string) float64 {
	y := margin + s.size*0.5
	line := 1.25 * s.size
	room := s.Height / 2
	put := func(words string, hand chart.Lettering) {
		hand.Size, hand.Centred = s.size, true
		if y < room || y < line {
			s.Text(margin, y, words, hand)
			s.taken = append(s.taken, textBox(words, hand, chart.Point{X: margin, Y: y}))
			y += line
		}
	}
	wide := s.Width - 2*margin
	for _, words := range foldBold(title, wide, s.size) {
		put(words, chart.Lettering{Bold: true})
	}
	for _, note := range notes {
		for _, words := range chart.Fold(note, wide, s.size) {
			put(words, chart.Lettering{})
		}
	}
	return y - 0.3*s.size
}

// foldBold breaks a bold text so that no line is longer than wide.
func foldBold(text string, wide, size float64) (lines []string) {
	bold := chart.Lettering{Bold: true, Size: size}
	for least := wide; least > wide/2; least -= wide / 50 {
		lines = chart.Fold(text, least, size)
		if !slices.ContainsFunc(lines, func(line string) bool { return bold.Width(line) > wide }) {
			break
		}
	}
	return lines
}

// dimension measures between two points of paper with a label, where there is
// room for it; offset is as for chart's Dimension.
func (s *scribe) dimension(from, to chart.Point, offset float64, label string) bool {
	long := math.Hypot(to.X-from.X, to.Y-from.Y)
	if long < 1 {
		return false
	}
	along := chart.Point{X: (to.X - from.X) / long, Y: (to.Y - from.Y) / long}
	a := chart.Point{X: from.X - along.Y*offset, Y: from.Y + along.X*offset}
	b := chart.Point{X: to.X - along.Y*offset, Y: to.Y + along.X*offset}
	turn := readable(math.Atan2(along.Y, along.X) * 180 / math.Pi)
	hand := chart.Lettering{Turn: turn, Size: s.size}
	reach := offset + math.Copysign(2, offset)
	if hand.Width(label)+2.5 > long || !s.onSheet(quad{a, b, {X: from.X - along.Y*reach, Y: from.Y + along.X*reach}, {X: to.X - along.Y*reach, Y: to.Y + along.X*reach}}) {
		return false
	}
	sin, cos := math.Sincos((turn - 90) * math.Pi / 180)
	lift := 0.9 + 0.36*s.size
	var places []place
	for _, share := range []float64{0.5, 0.35, 0.65} {
		places = append(places, place{chart.Point{X: a.X + share*(b.X-a.X) + cos*lift, Y: a.Y + share*(b.Y-a.Y) + sin*lift}, chart.Middle})
	}
	if !s.write(label, hand, places...) {
		return false
	}
	s.Dimension(from, to, offset, "")
	s.keepOff(a, b)
	return true
}

// readable turns an angle by half a turn where letters would stand on their
// heads.
func readable(angle float64) float64 {
	const hair = 1e-6
	for angle >= 90-hair {
		angle -= 180
	}
	for angle < -90-hair {
		angle += 180
	}
	return angle
}

// view turns metres, with y up, into paper.
type view struct {
	zero chart.Point
	mm   float64 // of paper for a metre
}

func (v view) to(q chart.Point) chart.Point {
	return chart.Point{X: v.zero.X + v.mm*q.X, Y: v.zero.Y - v.mm*q.Y}
}

// extent is an upright rectangle.
type extent struct{ x0, y0, x1, y1 float64 }

func nothing() extent { return extent{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)} }

func (e *extent) take(points ...chart.Point) {
	for _, q := range points {
		if math.IsNaN(q.X) || math.IsNaN(q.Y) {
			continue
		}
		e.x0, e.x1 = min(e.x0, q.X), max(e.x1, q.X)
		e.y0, e.y1 = min(e.y0, q.Y), max(e.y1, q.Y)
	}
}

// fit returns the view that shows a world on a part of the paper as large as it
// will go, in its middle.
func fit(world, paper extent) view {
	wide, high := max(world.x1-world.x0, 1e-3), max(world.y1-world.y0, 1e-3)
	mm := max(min((paper.x1-paper.x0)/wide, (paper.y1-paper.y0)/high), 1e-3)
	x := (paper.x0+paper.x1)/2 - mm*(world.x0+world.x1)/2
	y := (paper.y0+paper.y1)/2 + mm*(world.y0+world.y1)/2
	return view{chart.Point{X: x, Y: y}, mm}
}

// scaleBar draws a bar of a round length, at most longest mm of paper, with its
// left end at x, y.
func (s *scribe) scaleBar(x, y, longest, mmPerM float64) {
	metres := math.Pow(10, math.Floor(math.Log10(longest/mmPerM)))
	for _, f := range []float64{5, 2} {
		if f*metres*mmPerM <= longest {
			metres *= f
			break
		}
	}
	label := millimetres(metres)
	long := metres * mmPerM
	if !s.write(label, chart.Lettering{Size: 0.9 * s.size}, place{chart.Point{X: x + long + gap, Y: y}, chart.Start}) {
		return
	}
	line := chart.Style{Stroke: chart.Pen, Width: chart.Thin}
	s.Rect(x, y-0.5, long/2, 1, chart.Style{Stroke: chart.Pen, Fill: chart.Pen})
	s.Rect(x+long/2, y-0.5, long/2, 1, line)
	s.keepArea(x, y-0.5, long, 1)
}

// millimetres writes a length in whole millimetres.
func millimetres(m float64) string {
	return strconv.FormatFloat(math.Round(m*1000)+0, 'f', -1, 64) + " mm"
}

// whole writes a length in whole millimetres, without the unit.
func whole(m float64) string { return strconv.FormatFloat(math.Round(m*1000)+0, 'f', -1, 64) }

// degrees writes an angle to a tenth of a degree, whole ones without.
func degrees(a float64) string {
	return strconv.FormatFloat(math.Round(a*10)/10+0, 'f', -1, 64) + "°"
}

// sun draws the sun, radius mm wide.
func (s *scribe) sun(at chart.Point, radius float64) {
	s.Circle(at.X, at.Y, radius, chart.Style{Stroke: chart.Light, Width: chart.Medium, Fill: chart.Glow})
	for i := range 12 {
		sin, cos := math.Sincos(float64(i) * math.Pi / 6)
		s.Line(chart.Point{X: at.X + 1.35*radius*cos, Y: at.Y + 1.35*radius*sin}, chart.Point{X: at.X + 1.75*radius*cos, Y: at.Y + 1.75*radius*sin},
			chart.Style{Stroke: chart.Light, Width: chart.Medium})
	}
	s.keepArea(at.X-1.8*radius, at.Y-1.8*radius, 3.6*radius, 3.6*radius)
}
