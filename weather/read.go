package weather

import (
	"context"
	"fmt"
	"io"
	"time"

	"turnsole/compass"
	"turnsole/place"
)

// Limits of what Read takes. They are far above a year of one-second data and
// keep a wrong or hostile file from eating the machine.
const (
	MaxRows  = 40_000_000 // rows of a file
	MaxBytes = 2 << 30    // bytes of text, after unpacking
	MaxLine  = 64 << 10   // bytes of a line
	maxDays  = 25 * 366   // days of a file
	minStepS = 1          // finest step of a file, s
	maxStepS = 3600       // coarsest step of a file, s
)

// FileError says what is wrong in a file and where.
type FileError struct {
	File   string
	Line   int    // counted from 1; 0 where it concerns the whole file
	Column string // name of the column, "" where it concerns the whole line
	Text   string // what is wrong and what would be right
}

// Error gives the place in the form file:line: column: text.
func (e *FileError) Error() string {
	s := e.File + ":"
	if e.Line > 0 {
		s += fmt.Sprintf("%d:", e.Line)
	}
	if e.Column != "" {
		s += fmt.Sprintf(" column %q:", e.Column)
	}
	return s + " " + e.Text
}

// Origin is what a file says of the place where it was recorded.
type Origin struct {
	Name      string
	Latitude  compass.Angle // north positive
	Longitude compass.Angle // east positive
	AltitudeM float64
	UTCOffset time.Duration // of the file's clock, east positive
}

// Record is what a file holds.
type Record struct {
	// Years holds the whole years in the order of the file. A record shorter
	// than a year gives one Year with fewer days.
	Years []*Year
	// Origin is nil where the file does not say where it is from.
	Origin *Origin
}

// Read reads a file of recorded or typical weather, plain or gzipped.
//
// Where m is nil the layout is recognised from the first lines: the hourly
// weather-year text layout that begins with LOCATION, or the typical-year CSV
// with two header lines. Where m is given it says which column is what.
//
// Spot is where the record is taken to be from where the file does not say; it
// places the sun, which filling gaps, splitting global light and checking the
// clock need. Name is used in messages only.
//
// Bytes are taken from r as they are needed, so that a caller who counts them
// can show how far reading is.
//
// Errors in the file are of type *FileError. What was mended is told in each
// year's Notes, what may be wrong in its Warnings.
func Read(ctx context.Context, name string, r io.Reader, m *Map, spot place.Spot) (*Record, error) {
	lines, err := openLines(ctx, name, r)
	if err != nil {
		return nil, err
	}
	defer lines.close()
	t, err := recognise(lines, m)
	if err != nil {
		return nil, err
	}
	book := newDaybook(t)
	if err := fillDaybook(ctx, lines, t, book); err != nil {
		return nil, err
	}
	if t.origin != nil {
		spot.Latitude, spot.Longitude, spot.AltitudeM = t.origin.Latitude, t.origin.Longitude, t.origin.AltitudeM
	}
	years, err := bind(ctx, name, t, book, spot)
	if err != nil {
		return nil, err
	}
	return &Record{Years: years, Origin: t.origin}, nil
}

// fillDaybook cuts every line into a row and lays it on the days.
func fillDaybook(ctx context.Context, lines *lineReader, t *table, book *daybook) error {
	var r row
	rows := 0
	for {
		line, err := lines.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		if skip, stop := t.passOver(line, lines.number, rows > 0); stop {
			break
		} else if skip {
			continue
		}
		if rows++; rows > MaxRows {
			return lines.errorf("", "more than %d rows: thin the file out or cut it into years", MaxRows)
		} else if rows&0xfff == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if problem := t.cut(line, &r); problem != nil {
			return problem.at(lines)
		}
		if rows == 1 {
			book.offsetS = t.stamp.dayOffset(&r)
		}
		if problem := book.add(&r, lines.number); problem != nil {
			return problem.at(lines)
		}
	}
	if rows == 0 {
		return lines.errorf("", "no rows of data: a header and at least one day of rows were expected")
	}
	return book.finish().at(lines)
}
