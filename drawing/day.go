package drawing

import (
	"fmt"
	"math"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/compass"
)

// Lines of a day, told apart by their kind as well as by their ink.
var (
	sunLine   = chart.Style{Stroke: chart.Light, Width: 0.9}
	facesLine = chart.Style{Stroke: chart.Pen, Width: chart.Thick}
	toldLine  = chart.Style{Stroke: chart.Pen, Width: 0.25, Dash: []float64{1.6, 0.8}}
	wantLine  = chart.Style{Stroke: chart.Pencil, Width: 0.3, Dash: []float64{0.3, 0.7}}
	exactLine = chart.Style{Stroke: chart.Pen, Width: 0.3, Dash: []float64{1.2, 0.6}}
)

// Day draws one day against time: above, the headings (what the policy wanted,
// what the drive was told to be at, what the panel faces, and the sun's azimuth,
// again a whole turn away where that is in the picture); below, the light on the
// panel beside that of exact turning and, where there is room, the current. The
// night is shaded, and a tick tells when the controller was awake.
func Day(d *answer.AimDay, width, height float64) *chart.Picture {
	title := dayTitle(d)
	sc := newScribe(width, height, title, title+" against time. "+dayWords(d))
	v := &dayView{scribe: sc, day: d, dayLines: linesOf(d)}
	top := sc.caption(title, dayWords(d))
	if len(v.hour) == 0 {
		return sc.Picture
	}
	v.lay(top)
	v.draw()
	return sc.Picture
}

func dayTitle(d *answer.AimDay) string {
	return fmt.Sprintf("%s: %s", date(min(max(d.Date.Month, 1), 12), d.Date.Day), d.Kind)
}

// dayWords say what came of the day.
func dayWords(d *answer.AimDay) string {
	if len(d.Trace.Hour) == 0 {
		return "Nothing was recorded."
	}
	s := &d.Sum
	var parts []string
	if s.TurningLightWhM2 > 0 {
		parts = append(parts, fmt.Sprintf("%s %% of the light of exact turning", rounded(100*s.ShareOfTurning())))
	} else {
		parts = append(parts, "no light")
	}
	parts = append(parts, fmt.Sprintf("%s moves, %s turned", rounded(s.Moves), rounded(s.DegreesTurned)+"°"))
	for _, mishap := range []struct {
		words string
		deg   float64
	}{{"blown round", s.BlownDeg}, {"lost in gusts", s.LostDeg}} {
		if mishap.deg >= 0.5 {
			parts = append(parts, mishap.words+" "+rounded(mishap.deg)+"°")
		}
	}
	words := strings.Join(parts, ", ") + "."
	return strings.ToUpper(words[:1]) + words[1:]
}

// dayLines are the columns of a day's trace, equally long, made continuous and
// brought to the same turn.
type dayLines struct {
	hour, azimuth, want, told, faces, light, exact, current []float64
	awake                                                   []bool
}

func linesOf(d *answer.AimDay) dayLines {
	t := &d.Trace
	n := len(t.Hour)
	column := func(from []float64) []float64 {
		to := make([]float64, n)
		for i := range to {
			if to[i] = math.NaN(); i < len(from) && finite(from[i]) {
				to[i] = from[i]
			}
		}
		return to
	}
	l := dayLines{hour: column(t.Hour), azimuth: column(t.SunDeg), want: column(t.WantDeg), told: column(t.ToldDeg), faces: column(t.FacesDeg),
		light: column(t.LightWm2), exact: column(t.TurnedWm2), current: column(t.CurrentA), awake: make([]bool, n)}
	copy(l.awake, t.Awake)
	unwrap(l.azimuth)
	// The panel and the controller's frame keep their own course; only whole turns
	// are taken off, the same all day, so that a jump in the picture is a jump.
	turnBy(turnsBetween(l.faces, l.azimuth), l.faces)
	turnBy(turnsBetween(l.told, l.faces), l.told, l.want)
	return l
}

