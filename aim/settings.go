package aim

import (
	"fmt"
	"math"
	"strings"
)

// Settings are what a builder, or a search, may turn about a policy. All
// policies share them; each uses what it needs.
type Settings struct {
	WakeEveryS float64 // s, 1..86400: asleep between two wakes by day
	NightWakeS float64 // s, 1..86400: asleep between two wakes in the dark without a clock; with one it sleeps till sunrise

	LookS        float64 // s, 0.1..600: rest before a reading
	SettleWithin float64 // 0.0001..1: two readings agree, and light is steady, within this share of the larger
	SettleMostS  float64 // s, 0.1..3600: longest wait for two readings to agree

	StayBelowA   float64 // A, 0..BestA: too dark to move; 0 moves by the clock at any light
	NightBelowA  float64 // A, 0..BestA: too dark for any look; without a clock, this dark is night
	NightAfterS  float64 // s, 0..86400: without a clock, too dark to move for so long is dusk; where the panel faces west it is dusk at once
	ClearAboveA  float64 // A, 0..BestA: bright enough to learn from and for the three-point look
	SeeA         float64 // A, 0..BestA: smallest difference between two readings that is no accident (sensor.Current's ResolutionA)
	MoveLeastDeg float64 // degrees, 0..180: it stays where it is less than this from where it wants to be
	LeadShare    float64 // 0..1: aims where the sun will stand after this share of the sleep (clock, learn)

	StepDeg float64 // degrees, finest turn..180: one step of a search (climb), the first of a search (eyes)
	Looks   int     // 1..50: most steps tried at a wake (climb, eyes)

	SweepDeg        float64 // degrees, 1..180: step of the sweep at a new spot (coarser where 16 looks would not reach)
	FallBackAfterS  float64 // s, 0..86400: as much daylight without finding a better heading means lost, and it sweeps; 0 never (climb, eyes)
	FallBackDegPerH float64 // degrees an hour, 0..90: how fast the sun is taken to have moved on behind clouds; 0 not at all (climb)

	ParkHeading string  // where it waits for the morning: "morning", "still" or "stay"
	WindParkMS  float64 // m/s, 0..60: turns to still and waits from this wind on; 0 never. Needs a wind sensor

	HomeWithinDeg float64 // degrees, 0.1..45: the switch at the still heading is closed so far to either side

	EyesDeadband float64 // 0..1: eyes this close to balance are balanced

	LearnStepDeg float64 // degrees, 1..90: how far to either side it probes
	LearnEveryS  float64 // s, 60..1e6: between two probes
	LearnRate    float64 // 0..1: weight of a new probe once many are in; 1/LearnRate probes are remembered

	ThreePointDeg float64 // degrees, 0..90: reach of the daily three-point look; 0 for none
	TrialEveryS   float64 // s, 0..86400: time between paired looks while a trial runs; 0 for none
	Seed          uint32  // of the pairs' random order
}

// Knob is one setting that a search may turn, with the range that is worth
// searching. Names and units are those of errors about it.
type Knob struct {
	Name, Unit string
	Low, High  float64
	Log        bool // search in equal ratios, not in equal steps
	Get        func(*Settings) float64
	Set        func(*Settings, float64)
}

// policies in the order in which they are named to the builder.
var policies = []string{"clock", "climb", "eyes", "learn"}

// Policies returns the names that New knows.
func Policies() []string { return append([]string(nil), policies...) }

// DefaultSettings returns what to begin with. They did well on a small stand
// under a made cloudy year, with and without wind (ours, no source), and are
// there to be tuned; a name that New does not know gets the settings of "clock".
func DefaultSettings(policy string, site Site) Settings {
	s := Settings{
		WakeEveryS: 900, NightWakeS: 1800,
		LookS: 3, SettleWithin: 0.02, SettleMostS: 15,
		StayBelowA: 0.05 * site.BestA, NightBelowA: 0.015 * site.BestA, NightAfterS: 1800,
		ClearAboveA: 0.5 * site.BestA, SeeA: 0.005 * site.BestA,
		MoveLeastDeg: max(3, float64(site.StepDeg)), LeadShare: 0.5,
		StepDeg: max(10, float64(site.StepDeg)), Looks: 6,
		SweepDeg: 20, FallBackAfterS: 3 * 3600, FallBackDegPerH: 15,
		ParkHeading: "morning", HomeWithinDeg: 3,
		EyesDeadband: 0.05,
		LearnStepDeg: 30, LearnEveryS: 3600, LearnRate: 0.1,
		ThreePointDeg: 20, Seed: 1,
	}
	switch policy {
	case "climb":
		s.SettleWithin = 0.05 // as far as a tracker wanders
		s.StepDeg = max(15, s.StepDeg)
		s.FallBackAfterS = 6 * 3600
	case "eyes":
	default:
		s.ClearAboveA = 0.3 * site.BestA // a limit of the charger may lie below half
		s.StayBelowA = 0                 // it needs no light, and a battery too cold or too full to charge is not the night
	}
	if math.Abs(float64(site.Spot.Latitude)) < tropic {
		s.FallBackDegPerH = 0 // the sun may go round either way
	}
	return s
}

