package reading

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// Guess makes a map for a log with any columns from a sample of its text: its
// beginning, with more from its end behind it where a date's order may depend
// on that. Wishes go above what is guessed. The notes say what was guessed and
// why; a log in which no time or no measure can be found is a *LogError that
// names its columns.
//
// Zone is left to the caller; needsZone reports whether times carry no offset of
// their own.
func Guess(sample []byte, wishes []Wish) (m *Map, notes []string, needsZone bool, err error) {
	g := &guess{wishes: wishes}
	for _, step := range []func([]byte) error{g.layout, g.heads, g.numbers, g.columns, g.times} {
		if err := step(sample); err != nil {
			return nil, nil, false, err
		}
	}
	if names := g.m.names(); demand(names) != "" {
		return nil, nil, false, g.lacking(names)
	}
	for i, h := range g.headings {
		if !g.uses(i) {
			g.m.Others = append(g.m.Others, h)
		}
	}
	return &g.m, g.notes, g.needsZone, nil
}

// guess is a log being made out.
type guess struct {
	m         Map
	wishes    []Wish
	notes     []string
	needsZone bool

	lines    [][]byte   // of the sample, without remarks and empty lines
	at       []int      // their numbers
	rows     [][]string // fields of those that are rows
	rowAt    []int      // line numbers of the first of these
	headings []string
	units    []string // of a row of units below the headings
	taken    map[slot]int
}

// mostRows of a sample are looked at.
const mostRows = 4000

// layout finds the separator: the first of the usual ones that cuts four lines
// in five into the same number of fields.
func (g *guess) layout(sample []byte) error {
	g.read(sample)
	if len(g.lines) == 0 {
		return &LogError{Why: "the log is empty"}
	}
	best, bestShare, width := byte(','), 0.0, 0
	for _, separator := range []byte("\t;, ") {
		n, share := g.usualWidth(separator)
		if n >= 2 && share > bestShare+0.05 {
			best, bestShare, width = separator, share, n
		}
		if bestShare >= 0.8 {
			break
		}
	}
	if width == 0 {
		return &LogError{g.at[0], fmt.Sprintf("%q is no row of a table: columns were expected, with commas, semicolons, tabs or blanks between them", clip(g.lines[0]))}
	}
	g.m.Separator = best
	if best != ',' {
		g.notes = append(g.notes, "Between columns stand "+map[byte]string{'\t': "tabs", ';': "semicolons", ' ': "blanks"}[best]+".")
	}
	return g.cut(width)
}

// read cuts a sample into lines.
func (g *guess) read(sample []byte) {
	sample = bytes.TrimPrefix(sample, bom)
	number := 0
	for line := range bytes.Lines(sample) {
		number++
		line = trimEnd(line)
		if t := trim(line); len(t) == 0 || t[0] == '#' || len(line) > mostLine {
			continue
		}
		g.lines, g.at = append(g.lines, line), append(g.at, number)
	}
	if n := len(g.lines); n > mostRows { // both ends: the order of dates shows in both
		g.lines = append(g.lines[:mostRows/2], g.lines[n-mostRows/2:]...)
	}
}

// usualWidth returns the most frequent number of fields and how frequent it is.
func (g *guess) usualWidth(separator byte) (n int, share float64) {
	r, count := Reader{separator: separator}, map[int]int{}
	for _, line := range g.lines {
		if fields, ok := r.split(line); ok {
			count[len(fields)]++
		}
	}
	for width, c := range count {
		if c > count[n] || c == count[n] && width > n {
			n = width
		}
	}
	return n, float64(count[n]) / float64(len(g.lines))
}

// cut keeps the rows of the usual width, and says where they begin.
func (g *guess) cut(width int) error {
	r, first := Reader{separator: g.m.Separator}, -1
	for i, line := range g.lines {
		fields, ok := r.split(line)
		if !ok || len(fields) != width && (first < 0 || len(fields) < width) {
			continue
		}
		if first < 0 {
			first = i
		}
		row := make([]string, width)
		for k := range row {
			row[k] = string(trim(fields[k]))
		}
		g.rows = append(g.rows, row)
		if len(g.rowAt) < mostHeads {
			g.rowAt = append(g.rowAt, g.at[i])
		}
	}
	g.m.Head, g.m.Width = g.rowAt[0]-1, width
	return nil
}

