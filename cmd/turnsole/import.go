package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"charm.land/lipgloss/v2"

	"turnsole/answer"
	"turnsole/reading"
)

type importCommand struct {
	rigFlags
	spotFlag
	Log          string   `arg:"" help:"Log to read: plain, or any table of text."`
	Out          string   `short:"o" help:"Plain log to write; one that is there is replaced." placeholder:"CSV"`
	Column       []string `help:"What a column is, such as \"panel_a=I_pv:mA\"; without headings \"panel_a=#3\". May repeat." placeholder:"NAME=HEADING:UNIT" sep:"none"`
	Zone         string   `help:"Clock of times without an offset; the spot's if not given." placeholder:"ZONE"`
	ClockAhead   string   `help:"By how much the log's clock ran ahead, such as \"+62 s\" or \"-3 min\"; it is set right by that." placeholder:"SPAN"`
	DumpedAt     string   `help:"When a log without a clock was dumped, RFC3339." placeholder:"TIME"`
	Setup        string   `help:"Set-up of rows that name none." placeholder:"NAME"`
	TakeOffNight bool     `help:"Take what the sensors show at night off panel_a and cell_a."`
}

type importJSON struct {
	Spot        string         `json:"spot" doc:"name of the spot, empty where the rig file has one without a name"`
	Log         string         `json:"log" doc:"the file that was read"`
	Kept        int            `json:"kept" doc:"rows"`
	Rejected    []rejectedJSON `json:"rejected" doc:"every row refused, in the order of the file"`
	Duplicates  int            `json:"duplicates" doc:"rows left out because they were there already"`
	Sorted      int            `json:"sorted" doc:"rows out of place that were put in order"`
	Reboots     *int           `json:"reboots" doc:"power-ups but the first; null where the log counts neither power-ups nor uptime"`
	Setups      []string       `json:"setups" doc:"in order; a changed name begins one, and an event moved or notch"`
	Events      map[string]int `json:"events" doc:"how often each was logged"`
	Plain       bool           `json:"plain" doc:"it is a plain log as it stands"`
	Columns     []columnJSON   `json:"columns" doc:"that were used"`
	Others      []string       `json:"others" doc:"headings of columns left aside"`
	Guessed     []string       `json:"guessed" doc:"what was guessed of a log that is not plain, a sentence each"`
	Zone        *string        `json:"zone" doc:"clock by which times without an offset were read; null where there were none"`
	From        string         `json:"from" doc:"minute of the first row kept, RFC 3339"`
	To          string         `json:"to" doc:"of the last"`
	EveryS      float64        `json:"every_s" doc:"usual time from row to row"`
	Gaps        []gapJSON      `json:"gaps" doc:"the five longest by day"`
	Night       []nightJSON    `json:"night" doc:"what sensors show while the sun stands more than 6 degrees below the horizon"`
	NightOff    bool           `json:"night_taken_off" doc:"it was taken off"`
	Clock       *clockJSON     `json:"clock_offset" doc:"what the sun says of the log's clock; null where it can say nothing"`
	ClockWhy    string         `json:"clock_offset_why" doc:"why it can say nothing"`
	ClockAheadS float64        `json:"clock_ahead_s" doc:"by which times were set back, as asked for"`
	PowerUps    []powerUpJSON  `json:"power_ups" doc:"of a log without a clock: when each was"`
	WithinS     *float64       `json:"time_within_s" doc:"of such a log: the times of nine minutes in ten are that good, 95 %; else null"`
	Out         *string        `json:"out" doc:"plain log that was written, or null"`
	Verdict     string         `json:"verdict" doc:"in words"`
	Findings    []string       `json:"findings" doc:"what stands behind it, a sentence each"`
	Cautions    []string       `json:"cautions" doc:"to be read with the figures"`
}

type rejectedJSON struct {
	Line int    `json:"line" doc:"of the file, from 1"`
	Why  string `json:"why" doc:"what is wrong and what would be right"`
}

type columnJSON struct {
	Heading string  `json:"heading" doc:"in the log"`
	Name    string  `json:"name" doc:"in the plain log; date and clock together are time"`
	Unit    string  `json:"unit" doc:"in which the log's figures were read; empty for the plain log's own"`
	Factor  float64 `json:"factor" doc:"from that to the plain log's"`
}

type gapJSON struct {
	From string  `json:"from" doc:"RFC 3339"`
	To   string  `json:"to"`
	DayS float64 `json:"day_s" doc:"seconds of it with the sun up"`
}

type nightJSON struct {
	Column  string  `json:"column" doc:"panel_a or cell_a"`
	A       float64 `json:"a" doc:"median"`
	SpreadA float64 `json:"spread_a" doc:"about it, as a standard deviation, of means of a minute"`
	Minutes int     `json:"minutes"`
}

