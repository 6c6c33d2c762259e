package trial

import (
	"math"
	"math/rand/v2"

	"turnsole/reading"
	"turnsole/sensor"
)

// Protocol is how a trial looks: what the controller does at the panel.
type Protocol struct {
	EveryS   float64 // between two brackets of looks, 60..86400; 0 for none
	GapS     float64 // from look to look within a bracket: the turn, and what the charger needs to settle
	RecordS  float64 // between two readings of the record, 0 for none
	BlockS   float64 // aimed and still by turns for so long each, in random order; 0 for none
	Measure  Measure
	Beside   bool    // a second panel, or cell, that keeps still
	WanderBy float64 // standard deviation of what a tracker strays by from look to look, as a share

	Sensor  sensor.Current
	Faults  sensor.Faults
	ZeroedS float64 // Unix time at which the sensor was zeroed, from which it drifts
	CellA   float64 // the reference cell's current in full sun; 0 means usualCellA
	Volts   bool    // the panel's voltage is logged

	// TakesW is the most that the charger takes at a second of a day, for
	// batteries that fill; nil for no limit.
	TakesW func(day *Day, second float64) float64
}

// Run runs the protocol through a day and hands the readings out in order. Each
// day draws its own phase. Pairs are numbered on from first; the number after
// the last is returned.
func (p *Protocol) Run(d *Day, r *Rig, first int, rng *rand.Rand, out func(*reading.Reading)) (next int) {
	t := &turn{p: p, d: d, r: r, rng: rng, out: out, first: first}
	t.fullA, _ = r.fullA()
	n := len(d.AimedWm2)
	if n == 0 {
		return first
	}
	from, to := d.FirstS, d.FirstS+float64(n-1)*d.StepS
	lookAt, recordAt := math.Inf(1), math.Inf(1)
	if p.EveryS > 0 {
		lookAt = from + rng.Float64()*p.EveryS
	}
	if p.RecordS > 0 {
		recordAt = from + p.RecordS/2
	}
	for at := min(lookAt, recordAt); at <= to; at = min(lookAt, recordAt) {
		if lookAt <= recordAt {
			t.bracket(lookAt)
			lookAt += p.EveryS
			continue
		}
		t.record(recordAt)
		recordAt += p.RecordS
	}
	return t.first
}

// turn is a protocol under way.
type turn struct {
	p     *Protocol
	d     *Day
	r     *Rig
	rng   *rand.Rand
	out   func(*reading.Reading)
	first int
	fullA float64
	busyS float64 // the panel is away for a look until then
	block int64
	still bool // the block's heading
}

// bracket looks at the aim, at still, and at the aim; or the other way about.
func (t *turn) bracket(second float64) {
	if t.index(second) < 0 || t.d.AimedWm2[t.index(second)] < dimmestWm2 {
		return
	}
	kinds := [3]reading.Look{reading.AimedLook, reading.StillLook, reading.AimedLook}
	if t.rng.IntN(2) == 1 {
		kinds = [3]reading.Look{reading.StillLook, reading.AimedLook, reading.StillLook}
	}
	for k, kind := range kinds {
		at := second + float64(k)*t.p.GapS
		if i := t.index(at); i >= 0 {
			r := t.read(at, i, kind == reading.StillLook, float64(t.d.AimedWm2[i]), float64(t.d.StillWm2[i]))
			r.Look, r.Pair = kind, t.first
			t.out(&r)
		}
	}
	t.busyS = second + 3*t.p.GapS
	t.first++
}

// usualCellA is a small reference cell's current in full sun (common practice, no
// source).
const usualCellA = 0.2

// dimmestWm2 is the light below which no look is taken.
const dimmestWm2 = 10

// record writes an unlabelled reading: of the mean since the last.
func (t *turn) record(second float64) {
	if second < t.busyS {
		return
	}
	still := t.blockStill(second)
	from, to := max(0, t.index(second-t.p.RecordS/2)), t.index(second+t.p.RecordS/2)
	if to < 0 {
		to = len(t.d.AimedWm2) - 1
	}
	var aimed, rest float64
	for k := from; k <= to; k++ {
		aimed, rest = aimed+float64(t.d.AimedWm2[k]), rest+float64(t.d.StillWm2[k])
	}
	n := float64(to - from + 1)
	r := t.read(second, t.index(second), still, aimed/n, rest/n)
	t.out(&r)
}

