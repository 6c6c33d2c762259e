package hindsight_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/hindsight"
)

// dayLog is a day of readings every so many seconds on a face that follows the
// sun at a tilt, entered giving each by the time and the clear sky's.
func dayLog(s *hindsight.Scene, tilt, stepS float64, entered func(second, clear float64) float64) hindsight.Log {
	log := hindsight.Log{MeanS: stepS}
	for second := 0.0; second < day; second += stepS {
		at := s.At(newYear + 160*day + second)
		f := s.Face(at.Sun.Azimuth(), 40)
		_, clear := s.Light(&at, f, at.Clear.DNI, at.Clear.DHI)
		log.At = append(log.At, at)
		log.HeadingDeg = append(log.HeadingDeg, float32(at.Sun.Azimuth()))
		log.TiltDeg = append(log.TiltDeg, float32(tilt))
		log.EnteredWm2 = append(log.EnteredWm2, entered(second, clear))
	}
	return log
}

func TestLookBackGivesTheLogBack(t *testing.T) {
	free, behind := scene(t, hill), scene(t, walled(t))
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]*hindsight.Scene{free, behind}).Draw(t, "scene")
		log := dayLog(s, rapid.Float64Range(0, 90).Draw(t, "tilt"), 3600, func(float64, float64) float64 {
			return rapid.Float64Range(0, 1600).Draw(t, "entered")
		})
		past, err := s.LookBack(log)
		if err != nil {
			t.Fatal(err)
		}
		back := make([]float64, len(log.At))
		past.Entered(log.HeadingDeg, log.TiltDeg, back)
		for i, e := range log.EnteredWm2 {
			if math.Abs(back[i]-e) > 1e-9*(1+e) { // one division, one product
				t.Fatalf("reading %d: %v came back as %v", i, e, back[i])
			}
			if l := past.Sky(i); !possible(&log.At[i], l) && !log.At[i].Hidden {
				t.Fatalf("reading %d: %v is %+v", i, e, l)
			}
		}
	})
}

// Under cloud a still panel gets as much as one that turns at the same tilt;
// under a clear sky the less, the further the sun stands aside.
func TestLookBackToAStillPanel(t *testing.T) {
	s := scene(t, hill)
	for what, c := range map[string]struct{ share, low, high float64 }{
		// A tenth of clear light has no beam; what is left is the sky's own slope.
		"cloud": {0.1, 0.99, 1.02},
		// Geometry: by midsummer's long arc the beam gains half and more.
		"clear": {1, 1.35, 1.8},
	} {
		log := dayLog(s, 40, 600, func(_, clear float64) float64 { return c.share * clear })
		past, err := s.LookBack(log)
		if err != nil {
			t.Fatal(err)
		}
		still := make([]float64, len(log.At))
		past.Still(180, 40, still)
		aimed, kept := 0.0, 0.0
		for i, e := range log.EnteredWm2 {
			aimed, kept = aimed+e, kept+still[i]
		}
		if gain := aimed / kept; !(gain > c.low && gain < c.high) {
			t.Errorf("%s: turning brings %.3f times as much", what, gain)
		}
	}
}

func TestLookBackWithoutSense(t *testing.T) {
	s := scene(t, hill)
	log := dayLog(s, 40, 3600, func(second, clear float64) float64 {
		switch second {
		case 10 * 3600:
			return math.NaN()
		case 11 * 3600:
			return math.Inf(1)
		case 12 * 3600:
			return -3
		}
		return clear
	})
	log.At[14] = s.At(newYear - 400*day)
	past, err := s.LookBack(log)
	if err != nil {
		t.Fatal(err)
	}
	still := make([]float64, len(log.At))
	past.Still(180, 40, still)
	for i, e := range still {
		lost := i == 10 || i == 11 || i == 14
		if math.IsNaN(e) != lost || math.IsNaN(past.Sky(i).GHI) != lost || i == 12 && e != 0 {
			t.Errorf("hour %d: %v of %v", i, e, log.EnteredWm2[i])
		}
	}
	log.TiltDeg = log.TiltDeg[1:]
	if _, err := s.LookBack(log); err == nil {
		t.Error("a log with a tilt too few was accepted")
	}
	if past, err := s.LookBack(hindsight.Log{}); err != nil {
		t.Errorf("an empty log: %v", err)
	} else {
		past.Still(180, 40, nil)
	}
}

func BenchmarkLookBack(b *testing.B) {
	s := scene(b, hill)
	log := dayLog(s, 40, 10, func(_, clear float64) float64 { return clear })
	for b.Loop() {
		if _, err := s.LookBack(log); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(log.At)), "ns/reading")
}
