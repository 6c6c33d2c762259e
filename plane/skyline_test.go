package plane

import (
	"math"
	"math/rand/v2"
	"testing"

	"turnsole/compass"
	"turnsole/place"
)

// What the straight lines between the rows and columns leave, over all that a
// panel is tilted by: the 0.001 of the sky that the table promises.
func TestTablesOfTheSkylineKeepTheirPromise(t *testing.T) {
	for name, k := range map[string]struct {
		marks     []place.Mark
		obstacles []place.Obstacle
	}{
		"hills":  {marks: []place.Mark{{Bearing: 30, Elevation: 5}, {Bearing: 120, Elevation: 35}, {Bearing: 250, Elevation: 0}}},
		"hollow": {marks: []place.Mark{{Bearing: 0, Elevation: 20}}},
		"tower":  {obstacles: []place.Obstacle{{From: 80, To: 120, HeightM: 10, DistanceM: 5}}},
	} {
		line, err := place.NewSkyline(k.marks, k.obstacles)
		if err != nil {
			t.Fatal(err)
		}
		table, wedges := newHidden(line), cut(line)
		r, worst := rand.New(rand.NewPCG(1, 2)), 0.0
		for range 2000 {
			h, tilt := NewHeading(compass.Angle(360*r.Float64())), 90*r.Float64()
			s := Slope{hides: table, sky: 1}
			s.row, s.beyond = between(tilt, tiltStep, tiltRows)
			seen, _ := s.behind(h, 1, 0)
			sin, cos := math.Sincos(tilt * math.Pi / 180)
			worst = max(worst, math.Abs(1-seen-blocked(wedges, sin, cos, h)))
		}
		if worst > 0.001 {
			t.Errorf("%s: off by %v of the sky", name, worst)
		}
	}
}

func TestSincos(t *testing.T) {
	for deg := -720.; deg <= 720; deg += 0.37 {
		sin, cos := sincos(deg)
		// 1e-14: the library's own angle is rounded, by up to 12 times 2e-16.
		s, c := math.Sincos(deg * math.Pi / 180)
		if math.Abs(sin-s) > 1e-14 || math.Abs(cos-c) > 1e-14 {
			t.Fatalf("sincos(%v) = %v, %v, want %v, %v", deg, sin, cos, s, c)
		}
	}
	for k, want := range [][2]float64{{0, 1}, {1, 0}, {0, -1}, {-1, 0}, {0, 1}} {
		if sin, cos := sincos(float64(90 * k)); sin != want[0] || cos != want[1] {
			t.Errorf("sincos(%d) = %v, %v, want %v exactly", 90*k, sin, cos, want)
		}
	}
}
