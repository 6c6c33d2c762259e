package season_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"turnsole/compass"
	"turnsole/plane"
	"turnsole/season"
	"turnsole/weather"
)

// The table of tilts, which is interpolated, against running the light through
// the very calendar that was read off it.
func TestNotchTableAgreesWithRunningTheYear(t *testing.T) {
	spot := spotAt(47, 8)
	rig := rigAt(t, spot)
	rig.Sky = plane.Perez
	y := sky(t, spot, monthly(spot), changing)
	in := season.Input{Rig: rig, Years: []*weather.Year{y}, Ways: []string{season.Notches, season.TurningNotches, season.StillBest}}
	still, turning, err := season.NotchTables(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	out := run(t, in)
	for _, c := range []struct {
		way   string
		table *season.NotchTable
		count int
	}{{season.Notches, still, rig.Stand.Notches}, {season.TurningNotches, turning, rig.Stand.Notches}} {
		got, row := c.table.Best(c.count, rig.Stand.Lowest, rig.Stand.Highest), out.Row(c.way)
		// 0.05 %: cubic interpolation between tilts 5 degrees apart, and cells that
		// keep their warmth over a swap.
		if off := math.Abs(got.PanelWh/row.Total.PanelWh - 1); off > 5e-4 {
			t.Errorf("%s: table %v Wh, run %v Wh", c.way, got.PanelWh, row.Total.PanelWh)
		}
		if off := math.Abs(got.LightKWhM2/row.Total.LightKWhM2 - 1); off > 5e-4 {
			t.Errorf("%s: table %v kWh/m2, run %v", c.way, got.LightKWhM2, row.Total.LightKWhM2)
		}
		if len(got.Stretches) != len(row.Stretches) {
			t.Errorf("%s: %v, run %v", c.way, got.Stretches, row.Stretches)
		}
	}
}

func TestNotchTableBounds(t *testing.T) {
	spot := spotAt(-33, 20)
	rig := rigAt(t, spot)
	in := season.Input{Rig: rig, Years: []*weather.Year{sky(t, spot, monthly(spot), changing)}}
	still, _, err := season.NotchTables(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	daily := still.Daily(0, 90)
	last := 0.0
	for count := 1; count <= 6; count++ {
		wh := still.Best(count, 0, 90).PanelWh
		if wh < last*(1-1e-4) || wh > daily*(1+1e-9) { // it climbs: see calendar.go
			t.Errorf("%d notches: %v Wh, one fewer %v, daily %v", count, wh, last, daily)
		}
		last = wh
	}
	// Given the best tilts and some others to choose from, it finds the best.
	three := still.Best(3, 0, 90)
	tilts := []compass.Angle{1, 88}
	for _, st := range three.Stretches {
		if !slices.Contains(tilts, st.Tilt) {
			tilts = append(tilts, st.Tilt)
		}
	}
	slices.Sort(tilts)
	if wh := still.Among(tilts, 3).PanelWh; math.Abs(wh/three.PanelWh-1) > 1e-9 { // rounding
		t.Errorf("the best three among five bring %v Wh, want %v", wh, three.PanelWh)
	}
	// Few tilts to choose from are never better than all of them.
	if few := still.Among([]compass.Angle{12.5, 47.25}, 2).PanelWh; few > still.Best(2, 0, 90).PanelWh*(1+1e-6) {
		t.Errorf("two given tilts bring %v Wh", few)
	}
	if one := still.Best(3, 30.2, 30.8); len(one.Stretches) != 1 {
		t.Errorf("no whole degree lies within, yet %v", one.Stretches)
	}
	in.Years = nil
	if _, _, err := season.NotchTables(context.Background(), in); err == nil {
		t.Error("no weather, and no error")
	}
}
