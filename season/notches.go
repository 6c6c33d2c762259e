package season

import (
	"context"
	"math"
	"slices"

	"turnsole/compass"
	"turnsole/weather"
)

// NotchTable is what every tilt brings on every day of a mean year, by whole
// degrees from 0 to 90. Every question about notches is read off it.
type NotchTable struct {
	days      []int
	calendar  weather.Calendar
	round     bool        // the days go round the year
	wh, light [][]float64 // Wh at the panel's terminals, kWh/m2 on its plane
}

// Calendar is which tilt to hold when, and what that brings in the year.
type Calendar struct {
	Stretches  []Stretch // in the order of the year; one for a single tilt
	PanelWh    float64   // at the panel's terminals
	LightKWhM2 float64   // on the panel's plane
}

// NotchYears is how many made years at most a NotchTable rests on.
const NotchYears = searchedYears

// NotchTables lays out the light of the input's years and tables every tilt on
// every day, for a panel that faces the equator and for one that turns with the
// sun. Ways and Runs of the input do not matter; a window does.
func NotchTables(ctx context.Context, in Input) (still, turning *NotchTable, err error) {
	in.Ways = []string{Notches, TurningNotches}
	if len(in.Years) == 0 {
		in.Runs = min(in.Runs, NotchYears)
	}
	if err := in.validate(); err != nil {
		return nil, nil, err
	}
	in.Progress = oneAtATime(in.Progress)
	c, found, years, err := in.searchTilts(ctx)
	if err != nil {
		return nil, nil, err
	}
	table := func(wh, light [][]float64) *NotchTable {
		t := &NotchTable{days: found.days, calendar: c, round: found.round}
		for d := range wh {
			t.wh = append(t.wh, scaled(between(wh[d], fineTilts), 1/float64(years)))
			t.light = append(t.light, scaled(between(light[d], fineTilts), 1/float64(years)/1000))
		}
		return t
	}
	return table(found.stillByDay, found.stillLight), table(found.turningByDay, found.turningLight), nil
}

// searchTilts tables the tilts over recorded years, or over made ones.
func (in *Input) searchTilts(ctx context.Context) (c weather.Calendar, found *search, years int, err error) {
	need := needs{stillTilts: true, turningTilts: true, light: true}
	if len(in.Years) == 0 {
		c = in.Maker.Calendar()
		grid, err := weather.NewGrid(ctx, in.Rig.Spot, c, in.Rig.Turbidity, min(c.StepS, madeStepS))
		if err != nil {
			return c, nil, 0, err
		}
		w := &workshop{in: in, grid: grid, clock: grid.ClockHours(in.Rig.Spot.Clock())}
		found, err = w.search(ctx, in.Window.Days(c), need)
		return c, found, min(searchedYears, in.Runs), err
	}
	c = in.Years[0].Calendar
	laid, err := in.layAll(ctx, &Outcome{})
	if err != nil {
		return c, nil, 0, err
	}
	g := newGenerator(&in.Rig, laid[0].light.StepS)
	found = newSearch(in.Window.Days(c), c, need)
	for i := range laid {
		if err := found.runAll(ctx, &laid[i], c, g, &in.Rig, need); err != nil {
			return c, nil, 0, err
		}
	}
	return c, found, len(laid), nil
}

func scaled(row []float64, factor float64) []float64 {
	for i := range row {
		row[i] *= factor
	}
	return row
}

// Best returns the best count tilts from lowest to highest, in whole degrees,
// and the best days to change them, for the years given.
func (t *NotchTable) Best(count int, lowest, highest compass.Angle) Calendar {
	var tilts []compass.Angle
	for tilt := compass.Angle(math.Ceil(float64(lowest))); tilt <= highest; tilt++ {
		tilts = append(tilts, tilt)
	}
	if tilts == nil { // no whole degree lies within
		tilts = []compass.Angle{lowest}
	}
	return t.Among(tilts, count)
}

// Among returns the best count of the tilts given, flattest first, and the best
// days to change them: as often as going once through all of them and back asks.
func (t *NotchTable) Among(tilts []compass.Angle, count int) Calendar {
	wh := make([][]float64, len(t.days))
	for d := range wh {
		wh[d] = make([]float64, len(tilts))
		for k, tilt := range tilts {
			wh[d][k] = t.at(t.wh[d], tilt)
		}
	}
	choices := notchCalendar(wh, count, t.round)
	var out Calendar
	held := make([]compass.Angle, len(choices))
	for d, c := range choices {
		held[d] = tilts[c]
		out.PanelWh += wh[d][c]
		out.LightKWhM2 += t.at(t.light[d], tilts[c])
	}
	out.Stretches = stretches(held, t.days, t.calendar)
	return out
}

// Daily is the year with the tilt set anew every day, from lowest to highest:
// the most that notches could bring.
func (t *NotchTable) Daily(lowest, highest compass.Angle) (panelWh float64) {
	low, high := int(math.Ceil(float64(lowest))), int(math.Floor(float64(highest)))
	for _, row := range t.wh {
		if low > high {
			panelWh += t.at(row, lowest)
			continue
		}
		panelWh += slices.Max(row[low : high+1])
	}
	return panelWh
}

// at reads a row between its whole degrees.
func (t *NotchTable) at(row []float64, tilt compass.Angle) float64 {
	k := min(max(int(tilt), 0), len(row)-2)
	share := float64(tilt) - float64(k)
	return row[k] + share*(row[k+1]-row[k])
}
