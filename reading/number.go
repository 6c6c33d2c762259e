package reading

import (
	"bytes"
	"math"
	"strconv"
)

// powersOfTen that a float64 holds exactly.
var powersOfTen = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// parseNumber reads a decimal number; point is '.' or ','. Up to 15 digits are
// read here, exactly: whole number and power of ten are both exact, so their
// quotient is the nearest float64. What is longer goes to strconv.
func parseNumber(b []byte, point byte) (float64, bool) {
	i, negative := 0, false
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		i, negative = 1, b[0] == '-'
	}
	if len(b)-i > 16 { // 15 digits and the point
		return parseLong(b, point)
	}
	mantissa, digits, behind := uint64(0), 0, -1
	for ; i < len(b); i++ {
		switch c := b[i]; {
		case c-'0' < 10:
			mantissa = mantissa*10 + uint64(c-'0')
			digits++
		case c == point && behind < 0:
			behind = digits
		case c|0x20 == 'e':
			return parseLong(b, point)
		default:
			return 0, false
		}
	}
	if digits == 0 || digits > 15 {
		return parseLong(b, point)
	}
	v := float64(mantissa)
	if behind >= 0 {
		v /= powersOfTen[digits-behind]
	}
	if negative {
		v = -v
	}
	return v, true
}

func parseLong(b []byte, point byte) (float64, bool) {
	if len(b) > 64 || bytes.ContainsAny(b, "_xXpPiInN") { // only plain decimals
		return 0, false
	}
	if point == ',' {
		if bytes.IndexByte(b, '.') >= 0 {
			return 0, false
		}
		b = bytes.ReplaceAll(b, []byte{','}, []byte{'.'})
	}
	v, err := strconv.ParseFloat(string(b), 64)
	return v, err == nil && !math.IsInf(v, 0)
}

// parseCount reads a whole number of up to nine digits; some logs write 7.0.
func parseCount(b []byte) (int, bool) {
	whole, zeros, _ := bytes.Cut(b, []byte{'.'})
	if len(whole) == 0 || len(whole) > 9 || len(bytes.Trim(zeros, "0")) > 0 {
		return 0, false
	}
	n := 0
	for _, c := range whole {
		if c-'0' >= 10 {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, true
}

// saysMissing reports whether a field's text means that there is no value.
func saysMissing(b []byte) bool {
	switch string(b) {
	case "", "NaN", "nan", "NAN", "-nan", "NA", "N/A", "n/a", "null", "NULL", "None", "none", "-", "--", "---", "?", "unknown", "unavailable":
		return true
	}
	return false
}
