package sheet

import (
	"regexp"
	"strconv"

	"turnsole/answer"
)

// box is a cell of a table that holds a square to be ticked.
const box = "□"

// Settings adds what is to be entered in the controller, to be ticked off.
func (d *Document) Settings(s *answer.Settings) {
	g := d.begin(s.Rig, "Settings", "What to enter in the controller"+atSpot(s.Spot)+". Tick what is entered and read back; write beside it what you enter instead. Angles in degrees; turns are as seen from above.")
	if len(s.Warnings) > 0 {
		g.caution("First put this right", d.options.allWords(s.Warnings)...)
	}
	columns := []column{{"", 7, false}, {"setting", 38, false}, {"enter", 26, true}, {"unit", 25, false}, {"what it is", 0, false}, {"where it comes from", 35, false}}
	for _, group := range s.Groups {
		g.heading(group.Name)
		var rows [][]string
		for _, r := range group.Rows {
			rows = append(rows, []string{box, r.Name, r.Value, r.Unit, d.options.words(r.Meaning), r.From})
		}
		g.table(columns, rows)
	}
	g.caution("Before you enter them", d.options.allWords(s.Cautions)...)
	g.assumed(len(s.Assumed))
}

// atSpot names a spot that has a name.
func atSpot(spot string) string {
	if spot == "" {
		return ""
	}
	return " at " + spot
}

// assumed says on how many defaults a sheet rests.
func (g *galley) assumed(n int) {
	if n > 0 {
		g.note("Rests on " + strconv.Itoa(n) + " figures that the rig file leaves open and that were taken as usual; turnsole lists them. Measure what you can and write it into the rig file.")
	}
}

// lengths finds what is told in millimetres, but not square ones.
var lengths = regexp.MustCompile(`(\d+(?:\.\d+)?) mm\b`)

// words writes inches behind every length in millimetres, where asked for.
func (o Options) words(text string) string {
	if !o.Inches {
		return text
	}
	return lengths.ReplaceAllStringFunc(text, func(found string) string {
		v, err := strconv.ParseFloat(lengths.FindStringSubmatch(found)[1], 64)
		if err != nil {
			return found
		}
		return found + " (" + inches(v/1000) + ")"
	})
}

func (o Options) allWords(texts []string) []string {
	var all []string
	for _, t := range texts {
		all = append(all, o.words(t))
	}
	return all
}
