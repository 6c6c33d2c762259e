package answer

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/loop"
)

func (a *Aim) say(format string, args ...any) {
	a.Findings = append(a.Findings, fmt.Sprintf(format, args...))
}

// advise says in plain words what the runs come to.
func (c *closedLoop) advise(ctx context.Context, a *Aim) error {
	r := &a.Run
	days := math.Max(r.Total.Days, 1)
	a.Verdict = fmt.Sprintf("The policy %q gets %.1f %% of the light that turning exactly would, pointing %.1f degrees from the sun on average; into a battery that always had room %.0f Wh a day would be left after the stand has fed itself, against %.0f standing still.",
		a.Policy, 100*r.Perfect, r.Total.Error.MeanDeg, r.NetWh, c.stillWh(r)/days)
	if len(c.sampled) < len(c.days) {
		a.say("What follows on sleeps, a switch, north and clouds is what it changed on %d days spread over all, laid on the tables.", len(c.sampled))
	}
	a.adviseOnSleep()
	asleep, motor := r.Total.Own.AsleepWh/days, r.Total.Own.MotorWh/days
	a.say("Asleep its board draws %s than the motor: %.2f Wh a day against %.2f, and %.2f awake.", map[bool]string{true: "more", false: "less"}[asleep > motor], asleep, motor, r.Total.Own.AwakeWh/days)
	c.adviseOnSensor(a)
	c.adviseOnFaults(a)
	if err := c.adviseOnHome(ctx, a); err != nil {
		return err
	}
	if err := c.adviseOnNorth(ctx, a); err != nil {
		return err
	}
	if err := c.adviseOnClouds(ctx, a); err != nil {
		return err
	}
	a.adviseOnTune()
	return nil
}

// adviseOnSleep says how long it may sleep, and where chance hides that.
func (a *Aim) adviseOnSleep() {
	if longest := a.LongestSleep(); longest > 0 {
		a.say("The longest sleep that loses less than 1 %% of the light is %s%s.", durationText(longest), map[bool]string{true: " or more; no longer one was tried"}[longest == sleepsTried[len(sleepsTried)-1]])
		return
	}
	cause := "what one day has and another has not"
	if a.Run.Total.BlownDeg+a.Run.Total.LostDeg > 0.5 {
		cause = "wind that turns the panel, or steps that are lost,"
	}
	a.say("How long it may sleep without losing 1 %% of the light cannot be told: %s moves the light by more than a longer sleep does.", cause)
}

// adviseOnClouds runs the policies under clouds that pass half and twice as fast
// as the fitted: so far the measured days themselves lie apart.
func (c *closedLoop) adviseOnClouds(ctx context.Context, a *Aim) error {
	names, rates := aim.Policies(), []float64{0.5, 1, 2}
	shares := make([]float64, len(names)*len(rates))
	err := c.each(ctx, "slow and fast clouds", len(shares), func(ctx context.Context, i int) error {
		name, rate := i/len(rates), rates[i%len(rates)]
		shares[i] = c.table[name].Perfect
		if rate == 1 {
			return nil
		}
		run, _, err := c.try(ctx, names[name], func(in *loop.Input) { in.Rate = rate * cmp.Or(in.Rate, 1) })
		shares[i] = run.Perfect
		return err
	})
	if err != nil {
		return err
	}
	var parts []string
	for k, name := range names {
		of := shares[k*len(rates) : (k+1)*len(rates)]
		parts = append(parts, fmt.Sprintf("%s %.1f to %.1f", name, 100*slices.Min(of), 100*slices.Max(of)))
	}
	a.say("From clouds that pass half as fast as is usual to twice as fast the light is, in %% of exact turning: %s.", joinAnd(parts))
	return nil
}

// stillWh is what the charge controller could deliver of a panel that stands
// still and feeds nothing, Wh.
func (c *closedLoop) stillWh(r *AimRun) float64 {
	if r.Total.PanelWh <= 0 {
		return 0
	}
	return r.Total.StillPanelWh * r.Total.DeliverWh / r.Total.PanelWh
}

func (c *closedLoop) adviseOnSensor(a *Aim) {
	bestA := c.rig.BestA()
	full, half := c.rig.Sensor.Blind(bestA), c.rig.Sensor.Blind(bestA/3)
	a.say("The current sensor cannot see better than %.1f degrees in full sun and %.1f in a third of it: a hunt by steps below that only wears the gears.", full.Degrees(), half.Degrees())
}

// adviseOnFaults tells what went wrong on the way.
func (c *closedLoop) adviseOnFaults(a *Aim) {
	t := &a.Run.Total
	if by := c.q.Rig.Faults.TiltBy.Degrees(); by != 0 {
		a.say("The tilt is %+.0f degrees beside the %.0f of the file, and nothing tells the controller: turning exactly, which all is set against, is at the file's tilt, so that its light may be surpassed.", by, c.rig.Season.Stand.Tilt.Degrees())
	}
	if t.BlownDeg > 0.5 {
		a.say("Wind, or an axle out of plumb, turned the resting panel on %s, by %.0f degrees in all: a brake or a worm holds it.", times(t.Blows), t.BlownDeg)
	}
	if t.LostDeg > 0.5 {
		a.say("The drive lost count of %.0f degrees, in gusts or as its supply failed: a home switch finds it again.", t.LostDeg)
	}
	if t.StopsHit > 0 {
		a.say("It ran into an end stop on %s.", times(t.StopsHit))
	}
	if t.MorningsMissed > 0 {
		a.say("It missed %.0f of %.0f mornings: more than 30 degrees from the sun in the first two hours of light.", t.MorningsMissed, t.Days)
	}
	if t.NightMoves > 0 {
		a.say("It moved %s by night.", times(t.NightMoves))
	}
	if t.Reboots > 0 {
		a.say("It started anew %s, its supply gone; %.0f hours it was without.", times(t.Reboots), t.DarkControllerH)
	}
}

