package loop

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/panel"
)

func TestBestCurrentFollowsTheDiode(t *testing.T) {
	d, _, err := panel.Fit(panel.Label{PowerW: 80})
	must(t, err)
	b := newBestCurrent(&d)
	_, full := d.MaximumPower(1000, 25)
	rapid.Check(t, func(t *rapid.T) {
		light, cellC := rapid.Float64Range(0, 1599).Draw(t, "light"), rapid.Float64Range(-40, 100).Draw(t, "cells")
		_, want := d.MaximumPower(light, cellC)
		if got := b.at(light, cellC); math.Abs(got-want) > 2e-4*full { // as documented
			t.Fatalf("%v A, the diode gives %v", got, want)
		}
	})
}
