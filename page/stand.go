package page

import (
	"context"
	"fmt"
	"math"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/drawing"
)

func (a *asker) stand() (*answer.Stand, error) {
	return ask(a, "stand", func(context.Context) (*answer.Stand, error) { return answer.LookAtStand(a.rig, a.spot) })
}

func (a *asker) notches() (*answer.Notches, error) {
	return ask(a, "notches", func(ctx context.Context) (*answer.Notches, error) {
		return answer.FindNotches(ctx, answer.NotchesQuestion{Rig: a.rig, Spot: a.spot, Seed: seed, Open: a.Open})
	})
}

// standStage tells the tilts and the wind; the year's best notches come after.
func standStage(a *asker, first bool) (*content, error) {
	s, err := a.stand()
	if err != nil {
		return nil, err
	}
	c := &content{Sentence: s.Verdict, Findings: s.Findings, Cautions: s.Cautions, Assumed: s.Assumed, Figures: standFigures(s)}
	c.Pictures = append(c.Pictures,
		drawn("side", "From the side, at the tilt that it stands at", func(wide, high float64) *chart.Picture { return drawing.Side(s, s.Nearest, wide, high) }),
		drawn("above", "From above", func(wide, high float64) *chart.Picture { return drawing.Plan(s, s.Nearest, wide, high) }))
	for i := range s.Settings {
		if len(s.Settings) <= mostSmall && i != s.Nearest {
			c.Pictures = append(c.Pictures, setting(s, i))
		}
	}
	c.Tables = append(c.Tables, limitsTable(s), settingsTable(s), loadsTable(s))
	if first {
		c.Partial = "The year's best notches are being worked out."
		return c, nil
	}
	return c, addNotches(a, c)
}

// mostSmall is how many settings are drawn one by one.
const mostSmall = 8

func setting(s *answer.Stand, i int) picture {
	name := settingName(s.Settings[i])
	return picture{Name: fmt.Sprintf("setting-%d", i+1), Title: "At " + name, Wide: drawing.SmallSide(s, i, narrowMM, 64), Narrow: drawing.SmallSide(s, i, narrowMM, 64)}
}

func standFigures(s *answer.Stand) []figure {
	return []figure{
		{Name: "tilt", Unit: "°", Value: s.Standing.Tilt.Degrees(), Digits: 1},
		{Name: "gives way at a forecast of", Unit: "m/s", Value: s.Headline.ForecastMS, Text: metres(s.Headline.ForecastMS), Digits: 1},
		{Name: "tips over at a forecast of", Unit: "m/s", Value: s.Wind.Tips.ForecastMS, Text: metres(s.Wind.Tips.ForecastMS), Digits: 1},
		{Name: "slides at a forecast of", Unit: "m/s", Value: s.Wind.Slides.ForecastMS, Text: metres(s.Wind.Slides.ForecastMS), Digits: 1},
		{Name: "ballast to add", Unit: "kg", Value: s.BallastKg, Text: whole(s.BallastKg)},
	}
}

// addNotches adds which tilts are best in the year, and when.
func addNotches(a *asker, c *content) error {
	n, err := a.notches()
	if err != nil {
		return err
	}
	c.More = append(c.More, n.Verdict)
	c.Findings = append(c.Findings, n.Findings...)
	c.Warnings = append(c.Warnings, n.Warnings...)
	c.Pictures = append(c.Pictures,
		band("still", "When to change the tilt, standing still", &n.Still), band("turning", "When to change the tilt, turning", &n.Turning))
	c.Tables = append(c.Tables, countsTable(n), calendarTable(n))
	if t := cutsTable(n); len(t.Rows) > 0 {
		c.Tables = append(c.Tables, t)
	}
	c.Sheets = []sheetLink{{"season", "when to change the tilt"}}
	return nil
}

func band(name, title string, p *answer.NotchPlan) picture {
	return picture{Name: "calendar-" + name, Title: title, Wide: drawing.SwapCalendar(p, wideMM, 60), Narrow: drawing.SwapCalendar(p, narrowMM, 60)}
}

func limitsTable(s *answer.Stand) table {
	t := table{Name: "wind", Title: "What gives way, and when", Heads: [][]string{{"what gives way", "gust at the panel, m/s", "forecast's mean, m/s", "Beaufort", "wind from"}}}
	for _, l := range answer.NamedLimits(s.Wind) {
		from := ""
		if known(l.GustMS) {
			from = onto(l.From)
		}
		t.Rows = append(t.Rows, []string{l.Name, metres(l.GustMS), metres(l.ForecastMS), answer.Beaufort(l.Limit), from})
	}
	return t
}

