package answer_test

import (
	"math"
	"strings"
	"testing"

	"turnsole/answer"
	"turnsole/rigfile"
)

// geared is a rig whose drive can be reckoned by hand.
const geared = `
[spot]
latitude = %LAT%
longitude = 10
zone = "%ZONE%"
[panel]
power = "80 W"
isc = "4.7 A"
[battery]
chemistry = "lifepo4"
capacity = "40 Ah"
[drive]
full_step = 1.8
microsteps = 8
speed = "2 deg/s"
phase_current = "0.9 A"
backlash = 0.5
[[drive.stage]]
driver = 20
driven = 100
[controller]
sensor_range = "8 A"
sensor_mv_per_a = 250
sensor_noise = "0 mA"
sensor_bits = 12
`

func gearedAt(t *testing.T, latitude, zone string) *rigfile.Rig {
	text := strings.NewReplacer("%LAT%", latitude, "%ZONE%", zone).Replace(geared)
	rig, err := rigfile.Read("rig.toml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	return rig
}

func setting(t *testing.T, s *answer.Settings, name string) answer.ControllerSetting {
	for _, g := range s.Groups {
		for _, row := range g.Rows {
			if row.Name == name {
				return row
			}
		}
	}
	t.Fatalf("no setting %q", name)
	return answer.ControllerSetting{}
}

func listed(t *testing.T, rig *rigfile.Rig) *answer.Settings {
	s, err := answer.ListSettings(rig, "")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSettingsByHand(t *testing.T) {
	s := listed(t, gearedAt(t, "47", "Europe/Berlin"))
	for name, want := range map[string]struct {
		figure float64
		value  string
	}{
		"latitude":              {47, "47"},
		"UTC offset in January": {1, "1"},
		"UTC offset in July":    {2, "2"},
		"still heading":         {180, "180"},
		"gear ratio":            {5, "5"},
		// 200 full steps of 8, five times: 8000 to a turn.
		"microsteps a degree": {8000.0 / 360, "22.222"},
		"microsteps a turn":   {8000, "8000"},
		"top speed":           {2 * 8000.0 / 360, "44"},
		"play (backlash)":     {0.5, "0.50"},
		"play in steps":       {12, "12"}, // 11.1 in whole ones
		// 5 V / 4096 / 0.25 V an ampere.
		"converter steps an ampere": {204.8, "204.80"},
		"driver's current limit":    {0.9, "0.9"},
		"end stops at":              {0, "0"},
	} {
		got := setting(t, s, name)
		// Figures above are to four digits; the panel's current in full sun is a fit.
		if math.Abs(got.Figure-want.figure) > 2e-3*math.Max(1, want.figure) || got.Value != want.value {
			t.Errorf("%s: %s (%v), want %s (%v)", name, got.Value, got.Figure, want.value, want.figure)
		}
	}
	if w := setting(t, s, "coils between moves"); w.Value != "off" || !math.IsNaN(w.Figure) {
		t.Errorf("%+v", w)
	}
}

func TestSettingsSayWhereTheyComeFrom(t *testing.T) {
	s := listed(t, gearedAt(t, "47", "Europe/Berlin"))
	for name, want := range map[string]string{
		"microsteps a full step": "drive.microsteps", "acceleration": "drive.acceleration (usual)",
		"latitude": "spot.latitude", "play (backlash)": "drive.backlash", "gear ratio": "the teeth",
	} {
		if got := setting(t, s, name).From; got != want {
			t.Errorf("%s comes from %q, want %q", name, got, want)
		}
	}
	rig, err := rigfile.Read("surf", []byte(example(t, "surf")), nil)
	if err != nil {
		t.Fatal(err)
	}
	s, err = answer.ListSettings(rig, "yard")
	if err != nil {
		t.Fatal(err)
	}
	if got := setting(t, s, "latitude"); got.From != "spot.yard.latitude" || got.Value != "-45.86" {
		t.Errorf("%+v", got)
	}
}

func example(t *testing.T, name string) string {
	for _, e := range rigfile.Examples() {
		if e.Name == name {
			return e.TOML
		}
	}
	t.Fatalf("no example %q", name)
	return ""
}

// The panel turns as far to the left as to the right of its still heading
// outside the tropics, and the still heading lies within its limits everywhere.
func TestLimitsLieAboutTheStillHeading(t *testing.T) {
	for _, latitude := range []string{"60", "47", "24", "5", "0", "-5", "-24", "-47"} {
		s := listed(t, gearedAt(t, latitude, "UTC+1"))
		low, high := setting(t, s, "limit anticlockwise").Figure, setting(t, s, "limit clockwise").Figure
		if !(low < 0 && high > 0) {
			t.Errorf("%s: limits %v and %v", latitude, low, high)
		}
		// The limits are whole degrees outward, and the sun's year is even to a
		// fraction of a degree.
		if abs := math.Abs(setting(t, s, "latitude").Figure); abs > 23.5 && math.Abs(low+high) > 1.5 {
			t.Errorf("%s: limits %v and %v", latitude, low, high)
		}
	}
}

func TestSettingsWarnOfABlindSensor(t *testing.T) {
	text := strings.Replace(geared, "sensor_bits = 12", "sensor_bits = 8", 1)
	rig, err := rigfile.Read("rig.toml", []byte(strings.NewReplacer("%LAT%", "47", "%ZONE%", "UTC+1").Replace(text)), nil)
	if err != nil {
		t.Fatal(err)
	}
	if s := listed(t, rig); anyContains(s.Warnings, "it cannot tell") { // a clock asks no sensor
		t.Errorf("%q", s.Warnings)
	}
	rig.Policy = "climb"
	if s := listed(t, rig); !anyContains(s.Warnings, "it cannot tell 10 degrees") {
		t.Errorf("%q", s.Warnings)
	}
	if s := listed(t, gearedAt(t, "47", "UTC+1")); anyContains(s.Warnings, "it cannot tell") {
		t.Errorf("%q", s.Warnings)
	}
}

func steps(t *testing.T, rig *rigfile.Rig) (f *answer.FirstPower, all string) {
	f, err := answer.PlanFirstPower(rig, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range f.Parts {
		all += "\n## " + p.Name + "\n" + p.Hazard + "\n"
		for _, s := range p.Steps {
			all += s.Do + " | " + s.See + " | " + s.Else + "\n"
		}
	}
	return f, all
}

func TestFirstPowerHasTheRigsFigures(t *testing.T) {
	_, all := steps(t, gearedAt(t, "47", "Europe/Berlin"))
	for _, want := range []string{
		"12.8 to 13.6 V",          // of a resting lithium battery
		"about 23 mA awake",       // 0.29 W at 12.8 V
		"about 14 mA asleep",      // 0.18 W
		"0.9 A a coil",            // phase current
		"jog 222 microsteps",      // 10 degrees at 8000 to a turn
		"2000 microsteps in all",  // 90 degrees
		"2.6 mm of free play",     // tan 0.5 degrees at 300 mm
		"from east through south", // the sun's way
		"turns 90 degrees clockwise, to the west",
		"sharp shadows: 2.8 to 4.9 A", // 0.6 and 1.05 of 4.7 A
		"Never two supplies at once", "live driver", "Battery first, panel second", "below freezing",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("no %q in %s", want, all)
		}
	}
}

// What is done must be possible when its turn comes: the current limit before
// the motor is plugged in, the turning tried before the panel is on, the battery
// on the charge controller before the panel.
func TestFirstPowerIsInOrder(t *testing.T) {
	for _, e := range rigfile.Examples() {
		rig, err := rigfile.Read(e.Name, []byte(e.TOML), nil)
		if err != nil {
			t.Fatal(err)
		}
		_, all := steps(t, rig)
		last := 0
		for _, want := range []string{"no USB cable", "own poles|plug's tips", "its fuse|fuse (", "current limit to", "plug the motor in", "Does west go west",
			"whole range", "The panel goes on", "Covered panel's plugs", "read the current sensor", "Sheet off", "in 12 hours"} {
			at := -1
			for _, form := range strings.Split(want, "|") {
				if i := strings.Index(all, form); i >= 0 && (at < 0 || i < at) {
					at = i
				}
			}
			if at < last {
				t.Errorf("%s: %q stands at %d, after what follows it (%d)", e.Name, want, at, last)
			}
			last = max(last, at)
		}
	}
}

func TestFirstPowerKnowsTheHemisphere(t *testing.T) {
	for latitude, want := range map[string][2]string{
		"-47": {"from east through north to west, anticlockwise", "turns 90 degrees anticlockwise, to the west"},
		"47":  {"from east through south to west, clockwise", "turns 90 degrees clockwise, to the west"},
		"-6":  {"through north on days when noon shadows fall south", "turns 90 degrees anticlockwise, to the west"},
	} {
		_, all := steps(t, gearedAt(t, latitude, "UTC+1"))
		for _, w := range want {
			if !strings.Contains(all, w) {
				t.Errorf("%s: no %q", latitude, w)
			}
		}
	}
}

func TestFirstPowerOfAPowerBox(t *testing.T) {
	rig, err := rigfile.Read("surf", []byte(example(t, "surf")), nil)
	if err != nil {
		t.Fatal(err)
	}
	f, all := steps(t, rig)
	if strings.Contains(all, "battery's fuse out") || !strings.Contains(all, "box's output off") || !strings.Contains(all, "box's solar input") {
		t.Errorf("a power box has no battery to unscrew: %s", all)
	}
	if len(f.Cautions) < 3 {
		t.Errorf("%q", f.Cautions)
	}
}
