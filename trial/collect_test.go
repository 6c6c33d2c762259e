package trial

import (
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"turnsole/reading"
)

func sortRows(rows []reading.Reading) {
	slices.SortStableFunc(rows, func(a, b reading.Reading) int { return sign(a.UnixS - b.UnixS) })
}

// row is a reading of a panel's current.
func row(unixS, amps float64) reading.Reading {
	r := reading.Empty()
	r.UnixS, r.PanelA, r.HeadingDeg = unixS, amps, 180
	return r
}

func TestCollectPartsSetups(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name string
		do   func(i int, r *reading.Reading) // to each of ten rows
		want int
	}{
		{"one", func(int, *reading.Reading) {}, 1},
		{"named once", func(i int, r *reading.Reading) { r.Setup = []string{"a", ""}[min(i, 1)] }, 1},
		{"another name", func(i int, r *reading.Reading) { r.Setup = []string{"a", "b"}[i/5] }, 2},
		{"another tilt", func(i int, r *reading.Reading) { r.TiltDeg = []float64{30, 45}[i/5] }, 2},
		{"as good as the same tilt", func(i int, r *reading.Reading) { r.TiltDeg = []float64{30, 30.5}[i/5] }, 1},
		{"a tilt told late", func(i int, r *reading.Reading) { r.TiltDeg = []float64{nan, 30}[i/5] }, 1},
		{"a storm", func(i int, r *reading.Reading) { r.Event = []string{"", "storm"}[i/5] }, 1},
	} {
		var rows []reading.Reading
		for i := range 10 {
			r := row(1e9+60*float64(i), 1)
			c.do(i, &r)
			rows = append(rows, r)
		}
		l := collected(t, rows)
		if len(l.Setups) != c.want {
			t.Errorf("%s: %d set-ups, must be %d", c.name, len(l.Setups), c.want)
		}
	}
}

// TestMovedPartsSetups: an event tells a new set-up where the log is read in
// order, and the rows after it, which name none, stay with it.
func TestMovedPartsSetups(t *testing.T) {
	for event, want := range map[string]int{"moved": 2, "notch": 2, "storm": 1} {
		log := "time,panel_a,event\n2026-06-01T12:00Z,1,\n2026-06-01T12:01Z,1," + event + "\n2026-06-01T12:02Z,1,\n2026-06-01T12:03Z,1,\n"
		rows, err := reading.NewReader(strings.NewReader(log))
		if err != nil {
			t.Fatal(err)
		}
		l, err := Collect(reading.NewTidy(rows, "").Next)
		if err != nil || len(l.Setups) != want || l.Readings != 4 {
			t.Errorf("%s: %v, %d set-ups of %d readings, must be %d of 4", event, err, len(l.Setups), l.Readings, want)
		}
	}
}

// TestCollectGoesBackToASetup: by name, as when two alternate.
func TestCollectGoesBackToASetup(t *testing.T) {
	var rows []reading.Reading
	for i := range 30 {
		r := row(1e9+60*float64(i), 1)
		r.Setup = []string{"a", "b", "a"}[i/10]
		rows = append(rows, r)
	}
	l := collected(t, rows)
	if len(l.Setups) != 2 || len(l.Setups[0].minutes) != 20 || len(l.Setups[1].minutes) != 10 {
		t.Errorf("%d set-ups", len(l.Setups))
	}
}

func TestCollectCounts(t *testing.T) {
	untimed := row(math.NaN(), 1)
	rows := []reading.Reading{row(1e9, 1), row(1e9, 1), row(1e9, 5), row(1e9+60, 1), untimed, row(1e9+30, 1), row(1e9+120, 1)}
	l := collected(t, rows)
	if l.Readings != 7 || l.Untimed != 1 || l.Clashes != 1 || l.Backward != 1 || l.FromS != 1e9 || l.ToS != 1e9+120 {
		t.Errorf("%+v", l)
	}
	s := l.Setups[0]
	if !slices.IsSortedFunc(s.minutes, func(a, b kept) int { return sign(a.unixS - b.unixS) }) {
		t.Error("the record is out of order")
	}
}

// TestCollectRefusedRows: rows that cannot be read are counted, and the rest is
// kept; any other error ends it.
func TestCollectRefusedRows(t *testing.T) {
	next := from([]reading.Reading{row(1e9, 1), row(1e9+60, 2)})
	n := 0
	l, err := Collect(func(r *reading.Reading) error {
		if n++; n == 2 {
			return &reading.RowError{Line: 3, Why: "no number"}
		}
		return next(r)
	})
	if err != nil || l.Refused != 1 || l.Readings != 2 || l.FirstWhy == nil {
		t.Errorf("%+v, %v", l, err)
	}
	broken := errors.New("broken")
	if _, err := Collect(func(*reading.Reading) error { return broken }); !errors.Is(err, broken) {
		t.Errorf("got %v", err)
	}
	if l, err := Collect(func(*reading.Reading) error { return io.EOF }); err != nil || len(l.Setups) != 0 {
		t.Errorf("an empty log: %+v, %v", l, err)
	}
}

// TestCollectMinuteMeans: the record's minute is the mean of what was read in
// it at one heading.
func TestCollectMinuteMeans(t *testing.T) {
	var rows []reading.Reading
	for i := range 60 {
		r := row(6e8+float64(i), float64(i))
		if i >= 40 {
			r.HeadingDeg = 200
		}
		rows = append(rows, r)
	}
	m := collected(t, rows).Setups[0].minutes
	if len(m) != 2 || m[0].n != 40 || math.Abs(m[0].panelA-19.5) > 1e-9 || math.Abs(m[1].panelA-49.5) > 1e-9 || math.Abs(m[0].unixS-6e8-19.5) > 1e-6 {
		t.Errorf("%+v", m)
	}
}
