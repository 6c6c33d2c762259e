package answer

import (
	"context"
	"fmt"
	"time"

	"turnsole/battery"
	"turnsole/loop"
	"turnsole/rigfile"
	"turnsole/trial"
)

// TrialPlanQuestion asks how to measure what turning brings.
type TrialPlanQuestion struct {
	Rig         *rigfile.Rig
	WeatherFile string // in place of the rig file's weather, "" for none
	Spot        string // the name of one spot; "" for the first
	Window      Window // that the trial may lie in
	Days        int    // how long it may last; 0 for the rig file's
	Halfwidth   float64
	Confidence  float64 // 0 for 0.95
	Seed        uint64
	Open        Open
	Progress    Progress
}

// TrialPlan is how to measure what turning brings, here and at this season.
type TrialPlan struct {
	*trial.Plan
	Rig, Spot, Weather string
	From, To           MonthDay // the window that the days are drawn from
	Halfwidth          float64  // asked for, as a fraction of gain; 0 for none
	Measure            trial.Measure
	EveryS, SettleS    float64
	RecordS            float64
	Verdict            string
	Protocol           []string // steps of the protocol card
	Cautions           []string
	Assumed            []rigfile.Assumed
	Seed               uint64
}

// Best is the design to take.
func (p *TrialPlan) Best() *trial.Design { return &p.Designs[p.Chosen] }

// PlanTrial tries the ways of measuring under the spot's weather, and says which
// to take.
func PlanTrial(ctx context.Context, q TrialPlanQuestion) (*TrialPlan, error) {
	spots, err := spotsNamed(q.Rig, q.Spot)
	if err != nil {
		return nil, err
	}
	spot := spots[0]
	spot.Weather.Years = min(spot.Weather.Years, 1)
	w := WorthQuestion{Rig: q.Rig, WeatherFile: q.WeatherFile, Window: q.Window, Seed: q.Seed, Open: q.Open, Progress: q.Progress}
	s := &SpotWorth{Assumed: w.assumedAt(spot)}
	in, err := w.input(ctx, spot, s)
	if err != nil {
		return nil, err
	}
	year := firstYear(in, q.Seed)
	ground, err := loop.Lay(ctx, &in.Rig, year)
	if err != nil {
		return nil, orBad(ctx, err)
	}
	days := q.Window.Days(ground.Calendar())
	if len(days) == 0 {
		return nil, bad("the weather has no day %s", q.Window)
	}
	rig := trialRig(q.Rig, in.Rig)
	rig.AirC, rig.WindMS = daylightAir(year, func(m time.Month) bool { return touches(ground, days, m) })
	p := &TrialPlan{Rig: q.Rig.Name, Spot: spot.Name, Weather: s.Weather, Cautions: s.Warnings, Halfwidth: q.Halfwidth, Seed: q.Seed,
		Measure: planMeasure(q.Rig), EveryS: q.Rig.Trial.EveryS, SettleS: q.Rig.Trial.SettleS, RecordS: q.Rig.Trial.RecordS,
		Assumed: append(append(s.Assumed, assumedOfHeadings(q.Rig)...), q.Rig.AssumedFor(rigfile.ForTrial)...)}
	first, last := ground.Calendar().Date(days[0]), ground.Calendar().Date(days[len(days)-1])
	p.From, p.To = MonthDay{Month: int(first.Month()), Day: first.Day()}, MonthDay{Month: int(last.Month()), Day: last.Day()}
	if err := p.make(ctx, q, &rig, ground, days); err != nil {
		return nil, err
	}
	if len(days) < p.Days {
		p.Cautions = append(p.Cautions, fmt.Sprintf("The trial is to last %d days, and the days that it may lie on are only %d: the weather of these stands for all.", p.Days, len(days)))
	}
	p.tell(q.Rig, &rig)
	return p, nil
}

func (p *TrialPlan) make(ctx context.Context, q TrialPlanQuestion, rig *trial.Rig, ground *loop.Ground, days []int) (err error) {
	t := q.Rig.Trial
	if q.Days == 0 {
		q.Days = t.Days
	}
	p.Plan, err = trial.MakePlan(ctx, rig, ground, days, trial.PlanQuestion{Days: q.Days, Halfwidth: q.Halfwidth, Confidence: q.Confidence, Seed: q.Seed,
		EveryS: t.EveryS, SettleS: t.SettleS, RecordS: t.RecordS, Measure: p.Measure, Sensor: q.Rig.Sensor, Clouds: 1, Progress: q.Progress})
	return orBad(ctx, err)
}

// orBad makes an error the person's, but for an interruption.
func orBad(ctx context.Context, err error) error {
	switch {
	case err == nil:
		return nil
	case ctx.Err() != nil:
		return ctx.Err()
	}
	return &BadInput{err}
}

// touches reports whether any of some days lies in a month.
func touches(g *loop.Ground, days []int, m time.Month) bool {
	for _, d := range days {
		if g.Calendar().Date(d).Month() == m {
			return true
		}
	}
	return false
}

// planMeasure is what looks are compared by where the rig file does not say: the
// current of a panel whose voltage the battery holds goes with the light; one
// whose voltage a tracker seeks needs the watts.
func planMeasure(rig *rigfile.Rig) trial.Measure {
	if m, ok := trial.MeasureNamed(rig.Trial.Measure); ok {
		return m
	}
	switch {
	case rig.Trial.CellFullA > 0:
		return trial.ByLight
	case rig.Charger.Kind == battery.PWM:
		return trial.ByCurrent
	}
	return trial.ByPower
}
