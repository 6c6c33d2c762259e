package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"charm.land/lipgloss/v2"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/drawing"
)

type aimCommand struct {
	rigFlags
	spotFlag
	Policy  string  `help:"clock, climb, eyes or learn in place of the rig file's." placeholder:"NAME"`
	Tune    bool    `help:"Search for settings that are robustly good."`
	Trials  *int    `help:"Settings that the search tries; 500 if not given." placeholder:"N"`
	Clouds  float64 `default:"1" help:"How fast clouds pass against the fitted; try 0.5 and 2." placeholder:"X"`
	Weather string  `help:"Weather-year file in place of the rig file's weather." placeholder:"FILE"`
	From    string  `help:"First day that counts, month-day." placeholder:"MM-DD"`
	To      string  `help:"Last day that counts; before --from it lies in the next year." placeholder:"MM-DD"`
	Draw    string  `help:"Folder to write pictures of it into, as SVG; made where it is not there." placeholder:"DIR"`
	Seed    uint64  `default:"1" help:"Seed of all chance."`
}

type aimJSON struct {
	Spot     string       `json:"spot" doc:"name of the spot, empty where the rig file has one without a name"`
	Weather  string       `json:"weather" doc:"what the year is"`
	Policy   string       `json:"policy" doc:"the rig's own, or that of --policy"`
	Settings settingsJSON `json:"settings" doc:"its settings by name, in seconds, amperes, degrees and shares"`
	Days     int          `json:"days" doc:"days that count"`
	aimRunJSON
	Policies []policyJSON  `json:"policies" doc:"all four side by side, the other three with usual settings"`
	Sleeps   []sleepJSON   `json:"sleeps" doc:"what sleeping longer costs"`
	Longest  *float64      `json:"longest_sleep_s" doc:"the longest sleep tried that loses less than 1 % of the light; null where that cannot be told"`
	Tune     *tuneJSON     `json:"tune" doc:"null where no search was asked for"`
	Verdict  string        `json:"verdict" doc:"in words"`
	Findings []string      `json:"findings" doc:"plain advice, a sentence each"`
	Warnings []string      `json:"warnings" doc:"what in the weather, or of the sensor, makes the figures doubtful"`
	Assumed  []assumedJSON `json:"assumed" doc:"every default that the answer rests on"`
	Clouds   float64       `json:"clouds" doc:"how fast clouds pass against the fitted"`
	Seed     uint64        `json:"seed" doc:"seed of all chance"`
}

// settingsJSON keeps settings in their order.
type settingsJSON []answer.AimSetting

// MarshalJSON writes an object with a key for each setting.
func (s settingsJSON) MarshalJSON() ([]byte, error) {
	all := map[string]float64{}
	for _, one := range s {
		all[one.Name] = one.Value
	}
	return json.Marshal(all)
}

type errorJSON struct {
	Mean float64 `json:"mean" doc:"by time, the sun being up"`
	P95  float64 `json:"p95" doc:"95 % of the time it is less"`
}

type aimRunJSON struct {
	Error     errorJSON `json:"pointing_error_deg" doc:"between the panel's true heading and the sun's azimuth"`
	Share     float64   `json:"share_of_perfect" doc:"light on the panel over that of turning exactly"`
	NetWh     float64   `json:"net_wh_per_day" doc:"what the charge controller could deliver, own use taken off"`
	Moves     float64   `json:"moves_per_day"`
	Degrees   float64   `json:"degrees_turned_per_day"`
	MotorS    float64   `json:"motor_s_per_day"`
	OwnUseWh  float64   `json:"own_use_wh_per_day" doc:"motor and the whole board"`
	MotorWh   float64   `json:"motor_wh_per_day"`
	AwakeWh   float64   `json:"awake_wh_per_day"`
	AsleepWh  float64   `json:"asleep_wh_per_day"`
	HuntS     float64   `json:"hunting_s_per_day" doc:"awake by day without sunshine"`
	FalsePeak float64   `json:"false_peaks_per_day" doc:"wakes that ended further from the sun than they began"`
	Missed    float64   `json:"mornings_missed"`
	Night     float64   `json:"night_moves"`
	Stops     float64   `json:"stops_hit" doc:"moves that ran into an end stop"`
	Lost      float64   `json:"lost_deg" doc:"turns that the drive believes in and that were not made"`
	Blown     float64   `json:"blown_deg" doc:"turned by wind or lean while at rest"`
	Reboots   float64   `json:"reboots"`
}

