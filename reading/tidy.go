package reading

import (
	"fmt"
	"io"
	"math"
	"slices"
	"sort"
	"strconv"
)

// Tidy gives the rows of a log in order of time, each once, with its power-up
// and its set-up.
//
// Rows up to 256 lines out of place are put in order. A row that belongs
// further back is dropped where it is there already, as when a log was dumped
// twice, and refused where it is not: a log is never held in memory, but for 16
// bytes a row by which it is known again.
//
// A power-up begins where the boot number changes, or where there is none
// where the uptime falls. A set-up begins where its name changes, and behind
// an event moved or notch: then its name gets a number. A name that comes back
// without such an event is the set-up that it was.
type Tidy struct {
	from *Reader
	done error // what ended the log

	held []row // in order; those before next have been given out
	next int
	seen marks // of the rows given out

	read      row     // the row last read
	boot      int     // counted where the log does not
	upS       float64 // of the row last read
	sync      [2]float64
	syncBoot  int
	syncKnown bool

	name    string         // of the set-up, as the log has it
	times   map[string]int // set-ups of each name so far
	current string         // the set-up's, numbered
	moved   bool
	last    mark
	instant mark // of the row last read
	alike   int  // rows read of that instant

	// Duplicates, Sorted and Reboots count rows left out because they were
	// there already, rows that were put in order, and power-ups but the first.
	Duplicates, Sorted, Reboots int
	Setups                      []string // in the order in which they began
}

type row struct {
	Reading
	mark
	line int
}

// mark is by what a row is known again.
type mark struct {
	s    float64
	boot int32 // 0 where the time is known
	hash uint32
}

func (a mark) before(b mark) bool { return a.boot < b.boot || a.boot == b.boot && a.s < b.s }

// mostAlike is how many rows may share an instant: more are a clock that stands
// still, and to tell each from all others would take for ever.
const mostAlike = 1000

// window is how many rows are held back to put others before them.
const window = 256

// NewTidy tidies what a reader gives. Rows before the first that names a set-up
// belong to the one given; "" counts them, from "1".
func NewTidy(from *Reader, setup string) *Tidy {
	return &Tidy{from: from, name: setup, upS: math.NaN(), last: mark{boot: math.MinInt32}}
}

// Next gives the next row. It ends and refuses as Reader.Next does.
func (t *Tidy) Next(into *Reading) error {
	for len(t.held)-t.next < window && t.done == nil {
		r := &t.read
		err := t.from.Next(&r.Reading)
		if refused, ok := err.(*RowError); ok {
			return refused
		}
		if err != nil {
			t.done = err
			break
		}
		r.line = t.from.Line()
		if err := t.take(r); err != nil {
			return err
		}
	}
	if t.done != nil && t.done != io.EOF {
		return t.done
	}
	if t.next == len(t.held) {
		return io.EOF
	}
	first := &t.held[t.next]
	*into, t.last = first.Reading, first.mark
	t.seen.add(first.mark)
	t.next++
	t.settle(into)
	return nil
}

// take puts a row where it belongs.
func (t *Tidy) take(r *row) error {
	t.power(&r.Reading)
	if !t.date(&r.Reading) {
		return &RowError{Line: r.line, Why: "its clock was not set yet", Value: math.NaN()}
	}
	r.mark = t.mark(&r.Reading)
	if r.mark.s != t.instant.s || r.boot != t.instant.boot {
		t.instant, t.alike = r.mark, 0
	}
	if t.alike++; t.alike > mostAlike {
		return &RowError{Line: r.line, Why: fmt.Sprintf("more than %d rows of one instant: its clock stands still", mostAlike), Value: math.NaN()}
	}
	held := t.held[t.next:]
	at := len(held)
	if at > 0 && !held[at-1].before(r.mark) || at == 0 && !t.last.before(r.mark) {
		if t.known(r.mark) {
			t.Duplicates++
			return nil
		}
		if r.before(t.last) {
			return &RowError{Line: r.line, Why: fmt.Sprintf("its time is before that of more than %d rows above it: put the parts of the log in order of time", window), Value: math.NaN()}
		}
		at = sort.Search(at, func(i int) bool { return r.before(held[i].mark) })
	}
	t.add(r, at)
	return nil
}

// add holds a row back, behind at others.
func (t *Tidy) add(r *row, at int) {
	if at < len(t.held)-t.next {
		t.Sorted++
	}
	if t.next >= 4*window { // what was given out makes room
		t.held = t.held[:copy(t.held, t.held[t.next:])]
		t.next = 0
	}
	t.held = slices.Insert(t.held, t.next+at, *r)
}

