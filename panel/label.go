package panel

import (
	"errors"
	"fmt"
	"math"
)

// Label is what is printed on the back of a panel, measured at 1000 W/m2 and
// 25 C. Zero means that it is not given; only the power, or the volts and
// amperes that make it, must be.
type Label struct {
	PowerW float64 // greatest power, 0.1..2000 W
	VocV   float64 // open circuit
	IscA   float64 // short circuit
	VmpV   float64 // at greatest power
	ImpA   float64 // at greatest power

	// Changes with temperature as fractions per K: -0.004 for the power of
	// many panels (-0.01..0), -0.003 for the open-circuit voltage
	// (-0.008..0), +0.0005 for the short-circuit current (-0.001..0.003).
	PowerPerK, VocPerK, IscPerK float64

	// Cells in series, 36 for a common 12 V panel. Half-cut cells stand in two
	// strings side by side: count one of them.
	Cells int
}

// What a label that says little is filled up with. Volts and amperes are common
// practice, no source. The coefficients are usual for crystalline silicon: the
// medians of nine modules measured by Sandia National Laboratories in 2019,
// rounded.
const (
	usualVmpOfVoc = 0.82
	usualImpOfIsc = 0.94
	usualCellV    = 0.50 // per cell at greatest power

	usualVocPerK  = -0.0029
	usualIscPerK  = 0.0004
	usualLossPerK = -0.0011 // power falls by so much more than voltage

	// The greatest power of panels of 36 and of 60 cells; more has 72.
	most36W, most60W = 170, 370
)

// Fit finds the single-diode model of a panel from its label. What the label
// lacks is assumed, and told in plain sentences. A label that contradicts
// itself is refused with what is wrong and what would be right.
//
// The curve passes exactly through the label's open circuit, short circuit and
// point of greatest power, and its voltage falls with heat as labelled.
func Fit(l Label) (Diode, []string, error) {
	if err := l.inRange(); err != nil {
		return Diode{}, nil, err
	}
	full, assumed := l.filled()
	if err := full.consistent(); err != nil {
		return Diode{}, nil, err
	}
	c := corner{voc: full.VocV, isc: full.IscA, vmp: full.VmpV, imp: full.ImpA}
	product := c.vmp * c.imp
	if off := product/full.PowerW - 1; math.Abs(off) > 0.005 {
		assumed = append(assumed, fmt.Sprintf("The label's volts times amperes make %.4g W, not %.4g W; the watts are believed.", product, full.PowerW))
	}
	share := math.Sqrt(full.PowerW / product)
	c.vmp, c.imp = c.vmp*share, c.imp*share
	d, err := c.fit(full.PowerPerK, full.VocPerK, full.IscPerK)
	return d, assumed, err
}

// inRange refuses figures that no panel bears, one by one.
func (l Label) inRange() error {
	for _, f := range []struct {
		name, unit         string
		value, least, most float64
		hint               string
	}{
		{"power", "W", l.PowerW, 0.1, 2000, ""},
		{"open-circuit voltage", "V", l.VocV, 0.3, 1000, ""},
		{"short-circuit current", "A", l.IscA, 0.001, 100, ""},
		{"voltage at maximum power", "V", l.VmpV, 0.2, 1000, ""},
		{"current at maximum power", "A", l.ImpA, 0.001, 100, ""},
		{"change of power with temperature", "per K", l.PowerPerK, -0.01, 0, "; -0.4 % per K is -0.004"},
		{"change of open-circuit voltage with temperature", "per K", l.VocPerK, -0.008, 0, "; -0.3 % per K is -0.003"},
		{"change of short-circuit current with temperature", "per K", l.IscPerK, -0.001, 0.003, "; +0.05 % per K is 0.0005"},
		{"number of cells in series", "", float64(l.Cells), 1, 1000, ""},
	} {
		if f.value != 0 && !(f.value >= f.least && f.value <= f.most) {
			return fmt.Errorf("the panel's %s is %.4g %s; it must lie between %g and %g%s", f.name, f.value, f.unit, f.least, f.most, f.hint)
		}
	}
	if l.PowerW == 0 && (l.VmpV == 0 || l.ImpA == 0) {
		return errors.New("the panel's power is missing; give the watts printed on its back")
	}
	return nil
}

// filled returns the label with every figure in place and what was assumed.
func (l Label) filled() (Label, []string) {
	var assumed []string
	say := func(format string, figures ...any) { assumed = append(assumed, fmt.Sprintf(format, figures...)) }
	if l.PowerW == 0 {
		l.PowerW = l.VmpV * l.ImpA
		say("The panel's power is its volts times its amperes at maximum power, %.4g W.", l.PowerW)
	}
	given := l
	l.fillCurve()
	if l.VocV != given.VocV || l.IscA != given.IscA || l.VmpV != given.VmpV || l.ImpA != given.ImpA {
		say("The panel gives %.3g V and %.3g A at maximum power, %.3g V open, %.3g A short-circuited: what its label lacks of these is as usual for its size (common practice, no source).", l.VmpV, l.ImpA, l.VocV, l.IscA)
	}
	l.fillCoefficients()
	if l.PowerPerK != given.PowerPerK || l.VocPerK != given.VocPerK || l.IscPerK != given.IscPerK {
		say("With each degree of heat the panel's power changes by %.2f %%, its open voltage by %.2f %%, its short-circuit current by %+.2f %%: what its label lacks of these is usual for crystalline silicon.", 100*l.PowerPerK, 100*l.VocPerK, 100*l.IscPerK)
	}
	return l, assumed
}

