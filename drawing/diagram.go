package drawing

import (
	"fmt"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
)

// Wiring draws the way of the current as a block diagram: panel, charge
// controller, battery, controller and driver, motor and loads, each run with
// its cable's size and length and with its fuse where it sits. It is width mm
// wide, 150 or more, and as high as the loads ask for. Far writes a length in
// metres.
func Wiring(w *answer.Wire, width float64, far func(m float64) string) *chart.Picture {
	var loads []answer.WireRun
	for _, r := range w.Runs {
		if strings.HasPrefix(r.Key, "load.") {
			loads = append(loads, r)
		}
	}
	d := diagram{Picture: chart.New(width, max(118, 52+23*float64(len(loads)))), far: far}
	d.Title = "wiring from the panel to the loads"
	d.wide = 38
	d.left, d.middle, d.right = 0.2, width/2-d.wide/2, width-d.wide-0.2
	for _, r := range w.Runs {
		d.run(r)
	}
	d.loads(loads)
	d.sensor(w)
	return d.Picture
}

// diagram is a block diagram of three columns; the rows' upper edges are fixed.
type diagram struct {
	*chart.Picture
	far                       func(m float64) string
	wide, left, middle, right float64
}

// Rows of the diagram and the height of a block, mm.
const (
	panelRow   = 4.0
	batteryRow = 52.0
	motorRow   = 98.0
	blockHigh  = 18.0
)

// run draws one run and the block that it ends in.
func (d diagram) run(r answer.WireRun) {
	mid := blockHigh / 2
	switch r.Key {
	case "panel":
		d.Block(d.left, panelRow, d.wide, blockHigh, "panel", fmt.Sprintf("up to %.1f A, %.1f V", r.CurrentA, r.SourceV))
		d.Block(d.middle, panelRow, d.wide, blockHigh, "charge controller", "battery first,", "panel second")
		d.level(d.left+d.wide, d.middle, panelRow+mid, r, true)
	case "battery":
		d.Block(d.middle, batteryRow, d.wide, blockHigh, "battery", fmt.Sprintf("%.3g V", r.SourceV))
		d.upright(d.middle+d.wide/2, panelRow+blockHigh, batteryRow, r, true)
	case "controller":
		d.Block(d.left, batteryRow, d.wide, blockHigh, "controller", "and motor's driver", fmt.Sprintf("up to %.3g A", r.CurrentA))
		d.level(d.left+d.wide, d.middle, batteryRow+mid, r, true)
	case "drive":
		d.Block(d.left, motorRow, d.wide, blockHigh, "motor", "never unplug it live")
		d.upright(d.left+d.wide/2, batteryRow+blockHigh, motorRow, r, false)
	}
}

// level draws a run across, its fuse at the right end.
func (d diagram) level(from, to, y float64, r answer.WireRun, atRight bool) {
	d.Line(chart.Point{X: from, Y: y}, chart.Point{X: to, Y: y}, cablePen)
	fuse := to - 8
	if !atRight {
		fuse = from + 8
	}
	middle := (from + to) / 2
	if r.Key == "panel" {
		middle += 3 // beside the sensor
	}
	d.Text(middle, y-2.8, cableName(r), small(chart.Middle))
	d.Text(middle, y+5.2, d.far(r.LengthM), small(chart.Middle))
	if r.FuseA > 0 {
		d.fuse(fuse, y, false)
		d.Text(middle, y+8.8, fmt.Sprintf("fuse %g A", r.FuseA), small(chart.Middle))
	}
}

// upright draws a run down, its fuse at the lower end.
func (d diagram) upright(x, from, to float64, r answer.WireRun, fused bool) {
	d.Line(chart.Point{X: x, Y: from}, chart.Point{X: x, Y: to}, cablePen)
	lines := []string{cableName(r), d.far(r.LengthM)}
	if r.FuseA > 0 && fused {
		d.fuse(x, to-7, true)
		lines = append(lines, fmt.Sprintf("fuse %g A", r.FuseA))
	} else if !fused {
		lines = append(lines, "4 cores, no fuse:", "the driver limits")
	}
	hand, beside, down := small(chart.Start), 3.0, -2.0
	if r.Key == "battery" { // the loads' lines are on the other side
		hand, beside, down = small(chart.End), -3, 2
	}
	for i, words := range lines {
		d.Text(x+beside, (from+to)/2+down+4*float64(i), words, hand)
	}
}

