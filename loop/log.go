package loop

import (
	"turnsole/aim"
	"turnsole/compass"
	"turnsole/reading"
)

// write logs the reading that the policy is about to be shown, where it is a
// look or the first of a wake.
func (r *runner) write() {
	if r.in.Log == nil || r.looking == aim.NoLook && !r.woken {
		return
	}
	r.woken = false
	r.writeAs(looks[r.looking], int(r.pair))
}

// looks are a policy's as a log has them.
var looks = [...]reading.Look{
	aim.NoLook: reading.NoLook, aim.StillLook: reading.StillLook, aim.AimedLook: reading.AimedLook,
	aim.LowLook: reading.LowLook, aim.HighLook: reading.HighLook,
}

// writeAs hands out what the controller reads now: faults and all, at the
// heading that it believes in.
func (r *runner) writeAs(look reading.Look, pair int) {
	row := reading.Empty()
	row.Boot, row.UptimeS = r.boot, r.upS
	if r.sight.HasClock {
		row.UnixS = r.sight.UnixS
	}
	row.PanelA = r.sight.CurrentA
	row.HeadingDeg = float64(compass.Angle(r.plant.told).Azimuth())
	row.TiltDeg = float64(r.rig.Season.Stand.Tilt)
	row.Look, row.Pair = look, pair
	r.in.Log(&row)
}

// doze lets a sleep pass, with a logger's readings on the way if there is one.
func (r *runner) doze(seconds float64) {
	slower := 1 + r.faults.SleepError
	step := seconds
	if r.in.Log != nil && r.in.LogEveryS > 0 {
		step = r.in.LogEveryS
	}
	for left := seconds; left > 0 && r.powered && !r.over; {
		part := min(step, left)
		left -= part
		r.upS += part
		r.pass(max(leastS, part*slower), asleep)
		if left > 0 && r.powered && !r.over {
			r.look()
			r.writeAs(reading.NoLook, 0)
		}
	}
}
