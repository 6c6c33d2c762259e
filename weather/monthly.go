package weather

import (
	"fmt"
	"math"
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/sky"
)

// Monthly is what can be known of a spot's sky without a weather file: twelve
// figures of each kind, January first.
type Monthly struct {
	// Clearness is the mean over the month's days of the light on a
	// horizontal plane over what would fall there without air. At least 0.05
	// and at most 0.85; 0 only in a month in which the sun never rises.
	Clearness [12]float64
	// AirC is the mean air temperature, degrees C, -90..60.
	AirC [12]float64
	// AirSwingC is half the span between the coldest and the warmest hour of
	// the month's average day, degrees C, 0..20.
	AirSwingC [12]float64
	// WindMS is the mean wind at 10 m above open ground, m/s, 0..40.
	WindMS [12]float64
}

// Bounds of a month's mean clearness. The air alone takes some 15 % even on a
// mountain; the darkest months known, in narrow maritime valleys, keep some
// 0.15.
const (
	darkestMonth = 0.05
	brightestSky = 0.85
	rounded      = 0.05 // sun hours are given to a tenth
)

// SetSunHours sets the clearness from peak sun hours: the light on a
// horizontal plane in kWh/m2 a day, by month. It refuses more light than the
// sky can send, light while the sun never rises, and darkness while it does.
func (m *Monthly) SetSunHours(latitude compass.Angle, sunHours [12]float64) error {
	for month, h := range sunHours {
		outside := sunHoursOutside(latitude, month)
		switch {
		case !(h >= 0):
			return fmt.Errorf("%s: %v sun hours a day: must be 0 or more", time.Month(month+1), h)
		case outside == 0 && h > 0:
			return fmt.Errorf("%s: %v sun hours a day, but the sun does not rise at %.4g degrees in that month: must be 0", time.Month(month+1), h, latitude.Degrees())
		case outside == 0:
			m.Clearness[month] = 0
			continue
		case h < darkestMonth*outside-rounded || h > brightestSky*outside+rounded:
			return fmt.Errorf("%s: %v sun hours a day: at %.4g degrees they can be %.2f to %.2f (without any air %.2f would fall there)",
				time.Month(month+1), h, latitude.Degrees(), darkestMonth*outside, brightestSky*outside, outside)
		}
		m.Clearness[month] = min(max(h/outside, darkestMonth), brightestSky)
	}
	return nil
}

// SunHours returns the light on a horizontal plane that the clearness stands
// for, kWh/m2 a day, by month.
func (m *Monthly) SunHours(latitude compass.Angle) (sunHours [12]float64) {
	for month, k := range m.Clearness {
		sunHours[month] = k * sunHoursOutside(latitude, month)
	}
	return sunHours
}

// Check refuses figures that no sky has; the error names the month.
func (m *Monthly) Check(latitude compass.Angle) error {
	for i := range 12 {
		month := time.Month(i + 1)
		dark := sunHoursOutside(latitude, i) == 0 && m.Clearness[i] == 0
		if k := m.Clearness[i]; !dark && !(k >= darkestMonth && k <= brightestSky) {
			return fmt.Errorf("%s: clearness %v: must be %v to %v", month, k, darkestMonth, brightestSky)
		}
		if t := m.AirC[i]; !(t >= -90 && t <= 60) {
			return fmt.Errorf("%s: air temperature %v C: must be -90 to 60", month, t)
		}
		if s := m.AirSwingC[i]; !(s >= 0 && s <= 20) {
			return fmt.Errorf("%s: half the swing of air temperature %v C: must be 0 to 20", month, s)
		}
		if w := m.WindMS[i]; !(w >= 0 && w <= 40) {
			return fmt.Errorf("%s: wind %v m/s: must be 0 to 40", month, w)
		}
	}
	return nil
}

// daysIn are the days of the months of a year without 29 February.
var daysIn = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// monthOf returns the month, from 0, of a day of the year, from 0.
func monthOf(day int) int {
	for month, n := range daysIn {
		if day < n {
			return month
		}
		day -= n
	}
	return 11
}

// sunHoursOutside returns what would fall on a horizontal plane without any
// air, kWh/m2 a day, on the mean over a month (from 0).
func sunHoursOutside(latitude compass.Angle, month int) float64 {
	first := 0
	for _, n := range daysIn[:month] {
		first += n
	}
	sum := 0.0
	for day := range daysIn[month] {
		sum += dayOutside(latitude, float64(first+day))
	}
	return sum / float64(daysIn[month])
}

