package chart

import (
	"math"
	"slices"
)

// manyLines is more than any hatching needs.
const manyLines = 5000

// hatch records parallel lines across a path, in millimetres of paper. They
// are ruled from the paper's corner, so that areas side by side match.
func (p *Picture) hatch(path Path, h Hatch) {
	across, least, most := turned(path, h.Turn)
	if (most-least)/h.Gap > manyLines {
		p.fail("hatching every %g mm would be solid black", h.Gap)
		return
	}
	var rows []float64
	for k := math.Ceil(least / h.Gap); k*h.Gap < most; k++ {
		rows = append(rows, k*h.Gap)
	}
	ink := h.Ink
	if !ink.drawn() {
		ink = Pencil
	}
	p.rule(across, rows, h.Turn, Style{Stroke: ink, Width: Hair})
}

// grain records lines along a piece of timber, as unevenly as years of growth
// and yet always the same.
func (p *Picture) grain(path Path, angle float64) {
	paper := Path{slices.Clone(path.steps)}
	for i := range paper.steps {
		for j := range paper.steps[i].count() {
			paper.steps[i].points[j] = p.paper(paper.steps[i].points[j])
		}
	}
	across, least, most := turned(paper, angle)
	years := [...]float64{0.8, 1.3, 0.9, 1.7, 1.1, 0.7, 1.5}
	breaks := [...][]float64{{17, 0.9, 6, 0.7}, {9, 0.7, 21, 0.9}, {28, 0.8, 4, 0.8}}
	row := least
	for i := range manyLines {
		row += years[i%len(years)]
		if row > most-0.3 {
			break
		}
		p.rule(across, []float64{row}, angle, Style{Stroke: Faint, Width: Hair, Dash: breaks[i%len(breaks)]})
	}
}

// turned is a path as straight runs with the direction of the lines laid
// along x, and the range of y that it then covers.
func turned(path Path, angle float64) (runs [][]Point, least, most float64) {
	along := direction(angle)
	least, most = math.Inf(1), math.Inf(-1)
	runs = path.flat()
	for _, run := range runs {
		for i, q := range run {
			run[i] = Point{q.X*along.X + q.Y*along.Y, q.Y*along.X - q.X*along.Y}
			least, most = min(least, run[i].Y), max(most, run[i].Y)
		}
	}
	return runs, least, most
}

// rule records the pieces of the given rows that lie inside the runs, turned
// back to where they belong.
func (p *Picture) rule(runs [][]Point, rows []float64, angle float64, style Style) {
	along := direction(angle)
	var lines Path
	for _, row := range rows {
		cuts := crossings(runs, row)
		for i := 0; i+1 < len(cuts); i += 2 {
			a, b := cuts[i], cuts[i+1]
			lines.Move(a*along.X-row*along.Y, a*along.Y+row*along.X)
			lines.Line(b*along.X-row*along.Y, b*along.Y+row*along.X)
		}
	}
	if len(lines.steps) > 0 {
		p.marks = append(p.marks, mark{path: lines, style: style})
	}
}

// crossings are the x at which the runs, each taken as closed, cross a row.
func crossings(runs [][]Point, row float64) (cuts []float64) {
	for _, run := range runs {
		for i, b := range run {
			a := run[(i+len(run)-1)%len(run)]
			if (a.Y <= row) != (b.Y <= row) {
				cuts = append(cuts, a.X+(b.X-a.X)*(row-a.Y)/(b.Y-a.Y))
			}
		}
	}
	slices.Sort(cuts)
	return cuts
}
