package season

// swaps chooses, in a circle of periods (the days of a year, the quarter hours
// of a day), what to hold in each, so that the sum of gain[period][choice] is
// greatest with at most count changes a round. A change may fall only before a
// period for which allowed is true; nil allows all. It returns the choice of
// each period.
//
// Each change costs so much of the sum, 0 for none; what the choices bring is
// then as great as can be with that taken off.
//
// It is exact: dynamic programming over period, choice and changes made so far,
// once for every choice that the round may begin with, because a round ends as
// it began unless a change falls on its seam.
func swaps(gain [][]float64, count int, allowed []bool, cost float64) []int {
	if len(gain) == 0 || len(gain[0]) == 0 {
		return nil
	}
	if count < 2 {
		count = 0 // one change a round would have to be undone within it
	}
	d := newSwapTable(gain, count, allowed, cost)
	best, bestSum := 0, never
	for first := range gain[0] {
		for p := d.begin(first); p < len(gain); p++ {
			d.advance(p)
		}
		if _, _, sum := d.close(first); sum > bestSum {
			best, bestSum = first, sum
		}
	}
	return d.path(best)
}

// swapsInLine is swaps for periods that are no circle, such as some weeks of a
// year: they may end otherwise than they began.
func swapsInLine(gain [][]float64, changes int, cost float64) []int {
	if len(gain) == 0 || len(gain[0]) == 0 {
		return nil
	}
	return newSwapTable(gain, max(changes, 0), nil, cost).path(anyFirst)
}

// anyFirst begins a line with whatever is best.
const anyFirst = -1

// never marks what cannot be reached.
const never = -1e300

type swapTable struct {
	gain    [][]float64
	count   int
	allowed []bool
	cost    float64     // of a change
	sum     [][]float64 // best sum so far, by changes made and choice held
	most    []float64   // the greatest of each row of sum
	first   int         // what the round begins with, or anyFirst
}

func newSwapTable(gain [][]float64, count int, allowed []bool, cost float64) *swapTable {
	d := &swapTable{gain: gain, count: count, allowed: allowed, cost: cost}
	for k := 0; k <= count; k++ {
		d.sum = append(d.sum, make([]float64, len(gain[0])))
	}
	d.most = make([]float64, count+1)
	return d
}

func (d *swapTable) may(period int) bool { return d.allowed == nil || d.allowed[period] }

// begin starts a round that holds first; it returns the next period.
func (d *swapTable) begin(first int) int {
	d.first = first
	for _, row := range d.sum {
		for c := range row {
			row[c] = never
		}
	}
	for k := range d.most {
		d.most[k] = never
	}
	if first == anyFirst {
		copy(d.sum[0], d.gain[0])
		_, d.most[0] = highest(d.gain[0])
		return 1
	}
	d.sum[0][first], d.most[0] = d.gain[0][first], d.gain[0][first]
	return 1
}

// advance goes through one period, most changes first so that each row still
// sees the row of one change less as it was before.
func (d *swapTable) advance(period int) {
	gain := d.gain[period]
	for k := d.count; k >= 0; k-- {
		before := never
		if k > 0 && d.may(period) {
			before = d.most[k-1] - d.cost
		}
		row := d.sum[k][:len(gain)]
		if d.first != anyFirst && (k == 0 || k == d.count) {
			// Without a change it holds what it began with; with none left it
			// must hold what it ends with, which is the same.
			row[d.first] = max(row[d.first], before) + gain[d.first]
			d.most[k] = row[d.first]
			continue
		}
		d.most[k] = addRow(row, gain, before)
	}
}

// addRow adds a period to a row, whose every choice may also be come to from
// before, and returns the row's greatest sum.
func addRow(row, gain []float64, before float64) (most float64) {
	most = never
	for c, g := range gain {
		s := row[c]
		if before > s {
			s = before
		}
		s += g
		row[c] = s
		if s > most {
			most = s
		}
	}
	return most
}

func highest(row []float64) (at int, value float64) {
	at, value = 0, row[0]
	for c, s := range row {
		if s > value {
			at, value = c, s
		}
	}
	return at, value
}

// close returns the best end of a round that began holding first: the choice
// held last, the changes made before the seam, and the sum. Either nothing
// changes on the seam, or one of the changes is spent there.
func (d *swapTable) close(first int) (end, changes int, sum float64) {
	sum = never
	for k, row := range d.sum {
		if first == anyFirst {
			if c, s := highest(row); s > sum {
				end, changes, sum = c, k, s
			}
			continue
		}
		if row[first] > sum {
			end, changes, sum = first, k, row[first]
		}
		if c, s := highest(row); k < d.count && d.may(0) && s-d.cost > sum {
			end, changes, sum = c, k, s-d.cost
		}
	}
	return end, changes, sum
}

// path goes through the round once more, remembering, and back.
func (d *swapTable) path(first int) []int {
	choices := len(d.gain[0])
	kept := make([]float64, 0, len(d.gain)*(d.count+1)*choices)
	begun := d.begin(first)
	for p := begun; p < len(d.gain); p++ {
		for _, row := range d.sum {
			kept = append(kept, row...)
		}
		d.advance(p)
	}
	remembered := func(p, k int) []float64 {
		from := ((p-begun)*(d.count+1) + k) * choices
		return kept[from : from+choices]
	}
	path := make([]int, len(d.gain))
	choice, k, _ := d.close(first)
	for p := len(path) - 1; p > 0; p-- {
		path[p] = choice
		if k > 0 && d.may(p) {
			if c, s := highest(remembered(p, k-1)); s-d.cost > remembered(p, k)[choice] {
				choice, k = c, k-1
			}
		}
	}
	path[0] = choice
	return path
}
