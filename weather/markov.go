package weather

import "math/rand/v2"

// states is how many states the day chain has.
const states = 10

// dayMatrix is one published chain of days: state j (from 0) spans a tenth of
// low..high of daily clearness, and chance[i][j] is the chance that a day in
// state i is followed by one in state j.
type dayMatrix struct {
	low, high float64
	chance    [states][states]float64
}

// dayMatrices are the ten chains of R. J. Aguiar, M. Collares-Pereira and
// J. P. Conde, "Simple procedure for generating sequences of daily radiation
// values using a library of Markov transition matrices", Solar Energy 40(3),
// 1988, pages 269-279, one for each class of monthly mean clearness: up to
// 0.30, then by steps of 0.05, the last from 0.70 up. As printed, rows add up
// to 1 within 0.004 only; newDayChain mends that.
var dayMatrices = [...]dayMatrix{
	{0.031, 0.705, [states][states]float64{
		{0.229, 0.333, 0.208, 0.042, 0.083, 0.042, 0.042, 0.021, 0, 0},
		{0.167, 0.319, 0.194, 0.139, 0.097, 0.028, 0.042, 0, 0.014, 0},
		{0.25, 0.25, 0.091, 0.136, 0.091, 0.046, 0.046, 0.023, 0.068, 0},
		{0.158, 0.237, 0.158, 0.263, 0.026, 0.053, 0.079, 0.026, 0, 0},
		{0.211, 0.053, 0.211, 0.158, 0.053, 0.053, 0.158, 0.105, 0, 0},
		{0.125, 0.125, 0.25, 0.188, 0.063, 0.125, 0, 0.125, 0, 0},
		{0.04, 0.24, 0.08, 0.12, 0.08, 0.08, 0.12, 0.12, 0.08, 0.04},
		{0, 0.25, 0, 0.125, 0, 0.125, 0.125, 0.25, 0.063, 0.063},
		{0, 0.25, 0, 0.125, 0.25, 0, 0.25, 0, 0, 0.125},
		{0, 0, 0, 0, 0, 0, 0.5, 0.25, 0, 0.25},
	}},
	{0.058, 0.694, [states][states]float64{
		{0, 0, 0.091, 0, 0.364, 0.091, 0.182, 0, 0.273, 0},
		{0.118, 0.118, 0.176, 0.118, 0.059, 0.118, 0.176, 0.059, 0.059, 0},
		{0.067, 0.267, 0.067, 0.2, 0.067, 0, 0.133, 0.133, 0, 0.067},
		{0.118, 0.235, 0, 0.235, 0.059, 0.176, 0.118, 0, 0.059, 0},
		{0.077, 0.154, 0.308, 0.077, 0.154, 0.077, 0, 0.077, 0.077, 0},
		{0.083, 0, 0.167, 0.25, 0.083, 0.167, 0, 0.083, 0.167, 0},
		{0.222, 0.222, 0, 0.111, 0.111, 0, 0.111, 0.222, 0, 0},
		{0.091, 0.182, 0.273, 0, 0.091, 0.273, 0, 0.091, 0, 0},
		{0.111, 0.111, 0.111, 0.222, 0, 0, 0, 0.222, 0.111, 0.111},
		{0, 0, 0, 0, 0, 0, 0.5, 0, 0, 0.5},
	}},
	{0.051, 0.753, [states][states]float64{
		{0.206, 0.088, 0.176, 0.176, 0.088, 0.029, 0.176, 0.029, 0.029, 0},
		{0.12, 0.1, 0.14, 0.16, 0.12, 0.22, 0.1, 0, 0.02, 0.02},
		{0.077, 0.123, 0.185, 0.123, 0.077, 0.139, 0.092, 0.123, 0.061, 0},
		{0.048, 0.111, 0.095, 0.206, 0.206, 0.19, 0.095, 0.048, 0, 0},
		{0.059, 0.137, 0.118, 0.137, 0.098, 0.118, 0.118, 0.157, 0.059, 0},
		{0.014, 0.097, 0.139, 0.153, 0.125, 0.139, 0.208, 0.056, 0.042, 0.028},
		{0.073, 0.101, 0.116, 0.145, 0.087, 0.159, 0.203, 0.087, 0.029, 0},
		{0.019, 0.037, 0.111, 0.056, 0.074, 0.111, 0.185, 0.296, 0.074, 0.037},
		{0.035, 0.069, 0.035, 0, 0.035, 0.103, 0.172, 0.138, 0.379, 0.035},
		{0, 0.167, 0.167, 0, 0.167, 0, 0, 0.333, 0, 0.167},
	}},
	{0.052, 0.753, [states][states]float64{
		{0.167, 0.167, 0.167, 0, 0.083, 0.125, 0, 0.167, 0.125, 0},
		{0.117, 0.117, 0.15, 0.117, 0.083, 0.117, 0.2, 0.067, 0.017, 0.017},
		{0.049, 0.085, 0.134, 0.158, 0.098, 0.11, 0.134, 0.134, 0.061, 0.037},
		{0.039, 0.09, 0.141, 0.141, 0.167, 0.141, 0.09, 0.141, 0.039, 0.013},
		{0.009, 0.139, 0.074, 0.093, 0.194, 0.139, 0.167, 0.093, 0.074, 0.019},
		{0.036, 0.018, 0.117, 0.099, 0.144, 0.18, 0.18, 0.117, 0.072, 0.036},
		{0, 0.046, 0.061, 0.061, 0.136, 0.159, 0.273, 0.167, 0.098, 0},
		{0.016, 0.056, 0.08, 0.128, 0.104, 0.08, 0.16, 0.208, 0.136, 0.032},
		{0.011, 0.053, 0.021, 0.043, 0.128, 0.096, 0.074, 0.223, 0.277, 0.074},
		{0, 0.074, 0.037, 0, 0.074, 0.074, 0.074, 0.074, 0.333, 0.259},
	}},
	{0.028, 0.807, [states][states]float64{
		{0.12, 0.2, 0.16, 0.12, 0.12, 0.12, 0.08, 0, 0.04, 0.04},
		{0.1, 0.08, 0.12, 0.14, 0.14, 0.2, 0.18, 0.04, 0, 0},
		{0.046, 0.114, 0.068, 0.171, 0.125, 0.171, 0.08, 0.159, 0.057, 0.011},
		{0.015, 0.061, 0.084, 0.099, 0.191, 0.153, 0.153, 0.115, 0.115, 0.015},
		{0.024, 0.03, 0.098, 0.098, 0.165, 0.195, 0.195, 0.14, 0.043, 0.012},
		{0.015, 0.026, 0.062, 0.124, 0.144, 0.17, 0.17, 0.222, 0.062, 0.005},
		{0, 0.013, 0.045, 0.108, 0.112, 0.175, 0.188, 0.224, 0.117, 0.018},
		{0.008, 0.023, 0.054, 0.066, 0.093, 0.125, 0.191, 0.253, 0.183, 0.004},
		{0.006, 0.022, 0.061, 0.033, 0.067, 0.083, 0.139, 0.222, 0.322, 0.044},
		{0, 0.046, 0.091, 0.091, 0.046, 0.046, 0.136, 0.091, 0.273, 0.182},
	}},
	{0.053, 0.856, [states][states]float64{
		{0.25, 0.179, 0.107, 0.107, 0.143, 0.071, 0.107, 0.036, 0, 0},
		{0.133, 0.022, 0.089, 0.111, 0.156, 0.178, 0.111, 0.133, 0.067, 0},
		{0.064, 0.048, 0.143, 0.048, 0.175, 0.143, 0.206, 0.095, 0.079, 0},
		{0, 0.022, 0.078, 0.111, 0.156, 0.156, 0.244, 0.167, 0.044, 0.022},
		{0.016, 0.027, 0.037, 0.069, 0.16, 0.219, 0.23, 0.16, 0.075, 0.005},
		{0.013, 0.025, 0.03, 0.093, 0.144, 0.202, 0.215, 0.219, 0.055, 0.004},
		{0.006, 0.041, 0.035, 0.064, 0.09, 0.18, 0.337, 0.192, 0.049, 0.006},
		{0.012, 0.021, 0.029, 0.035, 0.132, 0.123, 0.184, 0.371, 0.082, 0.012},
		{0.008, 0.016, 0.016, 0.024, 0.071, 0.103, 0.159, 0.27, 0.309, 0.024},
		{0, 0, 0, 0, 0.059, 0, 0.059, 0.294, 0.412, 0.176},
	}},
	{0.044, 0.818, [states][states]float64{
		{0.217, 0.087, 0, 0.174, 0.13, 0.087, 0.087, 0.13, 0.087, 0},
		{0.026, 0.079, 0.132, 0.079, 0.026, 0.158, 0.158, 0.132, 0.158, 0.053},
		{0.02, 0.02, 0.02, 0.04, 0.16, 0.18, 0.16, 0.2, 0.1, 0.1},
		{0.025, 0.013, 0.038, 0.076, 0.076, 0.139, 0.139, 0.266, 0.215, 0.013},
		{0.03, 0.03, 0.05, 0.02, 0.091, 0.131, 0.162, 0.283, 0.131, 0.071},
		{0.006, 0.006, 0.013, 0.057, 0.057, 0.121, 0.204, 0.287, 0.185, 0.064},
		{0.004, 0.026, 0.037, 0.03, 0.093, 0.107, 0.193, 0.307, 0.167, 0.037},
		{0.011, 0.009, 0.014, 0.042, 0.041, 0.071, 0.152, 0.418, 0.203, 0.041},
		{0.012, 0.022, 0.022, 0.038, 0.019, 0.05, 0.113, 0.281, 0.36, 0.084},
		{0.008, 0.024, 0.039, 0.039, 0.063, 0.039, 0.118, 0.118, 0.284, 0.268},
	}},
	{0.085, 0.846, [states][states]float64{
		{0.067, 0.133, 0.133, 0.067, 0.067, 0.2, 0.133, 0.133, 0.067, 0},
		{0.118, 0.059, 0.059, 0.059, 0.059, 0.118, 0.118, 0.235, 0.118, 0.059},
		{0, 0.024, 0.024, 0.049, 0.146, 0.073, 0.195, 0.244, 0.195, 0.049},
		{0.026, 0, 0.026, 0.026, 0.053, 0.184, 0.263, 0.184, 0.237, 0},
		{0.014, 0, 0.042, 0.056, 0.069, 0.097, 0.139, 0.306, 0.278, 0},
		{0.009, 0.009, 0.052, 0.069, 0.052, 0.112, 0.215, 0.285, 0.138, 0.06},
		{0.009, 0.009, 0.026, 0.017, 0.094, 0.099, 0.232, 0.283, 0.21, 0.021},
		{0.01, 0.014, 0.016, 0.019, 0.027, 0.062, 0.163, 0.467, 0.202, 0.019},
		{0.004, 0.007, 0.031, 0.017, 0.033, 0.05, 0.086, 0.252, 0.469, 0.05},
		{0, 0, 0.015, 0.046, 0.031, 0.046, 0.077, 0.123, 0.446, 0.215},
	}},
	{0.01, 0.842, [states][states]float64{
		{0, 0, 0, 0, 0, 0, 0, 0, 1, 0},
		{0, 0, 0, 0, 0, 0, 0, 0, 1, 0},
		{0, 0, 0, 0, 0, 0, 0.25, 0.25, 0.5, 0},
		{0, 0, 0, 0, 0.25, 0, 0, 0.375, 0.25, 0.125},
		{0, 0, 0, 0.083, 0, 0.167, 0.167, 0.25, 0.333, 0},
		{0, 0, 0.042, 0.042, 0.042, 0.083, 0.083, 0.292, 0.292, 0.125},
		{0, 0, 0.032, 0, 0, 0.032, 0.129, 0.387, 0.355, 0.065},
		{0, 0, 0, 0.038, 0.038, 0.075, 0.047, 0.34, 0.415, 0.047},
		{0.004, 0.004, 0.007, 0.007, 0.011, 0.03, 0.052, 0.141, 0.654, 0.089},
		{0, 0, 0, 0, 0.061, 0.061, 0.03, 0.03, 0.349, 0.47},
	}},
	{0.319, 0.865, [states][states]float64{
		{0, 0, 0, 0, 0, 0, 0, 0, 1, 0},
		{0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1},
		{0, 0, 0, 0.25, 0, 0, 0, 0.5, 0.25, 0},
		{0, 0, 0.143, 0.143, 0, 0.143, 0.143, 0.429, 0, 0},
		{0, 0, 0, 0.2, 0, 0, 0.2, 0.4, 0.2, 0},
		{0, 0, 0, 0, 0, 0, 0.222, 0.444, 0.333, 0},
		{0, 0, 0, 0, 0.08, 0.08, 0.08, 0.48, 0.24, 0.04},
		{0, 0, 0.027, 0.009, 0.027, 0.018, 0.135, 0.523, 0.252, 0.009},
		{0, 0, 0, 0.022, 0, 0.043, 0.043, 0.326, 0.511, 0.054},
		{0, 0, 0, 0.143, 0, 0, 0, 0.143, 0.714, 0},
	}},
}

