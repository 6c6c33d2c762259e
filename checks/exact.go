package checks

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/sky"
	"turnsole/sun"
)

func exactRooms() []Room {
	return []Room{
		{
			Title:  "Ratios of a day that follow from geometry alone",
			Source: "no air, one declination for the day, everything over two-axis: exact integrals (at the equator at equinox 2/pi for flat and (2/pi)(cos 45 + sin 45) for a vertical axis; cos of the declination for a polar axis), others by an independent program",
			Reason: "2e-6: the day is summed in a thousand steps, and headings and tilts are held as 32-bit numbers",
			Run:    dayRatioChecks,
		},
		{
			Title:  "Ratios of the year 2026, beam only",
			Source: "latitudes 0 to 60, everything over two-axis, without air and with a beam of 0.7^(AM^0.678) (Meinel & Meinel 1976), by an independent program. Largest deviation over the ten latitudes",
			Reason: "0.0003: the table gives four decimals, the year is summed here in steps of twenty minutes; the other program's step is not known",
			Run:    yearRatioChecks,
		},
	}
}

// way gives a face's heading and tilt for a sun at a declination and an hour
// angle.
type way func(latitude, hourAngle compass.Angle, sun compass.Direction) compass.Direction

func fixedAt(tilt compass.Angle) way {
	return func(lat, _ compass.Angle, _ compass.Direction) compass.Direction { return southward(lat, tilt) }
}

// southward is the normal of a face toward the equator; a negative tilt looks
// to the pole.
func southward(latitude, tilt compass.Angle) compass.Direction {
	heading := compass.Equatorward(latitude)
	if tilt < 0 {
		heading, tilt = heading+180, -tilt
	}
	return compass.Normal(heading, tilt)
}

func lyingFlat(compass.Angle, compass.Angle, compass.Direction) compass.Direction {
	return compass.Direction{Up: 1}
}

func latitudeTilt(lat, _ compass.Angle, _ compass.Direction) compass.Direction {
	return southward(lat, compass.Angle(math.Abs(float64(lat))))
}

func followingAt(tilt compass.Angle) way {
	return func(_, _ compass.Angle, sun compass.Direction) compass.Direction {
		return compass.Normal(sun.Azimuth(), tilt)
	}
}

func squareToSun(_, _ compass.Angle, sun compass.Direction) compass.Direction { return sun }

// polarAxis looks along the equator's plane, at the sun's hour angle.
func polarAxis(lat, hourAngle compass.Angle, _ compass.Direction) compass.Direction {
	return sunAt(lat, 0, hourAngle)
}

func northSouthAxis(_, _ compass.Angle, sun compass.Direction) compass.Direction {
	return levelled(sun.East, 0, sun.Up)
}

func eastWestAxis(_, _ compass.Angle, sun compass.Direction) compass.Direction {
	return levelled(0, sun.North, sun.Up)
}

func levelled(east, north, up float64) compass.Direction {
	n := math.Sqrt(east*east + north*north + up*up)
	return compass.Direction{East: east / n, North: north / n, Up: up / n}
}

// beamYear is light of beam only, with the hour angle of each step.
type beamYear struct {
	latitude   compass.Angle
	light      *plane.Light
	hourAngles []compass.Angle
	dates      []time.Time
}

// on returns the energy of a way in any unit.
func (y *beamYear) on(w way) float64 {
	n := y.light.Len()
	headings, tilts, got := make([]float32, n), make([]float32, n), make([]float64, n)
	for i := range n {
		toward := compass.Direction{East: y.light.East[i], North: y.light.North[i], Up: y.light.Up[i]}
		normal := w(y.latitude, y.hourAngles[i], toward)
		headings[i], tilts[i] = float32(normal.Azimuth()), float32(90-normal.Elevation())
	}
	y.light.On(headings, tilts, got, nil)
	sum := 0.0
	for _, g := range got {
		sum += g
	}
	return sum
}

