package loop

import (
	"context"
	"fmt"
	"math"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/reading"
	"turnsole/sensor"
)

// Input is one run: a rig under a policy through some days.
type Input struct {
	Rig      Rig
	Policy   string // as aim.New knows it
	Settings aim.Settings
	Faults   sensor.Faults

	// Days are the calendar's days to run, one after another as if they followed
	// each other; nil for all.
	Days []int

	Seed uint64
	Rate float64 // how fast clouds pass against the fitted; 0 means 1

	// Faces is where the panel points when the controller is first switched on,
	// which takes it to be at the still heading; nil for there.
	Faces *compass.Angle

	// Use puts a policy of the caller's own in place of the named one; it is
	// asked again after every loss of the supply.
	Use func(aim.Site) (aim.Policy, error)

	// Log is given what the controller writes down: every look, the first reading
	// of every wake, and one each LogEveryS seconds of its sleep; nil for nothing.
	// What it is given is the callee's only until it returns.
	Log       func(*reading.Reading)
	LogEveryS float64 // 1 or more; 0 for none asleep

	Steps    bool   // fill the outcome's Headings and OwnWh
	Trace    *Trace // filled with one of the days; nil for none
	Progress func(done, total int)
}

func (in *Input) rate() float64 {
	if in.Rate == 0 {
		return 1
	}
	return in.Rate
}

func (in *Input) validate(g *Ground) error {
	if err := in.Rig.Validate(); err != nil {
		return err
	}
	if err := in.Faults.Validate(); err != nil {
		return err
	}
	for _, d := range in.Days {
		if d < 0 || d >= g.Days() {
			return fmt.Errorf("there is no day %d in a year of %d days", d, g.Days())
		}
	}
	switch {
	case !(in.Rate >= 0 && in.Rate <= 100):
		return fmt.Errorf("clouds that pass %g times as fast as usual: must be 0 to 100", in.Rate)
	case !(in.LogEveryS == 0 || in.LogEveryS >= 1):
		return fmt.Errorf("a reading kept every %g s: must be 1 or more", in.LogEveryS)
	case in.Days != nil && len(in.Days) == 0:
		return fmt.Errorf("no days to run")
	}
	return nil
}

// Outcome is what came of a run.
type Outcome struct {
	Total   Sum
	Seasons [4]Sum // December to February, March to May, June to August, September to November
	Days    []Sum  // in the order in which they were run

	// With Input.Steps: the mean true heading in each step of the light, and
	// what the stand asked for in each hour of the year; days that were not run
	// keep still and ask for nothing.
	Headings []float32
	OwnWh    []float32
}

// Run runs a rig in closed loop. The same input gives the same outcome, on any
// machine and beside any other run. Ctrl-C (ctx) stops it between two days.
func Run(ctx context.Context, g *Ground, in Input) (*Outcome, error) {
	if err := in.validate(g); err != nil {
		return nil, err
	}
	r, err := newRunner(g, &in)
	if err != nil {
		return nil, err
	}
	for !r.over {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := r.live(); err != nil {
			return nil, err
		}
	}
	return r.out, nil
}

// runner is a run that is on.
type runner struct {
	truth
	plant  plant
	gale   gale
	in     *Input
	site   aim.Site
	policy aim.Policy
	sight  aim.Sight
	want   float64

	days    []int
	number  int // of the day in days
	day     int // of the calendar
	second  float64
	now     float64 // seconds since the run began
	slot    int
	block   int
	over    bool
	powered bool
	upS     float64 // by the controller's own oscillator

	quietPa          float64
	fromDeg          float64 // where the wind comes from in this block
	gustAtS, gustPa  float64 // of the block; gustAtS is beyond it where nothing comes
	lowWh, highWh    float64 // of the block so far
	ownWh            float64
	facedS, facedDeg float64 // of the slot so far: seconds, and degrees times seconds

	boot    int
	looking aim.Look // what the reading to come is taken for
	pair    int32
	woken   bool // the reading to come is the first of a wake

	wakeErrorDeg float64
	moved        bool // since it woke
	brightS      float64
	metSun       bool

	sum     Sum
	errors  scatter
	total   scatter
	seasons [4]scatter
	out     *Outcome
}

