package weather_test

import (
	"context"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/sky"
	"turnsole/weather"
)

var hut = place.Spot{
	Latitude: 52.28, Longitude: -3.62, AltitudeM: 310,
	Albedo: [12]float64{0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.25},
}

// days is a calendar of n days from a date on.
func days(from time.Time, n, stepS int) weather.Calendar {
	c := weather.Calendar{StepS: stepS}
	for d := range n {
		c.Midnight = append(c.Midnight, from.Unix()+int64(d)*86400)
	}
	return c
}

func wholeYear(stepS int) weather.Calendar {
	return days(time.Date(2019, 1, 1, 0, 0, 0, 0, time.UTC), 365, stepS)
}

func grid(t testing.TB, s place.Spot, c weather.Calendar, stepS int) *weather.Grid {
	t.Helper()
	g, err := weather.NewGrid(context.Background(), s, c, [12]float64{}, stepS)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// dark is a year without light and with one kind of air.
func dark(c weather.Calendar) *weather.Year {
	y := &weather.Year{Calendar: c, Source: "test"}
	n := c.Rows()
	y.GHI, y.DNI, y.DHI = make([]float32, n), make([]float32, n), make([]float32, n)
	y.AirC, y.WindMS = make([]float32, n), make([]float32, n)
	return y
}

func TestLayKeepsTheEnergyOfEveryYear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spot := hut
		spot.Latitude = compass.Angle(rapid.Float64Range(-80, 80).Draw(t, "latitude"))
		start := time.Date(2019, time.Month(rapid.IntRange(1, 12).Draw(t, "month")), 1, 0, 0, 0, 0, time.UTC)
		c := days(start, 2, rapid.SampledFrom([]int{60, 300, 900, 1200, 3600}).Draw(t, "row"))
		g, err := weather.NewGrid(context.Background(), spot, c, [12]float64{}, 0)
		if err != nil {
			t.Fatal(err)
		}
		y := dark(c)
		beam, diffuse := 0.0, 0.0
		for r := range y.DNI {
			y.DNI[r] = float32(rapid.SampledFrom([]float64{0, 90, 950}).Draw(t, "dni"))
			y.DHI[r] = float32(rapid.SampledFrom([]float64{0, 3, 400}).Draw(t, "dhi"))
			beam += float64(y.DNI[r]) * float64(c.StepS) / 3600
			diffuse += float64(y.DHI[r]) * float64(c.StepS) / 3600
		}
		var s sky.Series
		if err := g.Lay(y, &s); err != nil {
			t.Fatal(err)
		}
		lost, err := g.Lost(y)
		if err != nil {
			t.Fatal(err)
		}
		beam -= lost.BeamWhM2
		diffuse -= lost.DiffuseWhM2
		for i := range s.Len() {
			beam -= s.DNI[i] * s.StepS / 3600
			diffuse -= s.DHI[i] * s.StepS / 3600
			if s.DNI[i] > s.ExtraNormal[i] || s.DNI[i] > 0 && s.Up[i] == 0 {
				t.Fatalf("step %d has a beam of %v with the sun at %v", i, s.DNI[i], s.Up[i])
			}
		}
		// 1e-6 Wh: rounding of a few thousand sums.
		if math.Abs(beam) > 1e-6 || math.Abs(diffuse) > 1e-6 {
			t.Fatalf("energy not accounted for: beam %v, diffuse %v Wh/m2", beam, diffuse)
		}
	})
}

// A clear year given as rows must lose nothing, and its hours laid out anew
// must be the clear sky that they were the means of.
func TestClearSkyComesBackFromItsHours(t *testing.T) {
	c := wholeYear(3600)
	g := grid(t, hut, c, 0)
	y := dark(c)
	for r, clear := range g.Sky() {
		y.DNI[r], y.DHI[r] = float32(clear.Clear.DNI), float32(clear.Clear.DHI)
	}
	lost, err := g.Lost(y)
	if err != nil {
		t.Fatal(err)
	}
	if lost.BeamWhM2 > 0.1 || lost.DiffuseWhM2 > 0.1 { // of 2 MWh: float32 rows
		t.Errorf("a clear year lost %+v", lost)
	}
	fine := grid(t, hut, wholeYear(600), 0).Sky()
	var s sky.Series
	if err := g.Lay(y, &s); err != nil {
		t.Fatal(err)
	}
	sum, off := 0.0, 0.0
	k := 0
	for _, f := range fine {
		if f.Up > 0 {
			for s.Up[k] == 0 {
				k++
			}
			sum += f.Clear.DNI
			off += math.Abs(f.Clear.DNI - s.DNI[k])
			k++
		}
	}
	if off > 1e-5*sum { // float32 rows
		t.Errorf("hours of clear beam came back off by %v of %v", off, sum)
	}
}

func TestStepsFollowTheRows(t *testing.T) {
	for _, c := range []struct {
		row, step int
		want      float64
	}{{60, 0, 60}, {600, 0, 600}, {900, 0, 450}, {1200, 0, 600}, {3600, 0, 600}, {3600, 300, 300}} {
		g := grid(t, hut, days(time.Unix(0, 0), 1, c.row), c.step)
		var s sky.Series
		if err := g.Lay(dark(g.Calendar), &s); err != nil {
			t.Fatal(err)
		}
		if s.StepS != c.want {
			t.Errorf("rows of %d s: steps of %v s, want %v", c.row, s.StepS, c.want)
		}
	}
}