func dayRatioChecks(string) ([]Check, error) {
	table, err := lightTable("tracking_daily_exact.csv")
	if err != nil {
		return nil, err
	}
	ways := []struct {
		name string
		way
	}{
		{"flat", lyingFlat}, {"still at latitude", latitudeTilt},
		{"turning at 45", followingAt(45)}, {"turning at 60", followingAt(60)}, {"polar axis", polarAxis},
		{"north-south axis", northSouthAxis}, {"east-west axis", eastWestAxis},
	}
	checks := closedFormChecks()
	for _, words := range table {
		v, err := numbers(words)
		if err != nil {
			return nil, err
		}
		day := equalDay(compass.Angle(v[0]), compass.Angle(v[1]))
		best := day.on(squareToSun)
		for i, w := range ways {
			what := fmt.Sprintf("latitude %g, declination %g: %s", v[0], v[1], w.name)
			checks = append(checks, Check{what, v[3+i], day.on(w.way) / best, "", 2e-6, 5})
		}
	}
	return checks, nil
}

// closedFormChecks are the ratios that can be written down.
func closedFormChecks() []Check {
	equinox, summer := equalDay(0, 0), equalDay(40, 23.44)
	best := equinox.on(squareToSun)
	return []Check{
		{"equator, equinox: flat, 2/pi", 2 / math.Pi, equinox.on(lyingFlat) / best, "", 2e-6, 5},
		{"equator, equinox: two-axis over flat, pi/2", math.Pi / 2, best / equinox.on(lyingFlat), "", 2e-6, 5},
		{"equator, equinox: turning at 45, (2/pi)(cos 45 + sin 45)", 2 / math.Pi * math.Sqrt2, equinox.on(followingAt(45)) / best, "", 2e-6, 5},
		{"any latitude, declination d: polar axis, cos d", compass.Angle(23.44).Cos(), summer.on(polarAxis) / summer.on(squareToSun), "", 2e-6, 5},
	}
}

// equalDay is a day of one declination and a beam of one, cut into a thousand
// steps from sunrise to sunset.
func equalDay(latitude, declination compass.Angle) *beamYear {
	const n = 1000
	y, s := &beamYear{latitude: latitude}, &sky.Series{StepS: 60}
	sunset := math.Acos(-latitude.Sin() * declination.Sin() / (latitude.Cos() * declination.Cos()))
	for i := range n {
		w := compass.Radians(sunset * ((float64(i)+0.5)*2/n - 1))
		addStep(s, sunAt(latitude, declination, w), 1, 0, sky.SolarConstant, 0)
		y.hourAngles = append(y.hourAngles, w)
	}
	y.light = plane.Prepare(s, place.Skyline{}, plane.Isotropic, plane.Glass{})
	return y
}

// meinel is the share of the light outside the air that a simple clear beam
// keeps (Meinel & Meinel 1976, with Laue's height factor left out).
func meinel(up float64) float64 { return math.Pow(0.7, math.Pow(sky.AirMass(up), 0.678)) }

func noAir(float64) float64 { return 1 }

// airlessYear is the year 2026 in steps of twenty minutes, the sun unrefracted.
func airlessYear(latitude compass.Angle, keeps func(up float64) float64) *beamYear {
	const stepS = 1200
	y, s := &beamYear{latitude: latitude}, &sky.Series{StepS: stepS}
	first := time.Date(2026, 1, 1, 0, 0, stepS/2, 0, time.UTC)
	from := sun.JulianDayOf(first)
	path := sun.NewPath(sun.Observer{Latitude: latitude}, from, from+366, sun.DeltaT(from))
	n := 365 * 86400 / stepS
	east, north, up := make([]float64, n), make([]float64, n), make([]float64, n)
	path.Directions(from, stepS, east, north, up)
	for i := range n {
		lit := upShare(up, i)
		if lit == 0 {
			continue
		}
		extra := sky.ExtraNormal(path.DistanceAU(from + sun.JulianDay(float64(i)*stepS/86400)))
		addStep(s, compass.Direction{East: east[i], North: north[i], Up: up[i]}, lit*extra*keeps(up[i]), 0, extra, 0)
		toMeridian := up[i]*latitude.Cos() - north[i]*latitude.Sin()
		y.hourAngles = append(y.hourAngles, compass.Radians(math.Atan2(-east[i], toMeridian)))
		y.dates = append(y.dates, first.Add(time.Duration(i*stepS)*time.Second))
	}
	y.light = plane.Prepare(s, place.Skyline{}, plane.Isotropic, plane.Glass{})
	return y
}

// upShare is the share of step i in which the sun is up, by the sun's rise
// from step to step: without air a beam begins and ends in full strength.
func upShare(up []float64, i int) float64 {
	before, after := max(i-1, 0), min(i+1, len(up)-1)
	rise := math.Abs(up[after]-up[before]) / float64(after-before)
	return min(max(0.5+up[i]/rise, 0), 1)
}

