// Package panel turns light and heat into volts and amperes: a single-diode
// model fitted to what is printed on a panel's back, its maximum power point,
// its current at a voltage held by something else, fast tables of both, and
// how warm the cells get.
//
// The model is the five-parameter one of De Soto, Klein and Beckman, Solar
// Energy 80 (2006) 78-88, solved by taking the voltage across the junction as
// the free variable (Bishop, Solar Cells 25 (1988) 73-89): in it current and
// voltage are both explicit, so nothing has to be guessed and nothing
// overflows.
package panel

import "math"

// Constants of nature and the reference condition of every label.
const (
	boltzmannEV = 1.380649e-23 / 1.602176634e-19 // eV/K, exact by the SI of 2019
	referenceK  = 298.15                         // 25 C
	referenceC  = 25.0
	fullSunWm2  = 1000.0

	siliconGapEV = 1.121     // De Soto et al. 2006
	gapPerK      = 0.0002677 // the gap's shrinking, relative, De Soto et al. 2006
)

// Diode is a panel as one light source, one diode and two resistances. The
// figures hold at 1000 W/m2 and 25 C; the methods translate them. Currents
// take irradiance in W/m2 (what enters the glass, any value; below zero counts
// as dark) and cell temperature in degrees C (-50..110 is where the model is
// meant to be used).
type Diode struct {
	LightA      float64 // current that the light makes
	SaturationA float64 // current of the diode in reverse, dark
	SlopeV      float64 // voltage over which the diode's current grows e times: n Ns k T/q
	SeriesOhm   float64 // resistance in the current's way, 0 or more
	ShuntS      float64 // conductance past the diode in siemens, 0 or more
	LightPerK   float64 // growth of LightA in A/K
	GapEV       float64 // band gap; fitted, so that the voltage falls with heat as the label says
}

// point is a Diode brought to one irradiance and one temperature.
type point struct{ light, saturation, slope, series, shunt float64 }

// at translates the diode (De Soto et al. 2006, equations 4, 8, 9, 11).
func (d Diode) at(irradianceWm2, cellC float64) point {
	suns := math.Max(irradianceWm2, 0) / fullSunWm2
	kelvin := math.Max(cellC-referenceC+referenceK, 1)
	dT := kelvin - referenceK
	heat := kelvin / referenceK
	gap := d.GapEV * (1 - gapPerK*dT)
	grown := heat * heat * heat * math.Exp(d.GapEV/(boltzmannEV*referenceK)-gap/(boltzmannEV*kelvin))
	return point{
		light:      suns * math.Max(d.LightA+d.LightPerK*dT, 0),
		saturation: d.SaturationA * grown,
		slope:      d.SlopeV * heat,
		series:     d.SeriesOhm,
		shunt:      d.ShuntS * suns,
	}
}

// current returns the current out of the panel when the junction stands at a
// voltage, and its slope, both in Bishop's explicit form.
func (p point) current(junctionV float64) (currentA, perV float64) {
	grown := p.saturation * math.Exp(junctionV/p.slope)
	return p.light - (grown - p.saturation) - p.shunt*junctionV, -grown/p.slope - p.shunt
}

// openV is the junction's voltage when no current flows. Newton's method comes
// down from the voltage of the panel without its shunt, on a concave curve,
// so that it never steps past the root.
func (p point) openV() float64 {
	if !(p.light > 0) {
		return 0
	}
	v := p.slope * math.Log1p(p.light/p.saturation)
	for range newtonSteps {
		i, perV := p.current(v)
		next := v - i/perV
		if !(next < v) {
			break
		}
		v = next
	}
	return v
}

// newtonSteps bounds every iteration; some six are needed.
const newtonSteps = 60

// currentAt solves for the current at a terminal voltage below open circuit.
// The junction stands higher than the terminals by the series drop, and no
// higher than at open circuit; from there Newton's method comes down on a
// convex curve.
func (p point) currentAt(voltageV, openV float64) float64 {
	v := math.Min(voltageV+p.series*p.light, openV)
	i, perV := p.current(v)
	for range newtonSteps {
		next := v - (v-p.series*i-voltageV)/(1-p.series*perV)
		if !(next < v) {
			break
		}
		v = next
		i, perV = p.current(v)
	}
	return i
}

// maximum finds the junction voltage of greatest power between short and open
// circuit: Newton's method on dP/dv, held inside a bracket that shrinks, from
// where the maximum of a diode without resistances would lie.
func (p point) maximum() (voltageV, currentA float64) {
	lo, hi := 0.0, p.slope*math.Log1p(p.light/p.saturation) // open circuit or a little above
	v := hi - p.slope*math.Log1p(hi/p.slope)
	for range newtonSteps {
		i, g := p.current(v) // g = di/dv
		u := v - p.series*i  // the terminals
		rise := (1-p.series*g)*i + u*g
		if rise > 0 {
			lo = v
		} else {
			hi = v
		}
		bend := (g + p.shunt) / p.slope // dg/dv
		next := v - rise/(2*g*(1-p.series*g)+bend*(u-p.series*i))
		if !(next > lo && next < hi) {
			next = (lo + hi) / 2
		}
		last := math.Abs(next-v) <= 1e-7*hi // the error left is of the order of its square
		v = next
		if last {
			break
		}
	}
	i, _ := p.current(v)
	return math.Max(v-p.series*i, 0), math.Max(i, 0)
}

// MaximumPower returns the voltage and the current at which the panel gives
// most; both 0 in the dark.
func (d Diode) MaximumPower(irradianceWm2, cellC float64) (voltageV, currentA float64) {
	p := d.at(irradianceWm2, cellC)
	if !(p.light > 0) {
		return 0, 0
	}
	return p.maximum()
}

// CurrentA returns the current when something else, such as a battery, holds
// the terminals at a voltage. Never negative: a blocking diode is taken to
// stand in the line.
func (d Diode) CurrentA(voltageV, irradianceWm2, cellC float64) float64 {
	p := d.at(irradianceWm2, cellC)
	open := p.openV()
	if !(voltageV < open) {
		return 0
	}
	return math.Max(p.currentAt(voltageV, open), 0)
}

// JunctionA returns the current when the junction itself, behind the series
// resistance, stands at a voltage; negative where the panel would draw. It is
// the model's own equation.
func (d Diode) JunctionA(junctionV, irradianceWm2, cellC float64) float64 {
	i, _ := d.at(irradianceWm2, cellC).current(junctionV)
	return i
}

// OpenCircuitV returns the voltage with nothing connected.
func (d Diode) OpenCircuitV(irradianceWm2, cellC float64) float64 {
	return d.at(irradianceWm2, cellC).openV()
}

// ShortCircuitA returns the current with the terminals joined.
func (d Diode) ShortCircuitA(irradianceWm2, cellC float64) float64 {
	return d.CurrentA(0, irradianceWm2, cellC)
}
