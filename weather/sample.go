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
	if t.separator != ',' && t.separator != ' ' && decimalComma(rows) {
		t.point = ','
	}
	rows = t.skipForeword(rows, head, m)
	if len(rows) == 0 {
		if l.number = l.long; l.long > 0 {
			return l.tooLong()
		}
		return &FileError{File: l.name, Line: max(t.firstLine-1, 0), Text: "no rows of data stand below the headings"}
	}
	if p := t.stamp.settle(m.Layout, t.sampleWords(rows)); p != nil {
		p.line = t.firstLine
		return p.at(l)
	}
	if t.stepS == 0 {
		if p := t.findStep(rows); p != nil {
			p.line = t.firstLine
			return p.at(l)
		}
	}
	return nil
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
func decimalComma(rows [][]byte) bool {
	return len(rows) > 0 && bytes.IndexByte(rows[0], ',') >= 0
}

// skipForeword passes over lines before the data in a table without headings,
// and over remarks and empty lines among the first.
func (t *table) skipForeword(rows, head [][]byte, m *Map) (data [][]byte) {
	started := len(m.named()) > 0
	for i, r := range rows {
		if skip, stop := t.passOver(r, t.firstLine); stop {
			break
		} else if skip {
			continue
		}
		t.split(r)
		if fits := len(t.fields) > t.last; !started && !(fits && t.startsWithDigit()) {
			continue
		} else if !started {
			started = true
			t.firstLine += i
		}
		data = append(data, r)
	}
	return data
}

// startsWithDigit tells a row from a line of words: its time begins with a
// digit.
func (t *table) startsWithDigit() bool {
	for _, c := range []column{t.stamp.text[0], t.stamp.year, t.stamp.hour, t.stamp.hhmm, t.stamp.secondsOfDay} {
		if c.at >= 0 {
			b := trim(t.fields[c.at])
			return len(b) > 0 && b[0]-'0' < 10
		}
	}
	return false
}

// sampleWords returns the times of the sampled rows as text.
func (t *table) sampleWords(rows [][]byte) (words [][]byte) {
	if t.stamp.text[0].at < 0 {
		return nil
	}
	const most = 5000
	for _, r := range rows[:min(len(rows), most)] {
		if t.split(r); len(t.fields) > t.last {
			words = append(words, bytes.Clone(t.stamp.words(t.fields)))
		}
	}
	if words == nil {
		words = [][]byte{nil}
	}
	return words
}

// findStep takes the commonest distance between rows as their length.
func (t *table) findStep(rows [][]byte) *problem {
	seen := map[int64]int{}
	var before int64
	var first *problem
	counted := 0
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
		}
		before = at
		counted++
	}
	if t.stamp.clock != nil {
		t.stamp.clock = newWallClock(t.stamp.clock.zone)
	}
	if len(seen) == 0 && first != nil {
		return first
	}
	return t.chooseStep(seen)
}

func (t *table) chooseStep(seen map[int64]int) *problem {
	best := int64(0)
	for d, n := range seen {
		if n > seen[best] || n == seen[best] && d < best {
			best = d
		}
	}
	switch {
	case best == 0:
		return problemf("", "the first rows do not tell how long a row is: give StepS in the column map")
	case best > maxStepS:
		return problemf("", "the rows are %s apart: an hour is the most that can be used", seconds(best))
	}
	t.stepS = best
	return nil
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
