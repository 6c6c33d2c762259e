package season

import (
	"math"
	"slices"
)

// notchCalendar chooses count of the tilts (columns of gain, flattest first) and
// on each day (rows) one of them, so that the sum is greatest. A stand is taken
// through its notches once and back: at most 2 (count - 1) changes, round the
// year or in line.
//
// A change that brings less than a little is not made: nobody walks out for it,
// and it would follow one year's weather.
//
// The days for given tilts are exact (swaps), and so are one and two tilts, where
// each is held once. Of more tilts the search begins among every third: with the
// best calendar of as many changes as tilts, with that of all changes and its
// tilts put together, and with tilts spread evenly. From each it climbs: a notch
// takes the best tilt for its days, the days follow, until no tilt moved by up to
// three places brings more; and from the best of them once more among all tilts.
func notchCalendar(gain [][]float64, count int, round bool) []int {
	if len(gain) == 0 || len(gain[0]) == 0 {
		return nil
	}
	changes := 2 * (count - 1)
	all := climber{gain: gain, changes: changes, round: round, cost: leastPerChange * bestOne(gain)}
	if count <= 2 && round || len(gain[0]) <= count {
		return all.calendar(gain, changes)
	}
	step := 1
	if len(gain[0]) > every*count {
		step = every
	}
	few := climber{changes: changes, round: round, cost: all.cost}
	for _, row := range gain {
		few.gain = append(few.gain, thinned(row, step))
	}
	once := count - 1
	if round {
		once = count // the year's seam is one more
	}
	starts := [][]int{
		distinctOf(few.calendar(few.gain, once)),
		together(few.gain, few.calendar(few.gain, changes), count),
		spread(few.calendar(few.gain, changes), count),
	}
	tilts := few.best(starts)
	for k := range tilts {
		tilts[k] = min(tilts[k]*step+step/2, len(gain[0])-1)
	}
	choices, _, _ := all.climb(tilts)
	return choices
}

// every is how many tilts the search takes at first for one.
const every = 3

// thinned takes the middle one of every step; the last stands for what is left.
func thinned(row []float64, step int) (few []float64) {
	for t := step / 2; t < len(row)+step/2; t += step {
		few = append(few, row[min(t, len(row)-1)])
	}
	return few
}

// spread returns count tilts evenly between the least and the greatest held.
func spread(choices []int, count int) []int {
	tilts := distinctOf(choices)
	low, high := tilts[0], tilts[len(tilts)-1]
	var even []int
	for k := range count {
		even = append(even, low+(high-low)*k/max(count-1, 1))
	}
	return distinctOf(even)
}

// climber looks for the tilts whose own best calendar brings most.
type climber struct {
	gain    [][]float64
	changes int
	round   bool
	cost    float64 // of a change
}

// leastPerChange is the share of the year that a change of tilt must bring, a
// tenth of a mean day's.
const leastPerChange = 0.1 / 365

// bestOne is what the best single tilt brings.
func bestOne(gain [][]float64) float64 {
	days := make([]int, len(gain))
	for d := range days {
		days[d] = d
	}
	_, sum := bestOf(gain, days)
	return sum
}

// calendar returns the best choices with so many changes.
func (c *climber) calendar(gain [][]float64, changes int) []int {
	if c.round {
		return swaps(gain, changes, nil, c.cost)
	}
	return swapsInLine(gain, changes, c.cost)
}

// only keeps some tilts of every day.
func (c *climber) only(tilts []int) [][]float64 {
	flat := make([]float64, 0, len(c.gain)*len(tilts))
	few := make([][]float64, len(c.gain))
	for d, row := range c.gain {
		for _, t := range tilts {
			flat = append(flat, row[t])
		}
		few[d] = flat[d*len(tilts):]
	}
	return few
}

