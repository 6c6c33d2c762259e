package trial

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// near holds two numbers to a share of the larger, by default rounding.
func near(t rapid.TB, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Max(1e-300, math.Max(math.Abs(got), math.Abs(want)))) {
		t.Errorf("%s: got %.15g, want %.15g within %g of it", what, got, want, share)
	}
}

// rounding is what sums of at most a thousand numbers may lose.
const rounding = 1e-9

// someRandom are n normal values about mean, each depending on the last by r.
func someRandom(rng *rand.Rand, n int, mean, r float64) []float64 {
	v := make([]float64, n)
	last := rng.NormFloat64() / math.Sqrt(1-r*r)
	for i := range v {
		v[i] = mean + last
		last = r*last + rng.NormFloat64()
	}
	return v
}

func scaled(v []float64, by, plus float64) []float64 {
	w := slices.Clone(v)
	for i := range w {
		w[i] = w[i]*by + plus
	}
	return w
}

func TestByHand(t *testing.T) {
	// R = 4/2, left over 0 -1 1, of variance 1.
	ratio, se := Ratio([]float64{1, 2, 3}, []float64{2, 3, 7})
	near(t, "ratio", ratio, 2, rounding)
	near(t, "its error", se, math.Sqrt(1.0/3)/2, rounding)
	// g0 = 5/4, g1 = (0.75 - 0.25 + 0.75)/4, at half weight twice.
	near(t, "Newey-West", NeweyWest([]float64{1, 2, 3, 4}, 1), math.Sqrt((1.25+0.3125)/4), rounding)
	near(t, "without lags", NeweyWest([]float64{1, 2, 3, 4}, 0), math.Sqrt(1.25/4), rounding)
	// Slope 4/5, left over -0.3 0.9 -0.9 0.3, of variance 1.8/2; 1/4 + 1/5.
	mean, se := Regression([]float64{1, 2, 3, 4}, []float64{1, 3, 2, 4}, 3.5)
	near(t, "regression", mean, 3.3, rounding)
	near(t, "its error", se, math.Sqrt(0.9*0.45), rounding)
	low, high := Percentiles([]float64{40, 10, 30, 20, 0}, 0.75)
	near(t, "percentile 12.5", low, 5, rounding)
	near(t, "percentile 87.5", high, 35, rounding)
	for n, lags := range map[int]int{-1: 0, 0: 0, 1: 0, 2: 1, 30: 3, 100: 4, 365: 5} {
		if got := NeweyWestLags(n); got != lags {
			t.Errorf("%d values: %d lags, want %d", n, got, lags)
		}
	}
}

// somePairs draws pairs whose x may be too uncertain to divide by.
func somePairs(t *rapid.T) (x, y []float64) {
	n := rapid.IntRange(3, 40).Draw(t, "n")
	rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
	x = someRandom(rng, n, rapid.Float64Range(-20, 20).Draw(t, "mean"), 0)
	y = someRandom(rng, n, rapid.Float64Range(-20, 20).Draw(t, "y"), 0)
	like := rapid.Float64Range(-3, 3).Draw(t, "like")
	for i := range y {
		y[i] += like * x[i]
	}
	return x, y
}

func TestFiellerIsWhereTheDifferenceIsJustTold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := somePairs(t)
		confidence := rapid.Float64Range(0.5, 0.999).Draw(t, "confidence")
		low, high, ok := Fieller(x, y, confidence)
		n := float64(len(x))
		q := StudentQuantile((1+confidence)/2, n-1)
		m := momentsOf(x, y)
		if told := math.Abs(m.x) > q*math.Sqrt(m.xx/n); ok != told {
			t.Fatalf("a finite interval: %v; x told from 0: %v", ok, told)
		}
		if !ok {
			return
		}
		if ratio, _ := Ratio(x, y); !(low <= ratio && ratio <= high) {
			t.Errorf("%g to %g does not hold %g", low, high, ratio)
		}
		for _, r := range []float64{low, high} {
			left := momentsOf(x, y)
			for i := range x {
				left.y += (y[i] - r*x[i]) / n
			}
			mean := m.y - r*m.x
			se := math.Sqrt((m.yy - 2*r*m.xy + r*r*m.xx) / n)
			// Far limits are the small difference of large sums.
			if math.Abs(math.Abs(mean)-q*se) > 1e-6*(q*se+math.Abs(r*m.x)) {
				t.Errorf("at %g the mean is %g, t standard errors %g", r, mean, q*se)
			}
		}
	})
}

func TestRatiosKeepToTheUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := somePairs(t)
		a, b := rapid.Float64Range(0.01, 100).Draw(t, "a"), rapid.Float64Range(0.01, 100).Draw(t, "b")
		ratio, se := Ratio(x, y)
		low, high, ok := Fieller(x, y, 0.95)
		if !ok {
			return // no limits to compare, and the ratio may be of any size
		}
		wide := high - low + math.Abs(ratio)
		x, y = scaled(x, a, 0), scaled(y, b, 0)
		ratio2, se2 := Ratio(x, y)
		low2, high2, ok2 := Fieller(x, y, 0.95)
		if by := b / a; !ok2 || math.Abs(ratio2-by*ratio)+math.Abs(se2-by*se) > rounding*by*wide ||
			math.Abs(low2-by*low)+math.Abs(high2-by*high) > 1e-6*by*wide { // a limit may be far, where x is hardly told from 0
			t.Errorf("%g %g %g %g in other units %g times more: %g %g %g %g", ratio, se, low, high, by, ratio2, se2, low2, high2)
		}
	})
}

func TestFiellerCovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	const trials = 4000
	for _, n := range []int{3, 8, 30} {
		held := 0.0
		for range trials {
			x := someRandom(rng, n, 8, 0)
			y := someRandom(rng, n, 0, 0)
			for i := range y {
				y[i] += 1.5 * x[i]
			}
			if low, high, ok := Fieller(x, y, 0.9); !ok || low <= 1.5 && 1.5 <= high {
				held += 1.0 / trials
			}
		}
		// Four standard errors of a share of 0.9 in 4,000; exact by theory.
		if math.Abs(held-0.9) > 0.019 {
			t.Errorf("%d pairs: held in %.3f of the trials, want 0.9", n, held)
		}
	}
}

func TestProportionalPairsLeaveNoDoubt(t *testing.T) {
	x := []float64{310.5, 740.25, 12.125, 990}
	y := scaled(x, 1.3, 0)
	low, high, ok := Fieller(x, y, 0.8)
	// Rounding alone: 1e-13 of 1.3.
	if !ok || math.Abs(low-1.3) > 1e-13 || math.Abs(high-1.3) > 1e-13 {
		t.Errorf("1.3 times x: %.17g to %.17g, %v", low, high, ok)
	}
}

func TestNeweyWest(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	const n, r = 4000, 0.5
	v := someRandom(rng, n, 3, r)
	// The mean of such a process has sd 1/(1 - r)/sqrt(n); 30 lags hold all but
	// 0.3 % of its dependence, and the variance is sure to sqrt(4/3 30/n), 10 %.
	near(t, "a first-order process", NeweyWest(v, 30), 1/(1-r)/math.Sqrt(n), 0.15)
	rapid.Check(t, func(t *rapid.T) {
		v := someRandom(rng, rapid.IntRange(2, 60).Draw(t, "n"), 0, rapid.Float64Range(-0.9, 0.9).Draw(t, "r"))
		lags := rapid.IntRange(0, 80).Draw(t, "lags")
		by := rapid.Float64Range(-50, 50).Draw(t, "by")
		// Not a share of it: what remains where all is cancelled is rounding.
		was, is := NeweyWest(v, lags), NeweyWest(scaled(v, by, 7), lags)
		if !(math.Abs(is-math.Abs(by)*was) <= 1e-6*math.Abs(by)+1e-12) {
			t.Errorf("%d lags: %g, and %g times, moved: %g", lags, was, by, is)
		}
	})
}

func TestBootstrapDrawsBlocks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		block := rapid.IntRange(1, n).Draw(t, "block")
		seed := rapid.Uint64().Draw(t, "seed")
		check := func(index []int) float64 {
			sum := 0.0
			for i, k := range index {
				sum += float64((i + 1) * k)
				if k < 0 || k >= n || i%block > 0 && k != index[i-1]+1 {
					t.Fatalf("drew %v in blocks of %d of %d", index, block, n)
				}
			}
			return sum + float64(len(index)-n) // as many as there are
		}
		run := func(seed uint64) []float64 {
			made, err := Bootstrap(context.Background(), n, block, 20, rand.New(rand.NewPCG(seed, 0)), check)
			if err != nil || len(made) != 20 {
				t.Fatalf("%d drawings, %v", len(made), err)
			}
			return made
		}
		if !slices.Equal(run(seed), run(seed)) {
			t.Error("the same seed drew otherwise")
		}
		if n > 2*block+2 && slices.Equal(run(seed), run(seed+1)) {
			t.Error("another seed drew the same")
		}
	})
}

