package weather_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"turnsole/place"
	"turnsole/sky"
	"turnsole/sun"
	"turnsole/weather"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

// clearLight returns clear global light in the middle of each row.
func clearLight(spot place.Spot, start time.Time, days, stepS int) []float64 {
	n := days * 86400 / stepS
	e, no, up := make([]float64, n), make([]float64, n), make([]float64, n)
	first := sun.JulianDayUnix(float64(start.Unix()) + float64(stepS)/2)
	sun.NewPath(sun.At(spot), first, first+sun.JulianDay(days+1), sun.DeltaT(first)).Directions(first, float64(stepS), e, no, up)
	for i := range up {
		up[i] = sky.Haurwitz(up[i])
	}
	return up
}

func read(text string, m weather.Map, spot place.Spot) (*weather.Year, error) {
	r, err := weather.Read(context.Background(), "log.csv", strings.NewReader(text), &m, spot)
	if err != nil {
		return nil, err
	}
	return r.Years[0], nil
}

// dayRows writes one June day of rows of a length, in which row i holds ghi(i).
func dayRows(stepS int, ghi func(i int) string) string {
	var b strings.Builder
	b.WriteString("time,ghi\n")
	start := time.Date(2023, 6, 1, 0, 0, 0, 0, time.UTC)
	for i := range 86400 / stepS {
		if v := ghi(i); v != "skip" {
			fmt.Fprintf(&b, "%s,%s\n", start.Add(time.Duration(i*stepS)*time.Second).Format("2006-01-02 15:04:05"), v)
		}
	}
	return b.String()
}

var plainMap = weather.Map{Time: "time", GHI: "ghi", Zone: time.UTC}

func TestLabels(t *testing.T) {
	for label, want := range map[weather.Label]int{weather.Left: 12, weather.Right: 11} {
		m := plainMap
		m.Label = label
		y, err := read(dayRows(3600, func(i int) string {
			if i == 12 {
				return "600"
			}
			return "0"
		}), m, place.Spot{Latitude: 50})
		if err != nil {
			t.Fatal(err)
		}
		if i := slices.Index(y.GHI, 600); i != want {
			t.Errorf("label %v: the row stamped 12:00 became row %d, want %d", label, i, want)
		}
	}
	m := plainMap
	m.Label = weather.Centre
	y, err := read(dayRows(3600, func(i int) string { return map[bool]string{true: "600", false: "0"}[i == 12] }), m, place.Spot{Latitude: 50})
	if err != nil || y.GHI[11] != 300 || y.GHI[12] != 300 {
		t.Errorf("centre: the row from 11:30 to 12:30 became %v and %v (%v)", y.GHI[11], y.GHI[12], err)
	}
}

func TestAnyStepKeepsItsEnergy(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stepS := rapid.SampledFrom([]int{20, 45, 61, 90, 130, 300, 420, 700, 1000, 1500, 2700, 3600}).Draw(t, "step")
		sum := 0.0
		text := dayRows(stepS, func(i int) string {
			h := math.Abs(float64(i*stepS)+float64(stepS)/2-43200) / 3600
			v := math.Round(max(0, 900-130*h) * rapid.Float64Range(0.3, 1).Draw(t, "cloud"))
			sum += v * float64(stepS) / 3600
			return fmt.Sprint(v)
		})
		y, err := read(text, plainMap, place.Spot{Latitude: 50})
		if err != nil {
			t.Fatal(err)
		}
		if y.StepS < 60 || 3600%y.StepS != 0 || y.StepS > max(stepS, 60) {
			t.Fatalf("rows of %d s became %d s", stepS, y.StepS)
		}
		// 1e-5: columns are float32.
		if got := wattHours(y, y.GHI); math.Abs(got-sum) > 1e-5*sum {
			t.Fatalf("rows of %d s hold %.3f Wh/m2, the year %.3f", stepS, sum, got)
		}
		wellFormed(t, y)
	})
}

