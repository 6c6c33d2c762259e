package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestAimKeepsItsContract on a few days of the invented hut.
func TestAimKeepsItsContract(t *testing.T) {
	hut := example(t, "hut")
	week := []string{"--from", "06-03", "--to", "06-06"}
	for _, policy := range []string{"clock", "climb", "eyes", "learn"} {
		a := asked(t, append([]string{"aim", hut, "--policy", policy, "--set", "controller.eyes=true"}, week...)...)
		has(t, a, "policy", "settings", "pointing_error_deg", "share_of_perfect", "moves_per_day", "degrees_turned_per_day", "own_use_wh_per_day", "seed")
		if a["policy"] != policy || a["days"].(float64) != 4 {
			t.Errorf("%v over %v days", a["policy"], a["days"])
		}
		has(t, a["settings"].(map[string]any), "wake_every", "step", "move_least")
		off := a["pointing_error_deg"].(map[string]any)
		if mean, p95 := off["mean"].(float64), off["p95"].(float64); !(mean >= 0 && mean <= 180 && p95 >= 0 && p95 <= 180) {
			t.Errorf("%s points %v degrees off, 95 %% below %v", policy, mean, p95)
		}
		if share := a["share_of_perfect"].(float64); !(share > 0.3 && share <= 1.01) {
			t.Errorf("%s gets %v of exact turning", policy, share)
		}
		own := a["motor_wh_per_day"].(float64) + a["awake_wh_per_day"].(float64) + a["asleep_wh_per_day"].(float64)
		if d := own - a["own_use_wh_per_day"].(float64); d > 1e-9 || d < -1e-9 { // rounding
			t.Errorf("%s: own use is off by %v", policy, d)
		}
		if len(a["policies"].([]any)) != 4 {
			t.Errorf("%v", a["policies"])
		}
	}
	one, two := asked(t, append([]string{"aim", hut, "--seed", "5"}, week...)...), asked(t, append([]string{"aim", hut, "--seed", "5"}, week...)...)
	if one["share_of_perfect"] != two["share_of_perfect"] || one["net_wh_per_day"] != two["net_wh_per_day"] {
		t.Error("the same seed gives another answer")
	}
}

// What the other policies need is lent to them; the rig's own must have it.
func TestAimWithoutATime(t *testing.T) {
	a := asked(t, "aim", example(t, "hut"), "--policy", "climb", "--set", "controller.faults.clock_lost=true", "--from", "06-03", "--to", "06-04")
	for _, p := range a["policies"].([]any) {
		p := p.(map[string]any)
		if needs := p["policy"] == "clock" || p["policy"] == "learn"; needs != (p["as_if"] == "a clock that runs") {
			t.Errorf("%v runs as if it had %q", p["policy"], p["as_if"])
		}
	}
}

// What makes the figures doubtful is said.
func TestAimSaysWhatIsDoubtful(t *testing.T) {
	args := []string{"aim", example(t, "hut"), "--from", "06-03", "--to", "06-04"}
	said := func(a map[string]any) string { return fmt.Sprint(a["warnings"], a["findings"]) }
	plain, odd := said(asked(t, args...)), said(asked(t, append(args, "--set", "controller.sensor_range=1 A", "--set", "controller.faults.tilt_by=-20")...))
	for _, words := range []string{"controller.sensor_range: a sensor for 1 A is too small", "may be surpassed"} {
		if strings.Contains(plain, words) || !strings.Contains(odd, words) {
			t.Errorf("%q is said of %s, not of %s", words, plain, odd)
		}
	}
}

// Where a season has no light there is no share of it.
func TestAimInThePolarNight(t *testing.T) {
	rig := write(t, "rig.toml", strings.Replace(goodRig, "52.28", "87", 1))
	a := asked(t, "aim", rig)
	winter := a["policies"].([]any)[0].(map[string]any)["seasons"].([]any)
	if share := winter[0].(map[string]any)["share_of_perfect"]; share != nil {
		t.Errorf("in winter %v", share)
	}
	if share, ok := winter[2].(map[string]any)["share_of_perfect"].(float64); !ok || !(share > 0 && share < 1.01) {
		t.Errorf("in summer %v", share)
	}
}

// The table of sleeps has the run's own figure where it has the run's own sleep,
// whatever days it was tried on.
func TestAdviceAgreesWithTheTables(t *testing.T) {
	a := asked(t, "aim", example(t, "hut"), "--set", "controller.home_switch=false")
	for _, s := range a["sleeps"].([]any) {
		s := s.(map[string]any)
		if s["wake_every_s"] == a["settings"].(map[string]any)["wake_every"] {
			if d := s["share_of_perfect"].(float64) - a["share_of_perfect"].(float64); d > 1e-9 || d < -1e-9 { // rounding
				t.Errorf("the table of sleeps is off by %v", d)
			}
			return
		}
	}
	t.Error("its own sleep is not among those tried")
}

// A search among few settings runs, and says whether fresh days confirm it.
func TestAimTunes(t *testing.T) {
	a := asked(t, "aim", example(t, "hut"), "--tune", "--trials", "6")
	tune, ok := a["tune"].(map[string]any)
	if !ok {
		t.Fatalf("no tune: %v", a["tune"])
	}
	has(t, tune, "confirmed", "chosen", "gain", "gain_low", "gain_high", "sweeps")
	if tune["trials"].(float64) < 6 {
		t.Errorf("%v settings were tried", tune["trials"])
	}
	if low, high := tune["gain_low"].(float64), tune["gain_high"].(float64); low > high || tune["confirmed"].(bool) && low <= 0 {
		t.Errorf("confirmed %v with a gain of %v to %v", tune["confirmed"], low, high)
	}
}

