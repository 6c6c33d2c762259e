package main

import (
	"fmt"
	"io"

	"charm.land/lipgloss/v2"

	"turnsole/answer"
)

type driveCommand struct {
	rigFlags
	spotFlag
}

type driveJSON struct {
	Spot        string        `json:"spot" doc:"name of the spot, empty where the rig file has one without a name"`
	PerStep     float64       `json:"degrees_per_step" doc:"of the panel, one step as the driver is set (a microstep)"`
	PerFullStep float64       `json:"degrees_per_full_step" doc:"of the panel, one full step of the motor"`
	Ratio       float64       `json:"ratio" doc:"turns of the motor to one of the panel"`
	Efficiency  float64       `json:"efficiency" doc:"of the gears"`
	Backlash    float64       `json:"backlash_deg" doc:"play of the panel with the motor held"`
	Pointing    *float64      `json:"pointing_error_deg" doc:"how far it may point from where it was told to: step, motor, load and play; null where steps are lost"`
	Torque      float64       `json:"torque_nm" doc:"at the panel, beyond which the motor falls out of step at its speed"`
	Needed      float64       `json:"needed_nm" doc:"what a move asks for at its worst"`
	Need        needJSON      `json:"need" doc:"the parts of that"`
	Margin      *float64      `json:"torque_margin" doc:"torque over needed; 2 is wanted"`
	MoveWind    float64       `json:"move_wind_m_s" doc:"gust in which it is to move"`
	HoldOff     *float64      `json:"hold_off_nm" doc:"what holds the panel with the motor off; null for a worm that locks"`
	HoldOn      *float64      `json:"hold_on_nm" doc:"with the coils left on"`
	HeldBy      string        `json:"held_by" doc:"what holds most with the motor off: worm, brake, detent or bearing"`
	TurnsOff    limitJSON     `json:"turns_off" doc:"wind that turns the panel with the motor off"`
	TurnsOn     limitJSON     `json:"turns_on" doc:"wind that turns it with the coils left on"`
	WhPerDay    whPerDayJSON  `json:"wh_per_day" doc:"mean of the year"`
	Seasons     []seasonJSON  `json:"seasons" doc:"the same by quarters of the year"`
	CoilsWh     float64       `json:"coils_on_wh_per_day" doc:"what coils left on would burn"`
	HeatK       float64       `json:"standstill_heat_k" doc:"by which they would warm the motor, hung free; from memory"`
	MoveDeg     float64       `json:"move_deg" doc:"the sun's mean way from look to look"`
	MoveS       float64       `json:"move_s" doc:"time of such a move"`
	MoveWh      float64       `json:"move_wh" doc:"its energy"`
	ReturnDeg   float64       `json:"return_deg" doc:"the longest morning return"`
	ReturnS     float64       `json:"return_s" doc:"its time"`
	ReturnWh    float64       `json:"return_wh" doc:"its energy"`
	Wrap        float64       `json:"cable_wrap_deg" doc:"range of headings that the cable must take over the year"`
	WrapLow     float64       `json:"cable_low_deg" doc:"its lower end, a heading"`
	WrapHigh    float64       `json:"cable_high_deg" doc:"its upper end, counted on past 360"`
	StopAt      float64       `json:"stop_at_deg" doc:"heading where the end stops belong"`
	WrapWhy     string        `json:"cable_why" doc:"why that range"`
	Verdict     string        `json:"verdict" doc:"in words"`
	Findings    []string      `json:"findings" doc:"what stands behind it, a sentence each"`
	Cautions    []string      `json:"cautions" doc:"to be read with the figures"`
	Assumed     []assumedJSON `json:"assumed" doc:"every default that the answer rests on"`
}

type needJSON struct {
	Bearing float64 `json:"bearing_nm" doc:"friction"`
	Inertia float64 `json:"inertia_nm" doc:"to start and stop"`
	Plumb   float64 `json:"plumb_nm" doc:"an off-centre panel on an axle out of plumb"`
	Wind    float64 `json:"wind_nm" doc:"the gust in which it is to move"`
	Brake   float64 `json:"brake_nm" doc:"a friction brake"`
}

type whPerDayJSON struct {
	Motor  float64 `json:"motor" doc:"moves and return"`
	Awake  float64 `json:"awake" doc:"the board while it looks"`
	Asleep float64 `json:"asleep" doc:"the board the rest of day and night"`
}

type seasonJSON struct {
	Season    string  `json:"season"`
	TurnedDeg float64 `json:"turned_deg" doc:"degrees a day, there and back"`
	whPerDayJSON
}

