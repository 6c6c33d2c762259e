package sensor

import (
	"fmt"
	"math"
	"math/rand/v2"

	"turnsole/compass"
)

// Faults is what is wrong with a rig's senses and set-up, and what the
// controller does not know. The zero value is a rig without fault; each fault
// can be had alone.
type Faults struct {
	OffsetA      float64 // that the current reads at none
	Gain         float64 // reading over truth, > 0; 0 means 1
	DriftAPerDay float64 // by which the offset grows
	ClockPPM     float64 // by which the clock is fast, millionths: 20 is 1.7 s a day
	NoClock      bool    // the clock is missing, or has lost the time
	SleepError   float64 // share by which a sleep is longer than asked, > -1; a watchdog's is within 0.1 (common practice, no source)

	CompassDeg  compass.Angle // by which north was set too far clockwise
	LevelDeg    compass.Angle // by which the base leans, 0..45
	LevelToward compass.Angle // bearing that it leans toward
	TiltBy      compass.Angle // by which a hand made the panel steeper, untold
}

// Validate returns an error where a figure is outside its range.
func (f *Faults) Validate() error {
	for _, v := range []struct {
		name string
		v    float64
	}{
		{"offset", f.OffsetA}, {"drift", f.DriftAPerDay}, {"clock error", f.ClockPPM}, {"sleep error", f.SleepError}, {"gain", f.Gain},
		{"compass error", float64(f.CompassDeg)}, {"lean", float64(f.LevelDeg)},
		{"bearing of the lean", float64(f.LevelToward)}, {"change of tilt", float64(f.TiltBy)},
	} {
		if math.IsNaN(v.v) || math.IsInf(v.v, 0) {
			return fmt.Errorf("the fault's %s is %v, must be a number", v.name, v.v)
		}
	}
	switch {
	case f.Gain < 0:
		return fmt.Errorf("the current sensor's gain is %v, must be more than 0 (1 for a true one)", f.Gain)
	case f.SleepError <= -1:
		return fmt.Errorf("sleeps longer by the share %v would never end, must be more than -1", f.SleepError)
	case f.LevelDeg < 0 || f.LevelDeg > 45:
		return fmt.Errorf("the base leans by %v degrees, must be 0 to 45", float64(f.LevelDeg))
	}
	return nil
}

// Read returns what the sensor reads of a true current, in amperes, some days
// after it was zeroed: with offset, gain, drift and noise, held within its
// range, rounded to the converter's steps, and averaged over its reads. With no
// faults f may be nil; rng is not asked where there is no noise.
//
// The mean of the reads is drawn at once, from a normal law with the mean and
// the variance that the reads have, to a whole number of steps over all reads.
// The converter rounds to its nearest step: where one cuts off, its half step
// belongs to the offset.
func (c Current) Read(trueA float64, f *Faults, days float64, rng *rand.Rand) float64 {
	step := c.StepA()
	steps := c.held(f.sensed(trueA, days)) / step
	noise := c.NoiseA / step
	switch {
	case noise == 0:
		steps = math.Round(steps)
	case c.Reads <= 1:
		steps = math.Round(steps + noise*rng.NormFloat64())
	default:
		mean, variance := rounded(steps, noise)
		reads := float64(c.Reads)
		// A sum of whole steps is whole; making it so brings the last 1/12 of
		// its variance (Sheppard's correction).
		spread := math.Sqrt(max(0, reads*variance-1.0/12))
		steps = math.Round(reads*mean+spread*rng.NormFloat64()) / reads
	}
	return c.held(steps * step)
}

// sensed is the current that reaches the converter.
func (f *Faults) sensed(trueA, days float64) float64 {
	if f == nil {
		return trueA
	}
	gain := f.Gain
	if gain == 0 {
		gain = 1
	}
	return trueA*gain + f.OffsetA + f.DriftAPerDay*days
}

// held keeps a current within what the sensor can show and the converter reads,
// from 0 V to its full scale.
func (c Current) held(currentA float64) float64 {
	least := max(-c.RangeA, -c.ZeroV/c.VPerA)
	most := min(c.RangeA, (c.ReferenceV-c.ZeroV)/c.VPerA)
	return max(least, min(currentA, most))
}

// rounded returns mean and variance of a normal variable after it is rounded
// to whole numbers.
func rounded(mean, spread float64) (m, v float64) {
	if spread < 0.5 {
		return roundedByEdges(mean, spread)
	}
	// First harmonic of the rounding error (Widrow & Kollar, Quantization
	// Noise, 2008): the second is e-9 of a step at half a step of noise.
	g := math.Exp(-2 * math.Pi * math.Pi * spread * spread)
	sin, cos := math.Sincos(2 * math.Pi * mean)
	off := -g * sin / math.Pi
	square := spread * spread
	return mean + off, square + 1.0/12 - g*cos*(1/(math.Pi*math.Pi)+4*square) - off*off
}

// roundedByEdges counts the chance to lie beyond each edge between two steps.
func roundedByEdges(mean, spread float64) (m, v float64) {
	const reach = 5 // spreads: what lies beyond is 3e-7
	base := math.Round(mean)
	off := mean - base
	square := 0.0
	for k := 0.5; k-off < reach*spread; k++ { // edges above: n steps up are n edges, n^2 = 1 + 3 + 5 ...
		p := beyond((k - off) / spread)
		m += p
		square += 2 * k * p
	}
	for k := 0.5; k+off < reach*spread; k++ { // and below
		p := beyond((k + off) / spread)
		m -= p
		square += 2 * k * p
	}
	return base + m, square - m*m
}

// beyond returns the chance of a standard normal variable to exceed z.
func beyond(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }
