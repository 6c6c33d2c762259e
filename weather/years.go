package weather

import (
	"context"
	"fmt"
	"slices"
	"time"

	"turnsole/place"
)

// maxLost is the largest share of the daylight of a year that may be missing;
// minWhole the least share of 365 days that a record must span to be completed
// to a year.
const (
	maxLost  = 0.10
	minWhole = 1 - maxLost
	daysYear = 365
)

// binder makes years of a daybook's days.
type binder struct {
	name  string
	table *table
	book  *daybook
	spot  place.Spot
	findings
}

// page is a day of a year: its midnight, and where the daybook has it.
type page struct {
	midnight int64
	day      int // index in the daybook; -1 where it is missing
}

// bind orders the days into years by the calendar and fills what they lack.
func bind(ctx context.Context, name string, t *table, book *daybook, spot place.Spot) ([]*Year, error) {
	b := &binder{name: name, table: t, book: book, spot: spot}
	b.noteRows()
	plan, kind, err := b.plan()
	if err != nil {
		return nil, err
	}
	var years []*Year
	for _, pages := range plan {
		y, err := b.write(ctx, pages, kind)
		if err != nil {
			return nil, err
		}
		years = append(years, y)
	}
	return years, nil
}

func (b *binder) errorf(line int, format string, args ...any) error {
	return &FileError{File: b.name, Line: line, Text: fmt.Sprintf(format, args...)}
}

