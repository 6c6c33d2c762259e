package season

// tally is the mean of several runs of one way.
type tally struct {
	n float64
	lived
}

func (t *tally) add(l *lived) {
	t.n++
	for m := range t.months {
		t.months[m].add(l.months[m])
		t.fullHour[m] += l.fullHour[m]
		t.fullDays[m] += l.fullDays[m]
	}
}

func (t *tally) close(row *Row) {
	for m := range t.months {
		row.Months[m] = t.months[m].over(t.n)
		row.Total.add(row.Months[m])
		if t.fullDays[m] > 0 {
			row.FullAtHour[m] = t.fullHour[m] / t.fullDays[m]
			row.FullDays[m] = t.fullDays[m] / t.n
		}
	}
}

// row begins a plan's row with what is known before it is run.
func (p *plan) row() Row {
	r := Row{Way: p.way, Stretches: p.stretches, Hands: p.hands}
	if p.tilts == nil && !p.square {
		r.Tilt = &p.tilt
	}
	return r
}

// RunTotals returns the window's sum in each run.
func (r *Row) RunTotals() []Sum {
	totals := make([]Sum, len(r.Runs))
	for i, months := range r.Runs {
		for _, m := range months {
			totals[i].add(m)
		}
	}
	return totals
}

// RunMonths returns the sum of one month, January 0, in each run.
func (r *Row) RunMonths(month int) []Sum {
	sums := make([]Sum, len(r.Runs))
	for i := range r.Runs {
		sums[i] = r.Runs[i][month]
	}
	return sums
}
