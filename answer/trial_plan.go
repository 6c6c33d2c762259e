package answer

import (
	"turnsole/rigfile"
	"turnsole/trial"
)

// TrialPlan is how to measure what turning brings, here and at this season.
type TrialPlan struct {
	*trial.Plan
	Rig, Spot, Weather string
	From, To           MonthDay // the window that the days are drawn from
	Halfwidth          float64  // asked for, as a fraction of gain; 0 for none
	Verdict            string
	Protocol           []string // steps of the protocol card
	Cautions           []string
	Assumed            []rigfile.Assumed
	Seed               uint64
}
