package hindsight

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"turnsole/place"
	"turnsole/sun"
)

// Glow is how bright it was at an instant of a log's own clock.
type Glow struct {
	S float64 // of that clock: seconds since 1970, or of uptime
	A float64 // current of a panel or cell, or whatever else grows with the light
}

// Offset is by how much a log's clock ran ahead of the sun.
type Offset struct {
	AheadS      float64 // negative for a clock that ran behind
	LowS, HighS float64 // 95 % interval
	Dawns       int     // that it rests on
	Dusks       int
	SunDeg      float64 // how high the sun stood, true and without air, at the log's first and last light
}

// Beyond reports whether the clock was off by more than the sun's word is good
// for.
func (o Offset) Beyond() bool { return o.LowS > 0 || o.HighS < 0 }

// ClockOffset reckons by how much a clock ran ahead, from the light's coming and
// going at a spot. fullA is what full sunshine gives; where that is not known,
// 0, it is taken from the log.
//
// Clouds shift first and last light by minutes, but both alike; so the sun's
// elevation there is found from the days' length, and the offset from their
// middle. What does not fall alike, a hill to one side or a panel that looks
// east in the evening, is allowed for by the interval. Offsets of 12 hours and
// more look like less.
func ClockOffset(spot place.Spot, glow []Glow, fullA float64) (Offset, error) {
	if len(glow) == 0 {
		return Offset{}, fmt.Errorf("no light was logged")
	}
	level, _ := levelOf(glow, fullA)
	e := edgesOf(glow, level)
	if len(e.dawns) < 2 || len(e.dusks) < 2 {
		return Offset{}, fmt.Errorf("the log has %d dawns and %d dusks; two of each are needed", len(e.dawns), len(e.dusks))
	}
	h, err := heightsOf(spot, glow[0].S-86400, glow[len(glow)-1].S+86400)
	if err != nil {
		return Offset{}, err
	}
	if slices.Min(h.deg) > -4 {
		return Offset{}, fmt.Errorf("the sun hardly sets in those days: first and last light tell no clock's error")
	}
	start := h.crossings(usualSunDeg)
	first := median(append(start.late(e.dawns, true, 0), start.late(e.dusks, false, 0)...))
	at := func(sunDeg float64) (dawn, dusk trimmed) {
		c := h.crossings(sunDeg)
		return trim(c.late(e.dawns, true, first)), trim(c.late(e.dusks, false, first))
	}
	deg := sunAtEdges(func(sunDeg float64) float64 {
		dawn, dusk := at(sunDeg)
		return dusk.mean - dawn.mean
	})
	dawn, dusk := at(deg)
	o := Offset{AheadS: (dawn.mean + dusk.mean) / 2, Dawns: len(e.dawns), Dusks: len(e.dusks), SunDeg: deg}
	within := student(min(o.Dawns, o.Dusks)-1) * math.Sqrt((dawn.error*dawn.error+dusk.error*dusk.error)/4+unevenS*unevenS)
	o.LowS, o.HighS = o.AheadS-within, o.AheadS+within
	return o, nil
}

const (
	// usualSunDeg is where the sun stands when a panel begins to give, to start with.
	usualSunDeg = 1.5

	// unevenS is by what the middle of the light can be off noon for other
	// reasons than weather: the sky's bright side before one edge of the day
	// and behind the panel at the other (made logs, still and turning).
	unevenS = 60
)

