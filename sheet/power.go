package sheet

import (
	"turnsole/answer"
)

// partHigh is room for a part's name, its hazard and the first of its steps, mm.
const partHigh = 62

// FirstPower adds how to bring current to the rig for the first time, step by
// step, each with what must then be seen.
func (d *Document) FirstPower(f *answer.FirstPower) {
	g := d.begin(f.Rig, "First power", "In this order. Tick a step only when what must be seen is seen; if it is not, stop and read the last column but one. Write down what you measure: it is what the stand is compared with when something fails.")
	g.caution("All along", d.options.allWords(f.Cautions)...)
	columns := []column{{"", 7, false}, {"", 8, true}, {"do", 0, false}, {"must be seen", 48, false}, {"if not", 51, false}, {"found", 17.5, true}}
	step := 0
	for _, part := range f.Parts {
		if part.Hazard != "" {
			g.need(partHigh)
		}
		g.heading(part.Name)
		if part.Hazard != "" {
			g.caution("Take care", d.options.words(part.Hazard))
		}
		var rows [][]string
		for _, s := range part.Steps {
			step++
			rows = append(rows, []string{"", number(step), d.options.words(s.Do), d.options.words(s.See), d.options.words(s.Else), blank(s.Write)})
		}
		g.ticked(columns, rows)
	}
	g.assumed(len(f.Assumed))
}

// blank is room to write a figure in front of its unit.
func blank(unit string) string {
	if unit == "" {
		return ""
	}
	return "____ " + unit
}
