package loop

import (
	"math"
	"math/rand/v2"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/panel"
	"turnsole/plane"
	"turnsole/sensor"
)

// truth is light, panel, charger and battery as they are. The policy sees none
// of it but through a sensor.
type truth struct {
	g      *Ground
	rig    *Rig
	faults *sensor.Faults
	seed   uint64

	heading plane.Heading
	slope   plane.Slope
	tilt    compass.Angle // that slope is for
	warmth  cell
	brief   briefDecay
	sunDeg  float64 // azimuth of the sun in the stretch that passed last

	eye        *Eye
	state      battery.State
	takesW     float64 // most that the charger takes from the panel just now
	perPanel   float64 // share of the panel's energy that it can deliver
	trackedA   float64 // current that the tracker has come to
	trackedAtS float64

	chance *rand.Rand
	source *rand.PCG
}

func newTruth(g *Ground, rig *Rig, in *Input) truth {
	t := truth{g: g, rig: rig, faults: &in.Faults, seed: in.Seed, eye: g.Eye(in.Seed, in.rate()), source: rand.NewPCG(in.Seed, 0)}
	t.chance = rand.New(t.source)
	t.warmth.decay = rig.Season.Warmth.Decay(g.slotS)
	t.state = rig.Season.Battery.Start()
	c := &rig.Season.Battery.Charger
	t.perPanel = c.Efficiency * c.TrackingShare
	if c.Kind == battery.PWM {
		low, high := rig.Season.Battery.PinnedV()
		t.perPanel = 1 - 2*c.DropV/(low+high)
	}
	t.takesW = t.wantsW(&battery.Input{CellC: float64(g.cells[0])}, 1)
	t.tilt = math.MaxFloat64
	return t
}

// face turns the panel to a true heading of its axis, degrees. A base that
// leans turns the panel's face with it.
func (t *truth) face(axisDeg float64) {
	heading, tilt := compass.Angle(axisDeg), t.rig.Season.Stand.Tilt+t.faults.TiltBy
	if lean := t.faults.LevelDeg; lean > 0 {
		heading, tilt = leant(heading, tilt, lean, t.faults.LevelToward)
	}
	t.heading = plane.NewHeading(heading)
	if tilt != t.tilt {
		t.slope, t.tilt = *t.g.light.Slope(tilt), tilt
	}
}

// leant is where a face looks when all it stands on leans toward a bearing: its
// normal turned about the level axis square to the bearing (Rodrigues).
func leant(heading, tilt, lean, toward compass.Angle) (compass.Angle, compass.Angle) {
	n := compass.Normal(heading, tilt)
	sinLean, cosLean := lean.Sin(), lean.Cos()
	east, north := toward.Sin(), toward.Cos()
	ahead := n.East*east + n.North*north // along the bearing
	aside := compass.Direction{East: n.East - ahead*east, North: n.North - ahead*north}
	tilted := ahead*cosLean + n.Up*sinLean
	up := n.Up*cosLean - ahead*sinLean
	out := compass.Direction{East: aside.East + tilted*east, North: aside.North + tilted*north, Up: up}
	return out.Azimuth(), 90 - out.Elevation()
}

// gain is what a stretch of time brings.
type gain struct{ lightWh, lowWh, highWh float64 }

// shine lets a stretch of step i pass, from one second of its slot to another,
// and returns what it brings. The panel's cells warm with it.
func (t *truth) shine(k int, i int32, fromS, toS float64) gain {
	g, l := t.g, t.g.light
	seconds := toS - fromS
	var lightWm2, entered float64
	decay := t.warmth.decay
	if seconds == g.slotS {
		lightWm2, entered = l.At(int(i), t.heading, &t.slope)
		t.sunDeg = l.AzimuthDeg[i]
	} else {
		m := l.Mean(int(i))
		m.East, m.North, m.Up = g.sunAt(k, i, (fromS+toS)/2/g.slotS-0.5)
		lightWm2, entered = l.AtMoment(int(i), &m, t.heading, &t.slope)
		t.sunDeg = azimuthDeg(m.East, m.North)
		decay = t.brief.of(&t.rig.Season.Warmth, seconds)
	}
	cellC := t.warmth.warm(&t.rig.Season.Warmth, l, int(i), lightWm2, decay)
	hours := seconds / 3600
	lowW := g.low(entered, cellC)
	out := gain{lightWh: lightWm2 * hours, lowWh: lowW * hours, highWh: lowW * hours}
	if g.pinned {
		out.highWh = g.high(entered, cellC) * hours
	}
	return out
}

// briefDecay remembers the last stretch's decay: rests and parts of a move come
// in runs of equal length.
type briefDecay struct{ seconds, decay float64 }

func (b *briefDecay) of(w *panel.Warmth, seconds float64) float64 {
	if seconds != b.seconds {
		b.seconds, b.decay = seconds, w.Decay(seconds)
	}
	return b.decay
}

func azimuthDeg(east, north float64) float64 {
	return float64(compass.Radians(math.Atan2(east, north)))
}

// glimpse is the light at one second.
type glimpse struct {
	lightWm2, enteredWm2 float64
	beamShare            float64 // of the light that two level sensors would get
	sunDeg, up           float64
}

// see returns the light at a second of the slot, clouds and the edge of the
// skyline as they are just then.
func (t *truth) see(k int, i int32, second float64) glimpse {
	e := t.eye
	e.look(k, i, second)
	out := glimpse{sunDeg: e.sunDeg, up: e.moment.Up}
	out.lightWm2, out.enteredWm2 = e.Light(t.heading, &t.slope)
	if whole := e.moment.BeamWm2 + e.dhiWm2; whole > 0 {
		out.beamShare = e.moment.BeamWm2 / whole
	}
	return out
}

