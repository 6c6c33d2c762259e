package checks

import (
	"fmt"
	"math"
)

// roughRoom holds the light that trials are tried out under to light measured
// quickly.
func roughRoom() Room {
	return Room{
		Title:  "Trials: light as rough as measured",
		Source: "Livermore, California, 18 May 2014, global light every 2 s (Sandia), from 6 to 13 hours by the sun, of which the means of 60, 450 and 600 s are given and the seconds are made anew with 8 seeds, clouds passing at three times the fitted rate, as trials are tried out on them: rows of a minute, of a quarter of an hour, and of an hour. Changes over 10, 20 and 60 s: how long looks of a pair lie apart",
		Reason: "a factor of 1.35 either way: one day has one kind of cloud, made days have all. Straight lines between minutes change a third to a quarter as much over 10 s. As fitted to the switching of four sets of days (rate 1, see Clouds at seconds) made seconds change half as much as those of this one day, which is a rough one; trials are tried out on clouds that pass three times as quickly, so that no day is kinder than this one",
		Need:   Data,
		Run:    roughChecks,
	}
}

// trialRate is how quickly clouds pass where trials are tried out, against the
// fitted rate.
const trialRate = 3

func roughChecks(dir string) (checks []Check, err error) {
	for _, stepS := range []float64{60, 450, 600} {
		q, err := quickGlobal(livermore2014, dir, stepS)
		if err != nil {
			return nil, err
		}
		for _, lagS := range []float64{10, 20, 60} {
			lag := int(lagS / q.rowS)
			var was, is []float64
			for seed := range uint64(8) {
				made := q.made(seed, trialRate, stepS)
				is = append(is, changes(made, made, q.clear, lag)...)
				if seed == 0 {
					was = changes(q.value, made, q.clear, lag)
				}
			}
			name := fmt.Sprintf("within steps of %.0f s, over %.0f s: ", stepS, lagS)
			checks = append(checks, rougher(name+"mean change", mean(was), mean(is)),
				rougher(name+"change that 90 % do not exceed", quantile(was, 0.9), quantile(is, 0.9)))
		}
	}
	return checks, nil
}

func rougher(what string, was, is float64) Check {
	return Check{fmt.Sprintf("%s, logarithm of made (%.0f W/m2) over measured (%.0f W/m2)", what, is, was), 0, math.Log(is / was), "", math.Log(1.35), 2}
}

// changes are the sizes of the changes of light after so many rows, W/m2, where
// there is light in both series.
func changes(light, both, clear []float64, rows int) (sizes []float64) {
	for i := rows; i < len(light); i++ {
		if c := math.Abs(light[i] - light[i-rows]); !math.IsNaN(c + both[i] + both[i-rows] + clear[i]) {
			sizes = append(sizes, c)
		}
	}
	return sizes
}
