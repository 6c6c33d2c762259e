package sheet

import (
	"fmt"
	"math"

	"turnsole/answer"
	"turnsole/chart"
)

// Template adds the pieces that are marked out at their true size, to be cut
// from the paper and laid on the wood: rails with stops and notches, props, and
// the axle plate's holes. What is longer than a page goes over several strips
// that are joined at crosses.
func (d *Document) Template(c *answer.CutList) {
	g := d.begin(c.Rig, "Template, true to size", "Cut the strips out, join them at the crosses, and lay them on the wood. Print at 100 %, never \"fit to page\".")
	var ones []fullSize
	for i := range c.Pieces {
		if p := &c.Pieces[i]; p.OneToOne && p.Material == answer.Batten && (len(p.Marks) > 2 || p.Name == "rail") {
			ones = append(ones, railSize(p, d.options))
		}
	}
	if len(c.Plate.Shafts()) > 0 || c.Plate.Motor != nil {
		ones = append(ones, plateSize(&c.Plate))
	}
	if len(ones) == 0 {
		g.heading("Nothing can be drawn true to size yet")
		g.points(c.Missing)
		return
	}
	all := cutStrips(ones, g.stripWidth())
	g.landscape = true
	sheets := g.stripPages(all)
	g.explain(sheets)
	for _, one := range sheets {
		g.next()
		g.stripPage(one)
	}
}

// fullSize is one thing drawn true to size, from its left end to its right one
// in mm.
type fullSize struct {
	letter, name string
	from, to     float64
	high         float64 // mm of paper that it needs
	share        float64 // mm that two strips must share, so that each mark is whole on one
	zero         string  // what 0 is
	draw         func(s *strip)
}

// strip is a part of a fullSize on one piece of paper: a picture that shows
// from..to, in mm along the piece.
type strip struct {
	*chart.Picture
	of        fullSize
	number, n int
	from, to  float64
	shared    float64 // mm with each neighbour
}

const (
	overlap   = 20.0 // mm that two strips share at least
	barMM     = 100.0
	barRoom   = 15.0 // at the right and at the foot of a page, for the check bars
	stripHead = 9.0  // above a piece: its name and the crosses
)

// stripWidth is how wide a strip may be on a landscape page.
func (g *galley) stripWidth() float64 {
	_, wide := g.doc.options.Paper.size() // turned
	return wide - 2*(margin+inside) - barRoom
}

// cutStrips cuts everything into strips that fit a width, evenly.
func cutStrips(ones []fullSize, wide float64) (all []*strip) {
	for _, one := range ones {
		long, n, step := one.to-one.from, 1, 0.0
		if long > wide {
			n = int(math.Ceil((long - one.share) / (wide - one.share)))
			step = (long - wide) / float64(n-1)
		}
		for i := range n {
			s := &strip{Picture: chart.New(wide, one.high), of: one, number: i + 1, n: n, shared: wide - step}
			s.from = one.from + float64(i)*step
			s.to = min(one.to, s.from+wide)
			s.Title = fmt.Sprintf("%s, strip %d of %d", one.name, i+1, n)
			all = append(all, s)
		}
	}
	return all
}

// stripPages fills pages with strips, in their order.
func (g *galley) stripPages(all []*strip) (pages [][]*strip) {
	high, _ := g.doc.options.Paper.size()
	room := high - margin - inside - margin - block - 3 - barRoom
	left := 0.0
	for _, s := range all {
		if len(pages) == 0 || left < s.Height+2 {
			pages, left = append(pages, nil), room
		}
		pages[len(pages)-1] = append(pages[len(pages)-1], s)
		left -= s.Height + 2
	}
	return pages
}

// stripPage puts strips on a page, and the check bars.
func (g *galley) stripPage(strips []*strip) {
	for _, s := range strips {
		s.label()
		s.of.draw(s)
		s.crosses()
		g.page.place(s.Picture, g.x, g.y)
		g.y += s.Height + 2
	}
	g.page.checkBars()
}

