package answer

import (
	"math"

	"turnsole/loop"
)

// aSleepMayCost is the share of the light that a longer sleep may lose.
const aSleepMayCost = 0.01

// LongestSleep is the longest of the sleeps tried, s, that loses less than 1 % of
// the light against the best of them. Longer sleeps are taken to get no more:
// where chance has it otherwise neighbours share their mean (pool-adjacent-
// violators: R. E. Barlow et al., Statistical Inference under Order
// Restrictions, 1972). NaN where that loss is not known to within the 1 %.
func (a *Aim) LongestSleep() (wakeEveryS float64) {
	best := a.bestSleep()
	if best < 0 {
		return math.NaN()
	}
	light := falling(a.Sleeps[best:])
	longest := best
	for i := range light {
		if light[i] >= light[0]*(1-aSleepMayCost) {
			longest = best + i
		}
	}
	if next := min(longest+1, len(a.Sleeps)-1); a.Sleeps[longest].LossWithin > aSleepMayCost || a.Sleeps[next].LossWithin > 2*aSleepMayCost {
		return math.NaN()
	}
	return a.Sleeps[longest].WakeEveryS
}

// bestSleep is the index of the sleep with the most light; -1 without any.
func (a *Aim) bestSleep() int {
	best := -1
	for i, s := range a.Sleeps {
		if s.Light > 0 && (best < 0 || s.Light > a.Sleeps[best].Light) {
			best = i
		}
	}
	return best
}

// falling is the light of sleeps, smoothed so that it never rises.
func falling(sleeps []SleepCost) []float64 {
	var sums, counts []float64 // of pools of neighbours
	for _, s := range sleeps {
		sums, counts = append(sums, s.Light), append(counts, 1)
		for n := len(sums) - 1; n > 0 && sums[n]/counts[n] > sums[n-1]/counts[n-1]; n-- {
			sums[n-1], counts[n-1] = sums[n-1]+sums[n], counts[n-1]+counts[n]
			sums, counts = sums[:n], counts[:n]
		}
	}
	light := make([]float64, 0, len(sleeps))
	for n := range sums {
		for range int(counts[n]) {
			light = append(light, sums[n]/counts[n])
		}
	}
	return light
}

// sleepBlocks is into how many stretches of days a sleep's loss is parted: a
// panel that the wind has turned takes a day or two to come back.
const sleepBlocks = 8

// settleSleeps finds how well each sleep's loss is known, from the same days under
// the same wind and clouds.
func (a *Aim) settleSleeps(days [][]loop.Sum) {
	best := a.bestSleep()
	for i := range a.Sleeps {
		a.Sleeps[i].LossWithin = math.NaN()
		if best >= 0 {
			a.Sleeps[i].LossWithin = lossWithin(days[best], days[i])
		}
	}
}

// lossWithin is half of the 95 % interval of the share of the light that b loses
// against a, by the jackknife over blocks of days (B. Efron and R. J. Tibshirani,
// An Introduction to the Bootstrap, 1993, chapter 11).
func lossWithin(a, b []loop.Sum) float64 {
	const student = 2.365 // 97.5 % of Student's t with sleepBlocks-1 degrees of freedom
	if len(a) < 2*sleepBlocks {
		return math.NaN()
	}
	var got, lost [sleepBlocks]float64
	var allGot, allLost float64
	for d := range a {
		k := d * sleepBlocks / len(a)
		got[k] += a[d].LightWhM2
		lost[k] += a[d].LightWhM2 - b[d].LightWhM2
		allGot, allLost = allGot+a[d].LightWhM2, allLost+a[d].LightWhM2-b[d].LightWhM2
	}
	sum, square := 0.0, 0.0
	for k := range got {
		without := (allLost - lost[k]) / (allGot - got[k])
		sum, square = sum+without, square+without*without
	}
	const n = sleepBlocks
	return student * math.Sqrt(max(0, (n-1)*(square/n-sum*sum/n/n)))
}
