package reading

import (
	"fmt"
	"strings"
)

// kindOfTime is what a column's text can be read as.
type kindOfTime struct {
	whole, day, clock int // rows that are date and time, date only, time of day only
	zoned             int // those of whole or clock that carry an offset
	seconds, ms       int // counts since 1970
	rows              int
}

// times finds the columns that tell the time, and how.
func (g *guess) times([]byte) error {
	if _, told := g.taken[atTime]; !told {
		if _, told = g.taken[atClock]; !told {
			g.findTime()
		}
	}
	if at, ok := g.taken[atClock]; ok {
		k := g.kind(at)
		g.needsZone = k.zoned < k.clock || k.clock == 0
		if day, ok := g.taken[atDate]; ok {
			return g.settle(day)
		}
		return &LogError{Why: fmt.Sprintf("%q is a time of day: which column has the date? Say it with --column \"date=HEADING\"", g.headings[at])}
	}
	at, ok := g.taken[atTime]
	if !ok || g.m.Order == dateOrders[byCount] {
		return nil
	}
	k := g.kind(at)
	g.needsZone = k.zoned < k.whole || k.whole == 0
	return g.settle(at)
}

// findTime takes the first column whose rows are times; or date and time of day
// in two.
func (g *guess) findTime() {
	day, clock := -1, -1
	for at := range g.headings {
		if g.uses(at) {
			continue
		}
		k := g.kind(at)
		most := func(n int) bool { return 2*n > k.rows && k.rows > 0 }
		switch {
		case most(k.whole):
			g.add(at, atTime, unit{"", 1})
			return
		case most(k.seconds) && g.timely(at):
			g.count(at, counts[0], "seconds")
			return
		case most(k.ms) && g.timely(at):
			g.count(at, counts[1], "milliseconds")
			return
		case most(k.day) && day < 0:
			day = at
		case most(k.clock) && clock < 0:
			clock = at
		}
	}
	if _, told := g.taken[atDate]; day >= 0 && clock >= 0 && !told {
		g.add(day, atDate, unit{"", 1})
	}
	if _, counted := g.taken[atUptime]; clock >= 0 && (day >= 0 || !counted) {
		g.add(clock, atClock, unit{"", 1})
	}
}

// timely reports whether a count of seconds may be the time: its heading says
// so, or there is none.
func (g *guess) timely(at int) bool {
	h := strings.ToLower(g.headings[at])
	for _, word := range []string{"time", "unix", "epoch", "date", "stamp", "ts", "#", "utc", "seconds", "sec"} {
		if strings.Contains(h, word) {
			return true
		}
	}
	return false
}

func (g *guess) count(at int, u unit, word string) {
	g.m.Order = dateOrders[byCount]
	g.add(at, atTime, u)
	g.notes = append(g.notes, fmt.Sprintf("%q is read as %s since 1970.", g.headings[at], word))
}

// kind looks at the rows of a column.
func (g *guess) kind(at int) (k kindOfTime) {
	for _, row := range g.rows {
		b := []byte(row[at])
		if saysMissing(b) {
			continue
		}
		k.rows++
		zoned := false
		if _, z, ok := readClock(b); ok {
			k.clock++
			zoned = z
		}
		for _, o := range []order{yearFirst, dayFirst, monthFirst} {
			if _, z, ok := readStamp(b, o); ok {
				k.whole++
				zoned = zoned || z
				break
			}
			if _, rest, ok := readDate(b, o); ok && len(rest) == 0 {
				k.day++
				break
			}
		}
		if zoned {
			k.zoned++
		}
		if v, ok := parseNumber(b, '.'); ok {
			if plausible(v) {
				k.seconds++
			} else if plausible(v / 1000) {
				k.ms++
			}
		}
	}
	return k
}

// span is what the dates of a column come to in one order.
type span struct {
	fit         int
	least, most int64
	back        int // steps against the run of time
}

// settle decides the order of dates: the one that fits most rows; of two that
// fit alike, the one that keeps the rows in a shorter and straighter run.
func (g *guess) settle(at int) error {
	if g.m.Order != "" {
		return nil
	}
	var of [byCount]span
	for o := range byCount {
		of[o] = g.spanOf(at, o)
	}
	day, month := of[dayFirst], of[monthFirst]
	sample := g.rows[0][at]
	note := func(o order, why string) error {
		g.m.Order = dateOrders[o]
		g.notes = append(g.notes, fmt.Sprintf("Dates such as %s are read %s: %s.", sample, [...]string{dayFirst: "day first", monthFirst: "month first"}[o], why))
		return nil
	}
	switch {
	case of[yearFirst].fit >= max(day.fit, month.fit) && of[yearFirst].fit > 0:
		g.m.Order = dateOrders[yearFirst]
		return nil
	case day.fit == 0 && month.fit == 0:
		return &LogError{Why: fmt.Sprintf("column %s: %q is no date that is known: write 2026-06-25, 25.06.2026 or 06/25/2026, or seconds since 1970", g.headings[at], sample)}
	case day.fit > month.fit:
		return note(dayFirst, "as months, some would be above 12")
	case month.fit > day.fit:
		return note(monthFirst, "as months, some would be above 12")
	case day == month:
		g.m.Order = dateOrders[dayFirst] // day and month are the same number
		return nil
	case day.most-day.least < month.most-month.least && day.back <= month.back:
		return note(dayFirst, "so the log runs day by day without leaps")
	case month.most-month.least < day.most-day.least && month.back <= day.back:
		return note(monthFirst, "so the log runs day by day without leaps")
	case strings.Contains(sample, "."):
		return note(dayFirst, "with points between they mostly are (common practice)")
	}
	return &LogError{Why: fmt.Sprintf("column %s: dates such as %q can be read day first or month first, and the log is too short to tell: say it with --column \"%s=%s:day-first\", or month-first",
		g.headings[at], sample, g.nameOf(at), g.headings[at])}
}

func (g *guess) nameOf(at int) string {
	if day, ok := g.taken[atDate]; ok && day == at {
		return "date"
	}
	return "time"
}

func (g *guess) spanOf(at int, o order) (s span) {
	before := int64(0)
	for _, row := range g.rows {
		days, _, ok := readDate([]byte(row[at]), o)
		if !ok {
			continue
		}
		if s.fit == 0 {
			s.least, s.most, before = days, days, days
		}
		s.fit++
		s.least, s.most = min(s.least, days), max(s.most, days)
		if days < before {
			s.back++
		}
		before = days
	}
	return s
}
