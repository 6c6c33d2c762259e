package checks

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"turnsole/compass"
	"turnsole/loop"
	logs "turnsole/reading"
	"turnsole/trial"
	"turnsole/weather"
)

// fullAfternoons is a charger that takes no more than 8 W, of some 50, after
// noon by the clock on every second day.
func fullAfternoons(d *trial.Day, second float64) float64 {
	noon := d.FirstS + float64(len(d.AimedWm2))*d.StepS/2
	if d.Date/86400%2 == 0 && second > noon {
		return 8
	}
	return math.Inf(1)
}

// clippedChecks tries trials by power, half of whose afternoons are clipped.
func clippedChecks(all []trialSky, tries int) ([]Check, error) {
	measure := trial.ByPower
	of := make([]outcome, tries)
	err := abreast(tries, func(i int) error {
		rng := rand.New(rand.NewPCG(8, uint64(i)))
		sky, drawn := drawFrom(all, allMixed, 7, rng)
		p := looking(10, measure)
		p.TakesW = fullAfternoons
		l, err := looked(p, &sky.rig, drawn, rng).log(allRows)
		if err != nil {
			return err
		}
		of[i], _, err = evaluated(&sky.rig, l, trial.Question{Measure: &measure}, drawn)
		return err
	})
	if err != nil {
		return nil, err
	}
	name := fmt.Sprintf("by power, half of the afternoons clipped, 7 mixed days, %d trials: ", tries)
	return faultRows(name, of, 0.8), nil
}

// faultRows hold a bias to some points and intervals to nine in ten.
func faultRows(name string, of []outcome, points float64) []Check {
	t, n := tell(of), float64(len(of))
	return []Check{{name + "bias", 0, t.bias, "points", points + chance*t.rms/math.Sqrt(n), 1},
		heldShort(name+"intervals that hold the truth, short of 90 %", t.coverage, 90, len(of))}
}

// chance is how many standard errors of the tries a figure may stray by.
const chance = 3.3

// nothingChecks tries trials in which turning gained nothing: a panel that is
// aimed at the still heading; and one that its drive, slipping, leaves there
// while the log tells of headings as ever.
func nothingChecks(all []trialSky, tries int) (checks []Check, err error) {
	measure := trial.ByLight
	for _, kind := range []struct {
		name string
		make func(*trial.Day, compass.Angle) *trial.Day
	}{{"aimed at still", neverTurned}, {"a drive that slips", slipped}} {
		of := make([]outcome, tries)
		err := abreast(tries, func(i int) error {
			rng := rand.New(rand.NewPCG(9, uint64(i)))
			sky, drawn := drawFrom(all, allMixed, 7, rng)
			days := make([]*trial.Day, len(drawn))
			for k := range drawn {
				days[k] = kind.make(drawn[k], sky.rig.Still)
			}
			l, err := looked(looking(10, measure), &sky.rig, days, rng).log(allRows)
			if err != nil {
				return err
			}
			o, _, err := evaluated(&sky.rig, l, trial.Question{Measure: &measure}, days)
			of[i] = o
			return err
		})
		if err != nil {
			return nil, err
		}
		name := fmt.Sprintf("nothing gained, %s, 7 days, %d trials: ", kind.name, tries)
		checks = append(checks, faultRows(name, of, 0.3)...)
	}
	return checks, nil
}

// neverTurned is a day on which the panel stayed at the still heading.
func neverTurned(d *trial.Day, still compass.Angle) *trial.Day {
	same := *d
	same.AimedWm2, same.AimedC, same.AimedFree = d.StillWm2, d.StillC, d.StillFree
	same.AimedDeg = slices.Repeat([]float32{float32(still)}, len(d.AimedDeg))
	return &same
}

// slipped is a day on which it stayed there and was told to have turned.
func slipped(d *trial.Day, still compass.Angle) *trial.Day {
	same := neverTurned(d, still)
	same.AimedDeg = d.AimedDeg
	return same
}

