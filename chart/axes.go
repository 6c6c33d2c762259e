package chart

import (
	"math"
	"strconv"
	"strings"
)

// Axes is a rectangle of the picture whose places stand for two quantities,
// x growing to the right and y up.
type Axes struct {
	X, Y, W, H     float64 // its top left corner and size on the picture
	XMin, XMax     float64
	YMin, YMax     float64
	XLabel, YLabel string
	XTicks, YTicks []Tick // nil: round figures; empty: none
}

// Tick is a place on an axis and what is written there.
type Tick struct {
	At    float64
	Label string
}

// To is where the values x and y are on the picture.
func (a Axes) To(x, y float64) Point {
	return Point{
		a.X + a.W*(x-a.XMin)/(a.XMax-a.XMin),
		a.Y + a.H*(a.YMax-y)/(a.YMax-a.YMin),
	}
}

// Ticks are round figures (1, 2 or 5 times a power of ten apart) from least to
// most, as near to the wanted number as such steps allow.
func Ticks(least, most float64, wanted int) []Tick {
	span := most - least
	if !(span > 0) || math.IsInf(span, 0) || wanted < 1 {
		return nil
	}
	exponent := math.Floor(math.Log10(span / float64(wanted)))
	step := math.Pow(10, exponent)
	for _, factor := range []float64{2, 2.5, 2} { // to 2, 5, 10 times the power
		if span/step <= float64(wanted)*1.6 {
			break
		}
		step *= factor
	}
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var ticks []Tick
	first := math.Ceil(least/step - 1e-9)
	for k := first; k*step <= most+span*1e-9 && len(ticks) < 2*wanted+2; k++ {
		ticks = append(ticks, Tick{k * step, number(k*step, decimals)})
	}
	return ticks
}

// number writes a figure with the sign that is as wide as a plus.
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// small is the size of the letters on axes, mm.
const small = 2.6

// Axes draws the grid, the figures and the names of two axes.
func (p *Picture) Axes(a Axes) {
	if !(a.XMax > a.XMin && a.YMax > a.YMin && a.W > 0 && a.H > 0) {
		p.fail("axes from %g to %g and %g to %g on %g by %g", a.XMin, a.XMax, a.YMin, a.YMax, a.W, a.H)
		return
	}
	if a.XTicks == nil {
		a.XTicks = Ticks(a.XMin, a.XMax, max(2, int(a.W*p.frame.scale.X/16)))
	}
	if a.YTicks == nil {
		a.YTicks = Ticks(a.YMin, a.YMax, max(2, int(a.H*p.frame.scale.X/10)))
	}
	p.grid(a)
	bottom, left := p.paper(a.To(a.XMin, a.YMin)), p.paper(a.To(a.XMin, a.YMax))
	right := p.paper(a.To(a.XMax, a.YMin))
	p.onPaper(func() {
		p.Line(bottom, right, Style{Stroke: Pen, Width: 0.25})
		under := 2*small + 2
		if len(a.XTicks) == 0 {
			under = small + 0.6
		}
		p.Text(right.X, right.Y+under, a.XLabel, Lettering{Size: small, Ink: Pencil, Anchor: End})
		p.Text(left.X, left.Y-1.6, a.YLabel, Lettering{Size: small, Ink: Pencil})
	})
}

// grid draws a faint line and a figure at every tick.
func (p *Picture) grid(a Axes) {
	line := Style{Stroke: Faint, Width: Hair}
	for _, t := range a.XTicks {
		foot, top := p.paper(a.To(t.At, a.YMin)), p.paper(a.To(t.At, a.YMax))
		p.onPaper(func() {
			p.Line(foot, top, line)
			p.Line(foot, foot.plus(Point{0, 1}, 1), Style{Stroke: Pen})
			p.Text(foot.X, foot.Y+small+1, t.Label, Lettering{Size: small, Anchor: Middle})
		})
	}
	for _, t := range a.YTicks {
		foot, end := p.paper(a.To(a.XMin, t.At)), p.paper(a.To(a.XMax, t.At))
		p.onPaper(func() {
			p.Line(foot, end, line)
			p.Text(foot.X-1.2, foot.Y, t.Label, Lettering{Size: small, Anchor: End, Centred: true})
		})
	}
}

// Series is one line on axes.
type Series struct {
	Points []Point // in the axes' quantities; a NaN leaves a gap
	Style  Style   // with a Fill, the area down to nothing is filled too
	// Label stands beside the line's right end or, where the line ends before
	// the axes do, above its highest point.
	Label string
}

