package trial

import "math"

// sums are what a trial's light comes to under an estimator. The still light is
// foretold times (1 + more/told).
type sums struct{ aimed, foretold, told, more float64 }

func (a sums) plus(b sums) sums {
	return sums{a.aimed + b.aimed, a.foretold + b.foretold, a.told + b.told, a.more + b.more}
}

// raise is by what share the stops found more still light than was foretold.
func (a sums) raise() float64 { return a.more / a.told }

func (a sums) ratio() float64 { return a.aimed / (a.foretold * (1 + a.raise())) }

// assisted is the model-assisted estimate: the record tells the aimed light
// minute by minute; the even light that the stops around it tell makes still
// light of it; and what each stop was seen to give, over what the others
// foretell of it, corrects the whole. Nothing is taken from a model but the
// angles: a wrong one costs precision and, as the correction rests on looks
// that had no part in the foretelling, no truth. (The regression estimator of
// sample surveys, Cochran 1977, with Särndal, Swensson and Wretman's difference
// to a model, 1992, from memory; cross-validated by leaving out.)
//
// parts are the spells' sums; drops how the whole changes without each stop.
func assisted(spells []*spell) (parts, drops []sums) {
	for _, sp := range spells {
		part, d := sp.assisted()
		parts, drops = append(parts, part), append(drops, d...)
	}
	return parts, drops
}

func (sp *spell) assisted() (whole sums, drops []sums) {
	foretold := make([]float64, len(sp.minutes))
	for i := range sp.minutes {
		m := &sp.minutes[i]
		foretold[i] = sp.still(m.unixS, m.aimed, m.unrest, &m.shares, -1, -1) * m.seconds
		whole.aimed += m.aimed * m.seconds
		whole.foretold += foretold[i]
	}
	found := make([]sums, len(sp.stops))
	for i := range sp.stops {
		found[i] = sp.found(i, -1)
		whole = whole.plus(found[i])
	}
	for out := range sp.stops {
		drops = append(drops, sp.drop(out, foretold, found))
	}
	return whole, drops
}

// found is a stop's part in the correction, another left out of the
// foretelling.
func (sp *spell) found(i, and int) sums {
	s := &sp.stops[i]
	told, more := sp.foretell(i, and)
	w := s.weight() * s.recordS
	return sums{told: w * told, more: w * more}
}

// drop is how the sums change where a stop is left out.
func (sp *spell) drop(out int, foretold []float64, found []sums) sums {
	at, far := sp.stops[out].unixS, reach*sp.spacingS
	d := sums{told: -found[out].told, more: -found[out].more}
	for i := range sp.minutes {
		m := &sp.minutes[i]
		if math.Abs(m.unixS-at) < far {
			d.foretold += sp.still(m.unixS, m.aimed, m.unrest, &m.shares, out, -1)*m.seconds - foretold[i]
		}
	}
	for i := range sp.stops {
		if i != out && math.Abs(sp.stops[i].unixS-at) < far {
			f := sp.found(i, out)
			d.told, d.more = d.told+f.told-found[i].told, d.more+f.more-found[i].more
		}
	}
	return d
}

// plain is the design's own estimate: aimed over still, each stop standing for
// its time. It needs no record and no angles. Both sums are unbiased by
// construction as the stops' phase is drawn anew each day, and their ratio but for
// what goes with one over the number of stops.
func plain(spells []*spell) (parts, drops []sums) {
	for _, sp := range spells {
		var whole sums
		for i := range sp.stops {
			s := sp.stops[i].plain()
			whole = whole.plus(s)
		}
		parts = append(parts, whole)
	}
	return parts, nil
}

// plain is a stop's sums where it stands for itself.
func (s *stop) plain() sums {
	var p sums
	for k := range s.visits {
		w := s.byItself / float64(len(s.visits))
		p.aimed += w * s.visits[k].aimed
		p.foretold += w * s.visits[k].still
	}
	p.told = p.foretold
	return p
}

// jackknife is the variance of the ratio of the whole by leaving each stop out
// in turn (Tukey 1958; Shao and Tu, The Jackknife and Bootstrap, 1995), and the
// degrees of freedom that it has.
func jackknife(whole sums, drops []sums) (variance, freedom float64) {
	r := whole.ratio()
	var each []float64
	for _, d := range drops {
		v := sq(whole.plus(d).ratio() - r)
		each, variance = append(each, v), variance+v
	}
	return variance, SatterthwaiteDF(each)
}

// successive is the variance of the plain ratio from the differences of
// neighbouring stops: what changes smoothly through the day is no scatter. Each
// two stops give one difference, so that they are independent.
func successive(spells []*spell, whole sums) (variance, freedom float64) {
	r := whole.ratio()
	var each []float64
	for _, sp := range spells {
		parts := make([]sums, len(sp.stops))
		for i := range sp.stops {
			parts[i] = sp.stops[i].plain()
		}
		each = append(each, neighbours(parts, r, whole.foretold)...)
	}
	for _, v := range each {
		variance += v
	}
	return variance, SatterthwaiteDF(each)
}

// neighbours are the squared differences of each two stops of a day, as what
// they add to the ratio; the last three give three for two.
func neighbours(stops []sums, ratio, foretold float64) (each []float64) {
	e := func(i int) float64 { return (stops[i].aimed - ratio*stops[i].foretold) / foretold }
	for i := 0; i+1 < len(stops); i += 2 {
		v := sq(e(i) - e(i+1))
		if i+3 == len(stops) {
			v = (v + sq(e(i+1)-e(i+2)) + sq(e(i)-e(i+2))) / 2
		}
		each = append(each, v)
	}
	return each
}
