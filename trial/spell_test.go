package trial

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"turnsole/hindsight"
)

// aSpell is a day of stops and minutes drawn by chance: light that wanders,
// shares that turn with the sun.
func aSpell(rng *rand.Rand, stops, minutes int) *spell {
	sp := &spell{spacingS: 900}
	length := float64(stops) * 900
	sharesOf := func(unixS float64) shares {
		turn := math.Abs(unixS/length-0.5) * 2
		return shares{fromSun: 1 - 0.8*turn, evenStill: 0.85, evenAimed: 0.84}
	}
	even, beam := 200.0, 300.0
	light := func(unixS float64) (aimed, still float64) {
		s := sharesOf(unixS)
		even, beam = max(50, even+5*rng.NormFloat64()), min(700, max(0, beam+60*rng.NormFloat64()))
		return beam + even*s.evenAimed, beam*s.fromSun + even*s.evenStill
	}
	for i := range minutes {
		at := (float64(i) + 0.5) * length / float64(minutes)
		aimed, _ := light(at)
		sp.minutes = append(sp.minutes, minute{at: &hindsight.Instant{UnixS: at}, unixS: at, seconds: length / float64(minutes), aimed: aimed, shares: sharesOf(at)})
	}
	for i := range stops {
		at := (float64(i) + 0.2 + 0.6*rng.Float64()) * 900
		aimed, still := light(at)
		sp.stops = append(sp.stops, stop{unixS: at, visits: []visit{{unixS: at, aimed: aimed, still: still * (1 + 0.02*rng.NormFloat64())}}, shares: []shares{sharesOf(at)}})
	}
	return sp
}

func ready(sp *spell) *spell {
	sp.parcel()
	sp.settle()
	return sp
}

// TestParcelsCoverEachMinuteOnce: without holes every minute belongs to one stop
// and all of its time is counted.
func TestParcelsCoverEachMinuteOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		sp := aSpell(rng, rapid.IntRange(1, 40).Draw(t, "stops"), rapid.IntRange(0, 300).Draw(t, "minutes"))
		if len(sp.stops) > 4 && rapid.Bool().Draw(t, "hole") {
			sp.stops = append(sp.stops[:1], sp.stops[4:]...)
		}
		before, want := len(sp.minutes), 0.0
		sp.parcel()
		got := 0.0
		for i := range sp.stops {
			got += sp.stops[i].recordS
			if i > 0 && sp.stops[i].from < sp.stops[i-1].to-1e-6 { // but for rounding
				t.Fatalf("parcels overlap: %v and %v", sp.stops[i-1].to, sp.stops[i].from)
			}
		}
		for i := range sp.minutes {
			want += sp.minutes[i].seconds
			in := 0
			for k := range sp.stops {
				if s := &sp.stops[k]; s.from <= sp.minutes[i].unixS && sp.minutes[i].unixS < s.to {
					in++
				}
			}
			if in != 1 {
				t.Fatalf("a minute in %d parcels", in)
			}
		}
		if len(sp.minutes) > before {
			t.Fatal("minutes came from nowhere")
		}
		near(t, "time of the stops", got, want, rounding)
	})
}

// TestNoHoleNoLoss: where stops are evenly spaced no minute is lost.
func TestNoHoleNoLoss(t *testing.T) {
	sp := aSpell(rand.New(rand.NewPCG(1, 1)), 30, 200)
	if sp.parcel(); len(sp.minutes) != 200 {
		t.Errorf("%d of 200 minutes are left", len(sp.minutes))
	}
}

// TestStillLightBounds: the still light is never below 0; it is the aimed where
// both faces are one, and an even sky's where there is no more than that.
func TestStillLightBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := shares{rapid.Float64Range(0, 3).Draw(t, "from the sun"), rapid.Float64Range(0.05, 1).Draw(t, "even, still"), rapid.Float64Range(0.05, 1).Draw(t, "even, aimed")}
		aimed, even := rapid.Float64Range(0, 1500).Draw(t, "aimed"), rapid.Float64Range(0, 1500).Draw(t, "even light")
		got := s.still(aimed, even)
		if !(got >= 0) || math.IsInf(got, 0) {
			t.Fatalf("still light %v", got)
		}
		if even*s.evenAimed >= aimed {
			near(t, "under an even sky", got, aimed*s.evenStill/s.evenAimed, rounding)
		}
		same := shares{1, s.evenStill, s.evenStill}
		near(t, "where the faces agree", same.still(aimed, even), aimed, rounding)
	})
}

