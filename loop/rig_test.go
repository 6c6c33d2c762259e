package loop

import (
	"context"
	"math"
	"testing"
	"time"

	"turnsole/aim"
	"turnsole/battery"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/season"
	"turnsole/sensor"
	"turnsole/stand"
	"turnsole/sun"
	"turnsole/weather"
)

// spotAt is a plain spot whose clock keeps the sun's time to within half an
// hour.
func spotAt(latitude, longitude compass.Angle) place.Spot {
	s := place.Spot{Latitude: latitude, Longitude: longitude}
	for m := range s.Albedo {
		s.Albedo[m] = 0.2
	}
	return s
}

// rigAt is a plain rig: no wind, an endless battery, a tracker that is perfect.
func rigAt(t testing.TB, spot place.Spot) Rig {
	t.Helper()
	diode, _, err := panel.Fit(panel.Label{PowerW: 80})
	must(t, err)
	cells, err := battery.ChemistryNamed("lifepo4")
	must(t, err)
	charger, err := battery.ChargerNamed("mppt")
	must(t, err)
	b := battery.New(cells, 512)
	b.Endless = true
	board, err := drive.BoardNamed("bare-chip")
	must(t, err)
	return Rig{
		Season: season.Rig{
			Spot: spot, Sky: plane.Isotropic, Glass: plane.DefaultGlass(), Diode: diode, Warmth: panel.OpenRack(),
			Battery: battery.System{Charger: charger, Battery: b},
			Stand:   stand.Stand{Tilt: 40, Lowest: 0, Highest: 90, Notches: 2, HandsFrom: 7, HandsTo: 21},
			Motor:   drive.DefaultMotor(), Board: board,
		},
		Train:  drive.DefaultTrain(),
		Axle:   drive.Axle{PanelKg: 6, WidthM: 0.7, LengthM: 0.8, Tilt: 40, BearingNm: 0.02},
		Sensor: sensor.Current{RangeA: 20, VPerA: 0.2, Bits: 24, ReferenceV: 5, Reads: 1},
		Clock:  true, BootS: 0.5,
	}
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// calendar is count days from a date of 2025 on, on the clock of the spot.
func calendar(spot place.Spot, stepS int, month time.Month, day, count int) weather.Calendar {
	offset := time.Duration(math.Round(float64(spot.Longitude)/15)) * time.Hour
	c := weather.Calendar{UTCOffset: offset, StepS: stepS}
	first := time.Date(2025, month, day, 0, 0, 0, 0, time.UTC).Add(-offset).Unix()
	for d := range count {
		c.Midnight = append(c.Midnight, first+86400*int64(d))
	}
	return c
}

// air is the light of one row, W/m2.
type air func(day int, r weather.RowSky) (dni, dhi float64)

func clearAir(_ int, r weather.RowSky) (dni, dhi float64)    { return r.Clear.DNI, r.Clear.DHI }
func beamAir(_ int, r weather.RowSky) (dni, dhi float64)     { return r.Clear.DNI, 0 }
func overcastAir(_ int, r weather.RowSky) (dni, dhi float64) { return 0, 300 * r.Up }

// changingAir is clear, hazy and overcast from day to day and through each day,
// by arithmetic alone.
func changingAir(day int, r weather.RowSky) (dni, dhi float64) {
	open := 0.5 + 0.5*math.Sin(float64(day)*1.7+r.SunHour*0.6)
	return open * r.Clear.DNI, r.Clear.DHI + 0.3*(1-open)*r.Clear.DNI*r.Up
}

// yearOf is a year with the light of air, with even warmth and wind.
func yearOf(t testing.TB, spot place.Spot, c weather.Calendar, of air, airC, windMS float32) *weather.Year {
	t.Helper()
	g, err := weather.NewGrid(context.Background(), spot, c, [12]float64{}, 0)
	must(t, err)
	n := c.Rows()
	y := &weather.Year{Calendar: c, Source: "formula",
		GHI: make([]float32, n), DNI: make([]float32, n), DHI: make([]float32, n),
		AirC: make([]float32, n), WindMS: make([]float32, n)}
	for i, r := range g.Sky() {
		y.AirC[i], y.WindMS[i] = airC, windMS
		if r.Up > 0 {
			dni, dhi := of(i/c.RowsPerDay(), r)
			y.DNI[i], y.DHI[i] = float32(dni), float32(dhi)
			y.GHI[i] = float32(dni*r.Up + dhi)
		}
	}
	return y
}

func lay(t testing.TB, rig *Rig, y *weather.Year) *Ground {
	t.Helper()
	g, err := Lay(context.Background(), &rig.Season, y)
	must(t, err)
	return g
}

func run(t testing.TB, g *Ground, in Input) *Outcome {
	t.Helper()
	out, err := Run(context.Background(), g, in)
	must(t, err)
	return out
}

// plain is a policy made of a function, for tests that need one that is
// perfect, stupid or hostile.
type plain func(s *aim.Sight) aim.Command

func (p plain) Next(s *aim.Sight) aim.Command { return p(s) }

func use(p plain) func(aim.Site) (aim.Policy, error) {
	return func(aim.Site) (aim.Policy, error) { return p, nil }
}

// follower turns to where the sun stands by the clock, and then sleeps.
func follower(sleepS float64) func(aim.Site) (aim.Policy, error) {
	return func(site aim.Site) (aim.Policy, error) {
		turned := false
		azimuth, elevation := make([]float64, 1), make([]float64, 1)
		return plain(func(s *aim.Sight) aim.Command {
			site.Path.Positions(sun.JulianDayUnix(s.UnixS), 1, azimuth, elevation)
			turned = !turned
			to := s.Told + compass.Turn(s.Told, compass.Angle(azimuth[0]))
			if to > site.High {
				to -= 360
			} else if to < site.Low {
				to += 360
			}
			if turned && elevation[0] > -3 {
				return aim.Command{Verb: aim.Turn, To: to}
			}
			return aim.Command{Verb: aim.Sleep, Seconds: sleepS}
		}), nil
	}
}

// sleeper never wakes.
func sleeper(s *aim.Sight) aim.Command { return aim.Command{Verb: aim.Sleep, Seconds: 86400} }
