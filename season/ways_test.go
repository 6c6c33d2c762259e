package season_test

import (
	"context"
	"testing"

	"turnsole/battery"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/season"
	"turnsole/weather"
)

// An even sky without a sun looks the same to every heading.
func TestHeadingsAreAlikeUnderAnEvenSky(t *testing.T) {
	spot := spotAt(50, 0)
	out := compare(t, rigAt(t, spot), sky(t, spot, monthly(spot), overcastAir))
	still := out.Row(season.Still).Total
	for _, way := range []string{season.Turning, season.ByHand2, season.ByHand4} {
		// 1e-9: the same light by another heading, in another order of sums.
		if got := out.Row(way).Total; !near(got.LightKWhM2, still.LightKWhM2, 1e-9) || !near(got.PanelWh, still.PanelWh, rounding) {
			t.Errorf("%s: %+v, still %+v", way, got, still)
		}
	}
	// And flat sees most of it.
	if best := out.Row(season.StillBest); *best.Tilt != 0 || *out.Row(season.Flat).Tilt != 0 {
		t.Errorf("best tilt %v under an even sky, flat %v", *best.Tilt, *out.Row(season.Flat).Tilt)
	}
}

// At one tilt the sun's own heading sees as much of the beam, and of the bright
// sky around it, as any: whatever the weather, the model and the month.
func TestTurningSeesMoreThanStill(t *testing.T) {
	spot := spotAt(50, 0)
	for name, of := range map[string]air{"clear": clearAir, "beam": beamAir, "changing": changing} {
		for _, model := range []plane.Sky{plane.Perez, plane.HayDavies, plane.Isotropic} {
			rig := rigAt(t, spot)
			rig.Sky = model
			out := run(t, season.Input{Rig: rig, Years: []*weather.Year{sky(t, spot, monthly(spot), of)}, Ways: []string{season.Turning}})
			still, turning := out.Row(season.Still), out.Row(season.Turning)
			for m := range 12 {
				if turning.Months[m].LightKWhM2 <= still.Months[m].LightKWhM2 {
					t.Errorf("%s, model %d, month %d: turning %v, still %v", name, model, m+1, turning.Months[m], still.Months[m])
				}
			}
		}
	}
}

// With a beam alone and no ground each freedom more brings more, at every
// month; and two axes bring all there is.
func TestFreedomsInBeamAlone(t *testing.T) {
	spot := spotAt(50, 0)
	spot.Albedo = [12]float64{}
	y := sky(t, spot, monthly(spot), beamAir)
	out := compare(t, rigAt(t, spot), y)
	order := []string{season.Facing, season.Turning, season.Still}
	for m := range 12 {
		for i := range order[1:] {
			more, less := out.Row(order[i]).Months[m], out.Row(order[i+1]).Months[m]
			if more.LightKWhM2 <= less.LightKWhM2 || more.EnteredKWhM2 <= less.EnteredKWhM2 {
				t.Errorf("month %d: %s %v, %s %v", m+1, order[i], more, order[i+1], less)
			}
		}
	}
	beam := 0.0
	for _, w := range y.DNI {
		beam += float64(w) / 1000
	}
	facing := out.Row(season.Facing).Total
	// 1e-6: tilts and headings as 32-bit numbers; a right angle costs nothing at first order.
	if !near(facing.LightKWhM2, beam, 1e-6) || !near(facing.EnteredKWhM2, beam, 1e-6) {
		t.Errorf("facing gets %v of a beam of %v kWh/m2", facing, beam)
	}
}

func TestSkylines(t *testing.T) {
	open := spotAt(50, 0)
	y := sky(t, open, monthly(open), changing)
	wall := func(height float64) *season.Outcome {
		spot := open
		marks := []place.Mark{}
		for bearing := 0; bearing < 360; bearing += 45 {
			marks = append(marks, place.Mark{Bearing: deg(bearing), Elevation: deg(height)})
		}
		line, err := place.NewSkyline(marks, nil)
		if err != nil {
			t.Fatal(err)
		}
		spot.Skyline = line
		return compare(t, rigAt(t, spot), y)
	}
	free, nothing, low, shut := compare(t, rigAt(t, open), y), wall(0), wall(20), wall(90)
	for i, r := range free.Rows {
		if n := nothing.Rows[i].Total; !near(n.LightKWhM2, r.Total.LightKWhM2, rounding) || !near(n.PanelWh, r.Total.PanelWh, rounding) {
			t.Errorf("%s: a skyline of zero leaves %v of %v", r.Way, n, r.Total)
		}
		if l := low.Rows[i].Total; l.LightKWhM2 >= r.Total.LightKWhM2 || l.PanelWh >= r.Total.PanelWh {
			t.Errorf("%s: a wall of 20 degrees leaves %v of %v", r.Way, l, r.Total)
		}
		// Walls to the zenith leave a last crack of sky to a face that stands
		// upright, less than one part in a thousand.
		if s := shut.Rows[i].Total; s.LightKWhM2 > 0.001*r.Total.LightKWhM2 {
			t.Errorf("%s: walls to the zenith leave %v of %v", r.Way, s, r.Total)
		}
	}
}

