package panel

import "math"

// The tables' grid. Between its nodes values are interpolated linearly in both
// directions; outside it they are held at its edge.
const (
	stepWm2, mostWm2         = 10.0, 1600.0
	stepC, coldestC, hottest = 2.5, -50.0, 110.0

	lightSteps, heatSteps = mostWm2 / stepWm2, (hottest - coldestC) / stepC
	lightNodes, heatNodes = int(lightSteps) + 1, int(heatSteps) + 1
)

// table holds one quantity over irradiance and cell temperature, one row of
// irradiances for each temperature.
type table [heatNodes * lightNodes]float32

func (t *table) fill(of func(irradianceWm2, cellC float64) float64) {
	for h := range heatNodes {
		for l := range lightNodes {
			t[h*lightNodes+l] = float32(of(float64(l)*stepWm2, coldestC+float64(h)*stepC))
		}
	}
}

// value interpolates. The comparisons are turned so that what is not a number
// counts as dark, and as the coldest.
func (t *table) value(irradianceWm2, cellC float64) float64 {
	x := irradianceWm2 * (1 / stepWm2)
	if !(x > 0) {
		return 0
	}
	y := (cellC - coldestC) * (1 / stepC)
	if !(y > 0) {
		y = 0
	}
	l, h := lightNodes-2, heatNodes-2
	if x < lightSteps {
		l = int(x)
	} else {
		x = lightSteps
	}
	if y < heatSteps {
		h = int(y)
	} else {
		y = heatSteps
	}
	x, y = x-float64(l), y-float64(h)
	near := t[h*lightNodes+l:]
	near = near[:lightNodes+2]
	a, b := float64(near[0]), float64(near[lightNodes])
	a += x * (float64(near[1]) - a)
	b += x * (float64(near[lightNodes+1]) - b)
	return a + y*(b-a)
}

// Surface is the greatest power of a panel by irradiance (0..1600 W/m2) and
// cell temperature (-50..110 C), laid out for quick reading: within 0.1 % of
// the label's power of the exact model everywhere.
type Surface struct{ power table }

// Surface lays out the power at the maximum power point.
func (d Diode) Surface() *Surface {
	s := new(Surface)
	s.power.fill(func(irradianceWm2, cellC float64) float64 {
		v, i := d.MaximumPower(irradianceWm2, cellC)
		return v * i
	})
	return s
}

// PowerW returns the greatest power in watts, 0 in the dark. Beyond the
// surface's edges it is held at the edge.
func (s *Surface) PowerW(irradianceWm2, cellC float64) float64 {
	return s.power.value(irradianceWm2, cellC)
}

// PinnedSurface is the current of a panel whose terminals are held at one
// voltage, over the same ranges as Surface: within 0.2 % of the label's short
// circuit current everywhere.
type PinnedSurface struct {
	voltageV float64
	current  table
}

// PinnedSurface lays out the current at a voltage held by something else, in
// volts, 0 or more.
func (d Diode) PinnedSurface(voltageV float64) *PinnedSurface {
	s := &PinnedSurface{voltageV: voltageV}
	s.current.fill(func(irradianceWm2, cellC float64) float64 {
		return d.signedA(voltageV, irradianceWm2, cellC)
	})
	return s
}

// signedA is CurrentA that runs on below zero, so that a straight line between
// nodes finds the voltage where the current ceases. Past open circuit it
// follows the tangent there.
func (d Diode) signedA(voltageV, irradianceWm2, cellC float64) float64 {
	p := d.at(irradianceWm2, cellC)
	open := p.openV()
	if voltageV < open {
		return p.currentAt(voltageV, open)
	}
	_, perV := p.current(open)
	return (voltageV - open) * perV / (1 - p.series*perV)
}

// CurrentA returns the current in amperes, never negative, 0 in the dark.
func (s *PinnedSurface) CurrentA(irradianceWm2, cellC float64) float64 {
	if i := s.current.value(irradianceWm2, cellC); i > 0 {
		return i
	}
	return 0
}

// PowerW returns the power at the panel's terminals in watts.
func (s *PinnedSurface) PowerW(irradianceWm2, cellC float64) float64 {
	return s.voltageV * s.CurrentA(irradianceWm2, cellC)
}

// Warmth is how the cells' temperature follows air, light and wind: Faiman,
// Progress in Photovoltaics 16 (2008) 307-315, with a lag.
type Warmth struct {
	U0   float64 // heat lost in still air, W/m2 per K; 23.5-26.5 were measured
	U1   float64 // more of it for each m/s of wind at the panel; 6.25-7.68 were measured
	LagS float64 // seconds in which the cells make good 63 % of a difference; 300-600 is usual
}

// OpenRack is a panel with air on both sides: Faiman's usual coefficients and
// a lag of seven minutes (common practice, no source).
func OpenRack() Warmth { return Warmth{U0: 25.0, U1: 6.84, LagS: 420} }

// SteadyC returns the cells' temperature in degrees C once it has settled.
// Wind below zero counts as still.
func (w Warmth) SteadyC(airC, irradianceWm2, windMS float64) float64 {
	return airC + irradianceWm2/(w.U0+w.U1*max(windMS, 0))
}

// Decay returns the share of a difference from the steady temperature that is
// left after a step of so many seconds: after it the cells stand at
// steady + (before - steady) * decay.
func (w Warmth) Decay(stepS float64) float64 {
	if !(w.LagS > 0) {
		return 0
	}
	return math.Exp(-stepS / w.LagS)
}
