package drawing

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
)

// Piece draws one piece of a cut list from the side with running dimensions
// from its left end, on a picture so many mm wide and as high as it needs.
// Where it is too long for that, stretches without a mark are broken out.
// Label writes a length in metres.
func Piece(p *answer.Piece, width float64, label func(m float64) string) *chart.Picture {
	labels, longest := pieceLabels(p, label)
	const caption, above, under = 6.0, 4.0, 7.0
	a := pieceAxis(p, width-2*pieceEdge)
	high := p.HeightM * a.mm
	top := caption + above
	pic := chart.New(width, top+high+under+longest+7)
	pic.Title = fmt.Sprintf("%s: %s", p.Letter, p.Name)
	pic.Description = strings.Join(p.Remarks, "; ")
	pic.Text(0, 4.2, fmt.Sprintf("%s   %s, %d of them", p.Letter, p.Name, p.Count), chart.Lettering{Size: 3.6, Bold: true})
	size := fmt.Sprintf("%s long, %s x %s mm", label(p.LengthM), whole(p.HeightM), whole(p.ThickM))
	pic.Text(width, 4.2, size, chart.Lettering{Size: 3, Anchor: chart.End})
	outline(pic, p, a, top, high)
	for _, m := range p.Marks {
		pieceMark(pic, p, m, a, top, high)
	}
	var stops []float64
	for _, m := range p.Marks {
		stops = append(stops, a.at(m.AtM)-pieceEdge)
	}
	stops = append(stops, a.at(p.LengthM)-pieceEdge)
	pic.RunningDimensions(chart.Point{X: pieceEdge, Y: top + high}, chart.Point{X: pieceEdge + 1, Y: top + high}, stops, under-2, labels)
	return pic
}

// pieceEdge is the white to the left and right of a piece, mm: its outermost
// figures make way for each other.
const pieceEdge = 7.0

// pieceLabels are a piece's marks as they stand at its running dimensions, its
// end last, and the room that they need below the dimension line.
func pieceLabels(p *answer.Piece, label func(float64) string) (labels []string, longest float64) {
	for _, m := range p.Marks {
		words := label(m.AtM) + "  " + m.Name
		if m.Kind == answer.HoleMark {
			words += fmt.Sprintf(", hole %g", math.Round(m.DiameterM*1e4)/10)
		}
		labels = append(labels, words)
	}
	labels = append(labels, label(p.LengthM)+"  end")
	for _, words := range labels {
		longest = max(longest, chart.TextWidth(words, 3, false))
	}
	return labels, longest
}

// axis lays lengths along a piece out on paper.
type axis struct {
	mm     float64 // of paper for a metre
	breaks []broken
}

// broken is a stretch that is not drawn: from, to in metres.
type broken struct{ from, to float64 }

// pieceAxis fits a piece into a width. A piece that would come out thinner than
// 5 mm is drawn 8 mm thick, and where nothing is marked on it as much is left
// out as that asks for.
func pieceAxis(p *answer.Piece, width float64) axis {
	a := axis{mm: width / p.LengthM}
	const thinnest, wanted, thickest = 5.0, 8.0, 16.0
	if p.HeightM*a.mm >= thinnest {
		a.mm = min(a.mm, thickest/p.HeightM)
		return a
	}
	keep := p.HeightM // of wood on both sides of a mark
	from := keep
	for _, m := range p.Marks {
		a.leaveOut(from, m.AtM-keep)
		from = max(from, m.AtM+m.WidthM+keep)
	}
	a.leaveOut(from, p.LengthM-keep)
	empty := 0.0
	for _, b := range a.breaks {
		empty += b.to - b.from
	}
	if empty == 0 {
		return a
	}
	room := width - breakMM*float64(len(a.breaks))
	a.mm = min(wanted/p.HeightM, room/(p.LengthM-empty))
	share := (p.LengthM - room/a.mm) / empty
	for i, b := range a.breaks {
		middle, half := (b.from+b.to)/2, (b.to-b.from)/2*share
		a.breaks[i] = broken{middle - half, middle + half}
	}
	return a
}

// breakMM is the white in a break, mm of paper.
const breakMM = 3.0

func (a *axis) leaveOut(from, to float64) {
	if to-from > 0.03 {
		a.breaks = append(a.breaks, broken{from, to})
	}
}

// at is where a length lies on paper, from the picture's left edge.
func (a axis) at(m float64) float64 {
	x := pieceEdge
	from := 0.0
	for _, b := range a.breaks {
		if m <= b.from {
			break
		}
		x += (b.from - from) * a.mm
		if m < b.to {
			return x + breakMM*(m-b.from)/(b.to-b.from)
		}
		x, from = x+breakMM, b.to
	}
	return x + (m-from)*a.mm
}

