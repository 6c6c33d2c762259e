package answer

import (
	"fmt"
	"math"
	"strings"
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/rigfile"
	"turnsole/sun"
)

// SkyPath is the sun's way over a spot's skyline on some days.
type SkyPath struct {
	Rig, Spot           string
	Latitude, Longitude compass.Angle
	Equator             compass.Angle // heading towards the equator
	Clock               string        // the zone that clock times are told in
	Skyline             []SkyMark     // every degree from -180 to 540, for any middle
	Days                []SkyDay
	Verdict             string
	Findings            []string
}

// SkyMark is the skyline's height at a bearing.
type SkyMark struct{ Azimuth, Elevation compass.Angle }

// SkyDay is one day's way.
type SkyDay struct {
	Date         time.Time
	Points       []SkyPoint // while the sun is above a level horizon, by the clock
	UpH, FreeH   float64    // hours above a level horizon, and above the skyline
	Highest      compass.Angle
	PolarDay     bool // the sun is up all day
	PolarNight   bool // and down all day
	AboveSkyline bool // whether it is ever seen over the skyline
}

// SkyPoint is the sun at an instant.
type SkyPoint struct {
	At                 time.Time // by the spot's clock
	Azimuth, Elevation compass.Angle
	Hidden             bool // behind the skyline
}

// skyStepMin is how many minutes lie between two points of a path; whole hours
// of every clock in use (they differ from Greenwich by quarters of an hour)
// are among them.
const skyStepMin = 5

// PathOverSkyline answers how the sun goes over a spot's skyline ("" for the
// first spot) on the days given, of which year, month and day count. Without
// days it takes the solstices and the spring equinox of 2026; those of any
// other year of this century are the same to half a degree. The sun is up while
// its middle stands above a level horizon, as seen through the air.
func PathOverSkyline(rig *rigfile.Rig, spot string, days []time.Time) (*SkyPath, error) {
	spots, err := spotsNamed(rig, spot)
	if err != nil {
		return nil, err
	}
	at := spots[0].Spot
	if len(days) == 0 {
		days = turningDays()
	}
	k := &SkyPath{Rig: rig.Name, Spot: at.Name, Latitude: at.Latitude, Longitude: at.Longitude,
		Equator: compass.Equatorward(at.Latitude), Clock: at.Clock().String()}
	for a := compass.Angle(-180); a <= 540; a++ {
		k.Skyline = append(k.Skyline, SkyMark{a, at.Skyline.At(a.Azimuth())})
	}
	for _, day := range days {
		way, err := skyDay(at, day)
		if err != nil {
			return nil, err
		}
		k.Days = append(k.Days, *way)
	}
	k.judge()
	return k, nil
}

// turningDays are the year's turning points in the order of the year.
func turningDays() []time.Time {
	day := func(m time.Month, d int) time.Time { return time.Date(2026, m, d, 0, 0, 0, 0, time.UTC) }
	return []time.Time{day(time.March, 20), day(time.June, 21), day(time.December, 21)}
}

// skyDay follows the sun from one midnight of the spot's clock to the next.
func skyDay(at place.Spot, day time.Time) (*SkyDay, error) {
	start := time.Date(day.Year(), day.Month(), day.Day(), 0, 0, 0, 0, at.Clock())
	end := start.AddDate(0, 0, 1)
	first, last := sun.JulianDayOf(start), sun.JulianDayOf(end)
	if err := first.Err(); err != nil {
		return nil, &BadInput{err}
	}
	n := int(end.Sub(start)/(skyStepMin*time.Minute)) + 1
	azimuths, elevations := make([]float64, n), make([]float64, n)
	sun.NewPath(sun.At(at), first, last+1, sun.DeltaT(first)).Positions(first, skyStepMin*60, azimuths, elevations)
	way := &SkyDay{Date: start, Highest: -90}
	for i := range n {
		p := SkyPoint{At: start.Add(time.Duration(i) * skyStepMin * time.Minute), Azimuth: compass.Angle(azimuths[i]), Elevation: compass.Angle(elevations[i])}
		way.take(p, at.Skyline, i < n-1)
	}
	way.PolarDay, way.PolarNight = len(way.Points) == n, len(way.Points) == 0
	return way, nil
}

// take adds a point; counted says whether the step after it is of this day.
func (d *SkyDay) take(p SkyPoint, skyline place.Skyline, counted bool) {
	d.Highest = max(d.Highest, p.Elevation)
	if !(p.Elevation > 0) {
		return
	}
	p.Hidden = p.Elevation <= skyline.At(p.Azimuth)
	d.Points = append(d.Points, p)
	d.AboveSkyline = d.AboveSkyline || !p.Hidden
	if !counted {
		return
	}
	d.UpH += skyStepMin / 60.0
	if !p.Hidden {
		d.FreeH += skyStepMin / 60.0
	}
}

// judge says in words what the paths come to.
func (k *SkyPath) judge() {
	worst := k.Days[0]
	for _, d := range k.Days {
		k.Findings = append(k.Findings, d.sentence())
		if d.FreeH < worst.FreeH {
			worst = d
		}
	}
	switch hidden := worst.UpH - worst.FreeH; {
	case worst.PolarNight:
		k.Verdict = fmt.Sprintf("On %s the sun does not rise.", dateText(worst.Date))
	case !worst.AboveSkyline:
		k.Verdict = fmt.Sprintf("On %s the skyline hides the sun all day.", dateText(worst.Date))
	case hidden < 0.25:
		k.Verdict = fmt.Sprintf("Even on %s, the shortest of these days, the skyline takes next to nothing of the sun's %.1f hours.", dateText(worst.Date), worst.UpH)
	default:
		k.Verdict = fmt.Sprintf("On %s, the shortest of these days here, the skyline leaves %.1f of the sun's %.1f hours.", dateText(worst.Date), worst.FreeH, worst.UpH)
	}
}

func (d *SkyDay) sentence() string {
	name := dateText(d.Date)
	switch {
	case d.PolarNight:
		return fmt.Sprintf("%s: the sun does not rise.", name)
	case d.PolarDay:
		return fmt.Sprintf("%s: the sun does not set; it stands over the skyline for %.1f hours, at most %.0f degrees high.", name, d.FreeH, d.Highest.Degrees())
	}
	return fmt.Sprintf("%s: the sun is up for %.1f hours and over the skyline for %.1f, at most %.0f degrees high.", name, d.UpH, d.FreeH, d.Highest.Degrees())
}

func dateText(t time.Time) string {
	return strings.TrimSpace(fmt.Sprintf("%d %s", t.Day(), t.Month()))
}

// Height is the skyline's elevation at an azimuth, by the marks of the path.
func (k *SkyPath) Height(azimuth compass.Angle) compass.Angle {
	i := int(math.Round(float64(azimuth.Azimuth()))) + 180
	if i < 0 || i >= len(k.Skyline) {
		return 0
	}
	return k.Skyline[i].Elevation
}
