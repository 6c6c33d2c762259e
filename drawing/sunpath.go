package drawing

import (
	"math"
	"strconv"
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
	v := &skyView{scribe: sc, sky: k, middle: float64(k.Equator)}
	top := sc.caption("The sun over the skyline", v.notes()...)
	v.lay(extent{3 + 2*sc.size, top + 2 + sc.size/2, width - 4, height - 1.7*sc.size - 1})
	v.grid()
	v.hill()
	v.paths()
	v.names()
	v.hours()
	return sc.Picture
}

// notes say by which clock the hours are, and when there is no sun.
func (v *skyView) notes() []string {
	notes := []string{"Hours by the clock (" + v.sky.Clock + ")."}
	for _, d := range v.sky.Days {
		if len(d.Points) == 0 {
			notes = append(notes, "On "+date(int(d.Date.Month()), d.Date.Day())+" the sun does not rise.")
		}
	}
	return notes
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

// hill is the skyline.
func (v *skyView) hill() {
	outline := []chart.Point{v.at(-v.half, 0)}
	for t := -v.half; t <= v.half; t++ {
		e := float64(v.sky.Height(compass.Angle(v.middle + t)))
		outline = append(outline, v.at(t, min(e, v.top)))
	}
	outline = append(outline, v.at(v.half, 0))
	v.Polygon(outline, chart.Style{Fill: chart.Shade, Hatch: chart.Hatch{Gap: 1.2, Turn: -45, Ink: chart.Faint}})
	v.Polyline(outline[1:len(outline)-1], chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	v.Line(outline[0], outline[len(outline)-1], chart.Style{Stroke: chart.Pen, Width: chart.Medium})
}

// paths draws every day's way: whole where the sun is seen, dashed where the
// skyline hides it.
func (v *skyView) paths() {
	for _, d := range v.sky.Days {
		var run []chart.Point
		for i, p := range d.Points {
			q := v.at(v.turn(p.Azimuth), float64(p.Elevation))
			run = append(run, q)
			last := i == len(d.Points)-1
			jumps := !last && v.jumps(p, d.Points[i+1])
			if !last && !jumps && p.Hidden == d.Points[i+1].Hidden {
				continue
			}
			v.way(run, p.Hidden)
			if run = nil; !jumps {
				run = []chart.Point{q}
			}
		}
	}
}

// jumps tells whether the way leaves at one side of the picture and comes in
// at the other.
func (v *skyView) jumps(p, q answer.SkyPoint) bool {
	return v.half > 170 && math.Abs(v.turn(p.Azimuth)-v.turn(q.Azimuth)) > 180
}

func (v *skyView) way(run []chart.Point, hidden bool) {
	style := chart.Style{Stroke: chart.Light, Width: chart.Thick}
	if hidden {
		style = chart.Style{Stroke: chart.Pencil, Width: chart.Medium, Dash: []float64{1.2, 0.8}}
	}
	v.Polyline(run, style)
	const every = 3 // points of five minutes: near enough for letters
	for i := 0; i+1 < len(run); i += every {
		v.keepOff(run[i], run[min(i+every, len(run)-1)])
	}
}

// names writes each day at the highest point of its way.
func (v *skyView) names() {
	hand := chart.Lettering{Bold: true, Size: 0.9 * v.size, OnPaper: true}
	for _, d := range v.sky.Days {
		if len(d.Points) == 0 {
			continue
		}
		name := date(int(d.Date.Month()), d.Date.Day())
		best := 0
		for i, p := range d.Points {
			if p.Elevation > d.Points[best].Elevation {
				best = i
			}
		}
		n := len(d.Points)
		for _, shift := range []int{0, 6, -6, 12, -12, 24, -24, 36, -36} {
			if i := best + shift; i >= 0 && i < n && v.label(d.Points, i, name, hand) {
				break
			}
		}
	}
}

// label writes words beside a point of a way, the outer side first.
func (v *skyView) label(way []answer.SkyPoint, i int, words string, hand chart.Lettering) bool {
	at := func(i int) chart.Point { return v.at(v.turn(way[i].Azimuth), float64(way[i].Elevation)) }
	a, b := i, min(i+1, len(way)-1)
	if b == a || v.jumps(way[a], way[b]) {
		a, b = max(i-1, 0), i
	}
	foot := chart.Point{X: (v.paper.x0 + v.paper.x1) / 2, Y: v.paper.y1}
	return v.write(words, hand, v.beside(at(i), toward(at(a), at(b)), toward(foot, at(i)), words, hand, 1)...)
}

// hours marks the hours of the clock, the ones that matter most first.
func (v *skyView) hours() {
	hand := chart.Lettering{Size: 0.85 * v.size, OnPaper: true}
	for rank := range 4 {
		for _, d := range v.sky.Days {
			for i, p := range d.Points {
				if hourRank(p.At) != rank {
					continue
				}
				fill := chart.Pen
				if p.Hidden {
					fill = chart.Pencil
				}
				q := v.at(v.turn(p.Azimuth), float64(p.Elevation))
				v.Circle(q.X, q.Y, 0.5, chart.Style{Fill: fill})
				v.label(d.Points, i, strconv.Itoa(p.At.Hour()), hand)
			}
		}
	}
}
