package answer

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"turnsole/compass"
	"turnsole/hindsight"
	"turnsole/panel"
	"turnsole/reading"
	"turnsole/sun"
)

// minute is the mean of a log's minute, by its own clock or uptime.
type minute struct {
	boot int // of a log without a clock
	s    float64
	sum  [6]float64
	n    [6]int
}

func (m *minute) mean(k int) float64 { return m.sum[k] / float64(m.n[k]) } // NaN of none

func (m *minute) panelA() float64   { return m.mean(0) }
func (m *minute) cellA() float64    { return m.mean(1) }
func (m *minute) stillA() float64   { return m.mean(2) }
func (m *minute) panelV() float64   { return m.mean(3) }
func (m *minute) batteryV() float64 { return m.mean(4) }

// overs are values of a column that no rig gives.
type overs struct {
	count  int
	values []float64 // the first of them
}

// powerSpan is a power-up of a log without a clock.
type powerSpan struct {
	boot          int
	firstS, lastS float64
}

// Limits of what a look at a log keeps.
const (
	mostMinutes  = 6 * 366 * 1440
	mostHoles    = 400
	mostSteps    = 20000
	leastHoleS   = 600
	hopelessRows = 100000 // without one that could be kept
	restEvery    = 8192   // rows between looks at the time
)

// survey goes through the log once.
func (i *importing) survey() error {
	in, err := i.open()
	if err != nil {
		return err
	}
	defer in.Close()
	i.describe(in)
	i.faults = map[string]*overs{}
	events := map[string]int{}
	var steps []float64
	before, row := reading.Empty(), reading.Reading{}
	for n := 1; ; n++ {
		if n%restEvery == 0 {
			if err := i.rest("reading", in); err != nil {
				return err
			}
		}
		err := in.Tidy.Next(&row)
		if err == io.EOF {
			break
		}
		if refused, ok := err.(*reading.RowError); ok {
			if i.reject(refused); i.a.Kept == 0 && n >= hopelessRows {
				break
			}
			continue
		}
		if err != nil {
			return fmt.Errorf("%s: %w", i.q.Log, err)
		}
		i.a.Kept++
		if row.Event != "" {
			events[row.Event]++
		}
		i.add(&row)
		if step := i.step(&before, &row); step > 0 && len(steps) < mostSteps {
			steps = append(steps, step)
		}
		if len(i.minutes) > mostMinutes {
			return bad("%s: the log spans more than six years: cut it into parts", i.q.Log)
		}
		before = row
	}
	return i.sum(in, events, steps)
}

// describe notes what is read.
func (i *importing) describe(in *source) {
	i.a.Others = in.Others()
	if i.m != nil {
		i.a.Columns = i.m.Columns
	} else {
		for _, name := range in.Columns() {
			i.a.Columns = append(i.a.Columns, reading.Column{Heading: name, Name: name, Factor: 1})
		}
	}
	i.clocked = slices.Contains(in.Columns(), "time")
}

// rest tells how far it is, and stops where that is asked for.
func (i *importing) rest(stage string, in *source) error {
	if i.q.Progress != nil && i.size > 0 {
		i.q.Progress(stage, int(in.Bytes()>>10), int(max(i.size, in.Bytes())>>10))
	}
	return i.ctx.Err()
}

func (i *importing) reject(e *reading.RowError) {
	why := e.Why
	if e.Column != "" {
		why = "column " + e.Column + ": " + why
	}
	i.a.Rejected = append(i.a.Rejected, Rejected{e.Line, why})
	if math.IsNaN(e.Value) {
		return
	}
	o := i.faults[e.Column]
	if o == nil {
		o = &overs{}
		i.faults[e.Column] = o
	}
	if o.count++; len(o.values) < 10000 {
		o.values = append(o.values, math.Abs(e.Value))
	}
}

