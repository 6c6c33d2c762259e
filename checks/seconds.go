package checks

import (
	"fmt"
	"math"
	"time"

	"turnsole/sky"
	"turnsole/weather"
)

// livermore2014 is a day of global light every 2 s.
var livermore2014 = station{
	name: "Livermore, 18 May 2014", file: "fast-livermore-2014-05-18-2s.csv.gz",
	spot: spotAt(37.68, -121.77, 150), stepS: 2,
	ghi: 1, dni: -1, dhi: -1, tracked: -1, fixed: -1,
	split: byComma, time: livermoreTime,
}

// livermoreTime reads seconds since midnight of the zone's standard time: the
// clear afternoon lies evenly about noon so.
func livermoreTime(words []string) (time.Time, error) {
	s := figure(words, 0)
	if s != s {
		return time.Time{}, fmt.Errorf("no time")
	}
	return time.Date(2014, 5, 18, 8, 0, 0, 0, time.UTC).Add(time.Duration(s) * time.Second), nil
}

func secondsRooms() []Room {
	return []Room{{
		Title: "Clouds at seconds",
		Source: "light measured every 2 s to 5 minutes; the means of steps given, seconds made with 20 seeds. The rise of the noises is published (turbulence, and the clouds of Wood & Field 2011, Journal of Climate 24:4800, from memory); the softness of the veils and the quickest and slowest noise were set by trial on the beam of Madrid, June 2019, and Livermore from 7, 9 and 11 o'clock, with an eye on Livermore's other hours, Golden 2012 and Madrid 2020. Golden, February 2019, served for no fit. " +
			"The beam between clouds is the day's own, by the clearest twentieth of its rows. Livermore's beam is split off its global light (Linke turbidity 3; Engerer 2), and its runs are of global light above and below 0.7 of the clear one, elsewhere of the beam above and below 0.5",
		Reason: "one day has one kind of cloud, made days have all kinds: 0.30 between distributions of the light over the clear light; 0.60 between those of the lengths of runs, of which there are a few dozen, the short ones cut by rows of a minute; a factor of 2.6 for the size of changes and the lengths of runs, in which the measured sets differ by 5 to 10; 0.1 for the diffuse light, as single hours stray. Half and double the rate bracket the switching of a day, or miss it by a factor of less than 1.4: Madrid in June switches less, its March day and the odd hours of Livermore more than that",
		Need:   Data,
		Run:    secondsChecks,
	}}
}

// quick is light measured quickly: a value for every row, NaN where nothing
// was measured or the sun stands low.
type quick struct {
	name        string
	rowS        float64
	middle      float64   // share of the clear light that parts sun from cloud
	value       []float64 // beam or global light, W/m2
	clear       []float64 // the same without cloud, W/m2
	beam        []float64 // without cloud, facing the sun, W/m2
	up          []float64 // of the beam in the value: sine of the sun's elevation, or 1
	parting     func(from, to int, mean float64) (dniWm2, dhiWm2 float64)
	hoursParity int // only odd hours (1) or even ones (0); -1 for all
}

// quickBeam takes the beam of a station. That between clouds is the clearest
// air's, hazier by what the day's clearest rows show.
func quickBeam(s station, dir string) (quick, error) {
	q := quick{name: s.name, rowS: 60, middle: 0.5, hoursParity: -1}
	clearest, up, err := q.readBeam(s, dir)
	if err != nil {
		return quick{}, err
	}
	day := int(86400 / q.rowS)
	for from := 0; from+day <= len(q.value); from += day {
		var implied []float64 // Linke turbidity above the clearest air's
		for i := from; i < from+day; i++ {
			implied = append(implied, math.Log(clearest[i]/q.value[i])/dimming(up[i]))
		}
		haze := math.NaN() // a day without light
		if len(sortedNumbers(implied)) > 0 {
			haze = max(quantile(implied, 0.05), 0)
		}
		for i := from; i < from+day; i++ {
			q.clear, q.up = append(q.clear, clearest[i]*math.Exp(-haze*dimming(up[i]))), append(q.up, 1)
		}
	}
	q.beam = q.clear
	q.value = q.value[:len(q.clear)]
	q.parting = func(_, _ int, mean float64) (float64, float64) { return mean, 0 }
	return q, nil
}

// readBeam reads rows of whole days, and the beam under the clearest air.
func (q *quick) readBeam(s station, dir string) (clearest, up []float64, err error) {
	if s.stepS < 300 {
		d, err := beamByMinute(s, dir)
		q.value = d.beam
		return d.clearest, d.up, err
	}
	q.rowS = float64(s.stepS)
	rows, err := s.read(dir)
	air := sky.NewClear(s.spot.AltitudeM, 2)
	for _, r := range rows {
		could := math.NaN()
		if r.up > 0.17 {
			could = air.Light(r.up, r.extraNormal).DNI
		}
		q.value, clearest, up = append(q.value, max(r.dni, 0)), append(clearest, could), append(up, r.up)
	}
	return clearest, up, err
}

