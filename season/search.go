package season

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sort"

	"golang.org/x/sync/errgroup"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/plane"
	"turnsole/stand"
	"turnsole/weather"
)

// What is searched: tilts every tiltStep degrees, headings every headingStep
// degrees up to headingReach either side of the equator's, by quarter hours of
// the clock. Between the nodes energy is interpolated, cubic in the angle.
const (
	tiltStep     = 5
	headingStep  = 15
	headingReach = 150
	fineTilts    = tiltStep // to 1 degree
	fineHeadings = 3        // to 5 degrees
	slotsPerDay  = 96
)

// search holds the energy (Wh at the panel) of every tilt on every day of the
// window, and of every heading in every quarter hour of the clock. It is
// filled once; every optimum is read off it.
type search struct {
	days         []int
	dayIndex     []int // of each day of the calendar in days, -1 outside the window
	round        bool  // the days go round the year: the last is followed by the first
	stillByDay   [][]float64
	turningByDay [][]float64
	byClock      [][]float64

	// Light on the plane in the same days and tilts, Wh/m2; nil where nobody asks.
	stillLight, turningLight [][]float64
}

func newSearch(days []int, c weather.Calendar, n needs) *search {
	s := &search{days: days, dayIndex: make([]int, len(c.Midnight)), round: goRound(days, c)}
	for d := range s.dayIndex {
		s.dayIndex[d] = -1
	}
	for i, d := range days {
		s.dayIndex[d] = i
	}
	if n.stillTilts {
		s.stillByDay = table(len(days), 90/tiltStep+1)
	}
	if n.turningTilts {
		s.turningByDay = table(len(days), 90/tiltStep+1)
	}
	if n.light {
		s.stillLight, s.turningLight = table(len(days), 90/tiltStep+1), table(len(days), 90/tiltStep+1)
	}
	if n.headings {
		s.byClock = table(slotsPerDay, 2*headingReach/headingStep+1)
	}
	return s
}

// goRound reports whether days go round the year.
func goRound(days []int, c weather.Calendar) bool {
	const near = 65 // days from the last to the first
	gap := c.Date(days[0]).YearDay() - c.Date(days[len(days)-1]).YearDay()
	return len(days) == len(c.Midnight) && (gap+365)%365 <= near && len(days) > 1
}

func table(rows, columns int) [][]float64 {
	all := make([]float64, rows*columns)
	t := make([][]float64, rows)
	for i := range t {
		t[i] = all[i*columns : (i+1)*columns]
	}
	return t
}

// merge adds what another search of other steps found.
func (s *search) merge(o *search) {
	for _, t := range []struct{ to, from [][]float64 }{
		{s.stillByDay, o.stillByDay}, {s.turningByDay, o.turningByDay}, {s.byClock, o.byClock},
		{s.stillLight, o.stillLight}, {s.turningLight, o.turningLight}} {
		for i := range t.to {
			for j, v := range t.from[i] {
				t.to[i][j] += v
			}
		}
	}
}

// run searches the steps from..to of the light. Cell temperature lags behind
// at every face of its own.
func (s *search) run(l *plane.Light, g *generator, rig *Rig, clock []float32, from, to int) {
	equator := plane.NewHeading(compass.Equatorward(rig.Spot.Latitude))
	slopes := make([]*plane.Slope, 90/tiltStep+1)
	for k := range slopes {
		slopes[k] = l.Slope(compass.Angle(k * tiltStep))
	}
	held := l.Slope(rig.Stand.Tilt)
	headings := make([]plane.Heading, 2*headingReach/headingStep+1)
	for k := range headings {
		headings[k] = plane.NewHeading(equator.Azimuth + compass.Angle(k*headingStep-headingReach))
	}
	still, turning, hands := make([]cell, len(slopes)), make([]cell, len(slopes)), make([]cell, len(headings))
	for i := from; i < to; i++ {
		day := s.dayIndex[l.Hour[i]/24]
		if day < 0 {
			continue
		}
		air := g.air(l, i)
		if s.stillByDay != nil {
			row := s.stillByDay[day]
			for k, slope := range slopes {
				light, entered := l.At(i, equator, slope)
				row[k] += g.wh(&still[k], air, light, entered)
				if s.stillLight != nil {
					s.stillLight[day][k] += light * g.stepH
				}
			}
		}
		if s.turningByDay != nil {
			row, sun := s.turningByDay[day], l.SunHeading(i)
			for k, slope := range slopes {
				light, entered := l.At(i, sun, slope)
				row[k] += g.wh(&turning[k], air, light, entered)
				if s.turningLight != nil {
					s.turningLight[day][k] += light * g.stepH
				}
			}
		}
		if s.byClock != nil {
			row := s.byClock[min(slotsPerDay-1, int(clock[i]*slotsPerDay/24))]
			for k, h := range headings {
				light, entered := l.At(i, h, held)
				row[k] += g.wh(&hands[k], air, light, entered)
			}
		}
	}
}