func TestBootstrapIsTornOff(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	one := func([]int) float64 { return 1 }
	for _, c := range []struct {
		n, block, replicates int
		rng                  *rand.Rand
		stat                 func([]int) float64
		says                 string
	}{
		{0, 1, 9, rng, one, "0 values to draw from"},
		{5, 0, 9, rng, one, "blocks of 0 values, must be 1 to 5"},
		{5, 6, 9, rng, one, "blocks of 6 values"},
		{5, 1, 0, rng, one, "0 drawings"},
		{5, 1, 9, nil, one, "generator"},
		{5, 1, 9, rng, nil, "statistic"},
		{5, 1, 9, rng, func([]int) float64 { return math.NaN() }, "drawing 1 of 9 gave NaN"},
		{5, 1, 9, rng, func([]int) float64 { return math.Inf(1) }, "gave +Inf"},
	} {
		if made, err := Bootstrap(context.Background(), c.n, c.block, c.replicates, c.rng, c.stat); made != nil || err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: %v, %v", c, made, err)
		}
	}
	ctx, stop := context.WithCancel(context.Background())
	drawn := 0
	_, err := Bootstrap(ctx, 5, 1, 1000, rng, func([]int) float64 {
		if drawn++; drawn == 3 {
			stop()
		}
		return 1
	})
	if !errors.Is(err, context.Canceled) || drawn != 3 {
		t.Errorf("stopped at the third of %d: %v", drawn, err)
	}
}

func TestPercentilesLeaveTheOrder(t *testing.T) {
	v := []float64{5, 1, 4, 2, 3}
	if low, high := Percentiles(v, 1); low != 1 || high != 5 {
		t.Errorf("all: %g to %g, want 1 to 5", low, high)
	}
	if low, high := Percentiles(v, 0); low != 3 || high != 3 {
		t.Errorf("none: %g to %g, want the median 3", low, high)
	}
	if !slices.Equal(v, []float64{5, 1, 4, 2, 3}) {
		t.Errorf("put in order: %v", v)
	}
}

func TestBlockLength(t *testing.T) {
	// Autocovariances 4 1 -2 -1 by 64, of which the second lag is told from 0
	// (0.5, bound 0.336): a window of 4, g = 4 + 2 (1 - 2 - 1/2) = 1,
	// G = 2 (1 - 4 - 3/2) = -9, and 19.8 = (2 81 3/4 64)^(1/3).
	lone := make([]float64, 64)
	copy(lone[30:], []float64{1, 1, -1, -1})
	if got := BlockLength(lone); got != 20 {
		t.Errorf("by hand: blocks of %d, want 20", got)
	}
	rng := rand.New(rand.NewPCG(4, 4))
	// A first-order process has G/g = 2r/(1 - r^2), so that Politis & White's
	// length is (6 n)^(1/3) (r/(1 - r^2))^(2/3).
	for _, c := range []struct{ r, n float64 }{{0.1, 800}, {0.3, 2000}, {0.7, 800}} {
		sum := 0.0
		for range 50 {
			sum += float64(BlockLength(someRandom(rng, int(c.n), 10, c.r))) / 50
		}
		want := math.Cbrt(6*c.n) * math.Pow(c.r/(1-c.r*c.r), 2.0/3)
		// The window is chosen by chance: single lengths scatter by a third,
		// and their mean is a little off for a few hundred values.
		near(t, "mean length", sum, want, 0.2)
	}
	for _, c := range []struct {
		v    []float64
		want int
	}{
		{nil, 0}, {[]float64{1, math.NaN(), 2}, 0}, {[]float64{1, math.Inf(1)}, 0},
		{[]float64{7}, 1}, {[]float64{1, 2, 3}, 1}, {slices.Repeat([]float64{0.1}, 50), 1},
	} {
		if got := BlockLength(c.v); got != c.want {
			t.Errorf("%v: blocks of %d, want %d", c.v, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 200).Draw(t, "n")
		v := someRandom(rng, n, 0, rapid.Float64Range(-0.95, 0.95).Draw(t, "r"))
		got, most := BlockLength(v), int(math.Ceil(min(3*math.Sqrt(float64(n)), float64(n)/3)))
		// Scaled by powers of 2, so that rounding tips no lag.
		if got < 1 || got > most || got != BlockLength(scaled(v, -8, 0)) {
			t.Errorf("%d values: blocks of %d, at most %d; turned round %d", n, got, most, BlockLength(scaled(v, -8, 0)))
		}
	})
}

