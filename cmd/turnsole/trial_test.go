package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"turnsole/compass"
	"turnsole/loop"
	"turnsole/panel"
	"turnsole/reading"
	"turnsole/rigfile"
	"turnsole/season"
	"turnsole/trial"
	"turnsole/weather"
)

// trialRig is a rig whose plain charge controller ties the panel to the battery,
// in a climate with sun and clouds.
const trialRig = `name = "garden"
[spot]
latitude = 52.28
longitude = -3.62
[weather]
years = 5
climate = "cloudy-maritime"
[panel]
power = "80 W"
[charge]
kind = "pwm"
[stand]
tilt = 40
[controller]
home_switch = true
`

// site is a rig file with days under its weather, as they really are.
type site struct {
	rig   trial.Rig
	stage *trial.Stage
	ways  trial.Protocol
}

// newSite lays a made year out under the rig of a file.
func newSite(t *testing.T, toml string) *site {
	t.Helper()
	rig, err := rigfile.Read("rig.toml", []byte(toml), nil)
	if err != nil {
		t.Fatal(err)
	}
	diode, _, err := panel.Fit(rig.Panel)
	if err != nil {
		t.Fatal(err)
	}
	spot := rig.Spots[0]
	ideal := season.Rig{Spot: spot.Spot, Sky: spot.Weather.Sky, Glass: rig.Glass, Turbidity: spot.Weather.Turbidity, Diode: diode, Warmth: panel.OpenRack(),
		Battery: rig.System(), Stand: rig.Stand, Motor: rig.Motor, Board: rig.Board}
	maker, err := weather.NewMaker(spot.Spot, *spot.Weather.Monthly, spot.Weather.StepS)
	if err != nil {
		t.Fatal(err)
	}
	year := new(weather.Year)
	maker.Make(rand.New(rand.NewPCG(8, 8)), year)
	ground, err := loop.Lay(context.Background(), &ideal, year)
	if err != nil {
		t.Fatal(err)
	}
	s := &site{rig: trial.Rig{Season: ideal, Still: compass.Equatorward(spot.Latitude), SleepS: rig.Board.WakeEveryS, HeadingWithin: trial.HomedWithin},
		ways: trial.Protocol{EveryS: rig.Trial.EveryS, GapS: rig.Trial.SettleS + 20, RecordS: rig.Trial.RecordS, Measure: trial.ByCurrent, Sensor: rig.Sensor}}
	if s.stage, err = trial.NewStage(&s.rig, ground, 8, 1); err != nil {
		t.Fatal(err)
	}
	return s
}

// rows are the readings of some days of the year, counted from 0, and what turning really brought.
func (s *site) rows(first, days int) ([]reading.Reading, trial.Gains) {
	var rows []reading.Reading
	var all []*trial.Day
	chance, pair := rand.New(rand.NewPCG(3, 3)), 1
	for k := range days {
		day := s.stage.Day(first + k)
		all = append(all, day)
		pair = s.ways.Run(day, &s.rig, pair, chance, func(r *reading.Reading) { rows = append(rows, *r) })
	}
	return rows, trial.Gained(all)
}

var trialColumns = []string{"time", "setup", "panel_a", "heading_deg", "look", "pair"}

