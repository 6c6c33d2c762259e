package aim_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/place"
	"turnsole/sun"
)

// settle is how far from the sun a policy may be when it falls asleep under a
// clear sky.
func settle(policy string, set aim.Settings) float64 {
	switch policy {
	case "climb":
		return set.StepDeg/2 + 1 // the light itself changes while it looks
	case "eyes":
		return 1 + float64(compass.Radians(math.Asin(set.EyesDeadband/3))) // 3 is the plant's eyes; a last half step
	}
	return set.MoveLeastDeg
}

// watch fails the test when a policy does on the plant what none may do: leave
// the limits, or turn while the sun is down. It counts the wakes by day that
// ended farther from the sun than band.
type watched struct{ wakes, far int }

func watch(p *plant, band float64, from float64) *watched {
	w := &watched{}
	p.after = func(p *plant, c command) {
		azimuth, up := p.sun()
		switch c.Verb {
		case aim.Turn:
			if c.To < p.site.Low || c.To > p.site.High {
				p.t.Fatalf("turned to %v, limits are %v and %v", c.To, p.site.Low, p.site.High)
			}
			// Without a clock, light is left for some minutes after sunset.
			if up < -0.5 && !p.noClock || up < -2 {
				p.t.Fatalf("turned with the sun at %v", up)
			}
		case aim.Sleep:
			slept := p.unixS
			p.unixS -= c.Seconds
			azimuth, up = p.sun()
			if !p.hunts { // it aims for the middle of its sleep
				p.unixS += 450
				azimuth, _ = p.sun()
			}
			p.unixS = slept
			if slept < from || up < 12 || up > 70 {
				return
			}
			w.wakes++
			if want := p.reach(azimuth); math.Abs(float64(compass.Turn(p.faces(), want))) > band+p.unseen(azimuth) {
				w.far++
				if testing.Verbose() {
					p.t.Logf("%.2f h: sun at %.1f, %.1f up, panel at %.1f", (slept-c.Seconds-p.startS)/3600, azimuth, up, p.faces())
				}
			}
		}
	}
	return w
}

// unseen is how far beyond half a step a climber may be from the sun before
// its sensor can tell the step's two ends apart: they differ by
// A 2 sin(step/2) sin(x), with A the current that the heading decides on.
func (p *plant) unseen(azimuth compass.Angle) float64 {
	if p.step == 0 {
		return 0
	}
	away, to := p.currentAt(azimuth+90), p.currentAt(azimuth)
	sin := p.see / ((to - away) * 2 * (p.step / 2).Sin())
	return float64(compass.Radians(math.Asin(min(1, sin))))
}

func TestEveryPolicyKeepsToTheSun(t *testing.T) {
	for _, c := range []struct {
		name     string
		latitude compass.Angle
		fromS    float64
		range_   compass.Angle // half of the cable's
		least    int           // wakes by day that must be seen
	}{
		{"spring", 52, springS, 135, 40},
		{"summer", 52, summerS, 135, 60},
		{"winter, low sun", 45, winterS, 135, 40},
		{"southern winter", -45, summerS, 135, 40},
		{"southern summer", -45, winterS, 135, 60},
		{"tropics, the sun goes round the north", 10, summerS, 270, 40},
		{"tropics, the sun goes round the south", -6, winterS, 270, 40},
		{"polar day, out of reach at night", 70, summerS, 135, 60},
	} {
		for _, policy := range aim.Policies() {
			t.Run(c.name+"/"+policy, func(t *testing.T) {
				var band, step float64
				p := newPlant(t, c.latitude, policy, c.fromS, func(set *aim.Settings, site *aim.Site) {
					site.Low, site.High = site.Still-c.range_, site.Still+c.range_
					set.ThreePointDeg = 0
					band, step = settle(policy, *set), set.StepDeg
				})
				if policy == "climb" {
					p.step, p.see = compass.Angle(step), 0.005*p.site.BestA // by default
				}
				w := watch(p, band, c.fromS+86400)
				p.run(3.2)
				// One in fifty may be off: the probe of learn, at its end, is on the
				// sun of now, and the cable's far end takes a wake to be reached.
				if w.wakes < c.least || w.far*50 > w.wakes {
					t.Errorf("%d of %d wakes more than %.1f degrees off", w.far, w.wakes, band)
				}
			})
		}
	}
}

