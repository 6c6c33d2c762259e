package weather

import (
	"bytes"
	"fmt"
	"strings"
	"time"
)

// moment is a date and time as written, before the zone is known to be the
// file's or its own.
type moment struct {
	year, month, day     int
	hour, minute, second int
	offsetS              int
	hasOffset            bool
	afternoon, twelve    bool
}

// wall returns the seconds from 1970 as a clock without zone would count them.
// Hour 24 is midnight at the end of the day.
func (m *moment) wall() (int64, string) {
	if m.twelve {
		if m.hour < 1 || m.hour > 12 {
			return 0, fmt.Sprintf("hour %d, must be 1 to 12 with AM or PM", m.hour)
		}
		m.hour %= 12
		if m.afternoon {
			m.hour += 12
		}
	}
	switch {
	case m.year < 1900 || m.year > 2200:
		return 0, fmt.Sprintf("year %d, must be 1900 to 2200", m.year)
	case m.month < 1 || m.month > 12:
		return 0, fmt.Sprintf("month %d, must be 1 to 12", m.month)
	case m.day < 1 || m.day > monthDays(m.year, m.month):
		return 0, fmt.Sprintf("day %d: month %d of %d has %d days", m.day, m.month, m.year, monthDays(m.year, m.month))
	case m.minute > 60 || m.second > 60:
		return 0, fmt.Sprintf("time %d:%02d:%02d is not on a clock", m.hour, m.minute, m.second)
	case m.hour > 24, m.hour == 24 && m.minute+m.second > 0:
		return 0, fmt.Sprintf("time %d:%02d is not on a clock (24:00 is the latest)", m.hour, m.minute)
	}
	return daysFrom1970(m.year, m.month, m.day)*86400 + int64(m.hour)*3600 + int64(m.minute)*60 + int64(m.second), ""
}

func monthDays(year, month int) int {
	if month == 2 && year%4 == 0 && (year%100 != 0 || year%400 == 0) {
		return 29
	}
	return daysIn[month-1]
}

// daysFrom1970 counts days in the Gregorian calendar. Years are taken to begin
// in March, so that the leap day comes last and month lengths follow one rule.
func daysFrom1970(year, month, day int) int64 {
	y, m := year, month-3
	if m < 0 {
		y, m = y-1, m+12
	}
	return int64(365*y + y/4 - y/100 + y/400 + (153*m+2)/5 + day - 719469)
}

// part is one piece of a time's layout.
type part byte

const (
	literal part = iota
	year4
	year2
	monthNumber
	monthName
	dayNumber
	hour24
	hour12
	minuteNumber
	secondNumber
	fractionDigits
	halfOfDay
	zoneOffset
	weekday
	unixSeconds
)

type layoutStep struct {
	part part
	char byte // of a literal
}

// layout is a time's layout, ready to read with.
type layout []layoutStep

// dated reads times by a layout and keeps the date of the one before: within a
// day only the clock is read.
type dated struct {
	layout layout
	form   string // the layout, for messages
	hour   int    // the step at which the clock begins; 0: the date is not in front
	plain  bool   // the clock is hh:mm or hh:mm:ss and nothing follows
	prefix []byte // what stood before the clock
	day    int64  // its midnight, as the file's clock counts seconds
}

func newDated(l layout) dated {
	d := dated{layout: l}
	for i, step := range l {
		switch step.part {
		case literal, year4, year2, monthNumber, monthName, dayNumber, weekday:
			continue
		case hour24:
			tail := l[i+1:]
			d.plain = len(tail) >= 2 && tail[0].char == ':' && tail[1].part == minuteNumber &&
				(len(tail) == 2 || len(tail) == 4 && tail[2].char == ':' && tail[3].part == secondNumber)
			if d.plain {
				d.hour = i
			}
		}
		break
	}
	return d
}

// sameDay reads the clock of a time whose date is that of the time before.
func (d *dated) sameDay(b []byte) (wall int64, ok bool) {
	n := len(d.prefix)
	if n == 0 || len(b) < n+5 || !bytes.Equal(b[:n], d.prefix) {
		return 0, false
	}
	b = b[n:]
	hour, minute, second := twoDigits(b), twoDigits(b[3:]), 0
	if len(d.layout)-d.hour == 5 {
		if len(b) != 8 || b[5] != ':' {
			return 0, false
		}
		second = twoDigits(b[6:])
	} else if len(b) != 5 {
		return 0, false
	}
	if b[2] != ':' || hour > 23 || minute > 59 || second > 59 {
		return 0, false
	}
	return d.day + int64(hour*3600+minute*60+second), true
}

// twoDigits reads two digits; what is not gives 1000 or more.
func twoDigits(b []byte) int {
	tens, ones := b[0]-'0', b[1]-'0'
	if tens > 9 || ones > 9 {
		return 1000
	}
	return int(tens)*10 + int(ones)
}

