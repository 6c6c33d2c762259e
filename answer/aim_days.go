package answer

import (
	"context"
	"runtime"
	"slices"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"turnsole/aim"
	"turnsole/loop"
)

// sampleDays is how many days advice is tried on.
const sampleDays = 48

// sample spreads at most so many days over those that count.
func (c *closedLoop) sample(count int) (days []int) {
	for i := range min(count, len(c.days)) {
		days = append(days, c.days[(2*i+1)*len(c.days)/(2*min(count, len(c.days)))])
	}
	return days
}

// picture is a kind of day and how much of it a day has; the day that has most,
// and at least so much, is shown.
type picture struct {
	kind  string
	of    func(s *loop.Sum) float64
	least float64
}

// pictures runs the days worth looking at once more, minute by minute.
func (c *closedLoop) pictures(ctx context.Context, a *Aim, own aim.Settings, out *loop.Outcome) error {
	brightest := 0.0
	for i := range out.Days {
		brightest = max(brightest, out.Days[i].TurningLightWhM2)
	}
	shown := map[int]bool{}
	for _, p := range []picture{
		{"clear", func(s *loop.Sum) float64 { return s.TurningLightWhM2 }, 1},
		{"broken", func(s *loop.Sum) float64 {
			if share := s.TurningLightWhM2 / max(brightest, 1); share < 0.3 || share > 0.75 {
				return 0
			}
			return s.TurningLightWhM2 - s.StillLightWhM2 + s.HuntS/100
		}, 1},
		{"nearly full battery", func(s *loop.Sum) float64 { return s.Battery.FullLossWh }, 5},
		{"too cold to charge", func(s *loop.Sum) float64 { return s.Battery.ColdLossWh }, 1},
		{"blown round", func(s *loop.Sum) float64 { return s.BlownDeg }, 10},
		{"lost steps", func(s *loop.Sum) float64 { return s.LostDeg }, 5},
		{"dull", func(s *loop.Sum) float64 { return brightest - s.TurningLightWhM2 }, 1},
	} {
		best := -1
		for i := range out.Days {
			if !shown[i] && p.of(&out.Days[i]) >= p.least && (best < 0 || p.of(&out.Days[i]) > p.of(&out.Days[best])) {
				best = i
			}
		}
		if best < 0 {
			continue
		}
		shown[best] = true
		day, err := c.picture(ctx, p.kind, best, own)
		if err != nil {
			return err
		}
		a.Pictures = append(a.Pictures, day)
	}
	return nil
}

// picture runs a day, and the days before it so that it begins as it did.
func (c *closedLoop) picture(ctx context.Context, kind string, at int, own aim.Settings) (AimDay, error) {
	day := c.days[at]
	in, _ := c.input(c.policy, own, c.days[max(0, at-2):at+1])
	shown := AimDay{Kind: kind, Trace: loop.Trace{Day: day}}
	in.Trace = &shown.Trace
	out, err := c.run(ctx, in)
	if err != nil {
		return shown, err
	}
	date := c.ground.Calendar().Date(day)
	shown.Date = MonthDay{Month: int(date.Month()), Day: date.Day()}
	shown.Sum = out.Days[len(out.Days)-1]
	return shown, nil
}

// sleepsTried are the sleeps that are compared, s.
var sleepsTried = []float64{60, 120, 300, 600, 900, 1200, 1800, 2700, 3600, 5400, 7200}

// sleeps finds what sleeping longer costs.
func (c *closedLoop) sleeps(ctx context.Context, a *Aim, own aim.Settings) error {
	a.Sleeps = make([]SleepCost, len(sleepsTried))
	days := make([][]loop.Sum, len(sleepsTried))
	err := c.each(ctx, "trying sleeps", len(sleepsTried), func(ctx context.Context, i int) error {
		s := own
		s.WakeEveryS = sleepsTried[i]
		run, out, err := c.try(ctx, c.policy, func(in *loop.Input) { in.Settings = s })
		if err == nil {
			a.Sleeps[i], days[i] = SleepCost{WakeEveryS: s.WakeEveryS, NetWh: run.NetWh, Light: run.Perfect}, out.Days
		}
		return err
	})
	if err == nil {
		a.settleSleeps(days)
	}
	return err
}