func (c *driveCommand) Run(d *desk) error {
	rig, err := c.read()
	if err != nil {
		return err
	}
	a, err := answer.LookAtDrive(rig, c.Spot)
	if err != nil {
		return err
	}
	return put(d, c.JSON, a, driveWire, tellDrive)
}

func driveWire(a *answer.Drive) driveJSON {
	out := driveJSON{Spot: a.Spot, PerStep: a.StepDeg.Degrees(), PerFullStep: a.FullStepDeg.Degrees(),
		Ratio: a.Train.Ratio(), Efficiency: a.Train.Efficiency(), Backlash: a.BacklashDeg.Degrees(), Pointing: known(a.Pointing.Total.Degrees()),
		Torque: a.TorqueNm, Needed: a.Need.TotalNm, Margin: known(a.Margin), MoveWind: a.MoveWindMS,
		Need:    needJSON{a.Need.BearingNm, a.Need.InertiaNm, a.Need.PlumbNm, a.Need.WindNm, a.Need.BrakeNm},
		HoldOff: known(a.Hold.OffNm), HoldOn: known(a.Hold.OnNm), HeldBy: a.Hold.Kind, TurnsOff: limitWire(a.TurnsOff), TurnsOn: limitWire(a.TurnsOn),
		WhPerDay: whPerDay(a.Days), CoilsWh: a.Hold.CoilsWhPerDay, HeatK: a.HeatK,
		MoveDeg: a.MoveDeg.Degrees(), MoveS: a.MoveS, MoveWh: a.MoveWh, ReturnDeg: a.LongestTurn.Degrees(), ReturnS: a.ReturnS, ReturnWh: a.ReturnWh,
		Wrap: a.Wrap.Degrees.Degrees(), WrapLow: a.Wrap.Low.Degrees(), WrapHigh: a.Wrap.High.Degrees(), StopAt: a.Wrap.StopAt.Degrees(), WrapWhy: a.Wrap.Why,
		Verdict: a.Verdict, Findings: orEmpty(a.Findings), Cautions: orEmpty(a.Cautions), Assumed: assumedWire(a.Assumed)}
	for _, s := range a.Seasons {
		out.Seasons = append(out.Seasons, seasonJSON{s.Name, s.TurnedDeg, whPerDay(s)})
	}
	return out
}

func whPerDay(d answer.DriveDays) whPerDayJSON { return whPerDayJSON{d.MotorWh, d.AwakeWh, d.AsleepWh} }

func tellDrive(w io.Writer, a *answer.Drive) {
	say(w, "", title(a.Rig, a.Spot)+".")
	fmt.Fprintln(w)
	say(w, "", lipgloss.NewStyle().Bold(true).Render(a.Verdict))
	fmt.Fprintln(w)
	for _, f := range a.Findings {
		say(w, "  ", f)
	}
	fmt.Fprintf(w, "\n%s\n\n%s\n", torqueTable(a), drawTable(a))
	tellCautions(w, a.Cautions)
	tellAssumedKeys(w, a.Assumed)
}

func torqueTable(a *answer.Drive) string {
	nm := func(x float64) string {
		if known(x) == nil {
			return "locked"
		}
		return fmt.Sprintf("%.2f", x)
	}
	t := plainTable([]string{"torque at the panel", "Nm"})
	t.Row("bearing", nm(a.Need.BearingNm))
	t.Row("to start and stop", nm(a.Need.InertiaNm))
	t.Row("axle out of plumb", nm(a.Need.PlumbNm))
	t.Row(fmt.Sprintf("a gust of %.0f m/s", a.MoveWindMS), nm(a.Need.WindNm))
	if a.Need.BrakeNm > 0 {
		t.Row("brake", nm(a.Need.BrakeNm))
	}
	t.Row("a move needs, at its worst", nm(a.Need.TotalNm))
	t.Row(fmt.Sprintf("the motor gives at %.3g °/s", a.SpeedDegPerS), nm(a.TorqueNm))
	t.Row("holds with the motor off ("+a.Hold.Kind+")", nm(a.Hold.OffNm))
	t.Row("holds with the coils left on", nm(a.Hold.OnNm))
	return t.String()
}

func drawTable(a *answer.Drive) string {
	t := plainTable([]string{"Wh a day", "motor", "awake", "asleep", "all", "turned, °"})
	row := func(d answer.DriveDays) {
		t.Row(d.Name, fmt.Sprintf("%.2f", d.MotorWh), fmt.Sprintf("%.2f", d.AwakeWh), fmt.Sprintf("%.2f", d.AsleepWh), fmt.Sprintf("%.2f", d.Wh()), fmt.Sprintf("%.0f", d.TurnedDeg))
	}
	for _, s := range a.Seasons {
		row(s)
	}
	row(a.Days)
	return t.String()
}
