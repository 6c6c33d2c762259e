package reading

import (
	"bytes"
	"io"
	"math"
	"time"
)

// Reader reads a log row by row. It allocates nothing for a row that it keeps.
// A Reader serves one goroutine.
type Reader struct {
	lines     lines
	separator byte // ' ' for any run of blanks and tabs
	point     byte // of decimal numbers, '.' or ','

	plain   bool   // a line that names columns is a new heading
	heading []byte // the line that names the columns; nil where there is none
	columns []column
	width   int // fields of a row
	others  []string
	fields  [][]byte

	order   order
	clock   *wallClock // nil: times carry their own offset
	wrapS   float64    // uptime begins anew after so many seconds; 0 for never
	lastUpS float64    // the uptime last read, as written
	turnsS  float64    // what its turns over the top add

	words    map[string]string // set-ups and events met so far
	lastWord string
	date     date // last read
}

// column is one that is read.
type column struct {
	slot   slot
	at     int // its field, from 0
	name   string
	factor float64 // to the plain log's unit, times one over
	per    float64 // a whole number, by which division is exact where the figure is
}

// mostWords of a log are kept, so that each is stored once.
const mostWords = 4096

func newReader(from io.Reader, separator, point byte) (*Reader, error) {
	r := &Reader{separator: separator, point: point, words: map[string]string{}, lastUpS: math.NaN()}
	return r, r.lines.open(from)
}

// Columns returns the plain log's names of the columns that are read, in the
// order of the file; date and time of day in two columns are one, time.
func (r *Reader) Columns() (names []string) {
	for _, c := range r.columns {
		switch c.slot {
		case atDate: // told with the clock
		case atClock:
			names = append(names, slotNames[atTime])
		default:
			names = append(names, slotNames[c.slot])
		}
	}
	return names
}

// Others returns the headings of the columns that are left aside.
func (r *Reader) Others() []string { return r.others }

// Line returns the number of the line last read, from 1.
func (r *Reader) Line() int { return r.lines.number }

// Bytes returns how much of the log's text has been read.
func (r *Reader) Bytes() int64 { return r.lines.bytes }

// line returns the next line that is neither empty nor a remark.
func (r *Reader) line() ([]byte, error) {
	for {
		line, err := r.lines.next()
		if err != nil {
			return nil, err
		}
		if len(line) > 0 && line[0] > ' ' && line[0] != '#' {
			return line, nil
		}
		if t := trim(line); len(t) > 0 && t[0] != '#' || bytes.IndexByte(line, 0) >= 0 {
			return line, nil
		}
	}
}

// Next reads the next row. At the end it returns io.EOF. A *RowError says that
// a row was refused and why; the next call goes on behind it. A *LogError, or
// any other error, is the end.
func (r *Reader) Next(into *Reading) error {
	for {
		line, err := r.line()
		if err != nil {
			return err
		}
		again, err := r.row(line, into)
		if err != nil || !again {
			return err
		}
	}
}

// row reads a line; it is to be gone over where the line is a heading again.
func (r *Reader) row(line []byte, into *Reading) (heading bool, err error) {
	switch {
	case r.lines.long:
		return false, r.refuse(nil, "the line is longer than %d bytes", mostLine)
	case bytes.IndexByte(line, 0) >= 0:
		return false, r.refuse(nil, "zero bytes in the line: power failed while it was written")
	}
	if r.heading != nil && bytes.Equal(line, r.heading) {
		return true, nil
	}
	fields, ok := r.split(line)
	if !ok {
		return false, r.refuse(nil, "a quotation mark without its other half")
	}
	if r.plain && r.again(fields) {
		return true, r.head(line)
	}
	if e := r.fit(fields); e != nil {
		return false, e
	}
	if e := r.read(fields, into); e != nil {
		return false, e
	}
	return false, nil
}

// fit refuses rows that were cut short, and rows with too much.
func (r *Reader) fit(fields [][]byte) *RowError {
	if len(fields) < r.width {
		return r.refuse(nil, "%d fields where the others have %d: the line was cut off", len(fields), r.width)
	}
	for _, extra := range fields[r.width:] {
		if len(trim(extra)) > 0 {
			return r.refuse(nil, "%d fields where the others have %d: is there a comma too many?", len(fields), r.width)
		}
	}
	return nil
}

func (r *Reader) read(fields [][]byte, into *Reading) *RowError {
	*into = Empty()
	var day, clock *column
	for i := range r.columns {
		c := &r.columns[i]
		b := trim(fields[c.at])
		if len(b) == 0 || c.slot != atEvent && c.slot != atSetup && (b[0] > '9' || b[0] == '-') && saysMissing(b) {
			continue
		}
		var e *RowError
		switch c.slot {
		case atTime:
			e = r.time(c, b, into)
		case atDate:
			day = c
		case atClock:
			clock = c
		case atBoot:
			e = r.count(c, b, &into.Boot)
		case atPair:
			e = r.count(c, b, &into.Pair)
		case atSetup:
			into.Setup = r.word(b)
		case atEvent:
			into.Event = r.word(b)
		case atLook:
			e = r.look(c, b, into)
		default:
			e = r.number(c, b, into.field(c.slot))
		}
		if e != nil {
			return e
		}
	}
	if day != nil && clock != nil {
		if e := r.dayAndClock(day, clock, fields, into); e != nil {
			return e
		}
	}
	return r.judge(into)
}

