package page

import (
	"context"
	"fmt"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/drawing"
)

// The ways of the first figures, which are there while the rest is worked out.
var firstWays = []string{"still", "turning"}

// worthStage compares the ways of aiming. Its first figures are of a single year
// and two ways.
func worthStage(a *asker, first bool) (*content, error) {
	if first {
		return firstWorth(a)
	}
	w, err := ask(a, "worth", func(ctx context.Context) (*answer.Worth, error) {
		return answer.CompareWays(ctx, answer.WorthQuestion{Rig: a.rig, Spot: a.spot, Seed: seed, Open: a.Open})
	})
	if err != nil {
		return nil, err
	}
	s := &w.Spots[0]
	c := &content{Sentence: s.Verdict, More: []string{title(a.rig.Name, s.Spot) + ", " + dayCount(s.Days) + ": " + s.Weather + "."},
		Findings: append(s.Findings, s.Notes...), Warnings: s.Warnings, Assumed: s.Assumed, Figures: worthFigures(s)}
	c.Pictures = append(c.Pictures, drawn("months", "What is left to use, month by month", func(wide, high float64) *chart.Picture { return drawing.WorthMonths(s, wide, high) }))
	c.Tables = append(c.Tables, waysTable(s), monthsTable(s))
	if len(s.Value) > 0 {
		c.Tables = append(c.Tables, valueTable(s, a.rig.Currency))
	}
	return c, nil
}

// seed is that of all chance, as the command line's.
const seed = 1

func firstWorth(a *asker) (*content, error) {
	a, err := a.with(append(a.sets[:len(a.sets):len(a.sets)], "weather.years=1"))
	if err != nil {
		return nil, err
	}
	w, err := ask(a, "first worth", func(ctx context.Context) (*answer.Worth, error) {
		return answer.CompareWays(ctx, answer.WorthQuestion{Rig: a.rig, Spot: a.spot, Seed: seed, Open: a.Open, Ways: firstWays})
	})
	if err != nil {
		return nil, err
	}
	s := &w.Spots[0]
	figures := worthFigures(s)
	return &content{Partial: "These are the figures of one year for two ways; all ways over all years are being worked out.",
		Sentence: fmt.Sprintf("In one year turning leaves %s Wh a day to use, %s more than standing still.", figures[1].Shown(), figures[2].Shown()),
		Figures:  figures, Warnings: s.Warnings}, nil
}

// worthFigures are those of turning against standing still.
func worthFigures(s *answer.SpotWorth) []figure {
	days := float64(max(s.Days, 1))
	still, turning := s.Way(s.Baseline), s.Way("turning")
	per := func(name string, x float64, text string) figure {
		return figure{Name: name, Unit: "Wh a day", Value: x, Digits: 1, Text: text}
	}
	return []figure{
		per("standing still", still.NetWh()/days, wh(still.NetWh()/days)),
		per("turning", turning.NetWh()/days, wh(turning.NetWh()/days)),
		per("turning brings", turning.ExtraNetWh/days, answer.Signed(turning.ExtraNetWh/days, 1)),
		{Name: "short days, still", Unit: "days", Value: still.ShortDays},
		{Name: "short days, turning", Unit: "days", Value: turning.ShortDays},
	}
}

func dayCount(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

func title(rig, spot string) string {
	if spot != "" {
		return rig + ", " + spot
	}
	return rig
}

func waysTable(s *answer.SpotWorth) table {
	t := table{Name: "ways", Title: "Every way of aiming, Wh a day", Heads: [][]string{{"way", "extra net", "net", "gain of net", "nine years in ten, %", "short days", "own use", "panel", "light, kWh/m²", "tilt"}}}
	days := float64(max(s.Days, 1))
	for i := range s.Ways {
		f := &s.Ways[i]
		extra, gain, band := "", "", ""
		if f.Way != s.Baseline {
			extra, gain, band = answer.Signed(f.ExtraNetWh/days, 1), percent(f.GainNet), span(f.GainNetLow, f.GainNetHigh)
		}
		t.Rows = append(t.Rows, []string{f.Way, extra, wh(f.NetWh() / days), gain, band, decimals(f.ShortDays, 0), wh(f.OwnUseWh / days), wh(f.PanelWh / days), wh(f.LightKWhM2), tilts(f)})
	}
	return t
}

func tilts(f *answer.WayWorth) string {
	if f.Row.Tilt != nil {
		return decimals(f.Row.Tilt.Degrees(), 0) + "°"
	}
	if len(f.Row.Stretches) == 0 {
		return "all"
	}
	low, high := 90.0, 0.0
	for _, st := range f.Row.Stretches {
		low, high = min(low, st.Tilt.Degrees()), max(high, st.Tilt.Degrees())
	}
	return fmt.Sprintf("%.0f–%.0f°", low, high)
}

var monthNames = []string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}

func monthsTable(s *answer.SpotWorth) table {
	t := table{Name: "months", Title: "Net by month, Wh a day", Heads: [][]string{append([]string{"way"}, monthNames...)}}
	for _, w := range s.Ways {
		row := []string{w.Way}
		for _, m := range w.Months {
			if m.Days == 0 {
				row = append(row, "")
				continue
			}
			row = append(row, wh(m.NetWh()/m.Days))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func valueTable(s *answer.SpotWorth, currency string) table {
	if currency == "" {
		currency = "money"
	}
	t := table{Name: "value", Title: "For what it adds", Heads: [][]string{{"way", "extra Wh a year", "price, " + currency, "Wh a year per " + currency, "mass, kg", "Wh a year per kg", "turns by hand"}}}
	for _, v := range s.Value {
		t.Rows = append(t.Rows, []string{v.Way, answer.Signed(v.ExtraNetWh, 0), amount(v.ExtraPrice), amount(v.WhPerMoney), amount(v.ExtraMassKg), amount(v.WhPerKg), decimals(v.TurnsByHand, 0)})
	}
	return t
}
