package season

import (
	"turnsole/battery"
	"turnsole/panel"
	"turnsole/plane"
)

// generator turns light into energy at the panel's terminals, as the charge
// controller lets it: at the maximum power point, or pinned to the battery's
// voltage, once for an empty and once for a full battery.
type generator struct {
	low, high func(irradianceWm2, cellC float64) float64 // W
	pinned    bool
	warmth    panel.Warmth
	decay     float64 // of the cell's lag behind its steady temperature, in one step
	stepH     float64
}

func newGenerator(rig *Rig, stepS float64) *generator {
	g := &generator{warmth: rig.Warmth, decay: rig.Warmth.Decay(stepS), stepH: stepS / 3600}
	if rig.Battery.Charger.Kind == battery.PWM {
		low, high := rig.Battery.PinnedV()
		l, h := rig.Diode.PinnedSurface(low), rig.Diode.PinnedSurface(high)
		g.pinned, g.low, g.high = true, l.PowerW, h.PowerW
		return g
	}
	s := rig.Diode.Surface()
	g.low, g.high = s.PowerW, s.PowerW
	return g
}

// air is what a step's air does to any panel in it.
type air struct {
	airC, windMS float64
	hour         int32
}

func (g *generator) air(l *plane.Light, i int) air {
	return air{airC: l.AirC[i], windMS: l.WindMS[i], hour: l.Hour[i]}
}

// cell is the temperature of a panel's cells as it goes through the steps.
type cell struct {
	aboveAirC float64
	hour      int32
}

// warm brings the cell to the end of a step and returns its temperature. After
// a night it begins at the air's.
func (g *generator) warm(c *cell, a air, lightWm2 float64) float64 {
	steady := g.warmth.SteadyC(a.airC, lightWm2, a.windMS) - a.airC
	if a.hour-c.hour > 1 {
		c.aboveAirC = 0
	}
	c.hour = a.hour
	c.aboveAirC = steady + (c.aboveAirC-steady)*g.decay
	return a.airC + c.aboveAirC
}

// wh is the energy of one step in Wh, half way between an empty and a full
// battery.
func (g *generator) wh(c *cell, a air, lightWm2, enteredWm2 float64) float64 {
	t := g.warm(c, a, lightWm2)
	if g.pinned {
		return (g.low(enteredWm2, t) + g.high(enteredWm2, t)) / 2 * g.stepH
	}
	return g.low(enteredWm2, t) * g.stepH
}

// harvest is what one way brings: light by the day, energy by the hour of the
// calendar.
type harvest struct {
	light, entered []float64 // Wh/m2 in each day
	low, high      []float32 // Wh at the panel's terminals in each hour, battery empty and full
	own            []float32 // Wh that the stand draws in each hour

	// Hours of each day from which and to which the panel gives or a motor
	// turns; outside them every hour is like the other.
	dawn, dusk []int8
}

func newHarvest(days int, pinned bool) *harvest {
	h := &harvest{light: make([]float64, days), entered: make([]float64, days),
		low: make([]float32, 24*days), own: make([]float32, 24*days),
		dawn: make([]int8, days), dusk: make([]int8, days)}
	h.high = h.low
	if pinned {
		h.high = make([]float32, 24*days)
	}
	return h
}

// part is some days of the harvest, sharing its memory.
func (h *harvest) part(from, to int) *harvest {
	return &harvest{light: h.light[from:to], entered: h.entered[from:to],
		low: h.low[24*from : 24*to], high: h.high[24*from : 24*to], own: h.own[24*from : 24*to],
		dawn: h.dawn[from:to], dusk: h.dusk[from:to]}
}

// findNights fills dawn and dusk, where a night's hour draws nightWh.
func (h *harvest) findNights(nightWh float32) {
	for d := range h.dawn {
		dawn, dusk := 24, 0
		for hour := range 24 {
			if k := 24*d + hour; h.low[k] > 0 || h.high[k] > 0 || h.own[k] != nightWh {
				dawn, dusk = min(dawn, hour), hour+1
			}
		}
		h.dawn[d], h.dusk[d] = int8(dawn), int8(dusk)
	}
}

func (h *harvest) clear() {
	clear(h.light)
	clear(h.entered)
	clear(h.low)
	clear(h.high)
	clear(h.own)
}

// scratch is the memory that one worker fills again for every way.
type scratch struct {
	headings, tilts []float32
	light, entered  []float64
}

func (s *scratch) size(n int) {
	if len(s.headings) < n {
		s.headings, s.tilts = make([]float32, n), make([]float32, n)
		s.light, s.entered = make([]float64, n), make([]float64, n)
	}
}

// reap runs a plan through the light into h.
func (g *generator) reap(p *plan, l *plane.Light, rig *Rig, clock []float32, aimed *Aimed, s *scratch, h *harvest) {
	n := l.Len()
	s.size(n)
	headings, tilts := s.headings[:n], s.tilts[:n]
	p.fill(l, clock, aimed, headings, tilts)
	l.On(headings, tilts, s.light[:n], s.entered[:n])
	h.clear()
	var c cell
	for i, hour := range l.Hour {
		t := g.warm(&c, g.air(l, i), s.light[i])
		h.light[hour/24] += s.light[i] * g.stepH
		h.entered[hour/24] += s.entered[i] * g.stepH
		h.low[hour] += float32(p.panels * g.low(s.entered[i], t) * g.stepH)
		if g.pinned {
			h.high[hour] += float32(p.panels * g.high(s.entered[i], t) * g.stepH)
		}
	}
	nightWh := float32(0)
	switch {
	case p.aimed:
		copy(h.own, aimed.OwnWh)
		nightWh = float32(rig.Board.HourWh(0))
	case p.axes() > 0:
		p.draws(l, rig, headings, tilts, g.stepH, h.own)
		nightWh = float32(rig.Board.HourWh(0))
	}
	h.findNights(nightWh)
}

// draws fills own with what the stand draws in each hour, day and night.
func (p *plan) draws(l *plane.Light, rig *Rig, headings, tilts []float32, stepH float64, own []float32) {
	p.moved(l, headings, tilts, own) // degrees so far
	sunUp := make([]float32, len(own))
	for _, h := range l.Hour {
		sunUp[h] += float32(stepH)
	}
	perDegree := rig.Motor.MoveWh(1)
	for h, degrees := range own {
		own[h] = float32(rig.Board.HourWh(float64(min(1, sunUp[h]))) + perDegree*float64(degrees))
	}
}
