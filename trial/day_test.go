package trial

import (
	"context"
	"math"
	"slices"
	"testing"
	"time"

	"turnsole/loop"
	"turnsole/plane"
	"turnsole/weather"
)

// aGround lays a June week of evenly broken sky out on the spot of a rig.
func aGround(t testing.TB, rig *Rig, share float64) *loop.Ground {
	t.Helper()
	c := weather.Calendar{StepS: 900}
	for k := range 3 {
		c.Midnight = append(c.Midnight, time.Date(2026, 6, 1+k, 0, 0, 0, 0, time.UTC).Unix())
	}
	grid, err := weather.NewGrid(context.Background(), rig.Season.Spot, c, [12]float64{}, 0)
	if err != nil {
		t.Fatal(err)
	}
	y := &weather.Year{Calendar: c}
	for _, r := range grid.Sky() {
		dni, dhi := share*r.Clear.DNI, r.Clear.DHI
		y.DNI, y.DHI, y.GHI = append(y.DNI, float32(dni)), append(y.DHI, float32(dhi)), append(y.GHI, float32(dhi+dni*r.Up))
		y.AirC, y.WindMS = append(y.AirC, 15), append(y.WindMS, 2)
	}
	rig.Season.Sky = plane.Perez
	g, err := loop.LayOn(context.Background(), grid, &rig.Season, y)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func aStage(t testing.TB, rig *Rig, share float64, seed uint64) *Stage {
	t.Helper()
	s, err := NewStage(rig, aGround(t, rig, share), seed, 1)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestDayIsWhole(t *testing.T) {
	rig := someRig(t)
	d := aStage(t, rig, 0.5, 1).Day(1)
	n := len(d.AimedWm2)
	// The sun is up for 15.9 hours on 2 June at 48 N; a quarter of an hour at
	// either end, with the sun up for a part of it, counts whole.
	if hours := float64(n) * d.StepS / 3600; !(hours > 15.8 && hours < 16.4+0.01) {
		t.Errorf("%.1f hours of light", hours)
	}
	for name, v := range map[string][]float32{"aimed heading": d.AimedDeg, "still": d.StillWm2, "aimed cells": d.AimedC, "still cells": d.StillC, "aimed power": d.AimedFree, "still power": d.StillFree} {
		if len(v) != n {
			t.Errorf("%s: %d steps of %d", name, len(v), n)
		}
		if slices.ContainsFunc(v, func(x float32) bool { return math.IsNaN(float64(x)) }) {
			t.Errorf("%s has what is no number", name)
		}
	}
	for i := range n {
		if d.AimedWm2[i] < 0 || d.StillWm2[i] < 0 || d.AimedFree[i] < 0 {
			t.Fatalf("less than no light at step %d", i)
		}
	}
}

// TestDayTurnsAsTheRigSleeps: the heading is kept for a sleep, and then is the
// sun's.
func TestDayTurnsAsTheRigSleeps(t *testing.T) {
	rig := someRig(t)
	d := aStage(t, rig, 1, 1).Day(1)
	turns := 0
	for i := 1; i < len(d.AimedDeg); i++ {
		if d.AimedDeg[i] != d.AimedDeg[i-1] {
			if turns++; math.Mod(float64(i)*d.StepS, rig.SleepS) != 0 {
				t.Fatalf("turned %g s after dawn", float64(i)*d.StepS)
			}
		}
	}
	if want := int(float64(len(d.AimedDeg)-1) * d.StepS / rig.SleepS); turns != want {
		t.Errorf("%d turns, must be %d", turns, want)
	}
}

// TestDaySameSeed: the same seed shows the same clouds, another does not; their
// means hardly differ.
func TestDaySameSeed(t *testing.T) {
	rig := someRig(t)
	a, b, c := aStage(t, rig, 0.5, 1).Day(0), aStage(t, rig, 0.5, 1).Day(0), aStage(t, rig, 0.5, 2).Day(0)
	if !slices.Equal(a.AimedWm2, b.AimedWm2) {
		t.Error("the same seed made another day")
	}
	if slices.Equal(a.AimedWm2, c.AimedWm2) {
		t.Error("another seed made the same day")
	}
	// Each quarter of an hour keeps its mean beam to 0.2 %, one face's light to less.
	near(t, "light", Gained([]*Day{a}).Light, Gained([]*Day{c}).Light, 0.05)
}

// TestGained by hand.
func TestGained(t *testing.T) {
	d := &Day{AimedWm2: []float32{300, 500}, StillWm2: []float32{100, 300}, AimedFree: []float32{30, 60}, StillFree: []float32{10, 50}}
	if g := Gained([]*Day{d, d}); g.Light != 1 || g.Energy != 0.5 {
		t.Errorf("%+v", g)
	}
}

// TestTurningGainsUnderSun and not under an even sky.
func TestTurningGainsUnderSun(t *testing.T) {
	rig := someRig(t)
	sunny, dull := Gained([]*Day{aStage(t, rig, 1, 1).Day(1)}), Gained([]*Day{aStage(t, rig, 0, 1).Day(1)})
	// Handbooks have up to 40 % for an axis in sunny climates over the year, more
	// in June; an overcast sky is brighter around the sun by a few per cent.
	if !(sunny.Light > 0.25 && sunny.Light < 0.7) || !(math.Abs(dull.Light) < 0.1) {
		t.Errorf("%.3f under sun, %.3f without", sunny.Light, dull.Light)
	}
	if !(sunny.Energy < sunny.Light) {
		t.Errorf("more energy, %.3f, than light, %.3f: the turned panel is the warmer", sunny.Energy, sunny.Light)
	}
}

// TestStageRefuses a rig that cannot be.
func TestStageRefuses(t *testing.T) {
	rig := someRig(t)
	g := aGround(t, rig, 1)
	rig.SleepS = math.NaN()
	if _, err := NewStage(rig, g, 1, 1); err == nil {
		t.Error("a sleep that is no number is taken")
	}
}
