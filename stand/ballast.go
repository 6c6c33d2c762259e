package stand

import (
	"errors"
	"fmt"
	"math"
)

// Factors of EN 1990, Table A1.2(A), for whether something stays where it is:
// on weight that holds, and on the force of a wanted wind.
const (
	weightFactor = 0.9
	WindFactor   = 1.5
)

// factored is the stance with the weight that may be counted on.
func (t stance) factored() stance {
	t.totalN *= weightFactor
	t.panelBackNm *= weightFactor
	return t
}

// BallastFor returns how much ballast is needed beyond what is there, on
// BallastRadiusM, so that the setting neither tips nor slides in a forecast's
// mean wind: with 0.9 of the weight and 1.5 times the wind (EN 1990). The error
// says why no ballast would do.
func (b Body) BallastFor(s Setting, forecastMS float64) (kg float64, err error) {
	w, pa, err := b.design(s, forecastMS)
	if err != nil {
		return 0, err
	}
	if err := b.ballastInside(); err != nil {
		return 0, err
	}
	t := b.stanceOf(w.pose).factored()
	if !(t.friction > 0) {
		return 0, errors.New("without friction under the feet no ballast keeps the stand from sliding")
	}
	spare, _ := w.least(func(p push) float64 {
		return -max(t.overEdgeNm(p, pa)/t.edgeM, t.shortN(p, pa))
	})
	return max(-spare, 0) / (weightFactor * GravityMS2), nil
}

// shortN is the weight that is missing for friction to hold the level push.
func (t stance) shortN(p push, pa float64) float64 {
	return pa*(math.Abs(p.backN)/t.friction+p.upN) - t.totalN
}

// slipN is what friction leaves of the level push for pegs to hold.
func (t stance) slipN(p push, pa float64) float64 {
	return max(pa*math.Abs(p.backN)-t.friction*max(t.totalN-pa*p.upN, 0), 0)
}

// PegN returns the pull for which each peg must be good, one at each foot, if
// pegs do what BallastFor's ballast would: upward and sideways pull together,
// for the worst direction, with the same factors. It is 0 where none are needed
// and NaN where the setting or the wind make no sense.
func (b Body) PegN(s Setting, forecastMS float64) float64 {
	w, pa, err := b.design(s, forecastMS)
	if err != nil {
		return math.NaN()
	}
	t := b.stanceOf(w.pose).factored()
	least, _ := w.least(func(p push) float64 {
		up := max(t.overEdgeNm(p, pa)/b.pegsM(), (pa*p.upN-t.totalN)/float64(b.Feet), 0)
		side := t.slipN(p, pa) / float64(b.Feet)
		return -math.Hypot(up, side)
	})
	return -least
}

// pegsM is the moment about an edge of one newton at each peg, for pegs that
// give alike for their distance, per newton at the furthest: Σx²/max x.
func (b Base) pegsM() float64 {
	sum, furthest := 0.0, 0.0
	for i := range b.Feet {
		x := b.EdgeM() - b.FootRadiusM*math.Cos((2*float64(i)+1)*math.Pi/float64(b.Feet))
		sum += x * x
		furthest = max(furthest, x)
	}
	return sum / furthest
}

// design returns the wind's pushes and the design pressure of a forecast.
func (b Body) design(s Setting, forecastMS float64) (*rose, float64, error) {
	if !(forecastMS >= 0 && forecastMS <= 100) {
		return nil, 0, fmt.Errorf("a forecast of %v m/s: a mean wind from 0 to 100 m/s is needed", forecastMS)
	}
	p, err := b.poseAt(s)
	if err != nil {
		return nil, 0, err
	}
	if edge := b.EdgeM(); !(b.Feet >= 3 && b.Feet <= mostFeet && edge > 0) {
		return nil, 0, fmt.Errorf("%d feet %v m from the axis do not make a stand", b.Feet, b.FootRadiusM)
	}
	w := windRose(p, b.Terrain.GustPerForecast(p.upM))
	return w, WindFactor * PressurePa(forecastMS*w.gustPerForecast), nil
}
