package sheet

import (
	"fmt"
	"math"
	"slices"
	"time"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/compass"
	"turnsole/drawing"
)

// Season adds when to change the tilt, what each notch looks like and what the
// changing brings: first for the panel that turns, as a rig with a drive does,
// then for one that stands still, as it does with the motor out of order.
func (d *Document) Season(n *answer.Notches, s *answer.Stand) {
	g := d.begin(n.Rig, "Season", "When to set which tilt"+atSpot(n.Spot)+". A day sooner or later costs nothing: go by the weather and your own time. Reckoned with "+n.Weather+".")
	g.heading("A panel that turns with the sun")
	g.year(&n.Turning)
	g.notches(shownYear(&n.Turning), s)
	g.caution("Each time you change it", d.options.allWords(changing(s))...)
	g.heading("The same panel standing still")
	g.year(&n.Still)
	g.heading("Does it pay?")
	g.counts(n)
}

// shownYear is the calendar for the tilts that the stand has; the best one
// where it has none.
func shownYear(p *answer.NotchPlan) answer.NotchYear {
	if len(p.AsBuilt.Swaps) > 0 {
		return p.AsBuilt
	}
	return p.Best
}

// year draws a calendar and lists its days.
func (g *galley) year(p *answer.NotchPlan) {
	shown := *p
	shown.Cut = nil // the picture is of the stand as its rig file has it
	if len(shown.AsBuilt.Swaps) == 0 {
		g.note("The stand has no settings of its own within its lowest and highest tilt; these are the best tilts to the degree.")
	}
	y := shownYear(p)
	if len(y.Swaps) == 1 {
		g.say("Hold " + degrees(y.Tilts[0]) + " all the year.")
		return
	}
	g.picture(drawing.SwapCalendar(&shown, g.width, 42))
	columns := []column{{"", 7, false}, {"on", 38, false}, {"set the tilt to", 0, true}, {"until", 44, true}, {"days", 30, true}}
	var rows [][]string
	for _, s := range fromJanuary(y.Swaps) {
		rows = append(rows, []string{"", date(s.From), degrees(y.Tilts[s.Notch-1]), date(s.To), number(stretchDays(s))})
	}
	g.ticked(columns, rows)
}

// fromJanuary sorts swaps as they come in a year.
func fromJanuary(swaps []answer.Swap) []answer.Swap {
	sorted := slices.Clone(swaps)
	slices.SortFunc(sorted, func(a, b answer.Swap) int {
		return (100*a.From.Month + a.From.Day) - (100*b.From.Month + b.From.Day)
	})
	return sorted
}

// notches draws each tilt of a year, and says where foot and front edge rest.
func (g *galley) notches(y answer.NotchYear, s *answer.Stand) {
	if len(y.Tilts) == 0 || s == nil {
		return
	}
	g.heading("Each tilt, seen from the right side")
	columns := []column{{"tilt from flat", 30, true}, {"front edge at", 0, false}, {"foot or prop", 0, false}}
	var rows [][]string
	var pictures []*chart.Picture
	wide := min(g.width/3-2, 60)
	for _, tilt := range y.Tilts {
		k := settingAt(s, tilt)
		if k < 0 {
			pictures = append(pictures, drawing.SideAt(s, tilt, wide, 46))
			rows = append(rows, []string{degrees(tilt), "–", "to be made: the cuts sheet says where"})
			continue
		}
		pictures = append(pictures, drawing.SmallSide(s, k, wide, 46))
		rows = append(rows, append([]string{degrees(tilt)}, g.rests(s.Settings[k])...))
	}
	for len(pictures) > 0 {
		n := min(3, len(pictures))
		g.row(pictures[:n]...)
		pictures = pictures[n:]
	}
	g.table(columns, rows)
}

// settingAt is the possible setting of a tilt, -1 for none.
func settingAt(s *answer.Stand, tilt compass.Angle) int {
	best := -1
	for i, one := range s.Settings {
		off := math.Abs(float64(one.Tilt - tilt))
		if one.Possible && off < 0.05 && (best < 0 || off < math.Abs(float64(s.Settings[best].Tilt-tilt))) {
			best = i
		}
	}
	return best
}

// rests says in which stop and notch a setting stands, counted and measured
// from the rails' front end.
func (g *galley) rests(s answer.StandSetting) []string {
	o := g.doc.options
	switch {
	case s.PropM > 0:
		return []string{"in its hinge", fmt.Sprintf("prop %d, %s from pin to pin", s.Back, o.length(s.PropM))}
	case s.Front > 0:
		return []string{fmt.Sprintf("stop %d, %s along the rail", s.Front, o.length(s.FrontM)), fmt.Sprintf("notch %d, %s along the rail", s.Back, o.length(s.BackM))}
	}
	return []string{"as it was measured", fmt.Sprintf("setting %d of the list", s.Back)}
}

