package trial

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"turnsole/hindsight"
)

// Question is what is asked of a log.
type Question struct {
	Setup      string   // its name; "" for the one with most pairs
	Measure    *Measure // nil for the best that the log has
	Method     string   // of Methods; "" for the best that the log bears
	Confidence float64  // 0 for 0.95
	Replicates int      // of the season's bootstrap; 0 for 10,000
	Seed       uint64
}

// Methods by which a gain may be told.
const (
	Assisted    = "paired looks, carried by the record"
	Plain       = "paired looks"
	Blocks      = "blocks"
	Beside      = "a still panel beside it"
	LookingBack = "looking back"
)

// Result is what a log says.
type Result struct {
	Setup      string
	StillDeg   float64 // heading of the looks at still
	Measure    Measure
	Method     string
	Confidence float64

	// Why is why no number can be given; the gains are then NaN.
	Why string

	// TheseDays is the gain in the trial's own hours: what lies between the
	// looks and the sensor is in its interval, the luck of the days is not.
	TheseDays Interval
	Light     Interval // the same in light that entered the panel
	Energy    Interval // the same in what the panel could give
	Used      float64  // the gain with the charger's limits: what was taken, at the looks; NaN where all was

	// Season is what such days bring on average at this time of year; NaN
	// under five days.
	Season Interval

	// Modelled is what the sky model makes of the aimed light alone on the same
	// days, NaN where the log has no headings; ModelledWithin is the standard
	// deviation of what that is wrong by.
	Modelled, ModelledWithin float64

	Days, Stops, Pairs, Looks int
	Hours                     float64
	Parts                     struct{ Sampling, Headings, Missing float64 } // of the interval's variance, shares
	Left                      []Left
	Warnings, Notes           []string
	Daily                     []DayGain
	ByHour                    [24]HourLight
	Scatter                   []Pair
	Setups                    []string // all that the log has
	Seed                      uint64
	SE, Freedom               float64
}

// Left is what had no part in the estimate, and why.
type Left struct {
	Why   string
	Count int
}

func nothing() Interval { return Interval{math.NaN(), math.NaN(), math.NaN()} }

// Evaluate says what a log of a rig gained. An error is about the question or
// the rig; what is wrong with the log is Result.Why.
func Evaluate(ctx context.Context, rig *Rig, l *Log, q Question) (*Result, error) {
	if err := rig.validate(); err != nil {
		return nil, err
	}
	if q.Confidence == 0 {
		q.Confidence = 0.95
	}
	if q.Replicates == 0 {
		q.Replicates = 10000
	}
	if !(q.Confidence > 0 && q.Confidence < 1) || q.Replicates < 100 {
		return nil, fmt.Errorf("a confidence of %g with %d replicates: must be between 0 and 1, and 100 or more", q.Confidence, q.Replicates)
	}
	r := &Result{Confidence: q.Confidence, Seed: q.Seed, TheseDays: nothing(), Light: nothing(), Energy: nothing(), Season: nothing(), Used: math.NaN(), Modelled: math.NaN()}
	for _, s := range l.Setups {
		r.Setups = append(r.Setups, s.Name)
	}
	s, err := l.pick(&q)
	if err != nil {
		return nil, err
	}
	if s == nil {
		r.Why = "the log has no reading with a time and a measure"
		return r, nil
	}
	r.Setup = s.Name
	measure, why := l.measure(&q, rig, s)
	if r.Measure = measure; why != "" {
		r.Why = why
		return r, nil
	}
	x, err := prepare(rig, s, measure)
	if err != nil {
		return nil, err
	}
	if r.Why = x.implausible(l); r.Why != "" {
		return r, nil
	}
	return r, r.answer(ctx, x, l, &q)
}

// pick returns the set-up asked for; nil where the log has none.
func (l *Log) pick(q *Question) (*Setup, error) {
	var best *Setup
	for _, s := range l.Setups {
		if q.Setup != "" && s.Name == q.Setup {
			return s, nil
		}
		if best == nil || len(s.looks) > len(best.looks) || len(s.looks) == len(best.looks) && len(s.minutes) > len(best.minutes) {
			best = s
		}
	}
	if q.Setup != "" {
		var names []string
		for _, s := range l.Setups {
			names = append(names, s.Name)
		}
		return nil, fmt.Errorf("the log has no set-up %q; it has %v", q.Setup, names)
	}
	if best != nil && len(best.looks)+len(best.minutes) == 0 {
		return nil, nil
	}
	return best, nil
}

