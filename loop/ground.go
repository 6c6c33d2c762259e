package loop

import (
	"context"
	"fmt"
	"math"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/season"
	"turnsole/sky"
	"turnsole/sun"
	"turnsole/weather"
)

// Ground is everything under which all policies run alike: a weather year laid
// out as light on the rig's spot, the panel's tables, the loads. Many runs may
// share it, on several goroutines.
type Ground struct {
	calendar weather.Calendar
	light    *plane.Light
	slots    int       // steps in a day, lit or not
	slotS    float64   // length of one
	at       []int32   // step of the light in each slot of each day; dark in the night
	clear    []float32 // beam of the clear sky in each step, W/m2
	wind     []float32 // by the rows of the year, m/s
	cells    []float32 // temperature of the battery's cells by the hour, degrees C
	loadW    []float32 // of the builder's loads by the hour
	path     *sun.Path
	skyline  place.Skyline
	free     bool // no skyline

	pinned    bool
	low, high func(irradianceWm2, cellC float64) float64 // W, battery empty and full
	best      *bestCurrent

	// What turning exactly and keeping still bring, by the step and by the day.
	turningWm2     []float32
	turning, still []bring
}

type bring struct{ lightWhM2, panelWh float64 }

// dark is the step of a slot without light.
const dark = -1

// Lay lays a weather year out on steps of at most ten minutes, as season does
// for a recorded year.
func Lay(ctx context.Context, rig *season.Rig, y *weather.Year) (*Ground, error) {
	grid, err := weather.NewGrid(ctx, rig.Spot, y.Calendar, rig.Turbidity, 0)
	if err != nil {
		return nil, err
	}
	return LayOn(ctx, grid, rig, y)
}

// LayOn lays a weather year out on a grid that is there, such as one that made
// years share.
func LayOn(ctx context.Context, grid *weather.Grid, rig *season.Rig, y *weather.Year) (*Ground, error) {
	var s sky.Series
	if err := grid.Lay(y, &s); err != nil {
		return nil, err
	}
	return LayUnder(ctx, grid, plane.Prepare(&s, rig.Spot.Skyline, rig.Sky, rig.Glass), rig, y)
}

// LayUnder lays a weather year out under its light on a grid, where both are
// there. The light must not be changed as long as the ground is used.
func LayUnder(ctx context.Context, grid *weather.Grid, light *plane.Light, rig *season.Rig, y *weather.Year) (*Ground, error) {
	if len(y.Midnight) == 0 {
		return nil, fmt.Errorf("the weather has no days")
	}
	g := &Ground{calendar: y.Calendar, wind: y.WindMS, slotS: light.StepS, slots: int(math.Round(86400 / light.StepS)),
		skyline: rig.Spot.Skyline, free: rig.Spot.Skyline.Free(), light: light}
	g.layWires(rig)
	g.laySlots(grid)
	g.layClear(rig)
	g.layCells(y, &rig.Battery.Battery)
	if err := g.layLoads(rig); err != nil {
		return nil, err
	}
	g.layPath(rig)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	g.layBaselines(rig)
	return g, nil
}

// Days returns how many days the year has.
func (g *Ground) Days() int { return len(g.calendar.Midnight) }

// Steps returns how many steps of light the year has.
func (g *Ground) Steps() int { return g.light.Len() }

// Calendar is the year's.
func (g *Ground) Calendar() weather.Calendar { return g.calendar }

func (g *Ground) layWires(rig *season.Rig) {
	if rig.Battery.Charger.Kind == battery.PWM {
		low, high := rig.Battery.PinnedV()
		g.pinned = true
		g.low, g.high = rig.Diode.PinnedSurface(low).PowerW, rig.Diode.PinnedSurface(high).PowerW
		return
	}
	power := rig.Diode.Surface().PowerW
	g.low, g.high = power, power
	g.best = newBestCurrent(&rig.Diode)
}

// laySlots finds where each step lies in its day, by the middle of it.
func (g *Ground) laySlots(grid *weather.Grid) {
	g.at = make([]int32, g.Days()*g.slots)
	for k := range g.at {
		g.at[k] = dark
	}
	own := grid.ClockHours(g.calendar.Date(0).Location())
	for i, hour := range own {
		slot := int(math.Floor(float64(hour) * 3600 / g.slotS))
		day := int(g.light.Hour[i]) / 24
		g.at[day*g.slots+min(max(slot, 0), g.slots-1)] = int32(i)
	}
}

func (g *Ground) layClear(rig *season.Rig) {
	turbidity := rig.Turbidity
	if turbidity == [12]float64{} {
		turbidity = sky.Turbidity(rig.Spot.Latitude)
	}
	g.clear = make([]float32, g.light.Len())
	var air sky.Clear
	for i, last := 0, int32(-1); i < len(g.clear); i++ {
		if day := g.light.Hour[i] / 24; day != last {
			air, last = sky.NewClear(rig.Spot.AltitudeM, turbidity[g.calendar.Date(int(day)).Month()-1]), day
		}
		g.clear[i] = float32(air.Light(g.light.Up[i], g.light.ExtraNormal[i]).DNI)
	}
}

