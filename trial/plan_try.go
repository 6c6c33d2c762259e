package trial

import (
	"context"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"turnsole/reading"
)

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