func TestRegressionTakesOutTheLuck(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := somePairs(t)
		m := momentsOf(x, y)
		if mean, _ := Regression(x, y, m.x); math.Abs(mean-m.y) > 1e-12 {
			t.Errorf("at the mean of x: %g, want the mean of y %g", mean, m.y)
		}
		line := scaled(x, 2.5, -3)
		mean, se := Regression(x, line, 100)
		// The slope is a quotient of sums of up to 20^2 where x may lie close.
		near(t, "a line", mean, 247, 1e-9)
		if se > 1e-8 {
			t.Errorf("a line: error %g", se)
		}
	})
}

func TestStudentQuantile(t *testing.T) {
	for _, p := range []float64{1e-6, 0.01, 0.3, 0.49, 0.6, 0.975, 0.9999} {
		near(t, "1 degree", StudentQuantile(p, 1), math.Tan(math.Pi*(p-0.5)), rounding)
		near(t, "2 degrees", StudentQuantile(p, 2), (2*p-1)/math.Sqrt(2*p*(1-p)), rounding)
		// The exact one has lost this many digits near the middle.
		near(t, "where the series begins", StudentQuantile(p, 1e5), StudentQuantile(p, 1e5+1), 1e-7)
	}
	near(t, "infinite", StudentQuantile(0.975, math.Inf(1)), 1.959963984540054, 1e-14)
	if low, high := StudentQuantile(0, 3), StudentQuantile(1, 3); !math.IsInf(low, -1) || !math.IsInf(high, 1) {
		t.Errorf("the ends: %g and %g", low, high)
	}
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.Float64Range(0.51, 0.99999).Draw(t, "p")
		df := math.Exp(rapid.Float64Range(math.Log(0.1), math.Log(1e12)).Draw(t, "log df"))
		q := StudentQuantile(p, df)
		near(t, "the other side", StudentQuantile(1-p, df), -q, 1e-5) // 1-p is rounded, and a far tail is steep
		if more := StudentQuantile(p, df*2); !(more > 0 && more <= q*(1+1e-7)) {
			t.Errorf("p %g: %g at %g degrees, %g at twice as many", p, q, df, more)
		}
	})
}

func TestSatterthwaiteDF(t *testing.T) {
	for _, c := range []struct {
		v    []float64
		want float64
	}{
		{[]float64{5}, 1}, {[]float64{0, 0}, 1}, {[]float64{1, 0, 0}, 1}, {[]float64{2, 1}, 2},
		{[]float64{4, 1}, 2}, {[]float64{1, 9, 1}, 3*121.0/83 - 2}, {[]float64{1e300, 9e300, 1e300}, 3*121.0/83 - 2}, {[]float64{1, 1, 1, 1}, 4},
	} {
		near(t, "degrees", SatterthwaiteDF(c.v), c.want, rounding)
	}
	rng := rand.New(rand.NewPCG(5, 5))
	const trials, n = 4000, 7
	held := 0.0
	for range trials {
		var v [n]float64
		sum, off := 0.0, 0.0
		for i, e := range someRandom(rng, n, 0, 0) {
			v[i] = e * e
			sum += v[i]
			off += rng.NormFloat64()
		}
		if math.Abs(off) <= StudentQuantile(0.975, SatterthwaiteDF(v[:]))*math.Sqrt(sum) {
			held += 1.0 / trials
		}
	}
	// Four standard errors of a share of 0.95 in 4,000; the bound widens it by
	// half a per cent.
	if held < 0.937 || held > 0.969 {
		t.Errorf("held in %.3f of the trials, want 0.95", held)
	}
}

