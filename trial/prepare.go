package trial

import (
	"math"
	"slices"

	"turnsole/compass"
	"turnsole/hindsight"
	"turnsole/reading"
)

// matter is a set-up's readings as light on the panel, ready to be estimated
// from.
type matter struct {
	rig     *Rig
	panel   *hindsight.Panel
	setup   *Setup
	measure Measure
	scene   *hindsight.Scene
	cellC   []float64           // of each of the set-up's minutes, where power is the measure
	at      []hindsight.Instant // of each of the set-up's minutes
	still   hindsight.Face
	spells  []*spell
	excluded
	fullA       float64 // the panel's, in full sun
	volts       volts
	knowsVolts  bool    // the log has volts that tell when the charger does not take all
	unclear     bool    // the cell's full sun is not known and could not be told by a clear sky
	stillDeg    float64 // heading of the looks at still
	scale       float64 // W/m2 for one unit of the measure, but for power
	scaleWithin float64 // standard deviation of what scale is wrong by, a share
	inBlocks    bool    // no looks: aimed and still by turns
	raw         sums    // all pairs as they were, free or not
	nights      []nightZero
	zeroA       float64 // median offset of the sensor at night, NaN where it was not seen
}

// excluded counts what had no part in the estimate.
type excluded struct {
	Lone    int // looks without their other half
	Night   int // pairs under a sun below the horizon
	Idle    int // pairs while the charger took nothing
	Limited int // pairs while the charger did not take all

	RecordLimited, RecordAway, RecordFar int // minutes of the record: while the charger did not take all, around looks, far from any
	Bare                                 int // days of looks without a record, where others have one
}

// prepare brings a set-up's readings to light. It leaves the spells empty where
// there are no pairs.
func prepare(rig *Rig, s *Setup, m Measure) (*matter, error) {
	return prepareFor(rig, rig.panel(), s, m)
}

// prepareFor is prepare with a panel that is at hand: to lay one out takes
// longer than a day's readings.
func prepareFor(rig *Rig, panel *hindsight.Panel, s *Setup, m Measure) (*matter, error) {
	spot, tilt := rig.Season.Spot, rig.Season.Stand.Tilt
	if !math.IsNaN(s.TiltDeg) {
		tilt = compass.Angle(s.TiltDeg)
	}
	scene, err := hindsight.NewScene(spot, rig.Season.Turbidity, rig.Season.Glass, s.FromS-86400, s.ToS+86400)
	if err != nil {
		return nil, err
	}
	s = s.unlabelled()
	x := &matter{rig: rig, panel: panel, setup: s, measure: m, scene: scene, stillDeg: float64(rig.Still), zeroA: math.NaN()}
	for i := range s.minutes {
		x.at = append(x.at, scene.At(s.minutes[i].unixS))
	}
	x.fullA, _ = rig.fullA()
	x.layVolts()
	x.knowsVolts = x.logsVolts()
	x.findStill()
	x.still = scene.Face(compass.Angle(x.stillDeg), tilt)
	x.findZero()
	x.findScale()
	x.warmRecord()
	x.pairUp(x.looksOf())
	x.addRecord()
	usual := spacing(x.spells)
	for _, sp := range x.spells {
		sp.spacingS = usual
		if n := len(sp.minutes); len(sp.stops) > 0 {
			sp.parcel()
			x.RecordFar += n - len(sp.minutes)
		}
		sp.settle()
	}
	return x, nil
}

// findStill takes the still heading from the looks that name one.
func (x *matter) findStill() {
	var off []float64 // from the rig's own
	for i := range x.setup.looks {
		if l := &x.setup.looks[i]; l.kind == reading.StillLook && !math.IsNaN(l.headingDeg) {
			off = append(off, float64(compass.Turn(x.rig.Still, compass.Angle(l.headingDeg))))
		}
	}
	if len(off) > 0 {
		slices.Sort(off)
		x.stillDeg = float64((x.rig.Still + compass.Angle(off[len(off)/2])).Azimuth())
	}
}

// nightZero is what the current sensor showed in one night.
type nightZero struct{ unixS, zeroA float64 }

// findZero reads the sensor's offset off the nights.
func (x *matter) findZero() {
	byNight := map[int64][]float64{}
	for i := range x.setup.minutes {
		k := &x.setup.minutes[i]
		a := k.panelA
		if x.measure == ByLight {
			a = k.cellA
		}
		if x.at[i].Sun.Up < nightUp && !math.IsNaN(a) {
			night := x.solarDay(k.unixS + 43200)
			byNight[night] = append(byNight[night], a)
		}
	}
	var all []float64
	for night, as := range byNight {
		if len(as) >= leastNight {
			slices.Sort(as)
			zero := as[len(as)/2]
			x.nights = append(x.nights, nightZero{float64(night)*86400 - x.eastS(), zero})
			all = append(all, zero)
		}
	}
	slices.SortFunc(x.nights, func(a, b nightZero) int { return sign(a.unixS - b.unixS) })
	if len(all) > 0 {
		slices.Sort(all)
		x.zeroA = all[len(all)/2]
	}
}

// leastNight is how many readings of a night tell a sensor's zero.
const leastNight = 5

// nightUp is the sine of 6 degrees below the horizon: no light that a panel
// shows.
const nightUp = -0.1045