// measure chooses what to compare by: light where a cell measured it, watts
// where volts were logged, else amperes.
func (l *Log) measure(q *Question, rig *Rig, s *Setup) (Measure, string) {
	cell, watts, amps := 0, 0, 0
	count := func(f *figures) {
		if !math.IsNaN(f.cellA) {
			cell++
		}
		if !math.IsNaN(f.panelW) {
			watts++
		}
		if !math.IsNaN(f.panelA) {
			amps++
		}
	}
	for i := range s.looks {
		count(&s.looks[i].figures)
	}
	if len(s.looks) == 0 {
		for i := range s.minutes {
			count(&s.minutes[i].figures)
		}
	}
	has := map[Measure]int{ByLight: cell, ByPower: watts, ByCurrent: amps}
	if q.Measure != nil {
		if has[*q.Measure] == 0 {
			return *q.Measure, fmt.Sprintf("the log cannot be judged by %s: it has no column for it (cell_a for light, panel_a and panel_v for power, panel_a for current)", *q.Measure)
		}
		return *q.Measure, ""
	}
	most := max(cell, watts, amps)
	switch {
	case most == 0:
		return ByCurrent, "the log has neither panel_a nor cell_a: nothing that grows with the light"
	case cell > most*9/10:
		return ByLight, ""
	case watts > most*9/10 && !rig.held():
		return ByPower, ""
	case amps > 0:
		return ByCurrent, ""
	}
	return ByLight, ""
}

// implausible says what shows that the log cannot be this rig's.
func (x *matter) implausible(l *Log) string {
	_, shortA := x.rig.fullA()
	if mostA := x.mostA(); x.measure != ByLight && mostA > mostOfShort*shortA {
		hint := "is it another panel?"
		if mostA > 200*shortA {
			hint = "are they milliamperes? Import the log with the unit named"
		}
		return fmt.Sprintf("panel_a reaches %.3g A, and this panel gives %.3g A at most: %s", mostA, mostOfShort*shortA, hint)
	}
	if l.TooMany {
		return fmt.Sprintf("the log changes its set-up or its tilt_deg more than %d times: a trial needs days under one; leave the column out if it only shakes", mostSetups)
	}
	if n := l.Readings; l.Clashes > 10 && l.Clashes > n/50 {
		return fmt.Sprintf("%d times two different readings share a second: two rigs' readings seem to be mixed; part them, or give each its set-up", l.Clashes)
	}
	return x.elsewhere()
}

// mostOfShort is more of its short-circuit current than any panel gives, cloud's
// edges and cold included (common practice, no source).
const mostOfShort = 1.6

// mostA is the current that one reading in 200 exceeds: single ones may be
// spikes.
func (x *matter) mostA() float64 {
	var amps []float64
	for i := range x.setup.looks {
		amps = append(amps, x.setup.looks[i].panelA)
	}
	for i := range x.setup.minutes {
		amps = append(amps, x.setup.minutes[i].panelA)
	}
	amps = slices.DeleteFunc(amps, math.IsNaN)
	if len(amps) == 0 {
		return 0
	}
	slices.Sort(amps)
	return amps[len(amps)-1-len(amps)/200]
}