// dimming is how much one more clean dry atmosphere dims the beam, as a
// logarithm (Ineichen & Perez 2002).
func dimming(up float64) float64 { return 0.09 * sky.AirMass(up) }

// quickGlobal takes global light, which is parted step by step.
func quickGlobal(s station, dir string, stepS float64) (quick, error) {
	rows, err := s.read(dir)
	if err != nil {
		return quick{}, err
	}
	q := quick{name: s.name, rowS: float64(s.stepS), middle: 0.7}
	air, split := sky.NewClear(s.spot.AltitudeM, 3), sky.NewSplit(stepS)
	for _, r := range rows {
		could := sky.Light{GHI: math.NaN(), DNI: math.NaN()}
		if r.up > 0.17 && r.sunHour < 13 { // the afternoon was clear
			could = air.Light(r.up, r.extraNormal)
		}
		q.value, q.clear = append(q.value, r.ghi), append(q.clear, could.GHI)
		q.beam, q.up = append(q.beam, could.DNI), append(q.up, r.up)
	}
	q.parting = func(from, to int, mean float64) (float64, float64) {
		middle := (from + to) / 2
		r := rows[middle]
		l := split.Light(mean, q.clear[middle], r.up, r.extraNormal, r.sunHour)
		return l.DNI, l.DHI
	}
	return q, nil
}

// made makes every row anew from the means of steps; NaN outside whole steps.
func (q *quick) made(seed uint64, rate, stepS float64) []float64 {
	s := weather.NewSeconds(seed, rate, stepS)
	all := make([]float64, len(q.value))
	n := int(stepS / q.rowS)
	for from := 0; from+n <= len(all); from += n {
		to := from + n
		dni, dhi := q.parting(from, to, mean(q.value[from:to]))
		clear := mean(q.beam[from:to])
		s.Begin(int64(from/n), dni, clear, dhi)
		for i := from; i < to; i++ {
			if all[i] = q.row(s, float64(i-from), q.up[i]); math.IsNaN(dni+clear) || !q.keeps(i) {
				all[i] = math.NaN()
			}
		}
	}
	return all
}

func (q *quick) keeps(i int) bool {
	hour := int(float64(i) * q.rowS / 3600)
	return q.hoursParity < 0 || hour%2 == q.hoursParity
}

// row is the mean of a row, taken every 5 s where it is longer.
func (q *quick) row(s *weather.Seconds, i, up float64) float64 {
	sum, n := 0.0, math.Ceil(q.rowS/5)
	for k := range int(n) {
		dni, dhi := s.At((i + (float64(k)+0.5)/n) * q.rowS)
		sum += (dni*up + dhi) / n
	}
	return sum
}

// quickTally is what is compared: light over clear light, its changes within a
// minute (or a longer row), and how long it stays above and below the middle.
type quickTally struct {
	ratios, changes, open, covered []float64
	hours                          float64
}

// add takes the rows that are numbers in both.
func (t *quickTally) add(q *quick, value, both []float64) {
	ratio := func(i int) float64 {
		if i < 0 || math.IsNaN(both[i]) {
			return math.NaN()
		}
		return value[i] / q.clear[i]
	}
	minute := int(max(1, 60/q.rowS))
	last, run := math.NaN(), 0.0
	for i := range q.clear {
		r := ratio(i)
		if change := math.Abs(r - ratio(i-minute)); !math.IsNaN(change) {
			t.changes = append(t.changes, change)
		}
		if run > 0 && !math.IsNaN(r) && (r > q.middle) != (last > q.middle) {
			t.end(last > q.middle, run)
			run = 0
		}
		if last = r; math.IsNaN(r) {
			run = 0
			continue
		}
		t.ratios = append(t.ratios, r)
		t.hours += q.rowS / 3600
		run += q.rowS
	}
}

func (t *quickTally) end(open bool, run float64) {
	if open {
		t.open = append(t.open, run)
	} else {
		t.covered = append(t.covered, run)
	}
}

// switches are those in an hour.
func (t *quickTally) switches() float64 { return float64(len(t.open)+len(t.covered)) / t.hours }

