package drawing

import (
	"fmt"
	"math"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/compass"
)

// DayAbove draws one day from above, north up: the hours run outwards, so that
// the sun and what the panel faces are two lines from the middle to the rim. An
// arc at every hour leads from the panel to the sun: it is the miss. On the ring
// around them stand the hours where the sun then is.
func DayAbove(d *answer.AimDay, width, height float64) *chart.Picture {
	title := dayTitle(d)
	sc := newScribe(width, height, title+", from above", "")
	v := &aboveView{scribe: sc, dayLines: linesOf(d)}
	sc.Description = title + ", from above, true north up; the hours run outwards. " + v.words(d)
	v.from, v.to = v.stirring()
	top := sc.caption(title, v.words(d))
	if len(v.hour) == 0 {
		return sc.Picture
	}
	v.lay(top)
	v.ring()
	v.circles()
	v.lines()
	v.arcs()
	v.sunHours()
	v.panels()
	v.names()
	v.ringHours()
	return sc.Picture
}

// aboveView is a day from above in the making.
type aboveView struct {
	*scribe
	dayLines
	from, to float64 // hours in the middle and on the rim
	middle   chart.Point
	rim      float64 // radius of the last hour, mm
	keyAt    chart.Point
	across   bool // the key stands in a row under the picture
	rings    []float64
}

// hub is the radius of the first hour as a share of the last's.
const hub = 0.16

// stirring are the whole hours from before the first to after the last thing that
// happens: sun, or a panel that turns.
func (l *dayLines) stirring() (from, to float64) {
	const still = 0.5 // degrees
	from, to = 24, 0
	for i, h := range l.hour {
		turned := i > 0 && math.Abs(l.faces[i]-l.faces[i-1]) > still
		if turned || !math.IsNaN(l.azimuth[i]) {
			from, to = min(from, h), max(to, h)
		}
	}
	if from >= to {
		return 0, 24
	}
	return max(math.Floor(from-0.2), 0), min(math.Ceil(to+0.2), 24)
}

// words say what came of the day and when the panel was furthest off.
func (v *aboveView) words(d *answer.AimDay) string {
	words := dayWords(d)
	hour, off := v.furthest()
	if off < 1 {
		return words
	}
	return words + fmt.Sprintf(" At rest furthest off: %s° at %s.", rounded(off), clock(hour))
}

// furthest is when there was some light and the resting panel pointed furthest
// from the sun, degrees: looks to the side are no miss.
func (l *dayLines) furthest() (hour, off float64) {
	const some = 50 // W/m²
	for i := range l.hour {
		if miss := math.Abs(l.miss(i)); l.exact[i] > some && !l.awake[i] && miss > off {
			hour, off = l.hour[i], miss
		}
	}
	return hour, off
}

// miss is the short turn from the panel to the sun, NaN without one of them.
func (l *dayLines) miss(i int) float64 {
	if math.IsNaN(l.azimuth[i]) || math.IsNaN(l.faces[i]) {
		return math.NaN()
	}
	return compass.Turn(compass.Angle(l.faces[i]), compass.Angle(l.azimuth[i])).Degrees()
}

// belt is how wide the ring of hours and points of the compass is around the rim.
func (v *aboveView) belt() float64 { return 1.4 + 2.5*v.size }

// lay puts the key where it leaves the larger picture: beside or under it.
func (v *aboveView) lay(top float64) {
	wide, high := v.Width-2*margin, v.Height-margin-top
	column, row := v.keyWidth("panel at the hour")+1, 1.5*v.size
	beside, under := min(wide-column, high)/2, min(wide, high-row)/2
	v.across = under > beside || wide < 2*column
	radius := beside
	v.middle = chart.Point{X: margin + (wide-column)/2, Y: top + high/2}
	v.keyAt = chart.Point{X: v.middle.X + radius + 1, Y: top + high/2 - 2*v.size}
	if v.across {
		radius = under
		v.middle = chart.Point{X: v.Width / 2, Y: top + (high-row)/2}
		v.keyAt = chart.Point{X: margin, Y: v.Height - margin - 0.6*v.size}
	}
	v.rim = max(radius-v.belt(), 2)
}

