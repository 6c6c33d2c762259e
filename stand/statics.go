package stand

import (
	"fmt"
	"math"
)

// stance is what the ground under the stand has to hold against the wind.
type stance struct {
	edgeM       float64 // from the axis to the line between two feet
	totalN      float64 // weight of everything
	panelBackNm float64 // the panel's weight times how far back from the axis it is
	friction    float64
}

func (b Base) stanceOf(p pose) stance {
	return stance{
		edgeM:       b.EdgeM(),
		totalN:      GravityMS2 * (b.PanelKg + b.StandKg + b.BallastKg),
		panelBackNm: GravityMS2 * b.PanelKg * p.backM,
		friction:    b.Friction,
	}
}

// The panel turns over the feet, so that an edge may lie in any direction a
// from straight back. A push tips over it with
//
//	pa (A + B cos a + C sin a)   against   D + E cos a
//
// where A is the uplift at the axis times the edge's distance, B and C what
// height and place of the push add, D the weight at the axis times the edge's
// distance, and E what the panel's weight off the axis takes away.
func (t stance) terms(p push) (a, b, c, d, e float64) {
	return p.upN * t.edgeM, p.backN*p.atUpM - p.upN*p.atBackM, -p.upN * p.sideM, t.totalN * t.edgeM, -t.panelBackNm
}

// overEdgeNm is the greatest moment over an edge in any direction, wind less
// weight.
func (t stance) overEdgeNm(p push, pa float64) float64 {
	a, b, c, d, e := t.terms(p)
	return pa*a - d + math.Hypot(pa*b-e, pa*c)
}

// tipPa is the pressure at which overEdgeNm is 0. With y = 1/pa it is the
// larger root of (B - yE)² + C² = (yD - A)²: of the two the one where the edge
// lies where the moment is greatest.
func (t stance) tipPa(p push) float64 {
	a, b, c, d, e := t.terms(p)
	if !(d > math.Abs(e)) {
		return 0 // its own weight tips it
	}
	square, half, rest := d*d-e*e, a*d-b*e, b*b+c*c-a*a
	y := (half + math.Sqrt(max(half*half+square*rest, 0))) / square
	if !(y > 0) {
		return math.Inf(1)
	}
	return 1 / y
}

// slidePa is the pressure at which the level push overcomes the friction under
// what the uplift leaves of the weight.
func (t stance) slidePa(p push) float64 {
	return bearing{restN: t.friction * t.totalN, lessN: math.Abs(p.backN) + t.friction*p.upN}.gonePa()
}

// bearing is a force that holds something down: what it is without wind, and by
// how much less for each N/m² of wind.
type bearing struct{ restN, lessN float64 }

func (b bearing) at(pa float64) float64 { return b.restN - pa*b.lessN }

// gonePa is the pressure at which nothing is left of it.
func (b bearing) gonePa() float64 {
	switch {
	case !(b.restN > 0):
		return 0
	case !(b.lessN > 0):
		return math.Inf(1)
	}
	return b.restN / b.lessN
}

// rests returns what presses the panel's front edge down and what presses on
// its legs (without dimensions: its upper edge on the rest), on the side of the
// panel nearer to the push. Each side carries half of the weight, and stops and
// legs are taken to be at the panel's sides.
func (p pose) rests(panelKg float64, by push) (front, rear bearing) {
	half, share := GravityMS2*panelKg/2, p.share(by)
	if !p.legs {
		across := half * p.cos / 2
		reach := by.slopeM / p.lengthM
		return bearing{across, -share * by.normalN * (0.5 - reach)}, bearing{across, -share * by.normalN * (0.5 + reach)}
	}
	// The leg pushes along itself; moments about the front edge give how hard.
	alongBack, alongUp := p.hinge[0]-p.foot[0], p.hinge[1]-p.foot[1]
	length := math.Hypot(alongBack, alongUp)
	alongBack, alongUp = alongBack/length, alongUp/length
	armM := (p.hinge[0]-p.front[0])*alongUp - (p.hinge[1]-p.front[1])*alongBack
	if !(armM > 1e-9) {
		return bearing{}, bearing{} // leg and panel in one line hold nothing
	}
	rear = bearing{half * (p.backM - p.front[0]) / armM,
		share * ((by.atBackM-p.front[0])*by.upN - (by.atUpM-p.front[1])*by.backN) / armM}
	return bearing{half - rear.restN*alongUp, share*by.upN - rear.lessN*alongUp}, rear
}

