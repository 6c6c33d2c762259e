package checks

import (
	"math"
	"time"

	"turnsole/compass"
	"turnsole/sun"
)

// clockSeconds is how far an instant lies from a time of day, in seconds, by
// the short way round midnight; 0 where neither happens, NaN where one does.
func clockSeconds(jd sun.JulianDay, clock string) float64 {
	if clock == "" && math.IsNaN(float64(jd)) {
		return 0
	}
	published, err := clockOrNumber(clock)
	if err != nil {
		return math.NaN()
	}
	return float64(compass.Turn(compass.Angle(published*15), compass.Angle(hours(jd)*15))) * 240
}

// placeAndDay reads lat_deg, lon_deg and a column that begins with a date.
func placeAndDay(r fact, column string) (sun.Observer, sun.JulianDay, error) {
	v, err := r.numbers("lat_deg", "lon_deg")
	if err != nil {
		return sun.Observer{}, 0, err
	}
	at, err := time.Parse(time.DateOnly, r[column][:min(len(r[column]), len(time.DateOnly))])
	return sun.Observer{Latitude: compass.Angle(v[0]), Longitude: compass.Angle(v[1])}, sun.JulianDayOf(at), err
}

// middleOfSecond measures from the middle of the second that was cut off;
// where nothing happens it leaves nothing.
func middleOfSecond(seconds float64) float64 {
	if seconds == 0 {
		return 0
	}
	return seconds - 0.5
}

func riseReferences(string) ([]Check, error) {
	rows, err := readFacts("spa_rise_set_reference")
	if err != nil {
		return nil, err
	}
	var rise, transit, set worst
	for _, r := range rows {
		o, midnight, err := placeAndDay(r, "date_time_utc")
		if err != nil {
			return nil, err
		}
		d := sun.RiseTransitSet(midnight, o, 0)
		rise.add(where(o), middleOfSecond(clockSeconds(d.Rise, r["sunrise_utc"])))
		set.add(where(o), middleOfSecond(clockSeconds(d.Set, r["sunset_utc"])))
		// The program gives no transit for a day without rise and set.
		if r["transit_utc"] != "" {
			transit.add(where(o), middleOfSecond(clockSeconds(d.Transit, r["transit_utc"])))
		}
	}
	const tolerance, digits = 0.6, 1
	all := rise.checks("rise, ", "s", tolerance, digits)
	all = append(all, transit.checks("transit, ", "s", tolerance, digits)...)
	return append(all, set.checks("set, ", "s", tolerance, digits)...), nil
}

func riseTable(string) ([]Check, error) {
	rows, err := readFacts("spa_sunrise_table")
	if err != nil {
		return nil, err
	}
	var all []Check
	for _, r := range rows {
		o, midnight, err := placeAndDay(r, "date")
		if err != nil {
			return nil, err
		}
		d := sun.RiseTransitSet(midnight, o, sun.DeltaT(midnight))
		rise, err := clockOrNumber(r["sunrise_SPA"])
		if err != nil {
			return nil, err
		}
		set, err := clockOrNumber(r["sunset_SPA"])
		if err != nil {
			return nil, err
		}
		what := r["date"] + " " + where(o)
		all = append(all,
			Check{what + " rise", rise * 3600, hours(d.Rise) * 3600, "s after 0 h", 0.1, 1},
			Check{what + " set", set * 3600, hours(d.Set) * 3600, "s after 0 h", 0.1, 1})
	}
	return all, nil
}

func almanac(string) ([]Check, error) {
	rows, err := readFacts("usno_rise_set_2020")
	if err != nil {
		return nil, err
	}
	var rise, set worst
	for _, r := range rows {
		o, midnight, err := placeAndDay(r, "date")
		if err != nil {
			return nil, err
		}
		d := sun.DayFrom(midnight, o, sun.DeltaT(midnight))
		rise.add(where(o), clockSeconds(d.Rise, r["sunrise_utc"]))
		set.add(where(o), clockSeconds(d.Set, r["sunset_utc"]))
	}
	const tolerance, digits = 35, 1
	return append(rise.checks("rise, ", "s", tolerance, digits), set.checks("set, ", "s", tolerance, digits)...), nil
}

func deltaTOfThePast(string) ([]Check, error) {
	rows, err := readFacts("delta_t_historical")
	if err != nil {
		return nil, err
	}
	var all []Check
	for _, r := range rows {
		v, err := r.numbers("year", "delta_t_s")
		if err != nil {
			return nil, err
		}
		jd, err := sun.CalendarDay(int(v[0]), 1, 1)
		if err != nil {
			return nil, err
		}
		all = append(all, Check{"year " + r["year"], v[1], sun.DeltaT(jd), "s", 5, 1})
	}
	return all, nil
}

func handbookSolarTime(string) ([]Check, error) {
	const years = 4
	var equation float64
	for year := range years {
		at := sun.JulianDayOf(time.Date(2009+year, 2, 3, 16, 30, 0, 0, time.UTC))
		equation += sun.PositionAt(at, sun.Observer{}, sun.DeltaT(at)).EquationOfTimeMin / years
	}
	// Solar time is standard time, 4 minutes for each degree east of the
	// zone's meridian, and the equation of time (1.5.2).
	solar := 10*60 + 30 + 4*(90-89.4) + equation
	return []Check{
		{"equation of time", -13.5, equation, "min", 35.0 / 60, 2},
		{"solar time after midnight (10:19)", 10*60 + 19, solar, "min", 35.0/60 + 0.5, 2},
	}, nil
}