// blockStill is where the panel stands where a trial goes by blocks: each two
// of them in random order.
func (t *turn) blockStill(second float64) bool {
	if t.p.BlockS <= 0 {
		return false
	}
	block := int64(math.Floor((float64(t.d.Date) + second) / t.p.BlockS))
	if block == t.block {
		return t.still
	}
	if t.block = block; block%2 == 0 {
		t.still = t.rng.IntN(2) == 0
	} else {
		t.still = !t.still
	}
	return t.still
}

func (t *turn) index(second float64) int {
	i := int(math.Floor((second-t.d.FirstS)/t.d.StepS + 0.5))
	if i < 0 || i >= len(t.d.AimedWm2) {
		return -1
	}
	return i
}

// read is what the sensors show at step i under some light, with the panel as it
// is aimed or turned to still for a moment, its cells then as warm as at the aim.
func (t *turn) read(second float64, i int, still bool, aimedWm2, stillWm2 float64) reading.Reading {
	r := reading.Empty()
	r.UnixS = float64(t.d.Date) + second
	wm2, heading := aimedWm2, float64(t.d.AimedDeg[i])
	if still {
		wm2, heading = stillWm2, float64(t.r.Still)
	}
	r.HeadingDeg = heading
	cellA := t.p.CellA
	if cellA == 0 {
		cellA = usualCellA
	}
	if t.p.Beside {
		r.StillA = t.beside(i, stillWm2, cellA, second)
	}
	if t.p.Measure == ByLight {
		r.CellA = t.sense(wm2/1000*cellA, cellA, second)
		return r
	}
	volts, amps := t.work(wm2, float64(t.d.AimedC[i]), second)
	if t.p.WanderBy > 0 {
		amps *= 1 + t.p.WanderBy*t.rng.NormFloat64()
	}
	r.PanelA = t.sense(amps, t.fullA, second)
	if t.p.Volts || t.p.Measure == ByPower {
		r.PanelV = math.Round(volts*100) / 100
	}
	return r
}

// beside is what a second one like the first shows that keeps still.
func (t *turn) beside(i int, wm2, cellA, second float64) float64 {
	if t.p.Measure == ByLight {
		return t.sense(wm2/1000*cellA, cellA, second)
	}
	_, amps := t.work(wm2, float64(t.d.StillC[i]), second)
	return t.sense(amps, t.fullA, second)
}

// sense reads a current; a cell's is amplified to the sensor's range.
func (t *turn) sense(trueA, fullA, second float64) float64 {
	s := &t.p.Sensor
	if s.Bits == 0 {
		return trueA
	}
	gain := 1.0
	if fullA < 0.5*s.RangeA {
		gain = 0.5 * s.RangeA / fullA
	}
	return s.Read(trueA*gain, &t.p.Faults, (float64(t.d.Date)+second-t.p.ZeroedS)/86400, t.rng) / gain
}

// work is where the panel works: held by the battery, or at its best unless the
// charger takes less.
func (t *turn) work(wm2, cellC, second float64) (volts, amps float64) {
	diode := &t.r.Season.Diode
	most := math.Inf(1)
	if t.p.TakesW != nil {
		most = t.p.TakesW(t.d, second)
	}
	if t.r.held() {
		low, high := t.r.Season.Battery.PinnedV()
		volts = (low + high) / 2
		return volts, min(diode.CurrentA(volts, wm2, cellC), most/volts)
	}
	volts, amps = diode.MaximumPower(wm2, cellC)
	if volts*amps <= most {
		return volts, amps
	}
	high := diode.OpenCircuitV(wm2, cellC)
	for range 20 { // to a millionth of the way
		mid := (volts + high) / 2
		if mid*diode.CurrentA(mid, wm2, cellC) > most {
			volts = mid
		} else {
			high = mid
		}
	}
	return volts, diode.CurrentA(volts, wm2, cellC)
}
