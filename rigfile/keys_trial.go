package rigfile

import (
	"fmt"
	"slices"

	"turnsole/battery"
	"turnsole/compass"
)

// Trial is how the gain of turning is measured, as far as the file says.
type Trial struct {
	EveryS  float64 // between two brackets of looks
	SettleS float64 // what the charge controller needs at a new heading
	RecordS float64 // between two readings kept
	Days    int

	Measure   string  // "light", "power" or "current"; "" for the best that there is
	CellFullA float64 // current of the reference cell in full sun, A; 0 where there is no cell, or it is not known

	Still         *compass.Angle // heading of the looks at still; nil for the equator's
	HeadingWithin *compass.Angle // standard deviation of what the told headings are wrong by; nil for the usual
}

// TrialMeasures are what looks may be compared by.
func TrialMeasures() []string { return []string{"light", "power", "current"} }

var trialSection = section{
	name: "trial",
	doc:  "How the gain of turning is measured: every so often the resting rig looks at the still heading and at the aimed one, seconds apart.",
	keys: []key{
		at("every", measured(duration, 60, 86400, `"15 min"`), func(d *draft) *float64 { return &d.rig.Trial.EveryS },
			"time between two brackets of looks").orBy(trialEvery, "the controller's own trial_every, else 15 min: some fifty brackets on a bright day, each of some seconds").only(ForTrial),
		at("settle", measured(duration, 0.5, 600, `"10 s"`), func(d *draft) *float64 { return &d.rig.Trial.SettleS },
			"what the charge controller needs at a new heading before its current can be believed").orBy(trialSettle, "2 s for a plain controller, 10 s for one that seeks the best voltage (common practice, no source)").only(ForTrial),
		at("record", measured(duration, 1, 3600, `"60 s"`), func(d *draft) *float64 { return &d.rig.Trial.RecordS },
			"time between two readings kept beside the looks").or(`"60 s"`, "a reading a minute carries the looks over passing clouds").only(ForTrial),
		at("days", count(2, 120, "14"), func(d *draft) *int { return &d.rig.Trial.Days },
			"how long it lasts").or("14", "two weeks see most kinds of day").only(ForTrial),
		at("measure", choice(`"current"`, TrialMeasures()...), func(d *draft) *string { return &d.rig.Trial.Measure },
			"what the looks are compared by: \"light\" of a reference cell in the panel's plane, the panel's \"power\", or its \"current\"").orNone("the best that the log has"),
		at("cell_full_sun", measured(current, 1e-6, 20, `"0.2 A"`), func(d *draft) *float64 { return &d.rig.Trial.CellFullA },
			"current of the reference cell at 1000 W/m2").orNone("there is no cell, or it is told by the clearest hours"),
		at("heading_within", maybe(angle(0, 45, "1")), func(d *draft) **compass.Angle { return &d.rig.Trial.HeadingWithin },
			"how good the told headings are, degrees, as a standard deviation").orNone("1 with a home switch, else 4 (common practice, no source)"),
		at("still", maybe(bearing("180")), func(d *draft) **compass.Angle { return &d.rig.Trial.Still },
			"heading of the looks at still, which the gain is over").orNone("facing the equator"),
	},
}

// trialEvery is the controller's own where the file gives that.
func trialEvery(d *draft) string {
	own := slices.IndexFunc(d.rig.Dialled, func(g Dialled) bool { return g.Name == "trial_every" && g.Value >= 60 })
	if own < 0 {
		return `"15 min"`
	}
	return fmt.Sprintf(`"%g s"`, d.rig.Dialled[own].Value)
}

func trialSettle(d *draft) string {
	if d.rig.Charger.Kind == battery.PWM {
		return `"2 s"`
	}
	return `"10 s"`
}