// unwrap makes azimuths continuous, gaps left as they are.
func unwrap(column []float64) {
	last := math.NaN()
	for i, v := range column {
		if math.IsNaN(v) {
			continue
		}
		if !math.IsNaN(last) {
			column[i] = last + compass.Turn(compass.Angle(last), compass.Angle(v)).Degrees()
		}
		last = column[i]
	}
}

// turnsBetween is how many degrees, in whole turns, bring a column nearest to
// another on average; where they have nothing in common, onto the first turn.
func turnsBetween(column, other []float64) float64 {
	sum, count, own, all := 0.0, 0.0, 0.0, 0.0
	for i := range column {
		if math.IsNaN(column[i]) {
			continue
		}
		own, all = own+column[i], all+1
		if !math.IsNaN(other[i]) {
			sum, count = sum+other[i]-column[i], count+1
		}
	}
	switch {
	case count > 0:
		return 360 * math.Round(sum/count/360)
	case all > 0:
		return -360 * math.Floor(own/all/360)
	}
	return 0
}

func turnBy(degrees float64, columns ...[]float64) {
	for _, column := range columns {
		for i := range column {
			column[i] += degrees
		}
	}
}

// daylight are the hours of the first and the last sight of the sun; ok is false
// on a day without.
func (l *dayLines) daylight() (rise, set float64, ok bool) {
	rise, set = math.NaN(), math.NaN()
	for i, v := range l.azimuth {
		if math.IsNaN(v) || math.IsNaN(l.hour[i]) {
			continue
		}
		if math.IsNaN(rise) {
			rise = l.hour[i]
		}
		set = l.hour[i]
	}
	return rise, set, set > rise
}

// dayView is a day in the making: plots one over the other.
type dayView struct {
	*scribe
	dayLines
	day             *answer.AimDay
	head, lit, amps *plot // amps is nil where there is no room
	left, right     float64
	strip           float64 // top of the strip of ticks
}

const stripHigh = 1.6

// lay shares the paper out between the plots.
func (v *dayView) lay(top float64) {
	foot := v.Height - 1.5*v.size - 0.8
	line := 1.35 * v.size
	v.left = margin + 1 + max(v.hand().Width("1000"), v.hand().Width("WNW"))
	v.right = v.Width - margin - v.keyWidth("awake", "exact") - 1
	y0 := top + line
	room := foot - y0 - stripHigh - 0.8 - line
	put := func(y0, y1 float64, y scale) *plot {
		return &plot{v.scribe, extent{v.left, y0, v.right, max(y1, y0+1)}, scale{least: 0, most: 24}, y}
	}
	share, withAmps := 0.62, room > 55
	if withAmps {
		room, share = room-line, 0.52
	}
	y1 := y0 + share*room
	v.head = put(y0, y1, covering(90, v.azimuth, v.want, v.told, v.faces))
	v.strip = y1 + 0.8
	y0 = v.strip + stripHigh + line
	y1 = foot
	if withAmps {
		y1 = y0 + 0.6*(foot-y0-line)
		amps := covering(0.1, v.current, []float64{0})
		amps.least = max(amps.least, -amps.most)
		v.amps = put(y1+line, foot, scale{least: min(0, least(v.current)), most: amps.most})
	}
	v.lit = put(y0, y1, scale{least: 0, most: covering(100, v.light, v.exact, []float64{0}).most})
}

// least is the least of a column, infinite for none.
func least(column []float64) float64 {
	m := math.Inf(1)
	for _, x := range column {
		if x < m {
			m = x
		}
	}
	return m
}

func (v *dayView) draw() {
	plots := []*plot{v.head, v.lit}
	if v.amps != nil {
		plots = append(plots, v.amps)
	}
	for _, p := range plots {
		v.night(p)
	}
	v.sunTimes()
	v.hours(plots)
	v.headings()
	v.ticks()
	v.lights()
	if v.amps != nil {
		v.amps.name("current, A")
		v.amps.levels(upright(v.amps))
		v.amps.trace(v.hour, v.current, chart.Style{Stroke: chart.Pen, Width: 0.25})
	}
	for _, p := range plots {
		p.foot()
	}
}