// tropic is the latitude within which the sun passes overhead.
const tropic = 23.44

// dial is a setting with the range that is allowed and, where a search may
// turn it, the range that is worth searching.
type dial struct {
	Knob
	least, most float64
	turnedBy    string // policies in whose search it takes part
}

// dials lists every setting that is a number but the seed.
var dials = []dial{
	{Knob{"wake_every", "s", 60, 7200, true, func(s *Settings) float64 { return s.WakeEveryS }, func(s *Settings, x float64) { s.WakeEveryS = x }}, 1, 86400, "clock climb eyes learn"},
	{Knob{"night_wake", "s", 300, 7200, true, func(s *Settings) float64 { return s.NightWakeS }, func(s *Settings, x float64) { s.NightWakeS = x }}, 1, 86400, "climb eyes"},
	{Knob{"look", "s", 0.5, 10, true, func(s *Settings) float64 { return s.LookS }, func(s *Settings, x float64) { s.LookS = x }}, 0.1, 600, "climb eyes learn"},
	{Knob{"settle_within", "", 0.002, 0.1, true, func(s *Settings) float64 { return s.SettleWithin }, func(s *Settings, x float64) { s.SettleWithin = x }}, 1e-4, 1, "climb learn"},
	{Knob{"settle_most", "s", 3, 60, true, func(s *Settings) float64 { return s.SettleMostS }, func(s *Settings, x float64) { s.SettleMostS = x }}, 0.1, 3600, "climb learn"},
	{Knob{"stay_below", "A", 0.02, 1, true, func(s *Settings) float64 { return s.StayBelowA }, func(s *Settings, x float64) { s.StayBelowA = x }}, 0, math.Inf(1), "climb eyes"},
	{Knob{"night_below", "A", 0.01, 0.2, true, func(s *Settings) float64 { return s.NightBelowA }, func(s *Settings, x float64) { s.NightBelowA = x }}, 0, math.Inf(1), ""},
	{Knob{"night_after", "s", 300, 7200, true, func(s *Settings) float64 { return s.NightAfterS }, func(s *Settings, x float64) { s.NightAfterS = x }}, 0, 86400, "climb eyes"},
	{Knob{"clear_above", "A", 0.2, 4, true, func(s *Settings) float64 { return s.ClearAboveA }, func(s *Settings, x float64) { s.ClearAboveA = x }}, 0, math.Inf(1), ""},
	{Knob{"see", "A", 0.005, 0.2, true, func(s *Settings) float64 { return s.SeeA }, func(s *Settings, x float64) { s.SeeA = x }}, 0, math.Inf(1), "climb"},
	{Knob{"move_least", "degrees", 0.5, 30, true, func(s *Settings) float64 { return s.MoveLeastDeg }, func(s *Settings, x float64) { s.MoveLeastDeg = x }}, 0, 180, "clock eyes learn"},
	{Knob{"lead", "", 0, 1, false, func(s *Settings) float64 { return s.LeadShare }, func(s *Settings, x float64) { s.LeadShare = x }}, 0, 1, "clock learn"},
	{Knob{"step", "degrees", 2, 45, true, func(s *Settings) float64 { return s.StepDeg }, func(s *Settings, x float64) { s.StepDeg = x }}, 0, 180, "climb eyes"},
	{Knob{"looks", "", 1, 12, false, func(s *Settings) float64 { return float64(s.Looks) }, func(s *Settings, x float64) { s.Looks = int(math.Round(x)) }}, 1, 50, "climb eyes"},
	{Knob{"sweep", "degrees", 10, 40, false, func(s *Settings) float64 { return s.SweepDeg }, func(s *Settings, x float64) { s.SweepDeg = x }}, 1, 180, ""},
	{Knob{"fall_back_after", "s", 1800, 43200, true, func(s *Settings) float64 { return s.FallBackAfterS }, func(s *Settings, x float64) { s.FallBackAfterS = x }}, 0, 86400, "climb eyes"},
	{Knob{"fall_back_rate", "degrees an hour", 0, 30, false, func(s *Settings) float64 { return s.FallBackDegPerH }, func(s *Settings, x float64) { s.FallBackDegPerH = x }}, 0, 90, "climb"},
	{Knob{"wind_park", "m/s", 5, 25, false, func(s *Settings) float64 { return s.WindParkMS }, func(s *Settings, x float64) { s.WindParkMS = x }}, 0, 60, ""},
	{Knob{"home_within", "degrees", 1, 10, true, func(s *Settings) float64 { return s.HomeWithinDeg }, func(s *Settings, x float64) { s.HomeWithinDeg = x }}, 0.1, 45, ""},
	{Knob{"eyes_deadband", "", 0.005, 0.3, true, func(s *Settings) float64 { return s.EyesDeadband }, func(s *Settings, x float64) { s.EyesDeadband = x }}, 0, 1, "eyes"},
	{Knob{"learn_step", "degrees", 5, 45, true, func(s *Settings) float64 { return s.LearnStepDeg }, func(s *Settings, x float64) { s.LearnStepDeg = x }}, 1, 90, "learn"},
	{Knob{"learn_every", "s", 900, 1e5, true, func(s *Settings) float64 { return s.LearnEveryS }, func(s *Settings, x float64) { s.LearnEveryS = x }}, 60, 1e6, "learn"},
	{Knob{"learn_rate", "", 0.01, 1, true, func(s *Settings) float64 { return s.LearnRate }, func(s *Settings, x float64) { s.LearnRate = x }}, 0, 1, "learn"},
	{Knob{"three_point", "degrees", 10, 30, false, func(s *Settings) float64 { return s.ThreePointDeg }, func(s *Settings, x float64) { s.ThreePointDeg = x }}, 0, 90, ""},
	{Knob{"trial_every", "s", 300, 7200, true, func(s *Settings) float64 { return s.TrialEveryS }, func(s *Settings, x float64) { s.TrialEveryS = x }}, 0, 86400, ""},
}

