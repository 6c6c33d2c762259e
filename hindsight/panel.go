package hindsight

import (
	"math"

	"turnsole/panel"
)

// Panel turns what a panel gives into the light that enters it, and back.
// Light is in W/m2, temperatures are the cells' in degrees C. Several goroutines
// may use it at once. NaN in, NaN out.
type Panel struct {
	diode   panel.Diode
	warmth  panel.Warmth
	heldV   float64
	surface *panel.Surface // nil where the terminals are held
}

// TrackedPanel returns a panel whose controller seeks the point of greatest
// power.
func TrackedPanel(d panel.Diode, w panel.Warmth) *Panel {
	return &Panel{diode: d, warmth: w, surface: d.Surface()}
}

// HeldPanel returns a panel whose terminals something else holds at a voltage:
// a battery behind a plain charge controller, or 0 for a panel that is shorted
// and for a reference cell on its resistor.
func HeldPanel(d panel.Diode, w panel.Warmth, heldV float64) *Panel {
	return &Panel{diode: d, warmth: w, heldV: heldV}
}

// faint is the current in A and the power in W below which it is dark.
const faint = 1e-9

// LightOfCurrent returns the light that entered from the panel's current in A.
// 0 where none flows: light too dim for the voltage at which the terminals are
// held gives none. Exact where they are held; a tracked panel's light is good
// to a millionth, up to 1600 W/m2.
func (p *Panel) LightOfCurrent(currentA, cellC float64) float64 {
	if currentA <= faint {
		return 0 * cellC // NaN stays NaN
	}
	if p.surface != nil {
		return inverse(currentA, func(wm2 float64) float64 {
			_, a := p.diode.MaximumPower(wm2, cellC)
			return a
		})
	}
	// At a known voltage across the junction its current is straight in the
	// light.
	junctionV := p.heldV + p.diode.SeriesOhm*currentA
	dark, full := p.diode.JunctionA(junctionV, 0, cellC), p.diode.JunctionA(junctionV, fullSun, cellC)
	return max(0, fullSun*(currentA-dark)/(full-dark))
}

// LightOfPower is LightOfCurrent for the power at the panel's terminals in W,
// of which a panel held at 0 V has none.
func (p *Panel) LightOfPower(powerW, cellC float64) float64 {
	if powerW <= faint {
		return 0 * cellC // NaN stays NaN
	}
	if p.surface == nil {
		return p.LightOfCurrent(powerW/p.heldV, cellC)
	}
	return inverse(powerW, func(wm2 float64) float64 { return p.surface.PowerW(wm2, cellC) })
}

// Power returns the power at the panel's terminals in W.
func (p *Panel) Power(enteredWm2, cellC float64) float64 {
	if math.IsNaN(enteredWm2 + cellC) { // the panel counts it as dark
		return math.NaN()
	}
	if p.surface != nil {
		return p.surface.PowerW(enteredWm2, cellC)
	}
	return p.heldV * p.diode.CurrentA(p.heldV, enteredWm2, cellC)
}

const fullSun, brightestSun = 1000.0, 1600.0

// inverse finds the light at which a panel gives y: what it gives is nearly
// straight in the light, so that scaling the light by what is missing comes
// near, some twenty times nearer at each step.
func inverse(y float64, gives func(wm2 float64) float64) float64 {
	if math.IsNaN(y) {
		return y
	}
	wm2 := fullSun
	for range 12 {
		g := gives(wm2)
		if !(g > 0) {
			return math.NaN() // such a panel never gives anything
		}
		last := wm2
		wm2 = min(wm2*y/g, brightestSun)
		if math.Abs(wm2-last) <= 1e-7*wm2 {
			break
		}
	}
	return wm2
}

// CellC returns the cells' temperature some seconds after it was beforeC, under
// steady light, air (degrees C) and wind (m/s).
func (p *Panel) CellC(beforeC, afterS, enteredWm2, airC, windMS float64) float64 {
	steady := p.warmth.SteadyC(airC, enteredWm2, windMS)
	return steady + (beforeC-steady)*p.warmth.Decay(afterS)
}

// StillPowerAsCool returns the power that a panel keeping still would have
// given, W, from a look taken afterS seconds after the panel turned there from
// a heading at which its cells had aimedC: they are then still about as warm as
// the aimed panel's, where the still panel's would stand at their own steady
// temperature in this light, air (degrees C) and wind (m/s). The second figure
// is the light that enters at the still heading.
func (p *Panel) StillPowerAsCool(lookW, aimedC, afterS, airC, windMS float64) (powerW, enteredWm2 float64) {
	// The cells' temperature depends a little on the light that is sought.
	cellC := aimedC
	for range 3 {
		enteredWm2 = p.LightOfPower(lookW, cellC)
		cellC = p.CellC(aimedC, afterS, enteredWm2, airC, windMS)
	}
	return p.Power(enteredWm2, p.CellC(aimedC, math.Inf(1), enteredWm2, airC, windMS)), enteredWm2
}