func TestDaysNeeded(t *testing.T) {
	// t of 98 degrees is 1.98447: 0.019945 for 99 days, 0.02005 for 98. Two
	// days, the fewest, where there is nothing to doubt.
	for _, c := range []struct {
		sd, half, confidence, lag float64
		want                      int
	}{
		{0.1, 0.02, 0.95, 0, 99}, {0.1, 0.02, 0.95, -0.4, 99}, {0, 0.02, 0.95, 0, 2}, {0, 0.02, 0.95, 0.5, 6},
		{1, 1e-9, 0.95, 0, manyDays}, {0.1, 0, 0.95, 0, 0}, {-1, 0.1, 0.95, 0, 0}, {0.1, 0.1, 1, 0, 0},
		{0.1, 0.1, 0.95, 1, 0}, {math.NaN(), 0.1, 0.95, 0, 0}, {0.1, 0.1, 0.95, math.NaN(), 0}, {math.Inf(1), 0.1, 0.95, 0, 0},
	} {
		if got := DaysNeeded(c.sd, c.half, c.confidence, c.lag); got != c.want {
			t.Errorf("%+v: %d days", c, got)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		sd, lag := rapid.Float64Range(0.001, 1).Draw(t, "sd"), rapid.Float64Range(0, 0.9).Draw(t, "lag")
		n := DaysNeeded(sd, 0.02, 0.9, lag)
		reach := func(n int) float64 {
			free := float64(n) * (1 - lag) / (1 + lag)
			return StudentQuantile(0.95, free-1) * sd / math.Sqrt(free)
		}
		fewest := 2*(1+lag)/(1-lag) + 1 // two free ones, rounded up
		if reach(n) > 0.02 || float64(n) > fewest && reach(n-1) <= 0.02 {
			t.Errorf("%d days reach %g, one less %g", n, reach(n), reach(n-1))
		}
	})
}

func TestPairsNeeded(t *testing.T) {
	for _, c := range []struct {
		s, delta, alpha, power float64
		want                   int
	}{
		// 7.849 times 4 is 31.4; 10.51 times 4 is 42.03; per million 7.84888.
		{0.1, 0.05, 0.05, 0.8, 32}, {0.1, -0.05, 0.05, 0.8, 32}, {0.1, 0.05, 0.05, 0.9, 43}, {1000, 1, 0.05, 0.8, 7848880},
		{0, 0.05, 0.05, 0.8, 1}, {1, 1e-9, 0.05, 0.8, manyDays}, {0.1, 0, 0.05, 0.8, 0}, {0.1, 0.05, 0, 0.8, 0}, {0.1, 0.05, 0.05, 1, 0},
		{0.1, 0.05, 0.5, 0.3, 0}, {-1, 1, 0.05, 0.8, 0}, {math.NaN(), 1, 0.05, 0.8, 0}, {1, math.NaN(), 0.05, 0.8, 0},
	} {
		if got := PairsNeeded(c.s, c.delta, c.alpha, c.power); got != c.want {
			t.Errorf("%+v: %d pairs", c, got)
		}
	}
}

// TestNothingPanics feeds lists of any length and content: one that is not a
// number makes none of the answers one.
func TestNothingPanics(t *testing.T) {
	number := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, 1, math.MaxFloat64}))
	rapid.Check(t, func(t *rapid.T) {
		x, y := rapid.SliceOfN(number, 0, 8).Draw(t, "x"), rapid.SliceOfN(number, 0, 8).Draw(t, "y")
		p, q := number.Draw(t, "p"), number.Draw(t, "q")
		lags := rapid.IntRange(-3, 12).Draw(t, "lags")
		_, ratioSE := Ratio(x, y)
		low, high, ok := Fieller(x, y, p)
		mean, se := Regression(x, y, q)
		lone := NeweyWest(y, lags)
		lowest, highest := Percentiles(y, 0.9)
		block, df := BlockLength(y), SatterthwaiteDF(y)
		StudentQuantile(p, q)
		DaysNeeded(p, q, 0.95, 0.3)
		PairsNeeded(p, q, 0.05, 0.8)
		if ok != (finite(low) && finite(high)) || ok && low > high {
			t.Errorf("Fieller: %g to %g, %v", low, high, ok)
		}
		if slices.ContainsFunc(y, math.IsNaN) {
			for _, v := range []float64{ratioSE, mean, se, lone, lowest, highest, df} {
				if !math.IsNaN(v) {
					t.Errorf("of NaN: %g", v)
				}
			}
			if ok || block != 0 {
				t.Errorf("of NaN: an interval %v, blocks of %d", ok, block)
			}
		}
	})
}

func BenchmarkBootstrapOfThirtyDays(b *testing.B) {
	rng := rand.New(rand.NewPCG(6, 6))
	x, y := someRandom(rng, 30, 10, 0), someRandom(rng, 30, 12, 0)
	for b.Loop() {
		_, err := Bootstrap(context.Background(), 30, 3, 10000, rng, func(index []int) float64 {
			var a, c float64
			for _, i := range index {
				a, c = a+x[i], c+y[i]
			}
			return c / a
		})
		if err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStudentQuantile(b *testing.B) {
	for b.Loop() {
		StudentQuantile(0.975, 12.5)
	}
}
