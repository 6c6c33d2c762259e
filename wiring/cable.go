// Package wiring chooses cables and fuses: what a run of cable loses, how warm
// it grows, and which fuse keeps it from burning.
//
// It knows copper cables in pairs, out and back, at small direct voltages. It
// is arithmetic from tables and no permission: where a local code asks for
// more, the code is right.
package wiring

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Copper.
const (
	RhoOhmM   = 1.7241e-8 // resistivity of annealed copper at 20 C (IACS, IEC 60028)
	AlphaPerK = 0.00393   // its rise for each kelvin above 20 C
)

// PVC insulation (IEC 60364-5-52).
const (
	insulationC = 70.0 // what it stands for good
	tableAirC   = 30.0 // the air for which the tables of currents hold
)

// American wire gauges known here.
const (
	thinnestGauge = 26
	thickestGauge = 2
)

// Cable is one size of copper cable.
type Cable struct {
	Name       string  // "2.5 mm2", "14 AWG"
	AreaMM2    float64 // of one conductor's copper
	AWG        int     // American wire gauge, 2..26; 0 for a metric size
	OhmPerKm20 float64 // of one conductor at 20 C
	MaxA       float64 // what it may carry for good in air of 30 C or less
}

// flexible are fine-stranded conductors: the greatest resistance that IEC 60228
// allows a plain class 5 conductor at 20 C, and what a pair of them in PVC, in
// a conduit, may carry in air of 30 C (IEC 60364-5-52, table B.52.2, method
// B1; the last three rows from memory). That standard begins at 1.5 mm2; the
// thinner ones carry what is usual for light flexible cords (common practice,
// no source).
var flexible = [...]struct{ mm2, ohmPerKm, maxA float64 }{
	{0.5, 39.0, 3},
	{0.75, 26.0, 6},
	{1, 19.5, 10},
	{1.5, 13.3, 17.5},
	{2.5, 7.98, 24},
	{4, 4.95, 32},
	{6, 3.30, 41},
	{10, 1.91, 57},
	{16, 1.21, 76},
	{25, 0.780, 101},
	{35, 0.554, 125},
	{50, 0.386, 151},
}

// thin says what hook-up wires thinner than every metric size may carry
// (common practice, no source).
var thin = [...]struct {
	mm2, maxA float64
}{{0.3, 1.5}, {0.2, 1}, {0.12, 0.5}}

// Sizes returns the metric sizes, thinnest first: 0.5 to 50 mm2.
func Sizes() []Cable {
	all := make([]Cable, len(flexible))
	for i, f := range flexible {
		all[i] = Cable{Name: fmt.Sprintf("%g mm2", f.mm2), AreaMM2: f.mm2, OhmPerKm20: f.ohmPerKm, MaxA: f.maxA}
	}
	return all
}

// AWGSizes returns the American sizes that are sold, thinnest first: the even
// gauges from 26 to 2.
func AWGSizes() []Cable {
	var all []Cable
	for gauge := thinnestGauge; gauge >= thickestGauge; gauge -= 2 {
		all = append(all, gauged(gauge))
	}
	return all
}

// gauged is the cable of an American gauge. Its resistance is that of a solid
// wire; strands lie at a slant and have some 2 % more.
func gauged(gauge int) Cable {
	d := DiameterMM(gauge)
	mm2 := math.Pi / 4 * d * d
	return Cable{
		Name:       fmt.Sprintf("%d AWG", gauge),
		AreaMM2:    mm2,
		AWG:        gauge,
		OhmPerKm20: RhoOhmM * 1e9 / mm2, // 1e6 mm2 in a m2, 1e3 m in a km
		MaxA:       ampacity(mm2),
	}
}

// DiameterMM returns the diameter of a solid wire of an American gauge: the
// steps of ASTM B258, a 39th part of 92 to 1 each.
func DiameterMM(gauge int) float64 { return 0.127 * math.Pow(92, float64(36-gauge)/39) }

// ampacity is what the thickest size in the tables that is not thicker than an
// area may carry. Nothing is interpolated: between two sizes the thinner rules.
func ampacity(mm2 float64) float64 {
	for i := len(flexible) - 1; i >= 0; i-- {
		if flexible[i].mm2 <= mm2 {
			return flexible[i].maxA
		}
	}
	for _, t := range thin {
		if t.mm2 <= mm2 {
			return t.maxA
		}
	}
	return 0
}

