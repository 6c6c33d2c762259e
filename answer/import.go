package answer

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"slices"
	"strings"
	"time"

	"turnsole/hindsight"
	"turnsole/place"
	"turnsole/reading"
	"turnsole/rigfile"
)

// ImportQuestion asks what a log holds.
type ImportQuestion struct {
	Rig  *rigfile.Rig
	Spot string // where the log was taken; "" for the first
	Log  string // for Open
	Open Open

	Columns      []string   // NAME=HEADING or NAME=HEADING:UNIT, as reading.ParseWish takes them
	Zone         string     // of times without an offset; "" is the spot's clock
	ClockAheadS  float64    // by which the log's clock ran ahead of the true time
	DumpedAt     *time.Time // when a log without a clock was dumped
	Setup        string     // of rows that name none
	TakeOffNight bool       // take what the sensors show at night off their currents

	To       io.Writer // where the plain log is written; nil only looks
	Progress Progress
}

// Import is what a log holds, and what was done to make it a plain one.
type Import struct {
	Rig, Spot, Log string

	Kept       int
	Rejected   []Rejected
	Duplicates int
	Sorted     int
	Reboots    *int // nil where the log counts neither power-ups nor uptime
	Setups     []string
	Events     []EventCount // by name

	Plain   bool             // it is a plain log as it stands
	Columns []reading.Column // that were used
	Others  []string         // headings of those left aside
	Guessed []string         // what was guessed, a sentence each
	Zone    string           // the clock of times that carried no offset; "" where all did

	FromUnixS, ToUnixS float64
	EveryS             float64 // usual time from row to row
	Gaps               []Gap   // the longest by day

	Night    map[string]hindsight.Night // by column: panel_a, cell_a
	NightOff bool                       // it was taken off
	Clock    *hindsight.Offset          // nil where the sun says nothing
	ClockWhy string                     // why not
	AheadS   float64                    // by which times were set back
	PowerUps []hindsight.Anchored       // of a log without a clock
	WithinS  float64                    // the time of nine minutes in ten is that good or better; 0 for a log with a clock

	Verdict  string
	Findings []string
	Cautions []string
	Written  []string // columns; nil where nothing was written
}

// Rejected is a row that was left out.
type Rejected struct {
	Line int
	Why  string
}

// EventCount is how often an event was logged.
type EventCount struct {
	Event string
	Count int
}

// Gap is a stretch without rows.
type Gap struct {
	FromUnixS, ToUnixS float64
	DayS               float64 // of it with the sun up
}

// ImportLog reads a log, says what it holds and what it refuses, and writes it
// as a plain log where that is asked for. It goes through the log once to look
// and once more to write, so that no log is too long.
func ImportLog(ctx context.Context, q ImportQuestion) (*Import, error) {
	spots, err := spotsNamed(q.Rig, q.Spot)
	if err != nil {
		return nil, err
	}
	i := importing{ctx: ctx, q: q, spot: spots[0].Spot, a: &Import{Rig: q.Rig.Name, Spot: spots[0].Name, Log: q.Log, AheadS: q.ClockAheadS, NightOff: q.TakeOffNight}}
	for _, step := range []func() error{i.layout, i.survey, i.units, i.anchor, i.night, i.clock, i.gaps} {
		if err := step(); err != nil {
			return nil, i.blame(err)
		}
	}
	if q.To != nil {
		if err := i.write(); err != nil {
			return nil, i.blame(err)
		}
	}
	i.tell()
	return i.a, nil
}

// importing is a log on its way.
type importing struct {
	ctx  context.Context
	q    ImportQuestion
	spot place.Spot
	a    *Import

	m       *reading.Map // nil for a plain log
	size    int64
	minutes []minute
	faults  map[string]*overs // values that cannot be, by heading
	holes   []Gap
	starts  []powerSpan
	clocked bool // rows have a time of their own
}

// blame makes what is wrong with a log the person's, with its name.
func (i *importing) blame(err error) error {
	var log *reading.LogError
	var row *reading.RowError
	if errors.As(err, &log) || errors.As(err, &row) {
		return bad("%s: %w", i.q.Log, err)
	}
	return err
}

// source is a log opened to be read.
type source struct {
	io.Closer
	*reading.Tidy
	*reading.Reader
}

