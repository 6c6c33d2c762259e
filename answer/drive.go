package answer

import (
	"fmt"
	"math"
	"strings"
	"time"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/place"
	"turnsole/rigfile"
	"turnsole/stand"
	"turnsole/sun"
)

// arcsYear is the year whose sun the cable is laid for; any would do.
const arcsYear = 2026

// Drive is what motor and gears do, what holds the panel when they rest, and
// what all that draws.
type Drive struct {
	Rig, Spot       string
	Train           drive.Train
	Motor           drive.Motor
	StepDeg         compass.Angle // of the panel, one microstep
	FullStepDeg     compass.Angle // one full step
	BacklashDeg     compass.Angle
	Pointing        drive.Pointing // how far it may point from where it was told to, by cause
	Need            drive.Need
	TorqueNm        float64 // at the panel, that the motor gives at its speed before it loses steps
	Margin          float64 // of what is needed
	MoveWindMS      float64 // gust in which it is to move
	Hold            drive.Hold
	TurnsOff        stand.Limit // wind that turns the panel with the coils off
	TurnsOn         stand.Limit // with the coils left on
	Days            DriveDays   // of the year
	Seasons         [4]DriveDays
	MoveDeg         compass.Angle // the sun's mean way, 15 degrees an hour, from look to look
	MoveS, MoveWh   float64       // what it takes
	ReturnS         float64       // of the longest morning return
	ReturnWh        float64
	Size            drive.FrameSize // of the motor
	HeatK           float64         // by which coils left on warm it
	Remedies        []drive.Remedy  // against wind, where the motor switched off does not hold
	Wrap            drive.Wrap
	CableRange      *[2]float64 // as the rig file has it
	Verdict         string
	Findings        []string
	Cautions        []string
	Assumed         []rigfile.Assumed
	SpeedDegPerS    float64
	StepsPerS       float64 // full steps of the motor
	WakeEveryS      float64
	LongestTurn     compass.Angle
	TurningMomentNm float64 // of the wind in which it is to move
}

// DriveDays is the mean day of a stretch of the year.
type DriveDays struct {
	Name                       string
	TurnedDeg                  float64 // there and back
	MotorWh, AwakeWh, AsleepWh float64
	SunUpH                     float64
}

// Wh is the whole draw of such a day.
func (d DriveDays) Wh() float64 { return d.MotorWh + d.AwakeWh + d.AsleepWh }

// LookAtDrive answers what the drive does, at one spot ("" for the first).
func LookAtDrive(rig *rigfile.Rig, spotName string) (*Drive, error) {
	spots, err := spotsNamed(rig, spotName)
	if err != nil {
		return nil, err
	}
	spot := spots[0]
	t := rig.Train
	d := &Drive{Rig: rig.Name, Spot: spot.Name, Train: t, Motor: rig.Motor,
		StepDeg: t.StepAtPanel(), FullStepDeg: t.FullStepAtPanel(), BacklashDeg: t.Backlash(),
		MoveWindMS: rig.MoveWindMS, CableRange: rig.CableRange, SpeedDegPerS: rig.Motor.DegreesPerS,
		StepsPerS: rig.Motor.DegreesPerS / t.FullStepAtPanel().Degrees(), WakeEveryS: rig.Board.WakeEveryS,
		Cautions: driveCautions(), Assumed: rig.AssumedFor(rigfile.ForDrive, rigfile.ForWind)}
	d.torques(rig, spot)
	if err := d.year(rig, spot); err != nil {
		return nil, err
	}
	d.judge(rig)
	return d, nil
}

