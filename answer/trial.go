package answer

import (
	"context"
	"time"

	"turnsole/compass"
	"turnsole/rigfile"
	"turnsole/season"
	"turnsole/trial"
)

// What a trial's answers are told in.
type (
	TrialInterval = trial.Interval
	TrialDesign   = trial.Design
)

// MostTrialDays is the longest trial that is thought of.
const MostTrialDays = trial.MostDays

// TrialQuestion asks what turning brought, by a log.
type TrialQuestion struct {
	Rig     *rigfile.Rig
	RigPath string // as the person wrote it, for command lines to try
	Spot    string // where the log was taken; "" for the first
	Log     string // for OpenLog
	OpenLog Open

	Setup      string  // the set-up that counts; "" for the one with most looks
	Measure    string  // of rigfile.TrialMeasures; "" for the rig file's, or the best that the log has
	Method     string  // of TrialMethods; "" for the best that the log bears
	Confidence float64 // 0 for 0.95
	Replicates int     // of the season's bootstrap; 0 for 10,000
	Seed       uint64

	WeatherFile string // in place of the rig file's weather, "" for none
	Open        Open   // of the weather
	Progress    Progress
}

// TrialResult is what a log says that turning brought: on these days, at this
// season, in a year.
type TrialResult struct {
	*trial.Result
	Rig, Spot, Log string
	Weather        string // of the year that the promise is from
	Tilt           compass.Angle
	Still          compass.Angle // heading that the gain is over

	// OneDay says that TheseDays is a single day's: no number for the gain.
	OneDay bool

	Year    trial.Year
	YearWay string // of worth's ways, the one whose promise it is
	Runs    int    // years behind the promise's interval
	YearWhy string // why nothing can be said of a year, "" where it can

	Sentences    []string // the answers in words, each saying which it is
	PromiseWords string   // what worth promises without the trial, and how the trial stands to it
	Cautions     []string // all that makes the figures doubtful; the loudest first
	Assumed      []rigfile.Assumed
	Zone         *time.Location // the spot's clock
}

// Sure reports whether there is a number to give.
func (t *TrialResult) Sure() bool { return t.Why == "" && !t.OneDay }

// Date is the date of a day as the result numbers them.
func (t *TrialResult) Date(day int64) time.Time { return time.Unix(day*86400, 0).UTC() }

// TrialMethods are the words by which a method is asked for, and what each is
// called in a result.
func TrialMethods() (words, names []string) {
	return []string{"looks", "looks-alone", "blocks", "beside", "back"},
		[]string{trial.Assisted, trial.Plain, trial.Blocks, trial.Beside, trial.LookingBack}
}

// RunTrial says what turning brought. Where the log bears no number the result
// says why.
func RunTrial(ctx context.Context, q TrialQuestion) (*TrialResult, error) {
	spots, err := spotsNamed(q.Rig, q.Spot)
	if err != nil {
		return nil, err
	}
	if q.Progress == nil {
		q.Progress = func(string, int, int) {}
	}
	t := trying{ctx: ctx, q: &q, spot: spots[0], a: &TrialResult{Rig: q.Rig.Name, Spot: spots[0].Name, Log: q.Log, Tilt: q.Rig.Stand.Tilt, Zone: spots[0].Clock()}}
	for _, step := range []func() error{t.read, t.prepare, t.evaluate, t.foretell} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	t.tell()
	return t.a, nil
}

// trying is a trial on its way to its result.
type trying struct {
	ctx  context.Context
	q    *TrialQuestion
	spot rigfile.Spot
	a    *TrialResult

	log      *trial.Log
	rig      trial.Rig
	year     *season.Input // of worth
	promised trial.Promise
}

// evaluate asks the log.
func (t *trying) evaluate() error {
	q := trial.Question{Setup: t.q.Setup, Confidence: t.q.Confidence, Replicates: t.q.Replicates, Seed: t.q.Seed}
	if name := t.q.Measure; name != "" || t.q.Rig.Trial.Measure != "" {
		if name == "" {
			name = t.q.Rig.Trial.Measure
		}
		m, ok := trial.MeasureNamed(name)
		if !ok {
			return bad("--measure %q: looks are compared by light, power or current", name)
		}
		q.Measure = &m
	}
	var err error
	if q.Method, err = methodNamed(t.q.Method); err != nil {
		return err
	}
	t.q.Progress("weighing the looks", 0, 1)
	r, err := trial.Evaluate(t.ctx, &t.rig, t.log, q)
	switch {
	case t.ctx.Err() != nil:
		return t.ctx.Err()
	case err != nil:
		return &BadInput{err}
	}
	t.a.Result, t.a.OneDay = r, r.Why == "" && r.Days == 1
	return nil
}

func methodNamed(word string) (string, error) {
	words, names := TrialMethods()
	for i := range words {
		if word == words[i] || word == names[i] {
			return names[i], nil
		}
	}
	if word != "" {
		return "", bad("--method %q: %s are known", word, listedWords(words))
	}
	return "", nil
}

// trialRig is what a trial asks of the rig, but for the air.
func trialRig(rig *rigfile.Rig, ideal season.Rig) trial.Rig {
	r := trial.Rig{Season: ideal, Still: compass.Equatorward(ideal.Spot.Latitude), SleepS: rig.Board.WakeEveryS,
		HeadingWithin: trial.UnhomedWithin, CellFullA: rig.Trial.CellFullA, SensorA: rig.Sensor.RangeA}
	if rig.HasHome {
		r.HeadingWithin = trial.HomedWithin
	}
	if h := rig.Trial.Still; h != nil {
		r.Still = *h
	}
	if w := rig.Trial.HeadingWithin; w != nil {
		r.HeadingWithin = *w
	}
	return r
}
