package weather

import (
	"bytes"
	"strconv"
)

// powersOfTen that a float64 holds exactly.
var powersOfTen = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10,
	1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// mostDigits of a number are read; more would overflow 64 bits and change
// nothing that a sensor can know.
const mostDigits = 18

// parseNumber reads a decimal number; point is '.' or ','. The short way
// handles what sensors write; exponents go to strconv.
func parseNumber(b []byte, point byte) (float64, bool) {
	i := 0
	negative := len(b) > 0 && b[0] == '-'
	if negative || len(b) > 0 && b[0] == '+' {
		i = 1
	}
	mantissa, start := uint64(0), i
	for ; i < len(b) && b[i]-'0' < 10; i++ {
		mantissa = mantissa*10 + uint64(b[i]-'0')
	}
	whole := i - start
	if whole > mostDigits {
		return 0, false
	}
	v := float64(mantissa)
	if i < len(b) && b[i] == point {
		i++
		begin, end := i, min(len(b), i+mostDigits-whole)
		for ; i < end && b[i]-'0' < 10; i++ {
			mantissa = mantissa*10 + uint64(b[i]-'0')
		}
		v = float64(mantissa) / powersOfTen[i-begin]
		for ; i < len(b) && b[i]-'0' < 10; i++ { // beyond what float64 holds
		}
		whole += i - begin
	}
	if i < len(b) && b[i]|0x20 == 'e' {
		return parseExponent(b)
	}
	if negative {
		v = -v
	}
	return v, whole > 0 && i == len(b)
}

func parseExponent(b []byte) (float64, bool) {
	if len(b) > 40 {
		return 0, false
	}
	if i := bytes.IndexByte(b, ','); i >= 0 { // a decimal comma
		b = bytes.Clone(b)
		b[i] = '.'
	}
	v, err := strconv.ParseFloat(string(b), 64)
	return v, err == nil
}

// saysMissing reports whether a field's text means that there is no value.
func saysMissing(b []byte) bool {
	switch string(b) {
	case "", "NaN", "nan", "NAN", "-nan", "NA", "N/A", "n/a", "null", "NULL", "None", "-", "--", "---", "?":
		return true
	}
	return false
}

// parseCount reads a whole number without sign, such as a day or an hour; some
// files write it as 7.0.
func parseCount(b []byte) (int, bool) {
	n := 0
	for i, c := range b {
		if c == '.' && i > 0 {
			return n, allZero(b[i+1:])
		}
		if c-'0' >= 10 || i > 9 {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, len(b) > 0
}

func allZero(b []byte) bool {
	for _, c := range b {
		if c != '0' {
			return false
		}
	}
	return true
}

// trim takes blanks off both ends.
func trim(b []byte) []byte {
	if n := len(b); n > 0 && b[0] > ' ' && b[n-1] > ' ' {
		return b
	}
	return trimBlanks(b)
}

func trimBlanks(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t') {
		b = b[1:]
	}
	for len(b) > 0 && (b[len(b)-1] == ' ' || b[len(b)-1] == '\t') {
		b = b[:len(b)-1]
	}
	return b
}
