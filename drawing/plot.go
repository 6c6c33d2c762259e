package drawing

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"turnsole/chart"
)

// scale lays a quantity along a side of a plot. A log scale begins above nothing;
// what lies outside a scale is laid on its nearer end.
type scale struct {
	least, most float64
	log         bool
}

// share is how far along the scale a value lies, 0 to 1.
func (s scale) share(v float64) float64 {
	least, most := s.least, s.most
	if s.log {
		v, least, most = math.Log(math.Max(v, least)), math.Log(least), math.Log(most)
	}
	return min(max((v-least)/(most-least), 0), 1)
}

// covering is the scale over all finite values with some air at both ends, at
// least so much wide; from 0 to 1 where there is no value.
func covering(least float64, values ...[]float64) scale {
	e := nothing()
	for _, column := range values {
		for _, v := range column {
			if finite(v) {
				e.take(chart.Point{X: v})
			}
		}
	}
	if e.x0 > e.x1 {
		e.x0, e.x1 = 0, 1
	}
	// A figure's last bits are no spread.
	least = max(least, 1e-6*math.Abs(e.x0), 1e-6*math.Abs(e.x1), 1e-9)
	wider := max(least-(e.x1-e.x0), 0) / 2
	air := 0.06 * max(e.x1-e.x0, least)
	return scale{least: e.x0 - wider - air, most: e.x1 + wider + air}
}

// finite tells whether a value can be drawn at all.
func finite(v float64) bool { return math.Abs(v) < 1e12 }

// leastLog is the least that a log scale shows: no setting is as small.
const leastLog = 1e-6

// plot is a rectangle of the paper whose places stand for two quantities.
type plot struct {
	*scribe
	paper extent
	x, y  scale
}

func (p *plot) at(x, y float64) chart.Point {
	e := p.paper
	return chart.Point{X: e.x0 + (e.x1-e.x0)*p.x.share(x), Y: e.y1 - (e.y1-e.y0)*p.y.share(y)}
}

// hand is the lettering of scales and labels.
func (s *scribe) hand() chart.Lettering { return chart.Lettering{Size: 0.92 * s.size} }

// asPencil is hand for names of scales.
func (s *scribe) asPencil() chart.Lettering {
	return chart.Lettering{Size: 0.92 * s.size, Ink: chart.Pencil}
}

// widest is the width of the longest of the labels, mm.
func (s *scribe) widest(ticks []chart.Tick) (mm float64) {
	for _, t := range ticks {
		mm = max(mm, s.hand().Width(t.Label))
	}
	return mm
}

// levels rules the values up the plot.
func (p *plot) levels(ticks []chart.Tick) {
	for _, t := range ticks {
		a, b := p.at(p.x.least, t.At), p.at(p.x.most, t.At)
		p.Line(a, b, chart.Style{Stroke: chart.Faint, Width: chart.Hair})
		p.write(t.Label, p.hand(), place{chart.Point{X: a.X - 1, Y: a.Y}, chart.End})
	}
}

// columns rules the values across the plot and writes them under it.
func (p *plot) columns(ticks []chart.Tick) {
	for _, t := range ticks {
		a, b := p.at(t.At, p.y.least), p.at(t.At, p.y.most)
		if p.write(t.Label, p.hand(), place{chart.Point{X: a.X, Y: a.Y + 0.8 + 0.5*p.size}, chart.Middle}) {
			p.Line(a, b, chart.Style{Stroke: chart.Faint, Width: chart.Hair})
			p.Line(a, chart.Point{X: a.X, Y: a.Y + 0.7}, chart.Style{Stroke: chart.Pen})
		}
	}
}

// foot is the line that a plot stands on.
func (p *plot) foot() {
	e := p.paper
	p.Line(chart.Point{X: e.x0, Y: e.y1}, chart.Point{X: e.x1, Y: e.y1}, chart.Style{Stroke: chart.Pen, Width: 0.25})
}

// lay gives a plot all paper below a top, with room for its figures to the left.
func (p *plot) lay(top float64) {
	p.paper = extent{0, top + 1.5*p.size, p.Width - 2*p.size, p.Height - 2.7*p.size - 1}
	p.paper.x0 = margin + 1 + max(p.widest(upright(p)), 2*p.size)
}

// upright are round figures up a plot.
func upright(p *plot) []chart.Tick {
	return chart.Ticks(p.y.least, p.y.most, max(2, int((p.paper.y1-p.paper.y0)/(2.6*p.size))))
}

