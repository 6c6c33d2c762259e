package season

import (
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

func TestBlocksStayInTheirSeasonAndInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		perYear := rapid.SampledFrom([]int{365, 365, 20, 3, 1}).Draw(t, "days in a year")
		years := rapid.IntRange(1, 3).Draw(t, "years")
		minDays := rapid.IntRange(1, 15).Draw(t, "min")
		maxDays := rapid.IntRange(minDays, 20).Draw(t, "max")
		first := rapid.IntRange(0, perYear-1).Draw(t, "first")
		var days []int
		for d := first; d < perYear; d++ {
			days = append(days, d)
		}
		source := make([]int32, len(days))
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		resample(rng, days, years, perYear, minDays, maxDays, source)
		joins := 0
		for i, s := range source {
			if s < 0 || int(s) >= years*perYear {
				t.Fatalf("day %d is taken from %d", i, s)
			}
			away := int(s)%perYear - days[i]
			if perYear == 365 && away > 180 {
				away -= 365
			}
			if perYear == 365 && away < -180 {
				away += 365
			}
			if away < -seasonDays || away > seasonDays {
				t.Fatalf("day %d is taken from %d days away", days[i], away)
			}
			if perYear == 365 && i > 0 && (s-source[i-1]+365)%365 != 1 {
				joins++
			}
		}
		if joins > len(days)/minDays {
			t.Fatalf("%d joins in %d days: blocks shorter than %d", joins, len(days), minDays)
		}
	})
}

func TestSameSeedSameWeather(t *testing.T) {
	days := []int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}
	a, b := make([]int32, 10), make([]int32, 10)
	resample(rand.New(rand.NewPCG(7, 1)), days, 2, 365, 5, 15, a)
	resample(rand.New(rand.NewPCG(7, 1)), days, 2, 365, 5, 15, b)
	for i := range a {
		if a[i] != b[i] {
			t.Fatalf("%v and %v from the same seed", a, b)
		}
	}
}