// wrong is what is wrong with a rig or what its builder believes of it.
type wrong struct {
	name    string
	believe func(*trial.Rig)    // what the log is judged by
	read    func(*logs.Reading) // what the log says
}

var wrongs = []wrong{
	{name: "nothing wrong"},
	{name: "an albedo of 0.2 taken for 0.35", believe: func(r *trial.Rig) {
		for m := range r.Season.Spot.Albedo {
			r.Season.Spot.Albedo[m] = 0.35
		}
	}},
	{name: "dirt of 3 %", read: func(r *logs.Reading) { r.CellA *= 0.97 }},
	{name: "a sensor 5 % too high", read: func(r *logs.Reading) { r.CellA *= 1.05 }},
	{name: "headings told 7 degrees too far", believe: func(r *trial.Rig) { r.HeadingWithin = trial.UnhomedWithin },
		read: func(r *logs.Reading) { r.HeadingDeg += 7 }},
}

// backChecks looks back over months of an aimed panel's record, some of each half
// year.
func backChecks(all []trialSky, months int) (checks []Check, err error) {
	for _, w := range wrongs {
		of := make([]outcome, months*len(all))
		err := abreast(len(of), func(i int) (err error) {
			of[i], err = w.back(&all[i/months], i%months, uint64(i))
			return err
		})
		if err != nil {
			return nil, err
		}
		t := tell(of)
		name := fmt.Sprintf("looking back over a month, %s, %d months: ", w.name, t.n)
		if w.believe == nil && w.read == nil {
			checks = append(checks, Check{name + "error, root mean square", 0, t.rms, "points", 1.5, 1})
		}
		checks = append(checks, heldShort(fmt.Sprintf("%sintervals (%.1f points to either side) that hold the truth, short of 90 %%", name, t.halfwidth), t.coverage, 90, t.n))
	}
	return checks, nil
}

// back looks back over a month with something wrong.
func (w wrong) back(sky *trialSky, k int, seed uint64) (outcome, error) {
	days, rig, measure := sky.month(k), sky.rig, trial.ByLight
	rig.CellFullA = 0.2
	p := looking(10, measure)
	p.EveryS = 0
	all := looked(p, &rig, days, rand.New(rand.NewPCG(10, seed)))
	if w.believe != nil {
		w.believe(&rig)
	}
	for i := range all {
		if w.read != nil {
			w.read(&all[i])
		}
	}
	l, err := all.log(allRows)
	if err != nil {
		return outcome{}, err
	}
	o, _, err := evaluated(&rig, l, trial.Question{Measure: &measure, Method: trial.LookingBack}, days)
	return o, err
}

// month is the k-th of five runs of 28 days of a half year, or nearly so.
func (s *trialSky) month(k int) (days []*trial.Day) {
	from := k * (len(s.days) - 28) / 4
	for i := range 28 {
		if d := s.days[from+i].Day; len(d.AimedWm2) > 0 {
			days = append(days, d)
		}
	}
	return inOrder(days)
}

// yearChecks holds what a fortnight's trial makes of the year against the year,
// for a builder whose model is wrong.
func yearChecks(dir string, tries int) (checks []Check, err error) {
	years, err := trialYears(dir)
	if err != nil {
		return nil, err
	}
	var bright, dark, modelOff []float64
	for n, y := range years[:len(modelsWrong)] {
		b, d, m, err := yearOf(y, modelsWrong[n], tries, uint64(n))
		if err != nil {
			return nil, err
		}
		bright, dark, modelOff = append(bright, b...), append(dark, d...), append(modelOff, m)
	}
	model := rootMeanSquare(modelOff)
	for _, half := range []struct {
		name   string
		off    []float64
		points float64
	}{{"bright", bright, 3}, {"dark", dark, 4}} {
		missed := 0.0
		for _, o := range half.off {
			if math.Abs(o) > half.points {
				missed++
			}
		}
		n := float64(len(half.off))
		name := fmt.Sprintf("from 14 days in the %s half to the year, %d trials: ", half.name, len(half.off))
		checks = append(checks,
			Check{fmt.Sprintf("%serrors above %.0f points", name, half.points), 0, 100 * missed / n, "%", 5 + 100*chance*math.Sqrt(0.05*0.95/n), 0},
			Check{fmt.Sprintf("%serror (%.1f points, rms) over the model's alone (%.1f)", name, rootMeanSquare(half.off), model), 0, rootMeanSquare(half.off) / model, "", 1, 2})
	}
	return checks, nil
}