// The row controller of worth is that of recorded years, or where it is asked
// for.
func TestWorthHasTheControllersRow(t *testing.T) {
	rig := write(t, "rig.toml", goodRig)
	a := asked(t, "worth", rig, "--ways", "turning,controller", "--set", "weather.years=1")
	light := map[string]float64{}
	for _, w := range a["ways"].([]any) {
		way := w.(map[string]any)
		light[way["way"].(string)] = way["light_kwh_m2"].(float64)
	}
	if c, still, turning := light["controller"], light["still"], light["turning"]; !(c > 0.5*still && c <= turning*1.001) {
		t.Errorf("controller %v, still %v, turning %v kWh/m2", c, still, turning)
	}
}

func TestAimDrawsItsDays(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "pictures")
	args := []string{"aim", example(t, "hut"), "--from", "06-03", "--to", "06-05", "--draw", dir}
	for range 2 { // a picture is replaced by a newer one
		if code, _, errOut := turnsole(t, args...); code != 0 {
			t.Fatalf("exit %d, %s", code, errOut)
		}
	}
	for _, name := range []string{"policies", "sleep", "day-clear", "day-clear-above"} {
		svg, err := os.ReadFile(filepath.Join(dir, name+".svg"))
		if err != nil || !strings.HasPrefix(string(svg), "<svg") || !strings.HasSuffix(strings.TrimSpace(string(svg)), "</svg>") {
			t.Errorf("%s: %v, %.40q", name, err, svg)
		}
	}
	if err := os.WriteFile(filepath.Join(dir, "sleep.svg"), []byte("notes of mine"), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, out, errOut := turnsole(t, args...); code != exitBadInput || out != "" || !strings.Contains(errOut, "left alone") {
		t.Errorf("over a file that is no picture: exit %d, %q, %q", code, out, errOut)
	}
}

func TestBadAiming(t *testing.T) {
	hut := example(t, "hut")
	for name, c := range map[string]struct {
		args []string
		want string
	}{
		"no sleep":                   {[]string{"--set", "controller.wake_every=0 s"}, "controller.wake_every"},
		"more than half a turn":      {[]string{"--set", "controller.settings.step=200"}, "controller.settings.step"},
		"darker than the panel is":   {[]string{"--set", "controller.settings.stay_below=50 A"}, "stay_below"},
		"a clock without a clock":    {[]string{"--set", "controller.clock=false"}, `policy = "climb"`},
		"eyes without eyes":          {[]string{"--set", "controller.policy=eyes"}, "eyes = true"},
		"unknown policy":             {[]string{"--policy", "guess"}, "controller.policy"},
		"unknown setting":            {[]string{"--set", "controller.settings.mood=3"}, "mood"},
		"the time is lost":           {[]string{"--set", "controller.faults.clock_lost=true"}, `policy = "climb"`},
		"no wind to park in":         {[]string{"--set", "controller.settings.wind_park=8"}, "wind_sensor = true"},
		"standing clouds":            {[]string{"--clouds", "0"}, "--clouds"},
		"settled before it is read":  {[]string{"--set", "controller.settings.settle_most=1 s"}, "settle_most"},
		"no such day":                {[]string{"--from", "02-30"}, "02-30"},
		"fewer days than it takes":   {[]string{"--tune", "--from", "06-01", "--to", "06-05", "--trials", "-1"}, "--trials"},
		"a compass that goes round":  {[]string{"--set", "controller.faults.compass=400"}, "controller.faults.compass"},
		"no such park":               {[]string{"--set", "controller.park_heading=bed"}, "controller.park_heading"},
		"no trials":                  {[]string{"--tune", "--trials", "0"}, "--trials 0"},
		"trials of nothing":          {[]string{"--trials", "9"}, "--tune"},
		"a flag for a folder":        {[]string{"--draw", "--json"}, "--draw"},
		"still out of reach":         {[]string{"--set", "drive.cable_range=[170,175]"}, "drive.cable_range: [170, 175]: the still heading, 180 degrees"},
		"too much cable":             {[]string{"--set", "drive.cable_range=[-700,700]"}, "drive.cable_range: [-700, 700]: that is 1400 degrees"},
		"finer than the drive":       {[]string{"--set", "controller.settings.step=0.001"}, "controller.settings.step: step is 0.001"},
		"shorter than a look":        {[]string{"--set", "controller.settings.look=30"}, "controller.settings.settle_most: "},
		"a share of more than whole": {[]string{"--set", "controller.settings.lead=2"}, "controller.settings.lead"},
	} {
		t.Run(name, func(t *testing.T) {
			code, out, errOut := turnsole(t, append([]string{"aim", hut}, c.args...)...)
			if code != exitBadInput || out != "" || !strings.Contains(errOut, c.want) {
				t.Errorf("exit %d, stdout %.60q, stderr %q; want 2, nothing, %q", code, out, errOut, c.want)
			}
		})
	}
}
