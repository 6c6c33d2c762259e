package sheet

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
)

// Settings adds what is to be entered in the controller, to be ticked off.
func (d *Document) Settings(s *answer.Settings) {
	g := d.begin(s.Rig, "Settings", "What to enter in the controller"+atSpot(s.Spot)+". Tick what is entered and read back; write beside it what you enter instead. Clockwise is as seen from above. From: the rig file's key (*: left open there, taken as usual), or what it is worked out from.")
	if len(s.Warnings) > 0 {
		g.caution("First put this right", d.options.allWords(s.Warnings)...)
	}
	g.caution("Before you enter them", d.options.allWords(s.Cautions)...)
	columns := []column{{"", 7, false}, {"setting", 34, false}, {"enter", 21, true}, {"unit", 22, false}, {"what it is", 0, false}, {"from", 43, false}}
	for _, group := range s.Groups {
		g.heading(group.Name)
		var rows [][]string
		for _, r := range group.Rows {
			value, meaning := r.Value, d.options.words(r.Meaning)
			if chart.TextWidth(value, smallSize, false) > 17 { // a long word stands in the wide column
				value, meaning = "→", value+": "+meaning
			}
			rows = append(rows, []string{"", r.Name, value, r.Unit, meaning, strings.Replace(r.From, " (usual)", " *", 1)})
		}
		g.ticked(columns, rows)
	}
	g.assumed(len(s.Assumed))
}

// atSpot names a spot that has a name.
func atSpot(spot string) string {
	if spot == "" {
		return ""
	}
	return " at the spot " + spot
}

// assumed says on how many defaults a sheet rests.
func (g *galley) assumed(n int) {
	if n > 0 {
		g.note("Rests on " + strconv.Itoa(n) + " figures that the rig file leaves open and that were taken as usual; turnsole lists them. Measure what you can and write it into the rig file.")
	}
}

// lengths finds what is told in millimetres, but not square ones.
var lengths = regexp.MustCompile(`(\d+(?:\.\d+)?) mm([^0-9A-Za-z²]|$)`)

// words writes inches behind every length in millimetres, where asked for.
func (o Options) words(text string) string {
	if !o.Inches {
		return text
	}
	return lengths.ReplaceAllStringFunc(text, func(found string) string {
		part := lengths.FindStringSubmatch(found)
		v, err := strconv.ParseFloat(part[1], 64)
		if err != nil {
			return found
		}
		inch := inches(v / 1000)
		if v < 3 { // finer than a rule shows
			inch = strconv.FormatFloat(v/25.4, 'f', 3, 64) + " in"
		}
		return fmt.Sprintf("%s mm (%s)%s", part[1], inch, part[2])
	})
}

func (o Options) allWords(texts []string) []string {
	var all []string
	for _, t := range texts {
		all = append(all, o.words(t))
	}
	return all
}