func TestSummerTimeClocks(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	spot := place.Spot{Latitude: 52.5, Longitude: 13.4}
	start := time.Date(2023, 1, 1, 0, 0, 0, 0, east(1))
	standard := table("time,ghi", spot, start, 365, 900, func(at time.Time) string { return at.Format("2006-01-02 15:04") })
	want, err := read(standard, weather.Map{Time: "time", GHI: "ghi", Zone: east(1)}, spot)
	if err != nil {
		t.Fatal(err)
	}
	for _, label := range []weather.Label{weather.Left, weather.Right} {
		text := table("time,ghi", spot, start, 365, 900, func(at time.Time) string {
			if label == weather.Right {
				at = at.Add(15 * time.Minute)
			}
			return at.In(berlin).Format("2006-01-02 15:04")
		})
		got, err := read(text, weather.Map{Time: "time", GHI: "ghi", Zone: berlin, Label: label}, spot)
		if err != nil {
			t.Fatal(err)
		}
		if got.UTCOffset != time.Hour || !slices.Equal(got.GHI, want.GHI) || !slices.Equal(got.Midnight, want.Midnight) {
			t.Errorf("label %v: the summer-time clock gives another year than the standard one; notes %q", label, got.Notes)
		}
		if len(got.Notes) != len(want.Notes) {
			t.Errorf("label %v: notes %q, want %q", label, got.Notes, want.Notes)
		}
	}
	// The same clock without summer time is refused where the hour cannot be.
	_, err = read(standard, weather.Map{Time: "time", GHI: "ghi", Zone: berlin}, spot)
	if e := fileError(t, err); e.Line != 1+84*96+9+1 || !strings.Contains(e.Text, "put forward") { // 26 March 02:15; 02:00 is the instant itself
		t.Errorf("error %v", e)
	}
	// By the hour the row of 02:00 passes for the moment of the change; the row
	// behind it shows that the clock was not changed.
	hourly := table("time,ghi", spot, start, 365, 3600, func(at time.Time) string { return at.Format("2006-01-02 15:04") })
	_, err = read(hourly, weather.Map{Time: "time", GHI: "ghi", Zone: berlin}, spot)
	if e := fileError(t, err); e.Line != 1+84*24+3+1 || !strings.Contains(e.Text, "put forward over 02:00 on 26 March 2023") || !strings.Contains(e.Text, `"UTC+1"`) {
		t.Errorf("error %v", e)
	}
	// And the other way round: a clock with summer time, taken for one without.
	summer := table("time,ghi", spot, start.AddDate(0, 9, 0), 60, 900, func(at time.Time) string { return at.In(berlin).Format("2006-01-02 15:04") })
	_, err = read(summer, weather.Map{Time: "time", GHI: "ghi", Zone: east(1)}, spot)
	if e := fileError(t, err); !strings.Contains(e.Text, "goes back") || !strings.Contains(e.Text, "keeps summer time") {
		t.Errorf("error %v", e)
	}
}

func fileError(t testing.TB, err error) *weather.FileError {
	t.Helper()
	var e *weather.FileError
	if !errors.As(err, &e) {
		t.Fatalf("error %v (%T), want a FileError", err, err)
	}
	return e
}

func TestTimesAreRead(t *testing.T) {
	for name, c := range map[string]struct {
		format, layout string
		zone           *time.Location
	}{
		"with offset":     {time.RFC3339, "", nil},
		"found":           {"2006-01-02 15:04:05", "", time.UTC},
		"german":          {"02.01.2006 15:04", "", time.UTC},
		"american, named": {"1/2/2006 3:04:05 PM", "01/02/2006 03:04:05 PM", time.UTC},
		"month by name":   {"02-Jan-2006 15:04", "", time.UTC},
		"fraction":        {"2006-01-02 15:04:05.000", "", time.UTC},
	} {
		text := table("time,ghi", place.Spot{}, time.Date(2023, 6, 20, 0, 0, 0, 0, time.UTC), 2, 600, func(at time.Time) string { return at.Format(c.format) })
		y, err := read(text, weather.Map{Time: "time", GHI: "ghi", Zone: c.zone, Layout: c.layout}, place.Spot{})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := y.Date(0); len(y.Midnight) != 2 || got.Day() != 20 || y.StepS != 600 {
			t.Errorf("%s: %d days from %v, step %d s", name, len(y.Midnight), got, y.StepS)
		}
	}
	unix := table("t,ghi", place.Spot{}, time.Date(2023, 6, 20, 0, 0, 0, 0, time.UTC), 1, 600, func(at time.Time) string { return fmt.Sprint(at.Unix()) })
	if y, err := read(unix, weather.Map{Time: "t", GHI: "ghi", Layout: "unix"}, place.Spot{}); err != nil || y.Date(0).Day() != 20 {
		t.Errorf("unix: %v", err)
	}
}