// radius is where an hour lies between the middle and the rim, mm.
func (v *aboveView) radius(hour float64) float64 {
	share := min(max((hour-v.from)/(v.to-v.from), 0), 1)
	return v.rim * (hub + (1-hub)*share)
}

// polar is a place at a bearing, north up, and a distance in mm.
func (v *aboveView) polar(bearing, radius float64) chart.Point {
	a := compass.Angle(bearing)
	return chart.Point{X: v.middle.X + radius*a.Sin(), Y: v.middle.Y - radius*a.Cos()}
}

// ring draws the rim with the points of the compass.
func (v *aboveView) ring() {
	ring := v.rim + 1.4
	v.Circle(v.middle.X, v.middle.Y, ring, chart.Style{Stroke: chart.Pen, Width: chart.Thin})
	for a := 0.0; a < 360; a += 10 {
		long := 0.6
		if math.Mod(a, 90) == 0 {
			long = 1.2
		}
		v.Line(v.polar(a, ring), v.polar(a, ring-long), chart.Style{Stroke: chart.Pen})
	}
	bold := chart.Lettering{Size: 0.92 * v.size, Bold: true}
	for a := 0.0; a < 360; a += 90 {
		v.write(compass.Angle(a).Point(), bold, place{v.polar(a, ring+1.9*v.size), chart.Middle})
	}
}

// circles are hours that the lines cross on their way outwards.
func (v *aboveView) circles() {
	step := 1.0
	for _, s := range []float64{2, 3, 6, 12} {
		if v.anHour()*step < 1.3*v.size {
			step = s
		}
	}
	for h := step * math.Ceil(v.from/step); h <= v.to; h += step {
		v.Circle(v.middle.X, v.middle.Y, v.radius(h), chart.Style{Stroke: chart.Faint, Width: chart.Hair})
		v.rings = append(v.rings, h)
	}
	v.Circle(v.middle.X, v.middle.Y, 0.3, chart.Style{Fill: chart.Pencil})
}

// ringHours writes the hours of the circles where there is room on them.
func (v *aboveView) ringHours() {
	hand := chart.Lettering{Size: 0.85 * v.size, Ink: chart.Pencil, OnPaper: true}
	for _, h := range v.rings {
		var places []place
		for _, bearing := range []float64{0, 180, 345, 15, 330, 30, 165, 195, 315, 45} {
			places = append(places, place{v.polar(bearing, v.radius(h)), chart.Middle})
		}
		v.write(rounded(h)+" h", hand, places...)
	}
}

// thin is a style for a picture that may be small: lines no wider than their
// distance bears.
func (v *aboveView) thin(s chart.Style) chart.Style {
	s.Width *= min(max(v.rim/30, 0.6), 1)
	return s
}

// anHour is the distance of an hour on paper, mm.
func (v *aboveView) anHour() float64 { return v.rim * (1 - hub) / (v.to - v.from) }

// marked tells whether an hour's marks on the lines have room.
func (v *aboveView) marked(hour int) bool {
	switch wide := v.anHour(); {
	case wide >= 1.8:
		return true
	case wide >= 0.6:
		return hour%3 == 0
	}
	return hour%6 == 0
}

// lines draws sun, panel and what the drive was told from the middle outwards.
func (v *aboveView) lines() {
	for _, line := range []struct {
		column []float64
		style  chart.Style
	}{{v.azimuth, sunLine}, {v.faces, facesLine}, {v.told, toldLine}} {
		for _, run := range v.spiral(line.column) {
			v.Polyline(run, v.thin(line.style))
			v.keepAlong(run)
		}
	}
}

// spiral is a column of bearings as stretches on paper, swept round where they
// turn far from one point to the next.
func (v *aboveView) spiral(column []float64) (runs [][]chart.Point) {
	var run []chart.Point
	end := func() {
		if len(run) > 1 {
			runs = append(runs, run)
		}
		run = nil
	}
	const near, most = 0.05, 400.0 // a full circle hides the rest
	for i, b := range column {
		if math.IsNaN(b) || !(v.hour[i] >= v.from && v.hour[i] <= v.to) {
			end()
			continue
		}
		q := v.polar(b, v.radius(v.hour[i]))
		if len(run) > 0 {
			turn := min(max(b-column[i-1], -most), most)
			for k, steps := 1.0, math.Ceil(math.Abs(turn)/6); k < steps; k++ {
				run = append(run, v.polar(b-turn*(1-k/steps), v.radius(v.hour[i-1]+(v.hour[i]-v.hour[i-1])*k/steps)))
			}
			if last := run[len(run)-1]; math.Hypot(q.X-last.X, q.Y-last.Y) < near && i+1 < len(column) {
				continue
			}
		}
		run = append(run, q)
	}
	end()
	return runs
}

