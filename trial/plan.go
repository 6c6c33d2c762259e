package trial

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"turnsole/hindsight"
	"turnsole/loop"
	"turnsole/sensor"
)

// PlanQuestion asks how a trial should look.
type PlanQuestion struct {
	Days       int     // that it may last; 0 for 14
	Halfwidth  float64 // of the interval that is wanted, as a share: 0.02 for 2 points of gain; 0 for none
	Confidence float64 // 0 for 0.95
	Trials     int     // drawn for each design; 0 for 120
	Seed       uint64

	EveryS, SettleS, RecordS float64 // of the looks; 0 for 900, 10 and 60
	Measure                  Measure
	Sensor                   sensor.Current
	Clouds                   float64 // how fast they pass against the fitted; 0 for 1
	Progress                 func(stage string, done, total int)
}

// Design is one way of measuring, tried out under the spot's own weather.
type Design struct {
	Name   string
	Method string  // of Result
	Needs  string  // what it takes beyond the rig; "" for nothing
	EveryS float64 // between brackets of looks; 0 for none
	GapS   float64 // from look to look

	Days       int
	Halfwidth  float64 // of the interval, median, as a share of the still panel's
	Error      float64 // root mean square
	Bias       float64
	Covers     float64 // share of the intervals that held the truth
	DaysNeeded int     // for the half-width asked; 0 where none was, -1 for more than MostDays

	CostWhPerDay, DegreesPerDay, MovesPerDay float64
}

// MostDays is the longest trial that is thought of.
const MostDays = 120

// Plan is what the designs would come to.
type Plan struct {
	Designs    []Design
	Chosen     int // index of the one to take
	Days       int
	Gain       float64 // of turning over still at this season, mean
	Confidence float64
	Trials     int
	Seed       uint64
}

func (q *PlanQuestion) fill() error {
	if q.Days == 0 {
		q.Days = 14
	}
	if q.Confidence == 0 {
		q.Confidence = 0.95
	}
	if q.Trials == 0 {
		q.Trials = 120
	}
	for _, d := range []struct {
		s     *float64
		usual float64
	}{{&q.EveryS, 900}, {&q.SettleS, 10}, {&q.RecordS, 60}} {
		if *d.s == 0 {
			*d.s = d.usual
		}
	}
	if q.Progress == nil {
		q.Progress = func(string, int, int) {}
	}
	switch {
	case q.Days < 2 || q.Days > MostDays:
		return fmt.Errorf("a trial of %d days: must be 2 to %d", q.Days, MostDays)
	case !(q.Halfwidth >= 0 && q.Halfwidth < 1):
		return fmt.Errorf("a half-width of %g: must be a share between 0 and 1, such as 2%%", q.Halfwidth)
	case !(q.Confidence >= 0.5 && q.Confidence < 1):
		return fmt.Errorf("a confidence of %g: must be 0.5 to 1", q.Confidence)
	case q.Trials < 20:
		return fmt.Errorf("%d trials of each design: must be 20 or more", q.Trials)
	case !(q.EveryS >= 60 && q.EveryS <= 86400 && q.SettleS >= 0.5 && q.SettleS <= 600 && q.RecordS >= 1 && q.RecordS <= 3600):
		return fmt.Errorf("looks every %g s that settle in %g s, a reading kept every %g s: must be 60 to 86400, 0.5 to 600 and 1 to 3600", q.EveryS, q.SettleS, q.RecordS)
	}
	return nil
}

// mostStaged is how many days of the season a plan is tried on.
const mostStaged = 36

// MakePlan tries the designs under the weather of some days of a ground's year.
// Every day is gone through once for each design; trials are then put together
// from days drawn in runs, as weather comes.
func MakePlan(ctx context.Context, rig *Rig, g *loop.Ground, days []int, q PlanQuestion) (*Plan, error) {
	if err := q.fill(); err != nil {
		return nil, err
	}
	known := *rig
	if known.CellFullA == 0 { // days are put together: all by one scale
		known.CellFullA = usualCellA
	}
	rig = &known
	stage, err := NewStage(rig, g, q.Seed, q.Clouds)
	if err != nil {
		return nil, err
	}
	var staged []*Day
	for k := range min(mostStaged, len(days)) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if d := stage.Day(days[inRuns(k, len(days))]); len(d.AimedWm2) > 0 {
			staged = append(staged, d)
		}
		q.Progress("laying out days", k+1, min(mostStaged, len(days)))
	}
	if len(staged) < 2 {
		return nil, errors.New("there are not two days with light in this part of the year: choose another by --from and --to")
	}
	p := &planner{rig: rig, q: &q, days: staged, panel: rig.panel()}
	plan := &Plan{Days: q.Days, Gain: Gained(staged).Light, Confidence: q.Confidence, Trials: q.Trials, Seed: q.Seed}
	if plan.Designs, err = p.designs(ctx); err != nil {
		return nil, err
	}
	plan.Chosen = choose(plan.Designs, q.Halfwidth)
	return plan, nil
}

