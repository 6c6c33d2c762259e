package weather

import (
	"context"
	"fmt"

	"golang.org/x/sync/errgroup"

	"turnsole/place"
	"turnsole/sky"
)

const (
	longestBridge  = 3 * 3600 // s; a longer gap in daylight is not interpolated
	leastOfPart    = 0.5      // share of its daylight that a day of a part year must have
	mostOfShareDNI = 1.2      // of the clear beam, at the ends of a gap
	mostOfShareDHI = 1.5      // of the clear global
)

// mender fills what a year lacks.
type mender struct {
	*Year
	findings
	spot       place.Spot
	windFactor float32
	column     [measures][]float32 // as read; NaN where missing, nil where the file has none
	sky        []RowSky
	known      []bool // rows whose light was measured
}

// mend goes through the rules, each of which tells where it acted.
func (m *mender) mend(ctx context.Context) error {
	if err := m.lookUp(ctx); err != nil {
		return err
	}
	m.openColumns()
	m.checkTogether()
	m.completeRows()
	if err := m.checkAmount(); err != nil {
		return err
	}
	m.dropDeadDays()
	if err := m.countLost(); err != nil {
		return err
	}
	m.bridge()
	m.mendAir()
	m.mendAlbedo()
	m.checkClock()
	m.Warnings, m.Notes = m.told()
	return nil
}

// lookRows is for how many rows the sun is looked up at a time: few, so that
// what is only needed on the way stays small; and for at most half a year.
const lookRows = 45_000

// lookUp asks where the sun is in every row, on several cores.
func (m *mender) lookUp(ctx context.Context) error {
	n := m.RowsPerDay()
	days := min(lookRows/n, 183)
	m.sky = make([]RowSky, m.Rows())
	group, inner := errgroup.WithContext(ctx)
	group.SetLimit(4)
	for from := 0; from < len(m.Midnight); from += days {
		group.Go(func() error {
			c := m.Calendar
			c.Midnight = c.Midnight[from:min(from+days, len(c.Midnight))]
			grid, err := NewGrid(inner, m.spot, c, [12]float64{}, m.lookStepS())
			if err == nil {
				copy(m.sky[from*n:], grid.Sky())
			}
			return err
		})
	}
	err := group.Wait()
	if err == nil || ctx.Err() != nil {
		return ctx.Err()
	}
	return &FileError{File: m.Source, Text: err.Error()}
}

// openColumns makes the year's columns of light the file's, and adds those
// that it lacks.
func (m *mender) openColumns() {
	n := m.Rows()
	for k, c := range []*[]float32{inGHI: &m.GHI, inDNI: &m.DNI, inDHI: &m.DHI} {
		if *c = m.column[k]; *c == nil {
			*c = make([]float32, n)
			for i := range *c {
				(*c)[i] = nan32
			}
		}
	}
	m.known = make([]bool, n)
}

func missing(v float32) bool { return v != v }

// height returns the sine of the sun's elevation by which a row's mean beam
// becomes its beam on the horizontal. The beam is taken to follow the clear
// beam within the row, as Grid.Lay does.
func (r *RowSky) height() float64 {
	if r.Clear.DNI <= 0 {
		return 0
	}
	return max(0, r.Clear.GHI-r.Clear.DHI) / r.Clear.DNI
}

// lit reports whether the sun is up for some of the row.
func (r *RowSky) lit() bool { return r.UpShare > 0 && r.Clear.GHI > 0 }

// completeRows makes each row's three figures out of those that were measured.
func (m *mender) completeRows() {
	split := sky.NewSplit(float64(m.StepS))
	modelled := 0
	for i := range m.GHI {
		g, b, d := m.GHI[i], m.DNI[i], m.DHI[i]
		noG, noB, noD := missing(g), missing(b), missing(d)
		s := &m.sky[i]
		switch {
		case !s.lit():
			m.nightRow(i)
			continue
		case noG && (noB || noD):
			m.GHI[i], m.DNI[i], m.DHI[i] = nan32, nan32, nan32
			continue
		case noG:
			m.GHI[i] = b*float32(s.height()) + d
		case noB && noD:
			m.splitRow(i, &split)
			modelled++
		case noB:
			m.beamRow(i)
		case noD:
			m.DHI[i] = max(0, g-b*float32(s.height()))
		}
		m.known[i] = true
	}
	m.noteCompletion(modelled)
}

// nightRow puts nothing where nothing was measured and the sun is down; what
// was measured in twilight is diffuse.
func (m *mender) nightRow(i int) {
	light := m.GHI[i]
	if missing(light) {
		light = m.DHI[i]
	}
	if missing(light) {
		light = 0
	}
	if missing(m.GHI[i]) {
		m.GHI[i] = light
	}
	if missing(m.DHI[i]) {
		m.DHI[i] = light
	}
	if missing(m.DNI[i]) {
		m.DNI[i] = 0
	}
	m.known[i] = true
}