// TestForetellsAnExactSky: under light that is as the shares say, with even
// light that stays, every stop is foretold by the others, and the estimate is
// the truth.
func TestForetellsAnExactSky(t *testing.T) {
	sp := aSpell(rand.New(rand.NewPCG(2, 2)), 40, 600)
	const even = 150
	var aimed, still float64
	for i := range sp.minutes {
		m := &sp.minutes[i]
		m.aimed = 200 + even*m.shares.evenAimed
		aimed, still = aimed+m.aimed*m.seconds, still+(200*m.shares.fromSun+even*m.shares.evenStill)*m.seconds
	}
	for i := range sp.stops {
		v, s := &sp.stops[i].visits[0], &sp.stops[i].shares[0]
		v.aimed, v.still = 200+even*s.evenAimed, 200*s.fromSun+even*s.evenStill
	}
	ready(sp)
	for i := range sp.stops {
		told, more := sp.foretell(i, -1)
		if math.Abs(more) > 1e-9*told {
			t.Errorf("stop %d: foretold %v, seen %v more", i, told, more)
		}
	}
	whole, _ := sp.assisted()
	near(t, "ratio", whole.ratio(), aimed/still, rounding)
}

// TestDropsByBruteForce: the variance by leaving each stop out, reckoned anew
// from all that is left. Drops leave aside that a stop also has its hundredth in
// the day's mean, which reaches beyond its neighbours: less than a tenth of the variance here.
func TestDropsByBruteForce(t *testing.T) {
	for seed := range uint64(5) {
		sp := ready(aSpell(rand.New(rand.NewPCG(3, seed)), 24, 300))
		whole, drops := sp.assisted()
		var anew []sums
		for out := range sp.stops {
			var left sums
			for i := range sp.minutes {
				m := &sp.minutes[i]
				left.aimed += m.aimed * m.seconds
				left.foretold += sp.still(m.unixS, m.aimed, m.unrest, &m.shares, out, -1) * m.seconds
			}
			for i := range sp.stops {
				if i != out {
					left = left.plus(sp.found(i, out))
				}
			}
			anew = append(anew, sums{0, left.foretold - whole.foretold, left.told - whole.told, left.more - whole.more})
		}
		got, _ := jackknife(whole, drops)
		want, _ := jackknife(whole, anew)
		near(t, "variance", got, want, 0.1)
	}
}

// TestLeftOutTellsNothing: what a stop saw has no part in what the others
// foretell of it.
func TestLeftOutTellsNothing(t *testing.T) {
	a, b := ready(aSpell(rand.New(rand.NewPCG(4, 4)), 12, 120)), aSpell(rand.New(rand.NewPCG(4, 4)), 12, 120)
	b.stops[5].visits[0].still *= 3
	ready(b)
	at := a.stops[5].unixS
	ofA, ofB := a.around(at, 5, -1), b.around(at, 5, -1)
	evenA, shareA := ofA.even()
	evenB, shareB := ofB.even()
	near(t, "even light", evenB, evenA, rounding)
	near(t, "its share", shareB, shareA, rounding)
}

// TestJackknifeOfAMean: for plain means it is the textbook's variance.
func TestJackknifeOfAMean(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	v := someRandom(rng, 50, 10, 0)
	var whole sums
	for _, x := range v {
		whole = whole.plus(sums{aimed: x, foretold: 1, told: 1})
	}
	var drops []sums
	for _, x := range v {
		drops = append(drops, sums{aimed: -x, foretold: -1, told: -1})
	}
	variance, _ := jackknife(whole, drops)
	mean, n := average(v), 50.0
	// Each left-out mean is off by (mean - x)/(n-1).
	near(t, "variance", variance, autocovariance(v, mean, 0)*n/((n-1)*(n-1)), rounding)
}

// TestSuccessiveIgnoresTheDaysCourse: a smooth change through the day is no
// scatter, one from stop to stop is.
func TestSuccessiveIgnoresTheDaysCourse(t *testing.T) {
	smooth, rough := &spell{}, &spell{}
	var whole sums
	for i := range 40 {
		at := float64(i)
		for k, sp := range []*spell{smooth, rough} {
			aimed := 500 + 3*at
			if k == 1 {
				aimed += 100 * float64(i%2)
			}
			sp.stops = append(sp.stops, stop{unixS: at * 900, byItself: 900, visits: []visit{{aimed: aimed, still: 500}}})
		}
		s := smooth.stops[i].plain()
		whole = whole.plus(s)
	}
	a, _ := successive([]*spell{smooth}, whole)
	b, _ := successive([]*spell{rough}, whole)
	if !(a < b/500) { // 3 against 97 or 103, squared, is a thousandth
		t.Errorf("variance %g under a smooth course, %g under a rough one", a, b)
	}
}
