package hindsight_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"turnsole/compass"
	"turnsole/hindsight"
	"turnsole/place"
	"turnsole/sun"
)

// rough is a sky for the test: clear light by the sun's elevation, under clouds
// that pass within the hour and keep for days, on a panel that stands still or
// turns.
type rough struct {
	spot   place.Spot
	chance *rand.Rand
	turns  bool
	fullA  float64
	darkA  float64 // what the sensor shows at night
	noiseA float64
}

// log returns the current each minute: truth seconds since 1970.
func (w rough) log(t *testing.T, from time.Time, days int) []hindsight.Glow {
	t.Helper()
	n := days * 1440
	o := sun.At(w.spot)
	azimuth, elevation := make([]float64, n), make([]float64, n)
	start := sun.JulianDayOf(from)
	sun.NewPath(o, start, start+sun.JulianDay(days), sun.DeltaT(start)).Positions(start, 60, azimuth, elevation)
	glow := make([]hindsight.Glow, n)
	day, cloud := 0.0, 0.0
	for i := range glow {
		if i%720 == 0 { // half a day
			day = 0.6*day + 0.8*w.chance.NormFloat64()
		}
		cloud = 0.97*cloud + 0.24*w.chance.NormFloat64()
		pass := 1 / (1 + math.Exp(-1.5*day-cloud)) // of the beam
		wm2 := 0.0
		if e := compass.Angle(elevation[i]); e > -6 {
			// Twilight fades tenfold in 3 degrees; diffuse light of a clear and a covered sky.
			low := math.Pow(10, float64(min(e, 0))/3)
			diffuse := (6 + 350*max(e.Sin(), 0)) * low * (0.35 + 0.5*pass)
			beam := 0.0
			if e > 0 {
				beam = 950 * math.Exp(-0.12/math.Max(e.Sin(), 0.02)) * pass * pass
			}
			heading := compass.Equatorward(w.spot.Latitude)
			if w.turns {
				heading = compass.Angle(azimuth[i])
			}
			slant := compass.Toward(compass.Angle(azimuth[i]), e).Dot(compass.Normal(heading, 40))
			wm2 = diffuse + beam*max(slant, 0)
		}
		glow[i] = hindsight.Glow{S: float64(from.Unix() + int64(60*i)), A: w.darkA + w.fullA*wm2/1000 + w.noiseA*w.chance.NormFloat64()}
	}
	return glow
}

var meadow = place.Spot{Latitude: 52.28, Longitude: -3.62, AltitudeM: 310}

// TestClockOffset: made logs whose clock is off by a known amount. In 95 of 100
// the interval holds it; of 120 at least 105 do so but once in a thousand times
// were it 95 % (binomial). The interval must be of use: a fortnight's is within
// ten minutes.
func TestClockOffset(t *testing.T) {
	const logs = 120
	held, widest, square := 0, 0.0, 0.0
	for k := range logs {
		w := rough{meadow, rand.New(rand.NewPCG(7, uint64(k))), k%2 == 0, 4.6, -0.03, 0.004}
		month := time.Month(1 + k%12)
		glow := w.log(t, time.Date(2026, month, 3, 0, 0, 0, 0, time.UTC), 14)
		ahead := []float64{62, -3600, 7 * 3600, 0, 900}[k%5]
		for i := range glow {
			glow[i].S += ahead
		}
		o, err := hindsight.ClockOffset(meadow, glow, 4.6)
		if err != nil {
			t.Fatal(err)
		}
		if o.LowS <= ahead && ahead <= o.HighS {
			held++
		}
		widest = max(widest, (o.HighS-o.LowS)/2)
		square += (o.AheadS - ahead) * (o.AheadS - ahead) / logs
	}
	t.Logf("the interval held %d of %d; rms error %.0f s, widest half %.0f s", held, logs, math.Sqrt(square), widest)
	if held < 105 || widest > 600 {
		t.Errorf("held %d of %d, widest %.0f s", held, logs, widest)
	}
}

func TestClockOffsetAsksForDays(t *testing.T) {
	w := rough{meadow, rand.New(rand.NewPCG(1, 1)), false, 4.6, 0, 0.004}
	day := w.log(t, time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC), 1)
	for name, glow := range map[string][]hindsight.Glow{"nothing": nil, "one day": day, "noon": day[600:800]} {
		if _, err := hindsight.ClockOffset(meadow, glow, 4.6); err == nil || name == "one day" && !strings.Contains(err.Error(), "two of each") {
			t.Errorf("%s: %v", name, err)
		}
	}
	polar := place.Spot{Latitude: 70, Longitude: 20}
	w.spot = polar
	if _, err := hindsight.ClockOffset(polar, w.log(t, time.Date(2026, 6, 10, 0, 0, 0, 0, time.UTC), 10), 4.6); err == nil {
		t.Error("the midnight sun tells a clock's error")
	}
}

