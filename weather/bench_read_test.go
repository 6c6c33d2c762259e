package weather_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"io"
	"math"
	"strconv"
	"testing"
	"time"

	"turnsole/weather"
)

// minuteYear writes a year of minutes in about 30 MB of text.
func minuteYear() []byte {
	var b []byte
	b = append(b, "time,ghi,dni,dhi,air,wind\n"...)
	start := time.Date(2023, 1, 1, 0, 0, 0, 0, time.UTC)
	for i := range 525600 {
		b = start.Add(time.Duration(i)*time.Minute).AppendFormat(b, "2006-01-02 15:04:05")
		h := math.Sin(2*math.Pi*float64(i%1440-360)/1440) + 0.2*math.Sin(float64(i)/90000)
		for _, v := range []float64{max(0, 700*h), max(0, 800*h), max(0, 100*h), 12.3 + 5*h, 2.5 + h} {
			b = append(b, ',')
			b = strconv.AppendFloat(b, v, 'f', 4, 64)
		}
		b = append(b, '\n')
	}
	return b
}

func zipped(b []byte) []byte {
	var z bytes.Buffer
	w := gzip.NewWriter(&z)
	_, _ = w.Write(b)
	_ = w.Close()
	return z.Bytes()
}

var minuteMap = weather.Map{Time: "time", GHI: "ghi", DNI: "dni", DHI: "dhi", AirC: "air", WindMS: "wind", Zone: time.UTC}

func BenchmarkReadMinuteYear(b *testing.B) {
	plain := minuteYear()
	for _, c := range []struct {
		name string
		data []byte
	}{{"plain", plain}, {"gzip", zipped(plain)}} {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(plain)))
			b.ReportAllocs()
			for b.Loop() {
				r, err := weather.Read(context.Background(), "year.csv", bytes.NewReader(c.data), &minuteMap, madrid)
				if err != nil || !r.Years[0].Whole() {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkReadHourlyYear(b *testing.B) {
	for _, name := range []string{"year-santiago-33s.epw.gz", "year-albuquerque-35n.tmy3.csv.gz"} {
		z, err := io.ReadAll(measured(b, name))
		if err != nil {
			b.Fatal(err)
		}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := weather.Read(context.Background(), name, bytes.NewReader(z), nil, madrid); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