// add puts a row into its minute.
func (i *importing) add(r *reading.Reading) {
	s, boot := r.UnixS-i.q.ClockAheadS, 0
	if !i.clocked {
		s, boot = r.UptimeS, r.Boot
		if n := len(i.starts); n == 0 || i.starts[n-1].boot != boot {
			i.starts = append(i.starts, powerSpan{boot, s, s})
		}
		i.starts[len(i.starts)-1].lastS = s
	}
	at := 60*math.Floor(s/60) + 30
	n := len(i.minutes)
	if n == 0 || i.minutes[n-1].s != at || i.minutes[n-1].boot != boot {
		i.minutes = append(i.minutes, minute{boot: boot, s: at})
		n++
	}
	m := &i.minutes[n-1]
	for k, v := range [...]float64{r.PanelA, r.CellA, r.StillA, r.PanelV, r.BatteryV, r.BatteryA} {
		if !math.IsNaN(v) {
			m.sum[k] += v
			m.n[k]++
		}
	}
}

// step returns the time since the row before, and notes it where it is long.
func (i *importing) step(before, row *reading.Reading) float64 {
	a, b := before.UnixS-i.q.ClockAheadS, row.UnixS-i.q.ClockAheadS
	hole := Gap{FromUnixS: a, ToUnixS: b}
	if !i.clocked {
		if before.Boot != row.Boot {
			return 0
		}
		a, b = before.UptimeS, row.UptimeS
		hole = Gap{FromUnixS: a, ToUnixS: b, DayS: float64(row.Boot)} // the power-up, until it is known when that was
	}
	if b-a > leastHoleS {
		i.holes = append(i.holes, hole)
		if len(i.holes) > 2*mostHoles {
			i.longest(mostHoles)
		}
	}
	return b - a
}

func (i *importing) longest(most int) {
	slices.SortStableFunc(i.holes, func(a, b Gap) int { return cmp.Compare(b.ToUnixS-b.FromUnixS, a.ToUnixS-a.FromUnixS) })
	i.holes = i.holes[:min(len(i.holes), most)]
}

// sum closes the look.
func (i *importing) sum(in *source, events map[string]int, steps []float64) error {
	a := i.a
	if a.Kept == 0 {
		if err := i.mixedUp(); err != nil {
			return err
		}
		if len(a.Rejected) == 0 {
			return bad("%s: the log has headings but no rows", i.q.Log)
		}
		first := a.Rejected[0]
		return bad("%s: no row could be kept. Line %d: %s", i.q.Log, first.Line, first.Why)
	}
	slices.SortStableFunc(a.Rejected, func(a, b Rejected) int { return cmp.Compare(a.Line, b.Line) })
	a.Duplicates, a.Sorted, a.Setups = in.Duplicates, in.Sorted, in.Setups
	if slices.ContainsFunc(in.Columns(), func(name string) bool { return name == "boot" || name == "uptime_s" }) {
		a.Reboots = &in.Reboots
	}
	for event, count := range events {
		a.Events = append(a.Events, EventCount{event, count})
	}
	slices.SortFunc(a.Events, func(a, b EventCount) int {
		return cmp.Or(cmp.Compare(b.Count, a.Count), strings.Compare(a.Event, b.Event))
	})
	if slices.Sort(steps); len(steps) > 0 {
		a.EveryS = steps[len(steps)/2]
	}
	a.FromUnixS, a.ToUnixS = i.minutes[0].s, i.minutes[len(i.minutes)-1].s
	return nil
}

// glow is the light by the minute, from what tells it best, and what full
// sunshine gives; 0 where that is not known.
func (i *importing) glow() (glow []hindsight.Glow, fullA float64) {
	has := func(of func(*minute) float64) bool {
		known := 0
		for k := range i.minutes {
			if !math.IsNaN(of(&i.minutes[k])) {
				known++
			}
		}
		return 2*known > len(i.minutes)
	}
	of := (*minute).panelA
	switch {
	case has(of):
		fullA = i.fullA()
	case has((*minute).cellA):
		of = (*minute).cellA
	case has((*minute).stillA):
		of = (*minute).stillA
	case has((*minute).panelV):
		of = (*minute).panelV
	}
	glow = make([]hindsight.Glow, len(i.minutes))
	for k := range glow {
		glow[k] = hindsight.Glow{S: i.minutes[k].s, A: of(&i.minutes[k])}
	}
	return glow, fullA
}

// fullA is what the rig's panel gives in full sunshine, short-circuited; NaN
// where its label is wrong.
func (i *importing) fullA() float64 {
	diode, _, err := panel.Fit(i.q.Rig.Panel)
	if err != nil {
		return math.NaN()
	}
	return diode.ShortCircuitA(1000, 25)
}

