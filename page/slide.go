package page

import (
	"math"
	"regexp"
	"strconv"
	"strings"
)

var numberUnit = regexp.MustCompile(`^([-+]?\d+(?:\.\d+)?)(\s*[^\d\s].*)?$`)

// angles have a range of their own.
var angles = map[string][2]float64{"latitude": {-90, 90}, "longitude": {-180, 180}, "tilt": {0, 90}, "lowest": {0, 90}, "highest": {0, 90}}

// counts are whole.
var counts = map[string][2]float64{"microsteps": {1, 64}, "notches": {1, 12}, "days": {2, 60}}

// slide gives a field a slider where it is one figure: from a third to three
// times what the rig file has, in the unit that it is written in there.
func (f *field) slide(key string) {
	m := numberUnit.FindStringSubmatch(strings.TrimSpace(f.Saved))
	if m == nil || len(f.Choices) > 0 || strings.ContainsAny(m[2], "0123456789:") && !strings.HasPrefix(strings.TrimSpace(m[2]), "m") {
		return
	}
	x, _ := strconv.ParseFloat(m[1], 64)
	last := key[strings.LastIndex(key, ".")+1:]
	switch {
	case angles[last] != [2]float64{}:
		f.Low, f.High, f.Step = angles[last][0], angles[last][1], 1
	case counts[last] != [2]float64{}:
		f.Low, f.High, f.Step = counts[last][0], counts[last][1], 1
	case x > 0:
		f.Step = round(x / 30)
		f.Low, f.High = f.Step*math.Ceil(x/3/f.Step), f.Step*math.Ceil(3*x/f.Step)
	default:
		return
	}
	f.Slides = true
}

// round is the greatest of 1, 2 and 5 times a power of ten that is not above x.
func round(x float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, of := range []float64{5, 2} {
		if x >= of*power*(1-1e-9) {
			return of * power
		}
	}
	return power
}

// Number is the figure without its unit, for the slider.
func (f field) Number() string {
	m := numberUnit.FindStringSubmatch(strings.TrimSpace(f.Value))
	if m == nil {
		return ""
	}
	return m[1]
}

// Unit is what stands behind the figure in the rig file.
func (f field) Unit() string {
	m := numberUnit.FindStringSubmatch(strings.TrimSpace(f.Saved))
	if m == nil {
		return ""
	}
	return m[2]
}
