package page

import (
	"fmt"
	"math"
	"strconv"

	"turnsole/answer"
	"turnsole/compass"
)

// Figures are written here as the command line writes them, digit for digit.

// none stands where there is no figure.
const none = "–"

func known(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func decimals(x float64, digits int) string {
	if !known(x) {
		return none
	}
	return strconv.FormatFloat(x, 'f', digits, 64)
}

// wh writes watt-hours: a decimal below ten.
func wh(x float64) string {
	if math.Abs(x) < 9.95 {
		return decimals(x, 1)
	}
	return decimals(x, 0)
}

func percent(g *float64) string {
	if g == nil {
		return none
	}
	return answer.Signed(*g*100, 0) + " %"
}

func span(low, high *float64) string {
	if low == nil || high == nil {
		return none
	}
	return answer.Signed(*low*100, 0) + "…" + answer.Signed(*high*100, 0)
}

func amount(x *float64) string {
	if x == nil {
		return none
	}
	return strconv.FormatFloat(math.Round(*x*10)/10, 'f', -1, 64)
}

// metres writes a wind that must not be reached: never more than it is.
func metres(x float64) string {
	if !known(x) {
		return none
	}
	return decimals(math.Floor(x*10)/10, 1)
}

func whole(x float64) string { return decimals(math.Round(x)+0, 0) }

// locked writes a torque; what locks has no end.
func locked(x float64) string {
	if !known(x) {
		return "locked"
	}
	return decimals(x, 2)
}

// onto says from where the wind comes, as somebody behind the panel would.
func onto(a compass.Angle) string {
	switch deg := a.Degrees(); {
	case deg < 22.5:
		return "its face"
	case deg < 67.5:
		return "face, slanting"
	case deg < 112.5:
		return "the side"
	case deg < 157.5:
		return "back, slanting"
	}
	return "its back"
}

func mm(m float64) string { return strconv.FormatFloat(math.Round(m*10000)/10, 'f', -1, 64) }

// far writes a length in metres for drawings.
func far(m float64) string { return fmt.Sprintf("%.3g m", m) }

// bearing is whole degrees, 000 to 359, as a compass is read.
func bearing(a compass.Angle) string {
	return fmt.Sprintf("%03.0f°", math.Mod(math.Round(a.Azimuth().Degrees()), 360))
}

func tenths(x float64) string {
	if !known(x) {
		return none
	}
	return answer.Signed(100*x, 1)
}

func points(x float64) string { return decimals(100*x, 1) }

func count(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}
