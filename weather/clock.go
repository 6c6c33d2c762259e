package weather

import (
	"fmt"
	"math"
	"slices"
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/sky"
	"turnsole/sun"
)

// Clock is how far a file's clock is from the sun's.
type Clock struct {
	// Offset is by how much the light of the file comes later than the sun
	// brings it; negative where it comes earlier.
	Offset time.Duration
	// Uncertainty is the half width of the interval that holds the offset in
	// nineteen cases of twenty.
	Uncertainty time.Duration
	Days        int // clear days that told it; 0 where there were too few

	// From and To are the first and the last clear day (indices) of a part of
	// the year in which the light comes by Change later than in the rest, to
	// which Offset then belongs. Change is zero where the clock runs evenly.
	From, To int
	Change   time.Duration
}

const (
	clockStepS = 300 // s, of the clear sky's curve and of the offsets tried
	clockSteps = 86400 / clockStepS
	clockDays  = 36   // days looked at, spread over the year
	leastDays  = 5    // clear days without which nothing is said
	leastDayWh = 500  // Wh/m2 that a day must have
	clearFit   = 0.06 // residual of a day that counts as clear, of its light
	evenDayS   = 180  // s, mean deviation of the days up to which a clock runs evenly
	clockBiasS = 120  // s: haze of the morning or clouds of the afternoon, all year
)

// ClockOffset compares the days of a year with the clear sky: on clear days
// light rises, stands highest and sets by the sun, whatever the clock. Each
// clear day's global light is fitted by a clear day shifted in time and scaled;
// the median of the best shifts, within twelve hours, is returned. Rows labelled
// at the wrong end show as an offset of one row.
func ClockOffset(y *Year, spot place.Spot) Clock {
	if y.StepS <= 0 || len(y.GHI) != y.Rows() {
		return Clock{}
	}
	f := newClockFit(y)
	var fits []dayFit
	for _, day := range f.candidates() {
		if d := f.fitDay(day, spot); d.residual < clearFit {
			fits = append(fits, d)
		}
	}
	if len(fits) < leastDays {
		return Clock{}
	}
	slices.SortFunc(fits, func(a, b dayFit) int { return a.day - b.day })
	rest, part := findPart(fits)
	middle, off := spread(rest)
	// 1.4826 makes the median of the deviations a standard deviation, 1.25
	// that of a mean one of a median, 2 the interval.
	chance := 2 * 1.25 * 1.4826 * off / math.Sqrt(float64(len(rest)))
	c := Clock{Offset: wholeSeconds(middle), Uncertainty: wholeSeconds(math.Hypot(chance, clockBiasS)), Days: len(fits)}
	if len(part) > 0 {
		other, _ := spread(part)
		c.From, c.To, c.Change = part[0].day, part[len(part)-1].day, wholeSeconds(other-middle)
	}
	return c
}

// dayFit is what one day says of the clock.
type dayFit struct {
	day              int
	offset, residual float64 // s; share of the day's light left unexplained
}

// spread returns the median of the offsets and that of the deviations from it.
func spread(fits []dayFit) (middle, off float64) {
	v := make([]float64, len(fits))
	for i, d := range fits {
		v[i] = d.offset
	}
	middle = median(v)
	for i := range v {
		v[i] = math.Abs(v[i] - middle)
	}
	return middle, median(v)
}

// findPart looks for a part of the year in which the clock is another: summer
// time that was not told, or a logger set right. It is believed when the
// deviations fall to less than half with it.
func findPart(fits []dayFit) (rest, part []dayFit) {
	middle, _ := spread(fits)
	whole := deviations(fits, middle)
	if whole < evenDayS*float64(len(fits)) {
		return fits, nil
	}
	best, from, to := whole/2, 0, 0
	for i := range fits {
		for j := i + leastDays; j <= len(fits) && len(fits)-(j-i) >= leastDays; j++ {
			outside := slices.Concat(fits[:i], fits[j:])
			in, _ := spread(fits[i:j])
			out, _ := spread(outside)
			if math.Abs(in-out) < toldOffset.Seconds() {
				continue
			}
			if d := deviations(fits[i:j], in) + deviations(outside, out); d < best {
				best, from, to = d, i, j
			}
		}
	}
	return slices.Concat(fits[:from], fits[to:]), fits[from:to]
}

func deviations(fits []dayFit, middle float64) (sum float64) {
	for _, d := range fits {
		sum += math.Abs(d.offset - middle)
	}
	return sum
}

func wholeSeconds(s float64) time.Duration { return time.Duration(math.Round(s)) * time.Second }

