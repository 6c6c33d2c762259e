package sky

// cubics stands for a smooth function where every minute of a year asks for
// it: a cubic through four of its points in each cell of length 1.
type cubics [][4]float64

// newCubics tabulates f over 0..cells.
func newCubics(cells int, f func(x float64) float64) cubics {
	t := make(cubics, cells)
	for k := range t {
		x := float64(k)
		a, b, c, d := f(x), f(x+1./3), f(x+2./3), f(x+1)
		t[k] = [4]float64{a, -5.5*a + 9*b - 4.5*c + d, 9*a - 22.5*b + 18*c - 4.5*d, -4.5*a + 13.5*b - 13.5*c + 4.5*d}
	}
	return t
}

// at returns the function at x, 0..cells.
func (t cubics) at(x float64) float64 {
	k := min(uint(x), uint(len(t)-1))
	x -= float64(k)
	c := &t[k]
	return c[0] + x*(c[1]+x*(c[2]+x*c[3]))
}
