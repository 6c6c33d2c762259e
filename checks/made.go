package checks

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"time"

	"turnsole/place"
	"turnsole/weather"
)

func madeRooms() []Room {
	return []Room{
		{
			Title:  "Made days and hours",
			Source: "clearness of the days, and of the hours with the sun above 10 degrees, of seven open weather years, against twenty years made from the monthly figures of each",
			Reason: "0.15 between distributions for the two measured years: 365 days that hang together are worth some 200 drawn apart, and two such sets of one kind lie up to 0.10 apart (Kolmogorov & Smirnov, 5 %), and the chains were fitted to other places. 0.20 for typical years, whose light is modelled from cloud and has few very dark days. The memory of one day for the next is 0.25 to 0.35 in the literature (from memory); 0.15 is three times what one year leaves open",
			Need:   Data,
			Run:    madeDayChecks,
		},
		{
			Title:  "Built-in climates",
			Source: "the open weather years summed up again by MonthlyOf; largest difference of the twelve months",
			Reason: "half of the last digit that the table keeps",
			Need:   Data,
			Run:    climateChecks,
		},
		{
			Title:  "Made minutes",
			Source: "beam measured by the minute in Madrid, 30 May to 10 June 2019 (the clouds' figures are fitted to these), and, not fitted, Golden, 17 May 2012 and Madrid, 4 March 2020: three kinds of broken days; each hour's means given, minutes made twenty times",
			Reason: "0.20 between distributions of the beam over the clearest beam: one day has one kind of cloud, made days have all kinds; the sizes of changes from minute to minute and the lengths of runs within a factor of 2.2: between the three measured sets they differ by 5 to 9, and made minutes stand between",
			Need:   Data,
			Run:    madeMinuteChecks,
		},
	}
}

// openYear is an open weather year and the climate made from it, if one is.
type openYear struct {
	file, climate string
	typical       bool // its light is modelled
	columns       *weather.Map
	spot          place.Spot
}

var openYears = []openYear{
	{file: "year-barrow-71n.epw.gz", climate: "arctic", typical: true},
	{
		file: "measured-roskilde-2019-hourly.csv.gz", climate: "cloudy-lowland", spot: spotAt(55.696, 12.104, 15),
		columns: &weather.Map{
			Year: "Year", Month: "Month", Day: "Day", Hour: "Hour",
			GHI: "GHI", DNI: "DNI", DHI: "DHI", AirC: "Ambient Temp", WindMS: "Wind Speed",
			Label: weather.Right, Zone: time.FixedZone("", 3600),
		},
	},
	{file: "year-sand-point-55n.tmy3.csv.gz", climate: "cloudy-maritime", typical: true},
	{file: "measured-golden-2019-2020-15min.csv.gz", climate: "high-plains"},
	{file: "year-albuquerque-35n.tmy3.csv.gz", climate: "desert", typical: true},
	{file: "year-santiago-33s.epw.gz", climate: "mediterranean-south", typical: true},
	{file: "year-new-delhi-29n.epw.gz", climate: "monsoon", typical: true},
}

// read returns the year and where it was recorded.
func (o openYear) read(dir string) (*weather.Year, place.Spot, error) {
	f, err := os.Open(filepath.Join(dir, o.file))
	if err != nil {
		return nil, place.Spot{}, err
	}
	defer f.Close()
	r, err := weather.Read(context.Background(), o.file, f, o.columns, o.spot)
	if err != nil {
		return nil, place.Spot{}, err
	}
	spot := o.spot
	if r.Origin != nil {
		spot = place.Spot{Latitude: r.Origin.Latitude, Longitude: r.Origin.Longitude, AltitudeM: r.Origin.AltitudeM}
	}
	return r.Years[0], spot, nil
}

// madeAlike makes years from the monthly figures of y and returns their
// clearness by day and by hour.
func madeAlike(y *weather.Year, spot place.Spot, years int) (days, hours []float64, err error) {
	monthly, err := weather.MonthlyOf(y, spot)
	if err != nil {
		return nil, nil, err
	}
	for month, k := range monthly.Clearness {
		if k > 0 {
			monthly.Clearness[month] = min(max(k, 0.05), 0.85)
		}
	}
	maker, err := weather.NewMaker(spot, monthly, 3600)
	if err != nil {
		return nil, nil, err
	}
	grid, err := weather.NewGrid(context.Background(), spot, maker.Calendar(), [12]float64{}, 0)
	if err != nil {
		return nil, nil, err
	}
	rng, outside := rand.New(rand.NewPCG(2, 2)), grid.Sky()
	var made weather.Year
	for range years {
		maker.Make(rng, &made)
		d, h := clearness(&made, outside)
		days, hours = append(days, d...), append(hours, h...)
	}
	return days, hours, nil
}