// currentA is the panel's current under some light, as the charger draws it.
func (t *truth) currentA(i int32, enteredWm2 float64) float64 {
	if !(enteredWm2 > 0) || !(t.takesW > 0) {
		return 0
	}
	cellC := t.g.light.AirC[i] + t.warmth.aboveAirC
	if t.rig.Season.Battery.Charger.Kind == battery.PWM { // a switch that is on for a part of the time
		volts := t.chargingV()
		return min(t.rig.Season.Diode.CurrentA(volts, enteredWm2, cellC), t.takesW/volts)
	}
	if mostW := t.g.low(enteredWm2, cellC); mostW > t.takesW {
		return t.throttledA(enteredWm2, cellC, mostW)
	}
	return t.g.best.at(enteredWm2, cellC)
}

// throttledA is the current where not all is wanted: the charger lets the
// voltage rise towards open circuit, until no more flows than it takes.
func (t *truth) throttledA(enteredWm2, cellC, mostW float64) float64 {
	diode := &t.rig.Season.Diode
	most := diode.OpenCircuitV(enteredWm2, cellC)
	if t.takesW < 0.02*mostW { // as good as open
		return t.takesW / most
	}
	least, a := diode.MaximumPower(enteredWm2, cellC)
	for range 12 { // to 1/4096 of the way
		volts := (least + most) / 2
		if a = diode.CurrentA(volts, enteredWm2, cellC); a*volts > t.takesW {
			least = volts
		} else {
			most = volts
		}
	}
	return a
}

// chargingV is what a switch holds the panel at, as package battery has it.
func (t *truth) chargingV() float64 {
	b := &t.rig.Season.Battery.Battery
	volts := b.EmptyV + (b.KneeV-b.EmptyV)*t.state.Share/b.KneeShare
	if over := t.state.Share - b.KneeShare; over > 0 {
		volts = b.KneeV + (b.AbsorptionV-b.KneeV)*over/(1-b.KneeShare)
	}
	return volts*float64(b.Blocks) + t.rig.Season.Battery.Charger.DropV
}

// wanderS is how long a tracker stays about where it is (common practice, no
// source).
const wanderS = 8

// trackerA is the current as the tracker lets it flow: it comes to a new one
// after some seconds, and never quite stands still. now counts up all through
// the run.
func (t *truth) trackerA(trueA, now float64) float64 {
	if t.rig.Season.Battery.Charger.Kind == battery.PWM {
		return trueA
	}
	if t.rig.TrackerSettleS > 0 {
		left := math.Exp(-(now - t.trackedAtS) / t.rig.TrackerSettleS)
		t.trackedA, t.trackedAtS = trueA+(t.trackedA-trueA)*left, now
		trueA = t.trackedA
	}
	return max(0, trueA*(1+t.rig.TrackerWander*drifting(t.seed, wander, now/wanderS)))
}

// readA is the current as the sensor reads it.
func (t *truth) readA(trueA, now float64) float64 {
	t.source.Seed(t.seed, hash(t.seed, noise, int64(now*1000)))
	return t.rig.Sensor.Read(trueA, t.faults, now/86400, t.chance)
}

// eyesWideDeg is how far to the side the sun must stand for the shade to cover
// one of two light sensors.
const eyesWideDeg = 20

// eyes is the balance of two light sensors with a shade between them that look
// along the panel's heading: the beam shifts from one to the other as the sun
// goes from side to side, what is diffuse falls on both.
func (t *truth) eyes(s glimpse, now float64) float64 {
	side := float64(compass.Turn(t.heading.Azimuth, compass.Angle(s.sunDeg)))
	if math.Abs(side) > 90 { // behind them
		side = 0
	}
	lean := min(max(side/eyesWideDeg, -1), 1)
	// Half of a percent of noise, half of a percent that they differ by.
	read := -lean*s.beamShare + 0.005*bell(t.seed, eyesNoise, int64(now*10)) + 0.005
	return min(max(read, -1), 1)
}

// charge lets the battery live a stretch of hours, and sees what the charger
// will take in the next.
func (t *truth) charge(into *battery.Flow, in *battery.Input, hours float64) (ownShortWh float64) {
	before := into.OwnShortWh
	t.rig.Season.Battery.StepInto(into, &t.state, in, hours)
	t.takesW = t.wantsW(in, hours)
	return into.OwnShortWh - before
}

// wantsW is the most that the charge controller takes from the panel: what is
// drawn at once, what the battery accepts, and no more than its limits.
func (t *truth) wantsW(in *battery.Input, hours float64) float64 {
	s := &t.rig.Season.Battery
	b, c := &s.Battery, &s.Charger
	drawnW := (in.LoadWh + in.OwnWh) / hours
	outW := math.Inf(1)
	switch {
	case b.Endless:
	case t.state.Share >= 1:
		outW = drawnW
	case t.state.Share > b.KneeShare:
		accepts := b.TailC + (b.KneeC-b.TailC)*(1-t.state.Share)/(1-b.KneeShare)
		outW = drawnW + accepts*b.CapacityWh
	}
	if in.CellC < b.ColdLimitC {
		outW = drawnW
	}
	if c.MaxCurrentA > 0 {
		outW = min(outW, c.MaxCurrentA*b.KneeV*float64(b.Blocks))
	}
	takesW := outW / t.perPanel
	if c.InputLimitW > 0 {
		takesW = min(takesW, c.InputLimitW)
	}
	if s.Box != nil && s.Box.InputLimitW > 0 {
		takesW = min(takesW, s.Box.InputLimitW)
	}
	return takesW
}
