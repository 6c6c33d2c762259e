package season

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// bruteForce tries every assignment of choices to periods.
func bruteForce(gain [][]float64, count int, allowed []bool, line bool, cost float64) float64 {
	n, choices := len(gain), len(gain[0])
	path, best := make([]int, n), math.Inf(-1)
	var try func(p int)
	try = func(p int) {
		if p == n {
			sum, changes := 0.0, 0
			for i := range path {
				sum += gain[i][path[i]]
				if path[i] != path[(i+n-1)%n] && !(line && i == 0) {
					changes++
					if allowed != nil && !allowed[i] {
						return
					}
				}
			}
			if changes <= count {
				best = max(best, sum-cost*float64(changes))
			}
			return
		}
		for c := 0; c < choices; c++ {
			path[p] = c
			try(p + 1)
		}
	}
	try(0)
	return best
}

func TestSwapsAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 7).Draw(t, "periods")
		choices := rapid.IntRange(1, 3).Draw(t, "choices")
		count := rapid.IntRange(0, 5).Draw(t, "count")
		gain := make([][]float64, n)
		var allowed []bool
		for i := range gain {
			gain[i] = rapid.SliceOfN(rapid.Float64Range(0, 10), choices, choices).Draw(t, "gain")
			allowed = append(allowed, rapid.Bool().Draw(t, "allowed"))
		}
		if rapid.Bool().Draw(t, "all allowed") {
			allowed = nil
		}
		cost := rapid.SampledFrom([]float64{0, 0.5, 4}).Draw(t, "cost")
		path := swaps(gain, count, allowed, cost)
		sum, changes := 0.0, 0
		for i, c := range path {
			sum += gain[i][c]
			if c != path[(i+n-1)%n] {
				changes++
				if allowed != nil && !allowed[i] {
					t.Fatalf("a change before period %d, which is not allowed: %v", i, path)
				}
			}
		}
		if changes > count {
			t.Fatalf("%d changes, %d allowed: %v", changes, count, path)
		}
		sum -= cost * float64(changes)
		// 1e-9: the same terms added in another order.
		if want := bruteForce(gain, count, allowed, false, cost); math.Abs(sum-want) > 1e-9 {
			t.Fatalf("sum %v, best possible %v: %v", sum, want, path)
		}
	})
}

func TestSwapsInLineAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "periods")
		choices := rapid.IntRange(1, 3).Draw(t, "choices")
		count := rapid.IntRange(0, 4).Draw(t, "changes")
		gain := make([][]float64, n)
		for i := range gain {
			gain[i] = rapid.SliceOfN(rapid.Float64Range(0, 10), choices, choices).Draw(t, "gain")
		}
		sum, changes := 0.0, 0
		cost := rapid.SampledFrom([]float64{0, 0.5, 4}).Draw(t, "cost")
		path := swapsInLine(gain, count, cost)
		for i, c := range path {
			sum += gain[i][c]
			if i > 0 && c != path[i-1] {
				changes++
			}
		}
		if changes > count {
			t.Fatalf("%d changes, %d allowed: %v", changes, count, path)
		}
		sum -= cost * float64(changes)
		// 1e-9: the same terms added in another order.
		if want := bruteForce(gain, count, nil, true, cost); math.Abs(sum-want) > 1e-9 {
			t.Fatalf("sum %v, best possible %v: %v", sum, want, path)
		}
	})
}

func BenchmarkSwaps(b *testing.B) {
	gain := make([][]float64, 365)
	for d := range gain {
		gain[d] = make([]float64, 91)
		for t := range gain[d] {
			gain[d][t] = math.Cos((float64(t) - 45 - 23*math.Cos(float64(d)/58)) / 57.3)
		}
	}
	for b.Loop() {
		swaps(gain, 4, nil, 0)
	}
}
