package sheet

import (
	"fmt"
	"math"
	"strings"

	"turnsole/answer"
	"turnsole/drawing"
)

// Cuts adds the cut list: every piece with its measures, a drawing of each that
// is marked out, and what the notches should then give.
func (d *Document) Cuts(c *answer.CutList) {
	g := d.begin(c.Rig, "Cut list", fmt.Sprintf("Every piece of wood, in whole millimetres. Get %.1f m of batten %s: a tenth more than the pieces together.", c.TimberM, d.options.section(c)))
	g.caution("Before you saw", c.Cautions...)
	g.pieces(c)
	if len(c.Missing) > 0 {
		g.heading("What the rig file does not tell")
		g.points(c.Missing)
	}
	g.heading("Taken as is usual")
	g.note("The rig file says nothing on these (common practice, no source); change them where yours differ.")
	g.points(c.Decided)
	if len(c.Work) > 0 {
		g.heading("In this order")
		g.steps(c.Work)
	}
	g.drawings(c)
	g.tilts(c)
}

// section is a batten's cross-section.
func (o Options) section(c *answer.CutList) string {
	return mm(c.Timber.WidthM) + " x " + o.length(c.Timber.HeightM)
}

// pieces is the list itself.
func (g *galley) pieces(c *answer.CutList) {
	o := g.doc.options
	var rows [][]string
	for _, p := range c.Pieces {
		cross := mm(p.HeightM) + " x " + mm(p.ThickM)
		switch p.Material {
		case answer.Plywood:
			cross += " plywood"
		case answer.Bar:
			cross = "round " + mm(p.HeightM)
		}
		rows = append(rows, []string{p.Letter, p.Name, number(p.Count), o.mark(p.LengthM), cross, sentences(p.Remarks)})
	}
	long := 18.0
	if o.Inches {
		long = 32
	}
	g.table([]column{{head: "", mm: 8}, {head: "piece", mm: 32}, {head: "count", mm: 13, right: true}, {head: "length, mm", mm: long, right: true}, {head: "section, mm", mm: 25, right: true}, {head: "how"}}, rows)
}

// sentence begins with a capital and ends with a full stop.
func sentence(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + strings.TrimSuffix(words[1:], ".") + "."
}

func sentences(all []string) string {
	var words []string
	for _, one := range all {
		words = append(words, sentence(one))
	}
	return strings.Join(words, " ")
}

// drawings are the pieces that have something marked on them.
func (g *galley) drawings(c *answer.CutList) {
	g.need(75)
	g.heading("Marked out from one end")
	g.say("Lay the rule at the zero once and mark everything without moving it. A notch is measured to the front edge of its mouth, a hole to its middle.")
	for _, p := range c.Pieces {
		if len(p.Marks) == 0 || p.Material == answer.Plywood {
			continue
		}
		picture := drawing.Piece(&p, g.width, g.doc.options.mark)
		g.need(picture.Height + 9)
		g.picture(picture)
		g.note(g.depths(p))
		g.gap(2)
	}
	plate := drawing.Plate(&c.Plate, g.width, g.doc.options.mark)
	g.need(plate.Height + 26)
	g.heading(fmt.Sprintf("Axle plate from above, plywood of %s mm", mm(c.Plate.ThickM)))
	g.picture(plate)
	g.note(plateWords(c.Plate))
}

// depths says of a piece what its drawing cannot.
func (g *galley) depths(p answer.Piece) string {
	words := []string{"Measured from " + p.From + "."}
	for _, m := range p.Marks {
		if m.Kind == answer.NotchMark && m.DepthM > 0 {
			words = append(words, fmt.Sprintf("Notches %s wide, %s deep.", g.doc.options.length(m.WidthM), g.doc.options.length(m.DepthM)))
			break
		}
	}
	words = append(words, g.holes(p)...)
	return strings.Join(words, " ")
}

// holes says how far below the upper edge a piece is bored, all at once where
// that is the same.
func (g *galley) holes(p answer.Piece) (words []string) {
	var names []string
	same := true
	down := math.NaN()
	for _, m := range p.Marks {
		if m.Kind != answer.HoleMark || m.Upright {
			continue
		}
		same = same && (len(names) == 0 || mm(m.DownM) == mm(down))
		down = m.DownM
		names = append(names, fmt.Sprintf("%s: %s below the upper edge.", sentence(m.Name)[:len(m.Name)], g.doc.options.length(m.DownM)))
	}
	if same && len(names) > 1 {
		return []string{fmt.Sprintf("All holes: %s below the upper edge.", g.doc.options.length(down))}
	}
	return names
}

// plateWords are an axle plate's figures.
func plateWords(p answer.AxlePlate) string {
	words := "The line from axle to motor is the middle of the width. Dashed straight lines are the base's beams under the plate; dashed circles are the wheels' pitch circles."
	if p.CentreM > 0 {
		words += fmt.Sprintf(" From the axle to the next shaft: %.2f mm.", p.CentreM*1000)
	}
	if m := p.Motor; m != nil {
		words += fmt.Sprintf(" Motor %s: bolts %.1f mm apart along each edge, holes %.1f mm, ring %.1f mm.", m.Name, m.BoltsM*1000, m.HoleM*1000, m.BossM*1000)
	}
	return words
}

// tilts is what the pieces come to.
func (g *galley) tilts(c *answer.CutList) {
	if len(c.Tilts) == 0 {
		return
	}
	g.heading("What it should then give")
	var rows [][]string
	for _, t := range c.Tilts {
		rows = append(rows, []string{count(t.Front), count(t.Back), figure(t.Asked.Degrees(), 1), figure(t.Tilt.Degrees(), 1), figure(t.Error.Degrees(), 1), t.ErrorOf})
	}
	back := "notch"
	if rows[0][0] == "" || len(c.Tilts) > 0 && c.Tilts[0].PropM > 0 {
		back = "prop length"
	}
	g.table([]column{{head: "front stop", mm: 22, right: true}, {head: back, mm: 26, right: true}, {head: "tilt asked, degrees", mm: 34, right: true}, {head: "as cut, degrees", mm: 30, right: true},
		{head: "2 mm off moves it by, degrees", mm: 36, right: true}, {head: "most by"}}, rows)
}

func count(n int) string {
	if n == 0 {
		return ""
	}
	return number(n)
}