// units looks for currents and voltages that are off by a factor of a thousand.
func (i *importing) units() error { return i.mixedUp() }

// mixedUp refuses a log whose figures are the panel's only in another unit, and
// says which.
func (i *importing) mixedUp() error {
	diode, _, err := panel.Fit(i.q.Rig.Panel)
	if err != nil {
		return bad("panel: %w", err)
	}
	amps, volts := 1.5*diode.ShortCircuitA(1000, 25), 1.2*diode.OpenCircuitV(1000, -10)
	battery := 1.4 * i.q.Rig.Battery.NominalV
	for _, c := range []struct {
		name, unit, small string
		most              float64
		of                func(*minute) float64
	}{{"panel_a", "A", "mA", amps, (*minute).panelA}, {"still_a", "A", "mA", amps, (*minute).stillA},
		{"panel_v", "V", "mV", volts, (*minute).panelV}, {"battery_v", "V", "mV", battery, (*minute).batteryV}} {
		if err := i.judgeUnit(c.name, c.unit, c.small, c.most, c.of); err != nil {
			return err
		}
	}
	return nil
}

func (i *importing) judgeUnit(name, unit, small string, most float64, of func(*minute) float64) error {
	at := slices.IndexFunc(i.a.Columns, func(c reading.Column) bool { return c.Name == name })
	if at < 0 || !(most > 0) {
		return nil
	}
	column := i.a.Columns[at]
	var figures []float64
	for k := range i.minutes {
		if v := math.Abs(of(&i.minutes[k])); !math.IsNaN(v) {
			figures = append(figures, v)
		}
	}
	if o := i.faults[column.Heading]; o != nil && 50*o.count > len(figures) {
		figures = append(figures, o.values...)
	}
	if len(figures) == 0 {
		return nil
	}
	slices.Sort(figures)
	top := figures[len(figures)*99/100]
	heading := column.Heading
	switch inThousandths := top / 1000; {
	case top > most && inThousandths > 0.005*most && inThousandths < 1.1*most:
		return bad("%s, column %s: figures such as %.4g %s; this rig gives at most %.3g %s. They are %s most likely: add --column \"%s=%s:%s\"",
			i.q.Log, heading, top, unit, most, unit, small, name, heading, small)
	case top > most:
		i.a.Cautions = append(i.a.Cautions, fmt.Sprintf("Column %s: figures such as %.3g %s, where this rig gives at most %.3g %s. Is the panel in the rig file the one that was measured, and is the sensor's scale right?", heading, top, unit, most, unit))
	case column.Unit == small && top < most/1500 && 1000*top > 0.02*most:
		return bad("%s, column %s: read as %s no figure is above %.2g %s, where this rig gives up to %.3g %s. They are %s most likely: add --column \"%s=%s:%s\"",
			i.q.Log, heading, small, top, unit, most, unit, unit, name, heading, unit)
	}
	return nil
}

// gaps finds the longest stretches without rows by day.
func (i *importing) gaps() error {
	i.longest(mostHoles)
	o := sun.At(i.spot)
	for _, g := range i.holes {
		if g.DayS = 0; g.ToUnixS-g.FromUnixS < max(leastHoleS, 4*i.a.EveryS) {
			continue
		}
		const stepS = 300
		steps := min(int((g.ToUnixS-g.FromUnixS)/stepS)+1, 400*288)
		azimuth, elevation := make([]float64, steps), make([]float64, steps)
		from := sun.JulianDayUnix(g.FromUnixS)
		sun.NewPath(o, from, sun.JulianDayUnix(g.ToUnixS)+1, sun.DeltaT(from)).Positions(from, stepS, azimuth, elevation)
		for _, e := range elevation {
			if compass.Angle(e) > 0 {
				g.DayS += stepS
			}
		}
		if g.DayS = min(g.DayS, g.ToUnixS-g.FromUnixS); g.DayS >= leastHoleS {
			i.a.Gaps = append(i.a.Gaps, g)
		}
	}
	slices.SortStableFunc(i.a.Gaps, func(a, b Gap) int { return cmp.Compare(b.DayS, a.DayS) })
	i.a.Gaps = i.a.Gaps[:min(len(i.a.Gaps), 5)]
	return nil
}