// chunks is how many parts of a year are searched side by side. It does not
// depend on the machine, so that sums come out the same everywhere.
const chunks = 8

// runAll searches a whole year.
func (s *search) runAll(ctx context.Context, y *laidYear, c weather.Calendar, g *generator, rig *Rig, n needs) error {
	if n == (needs{}) {
		return nil
	}
	parts := make([]*search, chunks)
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for k := range parts {
		group.Go(func() error {
			parts[k] = newSearch(s.days, c, n)
			days := len(s.dayIndex)
			from, to := y.stepOf(days*k/chunks), y.stepOf(days*(k+1)/chunks)
			parts[k].run(y.light, g, rig, y.clock, from, to)
			return ctx.Err()
		})
	}
	if err := group.Wait(); err != nil {
		return err
	}
	for _, part := range parts {
		s.merge(part)
	}
	return nil
}

// stepOf returns the first step on or after a day.
func (y *laidYear) stepOf(day int) int {
	i, _ := slices.BinarySearch(y.light.Hour, int32(day*24))
	return i
}

// between returns row with factor times as many nodes, by cubic interpolation
// through the four nearest.
func between(row []float64, factor int) []float64 {
	n := len(row)
	out := make([]float64, (n-1)*factor+1)
	for i := range out {
		k := min(max(i/factor-1, 0), max(n-4, 0))
		out[i] = lagrange(row[k:min(k+4, n)], float64(i)/float64(factor)-float64(k))
	}
	return out
}

func lagrange(y []float64, x float64) float64 {
	sum := 0.0
	for i, yi := range y {
		for j := range y {
			if j != i {
				yi *= (x - float64(j)) / float64(i-j)
			}
		}
		sum += yi
	}
	return sum
}

// bestTilt is the single tilt that brings most over the window, to a tenth of
// a degree, within what the stand can be set to.
func (s *search) bestTilt(st stand.Stand) compass.Angle {
	total := make([]float64, len(s.stillByDay[0]))
	for _, row := range s.stillByDay {
		for k, v := range row {
			total[k] += v
		}
	}
	fine := between(total, tiltStep*10)
	best, most := st.Lowest, math.Inf(-1)
	for i, v := range fine {
		if tilt := compass.Angle(i) / 10; tilt >= st.Lowest && tilt <= st.Highest && v > most {
			best, most = tilt, v
		}
	}
	return best
}

// notches is the tilt of each day of the window, changed on the best days.
func (s *search) notches(byDay [][]float64, st stand.Stand) []compass.Angle {
	lowest, highest := int(math.Ceil(float64(st.Lowest))), int(math.Floor(float64(st.Highest)))
	if lowest > highest { // no whole degree lies within
		return slices.Repeat([]compass.Angle{st.Tilt}, len(byDay))
	}
	gain := make([][]float64, len(byDay))
	for d, row := range byDay {
		gain[d] = between(row, fineTilts)[lowest : highest+1]
	}
	choices := notchCalendar(gain, st.Notches, s.round)
	tilts := make([]compass.Angle, len(gain))
	for d, c := range choices {
		tilts[d] = compass.Angle(lowest + c)
	}
	return tilts
}

// handsOf is the day of somebody who turns the panel count times, at the best
// clock times within the stand's hours of hands, to the best headings.
func (s *search) handsOf(count int, rig *Rig) aim.Hands {
	gain := make([][]float64, len(s.byClock))
	allowed := make([]bool, len(s.byClock))
	for slot, row := range s.byClock {
		gain[slot] = between(row, fineHeadings)
		hour := float64(slot) * 24 / slotsPerDay
		allowed[slot] = hour >= rig.Stand.HandsFrom && hour <= rig.Stand.HandsTo
	}
	path := swaps(gain, count, allowed, 0)
	first := compass.Equatorward(rig.Spot.Latitude) - headingReach
	heading := func(c int) compass.Angle { return (first + compass.Angle(c)*headingStep/fineHeadings).Azimuth() }
	var hands aim.Hands
	for slot, c := range path {
		if c != path[(slot+len(path)-1)%len(path)] {
			hands = append(hands, aim.Visit{ClockHour: float64(slot) * 24 / slotsPerDay, Heading: heading(c)})
		}
	}
	if hands == nil {
		hands = aim.Hands{{ClockHour: rig.Stand.HandsFrom, Heading: heading(path[0])}}
	}
	sort.Slice(hands, func(i, j int) bool { return hands[i].ClockHour < hands[j].ClockHour })
	return hands
}
