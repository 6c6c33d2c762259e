package sheet

import (
	"math"
	"strconv"
	"strings"

	"turnsole/chart"
)

// column is one column of a table.
type column struct {
	head  string
	mm    float64 // its width; 0 shares what the others leave
	right bool    // numbers stand to the right
}

// cellPad is the white to each side of a cell's words, and above and below.
const (
	cellPad   = 1.6
	cellAbove = 0.9
)

// table rules a table. Words fold within their cells; the header stands again
// at the top of every page. Cells beyond a row's end are empty.
func (g *galley) table(columns []column, rows [][]string) { g.rule(columns, rows, ruling{}) }

// ticked is a table with a square to tick in each row's first, empty cell.
func (g *galley) ticked(columns []column, rows [][]string) {
	g.rule(columns, rows, ruling{ticked: true})
}

// ruling is what a table has beside its rows: squares to tick, and no header
// where the one of the table before it holds, but for the tops of pages.
type ruling struct{ ticked, headless bool }

func (g *galley) rule(columns []column, rows [][]string, how ruling) {
	t := sheetTable{g, widths(columns, g.width), columns}
	var heads []string
	for _, c := range columns {
		heads = append(heads, c.head)
	}
	head := t.fold(heads, true)
	first := 0.0
	if len(rows) > 0 {
		first = t.height(t.fold(rows[0], false))
	}
	g.need(t.height(head) + first + 1)
	if !how.headless || g.top() {
		t.row(head, true)
	} else {
		t.under(true)
	}
	for _, cells := range rows {
		folded := t.fold(cells, false)
		if g.left() < t.height(folded) {
			g.next()
			t.row(head, true)
		}
		if how.ticked {
			g.page.square(g.x+cellPad, g.y+cellAbove+0.5)
		}
		t.row(folded, false)
	}
	g.y += 2.5
}

type sheetTable struct {
	*galley
	wide    []float64
	columns []column
}

// widths shares a width among the columns that name none.
func widths(columns []column, whole float64) []float64 {
	open := 0
	for _, c := range columns {
		whole -= c.mm
		if c.mm == 0 {
			open++
		}
	}
	all := make([]float64, len(columns))
	for i, c := range columns {
		all[i] = c.mm
		if c.mm == 0 {
			all[i] = whole / float64(open)
		}
	}
	return all
}

// fold breaks a row's words into the lines of its cells.
func (t sheetTable) fold(cells []string, bold bool) [][]string {
	folded := make([][]string, len(t.columns))
	for i := range t.columns {
		if i < len(cells) && cells[i] != "" {
			room := t.wide[i] - 2*cellPad
			if bold {
				room *= 0.93 // Fold measures upright letters
			}
			folded[i] = chart.Fold(cells[i], room, t.small())
		}
	}
	return folded
}

func (t sheetTable) height(cells [][]string) float64 {
	lines := 1
	for _, c := range cells {
		lines = max(lines, len(c))
	}
	return float64(lines)*t.small()*leading + 2*cellAbove
}

func (t sheetTable) row(cells [][]string, head bool) {
	high, x, size := t.height(cells), t.x, t.small()
	for i, lines := range cells {
		hand := chart.Lettering{Size: size, Bold: head}
		at := x + cellPad
		if t.columns[i].right {
			at, hand.Anchor = x+t.wide[i]-cellPad, chart.End
		}
		y := t.y + cellAbove
		if head { // headings stand on the rule
			y += high - 2*cellAbove - float64(len(lines))*size*leading
		}
		for _, words := range lines {
			y += size * leading
			t.page.ink.Text(at, y-size*0.32, words, hand)
		}
		x += t.wide[i]
	}
	t.y += high
	t.under(head)
}

// under rules a line under a row, a firm one under the header.
func (t sheetTable) under(head bool) {
	rule := chart.Style{Stroke: chart.Faint, Width: chart.Hair}
	if head {
		rule = chart.Style{Stroke: chart.Pen, Width: chart.Medium}
	}
	t.page.ink.Line(chart.Point{X: t.x, Y: t.y}, chart.Point{X: t.x + t.width, Y: t.y}, rule)
}

// squared writes square millimetres as they are written by hand.
func squared(words string) string { return strings.ReplaceAll(words, "mm2", "mm²") }

// number writes a whole number.
func number(n int) string { return strconv.Itoa(n) }

// figure writes a number with so many decimals; a stroke where there is none.
func figure(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "–"
	}
	return strconv.FormatFloat(x, 'f', decimals, 64)
}
