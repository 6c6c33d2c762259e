package answer

import (
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/sun"
)

// SunQuestion asks where the sun is at an instant.
type SunQuestion struct {
	LatitudeDeg, LongitudeDeg float64 // north and east positive
	AltitudeM                 float64
	At                        time.Time // its zone says which day rise and set are asked for
	PressureHPa               *float64  // nil: the standard air's at the altitude
	TemperatureC              *float64  // nil: 10
	DeltaTS                   *float64  // nil: by the year
}

// Sun is the answer. Rise, Transit and Set are those of the day in which the
// instant lies by its own clock; nil where there is none.
type Sun struct {
	sun.Position
	Rise, Transit, Set   *time.Time
	PolarDay, PolarNight bool
	Observer             sun.Observer
	DeltaTS              float64
}

// WhereIsTheSun answers a SunQuestion.
func WhereIsTheSun(q SunQuestion) (*Sun, error) {
	o := sun.At(place.Spot{Latitude: compass.Angle(q.LatitudeDeg), Longitude: compass.Angle(q.LongitudeDeg), AltitudeM: q.AltitudeM})
	if q.PressureHPa != nil {
		o.PressureHPa = *q.PressureHPa
	}
	if q.TemperatureC != nil {
		o.TemperatureC = *q.TemperatureC
	}
	if err := o.Err(); err != nil {
		return nil, &BadInput{err}
	}
	jd := sun.JulianDayOf(q.At)
	if err := jd.Err(); err != nil {
		return nil, &BadInput{err}
	}
	s := &Sun{Observer: o, DeltaTS: sun.DeltaT(jd)}
	if q.DeltaTS != nil {
		if s.DeltaTS = *q.DeltaTS; !(s.DeltaTS > -1e5 && s.DeltaTS < 1e5) {
			return nil, bad("delta-t %v s: terrestrial less universal time lies between -100000 and 100000 s, and near 69 s today", s.DeltaTS)
		}
	}
	s.Position = sun.PositionAt(jd, o, s.DeltaTS)
	midnight := time.Date(q.At.Year(), q.At.Month(), q.At.Day(), 0, 0, 0, 0, q.At.Location())
	day := sun.DayFrom(sun.JulianDayOf(midnight), o, s.DeltaTS)
	s.PolarDay, s.PolarNight = day.PolarDay, day.PolarNight
	instant := func(jd sun.JulianDay, happens bool) *time.Time {
		if !happens {
			return nil
		}
		t := jd.Time().In(q.At.Location())
		return &t
	}
	s.Rise, s.Transit, s.Set = instant(day.Rise, day.Rises()), instant(day.Transit, day.Transits()), instant(day.Set, day.Sets())
	return s, nil
}
