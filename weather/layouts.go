package weather

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"turnsole/compass"
)

// Wind is brought down from the mast to the panel by a power law over open
// ground, v(z)/v(10) = (z/10)^0.14 (handbook value, from memory), to the height
// of a small stand.
const (
	windExponent  = 0.14
	panelHeightM  = 1.5
	stationHeight = 10 // m, the usual height of a weather mast (WMO)
)

// recognise makes ready to read: by the map, or where that is nil by the
// file's first lines.
func recognise(l *lineReader, m *Map) (*table, error) {
	head := l.head()
	if m != nil {
		return general(l, head, m)
	}
	switch {
	case isTextYear(head):
		return textYear(l, head)
	case isTwoHeaders(head):
		return twoHeaders(l, head)
	}
	return nil, &FileError{File: l.name, Line: 1, Text: "neither an hourly weather year (its first line begins LOCATION,) " +
		"nor a typical-year table with two header lines (its second begins Date (MM/DD/YYYY)): " +
		"for any other table say under [weather.columns] in the rig file which column is what"}
}

func isTextYear(head [][]byte) bool { return bytes.HasPrefix(head[0], []byte("LOCATION,")) }

func isTwoHeaders(head [][]byte) bool {
	return len(head) > 1 && bytes.HasPrefix(head[1], []byte("Date (MM/DD/YYYY)"))
}

// textYearWidth is how many columns the hourly weather-year text layout has.
const textYearWidth = 35

// textYear reads the hourly weather-year text layout: eight lines of headings,
// then 35 columns without names. The time is the end of the row, in local
// standard time.
func textYear(l *lineReader, head [][]byte) (*table, error) {
	first := strings.Split(string(head[0]), ",")
	if len(first) < 10 {
		return nil, &FileError{File: l.name, Line: 1, Text: "LOCATION needs ten items: name, region, country, source, number, latitude, longitude, zone, altitude"}
	}
	origin, p := readOrigin(first[1], first[6], first[7], first[8], first[9])
	if p != nil {
		p.line = 1
		return nil, p.at(l)
	}
	perHour, line := 0, 0
	for i, h := range head {
		if bytes.HasPrefix(h, []byte("DATA PERIODS,")) {
			line = i + 1
			f := strings.Split(string(h), ",")
			if len(f) > 2 {
				perHour, _ = strconv.Atoi(strings.TrimSpace(f[2]))
			}
			break
		}
	}
	if perHour < 1 || perHour > 60 || 60%perHour != 0 {
		return nil, &FileError{File: l.name, Line: max(line, 1), Text: "a line DATA PERIODS with a sensible number of rows per hour must stand before the rows"}
	}
	m := &Map{
		Year: "#1", Month: "#2", Day: "#3", Hour: "#4", AirC: "#7", GHI: "#14", DNI: "#15", DHI: "#16", WindMS: "#22", Albedo: "#33",
		Label: Right, StepS: 3600 / perHour, Separator: ',', WindHeightM: stationHeight,
		Zone: time.FixedZone("", int(origin.UTCOffset/time.Second)),
	}
	t, p := newTable(nil, m)
	if p != nil {
		return nil, p.at(l)
	}
	if perHour > 1 {
		t.stamp.minute = column{at: 4, name: "minute"}
		t.stamp.withinHour = true
	}
	nameColumns(t)
	t.width, t.widthOf = textYearWidth, fmt.Sprintf("a row of an hourly weather year has %d", textYearWidth)
	t.origin, t.firstLine, t.complete = origin, line+1, true
	return t, nil
}

// nameColumns gives names to columns that have none in the file.
func nameColumns(t *table) {
	for k := range t.measure {
		t.measure[k].name = bounds[k].name
	}
	s := &t.stamp
	s.year.name, s.month.name, s.day.name, s.hour.name, s.minute.name = "year", "month", "day", "hour", "minute"
}

// twoHeaders reads the typical-year table with two header lines: the station,
// then the names of the columns. The time is the end of the row, in local
// standard time.
func twoHeaders(l *lineReader, head [][]byte) (*table, error) {
	station := splitHeading(head[0], ',')
	if len(station) < 7 {
		return nil, &FileError{File: l.name, Line: 1, Text: "the first line must hold number, name, region, zone, latitude, longitude, altitude"}
	}
	origin, p := readOrigin(station[1], station[4], station[5], station[3], station[6])
	if p != nil {
		p.line = 1
		return nil, p.at(l)
	}
	m := &Map{
		Date: "Date", Clock: "Time", Layout: "01/02/2006 15:04", Label: Right, Separator: ',',
		GHI: "GHI", DNI: "DNI", DHI: "DHI", AirC: "Dry-bulb", WindMS: "Wspd", Albedo: "Alb", WindHeightM: stationHeight,
		Zone: time.FixedZone("", int(origin.UTCOffset/time.Second)),
	}
	headings := splitHeading(head[1], ',')
	dropAbsent(headings, m)
	t, p := newTable(headings, m)
	if p != nil {
		p.line = 2
		return nil, p.at(l)
	}
	t.origin, t.firstLine = origin, 3
	if err := t.sample(l, head, m); err != nil {
		return nil, err
	}
	return t, nil
}

// dropAbsent takes from a map the columns that a file may lack.
func dropAbsent(headings []string, m *Map) {
	for _, name := range []*string{&m.GHI, &m.DNI, &m.DHI, &m.AirC, &m.WindMS, &m.Albedo} {
		if c, _ := find(headings, *name); c.name == "" {
			*name = ""
		}
	}
}

