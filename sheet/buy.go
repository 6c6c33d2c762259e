package sheet

import (
	"fmt"
	"strings"

	"turnsole/answer"
)

// Buy adds the shopping list.
func (d *Document) Buy(s *answer.Shopping) {
	g := d.begin(s.Rig, "Shopping list", "What to get, what each thing must bear, and what it must fit. Take this sheet along and tick.")
	if len(s.Findings) > 0 {
		g.heading("Before you order")
		g.points(s.Findings)
	}
	g.caution("When you choose", s.Cautions...)
	for i, group := range s.Groups {
		g.heading(group.Name)
		g.shopping(group, i == 0)
	}
	g.cables(s)
	g.masses(s)
}

func (g *galley) shopping(group answer.ShoppingGroup, headed bool) {
	var rows [][]string
	for _, item := range group.Items {
		rows = append(rows, []string{"", item.What, item.Many, squared(item.Rating), squared(strings.TrimPrefix(item.MustFit, "must fit "))})
	}
	columns := []column{{head: "", mm: 7}, {head: "what", mm: 46}, {head: "how many", mm: 20}, {head: "rating", mm: 50}, {head: "must fit"}}
	g.rule(columns, rows, ruling{ticked: true, headless: !headed})
}

// cables is the cable by run.
func (g *galley) cables(s *answer.Shopping) {
	g.heading("Cable by run")
	g.note("Metres of each colour or core, a tenth more than the run is long. Red is plus, black is minus, everywhere.")
	var rows [][]string
	for _, c := range s.Cables {
		rows = append(rows, []string{"", c.Run, squared(c.Size), c.Cores, g.doc.options.far(c.LengthM), g.doc.options.far(c.BuyM)})
	}
	g.ticked([]column{{head: "", mm: 7}, {head: "run"}, {head: "size", mm: 34}, {head: "cores", mm: 28}, {head: "one way", mm: 27, right: true}, {head: "get, of each", mm: 27, right: true}}, rows)
}

// masses is what is carried to the spot.
func (g *galley) masses(s *answer.Shopping) {
	g.need(28 + 6*float64(len(s.Carried)))
	g.heading("What is carried")
	var rows [][]string
	for _, w := range s.Carried {
		rows = append(rows, []string{w.What, g.doc.options.mass(w.Kg), w.From})
	}
	rows = append(rows, []string{"all together", g.doc.options.mass(s.CarriedKg), fmt.Sprintf("%d things", len(s.Carried))})
	g.table([]column{{head: "what", mm: 64}, {head: "mass", mm: 34, right: true}, {head: "by"}}, rows)
}
