package season_test

import (
	"context"
	"math"
	"testing"
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/season"
	lightsky "turnsole/sky"
	"turnsole/stand"
	"turnsole/weather"
)

// coarse is the distance of the tilts that are tried one by one, degrees.
const coarse = 3

// everyTilt runs still and turning at one tilt after another, off the nodes
// between which season interpolates, and returns what the panel gives in Wh by
// tilt and month.
func everyTilt(t *testing.T, rig season.Rig, y *weather.Year) (tilts []compass.Angle, still, turning [][12]float64) {
	for tilt := compass.Angle(1); tilt <= 90; tilt += coarse {
		rig.Stand.Tilt = tilt
		out := run(t, season.Input{Rig: rig, Years: []*weather.Year{y}, Ways: []string{season.Turning}})
		tilts = append(tilts, tilt)
		still, turning = append(still, panelWh(out.Row(season.Still))), append(turning, panelWh(out.Row(season.Turning)))
	}
	return tilts, still, turning
}

func panelWh(r *season.Row) (byMonth [12]float64) {
	for m, s := range r.Months {
		byMonth[m] = s.PanelWh
	}
	return byMonth
}

// mostOf is the best that count tilts can bring, each for months that hang
// together round the year, by trying all ways to cut the year in two.
func mostOf(count int, byTilt [][12]float64) float64 {
	best := 0.0
	for from := range 12 {
		for to := from; to < 12; to++ {
			var inside, outside float64 // the best tilt for each part by itself
			for _, months := range byTilt {
				in, out := 0.0, 0.0
				for m, wh := range months {
					if m >= from && m < to {
						in += wh
					} else {
						out += wh
					}
				}
				inside, outside = max(inside, in), max(outside, out)
			}
			if count > 1 || from == to {
				best = max(best, inside+outside)
			}
		}
	}
	return best
}

// Season's optima against trying: no tried tilt or pair of tilts beats them,
// and they beat the tried ones by no more than a finer step can.
func TestTiltsAreTheBestThatTryingFinds(t *testing.T) {
	for name, spot := range map[string]place.Spot{"north": spotAt(50, 0), "south": spotAt(-20, 30)} {
		rig := rigAt(t, spot)
		rig.Sky = plane.Perez
		y := sky(t, spot, monthly(spot), changing)
		_, still, turning := everyTilt(t, rig, y)
		for _, c := range []struct {
			way     string
			notches int
			tried   [][12]float64
		}{
			{season.StillBest, 2, still}, {season.Notches, 1, still}, {season.Notches, 2, still},
			{season.TurningNotches, 1, turning}, {season.TurningNotches, 2, turning},
		} {
			count := c.notches
			if c.way == season.StillBest {
				count = 1
			}
			rig.Stand.Notches = c.notches
			got := run(t, season.Input{Rig: rig, Years: []*weather.Year{y}, Ways: []string{c.way}}).Row(c.way).Total.PanelWh
			tried := mostOf(count, c.tried)
			// 1e-4 below: between tilts 3 degrees apart energy is interpolated,
			// and where the sun comes from behind the panel it has a corner that
			// is not cubic. 4e-4 above: the best may lie 1.5 degrees from a tried
			// tilt, which costs 1 - cos 1.5 degrees.
			if got < tried*(1-1e-4) || got > tried*(1+4e-4) {
				t.Errorf("%s: %s with %d notches gives %.2f Wh, trying gave %.2f (%+.1e)", name, c.way, c.notches, got, tried, got/tried-1)
			}
		}
	}
}

