package hindsight_test

import (
	"math"
	"testing"
	"time"

	"turnsole/compass"
	"turnsole/hindsight"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/sky"
)

var hill = place.Spot{Name: "hill", Latitude: 52.28, Longitude: -3.62, AltitudeM: 310,
	Albedo: [12]float64{0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2, 0.2}}

func unix(s string) float64 {
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		panic(err)
	}
	return float64(t.Unix())
}

func scene(t testing.TB, spot place.Spot) *hindsight.Scene {
	s, err := hindsight.NewScene(spot, [12]float64{}, plane.DefaultGlass(), unix("2026-01-01T00:00:00Z"), unix("2027-01-01T00:00:00Z"))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSplitFindsWhatWasPutIn(t *testing.T) {
	s := scene(t, hill)
	at := s.At(unix("2026-06-10T08:00:00Z"))
	still, aimed := s.Face(180, 40), s.Face(at.Sun.Azimuth(), 40)
	_, a := s.Light(&at, still, 700, 120)
	_, b := s.Light(&at, aimed, 700, 120)
	l, sure := s.Split(&at, []hindsight.Face{still, aimed}, []float64{a, b}, sky.Light{DNI: 500, DHI: 200})
	t.Log(a, b, l, sure)
	if sure < 0.9 || math.Abs(l.DNI-700) > 20 {
		t.Errorf("%v, determinacy %.2f", l, sure)
	}
	one := s.FromOne(&at, aimed, b, 60)
	t.Log(one)
	_, back := s.Light(&at, aimed, one.DNI, one.DHI)
	if math.Abs(back-b) > 1e-6 {
		t.Errorf("%v gives back %v of %v", one, back, b)
	}
}

func BenchmarkAt(b *testing.B) {
	s := scene(b, hill)
	from := unix("2026-06-10T08:00:00Z")
	for i := range b.N {
		at := s.At(from + float64(i%10000))
		if at.ExtraNormal == 0 {
			b.Fatal()
		}
	}
}

func BenchmarkSplit(b *testing.B) {
	s := scene(b, hill)
	at := s.At(unix("2026-06-10T08:00:00Z"))
	still := s.Face(180, 40)
	faces := []hindsight.Face{still, still.Turned(at.Sun.Azimuth())}
	_, one := s.Light(&at, faces[0], 700, 120)
	_, two := s.Light(&at, faces[1], 700, 120)
	looks := []float64{one, two}
	for b.Loop() {
		s.Split(&at, faces, looks, sky.Light{DNI: 500, DHI: 200})
	}
}

func BenchmarkFromOne(b *testing.B) {
	s := scene(b, hill)
	at := s.At(unix("2026-06-10T08:00:00Z"))
	f := s.Face(compass.Angle(100), 40)
	for b.Loop() {
		s.FromOne(&at, f, 640, 60)
	}
}
