package answer

import (
	"fmt"
	"math"

	"turnsole/battery"
	"turnsole/rigfile"
	"turnsole/trial"
)

// tell puts a plan into words.
func (p *TrialPlan) tell(rig *rigfile.Rig, r *trial.Rig) {
	p.Verdict = p.verdict()
	p.Protocol = p.card(rig, r)
	add := func(format string, args ...any) { p.Cautions = append(p.Cautions, fmt.Sprintf(format, args...)) }
	if len(rig.Loads) > 0 && p.Measure != trial.ByLight {
		add("A full battery takes less than the panel could give, and looks are then lost: the plan takes it to have room. A reference cell sees the light whatever the battery does.")
	}
	if rig.Trial.HeadingWithin == nil && !rig.HasHome {
		add("Nothing at the axle tells the heading (home_switch = false): headings are taken to be good to 4°, and the interval is wider for that.")
	}
	if p.Measure == trial.ByCurrent && rig.Charger.Kind == battery.MPPT {
		add(amperesOfATracker)
	}
	if best := p.Best(); !math.IsNaN(best.Halfwidth) && p.Gain < best.Halfwidth {
		add("At this season turning brings %s on average, less than the interval is wide: a trial cannot tell it from nothing. Brighter months tell more.", points(p.Gain))
	}
}

// amperesOfATracker is what is to be said of them.
const amperesOfATracker = "This charge controller seeks the best voltage and wanders about it: its amperes alone are not the light. Log panel_v too and compare by power, or by a small reference cell."

func (p *TrialPlan) verdict() string {
	best := p.Best()
	if math.IsNaN(best.Halfwidth) {
		return "No way of measuring sees enough light in these days."
	}
	said := fmt.Sprintf("Take %s: after %d days the gain will be known to within %s points, at %s a day.", best.Name, best.Days, plainPoints(best.Halfwidth), whText(best.CostWhPerDay))
	if p.Halfwidth == 0 {
		return said
	}
	switch n := best.DaysNeeded; {
	case n == 1:
		said += fmt.Sprintf(" One day is enough for %s points, but of one day nothing can be trusted beyond it: take three at least.", plainPoints(p.Halfwidth))
	case n < 0:
		said += fmt.Sprintf(" %s points cannot be had by it within %d days.", plainPoints(p.Halfwidth), trial.MostDays)
	default:
		said += fmt.Sprintf(" %s points take %d days.", plainPoints(p.Halfwidth), n)
	}
	return said
}

// plainPoints writes a share as points without a sign.
func plainPoints(x float64) string { return fmt.Sprintf("%.1f", 100*x) }

// card are the steps of the protocol card.
func (p *TrialPlan) card(rig *rigfile.Rig, r *trial.Rig) []string {
	steps := []string{
		fmt.Sprintf("Set the rig up as its set-up sheet says, level and turned true, the panel at %s. Wipe the panel. From now on leave rig and notch alone: who moves either begins a new set-up, and the trial with it.", degrees(rig.Stand.Tilt)),
	}
	steps = append(steps, p.look(r)...)
	return append(steps,
		p.keep(),
		"Write into the log what happens: cleaned, storm, moved. Note when shade falls on the panel that was not there before.",
		fmt.Sprintf("After %d days: turnsole import RIG LOG --out PLAIN.csv, then turnsole trial result RIG PLAIN.csv. Stopping earlier or later because of what it shows would spoil the interval: the day is set now.", p.Lasting()),
	)
}

// Lasting is how many days to look for; 0 where there is no plan.
func (p *TrialPlan) Lasting() int {
	if p.Plan == nil || p.Chosen < 0 || p.Chosen >= len(p.Designs) {
		return 0
	}
	if n := p.Best().DaysNeeded; n > 0 {
		return max(n, 3)
	}
	return p.Days
}

// look are the steps of the looking itself.
func (p *TrialPlan) look(r *trial.Rig) []string {
	best, still := p.Best(), degrees(r.Still)
	switch best.Method {
	case trial.Blocks:
		return []string{fmt.Sprintf("Let the panel follow the sun and stand at still (%s) by turns, half an hour each; which of two half hours is which is drawn by lot.", still)}
	case trial.Beside:
		return []string{fmt.Sprintf("Stand the second panel beside the first at %s and the same tilt. Let both face that way for two hours of sun first, so that one can be held against the other.", still)}
	case trial.LookingBack:
		return []string{"Let the panel follow the sun as always."}
	}
	return []string{
		fmt.Sprintf("Every %s by day begin a bracket of three looks; on each day at another moment, drawn by lot in the morning.", spanText(best.EveryS)),
		fmt.Sprintf("A bracket: aimed, still (%s), aimed; or still, aimed, still; which of the two is drawn by lot. After each turn wait %s until the charge controller has settled, then look: about %.0f s from look to look.", still, spanText(p.SettleS), best.GapS),
		"Look before the panel is aimed anew and after, as it comes: the rig spends its life up to one sleep behind the sun, and the trial is of the rig as it is.",
	}
}

// keep says what is to be logged.
func (p *TrialPlan) keep() string {
	measure := map[trial.Measure]string{trial.ByLight: "cell_a", trial.ByPower: "panel_a, panel_v", trial.ByCurrent: "panel_a"}[p.Measure]
	if p.Best().Method == trial.Plain {
		return fmt.Sprintf("Log of each look: time, heading_deg, look (still or aimed), pair (its number), %s; and a few readings by night, which show the sensor's zero.", measure)
	}
	looked := " Of each look also: look (still or aimed) and pair (its number)."
	if p.Best().Method != trial.Assisted {
		looked = ""
	}
	return fmt.Sprintf("Log every %s, by night too, where the sensor shows its zero: time, heading_deg, %s, battery_v.%s", spanText(p.RecordS), measure, looked)
}