// dayOutside integrates a day in closed form: Duffie & Beckman, Solar
// Engineering of Thermal Processes, equation 1.10.3, with the declination and
// distance of Spencer 1971; kWh/m2. day counts from 0.
func dayOutside(latitude compass.Angle, day float64) float64 {
	declination, distance := spencer(day)
	sunset := sunsetAngle(latitude, day)
	return 24 / math.Pi * sky.SolarConstant / 1000 * distance *
		(latitude.Cos()*math.Cos(declination)*math.Sin(sunset) +
			sunset*latitude.Sin()*math.Sin(declination))
}

// sunsetAngle returns half the length of a day as an angle, 0..pi.
func sunsetAngle(latitude compass.Angle, day float64) float64 {
	declination, _ := spencer(day)
	return math.Acos(min(max(-math.Tan(latitude.Radians())*math.Tan(declination), -1), 1))
}

// spencer returns the sun's declination in radians and the inverse square of
// its distance in astronomical units at noon of a day counted from 0: Spencer
// 1971, Search 2(5):172. Between 2024 and 2035 the sun is 0.95 days ahead of
// Spencer's year, by comparison with the full algorithm.
func spencer(day float64) (declination, distance float64) {
	s1, c1 := math.Sincos(2 * math.Pi * (day + 0.5 + 0.95) / 365)
	s2, c2 := 2*s1*c1, c1*c1-s1*s1
	s3, c3 := s2*c1+c2*s1, c2*c1-s2*s1
	declination = 0.006918 - 0.399912*c1 + 0.070257*s1 - 0.006758*c2 + 0.000907*s2 - 0.002697*c3 + 0.00148*s3
	distance = 1.000110 + 0.034221*c1 + 0.001280*s1 + 0.000719*c2 + 0.000077*s2
	return declination, distance
}

// MonthlyOf sums a whole year up in monthly figures, as the climates built in
// were summed up from open data. The air's mean and swing are fitted to the
// course that made years follow. Rows with air and wind at exactly zero are
// taken for the blanks that some files have at night.
func MonthlyOf(y *Year, spot place.Spot) (Monthly, error) {
	if !y.Whole() {
		return Monthly{}, fmt.Errorf("monthly figures need a whole year of 365 days, not %d", len(y.Midnight))
	}
	var m Monthly
	var air [12]fit
	late, perDay := sunBehindClock(spot, y.Calendar), y.RowsPerDay()
	for day := range y.Midnight {
		month := monthOf(day)
		coldest := coldestHour(spot.Latitude, day)
		for i := range perDay {
			row := day*perDay + i
			m.Clearness[month] += float64(y.GHI[row])
			if y.AirC[row] == 0 && y.WindMS[row] == 0 {
				continue
			}
			hour := (float64(i) + 0.5) * float64(y.StepS) / 3600
			air[month].add(airShape(hour-late, coldest), float64(y.AirC[row]))
			m.WindMS[month] += float64(y.WindMS[row])
		}
	}
	for month := range 12 {
		kWh := m.Clearness[month] * float64(y.StepS) / 3.6e6 / float64(daysIn[month])
		m.Clearness[month] = 0
		if outside := sunHoursOutside(spot.Latitude, month); outside > 0 {
			m.Clearness[month] = kWh / outside
		}
		m.AirC[month], m.AirSwingC[month] = air[month].line()
		m.AirSwingC[month] = max(0, m.AirSwingC[month])
		m.WindMS[month] /= max(air[month].n, 1) * windAtPanel()
	}
	return m, nil
}

// fit lays a straight line through points by least squares.
type fit struct{ n, x, y, xx, xy float64 }

func (f *fit) add(x, y float64) {
	f.n++
	f.x += x
	f.y += y
	f.xx += x * x
	f.xy += x * y
}

// line returns the value at x = 0 and the slope.
func (f *fit) line() (at0, slope float64) {
	spread := f.n*f.xx - f.x*f.x
	if !(spread > 0) {
		return 0, 0
	}
	slope = (f.n*f.xy - f.x*f.y) / spread
	return (f.y - slope*f.x) / f.n, slope
}
