package reading

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Map says how a log that is no plain log is read as one.
type Map struct {
	Separator    byte // ',', ';', '\t', or ' ' for any run of blanks
	DecimalComma bool
	Head         int // lines before the first row
	Width        int // fields of a row; rows of more or fewer are refused
	Columns      []Column
	Others       []string // headings of the columns left aside

	// Order of the parts of a date: "year-first", "day-first", "month-first",
	// or "count" for seconds since 1970. "" is year-first.
	Order string

	Zone *time.Location // the clock of times that carry no offset; nil refuses such times
}

// Column is a column of a log, and what it is in the plain log.
type Column struct {
	At      int     // its place, from 0
	Heading string  // in the log; "#3" for the third of a log without headings
	Name    string  // in the plain log; or "date" and "clock", which together are time
	Unit    string  // of the log's figures: "mA"; "" for texts and times
	Factor  float64 // from that to the plain log's unit; 1 for texts and times
}

// dateOrders are the names of orders.
var dateOrders = [...]string{yearFirst: "year-first", dayFirst: "day-first", monthFirst: "month-first", byCount: "count"}

func orderNamed(name string) (order, bool) {
	i := slices.Index(dateOrders[:], name)
	return order(max(i, 0)), i >= 0 || name == ""
}

// counterTopS is where a counter of milliseconds in 32 bits begins anew.
const counterTopS = (1 << 32) / 1000.0

// Reader reads a log by the map. Errors are as those of NewReader.
func (m *Map) Reader(from io.Reader) (*Reader, error) {
	point := byte('.')
	if m.DecimalComma {
		point = ','
	}
	r, err := newReader(from, m.Separator, point)
	if err != nil {
		return nil, err
	}
	if err := m.bind(r); err != nil {
		return nil, err
	}
	for range m.Head {
		line, err := r.lines.next()
		if err == io.EOF {
			return nil, &LogError{Why: "the log has headings but no rows"}
		}
		if err != nil {
			return nil, err
		}
		r.heading = append(r.heading[:0], line...)
	}
	return r, nil
}

// bind tells a reader what its columns are.
func (m *Map) bind(r *Reader) error {
	known := false
	if r.order, known = orderNamed(m.Order); !known {
		return &LogError{Why: fmt.Sprintf("no order of dates is called %q: %s", m.Order, strings.Join(dateOrders[:], ", "))}
	}
	if m.Zone != nil {
		r.clock = &wallClock{zone: m.Zone, last: math.MinInt64}
	}
	r.others = m.Others
	for _, c := range m.Columns {
		s := slotNamed(c.Name)
		if s == nothing || c.At < 0 {
			return &LogError{Why: fmt.Sprintf("%q is no column of the plain log: %s", c.Name, strings.Join(PlainColumns(), ", "))}
		}
		if slices.ContainsFunc(r.columns, func(other column) bool { return other.slot == s }) {
			return &LogError{Why: fmt.Sprintf("two columns are given as %s", c.Name)}
		}
		if s == atUptime && c.Unit == "ms" {
			r.wrapS = counterTopS
		}
		factor, per := parts(c.Factor)
		r.columns = append(r.columns, column{slot: s, at: c.At, name: c.Heading, factor: factor, per: per})
		r.width = max(r.width, c.At+1)
	}
	r.width = max(r.width, m.Width)
	if why := demand(m.names()); why != "" {
		return &LogError{Why: why}
	}
	return nil
}

// parts splits a factor that is one over a whole number.
func parts(of float64) (factor, per float64) {
	if whole := math.Round(1 / of); whole > 1 && whole < 1e15 && 1/whole == of {
		return 1, whole
	}
	return of, 1
}

// names are the plain log's names of the columns.
func (m *Map) names() (names []string) {
	for _, c := range m.Columns {
		names = append(names, c.Name)
	}
	if slices.Contains(names, "date") && slices.Contains(names, "clock") {
		names = append(names, "time")
	}
	return names
}

// Wish is what a person says of one column: which of the log's is which of the
// plain log's, and in which unit.
type Wish struct {
	Name    string // in the plain log, or date, clock
	Heading string // in the log, or its place from 1 as "#3"
	Unit    string // "" for the one in the heading, or the plain log's own
}

