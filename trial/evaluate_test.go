package trial

import (
	"context"
	"io"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/reading"
	"turnsole/season"
	"turnsole/stand"
)

// someRig is a plain rig in the middle latitudes.
func someRig(t testing.TB) *Rig {
	t.Helper()
	diode, _, err := panel.Fit(panel.Label{PowerW: 60})
	if err != nil {
		t.Fatal(err)
	}
	charger, err := battery.ChargerNamed("mppt")
	if err != nil {
		t.Fatal(err)
	}
	chemistry, err := battery.ChemistryNamed("lifepo4")
	if err != nil {
		t.Fatal(err)
	}
	spot := place.Spot{Latitude: 48, Longitude: 8, AltitudeM: 300}
	for m := range spot.Albedo {
		spot.Albedo[m] = 0.2
	}
	return &Rig{Still: compass.South, SleepS: 900, CellFullA: 0.2, Season: season.Rig{
		Spot: spot, Glass: plane.DefaultGlass(), Diode: diode, Warmth: panel.OpenRack(),
		Battery: battery.System{Charger: charger, Battery: battery.New(chemistry, 512)},
		Stand:   stand.Stand{Tilt: 40, Highest: 90},
	}}
}

// firstNight is the Unix time of a midnight, by the sun of someRig or nearly so.
func firstNight() int64 { return time.Date(2026, 6, 1, 23, 28, 0, 0, time.UTC).Unix() }

// someDay is a day of light that comes and goes with the sun: the panel turned
// gets some share more than the one that keeps still, away from noon.
func someDay(rig *Rig, number int64, more float64, rng *rand.Rand) *Day {
	d := &Day{Date: firstNight() + number*86400, FirstS: 5 * 3600, StepS: 5}
	cloud := 0.7
	for second := d.FirstS; second < 19*3600; second += d.StepS {
		hour := second / 3600
		cloud = min(1, max(0.2, cloud+0.02*rng.NormFloat64()))
		still := 800 * cloud * max(0, math.Sin((hour-5)/14*math.Pi))
		aimed := still * (1 + more*math.Abs(hour-12)/3.5)
		d.AimedDeg = append(d.AimedDeg, float32(180+(hour-12)*18))
		d.AimedWm2, d.StillWm2 = append(d.AimedWm2, float32(aimed)), append(d.StillWm2, float32(still))
		d.AimedC, d.StillC = append(d.AimedC, float32(15+0.03*aimed)), append(d.StillC, float32(15+0.03*still))
	}
	d.AimedFree, d.StillFree = d.AimedWm2, d.StillWm2
	return d
}

// aLog runs a protocol through days and collects what it hands out.
func aLog(t testing.TB, rig *Rig, p Protocol, days []*Day, seed uint64) *Log {
	t.Helper()
	return collected(t, theReadings(rig, p, days, seed))
}

func theReadings(rig *Rig, p Protocol, days []*Day, seed uint64) (rows []reading.Reading) {
	rng, next := rand.New(rand.NewPCG(seed, 0)), 1
	for _, d := range days {
		next = p.Run(d, rig, next, rng, func(r *reading.Reading) { rows = append(rows, *r) })
	}
	return rows
}

