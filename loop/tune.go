package loop

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"turnsole/aim"
)

// TuneInput asks for settings that are robustly good. Input holds the rig, the
// policy and the present settings; its Days, Trace, Steps and Progress are not
// used.
type TuneInput struct {
	Input
	Knobs     []aim.Knob // to be turned; nil for those that aim names
	Trials    int        // settings to be tried, 1 or more; 0 for 500
	TrialDays int        // days each is tried on; 0 for 30
	FreshDays int        // other days that choose among the best, and as many again that judge; 0 for 60
	Workers   int        // 0 for as many as there are processors
	Progress  func(stage string, done, total int)
}

// Point is one setting with what it brings, per day.
type Point struct {
	Settings                         aim.Settings
	NetWh, OwnWh                     float64
	DegreesTurned, Moves, MotorS     float64
	ShareOfTurning, ErrorDeg, AwakeS float64
	net                              []float64 // of each day
}

// Sweep is one knob turned with all others where they were chosen.
type Sweep struct {
	Knob    aim.Knob
	Values  []float64 // rising
	NetWh   []float64 // per day, on the trial's days
	Degrees []float64 // turned per day
	// Low and High are the ends of the region around the chosen value in which
	// NetWh stays within a half of a percent of the chosen's: where it does not
	// matter.
	Low, High float64
}

// Gain is what the chosen settings bring over the present ones, as a share of
// what these bring, on days that had no part in the choice, with an interval
// that holds it in 19 cases of 20 (bootstrap over paired days: Efron &
// Tibshirani 1993, An Introduction to the Bootstrap).
type Gain struct{ Share, Low, High float64 }

// TuneOutcome is what the search found.
type TuneOutcome struct {
	Points    []Point // all that were tried, on the trial's days, the present settings first
	Finalists []Point // the best of them on fresh days, the present settings first
	Present   Point   // on the judging days
	Chosen    Point   // on the judging days; the present settings where nothing surely beats them
	Confirmed bool    // the chosen settings are others, and the judging days confirm them
	Best      Point   // what was put to the judging days, confirmed or not
	Gain      Gain    // of Best over the present settings
	Sweeps    []Sweep
}

const (
	finalists  = 12
	sweepSteps = 9
	flatShare  = 0.005
)

func (in *TuneInput) fill() error {
	set := func(x *int, usual int) {
		if *x == 0 {
			*x = usual
		}
	}
	set(&in.Trials, 500)
	set(&in.TrialDays, 30)
	set(&in.FreshDays, 60)
	set(&in.Workers, runtime.GOMAXPROCS(0))
	if in.Knobs == nil {
		in.Knobs = aim.Knobs(in.Policy)
	}
	if in.Trials < 1 || in.TrialDays < 1 || in.FreshDays < 1 || in.Workers < 1 {
		return fmt.Errorf("%d trials on %d days and %d fresh ones by %d workers: all must be 1 or more", in.Trials, in.TrialDays, in.FreshDays, in.Workers)
	}
	in.Input.Trace, in.Input.Steps, in.Input.Progress = nil, false, nil
	return nil
}

// Tune searches a policy's settings by what is left for the builder after the
// stand has fed itself. All settings are tried under the same sky, wind and
// noise. The best dozen are tried again on other days under another chance; of
// those that can't be told from the best, the one that turns least is put to
// days that nothing has seen yet.
func Tune(ctx context.Context, g *Ground, in TuneInput) (*TuneOutcome, error) {
	if err := in.fill(); err != nil {
		return nil, err
	}
	if err := in.validate(g); err != nil {
		return nil, err
	}
	trial, choose, judge, err := g.spread(in.Seed, in.TrialDays, in.FreshDays)
	if err != nil {
		return nil, err
	}
	t := &tuner{in: &in, g: g, site: in.Rig.Site(g), chance: rand.New(rand.NewPCG(in.Seed, 77))}
	t.bound()
	out := &TuneOutcome{}
	if out.Points, err = t.search(ctx, trial); err != nil {
		return nil, err
	}
	best := top(out.Points, finalists)
	if out.Finalists, err = t.try(ctx, stage{"fresh days for the best", 0, len(best) + 1, 1}, withFirst(out.Points[0], best), choose); err != nil {
		return nil, err
	}
	best = []Point{out.Finalists[0], thriftiest(out.Finalists, t.chance)}
	judged, err := t.try(ctx, stage{"days that judge", 0, len(best), 2}, best, judge)
	if err != nil {
		return nil, err
	}
	out.decide(judged, t.chance)
	out.Sweeps, err = t.sweep(ctx, out.Chosen, trial)
	return out, err
}

// decide keeps the present settings unless the others surely beat them.
func (o *TuneOutcome) decide(judged []Point, chance *rand.Rand) {
	o.Present, o.Best = judged[0], judged[1]
	o.Gain = gainOf(&o.Best, &o.Present, chance)
	o.Chosen, o.Confirmed = o.Present, o.Gain.Low > 0
	if o.Confirmed {
		o.Chosen = o.Best
	}
}

