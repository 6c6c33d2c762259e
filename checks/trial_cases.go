package checks

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"turnsole/compass"
	"turnsole/loop"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/plane"
	logs "turnsole/reading"
	"turnsole/sensor"
	"turnsole/trial"
	"turnsole/weather"
)

// trialSky is a stretch of days of one sky, laid out as they really were, on
// which trials are tried out.
type trialSky struct {
	name string
	rig  trial.Rig
	days []skyDay
}

// skyDay is a day and what kind of day it was.
type skyDay struct {
	*trial.Day
	clearness float64 // global light over that of the clear sky
	unrest    float64 // change of the aimed light within a minute, over the light
}

// Kinds of days.
const (
	allClear    = "clear"
	allBroken   = "broken"
	allOvercast = "overcast"
	allMixed    = "mixed"
)

// kindRule says what the kinds are.
const kindRule = "clear days have 0.8 or more of the clear sky's global light, and an aimed light that changes by less than 6 % of it from one minute to the next; overcast ones have less than 0.45; broken ones have more and change by 6 % or more; mixed are whatever days follow one another"

func (d *skyDay) is(kind string) bool {
	switch kind {
	case allClear:
		return d.clearness >= 0.8 && d.unrest < 0.06
	case allBroken:
		return d.clearness >= 0.45 && d.unrest >= 0.06
	case allOvercast:
		return d.clearness < 0.45
	}
	return true
}

// unrest is how much the aimed light changes within a minute.
func unrest(d *trial.Day) float64 {
	step := int(60 / d.StepS)
	var change, light float64
	for i := step; i < len(d.AimedWm2); i++ {
		change += math.Abs(float64(d.AimedWm2[i] - d.AimedWm2[i-step]))
		light += float64(d.AimedWm2[i])
	}
	return change / light
}

// halves of the year from which days are taken, by the day of the year. No
// typical year is among the skies, so that days that follow one another did so.
var halves = map[string][][2]int{"bright": {{80, 266}}, "dark": {{266, 365}, {0, 80}}}

// trialRig is the rig of the trials: 60 W, which suits the sensor, at a tilt of
// 40, an aiming each quarter of an hour. Its headings are right, and told to be.
func trialRig(spot place.Spot) (trial.Rig, error) {
	l, err := plainLoop(openGrounded(spot))
	if err != nil {
		return trial.Rig{}, err
	}
	r := l.Season
	r.Sky, r.Glass, r.Stand.Tilt = plane.Perez, plane.DefaultGlass(), 40
	if r.Diode, _, err = panel.Fit(panel.Label{PowerW: 60}); err != nil {
		return trial.Rig{}, err
	}
	return trial.Rig{Season: r, Still: compass.Equatorward(spot.Latitude), SleepS: 900}, nil
}

// madeMinutes makes a year of minutes of a climate.
func madeMinutes(climate string) (*weather.Year, place.Spot, error) {
	c, err := weather.ClimateNamed(climate)
	if err != nil {
		return nil, place.Spot{}, err
	}
	spot := openGrounded(spotAt(float64(c.Latitude), 0, 100))
	maker, err := weather.NewMaker(spot, c.Monthly, 60)
	if err != nil {
		return nil, spot, err
	}
	y := &weather.Year{}
	maker.Make(rand.New(rand.NewPCG(6, 28)), y)
	return y, spot, nil
}

// skies lays out measured years and made ones, by halves.
func skies(dir string, seed uint64) ([]trialSky, error) {
	years, err := trialYears(dir)
	if err != nil {
		return nil, err
	}
	names := []string{"bright", "dark"}
	all := make([]trialSky, len(years)*len(names))
	err = abreast(len(all), func(i int) (err error) {
		y, half := years[i/2], names[i%2]
		all[i], err = layOut(y.year, y.spot, halves[half], seed)
		all[i].name = y.name + ", " + half + " half"
		return err
	})
	return all, err
}

// skyYear is a year's weather and where it was.
type skyYear struct {
	name string
	year *weather.Year
	spot place.Spot
}

func trialYears(dir string) (years []skyYear, err error) {
	for _, o := range openYears {
		if o.typical {
			continue
		}
		y, spot, err := o.read(dir)
		if err != nil {
			return nil, err
		}
		years = append(years, skyYear{o.file, y, spot})
	}
	for _, climate := range []string{"cloudy-lowland", "high-plains"} {
		y, spot, err := madeMinutes(climate)
		if err != nil {
			return nil, err
		}
		years = append(years, skyYear{"made " + climate, y, spot})
	}
	return years, nil
}

