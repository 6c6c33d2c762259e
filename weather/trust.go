package weather

import "turnsole/sky"

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
