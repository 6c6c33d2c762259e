package loop

import (
	"math"

	"turnsole/panel"
)

// bestCurrent is a panel's current at its maximum power point for each W/m2
// that enters, by irradiance and cell temperature. It hardly bends, so a coarse
// grid does: within 0.02 % of the panel's current in full sun of the exact one.
type bestCurrent [bestLights][bestHeats]float32

const (
	bestStepWm2, bestStepC, bestColdC = 25.0, 10.0, -50.0
	bestLights, bestHeats             = 65, 17 // to 1600 W/m2 and 110 C
)

func newBestCurrent(d *panel.Diode) *bestCurrent {
	b := new(bestCurrent)
	for l := range b {
		for h := range b[l] {
			light := max(float64(l)*bestStepWm2, bestStepWm2/10) // what the darkest light tends to
			_, a := d.MaximumPower(light, bestColdC+float64(h)*bestStepC)
			b[l][h] = float32(a / light)
		}
	}
	return b
}

func (b *bestCurrent) at(enteredWm2, cellC float64) float64 {
	x := min(max(enteredWm2/bestStepWm2, 0), bestLights-1.001)
	y := min(max((cellC-bestColdC)/bestStepC, 0), bestHeats-1.001)
	l, h := math.Floor(x), math.Floor(y)
	x, y = x-l, y-h
	near, far := &b[int(l)], &b[int(l)+1]
	a := float64(near[int(h)]) + y*float64(near[int(h)+1]-near[int(h)])
	c := float64(far[int(h)]) + y*float64(far[int(h)+1]-far[int(h)])
	return enteredWm2 * (a + x*(c-a))
}
