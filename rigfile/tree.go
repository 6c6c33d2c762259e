package rigfile

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// largest is the most that a rig file may hold, in bytes: a long one is 5 kB.
const largest = 256 << 10

// where is the place at which something was written: a line and column of the
// file, or the argument of a --set.
type where struct {
	line, column int
	set          string
}

type sort int

const (
	isText sort = iota
	isNumber
	isTruth
	isClock // a bare TOML time such as 18:30
	isDate
	isList
	isTable
)

// node is one value of the file with the place at which it stands.
type node struct {
	at     where
	sort   sort
	raw    string // as written, cut short, for messages
	text   string // of a text, clock or date
	number float64
	truth  bool
	list   []*node
	table  *table
}

// table is a section: its keys in the order in which they were written.
type table struct {
	at    where
	names []string
	nodes map[string]*node
	keys  map[string]where
}

func newTable(at where) *table {
	return &table{at: at, nodes: map[string]*node{}, keys: map[string]where{}}
}

func (t *table) put(name string, at where, n *node) {
	if _, old := t.nodes[name]; !old {
		t.names = append(t.names, name)
	}
	t.nodes[name], t.keys[name] = n, at
}

// parse reads TOML into a tree. The error tells line and column.
func parse(src []byte) (*table, *Problem) {
	src = bytes.TrimPrefix(src, []byte("\ufeff"))
	switch {
	case len(src) > largest:
		return nil, &Problem{Line: 1, Column: 1, Text: fmt.Sprintf("this is %d bytes long; a rig file is at most %d", len(src), largest)}
	case !utf8.Valid(src) || bytes.IndexByte(src, 0) >= 0:
		return nil, &Problem{Line: 1, Column: 1, Text: "this is not text in UTF-8; a rig file is plain text (turnsole new writes one)"}
	}
	// The library's own decoder knows every rule of TOML; the walk below needs
	// only to keep the places.
	var all map[string]any
	if err := toml.Unmarshal(src, &all); err != nil {
		return nil, syntaxProblem(src, err)
	}
	return grow(src)
}

// grower walks the parser's expressions and grows the tree from them.
type grower struct {
	parser unstable.Parser
	lines  []int // offset at which each line begins
}

func grow(src []byte) (*table, *Problem) {
	g := &grower{lines: []int{0}}
	for i, b := range src {
		if b == '\n' {
			g.lines = append(g.lines, i+1)
		}
	}
	g.parser.Reset(src)
	root := newTable(where{line: 1, column: 1})
	section := root
	for g.parser.NextExpression() {
		e := g.parser.Expression()
		var ok bool
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			section, ok = g.open(root, e)
		default:
			ok = g.add(section, e)
		}
		if !ok {
			at := g.at(int(e.Child().Raw.Offset))
			return nil, &Problem{Line: at.line, Column: at.column, Text: "this section or key is already something else"}
		}
	}
	if err := g.parser.Error(); err != nil {
		return nil, &Problem{Line: 1, Column: 1, Text: strings.TrimPrefix(err.Error(), "toml: ")}
	}
	return root, nil
}

func (g *grower) at(offset int) where {
	line := 0
	for lo, hi := 0, len(g.lines); lo < hi; {
		mid := (lo + hi) / 2
		if g.lines[mid] <= offset {
			line, lo = mid, mid+1
		} else {
			hi = mid
		}
	}
	return where{line: line + 1, column: offset - g.lines[line] + 1}
}

// open finds or makes the section of a [header] or [[header]].
func (g *grower) open(root *table, e *unstable.Node) (*table, bool) {
	t, it := root, e.Key()
	for it.Next() {
		name, at := string(it.Node().Data), g.at(int(it.Node().Raw.Offset))
		if it.IsLast() && e.Kind == unstable.ArrayTable {
			return t.another(name, at)
		}
		var ok bool
		if t, ok = t.enter(name, at); !ok {
			return nil, false
		}
	}
	return t, true
}

// enter goes down into a section, the latest where there are several.
func (t *table) enter(name string, at where) (*table, bool) {
	n := t.nodes[name]
	switch {
	case n == nil:
		n = &node{at: at, sort: isTable, table: newTable(at)}
		t.put(name, at, n)
	case n.sort == isList && len(n.list) > 0:
		n = n.list[len(n.list)-1]
	}
	return n.table, n.table != nil
}

// another adds one more [[section]].
func (t *table) another(name string, at where) (*table, bool) {
	n := t.nodes[name]
	if n == nil {
		n = &node{at: at, sort: isList}
		t.put(name, at, n)
	}
	if n.sort != isList {
		return nil, false
	}
	one := &node{at: at, sort: isTable, table: newTable(at)}
	n.list = append(n.list, one)
	return one.table, true
}

