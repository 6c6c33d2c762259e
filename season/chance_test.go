package season_test

import (
	"context"
	"errors"
	"math"
	"reflect"
	"runtime"
	"testing"

	"turnsole/battery"
	"turnsole/season"
	"turnsole/weather"
)

// questions are one about recorded years and one about made ones, both small
// enough to be asked often.
func questions(t *testing.T) map[string]season.Input {
	spot := spotAt(50, 0)
	rig := rigAt(t, spot)
	rig.Battery.Battery = battery.New(lifepo4(t), 300)
	rig.Loads = []battery.Load{{Name: "lamp", PowerW: 5, FromHour: 18, ToHour: 6}}
	rig.Board.AwakeW, rig.Board.AwakeS = 1, 30
	short := row(spot, season.MonthDay{Month: 4, Day: 1}, 24)
	years := []*weather.Year{sky(t, spot, short, changing), sky(t, spot, short, clearAir)}
	fortnight := season.Window{From: season.MonthDay{Month: 12, Day: 25}, To: season.MonthDay{Month: 1, Day: 7}}
	return map[string]season.Input{
		"recorded": {Rig: rig, Years: years, Ways: season.Ideal(), Runs: 5, BlockMin: 2, BlockMax: 5, Seed: 11},
		"made": {Rig: rig, Maker: maker(t, spot), Window: fortnight, Runs: 2, Seed: 11,
			Ways: []string{season.TwoPanels, season.Notches, season.ByHand2, season.TurningNotches}},
	}
}

func TestSameSeedSameAnswerOnAnyCores(t *testing.T) {
	for name, in := range questions(t) {
		t.Run(name, func(t *testing.T) {
			before := runtime.GOMAXPROCS(1)
			one := run(t, in)
			runtime.GOMAXPROCS(3)
			three := run(t, in)
			runtime.GOMAXPROCS(before)
			if !reflect.DeepEqual(one, three) {
				t.Error("one core and three do not agree to the last bit")
			}
			in.Seed++
			other := run(t, in)
			for i, r := range one.Rows {
				if len(r.Runs) != in.Runs {
					t.Errorf("%s: %d runs, want %d", r.Way, len(r.Runs), in.Runs)
				}
				if reflect.DeepEqual(r.Runs, other.Rows[i].Runs) {
					t.Errorf("%s: another seed brought the same weather", r.Way)
				}
			}
			if !sameWeather(one) {
				t.Error("ways did not live through the same weather in each run")
			}
		})
	}
}

// sameWeather reports whether two panels saw the light of one, run by run.
func sameWeather(o *season.Outcome) bool {
	one, two := o.Row(season.Still), o.Row(season.TwoPanels)
	for i, months := range one.Runs {
		for m, s := range months {
			if two.Runs[i][m].LightKWhM2 != s.LightKWhM2 || two.Runs[i][m].Days != s.Days {
				return false
			}
		}
	}
	return true
}

func TestCancelled(t *testing.T) {
	for name, in := range questions(t) {
		ctx, cancel := context.WithCancel(context.Background())
		cancel()
		if _, err := season.Run(ctx, in); !errors.Is(err, context.Canceled) {
			t.Errorf("%s, cancelled before: %v", name, err)
		}
		// And while it runs: at the first word of progress there is a second
		// half to be left undone.
		ctx, cancel = context.WithCancel(context.Background())
		in.Progress = func(string, int, int) { cancel() }
		if _, err := season.Run(ctx, in); !errors.Is(err, context.Canceled) {
			t.Errorf("%s, cancelled in the middle: %v", name, err)
		}
		cancel()
	}
}

// Each stage tells how far it is, never less than before, to the last.
func TestProgressRisesToTheEnd(t *testing.T) {
	for name, in := range questions(t) {
		told, totals := map[string]int{}, map[string]int{}
		in.Progress = func(stage string, done, total int) { // one at a time: no lock is needed
			if before, known := told[stage]; known && done <= before || done > total {
				t.Errorf("%s, %s: %d of %d after %d", name, stage, done, total, before)
			}
			told[stage], totals[stage] = done, total
		}
		run(t, in)
		if len(told) < 2 {
			t.Errorf("%s: %d stages", name, len(told))
		}
		for stage, done := range told {
			if done != totals[stage] {
				t.Errorf("%s, %s: ended at %d of %d", name, stage, done, totals[stage])
			}
		}
	}
}

// spread is the mean and the standard deviation of what the panel gives in each
// run of a row.
func spread(r *season.Row) (mean, deviation float64) {
	totals := r.RunTotals()
	for _, s := range totals {
		mean += s.PanelWh / float64(len(totals))
	}
	for _, s := range totals {
		deviation += (s.PanelWh - mean) * (s.PanelWh - mean) / float64(len(totals))
	}
	return mean, math.Sqrt(deviation)
}

// Years put together from blocks of one year bring on the mean what that year
// brought, and stray from it as years do.
func TestResampledYearsKeepTheMean(t *testing.T) {
	spot := spotAt(50, 0)
	year := sky(t, spot, wholeYear(spot), changing)
	out := run(t, season.Input{Rig: rigAt(t, spot), Years: []*weather.Year{year}, Ways: []string{season.Turning}, Runs: 200, BlockMin: 5, BlockMax: 15, Seed: 5})
	for _, r := range out.Rows {
		mean, deviation := spread(&r)
		// 0.3 %: blocks from 15 days earlier or later smooth the course of the
		// year, which moves none of its sum; the mean of 200 years strays by a
		// fourteenth of one's deviation, here 0.06 %. It comes out 0.04 % low.
		if !near(mean, r.Total.PanelWh, 0.003) {
			t.Errorf("%s: mean of the runs %v Wh, the year %v", r.Way, mean, r.Total.PanelWh)
		}
		// This sky changes in a few days and strays by 0.8 to 0.9 %.
		if deviation < 0.003*mean || deviation > 0.03*mean {
			t.Errorf("%s: runs stray by %.2f %%", r.Way, 100*deviation/mean)
		}
	}
}

// A made outcome is the mean of its runs.
func TestMadeTotalIsTheMeanOfTheRuns(t *testing.T) {
	in := questions(t)["made"]
	for _, r := range run(t, in).Rows {
		mean, _ := spread(&r)
		if !near(mean, r.Total.PanelWh, 1e-9) { // rounding only
			t.Errorf("%s: runs' mean %v, total %v", r.Way, mean, r.Total.PanelWh)
		}
		for i, s := range r.RunTotals() {
			kept(t, r.Way, s, &in.Rig.Battery)
			if sum := r.RunMonths(0)[i].Days + r.RunMonths(11)[i].Days; sum != 14 || s.Days != 14 {
				t.Errorf("%s, run %d: %v of %v days in January and December", r.Way, i, sum, s.Days)
			}
		}
	}
}