// night shades the hours without sun.
func (v *dayView) night(p *plot) {
	e := p.paper
	shade := chart.Style{Fill: chart.Shade}
	rise, set, ok := v.daylight()
	if !ok {
		p.Rect(e.x0, e.y0, e.x1-e.x0, e.y1-e.y0, shade)
		return
	}
	if x := p.at(rise, 0).X; x > e.x0 {
		p.Rect(e.x0, e.y0, x-e.x0, e.y1-e.y0, shade)
	}
	if x := p.at(set, 0).X; x < e.x1 {
		p.Rect(x, e.y0, e.x1-x, e.y1-e.y0, shade)
	}
}

// sunTimes writes when the sun comes and goes, over the headings.
func (v *dayView) sunTimes() {
	y := v.head.paper.y0 - 0.7*v.size
	rise, set, ok := v.daylight()
	if !ok {
		v.write("no sun", v.asPencil(), place{chart.Point{X: (v.left + v.right) / 2, Y: y}, chart.Middle})
		return
	}
	const edge = 0.3 // of an hour: no sunrise is told where the sun is up at midnight
	x := v.head.at(rise, 0).X
	if rise > edge {
		v.write("sunrise "+clock(rise), v.hand(), place{chart.Point{X: x, Y: y}, chart.Middle}, place{chart.Point{X: v.left, Y: y}, chart.Start})
	}
	if x = v.head.at(set, 0).X; set < 24-edge {
		v.write("sunset "+clock(set), v.hand(), place{chart.Point{X: x, Y: y}, chart.Middle}, place{chart.Point{X: v.Width - margin, Y: y}, chart.End})
	}
}

func clock(hour float64) string {
	minutes := int(math.Round(hour * 60))
	return fmt.Sprintf("%d:%02d", minutes/60, minutes%60)
}

// hours rules the hours through all plots and writes them under the lowest.
func (v *dayView) hours(plots []*plot) {
	wide := (v.right - v.left) / 24
	step := 12.0
	for _, s := range []float64{6, 3, 2, 1} {
		if s*wide > v.hand().Width("24")+2 {
			step = s
		}
	}
	lowest := plots[len(plots)-1]
	for h := 0.0; h <= 24; h += step {
		for _, p := range plots {
			x, e := p.at(h, 0).X, p.paper
			p.Line(chart.Point{X: x, Y: e.y0}, chart.Point{X: x, Y: e.y1}, chart.Style{Stroke: chart.Faint, Width: chart.Hair})
		}
		v.write(rounded(h), v.hand(), place{chart.Point{X: lowest.at(h, 0).X, Y: lowest.paper.y1 + 0.6 + 0.5*v.size}, chart.Middle})
	}
	v.write("hour", v.asPencil(), place{chart.Point{X: v.Width - margin, Y: lowest.paper.y1 + 0.6 + 0.5*v.size}, chart.End})
}

// headings draws the four headings and names each beside its end.
func (v *dayView) headings() {
	v.points()
	v.suns()
	v.head.trace(v.hour, v.faces, facesLine)
	v.head.trace(v.hour, v.told, toldLine)
	v.head.trace(v.hour, v.want, wantLine)
	var entries []entry
	for _, line := range []struct {
		name   string
		column []float64
		style  chart.Style
	}{{"sun", v.azimuth, sunLine}, {"faces", v.faces, facesLine}, {"told", v.told, toldLine}, {"want", v.want, wantLine}} {
		for i := len(line.column) - 1; i >= 0; i-- {
			if !math.IsNaN(line.column[i]) {
				entries = append(entries, entry{line.name, line.style, v.head.at(0, line.column[i]).Y})
				break
			}
		}
	}
	e := v.head.paper
	v.key(v.right+1, e.y0+0.4*v.size, e.y1-0.75*v.size, entries)
}

