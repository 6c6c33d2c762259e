package drawing

import (
	"fmt"
	"math"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/compass"
)

// SunPath draws the sun's elevation over its azimuth on each day, hours marked,
// with the skyline as a hill before it. The heading towards the equator is in
// the middle. What the skyline hides is drawn thin.
func SunPath(k *answer.SkyPath, width, height float64) *chart.Picture {
	sc := newScribe(width, height, "The sun over the skyline", k.Verdict+" "+strings.Join(k.Findings, " "))
	top := sc.caption("The sun over the skyline, clock " + k.Clock)
	v := &skyView{scribe: sc, sky: k, middle: float64(k.Equator)}
	v.lay(extent{5 + 1.6*sc.size, top + 2, width - 4, height - 1.7*sc.size - 1})
	v.grid()
	v.paths()
	v.hill()
	v.dots()
	return sc.Picture
}

// skyView is a sky in the making: azimuth relative to the middle.
type skyView struct {
	*scribe
	sky    *answer.SkyPath
	middle float64
	half   float64 // degrees to each side
	top    float64 // degrees high
	paper  extent
}

// lay chooses what part of the sky is shown.
func (v *skyView) lay(paper extent) {
	v.half, v.top = 60, 20
	for _, d := range v.sky.Days {
		for _, p := range d.Points {
			v.half = max(v.half, math.Abs(v.turn(p.Azimuth))+8)
			v.top = max(v.top, float64(p.Elevation)+4)
		}
	}
	v.half = min(math.Ceil(v.half/15)*15, 180)
	v.top = min(math.Ceil(v.top/10)*10, 90)
	v.paper = paper
}

func (v *skyView) turn(a compass.Angle) float64 {
	return float64(compass.Turn(compass.Angle(v.middle), a))
}

func (v *skyView) at(turn, elevation float64) chart.Point {
	e := v.paper
	return chart.Point{X: e.x0 + (e.x1-e.x0)*(turn+v.half)/(2*v.half), Y: e.y1 - (e.y1-e.y0)*elevation/v.top}
}

func (v *skyView) grid() {
	line := chart.Style{Stroke: chart.Faint, Width: chart.Hair}
	small := chart.Lettering{Size: 0.9 * v.size}
	for e := 0.0; e <= v.top; e += 10 {
		a, b := v.at(-v.half, e), v.at(v.half, e)
		v.Line(a, b, line)
		v.write(degrees(e), small, place{chart.Point{X: a.X - 0.8, Y: a.Y}, chart.End})
	}
	for _, step := range []float64{90, 45, 22.5} {
		for t := -180.0; t <= 180; t += step {
			if math.Abs(t) > v.half {
				continue
			}
			a, b := v.at(t, 0), v.at(t, v.top)
			name := compass.Angle(v.middle + t).Point()
			if v.write(name, small, place{chart.Point{X: a.X, Y: a.Y + 0.8 + 0.5*v.size}, chart.Middle}) {
				v.Line(a, b, line)
			}
		}
	}
}

// pieces cuts a day's way where it leaves one side for the other, or hides.
func (v *skyView) paths() {
	for _, d := range v.sky.Days {
		var run []chart.Point
		var last answer.SkyPoint
		flush := func() {
			style := chart.Style{Stroke: chart.Light, Width: chart.Thick}
			if last.Hidden {
				style = chart.Style{Stroke: chart.Pencil, Width: chart.Thin, Dash: []float64{1.2, 0.8}}
			}
			v.Polyline(run, style)
		}
		for i, p := range d.Points {
			q := v.at(v.turn(p.Azimuth), float64(p.Elevation))
			if i > 0 && (p.Hidden != last.Hidden || math.Abs(v.turn(p.Azimuth)-v.turn(last.Azimuth)) > 180) {
				jump := math.Abs(v.turn(p.Azimuth)-v.turn(last.Azimuth)) > 180
				if !jump {
					run = append(run, q)
				}
				flush()
				run = nil
			}
			run = append(run, q)
			last = p
		}
		if len(run) > 0 {
			flush()
		}
	}
}

// hill is the skyline.
func (v *skyView) hill() {
	outline := []chart.Point{v.at(-v.half, 0)}
	for t := -v.half; t <= v.half; t++ {
		e := float64(v.sky.Height(compass.Angle(v.middle + t)))
		outline = append(outline, v.at(t, min(e, v.top)))
	}
	outline = append(outline, v.at(v.half, 0))
	v.Polygon(outline, chart.Style{Hatch: chart.Hatch{Gap: 1.2, Turn: -45}})
	v.Polyline(outline[1:len(outline)-1], chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	v.Line(outline[0], outline[len(outline)-1], chart.Style{Stroke: chart.Pen, Width: chart.Medium})
}

// dots mark the hours, and the days at their highest.
func (v *skyView) dots() {
	small := chart.Lettering{Size: 0.85 * v.size, OnPaper: true}
	for _, d := range v.sky.Days {
		var high answer.SkyPoint
		for _, p := range d.Points {
			if p.Elevation > high.Elevation {
				high = p
			}
		}
		if len(d.Points) > 0 {
			q := v.at(v.turn(high.Azimuth), float64(high.Elevation))
			v.write(fmt.Sprintf("%d %s", d.Date.Day(), d.Date.Month().String()[:3]), chart.Lettering{Bold: true, Size: 0.9 * v.size, OnPaper: true}, around(q, 2)[2:]...)
		}
	}
	for _, d := range v.sky.Days {
		for _, p := range d.Points {
			if p.At.Minute() != 0 {
				continue
			}
			q := v.at(v.turn(p.Azimuth), float64(p.Elevation))
			fill := chart.Pen
			if p.Hidden {
				fill = chart.Pencil
			}
			v.Circle(q.X, q.Y, 0.55, chart.Style{Fill: fill})
			v.write(fmt.Sprint(p.At.Hour()), small, around(q, 1.3)[2:]...)
		}
	}
}