// Curves draws lines on axes, cut off at their edges, the areas first, and
// writes each line's label; labels at the right edge make way for each other.
// It draws no axes: call Axes first.
func (p *Picture) Curves(a Axes, lines ...Series) {
	for _, s := range lines {
		if s.Style.Fill.drawn() {
			p.area(a, s)
		}
	}
	var labels []string
	var heights []float64
	for _, s := range lines {
		top, end, drawn := p.curve(a, s)
		switch {
		case !drawn:
		case end.X < a.X+a.W-0.01*a.W:
			q := p.paper(top)
			p.onPaper(func() {
				p.Text(q.X, q.Y-1.2, s.Label, Lettering{Size: small, Anchor: Middle, OnPaper: true})
			})
		case s.Label != "":
			labels, heights = append(labels, s.Label), append(heights, p.paper(end).Y)
		}
	}
	corner := p.paper(a.To(a.XMax, a.YMin))
	p.onPaper(func() { p.ends(labels, heights, corner) })
}

// ends writes labels beside the right edge of axes, none below their corner.
func (p *Picture) ends(labels []string, heights []float64, corner Point) {
	places := apart(heights, 1.15*small)
	below := 0.0
	for _, y := range places {
		below = max(below, y-(corner.Y-small/2))
	}
	for i, y := range places {
		p.Text(corner.X+1.2, y-below, labels[i], Lettering{Size: small, Centred: true})
	}
}

// curve draws what of a line lies within the axes, and returns its highest and
// last points on the picture.
func (p *Picture) curve(a Axes, s Series) (top, end Point, drawn bool) {
	var path Path
	pen := Point{math.NaN(), 0}
	top.Y = math.Inf(1)
	for i := 1; i < len(s.Points); i++ {
		from, to, inside := a.clip(s.Points[i-1], s.Points[i])
		if !inside {
			continue
		}
		q, r := a.To(from.X, from.Y), a.To(to.X, to.Y)
		if q != pen {
			path.Move(q.X, q.Y)
		}
		path.Line(r.X, r.Y)
		for _, each := range [2]Point{q, r} {
			if each.Y < top.Y {
				top = each
			}
		}
		pen, end, drawn = r, r, true
	}
	p.Path(path, Style{Stroke: s.Style.Stroke, Width: s.Style.Width, Dash: s.Style.Dash})
	return top, end, drawn
}

// clip cuts a straight piece off at the axes' edges (Liang and Barsky 1984).
func (a Axes) clip(from, to Point) (Point, Point, bool) {
	step := to.less(from)
	enter, leave := 0.0, 1.0
	for _, edge := range [4][2]float64{
		{-step.X, from.X - a.XMin}, {step.X, a.XMax - from.X},
		{-step.Y, from.Y - a.YMin}, {step.Y, a.YMax - from.Y},
	} {
		rate, room := edge[0], edge[1]
		switch {
		case math.IsNaN(rate) || math.IsNaN(room) || math.IsInf(rate, 0) || math.IsInf(room, 0):
			return from, to, false
		case rate < 0:
			enter = max(enter, room/rate)
		case rate > 0:
			leave = min(leave, room/rate)
		case room < 0:
			return from, to, false
		}
	}
	end := to
	if leave < 1 {
		end = from.plus(step, leave)
	}
	if enter > 0 {
		from = from.plus(step, enter)
	}
	return from, end, enter <= leave
}

// area fills between a line and nothing, or the edge nearest to it.
func (p *Picture) area(a Axes, s Series) {
	floor := min(max(0, a.YMin), a.YMax)
	var run []Point
	fill := func() {
		if len(run) > 1 {
			last := run[len(run)-1]
			edge := append([]Point{{run[0].X, floor}}, append(run, Point{last.X, floor})...)
			for i, q := range edge {
				edge[i] = a.To(min(max(q.X, a.XMin), a.XMax), min(max(q.Y, a.YMin), a.YMax))
			}
			p.Polygon(edge, Style{Fill: s.Style.Fill, Hatch: s.Style.Hatch})
		}
		run = nil
	}
	for _, q := range s.Points {
		if math.IsNaN(q.X) || math.IsNaN(q.Y) {
			fill()
			continue
		}
		run = append(run, q)
	}
	fill()
}
