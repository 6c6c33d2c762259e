package season

import (
	"math"
	"math/rand/v2"
	"testing"
)

// hills are days on each of which some tilt is best, the further from it the
// worse, going down and up again through the year with weather on top.
func hills(rng *rand.Rand, days, tilts int) [][]float64 {
	gain := make([][]float64, days)
	for d := range gain {
		best := float64(tilts) / 2 * (1 + 0.8*math.Cos(2*math.Pi*float64(d)/float64(days)))
		best += 3*rng.Float64() - 1.5
		light := 0.1 + 0.9*rng.Float64()
		gain[d] = make([]float64, tilts)
		for k := range gain[d] {
			gain[d][k] = light * math.Cos((float64(k)-best)*math.Pi/2/float64(tilts))
		}
	}
	return gain
}

func gained(gain [][]float64, choices []int) (sum float64) {
	for d, c := range choices {
		sum += gain[d][c]
	}
	return sum
}

// Three notches against all triples of tilts, each with its exact calendar.
func TestThreeNotchesAgainstAllTriples(t *testing.T) {
	for seed := range uint64(30) {
		rng := rand.New(rand.NewPCG(seed, 3))
		const tilts = 25 // of which every second is tried in all triples
		round := seed%2 == 0
		gain := hills(rng, 30, tilts)
		c := climber{gain: gain, changes: 4, round: round}
		most := 0.0
		for i := 0; i < tilts; i += 2 {
			for j := i + 2; j < tilts; j += 2 {
				for k := j + 2; k < tilts; k += 2 {
					_, sum := c.of([]int{i, j, k})
					most = max(most, sum)
				}
			}
		}
		got := gained(gain, notchCalendar(gain, 3, round))
		// It climbs and need not reach the top: a thousandth is far below what a
		// year's weather changes.
		if got < most*(1-1e-3) {
			t.Errorf("seed %d: three notches bring %v, the best triple %v", seed, got, most)
		}
	}
}

// More notches never bring less, none are used beyond what was asked for, and
// the stand is taken through them once and back.
func TestMoreNotchesBringMore(t *testing.T) {
	for seed := range uint64(30) {
		rng := rand.New(rand.NewPCG(seed, 4))
		round := seed%2 == 0
		gain := hills(rng, 60, 31)
		last := 0.0
		for count := 1; count <= 6; count++ {
			choices := notchCalendar(gain, count, round)
			sum := gained(gain, choices)
			if sum < last*(1-2e-3) { // as above, twice
				t.Fatalf("%d notches bring %v, one fewer %v", count, sum, last)
			}
			last = max(last, sum)
			if n := len(distinctOf(choices)); n > count {
				t.Fatalf("%d notches where %d were asked for", n, count)
			}
			changes := 0
			for d := range choices {
				if d > 0 && choices[d] != choices[d-1] || d == 0 && round && choices[0] != choices[len(choices)-1] {
					changes++
				}
			}
			if changes > 2*(count-1) {
				t.Fatalf("%d changes for %d notches", changes, count)
			}
		}
	}
}

func TestNotchesOfNothing(t *testing.T) {
	if notchCalendar(nil, 3, true) != nil || notchCalendar([][]float64{{}}, 3, false) != nil {
		t.Error("no days or no tilts give choices")
	}
	if got := notchCalendar([][]float64{{1}, {2}}, 4, true); len(got) != 2 {
		t.Errorf("one tilt: %v", got)
	}
}

// A year of tilts from 0 to 90 degrees and six notches.
func BenchmarkSixNotches(b *testing.B) {
	gain := make([][]float64, 365)
	for d := range gain {
		gain[d] = make([]float64, 91)
		best := 40 + 28*math.Cos(2*math.Pi*float64(d)/365) + 4*math.Sin(float64(d*d))
		for k := range gain[d] {
			gain[d][k] = (1.2 + math.Sin(float64(d))) * math.Cos((float64(k)-best)*math.Pi/180)
		}
	}
	for b.Loop() {
		notchCalendar(gain, 6, true)
	}
}
