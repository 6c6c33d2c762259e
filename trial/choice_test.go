package trial

import (
	"context"
	"io"
	"math"
	"math/rand/v2"
	"testing"

	"turnsole/loop"
	"turnsole/reading"
)

// logOf runs a protocol through days of the closed rig's year.
func logOf(t *testing.T, rig *Rig, g *loop.Ground, p Protocol, from, days int, seed uint64) (*Log, Gains) {
	t.Helper()
	stage, err := NewStage(rig, g, 2, 1)
	if err != nil {
		t.Fatal(err)
	}
	var rows []reading.Reading
	var staged []*Day
	rng, first := rand.New(rand.NewPCG(seed, 0)), 1
	for d := from; d < from+days; d++ {
		day := stage.Day(d)
		staged = append(staged, day)
		first = p.Run(day, rig, first, rng, func(r *reading.Reading) { rows = append(rows, *r) })
	}
	for i := 1; i < len(rows); i++ {
		if rows[i].UnixS < rows[i-1].UnixS {
			t.Fatalf("reading %d comes before the one before it", i)
		}
	}
	k := 0
	log, err := Collect(func(r *reading.Reading) error {
		if k == len(rows) {
			return io.EOF
		}
		*r, k = rows[k], k+1
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return log, Gained(staged)
}

// A panel that follows the sun passes the still heading every day and does not
// stay there: no season makes blocks of it.
func TestAPanelThatFollowsHasNoBlocks(t *testing.T) {
	closed, ground := closedRig(t)
	rig := &Rig{Season: closed.Season, Still: 180, SleepS: 900}
	for _, from := range []int{74, 166, 349} { // March, June, December
		log, _ := logOf(t, rig, ground, Protocol{RecordS: 60, Measure: ByCurrent}, from, 14, 1)
		r, err := Evaluate(context.Background(), rig, log, Question{})
		if err != nil || r.Method != LookingBack {
			t.Errorf("from day %d: %q, %v, %q", from, r.Method, err, r.Why)
		}
	}
}

// Half hours by turns are known for what they are without being told.
func TestBlocksAreKnown(t *testing.T) {
	closed, ground := closedRig(t)
	rig := &Rig{Season: closed.Season, Still: 180, SleepS: 900}
	log, truth := logOf(t, rig, ground, Protocol{BlockS: 1800, RecordS: 60, Measure: ByLight}, 160, 10, 1)
	r, err := Evaluate(context.Background(), rig, log, Question{})
	if err != nil || r.Method != Blocks {
		t.Fatalf("%q, %v, %q", r.Method, err, r.Why)
	}
	// Twice the half-width of a 95 % interval: all but one case in ten thousand.
	if half := r.Light.High - r.Light.Value; !(math.Abs(r.Light.Value-truth.Light) < 2*half) || half > 0.2 {
		t.Errorf("%.3f with %.3f to either side, true %.3f", r.Light.Value, half, truth.Light)
	}
}

// Looks may come as often as every minute or two, and none is left out for it.
func TestLooksMayComeOften(t *testing.T) {
	closed, ground := closedRig(t)
	rig := &Rig{Season: closed.Season, Still: 180, SleepS: 900}
	for _, every := range []float64{120, 200, 300} {
		log, truth := logOf(t, rig, ground, Protocol{EveryS: every, GapS: 5, RecordS: 20, Measure: ByLight}, 160, 5, 1)
		r, err := Evaluate(context.Background(), rig, log, Question{})
		if err != nil || r.Why != "" {
			t.Fatal(err, r.Why)
		}
		half := r.Light.High - r.Light.Value
		if !(math.Abs(r.Light.Value-truth.Light) < 2*half) || half > 0.03 || float64(r.Stops) < 0.4*float64(r.Pairs) {
			t.Errorf("every %g s: %.3f with %.3f to either side, true %.3f; %d stops of %d pairs", every, r.Light.Value, half, truth.Light, r.Stops, r.Pairs)
		}
	}
}

// The second sensor's zero is taken off like the first's.
func TestTheStillOnesZeroIsTakenOff(t *testing.T) {
	closed, ground := closedRig(t)
	rig := &Rig{Season: closed.Season, Still: 180, SleepS: 900}
	log, truth := logOf(t, rig, ground, Protocol{RecordS: 60, Measure: ByLight, Beside: true}, 160, 10, 1)
	s := log.Setups[0]
	for i := range s.minutes {
		s.minutes[i].stillA += 0.01 // 5 % of full sun
	}
	for k := range 30 { // a night
		night := kept{unixS: s.FromS - 7200 + float64(60*k), headingDeg: 90, n: 1, figures: none}
		night.stillA, night.cellA = 0.01, 0
		s.minutes = append([]kept{night}, s.minutes...)
	}
	s.FromS -= 7200
	r, err := Evaluate(context.Background(), rig, log, Question{})
	if err != nil || r.Method != Beside {
		t.Fatalf("%q, %v, %q", r.Method, err, r.Why)
	}
	// Two points: the alignment's half, and the two cells see clouds alike.
	if math.Abs(r.TheseDays.Value-truth.Light) > 0.02 {
		t.Errorf("%.3f, true %.3f", r.TheseDays.Value, truth.Light)
	}
}

// A minute whose rows measure different things keeps them all.
func TestAMinuteJoinsWhatItsRowsHave(t *testing.T) {
	rows := []reading.Reading{}
	for k := range 6 {
		r := reading.Empty()
		r.UnixS = 1.75e9 - math.Mod(1.75e9, 60) + float64(k)
		if k%2 == 0 {
			r.PanelA = float64(1 + k)
		} else {
			r.BatteryV = 13
		}
		rows = append(rows, r)
	}
	k := 0
	log, err := Collect(func(r *reading.Reading) error {
		if k == len(rows) {
			return io.EOF
		}
		*r, k = rows[k], k+1
		return nil
	})
	if err != nil || len(log.Setups) != 1 || len(log.Setups[0].minutes) != 1 {
		t.Fatal(err, log.Setups)
	}
	if m := log.Setups[0].minutes[0]; m.panelA != 3 || m.batteryV != 13 {
		t.Errorf("%+v", m)
	}
}
