package reading

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
)

// slot is what a column of a log holds.
type slot uint8

const (
	nothing slot = iota // a column that no one asks for
	atTime
	atBoot
	atUptime
	atSetup
	panelA
	panelV
	cellA
	stillA
	batteryV
	batteryA
	heading
	tilt
	atLook
	atPair
	atEvent
	// What only other logs have.
	atDate
	atClock
)

// slotNames are the columns of the plain log, in the order in which they are
// written, and behind them those of other logs.
var slotNames = [...]string{
	atTime: "time", atBoot: "boot", atUptime: "uptime_s", atSetup: "setup",
	panelA: "panel_a", panelV: "panel_v", cellA: "cell_a", stillA: "still_a", batteryV: "battery_v", batteryA: "battery_a",
	heading: "heading_deg", tilt: "tilt_deg", atLook: "look", atPair: "pair", atEvent: "event",
	atDate: "date", atClock: "clock",
}

func (s slot) measure() bool { return s >= panelA && s <= batteryA }

// slotOf returns the slot of a name of the plain log; nothing where there is none.
func slotOf(name string) slot {
	for s := atTime; s <= atEvent; s++ {
		if slotNames[s] == name {
			return s
		}
	}
	return nothing
}

// PlainColumns returns the names of all columns of the plain log, in the order
// in which a full log has them.
func PlainColumns() []string { return slices.Clone(slotNames[atTime : atEvent+1]) }

// bound is what a column's values may be. What lies outside is no measurement
// of any rig that a person builds (common practice, no source): a lost digit, a
// sensor that is not connected, a wrong unit.
type bound struct {
	least, most float64
	unit        string
}

var bounds = [...]bound{
	atUptime: {0, 100 * 366 * 86400, "s"},
	panelA:   {-100, 1000, "A"},
	panelV:   {-50, 2000, "V"},
	cellA:    {-100, 1000, "A"},
	stillA:   {-100, 1000, "A"},
	batteryV: {-50, 2000, "V"},
	batteryA: {-1000, 1000, "A"},
	heading:  {-1080, 1080, "degrees"},
	tilt:     {-90, 180, "degrees"},
}

// field points at the number of a reading that a slot is.
func (r *Reading) field(s slot) *float64 {
	switch s {
	case atUptime:
		return &r.UptimeS
	case panelA:
		return &r.PanelA
	case panelV:
		return &r.PanelV
	case cellA:
		return &r.CellA
	case stillA:
		return &r.StillA
	case batteryV:
		return &r.BatteryV
	case batteryA:
		return &r.BatteryA
	case heading:
		return &r.HeadingDeg
	}
	return &r.TiltDeg
}

// RowError says why a row was refused. Reading can go on after it.
type RowError struct {
	Line   int    // of the file, from 1
	Column string // heading of the column at fault; "" for the whole row
	Why    string // what is wrong and what would be right

	// Value is the number that cannot be; NaN where no number is at fault.
	Value float64
}

func (e *RowError) Error() string {
	if e.Column == "" {
		return fmt.Sprintf("line %d: %s", e.Line, e.Why)
	}
	return fmt.Sprintf("line %d, column %s: %s", e.Line, e.Column, e.Why)
}

// LogError says why a log cannot be read at all.
type LogError struct {
	Line int // 0 where no line is at fault
	Why  string
}

func (e *LogError) Error() string {
	if e.Line == 0 {
		return e.Why
	}
	return fmt.Sprintf("line %d: %s", e.Line, e.Why)
}

// NewReader reads a plain log: comma-separated text whose first line, remarks
// (#) and empty lines apart, names the columns, in any order. One of them is
// time (RFC 3339 with its offset from Greenwich) or uptime_s, and at least one
// a measure. Columns of other names are left aside; see Others.
//
// An error of the log's own is a *LogError; any other is the reader's.
func NewReader(from io.Reader) (*Reader, error) {
	r, err := newReader(from, ',', '.')
	if err != nil {
		return nil, err
	}
	r.plain = true
	line, err := r.line()
	if err == io.EOF {
		return nil, &LogError{Why: "the log is empty: its first line must name the columns, such as time,panel_a,heading_deg"}
	}
	if err != nil {
		return nil, err
	}
	return r, r.head(line)
}

// head takes a line as the heading of what follows.
func (r *Reader) head(line []byte) error {
	fields, ok := r.split(line)
	if !ok {
		return &LogError{r.lines.number, "the heading has a quotation mark without its other half"}
	}
	r.columns, r.width, r.others = r.columns[:0], len(fields), nil
	for i, f := range fields {
		name := strings.ToLower(string(trim(f)))
		s := slotOf(name)
		if s == nothing {
			if name != "" {
				r.others = append(r.others, string(trim(f)))
			}
			continue
		}
		if slices.ContainsFunc(r.columns, func(c column) bool { return c.slot == s }) {
			return &LogError{r.lines.number, fmt.Sprintf("the heading names %q twice", name)}
		}
		r.columns = append(r.columns, column{slot: s, at: i, name: name, factor: 1, per: 1})
	}
	r.heading = append(r.heading[:0], line...)
	if why := demand(r.Columns()); why != "" {
		return &LogError{r.lines.number, why}
	}
	return nil
}

// demand says what a log with such columns lacks; "" for nothing.
func demand(names []string) string {
	measures := slotNames[panelA : batteryA+1]
	switch {
	case !slices.Contains(names, "time") && !slices.Contains(names, "uptime_s"):
		return `the heading names no time: a plain log has a column "time", such as 2026-06-01T12:00:00Z, or "uptime_s", seconds since power-up`
	case !slices.ContainsFunc(names, func(name string) bool { return slices.Contains(measures, name) }):
		return "the heading names no measure: a plain log has at least one of " + strings.Join(measures, ", ")
	}
	return ""
}

// again reports whether a line of a plain log is a heading, as a controller
// writes one at each power-up.
func (r *Reader) again(fields [][]byte) bool {
	for _, c := range r.columns {
		if c.slot != atTime && c.slot != atUptime || c.at >= len(fields) {
			continue
		}
		if b := trim(fields[c.at]); len(b) > 0 && b[0] > '9' { // else no name
			return slotOf(strings.ToLower(string(b))) != nothing
		}
		return false
	}
	return false
}

// plausible reports whether a time is one that a rig can have logged.
func plausible(unixS float64) bool { return unixS >= earliest && unixS < latest }

const (
	earliest = 978307200  // 2001-01-01: clocks that were never set begin in 1970, 1980 or 2000
	latest   = 4102444800 // 2100-01-01
)

func (r *Reader) refuse(c *column, format string, args ...any) *RowError {
	e := &RowError{Line: r.lines.number, Why: fmt.Sprintf(format, args...), Value: math.NaN()}
	if c != nil {
		e.Column = c.name
	}
	return e
}