// noteRows tells what was met while the rows were read.
func (b *binder) noteRows() {
	k := b.book
	if k.doubles > 0 {
		b.tellf(rowsMended, "%s twice, with the same values (the first on line %d): the second is left out.", plural(k.doubles, "row stands", "rows stand"), k.firstTwice)
	}
	switch {
	case k.fileS < 60:
		b.tellf(rowsMended, "Rows of %s are averaged to a minute.", seconds(k.fileS))
	case k.fileS != k.stepS:
		b.tellf(rowsMended, "Rows of %s are laid on rows of %s, each by the time it overlaps.", seconds(k.fileS), seconds(k.stepS))
	}
	if c := b.table.stamp.clock; c != nil && c.backward > 0 && c.second == 0 {
		b.tellf(rowsMended, "The hour that the clock of %v repeats in autumn stands only once in the file; it is taken as the first of the two; "+
			"if the file's clock keeps one time all year, weather.columns.zone should be a fixed offset, such as %q.", c.zone, c.standard(c.last))
	}
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// plan decides which days make which year.
func (b *binder) plan() ([][]page, Kind, error) {
	days := b.days()
	if b.turned(days) {
		days = b.closeRing(days)
		pages, err := b.byMonth(days)
		kind := b.kindOf(pages)
		if err == nil && (kind == Typical || b.table.complete) {
			err = b.allThere(pages)
		}
		return [][]page{pages}, kind, err
	}
	if b.table.complete {
		pages, err := b.byMonth(days)
		if err == nil {
			err = b.allThere(pages)
		}
		if err != nil {
			return nil, Recorded, err
		}
	}
	plan, err := b.byTime(days)
	return plan, Recorded, err
}

// days lists the daybook's days without 29 February.
func (b *binder) days() []page {
	var days []page
	for i, m := range b.book.midnight {
		if d := b.book.date(m); d.Month() == time.February && d.Day() == 29 {
			b.tellf(small, "29 February %d is left out: a year here has 365 days.", d.Year())
			continue
		}
		days = append(days, page{m, i})
	}
	return days
}

// turned reports whether months of different years follow one another out of
// the order of time.
func (b *binder) turned(days []page) bool {
	for i := 1; i < len(days); i++ {
		gap := days[i].midnight - days[i-1].midnight
		if gap < 0 || gap > 40*86400 && followsInCalendar(b.book.date(days[i-1].midnight), b.book.date(days[i].midnight)) {
			return true
		}
	}
	return false
}

// byMonth orders the days of a year by the calendar, whatever their years; it
// must be whole.
func (b *binder) byMonth(days []page) ([]page, error) {
	pages := make([]page, daysYear)
	for i := range pages {
		pages[i].day = -1
	}
	for _, d := range days {
		p := &pages[b.ordinal(d.midnight)%daysYear]
		if p.day >= 0 {
			return nil, b.errorf(b.book.line[d.day], "%s comes a second time: such a year must have each of its 365 days once", b.book.date(d.midnight).Format("2 January"))
		}
		*p = d
	}
	for i, p := range pages {
		if p.day < 0 {
			return nil, b.missingFrom(i, pages)
		}
	}
	return pages, nil
}

// missingFrom says which days are missing from one on, and on which line they
// should begin: where the next day stands, or behind the last.
func (b *binder) missingFrom(first int, pages []page) error {
	end, line := first, b.book.lastLine+1
	for end < len(pages) && pages[end].day < 0 {
		end++
	}
	if end < len(pages) {
		line = b.book.line[pages[end].day]
	}
	date := func(i int) string { return time.Date(2001, 1, 1+i, 0, 0, 0, 0, time.UTC).Format("2 January") }
	what := date(first) + " is missing, which should stand here"
	if end > first+1 {
		what = fmt.Sprintf("%s to %s, %d days, are missing, which should stand here", date(first), date(end-1), end-first)
	}
	return b.errorf(line, "%s: such a year must have each of its 365 days once", what)
}

// closeRing lays the last midnight, which belongs to the day with which the
// file began, on that day: times from 1 to 24 that stand for the beginnings of
// rows end a year with it.
func (b *binder) closeRing(days []page) []page {
	if len(days) == 0 {
		return days
	}
	first, last := days[0], days[len(days)-1]
	if b.book.count[last.day] != 1 || b.ordinal(first.midnight)%daysYear != b.ordinal(last.midnight)%daysYear {
		return days
	}
	n := b.book.perDay
	for _, k := range b.book.active {
		mean := b.book.mean[k]
		for i := range n {
			if to := &mean[first.day*n+i]; missing(*to) {
				*to = mean[last.day*n+i]
			}
		}
	}
	b.book.count[first.day]++
	return days[:len(days)-1]
}

// allThere demands every row of every day, as a typical year must have them.
func (b *binder) allThere(pages []page) error {
	want := int(86400 / b.book.fileS)
	for _, p := range pages {
		if n := b.book.count[p.day]; n != want {
			return b.errorf(b.book.line[p.day], "%s, which begins here, has %s, must be %d: is the file damaged?",
				b.book.date(p.midnight).Format("2 January 2006"), plural(n, "row", "rows"), want)
		}
	}
	return nil
}

// kindOf tells a measured year that was turned round to begin in January from
// one chosen from many years.
func (b *binder) kindOf(pages []page) Kind {
	if len(pages) == 0 {
		return Recorded
	}
	first, last := pages[0].midnight, pages[0].midnight
	for _, p := range pages {
		first, last = min(first, p.midnight), max(last, p.midnight)
	}
	if last-first > 366*86400 {
		return Typical
	}
	return Recorded
}

// ordinal numbers days through the years as if all had 365.
func (b *binder) ordinal(midnight int64) int {
	d := b.book.date(midnight)
	n := d.Day()
	for m := time.January; m < d.Month(); m++ {
		n += daysIn[m-1]
	}
	return d.Year()*daysYear + n - 1
}

// byTime cuts days that follow one another into whole years; where they do not
// make one, it keeps them as part of a year.
func (b *binder) byTime(days []page) ([][]page, error) {
	days = b.trim(days)
	if len(days) == 0 {
		return nil, b.errorf(0, "no day has light in at least %.0f %% of its rows", 100*leastOfEdge)
	}
	first, last := b.ordinal(days[0].midnight), b.ordinal(days[len(days)-1].midnight)
	n, start := wholeYears(first, last)
	if n == 0 {
		b.tellf(leftOut, "The record has %s, not a whole year.", plural(len(days), "day", "days"))
		return [][]page{days}, nil
	}
	var plan [][]page
	used, thin := 0, 0
	for y := range n {
		pages, known := b.turnRound(days, start+y*daysYear)
		used += known
		if float64(known) >= minWhole*daysYear {
			plan = append(plan, pages)
		} else {
			thin++
		}
	}
	if thin > 0 {
		b.tellf(leftOut, "In %s of 365 days less than %.0f %% of them are there: left out.", plural(thin, "stretch", "stretches"), 100*minWhole)
	}
	if left := len(days) - used; left > 0 {
		b.tellf(leftOut, "%s outside whole years: left out.", plural(left, "day lies", "days lie"))
	}
	if len(plan) == 0 {
		return nil, b.errorf(0, "of 365 days in a row at least %.0f must be there; no year has them", minWhole*daysYear)
	}
	return plan, nil
}

// leastOfEdge is the share of rows that the first and the last day must have.
const leastOfEdge = 0.25

// trim drops first and last days of which little is there.
func (b *binder) trim(days []page) []page {
	thin := func(p page) bool {
		return float64(b.book.count[p.day])*float64(b.book.fileS) < leastOfEdge*86400
	}
	for len(days) > 0 && thin(days[0]) {
		days = days[1:]
	}
	for len(days) > 0 && thin(days[len(days)-1]) {
		days = days[:len(days)-1]
	}
	return days
}

// wholeYears returns how many years of 365 days fit between two ordinals and
// where the first begins: on 1 January where that costs none. A record a
// little short of a year counts as one.
func wholeYears(first, last int) (n, start int) {
	n = (last - first + 1) / daysYear
	january := (first + daysYear - 1) / daysYear * daysYear
	if n > 0 {
		if (last-january+1)/daysYear >= n {
			return n, january
		}
		return n, first
	}
	if float64(last-first+1) < minWhole*daysYear {
		return 0, first
	}
	if first/daysYear == last/daysYear {
		return 1, first / daysYear * daysYear
	}
	return 1, first
}

// turnRound gives the 365 days from an ordinal on in the order of the
// calendar, with gaps for days that are missing.
func (b *binder) turnRound(days []page, start int) (pages []page, known int) {
	pages = make([]page, daysYear)
	for i := range pages {
		o := start + i
		pages[o%daysYear] = page{b.midnightOf(o), -1}
	}
	at, _ := slices.BinarySearchFunc(days, start, func(p page, o int) int { return b.ordinal(p.midnight) - o })
	for ; at < len(days); at++ {
		o := b.ordinal(days[at].midnight)
		if o >= start+daysYear {
			break
		}
		pages[o%daysYear] = days[at]
		known++
	}
	return pages, known
}

// midnightOf undoes ordinal.
func (b *binder) midnightOf(ordinal int) int64 {
	year, day := ordinal/daysYear, ordinal%daysYear
	month := 1
	for ; day >= daysIn[month-1]; month++ {
		day -= daysIn[month-1]
	}
	return daysFrom1970(year, month, day+1)*86400 - b.book.offsetS
}

// write copies the days' means and has what they lack filled.
func (b *binder) write(ctx context.Context, pages []page, kind Kind) (*Year, error) {
	y := &Year{Kind: kind, Source: b.name}
	y.UTCOffset, y.StepS = time.Duration(b.book.offsetS)*time.Second, int(b.book.stepS)
	for _, p := range pages {
		y.Midnight = append(y.Midnight, p.midnight)
	}
	m := mender{Year: y, findings: slices.Clone(b.findings), spot: b.spot, windFactor: float32(b.table.windFactor)}
	for k := range measures {
		m.column[k] = b.column(k, pages)
	}
	if err := m.mend(ctx); err != nil {
		return nil, err
	}
	return y, nil
}

// column copies a measure's rows in the order of the pages; nil where the file
// has none.
func (b *binder) column(k int, pages []page) []float32 {
	if b.table.measure[k].at < 0 {
		return nil
	}
	n := b.book.perDay
	if inOrder(pages) {
		return b.book.mean[k][pages[0].day*n:][:len(pages)*n]
	}
	c := make([]float32, len(pages)*n)
	for i, p := range pages {
		if p.day >= 0 {
			copy(c[i*n:(i+1)*n], b.book.mean[k][p.day*n:])
			continue
		}
		for j := range n {
			c[i*n+j] = nan32
		}
	}
	return c
}

// inOrder reports whether the pages are days of the daybook one behind the
// other, so that their rows need not be copied.
func inOrder(pages []page) bool {
	for i, p := range pages {
		if p.day != pages[0].day+i || p.day < 0 {
			return false
		}
	}
	return true
}
