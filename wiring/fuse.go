package wiring

import "fmt"

// Factors between the current that a run carries and its fuse.
const (
	// BatteryFactor: a fuse carries a lasting current only at 80 % of its
	// rating (NEC 690.9(B), and general practice).
	BatteryFactor = 1.25
	// PanelFactor is for a run whose current is a panel's short-circuit
	// current: 1.25 for light brighter than the label's 1000 W/m2, and 1.25
	// because it lasts (NEC 690.8(A)(1) and (B)).
	PanelFactor = 1.25 * 1.25
)

// ratings are the fuses that are sold for small direct voltages, in amperes:
// blade fuses to 30 A, and the larger blade and bolted ones above (common
// practice, no source).
var ratings = [...]float64{1, 2, 3, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100}

// Fuses returns the ratings that are sold, in amperes, smallest first.
func Fuses() []float64 { return append([]float64(nil), ratings[:]...) }

// FuseFor returns the smallest fuse that carries a current, in amperes. The
// largest is 100 A.
func FuseFor(currentA float64) (ratingA float64, err error) {
	for _, a := range ratings {
		if atLeast(a, currentA) {
			return a, nil
		}
	}
	return 0, fmt.Errorf("no fuse here carries %.4g A: the largest is %g A; split the run, or go to a higher voltage", currentA, ratings[len(ratings)-1])
}

// atLeast compares figures that are products of round numbers, such as 1.5625
// x 4.8 A with a fuse of 7.5 A.
func atLeast(a, b float64) bool { return a >= b*(1-1e-9) }