// add puts one key = value into a section.
func (g *grower) add(t *table, e *unstable.Node) bool {
	it, start := e.Key(), 0
	for it.Next() {
		key := it.Node()
		name, at := string(key.Data), g.at(int(key.Raw.Offset))
		if it.IsLast() {
			start = g.valueStart(int(key.Raw.Offset + key.Raw.Length))
			t.put(name, at, g.value(e.Value(), start))
			return true
		}
		var ok bool
		if t, ok = t.enter(name, at); !ok {
			return false
		}
	}
	return false
}

// valueStart returns the offset of the value that follows a key.
func (g *grower) valueStart(after int) int {
	data := g.parser.Data()
	for after < len(data) && strings.IndexByte(" \t=", data[after]) >= 0 {
		after++
	}
	return after
}

// value copies a parsed value. Lists carry no place of their own: start is
// where the value, or the list around it, begins.
func (g *grower) value(v *unstable.Node, start int) *node {
	if v.Raw.Length > 0 {
		start = int(v.Raw.Offset)
	}
	n := &node{at: g.at(start), raw: short(string(g.parser.Raw(v.Raw)))}
	switch v.Kind {
	case unstable.Array:
		n.sort, n.raw = isList, "a list"
		for it := v.Children(); it.Next(); {
			n.list = append(n.list, g.value(it.Node(), start))
		}
	case unstable.InlineTable:
		n.sort, n.raw, n.table = isTable, "a table", newTable(n.at)
		for it := v.Children(); it.Next(); {
			g.add(n.table, it.Node())
		}
	default:
		n.scalar(v)
	}
	return n
}

// scalar fills in a value that is neither list nor table.
func (n *node) scalar(v *unstable.Node) {
	data := string(v.Data)
	switch v.Kind {
	case unstable.String:
		n.sort, n.text = isText, data
	case unstable.Bool:
		n.sort, n.truth = isTruth, data == "true"
	case unstable.Integer, unstable.Float:
		n.sort, n.number = isNumber, parseNumber(data)
	case unstable.LocalTime:
		n.sort, n.text = isClock, data
	default:
		n.sort, n.text = isDate, data
	}
}

func parseNumber(s string) float64 {
	s = strings.ReplaceAll(s, "_", "")
	if i, err := strconv.ParseInt(s, 0, 64); err == nil {
		return float64(i)
	}
	f, _ := strconv.ParseFloat(s, 64) // out of range gives an infinity, which no key takes
	return f
}

// short cuts text so that a message stays readable.
func short(s string) string {
	if i := strings.IndexByte(s, '\n'); i >= 0 {
		s = s[:i] + "…"
	}
	if r := []rune(s); len(r) > 40 {
		s = string(r[:40]) + "…"
	}
	return s
}

var (
	bareQuantity = regexp.MustCompile(`=\s*[-+]?[\d.]+\s*[A-Za-z°%µ]`)
	commaNumber  = regexp.MustCompile(`=\s*[-+]?\d+,\d`)
	bareWord     = regexp.MustCompile(`=\s*[A-Za-z]`)
	noEquals     = regexp.MustCompile(`^\s*[\w.-]+\s*:`)
)

// syntaxProblem rewords the library's error, with a hint where the line shows
// a slip that is easily made.
func syntaxProblem(src []byte, err error) *Problem {
	p := &Problem{Line: 1, Column: 1, Text: strings.TrimPrefix(err.Error(), "toml: ")}
	var at *toml.DecodeError
	if !errors.As(err, &at) {
		return p
	}
	p.Line, p.Column = at.Position()
	p.Key = strings.Join(at.Key(), ".")
	lines := strings.Split(string(src), "\n")
	line := lines[min(max(p.Line-1, 0), len(lines)-1)]
	switch {
	case strings.Contains(p.Text, "value out of range"):
		p.Text = "this number is too large for anything"
	case strings.Contains(p.Text, "already exists") && !strings.Contains(p.Text, "array"):
		p.Text += "; where there may be several, each begins with double brackets, such as [[load]]"
	case commaNumber.MatchString(line):
		p.Text += "; write decimals with a point, such as 52.28"
	case bareQuantity.MatchString(line):
		p.Text += `; a number with its unit stands in quotes, such as "80 W"`
	case bareWord.MatchString(line):
		p.Text += `; text stands in quotes, such as "grass"`
	case noEquals.MatchString(line):
		p.Text += "; a key and its value are joined by =, such as tilt = 40"
	}
	return p
}