func collected(t testing.TB, rows []reading.Reading) *Log {
	t.Helper()
	l, err := Collect(from(rows))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// from hands out rows one by one.
func from(rows []reading.Reading) func(*reading.Reading) error {
	i := 0
	return func(r *reading.Reading) error {
		if i == len(rows) {
			return io.EOF
		}
		*r = rows[i]
		i++
		return nil
	}
}

func someDays(rig *Rig, n int, more float64, seed uint64) (days []*Day) {
	rng := rand.New(rand.NewPCG(seed, 1))
	for k := range n {
		days = append(days, someDay(rig, int64(k), more, rng))
	}
	return days
}

func evaluate(t testing.TB, rig *Rig, l *Log, q Question) *Result {
	t.Helper()
	if q.Replicates == 0 {
		q.Replicates = 200
	}
	r, err := Evaluate(context.Background(), rig, l, q)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

var plainLooks = Protocol{EveryS: 900, GapS: 10, RecordS: 60, Measure: ByLight}

// TestKnownGain: clouds wander by 2 % in 5 s; a week of looks without noise
// tells the gain to a point, three of its own standard errors.
func TestKnownGain(t *testing.T) {
	rig := someRig(t)
	days := someDays(rig, 7, 0.4, 3)
	truth := Gained(days).Light
	for _, method := range []string{Assisted, Plain} {
		r := evaluate(t, rig, aLog(t, rig, plainLooks, days, 5), Question{Method: method})
		if off := math.Abs(r.Light.Value - truth); r.Why != "" || !(off < 0.01) || !(off < 3*r.SE) {
			t.Errorf("%s: %+v, true %.4f, error %.4f, %s", method, r.Light, truth, r.SE, r.Why)
		}
		if len(r.Daily) != 7 || r.Days != 7 || math.IsNaN(r.Season.Low) {
			t.Errorf("%s: %d days, season %+v", method, len(r.Daily), r.Season)
		}
	}
}

// TestNothingGained: a panel that gets the same at both headings. The angles
// foretell a gain; the looks must overrule them.
func TestNothingGained(t *testing.T) {
	rig := someRig(t)
	held, n := 0, 40
	for seed := range n {
		days := someDays(rig, 5, 0, uint64(seed))
		r := evaluate(t, rig, aLog(t, rig, plainLooks, days, uint64(seed)), Question{Method: Plain})
		if r.Light.Low <= 0 && 0 <= r.Light.High {
			held++
		}
	}
	if held < 33 { // of 40 at 95 %: fewer come once in 2000 times
		t.Errorf("%d of %d intervals of the plain looks hold 0", held, n)
	}
}

// TestSameSeedSameResult: not a bit differs.
func TestSameSeedSameResult(t *testing.T) {
	rig := someRig(t)
	rows := theReadings(rig, Protocol{EveryS: 900, GapS: 20, RecordS: 60, Measure: ByPower, Volts: true}, someDays(rig, 6, 0.3, 8), 2)
	first := evaluate(t, rig, collected(t, rows), Question{Seed: 4})
	for range 5 {
		again := evaluate(t, rig, collected(t, rows), Question{Seed: 4})
		if first.Why != again.Why || first.Light != again.Light || first.Energy != again.Energy || first.Season != again.Season || first.Modelled != again.Modelled || !reflect.DeepEqual(first.ByHour, again.ByHour) {
			t.Fatalf("the same log came to %+v and then to %+v", first, again)
		}
	}
	if other := evaluate(t, rig, collected(t, rows), Question{Seed: 5}); other.Season == first.Season || other.Light != first.Light {
		t.Errorf("another seed draws other days, and nothing else: %+v and %+v", other, first)
	}
}

// TestBadLogs says plainly what is wrong, and gives no number.
func TestBadLogs(t *testing.T) {
	rig := someRig(t)
	days := someDays(rig, 3, 0.3, 1)
	byPower := Protocol{EveryS: 900, GapS: 10, RecordS: 60, Measure: ByPower, Volts: true}
	clipped := byPower
	clipped.TakesW = func(*Day, float64) float64 { return 1 }
	change := func(rows []reading.Reading, do func(*reading.Reading)) []reading.Reading {
		for i := range rows {
			do(&rows[i])
		}
		return rows
	}
	two := theReadings(rig, byPower, days, 1)
	for _, r := range theReadings(rig, byPower, days, 1) {
		r.PanelA *= 0.4
		two = append(two, r)
	}
	for _, c := range []struct {
		name, why string
		rows      []reading.Reading
	}{
		{"empty", "no reading", nil},
		{"dark", "dark", change(theReadings(rig, byPower, days, 1), func(r *reading.Reading) { r.PanelA = 0 })},
		{"by night only", "sun was down", change(theReadings(rig, byPower, days, 1), func(r *reading.Reading) { r.UnixS += 43200 })},
		{"clipped only", "did not take", theReadings(rig, clipped, days, 1)},
		{"another panel", "another panel", change(theReadings(rig, byPower, days, 1), func(r *reading.Reading) { r.PanelA *= 5 })},
		{"milliamperes", "milliamperes", change(theReadings(rig, byPower, days, 1), func(r *reading.Reading) { r.PanelA *= 1000 })},
		{"another place", "another place", change(theReadings(rig, byPower, days, 1), func(r *reading.Reading) { r.UnixS += 5 * 3600 })},
		{"two rigs", "two rigs", inTime(two)},
		{"nothing measured", "neither", change(theReadings(rig, byPower, days, 1), func(r *reading.Reading) {
			r.PanelA, r.PanelV, r.BatteryV = math.NaN(), math.NaN(), 13
		})},
		{"three looks", "too few", theReadings(rig, byPower, days, 1)[:40]},
	} {
		r := evaluate(t, rig, collected(t, c.rows), Question{})
		if !strings.Contains(r.Why, c.why) || !math.IsNaN(r.TheseDays.Value) || !math.IsNaN(r.Light.Low) {
			t.Errorf("%s: %q, must tell of %q and give no number (%v)", c.name, r.Why, c.why, r.TheseDays)
		}
	}
}

// TestQuestionsRefused: what is wrong with the question is an error.
func TestQuestionsRefused(t *testing.T) {
	rig := someRig(t)
	l := aLog(t, rig, plainLooks, someDays(rig, 3, 0.3, 1), 1)
	for name, q := range map[string]Question{
		"confidence": {Confidence: 1.5}, "replicates": {Replicates: 5}, "set-up": {Setup: "none such"}, "method": {Method: "guessing"},
	} {
		if _, err := Evaluate(context.Background(), rig, l, q); err == nil {
			t.Errorf("a wrong %s is taken", name)
		}
	}
	asleep := *rig
	asleep.SleepS = 0
	if _, err := Evaluate(context.Background(), &asleep, l, Question{}); err == nil {
		t.Error("a rig that never sleeps is taken")
	}
}

// TestMoreConfidenceIsWider, about the same middle.
func TestMoreConfidenceIsWider(t *testing.T) {
	rig := someRig(t)
	l := aLog(t, rig, plainLooks, someDays(rig, 5, 0.3, 1), 1)
	low, high := evaluate(t, rig, l, Question{Confidence: 0.5}), evaluate(t, rig, l, Question{Confidence: 0.99})
	if low.Light.Value != high.Light.Value || !(high.Light.Low < low.Light.Low && low.Light.High < high.Light.High) {
		t.Errorf("50 %%: %+v, 99 %%: %+v", low.Light, high.Light)
	}
}

func inTime(rows []reading.Reading) []reading.Reading {
	sorted := append([]reading.Reading(nil), rows...)
	sortRows(sorted)
	return sorted
}
