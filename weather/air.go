package weather

import (
	"math"

	"turnsole/compass"
	"turnsole/place"
)

// How the air of a made day strays from its month, measured over the open
// years (71 N to 33 S): the day's mean by 2 to 6 C with 0.6 to 0.8 of it kept
// until the next day; the logarithm of the day's wind by 0.2 to 0.5, with 0.2
// to 0.5 kept. By the hour the wind swings with the warmth, from nearly not at
// all in the arctic to by half in Santiago. Clear days swing more in warmth,
// covered ones less.
const (
	warmthSpreadC = 3.0
	warmthKept    = 0.7
	windSpread    = 0.4
	windKept      = 0.35
	windSwing     = 0.25
	cloudOnSwing  = 0.6
	warmestHour   = 14.5 // by the sun
)

// madeDay is what is known of a day before any chance.
type madeDay struct {
	outside   float64 // sum of the hours' outside light, W/m2
	brightest float64 // clearness under the clearest sky
	airC      float64 // at its first midnight, between the middles of months
	swing     [25]float64
}

func (m *Maker) layDays(spot place.Spot) {
	late := sunBehindClock(spot, m.calendar)
	m.windAtPanel = windAtPanel()
	m.days = make([]madeDay, len(m.calendar.Midnight))
	for day := range m.days {
		d := &m.days[day]
		hours := m.hours[day*24 : day*24+24]
		d.outside, d.brightest = outsideAndBrightest(hours)
		d.airC = betweenMonths(&m.monthly.AirC, day)
		coldest := coldestHour(spot.Latitude, day)
		for h := range d.swing {
			d.swing[h] = airShape(float64(h)-late, coldest)
		}
	}
}

// sunBehindClock returns how many hours the sun runs behind the clock on the
// mean over the year.
func sunBehindClock(spot place.Spot, c Calendar) float64 {
	return c.UTCOffset.Hours() - spot.Longitude.Degrees()/15
}

func outsideAndBrightest(hours []rowLight) (outside, brightest float64) {
	ghi := 0.0
	for _, l := range hours {
		outside += float64(l.outside)
		ghi += float64(l.ghi)
	}
	if outside > 0 {
		brightest = ghi / outside
	}
	return outside, brightest
}

// coldestHour returns the hour by the sun at which the air is coldest: sunrise,
// but 4 to 11.5 hours before the warmest hour, whatever the sun does. day
// counts from 0.
func coldestHour(latitude compass.Angle, day int) float64 {
	rise := 12 - sunsetAngle(latitude, float64(day))*12/math.Pi
	return min(max(rise, warmestHour-11.5), warmestHour-4)
}

// airShape goes from -1 at the coldest hour to 1 at the warmest and back, by
// half a cosine each way; its mean over a day is zero. Hours are by the sun.
func airShape(hour, coldest float64) float64 {
	rising := warmestHour - coldest
	since := math.Mod(hour-coldest+48, 24)
	if since < rising {
		return -math.Cos(math.Pi * since / rising)
	}
	return math.Cos(math.Pi * (since - rising) / (24 - rising))
}

// betweenMonths runs straight from the middle of one month to that of the next.
func betweenMonths(months *[12]float64, day int) float64 {
	month, into := 0, float64(day)
	for into >= float64(daysIn[month]) {
		into -= float64(daysIn[month])
		month++
	}
	share := into/float64(daysIn[month]) - 0.5
	neighbour := (month + 1) % 12
	if share < 0 {
		share, neighbour = -share, (month+11)%12
	}
	return blend(months[month], months[neighbour], share)
}

// writeAir writes a day's air temperature and wind.
func (m *Maker) writeAir(w *walk, y *Year, day int) {
	d, tomorrow := &m.days[day], &m.days[(day+1)%len(m.days)]
	month := monthOf(day)
	atDawn := d.airC + warmthSpreadC*w.warmth
	w.warmth = warmthKept*w.warmth + math.Sqrt(1-warmthKept*warmthKept)*w.rng.NormFloat64()
	atNight := tomorrow.airC + warmthSpreadC*w.warmth
	w.wind = windKept*w.wind + math.Sqrt(1-windKept*windKept)*w.rng.NormFloat64()
	wind := m.monthly.WindMS[month] * m.windAtPanel * math.Exp(windSpread*w.wind-windSpread*windSpread/2)
	swing := m.monthly.AirSwingC[month] * (1 + cloudOnSwing*(w.clearness/m.chains[month].mean-1))

	perHour := 3600 / m.calendar.StepS
	for h := range 24 {
		for i := range perHour {
			part := (float64(i) + 0.5) / float64(perHour)
			s := blend(d.swing[h], d.swing[h+1], part)
			row := (day*24+h)*perHour + i
			y.AirC[row] = float32(blend(atDawn, atNight, (float64(h)+part)/24) + swing*s)
			y.WindMS[row] = float32(wind * (1 + windSwing*s))
		}
	}
}

// windAtPanel is the wind at a small stand over that at 10 m.
func windAtPanel() float64 { return math.Pow(panelHeightM/stationHeight, windExponent) }
