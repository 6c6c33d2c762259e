package rigfile

import "testing"

// What a trial needs is there without a word of it, by what the rig has.
func TestTrialByTheRig(t *testing.T) {
	for _, c := range []struct {
		name, more string
		want       Trial
	}{
		{"none", "", Trial{EveryS: 900, SettleS: 10, RecordS: 60, Days: 14}},
		{"plain charge controller", "[charge]\nkind = \"pwm\"\n", Trial{EveryS: 900, SettleS: 2, RecordS: 60, Days: 14}},
		{"the controller's own", "[controller.settings]\ntrial_every = \"20 min\"\n", Trial{EveryS: 1200, SettleS: 10, RecordS: 60, Days: 14}},
		{"the controller looks for none", "[controller.settings]\ntrial_every = 0\n", Trial{EveryS: 900, SettleS: 10, RecordS: 60, Days: 14}},
		{"the file's word", "[trial]\nevery = \"10 min\"\nsettle = \"5 s\"\nrecord = 30\ndays = 3\nmeasure = \"light\"\ncell_full_sun = \"150 mA\"\n[controller.settings]\ntrial_every = \"20 min\"\n",
			Trial{EveryS: 600, SettleS: 5, RecordS: 30, Days: 3, Measure: "light", CellFullA: 0.15}},
	} {
		rig, err := Read("hut.toml", []byte(least+c.more), nil)
		if err != nil {
			t.Fatal(c.name, err)
		}
		if rig.Trial != c.want {
			t.Errorf("%s: %+v, want %+v", c.name, rig.Trial, c.want)
		}
	}
	rig, err := Read("hut.toml", []byte(least+"[trial]\nstill = \"SSE\"\nheading_within = 2.5\n"), nil)
	if err != nil || *rig.Trial.Still != 157.5 || *rig.Trial.HeadingWithin != 2.5 {
		t.Errorf("%+v, %v", rig, err)
	}
	for _, a := range rig.AssumedFor(ForTrial) {
		if a.Key != "trial.every" && a.Key != "trial.settle" && a.Key != "trial.record" && a.Key != "trial.days" {
			t.Errorf("assumed for a trial: %+v", a)
		}
	}
}
