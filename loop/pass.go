package loop

import (
	"math"

	"turnsole/battery"
)

// mode is what the controller does while time passes.
type mode int

const (
	off mode = iota
	asleep
	awake
	moving
)

const blocksPerDay = 86400 / blockS

// pass lets time go by in stretches that end with a step of the light, a block
// of the battery, or the block's strongest gust. It stops early when the supply
// fails or the last day is over.
func (r *runner) pass(seconds float64, m mode) {
	powered := r.powered
	for seconds > 0 && !r.over && r.powered == powered {
		slotEnd, blockEnd := float64(r.slot+1)*r.g.slotS, float64(r.block+1)*blockS
		to := min(slotEnd, blockEnd, r.gustAtS)
		if w := to - r.second; w > seconds {
			to = r.second + seconds
		}
		if to > r.second { // else a stretch too short for the clock's digits
			r.spend(to, m)
		}
		seconds -= to - r.second
		if to == r.second {
			seconds = 0
		}
		r.now += to - r.second
		r.second = to
		if to >= r.gustAtS {
			r.gust(m)
		}
		if to >= blockEnd {
			r.closeBlock()
		}
		if to >= slotEnd {
			r.closeSlot()
		}
	}
	if r.in.Trace != nil && !r.over {
		r.draw(r.second, m)
	}
}

// spend books what a stretch within one step and one block brings and costs.
func (r *runner) spend(to float64, m mode) {
	seconds := to - r.second
	k, i := r.step()
	if r.in.Trace != nil {
		r.drawMinutes(to, m)
	}
	if i == dark {
		r.warmth.aboveAirC = 0
	} else {
		begin := float64(r.slot) * r.g.slotS
		got := r.shine(k, i, r.second-begin, to-begin)
		r.sum.LightWhM2 += got.lightWh
		r.lowWh += got.lowWh
		r.highWh += got.highWh
		if r.g.light.Up[i] > 0 {
			r.point(i, seconds, m)
		}
	}
	r.facedS += seconds
	r.facedDeg += seconds * r.plant.faces
	r.feed(seconds, m)
}

// point notes how far from the sun the panel points.
func (r *runner) point(i int32, seconds float64, m mode) {
	errorDeg := compassApart(float64(r.heading.Azimuth), r.sunDeg)
	turned := r.g.turningWm2[i]
	if turned >= worthWm2 {
		r.errors.note(brightness(turned), errorDeg, seconds)
	}
	if r.brightS < 7200 && turned > 150 {
		r.brightS += seconds
		r.metSun = r.metSun || errorDeg <= 30
	}
	if m >= awake && r.g.light.DNI[i] < sunshineWm2 {
		r.sum.HuntS += seconds
	}
}

// errorNow is how far from the sun the panel points, and whether it is worth
// pointing there.
func (r *runner) errorNow() (errorDeg float64, worth bool) {
	k, i := r.step()
	if i == dark || r.g.turningWm2[i] < worthWm2 {
		return 0, false
	}
	east, north, _ := r.g.sunAt(k, i, (r.second-float64(r.slot)*r.g.slotS)/r.g.slotS-0.5)
	return compassApart(float64(r.heading.Azimuth), azimuthDeg(east, north)), true
}

// feed books what the stand draws.
func (r *runner) feed(seconds float64, m mode) {
	b, hours := &r.rig.Season.Board, seconds/3600
	var own OwnUse
	switch m {
	case asleep:
		own.AsleepWh = b.AsleepW * hours
	case awake:
		own.AwakeWh = b.AwakeW * hours
	case moving:
		own.AwakeWh, own.MotorWh = b.AwakeW*hours, r.rig.Season.Motor.PowerW*hours
	}
	if s := &r.rig.Train.Stepper; s.CoilsOn && (m == asleep || m == awake) {
		own.MotorWh = s.CoilsW() * hours
	}
	if m >= awake {
		r.sum.AwakeS += seconds
	}
	if m == off {
		r.sum.DarkControllerH += hours
	}
	r.sum.Own.MotorWh += own.MotorWh
	r.sum.Own.AwakeWh += own.AwakeWh
	r.sum.Own.AsleepWh += own.AsleepWh
	r.ownWh += own.Wh()
}

func (r *runner) blockOfYear() int64 { return int64(r.day)*blocksPerDay + int64(r.block) }