func TestOnlyDaylightBecomesSteps(t *testing.T) {
	polar := hut
	polar.Latitude = 78
	c := wholeYear(3600)
	var s sky.Series
	if err := grid(t, polar, c, 0).Lay(dark(c), &s); err != nil {
		t.Fatal(err)
	}
	perMonth := [12]int{}
	for i := range s.Len() {
		if n := math.Hypot(math.Hypot(s.East[i], s.North[i]), s.Up[i]); math.Abs(n-1) > 1e-9 || s.Up[i] < 0 {
			t.Fatalf("step %d: sun at %v %v %v", i, s.East[i], s.North[i], s.Up[i])
		}
		if i > 0 && s.Hour[i] < s.Hour[i-1] {
			t.Fatalf("step %d goes back in time", i)
		}
		perMonth[c.Date(int(s.Hour[i]/24)).Month()-1]++
	}
	if perMonth[11] != 0 || perMonth[5] != 30*144 {
		t.Errorf("at 78 degrees north December has %d steps and June %d, want 0 and %d", perMonth[11], perMonth[5], 30*144)
	}
}

func TestAlbedoOfTheYearOrOfTheSpot(t *testing.T) {
	c := days(time.Date(2019, 12, 30, 0, 0, 0, 0, time.UTC), 1, 3600)
	g := grid(t, hut, c, 0)
	y := dark(c)
	var s sky.Series
	for _, k := range []struct {
		file float32
		want float64
	}{{0, 0.25}, {0.99, 0.25}, {0.75, 0.75}, {float32(math.NaN()), 0.25}} {
		y.Albedo = make([]float32, c.Rows())
		for i := range y.Albedo {
			y.Albedo[i] = k.file
		}
		if err := g.Lay(y, &s); err != nil {
			t.Fatal(err)
		}
		if s.Albedo[0] != k.want {
			t.Errorf("albedo %v in the file became %v, want %v", k.file, s.Albedo[0], k.want)
		}
	}
}

func TestSunHourIsNoonWhenTheSunStandsHighest(t *testing.T) {
	for _, lat := range []compass.Angle{52, -34, 5} {
		spot := hut
		spot.Latitude = lat
		sky := grid(t, spot, days(time.Date(2019, 3, 1, 0, 0, 0, 0, time.UTC), 1, 60), 0).Sky()
		best := 0
		for r := range sky {
			if sky[r].Up > sky[best].Up {
				best = r
			}
		}
		// Two minutes: the top of the path is flat, and a row is a minute.
		if d := sky[best].SunHour - 12; math.Abs(d) > 2./60 {
			t.Errorf("latitude %v: highest at %v by the sun", lat, sky[best].SunHour)
		}
		if sky[0].SunHour != 0 || sky[0].Up != 0 {
			t.Errorf("midnight has light: %+v", sky[0])
		}
	}
}

func TestGridOfATypicalYearJumpsBetweenYears(t *testing.T) {
	jan, feb := time.Date(2003, 1, 31, 0, 0, 0, 0, time.UTC), time.Date(1987, 2, 1, 0, 0, 0, 0, time.UTC)
	c := weather.Calendar{StepS: 3600, Midnight: []int64{jan.Unix(), feb.Unix()}}
	both := grid(t, hut, c, 0).Sky()
	for d, from := range []time.Time{jan, feb} {
		alone := grid(t, hut, days(from, 1, 3600), 0).Sky()
		for r := range alone {
			// 1e-9: delta T differs by nothing, the path's pieces by rounding.
			if math.Abs(alone[r].Up-both[d*24+r].Up) > 1e-9 {
				t.Fatalf("day %d row %d: %v, alone %v", d, r, both[d*24+r].Up, alone[r].Up)
			}
		}
	}
}

func TestGridRefusesNonsense(t *testing.T) {
	good := days(time.Unix(0, 0), 1, 3600)
	far := hut
	far.Latitude = 95
	for name, try := range map[string]func() error{
		"row":      func() error { return gridErr(hut, days(time.Unix(0, 0), 1, 7), 0) },
		"zero row": func() error { return gridErr(hut, weather.Calendar{}, 0) },
		"step":     func() error { return gridErr(hut, good, 7) },
		"latitude": func() error { return gridErr(far, good, 0) },
		"other year": func() error {
			return grid(t, hut, good, 0).Lay(dark(days(time.Unix(86400, 0), 1, 3600)), &sky.Series{})
		},
		"short column": func() error {
			y := dark(good)
			y.DNI = y.DNI[:3]
			return grid(t, hut, good, 0).Lay(y, &sky.Series{})
		},
	} {
		if try() == nil {
			t.Errorf("%s: no error", name)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := weather.NewGrid(ctx, hut, good, [12]float64{}, 0); err == nil {
		t.Error("a cancelled grid gave no error")
	}
}

func gridErr(s place.Spot, c weather.Calendar, stepS int) error {
	_, err := weather.NewGrid(context.Background(), s, c, [12]float64{}, stepS)
	return err
}

func BenchmarkGrid(b *testing.B) {
	for name, row := range map[string]int{"hours": 3600, "minutes": 60} {
		c := wholeYear(row)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				grid(b, hut, c, 0)
			}
		})
		b.Run(name+"/lay", func(b *testing.B) {
			g, y, s := grid(b, hut, c, 0), dark(c), sky.Series{}
			for b.Loop() {
				if err := g.Lay(y, &s); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
