package reading

import (
	"bytes"
	"time"
)

// order is how a date's parts follow each other.
type order uint8

const (
	yearFirst  order = iota // 2026-06-01
	dayFirst                // 01.06.2026
	monthFirst              // 06/01/2026
	byCount                 // seconds since 1970, or a part or a multiple of them
)

// sample writes a time in an order.
func (o order) sample() string {
	return [...]string{"2026-06-25T12:00:00Z", "25.06.2026 12:00:00", "06/25/2026 12:00:00", "1782388800"}[o]
}

// readStamp reads date and time of day: seconds since 1970 by the clock of the
// offset that it carries, or where zoned is false by the clock that it does not
// name.
func readStamp(b []byte, o order) (s float64, zoned, ok bool) {
	days, rest, ok := readDate(b, o)
	if !ok || len(rest) < 2 {
		return 0, false, false
	}
	switch rest[0] {
	case 'T', 't', ' ', '_':
		rest = trimLeft(rest[1:])
	case ',':
		rest = trimLeft(rest[1:])
	default:
		return 0, false, false
	}
	clock, zoned, ok := readClock(rest)
	return float64(days*86400) + clock, zoned, ok
}

// date is one that was read, since the next row mostly has it too.
type date struct {
	text   [10]byte
	startS float64
}

// stamp is readStamp, quicker for 2026-06-01T and a like date.
func (d *date) stamp(b []byte, o order) (s float64, zoned, ok bool) {
	if len(b) > 11 && b[10] == 'T' && string(b[:10]) == string(d.text[:]) {
		clock, zoned, ok := readClock(b[11:])
		return d.startS + clock, zoned, ok
	}
	s, zoned, ok = readStamp(b, o)
	if days, rest, dated := readDate(b, o); ok && dated && len(b)-len(rest) == 10 {
		copy(d.text[:], b)
		d.startS = float64(days * 86400)
	}
	return s, zoned, ok
}

// readDate reads a date at the beginning of b: days since 1970-01-01.
func readDate(b []byte, o order) (days int64, rest []byte, ok bool) {
	var n [3]int
	var width [3]int
	var mark byte
	for i := range n {
		if n[i], width[i] = leading(b, 4); width[i] == 0 {
			if n[i], width[i] = monthNamed(b); width[i] == 0 || (i == 0) != (o == monthFirst) || i == 2 {
				return 0, b, false
			}
		}
		b = b[width[i]:]
		if i == 2 {
			break
		}
		if len(b) == 0 || !isMark(b[0]) || i == 1 && b[0] != mark {
			return 0, b, false
		}
		mark, b = b[0], b[1:]
	}
	year, month, day, digits := n[0], n[1], n[2], width[0]
	switch o {
	case dayFirst:
		year, month, day, digits = n[2], n[1], n[0], width[2]
	case monthFirst:
		year, month, day, digits = n[2], n[0], n[1], width[2]
	case byCount:
		return 0, b, false
	}
	if digits == 2 { // of this century: no rig with a log is older
		year += 2000
	} else if digits != 4 {
		return 0, b, false
	}
	if year < 1970 || month < 1 || month > 12 || day < 1 || day > monthDays(year, month) {
		return 0, b, false
	}
	return daysSince1970(year, month, day), b, true
}

func isMark(c byte) bool { return c == '-' || c == '/' || c == '.' || c == ' ' }

// leading reads up to most digits.
func leading(b []byte, most int) (n, width int) {
	for width < len(b) && width < most && b[width]-'0' < 10 {
		n = n*10 + int(b[width]-'0')
		width++
	}
	return n, width
}

const months = "janfebmaraprmayjunjulaugsepoctnovdec"

// monthNamed reads a month's name, or its first three letters.
func monthNamed(b []byte) (month, width int) {
	if len(b) < 3 {
		return 0, 0
	}
	short := [3]byte{b[0] | 0x20, b[1] | 0x20, b[2] | 0x20}
	for m := range 12 {
		if months[3*m:3*m+3] == string(short[:]) {
			for width = 3; width < len(b) && b[width]|0x20 >= 'a' && b[width]|0x20 <= 'z'; width++ {
			}
			return m + 1, width
		}
	}
	return 0, 0
}

// yearDay is how many days of a common year come before a month, from 1.
var yearDay = [...]int64{0, 0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334}

func isLeap(year int) bool { return year%4 == 0 && (year%100 != 0 || year%400 == 0) }

func monthDays(year, month int) int {
	switch month {
	case 2:
		if isLeap(year) {
			return 29
		}
		return 28
	case 4, 6, 9, 11:
		return 30
	}
	return 31
}

