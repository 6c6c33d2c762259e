package wiring_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/wiring"
)

func TestNamesOfCables(t *testing.T) {
	for name, want := range map[string]string{
		"2.5 mm2": "2.5 mm2", "2.5mm²": "2.5 mm2", " 4.0 MM2 ": "4 mm2", "0.75 mm2": "0.75 mm2",
		"14 AWG": "14 AWG", "AWG 14": "14 AWG", "awg26": "26 AWG", "13awg": "13 AWG",
	} {
		c, err := wiring.Named(name)
		if err != nil || c.Name != want {
			t.Errorf("Named(%q) = %q, %v, want %q", name, c.Name, err, want)
		}
	}
	for _, name := range []string{"", "2.5", "3 mm2", "-4 mm2", "NaN mm2", "1e400 mm2", "28 AWG", "0 AWG", "14.5 AWG", "AWG", "14 AWG AWG", "mm2"} {
		if c, err := wiring.Named(name); err == nil {
			t.Errorf("Named(%q) = %+v, want an error", name, c)
		}
	}
}

// Thicker never has more resistance and never carries less.
func TestSizesAreInOrder(t *testing.T) {
	for _, all := range [][]wiring.Cable{wiring.Sizes(), wiring.AWGSizes()} {
		for i, c := range all {
			if again, err := wiring.Named(c.Name); err != nil || again != c {
				t.Errorf("Named(%q) is %+v, %v", c.Name, again, err)
			}
			if !(c.MaxA > 0) {
				t.Errorf("%s carries %v A", c.Name, c.MaxA)
			}
			if i == 0 {
				continue
			}
			if b := all[i-1]; !(b.AreaMM2 < c.AreaMM2 && b.OhmPerKm20 > c.OhmPerKm20 && b.MaxA <= c.MaxA) {
				t.Errorf("%+v comes before %+v", b, c)
			}
		}
	}
}

func TestOtherSystem(t *testing.T) {
	for _, c := range []struct{ name, other string }{
		{"0.5 mm2", "20 AWG"}, {"2.5 mm2", "12 AWG"}, {"4 mm2", "10 AWG"}, {"16 mm2", "4 AWG"}, {"50 mm2", ""},
		{"26 AWG", "0.5 mm2"}, {"14 AWG", "2.5 mm2"}, {"2 AWG", "35 mm2"},
	} {
		have, err := wiring.Named(c.name)
		if err != nil {
			t.Fatal(err)
		}
		other, ok := have.Other()
		if other.Name != c.other || ok != (c.other != "") || ok && other.AreaMM2 < have.AreaMM2 {
			t.Errorf("%s is %q, %v in the other system, want %q", c.name, other.Name, ok, c.other)
		}
	}
}

// An American gauge carries what the next thinner metric size carries, never
// more.
func TestNothingIsInterpolated(t *testing.T) {
	for gauge, want := range map[int]float64{2: 101, 4: 76, 8: 41, 10: 32, 12: 24, 14: 17.5, 16: 10, 18: 6, 20: 3, 22: 1.5, 24: 1, 26: 0.5} {
		c, err := wiring.Named(fmt.Sprintf("%d AWG", gauge))
		if err != nil || c.MaxA != want {
			t.Errorf("%d AWG carries %v A, want %v (%v)", gauge, c.MaxA, want, err)
		}
	}
}

// The current allowed at an air temperature is the one that brings the
// conductor to 70 C there; below 30 C of air nothing is gained.
func TestCurrentAllowedMeetsTheRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.SampledFrom(append(wiring.Sizes(), wiring.AWGSizes()...)).Draw(t, "cable")
		air := rapid.Float64Range(30, 70).Draw(t, "air")
		if got := air + c.RiseK(c.MaxAAt(air)); math.Abs(got-70) > 1e-9 { // rounding
			t.Errorf("%s at its limit in %v C is at %v C", c.Name, air, got)
		}
		if cold := rapid.Float64Range(-60, 30).Draw(t, "cold"); c.MaxAAt(cold) != c.MaxA {
			t.Errorf("%s carries %v A at %v C, want %v", c.Name, c.MaxAAt(cold), cold, c.MaxA)
		}
		if c.MaxAAt(80) != 0 {
			t.Errorf("%s carries %v A in air hotter than its insulation stands", c.Name, c.MaxAAt(80))
		}
	})
}

// Twice as long or twice the current is twice the drop, and heat adds 0.393 %
// of the 20 C figure for each kelvin.
func TestDropIsTwoLIR(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.SampledFrom(wiring.Sizes()).Draw(t, "cable")
		l := rapid.Float64Range(0.1, 100).Draw(t, "length")
		i := rapid.Float64Range(0.1, 100).Draw(t, "current")
		cold := c.DropV(l, i, 20)
		for _, twice := range []float64{c.DropV(2*l, i, 20), c.DropV(l, 2*i, 20)} {
			if math.Abs(twice/cold-2) > 1e-12 { // rounding
				t.Errorf("%v is not twice %v", twice, cold)
			}
		}
		if warm := c.DropV(l, i, 70); math.Abs(warm/cold-1.1965) > 1e-12 { // 1 + 50 x 0.00393
			t.Errorf("50 K add %v, want 0.1965", warm/cold-1)
		}
	})
}

func FuzzNamed(f *testing.F) {
	for _, s := range []string{"2.5 mm2", "14 AWG", "awg 8", "4 mm²", "", "AWGAWG", "NaN mm2", "\xff mm2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := wiring.Named(s)
		if err != nil {
			return
		}
		again, err := wiring.Named(c.Name)
		if err != nil || again != c || !(c.AreaMM2 > 0 && c.OhmPerKm20 > 0 && c.MaxA > 0) {
			t.Errorf("Named(%q) is %+v, whose own name gives %+v, %v", s, c, again, err)
		}
	})
}
