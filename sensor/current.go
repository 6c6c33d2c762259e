// Package sensor is what a controller can know: what a sensor reads of the
// truth, and what it is blind to.
package sensor

import (
	"fmt"
	"math"

	"turnsole/compass"
)

// Current is a current sensor and the converter that reads it.
type Current struct {
	RangeA     float64 // largest current it can measure, > 0
	VPerA      float64 // volts for an ampere, > 0
	ZeroV      float64 // volts at no current, >= 0: half its supply where it measures both ways, 0 for a shunt
	NoiseA     float64 // standard deviation of one read, before it is rounded to steps, >= 0
	Bits       int     // of the converter, 1..24
	ReferenceV float64 // full scale of the converter, > 0
	Reads      int     // averaged into one reading, 1 or more
}

// Common is the 5 A sensor that hobby boards are sold with, on a converter of
// 10 bits and 5 V, read once and taken to be without noise: 185 mV for an
// ampere about half the supply (common practice, no source). A real one has
// some 20 mA of noise (from memory), which dithers: a hundred reads spread over
// the switching see what one read does not.
func Common() Current {
	return Current{RangeA: 5, VPerA: 0.185, ZeroV: 2.5, Bits: 10, ReferenceV: 5, Reads: 1}
}

// Validate returns an error where a figure is outside its range.
func (c Current) Validate() error {
	positive := func(v float64) bool { return v > 0 && !math.IsInf(v, 1) }
	switch {
	case !positive(c.RangeA):
		return fmt.Errorf("the current sensor's range is %v A, must be more than 0", c.RangeA)
	case !positive(c.VPerA):
		return fmt.Errorf("the current sensor gives %v V for an ampere, must be more than 0", c.VPerA)
	case !(c.ZeroV >= 0) || math.IsInf(c.ZeroV, 1):
		return fmt.Errorf("the current sensor gives %v V at no current, must be 0 or more", c.ZeroV)
	case !(c.NoiseA >= 0) || math.IsInf(c.NoiseA, 1):
		return fmt.Errorf("the current sensor's noise is %v A, must be 0 or more", c.NoiseA)
	case c.Bits < 1 || c.Bits > 24:
		return fmt.Errorf("the converter has %d bits, must be 1 to 24", c.Bits)
	case !positive(c.ReferenceV):
		return fmt.Errorf("the converter's full scale is %v V, must be more than 0", c.ReferenceV)
	case c.Reads < 1:
		return fmt.Errorf("%d reads are averaged, must be 1 or more", c.Reads)
	}
	return nil
}

// StepA returns one step of the converter in amperes.
func (c Current) StepA() float64 {
	return math.Ldexp(c.ReferenceV, -c.Bits) / c.VPerA
}

// Dithered reports whether the noise is large enough, half a step or more, to
// carry the reads to and fro over the edges between steps, so that their mean
// comes to lie between two steps. Without that every read of a steady current
// is the same, and averaging gains nothing on the step. At half a step what
// remains of the staircase is a five-hundredth of a step (the first harmonic of
// the rounding error, exp(-2 pi^2 (noise/step)^2) / pi of a step: B. Widrow and
// I. Kollar, Quantization Noise, 2008).
func (c Current) Dithered() bool { return c.NoiseA >= c.StepA()/2 }

// ResolutionA returns the smallest difference of current, in amperes, that the
// averaged reading can tell. Noise counts twice its standard error, which 19
// readings in 20 stay within.
//
// Undithered, one whole step is needed, and averaging helps against the noise
// only. Dithered, rounding is noise like any other, with a standard deviation
// of a step over root 12, and all of it falls with the root of the number of
// reads. This is so for noise that differs from read to read: reads must be
// spread over whole periods of whatever chops the current, and no number of
// them helps against an offset that drifts.
func (c Current) ResolutionA() float64 {
	root := math.Sqrt(float64(c.Reads))
	if c.Dithered() {
		return 2 * math.Hypot(c.NoiseA, c.StepA()/math.Sqrt(12)) / root
	}
	return math.Hypot(c.StepA(), 2*c.NoiseA/root)
}

// Blind returns the smallest misalignment that the sensor can tell from
// perfect aim where perfect aim gives a current in amperes: the current falls
// with the cosine, whose peak is flat, so the answer is acos(1 - resolution /
// current). It is 180 where even darkness looks the same, and for a current
// that is not more than 0.
func (c Current) Blind(currentA float64) compass.Angle {
	cosine := 1 - c.ResolutionA()/currentA
	if !(currentA > 0 && cosine > 0) {
		return 180
	}
	return compass.Radians(math.Acos(cosine))
}

// Blindness is a row of BlindTable.
type Blindness struct {
	CurrentA float64       // at perfect aim
	Blind    compass.Angle // what looks like perfect aim
	Lost     float64       // share of the current lost there, 0..1
}

// BlindTable returns how blind the sensor is at several currents, that is, by
// brightness.
func (c Current) BlindTable(currents []float64) []Blindness {
	rows := make([]Blindness, len(currents))
	for i, a := range currents {
		rows[i] = Blindness{CurrentA: a, Blind: c.Blind(a)}
		rows[i].Lost = math.Min(1, 1-rows[i].Blind.Cos())
	}
	return rows
}

// Problem is something that must not be built so.
type Problem struct {
	Key  string // of the rig file: "sensor_range" or "sensor_reference"
	Text string // what is wrong and what would work
}

// Problems says where the sensor does not suit a panel whose short-circuit
// current is given in amperes.
func (c Current) Problems(panelA float64) []Problem {
	var all []Problem
	// Light brighter than the label's 1000 W/m2, at the edge of clouds: NEC
	// 690.8(A)(1) takes 1.25.
	if brightest := 1.25 * panelA; c.RangeA < brightest {
		all = append(all, Problem{"sensor_range", fmt.Sprintf("a sensor for %g A is too small: at the edge of a cloud the panel may give 1.25 x %.3g A; one for %.3g A or more would do", c.RangeA, panelA, brightest)})
	}
	if full := c.RangeA*c.VPerA + c.ZeroV; full > c.ReferenceV {
		all = append(all, Problem{"sensor_reference", c.overruns(full)})
	}
	return all
}

// overruns says that the converter ends below what the sensor gives at the end
// of its range, and what would do.
func (c Current) overruns(fullV float64) string {
	text := fmt.Sprintf("the sensor gives %.3g V at no current and %.3g V at %g A, and the converter reads up to %g V; ", c.ZeroV, fullV, c.RangeA, c.ReferenceV)
	if left := c.ReferenceV - c.ZeroV; left > 0 {
		return text + fmt.Sprintf("take a sensor with %.3g V or less for an ampere, or bring its voltage down with two resistors", left/c.RangeA)
	}
	return text + "bring its voltage down with two resistors"
}
