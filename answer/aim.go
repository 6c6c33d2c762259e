package answer

import (
	"context"
	"math"
	"slices"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/loop"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/rigfile"
	"turnsole/season"
	"turnsole/sun"
	"turnsole/weather"
)

// AimQuestion asks how the rig's controller does in closed loop.
type AimQuestion struct {
	Rig         *rigfile.Rig
	WeatherFile string // in place of the rig file's weather, "" for none
	Spot        string // the name of one spot; "" for the first
	Window      Window
	Clouds      float64 // how fast clouds pass against the fitted; 0 for 1
	Tune        bool    // search for better settings
	Trials      int     // settings that the search tries; 0 for 500
	Seed        uint64
	Open        Open
	Progress    Progress // may be nil
}

// Aim is the answer: what the controller gets of the light, how it points, what
// that costs, and what would be better.
type Aim struct {
	Rig, Spot, Weather string
	Policy             string
	Settings           []AimSetting
	Days               int
	Run                AimRun   // the rig's own policy
	Policies           []AimRun // all four side by side, the rig's own with its settings
	Pictures           []AimDay // days worth looking at
	Sleeps             []SleepCost
	Tuned              *AimTune // where it was asked for
	Verdict            string
	Findings           []string // plain advice, a sentence each
	Warnings, Notes    []string // of the weather and the sensor
	Assumed            []rigfile.Assumed
	Seed               uint64
	Clouds             float64
}

// AimSetting is one setting of a policy.
type AimSetting struct {
	Name, Unit string
	Value      float64
	Given      bool // by the rig file
}

// AimRun is one policy through the days.
type AimRun struct {
	Policy  string
	AsIf    string // what the rig would need for it, "" where it has all
	Total   loop.Sum
	Seasons [4]loop.Sum // December to February, March to May, …
	// Perfect is the light against exact turning's, and NetWh what is left a day
	// of what the charge controller could deliver, own use taken off.
	Perfect, NetWh float64
}

// AimDay is one day minute by minute.
type AimDay struct {
	Kind  string // "clear", "broken", "dull", "blown round", …
	Date  MonthDay
	Trace loop.Trace
	Sum   loop.Sum
}

// SleepCost is what sleeping longer costs.
type SleepCost struct {
	WakeEveryS float64
	NetWh      float64 // a day
	Light      float64 // against exact turning's; NaN without light

	// LossWithin is how well it is known what this sleep loses of the light
	// against the best of them: half of an interval that holds it in 19 cases of
	// 20, as a share; NaN where the days are too few to tell.
	LossWithin float64
}

// closedLoop is a rig with everything that its runs share.
type closedLoop struct {
	q      *AimQuestion
	rig    loop.Rig
	ground *loop.Ground
	days   []int
	policy string

	sampled []int    // days that advice is tried on
	own     []AimRun // all policies on them, as in the tables
	table   []AimRun // and on all days
}

// RunAim answers an AimQuestion.
func RunAim(ctx context.Context, q AimQuestion) (*Aim, error) {
	spots, err := spotsNamed(q.Rig, q.Spot)
	if err != nil {
		return nil, err
	}
	spot := spots[0]
	spot.Weather.Years = min(spot.Weather.Years, 1)
	w := WorthQuestion{Rig: q.Rig, WeatherFile: q.WeatherFile, Window: q.Window, Seed: q.Seed, Open: q.Open, Progress: q.Progress}
	s := &SpotWorth{Assumed: w.assumedAt(spot)}
	in, err := w.input(ctx, spot, s)
	if err != nil {
		return nil, err
	}
	if q.Progress == nil {
		q.Progress = func(string, int, int) {}
	}
	c := &closedLoop{q: &q, policy: q.Rig.Policy, rig: loopRig(q.Rig, in.Rig)}
	if err := c.fits(); err != nil {
		return nil, err
	}
	if err := c.lay(ctx, in); err != nil {
		return nil, err
	}
	a := &Aim{Rig: q.Rig.Name, Spot: spot.Name, Weather: s.Weather, Policy: c.policy, Days: len(c.days), Warnings: s.Warnings, Notes: s.Notes,
		Assumed: append(s.Assumed, q.Rig.AssumedFor(rigfile.ForAim, rigfile.ForDrive, rigfile.ForWind)...), Seed: q.Seed, Clouds: q.Clouds}
	for _, p := range q.Rig.Sensor.Problems(c.rig.Season.Diode.ShortCircuitA(1000, 25)) {
		a.Warnings = append(a.Warnings, q.Rig.Problem("controller."+p.Key, rigfile.Warning, p.Text).Error())
	}
	return a, c.answer(ctx, a)
}