// points rules the points of the compass.
func (v *dayView) points() {
	p := v.head
	step := 22.5
	for (p.paper.y1-p.paper.y0)*step/(p.y.most-p.y.least) < 1.5*v.size {
		step *= 2
	}
	var ticks []chart.Tick
	for k := math.Ceil(p.y.least / step); k*step <= p.y.most; k++ {
		ticks = append(ticks, chart.Tick{At: k * step, Label: compass.Angle(k * step).Azimuth().Point()})
	}
	p.levels(ticks)
}

// suns draws the sun's azimuth, and again whole turns away where that is in the
// picture: a panel that turns the long way round meets it there.
func (v *dayView) suns() {
	v.head.trace(v.hour, v.azimuth, sunLine)
	again := sunLine
	again.Width = chart.Medium
	const mostTurns = 3
	for k := -mostTurns; k <= mostTurns; k++ {
		if k == 0 {
			continue
		}
		column := append([]float64(nil), v.azimuth...)
		turnBy(360*float64(k), column)
		v.head.trace(v.hour, column, again)
	}
}

// ticks marks when the controller was awake.
func (v *dayView) ticks() {
	e := v.head.paper
	const thinnest = 0.15
	from := -1
	for i := 0; i <= len(v.awake); i++ {
		on := i < len(v.awake) && v.awake[i] && !math.IsNaN(v.hour[i])
		if on && from < 0 {
			from = i
		}
		if on || from < 0 {
			continue
		}
		a, b := v.head.at(v.hour[from], 0).X, v.head.at(v.hour[i-1], 0).X
		a = min(a, e.x1-thinnest)
		v.Rect(a, v.strip, max(b-a, thinnest), stripHigh, chart.Style{Fill: chart.Pen})
		from = -1
	}
	v.Line(chart.Point{X: e.x0, Y: v.strip + stripHigh}, chart.Point{X: e.x1, Y: v.strip + stripHigh}, chart.Style{Stroke: chart.Faint, Width: chart.Hair})
	v.write("awake", v.hand(), place{chart.Point{X: v.right + 1, Y: v.strip + stripHigh/2}, chart.Start})
}

// lights draws the light on the panel second by second as an area, and its mean
// over half hours beside that of exact turning.
func (v *dayView) lights() {
	p := v.lit
	for _, run := range p.runs(v.hour, v.light) {
		area := append([]chart.Point{{X: run[0].X, Y: p.paper.y1}}, run...)
		p.Polygon(append(area, chart.Point{X: run[len(run)-1].X, Y: p.paper.y1}), chart.Style{Fill: chart.Glow})
	}
	p.name("light on the panel, W/m²")
	p.levels(upright(p))
	hours, got := halfHours(v.hour, v.light)
	_, exact := halfHours(v.hour, v.exact)
	p.trace(hours, got, chart.Style{Stroke: chart.Light, Width: chart.Thick})
	p.trace(hours, exact, exactLine)
	e := p.paper
	middle := (e.y0 + e.y1) / 2
	v.key(v.right+1, e.y0, e.y1, []entry{
		{"exact", exactLine, middle - 0.6*v.size}, {"got", chart.Style{Stroke: chart.Light, Width: chart.Thick}, middle + 0.6*v.size}})
}

// halfHours are a column's means over half hours, each point for the time until
// the next, at their middles.
func halfHours(hour, column []float64) (middles, means []float64) {
	var sum, weight [48]float64
	for i := 0; i+1 < min(len(hour), len(column)); i++ {
		slot, long := int(math.Floor(2*hour[i])), hour[i+1]-hour[i]
		if slot >= 0 && slot < 48 && long > 0 && !math.IsNaN(column[i]) {
			sum[slot], weight[slot] = sum[slot]+long*column[i], weight[slot]+long
		}
	}
	for i := range sum {
		middles, means = append(middles, 0.25+float64(i)/2), append(means, sum[i]/weight[i])
	}
	return middles, means
}
