package loop

import (
	"math"

	"turnsole/compass"
)

// plant is the machine between the drive's belief and the panel. Headings are
// true and unwrapped, in degrees, but for told, which is in the controller's
// own frame. Between the motor and the panel lies a play: backlash, and what
// the rotor stays behind its field under friction, so that steps too fine to
// overcome it are not taken until several have gathered.
type plant struct {
	stepDeg   float64 // a microstep
	periodDeg float64 // four full steps, after which the motor's field is the same again
	halfDeg   float64 // half the play
	freeDeg   float64 // half the backlash, within which wind moves the panel
	low, high float64 // end stops, true

	torqueNm, needNm float64 // what the motor has at its speed; what a move asks in still air
	offNm, onNm      float64 // that hold the panel: motor off, motor on
	frictionNm       float64 // bearing and brake
	plumbNm, leanDeg float64 // pull of an axle out of plumb, and the heading that it pulls to

	told, rotor, faces float64

	adriftDeg float64 // turned from outside since the motor was last on
	slipDeg   float64 // not followed in the move that is on
	stop      int     // end stop that the move ran into
}

func newPlant(r *Rig, f faultsOfPlant) plant {
	t, axle := r.Train, r.Axle
	lag := 0.0
	if frictionNm := axle.BearingNm + t.BrakeNm; frictionNm > 0 {
		lag = float64(t.PointingError(frictionNm).Load)
	}
	if lag = min(lag, float64(t.FullStepAtPanel())); math.IsNaN(lag) {
		lag = float64(t.FullStepAtPanel())
	}
	still := axle
	still.WindNm, still.Plumb = 0, 0
	hold := t.Hold(still)
	lean := axle
	lean.Plumb += f.leanDeg
	free := float64(t.Backlash()) / 2
	p := plant{
		stepDeg: float64(t.StepAtPanel()), periodDeg: 4 * float64(t.FullStepAtPanel()),
		freeDeg: free, halfDeg: free + lag,
		torqueNm: t.TorqueAt(r.Season.Motor.DegreesPerS), needNm: t.Need(still).TotalNm,
		offNm: hold.OffNm, onNm: hold.OnNm, frictionNm: axle.BearingNm + t.BrakeNm,
		plumbNm: lean.PlumbNm(), leanDeg: float64(f.leanToward),
	}
	return p
}

// faultsOfPlant is what is wrong with how it stands.
type faultsOfPlant struct{ leanDeg, leanToward compass.Angle }

// place puts the panel somewhere, the controller believing it elsewhere.
func (p *plant) place(told, faces float64) {
	p.told, p.rotor, p.faces = told, faces, faces
	p.adriftDeg, p.slipDeg, p.stop = 0, 0, 0
}

// steps returns how far a turn to a heading of the controller's frame is, in
// whole microsteps, degrees.
func (p *plant) steps(to float64) float64 {
	return math.Round((to-p.told)/p.stepDeg) * p.stepDeg
}

// energise puts current on the motor: the rotor goes to where the field holds
// it. What it was turned from outside remains by whole periods.
func (p *plant) energise() {
	if p.adriftDeg != 0 {
		p.rotor += math.Round(p.adriftDeg/p.periodDeg)*p.periodDeg - p.adriftDeg
		p.adriftDeg = 0
		p.follow(0)
	}
	p.slipDeg, p.stop = 0, 0
}

// turn carries the motor a stretch of a move, against a moment at the panel.
func (p *plant) turn(byDeg, momentNm float64) {
	p.told += byDeg
	if p.needNm-math.Copysign(momentNm, momentNm*byDeg) > p.torqueNm {
		p.slipDeg += byDeg
		return
	}
	p.rotor += byDeg
	p.follow(momentNm)
	if over := p.beyondStop(); over != 0 {
		p.rotor -= over
		p.slipDeg += over
		p.stop = int(math.Copysign(1, over))
		p.follow(momentNm)
	}
}

// beyondStop is how far the motor would push the panel beyond an end stop.
func (p *plant) beyondStop() float64 {
	switch {
	case p.rotor-p.halfDeg > p.high:
		return p.rotor - p.halfDeg - p.high
	case p.rotor+p.halfDeg < p.low:
		return p.rotor + p.halfDeg - p.low
	}
	return 0
}

// end ends a move and returns the degrees by which the drive's belief has gone
// wrong: lost steps come by whole periods of the field. At a stop the panel
// springs back by what is left of one.
func (p *plant) end() (lostDeg float64) {
	if p.slipDeg == 0 {
		return 0
	}
	periods := math.Round(p.slipDeg / p.periodDeg)
	if p.stop != 0 {
		periods = math.Copysign(math.Ceil(math.Abs(p.slipDeg)/p.periodDeg-1e-9), p.slipDeg)
	}
	lostDeg = periods * p.periodDeg
	p.rotor += p.slipDeg - lostDeg
	p.slipDeg = 0
	p.follow(0)
	return lostDeg
}

// follow lets the panel lie where the play leaves it: dragged by the motor, and
// pushed to one side by a moment greater than the axle's friction.
func (p *plant) follow(momentNm float64) {
	if math.Abs(momentNm) > p.frictionNm {
		p.faces = p.rotor + math.Copysign(p.freeDeg, momentNm)
	}
	p.faces = min(max(p.faces, p.rotor-p.halfDeg), p.rotor+p.halfDeg)
	p.faces = min(max(p.faces, p.low), p.high)
}

// blow lets a gust press on a panel at rest, and returns the degrees by which
// it turned the motor with it. The panel goes on turning until the moment no
// longer overcomes what holds it, or a stop is reached.
func (p *plant) blow(sail *Sail, fromDeg, pa float64, on bool) (turnedDeg float64) {
	holdNm := p.offNm
	if on {
		holdNm = p.onNm
	}
	moment := p.momentNm(sail, fromDeg, pa)
	p.follow(moment)
	if math.Abs(moment) <= holdNm {
		return 0
	}
	way := math.Copysign(1, moment)
	begin := p.rotor
	for range 360 {
		p.rotor += way
		p.faces = p.rotor + way*p.freeDeg
		if p.faces <= p.low || p.faces >= p.high {
			p.faces = min(max(p.faces, p.low), p.high)
			p.rotor = p.faces - way*p.freeDeg
			break
		}
		if m := p.momentNm(sail, fromDeg, pa); math.Abs(m) <= holdNm || m*way < 0 {
			break
		}
	}
	turnedDeg = p.rotor - begin
	p.adriftDeg += turnedDeg
	return turnedDeg
}

// momentNm is what wind and lean turn the panel by where it stands, clockwise
// positive.
func (p *plant) momentNm(sail *Sail, fromDeg, pa float64) float64 {
	moment := pa * sail.at(fromDeg, p.faces)
	if p.plumbNm > 0 {
		moment -= p.plumbNm * compass.Angle(p.faces-p.leanDeg).Sin()
	}
	return moment
}

// quietPa is the wind pressure below which nothing at rest is ever turned, nor
// a move ever stopped.
func (p *plant) quietPa(sail *Sail) float64 {
	strongest := sail.strongest()
	spare := min(p.offNm, p.frictionNm, p.torqueNm-p.needNm) - p.plumbNm
	switch {
	case strongest == 0 && p.plumbNm == 0:
		return math.Inf(1)
	case !(spare > 0):
		return 0
	}
	return spare / max(strongest, 1e-12)
}
