package hindsight_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/hindsight"
	"turnsole/panel"
)

func diode(t testing.TB) panel.Diode {
	d, _, err := panel.Fit(panel.Label{PowerW: 80, VocV: 22.2, IscA: 4.8, VmpV: 18.2, ImpA: 4.4, Cells: 36})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestLightOfWhatAPanelGives(t *testing.T) {
	d := diode(t)
	tracked := hindsight.TrackedPanel(d, panel.OpenRack())
	held, shorted := hindsight.HeldPanel(d, panel.OpenRack(), 13.2), hindsight.HeldPanel(d, panel.OpenRack(), 0)
	rapid.Check(t, func(t *rapid.T) {
		light := rapid.Float64Range(5, 1500).Draw(t, "light")
		cellC := rapid.Float64Range(-20, 80).Draw(t, "cell")
		near := func(what string, got float64) {
			// The last step of inverse, times the little it still moves.
			if math.Abs(got-light) > 1e-6*light {
				t.Errorf("%s: %v W/m2 came back as %v", what, light, got)
			}
		}
		_, imp := d.MaximumPower(light, cellC)
		near("current of a tracked panel", tracked.LightOfCurrent(imp, cellC))
		near("power of a tracked panel", tracked.LightOfPower(tracked.Power(light, cellC), cellC))
		near("shorted", shorted.LightOfCurrent(d.ShortCircuitA(light, cellC), cellC))
		if a := d.CurrentA(13.2, light, cellC); a > 1e-3 { // else too dim for the battery
			near("held", held.LightOfCurrent(a, cellC))
			near("power of a held panel", held.LightOfPower(held.Power(light, cellC), cellC))
		}
	})
}

// A panel turned to the still heading is as hot as it was; ten seconds later it
// has cooled by 1 - exp(-10/420) of the way.
func TestStillPanelIsCooler(t *testing.T) {
	p := hindsight.TrackedPanel(diode(t), panel.OpenRack())
	const airC, wind, aimedWm2, afterS = 15.0, 1.0, 900.0, 10.0
	hot := p.CellC(0, math.Inf(1), aimedWm2, airC, wind)
	for _, still := range []float64{50, 300, 600, 900} {
		look := p.Power(still, p.CellC(hot, afterS, still, airC, wind))
		got, light := p.StillPowerAsCool(look, hot, afterS, airC, wind)
		want := p.Power(still, p.CellC(0, math.Inf(1), still, airC, wind))
		// 1e-4: three rounds of light and temperature; one moves a quarter of a
		// per cent for each degree.
		if math.Abs(got-want) > 1e-4*want || math.Abs(light-still) > 1e-4*still {
			t.Errorf("%.0f W/m2: %.3f W from %.3f, want %.3f; light %.2f", still, got, look, want, light)
		}
		if still < aimedWm2 && !(got > 1.005*look) { // 0.4 %/K of more than ten degrees, but at 900
			t.Errorf("%.0f W/m2: the cool panel gives %.3f W, the hot one %.3f", still, got, look)
		}
	}
}

func TestPanelWithoutSense(t *testing.T) {
	d, nan := diode(t), math.NaN()
	for name, p := range map[string]*hindsight.Panel{
		"tracked": hindsight.TrackedPanel(d, panel.OpenRack()), "held": hindsight.HeldPanel(d, panel.OpenRack(), 13),
		"shorted": hindsight.HeldPanel(d, panel.OpenRack(), 0), "nothing": hindsight.HeldPanel(panel.Diode{}, panel.Warmth{}, 0),
	} {
		for what, got := range map[string]float64{
			"current": p.LightOfCurrent(nan, 25), "cells": p.LightOfCurrent(1, nan), "dark cells": p.LightOfCurrent(0, nan),
			"power": p.LightOfPower(nan, 25), "light": p.Power(nan, 25), "warmth": p.Power(100, nan),
		} {
			if !math.IsNaN(got) {
				t.Errorf("%s: not a number as %s gives %v", name, what, got)
			}
		}
		for _, dark := range []float64{0, -3, 1e-300, math.Inf(-1)} {
			if got := p.LightOfCurrent(dark, 25) + p.LightOfPower(dark, 25); got != 0 {
				t.Errorf("%s: %v gives light: %v", name, dark, got)
			}
		}
	}
}

func BenchmarkLightOfPower(b *testing.B) {
	p := hindsight.TrackedPanel(diode(b), panel.OpenRack())
	for b.Loop() {
		p.LightOfPower(40, 33)
	}
}

func BenchmarkLightOfCurrent(b *testing.B) {
	for name, p := range map[string]*hindsight.Panel{
		"tracked": hindsight.TrackedPanel(diode(b), panel.OpenRack()), "held": hindsight.HeldPanel(diode(b), panel.OpenRack(), 13),
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				p.LightOfCurrent(2.2, 33)
			}
		})
	}
}