// More freedom never brings less, but for what interpolation is off: twice the
// above for tilts, 5e-4 for headings, which lie ten degrees apart.
func TestFreedomNeverCosts(t *testing.T) {
	for name, spot := range map[string]place.Spot{"north": spotAt(50, 0), "equator": spotAt(1, 0), "arctic": spotAt(70, 20), "south": spotAt(-35, 150)} {
		rig := rigAt(t, spot)
		y := sky(t, spot, monthly(spot), changing)
		byNotches := []float64{0}
		for _, n := range []int{1, 2, 3, 12} {
			rig.Stand.Notches = n
			out := run(t, season.Input{Rig: rig, Years: []*weather.Year{y}, Ways: []string{season.Notches}})
			byNotches = append(byNotches, out.Row(season.Notches).Total.PanelWh)
		}
		out := compare(t, rig, y)
		gives := func(way string) float64 { return out.Row(way).Total.PanelWh }
		for i, wh := range byNotches[1:] {
			if wh < byNotches[i]*(1-2e-4) {
				t.Errorf("%s: more notches bring less: %v", name, byNotches)
			}
		}
		// 1e-4 for one notch: whole degrees against tenths.
		if !near(byNotches[1], gives(season.StillBest), 1e-4) {
			t.Errorf("%s: one notch gives %v, the best tilt %v", name, byNotches[1], gives(season.StillBest))
		}
		for _, pair := range []struct {
			more, less string
			off        float64
		}{
			{season.StillBest, season.Still, 2e-4}, {season.StillBest, season.Flat, 2e-4}, {season.Notches, season.StillBest, 2e-4},
			{season.TurningNotches, season.Turning, 2e-4},
			{season.ByHand2, season.Still, 5e-4}, {season.ByHand4, season.ByHand2, 5e-4}, {season.Turning, season.ByHand4, 5e-4},
		} {
			if gives(pair.more) < gives(pair.less)*(1-pair.off) {
				t.Errorf("%s: %s gives %v, %s %v", name, pair.more, gives(pair.more), pair.less, gives(pair.less))
			}
		}
	}
}

// Tilts stay within what the stand can be set to, and stretches cover the
// window's days once.
func TestTiltsStayWithinTheStand(t *testing.T) {
	spot := spotAt(50, 0)
	rig := rigAt(t, spot)
	y := sky(t, spot, monthly(spot), clearAir)
	for _, s := range []stand.Stand{
		{Tilt: 45, Lowest: 40, Highest: 50, Notches: 4}, {Tilt: 80, Lowest: 75.5, Highest: 90, Notches: 4},
		{Tilt: 10, Lowest: 0, Highest: 12.5, Notches: 2}, {Tilt: 33.3, Lowest: 33.3, Highest: 33.3, Notches: 2},
	} {
		s.HandsFrom, s.HandsTo = 7, 21
		rig.Stand = s
		out := compare(t, rig, y)
		for _, way := range []string{season.StillBest, season.Notches, season.TurningNotches} {
			r := out.Row(way)
			var tilts []compass.Angle
			if r.Tilt != nil {
				tilts = append(tilts, *r.Tilt)
			}
			for _, st := range r.Stretches {
				tilts = append(tilts, st.Tilt)
			}
			if len(tilts) == 0 || len(r.Stretches) > s.Notches+1 { // one of them may be cut by New Year
				t.Errorf("%+v: %s has tilts %v", s, way, tilts)
			}
			for _, tilt := range tilts {
				if (tilt < s.Lowest || tilt > s.Highest) && s.Lowest != s.Highest {
					t.Errorf("%+v: %s is held at %v", s, way, tilt)
				}
				if s.Lowest == s.Highest && math.Abs(float64(tilt-s.Lowest)) > 1 { // whole degrees
					t.Errorf("%+v: %s is held at %v", s, way, tilt)
				}
			}
		}
	}
}

// Somebody turns the panel while somebody is there, by the clock on the wall.
func TestVisitsKeepTheClock(t *testing.T) {
	for _, c := range []struct {
		zone                string
		latitude, longitude compass.Angle
	}{{"Europe/Berlin", 52, 13}, {"Australia/Sydney", -34, 151}, {"Asia/Kolkata", 20, 77}, {"America/St_Johns", 47, -53}} {
		spot := spotAt(c.latitude, c.longitude)
		zone, err := time.LoadLocation(c.zone)
		if err != nil {
			t.Fatal(err)
		}
		spot.Zone = zone
		rig := rigAt(t, spot)
		for _, hours := range [][2]float64{{7, 21}, {12.5, 13.5}, {17, 20}} {
			rig.Stand.HandsFrom, rig.Stand.HandsTo = hours[0], hours[1]
			out := run(t, season.Input{Rig: rig, Years: []*weather.Year{sky(t, spot, monthly(spot), clearAir)}, Ways: []string{season.ByHand2, season.ByHand4}})
			for _, r := range out.Rows[1:] {
				if want := map[string]int{season.ByHand2: 2, season.ByHand4: 4}[r.Way]; len(r.Hands) == 0 || len(r.Hands) > want {
					t.Errorf("%s, %v: %s has visits %v", c.zone, hours, r.Way, r.Hands)
				}
				last := -1.0
				for _, v := range r.Hands {
					if v.ClockHour < hours[0] || v.ClockHour > hours[1] || v.ClockHour <= last || v.Heading < 0 || v.Heading >= 360 {
						t.Errorf("%s, %v: %s has visits %v", c.zone, hours, r.Way, r.Hands)
					}
					last = v.ClockHour
				}
			}
		}
	}
}

