package weather

import (
	"fmt"

	"turnsole/sky"
)

// Limits of the comparison of global light with beam and diffuse, and when it
// is made (Long & Dutton 2002, BSRN recommended QC tests v2).
const (
	leastToCompare = 50     // W/m2
	highSun        = 0.2588 // sine of the elevation at a zenith angle of 75 degrees
	highTolerance  = 0.08
	lowTolerance   = 0.15
	toldFrom       = 0.05 // share of rows out of bounds that is worth a note
)

// checkTogether compares what was measured at the same time, before anything
// is filled.
func (m *mender) checkTogether() {
	compared, apart, lit, beyond := 0, 0, 0, 0
	for i := range m.GHI {
		s := &m.sky[i]
		if !s.lit() {
			continue
		}
		lit++
		if m.beyondCeiling(i) {
			beyond++
		}
		if is, off := m.closure(i); is {
			compared++
			if off {
				apart++
			}
		}
	}
	if float64(apart) > toldFrom*float64(compared) {
		m.tellf(disagree, "Global light differs from beam and diffuse together by more than the usual tolerance in %.0f %% of the rows: beam and diffuse are used.",
			100*float64(apart)/float64(compared))
	}
	if float64(beyond) > 0.001*float64(lit) {
		m.tellf(tooBright, "%s of daylight hold more light than the sun can give at its height then: the file's clock or its place may be wrong.", plural(beyond, "row", "rows"))
	}
}

// closure reports whether a row can be compared and whether it is off.
func (m *mender) closure(i int) (compared, off bool) {
	g, b, d := m.GHI[i], m.DNI[i], m.DHI[i]
	if missing(g) || missing(b) || missing(d) {
		return false, false
	}
	up := m.sky[i].height()
	sum := float64(b)*up + float64(d)
	if sum < leastToCompare || m.sky[i].UpShare < 1 {
		return false, false
	}
	ratio, tolerance := float64(g)/sum, highTolerance
	if up < highSun {
		tolerance = lowTolerance
	}
	return true, ratio < 1-tolerance || ratio > 1+tolerance
}

func (m *mender) beyondCeiling(i int) bool {
	s := &m.sky[i]
	if s.UpShare < 1 || m.surelyPossible(i) {
		return false
	}
	most := sky.Ceiling(s.Up, s.ExtraNormal)
	return float64(m.GHI[i]) > most.GHI || float64(m.DNI[i]) > most.DNI || float64(m.DHI[i]) > most.DHI
}

// surelyPossible spares most rows the power in the ceiling, below which these
// straight lines lie everywhere.
func (m *mender) surelyPossible(i int) bool {
	s := &m.sky[i]
	outside := float32(s.ExtraNormal * s.Up)
	return m.GHI[i] <= outside && m.DHI[i] <= 0.5*outside && m.DNI[i] <= float32(s.ExtraNormal)
}

// Bounds of a record's global light against the clear sky's over the same rows
// (our own judgement, no source). Of seven open years the cloudiest, in the
// Aleutians, has 0.53, the brightest 0.87, and of their days none is under 0.12
// or over 1.09; clear winter days in the mountains reach 1.07. A year in kW/m2
// has 0.001, in Wh/m2 by quarter hours 0.25 of its light.
const (
	leastOfClear    = 0.05
	leastOfClearDay = 0.01 // where clouds do not even out
	mostOfClear     = 1.25
	evenOutDays     = 30
	judgedFromWh    = 1000 // Wh/m2 of clear light; polar nights are not judged
)

// checkAmount refuses a record whose light is of another order than the sun's:
// another unit, or another column. The night is summed up with the day, so that
// a clock that is off does not matter here.
func (m *mender) checkAmount() error {
	light, clear := m.amount(0, len(m.GHI))
	least := leastOfClear
	if len(m.Midnight) < evenOutDays {
		least = leastOfClearDay
	}
	if share := light / clear; clear < judgedFromWh || share >= least && share <= mostOfClear {
		return nil
	}
	return &FileError{File: m.Source, Text: fmt.Sprintf("global light of %.4g kWh/m2 in %s is %.3g %% of a clear sky's (%.4g kWh/m2), must be %.0f to %.0f %%: "+
		"is it in another unit than W/m2, or is another column the right one?",
		light/1000, plural(len(m.Midnight), "day", "days"), 100*light/clear, clear/1000, 100*least, 100*mostOfClear)}
}

// amount returns the global light of rows that are known and the clear sky's in
// them, Wh/m2.
func (m *mender) amount(from, end int) (light, clear float64) {
	for i := from; i < end; i++ {
		if m.known[i] {
			light, clear = light+float64(m.GHI[i]), clear+m.sky[i].Clear.GHI
		}
	}
	hours := float64(m.StepS) / 3600
	return light * hours, clear * hours
}

// A day without any light, where the clear sky brings deadDayWh, is a dead
// logger's: under the thickest cloud something is left. More than a few such
// days are told as grave.
const (
	deadDayWh   = 500 // Wh/m2
	fewDeadDays = 3
)

// dropDeadDays takes days without any light for missing.
func (m *mender) dropDeadDays() {
	perDay := m.RowsPerDay()
	dead, first := 0, 0
	for day := range m.Midnight {
		from, end := day*perDay, (day+1)*perDay
		if light, clear := m.amount(from, end); light > 0 || clear < deadDayWh || m.anyBeam(from, end) {
			continue
		}
		if dead++; dead == 1 {
			first = day
		}
		for i := from; i < end; i++ {
			if m.sky[i].lit() {
				m.known[i] = false
				m.GHI[i], m.DNI[i], m.DHI[i] = nan32, nan32, nan32
			}
		}
	}
	w := deadDays
	if dead <= fewDeadDays {
		w = filled
	}
	if dead > 0 {
		m.tellf(w, "%s no light at all, though the sun was up (the first is %s): taken as missing.", plural(dead, "day has", "days have"), m.Date(first).Format("2 January 2006"))
	}
}

// anyBeam spares a day of which only the global light is lacking.
func (m *mender) anyBeam(from, end int) bool {
	for i := from; i < end; i++ {
		if m.DNI[i] > 0 {
			return true
		}
	}
	return false
}
