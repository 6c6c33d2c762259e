package hindsight

import (
	"math"

	"turnsole/panel"
)

// Panel turns what a panel gives into the light that enters it, and back.
// Several goroutines may use it at once.
type Panel struct {
	Diode  panel.Diode
	Warmth panel.Warmth
	// HeldV is the voltage at which something else, such as a battery on a
	// plain charge controller, holds the terminals; 0 for a panel that is
	// shorted or a cell on a small resistor. Tracked says that a controller
	// seeks the point of greatest power instead.
	HeldV   float64
	Tracked bool

	surface *panel.Surface
}

// TrackedPanel returns a panel whose controller seeks the point of greatest
// power.
func TrackedPanel(d panel.Diode, w panel.Warmth) *Panel {
	return &Panel{Diode: d, Warmth: w, Tracked: true, surface: d.Surface()}
}

// HeldPanel returns a panel whose terminals are held at a voltage, 0 or more.
func HeldPanel(d panel.Diode, w panel.Warmth, heldV float64) *Panel {
	return &Panel{Diode: d, Warmth: w, HeldV: heldV}
}

// most is the light in W/m2 up to which a panel's surface is laid out.
const most = 1600.0

// LightOfCurrent returns the light that entered, W/m2, from the panel's current
// and the cells' temperature in degrees C. 0 where no current flows: with the
// terminals held, light too dim for that voltage gives none. NaN in, NaN out.
func (p *Panel) LightOfCurrent(currentA, cellC float64) float64 {
	if math.IsNaN(currentA + cellC) {
		return math.NaN()
	}
	if !(currentA > 0) {
		return 0
	}
	if p.Tracked {
		return inverse(currentA, func(wm2 float64) float64 {
			_, a := p.Diode.MaximumPower(wm2, cellC)
			return a
		})
	}
	// At a known voltage across the junction its current is straight in the
	// light.
	junctionV := p.HeldV + p.Diode.SeriesOhm*currentA
	dark, full := p.Diode.JunctionA(junctionV, 0, cellC), p.Diode.JunctionA(junctionV, 1000, cellC)
	return max(0, 1000*(currentA-dark)/(full-dark))
}

// LightOfPower is LightOfCurrent for the power at the panel's terminals in W.
func (p *Panel) LightOfPower(powerW, cellC float64) float64 {
	if math.IsNaN(powerW + cellC) {
		return math.NaN()
	}
	if !(powerW > 0) {
		return 0
	}
	if !p.Tracked {
		return p.LightOfCurrent(powerW/p.HeldV, cellC)
	}
	return inverse(powerW, func(wm2 float64) float64 { return p.surface.PowerW(wm2, cellC) })
}

// Power returns the power at the panel's terminals, W, from the light that
// enters, W/m2, and the cells' temperature in degrees C.
func (p *Panel) Power(enteredWm2, cellC float64) float64 {
	if math.IsNaN(enteredWm2 + cellC) {
		return math.NaN()
	}
	if p.Tracked {
		return p.surface.PowerW(enteredWm2, cellC)
	}
	return p.HeldV * p.Diode.CurrentA(p.HeldV, enteredWm2, cellC)
}

// inverse finds the light at which a panel gives y: what it gives is nearly
// straight in the light, so that scaling the light by what is missing comes
// near, some twenty times nearer at each step.
func inverse(y float64, gives func(wm2 float64) float64) float64 {
	wm2 := most / 2
	for range 12 {
		g := gives(wm2)
		if !(g > 0) {
			return math.NaN()
		}
		last := wm2
		wm2 = min(wm2*y/g, most)
		if math.Abs(wm2-last) <= 1e-6*wm2 {
			break
		}
	}
	return wm2
}

// CellC returns the cells' temperature in degrees C some seconds after it was
// beforeC, under steady light, air and wind.
func (p *Panel) CellC(beforeC, afterS, enteredWm2, airC, windMS float64) float64 {
	steady := p.Warmth.SteadyC(airC, enteredWm2, windMS)
	return steady + (beforeC-steady)*p.Warmth.Decay(afterS)
}

// StillPowerAsCool returns the power that a panel keeping still would have
// given, W, from a look taken afterS seconds after the panel turned there from
// a heading at which its cells had aimedC: they are then still as warm as the
// aimed panel's, where the still panel's would stand at their own steady
// temperature in this light, air (degrees C) and wind (m/s). The second figure
// is the light that enters at the still heading, W/m2.
func (p *Panel) StillPowerAsCool(lookW, aimedC, afterS, airC, windMS float64) (powerW, enteredWm2 float64) {
	// The cells' temperature depends a little on the light that is sought.
	cellC := aimedC
	for range 3 {
		enteredWm2 = p.LightOfPower(lookW, cellC)
		cellC = p.CellC(aimedC, afterS, enteredWm2, airC, windMS)
	}
	enteredWm2 = p.LightOfPower(lookW, cellC)
	return p.Power(enteredWm2, p.Warmth.SteadyC(airC, enteredWm2, windMS)), enteredWm2
}
