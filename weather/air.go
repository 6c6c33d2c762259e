package weather

import (
	"math"

	"turnsole/place"
)

func (m *Maker) layDays(spot place.Spot) {
	m.days = make([]madeDay, 365)
	for day := range m.days {
		d := &m.days[day]
		ghi := 0.0
		d.sunrise = 3
		for h, l := range m.hours[day*24 : day*24+24] {
			d.outside += float64(l.outside)
			ghi += float64(l.ghi)
			if l.up > 0 && d.sunrise == 3 {
				d.sunrise = math.Min(math.Max(float64(h)+1-float64(l.up), 3.01), 10)
			}
		}
		if d.outside > 0 {
			d.brightest = ghi / d.outside
		}
		d.airC = m.monthly.AirC[monthOf(day)]
	}
}

func (m *Maker) writeAir(w *walk, y *Year, day int) {
	for i := range m.calendar.RowsPerDay() {
		j := day*m.calendar.RowsPerDay() + i
		y.AirC[j] = float32(m.days[day].airC)
		y.WindMS[j] = float32(m.monthly.WindMS[monthOf(day)])
	}
}
