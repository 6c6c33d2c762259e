// Package answer has one function for each question a builder asks. It brings
// the rig file, the weather and the packages that reckon together; there are
// no physics here.
package answer

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"turnsole/compass"
	"turnsole/panel"
	"turnsole/rigfile"
	"turnsole/season"
	"turnsole/sky"
	"turnsole/weather"
)

// Open opens a file for reading; a relative path starts at the rig file.
type Open func(path string) (io.ReadCloser, error)

// A Window is the part of the year that counts, from one MonthDay to another.
type (
	Window   = season.Window
	MonthDay = season.MonthDay
)

// Progress tells how far a long answer is: done of total in a stage.
type Progress func(stage string, done, total int)

// WorthQuestion asks what each way of aiming is worth.
type WorthQuestion struct {
	Rig         *rigfile.Rig
	WeatherFile string // in place of the rig file's weather, "" for none
	Ways        []string
	Spot        string // the name of one spot; "" for all
	Window      Window
	Seed        uint64
	Open        Open
	Progress    Progress // may be nil
}

// Worth is the answer, one for each spot asked for.
type Worth struct{ Spots []SpotWorth }

// SpotWorth compares the ways of aiming at one spot.
type SpotWorth struct {
	Spot     string
	Baseline string
	Days     int // in the window
	Window   Window
	Endless  bool
	Ways     []WayWorth
	Value    []Value
	Verdict  string   // one sentence
	Findings []string // what stands behind it, a sentence each
	Weather  string   // what the years are, in one sentence
	Warnings []string // what in the weather makes the figures doubtful
	Notes    []string // what else was found in the weather file
	Assumed  []rigfile.Assumed
	Seed     uint64
	Runs     int // years behind the intervals
}

// WayWorth is one way of aiming.
type WayWorth struct {
	Way string
	Figures
	Months     [12]Figures
	Row        season.Row // tilt, stretches of days, visits of hands
	GainSpread string     // why an interval is missing, "" when it is there
}

// Way returns a way's figures, or nil.
func (s *SpotWorth) Way(name string) *WayWorth {
	for i := range s.Ways {
		if s.Ways[i].Way == name {
			return &s.Ways[i]
		}
	}
	return nil
}

// ModelPoints is the models' own uncertainty of a gain, in percentage points: on
// five days at two sites a computed gain lies 0.1 to 2.6 points from the
// measured one (docs/CHECKS.md, gain of a tracker). It comes on top of the
// spread from year to year.
const ModelPoints = 2.0

// BadInput marks an error that the person can mend in what was given.
type BadInput struct{ Err error }

func (e *BadInput) Error() string { return e.Err.Error() }

// Unwrap returns the error within.
func (e *BadInput) Unwrap() error { return e.Err }

func bad(format string, args ...any) error { return &BadInput{fmt.Errorf(format, args...)} }

// CompareWays answers what each way of aiming is worth.
func CompareWays(ctx context.Context, q WorthQuestion) (*Worth, error) {
	spots, err := spotsNamed(q.Rig, q.Spot)
	if err != nil {
		return nil, err
	}
	var answer Worth
	for _, spot := range spots {
		s, err := q.at(ctx, spot)
		if err != nil {
			return nil, err
		}
		answer.Spots = append(answer.Spots, *s)
	}
	return &answer, nil
}

// CheckSpot says which spots there are where a rig file has none of a name; ""
// is the first.
func CheckSpot(rig *rigfile.Rig, name string) error {
	_, err := spotsNamed(rig, name)
	return err
}

// spotsNamed returns the spot of a name, or all of them where it is "".
func spotsNamed(rig *rigfile.Rig, name string) ([]rigfile.Spot, error) {
	if name == "" {
		return rig.Spots, nil
	}
	var names []string
	for _, s := range rig.Spots {
		if s.Name == name {
			return []rigfile.Spot{s}, nil
		}
		names = append(names, fmt.Sprintf("%q", s.Name))
	}
	if len(names) == 1 && rig.Spots[0].Name == "" {
		return nil, bad("no spot is called %q: the rig file's only spot has no name; leave --spot out", name)
	}
	return nil, bad("no spot is called %q; the rig file has %s", name, strings.Join(names, ", "))
}

func (q *WorthQuestion) at(ctx context.Context, spot rigfile.Spot) (*SpotWorth, error) {
	s := &SpotWorth{Spot: spot.Name, Baseline: season.Still, Seed: q.Seed, Assumed: q.assumedAt(spot)}
	in, err := q.input(ctx, spot, s)
	if err != nil {
		return nil, err
	}
	out, err := season.Run(ctx, *in)
	if err != nil {
		if ctx.Err() != nil {
			return nil, err
		}
		return nil, &BadInput{err}
	}
	s.Endless = in.Rig.Battery.Battery.Endless
	s.Window = q.Window
	s.compare(out, in.Runs)
	s.Value = values(s, q.Rig)
	s.judge(&in.Rig, out)
	s.tellOfController()
	return s, nil
}