// loopRig puts the rig file's parts together for the loop.
func loopRig(rig *rigfile.Rig, ideal season.Rig) loop.Rig {
	r := loop.Rig{Season: ideal, Train: rig.Train, Axle: rig.Axle, Sensor: rig.Sensor,
		Eyes: rig.HasEyes, Home: rig.HasHome, StopSwitch: rig.HasStops, WindSensor: rig.HasWind, Clock: rig.HasClock, DaySupply: rig.DaySupply,
		Sail: loop.PlateSail(rig.Stand.Tilt, rig.Base.PanelWidthM, rig.Base.PanelLengthM)}
	r.Common()
	r.Low, r.High = cableLimits(rig, ideal.Spot)
	return r
}

// sound reports what would keep the rig's controller from running.
func (c *closedLoop) sound() error {
	if err := c.fits(); err != nil {
		return err
	}
	if err := c.rig.Validate(); err != nil {
		return err
	}
	site := siteOf(c.q.Rig, rigfile.Spot{Spot: c.rig.Season.Spot}, c.rig.BestA())
	if newYear, err := sun.CalendarDay(arcsYear, 1, 1); err == nil && c.rig.Clock {
		site.Path = sun.NewPath(sun.At(site.Spot), newYear, newYear+1, sun.DeltaT(newYear))
	}
	if _, err := aim.New(c.policy, policySettings(c.q.Rig, site, c.policy, true), site); err != nil {
		return c.refusal(err)
	}
	return nil
}

// cableLimits are the headings between which the stand may turn, unwrapped about
// the still heading: the rig file's, or what the year asks for and a little more.
func cableLimits(rig *rigfile.Rig, spot place.Spot) (low, high compass.Angle) {
	low, high = widest(rig, spot)
	turn := 360 * compass.Angle(math.Floor(float64(high-compass.Equatorward(spot.Latitude))/360))
	return low - turn, high - turn
}

func widest(rig *rigfile.Rig, spot place.Spot) (low, high compass.Angle) {
	if c := rig.CableRange; c != nil {
		return compass.Angle(c[0]), compass.Angle(c[1])
	}
	var turns []drive.Arc
	for _, a := range aim.Arcs(spot, arcsYear, 0) {
		turns = append(turns, drive.Arc(a))
	}
	wrap := drive.WrapOf(turns)
	if wrap.Degrees == 0 { // no sun at all
		still := compass.Equatorward(spot.Latitude)
		return still - 170, still + 170
	}
	const spare = 3
	return wrap.Low - spare, wrap.High + spare
}

// lay lays the year out and picks the days that count.
func (c *closedLoop) lay(ctx context.Context, in *season.Input) error {
	year := firstYear(in, c.q.Seed)
	c.q.Progress("laying out the light", 0, 1)
	ground, err := loop.Lay(ctx, &c.rig.Season, year)
	if err != nil {
		if ctx.Err() != nil {
			return err
		}
		return &BadInput{err}
	}
	c.ground = ground
	c.days = c.q.Window.Days(ground.Calendar())
	if len(c.days) == 0 {
		return bad("the weather has no day %s", c.q.Window)
	}
	return nil
}

// settings are the policy's: as usual, with what the rig file gives laid over.
func (c *closedLoop) settings(policy string, own bool) aim.Settings {
	s := policySettings(c.q.Rig, c.rig.Site(c.ground), policy, own)
	s.Seed = uint32(c.q.Seed)
	return s
}