// letsGo returns the limits of the panel on its front edge and legs. The stop
// is taken to hold the edge forwards and backwards, so that it only lifts.
func (b Body) letsGo(w *rose, tipsMS float64) (lifts, folds Limit) {
	if b.Latched || w.hinged {
		return b.held(w, tipsMS)
	}
	liftPa := func(p push) float64 {
		front, rear := w.rests(b.PanelKg, p)
		if !w.legs {
			return min(front.gonePa(), rear.gonePa())
		}
		if front.gonePa() <= rear.gonePa() {
			return front.gonePa()
		}
		// The legs are off first; then only the panel's weight holds the edge.
		loose := bearing{GravityMS2 * b.PanelKg / 2, w.share(p) * p.upN}
		return max(rear.gonePa(), loose.gonePa())
	}
	if !w.legs {
		return w.limit(liftPa, "the panel comes off its rest"), never("without the stand's dimensions there is no telling when its legs fold")
	}
	foldPa := func(p push) float64 { _, rear := w.rests(b.PanelKg, p); return rear.gonePa() }
	return w.limit(liftPa, "the front edge leaves its stop"), w.limit(foldPa, "the legs come out of their notches")
}

// held says what latches or pins must hold in the gust that tips the stand.
func (b Body) held(w *rose, tipsMS float64) (lifts, folds Limit) {
	gust, when := tipsMS, "the gust that tips the stand"
	if !(gust > 0 && gust < 60) {
		gust, when = 30, "a gust"
	}
	pull := func(of func(front, rear bearing) bearing) float64 {
		least, _ := w.least(func(p push) float64 { return of(w.rests(b.PanelKg, p)).at(PressurePa(gust)) })
		return max(-least, 0)
	}
	say := func(what string, n float64) Limit {
		if n < 0.5 {
			return never(fmt.Sprintf("held by %s: in %s, %.0f m/s, nothing pulls at it", what, when, gust))
		}
		return never(fmt.Sprintf("held by %s: in %s, %.0f m/s, it and what it is screwed to must hold %.0f N on one side", what, when, gust, n))
	}
	front := pull(func(front, _ bearing) bearing { return front })
	rear := pull(func(_, rear bearing) bearing { return rear })
	switch {
	case w.hinged:
		return say("the hinge at its front edge", front), say("the prop, pinned at both ends", rear)
	case !w.legs:
		return say("a latch", max(front, rear)), never("without the stand's dimensions there is no telling when its legs fold")
	}
	return say("the latch at its front edge", front), say("the latch at the leg's foot", rear)
}

func (b Body) tips(w *rose) Limit {
	return w.limit(b.stanceOf(w.pose).tipPa, "over the line between two feet")
}

func (b Body) slides(w *rose) Limit {
	l := w.limit(b.stanceOf(w.pose).slidePa, "the feet slide")
	if w.flat() {
		l.How = "the whole stand is lifted"
	}
	return l
}

func (b Body) turns(w *rose) Limit {
	l := w.limit(func(p push) float64 {
		return bearing{b.HoldingNm, math.Abs(p.turnNm())}.gonePa()
	}, "the wind turns the panel")
	switch {
	case !(b.HoldingNm > 0):
		l.How = "nothing holds the panel against turning"
	case math.IsInf(l.GustMS, 1):
		l.How = "a panel that lies flat gives the wind nothing to turn it by"
	}
	return l
}