// tellOfController sets the rig's own controller beside exact turning, or says
// where it is to be had.
func (s *SpotWorth) tellOfController() {
	own, turning := s.Way(season.Controller), s.Way(season.Turning)
	switch {
	case own == nil && turning != nil && len(s.Ways) > 2:
		s.Findings = append(s.Findings, "Turning is taken to be exact; what this rig's own drive and controller make of it, turnsole aim tells.")
	case own != nil && turning != nil:
		days := float64(max(s.Days, 1))
		s.Findings = append(s.Findings, fmt.Sprintf("Turning is taken to be exact; this rig's own drive and controller, blown and delayed as they are, bring %s Wh a day over standing still instead of %s: turnsole aim says why.",
			Signed(own.ExtraNetWh/days, 1), Signed(turning.ExtraNetWh/days, 1)))
	}
}

// input brings rig and weather together for season.
func (q *WorthQuestion) input(ctx context.Context, spot rigfile.Spot, s *SpotWorth) (*season.Input, error) {
	rig, err := q.bind(spot, s)
	if err != nil {
		return nil, err
	}
	in := &season.Input{Rig: *rig, Ways: q.Ways, Window: q.Window, Seed: q.Seed, Progress: q.Progress,
		Runs: spot.Weather.Years, BlockMin: spot.Weather.BlockDaysMin, BlockMax: spot.Weather.BlockDaysMax}
	err = q.weather(ctx, spot, s, in)
	if len(in.Ways) == 0 {
		in.Ways = season.Ideal()
		if len(in.Years) > 0 { // a made year more would take as long as all the rest
			if why := q.loop(&in.Rig).sound(); why == nil {
				in.Ways = season.Ways()
			} else {
				s.Warnings = append(s.Warnings, "The row controller is left out: "+why.Error()+".")
			}
		}
	}
	in.Aimed = q.aimed(&in.Rig)
	if slices.Contains(in.Ways, season.Controller) {
		s.Assumed = append(s.Assumed, q.Rig.AssumedFor(rigfile.ForAim)...)
	}
	return in, err
}

// assumedAt leaves out what is assumed of other spots, and of made weather where
// a file takes its place.
func (q *WorthQuestion) assumedAt(spot rigfile.Spot) []rigfile.Assumed {
	return slices.DeleteFunc(slices.Clone(q.Rig.Assumed), func(a rigfile.Assumed) bool {
		if a.For != "" { // where the stand is cut and wired does not move the year's energy
			return true
		}
		if q.WeatherFile != "" && (strings.HasSuffix(a.Key, "weather.climate") || strings.HasSuffix(a.Key, "weather.step")) {
			return true
		}
		return slices.ContainsFunc(q.Rig.Spots, func(other rigfile.Spot) bool {
			return other.Name != spot.Name && strings.HasPrefix(a.Key, "spot."+other.Name+".")
		})
	})
}

// bind puts the rig file's parts together for one spot.
func (q *WorthQuestion) bind(spot rigfile.Spot, s *SpotWorth) (*season.Rig, error) {
	diode, assumed, err := panel.Fit(q.Rig.Panel)
	if err != nil {
		return nil, bad("panel: %v", err)
	}
	for _, a := range assumed {
		s.Assumed = append(s.Assumed, rigfile.Assumed{Key: "panel", Value: a})
	}
	return &season.Rig{
		Spot: spot.Spot, Sky: spot.Weather.Sky, Glass: q.Rig.Glass, Turbidity: spot.Weather.Turbidity,
		Diode: diode, Warmth: panel.OpenRack(),
		Battery: q.Rig.System(), Loads: q.Rig.Loads,
		Stand: q.Rig.Stand, Motor: q.Rig.Motor, Board: q.Rig.Board,
	}, nil
}

