package weather

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/sky"
	"turnsole/sun"
)

// Grid is a calendar's steps in which there can be light, with the sun and the
// clear sky in them. It is computed once and shared by every year that lies on
// the calendar; several goroutines may use it at once.
type Grid struct {
	Calendar
	perRow int        // steps that a row is cut into
	steps  sky.Series // the columns that no weather changes
	row    []int32    // of each step
	middle []float32  // of each step, hours after midnight by the file's clock

	// What a step gets of its row: its mean beam or diffuse light times this.
	// Over a row they add up to the steps in it, so that its energy is kept.
	beam, diffuse []float64

	clear []clearStep
	spot  place.Spot
}

type clearStep struct{ ghi, dni float32 }

// lowest is the sine of the elevation at which the last twilight ends that
// counts as light, -3 degrees: about 1 W/m2 is left there.
const lowest = -0.05233595624294383

// longestStepS is how long a step may be where the grid chooses: in ten
// minutes the sun turns by 2.5 degrees about the pole.
const longestStepS = 600

// NewGrid lays out a calendar at a spot. Turbidity is the Linke turbidity of
// the clear air by month, January first; all zero for the usual one at this
// latitude. Steps are stepS seconds long, which must divide the calendar's
// row; 0 leaves rows up to ten minutes whole and cuts longer ones into equal
// steps of at most ten minutes.
func NewGrid(ctx context.Context, spot place.Spot, c Calendar, turbidity [12]float64, stepS int) (*Grid, error) {
	if c.StepS <= 0 || 3600%c.StepS != 0 {
		return nil, fmt.Errorf("rows of %d s: a row must be a divisor of an hour", c.StepS)
	}
	perRow := (c.StepS + longestStepS - 1) / longestStepS
	if stepS != 0 {
		if stepS < 0 || c.StepS%stepS != 0 {
			return nil, fmt.Errorf("steps of %d s do not divide rows of %d s", stepS, c.StepS)
		}
		perRow = c.StepS / stepS
	}
	if err := sun.At(spot).Err(); err != nil {
		return nil, err
	}
	if turbidity == [12]float64{} {
		turbidity = sky.Turbidity(spot.Latitude)
	}
	g := &Grid{Calendar: c, perRow: perRow, spot: spot}
	g.steps.StepS = float64(c.StepS) / float64(perRow)
	g.grow(c.Rows() * perRow * 11 / 20) // twilight makes light a little more than half of all time
	return g, g.fill(ctx, turbidity)
}

func (g *Grid) grow(n int) {
	s := &g.steps
	for _, column := range []*[]float64{&s.East, &s.North, &s.Up, &s.AzimuthDeg, &s.ExtraNormal, &g.beam, &g.diffuse} {
		*column = slices.Grow(*column, n)
	}
	s.Hour, g.row, g.clear = slices.Grow(s.Hour, n), slices.Grow(g.row, n), slices.Grow(g.clear, n)
	g.middle = slices.Grow(g.middle, n)
}

// fill goes through the days; a path of the sun serves as long as they follow
// one another.
func (g *Grid) fill(ctx context.Context, turbidity [12]float64) error {
	var d gridDay
	n := g.RowsPerDay() * g.perRow
	d.east, d.north, d.up = make([]float64, n), make([]float64, n), make([]float64, n)
	observer := sun.At(g.spot)
	var path *sun.Path
	for day, midnight := range g.Midnight {
		if err := ctx.Err(); err != nil {
			return err
		}
		if day == 0 || midnight != g.Midnight[day-1]+86400 {
			from, to := sun.JulianDayUnix(float64(midnight)), sun.JulianDayUnix(float64(g.runEnd(day)))
			path = sun.NewPath(observer, from, to, sun.DeltaT(from))
		}
		first := sun.JulianDayUnix(float64(midnight) + g.steps.StepS/2)
		path.Directions(first, g.steps.StepS, d.east, d.north, d.up)
		d.extraNormal = sky.ExtraNormal(path.DistanceAU(first + 0.5))
		d.clear = sky.NewClear(g.spot.AltitudeM, g.turbidityOn(day, turbidity))
		g.addDay(day, &d)
	}
	return nil
}

// runEnd returns when the days that follow one another from day on end.
func (g *Grid) runEnd(day int) int64 {
	for day+1 < len(g.Midnight) && g.Midnight[day+1] == g.Midnight[day]+86400 {
		day++
	}
	return g.Midnight[day] + 86400
}

