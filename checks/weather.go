package checks

import (
	"fmt"
	"math"
	"time"

	"turnsole/weather"
)

func weatherRooms() []Room {
	return append([]Room{{
		Title:  "Clock of a weather year",
		Source: "seven open weather years against the sun: light is due when the sun brings it, whatever the clock; the same years with their clocks put wrong by a known time",
		Reason: "2 minutes as they stand: the makers' clocks and places are good to a minute, and clear days of morning haze or afternoon cloud leave about one more; 2 minutes also for the error of what a wrong clock is found to be off by: midnight then cuts the record elsewhere, and the parts of two days stand for one. The 15-minute record of Golden changes the end at which its rows are labelled in spring and in autumn, which its makers do not say: a row's length, within the scatter of its few clear days",
		Need:   Data,
		Run:    clockChecks,
	}}, madeRooms()...)
}

// relabelled is the open record whose rows are labelled at another end for
// part of the year.
const relabelled = "measured-golden-2019-2020-15min.csv.gz"

func clockChecks(dir string) ([]Check, error) {
	var checks []Check
	for _, o := range openYears {
		y, spot, err := o.read(dir)
		if err != nil {
			return nil, err
		}
		c := weather.ClockOffset(y, spot)
		if o.file == relabelled {
			checks = append(checks,
				minutes(o.file+", winter's rows taken as ending when they begin", -15, c.Offset, 3),
				minutes(o.file+", summer's rows after winter's", 15, c.Change, 4))
		} else {
			checks = append(checks, minutes(o.file+", as it stands", 0, c.Offset, 2))
		}
		worst := time.Duration(0)
		for _, late := range []time.Duration{-420, -60, -30, -23, 15, 17, 60, 330} {
			late *= time.Minute
			e := weather.ClockOffset(runLate(y, late), spot).Offset - c.Offset - late
			worst = max(worst, e.Abs())
		}
		checks = append(checks, minutes(o.file+", largest error when put wrong by 15 min to 7 h", 0, worst, 2))
	}
	return checks, nil
}

func minutes(what string, published float64, ours time.Duration, tolerance float64) Check {
	// Tenths, and no minus before a zero.
	tenths := math.Round(ours.Minutes()*10)/10 + 0
	return Check{What: fmt.Sprintf("light later than the sun brings it: %s", what), Published: published, Ours: tenths, Unit: "min", Tolerance: tolerance, Digits: 1}
}

// runLate returns the year as a clock that runs late would have recorded it.
func runLate(y *weather.Year, late time.Duration) *weather.Year {
	z := *y
	z.Midnight = make([]int64, len(y.Midnight))
	for i, m := range y.Midnight {
		z.Midnight[i] = m + int64(late.Seconds())
	}
	return &z
}