// clearness returns each day's light over that outside the air, NaN where there
// are less than 500 Wh/m2 outside; and the same for each hour, NaN where the sun
// is not above 10 degrees.
func clearness(y *weather.Year, outside []weather.RowSky) (days, hours []float64) {
	perHour := 3600 / y.StepS
	for day := range y.Midnight {
		var ghi, extra float64
		for h := range 24 {
			var g, e, up float64
			for i := range perHour {
				row := (day*24+h)*perHour + i
				g += float64(y.GHI[row]) / float64(perHour)
				e += outside[row].ExtraNormal * outside[row].Up / float64(perHour)
				up += outside[row].Up / float64(perHour)
			}
			ghi, extra = ghi+g, extra+e
			hours = append(hours, ratioAbove(g, e, up, 0.17))
		}
		days = append(days, ratioAbove(ghi, extra, extra, 500))
	}
	return days, hours
}

func ratioAbove(a, b, x, least float64) float64 {
	if x < least {
		return math.NaN()
	}
	return a / b
}

func madeDayChecks(dir string) ([]Check, error) {
	var checks []Check
	for _, o := range openYears {
		y, spot, err := o.read(dir)
		if err != nil {
			return nil, err
		}
		grid, err := weather.NewGrid(context.Background(), spot, y.Calendar, [12]float64{}, 0)
		if err != nil {
			return nil, err
		}
		days, hours := clearness(y, grid.Sky())
		madeDays, madeHours, err := madeAlike(y, spot, 20)
		if err != nil {
			return nil, err
		}
		allowed := 0.15
		if o.typical {
			allowed = 0.20
		}
		checks = append(checks,
			Check{o.file + ": days, largest distance of the distributions", 0, apart(days, madeDays), "", allowed, 2},
			Check{o.file + ": hours, largest distance of the distributions", 0, apart(hours, madeHours), "", allowed, 2},
			Check{o.file + ": memory of one day for the next", memory(days), memory(madeDays), "", 0.15, 2})
	}
	return checks, nil
}

// apart is the largest distance between the cumulative distributions of two
// samples (Kolmogorov & Smirnov), NaN left out.
func apart(a, b []float64) float64 {
	a, b = sortedNumbers(a), sortedNumbers(b)
	i, worst := 0, 0.0
	for j, x := range b {
		for i < len(a) && a[i] <= x {
			i++
		}
		d := float64(i)/float64(len(a)) - float64(j+1)/float64(len(b))
		worst = max(worst, math.Abs(d))
	}
	return worst
}

func sortedNumbers(x []float64) []float64 {
	x = slices.DeleteFunc(slices.Clone(x), math.IsNaN)
	slices.Sort(x)
	return x
}

// memory is the correlation of the days of a year with the days before, as
// they stray from the mean of fifteen days before and after.
func memory(days []float64) float64 {
	strays := make([]float64, len(days))
	for i := range days {
		sum, n := 0.0, 0.0
		for _, k := range days[max(0, i-15):min(len(days), i+16)] {
			if !math.IsNaN(k) {
				sum, n = sum+k, n+1
			}
		}
		strays[i] = days[i] - sum/n
	}
	var both, own float64
	for i := 1; i < len(strays); i++ {
		if product := strays[i] * strays[i-1]; !math.IsNaN(product) {
			both, own = both+product, own+strays[i]*strays[i]
		}
	}
	return both / own
}

func climateChecks(dir string) ([]Check, error) {
	var checks []Check
	for _, o := range openYears {
		y, spot, err := o.read(dir)
		if err != nil {
			return nil, err
		}
		want, err := weather.MonthlyOf(y, spot)
		if err != nil {
			return nil, err
		}
		c, err := weather.ClimateNamed(o.climate)
		if err != nil {
			return nil, err
		}
		for month, k := range want.Clearness {
			if k == 0 { // the sun stays down: the table has a figure for use elsewhere
				want.Clearness[month] = c.Clearness[month]
			}
		}
		for _, column := range []struct {
			name, unit string
			want, have [12]float64
			half       float64
		}{
			{"clearness", "", want.Clearness, c.Clearness, 0.005},
			{"air temperature", "C", want.AirC, c.AirC, 0.05},
			{"half its swing", "C", want.AirSwingC, c.AirSwingC, 0.05},
			{"wind", "m/s", want.WindMS, c.WindMS, 0.05},
		} {
			worst := 0.0
			for month := range 12 {
				worst = max(worst, math.Abs(column.want[month]-column.have[month]))
			}
			checks = append(checks, Check{fmt.Sprintf("%s from %s: %s", o.climate, o.file, column.name), 0, worst, column.unit, column.half * 1.0001, 3})
		}
	}
	return checks, nil
}
