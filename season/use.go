package season

import (
	"math"

	"turnsole/battery"
	"turnsole/weather"
)

// household is what stands behind the panel: the battery and what draws on it,
// hour by hour of the window's days.
type household struct {
	system battery.System
	days   []int
	month  []int8    // of each day of the window
	load   []float64 // Wh asked in each hour of each day of the window
	ahead  []float64 // hours by which the wall clock is ahead of the calendar's, each day
}

func newHousehold(rig *Rig, days []int, c weather.Calendar) (*household, error) {
	byHour, err := battery.Hourly(rig.Loads)
	if err != nil {
		return nil, err
	}
	h := &household{system: rig.Battery, days: days, month: make([]int8, len(days)),
		load: make([]float64, 24*len(days)), ahead: make([]float64, len(days))}
	zone := rig.Spot.Clock()
	for i, d := range days {
		h.month[i] = int8(c.Date(d).Month()) - 1
		h.ahead[i] = c.Ahead(d, zone).Hours()
		for hour := range 24 {
			clock := int(math.Floor(float64(hour)+0.5+h.ahead[i])) + 24
			h.load[24*i+hour] = byHour[clock%24]
		}
	}
	return h, nil
}

// lived is what came of a run through the window.
type lived struct {
	months             [12]Sum
	fullHour, fullDays [12]float64 // sum of the clock hours at which it was first full, and on how many days
}

// live runs a harvest through the battery. Day i of the window gets the
// weather of day source[i] of the harvest; air is the air's temperature in each
// hour of the harvest.
func (hh *household) live(h *harvest, air []float32, source []int32, into *lived) {
	*into = lived{}
	state := hh.system.Start()
	for i, s := range source {
		first := int(s) * 24
		var day dayLedger
		for hour := range 24 {
			k := first + hour
			f := hh.system.Step(&state, battery.Input{
				OfferedLowWh: float64(h.low[k]), OfferedHighWh: float64(h.high[k]), AirC: float64(air[k]),
				LoadWh: hh.load[24*i+hour], OwnWh: float64(h.own[k]),
			}, 1)
			day.add(&f, hour)
			day.sum.LightKWhM2 += float64(h.light[k])
			day.sum.EnteredKWhM2 += float64(h.entered[k])
		}
		m := hh.month[i]
		into.months[m].add(day.close())
		if day.full {
			into.fullDays[m]++
			into.fullHour[m] += math.Mod(float64(day.fullAt)+0.5+hh.ahead[i]+24, 24)
		}
	}
}

// dayLedger is a day while it is lived.
type dayLedger struct {
	sum    Sum
	short  bool
	full   bool
	fullAt int // hour of the calendar's clock
}

// worthTelling is the least energy turned away in an hour that makes the
// battery full; less is the charge controller's rounding at the knee.
const worthTelling = 0.05 // Wh

func (d *dayLedger) add(f *battery.Flow, hour int) {
	d.sum.PanelWh += f.PanelWh
	d.sum.StoredWh += f.StoredWh
	d.sum.FullWh += f.FullLossWh
	d.sum.ColdWh += f.ColdLossWh
	d.sum.UsedWh += f.UsedWh
	d.sum.OwnUseWh += f.OwnUseWh
	d.short = d.short || f.Short()
	if !d.full && f.FullLossWh > worthTelling {
		d.full, d.fullAt = true, hour
	}
}

func (d *dayLedger) close() Sum {
	const perKWh = 1.0 / 1000
	s := d.sum
	s.LightKWhM2 *= perKWh
	s.EnteredKWhM2 *= perKWh
	s.Days = 1
	if d.short {
		s.ShortDays = 1
	}
	return s
}

// airOf fills air with the mean air temperature of each hour of a year.
func airOf(y *weather.Year, air []float32) {
	perHour := 3600 / y.StepS
	for h := range air {
		sum := float32(0)
		for _, c := range y.AirC[h*perHour : (h+1)*perHour] {
			sum += c
		}
		air[h] = sum / float32(perHour)
	}
}
