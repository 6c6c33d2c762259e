package hindsight

import (
	"fmt"
	"math"

	"turnsole/place"
)

// PowerUp is what a controller without a clock logged from one power-up to the
// next.
type PowerUp struct {
	Boot          int
	FirstS, LastS float64 // uptime of its first and last row
	Glow          []Glow  // by its uptime
}

// Anchored is a power-up in time.
type Anchored struct {
	Boot    int
	UnixS   float64 // when its uptime was 0
	Rate    float64 // true seconds to one of its own
	WithinS float64 // a row's time is that good: 95 %
	Dawns   int     // that it rests on
	Dusks   int
	Dumped  bool // it rests on the time of the dump
}

// At returns the time of an uptime.
func (a Anchored) At(upS float64) float64 { return a.UnixS + a.Rate*upS }

// Anchor puts a log without a clock in time, power-ups in their order. The last
// ends when the log was dumped, unless its dawns and dusks say that power had
// failed before. Those before end at the latest time that agrees with their own
// dawns and dusks: so no cut is taken to have lasted a day or longer. Power-ups
// that saw neither lie where they fit, the light by day and the dark by night.
//
// fullA is what full sunshine gives; 0 takes it from the log.
func Anchor(spot place.Spot, ups []PowerUp, dumpedUnixS, fullA float64) ([]Anchored, error) {
	c, err := newChain(spot, ups, dumpedUnixS, fullA)
	if err != nil {
		return nil, err
	}
	deg := usualSunDeg
	if c.pairs() > 0 {
		deg = sunAtEdges(func(sunDeg float64) float64 {
			c.link(sunDeg)
			return c.duskLater()
		})
	}
	c.link(deg)
	c.between()
	c.part()
	return c.placed, nil
}

// chain is a log's power-ups while they are being placed.
type chain struct {
	ups     []PowerUp
	edges   []edges
	level   float64 // current between night and day
	bright  float64 // current that only a sun well up gives
	dumpedS float64
	h       *heights
	cross   crossings
	placed  []Anchored
	early   []float64 // earliest start of those that saw no edge
}

// What is known of clocks and weather before the log is looked at.
const (
	usualEdgeS  = 500   // first and last light against the sun, from day to day, standard deviation (made logs)
	usualDrift  = 0.003 // of a board's resonator; quartz is a hundred times better
	dumpS       = 60    // the last row against the time of the dump
	slackS      = 2700  // an edge may be that much earlier than one would have it
	powerLostS  = 3 * usualEdgeS
	longestOffS = 86400
)

func newChain(spot place.Spot, ups []PowerUp, dumpedUnixS, fullA float64) (*chain, error) {
	if len(ups) == 0 {
		return nil, fmt.Errorf("no power-up was logged")
	}
	c := &chain{ups: ups, dumpedS: dumpedUnixS, edges: make([]edges, len(ups)), placed: make([]Anchored, len(ups)), early: make([]float64, len(ups))}
	var all []Glow
	lasted := 0.0
	for _, u := range ups {
		all = append(all, u.Glow...)
		lasted += u.LastS
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("no light was logged")
	}
	c.level, c.bright = levelOf(all, fullA)
	for i, u := range ups {
		c.edges[i] = edgesOf(u.Glow, c.level)
	}
	var err error
	c.h, err = heightsOf(spot, dumpedUnixS-lasted*1.01-float64(len(ups)+1)*longestOffS, dumpedUnixS+2*86400)
	return c, err
}

func (c *chain) sees(i int) bool { return len(c.edges[i].dawns)+len(c.edges[i].dusks) > 0 }

// pairs counts power-ups that saw both a dawn and a dusk.
func (c *chain) pairs() (n int) {
	for _, e := range c.edges {
		if len(e.dawns) > 0 && len(e.dusks) > 0 {
			n++
		}
	}
	return n
}

// duskLater is by how much dusks came later after the sun than dawns, where one
// power-up saw both.
func (c *chain) duskLater() float64 {
	sum, n := 0.0, 0.0
	for i, e := range c.edges {
		if len(e.dawns) == 0 || len(e.dusks) == 0 {
			continue
		}
		weight := float64(min(len(e.dawns), len(e.dusks)))
		sum += weight * (trim(c.off(i, e.dusks, false)).mean - trim(c.off(i, e.dawns, true)).mean)
		n += weight
	}
	return sum / n
}

// off returns by how much a power-up's edges are later than the sun's.
func (c *chain) off(i int, up []float64, dawn bool) []float64 {
	at := make([]float64, len(up))
	for k, s := range up {
		at[k] = c.placed[i].At(s)
	}
	return c.cross.late(at, dawn, 0)
}

// link places the power-ups that saw an edge, and the last, from the last to
// the first. Between them the others lie without a pause for the time being.
func (c *chain) link(sunDeg float64) {
	c.cross = c.h.crossings(sunDeg)
	end := c.dumpedS
	for i := len(c.ups) - 1; i >= 0; i-- {
		u, last := &c.ups[i], i == len(c.ups)-1
		a := Anchored{Boot: u.Boot, UnixS: end - u.LastS, Rate: 1, WithinS: math.Inf(1), Dawns: len(c.edges[i].dawns), Dusks: len(c.edges[i].dusks)}
		c.placed[i] = a
		if c.sees(i) {
			c.shift(i)
			a.Dumped = last && math.Abs(c.placed[i].At(u.LastS)-end) < powerLostS
			c.fit(i, a.Dumped)
		}
		switch {
		case last && !c.sees(i):
			c.placed[i].WithinS, a.Dumped = 2*dumpS, true
		case !c.sees(i):
			c.fitIn(i, end)
		}
		c.placed[i].Dumped = a.Dumped
		end = min(end, c.placed[i].At(u.FirstS))
	}
}