// dayChain is a chain of daily clearness between and beyond the published
// ones.
type dayChain struct {
	low, step float64
	upTo      [states][states]float64 // cumulative chances of a state's row
	mean      float64                 // long-run mean of the days it draws
}

// The published chains stand on a shelf at places 0 to 9. Chains between them
// are blends of two neighbours; below the first the days are dimmed together,
// above the last they are drawn together towards its brightest day. So every
// monthly mean has its chain, and not only the ten means that the published
// chains themselves settle at.
const (
	darkestChain   = -0.95
	brightestChain = 9.95
)

// newDayChain returns the chain at a place of the shelf.
func newDayChain(place float64) dayChain {
	inside := min(max(place, 0), float64(len(dayMatrices)-1))
	i := min(int(inside), len(dayMatrices)-2)
	share := inside - float64(i)
	a, b := &dayMatrices[i], &dayMatrices[i+1]
	low, high := blend(a.low, b.low, share), blend(a.high, b.high, share)
	if place < 0 {
		low, high = low*(1+place), high*(1+place)
	}
	if beyond := place - inside; beyond > 0 {
		low += (high - low) * beyond
	}
	c := dayChain{low: low, step: (high - low) / states}
	for row := range c.upTo {
		c.upTo[row] = cumulative(&a.chance[row], &b.chance[row], share)
	}
	c.mean = c.settle()
	return c
}

