package answer

import (
	"fmt"
	"math"
	"strings"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/rigfile"
	"turnsole/trial"
)

// tell puts the three answers into words.
func (t *trying) tell() {
	a := t.a
	a.Still = compass.Angle(a.StillDeg)
	a.Cautions = append(a.Result.Warnings, a.Cautions...)
	if a.Why != "" {
		a.Sentences = []string{"No gain can be told: " + a.Why + "."}
		return
	}
	t.caution()
	a.Sentences = []string{a.theseDays(), a.inSeason(), a.inYear()}
	a.PromiseWords = a.promiseWords(t.promised)
}

// points writes a share as per cent, with its sign.
func points(x float64) string { return Signed(100*x, 1) + " %" }

// span writes an interval: "+12.3 % (+10.9 to +13.7 %)".
func span(i trial.Interval) string {
	if math.IsNaN(i.Low) || math.IsInf(i.Low, 0) {
		return points(i.Value) + " (within what, cannot be told)"
	}
	return fmt.Sprintf("%s (%s to %s)", points(i.Value), Signed(100*i.Low, 1), points(i.High))
}

func (a *TrialResult) theseDays() string {
	i, days := a.TheseDays, "These days"
	if a.modelled() && !a.OneDay {
		days = "These days, by a model of the sky alone"
	}
	if a.OneDay {
		return fmt.Sprintf("This one day: turning brought %s %s over keeping still at %s; %s. Of one day nothing can be trusted beyond that day, so no gain is given: look for three days at least.",
			span(i), a.of(), degrees(a.Still), a.basis())
	}
	said := fmt.Sprintf("turning brought %s %s over keeping still at %s", span(i), a.of(), degrees(a.Still))
	switch {
	case i.Low > 0 || math.IsNaN(i.Low):
	case i.High < 0:
		said = fmt.Sprintf("turning lost: %s %s against keeping still at %s", span(i), a.of(), degrees(a.Still))
	case i.Value < i.High-i.Value: // nearer to nothing than to the range's end
		said = fmt.Sprintf("nothing was gained that the looks could see: %s %s over keeping still at %s", span(i), a.of(), degrees(a.Still))
	default:
		said = fmt.Sprintf("it cannot be told whether turning gained anything: %s %s over keeping still at %s", span(i), a.of(), degrees(a.Still))
	}
	return fmt.Sprintf("%s: %s, in %s. In brackets the range that holds it in %s cases of a hundred: %s in it; the luck of the weather is not.",
		days, said, a.basis(), perCent(a.Confidence), a.within())
}

// modelled reports whether no look at still was taken: the gain is then a
// model's.
func (a *TrialResult) modelled() bool { return a.Method == trial.LookingBack }

// within says what the interval of these days covers.
func (a *TrialResult) within() string {
	switch a.Method {
	case trial.LookingBack:
		return "what a model of the sky may be wrong by is"
	case trial.Beside:
		return "how well the two panels are known to match is"
	}
	return "what lies between the looks, the sensor and the headings are"
}

// of says what the gain is a gain of.
func (a *TrialResult) of() string {
	switch a.Measure {
	case trial.ByPower:
		return "in what the panel could give"
	case trial.ByCurrent:
		return "in current"
	}
	return "in light"
}

// basis says what the figure rests on.
func (a *TrialResult) basis() string {
	basis := fmt.Sprintf("%s, %.0f hours of light", dayCount(a.Days), a.Hours)
	if a.Pairs > 0 && !a.modelled() {
		basis += fmt.Sprintf(", %d pairs of looks", a.Pairs)
	}
	return basis
}

func (a *TrialResult) inSeason() string {
	if a.modelled() && !a.OneDay {
		return "The season: looking back does not tell days apart well enough to say what such days bring on average."
	}
	if math.IsNaN(a.Season.Value) || math.IsNaN(a.Season.Low) {
		return "The season: under five days say nothing of what such days bring on average."
	}
	return fmt.Sprintf("The season: days such as these bring %s on average at this time of year, their luck now in the range (days drawn anew, neighbours together).", span(a.Season))
}

func (a *TrialResult) inYear() string {
	y := a.Year
	if a.YearWhy != "" {
		return "The year: nothing can be said of it: " + a.YearWhy + "."
	}
	return fmt.Sprintf("The year: a coming one would bring %s at the panel over standing still, for exact turning at %s. Of what the range allows for, %s is the trial's, %s the model's, %s the weather's from year to year.",
		span(y.Interval), degrees(a.Tilt), partText(y.Measured), partText(y.Modelled), partText(y.Weather))
}