// inRuns is which of so many days is staged k-th: runs of neighbouring days,
// spread evenly.
func inRuns(k, days int) int {
	if days <= mostStaged {
		return k
	}
	runs := mostStaged / runDays
	return k/runDays*(days-runDays)/(runs-1) + k%runDays
}

// choose takes, of the designs that measure and need nothing more than the rig,
// the one with the narrowest interval; where several are narrow enough, the one
// that costs least. Looking back measures no still panel, however narrow it
// looks.
func choose(designs []Design, wanted float64) int {
	best := 0
	better := func(a, b *Design) bool {
		aFits, bFits := wanted > 0 && a.Halfwidth <= wanted, wanted > 0 && b.Halfwidth <= wanted
		switch {
		case (a.Method == LookingBack) != (b.Method == LookingBack):
			return b.Method == LookingBack
		case (a.Needs == "") != (b.Needs == ""):
			return a.Needs == ""
		case aFits != bFits:
			return aFits
		case aFits:
			return a.CostWhPerDay < b.CostWhPerDay
		}
		return a.Halfwidth < b.Halfwidth || math.IsNaN(b.Halfwidth) && !math.IsNaN(a.Halfwidth)
	}
	for i := range designs {
		if better(&designs[i], &designs[best]) {
			best = i
		}
	}
	return best
}

// planner tries designs out.
type planner struct {
	rig   *Rig
	q     *PlanQuestion
	days  []*Day
	panel *hindsight.Panel
	lock  sync.Mutex
	done  int // days seen so far, and designs to see them under
	all   int
}

// designs tries all that there are.
func (p *planner) designs(ctx context.Context) ([]Design, error) {
	looks := func(every float64) Protocol {
		return Protocol{EveryS: every, GapS: p.gapS(), RecordS: p.q.RecordS, Measure: p.q.Measure, Volts: true, Sensor: p.q.Sensor}
	}
	bare := looks(p.q.EveryS)
	bare.RecordS = 0
	blocks := Protocol{BlockS: 1800, RecordS: p.q.RecordS, Measure: p.q.Measure, Volts: true, Sensor: p.q.Sensor}
	back := blocks
	back.BlockS = 0
	second := back
	second.Beside = true
	if second.Measure == ByPower {
		second.Measure = ByCurrent
	}
	cell := looks(p.q.EveryS)
	cell.Measure = ByLight
	all := []struct {
		Design
		Protocol
	}{
		{Design{Name: fmt.Sprintf("paired looks every %s", seconds(p.q.EveryS)), Method: Assisted}, looks(p.q.EveryS)},
		{Design{Name: fmt.Sprintf("paired looks every %s", seconds(2*p.q.EveryS)), Method: Assisted}, looks(2 * p.q.EveryS)},
		{Design{Name: "paired looks, no record between", Method: Plain}, bare},
		{Design{Name: "paired looks by a reference cell", Method: Assisted, Needs: "a small reference cell on the frame"}, cell},
		{Design{Name: "a still panel beside it", Method: Beside, Needs: "a second panel, or a second of two matched cells, with a sensor of its own"}, second},
		{Design{Name: "half hours by turns", Method: Blocks}, blocks},
		{Design{Name: "looking back, no look at all", Method: LookingBack}, back},
	}
	if p.q.Measure == ByLight {
		all = slices.Delete(all, 3, 4) // the cell: it is the rig's own measure
	}
	out := make([]Design, len(all))
	p.all = len(all)
	for i := range all {
		d := all[i].Design
		if err := p.try(ctx, &d, &all[i].Protocol); err != nil {
			return nil, err
		}
		out[i] = d
	}
	return out, nil
}

func seconds(s float64) string {
	if s >= 60 && math.Mod(s, 60) == 0 {
		return fmt.Sprintf("%.0f min", s/60)
	}
	return fmt.Sprintf("%.0f s", s)
}

// gapS is the time from look to look: the turn, and what the charger needs.
func (p *planner) gapS() float64 {
	sum, n := 0.0, 0.0
	for _, d := range p.days {
		for i := range d.AimedDeg {
			sum, n = sum+p.offStill(d, i), n+1
		}
	}
	return p.q.SettleS + sum/n/p.rig.Season.Motor.DegreesPerS
}

// offStill is how far the aim is from still.
func (p *planner) offStill(d *Day, i int) float64 {
	off := math.Mod(math.Abs(float64(d.AimedDeg[i])-float64(p.rig.Still)), 360)
	return min(off, 360-off)
}
