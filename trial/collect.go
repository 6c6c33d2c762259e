package trial

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"turnsole/reading"
)

// Measure is what a log's looks are compared by.
type Measure int

// Measures.
const (
	ByLight   Measure = iota // a reference cell, or a panel shorted: light, whatever the battery does
	ByPower                  // the panel's watts
	ByCurrent                // the panel's amperes
)

func (m Measure) String() string {
	return [...]string{"light", "power", "current"}[min(max(m, ByLight), ByCurrent)]
}

// MeasureNamed returns the measure that String calls so.
func MeasureNamed(name string) (Measure, bool) {
	for m := ByLight; m <= ByCurrent; m++ {
		if m.String() == name {
			return m, true
		}
	}
	return 0, false
}

// figures are what a reading, or the mean of some, shows. NaN is unknown.
type figures struct{ panelA, panelV, panelW, cellA, stillA, batteryV float64 }

func figuresOf(r *reading.Reading) figures {
	return figures{r.PanelA, r.PanelV, r.PanelA * r.PanelV, r.CellA, r.StillA, r.BatteryV}
}

// seen is a labelled reading.
type seen struct {
	unixS      float64
	kind       reading.Look
	pair       int
	headingDeg float64
	figures
}

// kept is the mean of the unlabelled readings of a minute at one heading.
type kept struct {
	unixS, headingDeg float64 // middle of them
	n                 float64
	figures
	counts figures // how many readings had each
}

// Log is a trial's readings brought together: the looks one by one, what was
// kept between them minute by minute.
type Log struct {
	Setups []*Setup // in the order in which they began

	Readings   int
	Refused    int // rows that could not be read
	FirstWhy   error
	Untimed    int     // readings without a time
	Backward   int     // readings earlier than the one before
	Clashes    int     // two different readings of the same second, of the same measure
	TooMany    bool    // more set-ups than a trial has
	FromS, ToS float64 // Unix time of the first and last reading
	Has        struct{ PanelA, PanelV, CellA, StillA, BatteryV, Heading, Looks, Pairs bool }
	MostPanelA float64
}

// Setup is the stretch of a log between two movings of the rig or its notch.
type Setup struct {
	Name       string
	FromS, ToS float64
	TiltDeg    float64 // as logged; NaN where it is not
	Storms     int     // of its events those that are storms
	looks      []seen
	minutes    []kept
	open       kept
	last       figures
	lastS      float64
}

// joinDeg is how far headings may differ within one entry of the record, degrees.
const joinDeg = 1.5

// Collect reads a log to its end.
func Collect(next func(*reading.Reading) error) (*Log, error) {
	l := &Log{FromS: math.Inf(1), ToS: math.Inf(-1)}
	r := reading.Empty()
	var now *Setup
	for {
		err := next(&r)
		var row *reading.RowError
		switch {
		case errors.Is(err, io.EOF):
			l.close()
			return l, nil
		case errors.As(err, &row):
			if l.Refused++; l.FirstWhy == nil {
				l.FirstWhy = err
			}
			continue
		case err != nil:
			return nil, err
		}
		l.Readings++
		if math.IsNaN(r.UnixS) {
			l.Untimed++
			continue
		}
		now = l.setup(now, &r)
		l.note(now, &r)
	}
}

// setup is the set-up that a reading belongs to: the one of its name, unless
// the tilt has changed without a word. reading.Tidy has begun a new one where an
// event tells of a move.
func (l *Log) setup(now *Setup, r *reading.Reading) *Setup {
	if now != nil && (r.Setup == now.Name || r.Setup == "") && !tilted(now.TiltDeg, r.TiltDeg) {
		return now
	}
	name := r.Setup
	for _, s := range l.Setups {
		if s.Name == name && !tilted(s.TiltDeg, r.TiltDeg) {
			return s
		}
	}
	if name == "" || l.named(name) {
		name = fmt.Sprintf("%s%d", name, len(l.Setups)+1)
	}
	if len(l.Setups) >= mostSetups {
		l.TooMany = true
		return l.Setups[mostSetups-1]
	}
	s := &Setup{Name: name, FromS: r.UnixS, ToS: r.UnixS, TiltDeg: r.TiltDeg, lastS: math.Inf(-1)}
	l.Setups = append(l.Setups, s)
	return s
}

// mostSetups is more than a trial has.
const mostSetups = 200

func (l *Log) named(name string) bool {
	return slices.ContainsFunc(l.Setups, func(s *Setup) bool { return s.Name == name })
}

