package sheet

import (
	"turnsole/chart"
)

// Sizes of type, in mm, and the distance from line to line as a share of them.
const (
	titleSize   = 7.0
	headingSize = 4.6
	textSize    = 3.5
	smallSize   = 3.0
	leading     = 1.34
)

// galley fills the pages of one sheet from the top, beginning another page
// where the present one is full.
type galley struct {
	doc       *Document
	page      *page
	landscape bool
	x, width  float64 // of the column, mm
	y         float64 // where the next thing's top will be
	foot      float64 // below which nothing may stand
	shrink    float64 // what the letters' sizes are multiplied by
}

// text, heads and small are the sizes of the present sheet.
func (g *galley) text() float64  { return textSize * g.shrink }
func (g *galley) heads() float64 { return headingSize * g.shrink }
func (g *galley) small() float64 { return smallSize * g.shrink }

// begin starts a sheet with its name and, beneath it, what it is for ("" for
// nothing).
func (d *Document) begin(rig, name, purpose string) *galley {
	return d.beginWith(1, rig, name, purpose)
}

// beginWith is begin with smaller letters.
func (d *Document) beginWith(shrink float64, rig, name, purpose string) *galley {
	d.sheets++
	g := &galley{doc: d, shrink: shrink}
	g.open(rig, name)
	size := titleSize * shrink
	g.y += size * 0.8
	g.page.ink.Text(g.x, g.y, name, chart.Lettering{Size: size, Bold: true})
	g.y += 3
	if purpose != "" {
		g.say(purpose)
	}
	g.gap(2)
	return g
}

func (g *galley) open(rig, name string) {
	g.page = g.doc.addPage(rig, name, g.landscape)
	x, y, wide, high := g.page.area()
	g.x, g.y, g.width, g.foot = x, y, wide, y+high
}

// next begins another page of the sheet.
func (g *galley) next() { g.open(g.page.rig, g.page.name) }

// left is how many mm of the page are left.
func (g *galley) left() float64 { return g.foot - g.y }

// top is whether nothing stands on the page yet.
func (g *galley) top() bool {
	_, y, _, _ := g.page.area()
	return g.y == y
}

// need begins another page where less than so many mm are left.
func (g *galley) need(high float64) {
	if g.left() < high && !g.top() {
		g.next()
	}
}

// gap leaves white, but none at the top of a page.
func (g *galley) gap(high float64) {
	if !g.top() {
		g.y += high
	}
}

// heading stands over what follows, never alone at the foot of a page.
func (g *galley) heading(words string) {
	size := g.heads()
	g.need(size*2 + 22*g.shrink)
	g.gap(3 * g.shrink)
	lines := chart.Fold(words, g.width*0.93, size)
	for _, line := range lines { // bold is some 6 % wider than what Fold measures
		g.y += size
		g.page.ink.Text(g.x, g.y, line, chart.Lettering{Size: size, Bold: true})
	}
	g.y += 2.2 * g.shrink
}

// say writes a paragraph across the column.
func (g *galley) say(words string) { g.write(words, g.text(), chart.Pen) }

// note writes a paragraph in smaller, grey letters.
func (g *galley) note(words string) { g.write(words, g.small(), chart.Pencil) }

func (g *galley) write(words string, size float64, ink chart.Ink) {
	for _, line := range chart.Fold(words, g.width, size) {
		g.need(size * leading)
		g.y += size * leading
		g.page.ink.Text(g.x, g.y-size*0.3, line, chart.Lettering{Size: size, Ink: ink})
	}
	g.gap(1.2)
}

// points writes a list, each item behind a short stroke.
func (g *galley) points(items []string) {
	g.items(items, 5, func(x, y float64, _ int) {
		g.page.ink.Line(chart.Point{X: x + 0.5, Y: y - 1}, chart.Point{X: x + 2.8, Y: y - 1}, chart.Style{Stroke: chart.Pen})
	})
}

// ticks writes a list with a square before each item, to be ticked off.
func (g *galley) ticks(items []string) {
	g.items(items, 6.5, func(x, y float64, _ int) { g.page.square(x+0.4, y-2.9) })
}

// steps writes a numbered list.
func (g *galley) steps(items []string) {
	g.items(items, 8, func(x, y float64, i int) {
		g.page.ink.Text(x+5, y, number(i+1)+".", chart.Lettering{Size: g.text(), Bold: true, Anchor: chart.End})
	})
}

// items writes each item indented, and its mark at its first line's foot.
func (g *galley) items(items []string, indent float64, mark func(x, y float64, i int)) {
	size := g.text()
	line := size * leading
	for i, item := range items {
		for k, words := range chart.Fold(item, g.width-indent, size) {
			g.need(line)
			g.y += line
			if k == 0 {
				mark(g.x, g.y-size*0.3, i)
			}
			g.page.ink.Text(g.x+indent, g.y-size*0.3, words, chart.Lettering{Size: size})
		}
		g.gap(0.8)
	}
	g.gap(0.8)
}

// square is a box to be ticked.
func (p *page) square(x, y float64) {
	p.ink.Rect(x, y, 3.2, 3.2, chart.Style{Stroke: chart.Pen})
}

// caution rules a box round what must be heeded, with a bar down its left
// edge. It stands where the hazard is met and is never parted by a page's end.
func (g *galley) caution(title string, items ...string) {
	const pad, indent = 3.0, 5.0
	size := g.text()
	line := size * leading
	var folded [][]string
	lines := 0
	for _, item := range items {
		folded = append(folded, chart.Fold(item, g.width-2*pad-indent-2, size))
		lines += len(folded[len(folded)-1])
	}
	high := 2*pad + size*1.2 + float64(lines)*line + 0.6*float64(len(items))
	g.need(high + 4)
	g.gap(2)
	x, top := g.x+2, g.y
	g.page.ink.Rect(g.x, top, g.width, high, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	g.page.ink.Rect(g.x, top, 2, high, chart.Style{Fill: chart.Pen})
	g.y += pad + size*0.85
	g.page.ink.Text(x+pad, g.y, title, chart.Lettering{Size: size, Bold: true})
	g.y += size * 0.35
	for _, item := range folded {
		for k, words := range item {
			g.y += line
			if k == 0 {
				g.page.ink.Line(chart.Point{X: x + pad, Y: g.y - 2}, chart.Point{X: x + pad + 2.3, Y: g.y - 2}, chart.Style{Stroke: chart.Pen})
			}
			g.page.ink.Text(x+pad+indent, g.y-size*0.3, words, chart.Lettering{Size: size})
		}
		g.y += 0.6
	}
	g.y = top + high + 2.5
}

// picture puts a picture in the middle of the column.
func (g *galley) picture(p *chart.Picture) { g.row(p) }

// row puts pictures side by side, spread over the column.
func (g *galley) row(pictures ...*chart.Picture) {
	wide, high := 0.0, 0.0
	for _, p := range pictures {
		wide, high = wide+p.Width, max(high, p.Height)
	}
	g.need(high + 1)
	g.gap(1)
	gap := (g.width - wide) / float64(len(pictures)+1)
	x := g.x + gap
	for _, p := range pictures {
		g.page.place(p, x, g.y)
		x += p.Width + gap
	}
	g.y += high + 1.5
}