func blend(a, b, share float64) float64 { return a + (b-a)*share }

// cumulative blends two rows, each brought to a sum of 1, and adds them up.
func cumulative(a, b *[states]float64, share float64) (upTo [states]float64) {
	var sumA, sumB float64
	for j := range a {
		sumA, sumB = sumA+a[j], sumB+b[j]
	}
	sum := 0.0
	for j := range a {
		sum += blend(a[j]/sumA, b[j]/sumB, share)
		upTo[j] = sum
	}
	upTo[states-1] = 1
	return upTo
}

// settle returns the mean of the states' middles in the long run.
func (c *dayChain) settle() float64 {
	var now [states]float64
	now[states/2] = 1
	for range 40 { // the slowest chain keeps less than 0.6 of its start a day
		var next [states]float64
		for i, p := range now {
			before := 0.0
			for j, u := range c.upTo[i] {
				next[j] += p * (u - before)
				before = u
			}
		}
		now = next
	}
	mean := 0.0
	for j, p := range now {
		mean += p * (c.low + (float64(j)+0.5)*c.step)
	}
	return mean
}

// high returns the clearness that no day of the chain exceeds.
func (c *dayChain) high() float64 { return c.low + states*c.step }

// next draws the clearness of the day after one of clearness yesterday, which
// may come from another month's chain. Within a state all values are equally
// likely.
func (c *dayChain) next(rng *rand.Rand, yesterday float64) float64 {
	state := min(max(int((yesterday-c.low)/c.step), 0), states-1)
	u, j, before := rng.Float64(), 0, 0.0
	row := &c.upTo[state]
	for j < states-1 && u >= row[j] {
		before = row[j]
		j++
	}
	within := (u - before) / (row[j] - before)
	return c.low + (float64(j)+within)*c.step
}
