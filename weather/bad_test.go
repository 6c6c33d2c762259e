package weather_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"turnsole/place"
	"turnsole/weather"
)

// textYear writes an hourly weather year; change may alter a row's line or
// drop it.
func textYear(change func(i int, line string) string) string {
	var b strings.Builder
	b.WriteString("LOCATION,Nowhere,XX,YYY,made,1,50.0,10.0,1.0,300\n")
	for _, h := range []string{"DESIGN CONDITIONS,0", "TYPICAL/EXTREME PERIODS,0", "GROUND TEMPERATURES,0",
		"HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0", "COMMENTS 1,", "COMMENTS 2,", "DATA PERIODS,1,1,Data,Sunday,1/1,12/31"} {
		b.WriteString(h + "\n")
	}
	for i := range 8760 {
		at := time.Date(2001, 1, 1, i, 0, 0, 0, time.UTC)
		g := 0
		if h := at.Hour(); h > 6 && h < 18 {
			g = 300
		}
		line := fmt.Sprintf("%d,%d,%d,%d,0,?,10.0,5.0,80,100000,0,0,300,%d,%d,%d,0,0,0,0,180,3.0,5,5,10,1000,9,999999999,10,0.1,0,88,0.2,0,1",
			at.Year(), at.Month(), at.Day(), at.Hour()+1, g, g/2, g/2)
		if line = change(i, line); line != "" {
			b.WriteString(line + "\n")
		}
	}
	return b.String()
}

func TestGzipOfSeveralMembers(t *testing.T) {
	text := []byte(textYear(same))
	data := append(zipped(text[:300000]), zipped(text[300000:])...)
	r, err := weather.Read(context.Background(), "y.epw.gz", bytes.NewReader(data), nil, place.Spot{})
	if err != nil || !r.Years[0].Whole() {
		t.Errorf("%v", err)
	}
}

func same(_ int, line string) string { return line }

// at changes row i alone.
func at(i int, f func(line string) string) func(int, string) string {
	return func(k int, line string) string {
		if k == i {
			return f(line)
		}
		return line
	}
}

func replace(old, with string) func(string) string {
	return func(line string) string { return strings.Replace(line, old, with, 1) }
}

func TestSoundTextYear(t *testing.T) {
	r, err := weather.Read(context.Background(), "y.epw", strings.NewReader(textYear(same)), nil, place.Spot{})
	if err != nil {
		t.Fatal(err)
	}
	if y := r.Years[0]; !y.Whole() || wattHours(y, y.GHI) != 365*11*300 {
		t.Errorf("%d days, %v Wh/m2", len(y.Midnight), wattHours(y, y.GHI))
	}
	wellFormed(t, r.Years[0])
}

