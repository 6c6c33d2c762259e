package checks

import (
	"bufio"
	"compress/gzip"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/sky"
	"turnsole/sun"
)

// station is a place where light was measured, and how its file is written.
type station struct {
	name, file string
	spot       place.Spot
	stepS      int
	// early is how long before the time that a row is labelled with its light
	// was measured, taken at the middle of the measurement.
	early time.Duration
	// columns of the values, from 0; -1 for what the file lacks.
	ghi, dni, dhi, tracked, fixed int
	split                         func(line string) []string
	time                          func(words []string) (time.Time, error)
}

// sample is what a station measured at one time. Missing figures are NaN.
type sample struct {
	at                            time.Time // middle
	ghi, dni, dhi, tracked, fixed float64
	up, azimuthDeg, extraNormal   float64
	sunHour                       float64 // 12 when the sun stands highest
}

// read returns the samples of a station's file in the order of the file. Lines
// without a time are heads and are passed over.
func (s station) read(dir string) ([]sample, error) {
	f, err := os.Open(filepath.Join(dir, s.file))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", s.file, err)
	}
	var rows []sample
	observer := sun.At(s.spot)
	for lines := bufio.NewScanner(z); lines.Scan(); {
		words := s.split(lines.Text())
		t, err := s.time(words)
		if err != nil {
			continue
		}
		r := sample{
			at:  t.Add(-s.early),
			ghi: figure(words, s.ghi), dni: figure(words, s.dni), dhi: figure(words, s.dhi),
			tracked: figure(words, s.tracked), fixed: figure(words, s.fixed),
		}
		jd := sun.JulianDayOf(r.at)
		p := sun.PositionAt(jd, observer, sun.DeltaT(jd))
		r.up, r.azimuthDeg, r.extraNormal = p.Elevation.Sin(), float64(p.Azimuth), sky.ExtraNormal(p.DistanceAU)
		r.sunHour = 12 + float64(compass.Turn(0, p.HourAngle))/15
		rows = append(rows, r)
	}
	if len(rows) == 0 {
		return nil, fmt.Errorf("%s: no rows found", s.file)
	}
	return rows, nil
}

// figure reads a value; fillers (-999 and below), blanks and columns that are
// not there are NaN.
func figure(words []string, column int) float64 {
	if column < 0 || column >= len(words) {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(words[column]), 64)
	if err != nil || v < -500 {
		return math.NaN()
	}
	return v
}

func byComma(line string) []string { return strings.Split(line, ",") }
func byTab(line string) []string   { return strings.Split(line, "\t") }

// stamped reads a time from one column by layout, in a zone of whole hours.
func stamped(layout string, columns int, zoneHours int) func([]string) (time.Time, error) {
	zone := time.FixedZone("", zoneHours*3600)
	return func(words []string) (time.Time, error) {
		return time.ParseInLocation(layout, strings.Join(words[:min(columns, len(words))], " "), zone)
	}
}

func spotAt(latitude, longitude, altitudeM float64) place.Spot {
	return place.Spot{Latitude: compass.Angle(latitude), Longitude: compass.Angle(longitude), AltitudeM: altitudeM}
}

// The stations of the open measured data.
var (
	golden2019 = station{
		name: "Golden, Colorado, February 2019", file: "tracked-golden-2019-02-5min.csv.gz",
		spot: spotAt(39.742, -105.17, 1829), stepS: 300, early: 150 * time.Second,
		dhi: 1, dni: 2, ghi: 3, tracked: 4, fixed: 5,
		split: byComma, time: stamped("1/2/2006 15:04", 1, -7),
	}
	madrid2020 = station{
		name: "Madrid, 4 March 2020", file: "tracked-madrid-2020-03-04-1min.tsv.gz",
		spot: spotAt(40.453, -3.727, 695), stepS: 60,
		dni: 2, ghi: 3, dhi: 4, tracked: 22, fixed: 21,
		split: byTab, time: stamped("2006/01/02 15:04", 1, 1),
	}
	golden2012 = station{
		name: "Golden, Colorado, 17 May 2012", file: "minute-golden-2012-05-17.csv.gz",
		spot: spotAt(39.742, -105.179, 1829), stepS: 60, early: 30 * time.Second,
		ghi: 4, dni: 7, dhi: 10, tracked: -1, fixed: -1,
		split: byComma, time: stamped("01/02/2006 15:04", 2, -7),
	}
	tucson2018 = station{
		name: "Tucson, Arizona, 18 October 2018", file: "minute-tucson-2018-10-18.csv.gz",
		spot: spotAt(32.23, -110.95, 786), stepS: 60,
		dni: 4, dhi: 5, ghi: 6, tracked: -1, fixed: -1,
		split: byComma, time: tucsonTime,
	}
	alamosa2016 = station{
		name: "Alamosa, Colorado, 1 January 2016", file: "minute-alamosa-2016-01-01.dat.gz",
		spot: spotAt(37.70, -105.92, 2317), stepS: 60,
		ghi: 8, dni: 12, dhi: 14, tracked: -1, fixed: -1,
		split: strings.Fields, time: alamosaTime,
	}
)

// tucsonTime reads year, day of the year and a clock time written as a number,
// 1138 for 11:38.
func tucsonTime(words []string) (time.Time, error) {
	year, day, clock := figure(words, 1), figure(words, 2), figure(words, 3)
	if year != year || day != day || clock != clock {
		return time.Time{}, fmt.Errorf("no time")
	}
	hour, minute := int(clock)/100, int(clock)%100
	return time.Date(int(year), 1, int(day), hour, minute, 0, 0, time.FixedZone("", -7*3600)), nil
}

// alamosaTime reads year, (day of the year), month, day, hour and minute.
func alamosaTime(words []string) (time.Time, error) {
	if len(words) < 20 {
		return time.Time{}, fmt.Errorf("no time")
	}
	var v [6]int
	for i := range v {
		n, err := strconv.Atoi(words[i])
		if err != nil {
			return time.Time{}, err
		}
		v[i] = n
	}
	return time.Date(v[0], time.Month(v[2]), v[3], v[4], v[5], 0, 0, time.UTC), nil
}
