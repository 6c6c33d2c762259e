package checks

import (
	"fmt"
	"math"
	"math/rand/v2"

	"turnsole/sky"
	"turnsole/weather"
)

// madrid2019 holds twelve days of beam alone.
var madrid2019 = station{
	name: "Madrid, June 2019", file: "minute-madrid-2019-06-dni.csv.gz",
	spot: spotAt(40.453, -3.727, 695), stepS: 61,
	dni: 1, ghi: -1, dhi: -1, tracked: -1, fixed: -1,
	split: byComma, time: stamped("2006-01-02 15:04:05", 1, 2),
}

// beamDays are days of beam by the minute over the beam under the clearest sky
// (Linke turbidity 2); NaN where nothing was measured or the sun stands below
// 10 degrees.
type beamDays struct {
	calendar weather.Calendar
	beam     []float64 // W/m2, each minute of the calendar
	up       []float64 // sine of the sun's elevation
	clearest []float64 // W/m2; NaN in minutes to be left out
}

func beamByMinute(s station, dir string) (beamDays, error) {
	rows, err := s.read(dir)
	if err != nil {
		return beamDays{}, err
	}
	var d beamDays
	offset := int64(math.Round(s.spot.Longitude.Degrees()/15)) * 3600
	air := sky.NewClear(s.spot.AltitudeM, 2)
	for _, r := range rows {
		if !(r.up > 0.17) || math.IsNaN(r.dni) {
			continue
		}
		local := r.at.Unix() + offset
		midnight := local - local%86400 - offset
		if n := len(d.calendar.Midnight); n == 0 || d.calendar.Midnight[n-1] != midnight {
			d.addDay(midnight)
		}
		i := len(d.beam) - 1440 + int(local%86400/60)
		d.beam[i], d.up[i] = max(r.dni, 0), r.up
		d.clearest[i] = air.Light(r.up, r.extraNormal).DNI
	}
	d.bridge()
	return d, nil
}

func (d *beamDays) addDay(midnight int64) {
	d.calendar.StepS = 3600
	d.calendar.Midnight = append(d.calendar.Midnight, midnight)
	for range 1440 {
		d.beam, d.up, d.clearest = append(d.beam, 0), append(d.up, 0), append(d.clearest, math.NaN())
	}
}

// bridge fills single minutes: a logger that writes every 61 s skips one now
// and then.
func (d *beamDays) bridge() {
	for i := 1; i+1 < len(d.beam); i++ {
		if clearest := (d.clearest[i-1] + d.clearest[i+1]) / 2; math.IsNaN(d.clearest[i]) && !math.IsNaN(clearest) {
			d.beam[i] = (d.beam[i-1] + d.beam[i+1]) / 2
			d.up[i] = (d.up[i-1] + d.up[i+1]) / 2
			d.clearest[i] = clearest
		}
	}
}

// hourly gives the hours that minutes are made within: the measured beam, and
// some diffuse light, which the made beam does not depend on.
func (d *beamDays) hourly() *weather.Year {
	n := d.calendar.Rows()
	y := &weather.Year{
		Calendar: d.calendar,
		GHI:      make([]float32, n), DNI: make([]float32, n), DHI: make([]float32, n),
		AirC: make([]float32, n), WindMS: make([]float32, n),
	}
	for i, beam := range d.beam {
		y.DNI[i/60] += float32(beam / 60)
		y.DHI[i/60] += float32(100 * d.up[i] / 60)
		y.GHI[i/60] += float32((beam + 100) * d.up[i] / 60)
	}
	return y
}

// minuteTally is what is compared: the beam over the clearest, its changes from
// minute to minute, and how long it stays above and below 0.45.
type minuteTally struct {
	ratios, changes []float64
	open, covered   []float64
}

func (t *minuteTally) add(d *beamDays, beam func(i int) float64) {
	last, run := math.NaN(), 0.0
	end := func() {
		if last > 0.45 {
			t.open = append(t.open, run)
		} else if run > 0 {
			t.covered = append(t.covered, run)
		}
		run = 0
	}
	for i, clearest := range d.clearest {
		ratio := beam(i) / clearest
		if !math.IsNaN(ratio) {
			t.ratios = append(t.ratios, ratio)
		}
		if change := math.Abs(ratio - last); !math.IsNaN(change) {
			t.changes = append(t.changes, change)
		}
		if math.IsNaN(ratio) || (ratio > 0.45) != (last > 0.45) {
			end()
		}
		if last = ratio; !math.IsNaN(ratio) {
			run++
		}
	}
	end()
}

func madeMinuteChecks(dir string) ([]Check, error) {
	var checks []Check
	for _, s := range []station{madrid2019, golden2012, madrid2020} {
		d, err := beamByMinute(s, dir)
		if err != nil {
			return nil, err
		}
		finer, err := weather.NewFiner(s.spot, d.calendar, weather.UsualClouds())
		if err != nil {
			return nil, err
		}
		var measured, made minuteTally
		measured.add(&d, func(i int) float64 { return d.beam[i] })
		hourly, rng := d.hourly(), rand.New(rand.NewPCG(3, 3))
		var y weather.Year
		for range 20 {
			finer.Make(rng, hourly, &y)
			made.add(&d, func(i int) float64 { return float64(y.DNI[i]) })
		}
		checks = append(checks, measured.against(&made, s.name)...)
	}
	return checks, nil
}

func (t *minuteTally) against(made *minuteTally, name string) []Check {
	checks := []Check{{name + ": beam over the clearest, largest distance of the distributions", 0, apart(t.ratios, made.ratios), "", 0.20, 2}}
	for _, c := range []struct {
		what           string
		measured, made float64
	}{
		{"change that 90 % of minutes do not exceed", quantile(t.changes, 0.9), quantile(made.changes, 0.9)},
		{"change that 95 % of minutes do not exceed", quantile(t.changes, 0.95), quantile(made.changes, 0.95)},
		{"mean run of open sun, minutes", mean(t.open), mean(made.open)},
		{"mean run of covered sun, minutes", mean(t.covered), mean(made.covered)},
	} {
		what := fmt.Sprintf("%s: %s, logarithm of made (%.2g) over measured (%.2g)", name, c.what, c.made, c.measured)
		checks = append(checks, Check{what, 0, math.Log(c.made / c.measured), "", math.Log(2.2), 2})
	}
	return checks
}

func quantile(x []float64, q float64) float64 {
	x = sortedNumbers(x)
	return x[int(q*float64(len(x)))]
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}