type clockJSON struct {
	AheadS float64 `json:"ahead_s" doc:"by which the clock still runs ahead of the sun"`
	LowS   float64 `json:"low_s" doc:"95 % interval"`
	HighS  float64 `json:"high_s"`
	Dawns  int     `json:"dawns" doc:"that it rests on"`
	Dusks  int     `json:"dusks"`
}

type powerUpJSON struct {
	Boot    int     `json:"boot"`
	At      string  `json:"at" doc:"when its uptime was 0, RFC 3339"`
	Rate    float64 `json:"rate" doc:"true seconds to one of its own"`
	WithinS float64 `json:"within_s" doc:"its times are that good, 95 %"`
	Dawns   int     `json:"dawns" doc:"that it rests on"`
	Dusks   int     `json:"dusks"`
	Dumped  bool    `json:"dumped" doc:"it rests on the time of the dump"`
}

func (c *importCommand) Run(d *desk) error {
	rig, err := c.read()
	if err != nil {
		return err
	}
	q := answer.ImportQuestion{Rig: rig, Spot: c.Spot, Log: c.Log, Columns: c.Column, Zone: c.Zone, Setup: c.Setup, TakeOffNight: c.TakeOffNight,
		Open: func(path string) (io.ReadCloser, error) { return openInput(path) }}
	if q.ClockAheadS, err = seconds(c.ClockAhead); err != nil {
		return err
	}
	if c.DumpedAt != "" {
		at, err := time.Parse(time.RFC3339, c.DumpedAt)
		if err != nil {
			return &answer.BadInput{Err: fmt.Errorf("--dumped-at %q: give the time with its offset from UTC, such as 2026-06-01T18:30:00+01:00", c.DumpedAt)}
		}
		q.DumpedAt = &at
	}
	a, err := c.run(d, q)
	if err != nil {
		return err
	}
	return put(d, c.JSON, a, c.wire, c.tell)
}

// run imports, into a file that takes its name only when it is whole.
func (c *importCommand) run(d *desk, q answer.ImportQuestion) (*answer.Import, error) {
	bar := newProgress(d.errOut)
	q.Progress = bar.tell
	defer bar.finish()
	if c.Out == "" {
		return answer.ImportLog(d.ctx, q)
	}
	if err := c.mayReplace(); err != nil {
		return nil, err
	}
	file, err := os.CreateTemp(filepath.Dir(c.Out), ".turnsole-*")
	switch {
	case errors.Is(err, os.ErrNotExist):
		return nil, &answer.BadInput{Err: fmt.Errorf("%s: there is no such folder", c.Out)}
	case err != nil:
		return nil, fmt.Errorf("%s: %w", c.Out, errors.Unwrap(err))
	}
	defer os.Remove(file.Name()) // nothing is there any more once it has its name
	q.To = file
	a, err := answer.ImportLog(d.ctx, q)
	if err == nil {
		err = file.Chmod(0o644)
	}
	if closed := file.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = d.ctx.Err()
	}
	if err == nil {
		err = os.Rename(file.Name(), c.Out)
	}
	return a, err
}

// mayReplace refuses to write over the log itself, and over what is no plain
// log.
func (c *importCommand) mayReplace() error {
	there, err := os.Stat(c.Out)
	if err != nil {
		return nil
	}
	if !there.Mode().IsRegular() {
		return &answer.BadInput{Err: fmt.Errorf("%s: this is no ordinary file; name a CSV to write", c.Out)}
	}
	if log, err := os.Stat(c.Log); err == nil && os.SameFile(there, log) {
		return &answer.BadInput{Err: fmt.Errorf("%s: this is the log itself: write to another file, so that nothing is lost", c.Out)}
	}
	file, err := os.Open(c.Out)
	if err != nil || there.Size() == 0 {
		return nil
	}
	defer file.Close()
	if _, err := reading.NewReader(file); err != nil {
		return &answer.BadInput{Err: fmt.Errorf("%s: there is a file of that name that is no plain log; it was left alone", c.Out)}
	}
	return nil
}

// seconds reads a span of time with its sign and unit, in seconds.
func seconds(text string) (float64, error) {
	number, unit, _ := strings.Cut(strings.TrimSpace(text), " ")
	if text == "" {
		return 0, nil
	}
	for _, u := range []struct {
		name string
		s    float64
	}{{"min", 60}, {"s", 1}, {"h", 3600}} {
		if bare, ok := strings.CutSuffix(number, u.name); ok && unit == "" {
			number, unit = bare, u.name
		}
		if v, err := strconv.ParseFloat(number, 64); err == nil && strings.TrimSpace(unit) == u.name && v*u.s > -4e7 && v*u.s < 4e7 {
			return v * u.s, nil
		}
	}
	return 0, &answer.BadInput{Err: fmt.Errorf("--clock-ahead %q: give a span of time with its unit, s, min or h, at most a year, such as \"+62 s\"", text)}
}

