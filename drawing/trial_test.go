package drawing_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/drawing"
	"turnsole/trial"
)

// trialPictures are all pictures of a result.
var trialPictures = map[string]func(r *answer.TrialResult, w, h float64) *chart.Picture{
	"days": drawing.TrialDays, "looks": drawing.TrialLooks, "running": drawing.TrialRunning, "hours": drawing.TrialHours,
}

func eachTrial(t *testing.T, name string, r *answer.TrialResult) {
	t.Helper()
	for kind, draw := range trialPictures {
		eachDay(t, "trial "+kind+" "+name, func(w, h float64) *chart.Picture { return draw(r, w, h) })
	}
}

func about(v, half float64) trial.Interval {
	return trial.Interval{Value: v, Low: v - half, High: v + half}
}

// madeTrial is a result of so many days with gains and clearness by day.
func madeTrial(n int, gain, clear func(i int) float64) *answer.TrialResult {
	r := &answer.TrialResult{Result: &trial.Result{Confidence: 0.95, Days: n, Method: trial.Assisted}}
	var aimed, still float64
	for i := range n {
		g, light := gain(i), 6000*clear(i)
		aimed, still = aimed+light, still+light/(1+g)
		run := aimed/still - 1
		r.Daily = append(r.Daily, trial.DayGain{Day: int64(20600 + i), Gain: about(g, 0.05/(0.1+clear(i))), Clearness: clear(i), AimedWhM2: light, Stops: 40, Running: about(run, 0.1/math.Sqrt(float64(i+1)))})
		for k := range 12 {
			wm2 := 900 * clear(i) * math.Sin(float64(k+1)*math.Pi/13)
			r.Scatter = append(r.Scatter, trial.Pair{AimedWm2: wm2, StillWm2: wm2 / (1 + g*(0.5+float64(k%3)/2))})
		}
	}
	for h := 5; h < 20; h++ {
		wm2 := 700 * math.Sin(float64(h-4)*math.Pi/16)
		r.ByHour[h] = trial.HourLight{AimedWm2: wm2, StillWm2: wm2 / (1 + aimed/still - 1), Hours: float64(n)}
	}
	r.TheseDays = about(aimed/still-1, 0.1/math.Sqrt(float64(n)))
	r.Light = r.TheseDays
	return r
}

func unclear(int) float64   { return math.NaN() }
func byTurns(i int) float64 { return 0.15 + 0.17*float64(i*i%6) }

// madeTrials are results that the pictures must bear.
func madeTrials() map[string]*answer.TrialResult {
	all := map[string]*answer.TrialResult{
		"nothing":        {},
		"no number":      {Result: &trial.Result{Why: "the log is all dark", TheseDays: about(math.NaN(), 0)}},
		"a day":          madeTrial(1, func(int) float64 { return 0.23 }, byTurns),
		"two days":       madeTrial(2, func(i int) float64 { return 0.3 - 0.2*float64(i) }, byTurns),
		"eighty":         madeTrial(14, func(i int) float64 { return 0.8 + 0.1*math.Sin(float64(i)) }, byTurns),
		"losing":         madeTrial(9, func(i int) float64 { return -0.06 + 0.02*math.Sin(float64(i)) }, byTurns),
		"nothing gained": madeTrial(12, func(i int) float64 { return 0.01 * math.Sin(float64(i)) }, byTurns),
		"wild day":       madeTrial(20, func(i int) float64 { return 0.2 + 8*float64(i/19) - 0.9*float64(i%11/10) }, byTurns),
		"a season":       madeTrial(92, func(i int) float64 { return 0.3 * byTurns(i) }, byTurns),
		"no skies":       madeTrial(8, func(i int) float64 { return 0.2 + 0.01*float64(i) }, byTurns),
		"all not":        madeTrial(5, unclear, unclear),
	}
	all["a day"].OneDay = true
	for i := range all["no skies"].Daily {
		all["no skies"].Daily[i].Clearness = math.NaN()
	}
	noRanges := madeTrial(6, func(i int) float64 { return 0.2 }, byTurns)
	for i := range noRanges.Daily {
		d := &noRanges.Daily[i]
		d.Gain.Low, d.Gain.High = math.NaN(), math.Inf(1)
		if i%2 == 0 {
			d.Running.Low = math.NaN()
		}
	}
	noRanges.TheseDays.Low = math.NaN()
	all["no ranges"] = noRanges
	night := madeTrial(4, func(i int) float64 { return 0.4 }, byTurns)
	night.ByHour[9] = trial.HourLight{Hours: 3, AimedWm2: math.NaN()}
	night.ByHour[12] = trial.HourLight{}
	night.ByHour[13] = trial.HourLight{Hours: 2, AimedWm2: -4, StillWm2: 60}
	all["hours missing"] = night
	return all
}

