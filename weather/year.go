// Package weather holds years of sky: recorded, typical, or made from monthly
// figures; and lays them out as light, step by step.
package weather

import "time"

// Kind says where a year comes from.
type Kind int

// Kinds of year.
const (
	Recorded Kind = iota // measured by somebody's instruments
	Typical              // put together by a weather service from several years
	Made                 // made by chance from monthly figures
)

// Calendar is the grid that a year's rows lie on: whole days, each beginning
// at midnight by the file's own clock and cut into equal rows.
type Calendar struct {
	// UTCOffset of the file's clock, east positive. It never jumps: files that
	// count in summer time are brought to it when read.
	UTCOffset time.Duration
	// StepS is the length of a row in seconds: 60..3600, a divisor of 3600.
	StepS int
	// Midnight is the Unix time at which each day begins. Days stand in
	// calendar order, 1 January first where the year is whole; a typical
	// year's months keep the calendar years they were taken from, so
	// neighbours may be years apart. There is no 29 February.
	Midnight []int64
}

// RowsPerDay returns how many rows a day has.
func (c Calendar) RowsPerDay() int { return 86400 / c.StepS }

// Rows returns how many rows the calendar has.
func (c Calendar) Rows() int { return len(c.Midnight) * c.RowsPerDay() }

// Whole reports whether the calendar holds all 365 days.
func (c Calendar) Whole() bool { return len(c.Midnight) == 365 }

// Date returns the date of a day by the file's clock.
func (c Calendar) Date(day int) time.Time {
	return time.Unix(c.Midnight[day], 0).In(time.FixedZone("", int(c.UTCOffset/time.Second)))
}

// Ahead returns how far a zone's clock is ahead of the file's on the noon of a
// day.
func (c Calendar) Ahead(day int, zone *time.Location) time.Duration {
	_, offset := time.Unix(c.Midnight[day]+43200, 0).In(zone).Zone()
	return time.Duration(offset)*time.Second - c.UTCOffset
}

// Year is the sky of up to one year. Every row is filled: what the file lacked
// has been put in by a stated rule and is told in Notes or, where it is grave,
// in Warnings.
type Year struct {
	Calendar
	Kind   Kind
	Source string // file name, or what the year was made from

	// Means over each row, W/m2 (never negative, never NaN). The beam is the
	// mean over the whole row even where the sun was up for part of it.
	GHI, DNI, DHI []float32
	AirC          []float32 // air temperature, degrees C
	WindMS        []float32 // wind, m/s, reduced to the height of a small stand
	Albedo        []float32 // of the ground; nil where the file has none

	// Warnings tell what makes the year's figures doubtful: a clock that is
	// off, light that cannot be or that is lacking, figures that contradict one
	// another. Notes tell what else was found and was mended by rule. One
	// sentence each, the gravest first; what stands in one is not in the other.
	Warnings, Notes []string

	// ClockOffset is how far the file's clock seems to be from the sun's,
	// positive when the file is late; zero where it cannot be told.
	ClockOffset time.Duration
}