func daysSince1970(year, month, day int) int64 {
	before := int64(year - 1)
	days := 365*before + before/4 - before/100 + before/400 - 719162 // days of the years before 1970
	days += yearDay[month] + int64(day-1)
	if month > 2 && isLeap(year) {
		days++
	}
	return days
}

// readClock reads a time of day, 12:00, 12:00:00 or 12:00:00.000, perhaps with
// am or pm, and the offset from Greenwich behind it. The seconds are taken to
// Greenwich where it has one.
func readClock(b []byte) (s float64, zoned, ok bool) {
	hour, width := leading(b, 2)
	if width == 0 || width >= len(b) || b[width] != ':' {
		return 0, false, false
	}
	b = b[width+1:]
	minute, width := leading(b, 2)
	if width != 2 {
		return 0, false, false
	}
	b = b[2:]
	second := 0.0
	if len(b) > 0 && b[0] == ':' {
		if second, b, ok = readSecond(b[1:]); !ok {
			return 0, false, false
		}
	}
	hour, b = halfDay(hour, b)
	if hour > 24 || minute > 59 || hour == 24 && (minute > 0 || second > 0) {
		return 0, false, false
	}
	offset, zoned, ok := readOffset(b)
	return float64(hour*3600+minute*60-offset) + second, zoned, ok
}

// readSecond reads 0 to 60, with its parts. A leap second is read as the last.
func readSecond(b []byte) (s float64, rest []byte, ok bool) {
	n, width := leading(b, 2)
	if width != 2 || n > 60 {
		return 0, b, false
	}
	s, b = float64(min(n, 59)), b[2:]
	if len(b) > 1 && (b[0] == '.' || b[0] == ',') && b[1]-'0' < 10 {
		part, width := leading(b[1:], 9)
		s += float64(part) / powersOfTen[width]
		for b = b[1+width:]; len(b) > 0 && b[0]-'0' < 10; b = b[1:] {
		}
	}
	return s, b, true
}

// halfDay takes am or pm off; 13 pm is no time.
func halfDay(hour int, b []byte) (int, []byte) {
	t := trimLeft(b)
	if len(t) < 2 || t[1]|0x20 != 'm' || t[0]|0x20 != 'a' && t[0]|0x20 != 'p' {
		return hour, b
	}
	if hour < 1 || hour > 12 {
		return 99, t[2:]
	}
	hour %= 12
	if t[0]|0x20 == 'p' {
		hour += 12
	}
	return hour, t[2:]
}

// readOffset reads Z, UTC, GMT, +01, +0100 or +01:00: seconds east of Greenwich.
func readOffset(b []byte) (offsetS int, zoned, ok bool) {
	b = trim(b)
	switch {
	case len(b) == 0:
		return 0, false, true
	case len(b) == 1 && b[0]|0x20 == 'z', bytes.EqualFold(b, []byte("UTC")), bytes.EqualFold(b, []byte("GMT")):
		return 0, true, true
	case b[0] != '+' && b[0] != '-':
		return 0, false, false
	}
	hours, width := leading(b[1:], 2)
	rest := b[1+width:]
	if len(rest) > 0 && rest[0] == ':' {
		rest = rest[1:]
	}
	minutes, more := leading(rest, 2)
	if width != 2 || len(rest) != more || more == 1 || hours > 15 || minutes > 59 {
		return 0, false, false
	}
	offsetS = hours*3600 + minutes*60
	if b[0] == '-' {
		offsetS = -offsetS
	}
	return offsetS, true, true
}

// wallClock turns what a clock shows into an instant. Where the clock is put
// back and an hour comes twice, the order of the rows tells which it is.
type wallClock struct {
	zone *time.Location

	// Between from and until, as the clock shows them, it is offset seconds
	// east of Greenwich without a change.
	from, until, offset int64

	last int64 // the instant given last
}

// unix returns the instant at which the clock shows wall; false where it never
// does.
func (c *wallClock) unix(wall int64) (int64, bool) {
	if wall >= c.from && wall < c.until {
		c.last = wall - c.offset
		return c.last, true
	}
	// No zone changes by a day, so these are before and after any change.
	before, after := c.offsetAt(wall-86400), c.offsetAt(wall+86400)
	first, second := wall-before, wall-after
	fits, fitsToo := c.offsetAt(first) == before, c.offsetAt(second) == after
	switch {
	case before == after:
		c.from, c.until, c.offset = wall-3600, wall+3600, before
	case fits && fitsToo && first < c.last:
		first = second
	case !fits && fitsToo:
		first = second
	case !fits:
		return 0, false
	}
	c.last = first
	return first, true
}

func (c *wallClock) offsetAt(unix int64) int64 {
	_, offset := time.Unix(unix, 0).In(c.zone).Zone()
	return int64(offset)
}