func TestTrials(t *testing.T) {
	eachTrial(t, "real", realTrial(t))
	for name, r := range madeTrials() {
		eachTrial(t, name, r)
	}
}

func TestWhatTrialsSay(t *testing.T) {
	all := madeTrials()
	for _, c := range []struct {
		kind, trial string
		says        []string
	}{
		{"days", "a day", []string{"One day only: ", "of a clear sky), 23.0 % ("}},
		{"days", "two days", []string{"2 days are too few"}},
		{"days", "a season", []string{"The clearer the day, the more turning gained.", ">nothing gained<", "all days "}},
		{"days", "eighty", []string{"How clear the day was tells little", "light of the day, % of a clear sky"}},
		{"days", "wild day", []string{": 820.0 %<"}},
		{"days", "no skies", []string{"Least: ", "Most: "}},
		{"days", "no number", []string{"No single day"}},
		{"looks", "losing", []string{"% less light<", "Over all of them it had none more."}},
		{"looks", "eighty", []string{"In 168 of 168 pairs", "% more light<", ">equal light<"}},
		{"looks", "nothing", []string{"no pairs of looks"}},
		{"running", "losing", []string{"lies below nothing gained", "answer −5."}},
		{"running", "nothing gained", []string{"is not shown"}},
		{"running", "a day", []string{"One day tells 23.0 % give or take 10.0"}},
		{"running", "eighty", []string{"lies above nothing gained", "95 % range"}},
		{"hours", "eighty", []string{"before 10", ">turned<", ">still<", "W/m² on average"}},
		{"hours", "losing", []string{"In no hour did the aim have more."}},
		{"hours", "no number", []string{"cannot be told hour by hour"}},
	} {
		// The folded lines of a text, put together again.
		got := strings.NewReplacer("</text>\n", " ").Replace(words(t, trialPictures[c.kind](all[c.trial], 180, 120)))
		svg := words(t, trialPictures[c.kind](all[c.trial], 180, 120))
		for _, want := range c.says {
			if !strings.Contains(got, want) && !strings.Contains(svg, want) {
				t.Errorf("%s, %s: nowhere %q", c.kind, c.trial, want)
			}
		}
	}
}

var inventedPlan = sync.OnceValues(func() (*answer.TrialPlan, error) {
	v, err := inventTrial()
	if err != nil {
		return nil, err
	}
	var days []int
	for day := 152; day < 182; day += 10 {
		days = append(days, day)
	}
	p, err := trial.MakePlan(context.Background(), &v.trial, v.light, days, trial.PlanQuestion{Measure: trial.ByPower, Sensor: v.rig.Sensor, Trials: 20, Clouds: 1})
	return &answer.TrialPlan{Plan: p}, err
})