// layOut lays out some stretches of a year.
func layOut(y *weather.Year, spot place.Spot, of [][2]int, seed uint64) (sky trialSky, err error) {
	if sky.rig, err = trialRig(spot); err != nil {
		return sky, err
	}
	part := cutYear(y, of)
	grid, err := weather.NewGrid(context.Background(), sky.rig.Season.Spot, part.Calendar, [12]float64{}, 0)
	if err != nil {
		return sky, err
	}
	ground, err := loop.LayOn(context.Background(), grid, &sky.rig.Season, part)
	if err != nil {
		return sky, err
	}
	stage, err := trial.NewStage(&sky.rig, ground, seed, trialRate)
	if err != nil {
		return sky, err
	}
	above := grid.Sky()
	n := part.RowsPerDay()
	for i := range part.Midnight {
		d := skyDay{Day: stage.Day(i)}
		var ghi, clear float64
		for k := i * n; k < (i+1)*n; k++ {
			ghi, clear = ghi+float64(part.GHI[k]), clear+above[k].Clear.GHI
		}
		d.clearness, d.unrest = ghi/clear, unrest(d.Day)
		sky.days = append(sky.days, d)
	}
	return sky, nil
}

// cutYear is some stretches of a year's days.
func cutYear(y *weather.Year, of [][2]int) *weather.Year {
	part := *y
	n := y.RowsPerDay()
	part.Midnight = nil
	for _, s := range of {
		part.Midnight = append(part.Midnight, y.Midnight[s[0]:s[1]]...)
	}
	for _, rows := range []*[]float32{&part.GHI, &part.DNI, &part.DHI, &part.AirC, &part.WindMS, &part.Albedo} {
		whole := *rows
		if *rows = nil; whole == nil {
			continue
		}
		for _, s := range of {
			*rows = append(*rows, whole[s[0]*n:s[1]*n]...)
		}
	}
	return &part
}

// draw takes n days of a kind: such as follow one another where they are mixed,
// else any of the half. None where it has too few.
func (s *trialSky) draw(kind string, n int, rng *rand.Rand) (days []*trial.Day) {
	if kind == allMixed {
		from := rng.IntN(len(s.days) - n + 1)
		for i := range n {
			days = append(days, s.days[from+i].Day)
		}
		if days[n-1].Date-days[0].Date != int64(n-1)*86400 {
			return nil
		}
		return days
	}
	of := s.of(kind)
	if len(of) < n {
		return nil
	}
	rng.Shuffle(len(of), func(i, k int) { of[i], of[k] = of[k], of[i] })
	return of[:n]
}

func (s *trialSky) of(kind string) (days []*trial.Day) {
	for i := range s.days {
		if s.days[i].is(kind) {
			days = append(days, s.days[i].Day)
		}
	}
	return days
}

// inOrder sorts days by their dates.
func inOrder(days []*trial.Day) []*trial.Day {
	sorted := slices.Clone(days)
	slices.SortFunc(sorted, func(a, b *trial.Day) int { return cmp.Compare(a.Date, b.Date) })
	return sorted
}

// plainSensor is a sensor of 10 bits with 20 mA of noise, a hundred reads in one
// reading.
func plainSensor() sensor.Current {
	return sensor.Current{RangeA: 5, VPerA: 0.185, ZeroV: 2.5, NoiseA: 0.02, Bits: 10, ReferenceV: 5, Reads: 100}
}

// looking is the protocol of paired looks.
func looking(gapS float64, m trial.Measure) trial.Protocol {
	return trial.Protocol{EveryS: 900, GapS: gapS, RecordS: 60, Measure: m, Sensor: plainSensor(), Volts: m == trial.ByPower}
}

// rows are readings of a log.
type rows []logs.Reading

// log collects them, or some of them.
func (r rows) log(keep func(*logs.Reading) bool) (*trial.Log, error) {
	i := 0
	return trial.Collect(func(to *logs.Reading) error {
		for ; i < len(r); i++ {
			if keep(&r[i]) {
				*to = r[i]
				i++
				return nil
			}
		}
		return io.EOF
	})
}

func allRows(*logs.Reading) bool    { return true }
func lookRows(r *logs.Reading) bool { return r.Look != logs.NoLook }

// outcome is what a trial told, and what was true; shares of the still light.
type outcome struct{ truth, value, low, high float64 }

func (o outcome) held() bool { return o.low <= o.truth && o.truth <= o.high }

// evaluated asks a log, and notes what was true of its days.
func evaluated(rig *trial.Rig, l *trial.Log, q trial.Question, days []*trial.Day) (outcome, *trial.Result, error) {
	q.Replicates = 100 // of the season, which is not asked for
	r, err := trial.Evaluate(context.Background(), rig, l, q)
	if err != nil {
		return outcome{}, nil, err
	}
	if r.Why != "" {
		return outcome{}, r, fmt.Errorf("a trial of %d days: %s", len(days), r.Why)
	}
	true := trial.Gained(days)
	o := outcome{true.Light, r.TheseDays.Value, r.TheseDays.Low, r.TheseDays.High}
	if *q.Measure == trial.ByPower {
		o.truth = true.Energy
	}
	return o, r, nil
}