func settingsTable(s *answer.Stand) table {
	t := table{Name: "settings", Title: "Every setting", Heads: [][]string{{"setting", "tilt, °", "2 mm off moves it, °", "first to give way", "gust, m/s", "forecast, m/s"}}}
	for i, one := range s.Settings {
		name := settingName(one)
		if i == s.Nearest {
			name += " *"
			t.Notes = append(t.Notes, "* nearest to the rig's own tilt")
		}
		switch {
		case !one.Possible:
			t.Rows = append(t.Rows, []string{name, none, "", "not possible", "", ""})
			t.Notes = append(t.Notes, settingName(one)+": "+one.Why)
			continue
		case one.PastUpright:
			t.Notes = append(t.Notes, settingName(one)+": the leg stands past upright")
		}
		first := one.Lowest.Name
		if !known(one.Lowest.GustMS) {
			first = "nothing"
		}
		t.Rows = append(t.Rows, []string{name, decimals(one.Tilt.Degrees(), 1), decimals(one.Error.Degrees(), 2), first, metres(one.Lowest.GustMS), metres(one.Lowest.ForecastMS)})
	}
	return t
}

func settingName(s answer.StandSetting) string {
	switch {
	case s.PropM > 0:
		return fmt.Sprintf("prop %d, %.0f mm", s.Back, s.PropM*1000)
	case s.Front > 0 && s.Back > 0:
		return fmt.Sprintf("stop %d, notch %d (%.0f mm)", s.Front, s.Back, s.BackM*1000)
	}
	return fmt.Sprintf("tilt %d", s.Back)
}

func loadsTable(s *answer.Stand) table {
	t := table{Name: "loads", Title: fmt.Sprintf("What a gust of %.0f m/s does", s.GustMS), Heads: [][]string{{"onto", "force on the panel, N", "pushes level, N", "lifts up, N", "turns, Nm", "tips, Nm"}}}
	for _, l := range s.Loads {
		t.Rows = append(t.Rows, []string{onto(l.From), whole(math.Abs(l.NormalN)), whole(l.DragN), whole(l.UpliftN), decimals(math.Abs(l.TurnNm), 1), whole(l.TipNm)})
	}
	for i := range s.Settings {
		if one := &s.Settings[i]; one.Possible && i != s.Nearest {
			w := one.Worst()
			t.Rows = append(t.Rows, []string{fmt.Sprintf("at %.0f°, the worst side", one.Tilt.Degrees()), whole(w.NormalN), whole(w.DragN), whole(w.UpliftN), decimals(w.TurnNm, 1), whole(w.TipNm)})
		}
	}
	return t
}

func countsTable(n *answer.Notches) table {
	t := table{Name: "notches", Title: "What notches bring", Heads: [][]string{{"notches", "still, kWh a year", "of the daily best", "turning, kWh a year", "of the daily best"}}}
	for i := range n.Still.Counts {
		a, b := n.Still.Counts[i], n.Turning.Counts[i]
		t.Rows = append(t.Rows, []string{count(i + 1), decimals(a.PanelWh/1000, 2), decimals(a.OfDailyBest*100, 2) + " %", decimals(b.PanelWh/1000, 2), decimals(b.OfDailyBest*100, 2) + " %"})
	}
	return t
}

func calendarTable(n *answer.Notches) table {
	t := table{Name: "calendar", Title: "The best tilts and their days", Heads: [][]string{{"panel", "tilt, °", "from", "to"}}}
	for _, p := range []struct {
		name string
		year *answer.NotchYear
	}{{"still", &n.Still.Best}, {"turning", &n.Turning.Best}} {
		for _, s := range p.year.Swaps {
			t.Rows = append(t.Rows, []string{p.name, decimals(p.year.Tilts[s.Notch-1].Degrees(), 0), answer.DayText(s.From), answer.DayText(s.To)})
		}
	}
	return t
}

func cutsTable(n *answer.Notches) table {
	t := table{Name: "cuts", Title: "Where to cut for them", Heads: [][]string{{"panel", "wanted, °", "stop", "at, mm", "gives, °", "2 mm off, °"}}}
	for _, p := range []struct {
		name string
		plan *answer.CutPlan
	}{{"still", n.Still.Cut}, {"turning", n.Turning.Cut}} {
		if p.plan == nil {
			continue
		}
		for _, c := range p.plan.Cuts {
			t.Rows = append(t.Rows, []string{p.name, decimals(c.Wanted.Degrees(), 1), count(c.Front), decimals(1000*math.Max(c.NotchM, c.PropM), 0), decimals(c.Tilt.Degrees(), 2), decimals(c.Error.Degrees(), 2)})
		}
	}
	return t
}