func (g *Ground) layCells(y *weather.Year, b *battery.Battery) {
	g.cells = make([]float32, 24*g.Days())
	perHour := 3600 / y.StepS
	for h := range g.cells {
		sum := float32(0)
		for _, c := range y.AirC[h*perHour : (h+1)*perHour] {
			sum += c
		}
		g.cells[h] = sum / float32(perHour)
	}
	b.Lag(g.cells, 1)
}

func (g *Ground) layLoads(rig *season.Rig) error {
	byHour, err := battery.Hourly(rig.Loads)
	if err != nil {
		return err
	}
	g.loadW = make([]float32, 24*g.Days())
	zone := rig.Spot.Clock()
	for day := range g.Days() {
		ahead := g.calendar.Ahead(day, zone).Hours()
		for hour := range 24 {
			wall := int(math.Floor(float64(hour)+0.5+ahead)) + 48
			g.loadW[24*day+hour] = float32(byHour[wall%24])
		}
	}
	return nil
}

// layPath covers every day of the calendar, and two more for a clock that is
// wrong.
func (g *Ground) layPath(rig *season.Rig) {
	first, last := g.calendar.Midnight[0], g.calendar.Midnight[0]
	for _, m := range g.calendar.Midnight {
		first, last = min(first, m), max(last, m)
	}
	from := sun.JulianDayUnix(float64(first))
	g.path = sun.NewPath(sun.At(rig.Spot), from-2, sun.JulianDayUnix(float64(last))+3, sun.DeltaT(from))
}

// layBaselines runs the two ways that a policy is held against through the
// light, as season does.
func (g *Ground) layBaselines(rig *season.Rig) {
	g.turning, g.still = make([]bring, g.Days()), make([]bring, g.Days())
	g.turningWm2 = make([]float32, g.light.Len())
	slope := g.light.Slope(rig.Stand.Tilt)
	still := plane.NewHeading(compass.Equatorward(rig.Spot.Latitude))
	var turning, held cell
	turning.decay = rig.Warmth.Decay(g.slotS)
	held.decay = turning.decay
	for k, i := range g.at {
		day := k / g.slots
		if i == dark {
			turning.aboveAirC, held.aboveAirC = 0, 0
			continue
		}
		g.turningWm2[i] = float32(g.bring(&turning, &rig.Warmth, int(i), g.light.SunHeading(int(i)), slope, &g.turning[day]))
		g.bring(&held, &rig.Warmth, int(i), still, slope, &g.still[day])
	}
}

func (g *Ground) bring(c *cell, w *panel.Warmth, i int, h plane.Heading, s *plane.Slope, into *bring) float64 {
	lightWm2, entered := g.light.At(i, h, s)
	cellC := c.warm(w, g.light, i, lightWm2, c.decay)
	into.lightWhM2 += lightWm2 * g.slotS / 3600
	into.panelWh += (g.low(entered, cellC) + g.high(entered, cellC)) / 2 * g.slotS / 3600
	return lightWm2
}

// cell is the panel's cells as they warm.
type cell struct{ aboveAirC, decay float64 }

// warm brings the cells to the end of a stretch and returns their temperature.
func (c *cell) warm(w *panel.Warmth, l *plane.Light, i int, lightWm2, decay float64) float64 {
	steady := w.SteadyC(0, lightWm2, l.WindMS[i])
	c.aboveAirC = steady + (c.aboveAirC-steady)*decay
	return l.AirC[i] + c.aboveAirC
}

// sunAt returns the sun's direction in step i of slot k of the year, a share of
// the step before (negative) or after its middle: on the chord between two
// middles, brought back to the sphere.
func (g *Ground) sunAt(k int, i int32, share float64) (east, north, up float64) {
	l := g.light
	j := i
	if share > 0 && k+1 < len(g.at) && g.at[k+1] != dark {
		j = i + 1
	} else if share < 0 && k > 0 && g.at[k-1] != dark {
		j, share = i-1, -share
	} else if share > 0 && k > 0 && g.at[k-1] != dark { // at dusk: on the way it came
		j, share = i-1, -share
	} else if share < 0 && k+1 < len(g.at) && g.at[k+1] != dark {
		j = i + 1
	}
	east = l.East[i] + share*(l.East[j]-l.East[i])
	north = l.North[i] + share*(l.North[j]-l.North[i])
	up = max(0, l.Up[i]+share*(l.Up[j]-l.Up[i]))
	shrink := 1 / math.Sqrt(east*east+north*north+up*up)
	return east * shrink, north * shrink, up * shrink
}