func TestDateThatReadsTwoWaysIsAskedFor(t *testing.T) {
	text := table("time,ghi", place.Spot{}, time.Date(2023, 6, 2, 0, 0, 0, 0, time.UTC), 1, 3600, func(at time.Time) string { return at.Format("1/2/2006 15:04") })
	_, err := read(text, plainMap, place.Spot{})
	if e := fileError(t, err); !strings.Contains(e.Text, "2 ways") || e.Column != "time" {
		t.Errorf("error %v", e)
	}
}

func TestSemicolonsAndDecimalCommas(t *testing.T) {
	rows := dayRows(3600, func(i int) string { return map[bool]string{true: "12.5", false: "30"}[i >= 10] }) // the first are whole
	text := strings.NewReplacer(",", ";", ".", ",").Replace(rows)
	y, err := read(text, plainMap, place.Spot{Latitude: 50})
	if err != nil || y.GHI[12] != 12.5 {
		t.Errorf("%v", err)
	}
}

func TestEmptyColumnsAtTheEndDoNotCount(t *testing.T) {
	for _, text := range []string{
		strings.ReplaceAll(dayRows(3600, func(int) string { return "100," }), "time,ghi", "time,ghi,"),
		dayRows(3600, func(int) string { return "100," }),
		dayRows(3600, func(int) string { return `"100", ,` }),
		dayRows(3600, func(i int) string { return map[bool]string{true: "100,,", false: "100"}[i%2 == 0] }),
	} {
		if _, err := read(text, plainMap, place.Spot{Latitude: 50}); err != nil {
			t.Error(err)
		}
	}
}

// The sheet's title stands before the table, and a second sheet behind it.
func TestTableBetweenSheetTitles(t *testing.T) {
	text := "# sheet: light\nSource,Place\nX,Nowhere\n" + dayRows(3600, func(int) string { return "100" }) + "# sheet: more\nnothing\n"
	for _, m := range []weather.Map{plainMap, {Time: "#1", GHI: "#2", Zone: time.UTC}} {
		if y, err := read(text, m, place.Spot{Latitude: 50}); err != nil || y.GHI[12] != 100 {
			t.Errorf("%q: %v", m.Time, err)
		}
	}
}

func TestGaps(t *testing.T) {
	spot := place.Spot{Latitude: 50}
	start := time.Date(2023, 6, 1, 0, 0, 0, 0, time.UTC)
	light := clearLight(spot, start, 4, 600)
	write := func(lost func(i int) bool) string {
		var b strings.Builder
		b.WriteString("time,ghi\n")
		for i, g := range light {
			if v := fmt.Sprintf("%.1f", 0.8*g); lost(i) {
				fmt.Fprintf(&b, "%s,%s\n", start.Add(time.Duration(i)*10*time.Minute).Format("2006-01-02 15:04"), []string{"NaN", "-9999", "", "9999"}[i%4])
			} else {
				fmt.Fprintf(&b, "%s,%s\n", start.Add(time.Duration(i)*10*time.Minute).Format("2006-01-02 15:04"), v)
			}
		}
		return b.String()
	}
	whole, err := read(write(func(int) bool { return false }), plainMap, spot)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		lost func(i int) bool
		note string
	}{
		"two hours of forenoon": {func(i int) bool { return i >= 144+54 && i < 144+66 }, "share of the clear sky"},
		"five hours round noon": {func(i int) bool { return i >= 144+54 && i < 144+84 }, "nearest day"},
		"every night":           {func(i int) bool { return light[i] == 0 }, ""},
	} {
		y, err := read(write(c.lost), plainMap, spot)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		// 2 %: the split of the filled rows is carried over, not made anew, and
		// the two clear skies differ a little through the gap.
		if got, want := wattHours(y, y.GHI), wattHours(whole, whole.GHI); math.Abs(got/want-1) > 0.02 {
			t.Errorf("%s: %.1f Wh/m2, without the gap %.1f", name, got, want)
		}
		if (c.note != "") != (len(y.Notes) > len(whole.Notes)) || !noted(y, c.note) {
			t.Errorf("%s: notes %q", name, y.Notes)
		}
		wellFormed(t, y)
	}
}