// splitRow parts global light where nothing else was measured: hourly means by
// Erbs, shorter rows by Engerer2 with the coefficients refitted for their
// length. A row in which the sun rises is judged by its lit part.
func (m *mender) splitRow(i int, split *sky.Split) {
	s := &m.sky[i]
	g, up := float64(m.GHI[i])/s.UpShare, s.height()
	var l sky.Light
	if m.StepS == 3600 {
		l = sky.Erbs(g, up, s.ExtraNormal)
	} else {
		l = split.Light(g, s.Clear.GHI/s.UpShare, up, s.ExtraNormal, s.SunHour)
	}
	m.DNI[i], m.DHI[i] = float32(l.DNI*s.UpShare), float32(l.DHI*s.UpShare)
}

// lowestBeam is the sine of the elevation (about 2 degrees) below which the
// difference of global and diffuse light is no measure of the beam.
const lowestBeam = 0.035

// beamRow takes the beam from the difference of global and diffuse light.
func (m *mender) beamRow(i int) {
	s := &m.sky[i]
	up := s.height()
	if up < lowestBeam {
		m.DNI[i], m.DHI[i] = 0, m.GHI[i]
		return
	}
	b := float64(m.GHI[i]-m.DHI[i]) / up
	m.DNI[i] = float32(min(max(b, 0), s.ExtraNormal*s.UpShare))
}

func (m *mender) noteCompletion(modelled int) {
	has := func(k int) bool { return m.column[k] != nil }
	model := "Erbs, Klein & Duffie 1982, for hourly means"
	if m.StepS != 3600 {
		model = "Engerer 2015 with the coefficients of Bright & Engerer 2019"
	}
	switch {
	case has(inGHI) && !has(inDNI) && !has(inDHI):
		m.tellf(derived, "Only global light was measured: it is split into beam and diffuse by a model (%s).", model)
		return
	case !has(inGHI):
		m.tellf(derived, "Global light is computed from beam and diffuse.")
	case !has(inDNI):
		m.tellf(derived, "The beam is computed from global and diffuse light.")
	case !has(inDHI):
		m.tellf(derived, "Diffuse light is computed from global light and beam.")
	}
	if modelled > 0 {
		m.tellf(derived, "In %s of daylight only global light was measured: split into beam and diffuse by a model (%s).", plural(modelled, "row", "rows"), model)
	}
}

// countLost refuses a year of which too much daylight is missing, and drops
// such days of a part year.
func (m *mender) countLost() error {
	perDay := m.RowsPerDay()
	keep := make([]bool, len(m.Midnight))
	lost, lit, first, thin := 0, 0, -1, 0
	for day := range m.Midnight {
		dayLost, dayLit := 0, 0
		for i := day * perDay; i < (day+1)*perDay; i++ {
			if m.sky[i].lit() {
				dayLit++
				if !m.known[i] {
					dayLost++
				}
			}
		}
		if lost, lit = lost+dayLost, lit+dayLit; dayLost > 0 && first < 0 {
			first = day
		}
		if keep[day] = float64(dayLost) <= (1-leastOfPart)*float64(dayLit); !keep[day] {
			thin++
		}
	}
	switch {
	case m.Whole() && float64(lost) > maxLost*float64(lit):
		return &FileError{File: m.Source, Text: fmt.Sprintf("light is missing in %.0f %% of the daylight of the year (first on %s), %.0f %% at most can be filled",
			100*float64(lost)/float64(lit), m.Date(first).Format("2 January 2006"), 100*maxLost)}
	case m.Whole() || thin == 0:
		return nil
	case thin == len(keep):
		return &FileError{File: m.Source, Text: fmt.Sprintf("no day has light in at least %.0f %% of its daylight", 100*leastOfPart)}
	}
	m.tellf(leftOut, "%s light in less than %.0f %% of the daylight: left out.", plural(thin, "day has", "days have"), 100*leastOfPart)
	m.keepDays(keep)
	return nil
}

func (m *mender) keepDays(keep []bool) {
	columns := []*[]float32{&m.GHI, &m.DNI, &m.DHI, &m.column[inAir], &m.column[inWind], &m.column[inAlbedo]}
	n := m.RowsPerDay()
	for _, c := range columns {
		if *c != nil {
			*c = keepRows(*c, keep, n)
		}
	}
	m.sky, m.known = keepRows(m.sky, keep, n), keepRows(m.known, keep, n)
	m.Midnight = keepRows(m.Midnight, keep, 1)
}