// adviseOnHome says what a switch at the still heading would bring a rig that
// has none: with it a stand that was turned, or lost steps, finds itself again.
func (c *closedLoop) adviseOnHome(ctx context.Context, a *Aim) error {
	if c.rig.Home {
		return nil
	}
	without := &a.Run
	with, _, err := c.try(ctx, c.policy, func(in *loop.Input) { in.Rig.Home = true })
	if err != nil {
		return err
	}
	if more := with.Perfect - without.Perfect; more > 0.01 {
		a.say("A magnet and a switch at the still heading would bring %.1f %% of the light instead of %.1f, %.0f Wh a day more: whenever it passes there it knows again where it stands.", 100*with.Perfect, 100*without.Perfect, with.NetWh-without.NetWh)
	}
	return nil
}

func times(n float64) string {
	if n == 1 {
		return "1 occasion"
	}
	return fmt.Sprintf("%.0f occasions", n)
}

// norths are how far north is set wrong where that is tried, degrees.
var norths = []compass.Angle{0, 5, 10, 15, 20, 30, 45}

// adviseOnNorth sets hunting beside the clock, which needs north.
func (c *closedLoop) adviseOnNorth(ctx context.Context, a *Aim) error {
	clock, climb := c.named(a, "clock"), c.named(a, "climb")
	runs := make([]AimRun, len(norths)+2)
	err := c.each(ctx, "setting north wrong", len(runs), func(ctx context.Context, i int) (err error) {
		policy, wrong := "clock", compass.Angle(0)
		switch i {
		default:
			wrong = norths[i]
		case len(norths):
			policy, wrong = "learn", 20
		case len(norths) + 1:
			policy = "climb"
		}
		runs[i], _, err = c.try(ctx, policy, func(in *loop.Input) { in.Faults.CompassDeg = wrong })
		return err
	})
	if err != nil {
		return err
	}
	hunting := runs[len(norths)+1]
	a.say("Climbing turns the stand %.1f times as far as the clock for %s of the light (%.1f against %.1f %%).",
		climb.Total.DegreesTurned/math.Max(clock.Total.DegreesTurned, 1), map[bool]string{true: "no more", false: "more"}[climb.Perfect <= clock.Perfect], 100*climb.Perfect, 100*clock.Perfect)
	if runs[0].NetWh < hunting.NetWh {
		a.say("Here climbing leaves more than the clock, even with north set right.")
	} else if within := crossing(norths, runs[:len(norths)], hunting.NetWh); math.IsInf(within, 1) {
		a.say("The clock leaves more than climbing even with north set wrong by %.0f degrees.", norths[len(norths)-1].Degrees())
	} else {
		a.say("The clock leaves more than climbing as long as north is set right to within %.0f degrees; with north wrong by 20 degrees learning still gets %.1f %% of the light, the clock %.1f.", within, 100*runs[len(norths)].Perfect, 100*runs[4].Perfect)
	}
	return nil
}

// settingsOf are the rig's own for its policy, the usual ones for another.
func (c *closedLoop) settingsOf(policy string) aim.Settings {
	return c.settings(policy, policy == c.policy)
}

func (c *closedLoop) named(a *Aim, policy string) *AimRun {
	for i := range a.Policies {
		if a.Policies[i].Policy == policy {
			return &a.Policies[i]
		}
	}
	return &a.Run
}

// crossing is where a falling row of net energies comes down to a level;
// infinite where it stays above.
func crossing(at []compass.Angle, runs []AimRun, level float64) float64 {
	for i := range runs {
		if runs[i].NetWh < level {
			if i == 0 {
				return 0
			}
			share := (runs[i-1].NetWh - level) / (runs[i-1].NetWh - runs[i].NetWh)
			return at[i-1].Degrees() + share*(at[i]-at[i-1]).Degrees()
		}
	}
	return math.Inf(1)
}

func (a *Aim) adviseOnTune() {
	t := a.Tuned
	switch {
	case t == nil:
		return
	case !t.Confirmed:
		a.say("Of %d settings tried none surely leaves more than the present ones on fresh days: the best comes to %+.1f %% (%+.1f to %+.1f). Leave them.", t.Trials, 100*t.Gain.Share, 100*t.Gain.Low, 100*t.Gain.High)
		if t.Best.DegreesTurned < 0.7*t.Present.DegreesTurned && t.Gain.Share > -0.01 {
			a.say("But the best of them turns %.0f degrees a day instead of %.0f for as much energy: take it to spare the gears (--json has its settings).", t.Best.DegreesTurned, t.Present.DegreesTurned)
		}
	default:
		a.say("Of %d settings tried the chosen ones leave %.1f %% more on %d days that had no part in the choice (%.1f to %.1f), turning %.0f degrees a day instead of %.0f.",
			t.Trials, 100*t.Gain.Share, t.FreshDays, 100*t.Gain.Low, 100*t.Gain.High, t.Chosen.DegreesTurned, t.Present.DegreesTurned)
	}
}

func durationText(s float64) string {
	switch {
	case s >= 7200 && math.Mod(s, 3600) == 0:
		return fmt.Sprintf("%.0f hours", s/3600)
	case s >= 120:
		return fmt.Sprintf("%.0f minutes", s/60)
	}
	return fmt.Sprintf("%.0f seconds", s)
}