// weather finds the spot's years, or what makes them.
func (q *WorthQuestion) weather(ctx context.Context, spot rigfile.Spot, s *SpotWorth, in *season.Input) error {
	w := spot.Weather
	if q.WeatherFile != "" {
		w.File = q.WeatherFile
	}
	if w.File == "" {
		return q.madeWeather(spot, s, in)
	}
	if q.Progress != nil {
		q.Progress("reading the weather", 0, 1)
	}
	record, err := readWeather(ctx, spot, w.File, q.Open)
	if err != nil {
		return err
	}
	in.Years = record.Years
	if !record.Years[0].Whole() {
		in.Runs = 0 // some days say nothing of how years stray
	}
	for _, y := range record.Years {
		if spot.OwnGround {
			y.Albedo = nil // the builder's word goes above the file's
		}
	}
	if q.WeatherFile != "" && spot.Weather.File == "" {
		s.Assumed = append(s.Assumed, rigfile.Assumed{Key: "weather.block_days", Value: fmt.Sprintf("[%d, %d]", in.BlockMin, in.BlockMax),
			Why: "years for the spread are put together from blocks of so many days of the record, within their season"})
	}
	if s.tellOfRecord(record, spot) { // a beam belongs to the sun it was recorded under
		at, origin := &in.Rig.Spot, record.Origin
		at.Latitude, at.Longitude, at.AltitudeM = origin.Latitude, origin.Longitude, origin.AltitudeM
		if file := record.Years[0]; !keeps(at.Zone, file) {
			at.Zone = time.FixedZone("", int(file.UTCOffset/time.Second))
			s.Assumed = slices.DeleteFunc(s.Assumed, func(a rigfile.Assumed) bool {
				return strings.HasPrefix(a.Key, "spot.") && strings.HasSuffix(a.Key, ".zone") || a.Key == "spot.zone"
			})
		}
	}
	s.assumeTurbidity(spot, in.Rig.Spot.Latitude)
	return nil
}

// keeps reports whether a clock is the file's, apart from summer time.
func keeps(zone *time.Location, file *weather.Year) bool {
	if zone == nil {
		return false
	}
	for _, day := range []int{0, len(file.Midnight) / 2} { // winter and summer
		if file.Ahead(day, zone) == 0 {
			return true
		}
	}
	return false
}

// tellOfRecord says what the recorded weather is and what is to be known of it,
// and reports whether it is from far away.
func (s *SpotWorth) tellOfRecord(record *weather.Record, spot rigfile.Spot) (far bool) {
	s.Weather = recordedTitle(record)
	note, far := elsewhere(record.Origin, spot.Spot)
	if note != "" {
		s.Warnings = append(s.Warnings, note)
	}
	if y := record.Years[0]; !y.Whole() {
		s.Warnings = append(s.Warnings, fmt.Sprintf("The record has %s: the figures are theirs alone, and nothing is said of other days or years.", dayCount(len(y.Midnight))))
	}
	for _, y := range record.Years {
		s.Warnings = appendNew(s.Warnings, y.Warnings)
		s.Notes = appendNew(s.Notes, y.Notes)
	}
	return far
}

func appendNew(list, more []string) []string {
	for _, m := range more {
		if !slices.Contains(list, m) {
			list = append(list, m)
		}
	}
	return list
}

func (q *WorthQuestion) madeWeather(spot rigfile.Spot, s *SpotWorth, in *season.Input) error {
	maker, err := weather.NewMaker(spot.Spot, *spot.Weather.Monthly, spot.Weather.StepS)
	if err != nil {
		return bad("weather: %v", err)
	}
	in.Maker = maker
	from := "twelve monthly figures"
	if name := spot.Weather.Climate; name != "" {
		from = fmt.Sprintf("the built-in climate %q", name)
		if c, err := weather.ClimateNamed(name); err == nil {
			if _, shifted := c.At(spot.Latitude); shifted {
				from += ", its months shifted by half a year to this hemisphere"
			}
		}
	}
	s.Weather = fmt.Sprintf("%s made by chance from %s (seed %d); nobody measured them", yearCount(in.Runs), from, q.Seed)
	s.assumeTurbidity(spot, spot.Latitude)
	return nil
}

func (s *SpotWorth) assumeTurbidity(spot rigfile.Spot, latitude compass.Angle) {
	if spot.Weather.Turbidity != [12]float64{} {
		return
	}
	t := sky.Turbidity(latitude)
	s.Assumed = append(s.Assumed, rigfile.Assumed{Key: "weather.turbidity", Value: fmt.Sprintf("%.1f", t),
		Why: "usual Linke turbidity by month at this latitude; it shapes the hours around sunrise and sunset"})
}

// compare sets each way beside the baseline.
func (s *SpotWorth) compare(out *season.Outcome, runs int) {
	s.Days, s.Runs = out.Days, runs
	base := out.Row(season.Still)
	for _, row := range out.Rows {
		w := WayWorth{Way: row.Way, Row: row, Figures: figures(row.Total, base.Total)}
		w.spread(row.RunTotals(), base.RunTotals())
		switch {
		case runs == 1:
			w.GainSpread = "one year does not tell how years stray"
		case runs == 0:
			w.GainSpread = "the record is too short to say how years stray"
		case w.GainNet != nil && w.GainNetLow == nil:
			w.GainSpread = "in some years the still panel leaves too little to divide by"
		}
		for m := range w.Months {
			w.Months[m] = figures(row.Months[m], base.Months[m])
			w.Months[m].spread(row.RunMonths(m), base.RunMonths(m))
		}
		s.Ways = append(s.Ways, w)
	}
}
