package sheet

import (
	"fmt"

	"turnsole/answer"
)

// Trial adds the protocol card: what is done when, what must be left alone, what
// is written down and taken home, and a form to be filled in day by day.
func (d *Document) Trial(p *answer.TrialPlan) {
	d.onePage(func(shrink, _ float64) {
		g := d.beginWith(shrink, p.Rig, "Trial", p.Verdict)
		g.caution("Take care", append(trialCautions(), p.Cautions...)...)
		g.heading("What is done")
		g.steps(p.Protocol)
		g.sideBySide(func() {
			g.heading("Write into the log, with the time")
			g.table([]column{{"word", 17, false}, {"when", 0, false}}, logWords())
		}, func() {
			g.heading("Leave alone until the last day")
			g.points(leaveAlone())
			g.heading("Take home")
			g.points(takeHome())
		})
		g.daysForm(p.Lasting())
		g.note(fmt.Sprintf("Planned%s for %s to %s with %s; seed %d.", atSpot(p.Spot), answer.DayText(p.From), answer.DayText(p.To), p.Weather, p.Seed))
	})
}

func trialCautions() []string {
	return []string{
		"The stand turns by itself, at every look: keep fingers, sleeves and children clear of gears and belt, and switch the motor off before you reach in.",
		"A battery melts what bridges its poles: every new wire gets its fuse at the plus pole first. A panel in daylight is live: cover it before a plug is parted.",
		"Never look at the sun, nor along the panel at it: judge by the shadow.",
	}
}

func logWords() [][]string {
	return [][]string{
		{"cleaned", "The panel was wiped."},
		{"storm", "Wind turned the panel, or you parked it. Safety goes first."},
		{"moved", "Stand or still heading moved, or knocked. A new set-up begins: days before and after are never put together."},
		{"notch", "The tilt was changed. A new set-up, too."},
		{"any other", "New shade, snow, a fault, no power, other loads: in your own words."},
	}
}

func leaveAlone() []string {
	return []string{
		"Stand, tilt and still heading: nothing is moved or turned by hand.",
		"The controller's settings, its clock, cables and loads.",
		"What stands around: nothing new that shades or mirrors.",
	}
}

func takeHome() []string {
	return []string{
		"The whole log as it is, nights too; no other program opens and saves it first.",
		"The clock's time, to the second, at which it was copied: a controller without a clock gets its time by it.",
		"The rig file as it was, and this card.",
	}
}

// mostRows are what a card has room for in one column, and a page of its own in
// two.
const mostRows, mostInTwo = 8, 76

// daysForm rules a line for each day, in two columns where they are many.
func (g *galley) daysForm(days int) {
	if days < 1 {
		return
	}
	rows := days
	if days > mostRows {
		rows = (min(days, mostInTwo) + 1) / 2
	}
	g.need(g.heads()*2 + 6 + g.formHigh(rows))
	title := "Day by day"
	if days > mostInTwo {
		title = fmt.Sprintf("Day by day: copy this for those after the first %d of %d", mostInTwo, days)
		days = mostInTwo
	}
	g.heading(title)
	if days <= mostRows {
		g.form([]column{{"day", 10, false}, {"date", 20, false}, {"sky", 27, false}, {"looks seen", 20, false}, {"what happened, and when", 0, false}, {"who", 14, false}}, numbered(1, days))
		return
	}
	half := rows
	columns := []column{{"day", 9, false}, {"date", 15, false}, {"sky", 15, false}, {"what happened, and when", 0, false}}
	g.sideBySide(func() { g.form(columns, numbered(1, half)) }, func() { g.form(columns, numbered(half+1, days)) })
}

// numbered are rows that begin with the numbers from one to another.
func numbered(from, to int) (rows [][]string) {
	for day := from; day <= to; day++ {
		rows = append(rows, []string{number(day)})
	}
	return rows
}