// heads takes headings, and a row of units below them, off the rows. Of several
// rows of words the headings are those that say most.
func (g *guess) heads([]byte) error {
	n, best, most := 0, 0, -1
	for n < min(mostHeads, len(g.rows)) && wordy(g.rows[n]) {
		if says := saying(g.rows[n]); says > most {
			best, most = n, says
		}
		n++
	}
	if n == 0 {
		for i := range g.rows[0] {
			g.headings = append(g.headings, fmt.Sprintf("#%d", i+1))
		}
		g.notes = append(g.notes, "The log has no headings: columns are called #1, #2 and so on.")
		return nil
	}
	g.headings = g.rows[best]
	for i, h := range g.headings {
		if h == "" {
			g.headings[i] = fmt.Sprintf("#%d", i+1)
		}
	}
	if best+1 < n {
		g.units = g.rows[best+1]
	}
	g.m.Head = g.rowAt[n-1]
	if g.rows = g.rows[n:]; len(g.rows) == 0 {
		return &LogError{Why: "the log has headings but no rows"}
	}
	return nil
}

// mostHeads is how many rows of words a log may begin with.
const mostHeads = 20

// saying is how much a row says as headings.
func saying(row []string) (says int) {
	for _, h := range row {
		if s, _ := meaning(h); s != nothing {
			says += 10
		}
		if h != "" {
			says++
		}
	}
	return says
}

// wordy reports whether a row has words and not one number or time.
func wordy(row []string) bool {
	words := false
	for _, f := range row {
		if _, ok := parseNumber([]byte(strings.Replace(f, ",", ".", 1)), '.'); ok {
			return false
		}
		for o := yearFirst; o < byCount; o++ {
			if _, _, ok := readDate([]byte(f), o); ok {
				return false
			}
		}
		words = words || f != "" && !saysMissing([]byte(f))
	}
	return words
}

// numbers tells whether decimals have a comma.
func (g *guess) numbers([]byte) error {
	points, commas := 0, 0
	for _, row := range g.rows {
		for _, f := range row {
			if _, ok := parseNumber([]byte(f), '.'); ok && strings.Contains(f, ".") {
				points++
			} else if _, ok := parseNumber([]byte(f), ','); ok && strings.Contains(f, ",") {
				commas++
			}
		}
	}
	if commas > points {
		g.m.DecimalComma = true
		g.notes = append(g.notes, "Decimals have a comma.")
	}
	return nil
}

// columns finds what each column is: by a person's word, then by its heading.
func (g *guess) columns([]byte) error {
	g.taken = map[slot]int{}
	for _, w := range g.wishes {
		at, err := w.place(g.headings)
		if err != nil {
			return &LogError{Why: err.Error()}
		}
		if err := g.take(w, at); err != nil {
			return err
		}
	}
	for _, sure := range []bool{true, false} {
		for i, h := range g.headings {
			s, unsure := meaning(h)
			if s == nothing || s == atTime || unsure == sure || g.uses(i) {
				continue
			}
			g.consider(i, s, unsure)
		}
	}
	return nil
}

func (g *guess) uses(at int) bool {
	return slices.ContainsFunc(g.m.Columns, func(c Column) bool { return c.At == at })
}

// take makes a column what a person says it is.
func (g *guess) take(w Wish, at int) error {
	s := slotNamed(w.Name)
	if _, twice := g.taken[s]; twice || g.uses(at) {
		return &LogError{Why: fmt.Sprintf("%s=%s: a column can be only one thing, and once", w.Name, w.Heading)}
	}
	if s == atTime || s == atDate {
		g.takeTime(w, at, s)
		return nil
	}
	u, ok := g.unit(at, s)
	if w.Unit != "" {
		u, ok = factorOf(s, w.Unit)
	}
	if !ok {
		u = usual(s)
	}
	g.add(at, s, u)
	return nil
}

