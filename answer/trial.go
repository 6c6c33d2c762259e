package answer

import (
	"time"

	"turnsole/compass"
	"turnsole/rigfile"
	"turnsole/trial"
)

// TrialResult is what a log says that turning brought: on these days, at this
// season, in a year.
type TrialResult struct {
	*trial.Result
	Rig, Spot, Log string
	Weather        string // of the year that the promise is from
	Tilt           compass.Angle
	Still          compass.Angle // heading that the gain is over

	Year         trial.Year
	YearWay      string   // of worth's ways, the one whose promise it is
	OneDay       bool     // TheseDays is a single day's, and no number for Gain
	Sentences    []string // the answers in words, each saying which it is
	PromiseWords string   // what worth promised before, and how the trial stands to it
	Cautions     []string // all that makes the figures doubtful; the loudest first
	Assumed      []rigfile.Assumed
	Zone         *time.Location // the spot's clock
}

// Date is the middle of a solar day that the result numbers, by the spot's
// clock.
func (t *TrialResult) Date(day int64) time.Time {
	return time.Unix(day*86400+43200, 0).UTC()
}
