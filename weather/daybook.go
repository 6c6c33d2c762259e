package weather

import (
	"slices"
	"time"
)

// daybook lays rows of any length, as they come, on days cut into the rows of
// a Calendar. A row that reaches into several of a day's is shared among them
// by the time that it spends in each.
type daybook struct {
	offsetS int64 // of the clock by which days are counted
	stepS   int64 // of the days' rows
	fileS   int64 // of the file's rows
	perDay  int
	active  []int // measures that the file has
	stated  bool  // the builder has said how long a row is
	mapped  bool  // the builder has said which column is what

	// Closed days, one behind the other; NaN where nothing was measured.
	midnight []int64
	count    []int // rows of the file in the day
	line     []int // where the day begins in the file
	lastLine int   // of the last row
	mean     [measures][]float32

	// The day that rows are now laid on.
	open       bool
	today      int64 // its midnight
	todayCount int
	todayLine  int
	sum, cover [measures][]float64 // cover in seconds
	spill      row                 // what of the row before lies beyond today
	before     row                 // the row before, to judge order and doubles

	rows                int
	doubles, firstTwice int // rows that stand twice, and the line of the first
	early, firstEarly   int // rows that come sooner than a row's length
}

// newDaybook opens a daybook for a table's rows.
func newDaybook(t *table) *daybook {
	b := &daybook{fileS: t.stepS, stepS: gridStep(t.stepS), mapped: t.mapped, stated: t.stated}
	b.perDay = int(86400 / b.stepS)
	for k, c := range t.measure {
		b.sum[k], b.cover[k] = make([]float64, b.perDay), make([]float64, b.perDay)
		if c.at >= 0 {
			b.active = append(b.active, k)
		}
	}
	return b
}

// gridStep returns the row length of the calendar for rows of s seconds: the
// same where it divides the hour, otherwise the next shorter one that does and
// is whole minutes; a minute at least.
func gridStep(s int64) int64 {
	if s >= 60 && 3600%s == 0 {
		return s
	}
	best := int64(60)
	for m := int64(60); m <= s; m += 60 {
		if 3600%m == 0 {
			best = m
		}
	}
	return best
}

// add lays a row down. Line is where it stands.
func (b *daybook) add(r *row, line int) *problem {
	if b.rows > 0 {
		if twice, p := b.order(r, line); twice || p != nil {
			return p
		}
	}
	if b.rows++; !b.open || r.start < b.today || r.start >= b.today+86400 {
		if p := b.turnPage(r, line); p != nil {
			return p
		}
	}
	b.todayCount++
	b.before, b.lastLine = *r, line
	b.lay(r)
	if r.end > b.today+86400 {
		b.spill = *r
		b.spill.start = b.today + 86400
	}
	return nil
}

// turnPage closes the day and opens the one in which the row begins.
func (b *daybook) turnPage(r *row, line int) *problem {
	if b.open && b.movesMidnight(r) {
		b.today = b.midnightOf(r.start)
		return nil
	}
	if b.open {
		b.closeDay()
	}
	if len(b.midnight) >= maxDays {
		return problemf("", "more than %d days: cut the file into years", maxDays)
	}
	b.open, b.today = true, b.midnightOf(r.start)
	b.todayCount, b.todayLine = 0, line
	if b.spill.end > b.today && b.spill.start == b.today {
		b.lay(&b.spill)
	}
	b.spill = row{}
	return nil
}

func (b *daybook) midnightOf(u int64) int64 {
	day := (u + b.offsetS) / 86400
	if (u+b.offsetS)%86400 < 0 {
		day--
	}
	return day*86400 - b.offsetS
}

// lay adds to today's rows what a row spends in them.
func (b *daybook) lay(r *row) {
	from, end := max(r.start-b.today, 0), min(r.end-b.today, 86400)
	for from < end {
		slot := from / b.stepS
		to := min((slot+1)*b.stepS, end)
		spent := float64(to - from)
		for _, k := range b.active {
			if v := r.value[k]; v == v {
				b.sum[k][slot] += spent * float64(v)
				b.cover[k][slot] += spent
			}
		}
		from = to
	}
}

