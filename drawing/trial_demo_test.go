package drawing_test

import (
	"bytes"
	"context"
	"io"
	"math/rand/v2"
	"sync"
	"testing"

	"turnsole/answer"
	"turnsole/compass"
	"turnsole/loop"
	"turnsole/panel"
	"turnsole/reading"
	"turnsole/rigfile"
	"turnsole/season"
	"turnsole/trial"
	"turnsole/weather"
)

// invented is a trial that never was: the hut's rig under weather made by
// chance, with looks every quarter of an hour on ten days of June.
type invented struct {
	rig   *rigfile.Rig
	trial trial.Rig
	light *loop.Ground
	log   []byte
}

var inventTrial = sync.OnceValues(func() (*invented, error) {
	v := &invented{}
	var err error
	if v.rig, err = rigfile.Read("hut", []byte(rigfile.Examples()[0].TOML), nil); err != nil {
		return nil, err
	}
	spot := v.rig.Spots[0]
	diode, _, err := panel.Fit(v.rig.Panel)
	if err != nil {
		return nil, err
	}
	ideal := season.Rig{Spot: spot.Spot, Sky: spot.Weather.Sky, Glass: v.rig.Glass, Turbidity: spot.Weather.Turbidity, Diode: diode, Warmth: panel.OpenRack(),
		Battery: v.rig.System(), Loads: v.rig.Loads, Stand: v.rig.Stand, Motor: v.rig.Motor, Board: v.rig.Board}
	maker, err := weather.NewMaker(spot.Spot, *spot.Weather.Monthly, spot.Weather.StepS)
	if err != nil {
		return nil, err
	}
	var year weather.Year
	maker.Make(rand.New(rand.NewPCG(3, 0)), &year)
	if v.light, err = loop.Lay(context.Background(), &ideal, &year); err != nil {
		return nil, err
	}
	v.trial = trial.Rig{Season: ideal, SleepS: 900, Still: compass.Equatorward(spot.Latitude), HeadingWithin: trial.HomedWithin}
	v.log, err = v.write(160, 10)
	return v, err
})

// write runs the protocol through some days and writes down what it logs.
func (v *invented) write(from, days int) ([]byte, error) {
	stage, err := trial.NewStage(&v.trial, v.light, 5, 1)
	if err != nil {
		return nil, err
	}
	var log bytes.Buffer
	w, err := reading.NewWriter(&log, []string{"time", "panel_a", "panel_v", "heading_deg", "look", "pair"})
	if err != nil {
		return nil, err
	}
	p := trial.Protocol{EveryS: 900, GapS: 20, RecordS: 60, Measure: trial.ByPower, Volts: true, Sensor: v.rig.Sensor}
	rng := rand.New(rand.NewPCG(7, 7))
	next := 1
	for day := from; day < from+days; day++ {
		next = p.Run(stage.Day(day), &v.trial, next, rng, func(r *reading.Reading) {
			if err == nil {
				err = w.Write(r)
			}
		})
	}
	if err == nil {
		err = w.Flush()
	}
	return log.Bytes(), err
}

// of is the trial's result by its log.
func (v *invented) of(log []byte) (*answer.TrialResult, error) {
	return answer.RunTrial(context.Background(), answer.TrialQuestion{Rig: v.rig, Log: "invented.csv", Seed: 1, Replicates: 500,
		OpenLog: func(string) (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(log)), nil }})
}

var inventedResult = sync.OnceValues(func() (*answer.TrialResult, error) {
	v, err := inventTrial()
	if err != nil {
		return nil, err
	}
	return v.of(v.log)
})

func realTrial(t *testing.T) *answer.TrialResult {
	t.Helper()
	r, err := inventedResult()
	if err != nil {
		t.Fatal(err)
	}
	return r
}
