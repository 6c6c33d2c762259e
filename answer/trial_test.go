package answer

import (
	"math"
	"strings"
	"testing"
	"time"

	"turnsole/rigfile"
	"turnsole/season"
	"turnsole/trial"
	"turnsole/weather"
)

func TestMonthsBetween(t *testing.T) {
	at := func(y, m, d int) float64 {
		return float64(time.Date(y, time.Month(m), d, 12, 0, 0, 0, time.UTC).Unix())
	}
	for _, c := range []struct {
		from, to float64
		want     []int
	}{
		{at(2026, 6, 3), at(2026, 6, 17), []int{6}},
		{at(2026, 1, 31), at(2026, 3, 1), []int{1, 2, 3}}, // a month begins by its first day, not a month after the 31st
		{at(2025, 12, 20), at(2026, 1, 3), []int{12, 1}},
		{at(2024, 1, 1), at(2026, 1, 1), []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}},
	} {
		var want [12]bool
		for _, m := range c.want {
			want[m-1] = true
		}
		if got := monthsBetween(c.from, c.to, time.UTC); got != want {
			t.Errorf("%v, want %v", got, want)
		}
	}
}

// The air is that of the hours with light, in the months asked for.
func TestDaylightAir(t *testing.T) {
	midnight := time.Date(2025, 6, 30, 0, 0, 0, 0, time.UTC).Unix()
	y := &weather.Year{Calendar: weather.Calendar{StepS: 3600, Midnight: []int64{midnight, midnight + 86400}}}
	for h := range 48 {
		light, warm := float32(0), float32(-5)
		if h%24 == 12 {
			light, warm = 100, float32(20+h) // 32 in June, 56 in July
		}
		if h%24 == 13 {
			light, warm = 300, float32(20+h)
		}
		y.GHI, y.AirC, y.WindMS = append(y.GHI, light), append(y.AirC, warm), append(y.WindMS, light/100)
	}
	for _, c := range []struct {
		month        time.Month
		airC, windMS float64
	}{
		{time.June, (32 + 3*33) / 4.0, (1 + 3*3) / 4.0},
		{time.July, (56 + 3*57) / 4.0, (1 + 3*3) / 4.0},
		{time.March, (32 + 3*33 + 56 + 3*57) / 8.0, (1 + 3*3) / 4.0}, // not there: all there is
	} {
		airC, windMS := daylightAir(y, func(m time.Month) bool { return m == c.month })
		if math.Abs(airC-c.airC) > 1e-9 || math.Abs(windMS-c.windMS) > 1e-9 { // rounding
			t.Errorf("%v: %v C, %v m/s; want %v, %v", c.month, airC, windMS, c.airC, c.windMS)
		}
	}
}

// A promise is the typical year's gain and the range of single years; where
// there is nothing to divide by there is none.
func TestPromise(t *testing.T) {
	year := func(wh float64) season.Sum { return season.Sum{PanelWh: wh, Days: 365} }
	var ways, bases []season.Sum
	for k := range 101 {
		ways, bases = append(ways, year(12000+10*float64(k))), append(bases, year(10000))
	}
	p := promiseOf(year(12500), year(10000), ways, bases, 0.8)
	// By hand: the tenth and the ninetieth of 101 gains from 20 to 30 %.
	if math.Abs(p.Gain-0.25) > 1e-12 || math.Abs(p.Low-0.21) > 1e-12 || math.Abs(p.High-0.29) > 1e-12 { // rounding
		t.Errorf("%+v", p)
	}
	if p := promiseOf(year(10), year(5), ways, bases, 0.8); !math.IsNaN(p.Gain) {
		t.Errorf("promised of nothing: %+v", p)
	}
}

func result(method string, i trial.Interval, days int) *TrialResult {
	nan := math.NaN()
	none := trial.Interval{Value: nan, Low: nan, High: nan}
	return &TrialResult{Result: &trial.Result{Method: method, Measure: trial.ByLight, Confidence: 0.95, TheseDays: i, Light: i, Season: none, Modelled: nan, Days: days, Hours: 40, Pairs: 90},
		Still: 180, OneDay: days == 1, Year: trial.Year{Interval: none}, YearWhy: "it is not asked for"}
}

