package bench

import (
	"math"
	"math/rand/v2"
	"testing"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/sky"
)

const daylight = 262144 // about the minutes of daylight in a year

// anyYear is daylight of every kind, as numpy_perez.py draws it.
func anyYear() *sky.Series {
	r := rand.New(rand.NewPCG(1, 1))
	s := &sky.Series{StepS: 60, Hour: make([]int32, daylight)}
	for range daylight {
		azimuth := compass.Angle(90 + 180*r.Float64())
		d := compass.Toward(azimuth, compass.Angle(60-59*r.Float64()))
		s.East, s.North, s.Up = append(s.East, d.East), append(s.North, d.North), append(s.Up, d.Up)
		s.AzimuthDeg, s.ExtraNormal = append(s.AzimuthDeg, float64(azimuth)), append(s.ExtraNormal, sky.SolarConstant)
		s.DNI, s.DHI, s.Albedo = append(s.DNI, 900*r.Float64()), append(s.DHI, 20+300*r.Float64()), append(s.Albedo, 0.2)
	}
	return s
}

// BenchmarkPlane puts a year's light on one face; what Perez's model needs of
// each step is there already, as it is when ways of aiming are compared.
func BenchmarkPlane(b *testing.B) {
	s := anyYear()
	l := plane.Prepare(s, place.Skyline{}, plane.Perez, plane.DefaultGlass())
	headings, tilts := make([]float32, daylight), make([]float32, daylight)
	on, entered := make([]float64, daylight), make([]float64, daylight)
	for name, way := range map[string]func(i int) (heading, tilt float32){
		"still":   func(int) (float32, float32) { return 180, 40 },
		"turning": func(i int) (float32, float32) { return float32(s.AzimuthDeg[i]), 40 },
		"facing": func(i int) (float32, float32) {
			return float32(s.AzimuthDeg[i]), float32(math.Acos(s.Up[i]) * 180 / math.Pi)
		},
	} {
		for i := range headings {
			headings[i], tilts[i] = way(i)
		}
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				l.On(headings, tilts, on, entered)
			}
			perStep(b)
		})
	}
}

// BenchmarkPlaneAnew counts the model's part of each step in as well: another
// year's weather under the same sun, on one face.
func BenchmarkPlaneAnew(b *testing.B) {
	s := anyYear()
	l := plane.Prepare(s, place.Skyline{}, plane.Perez, plane.DefaultGlass())
	headings, tilts := make([]float32, daylight), make([]float32, daylight)
	on, entered := make([]float64, daylight), make([]float64, daylight)
	for i := range headings {
		headings[i], tilts[i] = 180, 40
	}
	for b.Loop() {
		l.Relight(s)
		l.On(headings, tilts, on, entered)
	}
	perStep(b)
}

func perStep(b *testing.B) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/daylight, "ns/step")
}