func TestDeadDays(t *testing.T) {
	dead := func(days int) string {
		start := time.Date(2023, 1, 1, 0, 0, 0, 0, time.UTC)
		var b strings.Builder
		b.WriteString("time,ghi\n")
		for i, g := range clearLight(roskilde, start, 365, 3600) {
			if day := i / 24; day >= 150 && day < 150+days {
				g = 0
			}
			fmt.Fprintf(&b, "%s,%.0f\n", start.Add(time.Duration(i)*time.Hour).Format("2006-01-02 15:04"), 0.8*g)
		}
		return b.String()
	}
	whole, err := read(dead(0), plainMap, roskilde)
	if err != nil {
		t.Fatal(err)
	}
	for _, days := range []int{2, 20} {
		y, err := read(dead(days), plainMap, roskilde)
		if err != nil {
			t.Fatal(err)
		}
		told := y.Notes
		if days > 3 {
			told = y.Warnings
		}
		said := fmt.Sprintf("%d days have no light at all, though the sun was up (the first is 31 May 2023)", days)
		if !slices.ContainsFunc(told, func(s string) bool { return strings.HasPrefix(s, said) }) {
			t.Errorf("%d days: warnings %q, notes %q", days, y.Warnings, y.Notes)
		}
		// 0.5 %: the days at the ends of the gap stand for those within it.
		if got, want := wattHours(y, y.GHI), wattHours(whole, whole.GHI); math.Abs(got/want-1) > 0.005 {
			t.Errorf("%d days: %.0f Wh/m2, without the gap %.0f", days, got, want)
		}
	}
	// More of them than a year may lack.
	if _, err := read(dead(60), plainMap, roskilde); err == nil || !strings.Contains(err.Error(), "light is missing") {
		t.Errorf("error %v", err)
	}
}

func TestThirdFigureIsDerived(t *testing.T) {
	f := func(columns string, m weather.Map) *weather.Year {
		var b strings.Builder
		b.WriteString("time," + columns + "\n")
		for i := range 144 {
			at := time.Date(2023, 6, 1, 0, 10*i, 0, 0, time.UTC)
			up := max(0, math.Sin(2*math.Pi*float64(i-36)/144))
			v := map[string]float64{"dni": 600 * up, "dhi": 100 * up}
			v["ghi"] = 650 * up
			b.WriteString(at.Format("2006-01-02 15:04"))
			for _, c := range strings.Split(columns, ",") {
				fmt.Fprintf(&b, ",%.2f", v[c])
			}
			b.WriteString("\n")
		}
		m.Time, m.Zone = "time", time.UTC
		y, err := read(b.String(), m, place.Spot{Latitude: 50})
		if err != nil {
			t.Fatal(err)
		}
		return y
	}
	for _, y := range []*weather.Year{
		f("ghi,dhi", weather.Map{GHI: "ghi", DHI: "dhi"}),
		f("ghi,dni", weather.Map{GHI: "ghi", DNI: "dni"}),
		f("dni,dhi", weather.Map{DNI: "dni", DHI: "dhi"}),
	} {
		// At noon of 1 June at 50 N the sun stands 90-50+22.0 = 62.0 degrees
		// high: global = diffuse + beam x 0.883 (declination from memory, 0.1
		// degree, which is 0.1 %).
		i := 72
		if got, want := y.GHI[i], y.DHI[i]+0.883*y.DNI[i]; math.Abs(float64(got/want)-1) > 0.003 {
			t.Errorf("global %v, beam %v, diffuse %v", got, y.DNI[i], y.DHI[i])
		}
		if !noted(y, "computed from") {
			t.Errorf("notes %q", y.Notes)
		}
	}
}