// AWGOf returns the thinnest American gauge that is sold and not thinner than
// an area. There is none above 33.6 mm2.
func AWGOf(mm2 float64) (gauge int, ok bool) {
	for _, c := range AWGSizes() {
		if c.AreaMM2 >= mm2 {
			return c.AWG, true
		}
	}
	return 0, false
}

// MetricOf returns the thinnest metric size that is not thinner than an area.
// There is none above 50 mm2.
func MetricOf(mm2 float64) (Cable, bool) {
	for _, c := range Sizes() {
		if c.AreaMM2 >= mm2 {
			return c, true
		}
	}
	return Cable{}, false
}

// Other returns the thinnest size of the other system, metric or American,
// that is not thinner than this cable; empty where there is none.
func (c Cable) Other() (Cable, bool) {
	if c.AWG != 0 {
		return MetricOf(c.AreaMM2)
	}
	gauge, ok := AWGOf(c.AreaMM2)
	if !ok {
		return Cable{}, false
	}
	return gauged(gauge), true
}

// Named returns the cable of a size written as "2.5 mm2" (or mm²), "14 AWG" or
// "AWG 14". Metric sizes are those of Sizes; gauges are whole, 2 to 26.
func Named(name string) (Cable, error) {
	s := strings.ToLower(strings.TrimSpace(name))
	if before, ok := strings.CutSuffix(s, "awg"); ok {
		return gaugeNamed(name, before)
	}
	if after, ok := strings.CutPrefix(s, "awg"); ok {
		return gaugeNamed(name, after)
	}
	number, ok := strings.CutSuffix(s, "mm2")
	if !ok {
		number, ok = strings.CutSuffix(s, "mm²")
	}
	if !ok {
		return Cable{}, fmt.Errorf("%q is not a cable's size such as 2.5 mm2 or 14 AWG", name)
	}
	return metricNamed(name, number)
}

func gaugeNamed(name, number string) (Cable, error) {
	gauge, err := strconv.Atoi(strings.TrimSpace(number))
	if err != nil || gauge < thickestGauge || gauge > thinnestGauge {
		return Cable{}, fmt.Errorf("cable %q: gauges are whole numbers from %d to %d, as in 14 AWG", name, thickestGauge, thinnestGauge)
	}
	return gauged(gauge), nil
}

func metricNamed(name, number string) (Cable, error) {
	mm2, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	var known []string
	for _, c := range Sizes() {
		if err == nil && c.AreaMM2 == mm2 {
			return c, nil
		}
		known = append(known, fmt.Sprintf("%g", c.AreaMM2))
	}
	return Cable{}, fmt.Errorf("cable %q: sizes are %s mm2; for one between two, give the thinner", name, strings.Join(known, ", "))
}

// OhmPerM returns the resistance of a metre of one conductor at its own
// temperature.
func (c Cable) OhmPerM(conductorC float64) float64 {
	return c.OhmPerKm20 / 1000 * (1 + AlphaPerK*(conductorC-20))
}

// DropV returns the volts lost out and back: 2 L I R.
func (c Cable) DropV(lengthM, currentA, conductorC float64) float64 {
	return 2 * lengthM * currentA * c.OhmPerM(conductorC)
}

// RiseK estimates by how much the conductor is warmer than the air. Heat grows
// with the square of the current, and the tables say which current warms PVC
// from 30 to 70 C: 40 K there, so 40 K x (I/Imax)^2. The tables are for a pair
// in a conduit; in free air it stays cooler. Beyond the insulation's limit the
// figure only says that it is too hot.
func (c Cable) RiseK(currentA float64) float64 {
	share := currentA / c.MaxA
	return (insulationC - tableAirC) * share * share
}

// WarmAirC is the air in which cables of a stand are taken to lie, in the sun
// or behind a warm panel (common practice, no source).
const WarmAirC = 35.0

// MaxAAt returns what the cable may carry for good in air of a temperature:
// the current at which air and rise together reach the insulation's limit (the
// correction of IEC 60364-5-52, table B.52.14: 0.87 at 40 C, 0.71 at 50 C).
// Cold air earns nothing, since summer comes; at 70 C nothing is left.
func (c Cable) MaxAAt(airC float64) float64 {
	if airC <= tableAirC {
		return c.MaxA
	}
	return c.MaxA * math.Sqrt(math.Max(0, insulationC-airC)/(insulationC-tableAirC))
}
