package checks

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"time"

	"turnsole/loop"
	"turnsole/trial"
	"turnsole/weather"
)

// minuteDays are the days measured by the minute, and their clocks.
var minuteDays = []struct {
	station
	zoneHours int
	midnight  time.Time // by UTC
}{
	{madrid2020, 1, time.Date(2020, 3, 3, 23, 0, 0, 0, time.UTC)},
	{golden2012, -7, time.Date(2012, 5, 17, 7, 0, 0, 0, time.UTC)},
	{tucson2018, -7, time.Date(2018, 10, 18, 7, 0, 0, 0, time.UTC)},
	{alamosa2016, -7, time.Date(2016, 1, 1, 7, 0, 0, 0, time.UTC)}, // its file's day is UTC's and ends at dusk
}

// minuteDayChecks try days measured by the minute, one at a time, with looks 10 s
// apart that begin anew in each trial.
func minuteDayChecks(dir string, tries int) (checks []Check, err error) {
	for n, d := range minuteDays {
		rig, day, err := layMinutes(d.station, dir, d.midnight, d.zoneHours)
		if err != nil {
			return nil, err
		}
		measure := trial.ByLight
		of := make([]outcome, tries)
		err = abreast(tries, func(i int) error {
			days := []*trial.Day{day}
			l, err := looked(looking(10, measure), rig, days, rand.New(rand.NewPCG(uint64(n), uint64(i)))).log(allRows)
			if err != nil {
				return err
			}
			of[i], _, err = evaluated(rig, l, trial.Question{Measure: &measure}, days)
			return err
		})
		if err != nil {
			return nil, fmt.Errorf("%s: %w", d.name, err)
		}
		t := tell(of)
		checks = append(checks, faultRows(fmt.Sprintf("%s, that day alone, %d trials (gain %.1f %%, error %.1f points rms): ", shortName(d.name), tries, t.meanTrue, t.rms), of, 0.3)...)
	}
	return checks, nil
}

func shortName(name string) string { return strings.ReplaceAll(name, ", Colorado", "") }

// layMinutes lays out a day measured by the minute. Where a minute is lacking it
// is dark: the day is as true as any.
func layMinutes(s station, dir string, midnight time.Time, zoneHours int) (*trial.Rig, *trial.Day, error) {
	log, err := s.log(dir)
	if err != nil {
		return nil, nil, err
	}
	y := &weather.Year{Calendar: weather.Calendar{UTCOffset: time.Duration(zoneHours) * time.Hour, StepS: 60, Midnight: []int64{midnight.Unix()}}}
	for _, rows := range []*[]float32{&y.GHI, &y.DNI, &y.DHI, &y.AirC, &y.WindMS} {
		*rows = make([]float32, y.Rows())
	}
	for i := range y.AirC {
		y.AirC[i], y.WindMS[i] = 15, 2
	}
	for _, r := range log.rows {
		if i := int(r.unixS-float64(midnight.Unix())) / 60; i >= 0 && i < y.Rows() {
			y.DNI[i], y.DHI[i] = float32(r.dni), float32(r.dhi)
		}
	}
	rig, err := trialRig(s.spot)
	if err != nil {
		return nil, nil, err
	}
	ground, err := loop.Lay(context.Background(), &rig.Season, y)
	if err != nil {
		return nil, nil, err
	}
	stage, err := trial.NewStage(&rig, ground, 1, trialRate)
	if err != nil {
		return nil, nil, err
	}
	return &rig, stage.Day(0), nil
}