func TestTextYearsOfOtherLengths(t *testing.T) {
	headings, _, _ := strings.Cut(textYear(same), "2001,")
	write := func(perHour int, year, rows int, minute func(i int) (hour, min int)) string {
		var b strings.Builder
		b.WriteString(strings.Replace(headings, "PERIODS,1,1", fmt.Sprintf("PERIODS,1,%d", perHour), 1))
		for i := range rows {
			at := time.Date(year, 1, 1, 0, i*60/perHour, 0, 0, time.UTC)
			hour, min := minute(i)
			fmt.Fprintf(&b, "%d,%d,%d,%d,%d,?,10,5,80,100000,0,0,300,%d,0,0,0,0,0,0,180,3,5,5,10,1000,9,0,10,0.1,0,88,0.2,0,1\n",
				year, at.Month(), at.Day(), hour, min, i%(24*perHour))
		}
		return b.String()
	}
	for name, c := range map[string]struct {
		text        string
		stepS, rows int
	}{
		"leap year":     {write(1, 2004, 8784, func(i int) (int, int) { return i%24 + 1, 60 }), 3600, 8760},
		"quarter hours": {write(4, 2003, 35040, func(i int) (int, int) { return i/4%24 + 1, i%4*15 + 15 }), 900, 35040},
	} {
		r, err := weather.Read(context.Background(), "y", strings.NewReader(c.text), nil, place.Spot{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		y := r.Years[0]
		if y.StepS != c.stepS || len(y.GHI) != c.rows || y.GHI[40*y.RowsPerDay()+13] != 13 {
			t.Errorf("%s: rows of %d s, %d of them", name, y.StepS, len(y.GHI))
		}
		wellFormed(t, y)
	}
}

// twoHeaders writes a typical-year table of one short column set.
func twoHeaders(station, columns, rows string) string {
	return station + "\n" + columns + "\n" + rows
}

const (
	station = `1,"NOWHERE",XX,-7.0,40.0,-105.0,1800`
	columns = "Date (MM/DD/YYYY),Time (HH:MM),GHI (W/m^2),DNI (W/m^2),DHI (W/m^2)"
)

// shuffled puts every second row behind the others, one by one.
func shuffled(rows []string) string {
	s := rows[0]
	for i := 1; i < len(rows)/2; i++ {
		s += rows[i] + rows[len(rows)-1-i]
	}
	return s
}

// quarters writes the first hour of a text year in quarters, one of whose
// minutes is put wrong.
func quarters(minute string) string {
	head, rest, _ := strings.Cut(strings.Replace(textYear(same), "PERIODS,1,1", "PERIODS,1,4", 1), "2001,1,1,1,0,")
	row, _, _ := strings.Cut(rest, "\n")
	return head + "2001,1,1,1,15," + row + "\n2001,1,1,1" + minute + row + "\n"
}

func TestBadFilesAreRefusedWithTheirPlace(t *testing.T) {
	sound := textYear(same)
	hour := func(i int, v string) string {
		return dayRows(3600, func(k int) string {
			if k == i {
				return v
			}
			return "100"
		})
	}
	rows := strings.SplitAfter(hour(-1, ""), "\n")
	swapped := strings.Join(append(append(append([]string{}, rows[:9]...), rows[10], rows[9]), rows[11:]...), "")
	twice := func(v string) string {
		return strings.Join(rows[:9], "") + strings.Replace(rows[8], ",100", ","+v, 1) + strings.Join(rows[9:], "")
	}
	for name, c := range map[string]struct {
		text   string
		m      *weather.Map
		line   int
		column string
		words  string
	}{
		"empty":                  {"", nil, 0, "", "empty"},
		"binary":                 {"LOCATION,\x00\x01\x02", nil, 0, "", "not text"},
		"zip":                    {"PK\x03\x04aaaa", nil, 0, "", "zip"},
		"truncated gzip":         {string(zipped([]byte(sound))[:10000]), nil, -1, "", "in the middle"},
		"damaged gzip":           {"\x1f\x8b\x08\x00aaaaaaaaaaaaaaaaaa", nil, -1, "", "damaged"},
		"gzip and more":          {string(zipped([]byte(sound))) + "more", nil, -1, "", "not gzip"},
		"second gzip cut off":    {string(zipped([]byte(sound[:300000]))) + string(zipped([]byte(sound[300000:]))[:2000]), nil, -1, "", "in the middle"},
		"kilowatts":              {strings.ReplaceAll(sound, ",300,150,150,", ",0.3,0.15,0.15,"), nil, 0, "", "unit"},
		"no light all year":      {strings.ReplaceAll(sound, ",300,150,150,", ",0,0,0,"), nil, 0, "", "is 0 % of a clear sky's"},
		"too much light":         {strings.ReplaceAll(sound, ",300,150,150,", ",1000,500,500,"), nil, 0, "", "5 to 125 %"},
		"gzip of nothing":        {string(zipped(nil)), nil, 0, "", "empty"},
		"unknown layout":         {"a,b,c\n1,2,3\n", nil, 1, "", "[weather.columns]"},
		"headings alone":         {"time,ghi\n", &plainMap, 1, "", "no rows"},
		"over-long line":         {sound + strings.Repeat("9", 70000), nil, 8769, "", "longer than"},
		"over-long first line":   {strings.Repeat("a", 300000), nil, 1, "", "neither"},
		"a year with 8759 rows":  {textYear(at(4000, func(string) string { return "" })), nil, 3993, "", "23 rows, must be 24"},
		"a day missing":          {textYear(func(i int, l string) string { return map[bool]string{false: l}[i/24 == 100] }), nil, 8 + 100*24 + 1, "", "11 April is missing"},
		"a month missing":        {textYear(func(i int, l string) string { return map[bool]string{false: l}[i/24 >= 334] }), nil, 8 + 334*24 + 1, "", "1 December to 31 December, 31 days"},
		"two years":              {sound + sound[strings.Index(sound, "2001,1,1,1,"):], nil, 8 + 8760 + 1, "", "second time"},
		"an open quote":          {strings.Replace(hour(-1, ""), "2023-06-01 12", `"2023-06-01 12`, 1), &plainMap, 14, "", "quote"},
		"rows in disorder":       {shuffled(rows), &plainMap, 2, "time", "goes back 1"},
		"impossible light":       {textYear(at(12, replace(",300,150,150,", ",5000,150,150,"))), nil, 21, "global light", "impossible"},
		"impossible temperature": {textYear(at(12, replace("10.0", "-300"))), nil, 21, "air temperature", "impossible"},
		"words for light":        {textYear(at(12, replace(",300,150,150,", ",much,150,150,"))), nil, 21, "global light", `"much" is not a number`},
		"a column too many":      {textYear(at(12, func(l string) string { return l + ",7" })), nil, 21, "", "36 columns, but a row of an hourly weather year has 35"},
		"decimal commas":         {hour(12, "99,5"), &plainMap, 14, "", "3 columns, but the headings on line 1 name 2"},
		"commas, no headings":    {strings.TrimPrefix(hour(12, "99,5"), "time,ghi\n"), &weather.Map{Time: "#1", GHI: "#2", Zone: time.UTC}, 13, "", "the first row, on line 1, has 2"},
		"a column not there":     {hour(-1, ""), &weather.Map{Time: "time", GHI: "#9", Zone: time.UTC}, 2, "#9", "no row has more than 2 columns"},
		"words for times":        {"a,b\nc,d\n", &weather.Map{Time: "#1", GHI: "#2", Zone: time.UTC}, 1, "#1", "digit"},
		"step against the rows":  {hour(-1, ""), &weather.Map{Time: "time", GHI: "ghi", Zone: time.UTC, StepS: 1800}, 2, "", "1 h apart"},
		"unix, not told":         {"time,ghi\n1609473600,0\n1609477200,0\n", &plainMap, 2, "time", `layout = "unix"`},
		"line cut off":           {textYear(at(12, func(l string) string { return l[:30] })), nil, 21, "", "columns"},
		"month 13":               {textYear(at(12, replace("2001,1,", "2001,13,"))), nil, 21, "month", "month 13"},
		"29 February 2001":       {textYear(at(58*24+1, replace("2001,2,28,", "2001,2,29,"))), nil, 8 + 58*24 + 2, "day", "28 days"},
		"minute 75":              {quarters(",75,"), nil, 10, "minute", "clock"},
		"hour 25":                {textYear(at(23, replace(",24,0", ",25,0"))), nil, 32, "hour", "clock"},
		"latitude 95":            {strings.Replace(sound, "50.0", "95.0", 1), nil, 1, "latitude", "-90 to 90"},
		"no data periods":        {strings.Replace(sound, "DATA PERIODS", "DATE PERIODS", 1), nil, 1, "", "DATA PERIODS"},
		"short location":         {"LOCATION,a\n", nil, 1, "", "ten items"},
		"short station":          {twoHeaders("1,2,3", columns, ""), nil, 1, "", "first line"},
		"no light columns":       {twoHeaders(station, columns[:31], "01/01/2001,01:00\n"), nil, 2, "", "global light"},
		"rows out of order":      {swapped, &plainMap, 11, "", "goes back"},
		"conflicting duplicate":  {twice("200"), &plainMap, 10, "", "twice"},
		"no such column":         {hour(-1, ""), &weather.Map{Time: "time", GHI: "global", Zone: time.UTC}, 1, "global", "time, ghi"},
		"known layout, mapped":   {sound, &plainMap, 1, "time", "needs no [weather.columns]"},
		"no zone":                {hour(-1, ""), &weather.Map{Time: "time", GHI: "ghi"}, 2, "time", "zone"},
		"no time":                {hour(-1, ""), &weather.Map{GHI: "ghi"}, 1, "", "no time"},
		"two kinds of time":      {hour(-1, ""), &weather.Map{Time: "time", Hour: "ghi", GHI: "ghi"}, 1, "", "one way"},
		"step of a week":         {hour(-1, ""), &weather.Map{Time: "time", GHI: "ghi", Zone: time.UTC, StepS: 604800}, 1, "", "3600"},
		"all missing":            {dayRows(3600, func(int) string { return "-9999" }), &plainMap, 0, "", "no day"},
		"unreadable time":        {strings.Replace(hour(-1, ""), "2023-06-01 12", "yesterday", 1), &weather.Map{Time: "time", GHI: "ghi", Zone: time.UTC, Layout: "2006-01-02 15:04:05"}, 14, "time", `not a time in the layout "2006-01-02 15:04:05"`},
		"30 February":            {strings.ReplaceAll(hour(-1, ""), "2023-06-01", "2023-02-30"), &weather.Map{Time: "time", GHI: "ghi", Zone: time.UTC, Layout: "2006-01-02 15:04:05", StepS: 3600}, 2, "time", "28 days"},
		"bad layout":             {hour(-1, ""), &weather.Map{Time: "time", GHI: "ghi", Zone: time.UTC, Layout: "hh:mm"}, 2, "time", "layout"},
		"a column named twice":   {strings.Replace(hour(-1, ""), "time,ghi", "ghi,ghi", 1), &weather.Map{Time: "#1", GHI: "ghi", Zone: time.UTC}, 1, "ghi", "two columns"},
		"a step that changes":    {dayRows(600, func(i int) string { return map[bool]string{true: "skip", false: "100"}[i < 72 && i%2 == 1] }), &weather.Map{Time: "time", GHI: "ghi", Zone: time.UTC, StepS: 1200}, 39, "", "equally long"},
	} {
		_, err := weather.Read(context.Background(), "log.csv", strings.NewReader(c.text), c.m, place.Spot{Latitude: 50})
		if err == nil {
			t.Errorf("%s: no error", name)
			continue
		}
		e := fileError(t, err)
		if e.File != "log.csv" || c.line >= 0 && e.Line != c.line || e.Column != c.column || !strings.Contains(e.Text, c.words) {
			t.Errorf("%s: %v\n\twant line %d, column %q, %q", name, err, c.line, c.column, c.words)
		}
	}
	if y, err := read(twice("100"), plainMap, place.Spot{Latitude: 50}); err != nil || !noted(y, "1 row stands twice") {
		t.Errorf("identical duplicate: %v", err)
	}
}

func TestTooMuchMissingIsRefused(t *testing.T) {
	text := textYear(func(i int, line string) string {
		if i/24%8 == 0 { // one day in eight is more than a tenth
			return strings.NewReplacer(",300,150,150,", ",9999,9999,9999,").Replace(line)
		}
		return line
	})
	_, err := weather.Read(context.Background(), "y", strings.NewReader(text), nil, place.Spot{})
	if e := fileError(t, err); !strings.Contains(e.Text, "missing in 1") || !strings.Contains(e.Text, "1 January 2001") {
		t.Errorf("error %v", e)
	}
}

func TestFillersAreNoNumbers(t *testing.T) {
	for _, filler := range []string{"9999", "-9900", "-7999", "-9999.9", "999999999", "NaN", "", " ", "-999", "N/A"} {
		y, err := read(dayRows(3600, func(i int) string {
			if i == 12 {
				return filler
			}
			return "100"
		}), plainMap, place.Spot{Latitude: 50})
		if err != nil {
			t.Errorf("%q: %v", filler, err)
			continue
		}
		if y.GHI[12] < 80 || y.GHI[12] > 130 || !noted(y, "1 row of daylight missing") {
			t.Errorf("%q became %v; notes %q", filler, y.GHI[12], y.Notes)
		}
	}
	m := plainMap
	m.Missing = []float64{100}
	if _, err := read(dayRows(3600, func(int) string { return "100" }), m, place.Spot{}); err == nil {
		t.Error("a filler named in the map was taken for light")
	}
}

// failing gives some bytes and then an error of the machine.
type failing struct{ data io.Reader }

func (f *failing) Read(p []byte) (int, error) {
	n, err := f.data.Read(p)
	if err == io.EOF {
		err = io.ErrClosedPipe
	}
	return n, err
}

func TestMachineErrorsStayThemselves(t *testing.T) {
	sound := []byte(textYear(same))
	for _, data := range [][]byte{sound, zipped(sound)} {
		_, err := weather.Read(context.Background(), "y", &failing{bytes.NewReader(data)}, nil, place.Spot{})
		if err == nil || !strings.Contains(err.Error(), io.ErrClosedPipe.Error()) {
			t.Errorf("error %v", err)
		}
	}
}

// Short pieces of every layout; the fuzzers change them.
func seeds(f *testing.F) {
	f.Add([]byte(textYear(same)[:700]))
	f.Add([]byte(twoHeaders(station, columns, "01/01/2001,01:00,0,0,0\n01/01/2001,02:00,1,2,3\n12/31/2001,24:00,0,0,0\n")))
	f.Add([]byte(dayRows(3600, func(i int) string { return fmt.Sprint(i * 10) })))
	f.Add([]byte("\xef\xbb\xbftime;ghi\r\n2023-10-29T02:30:00+02:00;1,5\r\n2023-10-29T02:31:00+01:00;\"2,5\"\r\n# sheet: b\n"))
	f.Add(zipped([]byte("time,ghi\n2023-01-01 00:00,1\n2023-01-01 00:10,-9999\n")))
}

func FuzzRead(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte) { tryRead(t, data, nil) })
}