func keepRows[T any](rows []T, keep []bool, perDay int) []T {
	var kept []T
	for day, k := range keep {
		if k {
			kept = append(kept, rows[day*perDay:(day+1)*perDay]...)
		}
	}
	return kept
}

// bridge fills gaps in daylight: short ones between their ends by the share of
// the clear sky, longer ones by the nearest day that has the time.
func (m *mender) bridge() {
	perDay := m.RowsPerDay()
	short, long := 0, 0
	for day := range m.Midnight {
		for i := day * perDay; i < (day+1)*perDay; {
			if m.known[i] {
				i++
				continue
			}
			end := i
			for end < (day+1)*perDay && !m.known[end] {
				end++
			}
			if (end-i)*m.StepS <= longestBridge && m.interpolate(day, i, end) {
				short += end - i
			} else {
				m.borrow(day, i, end)
				long += end - i
			}
			i = end
		}
	}
	if short > 0 {
		m.tellf(filled, "%s of daylight missing in gaps of at most %s: filled by the share of the clear sky at their ends.", plural(short, "row", "rows"), seconds(longestBridge))
	}
	if long > 0 {
		m.tellf(filled, "%s of daylight missing in longer gaps: filled from the nearest day that has the time.", plural(long, "row", "rows"))
	}
}

// shares are a row's beam as part of the clear beam and its diffuse light as
// part of the clear global light.
type shares struct{ beam, diffuse float64 }

func (m *mender) sharesOf(i int) (s shares) {
	c := &m.sky[i].Clear
	if c.DNI > 0 {
		s.beam = min(float64(m.DNI[i])/c.DNI, mostOfShareDNI)
	}
	if c.GHI > 0 {
		s.diffuse = min(float64(m.DHI[i])/c.GHI, mostOfShareDHI)
	}
	return s
}

func (m *mender) put(i int, s shares) {
	r := &m.sky[i]
	b, d := s.beam*r.Clear.DNI, s.diffuse*r.Clear.GHI
	m.DNI[i], m.DHI[i], m.GHI[i] = float32(b), float32(d), float32(b*r.height()+d)
}

// interpolate fills rows from..end by the measured rows on either side within
// the day, or by one of them.
func (m *mender) interpolate(day, from, end int) bool {
	perDay := m.RowsPerDay()
	before := from > day*perDay && m.sky[from-1].lit()
	after := end < (day+1)*perDay && m.sky[end].lit()
	if !before && !after {
		return false
	}
	var a, b shares
	if before {
		a = m.sharesOf(from - 1)
	}
	if after {
		b = m.sharesOf(end)
	}
	if !before {
		a = b
	} else if !after {
		b = a
	}
	for i := from; i < end; i++ {
		x := float64(i-from+1) / float64(end-from+1)
		m.put(i, shares{a.beam + x*(b.beam-a.beam), a.diffuse + x*(b.diffuse-a.diffuse)})
	}
	return true
}

// borrow fills rows from the nearest day on which they were measured: one day
// for all of them if there is one, otherwise a day for each. Where no day has
// the time there is no light.
func (m *mender) borrow(day, from, end int) {
	if donor, ok := m.nearest(day, func(shift int) bool { return m.allKnown(from+shift, end+shift) }); ok {
		for i := from; i < end; i++ {
			m.put(i, m.sharesOf(i+donor))
		}
		return
	}
	for i := from; i < end; i++ {
		donor, ok := m.nearest(day, func(shift int) bool { return m.allKnown(i+shift, i+shift+1) })
		if !ok {
			m.put(i, shares{})
			continue
		}
		m.put(i, m.sharesOf(i+donor))
	}
}

func (m *mender) allKnown(from, end int) bool {
	for i := from; i < end; i++ {
		if !m.known[i] || !m.sky[i].lit() {
			return false
		}
	}
	return true
}

// nearest looks for a day that serves, outward from day and round the year's
// end; it returns how many rows off that day is.
func (m *mender) nearest(day int, serves func(shift int) bool) (shift int, ok bool) {
	n, perDay := len(m.Midnight), m.RowsPerDay()
	for d := 1; d <= n; d++ {
		for _, other := range [2]int{day - d, day + d} {
			if m.Whole() {
				other = (other + n) % n
			}
			if other < 0 || other >= n {
				continue
			}
			if shift = (other - day) * perDay; serves(shift) {
				return shift, true
			}
		}
	}
	return 0, false
}

// lookStepS is the step in which the sun is looked up: thirds of hours are
// fine enough for filling gaps; shorter rows as the grid cuts them.
func (m *mender) lookStepS() int {
	if m.StepS == 3600 {
		return 1200
	}
	return 0
}