// turbidityOn joins the months' figures, which stand for their middles, by
// straight lines.
func (g *Grid) turbidityOn(day int, months [12]float64) float64 {
	date := g.Date(day)
	from := float64(date.Month()) - 1 + (float64(date.Day())-15.5)/30.4
	m := math.Floor(from)
	before, after := months[(int(m)+12)%12], months[(int(m)+13)%12]
	return before + (from-m)*(after-before)
}

// gridDay is one day of sun, and the air it shines through.
type gridDay struct {
	east, north, up []float64
	extraNormal     float64
	clear           sky.Clear
}

func (g *Grid) addDay(day int, d *gridDay) {
	perDay := g.RowsPerDay()
	for r := range perDay {
		begin := len(g.row)
		for k := r * g.perRow; k < (r+1)*g.perRow; k++ {
			if d.up[k] > lowest {
				g.addStep(d, k)
				g.row = append(g.row, int32(day*perDay+r))
				g.middle = append(g.middle, float32((float64(k)+0.5)*g.steps.StepS/3600))
				g.steps.Hour = append(g.steps.Hour, int32(day*24+r*g.StepS/3600))
			}
		}
		share(g.beam[begin:], float64(g.perRow))
		share(g.diffuse[begin:], float64(g.perRow))
	}
}

// addStep appends step k of a day. A row's beam follows the clear sky's beam
// through its steps; its diffuse light follows the sun's height above where
// twilight ends, as that of a cloudy sky does.
func (g *Grid) addStep(d *gridDay, k int) {
	east, north, up := d.east[k], d.north[k], d.up[k]
	light := d.clear.Light(up, d.extraNormal)
	g.diffuse = append(g.diffuse, up-lowest)
	if up <= 0 {
		flat := math.Sqrt(east*east + north*north)
		east, north, up = east/flat, north/flat, 0
	}
	g.beam = append(g.beam, light.DNI)
	g.clear = append(g.clear, clearStep{float32(light.GHI), float32(light.DNI)})
	s := &g.steps
	s.East, s.North, s.Up = append(s.East, east), append(s.North, north), append(s.Up, up)
	s.AzimuthDeg = append(s.AzimuthDeg, azimuthDeg(east, north))
	s.ExtraNormal = append(s.ExtraNormal, d.extraNormal)
}

func azimuthDeg(east, north float64) float64 {
	a := float64(compass.Radians(math.Atan2(east, north)))
	if a < 0 {
		a += 360
	}
	if a >= 360 { // a tiny negative angle plus 360 rounds to 360
		a = 0
	}
	return a
}

// share scales what the steps of a row weigh so that they add up to total.
func share(weights []float64, total float64) {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	if sum == 0 {
		return
	}
	for i := range weights {
		weights[i] *= total / sum
	}
}

// Lay fills s with a year's light and air, step by step, reusing its memory.
// Its columns about the sun are the grid's own and must not be written to: all
// years laid on one grid share them. The row's energy in beam and in diffuse
// light is kept, except what Lost tells.
func (g *Grid) Lay(y *Year, s *sky.Series) error {
	if err := g.holds(y); err != nil {
		return err
	}
	own := [...]*[]float64{&s.DNI, &s.DHI, &s.Albedo, &s.AirC, &s.WindMS}
	for _, column := range own {
		*column = slices.Grow((*column)[:0], len(g.row))[:len(g.row)]
	}
	s.StepS, s.Hour, s.AzimuthDeg, s.ExtraNormal = g.steps.StepS, g.steps.Hour, g.steps.AzimuthDeg, g.steps.ExtraNormal
	s.East, s.North, s.Up = g.steps.East, g.steps.North, g.steps.Up
	for i, r := range g.row {
		s.DNI[i], s.DHI[i] = g.beamOf(y, i, r), float64(y.DHI[r])*g.diffuse[i]
		s.AirC[i], s.WindMS[i] = float64(y.AirC[r]), float64(y.WindMS[r])
	}
	g.layAlbedo(y, s.Albedo)
	return nil
}

// beamOf is the beam of step i, which is never brighter than outside the air.
func (g *Grid) beamOf(y *Year, i int, row int32) float64 {
	return min(float64(y.DNI[row])*g.beam[i], g.steps.ExtraNormal[i])
}

