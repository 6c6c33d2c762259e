package weather

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"math/bits"
	"strconv"
	"strings"
	"time"
)

// Label says which instant of its row a time stands for.
type Label int

// Labels.
const (
	Left   Label = iota // the row begins then
	Right               // the row ends then ("hour ending")
	Centre              // the middle of the row
)

// Map says which column of a table is what. A column is named by its heading,
// with or without the unit in brackets behind it, in any case of letters; or by
// its number, counted from 1, as "#3". What the file lacks stays empty.
type Map struct {
	// The time: one column; or Date and Clock in two; or numbers in separate
	// columns: Year with Month and Day or with DayOfYear, and Hour (0..24) with
	// Minute and Second, or HHMM (0..2400), or SecondsOfDay. Where no column
	// gives the day, FirstDay does, as 2006-01-02.
	Time                         string
	Date, Clock                  string
	Year, Month, Day, DayOfYear  string
	Hour, Minute, Second         string
	HHMM, SecondsOfDay, FirstDay string

	// Layout of Time, or of Date and Clock with one blank between, in the
	// manner of 2006-01-02 15:04:05; or RFC3339; or unix (seconds). Empty: found
	// from the data where only one reading fits.
	Layout string

	// Zone is the file's clock; it may keep summer time. Nil only where every
	// time carries its own offset.
	Zone *time.Location

	Label Label
	StepS int // length of a row, 1..3600 s; 0: found from the data

	// Columns of W/m2 (means over the row), degrees C, m/s, and 0..1.
	GHI, DNI, DHI        string
	AirC, WindMS, Albedo string

	// WindHeightM is how high above open ground the wind was measured; 0 takes
	// the wind as it is at the panel.
	WindHeightM float64

	Separator rune // 0: found from the heading; ' ' stands for any run of blanks

	// Missing lists numbers that stand for no value, beside the usual ones
	// (-9999, -999, 9999 and their like, NaN, empty).
	Missing []float64
}

// measures of a row.
const (
	inGHI = iota
	inDNI
	inDHI
	inAir
	inWind
	inAlbedo
	measures
)

// bound is what a measure can be. Outside it a number is a filler or an error.
type bound struct {
	name, unit  string
	least, most float64
	loose       bool // a value outside counts as missing: a ratio of small numbers
}

// usualFillers are numbers that loggers and archives write for no value.
// Common practice, no source.
var usualFillers = []float64{
	-99, -999, -9999, -99999, -999999, -99.9, -999.9, -9999.9, -9900, -7999, -6999,
	99.9, 99, 999, 9999, 99999, 999999, 9999999, 99999999, 999999999,
}

// The light's upper bounds are those of Long & Dutton 2002 (BSRN recommended
// QC tests, physically possible) with the sun overhead at its nearest, 1408
// W/m2: 1.5 x 1408 + 100, 1408, 0.95 x 1408 + 50, a little widened. The lower
// leaves room for the night offset of unventilated sensors. Air: the coldest
// and hottest recorded are -89 and 57 degrees C.
var bounds = [measures]bound{
	inGHI:    {name: "global light", unit: "W/m2", least: -50, most: 2250},
	inDNI:    {name: "beam light", unit: "W/m2", least: -50, most: 1450},
	inDHI:    {name: "diffuse light", unit: "W/m2", least: -50, most: 1400},
	inAir:    {name: "air temperature", unit: "C", least: -90, most: 60},
	inWind:   {name: "wind", unit: "m/s", least: -1, most: 80},
	inAlbedo: {name: "albedo", unit: "", least: 0.01, most: 1, loose: true},
}

// column is one field that is wanted.
type column struct {
	at   int // field number from 0; -1: none
	name string
}

// table reads rows of a text table.
type table struct {
	separator  byte
	point      byte // decimal point
	label      Label
	stepS      int64 // of the file's rows
	stamp      stamp
	measure    [measures]column
	missing    []float64
	windFactor float64
	last       int // highest field wanted
	headings   []string
	width      int    // fields that a row may have; 0: any number
	widthOf    string // what says so
	firstLine  int    // number of the first line of data
	origin     *Origin
	complete   bool // the layout promises every row of its months
	stated     bool // the builder has said how long a row is
	mapped     bool // the builder has said which column is what

	fields [][]byte // of the line at hand, at least as far as they are wanted
	found  int      // how many it has; 0 where they were not counted
	line   []byte   // copy of a line whose quotes are taken away
}

