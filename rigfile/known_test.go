package rigfile

import "testing"

func TestEveryKeyIsKnown(t *testing.T) {
	var walk func(sec *section, path string)
	walk = func(sec *section, path string) {
		for _, k := range sec.keys {
			if sec.later {
				continue
			}
			at := join(path, k.name)
			if known, ok := KeyAt(at); !ok || known.Meaning != k.doc || known.Must != k.must {
				t.Errorf("%s: %+v %v", at, known, ok)
			}
		}
		for i := range sec.inner {
			walk(&sec.inner[i], join(path, sec.inner[i].name))
		}
	}
	walk(sections(), "")
	for _, path := range []string{"", "stand", "stand.tiltt", "panel.x.power", "load.lamp.x", "nowhere.tilt"} {
		if k, ok := KeyAt(path); ok {
			t.Errorf("%q is known as %+v", path, k)
		}
	}
}

func TestWhatStandsAtAKey(t *testing.T) {
	src := "[spot]\nlatitude = 52.28\nlongitude = -3.62\n[panel]\npower = \"80 W\"\n[battery]\ncapacity = \"40 Ah\"\n[[load]]\nname = \"lamp\"\npower = \"5 W\"\nfrom = 18:30:00\nto = \"22:00\"\n[stand]\nlatched = true\n"
	rig, err := Read("a.toml", []byte(src), []string{"stand.tilt=55", "panel.mass=6 kg"})
	if err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]string{
		"spot.latitude": "52.28", "panel.power": "80 W", "load.lamp.power": "5 W", "load.lamp.from": "18:30:00",
		"stand.tilt": "55", "panel.mass": "6 kg", "stand.latched": "true", "stand.lowest": "0", "panel.voc": "", "spot.skyline": "", "x.y": "",
	} {
		if got := rig.Written(key); got != want {
			t.Errorf("%s: %q, not %q", key, got, want)
		}
	}
	load, _ := KeyAt("load.lamp.power")
	ground, _ := KeyAt("spot.ground")
	if load.Path != "load.lamp.power" || len(ground.Choices) < 5 || ground.Choices[0] != "unknown" {
		t.Errorf("%+v %+v", load, ground)
	}
}
