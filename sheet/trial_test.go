package sheet

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"turnsole/answer"
	"turnsole/trial"
)

// madePlan is a plan of so many days; nobody reckoned it.
func madePlan(days, needed int) *answer.TrialPlan {
	p := &answer.TrialPlan{Plan: &trial.Plan{Days: days, Designs: []trial.Design{{Name: "paired looks", Days: days, DaysNeeded: needed}}}, Rig: "a made rig", Spot: "nowhere",
		Weather: "1 year made by chance", From: answer.MonthDay{Month: 6, Day: 1}, To: answer.MonthDay{Month: 6, Day: 30}, Seed: 4,
		Verdict: "Take paired looks: after some days the gain will be known to within 3.1 points, at 16 Wh a day."}
	for i := range 7 {
		p.Protocol = append(p.Protocol, strings.Repeat(fmt.Sprintf("What step %d asks for. ", i+1), 3+3*(i%3)))
	}
	p.Cautions = []string{strings.Repeat("What makes the plan doubtful. ", 5)}
	return p
}

func TestTrialCards(t *testing.T) {
	for _, o := range papers() {
		for _, c := range []struct{ days, needed, pages int }{{2, 0, 1}, {8, 0, 1}, {14, 0, 1}, {14, 16, 1}, {14, -1, 1}, {14, 35, 2}, {120, 0, 2}} {
			d := New(o)
			d.Trial(madePlan(c.days, c.needed))
			sound(t, d)
			if len(d.pages) != c.pages {
				t.Errorf("paper %d, %d days, %d needed: %d pages, want %d", o.Paper, c.days, c.needed, len(d.pages), c.pages)
			}
			again := New(o)
			again.Trial(madePlan(c.days, c.needed))
			if !bytes.Equal(bytesOf(t, d), bytesOf(t, again)) {
				t.Error("the same plan gave other bytes the second time")
			}
		}
	}
	d := New(papers()[0])
	d.Trial(&answer.TrialPlan{Plan: &trial.Plan{}})
	d.Trial(&answer.TrialPlan{})
	sound(t, d)
}

func within(v, half float64) trial.Interval {
	return trial.Interval{Value: v, Low: v - half, High: v + half}
}

// madeResult is a result of so many days; nobody measured it.
func madeResult(days int) *answer.TrialResult {
	r := &answer.TrialResult{Result: &trial.Result{Setup: "b", Setups: []string{"a", "b"}, Measure: trial.ByPower, Method: trial.Assisted, Confidence: 0.95, Days: days, Stops: 40 * days, Pairs: 80 * days,
		Hours: 11 * float64(days), TheseDays: within(0.213, 0.011), Light: within(0.2, 0.011), Energy: within(0.213, 0.011), Season: within(0.213, 0.05), Seed: 9},
		Rig: "a made rig", Spot: "nowhere", Log: "made.csv", Weather: "200 years made by chance", Tilt: 40, Still: 180,
		Sentences: []string{"These days: turning brought +21.3 %.", "The season: +21.3 %.", "The year: +24.1 %."}, PromiseWords: strings.Repeat("What was promised without the trial. ", 8)}
	r.Year.Interval = within(0.241, 0.03)
	for i := range days {
		run := within(0.213, 0.1/math.Sqrt(float64(i+1)))
		r.Daily = append(r.Daily, trial.DayGain{Day: int64(20600 + i), Gain: within(0.1+0.02*float64(i%10), 0.05), Clearness: 0.1 + 0.08*float64(i%10), AimedWhM2: 500 * float64(i%10), Running: run})
		for k := range 20 {
			r.Scatter = append(r.Scatter, trial.Pair{AimedWm2: 45 * float64(k), StillWm2: 37 * float64(k)})
		}
	}
	for h := 6; h < 19; h++ {
		r.ByHour[h] = trial.HourLight{AimedWm2: 300, StillWm2: 250, Hours: float64(days)}
	}
	r.Left = []trial.Left{{Why: "pairs by night", Count: 12}, {Why: "looks without their other half", Count: 3}}
	r.Notes = []string{"By night the sensor shows 0.02 A; that is taken off, night by night."}
	r.Cautions = []string{strings.Repeat("What makes it doubtful. ", 6), strings.Repeat("And this, too. ", 8)}
	return r
}

// madeResults are results that the page must bear.
func madeResults() map[string]*answer.TrialResult {
	all := map[string]*answer.TrialResult{"a fortnight": madeResult(14), "a day": madeResult(1), "four weeks": madeResult(28), "quiet": madeResult(14), "dark": madeResult(0)}
	all["a day"].OneDay, all["a day"].YearWhy = true, "one day says nothing of a year"
	all["quiet"].Cautions, all["quiet"].Left, all["quiet"].Notes, all["quiet"].PromiseWords = nil, nil, nil, ""
	dark := all["dark"]
	dark.Why, dark.TheseDays, dark.Scatter = "all of the log is dark: nothing to compare", within(math.NaN(), 0), nil
	dark.Sentences = []string{"No gain can be told: all of the log is dark: nothing to compare."}
	short := madeResult(4)
	short.Season, short.TheseDays = within(math.NaN(), 0), within(-0.031, math.Inf(1))
	short.Year.Interval, short.YearWhy = within(math.NaN(), 0), "the still panel gives too little in a year to divide by"
	all["short"] = short
	return all
}

func TestTrialResults(t *testing.T) {
	for _, o := range papers() {
		for name, r := range madeResults() {
			d := New(o)
			d.Result(r)
			sound(t, d)
			if len(d.pages) != 1 {
				t.Errorf("%s, paper %d: %d pages", name, o.Paper, len(d.pages))
			}
			again := New(o)
			again.Result(r)
			if !bytes.Equal(bytesOf(t, d), bytesOf(t, again)) {
				t.Errorf("%s: other bytes the second time", name)
			}
		}
	}
	long := madeResult(14)
	for range 30 {
		long.Cautions = append(long.Cautions, strings.Repeat("There is no end of doubts. ", 10))
	}
	d := New(papers()[0])
	d.Result(long)
	sound(t, d)
	if len(d.pages) < 2 {
		t.Error("more than a page can hold is on one")
	}
	nothing := New(Options{})
	nothing.Result(&answer.TrialResult{})
	if err := nothing.Write(&bytes.Buffer{}); err == nil {
		t.Error("a result of nothing was printed")
	}
}

func TestTrialSheetsSayTheirFigures(t *testing.T) {
	d := New(papers()[0])
	d.Trial(madePlan(14, 16))
	all := madeResults()
	for _, name := range []string{"a fortnight", "short", "dark"} {
		d.Result(all[name])
	}
	text := read(t, d)
	for _, want := range []string{"Never look at the sun", "A battery melts", "clear of gears and belt", "cleaned", "moved", "notch", "storm", "The whole log as it is", "What step 7 asks for.",
		"+21.3 %", "(+20.2 to +22.4 %)", "+24.1 %", "27 May 2026", "12 pairs by night", "seed 9", "−3.1 %", "within what, cannot be told", "Too few days", "No gain is given", "all of the log is dark", "still at 180°; tilt 40.0° from flat", "made.csv, set-up b of 2"} {
		if !strings.Contains(text, want) {
			t.Errorf("nowhere %q", want)
		}
	}
}
