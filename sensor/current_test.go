package sensor_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/sensor"
)

// 5 V in 1024 steps at 185 mV for an ampere: 26.4 mA a step.
func TestCommonSensorIsBlind(t *testing.T) {
	c := sensor.Common()
	if got := c.StepA(); math.Abs(got-0.026394) > 1e-6 { // the last digit given
		t.Errorf("a step is %v A", got)
	}
	for current, want := range map[float64]float64{4.6: 6.14, 1: 13.19} {
		if got := float64(c.Blind(current)); math.Abs(got-want) > 0.005 { // half the last digit
			t.Errorf("blind below %.2f degrees at %v A, want %v", got, current, want)
		}
	}
}

func TestBlindToEverything(t *testing.T) {
	c := sensor.Common()
	for _, current := range []float64{0, -1, math.NaN(), c.ResolutionA() / 2, c.ResolutionA()} {
		if got := c.Blind(current); got != 180 {
			t.Errorf("blind below %v degrees at %v A, want 180", got, current)
		}
	}
	rows := c.BlindTable([]float64{4.6, 0})
	if len(rows) != 2 || rows[1].Lost != 1 || math.Abs(rows[0].Lost*4.6-c.StepA()) > 1e-12 { // rounding
		t.Errorf("%+v: what is lost unseen is a step of the current", rows)
	}
}

// reading is the mean of a sensor's reads of a current, in amperes.
func reading(c sensor.Current, currentA float64, chance *rand.Rand) float64 {
	sum := 0.0
	for range c.Reads {
		sum += math.Round((currentA + c.NoiseA*chance.NormFloat64()) / c.StepA())
	}
	return sum / float64(c.Reads) * c.StepA()
}

// errors returns the mean and the spread of a sensor's error, in steps, at a
// current a share of a step above the middle of one.
func errors(c sensor.Current, share float64) (mean, spread float64) {
	const n = 4000
	chance := rand.New(rand.NewPCG(7, 11))
	current, squares := (100+share)*c.StepA(), 0.0
	for range n {
		e := (reading(c, current, chance) - current) / c.StepA()
		mean += e / n
		squares += e * e / n
	}
	return mean, math.Sqrt(squares - mean*mean)
}

// Sensors are played out read by read: with noise of half a step the mean of
// many reads lies where the current is and scatters as ResolutionA says; with
// an eighth of a step it stays on the step.
func TestNoiseDithers(t *testing.T) {
	for _, steps := range []float64{0.5, 0.7, 1.5} {
		c := sensor.Common()
		c.Reads, c.NoiseA = 25, steps*c.StepA()
		mean, spread := errors(c, 0.3)
		// 4000 readings scatter by less than 0.31 / root 4000 = 0.005 steps, and
		// 0.002 remain of the staircase.
		if math.Abs(mean) > 0.02 {
			t.Errorf("noise of %g steps: the mean is %.4f steps off", steps, mean)
		}
		if told := c.ResolutionA() / 2 / c.StepA(); math.Abs(spread/told-1) > 0.05 { // 1.1 % by chance, the rest for rounding at half a step
			t.Errorf("noise of %g steps: readings scatter by %.4f steps, told %.4f", steps, spread, told)
		}
	}
	c := sensor.Common()
	c.Reads, c.NoiseA = 25, c.StepA()/8
	if mean, _ := errors(c, 0.3); c.Dithered() || math.Abs(mean) < 0.2 {
		t.Errorf("noise of an eighth of a step: the mean is only %.3f steps off, dithered %v", mean, c.Dithered())
	}
}

func TestAveragingHelpsOnlyWhatScatters(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := sensor.Common()
		c.NoiseA = rapid.Float64Range(0, 0.2).Draw(t, "noise")
		c.Reads = rapid.IntRange(1, 1000).Draw(t, "reads")
		more := c
		more.Reads *= 4
		was, is := c.ResolutionA(), more.ResolutionA()
		switch {
		case is > was:
			t.Errorf("four times the reads tell less: %v A, not %v A", is, was)
		case c.Dithered() && math.Abs(is/was-0.5) > 1e-12: // rounding
			t.Errorf("four times the reads of dithered steps: %v A from %v A", is, was)
		case !c.Dithered() && is < c.StepA():
			t.Errorf("%v A told apart, less than a step, without dither", is)
		case c.Reads == 1 && was < c.StepA():
			t.Errorf("one read tells %v A apart, less than a step", was)
		}
		bright := rapid.Float64Range(0.1, 10).Draw(t, "current")
		if c.Blind(2*bright) > c.Blind(bright) {
			t.Error("blinder in brighter light")
		}
	})
}

func TestProblems(t *testing.T) {
	c := sensor.Common()
	if p := c.Problems(3.9); len(p) != 0 {
		t.Errorf("%v", p)
	}
	if p := c.Problems(4.6); len(p) != 1 || p[0].Key != "sensor_range" || !strings.Contains(p[0].Text, "5.75 A") {
		t.Errorf("%v", p)
	}
	// 2.5 V at no current: 0.8 V are left for 5 A.
	c.ReferenceV = 3.3
	if p := c.Problems(1); len(p) != 1 || p[0].Key != "sensor_reference" || !strings.Contains(p[0].Text, "0.16 V") {
		t.Errorf("%v", p)
	}
	c.ZeroV, c.ReferenceV = 0, 0.5
	if p := c.Problems(1); len(p) != 1 || p[0].Key != "sensor_reference" || !strings.Contains(p[0].Text, "0.1 V") {
		t.Errorf("%v", p)
	}
	c.ZeroV = 1
	if p := c.Problems(1); len(p) != 1 || p[0].Key != "sensor_reference" || !strings.Contains(p[0].Text, "two resistors") {
		t.Errorf("%v", p)
	}
}

func TestValidate(t *testing.T) {
	if err := sensor.Common().Validate(); err != nil {
		t.Error(err)
	}
	for name, change := range map[string]func(*sensor.Current){
		"range":      func(c *sensor.Current) { c.RangeA = 0 },
		"ampere":     func(c *sensor.Current) { c.VPerA = math.NaN() },
		"no current": func(c *sensor.Current) { c.ZeroV = -1 },
		"noise":      func(c *sensor.Current) { c.NoiseA = -1 },
		"bits":       func(c *sensor.Current) { c.Bits = 0 },
		"full scale": func(c *sensor.Current) { c.ReferenceV = math.Inf(1) },
		"reads":      func(c *sensor.Current) { c.Reads = 0 },
	} {
		c := sensor.Common()
		change(&c)
		if err := c.Validate(); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
