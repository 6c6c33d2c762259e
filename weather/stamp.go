package weather

import (
	"fmt"
	"strings"
	"time"
)

// stamp reads a row's time.
type stamp struct {
	text   [2]column // the time, or the date and the clock
	layout dated
	joined []byte
	moment moment

	year, month, day, dayOfYear column
	hour, minute, second        column
	hhmm, secondsOfDay          column
	firstDay                    moment
	withinHour                  bool // hour 1 minute 15 is a quarter past midnight

	clock *wallClock // nil: every time carries its own offset
	own   int64      // the offset that the last time carried, s
}

// newStamp finds the time's columns. Layout and clock are not yet set.
func newStamp(headings []string, m *Map) (stamp, *problem) {
	var s stamp
	names := []string{m.Time, m.Clock, m.Year, m.Month, m.Day, m.DayOfYear, m.Hour, m.Minute, m.Second, m.HHMM, m.SecondsOfDay}
	into := []*column{&s.text[0], &s.text[1], &s.year, &s.month, &s.day, &s.dayOfYear, &s.hour, &s.minute, &s.second, &s.hhmm, &s.secondsOfDay}
	if m.Date != "" {
		names[0] = m.Date
	}
	for i, name := range names {
		c, p := find(headings, name)
		if p != nil {
			return s, p
		}
		*into[i] = c
	}
	return s, s.demand(m)
}

// demand refuses a map that cannot give a time, or gives two.
func (s *stamp) demand(m *Map) *problem {
	has := func(c column) bool { return c.at >= 0 }
	numbers := has(s.hour) || has(s.hhmm) || has(s.secondsOfDay)
	day := has(s.year) && (has(s.dayOfYear) || has(s.month) && has(s.day))
	switch {
	case m.Time != "" && (m.Date != "" || m.Clock != "" || numbers),
		(m.Date != "") != (m.Clock != ""), m.Date != "" && numbers:
		return problemf("", "[weather.columns] must name the time in one way: time, or date and clock, or columns of numbers")
	case has(s.text[0]):
		return nil
	case !numbers:
		return problemf("", "[weather.columns] of the rig file names no time: give time, or date and clock, or year, month, day and hour")
	case day:
		return nil
	case m.FirstDay == "":
		return problemf("", "no column gives the day: under [weather.columns] name year with month and day or with day_of_year, or give first_day as 2006-01-02")
	}
	iso := layout{{part: year4}, {char: '-'}, {part: monthNumber}, {char: '-'}, {part: dayNumber}}
	if !iso.read([]byte(m.FirstDay), &s.firstDay) {
		return problemf("", "first_day %q is not a date such as 2006-01-02", m.FirstDay)
	}
	return nil
}

// highest returns the highest field that the time needs.
func (s *stamp) highest() int {
	h := 0
	for _, c := range s.columns() {
		h = max(h, c.at)
	}
	return h
}

func (s *stamp) columns() []column {
	return []column{s.text[0], s.text[1], s.year, s.month, s.day, s.dayOfYear, s.hour, s.minute, s.second, s.hhmm, s.secondsOfDay}
}

// words returns the time's text: one field, or two with a blank between.
func (s *stamp) words(fields [][]byte) []byte {
	first := trim(fields[s.text[0].at])
	if s.text[1].at < 0 {
		return first
	}
	s.joined = append(append(append(s.joined[:0], first...), ' '), trim(fields[s.text[1].at])...)
	return s.joined
}

// read returns a row's instant in Unix seconds.
func (s *stamp) read(fields [][]byte) (int64, *problem) {
	m := &s.moment
	var wall int64
	var wrong string
	if s.text[0].at >= 0 {
		wall, wrong = s.layout.read(s.words(fields), m)
	} else if p := s.numbers(fields, m); p != nil {
		return 0, p
	} else {
		wall, wrong = m.wall()
	}
	if wrong != "" {
		return 0, problemf(s.blame(m), "%s", wrong)
	}
	if m.hasOffset {
		s.own = int64(m.offsetS)
		return wall - int64(m.offsetS), nil
	}
	if s.clock == nil {
		return 0, problemf(s.name(), "the time carries no offset from Greenwich: weather.columns.zone of the rig file must say which clock the file keeps, such as \"UTC+1\" or \"Europe/Berlin\"")
	}
	u, wrong := s.clock.unix(wall)
	if wrong != "" {
		return 0, problemf(s.name(), "%s", wrong)
	}
	return u, nil
}

// dayOffset returns the offset in seconds by which days are counted: the
// zone's standard time, or the first row's own offset.
func (s *stamp) dayOffset(first *row) int64 {
	if s.clock == nil {
		return s.own
	}
	return int64(standardOffset(s.clock.zone, first.start) / time.Second)
}

// first returns the column with which the time begins.
func (s *stamp) first() column {
	for _, c := range []column{s.text[0], s.year, s.hour, s.hhmm} {
		if c.at >= 0 {
			return c
		}
	}
	return s.secondsOfDay
}