// littleTaken is a share of the trial's word so small that it hardly moves the
// year.
const littleTaken = 0.3

func (a *TrialResult) promiseWords(p trial.Promise) string {
	if math.IsNaN(p.Gain) {
		return ""
	}
	said := []string{fmt.Sprintf("Without the trial turnsole worth promises %s for a year, single years from %s to %s.", points(p.Gain), Signed(100*p.Low, 1), points(p.High))}
	if m := a.Modelled; !math.IsNaN(m) && !a.modelled() {
		said = append(said, fmt.Sprintf("On the trial's own days the same model makes %s of the light that came; %s was measured.", points(m), points(a.Light.Value)))
	}
	switch {
	case a.YearWhy != "":
	case a.Taken() == 0:
		said = append(said, "This trial cannot correct the model: the year is the model's word.")
	case a.Taken() < littleTaken:
		said = append(said, fmt.Sprintf("These days add little to the year: turning brings too little, or too unsteadily, in light like this, and only %.0f %% of the trial's word is taken against the model's.", 100*a.Taken()))
	default:
		said = append(said, fmt.Sprintf("%.0f %% of the trial's word is taken against the model's, and the year moves from %s to %s.", 100*a.Taken(), points(p.Gain), points(a.Year.Value)))
	}
	return strings.Join(said, " ")
}

// Taken is how far the year goes by the trial's word, 0 to 1.
func (a *TrialResult) Taken() float64 { return a.Year.Taken }

// caution adds what the year and the trial do not share.
func (t *trying) caution() {
	a := t.a
	add := func(format string, args ...any) { a.Cautions = append(a.Cautions, fmt.Sprintf(format, args...)) }
	equator := compass.Equatorward(t.spot.Latitude)
	if off := math.Abs(float64(compass.Turn(equator, t.rig.Still))); off > 3 {
		add("The trial's still heading is %s; the year is over a panel that faces the equator, %s.", degrees(t.rig.Still), degrees(equator))
	}
	if a.Measure == trial.ByCurrent && t.q.Rig.Charger.Kind == battery.MPPT {
		add(amperesOfATracker)
	}
	for _, s := range t.log.Setups {
		if s.Name == a.Setup && math.Abs(s.TiltDeg-float64(a.Tilt)) > 1 {
			add("The panel stood at %.0f° in the trial; the year is at the rig file's %s.", s.TiltDeg, degrees(a.Tilt))
		}
	}
}

// assumed are the defaults that a trial's result rests on.
func (t *trying) assumed() []rigfile.Assumed {
	return append(assumedOfHeadings(t.q.Rig), assumedOfMeasure(t.q.Rig)...)
}

func assumedOfHeadings(rig *rigfile.Rig) []rigfile.Assumed {
	if rig.Trial.HeadingWithin != nil {
		return nil
	}
	within, why := trial.UnhomedWithin, "nothing at the axle tells where the panel points"
	if rig.HasHome {
		within, why = trial.HomedWithin, "a switch at the still heading tells"
	}
	return []rigfile.Assumed{{Key: "trial.heading_within", Value: fmt.Sprintf("%g", float64(within)), Why: why + " (common practice, no source)", For: rigfile.ForTrial}}
}

func assumedOfMeasure(rig *rigfile.Rig) []rigfile.Assumed {
	if rig.Trial.Measure != "light" || rig.Trial.CellFullA > 0 {
		return nil
	}
	return []rigfile.Assumed{{Key: "trial.cell_full_sun", Value: "by the clearest hours", Why: "the rig file does not say what the cell gives in full sun; only the warmth of the panel rests on it", For: rigfile.ForTrial}}
}

func degrees(a compass.Angle) string { return fmt.Sprintf("%.0f°", float64(a)) }

// perCent writes a share without needless digits: 95, 99.9.
func perCent(share float64) string { return fmt.Sprintf("%.4g", 100*share) }

// partText writes a share of a whole.
func partText(share float64) string {
	if share > 0 && share < 0.005 {
		return "next to nothing"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

// listedWords joins names as one says them.
func listedWords(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

func orNaN(x *float64) float64 {
	if x == nil {
		return math.NaN()
	}
	return *x
}