// halfYear and quarterYear cut the year as the table does: winter and summer;
// winter, spring, summer, autumn.
func halfYear(t time.Time) int { return begun(t, [2]int{3, 21}, [2]int{9, 23}) % 2 }

func quarterYear(t time.Time) int {
	return begun(t, [2]int{2, 5}, [2]int{5, 6}, [2]int{8, 8}, [2]int{11, 7}) % 4
}

// begun counts how many of the dates (month, day) have begun.
func begun(t time.Time, starts ...[2]int) int {
	n := 0
	for _, s := range starts {
		if int(t.Month()) > s[0] || int(t.Month()) == s[0] && t.Day() >= s[1] {
			n++
		}
	}
	return n
}

// seasonal gives a way one tilt for each season.
func seasonal(y *beamYear, cut func(time.Time) int, angles []compass.Angle, make func(compass.Angle) way) way {
	i := -1
	return func(lat, w compass.Angle, sun compass.Direction) compass.Direction {
		i = (i + 1) % len(y.dates)
		return make(angles[cut(y.dates[i])])(lat, w, sun)
	}
}

// ratioColumn is one quantity of tracking_ratios_exact.csv: the ratio's column, and
// the way that its row describes.
type ratioColumn struct {
	name  string
	ratio int
	way   func(y *beamYear, row []string) (way, error)
}

func always(w way) func(*beamYear, []string) (way, error) {
	return func(*beamYear, []string) (way, error) { return w, nil }
}

// tilted reads the tilts that the row names in another column. With two the
// summer's stands first; index 1 of halfYear is the summer.
func tilted(at int, cut func(time.Time) int, make func(compass.Angle) way) func(*beamYear, []string) (way, error) {
	return func(y *beamYear, row []string) (way, error) {
		values, err := numbers(strings.Split(row[at], ";"))
		if err != nil {
			return nil, err
		}
		angles := []compass.Angle{}
		for _, v := range values {
			angles = append(angles, compass.Angle(v))
		}
		if len(angles) == 2 {
			angles[0], angles[1] = angles[1], angles[0]
		}
		return seasonal(y, cut, angles, make), nil
	}
}

func allYear(time.Time) int { return 0 }

var ratioColumns = []ratioColumn{
	{"flat", 2, always(lyingFlat)},
	{"still, best tilt", 4, tilted(3, allYear, fixedAt)},
	{"still, two tilts", 5, tilted(6, halfYear, fixedAt)},
	{"still, four tilts", 7, tilted(8, quarterYear, fixedAt)},
	{"turning, best tilt", 10, tilted(9, allYear, followingAt)},
	{"turning, two tilts", 11, tilted(12, halfYear, followingAt)},
	{"turning, four tilts", 13, tilted(14, quarterYear, followingAt)},
	{"polar axis", 15, always(polarAxis)},
	{"north-south axis", 16, always(northSouthAxis)},
	{"east-west axis", 17, always(eastWestAxis)},
}

func yearRatioChecks(string) ([]Check, error) {
	table, err := lightTable("tracking_ratios_exact.csv")
	if err != nil {
		return nil, err
	}
	keeps := map[string]func(float64) float64{"extraterrestrial": noAir, "beam_0.7^(AM^0.678)": meinel}
	names := map[string]string{"extraterrestrial": "no air", "beam_0.7^(AM^0.678)": "clear beam"}
	worst := map[string]float64{}
	for _, row := range table {
		latitude, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			return nil, err
		}
		y := airlessYear(compass.Angle(latitude), keeps[row[0]])
		best := y.on(squareToSun)
		for _, c := range ratioColumns {
			published, err := strconv.ParseFloat(row[c.ratio], 64)
			if err != nil {
				return nil, err
			}
			w, err := c.way(y, row)
			if err != nil {
				return nil, err
			}
			key := names[row[0]] + ": " + c.name
			d := math.Abs(y.on(w)/best - published)
			worst[key] = max(worst[key], d)
		}
	}
	var checks []Check
	for _, air := range []string{"no air", "clear beam"} {
		for _, c := range ratioColumns {
			key := air + ": " + c.name
			checks = append(checks, Check{key, 0, worst[key], "", 0.0003, 4})
		}
	}
	return checks, nil
}