type policyJSON struct {
	Policy string `json:"policy"`
	AsIf   string `json:"as_if" doc:"what the rig would need for it, empty where it has all"`
	aimRunJSON
	Seasons [4]seasonShareJSON `json:"seasons" doc:"from December on, three months each"`
}

type seasonShareJSON struct {
	Share *float64 `json:"share_of_perfect" doc:"null where there was no light"`
	NetWh *float64 `json:"net_wh_per_day" doc:"null where no day of it counts"`
}

type sleepJSON struct {
	WakeEveryS float64  `json:"wake_every_s"`
	Share      *float64 `json:"share_of_perfect" doc:"null where there was no light"`
	NetWh      float64  `json:"net_wh_per_day"`
	LossWithin *float64 `json:"loss_within" doc:"what it loses against the best of them is known to within this share, in 19 cases of 20; null where the days are too few"`
}

type tuneJSON struct {
	Trials    int          `json:"trials" doc:"settings tried"`
	Confirmed bool         `json:"confirmed" doc:"the chosen settings are better on days that had no part in the choice; else they are the present ones"`
	Chosen    settingsJSON `json:"chosen"`
	Gain      float64      `json:"gain" doc:"share by which the best leaves more than the present settings"`
	GainLow   float64      `json:"gain_low" doc:"95 % interval over days"`
	GainHigh  float64      `json:"gain_high"`
	Present   triedJSON    `json:"present"`
	Best      triedJSON    `json:"best"`
	Sweeps    []sweepJSON  `json:"sweeps" doc:"each setting turned, the others as chosen"`
}

type triedJSON struct {
	Settings settingsJSON `json:"settings" doc:"those that the search turned"`
	NetWh    float64      `json:"net_wh_per_day"`
	Degrees  float64      `json:"degrees_turned_per_day"`
	Share    *float64     `json:"share_of_perfect" doc:"null where there was no light"`
}

type sweepJSON struct {
	Name   string    `json:"name"`
	Values []float64 `json:"values"`
	NetWh  []float64 `json:"net_wh_per_day"`
	Low    float64   `json:"flat_low" doc:"from here to flat_high it does not matter: within half a per cent"`
	High   float64   `json:"flat_high"`
}

func (c *aimCommand) Run(d *desk) error {
	if c.Policy != "" {
		c.Set = append(c.Set, "controller.policy="+c.Policy)
	}
	rig, err := c.read()
	if err != nil {
		return err
	}
	if !(c.Clouds > 0 && c.Clouds <= 20) {
		return &answer.BadInput{Err: fmt.Errorf("--clouds %v: clouds pass some times as fast as usual; give more than 0 and at most 20", c.Clouds)}
	}
	trials, err := c.trials()
	if err != nil {
		return err
	}
	if err := isFolder(c.Draw); err != nil {
		return err
	}
	q := answer.AimQuestion{Rig: rig, Spot: c.Spot, Clouds: c.Clouds, Tune: c.Tune, Trials: trials, Seed: c.Seed, Open: besideRig(c.File)}
	if q.WeatherFile, err = fromHere(c.Weather); err != nil {
		return err
	}
	window := worthFlags{From: c.From, To: c.To}
	if q.Window, err = window.window(); err != nil {
		return err
	}
	bar := newProgress(d.errOut)
	q.Progress = bar.tell
	a, err := answer.RunAim(d.ctx, q)
	bar.finish()
	if err == nil {
		err = d.ctx.Err()
	}
	if err != nil {
		return err
	}
	if c.Draw != "" {
		if err := c.draw(a); err != nil {
			return err
		}
	}
	return put(d, c.JSON, a, aimWire, tellAim)
}