// Summer time moves the sun an hour on over the clock: visits follow.
func TestVisitsFollowSummerTime(t *testing.T) {
	spot := spotAt(48, 15)
	c := days(spot, 3600, season.MonthDay{Month: 6, Day: 10}, season.MonthDay{Month: 7, Day: 2})
	first := func(zone *time.Location) float64 {
		spot.Zone = zone
		rig := rigAt(t, spot)
		return run(t, season.Input{Rig: rig, Years: []*weather.Year{sky(t, spot, c, clearAir)}, Ways: []string{season.ByHand2}}).Row(season.ByHand2).Hands[0].ClockHour
	}
	winter, summer := first(time.FixedZone("", 3600)), first(time.FixedZone("", 7200))
	if summer != winter+1 {
		t.Errorf("first visit at %v by winter's clock, at %v by summer's", winter, summer)
	}
}

// handTable is what the panel gives, Wh by hour of the clock and heading, each
// held by itself through the whole day; computed from the light, without
// season.
func handTable(t *testing.T, rig season.Rig, y *weather.Year, headings []compass.Angle) [24][]float64 {
	g, err := weather.NewGrid(context.Background(), rig.Spot, y.Calendar, rig.Turbidity, 0)
	if err != nil {
		t.Fatal(err)
	}
	var s lightsky.Series
	if err := g.Lay(y, &s); err != nil {
		t.Fatal(err)
	}
	l := plane.Prepare(&s, rig.Spot.Skyline, rig.Sky, rig.Glass)
	power, clock, slope := rig.Diode.Surface(), g.ClockHours(rig.Spot.Clock()), l.Slope(rig.Stand.Tilt)
	var table [24][]float64
	for h := range table {
		table[h] = make([]float64, len(headings))
	}
	for k, h := range headings {
		face := plane.NewHeading(h)
		for i := range l.Len() {
			light, entered := l.At(i, face, slope)
			wh := power.PowerW(entered, rig.Warmth.SteadyC(l.AirC[i], light, l.WindMS[i])) * l.StepS / 3600
			table[int(clock[i])][k] += wh
		}
	}
	return table
}

// mostByHand is the most that count visits on the hour bring: every choice of
// hours, each stretch at its best heading.
func mostByHand(table [24][]float64, count, from, to int) float64 {
	best := 0.0
	var hours []int
	var choose func(next int)
	choose = func(next int) {
		if len(hours) == count {
			sum := 0.0
			for i, h := range hours {
				sum += mostBetween(table, h, hours[(i+1)%count])
			}
			best = max(best, sum)
			return
		}
		for h := next; h <= to; h++ {
			hours = append(hours, h)
			choose(h + 1)
			hours = hours[:len(hours)-1]
		}
	}
	choose(from)
	return best
}

// mostBetween is the most that one heading brings from one hour to another,
// perhaps through the night.
func mostBetween(table [24][]float64, from, to int) float64 {
	best := 0.0
	for k := range table[0] {
		sum := 0.0
		for h := from; h != to; h = (h + 1) % 24 {
			sum += table[h][k]
		}
		best = max(best, sum)
	}
	return best
}

func TestVisitsAreTheBestThatTryingFinds(t *testing.T) {
	spot := spotAt(45, 7) // noon by the sun is not noon by the clock
	rig := rigAt(t, spot)
	rig.Warmth.LagS = 1e-3 // cells follow at once, so that hours stand alone
	y := sky(t, spot, days(spot, 3600, season.MonthDay{Month: 2, Day: 20}, season.MonthDay{Month: 4, Day: 20}, season.MonthDay{Month: 6, Day: 20}), changing)
	var headings []compass.Angle
	for h := compass.Angle(30); h <= 330; h += 5 {
		headings = append(headings, h)
	}
	table := handTable(t, rig, y, headings)
	for way, count := range map[string]int{season.ByHand2: 2, season.ByHand4: 4} {
		r := run(t, season.Input{Rig: rig, Years: []*weather.Year{y}, Ways: []string{way}}).Row(way)
		tried := mostByHand(table, count, 7, 21)
		// 3e-4 below: headings are interpolated from ten degrees apart. 0.5 %
		// above: season may also go on the quarter hour.
		if got := r.Total.PanelWh; got < tried*(1-3e-4) || got > tried*1.005 {
			t.Errorf("%s gives %.2f Wh, trying gave %.2f (%+.1e): %v", way, got, tried, got/tried-1, r.Hands)
		}
	}
}
