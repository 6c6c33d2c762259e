package main

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"turnsole/rigfile"
)

// example writes a rig file that comes with the program.
func example(t *testing.T, name string) string {
	t.Helper()
	for _, e := range rigfile.Examples() {
		if e.Name == name {
			return write(t, name+".toml", e.TOML)
		}
	}
	t.Fatalf("no example %s", name)
	return ""
}

// asked runs a command with --json and returns its object.
func asked(t *testing.T, args ...string) map[string]any {
	t.Helper()
	code, out, errOut := turnsole(t, append(args, "--json")...)
	if code != 0 || errOut != "" {
		t.Fatalf("%v: exit %d, %s", args, code, errOut)
	}
	var answer map[string]any
	if err := json.Unmarshal([]byte(out), &answer); err != nil {
		t.Fatal(err)
	}
	return answer
}

func has(t *testing.T, of map[string]any, keys ...string) {
	t.Helper()
	for _, key := range keys {
		if _, ok := of[key]; !ok {
			t.Errorf("no %s in %.200v", key, of)
		}
	}
}

// TestStandKeepsItsContract on every kind of stand, and on a rig file that
// says nothing of it.
func TestStandKeepsItsContract(t *testing.T) {
	for _, file := range []string{example(t, "hut"), example(t, "mast"), example(t, "surf"), write(t, "rig.toml", goodRig),
		write(t, "flat.toml", strings.Replace(goodRig, "tilt = 40", "tilt = 0", 1))} {
		a := asked(t, "stand", file)
		has(t, a, "settings", "wind", "ballast_kg", "cautions", "assumed", "verdict")
		possible := 0
		for _, s := range a["settings"].([]any) {
			s := s.(map[string]any)
			has(t, s, "front", "back", "tilt_deg", "possible")
			if s["possible"].(bool) {
				possible++
				if tilt := s["tilt_deg"].(float64); tilt < 0 || tilt > 90 {
					t.Errorf("%s: a possible tilt of %v", file, tilt)
				}
			} else if s["why"] == "" {
				t.Errorf("%s: not possible, and no reason: %v", file, s)
			}
		}
		if possible == 0 {
			t.Errorf("%s: no setting is possible", file)
		}
		for name, limit := range a["wind"].(map[string]any) {
			l := limit.(map[string]any)
			has(t, l, "gust_m_s", "forecast_m_s")
			if (l["gust_m_s"] == nil) != (l["forecast_m_s"] == nil) || l["how"] == "" {
				t.Errorf("%s: %s is %v", file, name, l)
			}
		}
		if len(a["cautions"].([]any)) == 0 {
			t.Errorf("%s: no cautions beside the wind", file)
		}
	}
}

func TestDriveKeepsItsContract(t *testing.T) {
	for _, file := range []string{example(t, "hut"), example(t, "mast"), example(t, "surf"), write(t, "rig.toml", goodRig)} {
		a := asked(t, "drive", file)
		has(t, a, "degrees_per_step", "backlash_deg", "torque_margin", "wh_per_day", "cable_wrap_deg")
		day := a["wh_per_day"].(map[string]any)
		has(t, day, "motor", "awake", "asleep")
		whole := a["degrees_per_full_step"].(float64) * a["ratio"].(float64)
		if math.Abs(whole-1.8) > 1e-9 { // rounding; every example has 200 steps a turn
			t.Errorf("%s: a full step of the motor is %v degrees", file, whole)
		}
	}
	// A turn of 200 full steps geared down by 10.
	a := asked(t, "drive", write(t, "rig.toml", goodRig), "--set", "drive.microsteps=1")
	if got := a["degrees_per_step"].(float64); math.Abs(got-0.18) > 1e-12 { // rounding
		t.Errorf("a full step through 17:170 is %v degrees, want 0.18", got)
	}
}

