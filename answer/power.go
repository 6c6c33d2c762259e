package answer

import (
	"fmt"
	"math"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/panel"
	"turnsole/rigfile"
	"turnsole/stand"
)

// FirstPower is how to bring current to a rig for the first time: what is done
// in which order, what must then be seen, and what it means where it is not.
type FirstPower struct {
	Rig      string
	Parts    []PowerPart
	Cautions []string
	Assumed  []rigfile.Assumed
}

// PowerPart is steps that belong together, with the hazard that is met in them.
type PowerPart struct {
	Name   string
	Hazard string // "" for none of its own
	Steps  []PowerStep
}

// PowerStep is one thing to do.
type PowerStep struct {
	Do    string
	See   string // what must be seen; "" where there is nothing to see
	Else  string // what it means if not; "" as See
	Write string // the unit of a figure to be written down, "" for none
}

// Lever is the length of the arm, in metres, at which forces and plays of the
// turning panel are told.
const lever = 0.3

// PlanFirstPower answers how to bring current to a rig for the first time, at
// one spot ("" for the first).
func PlanFirstPower(rig *rigfile.Rig, spotName string) (*FirstPower, error) {
	d, err := LookAtDrive(rig, spotName)
	if err != nil {
		return nil, err
	}
	w, err := SizeWires(rig)
	if err != nil {
		return nil, err
	}
	diode, _, err := panel.Fit(rig.Panel)
	if err != nil {
		return nil, bad("panel: %v", err)
	}
	p := starter{rig, d, w, diode, rig.Battery.NominalV * float64(rig.Battery.Blocks)}
	f := &FirstPower{Rig: rig.Name, Cautions: powerCautions(rig), Assumed: rig.AssumedFor(rigfile.ForDrive, rigfile.ForWiring)}
	f.Parts = []PowerPart{p.before(), p.battery(), p.controller(), p.driver(), p.turning(), p.stops(), p.panel(), p.charging(), p.watched()}
	return f, nil
}

// starter knows the figures of a rig that is powered up.
type starter struct {
	rig   *rigfile.Rig
	d     *Drive
	w     *Wire
	diode panel.Diode
	volts float64 // of the battery
}

func (p starter) box() bool { return p.rig.Box != nil }

// milliamps is a draw in watts as a meter in the battery's lead shows it.
func (p starter) milliamps(w float64) string {
	ma := 1000 * w / p.volts
	if ma < 10 {
		return fmt.Sprintf("%.2g mA", ma)
	}
	return fmt.Sprintf("%.0f mA", ma)
}

func (p starter) before() PowerPart {
	fuse := "Take the battery's fuse out and keep it in your pocket."
	if p.box() {
		fuse = "Switch the power box's output off and pull its plug."
	}
	return PowerPart{Name: "Before anything",
		Steps: []PowerStep{
			{Do: "Rings, watch and chains off; dry hands, a second person within call. Motor unplugged from the driver, no USB cable in the controller."},
			{Do: fuse, See: "no lamp is lit anywhere on the rig", Else: "there is a second supply: find it and part it"},
			{Do: "Panel off its stand, face down on a blanket or under an opaque sheet; its plugs apart and their ends covered.", See: "nothing leads from the panel to the rig", Else: "a panel in light cannot be switched off"},
			{Do: "Ohmmeter across the rig's plus and minus, battery still away.", See: "more than 1000 ohm; it may climb for a while", Else: "near nothing is a short: a loose strand, a turned plug, a part put in backwards"},
		}}
}

// restV is between which voltages a sound, charged battery rests, by blocks of
// 12 V (from memory; its own sheet wins).
func restV(c battery.Chemistry) (low, high float64) {
	if c.Name == "lifepo4" {
		return 12.8, 13.6
	}
	return 12.2, 13.0
}