// torques sets what is needed beside what there is.
func (d *Drive) torques(rig *rigfile.Rig, spot rigfile.Spot) {
	s := &Stand{Own: rig.Stand.Tilt, Nearest: -1, Flattest: -1, Body: stand.Body{Base: rig.Base, Frame: rig.Frame}}
	s.Body.Terrain = spot.Terrain
	for _, setting := range rig.Frame.Settings() {
		s.add(setting)
	}
	own := s.ownSetting()
	d.TurningMomentNm = turningNm(s.Body, own, d.MoveWindMS)
	axle := rig.Axle
	axle.WindNm = d.TurningMomentNm
	d.Need = rig.Train.Need(axle)
	d.TorqueNm = rig.Train.TorqueAt(d.SpeedDegPerS)
	d.Margin = rig.Train.Margin(axle, d.SpeedDegPerS)
	d.Pointing = rig.Train.PointingError(d.Need.TotalNm)
	d.Hold = rig.Train.Hold(axle)
	s.Body.HoldingNm = d.Hold.OffNm
	d.TurnsOff = s.Body.LimitsAt(own).Turns
	s.Body.HoldingNm = d.Hold.OnNm
	d.TurnsOn = s.Body.LimitsAt(own).Turns
	for _, size := range drive.FrameSizes() {
		if size.Name == rig.MotorFrame {
			d.Size = size
		}
	}
	d.HeatK = rig.Train.Stepper.HeatK(d.Size.KelvinPerW)
	d.Remedies = rig.Train.Remedies(axle, turningNm(s.Body, own, rig.WantedWindMS*s.Body.GustPerForecast(own)))
}

// turningNm is the greatest moment about the vertical axis that a gust has from
// any side.
func turningNm(b stand.Body, s stand.Setting, gustMS float64) (most float64) {
	for from := compass.Angle(0); from <= 180; from += 2 {
		most = max(most, math.Abs(b.LoadAt(s, from, gustMS).TurnNm))
	}
	return most
}

// year goes through the days of a year: how far the panel turns, what that and
// the board draw, and how the cable winds.
func (d *Drive) year(rig *rigfile.Rig, spot rigfile.Spot) error {
	arcs := aim.Arcs(spot.Spot, arcsYear, 0)
	var turns []drive.Arc
	weeks := [4]float64{}
	for day := 4; day <= 365; day += 7 { // within a week a day grows evenly
		d.Seasons[seasonOf(day)].SunUpH += sunUpH(spot.Spot, day)
		weeks[seasonOf(day)]++
	}
	names := [4]string{"December to February", "March to May", "June to August", "September to November"}
	count := [4]float64{90, 92, 92, 91}
	for _, a := range arcs {
		turned := math.Abs(float64(a.To-a.From)) + float64(a.BeyondFrom+a.BeyondTo)
		turns = append(turns, drive.Arc(a))
		d.LongestTurn = max(d.LongestTurn, compass.Angle(turned))
		day := &d.Seasons[seasonOf(a.Day)]
		day.TurnedDeg += 2 * turned
	}
	for k := range d.Seasons {
		day := &d.Seasons[k]
		day.Name = names[k]
		day.TurnedDeg /= count[k]
		day.SunUpH /= weeks[k]
		day.MotorWh = rig.Motor.MoveWh(compass.Angle(day.TurnedDeg))
		share := math.Min(1, rig.Board.AwakeS/rig.Board.WakeEveryS)
		day.AwakeWh = day.SunUpH * share * rig.Board.AwakeW
		day.AsleepWh = (24 - day.SunUpH*share) * rig.Board.AsleepW
		w := count[k] / 365
		d.Days.TurnedDeg += w * day.TurnedDeg
		d.Days.SunUpH += w * day.SunUpH
		d.Days.MotorWh += w * day.MotorWh
		d.Days.AwakeWh += w * day.AwakeWh
		d.Days.AsleepWh += w * day.AsleepWh
	}
	d.Days.Name = "the year"
	d.Wrap = drive.WrapOf(turns)
	accel := rig.Axle.AccelDegPerS2
	d.MoveDeg = compass.Angle(15 * d.WakeEveryS / 3600)
	d.MoveS = rig.Train.MoveTime(d.MoveDeg, d.SpeedDegPerS, accel)
	d.MoveWh = rig.Motor.PowerW * d.MoveS / 3600
	d.ReturnS = rig.Train.MoveTime(d.LongestTurn, d.SpeedDegPerS, accel)
	d.ReturnWh = rig.Motor.PowerW * d.ReturnS / 3600
	return nil
}