// spread takes three sets of days that share none, each spread evenly over the
// year.
func (g *Ground) spread(seed uint64, trial, fresh int) (a, b, c []int, err error) {
	n := g.Days()
	if need := trial + 2*fresh; need > n {
		return nil, nil, nil, fmt.Errorf("tuning needs %d days, the weather has %d: ask for fewer trial days or fresh days", need, n)
	}
	rng := rand.New(rand.NewPCG(seed, 78))
	free := make([]int, n)
	for d := range free {
		free[d] = d
	}
	take := func(count int) []int {
		var got, left []int
		for k := range count {
			from, to := k*len(free)/count, (k+1)*len(free)/count
			pick := from + rng.IntN(to-from)
			got = append(got, free[pick])
			left = append(left, free[from:pick]...)
			left = append(left, free[pick+1:to]...)
		}
		free = left
		return got
	}
	return take(trial), take(fresh), take(fresh), nil
}

// tuner is a search that is on.
type tuner struct {
	in     *TuneInput
	g      *Ground
	site   aim.Site
	chance *rand.Rand
	knobs  []aim.Knob
}

// bound keeps the knobs within what this rig allows.
func (t *tuner) bound() {
	t.knobs = slices.Clone(t.in.Knobs)
	for i := range t.knobs {
		k := &t.knobs[i]
		if k.Unit == "A" {
			k.High = min(k.High, t.site.BestA)
			k.Low = min(k.Low, k.High/2)
		}
		if k.Name == "step" {
			k.Low = max(k.Low, float64(t.site.StepDeg))
		}
	}
}

// stage is a part of the search: its name, how many settings of how many were
// tried before, and what its chance is counted on by.
type stage struct {
	name          string
	before, total int
	chance        uint64
}

// try runs settings through days, several at once, and returns them in order.
func (t *tuner) try(ctx context.Context, of stage, points []Point, days []int) ([]Point, error) {
	out := make([]Point, len(points))
	var next atomic.Int32
	tell := t.teller(of)
	group, ctx := errgroup.WithContext(ctx)
	for range min(t.in.Workers, len(points)) {
		group.Go(func() error {
			for {
				i := int(next.Add(1)) - 1
				if i >= len(points) {
					return nil
				}
				p, err := t.once(ctx, points[i].Settings, days, of.chance)
				if err != nil {
					return err
				}
				out[i] = p
				tell()
			}
		})
	}
	return out, group.Wait()
}

// teller counts what is done, one call at a time.
func (t *tuner) teller(of stage) func() {
	var lock sync.Mutex
	done := of.before
	return func() {
		lock.Lock()
		defer lock.Unlock()
		if done++; t.in.Progress != nil {
			t.in.Progress(of.name, done, of.total)
		}
	}
}

func (t *tuner) once(ctx context.Context, s aim.Settings, days []int, chance uint64) (Point, error) {
	in := t.in.Input
	in.Settings, in.Days, in.Seed = s, days, in.Seed+chance
	o, err := Run(ctx, t.g, in)
	if err != nil {
		return Point{}, err
	}
	n, sum := float64(len(days)), &o.Total
	p := Point{Settings: s, NetWh: sum.NetWh() / n, OwnWh: sum.Own.Wh() / n, DegreesTurned: sum.DegreesTurned / n,
		Moves: sum.Moves / n, MotorS: sum.MotorS / n, AwakeS: sum.AwakeS / n,
		ShareOfTurning: sum.ShareOfTurning(), ErrorDeg: sum.Error.MeanDeg}
	for i := range o.Days {
		p.net = append(p.net, o.Days[i].NetWh())
	}
	return p, nil
}

// top are the best by net energy, the first (the present settings) aside.
func top(points []Point, count int) []Point {
	rest := slices.Clone(points[1:])
	slices.SortStableFunc(rest, func(a, b Point) int { return cmpDown(a.NetWh, b.NetWh) })
	return rest[:min(count, len(rest))]
}

func cmpDown(a, b float64) int {
	switch {
	case a > b:
		return -1
	case a < b:
		return 1
	}
	return 0
}

func withFirst(first Point, rest []Point) []Point { return append([]Point{first}, rest...) }

// thriftiest is, of the finalists that can't be told from the best of them, the
// one that turns the panel least.
func thriftiest(points []Point, chance *rand.Rand) Point {
	best := slices.MinFunc(points, func(a, b Point) int { return cmpDown(a.NetWh, b.NetWh) })
	chosen := best
	for _, p := range points[1:] {
		if p.DegreesTurned < chosen.DegreesTurned && gainOf(&best, &p, chance).Low <= 0 {
			chosen = p
		}
	}
	return chosen
}

const resamples = 2000

// gainOf is what one setting brings over another on the same days.
func gainOf(p, over *Point, chance *rand.Rand) Gain {
	n := len(p.net)
	base := math.Abs(over.NetWh)
	if n == 0 || base == 0 {
		return Gain{}
	}
	means := make([]float64, resamples)
	total := 0.0
	for d := range n {
		total += p.net[d] - over.net[d]
	}
	for r := range means {
		for range n {
			d := chance.IntN(n)
			means[r] += p.net[d] - over.net[d]
		}
		means[r] /= float64(n) * base
	}
	slices.Sort(means)
	return Gain{Share: total / float64(n) / base, Low: means[resamples/40], High: means[resamples-1-resamples/40]}
}