// trialCase is a kind of trial that is tried many times.
type trialCase struct {
	kind    string
	days    int
	gapS    float64
	measure trial.Measure
	method  string
}

// tried are the outcomes of each case.
type tried map[trialCase][]outcome

// tryPlan is how often trials are tried: tries[k] times with trialDays[k].
type tryPlan struct {
	kinds   []string
	gaps    []float64
	measure trial.Measure
	tries   []int
	seed    uint64
}

var (
	trialDays  = []int{3, 7, 14, 28}
	trialKinds = []string{allClear, allBroken, allOvercast, allMixed}
	trialGaps  = []float64{10, 60}
)

// try tries every kind of days and every gap. Each trial draws its days and its
// looks by its own number, whatever else is tried.
func (p *tryPlan) try(all []trialSky) (tried, error) {
	n := slices.Max(p.tries)
	each := make([]tried, len(p.kinds)*len(p.gaps)*n)
	err := abreast(len(each), func(k int) (err error) {
		each[k], err = p.once(all, p.kinds[k/n/len(p.gaps)], p.gaps[k/n%len(p.gaps)], k%n)
		return err
	})
	whole := tried{}
	for _, t := range each {
		for c, o := range t {
			whole[c] = append(whole[c], o...)
		}
	}
	return whole, err
}

// once draws the days of one long trial, looks on each, and tries the whole and
// its parts.
func (p *tryPlan) once(all []trialSky, kind string, gapS float64, i int) (tried, error) {
	number := uint64(slices.Index(trialKinds, kind))<<32 + uint64(gapS)<<24 + uint64(i)
	rng := rand.New(rand.NewPCG(p.seed, number))
	sky, days := drawFrom(all, kind, slices.Max(trialDays), rng)
	each, first := map[*trial.Day]rows{}, 1
	protocol := looking(gapS, p.measure)
	out := tried{}
	for k, n := range trialDays {
		if i >= p.tries[k] {
			continue
		}
		for len(each) < n {
			d := days[len(each)]
			each[d] = nil
			first = protocol.Run(d, &sky.rig, first, rng, func(r *logs.Reading) { each[d] = append(each[d], *r) })
		}
		c := trialCase{kind: kind, days: n, gapS: gapS, measure: p.measure}
		if err := c.both(out, &sky.rig, inOrder(days[:n]), each); err != nil {
			return nil, fmt.Errorf("%s, %s: %w", sky.name, kind, err)
		}
	}
	return out, nil
}

// drawFrom draws a sky that has enough such days, and the days.
func drawFrom(all []trialSky, kind string, n int, rng *rand.Rand) (*trialSky, []*trial.Day) {
	for {
		sky := &all[rng.IntN(len(all))]
		if days := sky.draw(kind, n, rng); days != nil {
			return sky, days
		}
	}
}

// both tries the assisted estimate on a whole log and the plain one on its
// looks alone.
func (c trialCase) both(out tried, rig *trial.Rig, days []*trial.Day, each map[*trial.Day]rows) error {
	var all rows
	for _, d := range days {
		all = append(all, each[d]...)
	}
	for _, way := range []struct {
		method string
		keep   func(*logs.Reading) bool
	}{{trial.Assisted, allRows}, {trial.Plain, lookRows}} {
		l, err := all.log(way.keep)
		if err != nil {
			return err
		}
		o, _, err := evaluated(rig, l, trial.Question{Measure: &c.measure, Method: way.method}, days)
		if err != nil {
			return err
		}
		c.method = way.method
		out[c] = append(out[c], o)
	}
	return nil
}

// looked runs a protocol through days.
func looked(p trial.Protocol, rig *trial.Rig, days []*trial.Day, rng *rand.Rand) (all rows) {
	next := 1
	for _, d := range days {
		next = p.Run(d, rig, next, rng, func(r *logs.Reading) { all = append(all, *r) })
	}
	return all
}

// abreast does n things on all processors.
func abreast(n int, do func(i int) error) error {
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		group.Go(func() error { return do(i) })
	}
	return group.Wait()
}

// telling is what many outcomes come to, in percentage points.
type telling struct {
	n                    int
	bias, rms, halfwidth float64
	coverage, meanTrue   float64
}

func tell(of []outcome) (t telling) {
	var halves []float64
	for _, o := range of {
		off := 100 * (o.value - o.truth)
		t.bias, t.rms = t.bias+off, t.rms+off*off
		t.meanTrue += 100 * o.truth
		halves = append(halves, 50*(o.high-o.low))
		if o.held() {
			t.coverage++
		}
	}
	t.n = len(of)
	n := float64(t.n)
	t.bias, t.rms, t.coverage, t.meanTrue = t.bias/n, math.Sqrt(t.rms/n), 100*t.coverage/n, t.meanTrue/n
	slices.Sort(halves)
	t.halfwidth = halves[len(halves)/2]
	return t
}