// readOrigin reads a station's place; zone in hours east of Greenwich.
func readOrigin(name, lat, lon, zone, altitude string) (*Origin, *problem) {
	var v [4]float64
	limits := [4]struct {
		text, what  string
		least, most float64
	}{
		{lat, "latitude", -90, 90}, {lon, "longitude", -180, 180},
		{zone, "time zone", -12, 14}, {altitude, "altitude", -430, 9000},
	}
	for i, l := range limits {
		x, err := strconv.ParseFloat(strings.TrimSpace(l.text), 64)
		if err != nil || !(x >= l.least && x <= l.most) {
			return nil, problemf(l.what, "%q, must be a number from %g to %g", clip([]byte(l.text)), l.least, l.most)
		}
		v[i] = x
	}
	return &Origin{
		Name: strings.ToValidUTF8(strings.TrimSpace(name), "?"), Latitude: compass.Angle(v[0]), Longitude: compass.Angle(v[1]),
		UTCOffset: time.Duration(math.Round(v[2]*3600)) * time.Second, AltitudeM: v[3],
	}, nil
}

// general reads any table by its map.
func general(l *lineReader, head [][]byte, m *Map) (*table, error) {
	headings, line := findHeadings(head, m)
	t, p := newTable(headings, m)
	if p != nil {
		if p.line = max(line, 1); isTextYear(head) || isTwoHeaders(head) {
			p.text += "; this file's layout is known and needs no [weather.columns]"
		}
		return nil, p.at(l)
	}
	t.firstLine, t.mapped, t.stated = line+1, true, m.StepS != 0
	if err := t.sample(l, head, m); err != nil {
		return nil, err
	}
	return t, nil
}

// named returns the columns that a map names by heading.
func (m *Map) named() (names []string) {
	for _, n := range []string{
		m.Time, m.Date, m.Clock, m.Year, m.Month, m.Day, m.DayOfYear, m.Hour, m.Minute, m.Second, m.HHMM, m.SecondsOfDay,
		m.GHI, m.DNI, m.DHI, m.AirC, m.WindMS, m.Albedo,
	} {
		if n != "" && !strings.HasPrefix(n, "#") {
			names = append(names, n)
		}
	}
	return names
}

// mostHeadLines are searched for the headings.
const mostHeadLines = 200

// findHeadings returns the line that holds most of the names, and its number;
// no line where the map gives only column numbers.
func findHeadings(head [][]byte, m *Map) (headings []string, line int) {
	names := m.named()
	best := 0
	for i, h := range head[:min(len(head), mostHeadLines)] {
		if len(names) == 0 || best == len(names) {
			break
		}
		f := splitHeading(h, separatorOf(h, m))
		n := 0
		for _, name := range names {
			if c, p := find(f, name); p == nil && c.at >= 0 {
				n++
			}
		}
		if n > best {
			best, headings, line = n, f, i+1
		}
	}
	if headings == nil && len(names) > 0 { // so that the message can list them
		headings, line = splitHeading(head[0], separatorOf(head[0], m)), 1
	}
	return headings, line
}

// separatorOf returns the separator of a heading: what stands there most.
func separatorOf(heading []byte, m *Map) byte {
	if m.Separator > 0 && m.Separator < 128 {
		return byte(m.Separator)
	}
	best, most := byte(','), 0
	for _, s := range []byte{',', ';', '\t', '|'} {
		if n := bytes.Count(heading, []byte{s}); n > most {
			best, most = s, n
		}
	}
	if most == 0 && len(bytes.Fields(heading)) > 1 {
		return ' '
	}
	return best
}

func splitHeading(line []byte, separator byte) []string {
	t := table{separator: separator, last: maxColumns}
	t.split(line)
	names := make([]string, len(t.fields))
	for i, f := range t.fields {
		names[i] = strings.ToValidUTF8(string(trim(f)), "?")
	}
	return names
}

// newTable looks the map's columns up among the headings.
func newTable(headings []string, m *Map) (*table, *problem) {
	t := &table{headings: headings, point: '.', label: m.Label, stepS: int64(m.StepS), missing: m.Missing, separator: ',', windFactor: 1}
	if m.StepS != 0 && (m.StepS < minStepS || m.StepS > maxStepS) {
		return nil, problemf("", "rows of %d s: a row must be %d to %d s long", m.StepS, minStepS, maxStepS)
	}
	if m.WindHeightM > 0 {
		t.windFactor = math.Pow(panelHeightM/m.WindHeightM, windExponent)
	}
	var p *problem
	if t.stamp, p = newStamp(headings, m); p != nil {
		return nil, p
	}
	if m.Zone != nil {
		t.stamp.clock = newWallClock(m.Zone)
	}
	t.last = t.stamp.highest()
	for k, name := range []string{inGHI: m.GHI, inDNI: m.DNI, inDHI: m.DHI, inAir: m.AirC, inWind: m.WindMS, inAlbedo: m.Albedo} {
		if t.measure[k], p = find(headings, name); p != nil {
			return nil, p
		}
		t.last = max(t.last, t.measure[k].at)
	}
	return t, t.enoughLight()
}

// enoughLight refuses a map from which beam and diffuse cannot be told.
func (t *table) enoughLight() *problem {
	has := func(k int) bool { return t.measure[k].at >= 0 }
	if has(inGHI) || has(inDNI) && has(inDHI) {
		return nil
	}
	return problemf("", "global light, or beam and diffuse light, must be among the columns: one of beam and diffuse alone does not tell the rest")
}
