package page

import (
	"context"
	"fmt"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/drawing"
)

// aimStage runs the controller in closed loop.
func aimStage(a *asker, first bool) (*content, error) {
	if first {
		return &content{Sentence: fmt.Sprintf("The policy %q is being run through a year of clouds, gusts and mornings.", a.rig.Policy),
			Partial: "A year in closed loop takes some seconds."}, nil
	}
	m, err := ask(a, "aim", func(ctx context.Context) (*answer.Aim, error) {
		return answer.RunAim(ctx, answer.AimQuestion{Rig: a.rig, Spot: a.spot, Clouds: 1, Seed: seed, Open: a.Open})
	})
	if err != nil {
		return nil, err
	}
	c := &content{Sentence: m.Verdict, More: []string{fmt.Sprintf("%s, %s: %s.", title(m.Rig, m.Spot), dayCount(m.Days), m.Weather)},
		Findings: append(m.Findings[:len(m.Findings):len(m.Findings)], m.Notes...), Warnings: m.Warnings, Assumed: m.Assumed, Figures: aimFigures(m)}
	c.Pictures = days(m.Pictures)
	c.Pictures = append(c.Pictures,
		drawn("policies", "Policies side by side", func(wide, high float64) *chart.Picture { return drawing.PoliciesBySeason(m, wide, high) }),
		drawn("sleep", "What sleeping longer costs", func(wide, high float64) *chart.Picture { return drawing.SleepCost(m, wide, high) }))
	c.Tables = append(c.Tables, policiesTable(m), seasonsTable(m), sleepsTable(m), dialsTable(m))
	return c, nil
}

// days are drawn against time first, then all from above.
func days(played []answer.AimDay) (all []picture) {
	var above []picture
	for i := range played {
		day := &played[i]
		name, title := strings.ReplaceAll(day.Kind, " ", "-"), "A "+day.Kind+" day"
		all = append(all, drawn("day-"+name, title, func(wide, high float64) *chart.Picture { return drawing.Day(day, wide, high) }))
		above = append(above, picture{Name: "above-" + name, Title: title + ", from above", Wide: drawing.DayAbove(day, flatMM, flatMM), Narrow: drawing.DayAbove(day, narrowMM, narrowMM)})
	}
	return append(all, above...)
}

func aimFigures(m *answer.Aim) []figure {
	days := max(m.Run.Total.Days, 1)
	return []figure{
		{Name: "of exact turning's light", Unit: "%", Value: 100 * m.Run.Perfect, Digits: 1},
		{Name: "off the sun on average", Unit: "°", Value: m.Run.Total.Error.MeanDeg, Digits: 1},
		{Name: "left after its own use", Unit: "Wh a day", Value: m.Run.NetWh, Digits: 1, Text: wh(m.Run.NetWh)},
		{Name: "own use", Unit: "Wh a day", Value: m.Run.Total.Own.Wh() / days, Digits: 2},
	}
}

func policiesTable(m *answer.Aim) table {
	t := table{Name: "policies", Title: "A day of each policy", Heads: [][]string{{"policy", "light, % of exact turning", "off the sun on average, °", "95 % below, °", "turned, °", "motor, s", "own use, Wh", "net, Wh"}},
		Notes: []string{"* the rig's own; the others with usual settings"}}
	for i := range m.Policies {
		r := &m.Policies[i]
		days, name := max(r.Total.Days, 1), r.Policy
		if r.Policy == m.Policy {
			name += " *"
		}
		if r.AsIf != "" {
			name += " (with " + r.AsIf + ")"
		}
		t.Rows = append(t.Rows, []string{name, decimals(100*r.Perfect, 1), decimals(r.Total.Error.MeanDeg, 1), decimals(r.Total.Error.P95Deg, 0),
			decimals(r.Total.DegreesTurned/days, 0), decimals(r.Total.MotorS/days, 0), decimals(r.Total.Own.Wh()/days, 2), wh(r.NetWh)})
	}
	return t
}

func seasonsTable(m *answer.Aim) table {
	t := table{Name: "seasons", Title: "Light by season, % of exact turning", Heads: [][]string{{"policy", "Dec–Feb", "Mar–May", "Jun–Aug", "Sep–Nov"}}}
	for i := range m.Policies {
		row := []string{m.Policies[i].Policy}
		for k := range m.Policies[i].Seasons {
			row = append(row, decimals(100*m.Policies[i].Seasons[k].ShareOfTurning(), 1))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func sleepsTable(m *answer.Aim) table {
	t := table{Name: "sleeps", Title: "Sleeping longer", Heads: [][]string{{"wakes every", "light, % of exact turning", "net, Wh a day"}}}
	for _, s := range m.Sleeps {
		t.Rows = append(t.Rows, []string{fmt.Sprintf("%g min", s.WakeEveryS/60), decimals(100*s.Light, 1), wh(s.NetWh)})
	}
	return t
}

func dialsTable(m *answer.Aim) table {
	t := table{Name: "dials", Title: "Settings of " + m.Policy, Heads: [][]string{{"setting", "value", "unit", "from"}}, Words: true}
	for _, s := range m.Settings {
		from := "usual"
		if s.Given {
			from = "the rig file"
		}
		t.Rows = append(t.Rows, []string{s.Name, fmt.Sprintf("%.4g", s.Value), s.Unit, from})
	}
	return t
}
