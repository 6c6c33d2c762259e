package answer

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"turnsole/panel"
	"turnsole/rigfile"
	"turnsole/weather"
)

// CheckWeather reads what a rig file names and says what is wrong or odd about
// it: the panel's label, each spot's weather.
//
// An error is one of the machine, or of being interrupted.
func CheckWeather(ctx context.Context, rig *rigfile.Rig, open Open) (rigfile.Problems, error) {
	var problems rigfile.Problems
	note := func(key, severity, text string) { problems = append(problems, rig.Problem(key, severity, text)) }
	if _, _, err := panel.Fit(rig.Panel); err != nil {
		note("panel", rigfile.Error, err.Error())
	}
	for _, spot := range rig.Spots {
		w := spot.Weather
		if w.File == "" {
			continue // the rig file has been held to the latitude already
		}
		key := "weather.file"
		if own := "spot." + spot.Name + "." + key; rig.Gives(own) {
			key = own
		} else if own = "spot." + key; rig.Gives(own) {
			key = own
		}
		record, err := readWeather(ctx, spot, w.File, open)
		var input *BadInput
		switch {
		case errors.As(err, &input):
			note(key, rigfile.Error, err.Error())
			continue
		case err != nil:
			return nil, err
		}
		if text, _ := elsewhere(record.Origin, spot.Spot); text != "" {
			note(key, rigfile.Warning, text)
		}
		if y := record.Years[0]; !y.Whole() {
			note(key, rigfile.Warning, fmt.Sprintf("the file has %s, not a whole year; everything is reckoned for those days only", dayCount(len(y.Midnight))))
		}
		for _, y := range record.Years {
			for _, text := range y.Warnings {
				note(key, rigfile.Warning, text)
			}
		}
	}
	return problems, nil
}

// readWeather reads a spot's weather. What is wrong with the file is BadInput.
func readWeather(ctx context.Context, spot rigfile.Spot, path string, open Open) (*weather.Record, error) {
	file, err := open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	record, err := weather.Read(ctx, filepath.Base(path), file, spot.Weather.Columns, spot.Spot)
	var wrong *weather.FileError
	if errors.As(err, &wrong) && ctx.Err() == nil {
		return nil, &BadInput{err}
	}
	return record, err
}
