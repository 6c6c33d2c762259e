package answer

import (
	"strings"
	"testing"

	"turnsole/compass"
	"turnsole/drive"
	"turnsole/season"
	"turnsole/stand"
)

// brought is what a way brings in a year of 100 days, for a verdict to judge.
type brought struct {
	panel, stored, used, own, ownShort, cold, short float64
}

func sumOf(b brought) season.Sum {
	return season.Sum{LightKWhM2: 300, PanelWh: b.panel, StoredWh: b.stored, UsedWh: b.used, OwnUseWh: b.own,
		OwnShortWh: b.ownShort, ColdWh: b.cold, ShortDays: b.short, Days: 100}
}

// judged returns the verdict and the findings on a still stand, a turning one
// and two panels, with prices for the two where given.
func judged(still, turning, two brought, change func(*SpotWorth)) *SpotWorth {
	s := &SpotWorth{Baseline: season.Still, Days: 100}
	tilt := compass.Angle(40)
	for _, w := range []struct {
		way string
		b   brought
	}{{season.Still, still}, {season.TwoPanels, two}, {season.Turning, turning}} {
		sum := sumOf(w.b)
		way := WayWorth{Way: w.way, Figures: figures(sum, sumOf(still)), Row: season.Row{Way: w.way, Tilt: &tilt}}
		s.Ways = append(s.Ways, way)
	}
	if change != nil {
		change(s)
	}
	board, _ := drive.BoardNamed("barrel-board")
	s.judge(&season.Rig{Stand: stand.Stand{Tilt: 40}, Board: board}, &season.Outcome{})
	return s
}

func TestVerdictSaysWhatAFriendWould(t *testing.T) {
	still := brought{panel: 20000, stored: 19000, used: 18000, short: 20}
	two := brought{panel: 40000, stored: 20500, used: 19500, short: 5}
	price := func(way string, perMoney float64) Value { return Value{Way: way, WhPerMoney: &perMoney} }
	for name, c := range map[string]struct {
		still, turning, two brought
		change              func(*SpotWorth)
		want                string
	}{
		"nothing to feed": {brought{panel: 20000}, brought{panel: 26000, own: 400, used: 400}, brought{panel: 40000}, nil, "Nothing to feed"},
		"fed anyway":      {brought{panel: 20000, stored: 19000, used: 18000}, brought{panel: 26000, stored: 19400, used: 18400, own: 400}, two, nil, "standing still feeds it on every day"},
		"battery alone":   {brought{panel: 20000, stored: 4000, used: 18000}, brought{panel: 26000, stored: 4400, used: 18400, own: 400}, two, nil, "what is in the battery at the start"},
		"starving":        {still, brought{panel: 26000, stored: 20000, used: 19000, own: 800, ownShort: 400}, two, nil, "goes without 33 % of the power"},
		"too cold":        {brought{panel: 20000, stored: 9000, used: 9000, cold: 8000, short: 50}, brought{panel: 26000, stored: 9500, used: 9500, own: 100, short: 48}, two, nil, "First keep the battery above freezing"},
		"own use":         {still, brought{panel: 21000, stored: 19500, used: 18500, own: 1200, short: 22}, two, nil, "turning costs more than it brings"},
		"second panel, no prices": {still, brought{panel: 26000, stored: 20500, used: 19700, own: 400, short: 10}, brought{panel: 40000, stored: 23000, used: 21000},
			nil, "Turn only if you can carry or place but one panel"},
		"second panel cheaper": {still, brought{panel: 26000, stored: 20500, used: 19700, own: 400, short: 10}, brought{panel: 40000, stored: 23000, used: 21000},
			func(s *SpotWorth) { s.Value = []Value{price(season.TwoPanels, 30), price(season.Turning, 20)} }, "Don't build it for the energy"},
		"turning cheaper": {still, brought{panel: 26000, stored: 20500, used: 19700, own: 400, short: 10}, brought{panel: 40000, stored: 23000, used: 21000},
			func(s *SpotWorth) { s.Value = []Value{price(season.TwoPanels, 30), price(season.Turning, 40)} }, "Worth turning, since it costs less"},
		"hardly": {still, brought{panel: 26000, stored: 19500, used: 18600, own: 200, short: 19}, brought{panel: 40000, stored: 19200, used: 18300, short: 19}, nil, "Hardly worth building"},
		"worth":  {still, brought{panel: 26000, stored: 24000, used: 23000, own: 400, short: 2}, brought{panel: 40000, stored: 20500, used: 19500, short: 5}, nil, "Worth turning: it leaves you 46 Wh a day more than standing still, +26 %"},
		"tilt first": {still, brought{panel: 26000, stored: 20500, used: 19700, own: 400, short: 10}, two, func(s *SpotWorth) {
			best, tilt := sumOf(brought{panel: 24000, stored: 21000, used: 20000, short: 5}), compass.Angle(60)
			s.Ways = append(s.Ways, WayWorth{Way: season.StillBest, Figures: figures(best, sumOf(still)), Row: season.Row{Tilt: &tilt}})
		}, "First tilt it right: standing still at 60° instead of 40°"},
	} {
		t.Run(name, func(t *testing.T) {
			s := judged(c.still, c.turning, c.two, c.change)
			if !strings.Contains(s.Verdict, c.want) {
				t.Errorf("%q does not say %q", s.Verdict, c.want)
			}
			if strings.Contains(s.Verdict+strings.Join(s.Findings, ""), "NaN") || strings.HasSuffix(strings.TrimSuffix(s.Verdict, "."), ".") {
				t.Errorf("%q %q", s.Verdict, s.Findings)
			}
		})
	}
}

func TestFindingsNameTheMonths(t *testing.T) {
	still := brought{panel: 20000, stored: 19000, used: 18000, short: 20}
	s := judged(still, brought{panel: 26000, stored: 24000, used: 23000, own: 400, short: 2}, still, func(s *SpotWorth) {
		turning, base := s.Way(season.Turning), s.Way(season.Still)
		for m := range 12 {
			used := 3000.0
			switch {
			case m >= 4 && m <= 7: // full by eleven: nothing more
				turning.Row.FullDays[m], turning.Row.FullAtHour[m] = 28, 11
			case m >= 10: // the controller eats more than comes
				used = 2800
			default:
				used = 3400
			}
			of := func(used float64) season.Sum {
				return season.Sum{LightKWhM2: 100, PanelWh: 4000, UsedWh: used, Days: 30}
			}
			base.Months[m], turning.Months[m] = figures(of(3000), of(3000)), figures(of(used), of(3000))
		}
	})
	all := strings.Join(s.Findings, "\n")
	for _, want := range []string{
		"Turning brings nothing from May to August: the battery is full by about 11:00.",
		"The controller's draw eats more than turning brings from November to December",
		"A load goes short on 20 of 100 days standing still, on 20 with two-panels, on 2 with turning.",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("nothing says %q:\n%s", want, all)
		}
	}
}