// name writes what is laid up the plot over its left upper corner.
func (p *plot) name(words string) {
	e := p.paper
	p.write(words, p.asPencil(), place{chart.Point{X: e.x0, Y: e.y0 - 0.7*p.size}, chart.Start}, place{chart.Point{X: margin, Y: e.y0 - 0.7*p.size}, chart.Start})
}

// nameAcross writes what is laid across the plot under its figures.
func (p *plot) nameAcross(words string) {
	e := p.paper
	p.write(words, p.asPencil(), place{chart.Point{X: e.x1, Y: e.y1 + 0.8 + 1.75*p.size}, chart.End})
}

// runs are the stretches of two columns, on paper, that can be drawn without a
// gap; points that the eye cannot tell from the one before are left out.
func (p *plot) runs(xs, ys []float64) (runs [][]chart.Point) {
	const apart = 0.04
	var run []chart.Point
	for i := range min(len(xs), len(ys)) {
		if !finite(xs[i]) || !finite(ys[i]) || ys[i] < p.y.least || ys[i] > p.y.most {
			runs, run = append(runs, run), nil
			continue
		}
		q := p.at(xs[i], ys[i])
		if n := len(run); n > 1 && level(run[n-2], run[n-1], q, apart) {
			run[n-1] = q
			continue
		}
		run = append(run, q)
	}
	return slices.DeleteFunc(append(runs, run), func(r []chart.Point) bool { return len(r) < 2 })
}

// level tells whether three points follow each other along one row of the paper.
func level(a, b, c chart.Point, apart float64) bool {
	return math.Abs(a.Y-b.Y) < apart && math.Abs(a.Y-c.Y) < apart
}

// trace draws a line through two columns, with gaps where they have them; no
// letters are put on it.
func (p *plot) trace(xs, ys []float64, style chart.Style) {
	for _, run := range p.runs(xs, ys) {
		p.Polyline(run, style)
		p.keepAlong(run)
	}
}

// keepAlong takes the ground under a line of many points.
func (s *scribe) keepAlong(run []chart.Point) {
	const stride = 1.5
	from := run[0]
	for i, q := range run {
		if i == len(run)-1 || math.Hypot(q.X-from.X, q.Y-from.Y) >= stride {
			s.keepOff(from, q)
			from = q
		}
	}
}

// entry is a line of a key: a sample of a style and its name.
type entry struct {
	name  string
	style chart.Style
	y     float64 // where the line ends, so that the name stands beside it
}

// sample is the length of a key's line, mm.
const sample = 4.0

// keyWidth is how wide a key is.
func (s *scribe) keyWidth(names ...string) (mm float64) {
	for _, name := range names {
		mm = max(mm, s.hand().Width(name))
	}
	return sample + 1.8 + mm
}

// key writes the names of lines at x, each at the height where its line ends or,
// where they are close, as near as they go, all between top and foot.
func (s *scribe) key(x, top, foot float64, entries []entry) {
	slices.SortStableFunc(entries, func(a, b entry) int { return cmp.Compare(a.y, b.y) })
	step := 1.2 * s.size
	least := top
	for i := range entries {
		entries[i].y = max(entries[i].y, least)
		least = entries[i].y + step
	}
	most := foot
	for i := len(entries) - 1; i >= 0; i-- {
		entries[i].y = min(entries[i].y, most)
		most = entries[i].y - step
	}
	for _, e := range entries {
		s.keyed(chart.Point{X: x, Y: e.y}, e)
	}
}

// keyed writes one line of a key, and reports whether there was room.
func (s *scribe) keyed(at chart.Point, e entry) bool {
	if !s.write(e.name, s.hand(), place{chart.Point{X: at.X + sample + 1, Y: at.Y}, chart.Start}) {
		return false
	}
	s.Line(at, chart.Point{X: at.X + sample, Y: at.Y}, e.style)
	return true
}

// short writes a figure with as many decimals as three places ask for, at most
// two.
func short(v float64) string {
	decimals := 2
	switch a := math.Abs(v); {
	case a >= 99.95:
		decimals = 0
	case a >= 9.995:
		decimals = 1
	}
	words := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(words, ".") {
		words = strings.TrimRight(strings.TrimRight(words, "0"), ".")
	}
	if words == "-0" {
		return "0"
	}
	return strings.Replace(words, "-", "−", 1)
}

// rounded writes a figure without decimals.
func rounded(v float64) string {
	return strings.Replace(strconv.FormatFloat(math.Round(v)+0, 'f', 0, 64), "-", "−", 1)
}
