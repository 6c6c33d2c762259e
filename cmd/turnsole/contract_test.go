package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
)

// figures are the keys that a way and each of its months must have.
var figures = []string{"light_kwh_m2", "entered_kwh_m2", "panel_wh", "stored_wh", "used_wh", "own_use_wh", "net_wh",
	"short_days", "gain_light", "gain_panel", "gain_net", "gain_net_low", "gain_net_high"}

// TestWorthKeepsItsContract: every promised key is there, months add up, and
// what the panel gave is stored or lost for a named reason.
func TestWorthKeepsItsContract(t *testing.T) {
	rig := goodRig + "[charge]\ninput_limit = \"60 W\"\n[battery]\ncapacity = \"20 Ah\"\n[[load]]\nname = \"lamp\"\npower = \"5 W\"\n"
	code, out, errOut := turnsole(t, "worth", write(t, "rig.toml", rig), "--json")
	if code != 0 || errOut != "" {
		t.Fatalf("exit %d, %s", code, errOut)
	}
	var answer map[string]any
	if err := json.Unmarshal([]byte(out), &answer); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"baseline", "ways", "verdict", "assumed", "seed"} {
		if answer[key] == nil {
			t.Errorf("no %s", key)
		}
	}
	ways := answer["ways"].([]any)
	if len(ways) != 10 {
		t.Errorf("%d ways, want 10", len(ways))
	}
	for _, w := range ways {
		way := w.(map[string]any)
		months := way["months"].([]any)
		if len(months) != 12 {
			t.Fatalf("%v has %d months", way["way"], len(months))
		}
		if _, ok := way["tilt_deg"]; !ok {
			t.Errorf("%v has no tilt_deg", way["way"])
		}
		for _, part := range append(months, w) {
			figuresHold(t, part.(map[string]any))
		}
		for _, key := range []string{"light_kwh_m2", "panel_wh", "used_wh", "net_wh", "short_days"} {
			sum := 0.0
			for _, m := range months {
				sum += m.(map[string]any)[key].(float64)
			}
			// 1e-9: rounding of twelve sums.
			if whole := way[key].(float64); math.Abs(sum-whole) > 1e-9*math.Max(1, math.Abs(whole)) {
				t.Errorf("%v: months of %s add up to %v, the year is %v", way["way"], key, sum, whole)
			}
		}
	}
}

func figuresHold(t *testing.T, f map[string]any) {
	t.Helper()
	for _, key := range figures {
		v, ok := f[key]
		if x, number := v.(float64); !ok || number && (math.IsNaN(x) || math.IsInf(x, 0)) {
			t.Errorf("%s is %v", key, v)
		}
	}
	of := func(key string) float64 { return f[key].(float64) }
	if of("entered_kwh_m2") > of("light_kwh_m2") || of("light_kwh_m2") < 0 {
		t.Errorf("light %v, entered %v", f["light_kwh_m2"], f["entered_kwh_m2"])
	}
	if d := of("net_wh") - (of("used_wh") - of("own_use_wh")); math.Abs(d) > 1e-9*math.Max(1, of("used_wh")) {
		t.Errorf("net is off by %v", d)
	}
	went := of("stored_wh") + of("lost_full_wh") + of("lost_cold_wh") + of("lost_limit_wh") + of("lost_charger_wh")
	if math.Abs(went-of("panel_wh")) > 1e-7*math.Max(1, went) { // thousands of roundings
		t.Errorf("the panel gave %v, %v is accounted for", f["panel_wh"], went)
	}
}

// full is a disk without room.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

func TestAFullDiskIsSaid(t *testing.T) {
	for _, args := range [][]string{{"version"}, {"--help"}, {"check", write(t, "rig.toml", goodRig)},
		{"worth", write(t, "rig.toml", goodRig)}, {"worth", write(t, "rig.toml", goodRig), "--json"}, {"worth", write(t, "rig.toml", goodRig), "--csv"}} {
		var errOut bytes.Buffer
		if code := run(context.Background(), args, full{}, &errOut); code != exitMachine || !strings.Contains(errOut.String(), "no space left") {
			t.Errorf("%v: exit %d, %q; want 3 and the reason", args, code, errOut.String())
		}
	}
}

func TestInterruptedAnswersStop(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	var out, errOut bytes.Buffer
	if code := run(ctx, []string{"worth", write(t, "rig.toml", goodRig)}, &out, &errOut); code != exitInterrupted || out.Len() > 0 {
		t.Errorf("exit %d, stdout %q; want 130 and nothing", code, out.String())
	}
}
