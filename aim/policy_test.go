package aim_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/aim"
	"turnsole/compass"
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
		_, up := p.sun()
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
			azimuth, up := p.sun()
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

// The switch closes at its edge, whichever side the panel comes from, and the
// heading is known from there to half of a step of the search.
func TestSwitchClosesAtItsEdge(t *testing.T) {
	for _, slip := range []compass.Angle{90, 60.7, -120, -60.7, -62.2, 20} {
		p := newPlant(t, 52, "clock", springS+9*3600, func(set *aim.Settings, site *aim.Site) {
			site.Home, set.MoveLeastDeg, set.LeadShare, set.ThreePointDeg = true, 0.2, 0, 0
		})
		p.fresh, p.slip = true, slip
		w := watchOff(p, springS+9.1*3600)
		p.run(0.05)
		if w.wakes < 3 || w.worst > 1.5+0.2+0.1 { // half a step, the least move, the sun while it turns
			t.Errorf("slipped by %v: %+v", slip, *w)
		}
	}
}

// A cable that goes round twice is not wound up for a sun that is nearer.
func TestSweepStaysNearStill(t *testing.T) {
	for _, policy := range []string{"climb", "eyes", "learn"} {
		for _, told := range []compass.Angle{-150, 180, 500} {
			p := newPlant(t, 52, policy, springS+10*3600, func(_ *aim.Settings, site *aim.Site) { site.Low, site.High = -180, 540 })
			p.fresh, p.told = true, told
			p.run(0.1)
			if turned := math.Abs(float64(p.told - p.site.Still)); turned > 180 {
				t.Errorf("%s that stood at %v is %v degrees round", policy, told, turned)
			}
			if off := math.Abs(float64(p.off())); off > 12 {
				t.Errorf("%s is %v off", policy, off)
			}
		}
	}
}

// A tracker that wanders by a few percent is no cloud: one look a day will do.
func TestOneThreePointLookWhereTheTrackerWanders(t *testing.T) {
	p := newPlant(t, 52, "clock", springS, nil)
	p.cloud = func(s float64) float64 { return 1 + 0.03*math.Sin(s*0.7) }
	looks := 0
	p.after = func(_ *plant, c command) {
		if c.Look != aim.NoLook {
			looks++
		}
	}
	p.run(6)
	if looks != 6*5 {
		t.Errorf("%d readings for three-point looks in six days", looks)
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