// row is one line of data.
type row struct {
	start, end int64 // Unix time, s
	value      [measures]float32
}

// problem is an error whose file and line are not known yet.
type problem struct {
	column string
	text   string
	line   int // 0: the line at hand
}

func (p *problem) at(l *lineReader) error {
	if p == nil {
		return nil
	}
	e := &FileError{File: l.name, Line: l.number, Column: p.column, Text: p.text}
	if p.line != 0 {
		e.Line = max(p.line, 0)
	}
	return e
}

func problemf(column, format string, args ...any) *problem {
	return &problem{column: column, text: fmt.Sprintf(format, args...)}
}

// passOver tells lines that hold no row: what stands before the data, empty
// lines and remarks. A second sheet ends a table that has begun.
func (t *table) passOver(line []byte, number int, begun bool) (skip, stop bool) {
	if number < t.firstLine {
		return true, false
	}
	if len(line) == 0 || len(trim(line)) == 0 {
		return true, false
	}
	if line[0] == '#' {
		return true, begun && bytes.HasPrefix(line, []byte("# sheet:"))
	}
	return false, false
}

// cut reads one line.
func (t *table) cut(line []byte, r *row) *problem {
	t.split(line)
	if len(t.fields) <= t.last {
		return t.tooNarrow(line)
	}
	if t.found > t.width && t.overfull(line) {
		return t.tooWide()
	}
	at, p := t.stamp.read(t.fields)
	if p != nil {
		return p
	}
	switch t.label {
	case Left:
		r.start = at
	case Right:
		r.start = at - t.stepS
	case Centre:
		r.start = at - t.stepS/2
	}
	r.end = r.start + t.stepS
	for k := range t.measure {
		if r.value[k], p = t.number(k); p != nil {
			return p
		}
	}
	return nil
}

func (t *table) tooNarrow(line []byte) *problem {
	why := "is the line cut off?"
	if bytes.Count(line, []byte{'"'})%2 != 0 {
		why = "a quote is not closed"
	}
	return problemf("", "%s, but at least %d are needed: %s", plural(len(t.fields), "column", "columns"), t.last+1, why)
}

// overfull reports whether a line has more fields than it may. Empty ones at
// its end do not count.
func (t *table) overfull(line []byte) bool {
	if t.width == 0 {
		return false
	}
	last := t.last
	t.last = t.found
	t.split(line)
	t.last = last
	for t.found > t.width && len(trim(t.fields[t.found-1])) == 0 {
		t.found--
	}
	return t.found > t.width
}

func (t *table) tooWide() *problem {
	advice := "does the separator stand within a value? Then the value needs quotes"
	if t.separator == ',' {
		advice = "are numbers written with a decimal comma? Then semicolons must stand between the columns, or points in the numbers"
	}
	return problemf("", "%d columns, but %s: %s", t.found, t.widthOf, advice)
}

// nan32 stands for a missing value.
var nan32 = float32(math.NaN())

func (t *table) number(k int) (float32, *problem) {
	c := &t.measure[k]
	if c.at < 0 {
		return nan32, nil
	}
	b := trim(t.fields[c.at])
	v, ok := parseNumber(b, t.point)
	if !ok {
		if saysMissing(b) {
			return nan32, nil
		}
		return 0, problemf(c.name, "%q is not a number", clip(b))
	}
	for _, m := range t.missing {
		if v == m {
			return nan32, nil
		}
	}
	if limit := &bounds[k]; !(v >= limit.least && v <= limit.most) {
		return t.outside(k, v)
	}
	if v < 0 && k != inAir {
		v = 0
	}
	return float32(v), nil
}

// outside decides what a number beyond its bounds is.
func (t *table) outside(k int, v float64) (float32, *problem) {
	for _, f := range usualFillers {
		if v == f {
			return nan32, nil
		}
	}
	limit := &bounds[k]
	if limit.loose && v > -1 && v < 10 {
		return nan32, nil
	}
	return 0, problemf(t.measure[k].name, "%s of %g %s is impossible (%g to %g); if it stands for no value, name it in weather.columns.missing of the rig file",
		limit.name, v, limit.unit, limit.least, limit.most)
}

