package reading

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Writer writes a plain log. A Writer serves one goroutine.
type Writer struct {
	to    *bufio.Writer
	slots []slot
	row   []byte
	day   int64 // days since 1970 of the date in text
	text  []byte
}

// NewWriter writes the heading of a plain log with such columns, names of
// PlainColumns in any order. At least a time and a measure are needed.
func NewWriter(to io.Writer, columns []string) (*Writer, error) {
	w := &Writer{to: bufio.NewWriterSize(to, bufferSize), day: math.MinInt64}
	for _, name := range columns {
		s := slotOf(name)
		if s == nothing {
			return nil, fmt.Errorf("%q is no column of the plain log: %s", name, strings.Join(PlainColumns(), ", "))
		}
		if slices.Contains(w.slots, s) {
			return nil, fmt.Errorf("the column %q is wanted twice", name)
		}
		w.slots = append(w.slots, s)
	}
	if why := demand(columns); why != "" {
		return nil, errors.New(why)
	}
	_, err := w.to.WriteString(strings.Join(columns, ",") + "\n")
	return w, err
}

// Remark writes a line that readers pass over.
func (w *Writer) Remark(text string) error {
	_, err := w.to.WriteString("# " + strings.Join(strings.Fields(text), " ") + "\n")
	return err
}

// Write writes a row. Times are written to the millisecond, figures in full;
// line breaks and other control characters in texts become blanks. A reading
// whose time or measures lie in none of the columns is refused.
func (w *Writer) Write(r *Reading) error {
	w.row = w.row[:0]
	timed, says := false, false
	for i, s := range w.slots {
		if i > 0 {
			w.row = append(w.row, ',')
		}
		before := len(w.row)
		if err := w.append(s, r); err != nil {
			return err
		}
		if len(w.row) > before {
			timed = timed || s == atTime || s == atUptime
			says = says || s.measure() || s == atEvent
		}
	}
	if !timed || !says {
		return errors.New("a reading without a time, or without a measure or an event, is no row of a plain log")
	}
	w.row = append(w.row, '\n')
	_, err := w.to.Write(w.row)
	return err
}

// Flush writes what is still held back.
func (w *Writer) Flush() error { return w.to.Flush() }

func (w *Writer) append(s slot, r *Reading) error {
	switch s {
	case atTime:
		return w.appendTime(r.UnixS)
	case atBoot:
		w.appendCount(r.Boot)
	case atPair:
		w.appendCount(r.Pair)
	case atSetup:
		w.appendText(r.Setup)
	case atEvent:
		w.appendText(r.Event)
	case atLook:
		w.row = append(w.row, r.Look.String()...)
	default:
		v := *r.field(s)
		if at := &bounds[s]; v < at.least || v > at.most {
			return fmt.Errorf("%s %g: %g to %g %s are possible", slotNames[s], v, at.least, at.most, at.unit)
		}
		w.row = appendNumber(w.row, v)
	}
	return nil
}

func (w *Writer) appendCount(n int) {
	if n > 0 {
		w.row = strconv.AppendInt(w.row, int64(n), 10)
	}
}

// appendNumber writes the shortest decimal that is read as the same number.
func appendNumber(b []byte, v float64) []byte {
	if math.IsNaN(v) {
		return b
	}
	// What sensors give has few digits: as millionths it is a whole number.
	millionths := math.Round(v * 1e6)
	if math.Abs(millionths) < 1e14 && millionths/1e6 == v {
		return appendMillionths(b, int64(millionths))
	}
	return strconv.AppendFloat(b, v, 'g', -1, 64)
}

func appendMillionths(b []byte, n int64) []byte {
	if n < 0 {
		b, n = append(b, '-'), -n
	}
	b = strconv.AppendInt(b, n/1e6, 10)
	part := n % 1e6
	if part == 0 {
		return b
	}
	b = append(b, '.')
	for unit := int64(1e5); part > 0; unit /= 10 {
		b = append(b, byte('0'+part/unit))
		part %= unit
	}
	return b
}

func (w *Writer) appendTime(unixS float64) error {
	if math.IsNaN(unixS) {
		return nil
	}
	if !plausible(unixS) {
		return fmt.Errorf("time %g s since 1970: 2001 to 2099 are possible", unixS)
	}
	ms := int64(math.Round(unixS * 1000))
	day, inDay := ms/86400e3, ms%86400e3
	if day != w.day {
		w.day, w.text = day, appendDate(w.text[:0], day)
	}
	w.row = append(w.row, w.text...)
	w.row = appendTwo(append(w.row, 'T'), inDay/3600e3)
	w.row = appendTwo(append(w.row, ':'), inDay/60e3%60)
	w.row = appendTwo(append(w.row, ':'), inDay/1e3%60)
	if part := inDay % 1000; part > 0 {
		w.row = append(w.row, '.', byte('0'+part/100), byte('0'+part/10%10), byte('0'+part%10))
	}
	w.row = append(w.row, 'Z')
	return nil
}

func appendTwo(b []byte, n int64) []byte { return append(b, byte('0'+n/10), byte('0'+n%10)) }

// appendDate writes the date of a day since 1970.
func appendDate(b []byte, day int64) []byte {
	year := 1970 + int(day/366)
	for daysSince1970(year+1, 1, 1) <= day {
		year++
	}
	left, month := int(day-daysSince1970(year, 1, 1)), 1
	for ; left >= monthDays(year, month); month++ {
		left -= monthDays(year, month)
	}
	b = append(strconv.AppendInt(b, int64(year), 10), '-')
	b = append(appendTwo(b, int64(month)), '-')
	return appendTwo(b, int64(left+1))
}

// appendText writes a text, in quotation marks where it needs them.
func (w *Writer) appendText(text string) {
	if !strings.ContainsFunc(text, func(c rune) bool { return c < ' ' || c == ',' || c == '"' || c == '#' }) {
		w.row = append(w.row, strings.TrimSpace(text)...)
		return
	}
	clean := strings.TrimSpace(strings.Map(func(c rune) rune {
		if c < ' ' {
			return ' '
		}
		return c
	}, text))
	w.row = append(w.row, '"')
	w.row = append(w.row, strings.ReplaceAll(clean, `"`, `""`)...)
	w.row = append(w.row, '"')
}
