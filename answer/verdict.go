package answer

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"turnsole/compass"
	"turnsole/season"
)

// Lines that a friend of the trade would draw (our own judgement, no source).
const (
	hardlyWorth   = 0.05 // gains under this are not worth gears that wear
	nearlyAsGood  = 0.85 // of turning's extra: then the simpler way wins
	clearlyBetter = 1.05 // than turning's extra
	eatsMuch      = 0.25 // of what there is to eat from
	tiltMatters   = 0.03 // gain of the best tilt over the rig's own
	muchSteeper   = 1.5  // of turning's extra at the rig's own tilt
	starves       = 0.02 // of the stand's power not got
)

// judge writes the verdict and what stands behind it.
func (s *SpotWorth) judge(rig *season.Rig, out *season.Outcome) {
	j := judge{s: s, rig: rig, still: s.Way(season.Still), turning: s.Way(season.Turning),
		two: s.Way(season.TwoPanels), days: float64(max(s.Days, 1))}
	s.Verdict = j.headline()
	for _, finding := range []string{
		j.spreadOverYears(), j.nights(), j.wasted(), j.fullBattery(), j.ownUse(), j.ownUseInTheDark(),
		j.byHand(), j.tilt(), j.notches(), j.cold(), j.money(),
	} {
		if finding != "" {
			s.Findings = append(s.Findings, finding)
		}
	}
	if cut := out.LostBeamWhM2; cut > 1000 {
		s.Warnings = append(s.Warnings, fmt.Sprintf("The weather has %.0f kWh/m2 of beam where no sun can be, or more than the sun has; it was left out. Is its clock right?", cut/1000))
	}
}

type judge struct {
	s                   *SpotWorth
	rig                 *season.Rig
	still, turning, two *WayWorth
	days                float64
}

// perDay writes an energy of the window as watt-hours a day.
func (j judge) perDay(wh float64) string { return whText(wh/j.days) + " a day" }

func whText(wh float64) string {
	switch a := math.Abs(wh); {
	case a < 0.05:
		return "0 Wh"
	case a < 9.95:
		return fmt.Sprintf("%.1f Wh", wh)
	default:
		return fmt.Sprintf("%.0f Wh", wh)
	}
}

func percent(g *float64) string {
	if g == nil {
		return "no percentage to give"
	}
	return Signed(*g*100, 0) + " %"
}

func (j judge) headline() string {
	t := j.turning
	if t == nil {
		return j.bestOfAsked()
	}
	if said := j.beforeAnything(t); said != "" {
		return said
	}
	extra, best, steeper := t.ExtraNetWh, j.s.Way(season.StillBest), j.s.Way(season.TurningNotches)
	switch {
	case steeper != nil && steeper.GainNet != nil && *steeper.GainNet > hardlyWorth && steeper.ExtraNetWh > muchSteeper*max(extra, 0):
		return j.tiltToTurn(steeper, extra)
	case best != nil && best.ExtraNetWh > nearlyAsGood*extra && best.GainNet != nil && *best.GainNet > tiltMatters:
		return fmt.Sprintf("First tilt it right: standing still at %.0f° instead of %.0f° leaves you %s more; turning at %.0f° would leave %s more.",
			best.Row.Tilt.Degrees(), j.rig.Stand.Tilt.Degrees(), j.perDay(best.ExtraNetWh), j.rig.Stand.Tilt.Degrees(), j.perDay(extra))
	case extra <= 0:
		return fmt.Sprintf("Don't build it: turning costs more than it brings here (%s net; the stand itself draws %s).", j.perDay(extra), j.perDay(t.OwnUseWh))
	case j.two != nil && j.two.ExtraNetWh > clearlyBetter*extra:
		return j.againstSecondPanel(extra)
	case t.GainNet != nil && *t.GainNet < hardlyWorth && !j.fewerShort(t):
		return fmt.Sprintf("Hardly worth building: turning leaves you %s more, %s.", j.perDay(extra), percent(t.GainNet))
	}
	return fmt.Sprintf("Worth turning: it leaves you %s more than standing still, %s.", j.perDay(extra), percent(t.GainNet))
}