// layAlbedo takes the year's own albedo where it is a possible one, and the
// spot's for the month where not.
func (g *Grid) layAlbedo(y *Year, albedo []float64) {
	perDay := int32(g.RowsPerDay())
	last, month := int32(-1), 0
	for i, r := range g.row {
		if day := r / perDay; day != last {
			last, month = day, int(g.Date(int(day)).Month())-1
		}
		albedo[i] = g.spot.Albedo[month]
		if y.Albedo != nil && y.Albedo[r] > 0 && y.Albedo[r] <= 0.95 {
			albedo[i] = float64(y.Albedo[r])
		}
	}
}

func (g *Grid) holds(y *Year) error {
	switch n := g.Rows(); {
	case y.StepS != g.StepS || !slices.Equal(y.Midnight, g.Midnight):
		return fmt.Errorf("the year %s does not lie on this grid: other days or other rows", y.Source)
	case len(y.DNI) != n || len(y.DHI) != n || len(y.AirC) != n || len(y.WindMS) != n:
		return fmt.Errorf("the year %s has columns that are not %d rows long", y.Source, n)
	case y.Albedo != nil && len(y.Albedo) != n:
		return fmt.Errorf("the year %s has %d rows of albedo, not %d", y.Source, len(y.Albedo), n)
	}
	return nil
}

// ClockHours returns the hour of the wall clock, 0..24, at the middle of each
// step. On a day on which the clock changes it goes by noon's.
func (g *Grid) ClockHours(zone *time.Location) []float32 {
	hours := make([]float32, len(g.row))
	perDay := int32(g.RowsPerDay())
	last, ahead := int32(-1), float32(0)
	for i, r := range g.row {
		if day := r / perDay; day != last {
			last, ahead = day, float32(g.Ahead(int(day), zone).Hours())
		}
		hours[i] = g.middle[i] + ahead
		switch {
		case hours[i] < 0:
			hours[i] += 24
		case hours[i] >= 24:
			hours[i] -= 24
		}
	}
	return hours
}

// Lost is light that a year reports where there can be none, Wh/m2 over the
// year: a beam without a sun or brighter than outside the air (facing the
// sun), and diffuse light in the night (on the horizontal).
type Lost struct{ BeamWhM2, DiffuseWhM2 float64 }

// Lost returns the light of a year that Lay leaves out.
func (g *Grid) Lost(y *Year) (Lost, error) {
	if err := g.holds(y); err != nil {
		return Lost{}, err
	}
	var beam, diffuse float64
	for r := range y.DNI {
		beam += float64(y.DNI[r])
		diffuse += float64(y.DHI[r])
	}
	for i, r := range g.row {
		beam -= g.beamOf(y, i, r) / float64(g.perRow)
		diffuse -= float64(y.DHI[r]) * g.diffuse[i] / float64(g.perRow)
	}
	hours := float64(g.StepS) / 3600
	return Lost{BeamWhM2: max(0, beam*hours), DiffuseWhM2: max(0, diffuse*hours)}, nil
}

// RowSky is the sun and the clear sky over one row of the calendar. The zero
// RowSky is night.
type RowSky struct {
	Clear       sky.Light // means over the row
	Up          float64   // sine of the sun's elevation, mean over the row; 0 while it is down
	UpShare     float64   // share of the row in which it is up, 0..1
	ExtraNormal float64   // irradiance outside the air facing the sun, W/m2
	SunHour     float64   // hour by the sun at the middle of the lit part, 0..24, 12 when it stands highest
}

// Sky returns the sun and the clear sky row by row: what readers of weather
// need to fill gaps, to split global light and to judge a clock.
func (g *Grid) Sky() []RowSky {
	rows := make([]RowSky, g.Rows())
	part := 1 / float64(g.perRow)
	for i := 0; i < len(g.row); {
		r, begin := &rows[g.row[i]], i
		for ; i < len(g.row) && g.row[i] == g.row[begin]; i++ {
			up, c := g.steps.Up[i], g.clear[i]
			r.Up += part * up
			r.Clear.GHI += part * float64(c.ghi)
			r.Clear.DNI += part * float64(c.dni)
			r.Clear.DHI += part * max(0, float64(c.ghi)-float64(c.dni)*up)
			if up > 0 {
				r.UpShare += part
			}
		}
		r.ExtraNormal = g.steps.ExtraNormal[begin]
		r.SunHour = g.sunHour((begin + i) / 2)
	}
	return rows
}

// sunHour reads a step's hour off the sun's direction as a sundial does.
func (g *Grid) sunHour(i int) float64 {
	s, lat := &g.steps, g.spot.Latitude
	toMeridian := s.Up[i]*lat.Cos() - s.North[i]*lat.Sin()
	return 12 + math.Atan2(-s.East[i], toMeridian)*12/math.Pi
}