// elsewhere says when the light does not come and go with the sun of the spot.
func (x *matter) elsewhere() string {
	var dark, lit, all float64
	var values []float64
	note := func(at *hindsight.Instant, v float64) {
		if math.IsNaN(v) || v <= 0 {
			return
		}
		all += v
		values = append(values, v)
		if at.Sun.Up < nightUp/2 {
			dark += v
		} else {
			lit += v
		}
	}
	for i := range x.setup.minutes {
		k := &x.setup.minutes[i]
		note(&x.at[i], x.value(&k.figures, k.unixS))
	}
	for i := range x.setup.looks {
		k := &x.setup.looks[i]
		at := x.scene.At(k.unixS)
		note(&at, x.value(&k.figures, k.unixS))
	}
	switch {
	case len(values) == 0, x.measure != ByLight && !x.knowsVolts && slices.Max(values)*x.scaleOf() < darkest:
		return "all of the log is dark: nothing to compare"
	case !x.knowsVolts && even(values):
		return "what the log measures never changes by much, whatever the sun does: the sensor seems to be stuck"
	case lit == 0:
		return "all of the log was taken while the sun was down at this spot"
	case dark > 0.02*all:
		return fmt.Sprintf("%.0f %% of the light came while the sun was down at this spot: the log is from another place, or its clock or time zone is wrong (turnsole import finds by how much)", 100*dark/all)
	}
	return ""
}

// darkest is less light than a lit panel's log reaches, W/m2.
const darkest = 20

// scaleOf is the light that one unit of the measure stands for, about.
func (x *matter) scaleOf() float64 {
	if x.measure == ByPower {
		v, a := x.rig.Season.Diode.MaximumPower(1000, 25)
		return 1000 / (v * a)
	}
	return x.scale
}

// even reports whether the bright readings are hardly more than the dim ones: a
// day's are many times as much.
func even(values []float64) bool {
	sorted := slices.Sorted(slices.Values(values))
	n := len(sorted)
	return n >= 20 && sorted[n*19/20] < 1.5*sorted[n/10]
}

// answer chooses the method and fills the result.
func (r *Result) answer(ctx context.Context, x *matter, l *Log, q *Question) error {
	method := q.Method
	if method == "" {
		method = x.best(l)
	}
	r.StillDeg = x.stillDeg
	defer func() { r.count(x) }()
	r.warnOfLog(x, l)
	switch method {
	case Assisted, Plain:
		return r.paired(ctx, x, l, q, method)
	case Blocks:
		return r.blocks(ctx, x, q)
	case Beside:
		return r.beside(ctx, x, q)
	case LookingBack:
		return r.back(x, q)
	}
	return fmt.Errorf("there is no method %q", method)
}

// best is the best method that the log bears.
func (x *matter) best(l *Log) string {
	switch {
	case x.inBlocks:
		return Blocks
	case x.inPairs() >= leastPairs && x.hasRecord():
		return Assisted
	case len(x.setup.looks) > 0:
		return Plain
	case l.Has.StillA:
		return Beside
	}
	return LookingBack
}

// leastPairs is fewer than which no ratio of looks means anything.
const leastPairs = 8

// paired answers from looks.
func (r *Result) paired(ctx context.Context, x *matter, l *Log, q *Question, method string) error {
	r.Method = method
	switch n := x.inPairs(); {
	case n >= leastPairs && x.Limited+x.Idle <= 2*n:
	case x.Limited+x.Idle > n:
		r.Why = fmt.Sprintf("in %d of %d pairs of looks the charger did not take what the panel could give: too few are left to compare; a reference cell (cell_a) sees the light whatever the battery does", x.Limited+x.Idle, x.Limited+x.Idle+n)
		return nil
	case x.Night > n:
		r.Why = fmt.Sprintf("%d of %d pairs of looks were taken by night: too few are left to compare", x.Night, x.Night+n)
		return nil
	default:
		r.Why = fmt.Sprintf("%d pairs of looks are too few to compare: %d at least, a few dozen a day for some days", n, leastPairs)
		return nil
	}
	e := x.estimate(q.Confidence)
	if method == Plain {
		e = x.plain(q.Confidence)
	}
	if r.Method = Assisted; !e.Carried {
		r.Method = Plain
	}
	r.take(e, q)
	r.Modelled, r.ModelledWithin = x.modelled()
	x.warm(r, e)
	r.warnOfTrial(x, e)
	if !r.sure() {
		r.Why = "what the log has left to compare is too little for any range"
		return nil
	}
	return r.season(ctx, q)
}

// sure reports whether there is a gain with a range.
func (r *Result) sure() bool {
	i := r.TheseDays
	return finite(i.Value) && finite(i.Low) && finite(i.High)
}