// outline draws a piece's wood, with its notches, and its breaks.
func outline(pic *chart.Picture, p *answer.Piece, a axis, top, high float64) {
	foot := top + high
	corners := []chart.Point{{X: a.at(0), Y: foot}, {X: a.at(0), Y: top}}
	for _, m := range p.Marks {
		if m.Kind == answer.NotchMark && m.DepthM > 0 {
			from, to, deep := a.at(m.AtM), a.at(m.AtM+m.WidthM), top+high*min(1, m.DepthM/p.HeightM)
			corners = append(corners, chart.Point{X: from, Y: top}, chart.Point{X: from, Y: deep}, chart.Point{X: to, Y: deep}, chart.Point{X: to, Y: top})
		}
	}
	corners = append(corners, chart.Point{X: a.at(p.LengthM), Y: top}, chart.Point{X: a.at(p.LengthM), Y: foot})
	if p.Material == answer.Plywood {
		pic.Polygon(corners, chart.Style{Stroke: chart.Pen, Width: chart.Medium, Fill: chart.Paper, Hatch: chart.Hatch{Gap: 2.4, Turn: -45, Ink: chart.Faint}})
	} else {
		pic.Wood(corners...)
	}
	for _, b := range a.breaks {
		zigzag(pic, a.at(b.from), top, foot)
		zigzag(pic, a.at(b.to), top, foot)
	}
	for _, b := range a.breaks { // white between the two edges
		x := a.at(b.from) + 0.4
		pic.Rect(x, top-0.5, a.at(b.to)-0.4-x, high+1, chart.Style{Fill: chart.Paper})
	}
}

// zigzag is the edge of a break.
func zigzag(pic *chart.Picture, x, top, foot float64) {
	third := (foot - top) / 3
	pic.Polyline([]chart.Point{{X: x, Y: top - 1}, {X: x, Y: top + third}, {X: x - 0.8, Y: top + 1.3*third}, {X: x + 0.8, Y: top + 1.7*third}, {X: x, Y: top + 2*third}, {X: x, Y: foot + 1}},
		chart.Style{Stroke: chart.Pen})
}