func newRunner(g *Ground, in *Input) (*runner, error) {
	r := &runner{in: in, gale: gale{in.Seed}, days: in.Days, out: &Outcome{}, powered: true}
	r.truth = newTruth(g, &in.Rig, in)
	r.plant = newPlant(&in.Rig, faultsOfPlant{in.Faults.LevelDeg, in.Faults.LevelToward})
	r.site = in.Rig.Site(g)
	if in.Faults.NoClock && in.Use == nil {
		r.site.Path = nil
	}
	if r.days == nil {
		r.days = make([]int, g.Days())
		for d := range r.days {
			r.days[d] = d
		}
	}
	if in.Steps {
		r.out.Headings, r.out.OwnWh = make([]float32, g.Steps()), make([]float32, 24*g.Days())
		aim.Hold(r.site.Still, r.out.Headings)
	}
	r.out.Days = make([]Sum, 0, len(r.days))
	r.standUp()
	r.day = r.days[0]
	r.openDay()
	return r, r.powerUp()
}

// standUp puts the stand on its spot: all of it turned by the compass's error.
func (r *runner) standUp() {
	low, high := r.in.Rig.limits()
	off := float64(r.faults.CompassDeg)
	p := &r.plant
	p.low, p.high = float64(low)+off, float64(high)+off
	still := float64(r.site.Still)
	faces := still + off
	if r.in.Faces != nil {
		faces += float64(compass.Turn(compass.Angle(faces), *r.in.Faces))
	}
	p.place(still, min(max(faces, p.low), p.high))
	r.quietPa = p.quietPa(&r.rig.Sail)
	r.face(p.faces)
}

// powerUp starts a controller that knows nothing but its settings.
func (r *runner) powerUp() (err error) {
	if r.in.Use != nil {
		r.policy, err = r.in.Use(r.site)
	} else {
		r.policy, err = aim.New(r.in.Policy, r.in.Settings, r.site)
	}
	r.plant.told = float64(r.site.Still)
	r.want = r.plant.told
	r.sight = aim.Sight{Fresh: true}
	r.powered, r.upS, r.moved = true, 0, false
	r.boot, r.looking, r.woken = r.boot+1, aim.NoLook, true
	return err
}

// live carries out one command, or waits a block of time for the supply.
func (r *runner) live() error {
	if !r.powered {
		r.pass(blockS, off)
		if r.powered {
			r.sum.Reboots++
			return r.powerUp()
		}
		return nil
	}
	r.look()
	r.write()
	c := r.policy.Next(&r.sight)
	r.sight.Fresh = false
	r.looking, r.pair = c.Look, c.Pair
	switch c.Verb {
	case aim.Turn:
		r.turnTo(float64(c.To))
	case aim.Rest:
		s := bounded(c.Seconds)
		r.upS += s
		r.pass(s, awake)
	default:
		r.sleep(bounded(c.Seconds))
	}
	return nil
}

// leastS is the shortest that any command takes, so that time goes on whatever
// a policy asks; no sleep is longer than a day.
const leastS, mostS = 0.05, 86400

func bounded(seconds float64) float64 {
	if !(seconds >= leastS) {
		return leastS
	}
	return min(seconds, mostS)
}

func (r *runner) sleep(seconds float64) {
	r.endWake()
	r.doze(seconds)
	r.upS += r.rig.BootS
	r.woken = true
	if r.powered && !r.over {
		r.pass(r.rig.BootS, awake)
	}
	if !r.powered || r.over {
		return
	}
	r.sum.Wakes++
	r.wakeErrorDeg, _ = r.errorNow()
	r.moved = false
}

// endWake sees whether a wake has left the panel further from the sun.
func (r *runner) endWake() {
	if !r.moved {
		return
	}
	if e, worth := r.errorNow(); worth && e > r.wakeErrorDeg+5 {
		r.sum.FalsePeaks++
	}
}