func TestTrialDesigns(t *testing.T) {
	real, err := inventedPlan()
	if err != nil {
		t.Fatal(err)
	}
	few := &answer.TrialPlan{Plan: &trial.Plan{Days: 14, Designs: []trial.Design{{Name: "paired looks", Halfwidth: 0.01, Error: 0.005, CostWhPerDay: 0.6, DaysNeeded: 4},
		{Name: "blocks", Needs: "patience", Halfwidth: 0.3, Error: 0.2, CostWhPerDay: 20, DaysNeeded: -1}}}}
	odd := &answer.TrialPlan{Plan: &trial.Plan{Days: 1, Chosen: 7, Designs: []trial.Design{{Name: "one", Halfwidth: math.NaN(), CostWhPerDay: math.Inf(1)}, {Name: "", Halfwidth: -3, CostWhPerDay: -2}, {Name: strings.Repeat("long ", 30), Halfwidth: 1e9}}}}
	for name, p := range map[string]*answer.TrialPlan{"real": real, "few": few, "odd": odd, "none": {Plan: &trial.Plan{}}, "nothing": {}} {
		eachDay(t, "designs "+name, func(w, h float64) *chart.Picture { return drawing.TrialDesigns(p, w, h) })
	}
	got := words(t, drawing.TrialDesigns(few, 180, 110))
	for _, want := range []string{"Advised: paired looks. After 14 days its answer is good to 1.0 points of gain, for 0.6 Wh a day.", ">needs patience<", ">±1.0; 4 days<", ">±30.0; too long<", "Blocks: 30.0 points, 30 times as wide."} {
		if !strings.Contains(got, want) {
			t.Errorf("nowhere %q", want)
		}
	}
}

func TestAnyTrialResult(t *testing.T) {
	figure := rapid.OneOf(rapid.Float64Range(-2, 9), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), -1e300, 1e11, 0, 1e-9, 5e-324, -1}))
	wm2 := rapid.OneOf(rapid.Float64Range(-50, 1400), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), 1e300, 1e11, 5e-324}))
	rapid.Check(t, func(t *rapid.T) {
		interval := func(name string) trial.Interval {
			return trial.Interval{Value: figure.Draw(t, name), Low: figure.Draw(t, name+" low"), High: figure.Draw(t, name+" high")}
		}
		r := &answer.TrialResult{Result: &trial.Result{Confidence: figure.Draw(t, "confidence"), TheseDays: interval("gain"), Light: interval("light")}}
		r.Days = rapid.IntRange(0, 40).Draw(t, "days")
		for range r.Days {
			r.Daily = append(r.Daily, trial.DayGain{Day: rapid.Int64Range(-1e5, 1e6).Draw(t, "day"), Gain: interval("a day's"), Running: interval("running"), Clearness: figure.Draw(t, "clear"), AimedWhM2: wm2.Draw(t, "day's light")})
			r.Scatter = append(r.Scatter, trial.Pair{AimedWm2: wm2.Draw(t, "aimed"), StillWm2: wm2.Draw(t, "still")})
			r.ByHour[rapid.IntRange(0, 23).Draw(t, "hour")] = trial.HourLight{AimedWm2: wm2.Draw(t, "aimed"), StillWm2: wm2.Draw(t, "still"), Hours: figure.Draw(t, "hours")}
		}
		p := &answer.TrialPlan{Plan: &trial.Plan{Days: r.Days, Chosen: rapid.IntRange(-1, 5).Draw(t, "chosen")}, Halfwidth: figure.Draw(t, "wanted")}
		for i := range rapid.IntRange(0, 7).Draw(t, "designs") {
			p.Designs = append(p.Designs, trial.Design{Name: fmt.Sprintf("way %d of measuring it", i), Halfwidth: figure.Draw(t, "half"), Error: figure.Draw(t, "error"), CostWhPerDay: figure.Draw(t, "cost"), DaysNeeded: rapid.IntRange(-1, 120).Draw(t, "needed")})
		}
		w, h := rapid.Float64Range(80, 300).Draw(t, "width"), rapid.Float64Range(50, 300).Draw(t, "height")
		pictures := map[string]*chart.Picture{"designs": drawing.TrialDesigns(p, w, h)}
		for name, draw := range trialPictures {
			pictures[name] = draw(r, w, h)
		}
		for name, p := range pictures {
			if p.Err() != nil {
				t.Fatal(fmt.Errorf("%s: %w", name, p.Err()))
			}
			whole(t, p)
		}
	})
}
