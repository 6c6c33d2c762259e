package checks

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"slices"
	"strconv"

	"turnsole/trial"
)

func statisticsRooms() []Room {
	return []Room{{
		Title:  "Trial: general-purpose programs' statistics of the same numbers",
		Source: "Debian's python3-scipy and python3-statsmodels. Fieller's limits: where scipy's t test of y - r x just fails. Ratio: scipy's standard error of the mean of y - r x. Newey-West: statsmodels' OLS on a constant, HAC covariance. Regression estimator: the error of statsmodels' OLS prediction. Percentiles: numpy, of the same drawings of ours. Error of a mean drawn in blocks: the sum over every block there is. Block length: Politis & White 2004 anew in Python, with statsmodels' autocovariances (no such program is in Debian). Pairs: scipy's normal quantiles, and statsmodels' power of the t test, for which our two more make up",
		Reason: "1e-9, which sums of two hundred numbers and a search that stops at 1e-13 keep, and 1e-7 of each t quantile, of which scipy's own are good to about 1e-8 (2.5705818366 for 0.975 and 5 degrees, tables have 2.5705818356). Three per cent for the error of ten thousand drawings: four times its own scatter, 1/sqrt(2 x 10,000). Counts are the same, by a million one more than the fraction",
		Need:   Peers,
		Run:    statisticsOfPeers,
	}}
}

//go:embed peers/statistics.py
var statisticsPeers string

// numbersGiven are what both sides reckon with.
type numbersGiven struct {
	Sets      []pairsGiven `json:"sets"`
	Quantiles [][2]float64 `json:"quantiles"` // p, degrees of freedom
	Series    [][]float64  `json:"series"`
	Days      [][4]float64 `json:"days"` // as trial.DaysNeeded
}

// pairsGiven are pairs, and how they were drawn anew.
type pairsGiven struct {
	Name  string    `json:"name"`
	X     []float64 `json:"x"`
	Y     []float64 `json:"y"`
	XMean float64   `json:"x_mean"`
	Lags  int       `json:"lags"`
	Block int       `json:"block"`
	Index [][]int   `json:"index"`

	base      float64 // what x is about
	n         int
	low, high float64 // percentiles of the drawings' ratios
	error     float64 // of the mean of y, by ten thousand drawings
}

func statisticsOfPeers(string) ([]Check, error) {
	given, err := giveNumbers(rand.New(rand.NewPCG(1953, 1987)))
	if err != nil {
		return nil, err
	}
	theirs, err := askStatistics(given)
	if err != nil {
		return nil, err
	}
	var all []Check
	for i := range given.Sets {
		all = append(all, given.Sets[i].checks(theirs)...)
	}
	return append(all, given.counts(theirs)...), nil
}

// askStatistics returns what the other programs make of the numbers.
func askStatistics(given *numbersGiven) (peerFigures, error) {
	text, err := json.Marshal(given)
	if err != nil {
		return nil, err
	}
	// Debian's modules belong to Debian's Python.
	run := exec.Command("/usr/bin/python3", "-c", statisticsPeers)
	run.Stdin = bytes.NewReader(text)
	rows, err := told(run)
	if err != nil {
		return nil, err
	}
	theirs := peerFigures{}
	for _, r := range rows {
		if theirs[r["case"]+" "+r["what"]], err = r.number("value"); err != nil {
			return nil, err
		}
	}
	return theirs, nil
}

// peerFigures are figures of other programs by case and what.
type peerFigures map[string]float64

// of is one of them; one that was not told fails its check.
func (f peerFigures) of(name string) float64 {
	if v, ok := f[name]; ok {
		return v
	}
	return math.NaN()
}

func (s *pairsGiven) checks(theirs peerFigures) []Check {
	var all []Check
	add := func(what string, ours, tolerance float64) {
		all = append(all, Check{s.Name + ": " + what, theirs.of(s.Name + " " + what), ours, "", tolerance, 6})
	}
	_, ratioError := trial.Ratio(s.X, s.Y)
	add("ratio error", ratioError, 1e-9)
	low, high, ok := trial.Fieller(s.X, s.Y, 0.95)
	bounded := 0.0
	if ok {
		bounded = 1
		add("Fieller low", low, 1e-9)
		add("Fieller high", high, 1e-9)
	}
	add("bounded by Fieller", bounded, 0)
	add("Newey-West error", trial.NeweyWest(s.Y, s.Lags), 1e-9)
	mean, se := trial.Regression(s.X, s.Y, s.XMean)
	add("regression mean", mean, 1e-9)
	add("regression error", se, 1e-9)
	add("2.5 % of the drawings", s.low, 1e-9)
	add("97.5 % of the drawings", s.high, 1e-9)
	add("error in blocks", s.error, 0.03*s.error)
	return all
}

