package trial

import (
	"cmp"
	"math"
	"slices"

	"turnsole/reading"
)

// look is one labelled reading of one measure.
type look struct {
	unixS   float64
	kind    reading.Look
	pair    int
	value   float64
	heading float64 // told, degrees; NaN where it is not logged
	limited bool    // the charger did not take all
	rise    float64 // of the volts, as matter.riseOf
}

// visit is what a bracket of looks comes to at one instant: the panel as it was
// aimed and as it would have stood, as if both had been read at once.
type visit struct {
	unixS, fromS, toS  float64
	aimed, still       float64
	aimedDeg, stillDeg float64
	rough              float64 // how far the ends of the bracket lie apart, as a share
	looks              int
	bracketed          bool
	limited            bool
	rise               float64 // of the volts, the least of its looks
}

// mostBracketS is the longest that looks of one bracket lie apart.
const mostBracketS = 300

// visits puts looks together: those of one pair number, or, unnumbered, those
// that follow one another without a longer pause.
func visits(looks []look) (made []visit, lone int) {
	slices.SortStableFunc(looks, func(a, b look) int { return cmp.Compare(a.unixS, b.unixS) })
	for from := 0; from < len(looks); {
		to := from + 1
		for to < len(looks) && joined(&looks[to-1], &looks[to]) && looks[to].unixS-looks[from].unixS <= mostBracketS {
			to++
		}
		if v, ok := bracket(looks[from:to]); ok {
			made = append(made, v)
		} else {
			lone += to - from
		}
		from = to
	}
	return made, lone
}

func joined(a, b *look) bool {
	if a.pair != 0 || b.pair != 0 {
		return a.pair == b.pair
	}
	return b.unixS-a.unixS <= 120
}

// run is a stay at one heading within a bracket.
type run struct {
	kind    reading.Look
	unixS   float64
	value   float64
	heading float64
	n       float64
}

// runs joins neighbouring looks at one heading. Where a stay has many, its
// later half counts: the first may still be settling.
func runs(looks []look) []run {
	var rs []run
	for from := 0; from < len(looks); {
		to := from + 1
		for to < len(looks) && looks[to].kind == looks[from].kind {
			to++
		}
		stay := looks[from:to]
		if len(stay) > 3 {
			stay = stay[len(stay)/2:]
		}
		r := run{kind: looks[from].kind, n: float64(len(stay))}
		for i := range stay {
			r.unixS += stay[i].unixS / r.n
			r.value += stay[i].value / r.n
			r.heading = stay[i].heading
		}
		rs = append(rs, r)
		from = to
	}
	return rs
}

// bracket brings the looks of one bracket to one instant: that of the middle
// stay, to which its neighbours are carried by a straight line, so that light
// that drifts evenly falls on both headings alike.
func bracket(looks []look) (visit, bool) {
	rs := runs(looks)
	if len(rs) < 2 {
		return visit{}, false
	}
	v := visit{looks: len(looks), bracketed: len(rs) >= 3, fromS: looks[0].unixS, toS: looks[len(looks)-1].unixS}
	n := 0.0
	for i := range looks {
		v.limited = v.limited || looks[i].limited
		if i == 0 || !(looks[i].rise >= v.rise) {
			v.rise = looks[i].rise
		}
	}
	for i := range rs {
		if len(rs) >= 3 && (i == 0 || i == len(rs)-1) {
			continue // an end has no neighbour on one side
		}
		here, there := &rs[i], across(rs, i)
		a, s := here, &there
		if here.kind == reading.StillLook {
			a, s = &there, here
		}
		v.aimed, v.still = v.aimed+a.value, v.still+s.value
		v.unixS += here.unixS
		if i > 0 && i < len(rs)-1 {
			v.rough = max(v.rough, math.Abs(rs[i+1].value-rs[i-1].value)/max(rs[i-1].value, rs[i+1].value, 1e-9))
		}
		v.aimedDeg, v.stillDeg = a.heading, s.heading
		n++
	}
	v.aimed, v.still, v.unixS = v.aimed/n, v.still/n, v.unixS/n
	return v, !math.IsNaN(v.aimed + v.still)
}

// across is the other heading at the instant of stay i, on the line between the
// stays beside it.
func across(rs []run, i int) run {
	if i == 0 {
		return rs[1]
	}
	if i == len(rs)-1 {
		return rs[i-1]
	}
	before, after := rs[i-1], rs[i+1]
	share := 0.5
	if gap := after.unixS - before.unixS; gap > 0 {
		share = (rs[i].unixS - before.unixS) / gap
	}
	before.value += share * (after.value - before.value)
	return before
}