// of returns the best calendar of some tilts, and what it brings.
func (c *climber) of(tilts []int) (choices []int, sum float64) {
	few := c.only(tilts)
	choices = c.calendar(few, c.changes)
	for d, k := range choices {
		sum += few[d][k]
		if d > 0 && tilts[k] != choices[d-1] {
			sum -= c.cost
		}
		choices[d] = tilts[k]
	}
	if c.round && choices[0] != choices[len(choices)-1] {
		sum -= c.cost
	}
	return choices, sum
}

// about returns what the best calendar brings that begins with the tilt at some
// place: small moves of tilts hardly ever change which that is.
func (c *climber) about(tilts []int, first int) (sum float64) {
	if !c.round {
		first = anyFirst
	}
	d := newSwapTable(c.only(tilts), c.changes, nil, c.cost)
	for p := d.begin(first); p < len(c.gain); p++ {
		d.advance(p)
	}
	_, _, sum = d.close(first)
	return sum
}

// best climbs from each start and returns the tilts of the best.
func (c *climber) best(starts [][]int) (best []int) {
	most := math.Inf(-1)
	for _, start := range starts {
		if _, tilts, sum := c.climb(start); sum > most {
			best, most = tilts, sum
		}
	}
	return best
}

// reach is by how many columns a tilt is moved when nothing else brings more.
const reach = 3

// climb follows tilts and days in turn as long as that brings more.
func (c *climber) climb(start []int) (choices, tilts []int, sum float64) {
	tilts = start
	choices, sum = c.of(tilts)
	try := func(other []int) bool {
		least := sum + 1e-9*math.Abs(sum) // no more than rounding
		if len(other) == len(tilts) && c.about(other, slices.Index(tilts, choices[0])) <= least {
			return false
		}
		with, more := c.of(other)
		if more <= least {
			return false
		}
		tilts, choices, sum = other, with, more
		return true
	}
	for try(c.tiltsFor(choices, tilts)) {
	}
	for better := true; better; {
		better = false
		for k := range tilts {
			for move := -reach; move <= reach; move++ {
				if t := tilts[k] + move; t >= 0 && t < len(c.gain[0]) && !slices.Contains(tilts, t) {
					tried := slices.Clone(tilts)
					tried[k] = t
					better = try(tried) || better
				}
			}
		}
	}
	return choices, tilts, sum
}

// tiltsFor returns the best tilt for the days of each notch.
func (c *climber) tiltsFor(choices, tilts []int) []int {
	best := make([]int, len(tilts))
	for k, t := range tilts {
		var days []int
		for d, choice := range choices {
			if choice == t {
				days = append(days, d)
			}
		}
		best[k], _ = bestOf(c.gain, days)
	}
	return distinctOf(best)
}

// bestOf returns the one tilt that brings most on some days.
func bestOf(gain [][]float64, days []int) (tilt int, sum float64) {
	all := make([]float64, len(gain[0]))
	for _, d := range days {
		for t, g := range gain[d] {
			all[t] += g
		}
	}
	return highest(all)
}

func distinctOf(choices []int) []int {
	tilts := slices.Clone(choices)
	slices.Sort(tilts)
	return slices.Compact(tilts)
}

// together puts the tilts of a calendar together until count are left: each
// time the two neighbours whose days lose least under one tilt.
func together(gain [][]float64, choices []int, count int) []int {
	tilts := distinctOf(choices)
	days := make([][]int, len(tilts))
	for d, t := range choices {
		k := slices.Index(tilts, t)
		days[k] = append(days[k], d)
	}
	for len(tilts) > count {
		at, least := 0, math.Inf(1)
		for k := range len(tilts) - 1 {
			_, a := bestOf(gain, days[k])
			_, b := bestOf(gain, days[k+1])
			_, one := bestOf(gain, slices.Concat(days[k], days[k+1]))
			if lost := a + b - one; lost < least {
				at, least = k, lost
			}
		}
		days[at] = slices.Concat(days[at], days[at+1])
		tilts[at], _ = bestOf(gain, days[at])
		tilts, days = slices.Delete(tilts, at+1, at+2), slices.Delete(days, at+1, at+2)
	}
	return distinctOf(tilts)
}