func TestSeveralYears(t *testing.T) {
	at := func(from time.Time, days int) (*weather.Record, error) {
		text := table("time,ghi", roskilde, from, days, 3600, func(at time.Time) string { return at.Format("2006-01-02 15:04") })
		return weather.Read(context.Background(), "y", strings.NewReader(text), &plainMap, roskilde)
	}
	for name, c := range map[string]struct {
		from        time.Time
		days, years int
		first       int // calendar year of the first 1 January
		length      int
	}{
		"two calendar years, one leap": {time.Date(2023, 1, 1, 0, 0, 0, 0, time.UTC), 731, 2, 2023, 365},
		"a year and a half":            {time.Date(2022, 7, 1, 0, 0, 0, 0, time.UTC), 549, 1, 2023, 365},
		"from spring to spring":        {time.Date(2022, 4, 1, 0, 0, 0, 0, time.UTC), 365, 1, 2023, 365},
		"eleven months":                {time.Date(2023, 1, 5, 0, 0, 0, 0, time.UTC), 345, 1, 2023, 365},
		"a season":                     {time.Date(2023, 5, 1, 0, 0, 0, 0, time.UTC), 100, 1, 2023, 100},
	} {
		r, err := at(c.from, c.days)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		y := r.Years[0]
		if len(r.Years) != c.years || len(y.Midnight) != c.length || y.Date(0).Year() != c.first {
			t.Errorf("%s: %d years, the first of %d days from %v", name, len(r.Years), len(y.Midnight), y.Date(0))
		}
		for _, y := range r.Years {
			wellFormed(t, y)
		}
	}
}

// A year turned round to begin in January, from two calendar years, with times
// from 1:00 to 24:00: whether they are taken for the ends or the beginnings of
// rows, every month keeps all its rows.
func TestHoursTo24WhereYearsMeet(t *testing.T) {
	var b strings.Builder
	b.WriteString("y,m,d,h,ghi\n")
	for i := range 8760 {
		at := time.Date(2019, 1, 1, i, 0, 0, 0, time.UTC)
		year := 2019
		if at.Month() < time.April {
			year = 2021
		}
		fmt.Fprintf(&b, "%d,%d,%d,%d,%d\n", year, at.Month(), at.Day(), at.Hour()+1, 100+i%24)
	}
	for label, noon := range map[weather.Label]float32{weather.Right: 112, weather.Left: 111} {
		m := weather.Map{Year: "y", Month: "m", Day: "d", Hour: "h", GHI: "ghi", Label: label, Zone: time.UTC}
		y, err := read(b.String(), m, place.Spot{Latitude: 50})
		if err != nil {
			t.Errorf("label %v: %v", label, err)
			continue
		}
		wellFormed(t, y)
		for day := range 365 {
			if y.GHI[day*24+12] != noon {
				t.Fatalf("label %v: at noon of %v stands %v, want %v", label, y.Date(day), y.GHI[day*24+12], noon)
			}
		}
	}
}

func TestThinYearsAreLeftOut(t *testing.T) {
	text := table("time,ghi", roskilde, time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC), 3*365, 3600, func(at time.Time) string {
		if at.Year() == 2022 && at.Month() > time.March {
			return "# " // a remark: the row is not there
		}
		return at.Format("2006-01-02 15:04")
	})
	r, err := weather.Read(context.Background(), "y", strings.NewReader(text), &plainMap, roskilde)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Years) != 2 || r.Years[1].Date(0).Year() != 2023 || !noted(r.Years[0], "In 1 stretch") {
		t.Errorf("%d years, notes %q", len(r.Years), r.Years[0].Notes)
	}
}

func TestContextStopsReading(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	text := dayRows(10, func(int) string { return "100" })
	for _, data := range [][]byte{[]byte(text), zipped([]byte(text))} {
		if _, err := weather.Read(ctx, "log.csv", bytes.NewReader(data), &plainMap, place.Spot{}); !errors.Is(err, context.Canceled) {
			t.Errorf("error %v", err)
		}
	}
}
