package trial

import (
	"math"
	"math/rand/v2"
	"testing"

	"turnsole/reading"
	"turnsole/sensor"
)

// TestProtocolLooks: three looks a bracket, the gap apart, of one number; every
// so often; and a record between that leaves them alone.
func TestProtocolLooks(t *testing.T) {
	rig := someRig(t)
	days := someDays(rig, 2, 0.3, 1)
	rows := theReadings(rig, Protocol{EveryS: 900, GapS: 20, RecordS: 60, Measure: ByLight}, days, 3)
	pairs := map[int][]reading.Reading{}
	last := math.Inf(-1)
	for _, r := range rows {
		if r.Look == reading.NoLook {
			continue
		}
		pairs[r.Pair] = append(pairs[r.Pair], r)
	}
	// Fourteen hours a day are 56 quarters; a few at dawn and dusk are too dark.
	if len(pairs) < 100 || len(pairs) > 112 {
		t.Errorf("%d brackets", len(pairs))
	}
	first := map[reading.Look]int{}
	for n, p := range pairs {
		if len(p) != 3 || p[0].Look != p[2].Look || p[0].Look == p[1].Look {
			t.Fatalf("bracket %d: %+v", n, p)
		}
		first[p[0].Look]++
		for k := range 2 {
			near(t, "gap", p[k+1].UnixS-p[k].UnixS, 20, 1e-6)
		}
	}
	if first[reading.AimedLook] < 20 || first[reading.StillLook] < 20 {
		t.Errorf("the order is not drawn: %v", first)
	}
	for _, r := range rows {
		if r.Look == reading.NoLook {
			if r.UnixS-last < 59 {
				t.Errorf("the record's readings lie %g s apart", r.UnixS-last)
			}
			last = r.UnixS
		}
	}
}

// TestProtocolReadsTheTruth: without a sensor's faults a look is the day's light.
func TestProtocolReadsTheTruth(t *testing.T) {
	rig := someRig(t)
	d := someDays(rig, 1, 0.3, 1)[0]
	for _, r := range theReadings(rig, plainLooks, []*Day{d}, 3) {
		i := int(math.Round((r.UnixS - float64(d.Date) - d.FirstS) / d.StepS))
		switch r.Look {
		case reading.AimedLook:
			near(t, "aimed", r.CellA, float64(d.AimedWm2[i])/1000*0.2, 1e-6)
		case reading.StillLook:
			near(t, "still", r.CellA, float64(d.StillWm2[i])/1000*0.2, 1e-6)
			near(t, "still heading", r.HeadingDeg, float64(rig.Still), rounding)
		}
	}
}

// TestProtocolBlocks: half of the time at each heading, and no look.
func TestProtocolBlocks(t *testing.T) {
	rig := someRig(t)
	still, all := 0, 0
	for _, r := range theReadings(rig, Protocol{RecordS: 60, BlockS: 1800, Measure: ByLight}, someDays(rig, 6, 0.3, 1), 3) {
		if all++; r.HeadingDeg == float64(rig.Still) {
			still++
		}
		if r.Look != reading.NoLook {
			t.Fatal("a look in blocks")
		}
	}
	// Of each two blocks one is still; at dawn and dusk they are cut.
	if share := float64(still) / float64(all); math.Abs(share-0.5) > 0.05 {
		t.Errorf("%.2f of the time at still", share)
	}
}

// TestProtocolLimits: a charger that takes little lets the volts rise.
func TestProtocolLimits(t *testing.T) {
	rig := someRig(t)
	p := Protocol{EveryS: 900, GapS: 10, Measure: ByPower, Volts: true, TakesW: func(*Day, float64) float64 { return 5 }}
	for _, r := range theReadings(rig, p, someDays(rig, 1, 0.3, 1), 3) {
		if w := r.PanelA * r.PanelV; w > 5.02 { // volts are logged to 0.01
			t.Fatalf("%.3f W, the charger takes 5", w)
		}
	}
}

func TestProtocolSensesZero(t *testing.T) {
	rig := someRig(t)
	p := plainLooks
	p.Sensor = sensor.Current{RangeA: 5, VPerA: 0.185, ZeroV: 2.5, NoiseA: 0.02, Bits: 10, ReferenceV: 5, Reads: 100}
	p.Faults.OffsetA = 0.5
	d := someDays(rig, 1, 0.3, 1)[0]
	for i := range d.AimedWm2 {
		d.AimedWm2[i] = 0
	}
	sum, n := 0.0, 0.0
	for _, r := range theReadings(rig, p, []*Day{d}, 3) {
		if r.Look == reading.NoLook {
			sum, n = sum+r.CellA, n+1
		}
	}
	// The cell's 0.2 A are 2.5 A at the sensor; noise is 2 mA a reading there.
	near(t, "offset", sum/n, 0.5*0.2/2.5, 0.01)
}

func TestProtocolDarkDay(t *testing.T) {
	rig, p := someRig(t), plainLooks
	if next := p.Run(&Day{StepS: 5}, rig, 7, rand.New(rand.NewPCG(1, 1)), func(*reading.Reading) { t.Error("a reading by night") }); next != 7 {
		t.Errorf("next pair %d", next)
	}
}
