package season_test

import (
	"context"
	"math"
	"testing"
	"time"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/season"
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

// rigAt is a plain rig with an endless battery and a board that draws nothing.
func rigAt(t testing.TB, spot place.Spot) season.Rig {
	t.Helper()
	diode, _, err := panel.Fit(panel.Label{PowerW: 80})
	if err != nil {
		t.Fatal(err)
	}
	return season.Rig{
		Spot: spot, Sky: plane.Isotropic, Glass: plane.DefaultGlass(), Diode: diode, Warmth: panel.OpenRack(),
		Battery: battery.System{Charger: charger(t, "mppt"), Battery: battery.Battery{Chemistry: lifepo4(t), CapacityWh: 512, Blocks: 1, Endless: true}},
		Stand:   stand.Stand{Tilt: 40, Lowest: 0, Highest: 90, Notches: 2, HandsFrom: 7, HandsTo: 21},
		Motor:   drive.DefaultMotor(), Board: drive.Board{WakeEveryS: 900},
	}
}

func lifepo4(t testing.TB) battery.Chemistry {
	t.Helper()
	c, err := battery.ChemistryNamed("lifepo4")
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func charger(t testing.TB, kind string) battery.Charger {
	t.Helper()
	c, err := battery.ChargerNamed(kind)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// days is a calendar of some days of 2025, on the clock of the spot.
func days(spot place.Spot, stepS int, dates ...season.MonthDay) weather.Calendar {
	offset := time.Duration(math.Round(float64(spot.Longitude)/15)) * time.Hour
	c := weather.Calendar{UTCOffset: offset, StepS: stepS}
	for _, d := range dates {
		c.Midnight = append(c.Midnight, time.Date(2025, time.Month(d.Month), d.Day, 0, 0, 0, 0, time.UTC).Add(-offset).Unix())
	}
	return c
}

// monthly is one day of every month, near enough its mean: a year in small.
func monthly(spot place.Spot) weather.Calendar {
	var dates []season.MonthDay
	for month := 1; month <= 12; month++ {
		dates = append(dates, season.MonthDay{Month: month, Day: 16})
	}
	return days(spot, 3600, dates...)
}

// wholeYear is all of 2025 by the hour.
func wholeYear(spot place.Spot) weather.Calendar {
	return row(spot, season.MonthDay{Month: 1, Day: 1}, 365)
}

// row is count days one after another, by the hour.
func row(spot place.Spot, first season.MonthDay, count int) weather.Calendar {
	c := days(spot, 3600, first)
	for len(c.Midnight) < count {
		c.Midnight = append(c.Midnight, c.Midnight[len(c.Midnight)-1]+86400)
	}
	return c
}

// air is the light of one row, W/m2.
type air func(day int, r weather.RowSky) (dni, dhi float64)

func clearAir(_ int, r weather.RowSky) (dni, dhi float64)    { return r.Clear.DNI, r.Clear.DHI }
func beamAir(_ int, r weather.RowSky) (dni, dhi float64)     { return r.Clear.DNI, 0 }
func overcastAir(_ int, r weather.RowSky) (dni, dhi float64) { return 0, 300 * r.Up }

// changing is clear, hazy and overcast from day to day and through each day,
// by arithmetic alone.
func changing(day int, r weather.RowSky) (dni, dhi float64) {
	open := 0.5 + 0.5*math.Sin(float64(day)*1.7+r.SunHour*0.6)
	return open * r.Clear.DNI, r.Clear.DHI + 0.3*(1-open)*r.Clear.DNI*r.Up
}

// sky is a year with the light of air, at 15 degrees C and with a light wind.
func sky(t testing.TB, spot place.Spot, c weather.Calendar, of air) *weather.Year {
	t.Helper()
	g, err := weather.NewGrid(context.Background(), spot, c, [12]float64{}, 0)
	if err != nil {
		t.Fatal(err)
	}
	n := c.Rows()
	y := &weather.Year{Calendar: c, Source: "formula",
		GHI: make([]float32, n), DNI: make([]float32, n), DHI: make([]float32, n),
		AirC: make([]float32, n), WindMS: make([]float32, n)}
	for i, r := range g.Sky() {
		y.AirC[i], y.WindMS[i] = 15, 2
		if r.Up > 0 {
			dni, dhi := of(i/c.RowsPerDay(), r)
			y.DNI[i], y.DHI[i] = float32(dni), float32(dhi)
			y.GHI[i] = float32(dni*r.Up + dhi)
		}
	}
	return y
}

func run(t testing.TB, in season.Input) *season.Outcome {
	t.Helper()
	out, err := season.Run(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// compare runs all ways through one year.
func compare(t testing.TB, rig season.Rig, y *weather.Year) *season.Outcome {
	t.Helper()
	return run(t, season.Input{Rig: rig, Years: []*weather.Year{y}, Ways: season.Ideal()})
}

// maker makes cloudy years at a spot.
func maker(t testing.TB, spot place.Spot) *weather.Maker {
	t.Helper()
	climate, _ := weather.NearestClimate(spot.Latitude).At(spot.Latitude)
	m, err := weather.NewMaker(spot, climate, 3600)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// figures are a sum's own, in the order of its fields.
func figures(s season.Sum) []float64 {
	return []float64{s.LightKWhM2, s.EnteredKWhM2, s.PanelWh, s.StoredWh, s.FullWh, s.ColdWh, s.LimitWh, s.ChargerWh, s.UsedWh, s.OwnUseWh, s.ShortDays, s.Days}
}

// near reports whether a and b differ by at most a share of the greater.
func near(a, b, share float64) bool {
	return math.Abs(a-b) <= share*math.Max(math.Abs(a), math.Abs(b))
}

func deg[N int | float64](a N) compass.Angle { return compass.Angle(a) }

func declination(midnight int64) float64 {
	jd := sun.JulianDayUnix(float64(midnight + 43200))
	return float64(sun.PositionAt(jd, sun.Observer{}, sun.DeltaT(jd)).Declination)
}

// opposite returns the midnight of the day about half a year later on which the
// sun stands most nearly as far on the other side of the equator.
func opposite(midnight int64) int64 {
	best, least := midnight, math.Inf(1)
	for day := int64(170); day < 196; day++ {
		m := midnight + day*86400
		if off := math.Abs(declination(m) + declination(midnight)); off < least {
			best, least = m, off
		}
	}
	return best
}