// input is a run of a policy; senses that it needs and the rig lacks are fitted,
// and named.
func (c *closedLoop) input(policy string, s aim.Settings, days []int) (in loop.Input, asIf string) {
	in = loop.Input{Rig: c.rig, Policy: policy, Settings: s, Faults: c.q.Rig.Faults, Days: days, Seed: c.q.Seed, Rate: c.q.Clouds}
	switch {
	case policy == "eyes" && !in.Rig.Eyes:
		in.Rig.Eyes, asIf = true, "two light sensors"
	case (policy == "clock" || policy == "learn") && (!in.Rig.Clock || in.Faults.NoClock):
		in.Rig.Clock, in.Faults.NoClock, asIf = true, false, "a clock that runs"
	}
	return in, asIf
}

func (c *closedLoop) run(ctx context.Context, in loop.Input) (*loop.Outcome, error) {
	out, err := loop.Run(ctx, c.ground, in)
	if err != nil && ctx.Err() == nil {
		return nil, c.refusal(err)
	}
	return out, err
}

func (c *closedLoop) answer(ctx context.Context, a *Aim) error {
	own := c.settings(c.policy, true)
	for _, d := range aim.Dials() {
		a.Settings = append(a.Settings, AimSetting{d.Name, d.Unit, d.Get(&own), slices.ContainsFunc(c.q.Rig.Dialled, func(g rigfile.Dialled) bool { return g.Name == d.Name })})
	}
	outcome, err := c.compare(ctx, a)
	if err != nil {
		return err
	}
	if a.Run.Total.TurningLightWhM2 <= 0 {
		return bad("on these days there is no light to aim at: choose others by --from and --to")
	}
	if err := c.pictures(ctx, a, own, outcome); err != nil {
		return err
	}
	if err := c.startSample(ctx); err != nil {
		return err
	}
	if err := c.sleeps(ctx, a, own); err != nil {
		return err
	}
	if c.q.Tune {
		if err := c.tune(ctx, a, own); err != nil {
			return err
		}
	}
	return c.advise(ctx, a)
}

// compare runs all four policies through the days, the rig's own with its
// settings.
func (c *closedLoop) compare(ctx context.Context, a *Aim) (*loop.Outcome, error) {
	names := aim.Policies()
	a.Policies = make([]AimRun, len(names))
	outcomes := make([]*loop.Outcome, len(names))
	err := c.each(ctx, "running the policies", len(names), func(ctx context.Context, i int) error {
		in, asIf := c.input(names[i], c.settingsOf(names[i]), c.days)
		out, err := c.run(ctx, in)
		if err == nil {
			outcomes[i], a.Policies[i] = out, runOf(names[i], asIf, out)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	i := slices.Index(names, c.policy)
	a.Run = a.Policies[i]
	c.table = a.Policies
	return outcomes[i], nil
}

func runOf(name, asIf string, out *loop.Outcome) AimRun {
	days := math.Max(out.Total.Days, 1)
	return AimRun{Policy: name, AsIf: asIf, Total: out.Total, Seasons: out.Seasons, Perfect: out.Total.ShareOfTurning(), NetWh: out.Total.NetWh() / days}
}

// loop is the rig's own controller in closed loop.
func (q *WorthQuestion) loop(rig *season.Rig) *closedLoop {
	return &closedLoop{q: &AimQuestion{Rig: q.Rig, Seed: q.Seed}, policy: q.Rig.Policy, rig: loopRig(q.Rig, *rig)}
}

// aimed runs a year under the rig's own controller, for the way of that name.
func (q *WorthQuestion) aimed(rig *season.Rig) season.AimedFunc {
	return func(ctx context.Context, y *weather.Year, grid *weather.Grid, light *plane.Light) (season.Aimed, error) {
		c := q.loop(rig)
		var err error
		if c.ground, err = loop.LayUnder(ctx, grid, light, rig, y); err != nil {
			return season.Aimed{}, err
		}
		in, _ := c.input(c.policy, c.settings(c.policy, true), nil)
		in.Steps = true
		out, err := loop.Run(ctx, c.ground, in)
		if err != nil {
			return season.Aimed{}, err
		}
		return season.Aimed{HeadingDeg: out.Headings, OwnWh: out.OwnWh}, nil
	}
}