func (p starter) battery() PowerPart {
	blocks := float64(p.rig.Battery.Blocks)
	low, high := restV(p.rig.Battery.Chemistry)
	volts := fmt.Sprintf("%.1f to %.1f V", low*blocks, high*blocks)
	part := PowerPart{Name: "The battery", Steps: []PowerStep{
		{Do: "Measure at the battery's own poles, red probe on plus.", See: volts + ", without a minus sign; a little more just after charging", Else: "a minus sign: poles or probes are crossed, mark them now; less: charge it first; nothing: a lithium battery's guard has switched off", Write: "V"},
		{Do: "Connect the rig's leads to the poles, minus last, the fuse still out. Measure across the fuse holder's battery side and the rig's minus.", See: "the same voltage with the same sign", Else: "red and black are crossed somewhere: a reversed controller is a dead one"},
	}}
	if p.box() {
		part = PowerPart{Name: "The power box", Steps: []PowerStep{
			{Do: "Switch the output on with nothing in it and measure at the plug's tips.", See: fmt.Sprintf("about %.0f V, plus where the rig's plus goes", math.Round(p.volts)), Else: "the plug is wired the other way or the socket is another one: stop here", Write: "V"},
			{Do: "Switch the output off again.", See: "0 V at the plug", Else: "wait until it has died away"},
		}}
		if off := p.rig.Box.AutoOffW; off > 0 {
			part.Steps = append(part.Steps, PowerStep{Do: "Read in its sheet below which draw it switches its output off.", See: fmt.Sprintf("no more than %.2g W, which the sleeping stand draws, or a way to keep it on", p.rig.Board.AsleepW), Else: fmt.Sprintf("by the rig file it switches off below %.2g W: the stand goes dark at night and forgets where it points", off)})
		}
	}
	switch p.rig.Battery.Name {
	case "flooded":
		part.Hazard = "A charging battery of open cells gives hydrogen, which burns at 4 % in air: ventilate, no sparks, goggles against acid."
	case "lifepo4":
		part.Hazard = "Never charge a lithium battery below freezing, nor one whose guard has been taken off; keep it from heat."
	}
	return part
}

// fuseA is the fuse of the controller's run, 0 where there is none.
func (p starter) fuseA() float64 {
	for _, r := range p.w.Runs {
		if r.Key == "controller" {
			return r.FuseA
		}
	}
	return 0
}

func (p starter) controller() PowerPart {
	b := p.rig.Board
	put := fmt.Sprintf("Put in the controller's fuse (%g A).", p.fuseA())
	if p.box() {
		put = fmt.Sprintf("Plug the rig in, its fuse (%g A) in the plus lead, and switch the output on.", p.fuseA())
	}
	return PowerPart{Name: "Controller alone", Hazard: "Never two supplies at once: a USB cable and the battery meet on the same board, and current flows back through the one that is lower, into the computer or the regulator. To programme it, fuse out, then the cable.",
		Steps: []PowerStep{
			{Do: put + " Hand near the fuse.", See: "the controller's lamp; no smell, nothing warm after a minute", Else: "fuse out at once and look for what is hot"},
			{Do: "Meter on its ampere range in place of the fuse; let the controller wake.", See: "about " + p.milliamps(b.AwakeW) + " awake, driver idle", Else: "twice as much: a lamp, a converter, the driver idling; far less: not awake", Write: "mA"},
			{Do: "Wait until it sleeps.", See: "about " + p.milliamps(b.AsleepW) + " asleep", Else: "it draws this nearly all the time: put what you measured into the rig file as asleep", Write: "mA"},
			{Do: "Enter the settings of the settings sheet, fuse out where that is done by USB.", See: "what is read back is what was entered", Else: "enter it again"},
		}}
}

func (p starter) driver() PowerPart {
	m := p.rig.Train.Stepper
	return PowerPart{Name: "Driver and motor", Hazard: "Never plug or unplug a motor on a live driver: the spark can destroy it. Power off, wait ten seconds.",
		Steps: []PowerStep{
			{Do: fmt.Sprintf("Motor still unplugged, power on: set the driver's current limit to %g A a coil, by the driver's own sheet: a voltage at its trimmer, or a number sent to it.", m.PhaseA), See: "the figure that its sheet gives for that current", Else: "its sense resistors are others than you think: read their figures", Write: "V"},
			{Do: "Power off. Ohmmeter: find the motor's two coils.", See: fmt.Sprintf("about %.3g ohm in each coil, nothing between the two", m.PhaseOhm), Else: "a pair that shows nothing belongs to different coils: change one lead"},
			{Do: "Wait ten seconds, plug the motor in, each coil on its own pair of pins. Gear not yet meshed, or nothing on the axle."},
		}}
}

// way is how the sun goes round a spot from east to west.
func (p starter) way() string {
	switch lat := p.rig.Spots[0].Latitude; {
	case math.Abs(lat.Degrees()) < 23.44: // the tropics: the sun passes on both sides in the course of the year
		return "through north on days when noon shadows fall south, through south when they fall north"
	case lat < 0:
		return "from east through north to west, anticlockwise seen from above"
	}
	return "from east through south to west, clockwise seen from above"
}

