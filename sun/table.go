package sun

import (
	"math"
	"sync"
)

// table holds a smooth function as cubics over equal steps.
type table struct {
	low, perStep float64
	cubics       [][4]float64
}

// tabulate lays a cubic through four points of f in each of n steps from low
// to high, and in one step more, so that high itself is in the table.
func tabulate(f func(float64) float64, low, high float64, n int) table {
	step := (high - low) / float64(n)
	t := table{low: low, perStep: 1 / step, cubics: make([][4]float64, n+1)}
	for i := range t.cubics {
		x := low + float64(i)*step
		t.cubics[i] = cubicThrough(f(x), f(x+step/3), f(x+2*step/3), f(x+step))
	}
	return t
}

// cubicThrough returns the coefficients of the cubic with these values at 0,
// 1/3, 2/3 and 1 (Newton's forward differences).
func cubicThrough(a, b, c, d float64) [4]float64 {
	d1, d2, d3 := b-a, c-2*b+a, d-3*c+3*b-a
	return [4]float64{a, 3 * (d1 - d2/2 + d3/3), 9 * (d2 - d3) / 2, 9 * d3 / 2}
}

// at returns f(x); NaN a step or more beyond the table.
func (t *table) at(x float64) float64 {
	steps := (x - t.low) * t.perStep
	k := int(steps)
	if uint(k) >= uint(len(t.cubics)) {
		return math.NaN()
	}
	s, c := steps-float64(k), &t.cubics[k]
	return c[0] + s*(c[1]+s*(c[2]+s*c[3]))
}

// arcSteps makes the arc tangent good to 1e-9 degrees.
const arcSteps = 256

// arcTable is the arc tangent of 0..1 in degrees, for atan2. Like liftTable it
// never changes, and all paths share one.
var arcTable = sync.OnceValue(func() *table {
	t := tabulate(func(x float64) float64 { return math.Atan(x) * 180 / math.Pi }, 0, 1, arcSteps)
	return &t
})

// liftTable is the refraction of the standard air by elevation, in degrees.
// Quarter degrees keep the steep end at the horizon good to 1e-6.
var liftTable = sync.OnceValue(func() *table {
	t := tabulate(standardRefraction, lowestLift, 90.25, 364)
	return &t
})

// atan2 returns the angle of (x, y) in degrees, -180..180, from an arcTable.
func (t *table) atan2(y, x float64) float64 {
	ay, ax := math.Abs(y), math.Abs(x)
	steep := ay > ax
	if steep {
		ay, ax = ax, ay
	}
	if ax == 0 {
		return 0
	}
	deg := t.at(ay / ax)
	if steep {
		deg = 90 - deg
	}
	if x < 0 {
		deg = 180 - deg
	}
	if y < 0 {
		return -deg
	}
	return deg
}
