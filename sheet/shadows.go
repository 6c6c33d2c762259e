package sheet

import (
	"slices"

	"turnsole/answer"
	"turnsole/chart"
)

// Of the table of shadows, mm: it is set closer than others, so that a card's
// face holds it and the dial.
const (
	shadowLine  = 4.6
	clockWide   = 17.0
	dayWide     = 70.0 // at most: figures of one row belong together
	bearingWide = 15.0
)

// shadows lists by the clock, for every day, where the shadow lies: true, by
// compass, and how long it is.
func (g *galley) shadows(s *answer.Setup) {
	g.heading("Where the shadow falls")
	times := hours(s)
	t := shadowTable{g, s, min(dayWide, (g.width-clockWide)/float64(len(s.Days)))}
	g.need(5*shadowLine + 2)
	t.heads()
	for _, at := range times {
		if g.left() < shadowLine {
			g.next()
			t.heads()
		}
		t.line(at, chart.Faint, func(day answer.SetupDay) *answer.Shadow { return shadowAt(day, at) })
	}
	g.gap(1)
	words := "Degrees clockwise from north, from the stick's foot to the shadow's tip; lengths in mm: where they agree stick and ground are true."
	if anySteep(s) {
		words += " *: the sun is so high that a stick leaning by 1° turns its shadow by 3° or more; take another hour."
	}
	g.note(words)
}

// shadowTable is the table in the making; each day has a part of it.
type shadowTable struct {
	*galley
	card *answer.Setup
	wide float64 // of a day's part
}

// heads writes each day's date, the sun's hours and the names of the columns,
// and the shadow at solar noon.
func (t shadowTable) heads() {
	for i, day := range t.card.Days {
		x := t.x + clockWide + float64(i)*t.wide + 3
		zone := ""
		if day.Zone != t.card.Clock {
			zone = ", " + day.Zone
		}
		fitted(t.page.ink, x, t.y+shadowLine, t.wide-4, day.Date.Format("2 January 2006")+zone, chart.Lettering{Size: smallSize, Bold: true})
		sun := "sun " + clock(day.Rise) + " to " + clock(day.Set) + ", noon " + clock(day.Noon)
		if day.Never != "" {
			sun = day.Never + ", noon " + clock(day.Noon)
		}
		fitted(t.page.ink, x, t.y+2*shadowLine, t.wide-4, sun, chart.Lettering{Size: smallSize})
	}
	t.y += 2*shadowLine + 1
	length := "length"
	if t.doc.options.Inches {
		length = "length (in)"
	}
	t.cells("clock", func(int) []string {
		if t.card.FieldWhy != "" {
			return []string{"true", "", length}
		}
		return []string{"true", "compass", length}
	}, chart.Lettering{Size: smallSize, Bold: true}, chart.Pen)
	t.line("noon", chart.Pen, func(day answer.SetupDay) *answer.Shadow { return day.AtNoon })
}

// line writes one row: the shadow of each day.
func (t shadowTable) line(name string, rule chart.Ink, of func(answer.SetupDay) *answer.Shadow) {
	t.cells(name, func(i int) []string {
		shadow := of(t.card.Days[i])
		if shadow == nil {
			return []string{"", "", ""}
		}
		return t.figures(shadow)
	}, chart.Lettering{Size: smallSize, Bold: rule == chart.Pen}, rule)
}

// figures are true bearing, compass bearing and length.
func (t shadowTable) figures(s *answer.Shadow) []string {
	words := []string{bearing(s.Bearing), "", mm(s.LengthM)}
	if s.LengthM > 20*t.card.StickM { // too long to be measured, and blurred
		words[2] = "too long"
	} else if t.doc.options.Inches {
		words[2] += " (" + figure(s.LengthM/0.0254, 1) + ")"
	}
	if t.card.FieldWhy == "" {
		words[1] = bearing(s.CompassDeg)
	}
	if s.Steep {
		words[2] = "* " + words[2]
	}
	return words
}

// cells writes a row and rules a line under it.
func (t shadowTable) cells(first string, of func(day int) []string, hand chart.Lettering, rule chart.Ink) {
	t.y += shadowLine
	y := t.y - shadowLine*0.3
	hand.Anchor = chart.End
	fitted(t.page.ink, t.x+clockWide-1, y, clockWide-1, first, hand)
	for i := range t.card.Days {
		x := t.x + clockWide + float64(i)*t.wide
		words := of(i)
		rest := t.wide - 3 - 2*bearingWide
		for k, right := range []float64{bearingWide, 2 * bearingWide, 2*bearingWide + rest} {
			t.page.ink.Text(x+right, y, words[k], hand)
		}
	}
	t.page.ink.Line(chart.Point{X: t.x, Y: t.y}, chart.Point{X: t.x + t.width, Y: t.y}, chart.Style{Stroke: rule, Width: chart.Hair})
}

// hours are the clock times at which any day has a shadow.
func hours(s *answer.Setup) []string {
	var all []string
	for _, day := range s.Days {
		for _, shadow := range day.Shadows {
			all = append(all, shadow.At.Format("15:04"))
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}

func shadowAt(day answer.SetupDay, at string) *answer.Shadow {
	for i := range day.Shadows {
		if day.Shadows[i].At.Format("15:04") == at {
			return &day.Shadows[i]
		}
	}
	return nil
}

func anySteep(s *answer.Setup) bool {
	for _, day := range s.Days {
		for _, shadow := range day.Shadows {
			if shadow.Steep {
				return true
			}
		}
	}
	return false
}