// seasonOf numbers the quarters of the year from December.
func seasonOf(day int) int {
	return int(time.Date(arcsYear, 1, day, 0, 0, 0, 0, time.UTC).Month()) % 12 / 3
}

// sunUpH is how long the sun stands above a level horizon on a day of the year.
func sunUpH(spot place.Spot, day int) float64 {
	jd, err := sun.CalendarDay(arcsYear, 1, 1)
	if err != nil {
		return 0
	}
	midnight := jd + sun.JulianDay(day-1) - sun.JulianDay(spot.Longitude/360)
	d := sun.DayFrom(midnight, sun.At(spot), sun.DeltaT(jd))
	switch {
	case d.PolarDay:
		return 24
	case d.Rises() && d.Sets():
		return float64(d.Set-d.Rise) * 24
	}
	return 0
}

// judge says in words what the figures come to.
func (d *Drive) judge(rig *rigfile.Rig) {
	d.Verdict = d.judgeTorque() + " " + d.judgeHold(rig)
	d.say("One step turns the panel by %.3f degrees and the gears leave %.2f degrees of play: under load it may point %.1f degrees from where it was told to, which loses %s of the beam.",
		d.StepDeg.Degrees(), d.BacklashDeg.Degrees(), d.Pointing.Total.Degrees(), shareText(1-d.Pointing.Total.Cos()))
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

func (d *Drive) judgeTorque() string {
	switch {
	case d.Margin >= 2:
		return fmt.Sprintf("The motor has %.1f times the torque that a move needs in a gust of %.0f m/s; twice is wanted.", d.Margin, d.MoveWindMS)
	case d.Margin >= 1:
		return fmt.Sprintf("The motor has only %.1f times the torque that a move needs in a gust of %.0f m/s; twice is wanted: gear it lower, turn slower, or let it wait for less wind.", d.Margin, d.MoveWindMS)
	}
	return fmt.Sprintf("The motor will lose steps: it has %.2g of the torque that a move needs in a gust of %.0f m/s. Gear it lower, turn slower, or let it wait for less wind.", d.Margin, d.MoveWindMS)
}

func (d *Drive) judgeHold(rig *rigfile.Rig) string {
	switch {
	case math.IsInf(d.Hold.OffNm, 1):
		return "With the motor off the worm holds the panel: wind does not turn it, but may break what holds."
	case d.TurnsOff.ForecastMS >= rig.WantedWindMS:
		return fmt.Sprintf("With the motor off the panel is held by %.2g Nm (%s), which lasts to %s.", d.Hold.OffNm, d.Hold.Kind, windText(d.TurnsOff))
	}
	return fmt.Sprintf("With the motor off only %.2g Nm (%s) hold the panel: %s turns it.", d.Hold.OffNm, d.Hold.Kind, windText(d.TurnsOff))
}

func (d *Drive) sayRemedies(rig *rigfile.Rig) {
	var ways []string
	for _, r := range d.Remedies {
		text := r.What
		if r.WhPerDay > 0 {
			text += fmt.Sprintf(", %.0f Wh a day", r.WhPerDay)
		}
		if r.BrakeNm > 0 {
			text += ", which every move must then overcome as well"
		}
		ways = append(ways, text)
	}
	if len(ways) > 0 {
		d.say("To hold in a forecast of %.0f m/s it wants one of these: %s.", rig.WantedWindMS, strings.Join(ways, "; "))
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
		"Gears and belt pinch: guard the mesh, and put a switch within reach that stops the motor.",
		"Lock the axle while you change the tilt by hand.",
		"Never unplug a motor from a live driver: the spark can destroy it.",
		"A stepper that is held on gets hot enough to burn fingers and to soften a printed mount.",
		"Stop the turning by something solid on both sides, besides the controller's own limits, and leave the cable a loop that never pulls tight.",
	}
}
