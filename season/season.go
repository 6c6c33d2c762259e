// Package season runs days and years: the light of every way of aiming through
// the same panel into the same battery, side by side, and finds the best tilts,
// headings and days to change them.
//
// The light is laid out once for each weather year and shared by all ways. A
// way is headings and tilts, step by step; season knows nothing else about it.
package season

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"turnsole/aim"
	"turnsole/battery"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/stand"
	"turnsole/weather"
)

// The ways of aiming that season can run, in the order in which they are told.
const (
	Flat           = "flat"            // lying flat
	Still          = "still"           // facing the equator at the rig's tilt: the baseline
	StillBest      = "still-best"      // facing the equator at the best single tilt
	TwoPanels      = "two-panels"      // a second still panel instead of a stand that turns
	Notches        = "notches"         // facing the equator, tilt changed on the best days
	ByHand2        = "by-hand-2"       // turned by hand twice a day
	ByHand4        = "by-hand-4"       // turned by hand four times a day
	Turning        = "turning"         // following the sun about the vertical axis
	TurningNotches = "turning-notches" // the same, tilt changed on the best days
	Controller     = "controller"      // as this rig's drive and controller do it: see Input.Aimed
	Facing         = "facing"          // square to the sun all day, two axes
)

// Ways returns the names of all ways in order. Controller needs Input.Aimed.
func Ways() []string {
	return []string{Flat, Still, StillBest, TwoPanels, Notches, ByHand2, ByHand4, Turning, TurningNotches, Controller, Facing}
}

// Ideal returns the ways that need nothing but the rig's place and weather.
func Ideal() []string {
	return slices.DeleteFunc(Ways(), func(w string) bool { return w == Controller })
}

// Rig is everything between the sky and the loads.
type Rig struct {
	Spot      place.Spot
	Turbidity [12]float64 // Linke turbidity by month
	Sky       plane.Sky
	Glass     plane.Glass
	Diode     panel.Diode
	Warmth    panel.Warmth
	Battery   battery.System
	Loads     []battery.Load
	Stand     stand.Stand
	Motor     drive.Motor
	Board     drive.Board
}

// MonthDay is a day of any year.
type MonthDay struct{ Month, Day int }

// Window is the part of the year that counts, both ends included; it may run
// across New Year. The zero Window is the whole year.
type Window struct{ From, To MonthDay }

// Whole reports whether the window is the whole year.
func (w Window) Whole() bool { return w == Window{} }

// Days returns the calendar's days that lie in the window, in the order in
// which they are lived.
func (w Window) Days(c weather.Calendar) []int {
	var before, after []int // of New Year, for a window that runs across it
	key := func(m MonthDay) int { return m.Month*100 + m.Day }
	from, to := key(w.From), key(w.To)
	for d := range c.Midnight {
		date := c.Date(d)
		k := int(date.Month())*100 + date.Day()
		switch {
		case w.Whole(), from <= to && k >= from && k <= to:
			before = append(before, d)
		case from > to && k >= from:
			before = append(before, d)
		case from > to && k <= to:
			after = append(after, d)
		}
	}
	return append(before, after...)
}

// Input is one question to the package.
type Input struct {
	Rig Rig
	// Years are recorded or typical years; where there are none, Maker makes
	// Runs years.
	Years []*weather.Year
	Maker *weather.Maker

	Ways []string // in any order; Still is always run, as the baseline
	// Aimed is where the panel points under the rig's own controller: asked for
	// once for each year that Controller is run through, perhaps from several
	// goroutines at once. Needed for that way only.
	Aimed  AimedFunc
	Window Window
	// Runs is how many years the spread rests on: made ones, or the recorded
	// ones resampled in blocks of BlockMin to BlockMax days.
	Runs               int
	BlockMin, BlockMax int
	Seed               uint64
	// Progress may be nil. It is called from several goroutines, one at a time,
	// and done never falls within a stage.
	Progress func(stage string, done, total int)
}

// AimedFunc runs a year, laid out on a grid as light, under a controller. It only
// reads them.
type AimedFunc func(ctx context.Context, y *weather.Year, grid *weather.Grid, light *plane.Light) (Aimed, error)

// Aimed is a year under a controller.
type Aimed struct {
	HeadingDeg []float32 // true, where the panel points in each step of the light
	OwnWh      []float32 // what the stand asks for in each hour of the year
}

// Sum is what one way brings in a stretch of time. What the panel gives is
// stored, or lost for one of four reasons: PanelWh = StoredWh + FullWh + ColdWh +
// LimitWh + ChargerWh.
type Sum struct {
	LightKWhM2   float64 // plane-of-array irradiation
	EnteredKWhM2 float64 // what is left of it behind the glass
	PanelWh      float64 // at the panel's terminals
	StoredWh     float64 // out of the charge controller, into the battery
	FullWh       float64 // not taken because the battery was full
	ColdWh       float64 // not taken because the battery was too cold to charge
	LimitWh      float64 // not taken because it was over a limit of charge controller or box
	ChargerWh    float64 // lost in the charge controller
	UsedWh       float64 // what the loads got, the stand among them
	OwnUseWh     float64 // what the stand drew
	OwnShortWh   float64 // what it asked beyond that: the battery was empty, and the controller without power
	ShortDays    float64 // days on which a load was not fully met
	Days         float64
}