// ParseWish reads NAME=HEADING or NAME=HEADING:UNIT, such as panel_a=I_pv:mA.
// Times have the order of their dates, or s, ms since 1970, in place of a unit.
func ParseWish(text string) (Wish, error) {
	name, of, ok := strings.Cut(text, "=")
	w := Wish{Name: strings.TrimSpace(name), Heading: strings.TrimSpace(of)}
	if !ok || w.Heading == "" {
		return w, fmt.Errorf("%q: write NAME=HEADING or NAME=HEADING:UNIT, such as panel_a=I_pv:mA", text)
	}
	if slotNamed(w.Name) == nothing {
		return w, fmt.Errorf("%q: %q is no column of the plain log: %s, date, clock", text, w.Name, strings.Join(PlainColumns(), ", "))
	}
	if i := strings.LastIndexByte(w.Heading, ':'); i > 0 {
		w.Heading, w.Unit = strings.TrimSpace(w.Heading[:i]), strings.TrimSpace(w.Heading[i+1:])
		if units := unitsOf(w.Name); !slices.Contains(units, w.Unit) {
			return w, fmt.Errorf("%q: %q is no unit of %s: %s", text, w.Unit, w.Name, orNone(units))
		}
	}
	return w, nil
}

// slotNamed knows date and clock too, which only other logs have.
func slotNamed(name string) slot {
	switch name {
	case "date":
		return atDate
	case "clock":
		return atClock
	}
	return slotOf(name)
}

func orNone(units []string) string {
	if len(units) == 0 {
		return "it has none"
	}
	return strings.Join(units, ", ")
}

// unit is how a log's figures become those of the plain log.
type unit struct {
	name   string
	factor float64
}

var (
	currents = []unit{{"A", 1}, {"mA", 1e-3}, {"µA", 1e-6}, {"uA", 1e-6}}
	voltages = []unit{{"V", 1}, {"mV", 1e-3}}
	spans    = []unit{{"s", 1}, {"ms", 1e-3}, {"min", 60}, {"h", 3600}}
	angles   = []unit{{"deg", 1}, {"degrees", 1}, {"°", 1}, {"rad", 180 / math.Pi}}
	counts   = []unit{{"s", 1}, {"ms", 1e-3}, {"µs", 1e-6}, {"us", 1e-6}}
)

func unitsFor(s slot) []unit {
	switch s {
	case panelA, cellA, stillA, batteryA:
		return currents
	case panelV, batteryV:
		return voltages
	case atUptime:
		return spans
	case heading, tilt:
		return angles
	case atTime:
		return counts
	}
	return nil
}

// unitsOf returns what may stand behind a name's heading.
func unitsOf(name string) []string {
	var names []string
	for _, u := range unitsFor(slotOf(name)) {
		names = append(names, u.name)
	}
	if name == "time" || name == "date" {
		names = append(names, dateOrders[yearFirst:byCount]...)
	}
	return names
}

// factorOf returns a unit's factor; upper and lower case count, since mA is not
// MA, but A may be written a.
func factorOf(s slot, name string) (unit, bool) {
	for _, u := range unitsFor(s) {
		if u.name == name || strings.EqualFold(u.name, name) && name[0] != 'M' {
			return u, true
		}
	}
	return unit{}, false
}

// place finds a wish's column among the headings.
func (w Wish) place(headings []string) (int, error) {
	if number, ok := strings.CutPrefix(w.Heading, "#"); ok {
		if n, err := strconv.Atoi(number); err == nil {
			if n < 1 || n > len(headings) {
				return 0, fmt.Errorf("there is no column %s: the log has %d", w.Heading, len(headings))
			}
			return n - 1, nil
		}
	}
	found := -1
	for i, h := range headings {
		bare, _ := bareHeading(h)
		if strings.EqualFold(h, w.Heading) || found < 0 && strings.EqualFold(bare, w.Heading) {
			found = i
		}
	}
	if found < 0 {
		return 0, fmt.Errorf("no column is headed %q: the log has %s", w.Heading, strings.Join(headings, ", "))
	}
	return found, nil
}