// fillCurve fills volts and amperes from one another, then from the watts.
func (l *Label) fillCurve() {
	if l.VmpV == 0 && l.ImpA == 0 && l.VocV != 0 && l.IscA != 0 {
		// The usual shares, bent so that together they make the fill factor.
		bend := math.Log(l.PowerW/(l.VocV*l.IscA)) / math.Log(usualVmpOfVoc*usualImpOfIsc)
		l.VmpV = l.VocV * math.Pow(usualVmpOfVoc, bend)
	}
	fill := func(to *float64, from float64) {
		if *to == 0 {
			*to = from
		}
	}
	fill(&l.VmpV, l.VocV*usualVmpOfVoc)
	fill(&l.ImpA, l.IscA*usualImpOfIsc)
	if l.ImpA != 0 {
		fill(&l.VmpV, l.PowerW/l.ImpA)
	}
	fill(&l.VmpV, usualCellV*float64(l.cells()))
	fill(&l.ImpA, l.PowerW/l.VmpV)
	fill(&l.VocV, l.VmpV/usualVmpOfVoc)
	fill(&l.IscA, l.ImpA/usualImpOfIsc)
}

// cells returns the cells in series, as usual for the watts where not given.
func (l Label) cells() int {
	switch {
	case l.Cells != 0:
		return l.Cells
	case l.PowerW <= most36W:
		return 36
	case l.PowerW <= most60W:
		return 60
	}
	return 72
}

func (l *Label) fillCoefficients() {
	if l.VocPerK == 0 && l.PowerPerK != 0 {
		l.VocPerK = math.Min(l.PowerPerK-usualLossPerK, l.PowerPerK/2)
	}
	if l.VocPerK == 0 {
		l.VocPerK = usualVocPerK
	}
	if l.PowerPerK == 0 {
		l.PowerPerK = l.VocPerK + usualLossPerK
	}
	if l.IscPerK == 0 {
		l.IscPerK = usualIscPerK
	}
}

// consistent refuses a full label whose figures contradict one another.
func (l Label) consistent() error {
	switch fill := l.PowerW / (l.VocV * l.IscA); {
	case l.VmpV >= l.VocV:
		return fmt.Errorf("the panel's voltage at maximum power, %.4g V, must be below its open-circuit voltage, %.4g V (about %.3g V); are the two swapped?", l.VmpV, l.VocV, usualVmpOfVoc*l.VocV)
	case l.ImpA >= l.IscA:
		return fmt.Errorf("the panel's current at maximum power, %.4g A, must be below its short-circuit current, %.4g A (about %.3g A); are the two swapped?", l.ImpA, l.IscA, usualImpOfIsc*l.IscA)
	case math.Abs(l.VmpV*l.ImpA/l.PowerW-1) > 0.05:
		return fmt.Errorf("the panel's volts times amperes at maximum power make %.4g W, more than 5 %% off its %.4g W; one of the three is wrong", l.VmpV*l.ImpA, l.PowerW)
	case fill < 0.45 || fill > 0.87:
		return fmt.Errorf("the panel's watts are %.2f of its open-circuit volts times its short-circuit amperes; silicon gives 0.45 to 0.87, so one of the three is wrong", fill)
	case l.VmpV < 0.6*l.VocV:
		return fmt.Errorf("the panel's voltage at maximum power, %.4g V, is too far below its open-circuit voltage, %.4g V (about %.3g V is usual)", l.VmpV, l.VocV, usualVmpOfVoc*l.VocV)
	case l.ImpA < 0.6*l.IscA:
		return fmt.Errorf("the panel's current at maximum power, %.4g A, is too far below its short-circuit current, %.4g A (about %.3g A is usual)", l.ImpA, l.IscA, usualImpOfIsc*l.IscA)
	}
	if cellV := l.VocV / float64(max(l.Cells, 1)); l.Cells != 0 && !(cellV > 0.45 && cellV < 0.8) {
		return fmt.Errorf("%d cells in series at %.4g V open circuit make %.2f V a cell; silicon gives 0.45 to 0.8 V (of half-cut cells count one string; leave the cells out if unsure)", l.Cells, l.VocV, cellV)
	}
	return nil
}

// corner is the label's three points at the reference condition, which the
// fitted curve goes through exactly.
type corner struct{ voc, isc, vmp, imp float64 }

// Bounds of the slope, as a share of the open-circuit voltage. Crystalline
// silicon lies near 0.04; anything between is solved.
const (
	steepest   = 1.0 / 200
	shallowest = 1.0 / 12
)