// closeDay turns sums into means. A row is known when at least half of it was
// measured.
func (b *daybook) closeDay() {
	half := float64(b.stepS) / 2
	for _, k := range b.active {
		if len(b.midnight) == 1 { // more than a day: likely a year
			b.mean[k] = slices.Grow(b.mean[k], 370*b.perDay)
		}
		sum, cover := b.sum[k], b.cover[k]
		for i := range sum {
			mean := nan32
			if cover[i] >= half {
				mean = float32(sum[i] / cover[i])
			}
			b.mean[k] = append(b.mean[k], mean)
		}
		clear(sum)
		clear(cover)
	}
	b.midnight = append(b.midnight, b.today)
	b.count, b.line = append(b.count, b.todayCount), append(b.line, b.todayLine)
}

// order judges a row against the one before: twice the same row is passed
// over; time goes forward, except where a typical year goes on with the next
// month of another calendar year.
func (b *daybook) order(r *row, line int) (twice bool, p *problem) {
	d := r.start - b.before.start
	switch {
	case d > 0:
		if d*4 < b.fileS*3 {
			if b.early++; b.early == 1 {
				b.firstEarly = line
			}
		}
		return false, nil
	case d == 0 && sameValues(&r.value, &b.before.value):
		if b.doubles++; b.doubles == 1 {
			b.firstTwice = line
		}
		return true, nil
	case d == 0:
		return false, problemf("", "the time %s comes twice with different values: one row must go%s", b.clock(r.start), b.perhapsAutumn())
	case b.turnsMonth(r) || b.movesMidnight(r):
		return false, nil
	}
	hint := ""
	if d >= -3600 {
		hint = b.perhapsAutumn()
	}
	return false, problemf("", "the time goes back, from %s to %s: rows must stand in the order of time%s", b.clock(b.before.start), b.clock(r.start), hint)
}

// perhapsAutumn says what else it can be that an hour comes twice.
func (b *daybook) perhapsAutumn() string {
	if !b.mapped {
		return ""
	}
	return "; if the file's clock keeps summer time, so that this hour comes twice in autumn, " +
		`give its zone by name in weather.columns.zone of the rig file, such as "Europe/Berlin"`
}

func sameValues(a, b *[measures]float32) bool {
	for k := range a {
		if a[k] != b[k] && (a[k] == a[k] || b[k] == b[k]) {
			return false
		}
	}
	return true
}

// turnsMonth reports whether a row begins the month after the one that the row
// before ended, whatever the years.
func (b *daybook) turnsMonth(r *row) bool {
	return followsInCalendar(b.date(b.before.start), b.date(r.start))
}

// followsInCalendar reports whether a is the last of a month and b the first
// of the next; 28 February may be a last.
func followsInCalendar(a, b time.Time) bool {
	ended := a.AddDate(0, 0, 1).Day() == 1 || a.Month() == time.February && a.Day() == 28
	return ended && b.Day() == 1 && b.Month() == a.Month()%12+1
}

// movesMidnight reports whether all that is laid on today is the midnight with
// which a month ended, and the row goes on with the same month of another year:
// that midnight is of the row's day. So it is where times from 1 to 24 stand
// for the beginnings of rows.
func (b *daybook) movesMidnight(r *row) bool {
	if b.todayCount != 1 || b.before.start != b.today {
		return false
	}
	was, is := b.date(b.today), b.date(r.start)
	return was.Day() == 1 && is.Day() == 1 && was.Month() == is.Month()
}

func (b *daybook) date(u int64) time.Time {
	return time.Unix(u, 0).In(time.FixedZone("", int(b.offsetS)))
}

// clock writes the beginning of a row for a message.
func (b *daybook) clock(u int64) string {
	return b.date(u).Format("2006-01-02 15:04:05")
}

// mostEarly is the share of rows that may come sooner than a row's length;
// more of them mean that the length changes within the file.
const mostEarly = 0.02

// stepFrom says where the length of the rows is from.
func (b *daybook) stepFrom() string {
	if b.stated {
		return "weather.columns.step says"
	}
	return "the first rows have"
}

// finish closes the last day.
func (b *daybook) finish() *problem {
	if b.open {
		b.closeDay()
	}
	if b.early > 5 && float64(b.early) > mostEarly*float64(b.rows) {
		return &problem{line: b.firstEarly, text: "the rows come sooner from here on than the " + seconds(b.fileS) +
			" that " + b.stepFrom() + ": all rows must be equally long"}
	}
	return nil
}