// judge refuses a row that has no time, or nothing to say.
func (r *Reader) judge(into *Reading) *RowError {
	if math.IsNaN(into.UnixS) && math.IsNaN(into.UptimeS) {
		return r.refuse(nil, "no time")
	}
	if !into.Measured() && into.Event == "" {
		return r.refuse(nil, "no measure")
	}
	if r.wrapS > 0 && !math.IsNaN(into.UptimeS) {
		into.UptimeS = r.unwrap(into.UptimeS)
	}
	return nil
}

// unwrap goes on counting where a counter of milliseconds begins anew: it was
// within a fiftieth of its top and is now within a fiftieth of its bottom.
func (r *Reader) unwrap(upS float64) float64 {
	switch {
	case r.lastUpS > 0.98*r.wrapS && upS < 0.02*r.wrapS:
		r.turnsS += r.wrapS
	case upS < r.lastUpS: // a new power-up
		r.turnsS = 0
	}
	r.lastUpS = upS
	return upS + r.turnsS
}

func (r *Reader) number(c *column, b []byte, into *float64) *RowError {
	v, ok := parseNumber(b, r.point)
	if !ok {
		return r.refuse(c, "%q is not a number", clip(b))
	}
	if v = v * c.factor / c.per; c.per > 1 { // 19.6 mA are 0.0196 A, without the dust of binary figures
		v = math.Round(v*1e9) / 1e9
	}
	if at := &bounds[c.slot]; !(v >= at.least && v <= at.most) {
		e := r.refuse(c, "%s: no rig gives that; %g to %g %s are possible", clip(b), at.least, at.most, at.unit)
		e.Value = v
		return e
	}
	*into = v
	return nil
}

func (r *Reader) count(c *column, b []byte, into *int) *RowError {
	n, ok := parseCount(b)
	if !ok {
		return r.refuse(c, "%q is not a whole number of at most nine digits", clip(b))
	}
	*into = n
	return nil
}

func (r *Reader) look(c *column, b []byte, into *Reading) *RowError {
	for l := StillLook; l <= HighLook; l++ {
		if string(b) == l.String() {
			into.Look = l
			return nil
		}
	}
	return r.refuse(c, "%q is no look: still, aimed, low, high or nothing", clip(b))
}

// word returns a text, the same one for like bytes.
func (r *Reader) word(b []byte) string {
	if string(b) == r.lastWord {
		return r.lastWord
	}
	r.lastWord = r.stored(b)
	return r.lastWord
}

func (r *Reader) stored(b []byte) string {
	if known, ok := r.words[string(b)]; ok {
		return known
	}
	text := string(bytes.ToValidUTF8(b, []byte("?")))
	if len(r.words) < mostWords {
		r.words[text] = text
	}
	return text
}

func (r *Reader) time(c *column, b []byte, into *Reading) *RowError {
	if r.order == byCount {
		v, ok := parseNumber(b, r.point)
		if !ok {
			return r.refuse(c, "%q is not a count of seconds since 1970", clip(b))
		}
		return r.setTime(c, b, v*c.factor/c.per, true, into)
	}
	s, zoned, ok := r.date.stamp(b, r.order)
	if !ok {
		return r.refuse(c, "%q is not a time such as %s", clip(b), r.order.sample())
	}
	return r.setTime(c, b, s, zoned, into)
}

func (r *Reader) dayAndClock(day, clock *column, fields [][]byte, into *Reading) *RowError {
	b := trim(fields[day.at])
	days, rest, ok := readDate(b, r.order)
	if !ok || len(trim(rest)) > 0 {
		return r.refuse(day, "%q is not a date such as %s", clip(b), r.order.sample()[:10])
	}
	b = trim(fields[clock.at])
	s, zoned, ok := readClock(b)
	if !ok {
		return r.refuse(clock, "%q is not a time of day such as 12:00:00", clip(b))
	}
	return r.setTime(clock, b, float64(days*86400)+s, zoned, into)
}

// setTime takes seconds since 1970 by Greenwich's clock, or by the log's.
func (r *Reader) setTime(c *column, b []byte, s float64, zoned bool, into *Reading) *RowError {
	if !zoned {
		if r.clock == nil {
			return r.refuse(c, "%q does not say by which clock: end it with Z or an offset such as +01:00", clip(b))
		}
		whole := math.Floor(s)
		unix, known := r.clock.unix(int64(whole))
		if !known {
			return r.refuse(c, "%q: the clock of %v is put forward over that time", clip(b), r.clock.zone)
		}
		s = float64(unix) + (s - whole)
	}
	switch {
	case s < earliest:
		return r.refuse(c, "%s: the controller's clock was not set", time.Unix(int64(max(s, -6e10)), 0).UTC().Format("2006-01-02"))
	case !plausible(s):
		return r.refuse(c, "%q is not a time before 2100", clip(b))
	}
	into.UnixS = s
	return nil
}
