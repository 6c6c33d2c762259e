package answer

import (
	"context"
	"fmt"
	"path/filepath"

	"turnsole/panel"
	"turnsole/rigfile"
	"turnsole/weather"
)

// CheckWeather reads what a rig file names and says what is wrong or odd about
// it: the panel's label, each spot's weather.
func CheckWeather(ctx context.Context, rig *rigfile.Rig, open Open) rigfile.Problems {
	var problems rigfile.Problems
	note := func(key, severity, text string) {
		problems = append(problems, rigfile.Problem{Key: key, Severity: severity, Text: text})
	}
	if _, _, err := panel.Fit(rig.Panel); err != nil {
		note("panel", rigfile.Error, err.Error())
	}
	for _, spot := range rig.Spots {
		w := spot.Weather
		if w.File == "" {
			if err := w.Monthly.Check(spot.Latitude); err != nil {
				note("weather", rigfile.Error, err.Error())
			}
			continue
		}
		file, err := open(w.File)
		if err != nil {
			note("weather.file", rigfile.Error, err.Error())
			continue
		}
		record, err := weather.Read(ctx, filepath.Base(w.File), file, w.Columns, spot.Spot)
		file.Close()
		if err != nil {
			note("weather.file", rigfile.Error, err.Error())
			continue
		}
		if text, _ := elsewhere(record.Origin, spot.Spot); text != "" {
			note("weather.file", rigfile.Warning, text)
		}
		if !record.Years[0].Whole() {
			note("weather.file", rigfile.Warning, fmt.Sprintf("the file has %d days, not a whole year; everything is reckoned for those days only", len(record.Years[0].Midnight)))
		}
		if off := record.Years[0].ClockOffset; off != 0 {
			note("weather.file", rigfile.Warning, fmt.Sprintf("the file's clock seems to be off by %s", off))
		}
	}
	return problems
}