// beforeAnything names what makes the question of turning idle.
func (j judge) beforeAnything(t *WayWorth) string {
	dark := leastLightKWhPerDay * j.days
	switch {
	case j.still.LightKWhM2 < dark && t.LightKWhM2 < dark:
		return "Nothing to turn after: there is no sun here in these days."
	case !j.s.Endless && j.still.UsedWh <= 0 && j.still.ShortDays == 0:
		return "Nothing to feed: no load draws on the battery. Declare what you want to run, or no load at all."
	case j.still.PanelWh < leastWhPerDay*j.days:
		return "First look at the voltages: there is light, but this panel gives nothing into this battery (turnsole check says more)."
	case t.OwnShortWh > starves*(t.OwnUseWh+t.OwnShortWh):
		return fmt.Sprintf("Don't build it like this: the stand goes without %.0f %% of the power it needs, because the battery is empty or the power box has switched its output off; what is told of turning counts it as if it still followed.", 100*t.OwnShortWh/(t.OwnUseWh+t.OwnShortWh))
	case !j.s.Endless && j.still.ShortDays < 0.5 && j.still.StoredWh < 0.9*j.still.UsedWh:
		return "Don't build it for these days: what is in the battery at the start carries the load through them."
	case !j.s.Endless && j.still.ShortDays < 0.5:
		return "Don't build it for this load: standing still feeds it on every day."
	case j.still.ColdWh > eatsMuch*j.still.PanelWh && j.still.ColdWh > t.ExtraNetWh:
		return fmt.Sprintf("First keep the battery above freezing: too cold to charge it refuses %s; turning would leave you %s more.", j.perDay(j.still.ColdWh), j.perDay(t.ExtraNetWh))
	}
	return ""
}

// tiltToTurn is what is to be said where turning lives by another tilt than
// standing still, as it does near the equator.
func (j judge) tiltToTurn(steeper *WayWorth, extra float64) string {
	low, high := compass.Angle(90), compass.Angle(0)
	for _, st := range steeper.Row.Stretches {
		low, high = min(low, st.Tilt), max(high, st.Tilt)
	}
	if steeper.Row.Tilt != nil {
		low, high = *steeper.Row.Tilt, *steeper.Row.Tilt
	}
	at := fmt.Sprintf("%.0f°", low.Degrees())
	if high > low {
		at = fmt.Sprintf("%.0f° to %.0f°", low.Degrees(), high.Degrees())
	}
	text := fmt.Sprintf("If you turn it, tilt it to %s: that leaves you %s more than standing still (%s), turning at %.0f° only %s",
		at, j.perDay(steeper.ExtraNetWh), percent(steeper.GainNet), j.rig.Stand.Tilt.Degrees(), j.perDay(extra))
	if j.two != nil && j.two.ExtraNetWh > steeper.ExtraNetWh {
		text += fmt.Sprintf("; a second panel standing still brings %s", j.perDay(j.two.ExtraNetWh))
	}
	return text + "."
}

// againstSecondPanel weighs turning against a second panel that brings more:
// by money where prices are known, else by what turning brings at all.
func (j judge) againstSecondPanel(extra float64) string {
	both := fmt.Sprintf("a second panel standing still brings %s more than one, turning brings %s more (%s)",
		j.perDay(j.two.ExtraNetWh), j.perDay(extra), percent(j.turning.GainNet))
	turning, two := j.value(season.Turning), j.value(season.TwoPanels)
	switch {
	case turning != nil && two != nil && *turning.WhPerMoney > *two.WhPerMoney:
		return "Worth turning, since it costs less for what it brings: " + both + "."
	case turning != nil && two != nil, j.turning.GainNet != nil && *j.turning.GainNet < hardlyWorth:
		return "Don't build it for the energy: " + both + "."
	}
	return "Turn only if you can carry or place but one panel: " + both + "."
}

