package weather

import (
	"bytes"
	"fmt"
)

// sample looks at the first rows for what the map leaves open: separator,
// decimal point, form of the time, step.
func (t *table) sample(l *lineReader, head [][]byte, m *Map) error {
	rows := head[min(t.firstLine-1, len(head)):]
	t.separator = t.sampleSeparator(head, rows, m)
	rows, widest := t.skipForeword(rows, m)
	if len(rows) == 0 || widest <= t.last {
		return t.noRows(l, widest)
	}
	if t.separator != ',' && t.separator != ' ' && t.decimalComma(rows) {
		t.point = ','
	}
	t.bindWidth(rows[0])
	p := t.stamp.settle(m.Layout, t.sampleWords(rows))
	if p == nil {
		p = t.findStep(rows)
	}
	if p != nil {
		p.line = t.firstLine
		return p.at(l)
	}
	return nil
}

// noRows says why nothing can be read; widest is how many columns the widest
// line has.
func (t *table) noRows(l *lineReader, widest int) error {
	if l.number = l.long; l.long > 0 {
		return l.tooLong()
	}
	line := max(t.firstLine-1, 0)
	switch {
	case widest == 0:
		return &FileError{File: l.name, Line: line, Text: "no rows of data stand below the headings"}
	case widest <= t.last:
		return &FileError{File: l.name, Line: line + 1, Column: t.highest(), Text: fmt.Sprintf("this is column %d, but no row has more than %s (parted by %q)",
			t.last+1, plural(widest, "column", "columns"), t.separator)}
	}
	return &FileError{File: l.name, Line: line + 1, Column: t.stamp.first().name, Text: "no row has a time there that begins with a digit: is it another column?"}
}

// highest returns the name of the column that stands furthest to the right.
func (t *table) highest() string {
	for _, c := range append(t.stamp.columns(), t.measure[:]...) {
		if c.at == t.last {
			return c.name
		}
	}
	return ""
}

func (t *table) sampleSeparator(head, rows [][]byte, m *Map) byte {
	if t.firstLine > 1 && t.firstLine-2 < len(head) {
		return separatorOf(head[t.firstLine-2], m)
	}
	if len(rows) > 0 { // without headings the tenth line is surely data
		return separatorOf(rows[min(len(rows)-1, 10)], m)
	}
	return ','
}

// decimalComma reports whether numbers are written 3,5.
func (t *table) decimalComma(rows [][]byte) bool {
	for _, r := range rows {
		if t.split(r); len(t.fields) <= t.last {
			continue
		}
		for _, c := range t.measure {
			if c.at >= 0 && bytes.IndexByte(t.fields[c.at], ',') >= 0 {
				return bytes.IndexByte(t.fields[c.at], '.') < 0
			}
		}
	}
	return false
}

// bindWidth lets rows have as many columns as the headings name or, where
// there are none, as the first row has. Blanks part words of a heading as well,
// so they tell nothing.
func (t *table) bindWidth(first []byte) {
	if t.separator == ' ' || len(t.headings) > maxColumns {
		return
	}
	n := len(t.headings)
	for n > 0 && t.headings[n-1] == "" {
		n--
	}
	t.widthOf = fmt.Sprintf("the headings on line %d name %d", t.firstLine-1, n)
	if len(t.headings) == 0 {
		t.split(first)
		n = t.found
		t.widthOf = fmt.Sprintf("the first row, on line %d, has %d", t.firstLine, n)
	}
	t.width = max(n, t.last+1)
}

// skipForeword passes over lines before the data in a table without headings,
// and over remarks and empty lines among the first. It also returns how many
// columns the widest line has.
func (t *table) skipForeword(rows [][]byte, m *Map) (data [][]byte, widest int) {
	started := len(m.named()) > 0
	for i, r := range rows {
		if skip, stop := t.passOver(r, t.firstLine, len(data) > 0); stop {
			break
		} else if skip {
			continue
		}
		t.split(r)
		widest = max(widest, t.found, len(t.fields))
		fits := len(t.fields) > t.last
		if !started && !(fits && t.startsWithDigit()) {
			continue
		} else if !started {
			started = true
			t.firstLine += i
		}
		data = append(data, r)
	}
	return data, widest
}

// startsWithDigit tells a row from a line of words: its time begins with a
// digit.
func (t *table) startsWithDigit() bool {
	b := trim(t.fields[t.stamp.first().at])
	return len(b) > 0 && b[0]-'0' < 10
}

// sampleWords returns the times of the sampled rows as text.
func (t *table) sampleWords(rows [][]byte) (words [][]byte) {
	if t.stamp.text[0].at < 0 {
		return nil
	}
	const most = 5000
	for _, r := range rows {
		if t.split(r); len(t.fields) > t.last && len(words) < most {
			words = append(words, bytes.Clone(t.stamp.words(t.fields)))
		}
	}
	return words
}

// findStep takes the commonest distance between rows as their length, or holds
// the length that was given against it.
func (t *table) findStep(rows [][]byte) *problem {
	seen := map[int64]int{}
	var before int64
	var first *problem
	counted, back := 0, 0
	for _, r := range rows {
		if t.split(r); len(t.fields) <= t.last {
			continue
		}
		at, p := t.stamp.read(t.fields)
		if p != nil {
			if first == nil {
				first = p
			}
			continue // told, with its line, when the row is read
		}
		if d := at - before; counted > 0 && d > 0 {
			seen[d]++
		} else if counted > 0 && d < 0 {
			back++
		}
		before = at
		counted++
	}
	if t.stamp.clock != nil {
		t.stamp.clock = newWallClock(t.stamp.clock.zone)
	}
	best := commonest(seen)
	switch {
	case back > fewBack && back > counted/mostBack:
		return problemf(t.stamp.name(), "the time goes back %s in the first %s: rows must stand in the order of time", plural(back, "time", "times"), plural(counted, "row", "rows"))
	case t.stepS != 0:
		return t.judgeStep(best, seen[best], counted)
	case best == 0 && first != nil:
		return first
	case best == 0:
		return problemf("", "the first rows do not tell how long a row is: give weather.columns.step in the rig file")
	case best > maxStepS:
		return problemf("", "the rows are %s apart: an hour is the most that can be used", seconds(best))
	}
	t.stepS = best
	return nil
}

// The time goes back a few times where months of different years meet and when
// clocks are put back; a single row out of order is told with its line. Beyond
// that, and once in mostBack rows, their distances tell nothing.
const (
	fewBack  = 5
	mostBack = 20
)

// commonest returns the distance seen most often, the shortest of several; 0
// where there is none.
func commonest(seen map[int64]int) (best int64) {
	for d, n := range seen {
		if n > seen[best] || n == seen[best] && d < best {
			best = d
		}
	}
	return best
}

// judgeStep refuses a length of row that leaves gaps between most rows.
func (t *table) judgeStep(apart int64, times, rows int) *problem {
	const slack = 1.1 // loggers drift
	if float64(apart) <= slack*float64(t.stepS) || 2*times < rows {
		return nil
	}
	return problemf("", "the rows stand %s apart, but weather.columns.step says that each lasts %s: the step must be the rows' own", seconds(apart), seconds(t.stepS))
}

// seconds writes a length of time in words.
func seconds(s int64) string {
	switch {
	case s%86400 == 0:
		return fmt.Sprintf("%d d", s/86400)
	case s%3600 == 0:
		return fmt.Sprintf("%d h", s/3600)
	case s%60 == 0:
		return fmt.Sprintf("%d min", s/60)
	}
	return fmt.Sprintf("%d s", s)
}
