package trial

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// The functions of this file answer NaN (false, or 0 for a count) where the
// numbers they are given have no answer: too few of them, lists of unlike
// length, NaN or infinity among them, a share outside 0 to 1. None panics.

// moments are the means, variances and covariance (n-1) of pairs.
type moments struct{ n, x, y, xx, xy, yy float64 }

// momentsOf is all NaN for fewer than two pairs or lists of unlike length.
func momentsOf(x, y []float64) moments {
	n := float64(len(x))
	if len(x) != len(y) || len(x) < 2 {
		nan := math.NaN()
		return moments{n, nan, nan, nan, nan, nan}
	}
	m := moments{n: n, x: average(x), y: average(y)}
	for i := range x {
		dx, dy := x[i]-m.x, y[i]-m.y
		m.xx += dx * dx / (n - 1)
		m.xy += dx * dy / (n - 1)
		m.yy += dy * dy / (n - 1)
	}
	return m
}

func average(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// Ratio is the mean of y for the mean of x, for pairs drawn alike and not
// depending on each other, and its standard error by linearisation (Cochran,
// Sampling Techniques, 3rd ed. 1977, section 6.4, without the correction for a
// finite population). It is good where the mean of x is many of its own
// standard errors from 0: Fieller's interval tells. NaN for fewer than two
// pairs; where x means 0 the ratio is infinite or NaN, its error NaN.
func Ratio(x, y []float64) (ratio, se float64) {
	m := momentsOf(x, y)
	ratio, rest := m.remainder(x, y)
	return ratio, math.Sqrt(rest.yy/m.n) / math.Abs(m.x)
}

// remainder is the ratio, and the moments of x with what the ratio leaves of
// y. They are taken from the differences, not as s_yy - 2 R s_xy + R^2 s_xx,
// which is all rounding where y is nearly proportional to x.
func (m *moments) remainder(x, y []float64) (ratio float64, rest moments) {
	ratio = m.y / m.x
	left := make([]float64, len(y))
	for i := range min(len(x), len(y)) {
		left[i] = y[i] - ratio*x[i]
	}
	return ratio, momentsOf(x, left)
}

// Fieller is the interval that holds the ratio of the mean of y to that of x
// with the given confidence (0 to 1), exact for pairs from a normal
// distribution: the ratios R for which the mean of y - R x is not further from
// 0 than t of its own standard errors, n-1 degrees of freedom (Fieller, Some
// problems in interval estimation, J. R. Statist. Soc. B 16, 1954). These are
// a finite interval only where the mean of x is itself told from 0; elsewhere
// ok is false and the data do not bound the ratio. The interval contains
// Ratio, though seldom in its middle.
func Fieller(x, y []float64, confidence float64) (low, high float64, ok bool) {
	m := momentsOf(x, y)
	ratio, rest := m.remainder(x, y)
	t := StudentQuantile((1+confidence)/2, m.n-1)
	share := t * t / m.n
	// Of a d^2 - 2 h d - c <= 0, with d = R - Ratio.
	a, h, c := m.x*m.x-share*m.xx, -share*rest.xy, share*rest.yy
	root := math.Sqrt(h*h + a*c)
	// The root of one sign by the sum, of the other by the product -c/a: the
	// difference h - root would cancel.
	up := (math.Abs(h) + root) / a
	down := 0.0
	if up > 0 {
		down = c / (a * up)
	}
	if h < 0 {
		up, down = down, up
	}
	low, high = ratio-down, ratio+up
	ok = confidence > 0 && a > 0 && finite(low) && finite(high)
	if !ok {
		return math.NaN(), math.NaN(), false
	}
	return low, high, true
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// autocovariance is that of v at a lag, divided by n at every lag, so that all
// together are never of a negative spectrum.
func autocovariance(v []float64, mean float64, lag int) float64 {
	sum := 0.0
	for i := lag; i < len(v); i++ {
		sum += (v[i] - mean) * (v[i-lag] - mean)
	}
	return sum / float64(len(v))
}

// NeweyWest is the standard error of the mean of v, whose values come in equal
// steps of time and depend on those up to some lags before (Newey & West, A
// simple, positive semi-definite, heteroskedasticity and autocorrelation
// consistent covariance matrix, Econometrica 55, 1987: Bartlett's kernel).
// With no lags it is sqrt(sum (v - mean)^2)/n. There is no correction for a
// small sample: under some 20 values it is too small. Lags beyond the last
// are as good as the last; NaN for negative ones and fewer than two values.
func NeweyWest(v []float64, lags int) (se float64) {
	if len(v) < 2 || lags < 0 {
		return math.NaN()
	}
	lags = min(lags, len(v)-1)
	mean := average(v)
	sum := autocovariance(v, mean, 0)
	for k := 1; k <= lags; k++ {
		sum += 2 * (1 - float64(k)/float64(lags+1)) * autocovariance(v, mean, k)
	}
	// Rounding may take it below 0 where all is nearly cancelled.
	return math.Sqrt(math.Max(0, sum) / float64(len(v)))
}

// NeweyWestLags is the usual count of lags for n values, 4 (n/100)^(2/9)
// rounded down (the rule of thumb that Newey & West 1994, Automatic lag
// selection in covariance matrix estimation, starts from), less than n.
func NeweyWestLags(n int) int {
	if n < 2 {
		return 0
	}
	return min(n-1, int(4*math.Pow(float64(n)/100, 2.0/9)))
}

// Bootstrap draws n values anew with putting back, replicates times, and
// returns what stat makes of each drawing, in the order drawn. Stat is told
// which values (0 to n-1) were drawn and must not keep or change the list. The
// values are drawn in blocks of neighbours that start anywhere up to n-block
// and the last of which is cut short (Kunsch, The jackknife and the bootstrap
// for general stationary observations, Ann. Statist. 17, 1989), so that they
// depend on each other as those given do; blocks of 1 are the ordinary
// bootstrap (Efron 1979). With longer blocks the first and last values are
// drawn less often than the others.
//
// It is an error if there is nothing to draw, a block is not 1 to n long, or
// stat gives no finite number; and when ctx ends.
func Bootstrap(ctx context.Context, n, block, replicates int, rng *rand.Rand, stat func(index []int) float64) ([]float64, error) {
	switch {
	case n < 1:
		return nil, fmt.Errorf("%d values to draw from, must be 1 or more", n)
	case block < 1 || block > n:
		return nil, fmt.Errorf("blocks of %d values, must be 1 to %d, as many as there are", block, n)
	case replicates < 1:
		return nil, fmt.Errorf("%d drawings, must be 1 or more", replicates)
	case rng == nil || stat == nil:
		return nil, errors.New("drawing anew needs a generator and a statistic")
	}
	made := make([]float64, 0, min(replicates, 1<<20))
	index := make([]int, n)
	for range replicates {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		draw(index, block, rng)
		v := stat(index)
		if !finite(v) {
			return nil, fmt.Errorf("drawing %d of %d gave %g, must be a finite number: a value is missing or a sum is 0", len(made)+1, replicates, v)
		}
		made = append(made, v)
	}
	return made, nil
}

// draw fills index with blocks that start anywhere.
func draw(index []int, block int, rng *rand.Rand) {
	starts := len(index) - block + 1
	for from := 0; from < len(index); from += block {
		start := rng.IntN(starts)
		for k := range min(block, len(index)-from) {
			index[from+k] = start + k
		}
	}
}

// Percentiles is the interval that holds the middle share (0 to 1) of some
// values, such as a bootstrap's (Efron 1979), which may be in any order and are
// left so. Between two values the percentile is on the line between them
// (Hyndman & Fan, Sample quantiles in statistical packages, Amer. Statist. 50,
// 1996, their type 7). NaN for no values or a share outside 0 to 1.
func Percentiles(values []float64, share float64) (low, high float64) {
	if !(share >= 0 && share <= 1) || len(values) == 0 || slices.ContainsFunc(values, math.IsNaN) {
		return math.NaN(), math.NaN()
	}
	sorted := slices.Sorted(slices.Values(values))
	at := func(p float64) float64 {
		place := p * float64(len(sorted)-1)
		below := int(place)
		if float64(below) == place {
			return sorted[below]
		}
		return sorted[below] + (place-float64(below))*(sorted[below+1]-sorted[below])
	}
	return at((1 - share) / 2), at((1 + share) / 2)
}

// BlockLength is the length of blocks with which Bootstrap errs least about
// the variance of the mean of v, whose values come in equal steps of time
// (Politis & White, Automatic block-length selection for the dependent
// bootstrap, Econometric Reviews 23, 2004). Its correction (Patton, Politis &
// White, 28, 2009) leaves blocks of a fixed length as they were and bounds
// them: the smaller of 3 sqrt(n) and n/3, rounded up. It is 1 where values
// show no dependence and where there are three or fewer; 0, which Bootstrap
// refuses, where there are none or one is not a number.
func BlockLength(v []float64) int {
	n := float64(len(v))
	if len(v) == 0 {
		return 0
	}
	mean := average(v)
	variance := autocovariance(v, mean, 0)
	if !finite(variance) {
		return 0
	}
	if slices.Min(v) == slices.Max(v) { // whose variance may be rounding's
		return 1
	}
	spectrum, bend := variance, 0.0 // g(0) and G of the paper
	window := lagWindow(v, mean, variance)
	for k := 1; k <= window; k++ {
		// Politis & Romano's flat top: 1 up to half the window, then down to 0.
		weight := min(1, 2*(1-float64(k)/float64(window)))
		r := autocovariance(v, mean, k)
		spectrum += 2 * weight * r
		bend += 2 * weight * float64(k) * r
	}
	if bend == 0 {
		return 1
	}
	best := math.Cbrt(2 * bend * bend / (4.0 / 3 * spectrum * spectrum) * n)
	most := math.Ceil(min(3*math.Sqrt(n), n/3))
	return int(max(1, min(most, math.Round(best))))
}

// lagWindow is twice the smallest lag from 1 that is followed by a run of lags
// without dependence, such as five: under 2 sqrt(log10(n)/n) of the variance
// (Politis & White 2004, section 3.2). Of the lags up to sqrt(n) and a run the
// last with dependence counts where there is no such run, and the window goes
// no further than these.
func lagWindow(v []float64, mean, variance float64) int {
	n := float64(len(v))
	run := max(5, int(math.Ceil(math.Sqrt(math.Log10(n)))))
	bound := 2 * math.Sqrt(math.Log10(n)/n) * variance
	most := int(math.Ceil(math.Sqrt(n))) + run
	last := 1
	for k := 2; k <= most && k-last <= run; k++ {
		if math.Abs(autocovariance(v, mean, k)) >= bound {
			last = k
		}
	}
	return min(2*last, most)
}

// Regression is the mean of y where the mean of x is known to be xMean, by the
// straight line through the pairs, and its standard error (Cochran, Sampling
// Techniques, 3rd ed. 1977, chapter 7): the error given these x, which grows
// with the way from their own mean to xMean, with n-2 degrees of freedom. It
// takes out of the mean of y what x tells of the luck of the drawing. NaN for
// fewer than three pairs and where all x are alike, for there is no line.
func Regression(x, y []float64, xMean float64) (mean, se float64) {
	m := momentsOf(x, y)
	if m.n < 3 {
		return math.NaN(), math.NaN()
	}
	slope := m.xy / m.xx
	squares := 0.0
	for i := range min(len(x), len(y)) {
		e := y[i] - m.y - slope*(x[i]-m.x)
		squares += e * e
	}
	away := xMean - m.x
	return m.y + slope*away, math.Sqrt(squares / (m.n - 2) * (1/m.n + away*away/((m.n-1)*m.xx)))
}

// StudentQuantile is the value below which a share p (0 to 1) of Student's t
// lies (Student 1908), with df degrees of freedom, which need not be whole and
// may be infinite: the normal distribution. Sound to 1e-7 for p of 1e-6 to 1 -
// 1e-6. NaN for p outside 0 to 1 and df not above 0.
func StudentQuantile(p, df float64) float64 {
	switch {
	case !(p >= 0 && p <= 1) || !(df > 0):
		return math.NaN()
	case p == 0 || p == 1:
		return math.Inf(int(2*p - 1))
	case df > 1e5:
		// Fisher & Cornish 1960, the first term of their series in 1/df: the
		// exact one loses its digits here.
		z := distuv.UnitNormal.Quantile(p)
		return z + (z*z*z+z)/(4*df)
	}
	return distuv.StudentsT{Sigma: 1, Nu: df}.Quantile(p)
}

// SatterthwaiteDF is the degrees of freedom of the sum of some estimated
// variances, each of one degree of freedom and not depending on the others.
// Satterthwaite (An approximate distribution of estimates of variance
// components, Biometrics Bulletin 2, 1946) makes it (sum s)^2 / sum s^2 of the
// true variances s. An estimate v of one degree of freedom squares to 3 s^2 on
// average, so sum v^2 / 3 stands for sum s^2, and (sum v)^2 exceeds (sum s)^2
// by 2 sum s^2 on average:
//
//	((sum v)^2 - 2/3 sum v^2) / (sum v^2 / 3) = 3 (sum v)^2 / sum v^2 - 2
//
// (Johnson & Rust 1992 correct it alike for a jackknife, from memory.) It is 1
// at least, also where all are 0, and at most as many as there are variances,
// which the true one never exceeds. NaN for none and for negative ones.
func SatterthwaiteDF(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	largest := slices.Max(v)
	if !finite(largest) || slices.Min(v) < 0 {
		return math.NaN()
	}
	if largest == 0 {
		return 1
	}
	var sum, squares float64
	for _, x := range v {
		x /= largest // lest squares overflow or vanish
		sum += x
		squares += x * x
	}
	return max(1, min(float64(len(v)), 3*sum*sum/squares-2))
}

// manyDays is as good as never.
const manyDays = 1 << 30

// DaysNeeded is how many days make the interval of a mean reach no further
// than halfwidth to each side, by Student's t with confidence (0 to 1), for
// days of standard deviation sd, each correlated by lag1 with the one before.
// Such days count as n (1 - lag1)/(1 + lag1) free ones (a first-order process;
// from memory, Bayley & Hammersley 1946), of which there must be two. A
// negative lag1, which would promise more than free days, counts as none. 0
// where there is no answer: halfwidth not above 0, sd below 0, lag1 not within
// -1 and 1. At most 2^30.
func DaysNeeded(sd, halfwidth, confidence, lag1 float64) int {
	if !(sd >= 0 && halfwidth > 0 && confidence > 0 && confidence < 1 && lag1 > -1 && lag1 < 1) || math.IsInf(sd, 1) {
		return 0
	}
	each := (1 - max(0, lag1)) / (1 + max(0, lag1))
	return 1 + sort.Search(manyDays-1, func(i int) bool {
		free := float64(i+1) * each
		// A hair under 2 is 2: (1 - r)/(1 + r) is rounded.
		return free >= 2-1e-9 && StudentQuantile((1+confidence)/2, max(1, free-1))*sd/math.Sqrt(free) <= halfwidth
	})
}

// PairsNeeded is how many pairs tell a gain of delta from none: n = (z(1 -
// alpha/2) + z(power))^2 (s/delta)^2, rounded up, by the normal distribution
// (a standard formula; 7.849 (s/delta)^2 for alpha 0.05 and power 0.80). S is
// the standard deviation of one pair's log ratio, delta the log ratio to be
// told, of either sign; alpha the risk to see a gain where there is none,
// power the chance to see one that is there. Two more make up for Student's t.
// 0 where there is no answer: s below 0, delta 0, alpha or power outside 0 to
// 1, power not above alpha. At most 2^30.
func PairsNeeded(s, delta, alpha, power float64) int {
	if !(s >= 0 && alpha > 0 && alpha < power && power < 1) {
		return 0
	}
	z := distuv.UnitNormal.Quantile(1-alpha/2) + distuv.UnitNormal.Quantile(power)
	n := math.Pow(z*s/delta, 2)
	if !finite(n) {
		return 0
	}
	return int(min(manyDays, max(1, math.Ceil(n))))
}