// look fills what the policy sees.
func (r *runner) look() {
	s := &r.sight
	s.UpS, s.Told = r.upS, compass.Angle(r.plant.told)
	s.HasClock = r.rig.Clock && !r.faults.NoClock
	if s.HasClock {
		s.UnixS = float64(r.g.calendar.Midnight[r.day]) + r.second + r.faults.ClockPPM*1e-6*r.now
	}
	trueA, eyes := 0.0, 0.0
	k, i := r.step()
	if i != dark {
		light := r.see(k, i, r.second-float64(r.slot)*r.g.slotS)
		trueA = r.currentA(i, light.enteredWm2)
		if r.rig.Eyes {
			eyes = r.eyes(light, r.now)
		}
	}
	s.CurrentA, s.Eyes = r.readA(r.trackerA(trueA, r.now), r.now), eyes
	if r.rig.WindSensor {
		s.HasWind, s.WindMS = true, r.gale.secondMS(r.meanWindMS(), r.secondOfYear())
	}
	s.Home = r.rig.Home && compassApart(r.plant.faces, float64(r.site.Still+r.faults.CompassDeg)) <= float64(r.rig.HomeWithin)
}

func compassApart(a, b float64) float64 {
	return math.Abs(float64(compass.Turn(compass.Angle(a), compass.Angle(b))))
}

// step is the slot of the year and the step of the light that it is now.
func (r *runner) step() (k int, i int32) {
	k = r.day*r.g.slots + r.slot
	return k, r.g.at[k]
}

func (r *runner) secondOfYear() int64 { return int64(r.day)*86400 + int64(r.second) }

func (r *runner) meanWindMS() float64 {
	c := &r.g.calendar
	row := r.day*c.RowsPerDay() + int(r.second)/c.StepS
	return float64(r.g.wind[min(row, len(r.g.wind)-1)])
}

// turnTo carries out a move, second by second.
func (r *runner) turnTo(to float64) {
	r.want = to
	r.sight.Stop = 0
	way := r.wayTo(to)
	if way == 0 {
		r.upS += leastS
		r.pass(leastS, awake)
		return
	}
	r.countMove()
	r.plant.energise()
	begin := r.plant.told
	if r.carry(way) {
		r.plant.told = begin + way // without the rounding of its parts
	}
	r.endMove()
}

// wayTo is how far a turn is, degrees in whole steps; none for what is no
// heading.
func (r *runner) wayTo(to float64) float64 {
	if !(math.Abs(to-r.plant.told) < 1e4) {
		return 0
	}
	return r.plant.steps(to)
}

// carry turns by a way, and reports whether it came to the end of it.
func (r *runner) carry(way float64) bool {
	p := &r.plant
	seconds := r.rig.Train.MoveTime(compass.Angle(way), r.rig.Season.Motor.DegreesPerS, r.rig.Axle.AccelDegPerS2)
	windy := r.windy()
	for left := seconds; left > 0; {
		if !r.powered || r.over {
			return false
		}
		w := min(1, left)
		left -= w
		moment := 0.0
		if windy {
			moment = r.momentNow()
		}
		p.turn(way*w/seconds, moment)
		r.face(p.faces)
		r.sum.DegreesTurned += math.Abs(way) * w / seconds
		r.sum.MotorS += w
		r.upS += w
		r.pass(w, moving)
		if p.stop != 0 && r.rig.StopSwitch {
			return false
		}
	}
	return true
}

// endMove switches the motor off. At a stop with a switch the drive knows where
// it is; else it goes on believing.
func (r *runner) endMove() {
	p := &r.plant
	if p.stop != 0 {
		r.sum.StopsHit++
		if r.rig.StopSwitch {
			p.told -= p.slipDeg
			p.slipDeg = 0
			r.sight.Stop = p.stop
		}
	}
	r.sum.LostDeg += math.Abs(p.end())
	r.face(p.faces)
}

func (r *runner) countMove() {
	r.moved = true
	r.sum.Moves++
	if _, i := r.step(); i == dark {
		r.sum.NightMoves++
	}
}

// windy reports whether any gust of this hour could stop a move.
func (r *runner) windy() bool {
	return pressurePa(r.meanWindMS()*(1+4*turbulence)) > r.quietPa
}

// momentNow is what the wind and a lean turn the panel by in this second.
func (r *runner) momentNow() float64 {
	pa := pressurePa(r.gale.secondMS(r.meanWindMS(), r.secondOfYear()))
	return r.plant.momentNm(&r.rig.Sail, r.fromDeg, pa)
}
