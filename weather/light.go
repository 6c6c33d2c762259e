package weather

import (
	"math"
	"slices"

	"turnsole/place"
	"turnsole/sky"
	"turnsole/sun"
)

// rowLight is the light that could fall in a row.
type rowLight struct {
	outside float32 // on the horizontal without air, mean over the row, W/m2
	sinUp   float32 // sine of the sun's elevation, 0 while it is down, mean over the row
	up      float32 // share of the row with the sun up
	ghi     float32 // on the horizontal under the clearest sky, mean over the row, W/m2
	dni     float32 // facing the sun while it is up, under the clearest sky, W/m2
}

// clearestTurbidity is the Linke turbidity of pure cold air (from memory): no
// beam is brighter.
const clearestTurbidity = 2

// lowSunBound is how much more than the clear sky of Ineichen & Perez the
// clearest sky gives when the sun is low: the factor exp(0.01 AM^1.8) that goes
// with their formula, here by the air mass at sea level and held at 1.5. It is a
// bound on made hours, not a clear sky as package sky has it: 99 of 100 hours
// measured at Roskilde lie below it at every height of the sun.
func lowSunBound(airMass float64) float64 {
	return math.Exp(0.01 * min(math.Pow(airMass, 1.8), 40.5))
}

// layLight lays out the light of every hour, and of every minute where rows
// are minutes.
func (m *Maker) layLight(spot place.Spot) {
	stepS := 300 // the sun moves by little more than a degree
	if m.calendar.StepS < 3600 {
		stepS = m.calendar.StepS
	}
	ray := newRays(spot, m.calendar, stepS)
	perHour := 3600 / stepS
	m.hours = make([]rowLight, 0, len(m.calendar.Midnight)*24)
	for _, midnight := range m.calendar.Midnight {
		day := ray.day(midnight)
		for h := range 24 {
			m.hours = append(m.hours, meanLight(day[h*perHour:(h+1)*perHour]))
		}
		if m.calendar.StepS < 3600 {
			m.rows = append(m.rows, day...)
		}
	}
}

// rays reads the sun's way through a day at the middles of equal steps.
type rays struct {
	path            *sun.Path
	clear           sky.Clear
	pressure        float64 // of sea level's
	stepS           int
	east, north, up []float64
	light           []rowLight
}

func newRays(spot place.Spot, c Calendar, stepS int) *rays {
	from := sun.JulianDayUnix(float64(slices.Min(c.Midnight)))
	to := sun.JulianDayUnix(float64(slices.Max(c.Midnight))) + 1
	n := 86400 / stepS
	r := &rays{
		path:     sun.NewPath(sun.At(spot), from, to, sun.DeltaT(from)),
		clear:    sky.NewClear(spot.AltitudeM, clearestTurbidity),
		pressure: place.PressureHPa(spot.AltitudeM) / sky.SeaLevelHPa,
		stepS:    stepS,
		east:     make([]float64, n), north: make([]float64, n), up: make([]float64, n),
		light: make([]rowLight, n),
	}
	return r
}

// day returns the light of a day, valid until it is called again.
func (r *rays) day(midnight int64) []rowLight {
	first := sun.JulianDayUnix(float64(midnight) + float64(r.stepS)/2)
	r.path.Directions(first, float64(r.stepS), r.east, r.north, r.up)
	normal := sky.ExtraNormal(r.path.DistanceAU(first))
	for i, up := range r.up {
		if !(up > 0) {
			r.light[i] = rowLight{}
			continue
		}
		airMass := sky.AirMass(up)
		l := r.clear.Through(airMass*r.pressure, up, normal)
		r.light[i] = rowLight{
			outside: float32(normal * up),
			sinUp:   float32(up), up: 1,
			ghi: float32(l.GHI * lowSunBound(airMass)),
			dni: float32(l.DNI),
		}
	}
	return r.light
}

// meanLight returns the light of a row from that of its equal parts.
func meanLight(parts []rowLight) (mean rowLight) {
	n := float32(len(parts))
	for _, p := range parts {
		mean.outside += p.outside / n
		mean.sinUp += p.sinUp / n
		mean.up += p.up / n
		mean.ghi += p.ghi / n
		mean.dni += p.dni * p.sinUp / n
	}
	if mean.sinUp > 0 {
		mean.dni /= mean.sinUp
	}
	return mean
}