// value returns what a way brings for its money, or nil where that is unknown.
func (j judge) value(way string) *Value {
	for i := range j.s.Value {
		if v := &j.s.Value[i]; v.Way == way && v.WhPerMoney != nil {
			return v
		}
	}
	return nil
}

// fewerShort reports whether a way spares the load a good part of its short
// days.
func (j judge) fewerShort(w *WayWorth) bool { return w.ShortDays < 0.7*j.still.ShortDays-1 }

func (j judge) bestOfAsked() string {
	best := j.still
	for i := range j.s.Ways {
		if w := &j.s.Ways[i]; w.NetWh() > best.NetWh() {
			best = w
		}
	}
	if best == j.still {
		return "Of the ways asked for, none leaves you more than standing still."
	}
	return fmt.Sprintf("Of the ways asked for, %s leaves you most: %s more than standing still, %s.", best.Way, j.perDay(best.ExtraNetWh), percent(best.GainNet))
}

func (j judge) spreadOverYears() string {
	t := j.turning
	if t == nil || t.GainNetLow == nil || *t.GainNetHigh-*t.GainNetLow < 0.001 {
		return ""
	}
	return fmt.Sprintf("In nine coming years of ten turning gains between %s and %s %% (%s to %s); the models themselves may be out by about %.0f points.",
		Signed(*t.GainNetLow*100, 0), Signed(*t.GainNetHigh*100, 0), whText(*t.ExtraNetLowWh/j.days), j.perDay(*t.ExtraNetHighWh), ModelPoints)
}

func (j judge) nights() string {
	if j.s.Endless || j.still.ShortDays < 0.5 {
		return ""
	}
	text := fmt.Sprintf("A load goes short on %.0f of %.0f days standing still", j.still.ShortDays, j.days)
	told := []string{season.Turning, season.TwoPanels, season.TurningNotches}
	for i := range j.s.Ways {
		if w := &j.s.Ways[i]; slices.Contains(told, w.Way) || j.turning == nil && w.Way != season.Still {
			text += fmt.Sprintf(", on %.0f with %s", w.ShortDays, w.Way)
		}
	}
	return text + "."
}

// wasted tells the light that comes when the battery is full.
func (j judge) wasted() string {
	if j.still.FullWh <= 0.01*j.still.PanelWh {
		return ""
	}
	text := fmt.Sprintf("%s of what the panel could give is lost standing still, because the battery is full", j.perDay(j.still.FullWh))
	if j.turning != nil {
		text += fmt.Sprintf("; %s turning", j.perDay(j.turning.FullWh))
	}
	return text + "."
}

// fullBattery names the months in which turning fills a battery that is full
// already.
func (j judge) fullBattery() string {
	t := j.turning
	if j.s.Endless || t == nil {
		return ""
	}
	var months []int
	hour, weight := 0.0, 0.0
	for m := range t.Months {
		f, b := t.Months[m], j.still.Months[m]
		if f.Days == 0 || f.ExtraNetWh > 0.01*b.NetWh() || t.Row.FullDays[m] < f.Days/2 {
			continue
		}
		months = append(months, m)
		hour += t.Row.FullAtHour[m] * t.Row.FullDays[m]
		weight += t.Row.FullDays[m]
	}
	if len(months) == 0 {
		return ""
	}
	return fmt.Sprintf("Turning brings nothing %s: the battery is full by about %s.", monthSpan(months), clockText(hour/weight))
}

