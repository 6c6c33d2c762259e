package trial

import (
	"math"

	"turnsole/compass"
	"turnsole/hindsight"
	"turnsole/plane"
)

// past looks back from the aimed record to the sky, and from the sky to the
// still panel: the gain that the sky model makes of it, with the light of each.
func (x *matter) past(scene *hindsight.Scene, scale float64, turned, tilted compass.Angle) (gain float64, aimed, still []float64) {
	var log hindsight.Log
	var seconds []float64
	_, tilt := x.faces()
	for _, sp := range x.spells {
		k := 0
		sp.lit(func(unixS, headingDeg, wm2, s float64) {
			at := sp.instant(k, scene, unixS)
			k++
			if math.IsNaN(headingDeg) {
				headingDeg = float64(at.Sun.Azimuth())
			}
			log.At = append(log.At, at)
			log.HeadingDeg = append(log.HeadingDeg, float32(headingDeg+float64(turned)))
			log.TiltDeg = append(log.TiltDeg, float32(tilt+tilted))
			log.EnteredWm2 = append(log.EnteredWm2, wm2*scale)
			seconds = append(seconds, s)
		})
	}
	log.MeanS = 60
	past, err := scene.LookBack(log)
	if err != nil || len(seconds) == 0 {
		return math.NaN(), nil, nil
	}
	still = make([]float64, len(seconds))
	past.Still(compass.Angle(x.stillDeg), tilt+tilted, still)
	var a, s float64
	for i, w := range seconds {
		if v := still[i]; !math.IsNaN(v) {
			a, s = a+log.EnteredWm2[i]*w, s+v*w
		}
	}
	return a/s - 1, log.EnteredWm2, still
}

// faces are the still heading and the tilt.
func (x *matter) faces() (still, tilt compass.Angle) {
	tilt = x.rig.Season.Stand.Tilt
	if !math.IsNaN(x.setup.TiltDeg) {
		tilt = compass.Angle(x.setup.TiltDeg)
	}
	return compass.Angle(x.stillDeg), tilt
}

// lit goes through a spell's light at the aim: the record or, without one, the
// looks.
func (sp *spell) lit(do func(unixS, headingDeg, wm2, seconds float64)) {
	for i := range sp.minutes {
		m := &sp.minutes[i]
		do(m.unixS, m.headingDeg, m.aimed, m.seconds)
	}
	if len(sp.minutes) > 0 {
		return
	}
	for i := range sp.stops {
		s := &sp.stops[i]
		for k := range s.visits {
			do(s.visits[k].unixS, s.visits[k].aimedDeg, s.visits[k].aimed, s.byItself/float64(len(s.visits)))
		}
	}
}

// instant is the k-th that lit goes through.
func (sp *spell) instant(k int, scene *hindsight.Scene, unixS float64) hindsight.Instant {
	if k < len(sp.minutes) {
		return *sp.minutes[k].at
	}
	return scene.At(unixS)
}

// modelled is the gain that the sky model makes of the aimed light, and the
// standard deviation of what it is wrong by.
func (x *matter) modelled() (gain, within float64) {
	gain, _, _ = x.past(x.scene, 1, 0, 0)
	scale := (x.with(1+x.scaleWithin, 0, 0) - x.with(1-x.scaleWithin, 0, 0)) / 2
	return gain, math.Sqrt(sq(skyWithin) + sq(skyPerDay)/float64(max(1, len(x.spells))) + sq(scale))
}

// What may be wrong when only a model tells the still panel, one standard
// deviation each (common practice, no source, but for the sky model's, which is
// what the checks "Looking back" find).
const (
	albedoWithin = 0.08
	tiltWithin   = 1.0
	skyWithin    = 0.006 // points of gain (as a share of the still light), however long the log
	skyPerDay    = 0.02  // points of a single day's; less by the root of their number
)

// back answers without any design: from the aimed record alone. Its interval is
// what the model may be wrong by.
func (r *Result) back(x *matter, q *Question) error {
	r.Method = LookingBack
	if !x.logsHeading() {
		r.Why = "the log has no looks and no heading_deg: where the panel looked is not known, and so not what it would have got at rest"
		return nil
	}
	x.spells = x.record()
	gain, _, _ := x.past(x.scene, 1, 0, 0)
	var hours float64
	for _, sp := range x.spells {
		for i := range sp.minutes {
			hours += sp.minutes[i].seconds / 3600
		}
	}
	if r.Days, r.Hours = len(x.spells), hours; math.IsNaN(gain) || hours < 4 {
		r.Why = "too little light is on record to look back from"
		return nil
	}
	days := float64(len(x.spells))
	variance := sq(skyWithin) + sq(skyPerDay)/days
	add := func(by float64) {
		if !math.IsNaN(by) {
			variance += sq(by)
		}
	}
	half := func(a, b float64) { add((a - b) / 2); add(((a+b)/2 - gain) * math.Sqrt2) }
	heading := max(x.rig.HeadingWithin, 2)
	half(x.with(1+x.scaleWithin, 0, 0), x.with(1-x.scaleWithin, 0, 0))
	half(x.with(1, heading, 0), x.with(1, -heading, 0))
	half(x.with(1, 0, tiltWithin), x.with(1, 0, -tiltWithin))
	if scene := x.onOtherGround(albedoWithin); scene != nil {
		changed, _, _ := x.past(scene, 1, 0, 0)
		add(changed - gain)
	}
	r.Modelled = gain
	r.TheseDays = spread(gain, variance, math.Inf(1), q.Confidence)
	r.Light, r.SE, r.Freedom = r.TheseDays, math.Sqrt(variance), math.Inf(1)
	r.Notes = append(r.Notes, "No look at the still heading is in this log: the gain is what a model of the sky makes of the turned panel's own record, and its interval what such a model may be wrong by. A trial with looks measures it.")
	return nil
}

func (x *matter) with(scale float64, turned, tilted compass.Angle) float64 {
	gain, _, _ := x.past(x.scene, scale, turned, tilted)
	return gain
}

// onOtherGround is the scene with brighter ground.
func (x *matter) onOtherGround(more float64) *hindsight.Scene {
	spot := x.rig.Season.Spot
	for m := range spot.Albedo {
		spot.Albedo[m] = min(1, spot.Albedo[m]+more)
	}
	var glass plane.Glass = x.rig.Season.Glass
	scene, err := hindsight.NewScene(spot, x.rig.Season.Turbidity, glass, x.setup.FromS-86400, x.setup.ToS+86400)
	if err != nil {
		return nil
	}
	return scene
}

func (x *matter) logsHeading() bool {
	for i := range x.setup.minutes {
		if !math.IsNaN(x.setup.minutes[i].headingDeg) {
			return true
		}
	}
	return false
}
