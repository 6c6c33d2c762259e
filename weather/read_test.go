package weather_test

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"turnsole/place"
	"turnsole/weather"
)

// measured opens a file of the open data, found through TURNSOLE_DATA.
func measured(t testing.TB, name string) *os.File {
	t.Helper()
	dir := os.Getenv("TURNSOLE_DATA")
	if dir == "" {
		t.Skip("TURNSOLE_DATA IS NOT SET: the open measured data are not read")
	}
	f, err := os.Open(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { f.Close() })
	return f
}

var (
	golden    = place.Spot{Latitude: 39.742, Longitude: -105.18, AltitudeM: 1829}
	madrid    = place.Spot{Latitude: 40.453, Longitude: -3.727, AltitudeM: 695}
	tucson    = place.Spot{Latitude: 32.23, Longitude: -110.95, AltitudeM: 786}
	livermore = place.Spot{Latitude: 37.68, Longitude: -121.77, AltitudeM: 150}
	roskilde  = place.Spot{Latitude: 55.696, Longitude: 12.104, AltitudeM: 15}
	alamosa   = place.Spot{Latitude: 37.70, Longitude: -105.92, AltitudeM: 2317}
)

func east(hours float64) *time.Location { return time.FixedZone("", int(hours*3600)) }

// record is a file of the open data and what is in it: sums over its rows in
// Wh/m2, counted with awk on the file itself, negative values as zero.
type record struct {
	file          string
	m             *weather.Map
	spot          place.Spot
	kind          weather.Kind
	days, stepS   int
	ghi, dni, dhi float64
	dead          []int // days that hold zeros alone, and are filled
}

var records = []record{
	{"year-barrow-71n.epw.gz", nil, place.Spot{}, weather.Typical, 365, 3600, 713443, 674505, 461656, nil},
	{"year-santiago-33s.epw.gz", nil, place.Spot{}, weather.Typical, 365, 3600, 1910269, 1894182, 654053, nil},
	{"year-new-delhi-29n.epw.gz", nil, place.Spot{}, weather.Typical, 365, 3600, 1927719, 1903625, 686797, nil},
	{"year-sand-point-55n.tmy3.csv.gz", nil, place.Spot{}, weather.Typical, 365, 3600, 829243, 819209, 460947, nil},
	{"year-albuquerque-35n.tmy3.csv.gz", nil, place.Spot{}, weather.Typical, 365, 3600, 1.9804e6, 2.445969e6, 533580, nil},
	{"measured-golden-2019-2020-15min.csv.gz", nil, place.Spot{}, weather.Recorded, 365, 900, 1.72299e6, 2.02224e6, 602255, nil},
	{"minute-golden-2012-05-17.csv.gz", nil, place.Spot{}, weather.Recorded, 1, 60, 6636.68, 5660.52, 3003.08, nil},
	{"measured-roskilde-2019-hourly.csv.gz", &weather.Map{Year: "Year", Month: "Month", Day: "Day", Hour: "Hour",
		GHI: "GHI", DNI: "DNI", DHI: "DHI", AirC: "Ambient Temp", WindMS: "Wind Speed", Label: weather.Right, Zone: east(1)},
		roskilde, weather.Recorded, 365, 3600, 1.07907e6, 1.09732e6, 516063, []int{182, 183}},
	{"tracked-madrid-2020-03-04-1min.tsv.gz", &weather.Map{Time: "yyyy/mm/dd hh:mm",
		GHI: "Gh", DNI: "Bn", DHI: "Dh", AirC: "Temp. Ai 1", WindMS: "V.Vien.1", Zone: east(1)},
		madrid, weather.Recorded, 1, 60, 4588.83, 5631.32, 1481.46, nil},
	{"minute-tucson-2018-10-18.csv.gz", &weather.Map{Year: "Year", DayOfYear: "DOY", HHMM: "MST",
		GHI: "Global Horiz (platform) [W/m^2]", DNI: "Direct Normal", DHI: "Diffuse Horiz",
		AirC: "Air Temperature", WindMS: "Avg Wind Speed @ 3m", WindHeightM: 3, Zone: east(-7)},
		tucson, weather.Recorded, 1, 60, 5522.85, 9302.36, 624.381, nil},
	{"minute-alamosa-2016-01-01.dat.gz", &weather.Map{Year: "#1", Month: "#3", Day: "#4", Hour: "#5", Minute: "#6",
		GHI: "#9", DNI: "#13", DHI: "#15", AirC: "#39", Zone: time.UTC},
		alamosa, weather.Recorded, 1, 60, 3395.09, 8541.3, 435.688, nil},
}

func wattHours(y *weather.Year, column []float32) (sum float64) {
	for _, v := range column {
		sum += float64(v) * float64(y.StepS) / 3600
	}
	return sum
}

