package drawing

import (
	"fmt"
	"math"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
)

// PoliciesBySeason sets the policies side by side, a row each, the rig's own in
// bold, and the seasons in columns: the upper bar of each field is the share of
// exact turning's light, in the outline of all of it, the lower bar what is left
// of the energy a day.
func PoliciesBySeason(a *answer.Aim, width, height float64) *chart.Picture {
	const title = "The policies by season"
	sc := newScribe(width, height, title, policyWords(a))
	v := &seasonView{scribe: sc, aim: a}
	top := sc.caption(title, v.notes()...)
	if len(a.Policies) == 0 {
		return sc.Picture
	}
	v.lay(top)
	v.heads()
	for row := range a.Policies {
		v.row(row)
	}
	return sc.Picture
}

// seasonNames are the seasons by their months, which hold on both halves of the
// Earth.
var seasonNames = [4]string{"Dec–Feb", "Mar–May", "Jun–Aug", "Sep–Nov"}

// policyWords are the figures for those who listen.
func policyWords(a *answer.Aim) string {
	if len(a.Policies) == 0 {
		return "No policy was run."
	}
	var words strings.Builder
	for i := range a.Policies {
		r := &a.Policies[i]
		fmt.Fprintf(&words, "%s:", r.Policy)
		for k := range r.Seasons {
			if s := &r.Seasons[k]; s.Days > 0 && finite(s.ShareOfTurning()) {
				fmt.Fprintf(&words, " %s %s %% of the light, %s Wh a day;", seasonNames[k], rounded(100*s.ShareOfTurning()), short(s.NetWh()/s.Days))
			}
		}
		words.WriteString(" ")
	}
	return strings.TrimSpace(words.String())
}

// seasonView is the table of bars in the making.
type seasonView struct {
	*scribe
	aim         *answer.Aim
	left, top   float64
	wide, high  float64 // of a field
	figures     float64 // room for the figures beside the bars
	least, most float64 // Wh a day
}

// notes say what the bars are and what a policy would need.
func (v *seasonView) notes() []string {
	if len(v.aim.Policies) == 0 {
		return []string{"No policy was run."}
	}
	notes := []string{"Upper bars: % of exact turning's light. Lower: Wh a day left."}
	for _, r := range v.aim.Policies {
		if r.AsIf != "" {
			notes = append(notes, r.Policy+": as if the rig had "+r.AsIf+".")
		}
	}
	return notes
}

// lay measures the fields.
func (v *seasonView) lay(top float64) {
	names := 0.0
	bold := chart.Lettering{Size: 0.92 * v.size, Bold: true}
	for i := range v.aim.Policies {
		r := &v.aim.Policies[i]
		names = max(names, bold.Width(r.Policy))
		for k := range r.Seasons {
			net := v.net(i, k)
			v.least, v.most = min(v.least, net), max(v.most, net)
			v.figures = max(v.figures, v.hand().Width(short(net)))
		}
	}
	v.figures = max(v.figures, v.hand().Width("100"))
	v.left, v.top = margin+min(names, v.Width/4)+1.5, top+1.4*v.size
	v.wide = (v.Width - margin - v.left) / 4
	v.high = min((v.Height-margin-v.top)/float64(len(v.aim.Policies)), 7*v.size)
	if v.most == v.least {
		v.most = 1
	}
}

// net is what is left a day, Wh; nothing where it is no figure.
func (v *seasonView) net(policy, season int) float64 {
	s := &v.aim.Policies[policy].Seasons[season]
	if net := s.NetWh() / s.Days; s.Days > 0 && finite(net) {
		return net
	}
	return 0
}

// heads writes the seasons over their columns.
func (v *seasonView) heads() {
	for k, name := range seasonNames {
		x := v.left + v.wide*float64(k)
		if !v.write(name, v.hand(), place{chart.Point{X: x, Y: v.top - 0.6*v.size}, chart.Start}) {
			v.write(name[:3], v.hand(), place{chart.Point{X: x, Y: v.top - 0.6*v.size}, chart.Start})
		}
	}
}

// row is one policy through the seasons.
func (v *seasonView) row(i int) {
	r := &v.aim.Policies[i]
	y := v.top + v.high*float64(i)
	v.Line(chart.Point{X: margin, Y: y}, chart.Point{X: v.Width - margin, Y: y}, chart.Style{Stroke: chart.Faint, Width: chart.Thin})
	hand := v.hand()
	hand.Bold = r.Policy == v.aim.Policy
	v.write(r.Policy, hand, place{chart.Point{X: margin, Y: y + v.high/2}, chart.Start})
	for k := range r.Seasons {
		v.field(i, k, v.left+v.wide*float64(k), y)
	}
}

// field is one policy in one season.
func (v *seasonView) field(policy, season int, x, y float64) {
	s := &v.aim.Policies[policy].Seasons[season]
	long := max(v.wide-v.figures-3, 1)
	thick := min(0.3*v.high, 1.5*v.size)
	light, net := y+0.3*v.high, y+0.7*v.high
	if !(s.Days > 0) {
		v.write("–", v.asPencil(), place{chart.Point{X: x, Y: y + v.high/2}, chart.Start})
		return
	}
	if share := s.ShareOfTurning(); finite(share) {
		v.Rect(x, light-thick/2, long, thick, chart.Style{Stroke: chart.Faint, Width: chart.Thin})
		if wide := long * min(max(share, 0), 1); wide > 0 {
			v.Rect(x, light-thick/2, wide, thick, chart.Style{Fill: chart.Glow, Stroke: chart.Light, Width: chart.Thin})
		}
		v.write(rounded(100*share), v.hand(), place{chart.Point{X: x + long + 0.8, Y: light}, chart.Start})
	}
	v.netBar(x, net, long, thick, v.net(policy, season))
}

// netBar is a bar from nothing to what is left, to the left where it is less than
// nothing.
func (v *seasonView) netBar(x, y, long, thick, net float64) {
	to := func(wh float64) float64 { return x + long*(wh-v.least)/(v.most-v.least) }
	style := chart.Style{Fill: chart.Pencil}
	if net < 0 {
		style = chart.Style{Stroke: chart.Pen, Fill: chart.Paper, Hatch: chart.Hatch{Gap: 0.7, Turn: -45}}
	}
	a, b := min(to(0), to(net)), max(to(0), to(net))
	if b > a {
		v.Rect(a, y-thick/2, b-a, thick, style)
	}
	v.Line(chart.Point{X: to(0), Y: y - thick/2 - 0.3}, chart.Point{X: to(0), Y: y + thick/2 + 0.3}, chart.Style{Stroke: chart.Pen})
	words := short(net)
	if math.Abs(net) >= 10 {
		words = rounded(net)
	}
	v.write(words, v.hand(), place{chart.Point{X: b + 0.8, Y: y}, chart.Start})
}
