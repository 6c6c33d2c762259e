package loop

import (
	"testing"

	"turnsole/aim"
	"turnsole/battery"
	"turnsole/compass"
	"turnsole/drive"
)

// A charge controller that does not take all that the panel gives must not teach
// a false north; what is really wrong is still learnt.
func TestLearnIsNotMisledByAFullBattery(t *testing.T) {
	rig := common(t)
	rig.Sail, rig.Eyes = Sail{}, false
	cells, err := battery.ChemistryNamed("agm")
	must(t, err)
	full, half := rig, rig
	full.Season.Battery.Battery = battery.New(cells, 120)
	full.Season.Loads = []battery.Load{{Name: "lamp", PowerW: 1, FromHour: 0, ToHour: 24}}
	full.Season.Board, err = drive.BoardNamed("usb-board")
	must(t, err)
	half.Season.Battery.Charger.InputLimitW = 40
	for name, rig := range map[string]Rig{"nearly full": full, "half of the power": half} {
		for seed := range uint64(2) {
			g := lay(t, &rig, made(t, seed))
			set := aim.DefaultSettings("learn", rig.Site(g))
			for _, north := range []compass.Angle{0, 20} {
				in := Input{Rig: rig, Policy: "learn", Settings: set, Seed: seed}
				in.Faults.CompassDeg = north
				// A sixth of what is seen of a reach of 30 degrees under a tracker
				// that wanders, and with north wrong the weeks until it is learnt.
				if got := run(t, g, in).Total.Error.MeanDeg; got > 5+float64(north)/5 {
					t.Errorf("%s, seed %d, north wrong by %v: %.1f degrees off", name, seed, north, got)
				}
			}
		}
	}
}