// read reads a time; where wall is not yet known, m holds it.
func (d *dated) read(b []byte, m *moment) (wall int64, wrong string) {
	if wall, ok := d.sameDay(b); ok {
		m.hasOffset = false
		return wall, ""
	}
	*m = moment{}
	rest, ok := d.layout[:d.hour].part(b, m)
	n := len(b) - len(rest)
	if ok {
		rest, ok = d.layout[d.hour:].part(rest, m)
	}
	if !ok || len(rest) > 0 {
		return 0, fmt.Sprintf("%q is not a time in %s", clip(b), d.form)
	}
	if wall, wrong = m.wall(); wrong == "" && d.plain {
		d.prefix = append(d.prefix[:0], b[:n]...)
		d.day = daysFrom1970(m.year, m.month, m.day) * 86400
	}
	return wall, wrong
}

// pieces of Go's reference time, longest first where one begins another.
var pieces = []struct {
	text string
	part part
}{
	{"January", monthName}, {"Jan", monthName}, {"Monday", weekday}, {"Mon", weekday},
	{"2006", year4}, {"Z07:00", zoneOffset}, {"-07:00", zoneOffset}, {"Z0700", zoneOffset},
	{"-0700", zoneOffset}, {"-07", zoneOffset}, {".000000", fractionDigits}, {".000", fractionDigits}, {".0", fractionDigits},
	{"15", hour24}, {"06", year2}, {"01", monthNumber}, {"02", dayNumber}, {"03", hour12}, {"04", minuteNumber},
	{"05", secondNumber}, {"_2", dayNumber}, {"PM", halfOfDay}, {"1", monthNumber}, {"2", dayNumber},
	{"3", hour12}, {"4", minuteNumber}, {"5", secondNumber},
}

// newLayout compiles a layout written with Go's reference time (2 January 2006
// 15:04:05 -07:00), or one of the words RFC3339 and unix.
func newLayout(s string) (layout, error) {
	switch strings.ToLower(s) {
	case "rfc3339":
		s = time.RFC3339
	case "unix":
		return layout{{part: unixSeconds}}, nil
	}
	var l layout
	seen := map[part]bool{}
next:
	for s != "" {
		for _, p := range pieces {
			// A point and zeros are a fraction only behind the seconds.
			afterSeconds := len(l) > 0 && l[len(l)-1].part == secondNumber
			if strings.HasPrefix(s, p.text) && (p.part != fractionDigits || afterSeconds) {
				l, s = append(l, layoutStep{part: p.part}), s[len(p.text):]
				seen[p.part] = true
				continue next
			}
		}
		l, s = append(l, layoutStep{char: s[0]}), s[1:]
	}
	hasMonth := seen[monthNumber] || seen[monthName]
	if !(seen[year4] || seen[year2]) || !hasMonth || !seen[dayNumber] || !(seen[hour24] || seen[hour12]) {
		return nil, fmt.Errorf("the time's layout must hold year, month, day and hour of 2006-01-02 15:04:05, or be RFC3339 or unix")
	}
	return l, nil
}

// read reads a time by the layout. Numbers may lack their leading zero; the
// seconds may carry a fraction, which is rounded to whole seconds.
func (l layout) read(b []byte, m *moment) bool {
	*m = moment{}
	rest, ok := l.part(b, m)
	return ok && len(rest) == 0
}

// part reads by the layout's steps and returns what is left.
func (l layout) part(b []byte, m *moment) (rest []byte, ok bool) {
	for i := range l {
		if b, ok = l[i].read(b, m); !ok {
			return b, false
		}
		if l[i].part == secondNumber && (i+1 == len(l) || l[i+1].part != fractionDigits) {
			b = roundFraction(b, m)
		}
	}
	return b, true
}

func (s layoutStep) read(b []byte, m *moment) ([]byte, bool) {
	switch s.part {
	case literal:
		if len(b) == 0 || (b[0] != s.char && !(s.char == 'T' && b[0] == 't')) {
			return b, false
		}
		return b[1:], true
	case year4:
		return digits(b, 4, &m.year)
	case year2:
		b, ok := digits(b, 2, &m.year)
		if m.year += 2000; m.year >= 2070 {
			m.year -= 100
		}
		return b, ok
	case monthNumber:
		return digits(b, 2, &m.month)
	case dayNumber:
		return digits(b, 2, &m.day)
	case hour12:
		m.twelve = true
		return digits(b, 2, &m.hour)
	case hour24:
		return digits(b, 2, &m.hour)
	case minuteNumber:
		return digits(b, 2, &m.minute)
	case secondNumber:
		return digits(b, 2, &m.second)
	}
	return s.readRare(b, m)
}

