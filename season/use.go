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
	turn   []int8    // hour of the calendar's day in which a day of the wall clock begins
}

func newHousehold(rig *Rig, days []int, c weather.Calendar) (*household, error) {
	byHour, err := battery.Hourly(rig.Loads)
	if err != nil {
		return nil, err
	}
	h := &household{system: rig.Battery, days: days, month: make([]int8, len(days)),
		load: make([]float64, 24*len(days)), alike: make([]int8, 24*len(days)), ahead: make([]float64, len(days)),
		turn: make([]int8, len(days))}
	zone := rig.Spot.Clock()
	for i, d := range days {
		h.month[i] = int8(c.Date(d).Month()) - 1
		h.ahead[i] = c.Ahead(d, zone).Hours()
		h.turn[i] = int8(math.Mod(48-math.Round(h.ahead[i]), 24))
		for hour := range 24 {
			clock := int(math.Floor(float64(hour)+0.5+h.ahead[i])) + 24
			h.load[24*i+hour] = byHour[clock%24]
		}
		for hour := 23; hour >= 0; hour-- {
			k := 24*i + hour
			h.alike[k] = 24
			if hour < 23 && (h.load[k] != h.load[k+1] || hour+1 == int(h.turn[i])) {
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
	wall := wallDay{month: hh.month[0]}
	for i, s := range source {
		var flow battery.Flow
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
			if date := hh.begins(i, hour); date >= 0 {
				wall.close(into)
				wall = wallDay{month: hh.month[date]}
			}
			lost := flow.FullLossWh
			wall.shortWh += hh.system.StepInto(&flow, &state, &in, hours)
			wall.lost(flow.FullLossWh-lost, float64(hour)+0.5+hh.ahead[i])
		}
		into.months[hh.month[i]].add(sumOf(&flow, h.light[s], h.entered[s]))
	}
	wall.close(into)
}

// begins returns which of the window's days begins by the clock on the wall in
// an hour of day i by the calendar's, or -1. Hours over at either end of the
// window count with its first or last day.
func (hh *household) begins(i, hour int) (date int) {
	switch turn := int(hh.turn[i]); {
	case hour != turn:
		return -1
	case turn <= 12 && i > 0: // the wall's clock is behind, or the same
		return i
	case turn > 12 && i+1 < len(hh.days):
		return i + 1
	}
	return -1
}

// wallDay is a day by the clock on the wall while it is lived: whether a load
// goes short and when the battery is first full are told by it.
type wallDay struct {
	month          int8
	shortWh        float64
	lostWh         float64 // turned away by a full battery
	full           bool
	fullAtWallHour float64
}

func (w *wallDay) lost(wh, wallHour float64) {
	if w.lostWh += wh; !w.full && w.lostWh > worthTelling {
		w.full, w.fullAtWallHour = true, math.Mod(wallHour+24, 24)
	}
}

func (w *wallDay) close(into *lived) {
	if w.shortWh > missed {
		into.months[w.month].ShortDays++
	}
	if w.full {
		into.fullDays[w.month]++
		into.fullHour[w.month] += w.fullAtWallHour
	}
}

const (
	// worthTelling is the least energy turned away that makes the battery
	// full; less is the charge controller's rounding at the knee.
	worthTelling = 0.05 // Wh
	// missed is the least energy that makes a load go short, above rounding.
	missed = 1e-6 // Wh
)

func sumOf(f *battery.Flow, lightWhM2, enteredWhM2 float64) Sum {
	return Sum{LightKWhM2: lightWhM2 / 1000, EnteredKWhM2: enteredWhM2 / 1000,
		PanelWh: f.PanelWh, StoredWh: f.StoredWh, FullWh: f.FullLossWh, ColdWh: f.ColdLossWh,
		LimitWh: f.LimitLossWh, ChargerWh: f.ChargerLossWh, UsedWh: f.UsedWh, OwnUseWh: f.OwnUseWh,
		OwnShortWh: f.OwnShortWh, Days: 1}
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
