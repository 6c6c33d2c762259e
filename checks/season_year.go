package checks

import (
	"context"
	"fmt"
	"math"
	"slices"

	"turnsole/battery"
	"turnsole/drive"
	"turnsole/panel"
	"turnsole/plane"
	"turnsole/season"
	"turnsole/stand"
	"turnsole/weather"
)

// readyYear is an open year with a plain rig in it: 80 W, an endless battery,
// a board that draws nothing.
type readyYear struct {
	rig  season.Rig
	year *weather.Year
}

func (o openYear) ready(dir string) (*readyYear, error) {
	y, spot, err := o.read(dir)
	if err != nil {
		return nil, err
	}
	for m := range spot.Albedo {
		spot.Albedo[m] = 0.2
	}
	diode, _, err := panel.Fit(panel.Label{PowerW: 80})
	if err != nil {
		return nil, err
	}
	charger, err := battery.ChargerNamed("mppt")
	if err != nil {
		return nil, err
	}
	chemistry, err := battery.ChemistryNamed("lifepo4")
	if err != nil {
		return nil, err
	}
	chemistry.ColdLimitC = math.Inf(-1)
	b := battery.New(chemistry, 512)
	b.Endless = true
	return &readyYear{year: y, rig: season.Rig{
		Spot: spot, Sky: plane.Perez, Glass: plane.DefaultGlass(), Diode: diode, Warmth: panel.OpenRack(),
		Battery: battery.System{Charger: charger, Battery: b},
		Stand:   stand.Stand{Tilt: 40, Highest: 90, HandsFrom: 7, HandsTo: 21},
		Motor:   drive.DefaultMotor(), Board: drive.Board{WakeEveryS: 900},
	}}, nil
}

// run runs some ways through the year as it was.
func (y *readyYear) run(notches int, ways ...string) (*season.Outcome, error) {
	y.rig.Stand.Notches = notches
	return season.Run(context.Background(), season.Input{Rig: y.rig, Years: []*weather.Year{y.year}, Ways: ways})
}

// household gives the rig a battery to fill and empty, a lamp for the night,
// and a board with a draw.
func (y *readyYear) household() {
	y.rig.Battery.Battery.Endless = false
	y.rig.Loads = []battery.Load{{Name: "lamp", PowerW: 30, FromHour: 18, ToHour: 6}}
	y.rig.Board = drive.Board{AwakeW: 0.5, AsleepW: 0.1, WakeEveryS: 900, AwakeS: 20}
}

// lossless leaves nothing between what is stored and what is used but the
// charge at the year's end.
func (y *readyYear) lossless() {
	b := &y.rig.Battery.Battery
	b.Efficiency, b.TopEfficiency, b.SelfPerMonth, b.FloorShare, b.StartShare = 1, 1, 0, 0, 0
	y.rig.Battery.Charger.OwnA = 0
}

// held returns the tilts of a row, least first.
func held(r *season.Row) []float64 {
	var tilts []float64
	for _, s := range r.Stretches {
		tilts = append(tilts, float64(s.Tilt))
	}
	slices.Sort(tilts)
	for len(tilts) < 4 { // fewer stretches than asked for: none to compare with
		tilts = append(tilts, math.NaN())
	}
	return tilts
}

const (
	cloudyYear = "year-sand-point-55n.tmy3.csv.gz"
	plainsYear = "measured-golden-2019-2020-15min.csv.gz"
)

// twoYears readies a cloudy year and one of sun and frost.
func twoYears(dir string, do func(file string, y *readyYear) error) error {
	for _, o := range openYears {
		if o.file != cloudyYear && o.file != plainsYear {
			continue
		}
		y, err := o.ready(dir)
		if err != nil {
			return err
		}
		if err := do(o.file, y); err != nil {
			return err
		}
	}
	return nil
}

func ledgerChecks(dir string) (checks []Check, err error) {
	err = twoYears(dir, func(file string, y *readyYear) error {
		y.household()
		y.rig.Battery.Battery.ColdLimitC = 0
		y.rig.Battery.Charger.InputLimitW = 60
		out, err := y.run(2, season.Ideal()...)
		if err != nil {
			return err
		}
		checks = append(checks, Check{file + ": panel's energy not accounted for, worst of all ways", 0, unaccounted(out), "ppm", 1, 0})
		y.lossless()
		if out, err = y.run(2, season.Ideal()...); err != nil {
			return err
		}
		checks = append(checks, Check{file + ": stored and not used, beyond what the battery can hold", 0, beyond(out, 512), "Wh", 0.01, 2})
		return nil
	})
	return checks, err
}

// unaccounted is the greatest part of the panel's energy that no name is given
// for, in millionths.
func unaccounted(out *season.Outcome) float64 {
	worst := 0.0
	for _, r := range out.Rows {
		s := r.Total
		named := s.StoredWh + s.ChargerWh + s.LimitWh + s.FullWh + s.ColdWh
		worst = max(worst, 1e6*math.Abs(named/s.PanelWh-1))
	}
	return worst
}

// beyond is by how much stored less used leaves what a battery can hold that
// was empty at first.
func beyond(out *season.Outcome, capacityWh float64) float64 {
	worst := 0.0
	for _, r := range out.Rows {
		left := r.Total.StoredWh - r.Total.UsedWh
		worst = max(worst, -left, left-capacityWh)
	}
	return worst
}

func blockChecks(dir string) (checks []Check, err error) {
	err = twoYears(dir, func(file string, y *readyYear) error {
		y.household()
		y.rig.Stand.Notches = 1
		out, err := season.Run(context.Background(), season.Input{Rig: y.rig, Years: []*weather.Year{y.year},
			Ways: []string{season.Turning}, Runs: 200, BlockMin: 5, BlockMax: 15, Seed: 1})
		if err != nil {
			return err
		}
		for _, r := range out.Rows {
			mean := meanOf(r.RunTotals())
			name := fmt.Sprintf("%s, %s: ", file, r.Way)
			checks = append(checks,
				Check{name + "energy", 0, percentMore(mean.PanelWh, r.Total.PanelWh), "%", 0.5, 2},
				Check{name + "what the loads got", 0, percentMore(mean.UsedWh, r.Total.UsedWh), "%", 1, 2})
		}
		return nil
	})
	return checks, err
}

func meanOf(runs []season.Sum) (mean season.Sum) {
	for _, s := range runs {
		mean.PanelWh += s.PanelWh / float64(len(runs))
		mean.UsedWh += s.UsedWh / float64(len(runs))
	}
	return mean
}
