package answer

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"turnsole/season"
	"turnsole/trial"
	"turnsole/weather"
)

// leastRuns is from how many years on a spread of single years can be told.
const leastRuns = 50

// prepare finds the year that worth runs, and takes the air of the trial's months
// from it.
func (t *trying) prepare() error {
	q := WorthQuestion{Rig: t.q.Rig, WeatherFile: t.q.WeatherFile, Ways: []string{season.Turning}, Seed: t.q.Seed, Open: t.q.Open, Progress: t.q.Progress}
	s := &SpotWorth{Assumed: q.assumedAt(t.spot)}
	ideal, err := q.bind(t.spot, &SpotWorth{})
	if err != nil {
		return err
	}
	t.rig = trialRig(t.q.Rig, *ideal) // under the spot's own sun, wherever the weather is from
	if t.year, err = q.input(t.ctx, t.spot, s); err != nil {
		return err
	}
	t.a.Weather, t.a.Cautions, t.a.YearWay = s.Weather, s.Warnings, season.Turning
	t.a.Assumed = append(s.Assumed, t.assumed()...)
	year := firstYear(t.year, t.q.Seed)
	months := monthsBetween(t.log.FromS, t.log.ToS, t.spot.Clock())
	t.rig.AirC, t.rig.WindMS = daylightAir(year, func(m time.Month) bool { return months[m-1] })
	if !year.Whole() {
		t.a.YearWhy = fmt.Sprintf("the weather file has %s, and no year", dayCount(len(year.Midnight)))
	}
	return nil
}

// foretell runs worth's year and corrects what it promises by the trial.
func (t *trying) foretell() error {
	a, unknown := t.a, math.NaN()
	t.promised.Gain = unknown
	a.Year = trial.Year{Interval: trial.Interval{Value: unknown, Low: unknown, High: unknown}, Promised: unknown}
	switch {
	case a.Why != "":
		a.YearWhy = "the log has no number to give"
	case a.OneDay:
		a.YearWhy = "one day says nothing of a year"
	}
	if a.YearWhy != "" {
		return nil
	}
	if err := t.run(t.year); err != nil {
		return err
	}
	if a.Year = a.Result.Year(t.promised, a.Confidence); math.IsNaN(a.Year.Value) {
		a.YearWhy = "the still panel gives too little in a year to divide by"
	}
	return nil
}

// run is worth's year of standing still and of turning.
func (t *trying) run(in *season.Input) error {
	in.Runs = max(in.Runs, leastRuns)
	out, err := season.Run(t.ctx, *in)
	switch {
	case t.ctx.Err() != nil:
		return t.ctx.Err()
	case err != nil:
		return &BadInput{err}
	}
	turning, still := out.Row(season.Turning), out.Row(season.Still)
	t.a.Runs, t.promised = in.Runs, promiseOf(turning.Total, still.Total, turning.RunTotals(), still.RunTotals(), t.a.Confidence)
	return nil
}

// promiseOf is the gain at the panel of a way over the baseline, and between
// which single years of a confidence lie.
func promiseOf(way, base season.Sum, ways, bases []season.Sum, confidence float64) trial.Promise {
	least := leastWhPerDay * max(base.Days, 1)
	p := trial.Promise{Gain: orNaN(gain(way.PanelWh, base.PanelWh, least))}
	gains := make([]float64, 0, len(ways))
	for i := range ways {
		if g := gain(ways[i].PanelWh, bases[i].PanelWh, least); g != nil {
			gains = append(gains, *g)
		}
	}
	if len(gains) < 2 {
		p.Gain = orNaN(nil)
		return p
	}
	p.Low, p.High = percentile(gains, (1-confidence)/2), percentile(gains, (1+confidence)/2)
	return p
}

// firstYear is the first of the recorded years, or of those that are made.
func firstYear(in *season.Input, seed uint64) *weather.Year {
	if len(in.Years) > 0 {
		return in.Years[0]
	}
	year := new(weather.Year)
	in.Maker.Make(rand.New(rand.NewPCG(seed, 0)), year)
	return year
}

// monthsBetween marks the months that a stretch of time touches.
func monthsBetween(fromS, toS float64, zone *time.Location) (in [12]bool) {
	from, to := time.Unix(int64(fromS), 0).In(zone), time.Unix(int64(toS), 0).In(zone)
	first := time.Date(from.Year(), from.Month(), 1, 0, 0, 0, 0, zone)
	for k := 0; k < 12 && !first.AddDate(0, k, 0).After(to); k++ {
		in[first.AddDate(0, k, 0).Month()-1] = true
	}
	return in
}

// daylightAir is the usual air about the panel in some months, weighed by the
// light; of the whole year where those have none.
func daylightAir(y *weather.Year, in func(time.Month) bool) (airC, windMS float64) {
	var all, light float64
	sum := func(in func(time.Month) bool) {
		for day := range y.Midnight {
			if !in(y.Date(day).Month()) {
				continue
			}
			rows := y.RowsPerDay()
			for i := day * rows; i < (day+1)*rows; i++ {
				w := float64(y.GHI[i])
				light, all = light+w, all+1
				airC, windMS = airC+w*float64(y.AirC[i]), windMS+w*float64(y.WindMS[i])
			}
		}
	}
	if sum(in); light == 0 {
		sum(func(time.Month) bool { return true })
	}
	if light == 0 {
		return 0, 0 // trial's own usual air
	}
	// Where it is calm at the freezing point both would be 0, which means usual.
	return airC / light, max(windMS/light, leastWindMS)
}

// leastWindMS is air that hardly moves.
const leastWindMS = 0.1
