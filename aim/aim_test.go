package aim_test

import (
	"math"
	"testing"

	"turnsole/aim"
)

func TestHandsKeepTheEveningsHeadingOvernight(t *testing.T) {
	h := aim.Hands{{ClockHour: 8, Heading: 110}, {ClockHour: 13, Heading: 250}}
	for _, c := range []struct{ hour, want float64 }{{0, 250}, {7.9, 250}, {8, 110}, {12.99, 110}, {13, 250}, {23, 250}} {
		if got := h.HeadingAt(c.hour); float64(got) != c.want {
			t.Errorf("at %v o'clock the panel looks to %v, want %v", c.hour, got, c.want)
		}
	}
}

func TestFaceIsSquareToTheSun(t *testing.T) {
	tilts := make([]float32, 3)
	aim.Face([]float64{0, 0.5, 1}, tilts)
	for i, want := range []float64{90, 60, 0} {
		if math.Abs(float64(tilts[i])-want) > 1e-5 { // float32
			t.Errorf("tilt %v, want %v", tilts[i], want)
		}
	}
}

func TestFollowAndHold(t *testing.T) {
	h := make([]float32, 2)
	aim.Follow([]float64{91.5, 271}, h)
	if h[0] != 91.5 || h[1] != 271 {
		t.Errorf("follow: %v", h)
	}
	aim.Hold(180, h)
	if h[0] != 180 || h[1] != 180 {
		t.Errorf("hold: %v", h)
	}
}
