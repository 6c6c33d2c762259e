package place_test

import (
	"math"
	"testing"

	"turnsole/compass"
	"turnsole/place"
)

func TestSkylineJoinsMarksAndRaisesObstacles(t *testing.T) {
	s, err := place.NewSkyline(
		[]place.Mark{{Bearing: 270, Elevation: 10}, {Bearing: 90, Elevation: 2}},
		[]place.Obstacle{{From: 350, To: 10, HeightM: 10, DistanceM: 10}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ az, want float64 }{
		{270, 10}, {90, 2}, {180, 6}, {225, 8},
		{0, 45}, {355, 45}, {10, 45}, {20, 6 - 4*20./90},
	} {
		if got := s.At(compass.Angle(c.az)); math.Abs(float64(got)-c.want) > 1e-9 { // rounding
			t.Errorf("At(%v) = %v, want %v", c.az, got, c.want)
		}
	}
}

func TestSkylineRefusesNonsense(t *testing.T) {
	for name, try := range map[string]func() error{
		"too high": func() error { _, err := place.NewSkyline([]place.Mark{{Bearing: 0, Elevation: 95}}, nil); return err },
		"not a size": func() error {
			_, err := place.NewSkyline([]place.Mark{{Bearing: 0, Elevation: compass.Angle(math.NaN())}}, nil)
			return err
		},
		"given twice": func() error { _, err := place.NewSkyline([]place.Mark{{Bearing: 0}, {Bearing: 360}}, nil); return err },
		"no distance": func() error { _, err := place.NewSkyline(nil, []place.Obstacle{{HeightM: 3}}); return err },
	} {
		if try() == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestFreeHorizon(t *testing.T) {
	s, _ := place.NewSkyline(nil, nil)
	flat, _ := place.NewSkyline([]place.Mark{{Bearing: 0, Elevation: 0}}, nil)
	if !s.Free() || !flat.Free() || s.At(123) != 0 {
		t.Error("no marks and flat marks are both a free horizon")
	}
}

func TestClockFollowsLongitudeWhereNoZoneIsNamed(t *testing.T) {
	if got := (place.Spot{Longitude: -105.2}).Clock().String(); got != "UTC-7" {
		t.Errorf("clock at 105.2 W is %s, want UTC-7", got)
	}
}