// name of the time's column, for messages.
func (s *stamp) name() string {
	for _, c := range []column{s.text[0], s.hour, s.hhmm} {
		if c.at >= 0 {
			return c.name
		}
	}
	return s.secondsOfDay.name
}

// blame names the column in which what is wrong with a moment stands, in the
// order in which moment.wall judges.
func (s *stamp) blame(m *moment) string {
	c := column{at: -1}
	switch {
	case m.year < 1900 || m.year > 2200:
		c = s.year
	case m.month < 1 || m.month > 12:
		c = s.month
	case m.day < 1 || m.day > monthDays(m.year, m.month):
		c = s.day
	case m.minute > 60:
		c = s.minute
	}
	if c.at < 0 {
		return s.name()
	}
	return c.name
}

// numbers reads a time from columns of numbers.
func (s *stamp) numbers(fields [][]byte, m *moment) *problem {
	*m = s.firstDay
	for _, n := range []struct {
		c    *column
		into *int
	}{{&s.year, &m.year}, {&s.month, &m.month}, {&s.day, &m.day}, {&s.hour, &m.hour}, {&s.minute, &m.minute}} {
		if p := count(fields, n.c, n.into); p != nil {
			return p
		}
	}
	if s.withinHour && m.minute > 0 && m.minute <= 60 && m.hour > 0 {
		m.hour += m.minute/60 - 1
		m.minute %= 60
	}
	if p := s.seconds(fields, m); p != nil {
		return p
	}
	return s.ordinal(fields, m)
}

func count(fields [][]byte, c *column, into *int) *problem {
	if c.at < 0 {
		return nil
	}
	b := trim(fields[c.at])
	n, ok := parseCount(b)
	if !ok {
		return problemf(c.name, "%q is not a whole number", clip(b))
	}
	*into = n
	return nil
}

// seconds reads the time of day where it is not in hours and minutes.
func (s *stamp) seconds(fields [][]byte, m *moment) *problem {
	n := 0
	switch {
	case s.hhmm.at >= 0:
		if p := count(fields, &s.hhmm, &n); p != nil {
			return p
		}
		m.hour, m.minute = n/100, n%100
	case s.secondsOfDay.at >= 0:
		if p := count(fields, &s.secondsOfDay, &n); p != nil {
			return p
		}
		m.hour, m.minute, m.second = n/3600, n/60%60, n%60
	case s.second.at >= 0:
		b := trim(fields[s.second.at])
		v, ok := parseNumber(b, '.')
		if !ok || v < 0 || v >= 61 {
			return problemf(s.second.name, "%q is not a second, 0 to 59", clip(b))
		}
		m.second = int(v)
	}
	return nil
}

// ordinal turns a day of the year, 1 to 366, into month and day.
func (s *stamp) ordinal(fields [][]byte, m *moment) *problem {
	if s.dayOfYear.at < 0 {
		return nil
	}
	n := 0
	if p := count(fields, &s.dayOfYear, &n); p != nil {
		return p
	}
	left := n
	for m.month = 1; m.month <= 12; m.month++ {
		d := monthDays(m.year, m.month)
		if left <= d {
			break
		}
		left -= d
	}
	if m.day = left; n < 1 || m.month > 12 {
		return problemf(s.dayOfYear.name, "day %d of the year %d, must be 1 to 365 (366 in a leap year)", n, m.year)
	}
	return nil
}

// settle chooses the layout: the one named, or the only one that fits the
// samples.
func (s *stamp) settle(named string, samples [][]byte) *problem {
	if s.text[0].at < 0 {
		return nil
	}
	if named != "" {
		l, err := newLayout(named)
		if err != nil {
			return problemf(s.name(), "layout %q: %v", named, err)
		}
		s.layout = newDated(l)
		s.layout.form = fmt.Sprintf("the layout %q", named)
		return nil
	}
	names, found := findLayout(samples)
	switch len(names) {
	case 0:
		return problemf(s.name(), "%q is in no usual form of a time: %s", clip(samples[0]), adviseLayout(samples[0]))
	case 1:
		s.layout = newDated(found)
		s.layout.form = fmt.Sprintf("the form of the first rows, %q", names[0])
		return nil
	}
	return problemf(s.name(), "times such as %q can be read in %d ways (%s): weather.columns.layout of the rig file must say which is right",
		clip(samples[0]), len(names), strings.Join(names, "; "))
}

// adviseLayout says how a time in no usual form is given its layout. Ten digits
// are seconds since 1970, of this century; thirteen are thousandths of them.
func adviseLayout(sample []byte) string {
	const give = "give its layout under [weather.columns] of the rig file, "
	n := 0
	for n < len(sample) && sample[n]-'0' < 10 {
		n++
	}
	switch {
	case n >= 9 && n <= 10 && (n == len(sample) || sample[n] == '.'):
		return give + `layout = "unix" if these are seconds since 1970`
	case n == 13 && n == len(sample):
		return `thousandths of seconds since 1970 must be divided by 1000; then ` + give + `layout = "unix"`
	}
	return give + `such as layout = "2006-01-02 15:04:05"`
}
