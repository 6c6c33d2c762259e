package weather

import (
	"math"
	"slices"
)

const (
	longestAirGap = 6 * 3600 // s; a longer gap in air or wind is not interpolated
	defaultAirC   = 10
	defaultWindMS = 1
	leastOfColumn = 0.1 // share of its rows that a column of air or wind must have
	leastOfAlbedo = 0.5 // the same for albedo, of the lit rows
)

// mendAir fills the columns that are not light.
func (m *mender) mendAir() {
	m.AirC = m.plain(m.column[inAir], "air temperature", defaultAirC, "10 degrees C")
	m.WindMS = m.plain(m.column[inWind], "wind", defaultWindMS, "1 m/s at the panel")
	if m.column[inWind] == nil || m.windFactor == 1 {
		return
	}
	for i := range m.WindMS {
		m.WindMS[i] *= m.windFactor
	}
	m.tellf(small, "The wind is brought down from the mast to the panel: %.2f of what was measured.", m.windFactor)
}

// plain fills a column by straight lines over short gaps and from the nearest
// day over long ones; a column of which hardly anything is there gives way to
// the default.
func (m *mender) plain(c []float32, what string, usual float32, words string) []float32 {
	lost := 0
	for _, v := range c {
		if missing(v) {
			lost++
		}
	}
	if c == nil || float64(len(c)-lost) < leastOfColumn*float64(len(c)) {
		c = make([]float32, m.Rows())
		for i := range c {
			c[i] = usual
		}
		m.tellf(airLacks, "No %s in the file: taken as %s all the time.", what, words)
		return c
	}
	if lost > 0 {
		m.tellf(airLacks, "%s of %s missing: filled between their neighbours, or from the nearest day where more than %s are missing.",
			plural(lost, "row", "rows"), what, seconds(longestAirGap))
		m.fillPlain(c)
	}
	return c
}

func (m *mender) fillPlain(c []float32) {
	was := slices.Clone(c)
	hasTime := make([]bool, m.RowsPerDay()) // rows of the day that some day has
	for i, v := range was {
		hasTime[i%len(hasTime)] = hasTime[i%len(hasTime)] || !missing(v)
	}
	for i := 0; i < len(c); {
		if !missing(was[i]) {
			i++
			continue
		}
		end := i
		for end < len(c) && missing(was[end]) {
			end++
		}
		if i > 0 && end < len(c) && (end-i)*m.StepS <= longestAirGap {
			for k := i; k < end; k++ {
				x := float32(k-i+1) / float32(end-i+1)
				c[k] = was[i-1] + x*(was[end]-was[i-1])
			}
		} else {
			m.borrowPlain(c, was, hasTime, i, end)
		}
		i = end
	}
}

func (m *mender) borrowPlain(c, was []float32, hasTime []bool, from, end int) {
	near := nan32
	if from > 0 {
		near = was[from-1]
	} else if end < len(was) {
		near = was[end]
	}
	for k := from; k < end; k++ {
		if c[k] = near; !hasTime[k%len(hasTime)] {
			continue
		}
		if shift, ok := m.nearest(k/m.RowsPerDay(), func(shift int) bool { return !missing(was[k+shift]) }); ok {
			c[k] = was[k+shift]
		}
	}
}

// mendAlbedo keeps a measured albedo and drops one that was only a place
// holder: the same all year, or mostly missing.
func (m *mender) mendAlbedo() {
	c := m.column[inAlbedo]
	if c == nil {
		return
	}
	known, lit := 0, 0
	least, most := float32(math.Inf(1)), float32(0)
	for i, v := range c {
		if !m.sky[i].lit() {
			continue
		}
		if lit++; !missing(v) {
			known++
			least, most = min(least, v), max(most, v)
		}
	}
	switch {
	case float64(known) < leastOfAlbedo*float64(lit):
		m.tellf(small, "The albedo is missing in most of the daylight: the spot's own is used.")
		return
	case most-least < 0.005:
		m.tellf(small, "The albedo is %.2f all the time, which no ground is: the spot's own is used.", most)
		return
	}
	carry(c)
	m.Albedo = c
	if known < lit {
		m.tellf(small, "%s of daylight without a possible albedo: the last known is kept.", plural(lit-known, "row", "rows"))
	}
}

// carry puts the last known value in every gap, and the first known before it.
func carry(c []float32) {
	first := slices.IndexFunc(c, func(v float32) bool { return !missing(v) })
	last := c[first]
	for i, v := range c {
		if missing(v) {
			c[i] = last
		} else {
			last = v
		}
	}
}
