package drawing

import (
	"fmt"
	"math"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/compass"
)

// mostDialDays is how many days a dial holds before its paths crowd.
const mostDialDays = 3

// ShadowDial draws from above, true north up, where the tip of the upright
// stick's shadow lies on each day (the first three), hour by hour of the clock,
// with circles of round lengths. The still heading is drawn as a line.
func ShadowDial(s *answer.Setup, width, height float64) *chart.Picture {
	title := fmt.Sprintf("Where the shadow of a %.0f cm stick ends", s.StickM*100)
	sc := newScribe(width, height, title, title+", from above, true north up.")
	d := &dial{scribe: sc, setup: s}
	top := sc.caption(title, d.notes()...)
	d.lay(extent{2, top + 2, width - 2, height - 2})
	d.rings()
	ways := d.ways()
	d.heading()
	for i, w := range ways {
		d.draw(w, dashes[i])
	}
	d.north()
	d.words(ways)
	d.headingWords()
	d.lengths()
	return sc.Picture
}

// dial is a dial in the making.
type dial struct {
	*scribe
	view
	setup    *answer.Setup
	longestM float64
	paper    extent
}

func (d *dial) days() []answer.SetupDay { return d.setup.Days[:min(len(d.setup.Days), mostDialDays)] }

// notes say by which clock the hours are, and on which days there is no shadow.
func (d *dial) notes() []string {
	notes := []string{"Hours by the clock (" + d.setup.Clock + ")."}
	for _, day := range d.days() {
		if len(day.Shadows) > 0 {
			continue
		}
		why := "the sun is too low for one"
		if day.Never != "" && day.AtNoon == nil {
			why = "the sun does not rise"
		}
		notes = append(notes, fmt.Sprintf("No shadow on %s: %s.", date(int(day.Date.Month()), day.Date.Day()), why))
	}
	return notes
}

// tip is where a shadow's tip lies: metres east and north of the stick.
func tip(sh answer.Shadow) chart.Point {
	return chart.Point{X: sh.LengthM * sh.Bearing.Sin(), Y: sh.LengthM * sh.Bearing.Cos()}
}

// lay chooses how long a shadow is still drawn, and the scale.
func (d *dial) lay(paper extent) {
	stick := d.setup.StickM
	d.longestM = 2 * stick
	for _, day := range d.days() {
		least := math.Inf(1)
		for _, sh := range day.Shadows {
			least = min(least, sh.LengthM)
		}
		if !math.IsInf(least, 0) {
			d.longestM = max(d.longestM, 1.8*least)
		}
	}
	world := nothing()
	world.take(chart.Point{X: -0.4 * stick, Y: -0.4 * stick}, chart.Point{X: 0.4 * stick, Y: 0.4 * stick})
	for _, day := range d.days() {
		for _, sh := range day.Shadows {
			if sh.LengthM <= d.longestM {
				world.take(tip(sh))
			}
		}
	}
	d.paper = paper
	inner := extent{paper.x0 + 7, paper.y0 + 5, paper.x1 - 7, paper.y1 - 5}
	d.view = fit(world, inner)
}

func (d *dial) shown(q chart.Point) bool {
	e := d.paper
	return q.X >= e.x0 && q.X <= e.x1 && q.Y >= e.y0 && q.Y <= e.y1
}

// rings are circles of round lengths about the stick.
func (d *dial) rings() {
	for _, r := range d.circles() {
		var run []chart.Point
		for a := 0.0; a <= 360; a += 2 {
			q := d.to(chart.Point{X: r * compass.Angle(a).Sin(), Y: r * compass.Angle(a).Cos()})
			if d.shown(q) {
				run = append(run, q)
				continue
			}
			d.Polyline(run, chart.Style{Stroke: chart.Faint, Width: chart.Hair})
			run = nil
		}
		d.Polyline(run, chart.Style{Stroke: chart.Faint, Width: chart.Hair})
	}
}

// lengths writes how far each circle is from the stick.
func (d *dial) lengths() {
	hand := chart.Lettering{Size: 0.85 * d.size, Ink: chart.Pencil, OnPaper: true}
	for _, r := range d.circles() {
		var places []place
		for a := compass.Angle(0); a < 360; a += 15 {
			q := d.to(chart.Point{X: r * (a + 150).Sin(), Y: r * (a + 150).Cos()})
			if d.shown(q) {
				places = append(places, place{q, chart.Middle})
			}
		}
		d.write(fmt.Sprintf("%.0f cm", r*100), hand, places...)
	}
}