// take takes over an estimate.
func (r *Result) take(e *Estimate, q *Question) {
	r.TheseDays = e.Interval(q.Confidence)
	r.SE, r.Freedom = e.SE, e.Freedom
	r.Hours, r.Days, r.Daily, r.ByHour, r.Scatter = e.Hours, len(e.Days), e.Days, e.ByHour, e.Scatter
	if all := sq(e.SE); all > 0 {
		r.Parts.Sampling, r.Parts.Headings, r.Parts.Missing = e.Sampling/all, e.Headings/all, e.Missing/all
	}
}

// season draws days anew: the gain of such days on average.
func (r *Result) season(ctx context.Context, q *Question) error {
	var aimed, gains []float64
	for i := range r.Daily {
		if d := &r.Daily[i]; d.AimedWhM2 > 0 && 1+d.Gain.Value > 0 {
			aimed, gains = append(aimed, d.AimedWhM2), append(gains, d.Gain.Value)
		}
	}
	n := len(aimed)
	if n < leastDays {
		return nil
	}
	rng := rand.New(rand.NewPCG(q.Seed, 91))
	// Neighbouring days are alike; blocks of them are drawn.
	block := max(1, min(BlockLength(aimed), n/3))
	values, err := Bootstrap(ctx, n, block, q.Replicates, rng, func(index []int) float64 {
		var a, s float64
		for _, i := range index {
			a, s = a+aimed[i], s+aimed[i]/(1+gains[i])
		}
		return a/s - 1
	})
	if err != nil {
		return err
	}
	low, high := Percentiles(values, q.Confidence)
	// A bootstrap of few days is too narrow by the root of n/(n-1) and by
	// Student's quantile over the bell's (common practice).
	wide := math.Sqrt(float64(n)/float64(n-1)) * StudentQuantile(1-(1-q.Confidence)/2, float64(n-1)) / StudentQuantile(1-(1-q.Confidence)/2, math.Inf(1))
	mid := r.TheseDays.Value
	r.Season = Interval{mid, mid + wide*(low-mid), mid + wide*(high-mid)}
	return nil
}

// leastDays is fewer days than which say nothing of a season.
const leastDays = 5

// count tells what had no part.
func (r *Result) count(x *matter) {
	r.Pairs, r.Looks = x.inPairs(), len(x.setup.looks)
	for _, sp := range x.spells {
		r.Stops += len(sp.stops)
	}
	for _, left := range []Left{
		{"pairs while the charger did not take all that the panel could give", x.Limited},
		{"pairs while the charger took nothing", x.Idle},
		{"pairs by night", x.Night},
		{"looks without their other half", x.Lone},
		{"minutes of the record while the charger did not take all", x.RecordLimited},
		{"minutes of the record around looks", x.RecordAway},
		{"minutes of the record far from any look", x.RecordFar},
		{"days of looks without a record", x.Bare},
	} {
		if left.Count > 0 {
			r.Left = append(r.Left, left)
		}
	}
}

func (r *Result) warn(format string, args ...any) {
	r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...))
}

// warnOfLog tells what makes the log doubtful.
func (r *Result) warnOfLog(x *matter, l *Log) {
	if len(l.Setups) > 1 {
		r.warn("The log has %d set-ups, and a trial never runs across two: this is %s, the others are left aside (--setup chooses).", len(l.Setups), x.setup.Name)
	}
	if l.Refused > 0 {
		r.warn("%d rows could not be read: %v.", l.Refused, l.FirstWhy)
	}
	if l.Untimed > 0 {
		r.warn("%d readings have no time and are left out: turnsole import gives them one.", l.Untimed)
	}
	if !l.Has.Heading && l.Has.Looks {
		r.warn("The log has no heading_deg: aimed looks are taken to have pointed at the sun, those at still to %.0f degrees.", x.stillDeg)
	}
	if x.setup.Storms > 0 {
		r.warn("The log tells of %d storms: see on those days whether the panel was turned.", x.setup.Storms)
	}
	switch {
	case math.IsNaN(x.zeroA):
		r.Notes = append(r.Notes, "No night is on record: what the sensor shows at no light is not known, and a zero that is off by a hundredth of full sun moves the gain by about as much.")
	case math.Abs(x.zeroA) > 1e-3*r.full(x):
		r.Notes = append(r.Notes, fmt.Sprintf("By night the sensor shows %.3g A; that is taken off, night by night.", x.zeroA))
		if low, high := x.zeroRange(); high-low > 0.02*math.Abs(r.full(x)) {
			r.warn("The sensor's zero strays between nights, from %.3g to %.3g A.", low, high)
		}
	}
	if n := x.inPairs() + x.Night; 50*x.Night > n && x.Night > leastPairs {
		r.warn("%d of %d pairs were taken while the sun was down at this spot: is it the right place, and the right clock?", x.Night, n)
	}
	if x.unclear {
		r.warn("What the cell gives in full sun is not known, and no clear sky was seen to tell it by: clearness, the model's figures and the year are only as good as a guess of it. Give trial.cell_full_sun.")
	}
}