func TestOpenRecordsAreReadWhole(t *testing.T) {
	for _, c := range records {
		r, err := weather.Read(context.Background(), c.file, measured(t, c.file), c.m, c.spot)
		if err != nil {
			t.Error(err)
			continue
		}
		y := r.Years[0]
		if len(r.Years) != 1 || y.Kind != c.kind || len(y.Midnight) != c.days || y.StepS != c.stepS {
			t.Errorf("%s: %d years, kind %v, %d days of %d s; want one, %v, %d, %d", c.file, len(r.Years), y.Kind, len(y.Midnight), y.StepS, c.kind, c.days, c.stepS)
		}
		for _, s := range []struct {
			what      string
			column    []float32
			got, want float64
		}{
			{"GHI", y.GHI, wattHours(y, y.GHI), c.ghi},
			{"DNI", y.DNI, wattHours(y, y.DNI), c.dni},
			{"DHI", y.DHI, wattHours(y, y.DHI), c.dhi},
		} {
			for _, day := range c.dead {
				s.got -= ofDay(y, s.column, day)
			}
			// 1e-5: some of the sums counted from the files have six digits.
			if math.Abs(s.got/s.want-1) > 1e-5 {
				t.Errorf("%s: %s %.1f Wh/m2, the file has %.1f", c.file, s.what, s.got, s.want)
			}
		}
		wellFormed(t, y)
	}
}

// ofDay returns the light of a day in Wh/m2.
func ofDay(y *weather.Year, column []float32, day int) float64 {
	n := y.RowsPerDay()
	return wattHours(y, column[day*n:(day+1)*n])
}

// Two days of July hold zeros in the measured file.
func TestDeadDaysOfAMeasuredYearAreFilled(t *testing.T) {
	const file = "measured-roskilde-2019-hourly.csv.gz"
	i := slices.IndexFunc(records, func(r record) bool { return r.file == file })
	r, err := weather.Read(context.Background(), file, measured(t, file), records[i].m, roskilde)
	if err != nil {
		t.Fatal(err)
	}
	y := r.Years[0]
	// July has 3 to 8 kWh/m2 a day at 56 N, a quarter of it under thick cloud.
	if first, second := ofDay(y, y.GHI, 182), ofDay(y, y.GHI, 183); min(first, second) < 800 || max(first, second) > 9000 {
		t.Errorf("filled with %.0f and %.0f Wh/m2", first, second)
	}
	if !slices.ContainsFunc(y.Notes, func(n string) bool {
		return strings.HasPrefix(n, "2 days have no light") && strings.Contains(n, "2 July 2019")
	}) {
		t.Errorf("notes %q", y.Notes)
	}
}

type failer interface {
	Helper()
	Errorf(format string, args ...any)
}

// wellFormed checks what every Year promises.
func wellFormed(t failer, y *weather.Year) {
	t.Helper()
	columns := map[string][]float32{"GHI": y.GHI, "DNI": y.DNI, "DHI": y.DHI, "AirC": y.AirC, "WindMS": y.WindMS}
	if y.Albedo != nil {
		columns["Albedo"] = y.Albedo
	}
	for name, c := range columns {
		if len(c) != y.Rows() {
			t.Errorf("%s: %s has %d rows, the calendar %d", y.Source, name, len(c), y.Rows())
		}
		i := slices.IndexFunc(c, func(v float32) bool { return !(v >= 0 || name == "AirC" && v >= -90) || v > 2300 })
		if i >= 0 {
			t.Errorf("%s: %s is %v in row %d", y.Source, name, c[i], i)
		}
	}
	for day, m := range y.Midnight {
		d := y.Date(day)
		if d.Hour()+d.Minute()+d.Second() != 0 || d.Month() == time.February && d.Day() == 29 {
			t.Errorf("%s: day %d begins at %v", y.Source, day, d)
		}
		if y.Whole() {
			if want := time.Date(2001, 1, 1+day, 0, 0, 0, 0, time.UTC); want.Month() != d.Month() || want.Day() != d.Day() {
				t.Errorf("%s: day %d is %v", y.Source, day, d)
				return
			}
		} else if day > 0 && m <= y.Midnight[day-1] {
			t.Errorf("%s: day %d comes before day %d", y.Source, day, day-1)
		}
	}
}

func TestFilesSayWhereTheyAreFrom(t *testing.T) {
	r, err := weather.Read(context.Background(), "delhi", measured(t, "year-new-delhi-29n.epw.gz"), nil, place.Spot{})
	if err != nil {
		t.Fatal(err)
	}
	o := r.Origin
	if o.Name != "New Delhi Gandhi Intl AP" || o.Latitude != 28.567 || o.Longitude != 77.103 || o.AltitudeM != 236.8 || o.UTCOffset != 330*time.Minute {
		t.Errorf("origin %+v", o)
	}
	if y := r.Years[0]; y.UTCOffset != 330*time.Minute {
		t.Errorf("the year's clock is %v from Greenwich", y.UTCOffset)
	}
}