func tilted(before, now float64) bool { return math.Abs(now-before) > 1 }

// note takes a reading in.
func (l *Log) note(s *Setup, r *reading.Reading) {
	l.FromS, l.ToS = min(l.FromS, r.UnixS), max(l.ToS, r.UnixS)
	if math.IsNaN(s.TiltDeg) {
		s.TiltDeg = r.TiltDeg
	}
	if r.Event == "storm" {
		s.Storms++
	}
	if !r.Measured() {
		return
	}
	f := figuresOf(r)
	l.saw(r)
	switch {
	case r.UnixS < s.lastS:
		l.Backward++
	case r.UnixS == s.lastS && clash(&s.last, &f):
		l.Clashes++
	}
	s.last, s.lastS, s.ToS = f, r.UnixS, max(s.ToS, r.UnixS)
	switch r.Look {
	case reading.StillLook, reading.AimedLook:
		s.looks = append(s.looks, seen{r.UnixS, r.Look, r.Pair, r.HeadingDeg, f})
	case reading.NoLook:
		s.record(r.UnixS, r.HeadingDeg, &f)
	}
}

func clash(a, b *figures) bool {
	differ := func(x, y float64) bool { return math.Abs(x-y) > 0.2*max(math.Abs(x), math.Abs(y)) }
	return differ(a.panelA, b.panelA) || differ(a.cellA, b.cellA)
}

func (l *Log) saw(r *reading.Reading) {
	h := &l.Has
	h.PanelA = h.PanelA || !math.IsNaN(r.PanelA)
	h.PanelV = h.PanelV || !math.IsNaN(r.PanelV)
	h.CellA = h.CellA || !math.IsNaN(r.CellA)
	h.StillA = h.StillA || !math.IsNaN(r.StillA)
	h.BatteryV = h.BatteryV || !math.IsNaN(r.BatteryV)
	h.Heading = h.Heading || !math.IsNaN(r.HeadingDeg)
	h.Looks = h.Looks || r.Look == reading.StillLook || r.Look == reading.AimedLook
	h.Pairs = h.Pairs || r.Pair != 0
	if r.PanelA > l.MostPanelA {
		l.MostPanelA = r.PanelA
	}
}

// record adds an unlabelled reading to the minute that is open, or opens one.
func (s *Setup) record(unixS, headingDeg float64, f *figures) {
	o := &s.open
	same := o.n > 0 && math.Floor(unixS/60) == math.Floor(o.unixS/60) && !(math.Abs(headingDeg-o.headingDeg) > joinDeg)
	if !same {
		s.shut()
		*o = kept{unixS: unixS, headingDeg: headingDeg, figures: none}
	}
	o.n++
	o.unixS += (unixS - o.unixS) / o.n
	o.panelA, o.counts.panelA = join(o.panelA, o.counts.panelA, f.panelA)
	o.panelV, o.counts.panelV = join(o.panelV, o.counts.panelV, f.panelV)
	o.panelW, o.counts.panelW = join(o.panelW, o.counts.panelW, f.panelW)
	o.cellA, o.counts.cellA = join(o.cellA, o.counts.cellA, f.cellA)
	o.stillA, o.counts.stillA = join(o.stillA, o.counts.stillA, f.stillA)
	o.batteryV, o.counts.batteryV = join(o.batteryV, o.counts.batteryV, f.batteryV)
}

// none is a reading of nothing.
var none = figures{math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN(), math.NaN()}

// join adds a figure to a mean of n; what was not measured changes nothing.
func join(mean, n, figure float64) (float64, float64) {
	switch {
	case math.IsNaN(figure):
		return mean, n
	case n == 0:
		return figure, 1
	}
	return mean + (figure-mean)/(n+1), n + 1
}

// shut closes the minute that is open.
func (s *Setup) shut() {
	if s.open.n > 0 {
		s.minutes = append(s.minutes, s.open)
	}
	s.open.n = 0
}

// close ends the log.
func (l *Log) close() {
	for _, s := range l.Setups {
		s.shut()
		slices.SortStableFunc(s.minutes, func(a, b kept) int { return sign(a.unixS - b.unixS) })
		slices.SortStableFunc(s.looks, func(a, b seen) int { return sign(a.unixS - b.unixS) })
	}
}

func sign(x float64) int {
	switch {
	case x < 0:
		return -1
	case x > 0:
		return 1
	}
	return 0
}