// Unpacking and looking up the sun run beside reading, so that the lines of code
// met waver from run to run and the fuzzer can spend a minute on making one
// input smaller: -fuzzminimizetime=1x keeps it going.
func FuzzReadTable(f *testing.F) {
	seeds(f)
	berlin := zone(f, "Europe/Berlin")
	f.Fuzz(func(t *testing.T, data []byte) {
		tryRead(t, data, &weather.Map{Time: "time", GHI: "ghi", Zone: berlin})
		tryRead(t, data, &weather.Map{Date: "#1", Clock: "#2", GHI: "#3", DHI: "#4", Label: weather.Centre, Zone: berlin})
		tryRead(t, data, &weather.Map{Year: "#1", DayOfYear: "#2", HHMM: "#3", DNI: "#4", DHI: "#5", Separator: ' ', StepS: 7, Zone: time.UTC})
	})
}

func FuzzLayout(f *testing.F) {
	f.Add("2006-01-02 15:04:05.000 -0700", "2023-03-26 02:30:00.5 +0100")
	f.Add("Mon Jan _2 3:04 PM 06", "Sun Mar  6 2:30 AM 23")
	f.Add("unix", "1.7e9")
	f.Fuzz(func(t *testing.T, layout, word string) {
		tryRead(t, []byte("time\tghi\n"+word+"\t1\n"+word+"\t2\n"), &weather.Map{Time: "time", GHI: "ghi", Layout: layout, Zone: time.UTC, StepS: 3600})
	})
}

func tryRead(t *testing.T, data []byte, m *weather.Map) {
	r, err := weather.Read(context.Background(), "fuzz", bytes.NewReader(data), m, place.Spot{Latitude: 50})
	if err != nil {
		fileError(t, err)
		return
	}
	for _, y := range r.Years {
		wellFormed(t, y)
	}
}