// What is said follows from the interval, and which answer it is comes first.
func TestTheseDaysInWords(t *testing.T) {
	for _, c := range []struct {
		r    *TrialResult
		want string
	}{
		{result(trial.Assisted, trial.Interval{Value: 0.2, Low: 0.15, High: 0.25}, 7), "These days: turning brought +20.0 % (+15.0 to +25.0 %) in light over keeping still at 180°, in 7 days, 40 hours of light, 90 pairs of looks."},
		{result(trial.Assisted, trial.Interval{Value: 0.01, Low: -0.02, High: 0.04}, 7), "These days: nothing was gained that the looks could see: +1.0 %"},
		{result(trial.Assisted, trial.Interval{Value: -0.05, Low: -0.08, High: -0.02}, 7), "These days: turning lost: -5.0 %"},
		{result(trial.Assisted, trial.Interval{Value: 0.2, Low: math.Inf(-1), High: math.Inf(1)}, 7), "(within what, cannot be told)"},
		{result(trial.LookingBack, trial.Interval{Value: 0.2, Low: 0.15, High: 0.25}, 7), "These days, by a model of the sky alone: turning brought"},
		{result(trial.Assisted, trial.Interval{Value: 0.2, Low: 0.15, High: 0.25}, 1), "This one day: turning brought"},
	} {
		if got := c.r.theseDays(); !strings.Contains(got, c.want) {
			t.Errorf("%q\nwant %q", got, c.want)
		}
	}
	if said := result(trial.Assisted, trial.Interval{Value: 0.2, Low: 0.15, High: 0.25}, 7).inYear(); said != "The year: nothing can be said of it: it is not asked for." {
		t.Error(said)
	}
}

// How far the year goes by the trial is said, and most plainly where it hardly
// does.
func TestPromiseInWords(t *testing.T) {
	r := result(trial.Assisted, trial.Interval{Value: 0.02, Low: 0.01, High: 0.03}, 7)
	r.YearWhy, r.Modelled = "", 0.025
	for taken, want := range map[float64]string{0: "cannot correct the model", 0.2: "add little to the year", 0.6: "60 % of the trial's word"} {
		r.Year.Taken = taken
		if got := r.promiseWords(trial.Promise{Gain: 0.25, Low: 0.22, High: 0.28}); !strings.Contains(got, want) || !strings.Contains(got, "single years from +22.0 to +28.0 %") {
			t.Errorf("taken %v: %q", taken, got)
		}
	}
	if got := r.promiseWords(trial.Promise{Gain: math.NaN()}); got != "" {
		t.Errorf("promised of nothing: %q", got)
	}
}

// The card is of the design to take; it says when to look, how, and when to stop.
func TestTheCardIsOfItsDesign(t *testing.T) {
	rig, err := rigfile.Read("rig.toml", []byte("[spot]\nlatitude = 52\nlongitude = 0\n[panel]\npower = \"80 W\"\n[charge]\nkind = \"pwm\"\n"), nil)
	if err != nil {
		t.Fatal(err)
	}
	if m := planMeasure(rig); m != trial.ByCurrent {
		t.Errorf("a panel tied to its battery is judged by %v", m)
	}
	p := &TrialPlan{Plan: &trial.Plan{Days: 14, Gain: 0.2, Designs: []trial.Design{
		{Name: "often", Method: trial.Assisted, EveryS: 900, Days: 14, Halfwidth: 0.02, DaysNeeded: 9, GapS: 30},
		{Name: "seldom", Method: trial.Assisted, EveryS: 1800, Days: 14, Halfwidth: 0.03, DaysNeeded: -1, GapS: 30},
		{Name: "by turns", Method: trial.Blocks, MovesPerDay: 20, Days: 14, Halfwidth: 0.1, DaysNeeded: 1},
	}}, EveryS: 900, SettleS: 2, RecordS: 60, Halfwidth: 0.025, Measure: trial.ByCurrent}
	for chosen, want := range [][]string{
		{"Every 15 min", "wait 2 s", "about 30 s from look to look", "Log every 60 s", "panel_a, battery_v", "After 9 days"},
		{"Every 30 min", "After 14 days"},
		{"half an hour each", "After 3 days"},
	} {
		p.Chosen = chosen
		all := strings.Join(p.card(rig, &trial.Rig{Still: 180}), "\n")
		for _, words := range want {
			if !strings.Contains(all, words) {
				t.Errorf("%s: %q is not in\n%s", p.Best().Name, words, all)
			}
		}
	}
	for chosen, want := range []string{"2.5 points take 9 days", "cannot be had by it within", "One day is enough"} {
		if p.Chosen = chosen; !strings.Contains(p.verdict(), want) {
			t.Errorf("%q, want %q", p.verdict(), want)
		}
	}
}
