package chart_test

import (
	"math"
	"testing"

	"turnsole/chart"
)

var names = map[chart.Ink]string{
	chart.Pen: "pen", chart.Pencil: "pencil", chart.Light: "light", chart.Faint: "faint",
	chart.Glow: "glow", chart.Shade: "shade", chart.Paper: "paper",
}

// eyes are ways of seeing linear red, green and blue: Machado, Oliveira and
// Fernandes 2009, "A physiologically-based model for simulation of color
// vision deficiency", IEEE Trans. Vis. Comput. Graph. 15(6), severity 1.0.
var eyes = map[string][3][3]float64{
	"all colours": {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"no red":      {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"no green":    {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"no blue":     {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// luminance is relative luminance 0..1 (IEC 61966-2-1, as WCAG 2.2 uses it).
func luminance(k chart.Ink, eye [3][3]float64) float64 {
	r, g, b := k.RGB()
	var linear [3]float64
	for i, part := range [3]int{r, g, b} {
		c := float64(part) / 255
		linear[i] = c / 12.92
		if c > 0.04045 {
			linear[i] = math.Pow((c+0.055)/1.055, 2.4)
		}
	}
	weights, sum := [3]float64{0.2126, 0.7152, 0.0722}, 0.0
	for i, row := range eye {
		seen := row[0]*linear[0] + row[1]*linear[1] + row[2]*linear[2]
		sum += weights[i] * min(max(seen, 0), 1)
	}
	return sum
}

// lightness is CIE 1976 L*, 0..100.
func lightness(y float64) float64 { return 116*math.Cbrt(y) - 16 }

func TestInksDifferInLightnessToAllEyes(t *testing.T) {
	for eye, matrix := range eyes {
		for a := range names {
			for b := range names {
				// One step of L* is about what can be told side by side; five
				// are seen without looking for them.
				if d := lightness(luminance(a, matrix)) - lightness(luminance(b, matrix)); a < b && math.Abs(d) < 5 {
					t.Errorf("%s: %s and %s are only %.1f apart", eye, names[a], names[b], d)
				}
			}
		}
	}
}

func TestInksStandOutFromPaper(t *testing.T) {
	plain := eyes["all colours"]
	contrast := func(a, b chart.Ink) float64 {
		la, lb := luminance(a, plain), luminance(b, plain)
		return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
	}
	for _, c := range []struct {
		ink, on chart.Ink
		least   float64 // WCAG 2.2: 1.4.3 for letters, 1.4.11 for lines
	}{
		{chart.Pen, chart.Paper, 4.5}, {chart.Pen, chart.Shade, 4.5}, {chart.Pen, chart.Glow, 4.5},
		{chart.Pencil, chart.Paper, 4.5}, {chart.Pencil, chart.Shade, 4.5}, {chart.Light, chart.Paper, 3},
	} {
		if got := contrast(c.ink, c.on); got < c.least {
			t.Errorf("%s on %s: contrast %.2f, wanted %g", names[c.ink], names[c.on], got, c.least)
		}
	}
}

func TestNoInkIsWhite(t *testing.T) {
	for _, k := range []chart.Ink{chart.None, -1, 99} {
		if r, g, b := k.RGB(); r != 255 || g != 255 || b != 255 {
			t.Errorf("ink %d is %d %d %d", k, r, g, b)
		}
	}
}