// logged writes rows as a plain log and returns its path.
func logged(t *testing.T, rows []reading.Reading, columns ...string) string {
	t.Helper()
	if len(columns) == 0 {
		columns = trialColumns
	}
	var text strings.Builder
	w, err := reading.NewWriter(&text, columns)
	if err != nil {
		t.Fatal(err)
	}
	for i := range rows {
		if err := w.Write(&rows[i]); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	return write(t, "log.csv", text.String())
}

// told asks for the result of a log as JSON, whatever the exit code.
func told(t *testing.T, toml, log string, more ...string) (int, map[string]any) {
	t.Helper()
	code, out, errOut := turnsole(t, append([]string{"trial", "result", write(t, "rig.toml", toml), log, "--json"}, more...)...)
	if errOut != "" {
		t.Fatalf("exit %d, %s", code, errOut)
	}
	var a map[string]any
	if err := json.Unmarshal([]byte(out), &a); err != nil {
		t.Fatal(err)
	}
	has(t, a, "gain", "gain_low", "gain_high", "confidence", "days", "pairs", "method", "warnings", "year", "these_days", "light", "energy", "used",
		"season", "excluded", "daily", "by_hour", "setup", "setups", "measure", "parts", "seed", "why", "one_day", "assumed")
	has(t, a["year"].(map[string]any), "gain", "low", "high")
	return code, a
}

// A log whose gain is known is told rightly, the same with the same seed, and in
// words that say which answer is which.
func TestTrialResultKeepsItsContract(t *testing.T) {
	rows, truth := newSite(t, trialRig).rows(150, 7)
	log := logged(t, rows)
	code, a := told(t, trialRig, log)
	low, gain, high := a["gain_low"].(float64), a["gain"].(float64), a["gain_high"].(float64)
	// 0.05: what a week of looks half a minute apart can be off by.
	if code != 0 || !(low < gain && gain < high) || math.Abs(gain-truth.Light) > 0.05 || !(low-0.02 < truth.Light && truth.Light < high+0.02) {
		t.Errorf("exit %d: %v to %v to %v, in truth %v", code, low, gain, high, truth.Light)
	}
	if a["days"].(float64) != 7 || len(a["daily"].([]any)) != 7 || a["pairs"].(float64) < 300 || a["measure"] != "current" || a["method"] != trial.Assisted || a["confidence"].(float64) != 0.95 {
		t.Errorf("%v days, %v pairs, by %v, %v", a["days"], a["pairs"], a["measure"], a["method"])
	}
	year := a["year"].(map[string]any)
	if y, l, h := year["gain"].(float64), year["low"].(float64), year["high"].(float64); !(l < y && y < h && y > 0.1 && y < 0.5) {
		t.Errorf("the year: %v, %v to %v", y, l, h)
	}
	season := a["season"].(map[string]any)
	if season["gain"] != a["gain"] || !(season["low"].(float64) < gain && gain < season["high"].(float64)) {
		t.Errorf("the season: %v", season)
	}
	hours := a["by_hour"].([]any)
	for i, name := range []string{"These days:", "The season:", "The year:"} {
		if said := a["sentences"].([]any)[i].(string); !strings.HasPrefix(said, name) {
			t.Errorf("%q does not say that it is of %s", said, name)
		}
	}
	if len(hours) < 10 || len(hours) > 24 {
		t.Errorf("%d hours with light", len(hours))
	}
	if _, again := told(t, trialRig, log); fmt.Sprint(again["season"], again["year"], again["gain"]) != fmt.Sprint(a["season"], a["year"], a["gain"]) {
		t.Error("the same seed tells otherwise")
	}
	_, narrow := told(t, trialRig, log, "--confidence", "80%")
	if l := narrow["gain_low"].(float64); !(l > low && l < gain) || narrow["confidence"].(float64) != 0.8 {
		t.Errorf("at 80 %%: from %v, at 95 %%: from %v", l, low)
	}
}

// What reads well is told: each table, each exclusion, what was assumed.
func TestTrialResultIsTold(t *testing.T) {
	rows, _ := newSite(t, trialRig).rows(150, 5)
	rows = append(rows, rows[len(rows)-1]) // a look without its other half
	rows[len(rows)-1].UnixS += 4000
	rows[len(rows)-1].Look, rows[len(rows)-1].Pair = reading.AimedLook, 999
	code, out, errOut := turnsole(t, "trial", "result", write(t, "rig.toml", trialRig), logged(t, rows))
	if code != 0 || errOut != "" {
		t.Fatalf("exit %d, %s", code, errOut)
	}
	for _, words := range []string{"These days: turning brought +", "The season: ", "The year: ", "turnsole worth promises", "31 May 2025", "clearness", "Left out: looks without their other half (1).", "trial.heading_within 1"} {
		if !strings.Contains(out, words) {
			t.Errorf("%q is not in\n%s", words, out)
		}
	}
}

// Where no number can be trusted none is given, and why is said.
func TestNoNumberWhereNoneCanBeTrusted(t *testing.T) {
	s := newSite(t, trialRig)
	rows, _ := s.rows(150, 4)
	edit := func(change func(r *reading.Reading)) []reading.Reading {
		out := append([]reading.Reading(nil), rows...)
		for i := range out {
			change(&out[i])
		}
		return out
	}
	twice := make([]reading.Reading, 0, 2*len(rows))
	for _, r := range rows {
		other := r
		other.PanelA *= 0.5
		twice = append(twice, r, other)
	}
	few := rows[:0:0]
	for _, r := range rows {
		if r.Pair > 0 && r.Pair < 5 {
			few = append(few, r)
		}
	}
	for name, c := range map[string]struct {
		rows    []reading.Reading
		columns []string
		want    string
	}{
		"all night": {rows: edit(func(r *reading.Reading) { r.PanelA = 0; r.UnixS += 43200 }), want: "dark"},
		"all clipped": {rows: edit(func(r *reading.Reading) { r.BatteryV = 14.6; r.PanelA = min(r.PanelA, 0.3) }),
			columns: append([]string{"battery_v"}, trialColumns...), want: "did not take"},
		"another panel":    {rows: edit(func(r *reading.Reading) { r.PanelA *= 4 }), want: "another panel"},
		"milliamperes":     {rows: edit(func(r *reading.Reading) { r.PanelA = min(1000*r.PanelA, 999) }), want: "A at most"},
		"another place":    {rows: edit(func(r *reading.Reading) { r.UnixS += 8 * 3600 }), want: "another place"},
		"two rigs":         {rows: twice, want: "two rigs"},
		"four pairs":       {rows: few, want: "too few"},
		"no looks at all":  {rows: edit(func(r *reading.Reading) { r.Look, r.Pair, r.HeadingDeg = reading.NoLook, 0, math.NaN() }), columns: []string{"time", "panel_a"}, want: "heading"},
		"no cell to go by": {rows: rows, want: "cell_a"},
	} {
		t.Run(name, func(t *testing.T) {
			var more []string
			if name == "no cell to go by" {
				more = []string{"--measure", "light"}
			}
			code, a := told(t, trialRig, logged(t, c.rows, c.columns...), more...)
			if why, _ := a["why"].(string); code != exitFound || a["gain"] != nil || a["gain_low"] != nil || a["these_days"] != nil || a["season"] != nil || !strings.Contains(why, c.want) {
				t.Errorf("exit %d, gain %v, why %q; want %q", code, a["gain"], why, c.want)
			}
			if y := a["year"].(map[string]any); y["gain"] != nil || y["why"] == "" {
				t.Errorf("the year: %v", y)
			}
		})
	}
}

// Of one day the figure is told, and is no gain; of two it is one, loudly
// doubted.
func TestFewDays(t *testing.T) {
	s := newSite(t, trialRig)
	rows, truth := s.rows(150, 1)
	code, a := told(t, trialRig, logged(t, rows))
	one, ok := a["one_day"].(map[string]any)
	if code != exitFound || a["gain"] != nil || !ok || math.Abs(one["gain"].(float64)-truth.Light) > 0.3 || a["year"].(map[string]any)["gain"] != nil {
		t.Errorf("exit %d, gain %v, one day %v, in truth %v", code, a["gain"], one, truth.Light)
	}
	code, out, _ := turnsole(t, "trial", "result", write(t, "rig.toml", trialRig), logged(t, rows))
	if code != exitFound || !strings.Contains(strings.Join(strings.Fields(out), " "), "Of one day nothing can be trusted beyond that day") {
		t.Errorf("exit %d\n%s", code, out)
	}
	rows, _ = s.rows(150, 2)
	code, a = told(t, trialRig, logged(t, rows))
	if code != 0 || a["gain"] == nil || a["season"] != nil || !strings.Contains(fmt.Sprint(a["warnings"]), "Only 2 days") {
		t.Errorf("exit %d, gain %v, season %v, warnings %v", code, a["gain"], a["season"], a["warnings"])
	}
}

// A trial never runs across two set-ups, and a panel that only stands still has
// gained nothing.
func TestSetUpsAreKeptApart(t *testing.T) {
	rows, _ := newSite(t, trialRig).rows(150, 6)
	for i := range rows {
		rows[i].Setup = "meadow"
		if i > len(rows)*2/3 {
			rows[i].Setup = "hill"
		}
	}
	log := logged(t, rows)
	_, a := told(t, trialRig, log)
	if a["setup"] != "meadow" || fmt.Sprint(a["setups"]) != "[meadow hill]" || !strings.Contains(fmt.Sprint(a["warnings"]), "2 set-ups") {
		t.Errorf("set-up %v of %v, warnings %v", a["setup"], a["setups"], a["warnings"])
	}
	_, b := told(t, trialRig, log, "--setup", "hill")
	if b["setup"] != "hill" || b["gain"] == a["gain"] || b["pairs"].(float64) >= a["pairs"].(float64) {
		t.Errorf("set-up %v: %v of %v pairs", b["setup"], b["gain"], b["pairs"])
	}
}

func TestNothingGainedIsSaid(t *testing.T) {
	s := newSite(t, trialRig)
	rows, _ := s.rows(150, 5)
	even := map[int]float64{}
	for i := range rows { // both headings see the same
		if r := &rows[i]; r.Pair > 0 {
			if a, ok := even[r.Pair]; ok {
				r.PanelA = a
			}
			even[r.Pair] = r.PanelA
			r.HeadingDeg = 180
		}
	}
	_, a := told(t, trialRig, logged(t, rows), "--method", "looks-alone")
	said := a["sentences"].([]any)[0].(string)
	if low, high := a["gain_low"], a["gain_high"]; low != nil && (low.(float64) > 0 || high.(float64) < 0) || math.Abs(a["gain"].(float64)) > 1e-6 || !strings.Contains(said, "nothing was gained") {
		t.Errorf("%v to %v: %s", low, high, said)
	}
}

// What makes a figure doubtful is said: a tracker's amperes, a tilt and a still
// heading that are not the year's.
func TestTrialResultSaysWhatIsDoubtful(t *testing.T) {
	rows, _ := newSite(t, trialRig).rows(150, 3)
	log := logged(t, rows)
	said := func(toml string, more ...string) string {
		_, a := told(t, toml, log, more...)
		return fmt.Sprint(a["warnings"])
	}
	plain := said(trialRig)
	for words, odd := range map[string]string{
		"seeks the best voltage": said(strings.Replace(trialRig, `"pwm"`, `"mppt"`, 1)),
		"faces the equator":      said(trialRig, "--set", "trial.still=160"),
	} {
		if strings.Contains(plain, words) || !strings.Contains(odd, words) {
			t.Errorf("%q is said of %s, not of %s", words, plain, odd)
		}
	}
	for i := range rows {
		rows[i].TiltDeg = 50
	}
	if _, a := told(t, trialRig, logged(t, rows, append([]string{"tilt_deg"}, trialColumns...)...)); !strings.Contains(fmt.Sprint(a["warnings"]), "stood at 50°") {
		t.Errorf("of another tilt: %v", a["warnings"])
	}
}

// Headings are worth having, and looks can be told without them.
func TestWithoutHeadings(t *testing.T) {
	rows, truth := newSite(t, trialRig).rows(150, 7)
	code, a := told(t, trialRig, logged(t, rows, "time", "panel_a", "look", "pair"))
	// 0.06: as with headings, and what the sleeping rig is behind the sun.
	if gain, ok := a["gain"].(float64); code != 0 || !ok || math.Abs(gain-truth.Light) > 0.06 {
		t.Errorf("exit %d, %v, in truth %v; %v", code, a["gain"], truth.Light, a["why"])
	}
}

// What is no log, or no question, is exit 2 with nothing on standard output.
func TestBadTrials(t *testing.T) {
	rows, _ := newSite(t, trialRig).rows(150, 2)
	rig, log := write(t, "rig.toml", trialRig), logged(t, rows)
	for name, c := range map[string]struct {
		args []string
		want string
	}{
		"empty":           {[]string{"result", rig, write(t, "log.csv", "")}, "the log is empty"},
		"no rows":         {[]string{"result", rig, write(t, "log.csv", "time,panel_a\n")}, "no rows"},
		"no log":          {[]string{"result", rig, "nowhere.csv"}, "no such file"},
		"not named":       {[]string{"result", rig}, "<log>"},
		"another format":  {[]string{"result", rig, write(t, "my log.csv", "Zeit;Strom [mA]\n01.06.2026 12:00;1250,5\n")}, "--out 'my log-plain.csv'"},
		"a wall clock":    {[]string{"result", rig, write(t, "log.csv", "time,panel_a\n2026-06-01 12:00,1.2\n")}, "turnsole import"},
		"no clock":        {[]string{"result", rig, write(t, "log.csv", "boot,uptime_s,panel_a\n1,5,1.2\n1,65,1.3\n")}, "--dumped-at"},
		"no such set-up":  {[]string{"result", rig, log, "--setup", "moon"}, `no set-up "moon"`},
		"no such measure": {[]string{"result", rig, log, "--measure", "volts"}, "--measure"},
		"no such method":  {[]string{"result", rig, log, "--method", "guess"}, "--method"},
		"no such spot":    {[]string{"result", rig, log, "--spot", "moon"}, "moon"},
		"confidence":      {[]string{"result", rig, log, "--confidence", "0.95"}, "--confidence"},
		"too confident":   {[]string{"result", rig, log, "--confidence", "100%"}, "--confidence"},
		"few replicates":  {[]string{"result", rig, log, "--replicates", "5"}, "--replicates"},
		"a key":           {[]string{"result", rig, log, "--set", "trial.every=5 s"}, "trial.every"},
		"weather":         {[]string{"result", rig, log, "--weather", "nowhere.csv"}, "no such file"},
		"one day":         {[]string{"plan", rig, "--days", "1"}, "--days"},
		"a year":          {[]string{"plan", rig, "--days", "365"}, "--days"},
		"half-width":      {[]string{"plan", rig, "--halfwidth", "2"}, "--halfwidth"},
		"half of nothing": {[]string{"plan", rig, "--halfwidth", "0%"}, "--halfwidth"},
		"no such day":     {[]string{"plan", rig, "--from", "02-30"}, "02-30"},
		"polar night":     {[]string{"plan", rig, "--set", "spot.latitude=85", "--from", "12-10", "--to", "12-20"}, "light"},
	} {
		t.Run(name, func(t *testing.T) {
			code, out, errOut := turnsole(t, append([]string{"trial"}, c.args...)...)
			if code != exitBadInput || out != "" || !strings.Contains(errOut, c.want) {
				t.Errorf("exit %d, stdout %.100q, stderr %q; want %q", code, out, errOut, c.want)
			}
		})
	}
}

// Two days of June are enough to see that a plan holds together.
func TestTrialPlanKeepsItsContract(t *testing.T) {
	rig := write(t, "rig.toml", trialRig)
	june := []string{"trial", "plan", rig, "--from", "06-01", "--to", "06-02", "--days", "7", "--halfwidth", "4%"}
	a := asked(t, june...)
	has(t, a, "method", "days", "expected_halfwidth", "cost_wh_per_day", "alternatives", "days_needed", "protocol", "seed")
	all := a["alternatives"].([]any)
	if a["days"].(float64) != 7 || a["from"] != "06-01" || a["to"] != "06-02" || a["measure"] != "current" || len(all) < 4 || len(a["protocol"].([]any)) < 4 {
		t.Errorf("%v", a)
	}
	wide := map[string]float64{}
	for _, one := range all {
		d := one.(map[string]any)
		has(t, d, "name", "method", "needs", "expected_halfwidth", "expected_error", "cost_wh_per_day", "degrees_per_day", "moves_per_day", "days_needed")
		if w, ok := d["expected_halfwidth"].(float64); ok && wide[d["method"].(string)] == 0 {
			wide[d["method"].(string)] = w
		}
	}
	if looks, blocks := wide[trial.Assisted], wide[trial.Blocks]; !(looks > 0 && looks < blocks) {
		t.Errorf("paired looks tell to %v, half hours by turns to %v", looks, blocks)
	}
	if b := asked(t, june...); fmt.Sprint(a) != fmt.Sprint(b) {
		t.Error("the same seed plans otherwise")
	}
	code, out, errOut := turnsole(t, append(june, "--set", "controller.home_switch=false")...)
	for _, words := range []string{"Take paired looks", "1. Set the rig up", "A bracket: aimed, still (180°)", "days for", "Nothing at the axle"} {
		if code != 0 || errOut != "" || !strings.Contains(out, words) {
			t.Errorf("exit %d, %s: %q is not in\n%s", code, errOut, words, out)
		}
	}
}

func TestInterruptedTrial(t *testing.T) {
	rows, _ := newSite(t, trialRig).rows(150, 3)
	rig, log := write(t, "rig.toml", trialRig), logged(t, rows)
	ctx, stop := context.WithCancel(context.Background())
	stop()
	for _, args := range [][]string{{"trial", "plan", rig}, {"trial", "result", rig, log}} {
		var out, errOut bytes.Buffer
		if code := run(ctx, args, &out, &errOut); code != exitInterrupted || out.Len() > 0 {
			t.Errorf("%v: exit %d, %q", args, code, out.String())
		}
	}
}
