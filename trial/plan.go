package trial

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"turnsole/hindsight"
	"turnsole/loop"
	"turnsole/reading"
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

// dayOf is what one day comes to under a design.
type dayOf struct {
	whole       sums
	drops       []sums
	sides       []side
	wrong       [3]float64 // looking back: gain times still light that scale, heading and tilt are wrong by
	turned      [3]float64 // still light at the stops: as looked at, and with the rig turned either way
	true        [2]float64 // aimed and still light, as it was
	costWh      float64
	degrees     float64
	moves       float64
	lookedAtAll bool
}

// timesSeen is how often each day is gone through: looks that fall at other
// moments see another day.
const timesSeen = 3

// try goes through all days under a design, and puts trials together.
func (p *planner) try(ctx context.Context, d *Design, protocol *Protocol) error {
	of := make([]dayOf, len(p.days)*timesSeen)
	group, gctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i := range of {
		group.Go(func() error {
			if err := gctx.Err(); err != nil {
				return err
			}
			var err error
			of[i], err = p.day(p.days[i%len(p.days)], d, protocol, rand.New(rand.NewPCG(p.q.Seed, uint64(i)+1000)))
			p.lock.Lock()
			p.done++
			p.q.Progress("trying designs", p.done, p.all*len(of))
			p.lock.Unlock()
			return err
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	d.Days, d.EveryS, d.GapS = p.q.Days, protocol.EveryS, protocol.GapS
	for i := range of {
		n := float64(len(of))
		d.CostWhPerDay += of[i].costWh / n
		d.DegreesPerDay += of[i].degrees / n
		d.MovesPerDay += of[i].moves / n
	}
	p.draw(d, of)
	if p.q.Halfwidth > 0 {
		d.DaysNeeded = p.needed(d, of)
	}
	return nil
}

// day runs a protocol through a day and lets the estimate see what it logs.
func (p *planner) day(day *Day, d *Design, protocol *Protocol, rng *rand.Rand) (dayOf, error) {
	var rows []reading.Reading
	protocol.Run(day, p.rig, 1, rng, func(r *reading.Reading) { rows = append(rows, *r) })
	k := 0
	log, err := Collect(func(r *reading.Reading) error {
		if k == len(rows) {
			return io.EOF
		}
		*r, k = rows[k], k+1
		return nil
	})
	var o dayOf
	p.cost(&o, day, protocol)
	for i := range day.AimedWm2 {
		o.true[0] += float64(day.AimedWm2[i]) * day.StepS
		o.true[1] += float64(day.StillWm2[i]) * day.StepS
	}
	if err != nil || len(log.Setups) == 0 {
		return o, err
	}
	x, err := prepareFor(p.rig, p.panel, log.Setups[0], protocol.Measure)
	if err != nil {
		return o, err
	}
	switch {
	case d.Method == Beside:
		o.sides = x.sides()
		o.lookedAtAll = len(o.sides) > 0
		return o, nil
	case d.Method == LookingBack:
		x.spells = x.record()
		p.backOn(x, &o)
	case len(x.spells) == 0 || len(x.spells[0].stops) == 0:
	case d.Method == Plain:
		parts, _ := plain(x.spells)
		o.whole, o.lookedAtAll = total(parts), true
		for i := range x.spells[0].stops {
			s := x.spells[0].stops[i].plain()
			o.drops = append(o.drops, s)
		}
	default:
		parts, drops := assisted(x.spells)
		o.whole, o.drops, o.lookedAtAll = total(parts), drops, true
	}
	if o.lookedAtAll && d.Method != LookingBack && p.rig.HeadingWithin > 0 {
		o.turned = [3]float64{o.whole.foretold, o.whole.foretold * x.stillTurned(p.rig.HeadingWithin), o.whole.foretold * x.stillTurned(-p.rig.HeadingWithin)}
	}
	return o, nil
}

// backOn looks back from a day.
func (p *planner) backOn(x *matter, o *dayOf) {
	if len(x.spells) == 0 {
		return
	}
	gain, aimed, _ := x.past(x.scene, 1, 0, 0)
	if len(aimed) == 0 || math.IsNaN(gain) {
		return
	}
	light := 0.0
	for _, sp := range x.spells {
		sp.lit(func(_, _, wm2, s float64) { light += wm2 * s })
	}
	o.lookedAtAll = true
	o.whole = sums{aimed: light, foretold: light / (1 + gain), told: light / (1 + gain)}
	off, still := max(p.rig.HeadingWithin, 2), light/(1+gain)
	for k, wrong := range [][2]float64{
		{x.with(1+x.scaleWithin, 0, 0), x.with(1-x.scaleWithin, 0, 0)},
		{x.with(1, off, 0), x.with(1, -off, 0)},
		{x.with(1, 0, tiltWithin), x.with(1, 0, -tiltWithin)},
	} {
		o.wrong[k] = (wrong[0] - wrong[1]) / 2 * still
	}
}

// cost is what the looking itself costs on a day.
func (p *planner) cost(o *dayOf, day *Day, protocol *Protocol) {
	season := &p.rig.Season
	lost := func(i int, s float64) {
		o.costWh += max(0, float64(day.AimedFree[i]-day.StillFree[i])) * s / 3600
	}
	if protocol.EveryS > 0 {
		every := max(1, int(protocol.EveryS/day.StepS))
		for i := every / 2; i < len(day.AimedWm2); i += every {
			if day.AimedWm2[i] < dimmestWm2 {
				continue
			}
			turn := 2 * p.offStill(day, i)
			turning := turn / season.Motor.DegreesPerS
			o.degrees += turn
			o.moves += 2
			o.costWh += turning*season.Motor.PowerW/3600 + (turning+3*p.q.SettleS)*season.Board.AwakeW/3600
			lost(i, protocol.GapS+turning/2)
		}
	}
	if protocol.BlockS > 0 {
		every := max(1, int(protocol.BlockS/day.StepS))
		for i := range day.AimedWm2 {
			lost(i, day.StepS/2)
			if i%every == 0 {
				turn := p.offStill(day, i)
				o.degrees += turn
				o.moves++
				o.costWh += turn / season.Motor.DegreesPerS * season.Motor.PowerW / 3600
			}
		}
	}
}

// runDays is how many days in a row a trial is put together from: weather keeps
// for some days.
const runDays = 3

// draw puts trials together and sees how they err.
func (p *planner) draw(d *Design, of []dayOf) {
	widths, errs, covered := p.trials(d, of, p.q.Days, p.q.Trials)
	if len(widths) == 0 {
		d.Halfwidth, d.Error, d.Bias, d.Covers = math.NaN(), math.NaN(), math.NaN(), math.NaN()
		return
	}
	square := 0.0
	for _, e := range errs {
		square += e * e
	}
	slices.Sort(widths)
	d.Halfwidth, d.Error, d.Bias = widths[len(widths)/2], math.Sqrt(square/float64(len(errs))), average(errs)
	d.Covers = float64(covered) / float64(len(errs))
}

func (p *planner) trials(d *Design, of []dayOf, days, count int) (widths, errs []float64, covered int) {
	rng := rand.New(rand.NewPCG(p.q.Seed, uint64(days)+7))
	for range count {
		var drawn []*dayOf
		for len(drawn) < days {
			from := rng.IntN(max(1, len(p.days)-runDays+1))
			for k := range min(runDays, days-len(drawn)) {
				drawn = append(drawn, &of[(from+k)%len(p.days)+len(p.days)*rng.IntN(timesSeen)])
			}
		}
		got, truth, ok := p.together(d, drawn)
		if !ok {
			continue
		}
		widths, errs = append(widths, (got.High-got.Low)/2), append(errs, got.Value-truth)
		if got.Low <= truth && truth <= got.High {
			covered++
		}
	}
	return widths, errs, covered
}

// together is the trial of some days.
func (p *planner) together(d *Design, days []*dayOf) (Interval, float64, bool) {
	var whole sums
	var drops []sums
	var turned [3]float64
	var aimed, still float64
	var sides []side
	for _, o := range days {
		aimed, still = aimed+o.true[0], still+o.true[1]
		sides = append(sides, o.sides...)
		if !o.lookedAtAll {
			continue
		}
		whole = whole.plus(o.whole)
		drops = append(drops, o.drops...)
		for k := range turned {
			turned[k] += o.turned[k]
		}
	}
	if d.Method == Beside {
		return sideBySide(sides, aimed/still-1, p.q.Confidence)
	}
	if !(whole.foretold > 0 && whole.told > 0) {
		return Interval{}, 0, false
	}
	r := whole.ratio()
	variance, freedom := 0.0, math.Inf(1)
	switch d.Method {
	case Plain:
		variance, freedom = differences(days, whole)
	case LookingBack:
		variance = sq(skyWithin) + sq(skyPerDay)/float64(len(days))
		for k := range days[0].wrong {
			by := 0.0
			for _, o := range days {
				by += o.wrong[k] / whole.foretold
			}
			variance += sq(by)
		}
	default:
		variance, freedom = jackknife(whole, drops)
		variance *= sq(leaning)
	}
	if turned[0] > 0 {
		variance += sq(r * (turned[1] - turned[2]) / turned[0] / 2)
	}
	return spread(r-1, variance, freedom, p.q.Confidence), aimed/still - 1, true
}

// sideBySide is what two panels tell in some days: matched in each, and the
// matches of the days scatter as they do.
func sideBySide(days []side, truth, confidence float64) (Interval, float64, bool) {
	var a, s []float64
	var aimed, still float64
	minutes := 0
	for i := range days {
		aimed, still = aimed+days[i].aimed, still+days[i].still
		if n := len(days[i].matchedAimed); n > 0 {
			minutes += n
			a, s = append(a, days[i].matchedSum[0]), append(s, days[i].matchedSum[1])
		}
	}
	if minutes < leastMatched || len(a) < 2 {
		return Interval{}, 0, false
	}
	factor, se := Ratio(s, a)
	r := aimed / (factor * still)
	return spread(r-1, sq(r)*(sq(se/factor)+sq(aligned)), float64(len(a)-1), confidence), truth, true
}

// differences is successive for days that were gone through one by one.
func differences(days []*dayOf, whole sums) (variance, freedom float64) {
	r := whole.ratio()
	var each []float64
	for _, o := range days {
		each = append(each, neighbours(o.drops, r, whole.foretold)...)
	}
	for _, v := range each {
		variance += v
	}
	return variance, SatterthwaiteDF(each)
}

// needed is how many days the half-width asked takes.
func (p *planner) needed(d *Design, of []dayOf) int {
	width := func(days int) float64 {
		widths, _, _ := p.trials(d, of, days, 31) // the median of so many is good to a few per cent
		if len(widths) == 0 {
			return math.Inf(1)
		}
		slices.Sort(widths)
		return widths[len(widths)/2]
	}
	if !(width(MostDays) <= p.q.Halfwidth) {
		return -1
	}
	low, high := 1, MostDays // too few, and enough
	for high-low > 1 {
		if mid := (low + high) / 2; width(mid) <= p.q.Halfwidth {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}
