package loop

import (
	"math"

	"turnsole/compass"
)

// Trace is one day of a run for pictures: a point every minute and at the end
// of every command. Columns are equally long.
type Trace struct {
	Day int // of the calendar; set by the caller

	Hour      []float64 // after midnight by the weather's clock
	SunDeg    []float64 // true azimuth, 0..360; NaN while it is down
	WantDeg   []float64 // what the policy last asked for, in its own frame
	ToldDeg   []float64 // where the drive believes it stands, in the controller's frame
	FacesDeg  []float64 // where the panel points, true and unwrapped
	CurrentA  []float64 // true
	LightWm2  []float64 // on the panel at that second
	TurnedWm2 []float64 // mean of the step, turned exactly
	Awake     []bool
}

// drawMinutes draws the whole minutes of a stretch that is about to pass.
func (r *runner) drawMinutes(to float64, m mode) {
	if r.day != r.in.Trace.Day {
		return
	}
	for s := math.Floor(r.second/60+1) * 60; s < to; s += 60 {
		r.draw(s, m)
	}
}

// draw draws a point at a second of the slot that it is.
func (r *runner) draw(second float64, m mode) {
	t := r.in.Trace
	if r.day != t.Day {
		return
	}
	k, i := r.step()
	sunDeg, currentA, lightWm2, turned := math.NaN(), 0.0, 0.0, 0.0
	if i != dark {
		light := r.see(k, i, second-float64(r.slot)*r.g.slotS)
		currentA, lightWm2, turned = r.currentA(i, light.enteredWm2), light.lightWm2, float64(r.g.turningWm2[i])
		if light.up > 0 {
			sunDeg = float64(compass.Angle(light.sunDeg).Azimuth())
		}
	}
	t.Hour, t.SunDeg = append(t.Hour, second/3600), append(t.SunDeg, sunDeg)
	t.WantDeg, t.ToldDeg, t.FacesDeg = append(t.WantDeg, r.want), append(t.ToldDeg, r.plant.told), append(t.FacesDeg, r.plant.faces)
	t.CurrentA, t.LightWm2, t.TurnedWm2 = append(t.CurrentA, currentA), append(t.LightWm2, lightWm2), append(t.TurnedWm2, turned)
	t.Awake = append(t.Awake, m >= awake)
}