func secondsChecks(dir string) ([]Check, error) {
	var checks []Check
	for _, s := range []station{madrid2019, golden2012, madrid2020, golden2019} {
		q, err := quickBeam(s, dir)
		if err != nil {
			return nil, err
		}
		for _, stepS := range []float64{3600, 900} {
			checks = append(checks, q.checks(stepS)...)
		}
	}
	for _, stepS := range []float64{3600, 900, 60} {
		q, err := quickGlobal(livermore2014, dir, stepS)
		if err != nil {
			return nil, err
		}
		for q.hoursParity = range 2 {
			q.name = livermore2014.name + []string{", even hours", ", odd hours"}[q.hoursParity]
			checks = append(checks, q.checks(stepS)...)
		}
	}
	for _, s := range []station{golden2012, madrid2020} {
		measured, made, err := edgeDiffuse(s, dir)
		if err != nil {
			return nil, err
		}
		what := s.name + ": diffuse light in minutes with 0.2 to 0.8 of the clear beam over that in other minutes of the broken hours"
		checks = append(checks, Check{what, measured, made, "", 0.1, 2})
	}
	return checks, nil
}

// edgeDiffuse returns how much brighter the sky is at the edges of clouds than
// elsewhere, as measured and as made within the hours.
func edgeDiffuse(s station, dir string) (measured, made float64, err error) {
	rows, err := s.read(dir)
	if err != nil {
		return 0, 0, err
	}
	air := sky.NewClear(s.spot.AltitudeM, 3)
	var was, is edges
	for from := 0; from+60 <= len(rows); from += 60 {
		var dni, clear, dhi []float64
		for _, r := range rows[from : from+60] {
			if r.up > 0.17 {
				dni, clear, dhi = append(dni, r.dni), append(clear, air.Light(r.up, r.extraNormal).DNI), append(dhi, r.dhi)
			}
		}
		share := mean(dni) / mean(clear)
		if len(dni) < 60 || !(share > 0.15 && share < 0.85) {
			continue
		}
		for i := range dni {
			was.add(dni[i]/clear[i], dhi[i]/mean(dhi))
		}
		for seed := range uint64(20) {
			seconds := weather.NewSeconds(seed, 1, 3600)
			seconds.Begin(int64(from/60), mean(dni), mean(clear), mean(dhi))
			for i := range dni {
				beam, diffuse := 0.0, 0.0
				for t := 2.5; t < 60; t += 5 {
					b, d := seconds.At(float64(i)*60 + t)
					beam, diffuse = beam+b/12, diffuse+d/12
				}
				is.add(beam/mean(clear), diffuse/mean(dhi))
			}
		}
	}
	return was.ratio(), is.ratio(), nil
}

// edges are the diffuse light of minutes at the edge of a cloud, and of others.
type edges struct{ at, off []float64 }

func (e *edges) add(beamShare, diffuse float64) {
	if beamShare > 0.2 && beamShare < 0.8 {
		e.at = append(e.at, diffuse)
	} else {
		e.off = append(e.off, diffuse)
	}
}

func (e *edges) ratio() float64 { return mean(e.at) / mean(e.off) }

// checks compares what was measured with what is made of it.
func (q *quick) checks(stepS float64) []Check {
	tallies := map[float64]*quickTally{}
	var measured quickTally
	for _, rate := range []float64{0.5, 1, 2} {
		made := &quickTally{}
		for seed := range uint64(20) {
			rows := q.made(seed, rate, stepS)
			made.add(q, rows, rows)
			if measured.hours == 0 {
				measured.add(q, q.value, rows)
			}
		}
		tallies[rate] = made
	}
	made := tallies[1]
	name := fmt.Sprintf("%s, within steps of %.0f s: ", q.name, stepS)
	runs := max(apart(measured.open, made.open), apart(measured.covered, made.covered))
	checks := []Check{
		{name + "light over the clear, largest distance of the distributions", 0, apart(measured.ratios, made.ratios), "", 0.30, 2},
		{name + "runs of sun or of cloud, largest distance of the distributions", 0, runs, "", 0.60, 2},
	}
	for _, c := range []struct {
		what           string
		measured, made float64
	}{
		{fmt.Sprintf("change within %.0f s that 95 %% do not exceed", max(60, q.rowS)), quantile(measured.changes, 0.95), quantile(made.changes, 0.95)},
		{"mean run of sun, s", mean(measured.open), mean(made.open)},
		{"mean run of cloud, s", mean(measured.covered), mean(made.covered)},
	} {
		what := fmt.Sprintf("%s%s, logarithm of made (%.2g) over measured (%.2g)", name, c.what, c.made, c.measured)
		checks = append(checks, Check{what, 0, math.Log(c.made / c.measured), "", math.Log(2.6), 2})
	}
	low, high := tallies[0.5].switches(), tallies[2].switches()
	outside := max(0, math.Log(low/measured.switches()), math.Log(measured.switches()/high))
	what := fmt.Sprintf("%sswitches in an hour (%.2g) outside those made at half and double the rate (%.2g, %.2g; as fitted %.2g), logarithm", name, measured.switches(), low, high, made.switches())
	return append(checks, Check{what, 0, outside, "", math.Log(1.4), 2})
}