// takeTime makes a column the time, or the date, as a person says or as its
// rows are.
func (g *guess) takeTime(w Wish, at int, s slot) {
	u, isCount := unit{"", 1}, false
	if o, named := orderNamed(w.Unit); named && w.Unit != "" {
		g.m.Order = dateOrders[o]
	} else if w.Unit != "" {
		u, isCount = factorOf(s, w.Unit)
	} else if k := g.kind(at); s == atTime && k.whole == 0 && k.seconds+k.ms > 0 {
		u, isCount = counts[0], true
		if k.ms > k.seconds {
			u = counts[1]
		}
	}
	if isCount {
		g.m.Order = dateOrders[byCount]
	}
	g.add(at, s, u)
}

// usual is the plain log's own unit.
func usual(s slot) unit {
	if units := unitsFor(s); len(units) > 0 && s != atTime {
		return units[0]
	}
	return unit{"", 1}
}

func (g *guess) unit(at int, s slot) (unit, bool) {
	if g.units != nil {
		if u, ok := factorOf(s, strings.Trim(g.units[at], "()[]")); ok && g.units[at] != "" {
			return u, true
		}
	}
	return unitIn(g.headings[at], s)
}

func (g *guess) add(at int, s slot, u unit) {
	g.taken[s] = at
	g.m.Columns = append(g.m.Columns, Column{At: at, Heading: g.headings[at], Name: slotNames[s], Unit: u.name, Factor: u.factor})
}

// consider takes a column by its heading, if its rows agree.
func (g *guess) consider(at int, s slot, unsure bool) {
	if _, twice := g.taken[s]; twice {
		g.notes = append(g.notes, fmt.Sprintf("%q could be %s too and is left aside.", g.headings[at], slotNames[s]))
		return
	}
	switch s {
	case atSetup, atEvent:
		g.add(at, s, unit{"", 1})
		return
	case atBoot, atPair:
		if g.numeric(at) {
			g.add(at, s, unit{"", 1})
		}
		return
	case atLook:
		if g.looks(at) {
			g.add(at, s, unit{"", 1})
		}
		return
	}
	if !g.numeric(at) {
		return
	}
	if unsure && s == panelV { // of panel or battery, who knows
		g.notes = append(g.notes, fmt.Sprintf("%q is left aside: is it panel_v or battery_v? Add --column \"panel_v=%s\".", g.headings[at], g.headings[at]))
		return
	}
	u, said := g.unit(at, s)
	if !said {
		u = usual(s)
		if slotOf(strings.ToLower(g.headings[at])) == nothing {
			g.notes = append(g.notes, fmt.Sprintf("%q names no unit: read as %s.", g.headings[at], u.name))
		}
	}
	if unsure {
		g.notes = append(g.notes, fmt.Sprintf("%q is taken for the panel's current.", g.headings[at]))
	}
	g.add(at, s, u)
}

// looks reports whether a column's rows are looks.
func (g *guess) looks(at int) bool {
	return !slices.ContainsFunc(g.rows, func(row []string) bool { _, ok := LookNamed(row[at]); return !ok })
}

// numeric reports whether a column's rows are mostly numbers.
func (g *guess) numeric(at int) bool {
	point := byte('.')
	if g.m.DecimalComma {
		point = ','
	}
	numbers, others := 0, 0
	for _, row := range g.rows {
		switch _, ok := parseNumber([]byte(row[at]), point); {
		case ok:
			numbers++
		case !saysMissing([]byte(row[at])):
			others++
		}
	}
	return numbers > others
}

// lacking says what a log lacks, and what a person can do.
func (g *guess) lacking(names []string) error {
	what, how := "a measure", `--column "panel_a=HEADING:A"`
	if !slices.Contains(names, "time") && !slices.Contains(names, "uptime_s") {
		what, how = "a time", `--column "time=HEADING"`
	}
	var quoted []string
	for _, h := range g.headings {
		quoted = append(quoted, fmt.Sprintf("%q", h))
	}
	e := &LogError{Why: fmt.Sprintf("no column is plainly %s: the log has %s; say which with %s", what, strings.Join(quoted, ", "), how)}
	if len(g.notes) > 0 {
		e.Why += ". " + strings.Join(g.notes, " ")
	}
	return e
}
