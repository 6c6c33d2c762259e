package page

import (
	"context"
	"fmt"

	"turnsole/answer"
	"turnsole/drawing"
	"turnsole/rigfile"
)

// driveStage tells gears, motor, cables and fuses.
func driveStage(a *asker, _ bool) (*content, error) {
	d, err := ask(a, "drive", func(context.Context) (*answer.Drive, error) { return answer.LookAtDrive(a.rig, a.spot) })
	if err != nil {
		return nil, err
	}
	w, err := ask(a, "wires", func(context.Context) (*answer.Wire, error) { return answer.SizeWires(a.rig) })
	if err != nil {
		return nil, err
	}
	c := &content{Sentence: d.Verdict, More: []string{w.Verdict}, Findings: append(d.Findings[:len(d.Findings):len(d.Findings)], w.Findings...),
		Cautions: append(d.Cautions[:len(d.Cautions):len(d.Cautions)], w.Cautions...), Assumed: together(d.Assumed, w.Assumed), Figures: driveFigures(d)}
	for _, p := range w.Problems {
		c.Warnings = append(c.Warnings, p.Key+": "+p.Text)
	}
	diagram := drawing.Wiring(w, wideMM, far)
	c.Pictures = append(c.Pictures, picture{Name: "wiring", Title: "The way of the current", Wide: diagram, Narrow: diagram, About: w.Verdict})
	c.Tables = append(c.Tables, torqueTable(d), drawTable(d), runsTable(w), blindTable(w))
	c.Sheets = []sheetLink{{"wiring", "wiring"}}
	return c, nil
}

// together are the defaults of several answers, each told once.
func together(lists ...[]rigfile.Assumed) (all []rigfile.Assumed) {
	seen := map[string]bool{}
	for _, list := range lists {
		for _, as := range list {
			if !seen[as.Key+as.Value] {
				all = append(all, as)
			}
			seen[as.Key+as.Value] = true
		}
	}
	return all
}

func driveFigures(d *answer.Drive) []figure {
	return []figure{
		{Name: "a step turns the panel", Unit: "°", Value: d.StepDeg.Degrees(), Digits: 4},
		{Name: "play", Unit: "°", Value: d.BacklashDeg.Degrees(), Digits: 2},
		{Name: "torque over need", Unit: "times", Value: d.Margin, Digits: 1},
		{Name: "wind turns it at a forecast of", Unit: "m/s", Value: d.TurnsOff.ForecastMS, Digits: 1, Text: metres(d.TurnsOff.ForecastMS)},
		{Name: "own use", Unit: "Wh a day", Value: d.Days.Wh(), Digits: 2},
	}
}

func torqueTable(d *answer.Drive) table {
	t := table{Name: "torque", Title: "Torque at the panel", Heads: [][]string{{"what", "Nm"}}}
	row := func(name string, nm float64) { t.Rows = append(t.Rows, []string{name, locked(nm)}) }
	row("bearing", d.Need.BearingNm)
	row("to start and stop", d.Need.InertiaNm)
	row("axle out of plumb", d.Need.PlumbNm)
	row(fmt.Sprintf("a gust of %.0f m/s", d.MoveWindMS), d.Need.WindNm)
	if d.Need.BrakeNm > 0 {
		row("brake", d.Need.BrakeNm)
	}
	row("a move needs, at its worst", d.Need.TotalNm)
	row(fmt.Sprintf("the motor gives at %.3g °/s", d.SpeedDegPerS), d.TorqueNm)
	row("holds with the motor off ("+d.Hold.Kind+")", d.Hold.OffNm)
	row("holds with the coils left on", d.Hold.OnNm)
	return t
}

func drawTable(d *answer.Drive) table {
	t := table{Name: "own-use", Title: "What it draws, Wh a day", Heads: [][]string{{"season", "motor", "awake", "asleep", "all", "turned, °"}}}
	for _, s := range append(d.Seasons[:], d.Days) {
		t.Rows = append(t.Rows, []string{s.Name, decimals(s.MotorWh, 2), decimals(s.AwakeWh, 2), decimals(s.AsleepWh, 2), decimals(s.Wh(), 2), decimals(s.TurnedDeg, 0)})
	}
	return t
}

func runsTable(w *answer.Wire) table {
	t := table{Name: "runs", Title: "Cables and fuses", Heads: [][]string{{"run", "current, A", "length one way, m", "cable", "drop, %", "warms by, K", "fuse, A"}}}
	for _, r := range w.Runs {
		fuse := none
		if r.FuseA > 0 {
			fuse = fmt.Sprintf("%g", r.FuseA)
		}
		t.Rows = append(t.Rows, []string{r.Name, decimals(r.CurrentA, 2), fmt.Sprintf("%.3g", r.LengthM), r.Cable.Name, decimals(r.DropFraction*100, 1), decimals(r.RiseC, 0), fuse})
		t.Notes = append(t.Notes, "Fuse of "+r.Name+": "+r.FuseWhy+".")
	}
	return t
}

func blindTable(w *answer.Wire) table {
	t := table{Name: "sensor", Title: "What the current sensor cannot see", Heads: [][]string{{"panel gives, A", "blind below, °", "which loses, %"}}}
	for _, b := range w.Blind {
		t.Rows = append(t.Rows, []string{decimals(b.CurrentA, 2), decimals(b.Blind.Degrees(), 1), decimals(b.Lost*100, 2)})
	}
	return t
}