func (p starter) turning() PowerPart {
	step := p.d.StepDeg.Degrees()
	still := compass.Equatorward(p.rig.Spots[0].Latitude)
	west := compass.Turn(still, compass.West).Degrees()
	side := "clockwise"
	if west < 0 {
		side = "anticlockwise"
	}
	return PowerPart{Name: "Does west go west? (panel still off)", Hazard: "Gears and belt pinch: fingers and sleeves away while there is power. Keep a hand on the switch.",
		Steps: []PowerStep{
			{Do: fmt.Sprintf("Chalk a line across axle and base along the still heading. Power on, jog %.0f microsteps.", math.Round(10/step)), See: "the axle turns by 10 degrees, clockwise seen from above", Else: "anticlockwise: change the direction in the settings; it only buzzes: coils mixed, too little current, too fast"},
			{Do: fmt.Sprintf("Jog on to 90 degrees, %.0f microsteps in all.", math.Round(90/step)), See: "a right angle to the chalk line", Else: "half or double: microsteps of driver and settings differ; else the gear ratio"},
			{Do: fmt.Sprintf("Back to the line. Tell it the sun is in the west (heading 270) and let it go there from %s (%.0f).", PointName(still), still.Degrees()), See: fmt.Sprintf("it turns %.0f degrees %s, to the west of where it will stand", math.Abs(west), side), Else: "latitude or direction has the wrong sign"},
			{Do: "Let it run through a day, quickly, if the controller can.", See: "its way is the sun's: " + p.way(), Else: "check latitude, clock and direction before anything else"},
			{Do: fmt.Sprintf("Rock an arm on the axle by hand, %.0f mm out, the motor held.", lever*1000), See: fmt.Sprintf("about %.1f mm of free play (%.2f degrees)", 1000*lever*math.Tan(p.d.BacklashDeg.Radians()), p.d.BacklashDeg.Degrees()), Else: "more: bring the gears closer; enter what you find as play", Write: "mm"},
		}}
}

func (p starter) stops() PowerPart {
	l := lister{p.rig, p.rig.Spots[0], p.d}
	low, high, _ := l.reach()
	hand := "Power off. Turn the axle slowly by hand through the whole range"
	if math.IsInf(p.d.Hold.OffNm, 1) {
		hand = "A worm cannot be turned by hand: jog slowly, hand on the switch, through the whole range"
	}
	rest := PowerStep{Do: "Leave it powered and still for ten minutes, then touch the motor with the back of a finger.", See: "as cold as the air", Else: "the coils stay on between moves: look for the driver's enable pin"}
	if p.d.Train.Stepper.CoilsOn {
		rest.See, rest.Else = fmt.Sprintf("hot, up to %.0f degrees above the air, as the coils are to stay on", p.d.HeatK), "too hot to think of touching: less current, or a metal plate behind it"
	}
	return PowerPart{Name: "End stops, cable, strength (panel still off)", Steps: []PowerStep{
		{Do: fmt.Sprintf("%s, %.0f degrees anticlockwise and %.0f clockwise of the still heading.", hand, math.Abs(math.Floor(low)), math.Ceil(high)), See: "a solid stop just beyond each end, the cable's loop slack at both, touching neither gear nor edge", Else: "no stop is a cable torn off one day: fit it now; tie a longer loop down at both sides"},
		{Do: "Power on. Send it beyond each limit.", See: "it stops before it touches the solid stop", Else: "limits in the settings, or the counter did not begin at the still heading"},
		p.pull(),
		rest,
	}}
}

// pull holds the motor to the torque that was reckoned for it.
func (p starter) pull() PowerStep {
	has, needs := p.d.TorqueNm/lever, p.d.Need.TotalNm/lever
	step := PowerStep{Do: fmt.Sprintf("Spring balance on an arm, %.0f mm from the axle, square to it. Let the motor move against it, and hold harder and harder until it slips.", lever*1000),
		See:  fmt.Sprintf("it slips near %.0f N (%.1f kg on a luggage scale)", has, has/stand.GravityMS2),
		Else: "much less: too little current, too fast, or something rubs", Write: "N"}
	step.See += fmt.Sprintf("; a move in %s needs %.0f N", p.d.windWhile(), needs)
	if p.d.Margin < 2 {
		step.See += ", and twice that is wanted: this drive has less, see the drive's answer"
	}
	return step
}

func (p starter) panel() PowerPart {
	open := p.diode.OpenCircuitV(1000, 25)
	return PowerPart{Name: "The panel goes on", Hazard: "Two people, gloves, and still air: a gust takes a panel out of two hands. A panel in light cannot be switched off, and an arc of direct current does not go out by itself: the sheet stays on, and no plug is parted under load.",
		Steps: []PowerStep{
			{Do: "Power off, axle locked. Panel, still covered, onto the stand at a tilt of its own; feet or pins seated, latches shut."},
			{Do: "Unlock, turn it by hand through the whole range, lock again.", See: "nothing touches: legs, base, cable, hedge", Else: "shift what is in the way, or set narrower limits"},
			{Do: "Lift the sheet in daylight; measure at the panel's free plugs; cover it again.", See: fmt.Sprintf("%.0f to %.0f V with red on plus; up to %.0f V in hard frost", math.Floor(0.8*open), math.Ceil(open), math.Ceil(p.w.ColdVocV)), Else: "a minus sign: the plugs were wired the other way; far less: shade on a part of it, or a bad plug", Write: "V"},
			{Do: "Compare with the greatest input of the charge controller, on its own plate.", See: fmt.Sprintf("it bears at least %.0f V, which this panel gives at 10 degrees below freezing", math.Ceil(p.w.ColdVocV)), Else: "it will fail on a bright, cold morning: another controller"},
		}}
}