// sunAtEdges finds the sun's elevation at which dusk is as late as dawn.
func sunAtEdges(duskLater func(sunDeg float64) float64) float64 {
	low, high := -6.0, 12.0
	for range 14 { // to a thousandth of a degree
		if mid := (low + high) / 2; duskLater(mid) < 0 {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// levelOf is the current that tells day from night: a hundredth of full
// sunshine above the dark, or as much as the dark's own unrest asks for. Beyond
// bright, 0.3 of full sunshine, the sun is well up.
func levelOf(glow []Glow, fullA float64) (level, bright float64) {
	a := make([]float64, len(glow))
	for i, g := range glow {
		a[i] = g.A
	}
	slices.Sort(a)
	of := func(share float64) float64 { return a[int(share*float64(len(a)-1))] }
	if !(fullA > 0) {
		fullA = of(0.98) - of(0.02)
	}
	dark, unrest := of(0.05), of(0.10)-of(0.01)
	if unrest > 0.02*fullA { // a log with few nights
		dark, unrest = of(0.002), 0
	}
	return dark + min(max(0.008*fullA, 4*unrest), 0.03*fullA), dark + 0.3*fullA
}

// edges are the instants at which the light came and went.
type edges struct{ dawns, dusks []float64 }

const (
	shortestNightS = 2 * 3600.0 // a darkness that is shorter is a cloud's
	shortestDayS   = 10 * 60.0  // a light that is shorter is a lamp's
	dimS           = 15 * 60.0  // of darkness, or of light, must have been logged beside an edge
	blindS         = 20 * 60.0  // an edge between rows further apart is not known
)

// spell is a run of light or of darkness.
type spell struct {
	bright      bool
	first, last int // of its samples
}

func edgesOf(glow []Glow, level float64) (e edges) {
	spells := spellsOf(glow, level)
	spells = without(spells, glow, true, shortestDayS)
	spells = without(spells, glow, false, shortestNightS)
	for i := 1; i < len(spells); i++ {
		before, after := spells[i-1], spells[i]
		a, b := glow[before.last], glow[after.first]
		long := glow[before.last].S-glow[before.first].S >= dimS && glow[after.last].S-glow[after.first].S >= dimS
		if !long || b.S-a.S > blindS {
			continue
		}
		at := a.S + (b.S-a.S)*min(max((level-a.A)/(b.A-a.A), 0), 1)
		if after.bright {
			e.dawns = append(e.dawns, at)
		} else {
			e.dusks = append(e.dusks, at)
		}
	}
	return e
}

func spellsOf(glow []Glow, level float64) (spells []spell) {
	for i, g := range glow {
		bright := g.A >= level
		if n := len(spells); n > 0 && spells[n-1].bright == bright {
			spells[n-1].last = i
			continue
		}
		spells = append(spells, spell{bright, i, i})
	}
	return spells
}

// without joins spells of one kind that are too short to what lies on both
// sides. Those at the ends of the log may be longer than it shows.
func without(spells []spell, glow []Glow, bright bool, shortestS float64) (kept []spell) {
	for i, s := range spells {
		n := len(kept)
		lasts := math.Inf(1)
		if i > 0 && i < len(spells)-1 {
			lasts = glow[spells[i+1].first].S - glow[spells[i-1].last].S
		}
		switch {
		case n > 0 && (kept[n-1].bright == s.bright || s.bright == bright && lasts < shortestS):
			kept[n-1].last = s.last
		default:
			kept = append(kept, s)
		}
	}
	return kept
}

// Night is what a sensor shows while no light falls on it.
type Night struct {
	A, SpreadA float64 // median, and the spread about it as a standard deviation
	Samples    int
}

// darkDeg is where the sun stands when dusk's last light is gone for a panel.
const darkDeg = -6

// NightOf reckons what a sensor shows at night: the samples while the sun stands
// more than 6 degrees below the horizon. Without any it has no Samples.
func NightOf(spot place.Spot, glow []Glow) (Night, error) {
	if len(glow) == 0 {
		return Night{}, nil
	}
	h, err := heightsOf(spot, glow[0].S-60, glow[len(glow)-1].S+60)
	if err != nil {
		return Night{}, err
	}
	var a []float64
	for _, g := range glow {
		if h.at(g.S) < darkDeg {
			a = append(a, g.A)
		}
	}
	n := Night{A: median(a), Samples: len(a)}
	for i, x := range a {
		a[i] = math.Abs(x - n.A)
	}
	n.SpreadA = 1.4826 * median(a) // of the median deviation, for what is spread as errors are
	return n, nil
}

// heights is the sun's elevation by the minute, true and without air.
type heights struct {
	fromS float64
	deg   []float64
}

const mostHeightsS = 6 * 366 * 86400

func heightsOf(spot place.Spot, fromS, toS float64) (*heights, error) {
	if !(toS-fromS < mostHeightsS) {
		return nil, fmt.Errorf("the log would span %.0f days; at most %d can be told from dawn and dusk", (toS-fromS)/86400, mostHeightsS/86400)
	}
	o := sun.At(spot)
	o.PressureHPa = 0
	from, to := sun.JulianDayUnix(fromS), sun.JulianDayUnix(toS)
	n := int((toS-fromS)/60) + 1
	h := &heights{fromS: fromS, deg: make([]float64, n)}
	sun.NewPath(o, from, to+1, sun.DeltaT(from)).Positions(from, 60, make([]float64, n), h.deg)
	return h, nil
}

// at returns the elevation at an instant; NaN outside.
func (h *heights) at(unixS float64) float64 {
	i := (unixS - h.fromS) / 60
	if !(i >= 0 && i <= float64(len(h.deg)-1)) {
		return math.NaN()
	}
	return h.deg[int(i)]
}

// crossings are the instants at which the sun climbs and sinks through an
// elevation.
type crossings struct{ up, down []float64 }

func (h *heights) crossings(deg float64) (c crossings) {
	for i := 1; i < len(h.deg); i++ {
		a, b := h.deg[i-1], h.deg[i]
		if (a < deg) == (b < deg) {
			continue
		}
		at := h.fromS + 60*(float64(i-1)+(deg-a)/(b-a))
		if a < b {
			c.up = append(c.up, at)
		} else {
			c.down = append(c.down, at)
		}
	}
	return c
}

// of returns the crossings that are dawns, or dusks.
func (c crossings) of(dawn bool) []float64 {
	if dawn {
		return c.up
	}
	return c.down
}

// late returns by how much each edge is later than the sun's crossing nearest
// to it, were the clock ahead by aheadS.
func (c crossings) late(edges []float64, dawn bool, aheadS float64) []float64 {
	var late []float64
	for _, e := range edges {
		if at, ok := nearest(c.of(dawn), e-aheadS); ok {
			late = append(late, e-at)
		}
	}
	return late
}

// nearest returns the member of a rising list nearest to x.
func nearest(list []float64, x float64) (float64, bool) {
	if len(list) == 0 {
		return 0, false
	}
	i := sort.SearchFloat64s(list, x)
	if i == len(list) || i > 0 && x-list[i-1] < list[i]-x {
		i--
	}
	return list[i], true
}

func median(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	x = slices.Sorted(slices.Values(x))
	return (x[(len(x)-1)/2] + x[len(x)/2]) / 2
}

// trimmed is a mean without a tenth at either end, and its standard error:
// Tukey & McLaughlin 1963, Sankhya A 25:331.
type trimmed struct{ mean, error float64 }

func trim(x []float64) trimmed {
	x = slices.Sorted(slices.Values(x))
	n := len(x)
	cut := n / 10
	if n < 2 {
		return trimmed{median(x), math.Inf(1)}
	}
	sum, square := 0.0, 0.0
	for i := range x {
		x[i] = min(max(x[i], x[cut]), x[n-1-cut])
	}
	for _, v := range x[cut : n-cut] {
		sum += v
	}
	mean, whole := sum/float64(n-2*cut), 0.0
	for _, v := range x {
		whole += v / float64(n)
	}
	for _, v := range x {
		square += (v - whole) * (v - whole)
	}
	kept := 1 - 2*float64(cut)/float64(n)
	return trimmed{mean, math.Sqrt(square/float64(n-1)/float64(n)) / kept}
}

// student is the 97.5th percentile of Student's t: Abramowitz & Stegun 26.7.5,
// three terms, good to a hundredth from three degrees of freedom on; below that
// the table's.
func student(freedom int) float64 {
	switch {
	case freedom < 1:
		return math.Inf(1)
	case freedom == 1:
		return 12.71
	case freedom == 2:
		return 4.30
	}
	v := float64(freedom)
	return 1.96 + 2.372/v + 2.823/(v*v) + 2.556/(v*v*v)
}