func TestWireKeepsItsContract(t *testing.T) {
	for _, file := range []string{example(t, "hut"), example(t, "mast"), example(t, "surf"), write(t, "rig.toml", goodRig)} {
		a := asked(t, "wire", file)
		for _, r := range a["runs"].([]any) {
			r := r.(map[string]any)
			has(t, r, "name", "mm2", "drop_fraction", "fuse_a")
			if drop := r["drop_fraction"].(float64); !(drop > 0 && drop < 0.06) {
				t.Errorf("%s: %v loses %v", file, r["name"], drop)
			}
			if fuse, ok := r["fuse_a"].(float64); ok && fuse > r["max_a"].(float64) {
				t.Errorf("%s: the fuse of %v lets its cable burn", file, r["name"])
			}
		}
	}
	// The loop-drop example of a handbook is in checks/wiring.go; here a builder's
	// own cable is kept, and its fault told.
	a := asked(t, "wire", write(t, "rig.toml", goodRig), "--set", "panel.cable=0.75 mm2")
	if run := a["runs"].([]any)[0].(map[string]any); run["mm2"].(float64) != 0.75 {
		t.Errorf("the builder's own cable became %v mm2", run["mm2"])
	}
	if p := a["problems"].([]any); len(p) == 0 || p[0].(map[string]any)["key"] != "panel.cable" {
		t.Errorf("too thin a cable: %v", p)
	}
}

func TestNotchesKeepTheirContract(t *testing.T) {
	file := write(t, "rig.toml", goodRig)
	last := 0.0
	for _, count := range []string{"1", "2", "4"} {
		a := asked(t, "notches", file, "--count", count)
		has(t, a, "notches", "calendar", "light_kwh_m2", "of_daily_best", "turning", "verdict", "seed")
		share := a["of_daily_best"].(float64)
		if share < last || share > 1+1e-9 {
			t.Errorf("%s notches reach %v of the daily best, fewer %v", count, share, last)
		}
		last = share
		calendarHolds(t, a)
		calendarHolds(t, a["turning"].(map[string]any))
	}
	a := asked(t, "notches", file, "--count", "2", "--seed", "9")
	b := asked(t, "notches", file, "--count", "2", "--seed", "9")
	if a["panel_wh"] != b["panel_wh"] {
		t.Error("the same seed gives another answer")
	}
}

// calendarHolds: every day of the year lies in one stretch, and stretches name
// notches that are there.
func calendarHolds(t *testing.T, plan map[string]any) {
	t.Helper()
	notches := plan["notches"].([]any)
	for month := 1; month <= 12; month++ {
		for day := 1; day <= 28; day++ {
			in := 0
			for _, s := range plan["calendar"].([]any) {
				s := s.(map[string]any)
				at := twoDigits(month) + "-" + twoDigits(day)
				from, to := s["from"].(string), s["to"].(string)
				if from <= to && at >= from && at <= to || from > to && (at >= from || at <= to) {
					in++
				}
				if n := int(s["notch"].(float64)); n < 1 || n > len(notches) {
					t.Fatalf("notch %d of %d", n, len(notches))
				}
			}
			if in != 1 {
				t.Fatalf("%02d-%02d lies in %d stretches of %v", month, day, in, plan["calendar"])
			}
		}
	}
}

func twoDigits(n int) string { return string([]byte{'0' + byte(n/10), '0' + byte(n%10)}) }

// TestBadBuilds: what can't be built is refused with the key and what would
// work.
func TestBadBuilds(t *testing.T) {
	hut := example(t, "hut")
	for name, c := range map[string]struct{ set, want string }{
		"legs too short":       {"stand.leg_length=10 cm", "271 mm would just reach"},
		"notch off the rail":   {`stand.notches_at=["50 cm","2 m"]`, "a rail of 2037 mm would hold it"},
		"no wood between":      {`stand.notches_at=["50 cm","51 cm"]`, "stand.notches_at: the notches at 500 mm and 510 mm"},
		"four teeth":           {"drive.stage.2.driver=4", "take 17 or more"},
		"negative mass":        {"stand.mass=-2 kg", "stand.mass"},
		"fuse over the cable":  {"panel.fuse=40 A", "panel.fuse: a fuse of 40 A"},
		"ballast outside":      {"stand.ballast_radius=1 m", "lay it within that"},
		"two feet":             {"stand.feet=2", "stand.feet"},
		"no such cable":        {"panel.cable=0.6 mm2", "panel.cable"},
		"hinge off the panel":  {"stand.hinge_at=2 m", "stand.hinge_at"},
		"prop without a foot":  {"stand.kind=prop", "prop_foot"},
		"list without tilts":   {"stand.kind=listed", "tilts = [22, 38, 61]"},
		"fold off the panel":   {"panel.fold_at=1 m", "panel.fold_at"},
		"teeth that jam":       {"drive.stage.2.centre=20 mm", "belong 110.5 mm apart"},
		"cable range backward": {"drive.cable_range=[300,20]", "write [20, 300]"},
		"two powers":           {"panel.power=80 W 90 W", "panel.power"},
		"feet and less":        {"stand.rail_height=1 ft -2 in", "stand.rail_height"},
		"no cable range":       {"drive.cable_range=[90,90]", "is no range"},
		"unknown footing":      {"stand.footing=ice", "stand.footing"},
		"unknown country":      {"spot.terrain=moon", "spot.terrain"},
	} {
		t.Run(name, func(t *testing.T) {
			code, out, errOut := turnsole(t, "stand", hut, "--set", "panel.cable=4 mm2", "--set", c.set)
			if code != exitBadInput || out != "" || !strings.Contains(errOut, c.want) {
				t.Errorf("exit %d, stdout %.60q, stderr %q; want 2, nothing, %q", code, out, errOut, c.want)
			}
		})
	}
}