// counts are the checks of what has no pairs.
func (g *numbersGiven) counts(theirs peerFigures) []Check {
	var apart, lengths worst
	for i, q := range g.Quantiles {
		their := theirs.of("quantile " + strconv.Itoa(i))
		apart.add("t quantiles, share of each", (trial.StudentQuantile(q[0], q[1])-their)/their)
	}
	for i, v := range g.Series {
		lengths.add("automatic block lengths", float64(trial.BlockLength(v))-theirs.of("block length "+strconv.Itoa(i)))
	}
	all := append(apart.checks("", "", 1e-7, 7), lengths.checks("", "values", 0, 0)...)
	for i, d := range g.Days {
		what := fmt.Sprintf("days for %g of half-width, sd %g, confidence %g, correlation %g", d[1], d[0], d[2], d[3])
		all = append(all, Check{what, theirs.of("days " + strconv.Itoa(i)), float64(trial.DaysNeeded(d[0], d[1], d[2], d[3])), "d", 0, 0})
	}
	pairs := func(s, delta float64) float64 { return float64(trial.PairsNeeded(s, delta, 0.05, 0.8)) }
	return append(all,
		Check{"pairs for (s/delta)^2 = 1, by a million", theirs.of("pairs per square"), pairs(1000, 1) / 1e6, "", 1e-6, 5},
		Check{"pairs for s 0.10, delta 0.05", theirs.of("pairs 0.10 and 0.05"), pairs(0.1, 0.05), "", 0, 0},
		Check{"the same by Student's t: two more", theirs.of("pairs by t"), pairs(0.1, 0.05) + 2, "", 0, 0})
}

// giveNumbers makes numbers such as a trial brings: x and y for the still and
// the aimed panel, y half as much again, days like the days before them.
func giveNumbers(rng *rand.Rand) (*numbersGiven, error) {
	g := &numbersGiven{Days: [][4]float64{{0.1, 0.02, 0.95, 0}, {0.1, 0.02, 0.95, 0.3}, {0.3, 0.25, 0.9, 0}, {0.05, 0.01, 0.99, 0.6}}}
	for _, c := range []pairsGiven{
		{Name: "6 pairs", n: 6, base: 2, Block: 1, Lags: 1},
		{Name: "30 days", n: 30, base: 2, Block: 3, Lags: trial.NeweyWestLags(30)},
		{Name: "200 looks", n: 200, base: 2, Block: 9, Lags: trial.NeweyWestLags(200)},
		{Name: "5 pairs in the dark", n: 5, base: 0.1, Block: 2, Lags: 4}, // x is not told from 0
	} {
		c.X, c.Y, c.XMean = wander(rng, c.n, 0.5), wander(rng, c.n, 0.2), c.base+0.25
		for i := range c.X {
			c.X[i] = c.base + 0.5*c.X[i]
			c.Y[i] = 1.5*c.X[i] + 0.3*c.Y[i]
		}
		if err := c.draw(rng); err != nil {
			return nil, err
		}
		g.Sets = append(g.Sets, c)
	}
	for _, df := range []float64{0.5, 1, 2, 3.7, 6, 13, 29.5, 100, 1e3, 1e4, 1e5, 1e6, 1e9} {
		for _, p := range []float64{1e-6, 0.001, 0.025, 0.2, 0.4, 0.6, 0.75, 0.9, 0.95, 0.975, 0.995, 1 - 1e-6} {
			g.Quantiles = append(g.Quantiles, [2]float64{p, df})
		}
	}
	for _, n := range []int{7, 14, 30, 100, 365, 2000} {
		for _, r := range []float64{-0.5, 0, 0.1, 0.3, 0.5, 0.7, 0.9} {
			g.Series = append(g.Series, wander(rng, n, r))
		}
	}
	return g, nil
}

// wander is a first-order process of variance 1/(1 - r^2) about 0.
func wander(rng *rand.Rand, n int, r float64) []float64 {
	v := make([]float64, n)
	last := rng.NormFloat64() / math.Sqrt(1-r*r)
	for i := range v {
		v[i] = last
		last = r*last + rng.NormFloat64()
	}
	return v
}

// draw draws the pairs anew: five hundred times to be reckoned with by both
// sides, ten thousand times for the error of the mean.
func (s *pairsGiven) draw(rng *rand.Rand) error {
	n := len(s.X)
	mean := func(v []float64, index []int) float64 {
		sum := 0.0
		for _, i := range index {
			sum += v[i] / float64(n)
		}
		return sum
	}
	ratios, err := trial.Bootstrap(context.Background(), n, s.Block, 500, rng, func(index []int) float64 {
		s.Index = append(s.Index, slices.Clone(index))
		return mean(s.Y, index) / mean(s.X, index)
	})
	if err != nil {
		return err
	}
	s.low, s.high = trial.Percentiles(ratios, 0.95)
	means, err := trial.Bootstrap(context.Background(), n, s.Block, 10000, rng, func(index []int) float64 { return mean(s.Y, index) })
	if err != nil {
		return err
	}
	// The error of a mean of free drawings, times the root of their count.
	s.error = trial.NeweyWest(means, 0) * math.Sqrt(float64(len(means)))
	return nil
}
