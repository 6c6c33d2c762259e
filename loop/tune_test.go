package loop

import (
	"context"
	"errors"
	"math"
	"slices"
	"testing"

	"turnsole/aim"
)

// tuning is a small search on a cloudy year.
func tuning(t testing.TB, policy string) (*Ground, TuneInput) {
	rig := common(t)
	rig.Sail = Sail{}
	g := lay(t, &rig, made(t, 1))
	return g, TuneInput{Input: Input{Rig: rig, Policy: policy, Settings: aim.DefaultSettings(policy, rig.Site(g)), Seed: 9},
		Trials: 40, TrialDays: 8, FreshDays: 16}
}

func tune(t testing.TB, g *Ground, in TuneInput) *TuneOutcome {
	t.Helper()
	out, err := Tune(context.Background(), g, in)
	must(t, err)
	return out
}

// A clock that sleeps through the day is found out.
func TestTuneMendsBadSettings(t *testing.T) {
	g, in := tuning(t, "clock")
	in.Settings.WakeEveryS = 86400
	out := tune(t, g, in)
	if !out.Confirmed || out.Gain.Low <= 0 || out.Gain.Low > out.Gain.Share || out.Gain.Share > out.Gain.High {
		t.Errorf("gain %+v, confirmed %v", out.Gain, out.Confirmed)
	}
	if out.Chosen.Settings.WakeEveryS > 7200 {
		t.Errorf("it chose to sleep %v s", out.Chosen.Settings.WakeEveryS)
	}
	if want := out.Chosen.NetWh/out.Present.NetWh - 1; math.Abs(out.Gain.Share-want) > 1e-9 { // rounding
		t.Errorf("gain %v, the judging days say %v", out.Gain.Share, want)
	}
	for _, s := range out.Sweeps {
		if v := s.Knob.Get(&out.Chosen.Settings); !(s.Low <= v && v <= s.High) || !slices.IsSorted(s.Values) {
			t.Errorf("%s: flat from %v to %v, chosen %v, values %v", s.Knob.Name, s.Low, s.High, v, s.Values)
		}
	}
}

// A knob that does nothing wins by luck only, and is not chosen.
func TestLuckIsNotChosen(t *testing.T) {
	g, in := tuning(t, "clock")
	in.Knobs = []aim.Knob{{Name: "nothing", Low: 0, High: 1,
		Get: func(s *aim.Settings) float64 { return s.LearnRate }, Set: func(s *aim.Settings, x float64) { s.LearnRate = x }}}
	out := tune(t, g, in)
	if out.Confirmed || out.Chosen.Settings != in.Settings {
		t.Errorf("it chose %+v", out.Chosen.Settings)
	}
	if s := out.Sweeps[0]; s.Low != 0 || s.High != 1 {
		t.Errorf("flat from %v to %v, should be everywhere", s.Low, s.High)
	}
}

func TestTuneRepeatsOnAnyNumberOfWorkers(t *testing.T) {
	g, in := tuning(t, "climb")
	in.Trials, in.Knobs = 16, aim.Knobs("climb")[:3]
	in.Workers = 1
	one := tune(t, g, in)
	in.Workers = 3
	three := tune(t, g, in)
	if len(one.Points) != 16 || one.Chosen.Settings != three.Chosen.Settings || one.Gain != three.Gain {
		t.Errorf("%d points; one worker %+v, three %+v", len(one.Points), one.Gain, three.Gain)
	}
	for i := range one.Points {
		if one.Points[i].Settings != three.Points[i].Settings || one.Points[i].NetWh != three.Points[i].NetWh {
			t.Fatalf("point %d differs", i)
		}
	}
}

func TestTuneStops(t *testing.T) {
	g, in := tuning(t, "clock")
	ctx, cancel := context.WithCancel(context.Background())
	in.Workers = 2
	in.Progress = func(string, int, int) { cancel() }
	if _, err := Tune(ctx, g, in); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled, it says %v", err)
	}
}

func TestTuneRefuses(t *testing.T) {
	g, in := tuning(t, "clock")
	for name, change := range map[string]func(*TuneInput){
		"no such policy": func(in *TuneInput) { in.Policy = "wait" },
		"too many days":  func(in *TuneInput) { in.FreshDays = 300 },
		"less than none": func(in *TuneInput) { in.Trials = -1 },
		"no sleep":       func(in *TuneInput) { in.Settings.WakeEveryS = 0 },
	} {
		bad := in
		change(&bad)
		if _, err := Tune(context.Background(), g, bad); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// The days of the three sets share none and are spread over the year.
func TestDaysAreSpread(t *testing.T) {
	g, _ := tuning(t, "clock")
	a, b, c, err := g.spread(3, 30, 60)
	must(t, err)
	all := slices.Concat(a, b, c)
	slices.Sort(all)
	if len(slices.Compact(all)) != 150 {
		t.Error("days were taken twice")
	}
	for k, d := range a {
		if d < k*365/30 || d >= (k+1)*365/30+1 {
			t.Errorf("day %d of 30 is %d", k, d)
		}
	}
}

// 500 settings on 30 days each, as a tuning by default.
func BenchmarkTune(b *testing.B) {
	g, in := tuning(b, "climb")
	in.Trials, in.TrialDays, in.FreshDays = 500, 30, 60
	for b.Loop() {
		tune(b, g, in)
	}
}
