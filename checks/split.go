package checks

import (
	"fmt"
	"math"
	"time"

	"turnsole/compass"
	"turnsole/sky"
)

func splitRooms() []Room {
	return []Room{
		{
			Title:  "Clear sky against measured clear days",
			Source: "Alamosa, Colorado, 1 January 2016 (NOAA surface radiation network) and Tucson, Arizona, 18 October 2018 (NREL), minutes without cloud, global light by the sun's height",
			Reason: "5 % or 8 W/m2: pyranometers are good to about 3 % at best, and less at low sun. The one free figure, the turbidity, is the one whose beam fits the day's best: 2.1 and 2.3",
			Need:   Data,
			Run:    clearDayChecks,
		},
		{
			Title:  "Diffuse light from global light alone, minutes",
			Source: "Bright & Engerer 2019, J. Renewable Sustainable Energy 11:033701 (one-minute refit) against the diffuse light measured at four stations, sun above 5 degrees",
			Reason: "mean within 10 % of the mean global light, scatter within 20 %: no split knows a single day; comparisons of minute splits over many stations find beam errors of 15 to 30 % RMS for good ones (Gueymard & Ruiz-Arias 2016, Solar Energy 128:1, from memory). The rows show what such a split does to a day",
			Need:   Data,
			Run:    minuteSplitChecks,
		},
		{
			Title:  "Diffuse light from global light alone, hours",
			Source: "Erbs, Klein & Duffie 1982, Solar Energy 28:293, and the sixty-minute refit of Bright & Engerer 2019, against hourly means of the diffuse light measured at the same stations",
			Reason: "the same: mean within 10 % of the mean global light, scatter within 20 %",
			Need:   Data,
			Run:    hourSplitChecks,
		},
	}
}

// clearDay is a day, or half of one, without a cloud and its turbidity.
var clearDays = []struct {
	station
	turbidity float64
}{{alamosa2016, 2.1}, {tucson2018, 2.3}}

func clearDayChecks(dir string) ([]Check, error) {
	var checks []Check
	for _, d := range clearDays {
		rows, err := d.read(dir)
		if err != nil {
			return nil, err
		}
		air := sky.NewClear(d.spot.AltitudeM, d.turbidity)
		for low := 0.0; low < 50; low += 5 {
			measured, ours := clearBand(rows, air, low, low+5)
			if math.IsNaN(measured) {
				continue
			}
			what := fmt.Sprintf("%s, sun at %.0f-%.0f degrees", d.name, low, low+5)
			checks = append(checks, Check{what, measured, ours, "W/m2", max(8, 0.05*measured), 0})
		}
	}
	return checks, nil
}

// clearBand returns mean global light, measured and clear, while the sun
// stands between two elevations and shines.
func clearBand(rows []sample, air sky.Clear, low, high float64) (measured, ours float64) {
	n := 0.0
	for _, r := range rows {
		h := float64(compass.Radians(math.Asin(r.up)))
		if h < max(low, 1) || h >= high || math.IsNaN(r.ghi+r.dni) || r.dni < 120 {
			continue
		}
		n++
		measured += r.ghi
		ours += air.Light(r.up, r.extraNormal).GHI
	}
	return measured / n, ours / n
}

var splitStations = []station{madrid2020, golden2012, tucson2018, alamosa2016}

func minuteSplitChecks(dir string) ([]Check, error) {
	return splitChecks(dir, time.Minute, map[string]splitter{"Engerer2, one minute": refit(60)})
}

func hourSplitChecks(dir string) ([]Check, error) {
	return splitChecks(dir, time.Hour, map[string]splitter{"Erbs": erbs, "Engerer2, sixty minutes": refit(3600)})
}

// splitter returns diffuse light from a mean sample and its clear light.
type splitter func(r sample, clearGHI, sunHour float64) float64

func erbs(r sample, _, _ float64) float64 { return sky.Erbs(r.ghi, r.up, r.extraNormal).DHI }

func refit(stepS float64) splitter {
	s := sky.NewSplit(stepS)
	return func(r sample, clearGHI, sunHour float64) float64 {
		return s.Light(r.ghi, clearGHI, r.up, r.extraNormal, sunHour).DHI
	}
}

func splitChecks(dir string, over time.Duration, by map[string]splitter) ([]Check, error) {
	var checks []Check
	for _, s := range splitStations {
		rows, err := s.read(dir)
		if err != nil {
			return nil, err
		}
		rows = averaged(rows, over)
		for _, name := range []string{"Erbs", "Engerer2, one minute", "Engerer2, sixty minutes"} {
			if split, ok := by[name]; ok {
				checks = append(checks, splitErrors(s, rows, name, split)...)
			}
		}
	}
	return checks, nil
}

func splitErrors(s station, rows []sample, name string, split splitter) []Check {
	air := sky.NewClear(s.spot.AltitudeM, turbidityOf(s, rows))
	var n, global, bias, square float64
	for _, r := range rows {
		d := split(r, air.Light(r.up, r.extraNormal).GHI, r.sunHour) - r.dhi
		n, global, bias, square = n+1, global+r.ghi, bias+d, square+d*d
	}
	mean := global / n
	what := s.name + ", " + name
	return []Check{
		{what + ": mean error of the diffuse, of the mean global", 0, 100 * bias / n / mean, "%", 10, 1},
		{what + ": RMS", 0, 100 * math.Sqrt(square/n) / mean, "%", 20, 1},
	}
}

// turbidityOf is the usual turbidity of the day's month: what a user without
// better knowledge has.
func turbidityOf(s station, rows []sample) float64 {
	return sky.Turbidity(s.spot.Latitude)[rows[0].at.Month()-1]
}

// averaged averages the samples with the sun above 5 degrees and all three
// figures over stretches of time; a stretch less than half full is left out.
func averaged(rows []sample, over time.Duration) []sample {
	var ms []sample
	count := 0.0
	var full float64
	if len(rows) > 1 {
		full = float64(over / rows[1].at.Sub(rows[0].at))
	}
	finish := func() {
		if count == 0 {
			return
		}
		m := &ms[len(ms)-1]
		if count < full/2 {
			ms = ms[:len(ms)-1]
			return
		}
		m.ghi, m.dni, m.dhi, m.up, m.sunHour = m.ghi/count, m.dni/count, m.dhi/count, m.up/count, m.sunHour/count
	}
	for _, r := range rows {
		if r.up < 0.08715574 || math.IsNaN(r.ghi+r.dni+r.dhi) {
			continue
		}
		if count == 0 || !ms[len(ms)-1].at.Truncate(over).Equal(r.at.Truncate(over)) {
			finish()
			ms, count = append(ms, r), 1
			continue
		}
		m := &ms[len(ms)-1]
		m.ghi, m.dni, m.dhi, m.up, m.sunHour = m.ghi+r.ghi, m.dni+r.dni, m.dhi+r.dhi, m.up+r.up, m.sunHour+r.sunHour
		count++
	}
	finish()
	return ms
}