// open begins to read the log anew.
func (i *importing) open() (*source, error) {
	file, err := i.q.Open(i.q.Log)
	if err != nil {
		return nil, err
	}
	if f, ok := file.(interface{ Stat() (fs.FileInfo, error) }); ok {
		if info, err := f.Stat(); err == nil {
			i.size = info.Size()
		}
	}
	var r *reading.Reader
	if i.m == nil {
		r, err = reading.NewReader(file)
	} else {
		r, err = i.m.Reader(file)
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return &source{file, reading.NewTidy(r, i.q.Setup), r}, nil
}

// layout finds out how the log is to be read.
func (i *importing) layout() error {
	sample, err := i.sample()
	if err != nil {
		return err
	}
	if bytes.HasPrefix(sample, []byte{0x1f, 0x8b}) {
		return bad("%s: this is gzipped: unpack it first", i.q.Log)
	}
	var wishes []reading.Wish
	for _, text := range i.q.Columns {
		w, err := reading.ParseWish(text)
		if err != nil {
			return bad("--column %w", err)
		}
		wishes = append(wishes, w)
	}
	zone := i.spot.Clock()
	if i.q.Zone != "" {
		if zone, err = zoneNamed(i.q.Zone); err != nil {
			return err
		}
	}
	headed, read, err := isPlain(sample)
	if len(wishes) == 0 && read || err != nil {
		i.a.Plain = true
		return err
	}
	m, notes, needsZone, err := reading.Guess(sample, wishes)
	if err != nil && headed && len(wishes) == 0 {
		i.a.Plain = true // its rows say better what is wrong
		return nil
	}
	if err != nil {
		return err
	}
	i.m, i.a.Guessed = m, notes
	if needsZone {
		m.Zone, i.a.Zone = zone, zone.String()
	}
	return nil
}

// isPlain reports whether a sample has the headings of a plain log, and whether
// its first rows can be read as such: their times must say by which clock they
// are.
func isPlain(sample []byte) (headed, read bool, err error) {
	r, err := reading.NewReader(bytes.NewReader(sample))
	if err != nil {
		return false, false, nil
	}
	var row reading.Reading
	for rows := range 50 {
		err := r.Next(&row)
		if err == nil {
			return true, true, nil
		}
		if err == io.EOF && rows == 0 {
			return true, false, &reading.LogError{Why: "the log has headings but no rows"}
		}
		if _, refused := err.(*reading.RowError); !refused {
			break
		}
	}
	return true, false, nil
}

const (
	sampleHead = 256 << 10
	sampleTail = 64 << 10
)

// sample reads the log's beginning, and where it is long its end.
func (i *importing) sample() ([]byte, error) {
	file, err := i.q.Open(i.q.Log)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	head, err := io.ReadAll(io.LimitReader(file, sampleHead))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", i.q.Log, err)
	}
	seeker, ok := file.(io.Seeker)
	if !ok || len(head) < sampleHead {
		return head, nil
	}
	head = head[:bytes.LastIndexByte(head, '\n')+1]
	if end, err := seeker.Seek(0, io.SeekEnd); err != nil || end < sampleHead+sampleTail {
		return head, nil
	}
	if _, err := seeker.Seek(-sampleTail, io.SeekEnd); err != nil {
		return head, nil
	}
	tail, err := io.ReadAll(file)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", i.q.Log, err)
	}
	return append(head, tail[bytes.IndexByte(tail, '\n')+1:]...), nil
}

// zoneNamed takes a name of the IANA time zone database, or UTC with an offset
// such as UTC+5:30.
func zoneNamed(name string) (*time.Location, error) {
	if rest, ok := strings.CutPrefix(name, "UTC"); ok && rest != "" {
		for _, layout := range []string{"-07:00", "-0700", "-07", "-7:00", "-7"} {
			padded := rest
			if len(rest) > 1 && (len(rest) == 2 || rest[2] == ':') {
				padded = rest[:1] + "0" + rest[1:]
			}
			if at, err := time.Parse(layout, padded); err == nil {
				_, offset := at.Zone()
				return time.FixedZone(name, offset), nil
			}
		}
	} else if zone, err := time.LoadLocation(name); err == nil && name != "" && name != "Local" {
		return zone, nil
	}
	return nil, bad("--zone %q is no time zone: give a name such as \"Europe/London\", or \"UTC+1\"", name)
}