// circles are the round lengths whose circles reach onto the paper, metres.
func (d *dial) circles() (all []float64) {
	c, e := d.to(chart.Point{}), d.paper
	far := math.Hypot(max(c.X-e.x0, e.x1-c.X), max(c.Y-e.y0, e.y1-c.Y)) / d.mm
	step := roundStep(max(d.longestM/4, 9/d.mm))
	for i := 1.0; i*step < far && i < 40; i++ {
		all = append(all, i*step)
	}
	return all
}

// roundStep is 1, 2 or 5 times a power of ten, at least x.
func roundStep(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, f := range []float64{1, 2, 5} {
		if f*power >= x*0.999 {
			return f * power
		}
	}
	return 10 * power
}

// north is an arrow in the first corner that no path crosses.
func (d *dial) north() {
	e := d.paper
	for _, corner := range []chart.Point{{X: e.x1 - 4, Y: e.y0 + 1}, {X: e.x0 + 4, Y: e.y0 + 1}, {X: e.x1 - 4, Y: e.y1 - 13}, {X: e.x0 + 4, Y: e.y1 - 13}} {
		x, y := corner.X, corner.Y
		box := quad{{X: x - 2.5, Y: y}, {X: x + 2.5, Y: y}, {X: x + 2.5, Y: y + 11}, {X: x - 2.5, Y: y + 11}}
		if d.isTaken(box) {
			continue
		}
		d.write("N", chart.Lettering{Bold: true}, place{chart.Point{X: x, Y: y + 2}, chart.Middle})
		d.Arrow([]chart.Point{{X: x, Y: y + 11}, {X: x, Y: y + 4}}, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
		d.taken = append(d.taken, box)
		return
	}
}

// heading is the stick, and the line along which the stand faces when still.
func (d *dial) heading() {
	c, end := d.to(chart.Point{}), d.headingEnd()
	d.Arrow([]chart.Point{c, end}, centred)
	d.keepOff(c, end)
	d.Circle(c.X, c.Y, 0.9, chart.Style{Fill: chart.Pen})
	d.keepArea(c.X-1, c.Y-1, 2, 2)
}

// headingEnd is how far that line goes: to the paper's edge, or 30 mm.
func (d *dial) headingEnd() chart.Point {
	c := d.to(chart.Point{})
	step := chart.Point{X: d.setup.Still.Sin(), Y: -d.setup.Still.Cos()}
	end := c
	for d.shown(off(end, step, 1)) && distance(c, end) < 30 {
		end = off(end, step, 1)
	}
	return end
}

func (d *dial) headingWords() {
	hand := chart.Lettering{Size: 0.85 * d.size, OnPaper: true}
	c, end := d.to(chart.Point{}), d.headingEnd()
	d.write("stick", hand, around(c, 1.8)...)
	words := "still heading, " + d.setup.Still.Point()
	for _, share := range []float64{0.7, 0.9, 0.5, 0.3} {
		if d.write(words, hand, around(between(c, end, share), 1.5)[:2]...) {
			return
		}
	}
	d.write(d.setup.Still.Point(), hand, around(end, 1.5)...)
}

// dashes tell the days apart.
var dashes = [mostDialDays]chart.Style{
	{Stroke: chart.Pen, Width: chart.Thick},
	{Stroke: chart.Pen, Width: chart.Medium, Dash: []float64{2.5, 1}},
	{Stroke: chart.Pen, Width: chart.Medium, Dash: []float64{0.6, 0.8}},
}

// way is one day's path of the tip on paper: the hours, and the line through
// them.
type way struct {
	day   answer.SetupDay
	hours []chart.Point   // one for each shadow
	lines [][]chart.Point // what of the line lies on the paper
}

func (d *dial) ways() (all []way) {
	for _, day := range d.days() {
		w := way{day: day}
		for _, sh := range day.Shadows {
			w.hours = append(w.hours, d.to(tip(sh)))
		}
		for _, run := range unbroken(day.Shadows) {
			w.lines = append(w.lines, d.onPaper(between4(run))...)
		}
		all = append(all, w)
	}
	return all
}

// unbroken cuts a day's shadows where there are none for a while.
func unbroken(all []answer.Shadow) (runs [][]answer.Shadow) {
	if len(all) < 2 {
		return nil
	}
	step := all[1].At.Sub(all[0].At)
	for i := range all[1:] {
		step = min(step, all[i+1].At.Sub(all[i].At))
	}
	begin := 0
	for i := 1; i <= len(all); i++ {
		if i == len(all) || all[i].At.Sub(all[i-1].At) > step*3/2 {
			runs, begin = append(runs, all[begin:i]), i
		}
	}
	return runs
}

// between4 puts points between a day's shadows, eight to each step: a cubic
// through four neighbours' directions to the sun, which is off by a tenth of a
// degree at most where they are two hours apart.
func between4(run []answer.Shadow) (tips []chart.Point) {
	suns := make([]compass.Direction, len(run))
	stick := 0.0
	for i, sh := range run {
		suns[i] = compass.Toward(sh.SunAzimuth, sh.SunElevation)
		stick = max(stick, sh.LengthM*sh.SunElevation.Sin()/sh.SunElevation.Cos())
	}
	const each = 8
	for k := 0; k <= (len(run)-1)*each; k++ {
		s := cubic(suns, float64(k)/each)
		tips = append(tips, chart.Point{X: -stick * s.East / s.Up, Y: -stick * s.North / s.Up})
	}
	return tips
}

// cubic is Lagrange's polynomial through the four directions nearest to a
// place between them, or through all where they are fewer.
func cubic(all []compass.Direction, at float64) (sum compass.Direction) {
	first := min(max(int(at)-1, 0), max(len(all)-4, 0))
	last := min(first+4, len(all))
	for i := first; i < last; i++ {
		share := 1.0
		for j := first; j < last; j++ {
			if j != i {
				share *= (at - float64(j)) / float64(i-j)
			}
		}
		sum.East += share * all[i].East
		sum.North += share * all[i].North
		sum.Up += share * all[i].Up
	}
	return sum
}

// onPaper is what of a line of tips lies on the paper.
func (d *dial) onPaper(tips []chart.Point) (lines [][]chart.Point) {
	var line []chart.Point
	flush := func() {
		if len(line) > 1 {
			lines = append(lines, line)
		}
		line = nil
	}
	for _, t := range tips {
		q := d.to(t)
		if !d.shown(q) {
			flush()
			continue
		}
		line = append(line, q)
	}
	flush()
	return lines
}

// draw draws one day's line and the dots of its hours.
func (d *dial) draw(w way, style chart.Style) {
	for _, line := range w.lines {
		d.follow(line, style)
	}
	for _, q := range w.hours {
		if d.shown(q) {
			d.Circle(q.X, q.Y, 0.55, chart.Style{Fill: chart.Pen})
		}
	}
}

// words names the days and then the hours, those that matter most first.
func (d *dial) words(ways []way) {
	for _, w := range ways {
		d.name(w)
	}
	hand := chart.Lettering{Size: 0.85 * d.size, OnPaper: true}
	for rank := range 5 {
		for _, w := range ways {
			for i, q := range w.hours {
				if at := w.day.Shadows[i].At; hourRank(at) == rank && d.shown(q) {
					d.beyond(w.hours, i, at.Format("15:04"), hand)
				}
			}
		}
	}
}

// beyond writes words beside one of a line's points, on the side away from the
// stick if there is room.
func (d *dial) beyond(line []chart.Point, i int, words string, hand chart.Lettering) bool {
	a, b := line[max(i-1, 0)], line[min(i+1, len(line)-1)]
	return d.write(words, hand, d.beside(line[i], toward(a, b), toward(d.to(chart.Point{}), line[i]), words, hand, 1.2)...)
}

// name writes a day beside its line, near an end.
func (d *dial) name(w way) {
	words := date(int(w.day.Date.Month()), w.day.Date.Day())
	hand := chart.Lettering{Bold: true, Size: 0.9 * d.size, OnPaper: true}
	for _, line := range w.lines {
		n := len(line)
		for _, i := range []int{n - 1, 0, n - 3, 2, n - 5, 4, 3 * n / 4, n / 4, n / 2} {
			if i < 0 || i >= n {
				continue
			}
			end := off(line[i], toward(line[max(i-1, 0)], line[i]), 1.5)
			if i == n-1 && (d.write(words, hand, place{end, chart.Start}) || d.beyond(line, i, words, hand)) {
				return
			}
			if d.beyond(line, i, words, hand) {
				return
			}
		}
	}
}
