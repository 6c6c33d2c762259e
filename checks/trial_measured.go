package checks

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"turnsole/compass"
	"turnsole/plane"
	logs "turnsole/reading"
	"turnsole/trial"
)

func measuredTrialRooms() []Room {
	return []Room{
		{
			Title:  "Trials: measured tracker and fixed plane as looks of one panel",
			Source: madridSource + "; " + goldenSource + ". Each quarter of an hour a look at the fixed plane between two at the tracker: of the same row (a minute in Madrid, five in Golden), and in Madrid also a row apart; once from every row on which the day's first can fall; carried by all the tracker's rows between, or the looks alone. Against the gain of all rows",
			Reason: "points of gain. Mean over all first rows 0.5: together they are nearly all rows, but for those near dawn and dusk. 3 on 2 February, half of it cloud: the tracker's tilt is not the fixed plane's, as the estimate takes it to be, and under cloud the flatter plane gets up to a tenth more, which nothing foretells; the looks correct it, but those of unsteady light weigh little. Root mean square 3: a day is forty looks. 7 where looks lie a minute apart under Madrid's broken cloud. How often intervals hold is not tested: five days are too few",
			Need:   Data,
			Run:    measuredLooks,
		},
		{
			Title:  "Trials: measured tracker and fixed plane as blocks of half an hour",
			Source: madridSource + "; " + goldenSource + ". Half an hour of the tracker's rows and half an hour of the fixed plane's by turns, each two in random order, drawn 40 times; what was seen of both at each turn a minute (five in Golden) apart. Against the gain of all rows",
			Reason: "points of gain: 13 for the error (root mean square) of one day, whose dozen turns are all that is seen of both, a minute or five apart; 5 for its mean. Looks do better",
			Need:   Data,
			Run:    measuredBlocks,
		},
	}
}

const cloudyGolden = "2 February 2019"

// trialRigAt is the rig that stands for a day's two pyranometers: no glass, the
// fixed plane's tilt.
func (d trackedDay) trialRigAt(s station) (*trial.Rig, error) {
	r, err := trialRig(s.spot)
	if err != nil {
		return nil, err
	}
	r.Season.Glass, r.Season.Stand.Tilt, r.SleepS, r.CellFullA = plane.Glass{}, d.tilt, 60, 1
	return &r, nil
}

// both are the rows with light on tracker and fixed plane.
func (d trackedDay) both() (kept []sample) {
	for _, r := range d.rows {
		if r.up > 0 && r.tracked > 0 && r.fixed > 0 {
			kept = append(kept, r)
		}
	}
	return kept
}

func measuredGain(rows []sample) float64 {
	var tracked, fixed float64
	for _, r := range rows {
		tracked, fixed = tracked+r.tracked, fixed+r.fixed
	}
	return tracked/fixed - 1
}

// reading is a row as a look or, without one, as a part of the record.
func (r *sample) reading(look logs.Look, pair int) logs.Reading {
	to := logs.Empty()
	to.UnixS, to.HeadingDeg, to.CellA, to.Look, to.Pair = float64(r.at.Unix()), r.azimuthDeg, r.tracked/1000, look, pair
	if look == logs.StillLook {
		to.HeadingDeg, to.CellA = float64(compass.South), r.fixed/1000
	}
	return to
}

// phases are the logs of a day looked at from each row on.
func phases(rows []sample, stepS int, gap int) (all [][]logs.Reading) {
	every := 900 / stepS
	for phase := range every {
		var log []logs.Reading
		pair := 0
		for i := range rows {
			if i%every != phase || i < gap || i+gap >= len(rows) {
				if i%every < phase-gap || i%every > phase+gap {
					log = append(log, rows[i].reading(logs.NoLook, 0))
				}
				continue
			}
			pair++
			three := [3]logs.Reading{rows[i-gap].reading(logs.AimedLook, pair), rows[i].reading(logs.StillLook, pair), rows[i+gap].reading(logs.AimedLook, pair)}
			if gap == 0 { // within a row
				three[0].UnixS, three[2].UnixS = three[1].UnixS-10, three[1].UnixS+10
			}
			log = append(log, three[:]...)
		}
		slices.SortStableFunc(log, func(a, b logs.Reading) int { return int(math.Copysign(1, a.UnixS-b.UnixS)) })
		all = append(all, log)
	}
	return all
}