func TestMorningFindsThePanelWaiting(t *testing.T) {
	for _, policy := range aim.Policies() {
		for _, park := range []string{"morning", "still", "stay"} {
			for _, latitude := range []compass.Angle{52, -45} {
				p := newPlant(t, latitude, policy, springS, func(set *aim.Settings, _ *aim.Site) { set.ParkHeading = park })
				night, risen := compass.Angle(math.NaN()), compass.Angle(math.NaN())
				p.after = func(p *plant, c command) {
					_, up := p.sun()
					switch {
					case p.unixS > springS+86400 && up < -10:
						night = p.faces()
					case night == night && up > 7 && risen != risen:
						risen = p.off()
					}
				}
				p.run(2.5)
				want := map[string]compass.Angle{"morning": 89, "still": p.site.Still, "stay": 269}[park]
				if off := compass.Turn(night, want); park != "stay" && math.Abs(float64(off)) > 3 || math.Abs(float64(off)) > 20 {
					t.Errorf("%s parks %q at %v", policy, park, night)
				}
				// An hour after sunrise.
				if !(math.Abs(float64(risen)) < 15) {
					t.Errorf("%s parked %q is %v off in the morning at %v", policy, park, risen, latitude)
				}
			}
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

func TestLearnCorrectsNorthAndClock(t *testing.T) {
	for _, c := range []struct {
		latitude compass.Angle
		north    compass.Angle
		lateS    float64
		days     float64
	}{
		{52, 12, 0, 3}, {52, -12, 0, 3}, {52, 0, 1800, 6}, {52, 10, -1800, 6}, {-45, 12, 0, 3}, {-45, -8, 1200, 6},
	} {
		p := newPlant(t, c.latitude, "learn", springS, func(set *aim.Settings, _ *aim.Site) { set.LeadShare = 0 })
		p.north, p.clockLateS = c.north, c.lateS
		w := watchOff(p, springS+c.days*86400)
		p.run(c.days + 1)
		// It stays where it is less than 3 degrees off; the rest is left to learn.
		if w.wakes < 30 || w.worst > 5 {
			t.Errorf("%+v: %.1f degrees off after %v days", c, w.worst, c.days)
		}
	}
}

type offs struct {
	wakes int
	worst float64
}

// watchOff keeps the largest angle to the sun at the beginning of a sleep by day.
func watchOff(p *plant, from float64) *offs {
	w := &offs{}
	p.after = func(p *plant, c command) {
		if c.Verb != aim.Sleep || p.unixS < from {
			return
		}
		p.unixS -= c.Seconds
		_, up := p.sun()
		if up > 12 {
			w.wakes++
			w.worst = max(w.worst, math.Abs(float64(p.off())))
		}
		p.unixS += c.Seconds
	}
	return w
}

func TestNewSpotIsSwept(t *testing.T) {
	for _, policy := range []string{"climb", "eyes", "learn"} {
		p := newPlant(t, 52, policy, springS+10*3600, nil)
		p.fresh, p.north = true, -100 // the box was put down facing anywhere
		w := watchOff(p, springS+11*3600)
		p.run(0.15)
		if w.wakes < 5 || w.worst > 10 {
			t.Errorf("%s: %+v", policy, *w)
		}
	}
}

func TestSwitchAtStillFindsTheHeading(t *testing.T) {
	for _, slip := range []compass.Angle{90, -120, 20} {
		p := newPlant(t, 52, "clock", springS+9*3600, func(_ *aim.Settings, site *aim.Site) { site.Home = true })
		p.fresh, p.slip = true, slip // rebooted: told is still, the panel is not
		w := watchOff(p, springS+10*3600)
		p.run(0.2)
		// Half a sleep's lead, the least move, and the switch's own width.
		if w.wakes < 5 || w.worst > 2.5+3+3 {
			t.Errorf("slipped by %v: %+v", slip, *w)
		}
	}
}

// Blown round while asleep, it misses the switch where it ought to be closed,
// at noon or on the way to its place for the night, and looks for it.
func TestSwitchIsMissed(t *testing.T) {
	for _, hour := range []float64{8, 15} {
		p := newPlant(t, 52, "clock", springS, func(_ *aim.Settings, site *aim.Site) { site.Home = true })
		p.run(hour / 24)
		p.slip = 35
		w := watchOff(p, springS+86400+7*3600)
		p.run(1.5)
		if w.wakes < 10 || w.worst > 2.5+3+3 { // as above
			t.Errorf("blown at %v o'clock: %+v", hour, *w)
		}
	}
}

func TestEndStopShowsTheHeading(t *testing.T) {
	p := newPlant(t, 52, "clock", springS+14*3600, nil)
	p.slip = 70 // it will run into the high stop in the evening
	p.run(0.2)
	if math.Abs(float64(p.slip)) < 60 {
		t.Fatalf("no stop was hit: %v", p.slip)
	}
	w := watchOff(p, springS+86400)
	p.run(1)
	if w.worst > 2.5+3+3 { // lead, least move, what is left to the count
		t.Errorf("%+v", *w)
	}
}

func TestPairsAreBracketed(t *testing.T) {
	p := newPlant(t, 52, "clock", springS+8*3600, func(set *aim.Settings, _ *aim.Site) { set.TrialEveryS, set.ThreePointDeg = 1700, 0 })
	p.told = 118
	looks := map[int32]string{}
	last := int32(0)
	p.after = func(p *plant, c command) {
		if c.Look == aim.NoLook {
			return
		}
		if c.Pair < last || c.Verb != aim.Rest {
			t.Fatalf("%+v after pair %d", c, last)
		}
		last = c.Pair
		if c.Look == aim.StillLook && p.told != p.site.Still || c.Look == aim.AimedLook && math.Abs(float64(p.off())) > 6 {
			t.Errorf("a look %v at %v", c.Look, p.told)
		}
		looks[c.Pair] += c.Look.String()[:1]
	}
	p.run(0.4)
	orders, before, after := map[string]int{}, 0, 0
	for number, order := range looks {
		orders[order]++
		if number%2 == 1 {
			before++
		} else {
			after++
		}
	}
	if orders["sas"] < 3 || orders["asa"] < 3 || orders["sas"]+orders["asa"] != len(looks) {
		t.Errorf("orders %v", orders)
	}
	// Every second wake of nine and a half hours, and most of them turned the panel.
	if before < 18 || before > 20 || after < before*2/3 || after > before {
		t.Errorf("%d before, %d after", before, after)
	}
}

func TestThreePointLookOnceAClearDay(t *testing.T) {
	for _, policy := range aim.Policies() {
		p := newPlant(t, 52, policy, springS, nil)
		seen := ""
		p.after = func(p *plant, c command) {
			if c.Look == aim.NoLook {
				return
			}
			seen += c.Look.String()[:1]
			off := map[aim.Look]float64{aim.AimedLook: 0, aim.LowLook: 20, aim.HighLook: -20}[c.Look]
			// As close to the sun as the policy is.
			if math.Abs(float64(p.off())-off) > 10 {
				t.Errorf("%s: the look %q is %v off the sun", policy, c.Look, p.off())
			}
		}
		p.run(3)
		if seen != "ahalaahalaahala" {
			t.Errorf("%s looks %q in three days", policy, seen)
		}
	}
}

func TestWindParks(t *testing.T) {
	p := newPlant(t, 52, "climb", springS, func(set *aim.Settings, _ *aim.Site) { set.WindParkMS = 12 })
	storm := func(s float64) bool { return s > springS+86400+14*3600 && s < springS+86400+15*3600 }
	p.wind = func(s float64) float64 {
		if storm(s) {
			return 15
		}
		return 3
	}
	faced := compass.Angle(0)
	p.after = func(p *plant, c command) {
		if storm(p.unixS-1000) && storm(p.unixS) {
			faced = p.told
		}
	}
	p.run(1 + 16.0/24)
	if faced != p.site.Still {
		t.Errorf("in the storm it faced %v", faced)
	}
	if math.Abs(float64(p.off())) > 15 { // an hour after it, sun gone on for a sleep
		t.Errorf("%v off after the storm", p.off())
	}
}

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

func TestClockOnlySleepsThroughTheNight(t *testing.T) {
	p := newPlant(t, 52, "clock", winterS, nil)
	asleep := 0
	p.after = func(p *plant, c command) {
		if _, up := p.sun(); up < -0.5 {
			asleep++
		}
	}
	p.run(5)
	if asleep > 5*8 {
		t.Errorf("woke %d times in five nights", asleep)
	}
}

// Anywhere, on any day, with any cable: no turn out of the limits or at night.
func TestNoPolicyTurnsWhereItMustNot(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		latitude := compass.Angle(rapid.Float64Range(-89, 89).Draw(rt, "latitude"))
		from := springS + 86400*math.Floor(rapid.Float64Range(0, 365).Draw(rt, "day"))
		policy := rapid.SampledFrom(aim.Policies()).Draw(rt, "policy")
		half := compass.Angle(rapid.Float64Range(20, 360).Draw(rt, "range"))
		p := newPlant(rt, latitude, policy, from, func(set *aim.Settings, site *aim.Site) {
			site.Low, site.High = site.Still-half, site.Still+half
			if rapid.Bool().Draw(rt, "clock") {
				first := sun.JulianDayUnix(from)
				site.Path = sun.NewPath(sun.At(site.Spot), first-1, first+4, 69)
			}
			set.TrialEveryS = rapid.SampledFrom([]float64{0, 3600}).Draw(rt, "trial")
		})
		p.fresh = rapid.Bool().Draw(rt, "fresh")
		watch(p, 180, from)
		p.run(1.5)
	})
}

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
		if len(aim.Knobs(policy)) < 4 {
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

// A day of commands, the plant's own sun included; and the policy must not
// allocate.
func BenchmarkDay(b *testing.B) {
	for _, policy := range aim.Policies() {
		b.Run(policy, func(b *testing.B) {
			b.ReportAllocs()
			p := newPlant(b, 52, policy, summerS, func(set *aim.Settings, _ *aim.Site) { set.TrialEveryS = 3600 })
			for b.Loop() {
				p.unixS = summerS
				p.run(1)
			}
		})
	}
}

func BenchmarkNext(b *testing.B) {
	p := newPlant(b, 52, "clock", summerS+12*3600, nil)
	s := p.sight()
	b.ReportAllocs()
	for b.Loop() {
		c := p.policy.Next(&s)
		s.UpS += 900
		if c.Verb == aim.Turn {
			s.Told = c.To
		}
	}
}

func TestNextDoesNotAllocate(t *testing.T) {
	for _, policy := range aim.Policies() {
		p := newPlant(t, 52, policy, summerS, func(set *aim.Settings, _ *aim.Site) { set.TrialEveryS = 3600 })
		if n := testing.AllocsPerRun(1, func() { p.run(1) }); n != 0 {
			t.Errorf("%s: %v allocations in a day", policy, n)
		}
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