// label names a strip and says where it belongs.
func (s *strip) label() {
	words := fmt.Sprintf("%s  %s", s.of.letter, s.of.name)
	s.Text(1, 3.4, words, chart.Lettering{Size: 3.4, Bold: true})
	x := 1 + chart.Lettering{Size: 3.4, Bold: true}.Width(words) + 3
	about := fmt.Sprintf("strip %s%d of %d; zero is %s", s.of.letter, s.number, s.n, s.of.zero)
	if s.n == 1 {
		about = "zero is " + s.of.zero
	}
	s.Text(x, 3.4, about, chart.Lettering{Size: 2.8})
}

// x is where a length along the piece lies on the strip.
func (s *strip) x(mm float64) float64 { return mm - s.from }

// shows tells whether a stretch along the piece lies on the strip as a whole.
func (s *strip) shows(from, to float64) bool {
	const hair = 1e-6
	return from >= s.from-hair && to <= s.to+hair
}

// joins are where the strip meets its neighbours: the middle of what two share.
func (s *strip) joins() (at []float64) {
	if s.number > 1 {
		at = append(at, s.from+s.shared/2)
	}
	if s.number < s.n {
		at = append(at, s.to-s.shared/2)
	}
	return at
}

// crosses mark the joins: cut one strip there, lay it over the other until both
// crosses meet.
func (s *strip) crosses() {
	pen := chart.Style{Stroke: chart.Pen, Width: chart.Thin}
	for _, at := range s.joins() {
		x := s.x(at)
		s.Line(chart.Point{X: x, Y: stripHead - 4}, chart.Point{X: x, Y: s.Height - 1}, chart.Style{Stroke: chart.Pencil, Dash: []float64{3, 2}})
		for _, y := range []float64{stripHead - 2, s.Height - 3} {
			s.Circle(x, y, 1.6, pen)
			s.Line(chart.Point{X: x - 2.6, Y: y}, chart.Point{X: x + 2.6, Y: y}, pen)
			s.Line(chart.Point{X: x, Y: y - 2.6}, chart.Point{X: x, Y: y + 2.6}, pen)
		}
		anchor, off := chart.End, -3.5
		if at < (s.from+s.to)/2 {
			anchor, off = chart.Start, 3.5
		}
		s.Text(x+off, s.Height-2, fmt.Sprintf("join at %.1f", at), chart.Lettering{Size: 2.6, Anchor: anchor})
	}
}

// checkBars are two bars of 100 mm at the page's foot and right side, since
// printers scale differently across and along.
func (p *page) checkBars() {
	x, y, wide, high := p.area()
	hand := chart.Lettering{Size: 3, Anchor: chart.Middle}
	rule := chart.Style{Stroke: chart.Pen, Width: chart.Thin}
	bar := func(a, b, tick chart.Point) {
		p.ink.Line(a, b, rule)
		for _, end := range []chart.Point{a, b} {
			p.ink.Line(chart.Point{X: end.X - tick.X, Y: end.Y - tick.Y}, chart.Point{X: end.X + tick.X, Y: end.Y + tick.Y}, rule)
		}
	}
	across := y + high - 3.5
	left := x + 20
	bar(chart.Point{X: left, Y: across}, chart.Point{X: left + barMM, Y: across}, chart.Point{Y: 3})
	p.ink.Text(left+barMM/2, across-1.2, "100 mm across", hand)
	along := x + wide - 3.5
	top := y + high/2 - barMM/2
	bar(chart.Point{X: along, Y: top}, chart.Point{X: along, Y: top + barMM}, chart.Point{X: 3})
	hand.Turn = -90
	p.ink.Text(along-1.2, top+barMM/2, "100 mm along", hand)
	p.ink.Text(left+barMM+6, across+1, "Measure both bars with a steel rule before you cut; the first page says what to do where they differ.", chart.Lettering{Size: 2.5})
}
