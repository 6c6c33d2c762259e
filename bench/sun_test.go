// Package bench times what must be fast against programs outside this project.
package bench

import (
	"testing"

	"turnsole/sun"
)

var hut = sun.Observer{Latitude: 52.28, Longitude: -3.62, AltitudeM: 310, PressureHPa: 976, TemperatureC: 10}

const (
	newYear2026   sun.JulianDay = 2461041.5
	minutesOfYear               = 365 * 1440
)

// BenchmarkSunPositions gives azimuth and elevation for every minute of a year,
// the making of the path included.
func BenchmarkSunPositions(b *testing.B) {
	azimuth, elevation := make([]float64, minutesOfYear), make([]float64, minutesOfYear)
	for b.Loop() {
		sun.NewPath(hut, newYear2026, newYear2026+365, 69).Positions(newYear2026, 60, azimuth, elevation)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/minutesOfYear, "ns/position")
}

// BenchmarkSunDirections gives unit vectors for every minute of a year.
func BenchmarkSunDirections(b *testing.B) {
	east, north, up := make([]float64, minutesOfYear), make([]float64, minutesOfYear), make([]float64, minutesOfYear)
	for b.Loop() {
		sun.NewPath(hut, newYear2026, newYear2026+365, 69).Directions(newYear2026, 60, east, north, up)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/minutesOfYear, "ns/position")
}

// BenchmarkSunFull is the report's algorithm, one position after another.
func BenchmarkSunFull(b *testing.B) {
	for i := range b.N {
		sun.PositionAt(newYear2026+sun.JulianDay(i%minutesOfYear)/1440, hut, 69)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N), "ns/position")
}
