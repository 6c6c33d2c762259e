package drawing_test

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/drawing"
)

func ftoa(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// tried is a setting with what it brings.
func tried(step, net, turned float64) answer.AimTried {
	return answer.AimTried{Settings: []answer.AimSetting{{Name: "step", Unit: "degrees", Value: step}}, NetWh: net, DegreesTurned: turned}
}

// trades are searches that a picture must bear.
func trades() map[string]*answer.AimTune {
	spread := &answer.AimTune{Trials: 500, TrialDays: 30, FreshDays: 60, Confirmed: true}
	for i := range 500 {
		x := float64(i)
		spread.Points = append(spread.Points, tried(x, 300-0.02*x+4*math.Sin(x*1.7)-40*math.Pow(math.Sin(x*0.9), 8), 150+4*x+90*math.Cos(x*2.3)))
	}
	spread.Present, spread.Chosen = spread.Points[0], spread.Points[40]
	spread.Gain.Share, spread.Gain.Low, spread.Gain.High = 0.021, 0.012, 0.034
	wide := &answer.AimTune{TrialDays: 30}
	for i := range 60 {
		wide.Points = append(wide.Points, tried(float64(i), 100+float64(i%7), math.Exp(float64(i)/6)))
	}
	wide.Present, wide.Chosen = wide.Points[30], wide.Points[30]
	bad := &answer.AimTune{Points: []answer.AimTried{tried(1, math.NaN(), 3), tried(2, 4, math.Inf(1)), tried(3, -5, 10), tried(4, -1e5, 0)},
		Present: tried(9, math.NaN(), 1), Chosen: tried(3, -5, 10)}
	one := tried(5, 200, 300)
	return map[string]*answer.AimTune{
		"spread": spread, "wide": wide, "bad": bad, "none": {},
		"one":  {Points: []answer.AimTried{one}, Present: one, Chosen: one},
		"same": {Points: []answer.AimTried{one, one, one, one}, Present: one, Chosen: tried(6, 200, 300)},
	}
}

func TestTrades(t *testing.T) {
	a := realAim(t)
	eachDay(t, "trade real", func(w, h float64) *chart.Picture { return drawing.TuneTrade(a.Tuned, w, h) })
	for name, tune := range trades() {
		eachDay(t, "trade "+name, func(w, h float64) *chart.Picture { return drawing.TuneTrade(tune, w, h) })
	}
	got := words(t, drawing.TuneTrade(trades()["spread"], 180, 120))
	for _, want := range []string{">present: ", ">chosen: ", "2.1 % more (1.2 to 3.4)", "Wh a day left", "lie lower", "Settings tried: 500"} {
		if !strings.Contains(got, want) {
			t.Errorf("nowhere %q", want)
		}
	}
	if strings.Contains(got, "best") {
		t.Error("the best is the chosen, and is marked twice")
	}
	unsure := trades()["spread"]
	unsure.Confirmed, unsure.Best, unsure.Chosen = false, unsure.Chosen, unsure.Present
	eachDay(t, "trade unsure", func(w, h float64) *chart.Picture { return drawing.TuneTrade(unsure, w, h) })
	got = words(t, drawing.TuneTrade(unsure, 180, 120))
	for _, want := range []string{">present and chosen: ", ">best, not confirmed: "} {
		if !strings.Contains(got, want) {
			t.Errorf("nowhere %q", want)
		}
	}
	if got := words(t, drawing.TuneTrade(trades()["wide"], 180, 120)); !strings.Contains(got, ">present and chosen: ") {
		t.Error("two marks on one setting")
	}
}

func sweeps() map[string]*answer.AimSweep {
	return map[string]*answer.AimSweep{
		"log": {Name: "wake_every", Unit: "s", Log: true, Values: []float64{60, 200, 657, 900, 2175, 7200}, NetWh: []float64{145.2, 145.5, 145.4, 145.7, 145.2, 140},
			Chosen: 900, Low: 60, High: 2175},
		"linear":       {Name: "looks", Values: []float64{1, 3, 5, 8, 12}, NetWh: []float64{120, 125, 126, 124, 119}, Chosen: 5, Low: 3, High: 8},
		"outside":      {Name: "stay_below", Unit: "A", Log: true, Values: []float64{0.02, 0.1, 1}, NetWh: []float64{141, 140, 134}},
		"beyond":       {Name: "step", Unit: "degrees", Values: []float64{2, 10, 30}, NetWh: []float64{100, 141, 134}, Chosen: 60, Low: 50, High: 70},
		"constant":     {Name: "lead", Values: []float64{0, 0.5, 1}, NetWh: []float64{0, 0, 0}, Chosen: 0.5, Low: 0, High: 1},
		"least number": {Name: "lead", Log: true, Values: []float64{5e-324, 4000}, NetWh: []float64{3, 5e-324}, Chosen: 5e-324, High: 1},
		"one":          {Name: "lead", Log: true, Values: []float64{3}, NetWh: []float64{50}, Chosen: 3, Low: 3, High: 3},
		"none":         {Name: "lead"},
		"not a number": {Name: "lead", Values: []float64{0, math.NaN(), 1, 2}, NetWh: []float64{math.NaN(), 3, 4, math.Inf(-1)}, Chosen: math.NaN()},
		"below zero":   {Name: "lead", Values: []float64{-1, 0, 1}, NetWh: []float64{-5, -9, -1}, Low: -3, High: 0.5, Log: true},
	}
}

func TestSweeps(t *testing.T) {
	for _, s := range realAim(t).Tuned.Sweeps {
		eachDay(t, "sweep real "+s.Name, func(w, h float64) *chart.Picture { return drawing.TuneSweep(&s, w, h) })
	}
	for name, s := range sweeps() {
		eachDay(t, "sweep "+name, func(w, h float64) *chart.Picture { return drawing.TuneSweep(s, w, h) })
	}
	got := words(t, drawing.TuneSweep(sweeps()["log"], 120, 80))
	for _, want := range []string{">wake every<", "chosen: 15 min", "does not matter", "10 min"} {
		if !strings.Contains(got, want) {
			t.Errorf("nowhere %q", want)
		}
	}
}

// slept are sleeps, each followed by its light.
func slept(pairs ...float64) *answer.Aim {
	a := &answer.Aim{}
	for i := 0; i < len(pairs); i += 2 {
		a.Sleeps = append(a.Sleeps, answer.SleepCost{WakeEveryS: pairs[i], Light: pairs[i+1]})
	}
	return a
}

func TestSleepCosts(t *testing.T) {
	for name, a := range map[string]*answer.Aim{
		"real":    realAim(t),
		"none":    {},
		"one":     {Sleeps: []answer.SleepCost{{WakeEveryS: 900, Light: 0.9}}},
		"bad":     {Sleeps: []answer.SleepCost{{WakeEveryS: 0, Light: 0.9}, {WakeEveryS: 60, Light: math.NaN()}, {WakeEveryS: 120, Light: 0.8}, {WakeEveryS: 1200}}},
		"chance":  {Sleeps: []answer.SleepCost{{WakeEveryS: 60, Light: 0.9, LossWithin: 0.2}, {WakeEveryS: 900, Light: 0.89, LossWithin: 0.2}}},
		"falling": slept(60, 0.999, 120, 0.9985, 300, 0.998, 600, 0.997, 900, 0.996, 1800, 0.99, 3600, 0.97, 7200, 0.91),
	} {
		eachDay(t, "sleep "+name, func(w, h float64) *chart.Picture { return drawing.SleepCost(a, w, h) })
	}
}

// policies are runs of the four with made figures.
func policies(light, net func(policy, season int) float64) *answer.Aim {
	a := &answer.Aim{Policy: "climb"}
	for i, name := range []string{"clock", "climb", "eyes", "learn"} {
		r := answer.AimRun{Policy: name}
		for k := range r.Seasons {
			s := &r.Seasons[k]
			s.Days, s.TurningLightWhM2, s.LightWhM2, s.DeliverWh = 90, 1000, 1000*light(i, k), 90*net(i, k)
		}
		a.Policies = append(a.Policies, r)
	}
	a.Policies[2].AsIf = "two light sensors"
	return a
}

func TestPoliciesBySeason(t *testing.T) {
	plain := policies(func(i, k int) float64 { return 0.99 - 0.05*float64(i) - 0.03*float64(k%3) },
		func(i, k int) float64 { return 80 + 220*math.Sin(float64(k)*math.Pi/3) - 9*float64(i) })
	for name, a := range map[string]*answer.Aim{
		"real":  realAim(t),
		"plain": plain,
		"negative": policies(func(i, k int) float64 { return 1.2 * float64(k) / 3 },
			func(i, k int) float64 { return float64(k*k)*3 - 4 }),
		"bad":  policies(func(i, k int) float64 { return math.NaN() }, func(i, k int) float64 { return math.Inf(1) }),
		"zero": policies(func(i, k int) float64 { return 0 }, func(i, k int) float64 { return 0 }),
		"none": {},
	} {
		eachDay(t, "policies "+name, func(w, h float64) *chart.Picture { return drawing.PoliciesBySeason(a, w, h) })
	}
	got := words(t, drawing.PoliciesBySeason(plain, 80, 50))
	for _, want := range []string{">Dec–Feb<", ">climb<", "two light sensors", ">99<"} {
		if !strings.Contains(got, want) {
			t.Errorf("nowhere %q", want)
		}
	}
}

func TestAnyTrade(t *testing.T) {
	figure := rapid.OneOf(rapid.Float64Range(-400, 4000), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), -1e300, 0, 1e-9, 5e-324}))
	rapid.Check(t, func(t *rapid.T) {
		tune := &answer.AimTune{Confirmed: rapid.Bool().Draw(t, "confirmed")}
		sweep := &answer.AimSweep{Name: "a_setting", Unit: rapid.SampledFrom([]string{"", "s", "A"}).Draw(t, "unit"), Log: rapid.Bool().Draw(t, "log")}
		a := &answer.Aim{}
		for i := range rapid.IntRange(0, 30).Draw(t, "count") {
			x, y := figure.Draw(t, "x"), figure.Draw(t, "y")
			tune.Points = append(tune.Points, tried(float64(i), y, x))
			sweep.Values, sweep.NetWh = append(sweep.Values, x), append(sweep.NetWh, y)
			a.Sleeps = append(a.Sleeps, answer.SleepCost{WakeEveryS: x, Light: y})
		}
		tune.Present, tune.Chosen = tried(0, figure.Draw(t, "net"), figure.Draw(t, "turned")), tried(1, 5, 5)
		sweep.Chosen, sweep.Low, sweep.High = figure.Draw(t, "chosen"), figure.Draw(t, "low"), figure.Draw(t, "high")
		w, h := rapid.Float64Range(80, 300).Draw(t, "width"), rapid.Float64Range(50, 300).Draw(t, "height")
		for name, p := range map[string]*chart.Picture{"trade": drawing.TuneTrade(tune, w, h), "sweep": drawing.TuneSweep(sweep, w, h), "sleep": drawing.SleepCost(a, w, h)} {
			if p.Err() != nil {
				t.Fatal(fmt.Errorf("%s: %w", name, p.Err()))
			}
			whole(t, p)
		}
	})
}