func (r *Result) full(x *matter) float64 {
	if x.measure == ByLight {
		return 1000 / x.scale
	}
	fullA, _ := x.rig.fullA()
	return fullA
}

func (x *matter) zeroRange() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, n := range x.nights {
		low, high = min(low, n.zeroA), max(high, n.zeroA)
	}
	return low, high
}

// warnOfTrial tells what makes the number doubtful.
func (r *Result) warnOfTrial(x *matter, e *Estimate) {
	switch {
	case r.Days == 1:
		r.warn("One day only: it is that day's gain and nothing more.")
	case r.Days < 3:
		r.warn("Only %d days: do not trust the interval, which knows nothing of other weather.", r.Days)
	}
	if off := math.Abs(x.stillDeg - float64(x.rig.Still)); off > 3 && off < 357 {
		r.warn("The looks at still were taken at %.0f degrees, and the still panel of the rig file faces %.0f: the gain is over the former.", x.stillDeg, float64(x.rig.Still))
	}
	if share := float64(x.Limited+x.Idle) / float64(max(1, x.Limited+x.Idle+x.inPairs())); share > 0.1 {
		r.warn("In %.0f %% of the pairs the charger did not take all; what the panel could then have given is not known, and the interval is wider for it.", 100*share)
	}
	if !e.Carried {
		r.Notes = append(r.Notes, "Nothing, or little, was kept between the looks: with a reading every minute the same looks tell more.")
	}
	if n := x.atTheEnd(); n > 0 && 100*n > len(x.setup.looks) {
		r.warn("%d of %d looks read as much as the sensor can, %.3g A: what the turned panel gave beyond that is not in the gain.", n, len(x.setup.looks), x.rig.SensorA)
	}
	r.warnOfShade(x)
}

// atTheEnd counts the looks that read as much as the sensor can.
func (x *matter) atTheEnd() (n int) {
	if x.measure == ByLight || !(x.rig.SensorA > 0) {
		return 0
	}
	for i := range x.setup.looks {
		if x.setup.looks[i].panelA > 0.985*x.rig.SensorA {
			n++
		}
	}
	return n
}

// warnOfShade tells of hours in which the still panel gave steadily less, or
// more, than the sky explains.
func (r *Result) warnOfShade(x *matter) {
	told, more := [24]float64{}, [24][]float64{}
	for _, sp := range x.spells {
		for i := range sp.stops {
			at := x.scene.At(sp.stops[i].unixS)
			h := min(max(int(at.SunHour), 0), 23)
			t, m := sp.foretell(i, -1)
			told[h], more[h] = told[h]+t, append(more[h], m)
		}
	}
	for h := range told {
		n := float64(len(more[h]))
		if n < 6 || told[h]/n < 100 {
			continue
		}
		mean := average(more[h])
		se := math.Sqrt(autocovariance(more[h], mean, 0) / n)
		if share := mean / (told[h] / n); share < -0.2 && mean < -4*se {
			r.warn("Between %d and %d o'clock by the sun the still panel gives %.0f %% less than its sky explains: something shades it there, or it is not where it is told to be.", h, h+1, -100*share)
		}
	}
}