// trials is how many settings the search tries, 0 for as many as usual.
func (c *aimCommand) trials() (int, error) {
	switch {
	case c.Trials == nil:
		return 0, nil
	case *c.Trials < 1 || *c.Trials > 100000:
		return 0, &answer.BadInput{Err: fmt.Errorf("--trials %d: give 1 to 100000", *c.Trials)}
	case !c.Tune:
		return 0, &answer.BadInput{Err: fmt.Errorf("--trials %d: nothing is searched without --tune; add it, or leave --trials out", *c.Trials)}
	}
	return *c.Trials, nil
}

// draw writes every picture of the answer.
func (c *aimCommand) draw(a *answer.Aim) error {
	const wide, high = 180, 110 // mm
	pictures := map[string]*chart.Picture{"policies": drawing.PoliciesBySeason(a, wide, high), "sleep": drawing.SleepCost(a, wide, high)}
	for i := range a.Pictures {
		day := &a.Pictures[i]
		name := "day-" + strings.ReplaceAll(day.Kind, " ", "-")
		pictures[name], pictures[name+"-above"] = drawing.Day(day, wide, high), drawing.DayAbove(day, high, high)
	}
	if t := a.Tuned; t != nil {
		pictures["tune"] = drawing.TuneTrade(t, wide, high)
		for i := range t.Sweeps {
			pictures["tune-"+t.Sweeps[i].Name] = drawing.TuneSweep(&t.Sweeps[i], wide, high)
		}
	}
	return writePictures(c.Draw, pictures)
}

func aimWire(a *answer.Aim) aimJSON {
	out := aimJSON{Spot: a.Spot, Weather: a.Weather, Policy: a.Policy, Settings: a.Settings, Days: a.Days, aimRunJSON: aimRunWire(&a.Run),
		Sleeps: []sleepJSON{}, Longest: known(a.LongestSleep()), Verdict: a.Verdict, Findings: orEmpty(a.Findings), Warnings: orEmpty(a.Warnings),
		Assumed: assumedWire(a.Assumed), Clouds: a.Clouds, Seed: a.Seed}
	for i := range a.Policies {
		out.Policies = append(out.Policies, policyWire(&a.Policies[i]))
	}
	for _, s := range a.Sleeps {
		out.Sleeps = append(out.Sleeps, sleepJSON{s.WakeEveryS, known(s.Light), s.NetWh, known(s.LossWithin)})
	}
	if t := a.Tuned; t != nil {
		out.Tune = &tuneJSON{Trials: t.Trials, Confirmed: t.Confirmed, Chosen: t.Chosen.Settings, Gain: t.Gain.Share, GainLow: t.Gain.Low, GainHigh: t.Gain.High,
			Present: triedWire(t.Present), Best: triedWire(t.Best), Sweeps: []sweepJSON{}}
		for _, s := range t.Sweeps {
			out.Tune.Sweeps = append(out.Tune.Sweeps, sweepJSON{s.Name, s.Values, s.NetWh, s.Low, s.High})
		}
	}
	return out
}

func triedWire(t answer.AimTried) triedJSON {
	return triedJSON{t.Settings, t.NetWh, t.DegreesTurned, known(t.Perfect)}
}

func aimRunWire(r *answer.AimRun) aimRunJSON {
	t, days := &r.Total, max(r.Total.Days, 1)
	return aimRunJSON{Error: errorJSON{t.Error.MeanDeg, t.Error.P95Deg}, Share: r.Perfect, NetWh: r.NetWh, Moves: t.Moves / days, Degrees: t.DegreesTurned / days,
		MotorS: t.MotorS / days, OwnUseWh: t.Own.Wh() / days, MotorWh: t.Own.MotorWh / days, AwakeWh: t.Own.AwakeWh / days, AsleepWh: t.Own.AsleepWh / days,
		HuntS: t.HuntS / days, FalsePeak: t.FalsePeaks / days, Missed: t.MorningsMissed, Night: t.NightMoves, Stops: t.StopsHit, Lost: t.LostDeg, Blown: t.BlownDeg, Reboots: t.Reboots}
}

func policyWire(r *answer.AimRun) policyJSON {
	out := policyJSON{Policy: r.Policy, AsIf: r.AsIf, aimRunJSON: aimRunWire(r)}
	for k := range r.Seasons {
		s := &r.Seasons[k]
		out.Seasons[k] = seasonShareJSON{Share: known(s.ShareOfTurning())}
		if s.Days > 0 {
			out.Seasons[k].NetWh = known(s.NetWh() / s.Days)
		}
	}
	return out
}

