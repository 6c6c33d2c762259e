package trial

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"turnsole/sensor"
)

// planned makes a plan for the first ten days of June.
func planned(t *testing.T, q PlanQuestion) *Plan {
	t.Helper()
	rig, ground := closedRig(t)
	days := []int{151, 152, 153, 154, 155, 156, 157, 158, 159, 160}
	own := &Rig{Season: rig.Season, Still: 180, SleepS: 900, HeadingWithin: HomedWithin}
	q.Sensor = sensor.Current{RangeA: 10, VPerA: 0.2, ZeroV: 2.5, NoiseA: 0.02, Bits: 10, ReferenceV: 5, Reads: 100}
	q.Trials = 40
	p, err := MakePlan(context.Background(), own, ground, days, q)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestAPlanKnowsWhatItsDesignsAreGoodFor(t *testing.T) {
	short := planned(t, PlanQuestion{Days: 4, Seed: 1, Measure: ByCurrent})
	long := planned(t, PlanQuestion{Days: 28, Seed: 1, Measure: ByCurrent, Halfwidth: 0.02})
	if len(short.Designs) != 7 || len(long.Designs) != len(short.Designs) {
		t.Fatalf("%d and %d designs", len(short.Designs), len(long.Designs))
	}
	for i := range short.Designs {
		s, l := &short.Designs[i], &long.Designs[i]
		// Seven times the days: an interval narrower by root 7 = 2.6 but for what
		// does not shrink (headings, alignment, the sky model).
		if s.Method != LookingBack && s.Method != Beside && !(l.Halfwidth < 0.7*s.Halfwidth) {
			t.Errorf("%s: %.4f after 4 days, %.4f after 28", s.Name, s.Halfwidth, l.Halfwidth)
		}
		if s.CostWhPerDay < 0 || s.DegreesPerDay < 0 {
			t.Errorf("%s costs %g Wh and %g degrees", s.Name, s.CostWhPerDay, s.DegreesPerDay)
		}
		if l.DaysNeeded == 0 || l.DaysNeeded > 0 && l.DaysNeeded < 28 && l.Halfwidth > 0.02*1.1 {
			t.Errorf("%s: %d days for 2 points, and %.4f after 28", l.Name, l.DaysNeeded, l.Halfwidth)
		}
	}
	if c := short.Designs[short.Chosen]; c.Needs != "" || c.Method == LookingBack {
		t.Errorf("it recommends %q, which needs %q", c.Name, c.Needs)
	}
	// A record between the same looks can only help, and blocks see the two
	// headings half an hour apart.
	if !(short.Designs[0].Halfwidth < short.Designs[2].Halfwidth && short.Designs[0].Halfwidth < short.Designs[5].Halfwidth) {
		t.Errorf("carried %.4f, plain %.4f, blocks %.4f", short.Designs[0].Halfwidth, short.Designs[2].Halfwidth, short.Designs[5].Halfwidth)
	}
}

func TestTheSameSeedPlansTheSame(t *testing.T) {
	a, b := planned(t, PlanQuestion{Days: 5, Seed: 3}), planned(t, PlanQuestion{Days: 5, Seed: 3})
	for i := range a.Designs {
		if x, y := a.Designs[i], b.Designs[i]; x != y && !(math.IsNaN(x.Halfwidth) && math.IsNaN(y.Halfwidth)) {
			t.Errorf("%+v\n%+v", x, y)
		}
	}
}

func TestAPlanRefusesWhatCannotBe(t *testing.T) {
	rig, ground := closedRig(t)
	own := &Rig{Season: rig.Season, Still: 180, SleepS: 900}
	for _, c := range []struct {
		q    PlanQuestion
		days []int
		says string
	}{
		{PlanQuestion{Days: 1}, []int{1, 2, 3}, "2 to 120"},
		{PlanQuestion{Halfwidth: 2}, []int{1, 2, 3}, "such as 2%"},
		{PlanQuestion{EveryS: 5}, []int{1, 2, 3}, "60 to 86400"},
		{PlanQuestion{}, nil, "not two days"},
		{PlanQuestion{Confidence: 0.2}, []int{1, 2, 3}, "0.5 to 1"},
	} {
		if _, err := MakePlan(context.Background(), own, ground, c.days, c.q); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: %v, want %q", c.q, err, c.says)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := MakePlan(ctx, own, ground, []int{150, 151, 152}, PlanQuestion{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}
