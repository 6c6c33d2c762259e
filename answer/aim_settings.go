package answer

import (
	"math"
	"slices"
	"strings"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/rigfile"
)

// siteOf is what the controller is told of the rig at a spot.
func siteOf(rig *rigfile.Rig, spot rigfile.Spot, bestA float64) aim.Site {
	still := compass.Equatorward(spot.Latitude)
	low, high := cableLimits(rig, spot.Spot)
	return aim.Site{Spot: spot.Spot, Still: still, Low: low, High: high,
		StepDeg: rig.Train.StepAtPanel(), BestA: bestA, Home: rig.HasHome}
}

// policySettings are those of a policy as usual at a site, with what the rig
// file says of the board and its sensor; own lays the file's own settings over.
func policySettings(rig *rigfile.Rig, site aim.Site, policy string, own bool) aim.Settings {
	s := aim.DefaultSettings(policy, site)
	s.WakeEveryS = rig.Board.WakeEveryS
	s.SeeA = math.Min(math.Max(s.SeeA, rig.Sensor.ResolutionA()), site.BestA)
	s.ParkHeading = rig.Park
	if !own {
		return s
	}
	for _, given := range rig.Dialled {
		for _, d := range aim.Dials() {
			if d.Name == given.Name {
				d.Set(&s, given.Value)
			}
		}
	}
	return s
}

// policy lists the settings by which the rig's policy aims: those that a search
// would turn, and those that the file gives.
func (l lister) policy(w *Wire) []ControllerSetting {
	s := policySettings(l.rig, siteOf(l.rig, l.spot, w.PanelA), l.rig.Policy, true)
	rows := []ControllerSetting{
		word("policy", l.rig.Policy, policyWords[l.rig.Policy], l.from("controller.policy")),
		word("waits for the morning at", l.rig.Park, "still: facing the equator; morning: where the sun will rise", l.from("controller.park_heading")),
	}
	turned := aim.Knobs(l.rig.Policy)
	for _, d := range aim.Dials() {
		key := "controller.settings." + d.Name
		if d.Name == "wake_every" {
			continue // told with the looks
		}
		if l.rig.Gives(key) || slices.ContainsFunc(turned, func(k aim.Knob) bool { return k.Name == d.Name }) {
			rows = append(rows, exact(d.Name, round3(d.Get(&s)), d.Unit, rigfile.DialMeaning(d.Name), strings.TrimPrefix(l.from(key), "controller.")))
		}
	}
	return rows
}

// round3 keeps three digits: no setting is finer.
func round3(x float64) float64 {
	if x == 0 {
		return 0
	}
	scale := math.Pow(10, 2-math.Floor(math.Log10(math.Abs(x))))
	return math.Round(x*scale) / scale
}

var policyWords = map[string]string{
	"clock": "turns to the computed sun",
	"climb": "hunts for the panel's greatest current",
	"eyes":  "balances two light sensors",
	"learn": "turns to the computed sun and learns how far north and time were set wrong",
}