// NetWh is what is left for the builder.
func (s Sum) NetWh() float64 { return s.UsedWh - s.OwnUseWh }

func (s *Sum) add(o Sum) {
	s.LightKWhM2 += o.LightKWhM2
	s.EnteredKWhM2 += o.EnteredKWhM2
	s.PanelWh += o.PanelWh
	s.StoredWh += o.StoredWh
	s.FullWh += o.FullWh
	s.ColdWh += o.ColdWh
	s.LimitWh += o.LimitWh
	s.ChargerWh += o.ChargerWh
	s.UsedWh += o.UsedWh
	s.OwnUseWh += o.OwnUseWh
	s.OwnShortWh += o.OwnShortWh
	s.ShortDays += o.ShortDays
	s.Days += o.Days
}

func (s Sum) over(n float64) Sum {
	return Sum{s.LightKWhM2 / n, s.EnteredKWhM2 / n, s.PanelWh / n, s.StoredWh / n, s.FullWh / n,
		s.ColdWh / n, s.LimitWh / n, s.ChargerWh / n, s.UsedWh / n, s.OwnUseWh / n, s.OwnShortWh / n, s.ShortDays / n, s.Days / n}
}

// Stretch is a run of days spent at one tilt.
type Stretch struct {
	From, To MonthDay
	Tilt     compass.Angle
}

// Row is one way with all that it brings.
type Row struct {
	Way       string
	Tilt      *compass.Angle // nil where it changes
	Stretches []Stretch      // where the tilt changes from season to season
	Hands     aim.Hands      // where somebody turns it by hand
	Total     Sum            // of the window
	Months    [12]Sum
	// FullAtHour is, by month, the mean hour of the wall clock at which the
	// battery first turned light away, over the FullDays on which it did.
	FullAtHour, FullDays [12]float64
	Runs                 [][12]Sum // by month in each run, the same weather for every way
}

// Outcome is the answer: one row for each way, in the order of Ways.
type Outcome struct {
	Rows []Row
	Days int // in the window
	// LostBeamWhM2 is the beam (on a plane facing the sun) that the weather
	// has beyond what can be there, a year, and that was left out.
	LostBeamWhM2 float64
}

// Row returns the row of a way, or nil.
func (o *Outcome) Row(way string) *Row {
	for i := range o.Rows {
		if o.Rows[i].Way == way {
			return &o.Rows[i]
		}
	}
	return nil
}

func (in *Input) validate() error {
	var calendars []weather.Calendar
	for _, y := range in.Years {
		calendars = append(calendars, y.Calendar)
	}
	switch {
	case in.Maker != nil && len(in.Years) == 0:
		calendars = append(calendars, in.Maker.Calendar())
		if in.Runs < 1 {
			return fmt.Errorf("%d made years: at least one is needed", in.Runs)
		}
	case len(calendars) == 0:
		return fmt.Errorf("no weather: neither recorded years nor figures to make them from")
	case in.Runs < 0 || in.Runs > 0 && !(in.BlockMin >= 1 && in.BlockMin <= in.BlockMax):
		return fmt.Errorf("%d years from blocks of %d to %d days: blocks go from 1 day up, the shortest first", in.Runs, in.BlockMin, in.BlockMax)
	}
	for _, w := range in.Ways {
		if w == Controller && in.Aimed == nil {
			return fmt.Errorf("the way %q needs a controller to run", w)
		}
		if !slices.Contains(Ways(), w) {
			return fmt.Errorf("no way of aiming is called %q; known are %s", w, strings.Join(Ways(), ", "))
		}
	}
	if err := in.Window.validate(); err != nil {
		return err
	}
	for _, c := range calendars {
		if c.StepS != calendars[0].StepS || len(c.Midnight) != len(calendars[0].Midnight) {
			return fmt.Errorf("recorded years that differ in length or step cannot be run together")
		}
		if len(in.Window.Days(c)) == 0 {
			return fmt.Errorf("the weather has no day %s", in.Window)
		}
	}
	return nil
}

// String says when: "from 11-01 to 02-28".
func (w Window) String() string {
	return fmt.Sprintf("from %02d-%02d to %02d-%02d", w.From.Month, w.From.Day, w.To.Month, w.To.Day)
}

func (w Window) validate() error {
	if w.Whole() {
		return nil
	}
	for _, d := range []MonthDay{w.From, w.To} {
		// 2025 is a year without 29 February, as weather years are.
		t := time.Date(2025, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC)
		if int(t.Month()) != d.Month || t.Day() != d.Day {
			return fmt.Errorf("%02d-%02d (month-day) is not a day of a weather year, which has no 29 February", d.Month, d.Day)
		}
	}
	return nil
}