// hourly calls do with the point of the trace nearest to each whole hour.
func (v *aboveView) hourly(do func(hour, i int)) {
	for h := int(math.Ceil(v.from)); float64(h) <= v.to; h++ {
		best, near := -1, 0.1 // hours off
		for i, x := range v.hour {
			if off := math.Abs(x - float64(h)); off < near {
				best, near = i, off
			}
		}
		if best >= 0 {
			do(h, best)
		}
	}
}

// arcs lead from the panel to the sun at every hour.
func (v *aboveView) arcs() {
	v.hourly(func(hour, i int) {
		miss := v.miss(i)
		if math.IsNaN(miss) {
			return
		}
		r := v.radius(v.hour[i])
		v.Arc(v.middle.X, v.middle.Y, r, v.faces[i]-90, v.faces[i]-90+miss, chart.Style{Stroke: chart.Pencil, Width: 0.25})
	})
}

// sunHours marks each hour on the sun's line and on the ring.
func (v *aboveView) sunHours() {
	for rank := range 4 {
		v.hourly(func(hour, i int) {
			if math.IsNaN(v.azimuth[i]) || rankOf(hour) != rank {
				return
			}
			sun := chart.Style{Stroke: chart.Light, Width: chart.Thin, Fill: chart.Light}
			ring := v.rim + 1.4
			if on := v.polar(v.azimuth[i], v.radius(v.hour[i])); v.marked(hour) {
				v.Circle(on.X, on.Y, v.thin(chart.Style{Width: 0.65}).Width, sun)
			}
			if v.write(rounded(float64(hour)), v.hand(), place{v.polar(v.azimuth[i], ring+0.8*v.size), chart.Middle}) {
				at := v.polar(v.azimuth[i], ring)
				v.Circle(at.X, at.Y, 0.5, sun)
			}
		})
	}
}

// rankOf is hourRank for an hour by its number.
func rankOf(hour int) int {
	switch {
	case hour == 12:
		return 0
	case hour%3 == 0:
		return 1
	case hour%2 == 0:
		return 2
	}
	return 3
}

// panels draws the panel at every hour, seen from above, on its line.
func (v *aboveView) panels() {
	half := v.thin(chart.Style{Width: 1.5}).Width
	v.hourly(func(hour, i int) {
		if math.IsNaN(v.faces[i]) || !v.marked(hour) {
			return
		}
		at, a := v.polar(v.faces[i], v.radius(v.hour[i])), compass.Angle(v.faces[i])
		across := chart.Point{X: half * a.Cos(), Y: half * a.Sin()}
		v.Line(chart.Point{X: at.X - across.X, Y: at.Y - across.Y}, chart.Point{X: at.X + across.X, Y: at.Y + across.Y},
			v.thin(chart.Style{Stroke: chart.Pen, Width: 0.8}))
	})
}

// names is the key.
func (v *aboveView) names() {
	entries := []entry{{name: "sun", style: sunLine}, {name: "panel", style: facesLine}, {name: "told", style: toldLine},
		{name: "miss", style: chart.Style{Stroke: chart.Pencil, Width: 0.25}}}
	at := v.keyAt
	for _, e := range entries {
		v.keyed(at, e)
		if v.across {
			at.X += v.keyWidth(e.name) + 2
		} else {
			at.Y += 1.25 * v.size
		}
	}
	words := fmt.Sprintf("hours outwards, %s to %s", rounded(v.from), rounded(v.to))
	if v.across {
		v.write(words, v.asPencil(), place{at, chart.Start})
		return
	}
	at.Y += 0.4 * v.size
	for _, line := range chart.Fold(words, max(v.Width-margin-at.X, 1), 0.92*v.size) {
		v.write(line, v.asPencil(), place{at, chart.Start})
		at.Y += 1.2 * v.size
	}
}
