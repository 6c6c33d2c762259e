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
	alike  []int8    // hour of the day to which the load is the same from each hour on
	ahead  []float64 // hours by which the wall clock is ahead of the calendar's, each day
}

func newHousehold(rig *Rig, days []int, c weather.Calendar) (*household, error) {
	byHour, err := battery.Hourly(rig.Loads)
	if err != nil {
		return nil, err
	}
	h := &household{system: rig.Battery, days: days, month: make([]int8, len(days)),
		load: make([]float64, 24*len(days)), alike: make([]int8, 24*len(days)), ahead: make([]float64, len(days))}
	zone := rig.Spot.Clock()
	for i, d := range days {
		h.month[i] = int8(c.Date(d).Month()) - 1
		h.ahead[i] = c.Ahead(d, zone).Hours()
		for hour := range 24 {
			clock := int(math.Floor(float64(hour)+0.5+h.ahead[i])) + 24
			h.load[24*i+hour] = byHour[clock%24]
		}
		for hour := 23; hour >= 0; hour-- {
			k := 24*i + hour
			h.alike[k] = 24
			if hour < 23 && h.load[k] != h.load[k+1] {
				h.alike[k] = int8(hour) + 1
			} else if hour < 23 {
				h.alike[k] = h.alike[k+1]
			}
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
// weather of day source[i] of the harvest; cells is the temperature of the
// battery's cells in each hour of the harvest. Hours of a night that ask alike
// are lived in one step.
func (hh *household) live(h *harvest, cells []float32, source []int32, into *lived) {
	*into = lived{}
	state := hh.system.Start()
	var in battery.Input
	for i, s := range source {
		day := dayLedger{fullAt: -1}
		load, alike := hh.load[24*i:24*i+24], hh.alike[24*i:24*i+24]
		from := int(s) * 24
		low, high := h.low[from:from+24], h.high[from:from+24]
		own, cellC := h.own[from:from+24], cells[from:from+24]
		dawn, dusk := int(h.dawn[s]), int(h.dusk[s])
		for hour, next := 0, 0; hour < 24; hour = next {
			next = hour + 1
			if hour < dawn {
				next = min(int(alike[hour]), dawn)
			} else if hour >= dusk {
				next = int(alike[hour])
			}
			hours := float64(next - hour)
			in.OfferedLowWh, in.OfferedHighWh = float64(low[hour]), float64(high[hour])
			in.CellC, in.LoadWh, in.OwnWh = float64(cellC[hour]), load[hour]*hours, float64(own[hour])*hours
			day.shortWh += hh.system.StepInto(&day.flow, &state, &in, hours)
			if day.fullAt < 0 && day.flow.FullLossWh > worthTelling {
				day.fullAt = hour
			}
		}
		m := hh.month[i]
		into.months[m].add(day.sum(h.light[s], h.entered[s]))
		if day.fullAt >= 0 {
			into.fullDays[m]++
			into.fullHour[m] += float64(day.fullAt) + 0.5 + hh.ahead[i]
		}
	}
}

// dayLedger is a day while it is lived.
type dayLedger struct {
	flow    battery.Flow
	shortWh float64
	fullAt  int // hour of the calendar's clock, -1 before
}

const (
	// worthTelling is the least energy turned away that makes the battery
	// full; less is the charge controller's rounding at the knee.
	worthTelling = 0.05 // Wh
	// missed is the least energy that makes a load go short, above rounding.
	missed = 1e-6 // Wh
)

func (d *dayLedger) sum(lightWhM2, enteredWhM2 float64) Sum {
	s := Sum{LightKWhM2: lightWhM2 / 1000, EnteredKWhM2: enteredWhM2 / 1000,
		PanelWh: d.flow.PanelWh, StoredWh: d.flow.StoredWh, FullWh: d.flow.FullLossWh, ColdWh: d.flow.ColdLossWh,
		LimitWh: d.flow.LimitLossWh, ChargerWh: d.flow.ChargerLossWh,
		UsedWh: d.flow.UsedWh, OwnUseWh: d.flow.OwnUseWh,
		OwnShortWh: d.flow.OwnShortWh, Days: 1}
	if d.shortWh > missed {
		s.ShortDays = 1
	}
	return s
}

// cellsOf fills cells with the temperature of the battery's cells in each hour
// of a year.
func cellsOf(y *weather.Year, b *battery.Battery, cells []float32) {
	perHour := 3600 / y.StepS
	for h := range cells {
		sum := float32(0)
		for _, c := range y.AirC[h*perHour : (h+1)*perHour] {
			sum += c
		}
		cells[h] = sum / float32(perHour)
	}
	b.Lag(cells, 1)
}
