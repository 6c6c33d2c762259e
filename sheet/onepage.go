package sheet

import (
	"math"

	"turnsole/chart"
)

// onePage adds a sheet that should stand on one page: its pictures are as low,
// in mm, and its letters as small as that takes. Where the smallest that can be
// read do not do, it goes on over further pages, in the largest letters with
// which these are fewest.
func (d *Document) onePage(draw func(shrink, high float64)) {
	pages, sheets := len(d.pages), d.sheets
	count := func(shrink, high float64) int {
		d.pages, d.sheets = d.pages[:pages], sheets
		draw(shrink, high)
		return len(d.pages) - pages
	}
	sizes := [...]struct{ shrink, high float64 }{
		{1, 68}, {1, 62}, {1, 57}, {0.95, 55}, {0.95, 51}, {0.9, 50}, {0.86, 48}, {0.82, 45}, {0.78, 42},
	}
	best, fewest := 0, math.MaxInt
	for i, size := range sizes {
		n := count(size.shrink, size.high)
		if n <= 1 {
			return
		}
		if n < fewest {
			best, fewest = i, n
		}
	}
	count(sizes[best].shrink, sizes[best].high)
}

// sideBySide writes two columns from the same height on, or one under the other
// where the first did not stay on its page.
func (g *galley) sideBySide(left, right func()) {
	const between = 5.0
	x, y, width, page := g.x, g.y, g.width, g.page
	g.width = (width - between) / 2
	left()
	low := g.y
	if g.page == page {
		g.x, g.y = x+g.width+between, y
		right()
	} else {
		right()
	}
	if g.page == page {
		g.y = max(g.y, low)
	}
	g.x, g.width = x, width
}

// Rows of a form, in mm: what a hand needs, and has use for.
const leastRow, mostRow = 5.5, 8.5

// formHigh is what a form of so many rows takes at least, with a header of one
// line.
func (g *galley) formHigh(rows int) float64 {
	return g.small()*leading + 2*cellAbove + float64(rows)*leastRow + 1
}

// form rules a table to be filled in by hand, each row with its words and the
// rest empty; it stands on one page. The rows are as high as there is room for.
func (g *galley) form(columns []column, rows [][]string) {
	t := sheetTable{g, widths(columns, g.width), columns}
	var heads []string
	for _, c := range columns {
		heads = append(heads, c.head)
	}
	head := t.fold(heads, true)
	count := float64(len(rows))
	g.need(t.height(head) + count*leastRow + 0.5)
	top := g.y
	t.row(head, true)
	high := min(max((g.left()-7)/max(count, 1), leastRow), mostRow)
	rule := chart.Style{Stroke: chart.Faint, Width: chart.Thin}
	for _, cells := range rows {
		x := t.x
		for i, words := range cells {
			g.page.ink.Text(x+cellPad, g.y+high/2+g.small()*0.36, words, chart.Lettering{Size: g.small()})
			x += t.wide[i]
		}
		g.y += high
		g.page.ink.Line(chart.Point{X: t.x, Y: g.y}, chart.Point{X: t.x + t.width, Y: g.y}, rule)
	}
	x := t.x
	for i := range columns[1:] {
		x += t.wide[i]
		g.page.ink.Line(chart.Point{X: x, Y: top}, chart.Point{X: x, Y: g.y}, rule)
	}
	g.y += 1.5
}
