package aim_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"turnsole/aim"
	"turnsole/place"
	"turnsole/sun"
)

func TestRefusals(t *testing.T) {
	spot := place.Spot{Latitude: 52}
	good := aim.Site{Spot: spot, Still: 180, Low: 45, High: 315, StepDeg: 0.1, BestA: 5}
	withSun := good
	withSun.Path = sun.NewPath(sun.At(spot), sun.JulianDayUnix(springS), sun.JulianDayUnix(springS)+1, 69)
	for _, c := range []struct {
		policy string
		change func(*aim.Settings, *aim.Site)
		says   string // all of these words
	}{
		{"drift", nil, "drift clock climb eyes learn"},
		{"clock", func(_ *aim.Settings, s *aim.Site) { s.Path = nil }, "clock climb eyes"},
		{"climb", func(s *aim.Settings, _ *aim.Site) { s.WakeEveryS = 0 }, "wake_every never 7200"},
		{"climb", func(s *aim.Settings, _ *aim.Site) { s.WakeEveryS = math.NaN() }, "wake_every"},
		{"climb", func(s *aim.Settings, _ *aim.Site) { s.StepDeg = 200 }, "step half"},
		{"climb", func(s *aim.Settings, _ *aim.Site) { s.StepDeg = 0.01 }, "step 0.1"},
		{"climb", func(s *aim.Settings, _ *aim.Site) { s.StayBelowA = 6 }, "stay_below 5 less"},
		{"climb", func(s *aim.Settings, _ *aim.Site) { s.NightBelowA = 1 }, "night_below stay_below"},
		{"learn", func(s *aim.Settings, _ *aim.Site) { s.LearnRate = 2 }, "learn_rate 0 to 1"},
		{"learn", func(s *aim.Settings, _ *aim.Site) { s.SettleMostS = 1 }, "settle_most 3 s"},
		{"learn", func(s *aim.Settings, _ *aim.Site) { s.ParkHeading = "east" }, "park_heading east morning still stay"},
		{"eyes", func(_ *aim.Settings, s *aim.Site) { s.BestA = 0 }, "full sun"},
		{"eyes", func(_ *aim.Settings, s *aim.Site) { s.Low = 400 }, "limits smaller"},
		{"eyes", func(_ *aim.Settings, s *aim.Site) { s.Still = 20 }, "still 45 to 315"},
		{"eyes", func(_ *aim.Settings, s *aim.Site) { s.StepDeg = 0 }, "finest"},
		{"eyes", func(_ *aim.Settings, s *aim.Site) { s.Spot.Latitude = 91 }, "latitude"},
		{"eyes", func(s *aim.Settings, _ *aim.Site) { s.Looks = 0 }, "looks 1 to 50"},
	} {
		site := withSun
		set := aim.DefaultSettings(c.policy, site)
		if c.change != nil {
			c.change(&set, &site)
		}
		_, err := aim.New(c.policy, set, site)
		if err == nil {
			t.Errorf("%s: nothing said, want %q", c.policy, c.says)
			continue
		}
		for _, word := range strings.Fields(c.says) {
			if !strings.Contains(err.Error(), word) {
				t.Errorf("%q does not say %q", err, word)
			}
		}
	}
}

// What a search may set, New takes.
func TestKnobsTurnWhatTheySay(t *testing.T) {
	spot := place.Spot{Latitude: 52}
	site := aim.Site{Spot: spot, Still: 180, Low: 45, High: 315, StepDeg: 0.1, BestA: 5}
	site.Path = sun.NewPath(sun.At(spot), sun.JulianDayUnix(springS), sun.JulianDayUnix(springS)+1, 69)
	for _, policy := range aim.Policies() {
		if len(aim.Knobs(policy)) < 3 {
			t.Errorf("%s has %d knobs", policy, len(aim.Knobs(policy)))
		}
		for _, k := range aim.Knobs(policy) {
			set := aim.DefaultSettings(policy, site)
			if now := k.Get(&set); !(now >= k.Low && now <= k.High) && now != 0 {
				t.Errorf("%s: %s is %g to begin with, outside %g..%g", policy, k.Name, now, k.Low, k.High)
			}
			for _, x := range []float64{k.Low, k.High} {
				set := aim.DefaultSettings(policy, site)
				set.NightBelowA = 0.01
				set.SettleMostS = 60
				k.Set(&set, x)
				if got := k.Get(&set); got != x {
					t.Errorf("%s: %s set to %g reads %g", policy, k.Name, x, got)
				}
				set.SettleMostS = max(set.SettleMostS, set.LookS)
				if _, err := aim.New(policy, set, site); err != nil {
					t.Error(err)
				}
			}
		}
	}
	if aim.Knobs("drift") != nil {
		t.Error("knobs of no policy")
	}
}

func ExampleNew() {
	site := aim.Site{Still: 180, Low: 45, High: 315, StepDeg: 0.1, BestA: 5}
	settings := aim.DefaultSettings("climb", site)
	settings.WakeEveryS = 0
	_, err := aim.New("climb", settings, site)
	fmt.Println(err)
	// Output: wake_every is 0 s: it would never sleep; take 60 to 7200 s
}