// zeroAt is the sensor's offset at an instant, between the nights around it.
func (x *matter) zeroAt(unixS float64) float64 {
	n := x.nights
	if len(n) == 0 {
		return 0
	}
	i, _ := slices.BinarySearchFunc(n, unixS, func(z nightZero, t float64) int { return sign(z.unixS - t) })
	switch {
	case i == 0:
		return n[0].zeroA
	case i == len(n):
		return n[len(n)-1].zeroA
	}
	share := (unixS - n[i-1].unixS) / (n[i].unixS - n[i-1].unixS)
	return n[i-1].zeroA + share*(n[i].zeroA-n[i-1].zeroA)
}

// eastS is how far ahead of Greenwich the spot's sun is, s.
func (x *matter) eastS() float64 { return 240 * float64(x.rig.Season.Spot.Longitude) }

// solarDay is the day by the spot's own sun, counted from 1970.
func (x *matter) solarDay(unixS float64) int64 { return int64(math.Floor((unixS + x.eastS()) / 86400)) }

// value is a reading's measure without the sensor's offset.
func (x *matter) value(f *figures, unixS float64) float64 {
	zero := x.zeroAt(unixS)
	switch x.measure {
	case ByLight:
		return f.cellA - zero
	case ByPower:
		return f.panelW - zero*f.panelV
	}
	return f.panelA - zero
}

// findScale finds the light that one unit of the measure stands for. A cell
// whose full-sun current is not known is held against a clear sky: only the
// warmth of the panel's cells rests on that.
func (x *matter) findScale() {
	x.scale = 1000 / x.fullA
	if x.measure != ByLight {
		x.scaleWithin = panelWithin
		return
	}
	if a := x.rig.CellFullA; a > 0 {
		x.scale, x.scaleWithin = 1000/a, panelWithin
		return
	}
	var ratios []float64
	note := func(at *hindsight.Instant, headingDeg float64, f *figures) {
		if at.Sun.Up > 0.26 {
			_, clear := x.scene.Light(at, x.aimedFace(at, headingDeg), at.Clear.DNI, at.Clear.DHI)
			if v := x.value(f, at.UnixS); !math.IsNaN(v) {
				ratios = append(ratios, v/clear)
			}
		}
	}
	for i := range x.setup.looks {
		if l := &x.setup.looks[i]; l.kind == reading.AimedLook {
			at := x.scene.At(l.unixS)
			note(&at, l.headingDeg, &l.figures)
		}
	}
	if len(x.setup.looks) == 0 {
		for i := range x.setup.minutes {
			k := &x.setup.minutes[i]
			note(&x.at[i], k.headingDeg, &k.figures)
		}
	}
	if len(ratios) > 0 {
		slices.Sort(ratios)
		top, next := ratios[len(ratios)*9/10], ratios[len(ratios)*3/4]
		if top > 0 {
			x.scale, x.scaleWithin = 1/top, cellWithin
			switch {
			case len(x.setup.looks) == 0:
				x.unclear = next < 0.85*top
			case !x.sawBeam():
				x.unclear = true
				x.scale *= dullest
			}
			if x.unclear {
				x.scaleWithin = unclearWithin
			}
		}
	}
}

// dullest is what a sky without beam lets through of a clear one's light on an
// aimed face, at its brightest (common practice, no source).
const dullest = 0.35

// sawBeam reports whether one pair of looks in twenty, of those that could tell,
// shows more sun than even sky.
func (x *matter) sawBeam() bool {
	told, beam := 0, 0
	for i := 1; i < len(x.setup.looks); i++ {
		a, s := &x.setup.looks[i-1], &x.setup.looks[i]
		if a.kind == s.kind || s.unixS-a.unixS > mostBracketS {
			continue
		}
		if a.kind == reading.StillLook {
			a, s = s, a
		}
		if c := x.sharesAt(s.unixS, a.headingDeg); c.fromSun < 0.8 {
			told++
			if x.value(&s.figures, s.unixS) < (1+c.fromSun)/2*x.value(&a.figures, a.unixS) {
				beam++
			}
		}
	}
	return told == 0 || 20*beam > told
}

// What the light of a unit may be wrong by: a panel's rating with dirt and the
// sensor's gain; a cell held against a clear sky; a cell that saw none. (Common
// practice, no source.)
const (
	panelWithin   = 0.04
	cellWithin    = 0.06
	unclearWithin = 0.25
)

// aimedFace is where the panel looked: as told or, where no heading was logged,
// at the sun.
func (x *matter) aimedFace(at *hindsight.Instant, headingDeg float64) hindsight.Face {
	if math.IsNaN(headingDeg) {
		return x.still.Turned(at.Sun.Azimuth())
	}
	return x.still.Turned(compass.Angle(headingDeg))
}

// sharesAt carry the aimed face's light to the still one.
func (x *matter) sharesAt(unixS, aimedDeg float64) shares {
	at := x.scene.At(unixS)
	return x.sharesTo(&at, aimedDeg, x.still)
}

func (x *matter) sharesTo(at *hindsight.Instant, aimedDeg float64, still hindsight.Face) shares {
	aimedSun, aimedEven := x.scene.Shares(at, x.aimedFace(at, aimedDeg))
	stillSun, stillEven := x.scene.Shares(at, still)
	s := shares{evenAimed: aimedEven, evenStill: stillEven}
	if aimedSun > 0 {
		s.fromSun = stillSun / aimedSun
	}
	return s
}

// light is a measure's value as light that entered the panel, whose cells are
// so warm.
func (x *matter) light(p *hindsight.Panel, value, cellC float64) float64 {
	if x.measure == ByPower {
		return p.LightOfPower(max(value, 0), cellC)
	}
	return value * x.scale
}