// known reports whether a like row has been read.
func (t *Tidy) known(m mark) bool {
	held := t.held[t.next:]
	at := sort.Search(len(held), func(i int) bool { return !held[i].before(m) })
	for ; at < len(held) && !m.before(held[at].mark); at++ {
		if held[at].hash == m.hash {
			return true
		}
	}
	return t.seen.has(m)
}

// marks are in order, in pieces so that they never move.
type marks struct {
	pieces [][]mark
	count  int
}

const piece = 1 << 15

func (s *marks) add(m mark) {
	if s.count%piece == 0 {
		s.pieces = append(s.pieces, make([]mark, 0, piece))
	}
	last := &s.pieces[len(s.pieces)-1]
	*last = append(*last, m)
	s.count++
}

func (s *marks) at(i int) mark { return s.pieces[i/piece][i%piece] }

func (s *marks) has(m mark) bool {
	i := sort.Search(s.count, func(i int) bool { return !s.at(i).before(m) })
	for ; i < s.count && !m.before(s.at(i)); i++ {
		if s.at(i).hash == m.hash {
			return true
		}
	}
	return false
}

// mark reckons a row's own; a row without a clock is known by power-up and
// uptime alone.
func (t *Tidy) mark(r *Reading) mark {
	if math.IsNaN(r.UnixS) {
		return mark{boot: int32(r.Boot), s: r.UptimeS}
	}
	h := uint64(r.Look)<<32 ^ uint64(r.Pair)
	for s := panelA; s <= tilt; s++ {
		h = (h ^ math.Float64bits(*r.field(s))) * 0x9e3779b97f4a7c15 // Fibonacci hashing, Knuth, The Art of Computer Programming 3, 6.4
		h ^= h >> 29
	}
	for _, word := range [2]string{r.Event, r.Setup} {
		for i := range len(word) {
			h = (h ^ uint64(word[i])) * 0x100000001b3 // Fowler, Noll and Vo, 1a
		}
		h ^= h >> 31
	}
	return mark{s: r.UnixS, hash: uint32(h >> 32)}
}

// power counts power-ups.
func (t *Tidy) power(r *Reading) {
	switch {
	case r.Boot > 0 && r.Boot != t.boot:
		if t.boot > 0 && r.Boot > t.boot {
			t.Reboots++
		}
		t.boot = max(t.boot, r.Boot)
	case r.Boot == 0 && r.UptimeS < t.upS:
		t.Reboots++
		t.boot = max(t.boot, 1) + 1
	}
	if r.Boot == 0 && !math.IsNaN(r.UptimeS) {
		t.boot = max(t.boot, 1)
		r.Boot = t.boot
	}
	if !math.IsNaN(r.UptimeS) {
		t.upS = r.UptimeS
	}
}

// date gives a time to a row whose clock was silent, from one of the same
// power-up that had one. It reports false where there was none yet.
func (t *Tidy) date(r *Reading) bool {
	switch {
	case !math.IsNaN(r.UnixS):
		if !math.IsNaN(r.UptimeS) {
			t.sync, t.syncBoot, t.syncKnown = [2]float64{r.UnixS, r.UptimeS}, r.Boot, true
		}
		return true
	case !slices.ContainsFunc(t.from.columns, func(c column) bool { return c.slot == atTime || c.slot == atClock }):
		return true // a log without a clock
	case t.syncKnown && t.syncBoot == r.Boot:
		r.UnixS = t.sync[0] + r.UptimeS - t.sync[1]
		return true
	}
	return false
}

// settle names a row's set-up.
func (t *Tidy) settle(r *Reading) {
	name := r.Setup
	if name == "" {
		name = t.name
	}
	switch {
	case t.moved && r.Measured():
		t.name = name
		t.times[name]++
	case t.times == nil || name != t.name:
		if t.times == nil {
			t.times = map[string]int{}
		}
		t.name, t.times[name] = name, max(t.times[name], 1)
	default:
		r.Setup = t.current
		t.moved = !r.Measured() && t.moved || r.moves()
		return
	}
	t.current = t.setup()
	if !slices.Contains(t.Setups, t.current) {
		t.Setups = append(t.Setups, t.current)
	}
	r.Setup = t.current
	t.moved = !r.Measured() && t.moved || r.moves()
}

// moves reports whether a row tells that the rig or its notch was moved.
func (r *Reading) moves() bool { return r.Event == "moved" || r.Event == "notch" }

func (t *Tidy) setup() string {
	switch {
	case t.name == "":
		return strconv.Itoa(t.times[""])
	case t.times[t.name] == 1:
		return t.name
	}
	return fmt.Sprintf("%s (%d)", t.name, t.times[t.name])
}