func median(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// clockFit holds a year against the clear sky.
type clockFit struct {
	*Year
	blockS int                 // rows are taken together to this length
	light  []float64           // of a day's blocks
	clear  []float64           // summed up from the beginning of the day's curve on
	day    [clockSteps]float64 // clear light
}

func newClockFit(y *Year) *clockFit {
	f := &clockFit{Year: y, blockS: 3600}
	for _, s := range []int{600, 900, 1200, 1800} {
		if s%y.StepS == 0 {
			f.blockS = s
			break
		}
	}
	f.light = make([]float64, 86400/f.blockS)
	f.clear = make([]float64, 2*clockSteps+1)
	return f
}

// candidates returns the brightest days of each stretch of the year, by their
// light against the brightest within the stretch; which days are clear does
// not depend on the clock.
func (f *clockFit) candidates() []int {
	const stretches = 12
	n, perDay := len(f.Midnight), f.RowsPerDay()
	wh := make([]float64, n)
	for day := range wh {
		for _, g := range f.GHI[day*perDay : (day+1)*perDay] {
			wh[day] += float64(g)
		}
		wh[day] *= float64(f.StepS) / 3600
	}
	var chosen []int
	for s := range stretches {
		var days []int
		for day := s * n / stretches; day < (s+1)*n/stretches; day++ {
			if wh[day] > leastDayWh {
				days = append(days, day)
			}
		}
		slices.SortStableFunc(days, func(a, b int) int { return int(math.Copysign(1, wh[b]-wh[a])) })
		chosen = append(chosen, days[:min(len(days), clockDays/stretches)]...)
	}
	return chosen
}

// fitDay finds the offset that fits a day best.
func (f *clockFit) fitDay(day int, spot place.Spot) dayFit {
	f.readDay(day)
	f.drawClear(f.Midnight[day], spot)
	var left [clockSteps + 1]float64
	best := 0
	for k := range left {
		left[k] = f.unexplained(k)
		if left[k] < left[best] {
			best = k
		}
	}
	x := float64(best)
	if best > 0 && best < clockSteps {
		a, b, c := left[best-1], left[best], left[best+1]
		if bend := a - 2*b + c; bend > 0 {
			x += (a - c) / (2 * bend)
		}
	}
	return dayFit{day, (clockSteps/2 - x) * clockStepS, math.Sqrt(left[best])}
}

func (f *clockFit) readDay(day int) {
	per := f.blockS / f.StepS
	rows := f.GHI[day*f.RowsPerDay():]
	for i := range f.light {
		f.light[i] = 0
		for _, g := range rows[i*per : (i+1)*per] {
			f.light[i] += float64(g)
		}
	}
}

// drawClear sums up the clear light of a day, from half a day before it begins
// to half a day after it ends; the days before and after are taken to be like
// it. Within the day the sun's hour angle and declination run evenly, to a few
// seconds of time.
func (f *clockFit) drawClear(midnight int64, spot place.Spot) {
	begin := sun.JulianDayUnix(float64(midnight))
	observer, deltaT := sun.At(spot), sun.DeltaT(begin)
	a, b := sun.PositionAt(begin, observer, deltaT), sun.PositionAt(begin+1, observer, deltaT)
	dayTurn, dayClimb := 360+compass.Turn(a.HourAngle, b.HourAngle), b.Declination-a.Declination
	sinLat, cosLat := math.Sincos(spot.Latitude.Radians())
	for i := range f.day {
		x := compass.Angle(i) + 0.5
		sinD, cosD := math.Sincos((a.Declination + x*dayClimb/clockSteps).Radians())
		f.day[i] = sky.Haurwitz(sinLat*sinD + cosLat*cosD*(a.HourAngle+x*dayTurn/clockSteps).Cos())
	}
	for i := range 2 * clockSteps {
		f.clear[i+1] = f.clear[i] + f.day[(i+clockSteps/2)%clockSteps]
	}
}

// unexplained returns the part of the day's light, squared, that a clear day
// leaves which begins at step at of the curve.
func (f *clockFit) unexplained(at int) float64 {
	step := f.blockS / clockStepS
	var ll, lc, cc float64
	for _, l := range f.light {
		c := f.clear[at+step] - f.clear[at]
		ll, lc, cc = ll+l*l, lc+l*c, cc+c*c
		at += step
	}
	if ll == 0 || cc == 0 {
		return 1
	}
	return max(0, 1-lc*lc/(ll*cc))
}

// A clock is complained of when it is surely off by more than this.
const toldOffset = 8 * time.Minute

// checkClock tells of a clock that is off. Nothing is corrected.
func (m *mender) checkClock() {
	c := ClockOffset(m.Year, m.spot)
	if c.Change != 0 {
		m.tellf(clockChanged, "From about %s to %s the light comes %s than in the rest of the year: %s; nothing was shifted.",
			m.Date(c.From).Format("2 January"), m.Date(c.To).Format("2 January"), laterBy(c.Change), whyChanged(c.Change))
	}
	if c.Days == 0 || c.Offset.Abs()-c.Uncertainty < toldOffset {
		return
	}
	m.ClockOffset = c.Offset
	m.tellf(clockOff, "On clear days the light comes %s than the sun brings it (give or take %.0f): "+
		"the file's time zone, its summer time or the end at which its rows are labelled seems to be another; nothing was shifted.",
		laterBy(c.Offset), math.Ceil(c.Uncertainty.Minutes()))
}

func laterBy(d time.Duration) string {
	if d < 0 {
		return fmt.Sprintf("%.0f minutes earlier", -d.Minutes())
	}
	return fmt.Sprintf("%.0f minutes later", d.Minutes())
}

func whyChanged(d time.Duration) string {
	if (d.Abs() - time.Hour).Abs() < toldOffset {
		return "the file's clock seems to keep summer time"
	}
	return "the file's clock or the labelling of its rows seems to have been changed"
}