// wire writes the answer for machines.
func (c *importCommand) wire(a *answer.Import) importJSON {
	out := importJSON{Spot: a.Spot, Log: a.Log, Kept: a.Kept, Rejected: []rejectedJSON{}, Duplicates: a.Duplicates, Sorted: a.Sorted, Reboots: a.Reboots,
		Setups: orEmpty(a.Setups), Events: map[string]int{}, Plain: a.Plain, Columns: []columnJSON{}, Others: orEmpty(a.Others), Guessed: orEmpty(a.Guessed),
		From: stamp(a.FromUnixS), To: stamp(a.ToUnixS), EveryS: a.EveryS, Gaps: []gapJSON{}, Night: []nightJSON{}, NightOff: a.NightOff, ClockWhy: a.ClockWhy,
		ClockAheadS: a.AheadS, PowerUps: []powerUpJSON{}, Verdict: a.Verdict, Findings: orEmpty(a.Findings), Cautions: orEmpty(a.Cautions)}
	for _, r := range a.Rejected {
		out.Rejected = append(out.Rejected, rejectedJSON(r))
	}
	for _, e := range a.Events {
		out.Events[e.Event] = e.Count
	}
	for _, k := range a.Columns {
		out.Columns = append(out.Columns, columnJSON{k.Heading, k.Name, k.Unit, k.Factor})
	}
	for _, g := range a.Gaps {
		out.Gaps = append(out.Gaps, gapJSON{stamp(g.FromUnixS), stamp(g.ToUnixS), g.DayS})
	}
	for _, name := range []string{"panel_a", "cell_a"} {
		if n, ok := a.Night[name]; ok {
			out.Night = append(out.Night, nightJSON{name, n.A, n.SpreadA, n.Samples})
		}
	}
	for _, p := range a.PowerUps {
		out.PowerUps = append(out.PowerUps, powerUpJSON{p.Boot, stamp(p.UnixS), p.Rate, p.WithinS, p.Dawns, p.Dusks, p.Dumped})
	}
	if o := a.Clock; o != nil {
		out.Clock = &clockJSON{o.AheadS, o.LowS, o.HighS, o.Dawns, o.Dusks}
	}
	if len(a.PowerUps) > 0 {
		out.WithinS = &a.WithinS
	}
	if a.Zone != "" {
		out.Zone = &a.Zone
	}
	if a.Written != nil {
		out.Out = &c.Out
	}
	return out
}

func stamp(unixS float64) string { return time.Unix(int64(unixS), 0).UTC().Format(time.RFC3339) }

// mostTold of the rows refused are listed for reading.
const mostTold = 20

// tell writes the answer for reading.
func (c *importCommand) tell(w io.Writer, a *answer.Import) {
	flow(w, "", fmt.Sprintf("%s: %s", title(a.Rig, a.Spot), a.Log))
	fmt.Fprintln(w)
	say(w, "", lipgloss.NewStyle().Bold(true).Render(a.Verdict))
	fmt.Fprintln(w)
	for _, text := range a.Cautions {
		flow(w, "! ", text)
	}
	for _, text := range a.Findings {
		flow(w, "  ", text)
	}
	fmt.Fprintln(w)
	if a.Plain {
		flow(w, "", "It is a plain log.")
	} else {
		t := plainTable([]string{"column of the log", "read as", "in"})
		for _, k := range a.Columns {
			t.Row(k.Heading, k.Name, k.Unit)
		}
		fmt.Fprintf(w, "%s\n\n", t)
		for _, text := range a.Guessed {
			flow(w, "  ", text)
		}
	}
	for _, e := range a.Events {
		flow(w, "  ", fmt.Sprintf("Event %s: %d", e.Event, e.Count))
	}
	if len(a.Rejected) > 0 {
		fmt.Fprintln(w, "\nRefused:")
	}
	for _, r := range a.Rejected[:min(len(a.Rejected), mostTold)] {
		flow(w, "  ", fmt.Sprintf("line %d: %s", r.Line, r.Why))
	}
	if more := len(a.Rejected) - mostTold; more > 0 {
		flow(w, "  ", fmt.Sprintf("and %d more; --json lists them all", more))
	}
	if a.Written != nil {
		fmt.Fprintf(w, "\n%s is written: %s.\n", c.Out, strings.Join(a.Written, ", "))
	}
}

// flow writes text as say does, but breaks lines at blanks alone, so that flags
// can be copied.
func flow(w io.Writer, indent, text string) {
	line := indent
	for _, word := range strings.Fields(text) {
		if len([]rune(line))+1+len([]rune(word)) > width && line != indent {
			fmt.Fprintln(w, line)
			line = indent
		}
		if line != indent {
			line += " "
		}
		line += word
	}
	fmt.Fprintln(w, line)
}