// startSample runs all policies on the days that advice is tried on, as they are
// in the tables.
func (c *closedLoop) startSample(ctx context.Context) error {
	c.sampled = c.sample(sampleDays)
	names := aim.Policies()
	c.own = make([]AimRun, len(names))
	if len(c.sampled) == len(c.days) {
		copy(c.own, c.table)
		return nil
	}
	return c.each(ctx, "days to try advice on", len(names), func(ctx context.Context, i int) error {
		in, asIf := c.input(names[i], c.settingsOf(names[i]), c.sampled)
		out, err := c.run(ctx, in)
		if err == nil {
			c.own[i] = runOf(names[i], asIf, out)
		}
		return err
	})
}

// try runs a policy with something changed on the days for advice. What the
// change brings there is laid on what the tables have for all days (difference
// estimator: W. G. Cochran, Sampling Techniques, 3rd ed. 1977, 7.2).
func (c *closedLoop) try(ctx context.Context, policy string, change func(*loop.Input)) (AimRun, *loop.Outcome, error) {
	in, asIf := c.input(policy, c.settingsOf(policy), c.sampled)
	change(&in)
	out, err := c.run(ctx, in)
	if err != nil {
		return AimRun{}, nil, err
	}
	run := runOf(policy, asIf, out)
	i := slices.Index(aim.Policies(), policy)
	run.Perfect += c.table[i].Perfect - c.own[i].Perfect
	run.NetWh += c.table[i].NetWh - c.own[i].NetWh
	return run, out, nil
}

// each does something count times, on all cores.
func (c *closedLoop) each(ctx context.Context, stage string, count int, do func(ctx context.Context, i int) error) error {
	var done atomic.Int32
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i := range count {
		group.Go(func() error {
			err := do(ctx, i)
			c.q.Progress(stage, int(done.Add(1)), count)
			return err
		})
	}
	return group.Wait()
}

// AimTune is what a search for better settings found.
type AimTune struct {
	Trials, TrialDays, FreshDays int
	Present, Chosen, Best        AimTried
	Confirmed                    bool // Chosen is better than the present settings on days that had no part in the choice
	Gain                         loop.Gain
	Points                       []AimTried
	Sweeps                       []AimSweep
}

// AimTried is one setting that was tried, with what it brings a day.
type AimTried struct {
	Settings                           []AimSetting // those that the search turned
	NetWh, OwnWh, DegreesTurned, Moves float64
	Perfect                            float64 // light against exact turning's
}

// AimSweep is one setting turned, all others as chosen.
type AimSweep struct {
	Name, Unit        string
	Log               bool
	Values            []float64
	NetWh, Degrees    []float64 // a day
	Chosen, Low, High float64   // from Low to High it does not matter: within half a per cent
}

// tune searches for better settings.
func (c *closedLoop) tune(ctx context.Context, a *Aim, own aim.Settings) error {
	in, _ := c.input(c.policy, own, nil)
	knobs := aim.Knobs(c.policy)
	q := loop.TuneInput{Input: in, Knobs: knobs, Trials: c.q.Trials, TrialDays: 30, FreshDays: 60, Progress: c.q.Progress}
	out, err := loop.Tune(ctx, c.ground, q)
	if err != nil {
		if ctx.Err() == nil {
			err = &BadInput{err}
		}
		return err
	}
	tried := func(p *loop.Point) AimTried {
		t := AimTried{NetWh: p.NetWh, OwnWh: p.OwnWh, DegreesTurned: p.DegreesTurned, Moves: p.Moves, Perfect: p.ShareOfTurning}
		for _, k := range knobs {
			t.Settings = append(t.Settings, AimSetting{Name: k.Name, Unit: k.Unit, Value: k.Get(&p.Settings)})
		}
		return t
	}
	t := &AimTune{Trials: len(out.Points), TrialDays: 30, FreshDays: 60, Present: tried(&out.Present), Chosen: tried(&out.Chosen), Best: tried(&out.Best), Confirmed: out.Confirmed, Gain: out.Gain}
	for i := range out.Points {
		t.Points = append(t.Points, tried(&out.Points[i]))
	}
	for _, s := range out.Sweeps {
		t.Sweeps = append(t.Sweeps, AimSweep{s.Knob.Name, s.Knob.Unit, s.Knob.Log, s.Values, s.NetWh, s.Degrees, s.Knob.Get(&out.Chosen.Settings), s.Low, s.High})
	}
	a.Tuned = t
	return nil
}

// Setting returns a setting by its name, or nil.
func (a *Aim) Setting(name string) *AimSetting {
	i := slices.IndexFunc(a.Settings, func(s AimSetting) bool { return s.Name == name })
	if i < 0 {
		return nil
	}
	return &a.Settings[i]
}