// Every way runs wherever the sun goes: through polar night and polar day, at
// the poles, overhead in the tropics.
func TestEverywhereOnEarth(t *testing.T) {
	for _, latitude := range []float64{90, 78, 66.6, 23.44, 5, 0, -12, -34, -71, -90} {
		spot := spotAt(deg(latitude), 15)
		rig := rigAt(t, spot)
		rig.Sky = plane.Perez
		rig.Battery.Battery = battery.New(lifepo4(t), 500)
		out := compare(t, rig, sky(t, spot, monthly(spot), clearAir))
		dark := map[bool]int{true: 11, false: 5}[latitude > 0]
		for _, r := range out.Rows {
			kept(t, r.Way, r.Total, &rig.Battery)
			if r.Total.PanelWh <= 0 {
				t.Errorf("latitude %v, %s: no energy in a clear year", latitude, r.Way)
			}
			if m := r.Months[dark]; (latitude > 70 || latitude < -70) && (m.PanelWh != 0 || m.LightKWhM2 != 0) {
				t.Errorf("latitude %v, %s: %v in the polar night", latitude, r.Way, m)
			}
		}
	}
}

// Hours keep the light of the minutes that they were made of.
func TestHoursKeepTheLightOfTheirMinutes(t *testing.T) {
	spot := spotAt(50, 0)
	dates := []season.MonthDay{{Month: 3, Day: 20}, {Month: 6, Day: 21}, {Month: 12, Day: 21}}
	minutes := sky(t, spot, days(spot, 60, dates...), clearAir)
	hours := sky(t, spot, days(spot, 3600, dates...), clearAir)
	for h := range hours.DNI {
		var dni, dhi float32
		for _, v := range minutes.DNI[60*h : 60*h+60] {
			dni += v / 60
		}
		for _, v := range minutes.DHI[60*h : 60*h+60] {
			dhi += v / 60
		}
		hours.DNI[h], hours.DHI[h] = dni, dhi
	}
	fine, coarse := compare(t, rigAt(t, spot), minutes), compare(t, rigAt(t, spot), hours)
	for i, r := range fine.Rows {
		for _, m := range []int{2, 5, 11} {
			a, b := r.Months[m], coarse.Rows[i].Months[m]
			// Within an hour the beam follows the clear sky's own course, in
			// steps of ten minutes. What is left is the diffuse light's course in
			// the hour and the ends of the day: under 0.1 %; in energy also the
			// cells' lag: 0.15 %. Visits by hand may fall ten minutes apart.
			light, energy := 0.001, 0.0015
			if r.Hands != nil {
				light, energy = 0.003, 0.003
			}
			if !near(a.LightKWhM2, b.LightKWhM2, light) {
				t.Errorf("%s, month %d: %v by the minute, %v by the hour", r.Way, m+1, a.LightKWhM2, b.LightKWhM2)
			}
			if !near(a.PanelWh, b.PanelWh, energy) {
				t.Errorf("%s, month %d: %v Wh by the minute, %v by the hour", r.Way, m+1, a.PanelWh, b.PanelWh)
			}
		}
	}
}

// A place south of the equator, on the days on which the sun stands as far on
// the other side, is the mirror of one north of it.
func TestSouthIsNorthInAMirror(t *testing.T) {
	north, south := spotAt(35, 0), spotAt(-35, 0)
	// By the sun's height alone, so that the distance to the sun plays no part.
	even := func(_ int, r weather.RowSky) (float64, float64) {
		return 900 * r.UpShare, 120 * r.Up
	}
	c := monthly(north)
	mirrored := c
	mirrored.Midnight = nil
	for _, midnight := range c.Midnight {
		mirrored.Midnight = append(mirrored.Midnight, opposite(midnight))
	}
	a := compare(t, rigAt(t, north), sky(t, north, c, even))
	b := compare(t, rigAt(t, south), sky(t, south, mirrored, even))
	for i, r := range a.Rows {
		s := b.Rows[i]
		// Declinations match to 0.2 degrees, which is worth 0.3 % of a day's
		// light, either way; the sun is up to 16 minutes off in the hours.
		share := 0.002
		if r.Hands != nil {
			share = 0.003 // and visits are by the clock
		}
		if !near(r.Total.LightKWhM2, s.Total.LightKWhM2, share) || !near(r.Total.PanelWh, s.Total.PanelWh, share) {
			t.Errorf("%s: north %v, south %v", r.Way, r.Total, s.Total)
		}
		if r.Way == season.StillBest {
			// 0.5 degrees: the same, at a flat optimum.
			if d := *r.Tilt - *s.Tilt; d < -0.5 || d > 0.5 {
				t.Errorf("best tilt north %v, south %v", *r.Tilt, *s.Tilt)
			}
		}
	}
}

func TestWhatCannotBeRunIsRefused(t *testing.T) {
	spot := spotAt(50, 0)
	rig, year := rigAt(t, spot), sky(t, spot, monthly(spot), clearAir)
	many := rig
	many.Loads = []battery.Load{{PowerW: -5, FromHour: 1, ToHour: 2}}
	torn := *year
	torn.DNI = torn.DNI[1:]
	for name, in := range map[string]season.Input{
		"no weather":      {Rig: rig},
		"unknown way":     {Rig: rig, Years: []*weather.Year{year}, Ways: []string{"spinning"}},
		"empty window":    {Rig: rig, Years: []*weather.Year{year}, Window: season.Window{From: season.MonthDay{Month: 2, Day: 1}, To: season.MonthDay{Month: 2, Day: 2}}},
		"year of no days": {Rig: rig, Years: []*weather.Year{{Calendar: weather.Calendar{StepS: 3600}}}},
		"negative load":   {Rig: many, Years: []*weather.Year{year}},
		"short column":    {Rig: rig, Years: []*weather.Year{&torn}},
	} {
		if _, err := season.Run(context.Background(), in); err == nil || err.Error() == "" {
			t.Errorf("%s: no error", name)
		}
	}
}
