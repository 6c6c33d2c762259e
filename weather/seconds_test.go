package weather_test

import (
	"testing"

	"turnsole/weather"
)

func BenchmarkSeconds(b *testing.B) {
	s := weather.NewSeconds(1, 1, 900)
	b.Run("begin 900 s", func(b *testing.B) {
		b.ReportAllocs()
		for i := int64(0); b.Loop(); i++ {
			s.Begin(i, 400, 900, 200)
		}
	})
	b.Run("walk", func(b *testing.B) {
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			s.At(float64(i % 900))
		}
	})
	b.Run("anywhere", func(b *testing.B) {
		b.ReportAllocs()
		for i := 0; b.Loop(); i++ {
			s.At(float64(i * 389 % 900))
		}
	})
}
