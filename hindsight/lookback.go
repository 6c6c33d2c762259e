package hindsight

import (
	"fmt"
	"math"

	"turnsole/compass"
	"turnsole/plane"
	"turnsole/sky"
)

// Log is the light that entered one panel, reading by reading. All slices have
// the same length.
type Log struct {
	At                  []Instant // of the Scene
	HeadingDeg, TiltDeg []float32 // where the panel looked; tilt 0..180 from flat
	EnteredWm2          []float64 // NaN where there is none
	MeanS               float64   // seconds of which each reading is the mean, 60 for a moment
}

// Past is the sky that a log implies, made ready for any other face. Several
// goroutines may read it at once.
type Past struct {
	at     []Instant
	light  *plane.Light
	series sky.Series
	more   []float64 // what each reading is of the light that series holds
}

// LookBack finds the sky of a whole log: FromOne for all readings together,
// under Perez's sky, which holds better in thin cloud, by low sun and on steep
// faces. It copies nothing: log.At must stay as it is while the Past is used.
//
// A reading that cannot be is NaN in the past, and one below 0 is darkness.
func (s *Scene) LookBack(log Log) (*Past, error) {
	n := len(log.At)
	if len(log.HeadingDeg) != n || len(log.TiltDeg) != n || len(log.EnteredWm2) != n {
		return nil, fmt.Errorf("a log of %d instants has %d headings, %d tilts and %d readings; each must have as many",
			n, len(log.HeadingDeg), len(log.TiltDeg), len(log.EnteredWm2))
	}
	p := &Past{at: log.At, series: s.lay(log.At)}
	p.light = plane.Prepare(&p.series, s.spot.Skyline, plane.Perez, s.glass)
	p.search(log)
	p.settle(log)
	return p, nil
}

// lay lays out the steps of a series, dark as yet.
func (s *Scene) lay(at []Instant) sky.Series {
	n := len(at)
	figures := make([]float64, 9*n)
	next := func() []float64 {
		f := figures[:n:n]
		figures = figures[n:]
		return f
	}
	l := sky.Series{StepS: 1, Hour: make([]int32, n), East: next(), North: next(), Up: next(), AzimuthDeg: next(),
		ExtraNormal: next(), DNI: next(), DHI: next(), Albedo: next(), AirC: next()}
	l.WindMS = l.AirC
	for i := range at {
		a := &at[i]
		l.Up[i], l.ExtraNormal[i] = 1, sky.SolarConstant
		if !sound(a) {
			continue // any sun will do: the reading is not used
		}
		l.East[i], l.North[i], l.Up[i] = a.Sun.East, a.Sun.North, max(a.Sun.Up, 0)
		l.AzimuthDeg[i], l.ExtraNormal[i] = float64(a.Sun.Azimuth()), a.ExtraNormal
		l.Albedo[i] = s.spot.Albedo[a.month]
	}
	return l
}

// search chases each reading's global light, all of them together.
func (p *Past) search(log Log) {
	split := sky.NewSplit(log.MeanS)
	chases, tried := make([]chase, len(log.At)), make([]float64, len(log.At))
	for i := range chases {
		chases[i] = newChase(&log.At[i], log.EnteredWm2[i])
	}
	entered := make([]float64, len(log.At))
	for range tries {
		for i := range chases {
			tried[i] = chases[i].next()
			l := log.At[i].likely(split, tried[i])
			p.series.DNI[i], p.series.DHI[i] = l.DNI, l.DHI
		}
		p.light.Relight(&p.series)
		p.light.On(log.HeadingDeg, log.TiltDeg, nil, entered)
		for i := range chases {
			chases[i].take(tried[i], entered[i]-log.EnteredWm2[i])
		}
	}
}

// settle tells how much more light each reading has than what was found: a
// little, for the last halving and where Perez's sky jumps; all of it in the
// clouds' rarest glare.
func (p *Past) settle(log Log) {
	p.more = make([]float64, len(log.At))
	p.light.On(log.HeadingDeg, log.TiltDeg, nil, p.more)
	for i, entered := range p.more {
		p.more[i] = positive(log.EnteredWm2[i] / entered)
		if !sound(&log.At[i], log.EnteredWm2[i]) {
			p.more[i] = math.NaN()
		}
	}
}

// Sky returns the light at reading i.
func (p *Past) Sky(i int) sky.Light {
	at := &p.at[i]
	ghi := p.more[i] * p.series.GHI(i)
	dni := min(p.more[i]*p.series.DNI[i], at.MostDNI)
	return sky.Light{GHI: ghi, DNI: dni, DHI: ghi - dni*p.series.Up[i]}
}

// Entered writes the light that would have entered a panel that looked
// elsewhere, W/m2, one heading, tilt and figure for each reading. Where the
// panel really looked it gives the readings back, but for those below 0.
func (p *Past) Entered(headingDeg, tiltDeg []float32, enteredWm2 []float64) {
	p.light.On(headingDeg, tiltDeg, nil, enteredWm2)
	for i := range enteredWm2 {
		enteredWm2[i] *= p.more[i]
	}
}

// Still is Entered for a panel that kept still.
func (p *Past) Still(heading, tilt compass.Angle, enteredWm2 []float64) {
	h, slope := plane.NewHeading(heading), p.light.Slope(tilt)
	for i := range enteredWm2 {
		_, entered := p.light.At(i, h, slope)
		enteredWm2[i] = entered * p.more[i]
	}
}
