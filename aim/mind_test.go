package aim

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/sun"
)

func TestFitKeepsToTheCable(t *testing.T) {
	for _, c := range []struct{ low, high, azimuth, near, want compass.Angle }{
		{45, 315, 180, 0, 180},
		{45, 315, 44, 60, 45},     // just out of reach
		{45, 315, 350, 60, 315},   // the other limit is closer to it
		{-135, 135, 350, 0, -10},  // through north without a jump
		{-135, 135, 190, 0, -135}, // in the gap, nearer to 225
		{-180, 540, 10, 300, 370}, // of three, the nearest
		{-180, 540, 10, 20, 10},
		{-180, 540, 10, 5000, 370},
		{0, 360, 0, 300, 360},
		{0, 360, 0, 100, 0},
	} {
		site := Site{Low: c.low, High: c.high}
		if got := site.fit(c.azimuth, c.near); math.Abs(float64(got-c.want)) > 1e-9 { // rounding of sums
			t.Errorf("%v within %v..%v near %v: %v, want %v", c.azimuth, c.low, c.high, c.near, got, c.want)
		}
	}
}

func TestPairsComeInBothOrders(t *testing.T) {
	m := &mind{dice: 1}
	heads := 0
	for range 1000 {
		if m.chance() {
			heads++
		}
	}
	// Five standard deviations of a fair coin: 5 x sqrt(1000)/2.
	if heads < 421 || heads > 579 {
		t.Errorf("%d of 1000", heads)
	}
}

// Looks at a panel that is free to give tell where the sun is; looks at one
// whose charge controller does not take all tell nothing.
func TestSummitOfACosine(t *testing.T) {
	look := func(off, reach float64, of func(e compass.Angle) float64) (compass.Angle, bool) {
		m := &mind{set: Settings{SeeA: 0.01}}
		for i, at := range []float64{0, reach, 0, -reach, 0} {
			m.tour.readA[i] = of(compass.Angle(at - off))
		}
		return m.summit(compass.Angle(reach))
	}
	free := func(e compass.Angle) float64 { return 0.5 + 3*max(0, e.Cos()) }
	for _, reach := range []float64{15, 30} {
		for off := -60.0; off <= 60; off += 7.5 {
			got, seen := look(off, reach, free)
			if !seen || math.Abs(float64(got)-off) > 1e-6 && math.Abs(off)+reach <= 90 { // rounding
				t.Errorf("%v, %v to both sides: %v, %v", off, reach, got, seen)
			}
			if float64(got)*off < 0 {
				t.Errorf("%v: %v, the wrong way", off, got)
			}
		}
	}
	for name, of := range map[string]func(compass.Angle) float64{
		"flat":      func(e compass.Angle) float64 { return 1 + 0.0001*float64(e) },
		"full":      func(e compass.Angle) float64 { return min(free(e), 1.5) },
		"high volt": func(e compass.Angle) float64 { return min(free(e), 1.5) * (1 - 0.1*max(0, free(e)-1.5)) },
		"a cloud":   func(e compass.Angle) float64 { return 3 - 2*min(1, math.Abs(float64(e))/20) },
	} {
		for off := -10.0; off <= 10; off += 5 {
			if got, seen := look(off, 30, of); seen {
				t.Errorf("%s, %v: a summit at %v", name, off, got)
			}
		}
	}
	// One side just below what the charge controller takes: the way is right.
	if got, seen := look(12, 30, func(e compass.Angle) float64 { return min(free(e), 3) }); seen && got < 0 {
		t.Errorf("clipped: %v", got)
	}
}

// The sun stands in the middle between the flanks of a sweep, whether or not its
// top is cut off by what the charge controller takes.
func TestMiddleOfASweep(t *testing.T) {
	for _, most := range []float64{9, 2, 1} {
		for off := 120.0; off <= 240; off += 8 {
			m := &mind{site: Site{Low: 45, High: 315}, set: Settings{SweepDeg: 20}, heading: 180}
			m.planSweep()
			for i, h := range m.tour.heading[:m.tour.stops] {
				m.tour.readA[i] = min(0.3+3*max(0, (h-compass.Angle(off)).Cos()), most)
			}
			got, seen := m.middle()
			// A fifth of the step: the flanks are taken for straight.
			if !seen && off > 140 && off < 220 || seen && math.Abs(float64(got)-off) > 4 {
				t.Errorf("sun at %v, no more than %v A: %v, %v", off, most, got, seen)
			}
		}
	}
	m := &mind{site: Site{Low: 45, High: 315}, set: Settings{SweepDeg: 20}, heading: 180}
	m.planSweep()
	for i := range m.tour.readA {
		m.tour.readA[i] = []float64{1, 3}[min(i/7, 1)] // a cloud has come
	}
	if got, seen := m.middle(); seen {
		t.Errorf("a step has its middle at %v", got)
	}
}

// Whatever is read, switches and stops included, the panel is never sent out
// of the cable's limits, as far as the controller can know them, and never
// told to rest for no time or for ever.
func TestAnySightGivesAnAllowedCommand(t *testing.T) {
	spot := place.Spot{Latitude: 52}
	from := sun.JulianDayUnix(1773964800)
	path := sun.NewPath(sun.At(spot), from, from+4, 69)
	odd := []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, 1e300, -1e300}
	rapid.Check(t, func(t *rapid.T) {
		any := func(name string, low, high float64) float64 {
			if rapid.IntRange(0, 9).Draw(t, name+" odd") == 0 {
				return rapid.SampledFrom(odd).Draw(t, name)
			}
			return rapid.Float64Range(low, high).Draw(t, name)
		}
		site := Site{Spot: spot, Still: 180, Low: 45, High: 315, StepDeg: 0.1, BestA: 5, Path: path, Home: rapid.Bool().Draw(t, "switch")}
		name := rapid.SampledFrom(policies).Draw(t, "policy")
		set := DefaultSettings(name, site)
		set.TrialEveryS = rapid.SampledFrom([]float64{0, 900}).Draw(t, "trial")
		set.WindParkMS = rapid.SampledFrom([]float64{0, 12}).Draw(t, "wind park")
		p, err := New(name, set, site)
		if err != nil {
			t.Fatal(err)
		}
		m := p.(*mind)
		s := Sight{UnixS: 1773964800, Told: 180, Fresh: true}
		for range 300 {
			c := p.Next(&s)
			s.Fresh = rapid.IntRange(0, 50).Draw(t, "fresh") == 0
			s.Stop = max(-1, rapid.IntRange(-20, 1).Draw(t, "stop")+19*rapid.IntRange(0, 1).Draw(t, "no stop"))
			s.Home = rapid.IntRange(0, 9).Draw(t, "home") == 0
			s.HasClock = rapid.Bool().Draw(t, "clock")
			s.HasWind, s.WindMS = rapid.Bool().Draw(t, "vane"), any("wind", 0, 30)
			s.CurrentA, s.Eyes = any("current", 0, 6), any("eyes", -1, 1)
			switch c.Verb {
			case Turn:
				if h := c.To + m.frame; !(h >= site.Low-1e-9 && h <= site.High+1e-9) { // rounding of sums
					t.Fatalf("%+v goes to %v", c, h)
				}
				s.Told = c.To
			case Sleep, Rest:
				if !(c.Seconds > 0) || math.IsInf(c.Seconds, 1) {
					t.Fatalf("%+v", c)
				}
			default:
				t.Fatalf("%+v", c)
			}
			s.UpS += any("seconds", 0, 2000)
			s.UnixS = 1773964800 + any("date", 0, 4*86400)
		}
	})
}
