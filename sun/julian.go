package sun

import (
	"fmt"
	"math"
	"time"
)

// JulianDay is an instant of universal time (UT1; clocks that show UTC stay
// within 0.9 s of it, 0.004 degrees of the sun's way), in days from noon of 1
// January -4712. A float64 holds it to 40 microseconds.
type JulianDay float64

// Between these instants the sun's position is defined here: from the
// beginning of the year -2000 (Julian calendar) to the end of the year 6000.
const (
	Earliest JulianDay = 990557.5
	Latest   JulianDay = 3912880.5
)

// Err says that an instant lies outside Earliest..Latest; nil when it doesn't.
func (jd JulianDay) Err() error {
	if !(jd >= Earliest && jd <= Latest) {
		return fmt.Errorf("instant %.2f (Julian day) lies outside the years -2000 to 6000", float64(jd))
	}
	return nil
}

const unixEpoch = 2440587.5 // 1 January 1970, 0 h

// JulianDayUnix returns the Julian day of a Unix time in seconds.
func JulianDayUnix(unixS float64) JulianDay { return JulianDay(unixS/86400 + unixEpoch) }

// JulianDayOf returns the Julian day of a time, whose calendar is Gregorian
// however long ago.
func JulianDayOf(t time.Time) JulianDay {
	return JulianDayUnix(float64(t.Unix()) + float64(t.Nanosecond())/1e9)
}

// Time returns the instant as UTC, to a tenth of a millisecond; the zero Time
// outside Earliest..Latest.
func (jd JulianDay) Time() time.Time {
	if jd.Err() != nil {
		return time.Time{}
	}
	const perSecond = 10_000
	ticks := int64(math.Round(float64(jd-unixEpoch) * 86400 * perSecond))
	return time.Unix(ticks/perSecond, ticks%perSecond*(1e9/perSecond)).UTC()
}

// CalendarDay returns the Julian day of a date as history writes it (4): by the
// Julian calendar until 4 October 1582, by the Gregorian from the next day, 15
// October. Years are astronomical (0 is 1 BC), -4712 to 6000; the day may carry
// a fraction. A date that its calendar does not have is an error.
func CalendarDay(year, month int, day float64) (JulianDay, error) {
	if year < -4712 || year > 6000 {
		return 0, fmt.Errorf("year %d, must be -4712 to 6000", year)
	}
	if month < 1 || month > 12 {
		return 0, fmt.Errorf("month %d, must be 1 to 12", month)
	}
	if last := daysIn(year, month); !(day >= 1 && day < float64(last+1)) {
		return 0, fmt.Errorf("day %v, must be 1 to %d in %d-%02d", day, last, year, month)
	}
	if year == 1582 && month == 10 && day >= 5 && day < 15 {
		return 0, fmt.Errorf("day %v of October 1582: 5 to 14 were left out of that month", day)
	}
	gregorian := year > 1582 || year == 1582 && (month > 10 || month == 10 && day >= 15)
	y, m, skipped := year, month, 0
	if month < 3 { // January and February end the year before
		y, m = year-1, month+12
	}
	if gregorian {
		skipped = 2 - y/100 + y/400
	}
	// Whole and half days are summed first, so that they stay exact.
	days := math.Floor(365.25*float64(y+4716)) + math.Floor(30.6001*float64(m+1)) + float64(skipped) - 1524.5
	return JulianDay(days + day), nil
}

func daysIn(year, month int) int {
	switch month {
	case 4, 6, 9, 11:
		return 30
	case 2:
		if year%4 == 0 && (year <= 1582 || year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	}
	return 31
}