// powerUps cuts a log at instants, leaves out what lies between, and counts each
// part's own uptime, at a rate of its own.
func powerUps(glow []hindsight.Glow, cuts [][2]float64, rate float64) (ups []hindsight.PowerUp, zero []float64) {
	for i, cut := range cuts {
		u := hindsight.PowerUp{Boot: i + 1}
		for _, g := range glow {
			if g.S >= cut[0] && g.S < cut[1] {
				u.Glow = append(u.Glow, hindsight.Glow{S: (g.S - cut[0]) / rate, A: g.A})
			}
		}
		if len(u.Glow) == 0 {
			continue
		}
		u.LastS = u.Glow[len(u.Glow)-1].S
		ups, zero = append(ups, u), append(zero, cut[0])
	}
	return ups, zero
}

// anchored returns how far off the power-ups' rows are, and how many lie within
// what is claimed.
func anchored(t *testing.T, ups []hindsight.PowerUp, zero []float64, rate, dumped float64) (worst, square float64, held int) {
	t.Helper()
	placed, err := hindsight.Anchor(meadow, ups, dumped, 4.6)
	if err != nil {
		t.Fatal(err)
	}
	for i, a := range placed {
		off := 0.0
		for _, s := range []float64{ups[i].FirstS, ups[i].LastS} {
			off = max(off, math.Abs(a.At(s)-(zero[i]+rate*s)))
		}
		worst, square = max(worst, off), square+off*off/float64(len(placed))
		if off <= a.WithinS {
			held++
		}
	}
	return worst, square, held
}

// TestAnchor: logs without a clock whose times are known. The least share that
// must lie within what is claimed is 85 %: 95 is meant, and power-ups of one log
// share their weather.
func TestAnchor(t *testing.T) {
	start := time.Date(2026, 4, 10, 0, 0, 0, 0, time.UTC)
	at := func(day int, hour float64) float64 { return float64(start.Unix()) + 86400*float64(day) + 3600*hour }
	for name, c := range map[string]struct {
		cuts   func(*rand.Rand) [][2]float64
		rate   float64
		worstS float64
	}{
		"all in one, slow by four minutes a day": {func(*rand.Rand) [][2]float64 { return [][2]float64{{at(0, 15), at(13, 14)}} }, 1.003, 900},
		"cut off every night": {func(r *rand.Rand) (cuts [][2]float64) {
			for d := range 14 {
				cuts = append(cuts, [2]float64{at(d, 3+r.Float64()), at(d, 21+2*r.Float64())})
			}
			return cuts
		}, 1, 1800},
		"cut off by night, fed by the panel": {func(r *rand.Rand) (cuts [][2]float64) {
			for d := range 14 {
				cuts = append(cuts, [2]float64{at(d, 6.3+r.Float64()), at(d, 17.4+r.Float64())})
			}
			return append(cuts, [2]float64{at(14, 3), at(14, 13)})
		}, 1, 3 * 3600},
		"many times a day": {func(r *rand.Rand) (cuts [][2]float64) {
			for s := at(0, 12); s < at(14, 12); {
				end := s + 3600*(2+9*r.Float64())
				cuts = append(cuts, [2]float64{s, end})
				s = end + 900*r.Float64()
			}
			return cuts
		}, 1, 4 * 3600},
	} {
		t.Run(name, func(t *testing.T) {
			worst, square, held, all := 0.0, 0.0, 0, 0
			const logs = 12
			for k := range logs {
				w := rough{meadow, rand.New(rand.NewPCG(3, uint64(k))), k%2 == 0, 4.6, 0.02, 0.004}
				glow := w.log(t, start, 15)
				ups, zero := powerUps(glow, c.cuts(w.chance), c.rate)
				last := len(ups) - 1
				dumped := zero[last] + c.rate*ups[last].LastS + 20
				wrong, s, h := anchored(t, ups, zero, c.rate, dumped)
				worst, square, held, all = max(worst, wrong), square+s/logs, held+h, all+len(ups)
			}
			t.Logf("worst %.0f s, rms %.0f s, within what is claimed %d of %d", worst, math.Sqrt(square), held, all)
			if worst > c.worstS || float64(held) < 0.85*float64(all) {
				t.Errorf("worst %.0f s (at most %.0f), within %d of %d", worst, c.worstS, held, all)
			}
		})
	}
}

func TestAnchorRefuses(t *testing.T) {
	w := rough{meadow, rand.New(rand.NewPCG(1, 1)), false, 4.6, 0, 0.004}
	day := w.log(t, time.Date(2026, 6, 1, 10, 0, 0, 0, time.UTC), 1)[:240]
	for name, u := range map[string][]hindsight.PowerUp{"nothing": nil, "no light": {{Boot: 1, LastS: 100}}} {
		if _, err := hindsight.Anchor(meadow, u, day[239].S, 4.6); err == nil {
			t.Errorf("%s is anchored", name)
		}
	}
	one, _ := powerUps(day, [][2]float64{{day[0].S, day[239].S}}, 1)
	placed, err := hindsight.Anchor(meadow, one, day[239].S, 4.6)
	// 120 s: the dump's own allowance.
	if err != nil || math.Abs(placed[0].At(0)-day[0].S) > 120 || !placed[0].Dumped {
		t.Errorf("one power-up and its dump: %+v, %v", placed, err)
	}
}