// clip shortens what is quoted in a message.
func clip(b []byte) string {
	if len(b) > 40 {
		return strings.ToValidUTF8(string(b[:40]), "") + "…"
	}
	return strings.ToValidUTF8(string(b), "?")
}

// split cuts a line at the separator, as far as fields are wanted, and counts
// the others.
func (t *table) split(line []byte) {
	t.fields, t.found = t.fields[:0], 0
	if t.separator == ' ' {
		t.splitBlanks(line)
		return
	}
	if bytes.IndexByte(line, '"') >= 0 {
		t.splitQuoted(line)
		return
	}
	t.splitPlain(line)
}

// splitPlain looks for the separator in eight bytes at once.
func (t *table) splitPlain(line []byte) {
	const ones, sevens = 0x0101010101010101, 0x7f7f7f7f7f7f7f7f
	separators, from, i := ones*uint64(t.separator), 0, 0
	for ; i+8 <= len(line); i += 8 {
		w := binary.LittleEndian.Uint64(line[i:]) ^ separators
		// The top bit of each byte that is zero, which are the separators.
		for found := ^((w&sevens + sevens) | w | sevens); found != 0; found &= found - 1 {
			to := i + bits.TrailingZeros64(found)/8
			t.fields = append(t.fields, line[from:to])
			from = to + 1
		}
		if len(t.fields) > t.last {
			t.found = len(t.fields) + bytes.Count(line[i+8:], []byte{t.separator}) + 1
			return
		}
	}
	for ; i < len(line); i++ {
		if line[i] == t.separator {
			t.fields = append(t.fields, line[from:i])
			from = i + 1
		}
	}
	t.fields = append(t.fields, line[from:])
	t.found = len(t.fields)
}

func (t *table) splitBlanks(line []byte) {
	for line = trim(line); len(line) > 0 && len(t.fields) <= t.last; line = trim(line) {
		i := bytes.IndexAny(line, " \t")
		if i < 0 {
			i = len(line)
		}
		t.fields = append(t.fields, line[:i])
		line = line[i:]
	}
}

// splitQuoted minds quotes (RFC 4180): a separator within them does not count,
// two of them in a row stand for one.
func (t *table) splitQuoted(line []byte) {
	t.line = append(t.line[:0], line...)
	b := t.line
	from, to, quoted := 0, 0, false
	for i := 0; i < len(b); i++ {
		switch {
		case b[i] == '"' && quoted && i+1 < len(b) && b[i+1] == '"':
			b[to] = '"'
			to, i = to+1, i+1
		case b[i] == '"':
			quoted = !quoted
		case b[i] == t.separator && !quoted:
			t.fields = append(t.fields, b[from:to])
			from, to = i+1, i+1
		default:
			b[to] = b[i]
			to++
		}
	}
	t.fields = append(t.fields, b[from:to])
	t.found = len(t.fields)
}

// find returns the column that a map names.
func find(headings []string, name string) (column, *problem) {
	if name == "" {
		return column{at: -1}, nil
	}
	if n, err := strconv.Atoi(strings.TrimPrefix(name, "#")); err == nil && name[0] == '#' {
		if n < 1 || n > maxColumns {
			return column{}, problemf(name, "column numbers run from #1 to #%d", maxColumns)
		}
		return column{at: n - 1, name: name}, nil
	}
	at := -1
	for i, h := range headings {
		if !sameHeading(h, name) {
			continue
		}
		if at >= 0 {
			return column{}, problemf(name, "two columns have this heading: give the number of the right one, such as #%d or #%d", at+1, i+1)
		}
		at = i
	}
	if at < 0 {
		return column{}, problemf(name, "there is no such column; the file has: %s", listHeadings(headings))
	}
	return column{at: at, name: headings[at]}, nil
}

const maxColumns = 1000

// sameHeading compares a heading with a name, whole or without its unit.
func sameHeading(heading, name string) bool {
	heading, name = strings.TrimSpace(heading), strings.TrimSpace(name)
	if strings.EqualFold(heading, name) {
		return true
	}
	if i := strings.IndexAny(heading, "(["); i > 0 {
		return strings.EqualFold(strings.TrimSpace(heading[:i]), name)
	}
	return false
}

func listHeadings(headings []string) string {
	const most = 400
	s := strings.Join(headings, ", ")
	if len(s) > most {
		s = strings.ToValidUTF8(s[:most], "") + "…"
	}
	return s
}
