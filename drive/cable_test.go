package drive_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/drive"
)

func TestWrapOfAnOrdinaryYear(t *testing.T) {
	w := drive.WrapOf([]drive.Arc{{From: 50, To: 310}, {From: 125, To: 235}})
	near(t, "range", float64(w.Degrees), 260)
	near(t, "stops", float64(w.StopAt), 0)
	near(t, "from", float64(w.Low), 50)
	if w.Within(0, 300) || !w.Within(0, 360) || !w.Within(-330, -50) || w.Within(60, 360) {
		t.Error("the builder's own limits")
	}
	if drive.WrapOf(nil).Degrees != 0 {
		t.Error("no days, and yet a turn")
	}
}

func TestWrapTellsWhatTheSunDoes(t *testing.T) {
	for _, c := range []struct {
		what    string
		days    []drive.Arc
		degrees float64
		stopAt  float64
		says    string
	}{
		{"polar summer in the north", []drive.Arc{{From: 0, To: 360}, {From: 30, To: 330}}, 360, 0, "unwinds once a day"},
		{"polar summer in the south", []drive.Arc{{From: 180, To: -180}}, 360, 180, "unwinds once a day"},
		// 294..427 in June and 473..607 in December: 247..294 is never visited.
		{"the equator at the solstices", []drive.Arc{{From: 113, To: 247}, {From: 67, To: -66}}, 313, 270.5, "turns clockwise on 1 days"},
		{"swings in the tropics", []drive.Arc{{From: 100, To: 260}, {From: 66, To: -66, BeyondFrom: 14, BeyondTo: 14}}, 340, 90, "clockwise"},
	} {
		w := drive.WrapOf(c.days)
		near(t, c.what, float64(w.Degrees), c.degrees)
		if !strings.Contains(w.Why, c.says) {
			t.Errorf("%s: %s", c.what, w.Why)
		}
		near(t, c.what+", stops", float64(w.StopAt), c.stopAt)
	}
}

// Against a search of all moves by whole turns.
func TestWrapIsTheLeast(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		degree := func(low, high int, what string) compass.Angle { // whole ones stay exact
			return compass.Angle(rapid.IntRange(low, high).Draw(t, what))
		}
		days := make([]drive.Arc, rapid.IntRange(1, 5).Draw(t, "days"))
		for i := range days {
			from := degree(-400, 400, "from")
			days[i] = drive.Arc{
				From: from, To: from + degree(-400, 400, "turn"),
				BeyondFrom: degree(0, 30, "before"), BeyondTo: degree(0, 30, "after"),
			}
		}
		w := drive.WrapOf(days)
		want := leastByTrial(days[1:], reach(days[0]))
		if float64(w.Degrees) != want {
			t.Fatalf("%v, by trial %v", w.Degrees, want)
		}
		for i, d := range w.Days {
			s := reach(d)
			if s.low < float64(w.Low) || s.high > float64(w.High) || (d.From-days[i].From).Azimuth() != 0 {
				t.Fatalf("day %d is moved to %v", i, d)
			}
		}
		if !(w.Low >= 0 && w.Low < 360) || !w.Within(w.Low-720, w.High-720) || w.Within(w.Low+1, w.High) {
			t.Fatalf("%v to %v", w.Low, w.High)
		}
	})
}

type span struct{ low, high float64 }

// reach walks through a day's turning points.
func reach(a drive.Arc) span {
	sign := compass.Angle(1)
	if a.To < a.From {
		sign = -1
	}
	s := span{math.Inf(1), math.Inf(-1)}
	for _, heading := range []compass.Angle{a.From, a.From - sign*a.BeyondFrom, a.To + sign*a.BeyondTo, a.To} {
		s.low, s.high = min(s.low, float64(heading)), max(s.high, float64(heading))
	}
	return s
}

func leastByTrial(days []drive.Arc, so span) float64 {
	if len(days) == 0 {
		return so.high - so.low
	}
	least := math.Inf(1)
	for turns := -4.0; turns <= 4; turns++ {
		s := reach(days[0])
		least = min(least, leastByTrial(days[1:], span{min(so.low, s.low+360*turns), max(so.high, s.high+360*turns)}))
	}
	return least
}

func BenchmarkWrapOfAYear(b *testing.B) {
	days := make([]drive.Arc, 365)
	for i := range days {
		half := 100 + 40*math.Sin(float64(i)*2*math.Pi/365)
		days[i] = drive.Arc{From: compass.Angle(180 - half), To: compass.Angle(180 + half)}
	}
	for b.Loop() {
		drive.WrapOf(days)
	}
}