func TestTypicalMonthsKeepTheirYears(t *testing.T) {
	r, err := weather.Read(context.Background(), "abq", measured(t, "year-albuquerque-35n.tmy3.csv.gz"), nil, place.Spot{})
	if err != nil {
		t.Fatal(err)
	}
	y := r.Years[0]
	for day, year := range map[int]int{0: 1981, 31: 1979, 90: 2003, 364: 1999} {
		if got := y.Date(day).Year(); got != year {
			t.Errorf("day %d is of %d, in the file %d", day, got, year)
		}
	}
	// 1 January 1981, row 8 of the file (ending 08:00): 35, 243 and 12 W/m2,
	// wind 1.5 m/s at 10 m, which (1.5/10)^0.14 makes 1.150 at the panel.
	if y.GHI[7] != 35 || y.DNI[7] != 243 || y.DHI[7] != 12 || math.Abs(float64(y.WindMS[7])-1.150) > 0.001 {
		t.Errorf("row 8 is %v %v %v, wind %v", y.GHI[7], y.DNI[7], y.DHI[7], y.WindMS[7])
	}
}

func TestRecordIsTurnedRoundToJanuary(t *testing.T) {
	r, err := weather.Read(context.Background(), "golden", measured(t, "measured-golden-2019-2020-15min.csv.gz"), nil, place.Spot{})
	if err != nil {
		t.Fatal(err)
	}
	y := r.Years[0]
	if a, b := y.Date(0), y.Date(364); a.Year() != 2020 || b.Year() != 2019 {
		t.Errorf("the year runs from %v to %v", a, b)
	}
	for _, want := range []string{"29 February 2020 is left out", "3 days lie outside", "air temperature missing"} {
		if !noted(y, want) {
			t.Errorf("no note says %q: %q", want, y.Notes)
		}
	}
}

func noted(y *weather.Year, words string) bool {
	return slices.ContainsFunc(append(slices.Clone(y.Warnings), y.Notes...), func(n string) bool { return strings.Contains(n, words) })
}

func TestFineGlobalLightIsAveragedAndSplit(t *testing.T) {
	m := &weather.Map{FirstDay: "2014-05-18", SecondsOfDay: "seconds_since_local_midnight", GHI: "GHI_W_m2", Zone: east(-8)}
	r, err := weather.Read(context.Background(), "fast", measured(t, "fast-livermore-2014-05-18-2s.csv.gz"), m, livermore)
	if err != nil {
		t.Fatal(err)
	}
	y := r.Years[0]
	wellFormed(t, y)
	if y.StepS != 60 || math.Abs(wattHours(y, y.GHI)/7449.46-1) > 2e-5 { // six digits, counted with awk
		t.Errorf("step %d s, %.2f Wh/m2", y.StepS, wattHours(y, y.GHI))
	}
	if !noted(y, "Engerer") || !noted(y, "2 s are averaged") {
		t.Errorf("notes: %q", y.Notes)
	}
	if wattHours(y, y.DNI) < 3000 { // half a clear May day's beam is 5000
		t.Errorf("beam of %.0f Wh/m2 in a day of broken cloud", wattHours(y, y.DNI))
	}
}

func TestDaysWithoutLightAreLeftOutOfPartYears(t *testing.T) {
	m := &weather.Map{Time: "measured_on", Layout: "1/2/2006 15:04", Zone: east(-7),
		GHI: "irradiance_ghi__7981", DNI: "irradiance_dni__7982", DHI: "irradiance_dhi__7983"}
	r, err := weather.Read(context.Background(), "tracked", measured(t, "tracked-golden-2019-02-5min.csv.gz"), m, golden)
	if err != nil {
		t.Fatal(err)
	}
	var days []int
	y := r.Years[0]
	for i := range y.Midnight {
		days = append(days, y.Date(i).Day())
	}
	if !slices.Equal(days, []int{1, 2, 4, 5}) { // 3 February is empty
		t.Errorf("days of February: %v", days)
	}
	wellFormed(t, y)
}

func TestBeamAloneIsRefused(t *testing.T) {
	m := &weather.Map{Time: "time_local", DNI: "dni_w_m2", Zone: east(2)}
	_, err := weather.Read(context.Background(), "dni.csv", measured(t, "minute-madrid-2019-06-dni.csv.gz"), m, madrid)
	if err == nil || !strings.Contains(err.Error(), "global light") {
		t.Errorf("error %v", err)
	}
}
