package answer

import (
	"math"
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
	Rig, Spot string
	Train     drive.Train
	Motor     drive.Motor
	Size      drive.FrameSize // of the motor

	StepDeg, FullStepDeg compass.Angle // of the panel: as the driver is set, and of the motor's full step
	StepsPerS            float64       // full steps of the motor at its speed
	SpeedDegPerS         float64       // of the panel
	BacklashDeg          compass.Angle
	Pointing             drive.Pointing // how far it may point from where it was told to, by cause
	StillAir             drive.Pointing // the same without wind

	MoveWindMS      float64 // gust in which it is to move
	TurningMomentNm float64 // of that gust
	Need            drive.Need
	TorqueNm        float64 // at the panel, that the motor gives at its speed before it loses steps
	Margin          float64 // of what is needed

	Hold              drive.Hold
	TurnsOff, TurnsOn stand.Limit    // wind that turns the panel with the coils off, and left on
	Remedies          []drive.Remedy // against wind, where the motor switched off does not hold
	HeatK             float64        // by which coils left on warm the motor

	Days        DriveDays // of the year
	Seasons     [4]DriveDays
	WakeEveryS  float64
	MoveDeg     compass.Angle // the sun's mean way, 15 degrees an hour, from look to look
	MoveS       float64       // what that takes
	MoveWh      float64
	LongestTurn compass.Angle // of a day, and back next morning
	ReturnS     float64
	ReturnWh    float64

	Wrap       drive.Wrap
	CableRange *[2]float64 // as the rig file has it

	Verdict  string
	Findings []string
	Cautions []string
	Assumed  []rigfile.Assumed

	accel float64 // degrees per second squared
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
		MoveDeg: compass.Angle(15 * rig.Board.WakeEveryS / 3600), accel: rig.Axle.AccelDegPerS2,
		Cautions: driveCautions(), Assumed: rig.AssumedFor(rigfile.ForDrive, rigfile.ForWind)}
	d.torques(rig, spot)
	d.year(rig, spot.Spot)
	d.moves()
	d.judge(rig)
	return d, nil
}

// torques sets what is needed beside what there is.
func (d *Drive) torques(rig *rigfile.Rig, spot rigfile.Spot) {
	body := bodyAt(rig, spot)
	own, _ := rig.Frame.Nearest(rig.Stand.Tilt)
	d.TurningMomentNm = turningNm(body, own, d.MoveWindMS)
	axle := rig.Axle
	axle.WindNm = d.TurningMomentNm
	d.Need = rig.Train.Need(axle)
	d.TorqueNm = rig.Train.TorqueAt(d.SpeedDegPerS)
	d.Margin = rig.Train.Margin(axle, d.SpeedDegPerS)
	d.Pointing = rig.Train.PointingError(d.Need.TotalNm)
	d.StillAir = rig.Train.PointingError(d.Need.TotalNm - d.Need.WindNm)
	d.Hold = rig.Train.Hold(axle)
	body.HoldingNm = d.Hold.OffNm
	d.TurnsOff = body.LimitsAt(own).Turns
	body.HoldingNm = d.Hold.OnNm
	d.TurnsOn = body.LimitsAt(own).Turns
	d.Size, _ = frameSize(rig.MotorFrame)
	d.HeatK = rig.Train.Stepper.HeatK(d.Size.KelvinPerW)
	d.Remedies = rig.Train.Remedies(axle, stand.WindFactor*turningNm(body, own, rig.WantedWindMS*body.GustPerForecast(own)))
}

// marginWith is the margin that the motor has left with a remedy, a brake more
// to overcome where it is one.
func (d *Drive) marginWith(r drive.Remedy) float64 { return d.TorqueNm / (d.Need.TotalNm + r.BrakeNm) }

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
func (d *Drive) year(rig *rigfile.Rig, spot place.Spot) {
	var turns []drive.Arc
	for _, a := range aim.Arcs(spot, arcsYear, 0) {
		turned := math.Abs(float64(a.To-a.From)) + float64(a.BeyondFrom+a.BeyondTo)
		turns = append(turns, drive.Arc(a))
		d.LongestTurn = max(d.LongestTurn, compass.Angle(turned))
		d.Seasons[seasonOf(a.Day)].TurnedDeg += 2 * turned
	}
	weeks := [4]float64{}
	for day := 4; day <= 365; day += 7 { // within a week a day grows evenly
		d.Seasons[seasonOf(day)].SunUpH += sunUpH(spot, day)
		weeks[seasonOf(day)]++
	}
	d.Days.Name = "the year"
	for k, days := range [4]float64{90, 92, 92, 91} {
		s := &d.Seasons[k]
		s.Name = [4]string{"December to February", "March to May", "June to August", "September to November"}[k]
		s.TurnedDeg /= days
		s.SunUpH /= weeks[k]
		d.draw(s, rig)
		d.Days.add(s, days/365)
	}
	d.Wrap = drive.WrapOf(turns)
}

// draw fills what a day draws: its moves from look to look, the way back, the
// looks and the sleep.
func (d *Drive) draw(s *DriveDays, rig *rigfile.Rig) {
	way := compass.Angle(s.TurnedDeg / 2)
	move := min(d.MoveDeg, way)
	if move > 0 {
		s.MotorWh = d.energyWh(move)*float64(way/move) + d.energyWh(way)
	}
	awakeH := s.SunUpH * math.Min(1, rig.Board.AwakeS/rig.Board.WakeEveryS)
	s.AwakeWh = awakeH * rig.Board.AwakeW
	s.AsleepWh = (24 - awakeH) * rig.Board.AsleepW
}

// energyWh is that of one move, speeding up and slowing down included.
func (d *Drive) energyWh(turn compass.Angle) float64 {
	return d.Motor.PowerW * d.Train.MoveTime(turn, d.SpeedDegPerS, d.accel) / 3600
}

// add adds a share of another stretch's day.
func (s *DriveDays) add(o *DriveDays, share float64) {
	s.TurnedDeg += share * o.TurnedDeg
	s.SunUpH += share * o.SunUpH
	s.MotorWh += share * o.MotorWh
	s.AwakeWh += share * o.AwakeWh
	s.AsleepWh += share * o.AsleepWh
}

// moves times the move from look to look and the longest return.
func (d *Drive) moves() {
	d.MoveDeg = min(d.MoveDeg, d.LongestTurn)
	d.MoveS, d.MoveWh = d.Train.MoveTime(d.MoveDeg, d.SpeedDegPerS, d.accel), d.energyWh(d.MoveDeg)
	d.ReturnS, d.ReturnWh = d.Train.MoveTime(d.LongestTurn, d.SpeedDegPerS, d.accel), d.energyWh(d.LongestTurn)
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
