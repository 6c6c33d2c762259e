package aim_test

import (
	"math"
	"testing"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/place"
	"turnsole/sun"
)

// script answers a policy's commands with currents by heading and by time.
func script(t *testing.T, current func(told compass.Angle, upS float64) float64) (told compass.Angle, turns int) {
	t.Helper()
	site := aim.Site{Spot: place.Spot{Latitude: 52}, Still: 180, Low: 45, High: 315, StepDeg: 0.1, BestA: 5}
	set := aim.DefaultSettings("climb", site)
	set.ThreePointDeg, set.StepDeg, set.SettleWithin = 0, 10, 0.02
	p, err := aim.New("climb", set, site)
	if err != nil {
		t.Fatal(err)
	}
	s := aim.Sight{Told: 150}
	for range 1000 {
		s.CurrentA = current(s.Told, s.UpS)
		switch c := p.Next(&s); c.Verb {
		case aim.Turn:
			s.Told = c.To
			s.UpS += 2
			turns++
		case aim.Rest:
			s.UpS += c.Seconds
		case aim.Sleep:
			return s.Told, turns
		}
	}
	t.Fatal("never sleeps")
	return
}

// One wake of climbing from 150 degrees.
func TestClimbLooksTwice(t *testing.T) {
	hill := func(at compass.Angle) func(compass.Angle, float64) float64 {
		return func(told compass.Angle, _ float64) float64 { return 0.5 + 3*(told-at).Cos() }
	}
	for _, c := range []struct {
		name    string
		current func(told compass.Angle, upS float64) float64
		want    compass.Angle
		turns   int
	}{
		{"on the summit", hill(150), 150, 4},
		{"clockwise", hill(178), 180, 3*3 + 2},
		{"counterclockwise", hill(131), 130, 2 + 2*3 + 2},
		{"farther than it may look", hill(230), 210, 6 * 3},
		{"too dark", func(compass.Angle, float64) float64 { return 0.2 }, 150, 0},
		{"no sensor", func(compass.Angle, float64) float64 { return math.NaN() }, 150, 0},
		{"flat light", func(compass.Angle, float64) float64 { return 1 }, 150, 4},
		{"the cloud leaves while it looks aside", func(told compass.Angle, up float64) float64 {
			if up < 7 {
				return 1
			}
			return 3
		}, 150, 2},
	} {
		told, turns := script(t, c.current)
		if math.Abs(float64(told-c.want)) > 1e-9 || turns != c.turns { // rounding of sums
			t.Errorf("%s: at %v after %d turns, want %v after %d", c.name, told, turns, c.want, c.turns)
		}
	}
}

// Fast clouds must not lead a climber astray: nine sleeps in ten begin no
// farther from the sun than it moves in two hours.
func TestCloudsDoNotLeadAstray(t *testing.T) {
	for seed := range 8 {
		p := newPlant(t, 52, "climb", springS, func(set *aim.Settings, _ *aim.Site) { set.ThreePointDeg = 0 })
		p.cloud = func(s float64) float64 {
			// Two waves of unlike length: sun for two thirds of the time.
			if x := math.Sin(s/37+float64(seed)) + math.Sin(s/101); x > -0.5 {
				return 1
			}
			return 0.1
		}
		far, wakes := 0, 0
		p.after = func(p *plant, c command) {
			if _, up := p.sun(); c.Verb == aim.Sleep && up > 15 && p.unixS > springS+86400 {
				wakes++
				if math.Abs(float64(p.off())) > 30 {
					far++
				}
			}
		}
		p.run(3)
		if wakes < 40 || far*10 > wakes {
			t.Errorf("sky %d: %d of %d sleeps ended over 30 degrees off", seed, far, wakes)
		}
	}
}

// A climber that has a clock, too, parks and sets out by it.
func TestClimberWithAClock(t *testing.T) {
	p := newPlant(t, 52, "climb", springS, func(_ *aim.Settings, site *aim.Site) {
		first := sun.JulianDayUnix(springS)
		site.Path = sun.NewPath(sun.At(site.Spot), first-1, first+4, 69)
	})
	nights := 0
	p.after = func(p *plant, c command) {
		_, up := p.sun()
		if up < -1 && c.Verb == aim.Turn {
			t.Fatalf("turned with the sun at %v", up)
		}
		if up < -10 && c.Verb == aim.Sleep && p.unixS > springS+86400 {
			nights++
			if math.Abs(float64(compass.Turn(p.faces(), 89))) > 3 {
				t.Errorf("at night it faces %v", p.faces())
			}
		}
	}
	p.run(3)
	if nights == 0 || nights > 12 {
		t.Errorf("%d wakes in two nights", nights)
	}
}