func (p starter) charging() PowerPart {
	volts := "the battery's voltage on its display or lamp"
	steps := []PowerStep{
		{Do: "Battery's lead to the charge controller first, its fuse in.", See: volts, Else: "crossed leads or a blown fuse; the panel stays off"},
		{Do: "Covered panel's plugs to the charge controller second.", See: "no spark, no change", Else: "it was not covered"},
	}
	if p.box() {
		steps = []PowerStep{{Do: "Covered panel's plugs to the box's solar input.", See: "no spark, no change", Else: "it was not covered"}}
	}
	c := p.rig.Sensor
	steps = append(steps,
		PowerStep{Do: "Panel covered: read the current sensor.", See: fmt.Sprintf("0 A; what it shows in steps of the converter (%.0f mA each) is its zero: enter it", 1000*c.StepA()), Else: "it wanders by more than a step or two: motor's leads too near, or too few readings averaged", Write: "steps"},
		PowerStep{Do: "Sheet off, panel turned to the sun, battery not full.", See: p.currents(), Else: "a minus sign: the sensor's leads are crossed; far less: battery full, shade, a plug, the wrong notch", Write: "A"},
		PowerStep{Do: "Turn the panel 60 degrees aside.", See: "about half of it", Else: "no change: a full battery, or an overcast sky, which shines from everywhere"},
	)
	return PowerPart{Name: "Light", Hazard: p.order() + " Never look at the sun: go by the shadows on the ground.", Steps: steps}
}

func (p starter) order() string {
	if p.box() {
		return "Plus to plus, and never more panels on the box than its own plate allows, in volts as in amperes."
	}
	return "Battery first, panel second; to take it apart the panel first. Many charge controllers die the other way round."
}

// currents are what is plausible by the look of a shadow on the ground (common
// practice, no source), in amperes at the panel.
func (p starter) currents() string {
	full := p.w.PanelA
	text := fmt.Sprintf("sharp shadows: %.1f to %.1f A; soft ones: %.1f to %.1f A; none: under %.1f A", 0.6*full, 1.05*full, 0.2*full, 0.6*full, 0.2*full)
	if top := p.rig.Sensor.RangeA; top < 1.05*full {
		text += fmt.Sprintf(" (this sensor ends at %g A)", top)
	}
	return text
}

func (p starter) watched() PowerPart {
	night := p.rig.Board.AsleepW * 12
	off := p.d.StillAir.Total.Degrees() + p.w.Blind[0].Blind.Degrees()
	if math.IsInf(off, 1) { // it would not move at all
		off = 0
	}
	return PowerPart{Name: "First hour, first night", Steps: []PowerStep{
		{Do: "Let it run, and stay for an hour. Touch motor, driver, fuse holders and plugs now and then.", See: fmt.Sprintf("a move every %.0f minutes or so; nothing but the motor warm", p.rig.Board.WakeEveryS/60), Else: "a hot plug is a bad plug: power off, do it again"},
		{Do: "After the hour compare with a stick's shadow (set-up card).", See: fmt.Sprintf("it faces the sun to within %.0f degrees", math.Ceil(off+p.d.MoveDeg.Degrees()/2)), Else: "by a steady angle: base or clock; by a growing one: steps are lost"},
		{Do: "Battery's voltage late in the evening and before dawn, loads off.", See: fmt.Sprintf("the stand alone took about %s Wh in 12 hours (%s)", counting(night), p.milliamps(p.rig.Board.AsleepW)), Else: "more: it does not sleep; see how often it wakes at night", Write: "V"},
		{Do: "At dusk, and next morning.", See: "it parks and sleeps; it turns to the east and follows; chalk line and counter still agree", Else: "clock or zone are wrong; it lost steps on the way back: slower, or less wind"},
	}}
}

func powerCautions(rig *rigfile.Rig) []string {
	all := []string{
		"A battery drives hundreds of amperes through a ring or a spanner: rings and watch off, tools wrapped in tape.",
		"If a step does not show what it must, stop there: the next one rests on it.",
		"Nothing here touches the mains or an inverter's output: that is a licensed electrician's work.",
		"In a thunderstorm nobody works on it; take it down before.",
	}
	if v := rig.Battery.NominalV * float64(rig.Battery.Blocks); v > 30 {
		all = append(all, fmt.Sprintf("At %.0f V a shock can hurt and an arc burns long: one hand in the pocket, fuse out before anything is touched.", v))
	}
	return all
}