func (s layoutStep) readRare(b []byte, m *moment) ([]byte, bool) {
	switch s.part {
	case fractionDigits:
		return roundFraction(b, m), true
	case monthName:
		return readMonthName(b, m)
	case weekday:
		return skipLetters(b), true
	case halfOfDay:
		return readHalf(b, m)
	case zoneOffset:
		return readOffset(b, m)
	case unixSeconds:
		return readUnix(b, m)
	}
	return b, false
}

// digits reads up to most digits into n.
func digits(b []byte, most int, n *int) ([]byte, bool) {
	i, v := 0, 0
	if i < len(b) && b[i] == ' ' { // a day padded with a blank
		b = b[1:]
	}
	for i < len(b) && i < most && b[i]-'0' < 10 {
		v = v*10 + int(b[i]-'0')
		i++
	}
	*n = v
	return b[i:], i > 0
}

func roundFraction(b []byte, m *moment) []byte {
	if len(b) < 2 || (b[0] != '.' && b[0] != ',') || b[1]-'0' >= 10 {
		return b
	}
	if b[1] >= '5' && m.second < 59 {
		m.second++
	}
	i := 1
	for i < len(b) && b[i]-'0' < 10 {
		i++
	}
	return b[i:]
}

func readMonthName(b []byte, m *moment) ([]byte, bool) {
	if len(b) < 3 {
		return b, false
	}
	for k := time.January; k <= time.December; k++ {
		name := k.String()
		if strings.EqualFold(string(b[:3]), name[:3]) {
			m.month = int(k)
			return skipLetters(b), true
		}
	}
	return b, false
}

func skipLetters(b []byte) []byte {
	i := 0
	for i < len(b) && (b[i]|0x20 >= 'a' && b[i]|0x20 <= 'z') {
		i++
	}
	return b[i:]
}

func readHalf(b []byte, m *moment) ([]byte, bool) {
	if len(b) < 2 || b[1]|0x20 != 'm' || (b[0]|0x20 != 'a' && b[0]|0x20 != 'p') {
		return b, false
	}
	m.afternoon = b[0]|0x20 == 'p'
	return b[2:], true
}

func readOffset(b []byte, m *moment) ([]byte, bool) {
	m.hasOffset = true
	if len(b) > 0 && (b[0] == 'Z' || b[0] == 'z') {
		return b[1:], true
	}
	if len(b) < 3 || (b[0] != '+' && b[0] != '-') {
		return b, false
	}
	sign := 1
	if b[0] == '-' {
		sign = -1
	}
	var hours, minutes int
	b, ok := digits(b[1:], 2, &hours)
	if len(b) > 0 && b[0] == ':' {
		b = b[1:]
	}
	b, _ = digits(b, 2, &minutes)
	m.offsetS = sign * (hours*3600 + minutes*60)
	return b, ok && hours <= 14 && minutes < 60
}

func readUnix(b []byte, m *moment) ([]byte, bool) {
	v, ok := parseNumber(b, '.')
	if !ok || v < -2.2e9 || v > 7.3e9 {
		return b, false
	}
	t := time.Unix(int64(v+0.5), 0).UTC()
	m.year, m.month, m.day = t.Year(), int(t.Month()), t.Day()
	m.hour, m.minute, m.second = t.Clock()
	m.hasOffset = true
	return nil, true
}

// usualLayouts are tried where the map names none.
var usualLayouts = []string{
	"RFC3339", "2006-01-02 15:04:05-07:00", "2006-01-02T15:04-07:00", "2006-01-02 15:04-07:00",
	"2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02T15:04", "2006-01-02 15:04",
	"2006/01/02 15:04:05", "2006/01/02 15:04", "2006.01.02 15:04:05", "2006.01.02 15:04",
	"02.01.2006 15:04:05", "02.01.2006 15:04", "01/02/2006 15:04:05", "01/02/2006 15:04",
	"02/01/2006 15:04:05", "02/01/2006 15:04", "02-Jan-2006 15:04:05", "02-Jan-2006 15:04",
	"01/02/2006 03:04:05 PM", "01/02/2006 03:04 PM", "02/01/2006 03:04:05 PM", "02/01/2006 03:04 PM",
}

// findLayout returns the layouts among the usual ones that fit every sample.
func findLayout(samples [][]byte) (names []string, found layout) {
	for _, name := range usualLayouts {
		l, err := newLayout(name)
		if err == nil && fitsAll(l, samples) {
			if names = append(names, name); found == nil {
				found = l
			}
		}
	}
	return names, found
}

func fitsAll(l layout, samples [][]byte) bool {
	var m moment
	for _, s := range samples {
		if !l.read(s, &m) {
			return false
		}
		if _, wrong := m.wall(); wrong != "" {
			return false
		}
	}
	return len(samples) > 0
}