// openBlock looks ahead for a gust that could turn the panel.
func (r *runner) openBlock() {
	r.gustAtS = math.Inf(1)
	r.fromDeg = r.gale.fromDeg(r.blockOfYear())
	mean := r.meanWindMS()
	if pressurePa(mean*mostPeak) <= r.quietPa && r.quietPa > 0 {
		return
	}
	gustMS, at := r.gale.peakMS(mean, r.blockOfYear())
	if pa := pressurePa(gustMS); pa > r.quietPa || r.quietPa == 0 {
		r.gustAtS, r.gustPa = float64(r.block)*blockS+at, pa
	}
}

// gust is the block's strongest. A move that is on meets it as any wind.
func (r *runner) gust(m mode) {
	r.gustAtS = math.Inf(1)
	if m == moving {
		return
	}
	turned := r.plant.blow(&r.rig.Sail, r.fromDeg, r.gustPa, r.rig.Train.Stepper.CoilsOn && m != off)
	if turned != 0 {
		r.sum.Blows++
		r.sum.BlownDeg += math.Abs(turned)
	}
	r.face(r.plant.faces)
}

// closeBlock lets the battery live the block, and sees whether the supply held.
func (r *runner) closeBlock() {
	const hours = blockS / 3600.0
	hour := 24*r.day + r.block*blockS/3600
	in := battery.Input{OfferedLowWh: r.lowWh, OfferedHighWh: r.highWh, CellC: float64(r.g.cells[hour]),
		LoadWh: float64(r.g.loadW[hour]) * hours, OwnWh: r.ownWh}
	panelWh := (r.lowWh + r.highWh) / 2
	r.sum.PanelWh += panelWh
	r.sum.DeliverWh += panelWh * r.perPanel
	short := r.charge(&r.sum.Battery, &in, hours)
	if r.in.Steps {
		r.out.OwnWh[hour] += float32(r.ownWh)
	}
	r.supply(short, panelWh/hours, in.LoadWh/hours)
	r.lowWh, r.highWh, r.ownWh = 0, 0, 0
	if r.block++; r.block < blocksPerDay {
		r.openBlock()
	}
}

// backShare is the charge, above the one at which it failed, from which a
// battery carries the controller again.
const backShare = 0.02

// supply switches the controller off and on again.
func (r *runner) supply(shortWh, panelW, loadW float64) {
	board, s := &r.rig.Season.Board, &r.rig.Season.Battery
	switch {
	case r.rig.DaySupply:
		if r.powered {
			r.powered = panelW >= board.AwakeW
		} else {
			r.powered = panelW >= 2*board.AwakeW
		}
	case s.Battery.Endless:
	case r.powered:
		r.powered = shortWh <= 1e-9
	case s.Box != nil:
		r.powered = loadW+board.AsleepW >= s.Box.AutoOffW && r.state.Share > s.Battery.FloorShare+backShare
	default:
		r.powered = r.state.Share > backShare
	}
}

func (r *runner) closeSlot() {
	if _, i := r.step(); i != dark && r.in.Steps {
		r.out.Headings[i] = float32(r.facedDeg / r.facedS)
	}
	r.facedS, r.facedDeg = 0, 0
	if r.slot++; r.slot == r.g.slots {
		r.closeDay()
	}
}

func (r *runner) openDay() {
	r.second, r.slot, r.block = 0, 0, 0
	r.brightS, r.metSun = 0, false
	r.sum = Sum{Days: 1}
	r.openBlock()
}

// closeDay adds the day up and goes on to the next.
func (r *runner) closeDay() {
	g, s := r.g, &r.sum
	s.TurningLightWhM2, s.TurningPanelWh = g.turning[r.day].lightWhM2, g.turning[r.day].panelWh
	s.StillLightWhM2, s.StillPanelWh = g.still[r.day].lightWhM2, g.still[r.day].panelWh
	if r.brightS >= 7200 && !r.metSun {
		s.MorningsMissed++
	}
	r.errors.tell(s)
	of := seasonOf(int(g.calendar.Date(r.day).Month()))
	r.errors.pour(&r.total, &r.seasons[of])
	r.out.Days = append(r.out.Days, *s)
	r.out.Total.add(s)
	r.out.Seasons[of].add(s)
	if r.in.Progress != nil {
		r.in.Progress(r.number+1, len(r.days))
	}
	if r.number++; r.number == len(r.days) {
		r.over = true
		r.total.tell(&r.out.Total)
		for k := range r.seasons {
			r.seasons[k].tell(&r.out.Seasons[k])
		}
		return
	}
	r.day = r.days[r.number]
	r.openDay()
}