// counts sets more and more tilts side by side with one.
func (g *galley) counts(n *answer.Notches) {
	columns := []column{{"tilts", 17, true}, {"turning, from flat", 0, false}, {"a year", 21, true}, {"over one", 17, true},
		{"still, from flat", 0, false}, {"a year", 21, true}, {"over one", 17, true}}
	var rows [][]string
	for i := range n.Turning.Counts {
		rows = append(rows, slices.Concat([]string{number(i + 1)}, brings(n.Turning.Counts[i], &n.Turning), brings(n.Still.Counts[i], &n.Still)))
	}
	if len(n.Turning.AsBuilt.Tilts) > 0 {
		rows = append(rows, slices.Concat([]string{"as built"}, brings(n.Turning.AsBuilt, &n.Turning), brings(n.Still.AsBuilt, &n.Still)))
	}
	g.table(columns, rows)
	g.say("Turning: " + enough(&n.Turning) + " Still: " + enough(&n.Still))
	g.note(fmt.Sprintf("A year at the panel's terminals. Set anew every day the tilt would bring the turning panel %s kWh, the still one %s kWh.",
		everyDay(&n.Turning), everyDay(&n.Still)))
}

// brings is what a calendar brings in a year, and that over the best one tilt.
func brings(y answer.NotchYear, p *answer.NotchPlan) []string {
	gain := "–"
	if one := p.Counts[0].PanelWh; one > 0 {
		gain = answer.Signed(100*(y.PanelWh/one-1), 1) + " %"
	}
	return []string{tilts(y.Tilts), figure(y.PanelWh/1000, 1) + " kWh", gain}
}

// everyDay is the year of a tilt set anew every day, in kWh.
func everyDay(p *answer.NotchPlan) string {
	best := p.Counts[len(p.Counts)-1]
	if !(best.OfDailyBest > 0) {
		return "–"
	}
	return figure(best.PanelWh/best.OfDailyBest/1000, 1)
}

// enough says how few tilts do.
func enough(p *answer.NotchPlan) string {
	most := len(p.Counts)
	if p.AsGood >= most {
		return fmt.Sprintf("each tilt up to number %d brings something.", most)
	}
	lost := p.Counts[most-1].PanelWh/p.Counts[p.AsGood-1].PanelWh - 1
	more := fmt.Sprintf("the others would bring %.1f %% more, too little to notice", 100*lost)
	if !(lost >= 0.0005) { // of nothing there is no share
		more = "more bring nothing"
	}
	if p.AsGood == 1 {
		return fmt.Sprintf("one tilt is as good as %d: %s.", most, more)
	}
	return fmt.Sprintf("%d tilts are as good as %d: %s.", p.AsGood, most, more)
}

// changing are the cautions of a hand on the frame.
func changing(s *answer.Stand) []string {
	seat := "Feet seated to the bottom of their notches on both sides, latches shut; then pull at the upper edge."
	if s != nil && s.Propped() {
		seat = "Pins through and secured on both sides; then pull at the upper edge."
	}
	all := []string{
		"Lock the axle, motor off. Two hands on the panel, face away from the wind; never alone in a wind that lifts it.",
		seat,
		"A panel in the sun is hot and under voltage: gloves, and no plug parted under load.",
	}
	if s != nil {
		all = append(all, s.EveryTilt())
	}
	return all
}

func degrees(a compass.Angle) string { return figure(a.Degrees(), 1) + "°" }

// tilts lists angles, to the whole degree where all are whole.
func tilts(all []compass.Angle) string {
	text := ""
	for i, a := range all {
		if i > 0 {
			text += ", "
		}
		decimals := 1
		if a == compass.Angle(math.Round(float64(a))) {
			decimals = 0
		}
		text += figure(a.Degrees(), decimals)
	}
	return text
}

func date(d answer.MonthDay) string { return fmt.Sprintf("%d %s", d.Day, time.Month(d.Month)) }

// stretchDays is how long a stretch lasts, in a year without a leap day.
func stretchDays(s answer.Swap) int {
	at := func(d answer.MonthDay) int {
		return time.Date(2025, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC).YearDay()
	}
	return (at(s.To)-at(s.From)+365)%365 + 1
}
