package checks

import (
	"fmt"
	"math"

	"turnsole/compass"
	"turnsole/sun"
)

// worst keeps the largest difference of each group of a great many, in the
// order in which the groups appear.
type worst struct {
	groups []string
	largest,
	count map[string]float64
}

func (w *worst) add(group string, difference float64) {
	if w.largest == nil {
		w.largest, w.count = map[string]float64{}, map[string]float64{}
	}
	if w.count[group] == 0 {
		w.groups = append(w.groups, group)
	}
	w.count[group]++
	// A NaN is the largest of all, and fails its check.
	if d := math.Abs(difference); !(d <= w.largest[group]) {
		w.largest[group] = d
	}
}

// checks gives one check a group: none should differ.
func (w *worst) checks(what, unit string, tolerance float64, digits int) []Check {
	var all []Check
	for _, g := range w.groups {
		name := fmt.Sprintf("%s%s: largest of %.0f", what, g, w.count[g])
		all = append(all, Check{name, 0, w.largest[g], unit, tolerance, digits})
	}
	return all
}

// where names a place on earth as 36.8 S 174.7 E.
func where(o sun.Observer) string {
	return side(o.Latitude, "N", "S") + " " + side(o.Longitude, "E", "W")
}

func side(a compass.Angle, positive, negative string) string {
	if a < 0 {
		return fmt.Sprintf("%.1f %s", -float64(a), negative)
	}
	return fmt.Sprintf("%.1f %s", float64(a), positive)
}