// shift moves a power-up back to the latest time at which its last edge is one
// of the sun's.
func (c *chain) shift(i int) {
	e, a := c.edges[i], &c.placed[i]
	up, dawn := math.Inf(-1), false
	if n := len(e.dawns); n > 0 {
		up, dawn = e.dawns[n-1], true
	}
	if n := len(e.dusks); n > 0 && e.dusks[n-1] > up {
		up, dawn = e.dusks[n-1], false
	}
	latest := a.At(up)
	best := math.Inf(-1)
	for _, at := range c.cross.of(dawn) {
		if at <= latest+slackS {
			best = at
		}
	}
	if !math.IsInf(best, 0) {
		a.UnixS += min(best-latest, slackS)
	}
}

// fit lays a straight line, true time against uptime, through all edges of a
// power-up, with what is known of drift, and of the dump for the last. Edges far
// off the line, of days that began or ended under thick cloud, weigh less: Huber
// 1964, Annals of Mathematical Statistics 35:73.
func (c *chain) fit(i int, dumped bool) {
	u, a := &c.ups[i], &c.placed[i]
	for range 4 {
		var n line
		middle := (u.FirstS + u.LastS) / 2
		add := func(up []float64, late []float64) {
			for k, s := range up {
				weight := 1.0 / (usualEdgeS * usualEdgeS)
				if far := math.Abs(late[k]) / (1.5 * usualEdgeS); far > 1 {
					weight /= far
				}
				n.add(s-middle, -late[k], weight)
			}
		}
		e := c.edges[i]
		if dawns, dusks := c.off(i, e.dawns, true), c.off(i, e.dusks, false); len(dawns) == len(e.dawns) && len(dusks) == len(e.dusks) {
			add(e.dawns, dawns)
			add(e.dusks, dusks)
		}
		if dumped {
			n.add(u.LastS-middle, c.dumpedS-a.At(u.LastS), 1.0/(dumpS*dumpS))
		}
		n.xx += 1 / (usualDrift * usualDrift)
		n.xy += (1 - a.Rate) / (usualDrift * usualDrift)
		shift, drift := n.solve()
		a.Rate += drift
		a.UnixS += shift - drift*middle
		a.WithinS = 1.96 * (math.Sqrt(n.variance(max(middle-u.FirstS, u.LastS-middle))) + unevenS/2)
	}
}

// line gathers the normal equations of a weighted straight line.
type line struct{ w, x, xx, y, xy float64 }

func (n *line) add(x, y, weight float64) {
	n.w += weight
	n.x += weight * x
	n.xx += weight * x * x
	n.y += weight * y
	n.xy += weight * x * y
}

func (n *line) solve() (at0, slope float64) {
	det := n.w*n.xx - n.x*n.x
	if !(det > 0) {
		return 0, 0
	}
	return (n.y*n.xx - n.x*n.xy) / det, (n.w*n.xy - n.x*n.y) / det
}

// variance of the line x off its middle.
func (n *line) variance(x float64) float64 {
	det := n.w*n.xx - n.x*n.x
	if !(det > 0) {
		return math.Inf(1)
	}
	return (n.xx - 2*n.x*x + n.w*x*x) / det
}

// fitIn finds where a power-up that saw no edge agrees with the sun: the latest
// such stretch of starts that ends by end, at most a day before it. It returns
// the latest.
func (c *chain) fitIn(i int, end float64) {
	u := &c.ups[i]
	first, last := c.agrees(u, end-u.LastS-longestOffS, end-u.LastS)
	c.early[i] = first
	c.placed[i].UnixS, c.placed[i].WithinS = last, (last-first)/2+unevenS
}

// between narrows the power-ups that saw no edge by those before them, and lays
// each in the middle of what is left.
func (c *chain) between() {
	low := math.Inf(-1)
	for i := range c.ups {
		u, a := &c.ups[i], &c.placed[i]
		if c.sees(i) || a.Dumped {
			low = a.At(u.LastS)
			continue
		}
		latest := a.UnixS
		first, last := c.agrees(u, min(max(c.early[i], low-u.FirstS), latest), latest)
		a.UnixS, a.WithinS = (first+last)/2, (last-first)/2+usualEdgeS // its neighbours are no better
		low = first + u.LastS
	}
}

// part moves back what would end after the next has begun.
func (c *chain) part() {
	for i := len(c.ups) - 2; i >= 0; i-- {
		if late := c.placed[i].At(c.ups[i].LastS) - c.placed[i+1].At(c.ups[i+1].FirstS); late > 0 {
			c.placed[i].UnixS -= late
		}
	}
}

// agrees returns the latest stretch of starts, from low to high, at which a
// power-up's light contradicts the sun least.
func (c *chain) agrees(u *PowerUp, low, high float64) (first, last float64) {
	const stepS = 120
	least := math.Inf(1)
	every := max(1, len(u.Glow)/200) // a few hundred samples say it as well
	for start := high; start >= low; start -= stepS {
		wrong := 0
		for k := 0; k < len(u.Glow); k += every {
			if c.contradicts(u.Glow[k], start) {
				wrong++
			}
		}
		switch {
		case float64(wrong) < least:
			least, first, last = float64(wrong), start, start
		case float64(wrong) == least && first-start < 1.5*stepS:
			first = start
		}
	}
	return first, last
}

// contradicts reports whether light and sun exclude each other: light before
// dawn, bright light from a low sun, darkness by day.
func (c *chain) contradicts(g Glow, start float64) bool {
	const lightDeg, brightDeg, dayDeg = 0, 4, 10
	deg := c.h.at(start + g.S)
	return g.A > 3*c.level && deg < lightDeg || g.A > c.bright && deg < brightDeg || g.A < c.level && deg > dayDeg
}