func (j judge) ownUse() string {
	t := j.turning
	if t == nil {
		return ""
	}
	atPanel, asks := t.PanelWh-j.still.PanelWh, t.OwnUseWh+t.OwnShortWh
	if atPanel < leastWhPerDay*j.days || asks < eatsMuch*atPanel {
		return ""
	}
	return fmt.Sprintf("The stand's own draw (%s, of which %s even if it never woke) eats %.0f %% of what turning brings at the panel: measure the whole board with its supply, asleep, before anything else.",
		j.perDay(asks), whText(j.rig.Board.AsleepDayWh()), 100*asks/atPanel)
}

// ownUseInTheDark names the months that turning makes worse.
func (j judge) ownUseInTheDark() string {
	t := j.turning
	if t == nil || t.ExtraNetWh <= 0 {
		return ""
	}
	var months []int
	for m := range t.Months {
		if f := t.Months[m]; f.Days > 0 && f.ExtraNetWh < -0.01*max(1, j.still.Months[m].NetWh()) {
			months = append(months, m)
		}
	}
	if len(months) == 0 {
		return ""
	}
	return fmt.Sprintf("The controller's draw eats more than turning brings %s: switch it off and stand still then.", monthSpan(months))
}

func (j judge) byHand() string {
	t, best := j.turning, (*WayWorth)(nil)
	for _, way := range []string{season.ByHand2, season.ByHand4} {
		w := j.s.Way(way)
		if t != nil && w != nil && t.ExtraNetWh > leastWhPerDay*j.days && w.ExtraNetWh > nearlyAsGood*t.ExtraNetWh && best == nil {
			best = w
		}
	}
	if best == nil {
		return ""
	}
	return fmt.Sprintf("If somebody is there anyway, turning by hand %d times a day brings %s, %.0f %% of what the motor does.",
		len(best.Row.Hands), j.perDay(best.ExtraNetWh), 100*best.ExtraNetWh/t.ExtraNetWh)
}

func (j judge) notches() string {
	n := j.s.Way(season.Notches)
	if n == nil || n.GainPanel == nil || len(n.Row.Stretches) < 2 {
		return ""
	}
	tilts := map[float64]bool{}
	swaps := make([]string, len(n.Row.Stretches))
	for i, st := range n.Row.Stretches {
		tilts[st.Tilt.Degrees()] = true
		swaps[i] = fmt.Sprintf("%.0f° from %s", st.Tilt.Degrees(), DayText(st.From))
	}
	return fmt.Sprintf("Without a motor, %d notches (%s) give %s at the panel, %s more to use.",
		len(tilts), strings.Join(swaps, ", "), percent(n.GainPanel), j.perDay(n.ExtraNetWh))
}

// tilt says what the best single tilt would bring over the rig's own.
func (j judge) tilt() string {
	b := j.s.Way(season.StillBest)
	if b == nil || b.GainNet == nil || *b.GainNet < tiltMatters/2 {
		return ""
	}
	return fmt.Sprintf("A tilt of %.0f° instead of %.0f° alone leaves you %s more.", b.Row.Tilt.Degrees(), j.rig.Stand.Tilt.Degrees(), j.perDay(b.ExtraNetWh))
}

func (j judge) cold() string {
	if j.still.ColdWh <= 0.01*j.still.PanelWh || !j.s.Endless && j.still.ShortDays < 0.5 {
		return ""
	}
	return fmt.Sprintf("%s of light came while the battery was too cold to charge; keep it above freezing.", j.perDay(j.still.ColdWh))
}

func (j judge) money() string {
	turning, two := j.value(season.Turning), j.value(season.TwoPanels)
	if turning == nil || two == nil || max(turning.ExtraNetWh, two.ExtraNetWh) < leastWhPerDay*j.days {
		return ""
	}
	better, worse := "a second panel", "turning"
	a, b := *two.WhPerMoney, *turning.WhPerMoney
	if b > a {
		better, worse, a, b = worse, better, b, a
	}
	span := "a year"
	if !j.s.Window.Whole() {
		span = "in these days"
	}
	return fmt.Sprintf("For the money %s brings more: %.1f Wh %s for each unit spent against %.1f with %s.", better, a, span, b, worse)
}