// errors are how far a method's answers lie from the truth, points.
func errorsOf(rig *trial.Rig, all [][]logs.Reading, method string, truth float64) (off []float64, err error) {
	measure := trial.ByLight
	for _, log := range all {
		l, err := rows(log).log(allRows)
		if err != nil {
			return nil, err
		}
		r, err := trial.Evaluate(context.Background(), rig, l, trial.Question{Measure: &measure, Method: method, Replicates: 100})
		if err != nil {
			return nil, err
		}
		if r.Why != "" {
			return nil, fmt.Errorf("measured day: %s", r.Why)
		}
		off = append(off, 100*(r.TheseDays.Value-truth))
	}
	return off, nil
}

func rootMeanSquare(off []float64) float64 {
	square := 0.0
	for _, o := range off {
		square += o * o / float64(len(off))
	}
	return math.Sqrt(square)
}

func measuredLooks(dir string) (checks []Check, err error) {
	err = eachTrackedDay(dir, func(town string, s station, d trackedDay) error {
		kept := d.both()
		if len(kept) == 0 {
			return nil
		}
		rig, err := d.trialRigAt(s)
		if err != nil {
			return err
		}
		gaps := []int{0, 1}
		if s.stepS > 60 {
			gaps = gaps[:1]
		}
		truth := measuredGain(kept)
		for _, gap := range gaps {
			for _, way := range []string{trial.Plain, trial.Assisted} {
				off, err := errorsOf(rig, phases(kept, s.stepS, gap), way, truth)
				if err != nil {
					return err
				}
				points := 0.5
				if d.date == cloudyGolden && way == trial.Assisted {
					points = 3
				}
				name := fmt.Sprintf("%s, %s, gain %.1f %%, %s, rows apart %d: ", town, d.date, 100*truth, way, gap)
				checks = append(checks, Check{name + "mean error", 0, mean(off), "points", points, 1},
					Check{name + "error, root mean square", 0, rootMeanSquare(off), "points", 3 + 4*float64(gap), 1})
			}
		}
		return nil
	})
	return checks, err
}

// turnsOf is a log of a day by blocks of half an hour.
func turnsOf(rows []sample, rng *rand.Rand) (log []logs.Reading) {
	last, still := int64(-1), false
	for i := range rows {
		if block := rows[i].at.Unix() / 1800; block != last {
			if still = !still; block%2 == 0 || last < 0 {
				still = rng.IntN(2) == 0
			}
			last = block
		}
		look := logs.AimedLook
		if still {
			look = logs.StillLook
		}
		r := rows[i].reading(look, 0)
		r.Look = logs.NoLook
		log = append(log, r)
	}
	return log
}

func measuredBlocks(dir string) (checks []Check, err error) {
	rng := rand.New(rand.NewPCG(30, 60))
	err = eachTrackedDay(dir, func(town string, s station, d trackedDay) error {
		kept := d.both()
		if len(kept) == 0 {
			return nil
		}
		rig, err := d.trialRigAt(s)
		if err != nil {
			return err
		}
		var all [][]logs.Reading
		for range 40 {
			all = append(all, turnsOf(kept, rng))
		}
		truth := measuredGain(kept)
		off, err := errorsOf(rig, all, trial.Blocks, truth)
		if err != nil {
			return fmt.Errorf("%s, %s: %w", town, d.date, err)
		}
		name := fmt.Sprintf("%s, %s, gain %.1f %%: ", town, d.date, 100*truth)
		checks = append(checks, Check{name + "mean error", 0, mean(off), "points", 5, 1},
			Check{name + "error, root mean square", 0, rootMeanSquare(off), "points", 13, 1})
		return nil
	})
	return checks, err
}
