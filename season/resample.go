package season

import "math/rand/v2"

// seasonDays is how far from its own date a block of days may be taken: near
// enough that the sun stands much the same, wide enough that blocks differ.
const seasonDays = 15

// resample fills source with, for each day of the window, the day whose weather
// it gets: whole blocks of minDays to maxDays days in the order in which they
// happened, taken from within seasonDays of their place in the year, from any
// of the recorded years. Days are counted through all years, one after another.
func resample(rng *rand.Rand, days []int, years, daysPerYear, minDays, maxDays int, source []int32) {
	for i := 0; i < len(days); {
		length := min(minDays+rng.IntN(maxDays-minDays+1), len(days)-i)
		year := rng.IntN(years)
		shift := rng.IntN(2*seasonDays+1) - seasonDays
		for k := 0; k < length; k++ {
			source[i+k] = int32(year*daysPerYear + around(days[i+k]+shift, daysPerYear))
		}
		i += length
	}
}

// around brings a day back into the year: across New Year in a whole one, back
// from the edge in a shorter record.
func around(day, daysPerYear int) int {
	if daysPerYear == 365 {
		return (day + 365) % 365
	}
	if day < 0 {
		day = -day
	}
	if day >= daysPerYear {
		day = 2*(daysPerYear-1) - day
	}
	return min(max(day, 0), daysPerYear-1)
}