// anchor puts a log without a clock in time.
func (i *importing) anchor() error {
	if i.clocked {
		if i.q.DumpedAt != nil {
			i.a.Cautions = append(i.a.Cautions, "The log has times of its own: --dumped-at was not needed.")
		}
		return nil
	}
	if i.q.DumpedAt == nil {
		return bad("%s: the log has no clock: say when it was dumped, such as --dumped-at 2026-06-01T18:30:00+01:00", i.q.Log)
	}
	glow, fullA := i.glow()
	ups := make([]hindsight.PowerUp, len(i.starts))
	for k, s := range i.starts {
		ups[k] = hindsight.PowerUp{Boot: s.boot, FirstS: s.firstS, LastS: s.lastS}
	}
	k := 0
	for n, g := range glow {
		for ups[k].Boot != i.minutes[n].boot {
			k++
		}
		if !math.IsNaN(g.A) {
			ups[k].Glow = append(ups[k].Glow, g)
		}
	}
	placed, err := hindsight.Anchor(i.spot, ups, float64(i.q.DumpedAt.Unix()), fullA)
	if err != nil {
		return bad("%s: %w", i.q.Log, err)
	}
	i.a.PowerUps = placed
	i.redate()
	return nil
}

// redate gives the minutes of a log without a clock their times.
func (i *importing) redate() {
	k := 0
	var within []float64
	for n := range i.minutes {
		m := &i.minutes[n]
		for i.a.PowerUps[k].Boot != m.boot {
			k++
		}
		m.s = i.a.PowerUps[k].At(m.s)
		within = append(within, i.a.PowerUps[k].WithinS)
	}
	slices.Sort(within)
	i.a.WithinS = within[len(within)*9/10]
	first, last := i.a.PowerUps[0], i.a.PowerUps[len(i.a.PowerUps)-1]
	i.a.FromUnixS, i.a.ToUnixS = first.At(i.starts[0].firstS), last.At(i.starts[len(i.starts)-1].lastS)
	for n, h := range i.holes { // they lie within a power-up
		at := i.a.PowerUps[slices.IndexFunc(i.a.PowerUps, func(p hindsight.Anchored) bool { return float64(p.Boot) == h.DayS })]
		i.holes[n] = Gap{FromUnixS: at.At(h.FromUnixS), ToUnixS: at.At(h.ToUnixS)}
	}
	for n := 1; n < len(i.starts); n++ {
		i.holes = append(i.holes, Gap{FromUnixS: i.a.PowerUps[n-1].At(i.starts[n-1].lastS), ToUnixS: i.a.PowerUps[n].At(i.starts[n].firstS)})
	}
}

// night reckons what the sensors show without light.
func (i *importing) night() error {
	i.a.Night = map[string]hindsight.Night{}
	samples := 0
	for _, c := range []struct {
		name string
		of   func(*minute) float64
	}{{"panel_a", func(m *minute) float64 { return m.panelA() }}, {"cell_a", func(m *minute) float64 { return m.cellA() }}} {
		var glow []hindsight.Glow
		for k := range i.minutes {
			if a := c.of(&i.minutes[k]); !math.IsNaN(a) {
				glow = append(glow, hindsight.Glow{S: i.minutes[k].s, A: a})
			}
		}
		night, err := hindsight.NightOf(i.spot, glow)
		if err != nil {
			return bad("%s: %w", i.q.Log, err)
		}
		if night.Samples >= fewestNightMinutes {
			i.a.Night[c.name] = night
			samples += night.Samples
		}
	}
	if i.q.TakeOffNight && samples == 0 {
		return bad("%s: --take-off-night: the log has no hour of night, the sun 6° below the horizon, with panel_a or cell_a", i.q.Log)
	}
	return nil
}

const fewestNightMinutes = 30

// clock holds the log's clock to the sun.
func (i *importing) clock() error {
	if !i.clocked {
		return nil
	}
	glow, fullA := i.glow()
	glow = slices.DeleteFunc(glow, func(g hindsight.Glow) bool { return math.IsNaN(g.A) })
	offset, err := hindsight.ClockOffset(i.spot, glow, fullA)
	if err != nil {
		i.a.ClockWhy = err.Error()
		return nil
	}
	i.a.Clock = &offset
	return nil
}