// modelsWrong are what the builder of each year's rig is wrong about before a
// trial: Roskilde's takes a tilt of 40 for 45, Golden's an albedo of 0.2 for 0.35.
var modelsWrong = []wrong{
	{name: "tilt", believe: func(r *trial.Rig) { r.Season.Stand.Tilt += 5 }},
	{name: "albedo", believe: func(r *trial.Rig) {
		for m := range r.Season.Spot.Albedo {
			r.Season.Spot.Albedo[m] = 0.35
		}
	}},
}

// yearOf tries trials of a fortnight in a year and returns by how many points
// the year told of them is off, for both halves, and the model's before.
func yearOf(y skyYear, w wrong, tries int, seed uint64) (bright, dark []float64, model float64, err error) {
	rig, err := trialRig(y.spot)
	if err != nil {
		return nil, nil, 0, err
	}
	days, err := everyDay(&rig, y.year)
	if err != nil {
		return nil, nil, 0, err
	}
	believed := rig
	w.believe(&believed)
	modelled, err := everyDay(&believed, y.year)
	if err != nil {
		return nil, nil, 0, err
	}
	truth, promised := trial.Gained(days).Light, trial.Gained(modelled).Light
	bright, dark = make([]float64, tries), make([]float64, tries)
	err = abreast(2*tries, func(i int) error {
		rng := rand.New(rand.NewPCG(seed, uint64(i)))
		off, half := bright, halves["bright"]
		if i%2 == 1 {
			off, half = dark, halves["dark"]
		}
		at, err := yearTold(&rig, &believed, fortnight(days, half, rng), promised, rng)
		off[i/2] = 100 * (at - truth)
		return err
	})
	return bright, dark, 100 * (promised - truth), err
}

// everyDay lays out a year's days.
func everyDay(rig *trial.Rig, y *weather.Year) ([]*trial.Day, error) {
	ground, err := loop.Lay(context.Background(), &rig.Season, y)
	if err != nil {
		return nil, err
	}
	days := make([]*trial.Day, ground.Days())
	err = abreast(2, func(k int) error {
		stage, err := trial.NewStage(rig, ground, 1, trialRate)
		for i := k; i < len(days) && err == nil; i += 2 {
			days[i] = stage.Day(i)
		}
		return err
	})
	return days, err
}

// fortnight draws 14 days that follow one another in a half of the year.
func fortnight(days []*trial.Day, half [][2]int, rng *rand.Rand) []*trial.Day {
	for {
		stretch := half[rng.IntN(len(half))]
		from := stretch[0] + rng.IntN(stretch[1]-stretch[0]-14)
		if of := days[from : from+14]; of[13].Date-of[0].Date == 13*86400 {
			return of
		}
	}
}

func yearTold(rig, believed *trial.Rig, days []*trial.Day, promised float64, rng *rand.Rand) (float64, error) {
	measure := trial.ByLight
	l, err := looked(looking(10, measure), rig, days, rng).log(allRows)
	if err != nil {
		return 0, err
	}
	_, r, err := evaluated(believed, l, trial.Question{Measure: &measure}, days)
	if err != nil {
		return 0, fmt.Errorf("from %s: %w", time.Unix(days[0].Date, 0).UTC().Format(time.DateOnly), err)
	}
	return r.Year(trial.Promise{Gain: promised, Low: promised, High: promised}, 0.95).Value, nil
}
