package weather

import (
	"fmt"
	"math/rand/v2"

	"turnsole/place"
)

// layDay makes the minutes of a day. An hour with light before the sun's
// centre has risen keeps it evenly.
func (m *Maker) layDay(w *minuteWalk, y *Year, day int, hours *[24]hourSky) {
	could := m.hours[day*24 : day*24+24]
	w.day(hours, could)
	share := func(h, otherwise int) float64 {
		if h < 0 || h > 23 || could[h].outside == 0 {
			h = otherwise
		}
		return hours[h].dhi / float64(could[h].outside)
	}
	for h, sky := range hours {
		from := (day*24 + h) * 60
		ghi, dni, dhi := y.GHI[from:from+60], y.DNI[from:from+60], y.DHI[from:from+60]
		if could[h].outside == 0 {
			for i := range ghi {
				ghi[i], dni[i], dhi[i] = float32(sky.ghi), 0, float32(sky.ghi)
			}
			continue
		}
		w.lay(&minuteHour{
			sky: sky, mean: could[h], could: m.rows[from : from+60],
			before: share(h-1, h), after: share(h+1, h),
			ghi: ghi, dni: dni, dhi: dhi,
		})
	}
}

// Finer makes minutes within the hours of a year that is known by the hour,
// recorded or typical: the hours keep their means.
type Finer struct {
	maker  Maker
	clouds Clouds
}

// NewFiner prepares for the hours of a calendar at a spot.
func NewFiner(spot place.Spot, hours Calendar, clouds Clouds) (*Finer, error) {
	if hours.StepS != 3600 || len(hours.Midnight) == 0 {
		return nil, fmt.Errorf("minutes are made within rows of 3600 s, not %d s", hours.StepS)
	}
	f := &Finer{clouds: clouds}
	f.maker.calendar = hours
	f.maker.calendar.StepS = 60
	f.maker.layLight(spot)
	return f, nil
}

// Make fills y with minutes made within the hours of a year on the calendar
// that the Finer was made for. Air and wind stay as they were in each hour.
func (f *Finer) Make(rng *rand.Rand, hourly, y *Year) {
	f.maker.prepare(y)
	y.Kind, y.Source = hourly.Kind, hourly.Source
	y.Warnings, y.Notes = hourly.Warnings, hourly.Notes
	w := newMinuteWalk(rng, f.clouds)
	for day := range y.Midnight {
		var hours [24]hourSky
		for h := range hours {
			i := day*24 + h
			hours[h] = hourSky{ghi: float64(hourly.GHI[i]), dni: float64(hourly.DNI[i]), dhi: float64(hourly.DHI[i])}
		}
		f.maker.layDay(&w, y, day, &hours)
	}
	for i := range y.AirC {
		y.AirC[i], y.WindMS[i] = hourly.AirC[i/60], hourly.WindMS[i/60]
	}
}