// A wind that must not be reached is never told as more than it is.
func TestWindsAreRoundedDown(t *testing.T) {
	for wind, want := range map[float64]string{7.68: "7.6", 11.99: "11.9", 12: "12.0", math.Inf(1): "–"} {
		if got := metres(wind); got != want {
			t.Errorf("%v m/s is told as %s, want %s", wind, got, want)
		}
	}
}

// Lengths in feet come out in metres with three digits.
func TestLengthsAreTold(t *testing.T) {
	_, out, errOut := turnsole(t, "wire", write(t, "rig.toml", goodRig), "--set", "panel.cable_length=16 ft")
	if !strings.Contains(out, "4.88") || strings.Contains(out, "4.8768") {
		t.Errorf("16 ft are told as\n%s%s", out, errOut)
	}
}

// TestSheetsAreWrittenWholeOrNotAtAll.
func TestSheetsAreWrittenWholeOrNotAtAll(t *testing.T) {
	hut, out := example(t, "hut"), filepath.Join(t.TempDir(), "all.pdf")
	for _, args := range [][]string{{"all"}, {"all", "--paper", "letter", "--inches"}, {"setup", "--date", "2026-03-20", "--date", "2026-06-21"}} {
		code, _, errOut := turnsole(t, append([]string{"sheet", args[0], hut, "-o", out}, args[1:]...)...)
		pdf, _ := os.ReadFile(out)
		if code != 0 || errOut != "" || !strings.HasPrefix(string(pdf), "%PDF-") || !strings.HasSuffix(strings.TrimSpace(string(pdf)), "%%EOF") {
			t.Fatalf("%v: exit %d, %s, %d bytes", args, code, errOut, len(pdf))
		}
	}
	before, _ := os.ReadFile(out)
	for _, kind := range sheetKinds {
		if code, _, errOut := turnsole(t, "sheet", kind.name, hut, "-o", out, "--spot", "moon"); code != exitBadInput || !strings.Contains(errOut, "moon") {
			t.Errorf("%s for a spot that is not there: exit %d, %q", kind.name, code, errOut)
		}
	}
	for name, args := range map[string][]string{
		"no such sheet":  {"poem", hut, "-o", out},
		"no such day":    {"setup", hut, "-o", out, "--date", "2026-02-31"},
		"past the model": {"setup", hut, "-o", out, "--date", "12026-01-01"},
		"no such spot":   {"setup", hut, "-o", out, "--spot", "moon"},
		"no such paper":  {"buy", hut, "-o", out, "--paper", "a0"},
		"no such folder": {"buy", hut, "-o", filepath.Join(t.TempDir(), "a", "b.pdf")},
		"a folder":       {"buy", hut, "-o", t.TempDir()},
		"no PDF named":   {"buy", hut},
		"onto the rig":   {"buy", hut, "-o", hut},
		"onto nothing":   {"buy", hut, "-o", ""},
		"four days":      {"setup", hut, "-o", out, "--date", "2026-01-01", "--date", "2026-01-02", "--date", "2026-01-03", "--date", "2026-01-04"},
		"no notch":       {"season", hut, "-o", out, "--count", "0"},
		"bad rig":        {"buy", write(t, "bad.toml", "x = 1"), "-o", out},
	} {
		code, stdout, errOut := turnsole(t, append([]string{"sheet"}, args...)...)
		if code != exitBadInput || stdout != "" || errOut == "" {
			t.Errorf("%s: exit %d, stdout %q, stderr %q; want 2", name, code, stdout, errOut)
		}
	}
	after, _ := os.ReadFile(out)
	if string(before) != string(after) {
		t.Error("a refused sheet touched what was there")
	}
	if left, _ := filepath.Glob(filepath.Join(filepath.Dir(out), ".turnsole-*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}
