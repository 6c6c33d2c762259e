package sheet

import (
	"fmt"
	"math"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/drawing"
)

// Result adds what a trial found on one page: the three answers with their
// ranges, the pictures, what was left out, what makes it doubtful, and how it was
// measured.
func (d *Document) Result(r *answer.TrialResult) {
	if r.Result == nil {
		return
	}
	d.onePage(func(shrink, high float64) {
		g := d.beginWith(shrink, r.Rig, "Trial's result", measuredWhen(r))
		if r.Sure() {
			g.answers(r)
		} else {
			g.heading("No gain is given")
			for _, said := range r.Sentences {
				g.say(said)
			}
		}
		if r.PromiseWords != "" {
			g.note(r.PromiseWords)
		}
		g.pictures(r, high)
		g.sideBySide(func() { g.doubts(r) }, func() { g.howMeasured(r) })
	})
}

// measuredWhen says what the page is of.
func measuredWhen(r *answer.TrialResult) string {
	words := "What turning the panel brought over keeping it still" + atSpot(r.Spot)
	if n := len(r.Daily); n > 0 {
		from, to := r.Date(r.Daily[0].Day), r.Date(r.Daily[n-1].Day)
		words += ", " + from.Format("2 January 2006")
		if to != from {
			words += " to " + to.Format("2 January 2006")
		}
	}
	return words + "."
}

// answered is one of the three answers.
type answered struct {
	name             string
	value, low, high float64 // shares
	about            string
}

// answers sets the three side by side, in large figures.
func (g *galley) answers(r *answer.TrialResult) {
	season := "Such days on average at this time of year: the luck of the days is in the range."
	if math.IsNaN(r.Season.Value) || math.IsNaN(r.Season.Low) {
		season = "Too few days to say what such days bring on average: five at least."
	}
	year := "A coming year, of exact turning at the rig's tilt: the model, as far as the trial corrects it, and the weather's luck."
	if r.YearWhy != "" {
		year = "Nothing can be said: " + r.YearWhy + "."
	}
	all := []answered{
		{"These days", r.TheseDays.Value, r.TheseDays.Low, r.TheseDays.High, fmt.Sprintf("Measured on %d days. The luck of the weather is not in the range; looks, sensor and headings are.", r.Days)},
		{"The season", r.Season.Value, r.Season.Low, r.Season.High, season},
		{"The year", r.Year.Value, r.Year.Low, r.Year.High, year},
	}
	const between = 4.0
	wide := (g.width - 2*between) / 3
	high := 0.0
	for _, a := range all {
		high = max(high, g.answerHigh(&a, wide))
	}
	g.need(high + 2)
	g.gap(1)
	for i := range all {
		g.answer(&all[i], g.x+float64(i)*(wide+between), wide, high)
	}
	g.y += high + 2
	g.note(fmt.Sprintf("More than the still panel gave, %s. In brackets the range that holds the true figure in %s cases of a hundred. They answer three questions: none stands for another.", gainOf(r), trimmed(100*r.Confidence)))
}

// gainOf says what the gain is a gain of.
func gainOf(r *answer.TrialResult) string {
	switch r.Measure.String() {
	case "power":
		return "in watt-hours that the panel could give"
	case "current":
		return "in the panel's current"
	}
	return "in light on the panel"
}

const answerPad = 2.6 // mm of white within an answer's box

func (g *galley) bigSize() float64 { return 9.5 * g.shrink }

func (g *galley) answerHigh(a *answered, wide float64) float64 {
	lines := len(chart.Fold(a.about, wide-2*answerPad, g.small()))
	return 2*answerPad + 1.2*g.text() + 1.05*g.bigSize() + 1.35*g.text() + float64(lines)*g.small()*leading + 1
}

// answer rules one answer's box.
func (g *galley) answer(a *answered, x, wide, high float64) {
	ink := g.page.ink
	ink.Rect(x, g.y, wide, high, chart.Style{Stroke: chart.Pen, Width: chart.Medium})
	at, y := x+answerPad, g.y+answerPad+0.8*g.text()
	ink.Text(at, y, a.name, chart.Lettering{Size: g.text(), Bold: true})
	y += 0.4*g.text() + 0.8*g.bigSize()
	fitted(ink, at, y, wide-2*answerPad, share(a.value, " %"), chart.Lettering{Size: g.bigSize(), Bold: true})
	y += 0.25*g.bigSize() + 0.95*g.text()
	if !math.IsNaN(a.value) {
		bounds := "within what, cannot be told"
		if !math.IsNaN(a.low) && !math.IsInf(a.low, 0) {
			bounds = fmt.Sprintf("(%s to %s)", share(a.low, ""), share(a.high, " %"))
		}
		fitted(ink, at, y, wide-2*answerPad, bounds, chart.Lettering{Size: g.text()})
	}
	y += 0.4*g.text() + 0.6
	for _, words := range chart.Fold(a.about, wide-2*answerPad, g.small()) {
		y += g.small() * leading
		ink.Text(at, y-0.3*g.small(), words, chart.Lettering{Size: g.small(), Ink: chart.Pencil})
	}
}

// share writes a gain with its sign, as the command does; a stroke where there is
// none.
func share(v float64, unit string) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "–"
	}
	return strings.Replace(answer.Signed(100*v, 1), "-", "−", 1) + unit
}

func trimmed(v float64) string { return fmt.Sprintf("%.4g", v) }

// pictures are the four, two by two, each so many mm high.
func (g *galley) pictures(r *answer.TrialResult, high float64) {
	if len(r.Daily) == 0 && len(r.Scatter) == 0 {
		return
	}
	wide := (g.width - 4) / 2
	g.row(drawing.TrialDays(r, wide, high), drawing.TrialLooks(r, wide, high))
	g.row(drawing.TrialRunning(r, wide, high), drawing.TrialHours(r, wide, high))
}

// doubts tells what makes the answers doubtful, and lists what had no part.
func (g *galley) doubts(r *answer.TrialResult) {
	const boxed = 8 // a box is never parted by a page's end
	switch n := len(r.Cautions); {
	case n > boxed:
		g.heading("What makes it doubtful")
		g.points(r.Cautions)
	case n > 0:
		g.caution("What makes it doubtful", r.Cautions...)
	}
	g.heading("Left out")
	var items []string
	for _, l := range r.Left {
		items = append(items, fmt.Sprintf("%d %s", l.Count, l.Why))
	}
	if len(items) == 0 {
		items = []string{"Nothing was left out."}
	}
	g.points(append(items, r.Notes...))
}

// howMeasured tells what the answers rest on.
func (g *galley) howMeasured(r *answer.TrialResult) {
	g.heading("How it was measured")
	rows := [][]string{
		{"method", r.Method + ", compared by " + r.Measure.String()},
		{"looks", fmt.Sprintf("%d pairs at %d stops; %.0f hours of light", r.Pairs, r.Stops, r.Hours)},
		{"over", fmt.Sprintf("still at %.0f°; tilt %s from flat", r.Still.Degrees(), degrees(r.Tilt))},
		{"log", logged(r)},
		{"year from", r.Weather},
		{"seed", fmt.Sprint(r.Seed)},
	}
	g.rule([]column{{"", 17, false}, {"", 0, false}}, rows, ruling{headless: true})
	g.assumed(len(r.Assumed))
}

// logged names the log and which of its set-ups counts.
func logged(r *answer.TrialResult) string {
	words := r.Log
	if r.Setup != "" {
		words += ", set-up " + r.Setup
	}
	if n := len(r.Setups); n > 1 {
		words += fmt.Sprintf(" of %d", n)
	}
	return words
}
