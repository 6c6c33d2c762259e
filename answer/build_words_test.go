package answer

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"turnsole/stand"
)

// However firm a stand is reckoned to be, its settings never let it stand
// through a gale.
func TestSettingsTakeThePanelInBeforeAGale(t *testing.T) {
	for _, set := range [][]string{nil, {"stand.ballast=2000 kg", "stand.latched=true", "drive.brake=1000 Nm"}} {
		for _, name := range []string{"hut", "mast", "surf"} {
			settings, err := ListSettings(exampleRig(t, name, set...), "")
			if err != nil {
				t.Fatal(err)
			}
			found := false
			for _, g := range settings.Groups {
				for _, r := range g.Rows {
					if strings.HasSuffix(r.Name, "before a forecast of") {
						found = true
						if !(r.Figure >= 0 && r.Figure <= galeMS) {
							t.Errorf("%s: %s %v m/s (%s)", name, r.Name, r.Figure, r.Meaning)
						}
					}
				}
			}
			if !found {
				t.Errorf("%s: the settings do not say when to take the panel in", name)
			}
		}
	}
}

// A panel that nothing holds against turning still lies flat as long as it
// neither tips nor slides, and may be told to.
func TestNothingHoldsButLaidFlatItLies(t *testing.T) {
	rig := exampleRig(t, "hut", "drive.detent_torque=0 Nm", "drive.bearing_friction=0 Nm", "drive.off_plumb=0", "drive.brake=0 Nm")
	s, err := LookAtStand(rig, "")
	if err != nil {
		t.Fatal(err)
	}
	if _, takeInMS, layFlat := s.packing(); s.Wind.Turns.GustMS != 0 || !layFlat || !(takeInMS > s.standing().ForecastMS) {
		t.Errorf("turned from %v m/s; lay flat: %v, take in at %v m/s", s.Wind.Turns.GustMS, layFlat, takeInMS)
	}
	d, err := LookAtDrive(rig, "")
	if err != nil {
		t.Fatal(err)
	}
	if strings.Contains(d.Verdict, "plumb") {
		t.Errorf("the axle stands plumb: %q", d.Verdict)
	}
}

// Figures are written as a person reads them, and never as powers of ten.
func TestFiguresWithoutPowersOfTen(t *testing.T) {
	for x, want := range map[float64]string{0.126: "0.13", 9.4: "9.4", 12.4: "12", 153.2: "153", 4321: "4321", 0: "0"} {
		if got := counting(x); got != want {
			t.Errorf("%v is written %q, want %q", x, got, want)
		}
	}
	rig := exampleRig(t, "hut", "stand.wanted_wind=60 m/s", "controller.sensor_mv_per_a=20", "drive.phase_resistance=240 ohm", "drive.bearing_friction=99.7 Nm")
	power := regexp.MustCompile(`\de[+-]\d`)
	var words []string
	s, err := LookAtStand(rig, "")
	if err != nil {
		t.Fatal(err)
	}
	words = append(words, s.Findings...)
	w, err := SizeWires(rig)
	if err != nil {
		t.Fatal(err)
	}
	words = append(words, w.Findings...)
	list, err := ListShopping(rig, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range list.Groups {
		for _, item := range g.Items {
			words = append(words, item.Rating, item.MustFit)
		}
	}
	if s.PegN < 99.5*stand.GravityMS2 && !math.IsNaN(s.PegN) { // else the test would see nothing
		t.Errorf("a peg of %v N is too little for this test", s.PegN)
	}
	for _, one := range words {
		if power.MatchString(one) {
			t.Error(one)
		}
	}
}

// Before the tilt is changed it is told what gives way, not what turns, and
// when to take the panel in: never later than before a gale.
func TestEveryTiltIsTakenInInTime(t *testing.T) {
	for _, set := range []string{"stand.latched=true", "stand.ballast=2000 kg"} {
		for _, name := range []string{"hut", "mast", "surf"} {
			s, err := LookAtStand(exampleRig(t, name, set), "")
			if err != nil {
				t.Fatal(err)
			}
			text := s.EveryTilt()
			if strings.Contains(text, turnsIt) || !strings.Contains(text, "in a forecast of") && !strings.Contains(text, "No wind") || !strings.Contains(text, "before any gale") {
				t.Errorf("%s: %q", name, text)
			}
			for _, one := range s.Settings {
				_, takeInMS, _ := s.packingAt(one.Tilt, unturned(one.Wind))
				if one.Possible && takeInMS > galeMS {
					t.Errorf("%s at %v: taken in before %v m/s", name, one.Tilt, takeInMS)
				}
			}
		}
	}
}