// through finds the diode of a given slope whose curve passes short circuit,
// maximum power and open circuit and is flat in power at the second. It
// reports false where only a negative resistance would do it.
//
// For a slope and a series resistance the three points are linear in light,
// saturation and shunt. As the series resistance grows from 0 the shunt falls;
// between 0 and where the shunt vanishes lies the one that makes power flat.
func (c corner) through(slope float64) (Diode, bool) {
	if c.shape(slope, 0).ShuntS < 0 {
		return Diode{}, false
	}
	noShunt := bisect(0, (c.voc-c.vmp)/c.imp, func(series float64) bool { return c.shape(slope, series).ShuntS >= 0 })
	flat := func(series float64) bool { return c.excess(c.shape(slope, series)) <= 0 }
	if !flat(0) || flat(noShunt) {
		return Diode{}, false
	}
	return c.shape(slope, bisect(0, noShunt, flat)), true
}

// shape solves the three linear equations. The exponentials are counted from
// open circuit so that none overflows.
func (c corner) shape(slope, series float64) Diode {
	e := func(v float64) float64 { return math.Exp((v - c.voc) / slope) }
	sc, mp := c.isc*series, c.vmp+c.imp*series
	// Currents lost between short circuit and the other two points.
	a11, a12, b1 := e(mp)-e(sc), mp-sc, c.isc-c.imp
	a21, a22, b2 := 1-e(sc), c.voc-sc, c.isc
	det := a11*a22 - a12*a21
	saturation, shunt := (b1*a22-b2*a12)/det, (a11*b2-a21*b1)/det
	dark := saturation * math.Exp(-c.voc/slope)
	return Diode{
		SaturationA: dark,
		SlopeV:      slope,
		SeriesOhm:   series,
		ShuntS:      shunt,
		LightA:      saturation - dark + shunt*c.voc,
		GapEV:       siliconGapEV,
	}
}

// excess is how much steeper the junction's curve is at maximum power than the
// one that keeps power flat there: dI/dV = -Imp/Vmp at the terminals.
func (c corner) excess(d Diode) float64 {
	_, perV := d.at(fullSunWm2, referenceC).current(c.vmp + c.imp*d.SeriesOhm)
	return -perV - c.imp/(c.vmp-d.SeriesOhm*c.imp)
}

// bisect returns the border between lo, where ok holds, and hi, on the side of
// lo, to the last bit.
func bisect(lo, hi float64, ok func(float64) bool) float64 { return halve(100, lo, hi, ok) }

// halve is bisect with so many halvings at most.
func halve(times int, lo, hi float64, ok func(float64) bool) float64 {
	for range times {
		mid := (lo + hi) / 2
		if mid == lo || mid == hi {
			break
		}
		if ok(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// gap is the band gap with which the fitted curve's open-circuit voltage
// changes as wanted, taken ten kelvin above the reference (De Soto et al. 2006
// advise 2 to 10 K).
func (d Diode) gap(vocV, vocPerK float64) float64 {
	const dT = 10.0
	hot := d.at(fullSunWm2, referenceC+dT)
	v := vocV * (1 + vocPerK*dT)
	saturation := (hot.light - d.ShuntS*v) / math.Expm1(v/hot.slope)
	grown := math.Log(saturation/d.SaturationA) - 3*math.Log((referenceK+dT)/referenceK)
	return grown * boltzmannEV / (1/referenceK - (1-gapPerK*dT)/(referenceK+dT))
}

var errNoCurve = errors.New("no panel's curve goes through these figures: check the volts and amperes at maximum power")

// powerPerK is the change of maximum power with temperature, as a fraction per
// K of that at 25 C, between there and 55 C, where panels work.
func (d Diode) powerPerK() float64 {
	const hotC = 55.0
	power := func(cellC float64) float64 {
		v, i := d.MaximumPower(fullSunWm2, cellC)
		return v * i
	}
	return (power(hotC)/power(referenceC) - 1) / (hotC - referenceC)
}

// fit finds the diode through the label's points whose voltage changes with
// temperature as wanted. The gap sees to that for any slope, so the slope is
// free to bring the change of power as near as it can to the wanted one: the
// shallower the slope, the faster power falls. It is never steeper than the one
// at which the gap is silicon's own (De Soto et al. 2006), because
// a steep slope asks for a resistance that flatters the panel in weak light.
func (c corner) fit(powerPerK, vocPerK, iscPerK float64) (Diode, error) {
	with := func(slope float64) (Diode, bool) {
		d, ok := c.through(slope)
		d.LightPerK = iscPerK * c.isc
		d.GapEV = d.gap(c.voc, vocPerK)
		return d, ok
	}
	serves := func(slope float64) bool { _, ok := c.through(slope); return ok }
	const fine = 30 // halvings: a billionth of the slope; any slope passes through the label
	if !serves(steepest * c.voc) {
		return Diode{}, errNoCurve
	}
	last := halve(fine, steepest*c.voc, shallowest*c.voc, serves)
	silicon := halve(fine, steepest*c.voc, last, func(slope float64) bool {
		d, _ := with(slope)
		return d.GapEV >= siliconGapEV
	})
	slope := halve(fine, silicon, last, func(slope float64) bool {
		d, _ := with(slope)
		return d.powerPerK() >= powerPerK
	})
	d, _ := with(slope)
	return d, nil
}