// loads hang on the battery's own distribution, each behind its fuse.
func (d diagram) loads(runs []answer.WireRun) {
	if len(runs) == 0 {
		return
	}
	bus := d.middle + d.wide + 5
	y0 := batteryRow + blockHigh/2
	d.Line(chart.Point{X: d.middle + d.wide, Y: y0}, chart.Point{X: bus, Y: y0}, cablePen)
	top := max(panelRow, y0-23*float64(len(runs)-1)/2-7)
	last := 0.0
	for i, r := range runs {
		y := top + 23*float64(i)
		name := strings.TrimPrefix(r.Name, "battery to ")
		d.Block(d.right, y, d.wide, 14, shorten(name, d.wide-3), fmt.Sprintf("%.3g A", r.CurrentA))
		d.level(bus, d.right, y+7, r, false)
		last = y + 7
	}
	d.Line(chart.Point{X: bus, Y: min(top+7, y0)}, chart.Point{X: bus, Y: max(last, y0)}, cablePen)
	d.Circle(bus, y0, 0.8, chart.Style{Fill: chart.Pen})
}

// sensor sits in the panel's lead, away from the motor, and is read by the
// controller.
func (d diagram) sensor(w *answer.Wire) {
	x, y := d.left+d.wide+3.4, panelRow+blockHigh/2
	d.Circle(x, y, 2.6, chart.Style{Stroke: chart.Pen, Width: chart.Medium, Fill: chart.Paper})
	d.Text(x, y, "A", chart.Lettering{Size: 3, Bold: true, Anchor: chart.Middle, Centred: true})
	signal := chart.Style{Stroke: chart.Pencil, Dash: []float64{1.4, 1}}
	elbow, top := batteryRow-6, d.left+d.wide/2
	d.Polyline([]chart.Point{{X: x, Y: y + 2.6}, {X: x, Y: elbow}, {X: top, Y: elbow}, {X: top, Y: batteryRow}}, signal)
	under := panelRow + blockHigh + 4.5
	d.Text(x+1.5, under, "current sensor, "+fmt.Sprintf("%g A,", w.Sensor.RangeA), small(chart.Start))
	d.Text(x+1.5, under+3.8, "well away from", small(chart.Start))
	d.Text(x+1.5, under+7.6, "the motor", small(chart.Start))
}

var cablePen = chart.Style{Stroke: chart.Pen, Width: chart.Thick}

func small(anchor chart.Anchor) chart.Lettering { return chart.Lettering{Size: 2.7, Anchor: anchor} }

// fuse draws a fuse on a cable: a small box with the cable going through.
func (d diagram) fuse(x, y float64, upright bool) {
	wide, high := 6.0, 2.4
	if upright {
		wide, high = high, wide
	}
	d.Rect(x-wide/2, y-high/2, wide, high, chart.Style{Stroke: chart.Pen, Width: chart.Medium, Fill: chart.Paper})
	a, b := chart.Point{X: x - wide/2, Y: y}, chart.Point{X: x + wide/2, Y: y}
	if upright {
		a, b = chart.Point{X: x, Y: y - high/2}, chart.Point{X: x, Y: y + high/2}
	}
	d.Line(a, b, chart.Style{Stroke: chart.Pen})
}

// cableName is a cable's size, with square millimetres as written by hand.
func cableName(r answer.WireRun) string {
	return strings.ReplaceAll(answer.CableText(r.Cable), "mm2", "mm²")
}

// shorten cuts a name to a width.
func shorten(name string, width float64) string {
	for len([]rune(name)) > 1 && chart.TextWidth(name, 3.2, true) > width {
		name = string([]rune(name)[:len([]rune(name))-1])
	}
	return name
}