// Knobs returns the settings of a policy that are worth searching; none for a
// name that New does not know. Currents are for a panel of some amperes: New
// refuses what is above Site.BestA.
func Knobs(policy string) []Knob {
	var knobs []Knob
	for _, d := range dials {
		if strings.Contains(" "+d.turnedBy+" ", " "+policy+" ") {
			knobs = append(knobs, d.Knob)
		}
	}
	return knobs
}

// refuse returns the first thing that is impossible about a policy's settings
// at a site.
func refuse(policy string, s *Settings, site *Site) error {
	if err := site.refuse(); err != nil {
		return err
	}
	for _, d := range dials {
		x, most := d.Get(s), d.most
		if d.Unit == "A" {
			most = site.BestA
		}
		if !(x >= d.least && x <= most) {
			return d.refuse(x, most)
		}
	}
	return s.clash(policy, site)
}

// refuse says what would be right.
func (d *dial) refuse(x, most float64) error {
	unit := ""
	if d.Unit != "" {
		unit = " " + d.Unit
	}
	switch {
	case d.Unit == "A" && x > most:
		return fmt.Errorf("%s is %g A, and the panel gives %.3g A in full sun: take less", d.Name, x, most)
	case d.Name == "wake_every" && !(x > 0):
		return fmt.Errorf("%s is %g s: it would never sleep; take 60 to 7200 s", d.Name, x)
	case d.Name == "step" && x > most:
		return fmt.Errorf("%s is %g degrees, more than half a turn: take 2 to 45 degrees", d.Name, x)
	}
	return fmt.Errorf("%s is %g%s, must be %g to %g%s", d.Name, x, unit, d.least, most, unit)
}

// clash finds settings that do not go together.
func (s *Settings) clash(policy string, site *Site) error {
	switch {
	case s.NightBelowA > s.StayBelowA && policy != "clock" && policy != "learn":
		return fmt.Errorf("night_below is %g A and stay_below %g A: night must be the darker, take %g A or less for night_below", s.NightBelowA, s.StayBelowA, s.StayBelowA)
	case s.StepDeg < float64(site.StepDeg):
		return fmt.Errorf("step is %g degrees, and the drive turns by %g degrees at least: take that or more", s.StepDeg, float64(site.StepDeg))
	case s.SettleMostS < s.LookS:
		return fmt.Errorf("settle_most is %g s, shorter than one look of %g s: take %g s or more", s.SettleMostS, s.LookS, 2*s.LookS)
	case parkNamed(s.ParkHeading) == parkUnknown:
		return fmt.Errorf("park_heading is %q, must be \"morning\", \"still\" or \"stay\"", s.ParkHeading)
	case (policy == "clock" || policy == "learn") && site.Path == nil:
		return fmt.Errorf("the policy %q needs a clock: fit one, or take \"climb\", which needs only the panel's current, or \"eyes\"", policy)
	}
	return nil
}

// refuse says what is impossible about a site.
func (site *Site) refuse() error {
	low, high := float64(site.Low), float64(site.High)
	switch {
	case !(site.BestA > 0) || math.IsInf(site.BestA, 1):
		return fmt.Errorf("the panel's current in full sun is %g A, must be more than 0", site.BestA)
	case !(site.StepDeg > 0 && site.StepDeg <= 180):
		return fmt.Errorf("the drive's finest turn is %g degrees, must be more than 0 and at most 180", float64(site.StepDeg))
	case !(low < high) || math.Abs(low) > 3600 || math.Abs(high) > 3600 || high-low > 720:
		return fmt.Errorf("the cable's limits are %g and %g degrees: the low one must be the smaller, and they may lie 720 degrees apart at most", low, high)
	case !(site.Still >= site.Low && site.Still <= site.High):
		return fmt.Errorf("the still heading is %g degrees, outside the cable's limits %g to %g", float64(site.Still), low, high)
	case !(math.Abs(float64(site.Spot.Latitude)) <= 90):
		return fmt.Errorf("the latitude is %g degrees, must be -90 to 90", float64(site.Spot.Latitude))
	}
	return nil
}
