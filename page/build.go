package page

import (
	"context"
	"fmt"
	"strings"

	"turnsole/answer"
	"turnsole/drawing"
)

// buildStage tells what to buy, cut, enter and do first.
func buildStage(a *asker, _ bool) (*content, error) {
	shop, err := ask(a, "shopping", func(context.Context) (*answer.Shopping, error) { return answer.ListShopping(a.rig, a.spot) })
	if err != nil {
		return nil, err
	}
	cuts, err := ask(a, "cuts", func(context.Context) (*answer.CutList, error) { return answer.ListCuts(a.rig, a.spot) })
	if err != nil {
		return nil, err
	}
	set, err := ask(a, "settings", func(context.Context) (*answer.Settings, error) { return answer.ListSettings(a.rig, a.spot) })
	if err != nil {
		return nil, err
	}
	c := &content{Sentence: fmt.Sprintf("Saw %s from %.1f m of batten and %.2f m² of plywood; what is carried to the spot weighs %.1f kg.", pieceCount(cuts), cuts.TimberM, cuts.PlyM2, shop.CarriedKg),
		Warnings: set.Warnings, Findings: append(append(shop.Findings[:len(shop.Findings):len(shop.Findings)], cuts.Missing...), cuts.Decided...), Steps: cuts.Work,
		Cautions: append(append(shop.Cautions[:len(shop.Cautions):len(shop.Cautions)], cuts.Cautions...), set.Cautions...),
		Assumed:  together(shop.Assumed, cuts.Assumed, set.Assumed), Figures: buildFigures(shop, cuts)}
	c.Pictures = pieces(cuts)
	c.Tables = append(c.Tables, piecesTable(cuts))
	if len(cuts.Tilts) > 0 {
		c.Tables = append(c.Tables, builtTable(cuts))
	}
	c.Tables = append(c.Tables, shoppingTable(shop), cablesTable(shop), carriedTable(shop), enterTable(set))
	c.Sheets = []sheetLink{{"buy", "shopping list"}, {"cuts", "cut list"}, {"template", "templates at true size"}, {"wiring", "wiring"}, {"settings", "settings"}, {"first-power", "first power"}, {"all", "all of them"}}
	return c, nil
}

func pieceCount(cuts *answer.CutList) string {
	n := 0
	for _, p := range cuts.Pieces {
		n += p.Count
	}
	if n == 1 {
		return "1 piece"
	}
	return fmt.Sprintf("%d pieces", n)
}

func buildFigures(shop *answer.Shopping, cuts *answer.CutList) []figure {
	return []figure{
		{Name: "batten", Unit: "m", Value: cuts.TimberM, Digits: 1},
		{Name: "plywood", Unit: "m²", Value: cuts.PlyM2, Digits: 2},
		{Name: "carried", Unit: "kg", Value: shop.CarriedKg, Digits: 1},
	}
}

// pieces are the drawings of what is marked out.
func pieces(cuts *answer.CutList) (all []picture) {
	for i := range cuts.Pieces {
		p := &cuts.Pieces[i]
		if len(p.Marks) == 0 || p.Material == answer.Plywood {
			continue
		}
		all = append(all, picture{Name: "piece-" + strings.ToLower(p.Letter), Title: p.Letter + ": " + p.Name, Wide: drawing.Piece(p, wideMM, mm), Narrow: drawing.Piece(p, narrowMM, mm), Named: true})
	}
	return append(all, picture{Name: "plate", Title: "The axle plate from above", Wide: drawing.Plate(&cuts.Plate, 140, mm), Narrow: drawing.Plate(&cuts.Plate, narrowMM, mm), About: plateWords(&cuts.Plate)})
}

func plateWords(p *answer.AxlePlate) string {
	words := fmt.Sprintf("The plate is %s by %s mm of plywood, %s mm thick; the axle's hole, %s mm across, is %s mm from its left edge.", mm(p.LengthM), mm(p.WidthM), mm(p.ThickM), mm(p.AxleHoleM), mm(p.AxleM))
	if p.Why != "" {
		words += " " + strings.ToUpper(p.Why[:1]) + p.Why[1:]
	}
	return words
}

func piecesTable(cuts *answer.CutList) table {
	t := table{Name: "pieces", Title: "Every piece, whole millimetres", Words: true, Heads: [][]string{{"piece", "name", "count", "length, mm", "section, mm", "how"}}}
	for _, p := range cuts.Pieces {
		cross := mm(p.HeightM) + " x " + mm(p.ThickM)
		switch p.Material {
		case answer.Plywood:
			cross += " plywood"
		case answer.Bar:
			cross = "round " + mm(p.HeightM)
		}
		t.Rows = append(t.Rows, []string{p.Letter, p.Name, fmt.Sprint(p.Count), mm(p.LengthM), cross, strings.Join(p.Remarks, "; ")})
	}
	return t
}

func builtTable(cuts *answer.CutList) table {
	t := table{Name: "tilts", Title: "What it should then give", Heads: [][]string{{"front stop", "notch or prop", "tilt asked, °", "as cut, °", "2 mm off moves it, °", "most by"}}}
	for _, b := range cuts.Tilts {
		t.Rows = append(t.Rows, []string{count(b.Front), count(b.Back), decimals(b.Asked.Degrees(), 1), decimals(b.Tilt.Degrees(), 1), decimals(b.Error.Degrees(), 1), b.ErrorOf})
	}
	return t
}

func shoppingTable(shop *answer.Shopping) table {
	t := table{Name: "shopping", Title: "What to get", Words: true, Heads: [][]string{{"what", "where", "how many", "rating", "must fit"}}}
	for _, g := range shop.Groups {
		for _, item := range g.Items {
			t.Rows = append(t.Rows, []string{item.What, g.Name, item.Many, item.Rating, strings.TrimPrefix(item.MustFit, "must fit ")})
		}
	}
	return t
}

func cablesTable(shop *answer.Shopping) table {
	t := table{Name: "cables", Title: "Cable by run", Words: true, Heads: [][]string{{"run", "size", "cores", "one way, m", "get of each, m"}}}
	for _, c := range shop.Cables {
		t.Rows = append(t.Rows, []string{c.Run, c.Size, c.Cores, decimals(c.LengthM, 1), decimals(c.BuyM, 1)})
	}
	return t
}

func carriedTable(shop *answer.Shopping) table {
	t := table{Name: "carried", Title: "What is carried", Words: true, Heads: [][]string{{"what", "kg", "by"}}}
	for _, w := range shop.Carried {
		t.Rows = append(t.Rows, []string{w.What, decimals(w.Kg, 1), w.From})
	}
	t.Rows = append(t.Rows, []string{"all together", decimals(shop.CarriedKg, 1), fmt.Sprintf("%d things", len(shop.Carried))})
	return t
}

func enterTable(set *answer.Settings) table {
	t := table{Name: "enter", Title: "What to enter in the controller", Words: true, Heads: [][]string{{"setting", "enter", "unit", "what it is", "from"}}}
	for _, g := range set.Groups {
		for _, r := range g.Rows {
			t.Rows = append(t.Rows, []string{r.Name, r.Value, r.Unit, r.Meaning, r.From})
		}
	}
	return t
}