func tellAim(w io.Writer, a *answer.Aim) {
	say(w, "", fmt.Sprintf("%s, %d days: %s.", title(a.Rig, a.Spot), a.Days, a.Weather))
	fmt.Fprintln(w)
	say(w, "", lipgloss.NewStyle().Bold(true).Render(a.Verdict))
	fmt.Fprintln(w)
	for _, warning := range a.Warnings {
		say(w, "! ", warning)
	}
	for _, f := range a.Findings {
		say(w, "  ", f)
	}
	fmt.Fprintf(w, "\n%s\n\n%s\n\n%s\n", policiesTable(a), policySeasonsTable(a), sleepsTable(a))
	if a.Tuned != nil {
		fmt.Fprintf(w, "\n%s\n", tuneTable(a.Tuned))
	}
	var settings []string
	for _, s := range a.Settings {
		settings = append(settings, strings.TrimSpace(fmt.Sprintf("%s %.4g %s", s.Name, s.Value, s.Unit)))
	}
	fmt.Fprintln(w)
	say(w, "", "Settings of "+a.Policy+": "+strings.Join(settings, "; ")+".")
	tellAssumedKeys(w, a.Assumed)
}

func policiesTable(a *answer.Aim) string {
	t := plainTable([]string{"a day of", "light, % of", "off the sun,", "95 %", "turned", "motor", "own use", "net"},
		[]string{"", "exact turning", "° on average", "below, °", "°", "s", "Wh", "Wh"})
	for i := range a.Policies {
		r := &a.Policies[i]
		days, name := max(r.Total.Days, 1), r.Policy
		if r.Policy == a.Policy {
			name += " *"
		}
		if r.AsIf != "" {
			name += " (with " + r.AsIf + ")"
		}
		t.Row(name, fmt.Sprintf("%.1f", 100*r.Perfect), fmt.Sprintf("%.1f", r.Total.Error.MeanDeg), fmt.Sprintf("%.0f", r.Total.Error.P95Deg),
			fmt.Sprintf("%.0f", r.Total.DegreesTurned/days), fmt.Sprintf("%.0f", r.Total.MotorS/days), fmt.Sprintf("%.2f", r.Total.Own.Wh()/days), wh(r.NetWh))
	}
	return t.String() + "\n  * the rig's own; the others with usual settings"
}

func policySeasonsTable(a *answer.Aim) string {
	t := plainTable([]string{"light, % of exact turning", "Dec–Feb", "Mar–May", "Jun–Aug", "Sep–Nov"})
	for i := range a.Policies {
		row := []string{a.Policies[i].Policy}
		for k := range a.Policies[i].Seasons {
			s := &a.Policies[i].Seasons[k]
			if known(s.ShareOfTurning()) == nil {
				row = append(row, "–")
				continue
			}
			row = append(row, fmt.Sprintf("%.1f", 100*s.ShareOfTurning()))
		}
		t.Row(row...)
	}
	return t.String()
}

func sleepsTable(a *answer.Aim) string {
	t := plainTable([]string{"wakes every", "light, % of exact turning", "net, Wh a day"})
	for _, s := range a.Sleeps {
		t.Row(fmt.Sprintf("%g min", s.WakeEveryS/60), fmt.Sprintf("%.1f", 100*s.Light), wh(s.NetWh))
	}
	return t.String()
}

func tuneTable(u *answer.AimTune) string {
	t := plainTable([]string{"setting", "now", "chosen", "does not matter from", "to"})
	for i, s := range u.Chosen.Settings {
		low, high := "", ""
		for _, sweep := range u.Sweeps {
			if sweep.Name == s.Name {
				low, high = fmt.Sprintf("%.3g", sweep.Low), fmt.Sprintf("%.3g", sweep.High)
			}
		}
		t.Row(strings.TrimSpace(s.Name+" "+s.Unit), fmt.Sprintf("%.3g", u.Present.Settings[i].Value), fmt.Sprintf("%.3g", s.Value), low, high)
	}
	return t.String()
}
