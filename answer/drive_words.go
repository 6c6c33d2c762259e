package answer

import (
	"fmt"
	"math"
	"strings"

	"turnsole/compass"
	"turnsole/rigfile"
)

// judge says in words what the figures come to.
func (d *Drive) judge(rig *rigfile.Rig) {
	d.Verdict = d.judgeTorque() + " " + d.judgeHold(rig)
	d.say("One step turns the panel by %.2g degrees and the gears leave %.2g degrees of play: %s.", d.StepDeg.Degrees(), d.BacklashDeg.Degrees(), d.pointingText())
	d.sayRemedies(rig)
	own, all := d.Days.AwakeWh+d.Days.AsleepWh, d.Days.Wh()
	d.say("Over the year it draws %.1f Wh a day: %.2f for the motor, %.2f awake and %.2f asleep. The board's share is %.0f %%.",
		all, d.Days.MotorWh, d.Days.AwakeWh, d.Days.AsleepWh, 100*own/all)
	d.say("A move to the next look (%.1f degrees) takes %.1f s and %.3f Wh; the longest morning return, %.0f degrees, takes %.0f s and %.2f Wh.",
		d.MoveDeg.Degrees(), d.MoveS, d.MoveWh, d.LongestTurn.Degrees(), d.ReturnS, d.ReturnWh)
	d.say("Coils left on would burn %.1f W, %.0f Wh a day, and warm the motor by about %.0f degrees (half of that on a metal plate).",
		d.Hold.CoilsW, d.Hold.CoilsWhPerDay, d.HeatK)
	d.sayCable()
	for _, p := range d.Train.Problems() {
		if !p.Grave {
			d.say("%s", p.Text)
		}
	}
}

// pointingText says how far the panel may point from where it was told to.
func (d *Drive) pointingText() string {
	off, when := d.Pointing.Total, "under load"
	if math.IsInf(float64(off), 1) {
		off, when = d.StillAir.Total, "in still air"
	}
	if math.IsInf(float64(off), 1) {
		return "it loses steps even in still air, and may point anywhere"
	}
	return fmt.Sprintf("%s it may point %.1f degrees from where it was told to, which loses %s of the beam", when, off.Degrees(), shareText(1-off.Cos()))
}

// windWhile says in which wind a move is reckoned.
func (d *Drive) windWhile() string {
	if d.MoveWindMS == 0 {
		return "still air"
	}
	return fmt.Sprintf("a gust of %.0f m/s", d.MoveWindMS)
}

// wantedMargin is how many times the torque that it needs a motor is wanted to
// have (from memory).
const wantedMargin = 2

func (d *Drive) judgeTorque() string {
	switch {
	case d.Margin >= wantedMargin:
		return fmt.Sprintf("The motor has %.1f times the torque that a move needs in %s; twice is wanted.", d.Margin, d.windWhile())
	case d.Margin >= 1:
		return fmt.Sprintf("The motor has only %.1f times the torque that a move needs in %s; twice is wanted: gear it lower, turn slower, or let it wait for less wind.", d.Margin, d.windWhile())
	}
	return fmt.Sprintf("The motor will lose steps: it has %.2g of the torque that a move needs in %s. Gear it lower, turn slower, or let it wait for less wind.", d.Margin, d.windWhile())
}

func (d *Drive) judgeHold(rig *rigfile.Rig) string {
	switch {
	case math.IsInf(d.Hold.OffNm, 1):
		return "With the motor off the worm holds the panel: wind does not turn it, but may break what holds."
	case d.Hold.OffNm == 0 && !(rig.Axle.PlumbNm() > 0):
		return "With the motor off nothing holds the panel: any wind turns it."
	case d.Hold.OffNm == 0:
		return fmt.Sprintf("With the motor off nothing holds the panel: on an axle %.0f degrees out of plumb its own weight turns it.", rig.Axle.Plumb.Degrees())
	case math.IsInf(d.TurnsOff.GustMS, 1):
		return fmt.Sprintf("With the motor off the panel is held by %s (%s), and no wind turns it at this tilt.", nm(d.Hold.OffNm), d.Hold.Kind)
	case d.TurnsOff.ForecastMS >= rig.WantedWindMS:
		return fmt.Sprintf("With the motor off the panel is held by %s (%s), which lasts to %s.", nm(d.Hold.OffNm), d.Hold.Kind, windText(d.TurnsOff))
	}
	return fmt.Sprintf("With the motor off only %s (%s) hold the panel: %s turns it.", nm(d.Hold.OffNm), d.Hold.Kind, windText(d.TurnsOff))
}

func (d *Drive) sayRemedies(rig *rigfile.Rig) {
	var ways []string
	for _, r := range d.Remedies {
		text := r.What
		if r.WhPerDay > 0 {
			text += fmt.Sprintf(", %.0f Wh a day", r.WhPerDay)
		}
		if r.BrakeNm > 0 {
			text += fmt.Sprintf(", which every move must overcome as well: the motor has then %.1f times the torque", d.marginWith(r))
			if d.marginWith(r) < wantedMargin {
				text += ", too little with these gears"
			}
		}
		ways = append(ways, text)
	}
	if len(ways) > 0 {
		d.say("To hold in a forecast of %.0f m/s, with half as much again for the wind's moment as for ballast, it wants one of these: %s.", rig.WantedWindMS, strings.Join(ways, "; "))
	}
}

func (d *Drive) sayCable() {
	d.say("Over the year the cable must take %.0f degrees, headings from %.0f to %.0f: %s.", d.Wrap.Degrees.Degrees(), d.Wrap.Low.Degrees(), d.Wrap.High.Degrees(), d.Wrap.Why)
	if c := d.CableRange; c != nil && !d.Wrap.Within(compass.Angle(c[0]), compass.Angle(c[1])) {
		d.say("The rig file's cable_range of %.0f to %.0f degrees is too narrow for that: on some days the panel will stand at a stop while the sun goes on.", c[0], c[1])
	}
}

func (d *Drive) say(format string, args ...any) {
	d.Findings = append(d.Findings, fmt.Sprintf(format, args...))
}

func driveCautions() []string {
	return []string{
		"Gusts slam the panel to and fro through the gears' play: a blow breaks teeth that the same torque, at rest, does not. Winds told here are those of a steady push.",
		"Local codes and a competent person decide where a panel that turns or falls can hurt somebody.",
		"Gears and belt pinch: guard the mesh, and put a switch within reach that stops the motor.",
		"Lock the axle while you change the tilt by hand.",
		"Never unplug a motor from a live driver: the spark can destroy it.",
		"A stepper that is held on gets hot enough to burn fingers and to soften a printed mount.",
		"Stop the turning by something solid on both sides, besides the controller's own limits, and leave the cable a loop that never pulls tight.",
	}
}
