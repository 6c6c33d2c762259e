package sheet

import (
	"fmt"
	"strings"

	"turnsole/answer"
	"turnsole/drawing"
)

// Wiring adds the wiring: a diagram, every run with cable and fuse, and what
// the current sensor can see.
func (d *Document) Wiring(w *answer.Wire) {
	g := d.begin(w.Rig, "Wiring", "Cables, fuses and in which order to connect them. Lengths are one way; every run is a pair, red for plus and black for minus.")
	g.caution("Before you touch a wire", w.Cautions...)
	if len(w.Problems) > 0 {
		var texts []string
		for _, p := range w.Problems {
			texts = append(texts, p.Key+": "+p.Text+".")
		}
		g.heading("Not to be built as the rig file has it")
		g.points(texts)
	}
	g.gap(2)
	g.picture(drawing.Wiring(w, g.width, d.options.far))
	g.note("A box on a line is a fuse. The dashed line is the sensor's signal to the controller.")
	g.runs(w)
	g.fuses(w)
	g.order()
	g.sensorSees(w)
}

func (g *galley) runs(w *answer.Wire) {
	g.heading("Every run")
	var rows [][]string
	for _, r := range w.Runs {
		fuse := "none"
		if r.FuseA > 0 {
			fuse = fmt.Sprintf("%g", r.FuseA)
		}
		rows = append(rows, []string{r.Name, g.doc.options.far(r.LengthM), figure(r.CurrentA, 1), squared(answer.CableText(r.Cable)), figure(100*r.DropFraction, 1), figure(r.RiseC, 0), fuse})
	}
	g.table([]column{{head: "run"}, {head: "one way", mm: 27, right: true}, {head: "current, A", mm: 19, right: true}, {head: "cable", mm: 34, right: true}, {head: "drop, %", mm: 16, right: true},
		{head: "warmer by, K", mm: 20, right: true}, {head: "fuse, A", mm: 15, right: true}}, rows)
}

// fuses says where each fuse sits, runs with the same place together.
func (g *galley) fuses(w *answer.Wire) {
	g.heading("Where the fuses sit")
	var places []string
	of := map[string][]string{}
	for _, r := range w.Runs {
		words := r.Name
		if r.FuseA > 0 {
			words += fmt.Sprintf(" (%g A)", r.FuseA)
		}
		if of[r.Where] == nil {
			places = append(places, r.Where)
		}
		of[r.Where] = append(of[r.Where], words)
	}
	var items []string
	for _, place := range places {
		items = append(items, sentence(strings.Join(of[place], ", ")+": "+place))
	}
	g.points(items)
}

func (g *galley) order() {
	g.heading("In this order")
	g.steps([]string{
		"Cover the panel with something opaque. Leave every fuse out.",
		"Run the cables with no plug made; pull each one by hand at both ends, and leave a drip loop below every entry of the box.",
		"Measure from plus to minus on each run with a continuity tester: it must be silent.",
		"Bring current to controller, driver and motor as the first-power sheet says, the panel not yet mounted: the driver's limit is set before the motor is plugged in.",
		"Connect charge controller to battery. Put in the fuse at the battery, last of this run. The controller must show the battery's voltage.",
		"Connect the panel to the charge controller, plus to plus: lift its cover a moment and try the plugs with a voltmeter, cover it again, then plug. Then put in its fuse and uncover it.",
		"Connect the loads, one fuse at a time.",
	})
}

// sensorSees is what the sensor can and cannot tell.
func (g *galley) sensorSees(w *answer.Wire) {
	g.heading("What the current sensor can see")
	var rows [][]string
	for _, b := range w.Blind {
		blind := figure(b.Blind.Degrees(), 1)
		if b.Blind >= 180 {
			blind = "nothing"
		}
		rows = append(rows, []string{figure(b.CurrentA, 2), blind, figure(100*b.Lost, 1)})
	}
	g.table([]column{{head: "panel's current when aimed, A", mm: 56, right: true}, {head: "cannot tell from perfect aim, degrees off", mm: 66, right: true}, {head: "lost there, %", mm: 30, right: true}}, rows)
	g.points(w.Findings)
}
