package plane_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/place"
	"turnsole/plane"
)

// The instant that stands for a step gets the step's light, on any face and
// behind any skyline.
func TestMeanMomentIsTheStep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := light(t)
		hides := place.Skyline{}
		if rapid.Bool().Draw(t, "skyline") {
			hides, _ = skyline(t, 1)
		}
		l := plane.Prepare(s, hides, model(t), glass(t))
		heading, tilt := face(t)
		h, slope := plane.NewHeading(heading), l.Slope(tilt)
		for i := range s.Len() {
			m := l.Mean(i)
			onPlane, entered := l.At(i, h, slope)
			gotPlane, gotEntered := l.AtMoment(i, &m, h, slope)
			// Rounding of sums of some thousand W/m2.
			if math.Abs(gotPlane-onPlane) > 1e-9 || math.Abs(gotEntered-entered) > 1e-9 {
				t.Fatalf("step %d: %v and %v W/m2, the step itself %v and %v", i, gotPlane, gotEntered, onPlane, entered)
			}
		}
	})
}

// More beam, more light; what enters is never more than what falls, and neither
// is ever below zero.
func TestMomentsOfMoreBeam(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := light(t)
		l := plane.Prepare(s, place.Skyline{}, model(t), glass(t))
		heading, tilt := face(t)
		h, slope := plane.NewHeading(heading), l.Slope(tilt)
		for i := range s.Len() {
			m := l.Mean(i)
			m.BeamWm2 = rapid.Float64Range(0, 1400).Draw(t, "beam")
			m.Diffuse = rapid.Float64Range(0, 2).Draw(t, "diffuse")
			less, _ := l.AtMoment(i, &m, h, slope)
			m.BeamWm2 += rapid.Float64Range(0, 300).Draw(t, "more")
			more, entered := l.AtMoment(i, &m, h, slope)
			if less < 0 || entered < 0 || more < less-1e-9 || entered > more+1e-9 { // rounding
				t.Fatalf("step %d: %v W/m2, with more beam %v, of which %v entered", i, less, more, entered)
			}
		}
	})
}
