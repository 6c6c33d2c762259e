package main

import (
	"fmt"
	"io"

	"charm.land/lipgloss/v2"

	"turnsole/answer"
)

type wireCommand struct{ rigFlags }

type wireJSON struct {
	Runs        []runJSON     `json:"runs" doc:"every cable from the panel to the loads"`
	Sensor      sensorJSON    `json:"sensor" doc:"what the controller's current sensor can tell"`
	ColdVoc     float64       `json:"cold_voc_v" doc:"the panel's open voltage at -10 C, which the charge controller must bear"`
	Problems    []badPartJSON `json:"problems" doc:"what must not be built as the rig file has it"`
	Verdict     string        `json:"verdict" doc:"in words"`
	Findings    []string      `json:"findings" doc:"what stands behind it, a sentence each"`
	Cautions    []string      `json:"cautions" doc:"to be read with the figures"`
	AssumedKeys []assumedJSON `json:"assumed" doc:"every default that the answer rests on"`
}

type runJSON struct {
	Name     string   `json:"name"`
	Section  string   `json:"section" doc:"of the rig file, where its cable, cable_length and fuse belong"`
	MM2      float64  `json:"mm2" doc:"cross-section of one conductor"`
	Cable    string   `json:"cable" doc:"its name, and the other system's next size"`
	LengthM  float64  `json:"length_m" doc:"one way"`
	CurrentA float64  `json:"current_a" doc:"the largest that lasts"`
	Drop     float64  `json:"drop_fraction" doc:"of the voltage at its start, at that current"`
	DropV    float64  `json:"drop_v"`
	LossW    float64  `json:"loss_w"`
	RiseK    float64  `json:"rise_k" doc:"of the conductor above the air"`
	MaxA     float64  `json:"max_a" doc:"that the cable carries for good in air of 35 C"`
	FuseA    *float64 `json:"fuse_a" doc:"null where it has none"`
	FuseAt   string   `json:"fuse_at" doc:"where the fuse sits and why, or why there is none"`
	Why      string   `json:"why" doc:"why this cable"`
}

type sensorJSON struct {
	StepA       float64     `json:"step_a" doc:"one step of the converter"`
	ResolutionA float64     `json:"resolution_a" doc:"smallest difference that its averaged reading tells"`
	Blind       []blindJSON `json:"blind" doc:"by brightness"`
}

type blindJSON struct {
	CurrentA float64 `json:"current_a" doc:"of the panel at perfect aim"`
	BlindDeg float64 `json:"blind_deg" doc:"smallest misalignment that the sensor tells from perfect aim"`
	Lost     float64 `json:"lost" doc:"share of the current that it loses"`
}

type badPartJSON struct {
	Key  string `json:"key"`
	Text string `json:"text"`
}

func (c *wireCommand) Run(d *desk) error {
	rig, err := c.read()
	if err != nil {
		return err
	}
	a, err := answer.SizeWires(rig)
	if err != nil {
		return err
	}
	return put(d, c.JSON, a, wiringWire, tellWiring)
}

func wiringWire(a *answer.Wire) wireJSON {
	out := wireJSON{ColdVoc: a.ColdVocV, Problems: []badPartJSON{}, Verdict: a.Verdict,
		Findings: orEmpty(a.Findings), Cautions: orEmpty(a.Cautions), AssumedKeys: assumedWire(a.Assumed),
		Sensor: sensorJSON{StepA: a.Sensor.StepA(), ResolutionA: a.Sensor.ResolutionA()}}
	for _, r := range a.Runs {
		one := runJSON{Name: r.Name, Section: r.Key, MM2: r.Cable.AreaMM2, Cable: answer.CableText(r.Cable), LengthM: r.LengthM, CurrentA: r.CurrentA,
			Drop: r.DropFraction, DropV: r.DropV, LossW: r.LossW, RiseK: r.RiseC, MaxA: r.CarriesA, FuseAt: r.FuseWhy, Why: r.Why}
		if r.FuseA > 0 {
			one.FuseA = known(r.FuseA)
		}
		out.Runs = append(out.Runs, one)
	}
	for _, b := range a.Blind {
		out.Sensor.Blind = append(out.Sensor.Blind, blindJSON{b.CurrentA, b.Blind.Degrees(), b.Lost})
	}
	for _, p := range a.Problems {
		out.Problems = append(out.Problems, badPartJSON(p))
	}
	return out
}

func tellWiring(w io.Writer, a *answer.Wire) {
	say(w, "", a.Rig+".")
	fmt.Fprintln(w)
	say(w, "", lipgloss.NewStyle().Bold(true).Render(a.Verdict))
	fmt.Fprintln(w)
	for _, p := range a.Problems {
		say(w, "! ", p.Key+": "+p.Text)
	}
	for _, f := range a.Findings {
		say(w, "  ", f)
	}
	t := plainTable([]string{"run", "current", "length", "cable", "drop", "warms", "fuse"}, []string{"", "A", "one way, m", "", "%", "by, K", "A"})
	for _, r := range a.Runs {
		fuse := "–"
		if r.FuseA > 0 {
			fuse = fmt.Sprintf("%g", r.FuseA)
		}
		t.Row(r.Name, fmt.Sprintf("%.2f", r.CurrentA), fmt.Sprintf("%.3g", r.LengthM), r.Cable.Name, fmt.Sprintf("%.1f", r.DropFraction*100), fmt.Sprintf("%.0f", r.RiseC), fuse)
	}
	b := plainTable([]string{"panel gives", "sensor is blind below", "which loses"}, []string{"A", "°", "%"})
	for _, row := range a.Blind {
		b.Row(fmt.Sprintf("%.2f", row.CurrentA), fmt.Sprintf("%.1f", row.Blind.Degrees()), fmt.Sprintf("%.2f", row.Lost*100))
	}
	fmt.Fprintf(w, "\n%s\n\n", t)
	for _, r := range a.Runs {
		say(w, "  ", "Fuse of "+r.Name+": "+r.FuseWhy+".")
	}
	fmt.Fprintf(w, "\n%s\n", b)
	tellCautions(w, a.Cautions)
	tellAssumedKeys(w, a.Assumed)
}