func pieceMark(pic *chart.Picture, p *answer.Piece, m answer.Mark, a axis, top, high float64) {
	x := a.at(m.AtM)
	thin := chart.Style{Stroke: chart.Pen}
	behind := chart.Style{Stroke: chart.Pencil, Dash: []float64{1.2, 0.8}}
	switch {
	case m.Kind == answer.HoleMark && m.Upright:
		r := m.DiameterM / 2 * a.mm
		for _, side := range []float64{-r, r} {
			pic.Line(chart.Point{X: x + side, Y: top}, chart.Point{X: x + side, Y: top + high*0.6}, behind)
		}
	case m.Kind == answer.HoleMark:
		y := top + high*m.DownM/p.HeightM
		r := max(m.DiameterM/2*a.mm, 0.6)
		pic.Circle(x, y, r, chart.Style{Stroke: chart.Pen, Width: chart.Medium, Fill: chart.Paper})
		pic.Line(chart.Point{X: x - r - 1, Y: y}, chart.Point{X: x + r + 1, Y: y}, thin)
		pic.Line(chart.Point{X: x, Y: y - r - 1}, chart.Point{X: x, Y: y + r + 1}, thin)
	case m.Kind == answer.StopMark:
		pic.Line(chart.Point{X: x, Y: top - 2}, chart.Point{X: x, Y: top + high}, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
		pic.Polygon([]chart.Point{{X: x, Y: top - 0.4}, {X: x - 1.3, Y: top - 3}, {X: x + 1.3, Y: top - 3}}, chart.Style{Fill: chart.Pen})
	case m.Kind == answer.LineMark:
		pic.Line(chart.Point{X: x, Y: top - 3}, chart.Point{X: x, Y: top + high}, chart.Style{Stroke: chart.Pen, Dash: []float64{4, 1, 0.8, 1}})
	}
}

// Plate draws the axle plate from above with the base's arms under it, on a
// picture so many mm wide.
func Plate(p *answer.AxlePlate, width float64, label func(m float64) string) *chart.Picture {
	const edge, above, under = 16.0, 8.0, 10.0
	mm := min((width-2*edge)/p.LengthM, 74/p.WidthM)
	high := p.WidthM * mm
	stops, labels := plateStops(p, mm, label)
	longest := 0.0
	for _, words := range labels {
		longest = max(longest, chart.TextWidth(words, 3, false))
	}
	pic := chart.New(width, above+high+under+longest)
	pic.Title = "axle plate from above"
	left := (width - p.LengthM*mm) / 2
	pic.Rect(left, above, p.LengthM*mm, high, chart.Style{Stroke: chart.Pen, Width: chart.Medium, Fill: chart.Paper, Hatch: chart.Hatch{Gap: 2.4, Turn: -45, Ink: chart.Faint}})
	at := func(x, y float64) chart.Point { // metres from the axle
		return chart.Point{X: left + (p.AxleM+x)*mm, Y: above + high/2 + y*mm}
	}
	plateArms(pic, p, at)
	plateHoles(pic, p, at, mm)
	corner := chart.Point{X: left, Y: above + high}
	pic.RunningDimensions(corner, chart.Point{X: left + 1, Y: above + high}, stops, 5, labels)
	pic.Dimension(chart.Point{X: left, Y: above + high}, chart.Point{X: left, Y: above}, -6, label(p.WidthM))
	return pic
}

// plateStops are a plate's running dimensions: axle, shafts, motor and edge.
func plateStops(p *answer.AxlePlate, mm float64, label func(float64) string) (stops []float64, labels []string) {
	add := func(m float64, name string) {
		figure := label(m)
		if tenths := m * 1e4; math.Abs(tenths-10*math.Round(m*1000)) > 0.5 { // gears ask for more than whole millimetres
			figure = strconv.FormatFloat(math.Round(m*1e5)/100, 'f', -1, 64)
		}
		stops, labels = append(stops, m*mm), append(labels, figure+"  "+name)
	}
	add(p.AxleM, "axle")
	for _, m := range p.Shafts() {
		add(p.AxleM+m, "shaft")
	}
	if m := p.Motor; m != nil && m.AtM > 0 {
		add(p.AxleM+m.AtM, "motor")
	}
	add(p.LengthM, "edge")
	return stops, labels
}

// plateArms draws the beams that lie under a plate, as far as it covers them.
func plateArms(pic *chart.Picture, p *answer.AxlePlate, at func(x, y float64) chart.Point) {
	dash := chart.Style{Stroke: chart.Pencil, Dash: []float64{2, 1.2}}
	for _, arm := range p.Arms {
		sin, cos := arm.Sin(), arm.Cos()
		for _, side := range []float64{-p.ArmWideM / 2, p.ArmWideM / 2} {
			x0, y0 := -side*sin+p.ArmWideM*cos, side*cos+p.ArmWideM*sin
			long := toEdge(p, x0, y0, cos, sin)
			if long > 0 {
				pic.Line(at(x0, y0), at(x0+long*cos, y0+long*sin), dash)
			}
		}
	}
}

// toEdge is how far it is from a point of the plate to its edge in a direction.
func toEdge(p *answer.AxlePlate, x, y, cos, sin float64) float64 {
	long := math.Inf(1)
	reach := func(room, step float64) {
		if step > 1e-9 {
			long = min(long, room/step)
		}
	}
	reach(p.LengthM-p.AxleM-x, cos)
	reach(p.AxleM+x, -cos)
	reach(p.WidthM/2-y, sin)
	reach(p.WidthM/2+y, -sin)
	return long
}

// plateHoles draws what is bored and sawn on an axle plate: axle, motor and,
// thinly, the wheels' pitch circles. At turns metres from the axle into paper,
// mm is paper for a metre.
func plateHoles(pic *chart.Picture, p *answer.AxlePlate, at func(x, y float64) chart.Point, mm float64) {
	edge := chart.Style{Stroke: chart.Pen, Width: chart.Medium, Fill: chart.Paper}
	cross := chart.Style{Stroke: chart.Pen, Dash: []float64{4, 1, 0.8, 1}}
	for _, w := range p.Wheels {
		if r := w.DiameterM / 2; r > 0 && r <= p.WidthM/2 {
			c := at(w.AtM, 0)
			pic.Circle(c.X, c.Y, r*mm, chart.Style{Stroke: chart.Pencil, Dash: []float64{1.5, 1}})
		}
	}
	axle := at(0, 0)
	pic.Circle(axle.X, axle.Y, p.AxleHoleM/2*mm, edge)
	far := 0.0
	if m := p.Motor; m != nil {
		far = m.AtM
		motorFace(pic, m, at, mm, edge)
		c := at(m.AtM, 0)
		pic.Line(chart.Point{X: c.X, Y: c.Y - (m.FaceM/2+0.01)*mm}, chart.Point{X: c.X, Y: c.Y + (m.FaceM/2+0.01)*mm}, cross)
	}
	for _, m := range p.Shafts() {
		c := at(m, 0)
		far = max(far, m)
		pic.Line(chart.Point{X: c.X, Y: c.Y - p.AxleHoleM*mm}, chart.Point{X: c.X, Y: c.Y + p.AxleHoleM*mm}, cross)
	}
	a, b := at(-p.AxleHoleM, 0), at(far+p.AxleHoleM, 0)
	pic.Line(a, b, cross)
	pic.Line(chart.Point{X: axle.X, Y: axle.Y - p.AxleHoleM*mm}, chart.Point{X: axle.X, Y: axle.Y + p.AxleHoleM*mm}, cross)
}

// motorFace draws a motor's face: its edge, the raised ring and the bolts.
func motorFace(pic *chart.Picture, m *answer.PlateMotor, at func(x, y float64) chart.Point, mm float64, edge chart.Style) {
	corner := at(m.AtM-m.FaceM/2, -m.FaceM/2)
	pic.Rect(corner.X, corner.Y, m.FaceM*mm, m.FaceM*mm, chart.Style{Stroke: chart.Pen, Fill: chart.Paper})
	c := at(m.AtM, 0)
	pic.Circle(c.X, c.Y, m.BossM/2*mm, edge)
	for _, x := range []float64{-m.BoltsM / 2, m.BoltsM / 2} {
		for _, y := range []float64{-m.BoltsM / 2, m.BoltsM / 2} {
			q := at(m.AtM+x, y)
			pic.Circle(q.X, q.Y, max(m.HoleM/2*mm, 0.3), edge)
		}
	}
}
