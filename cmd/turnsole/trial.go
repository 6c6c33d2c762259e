package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"charm.land/lipgloss/v2"

	"turnsole/answer"
	"turnsole/rigfile"
)

// trialCommand measures what turning brings.
type trialCommand struct {
	Plan   trialPlanCommand   `cmd:"" help:"Say how to look, how long, what that costs and how well the gain will be known."`
	Result trialResultCommand `cmd:"" help:"Say what a log of looks gained: on these days, at this season, in a year."`
}

type trialResultCommand struct {
	rigFlags
	spotFlag
	Log        string `arg:"" help:"Plain log; turnsole import makes one of any other."`
	Setup      string `help:"The set-up that counts; the one with most looks if not given." placeholder:"NAME"`
	Measure    string `help:"Compare by light, power or current; the best that the log has if not given." placeholder:"NAME"`
	Method     string `help:"looks, looks-alone, blocks, beside or back; the best that the log bears if not given." placeholder:"NAME"`
	Confidence string `default:"95%" help:"Of the intervals." placeholder:"P"`
	Replicates int    `default:"10000" help:"Times that days are drawn anew for the season." placeholder:"N"`
	Weather    string `help:"Weather-year file in place of the rig file's weather." placeholder:"FILE"`
	Draw       string `help:"Folder to write pictures of it into, as SVG; made where it is not there." placeholder:"DIR"`
	Seed       uint64 `default:"1" help:"Seed of all chance."`
}

type trialResultJSON struct {
	Spot       string          `json:"spot" doc:"name of the spot, empty where the rig file has one without a name"`
	Log        string          `json:"log"`
	Gain       *float64        `json:"gain" doc:"of these days: aimed over still less 1, by the measure; null where no number can be trusted"`
	GainLow    *float64        `json:"gain_low" doc:"what lies between the looks, the sensor and the headings are in it, the luck of the weather is not"`
	GainHigh   *float64        `json:"gain_high"`
	Confidence float64         `json:"confidence" doc:"of all intervals"`
	Why        string          `json:"why" doc:"why there is no number, empty where there is one"`
	OneDay     *intervalJSON   `json:"one_day" doc:"the figure of a single day, beyond which it says nothing; null where there are more"`
	Setup      string          `json:"setup" doc:"that counts"`
	Setups     []string        `json:"setups" doc:"all of the log"`
	Measure    string          `json:"measure" doc:"light, power or current"`
	Method     string          `json:"method"`
	Days       int             `json:"days"`
	Stops      int             `json:"stops" doc:"brackets of looks"`
	Pairs      int             `json:"pairs" doc:"of looks"`
	Looks      int             `json:"looks"`
	Hours      float64         `json:"hours" doc:"of light that they stand for"`
	These      *intervalJSON   `json:"these_days" doc:"gain, gain_low and gain_high once more"`
	Light      *intervalJSON   `json:"light" doc:"of these days, in light that entered the panel"`
	Energy     *intervalJSON   `json:"energy" doc:"of these days, in what the panel could give"`
	Used       *float64        `json:"used" doc:"of these days with the charge controller's limits, at the looks; null where it took all"`
	Season     *intervalJSON   `json:"season" doc:"what such days bring on average, their luck in the range; null under five days"`
	Year       trialYearJSON   `json:"year"`
	Modelled   *float64        `json:"modelled" doc:"what the sky model makes of the same days' aimed light; null where it cannot be told"`
	Parts      trialPartsJSON  `json:"parts"`
	Excluded   []excludedJSON  `json:"excluded" doc:"what had no part, and why"`
	Daily      []trialDayJSON  `json:"daily"`
	ByHour     []trialHourJSON `json:"by_hour" doc:"of the spot's own sun, which is highest at 12; hours with light only"`
	Sentences  []string        `json:"sentences" doc:"the answers in words: these days, the season, the year"`
	Promise    string          `json:"promise" doc:"what was promised without the trial, in words"`
	Warnings   []string        `json:"warnings" doc:"what makes the figures doubtful, the loudest first"`
	Notes      []string        `json:"notes"`
	Weather    string          `json:"weather" doc:"what the year is"`
	Assumed    []assumedJSON   `json:"assumed" doc:"every default that the answer rests on"`
	Seed       uint64          `json:"seed" doc:"seed of all chance"`
}

type intervalJSON struct {
	Gain *float64 `json:"gain"`
	Low  *float64 `json:"low" doc:"null where it cannot be told"`
	High *float64 `json:"high"`
}

type trialYearJSON struct {
	intervalJSON
	Way      string   `json:"way" doc:"of worth's, whose promise it corrects"`
	Promised *float64 `json:"promised" doc:"gain_panel without the trial"`
	Taken    float64  `json:"taken" doc:"how far the trial's word is taken against the model's, 0 to 1"`
	Measured float64  `json:"measured" doc:"share of the interval's variance that is the trial's"`
	Modelled float64  `json:"modelled" doc:"share that is the model's"`
	Weather  float64  `json:"weather" doc:"share that is the weather's, from year to year"`
	Why      string   `json:"why" doc:"why nothing can be said, empty where it can"`
}

type trialPartsJSON struct {
	Sampling float64 `json:"sampling" doc:"share of the variance that lies between the looks"`
	Headings float64 `json:"headings" doc:"share from headings told wrong"`
	Missing  float64 `json:"missing" doc:"share from hours left out"`
}

type excludedJSON struct {
	Why   string `json:"why"`
	Count int    `json:"count"`
}

type trialDayJSON struct {
	Date       string   `json:"date" doc:"year-month-day"`
	Gain       *float64 `json:"gain"`
	GainLow    *float64 `json:"gain_low"`
	GainHigh   *float64 `json:"gain_high"`
	Clearness  *float64 `json:"clearness" doc:"light on the aimed panel over a clear sky's"`
	AimedWhM2  float64  `json:"aimed_wh_m2" doc:"light that entered the aimed panel"`
	Stops      int      `json:"stops" doc:"brackets of looks"`
	Running    *float64 `json:"running" doc:"the estimate with this day and all before it"`
	RunningLow *float64 `json:"running_low"`
	RunningHi  *float64 `json:"running_high"`
}

type trialHourJSON struct {
	Hour     int     `json:"hour"`
	AimedWm2 float64 `json:"aimed_w_m2"`
	StillWm2 float64 `json:"still_w_m2"`
	Hours    float64 `json:"hours" doc:"that they are means of"`
}

func (c *trialResultCommand) Run(d *desk) error {
	rig, err := c.read()
	if err == nil {
		err = isFolder(c.Draw)
	}
	if err != nil {
		return err
	}
	a, err := c.ask(d, rig)
	if err == nil {
		err = drawTrialResult(c.Draw, a)
	}
	if err == nil {
		err = put(d, c.JSON, a, trialResultWire, tellTrialResult)
	}
	if err == nil && !a.Sure() {
		return errFound
	}
	return err
}

// ask is the result that the flags ask for.
func (c *trialResultCommand) ask(d *desk, rig *rigfile.Rig) (a *answer.TrialResult, err error) {
	q := answer.TrialQuestion{Rig: rig, RigPath: c.File, Spot: c.Spot, Log: c.Log, Setup: c.Setup, Measure: c.Measure, Method: c.Method,
		Replicates: c.Replicates, Seed: c.Seed, Open: besideRig(c.File), OpenLog: func(path string) (io.ReadCloser, error) { return openInput(path) }}
	if c.Replicates < 100 || c.Replicates > 1e6 {
		return nil, &answer.BadInput{Err: fmt.Errorf("--replicates %d: give 100 to 1000000", c.Replicates)}
	}
	if q.Confidence, err = share("--confidence", c.Confidence, 0.5, 0.9999); err != nil {
		return nil, err
	}
	if q.WeatherFile, err = fromHere(c.Weather); err != nil {
		return nil, err
	}
	bar := newProgress(d.errOut)
	q.Progress = bar.tell
	a, err = answer.RunTrial(d.ctx, q)
	bar.finish()
	if err == nil {
		err = d.ctx.Err()
	}
	return a, err
}

// share reads per cent, such as "2%" or "95 %".
func share(flag, text string, least, most float64) (float64, error) {
	number, found := strings.CutSuffix(strings.TrimSpace(text), "%")
	v, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if v /= 100; err != nil || !found || !(v >= least && v <= most) {
		return 0, &answer.BadInput{Err: fmt.Errorf("%s %q: give per cent with its sign, from %g%% to %g%%", flag, text, 100*least, 100*most)}
	}
	return v, nil
}

func intervalWire(i answer.TrialInterval) *intervalJSON {
	if known(i.Value) == nil {
		return nil
	}
	return &intervalJSON{known(i.Value), known(i.Low), known(i.High)}
}

func trialResultWire(a *answer.TrialResult) trialResultJSON {
	out := trialResultJSON{Spot: a.Spot, Log: a.Log, Confidence: a.Confidence, Why: a.Why, Setup: a.Setup, Setups: orEmpty(a.Setups),
		Measure: a.Measure.String(), Method: a.Method, Days: a.Days, Stops: a.Stops, Pairs: a.Pairs, Looks: a.Looks, Hours: a.Hours,
		Used: known(a.Used), Modelled: known(a.Modelled), Parts: trialPartsJSON(a.Parts), Excluded: []excludedJSON{}, Daily: []trialDayJSON{}, ByHour: []trialHourJSON{},
		Year:      trialYearJSON{intervalJSON{known(a.Year.Value), known(a.Year.Low), known(a.Year.High)}, a.YearWay, known(a.Year.Promised), a.Year.Taken, a.Year.Measured, a.Year.Modelled, a.Year.Weather, a.YearWhy},
		Sentences: a.Sentences, Promise: a.PromiseWords, Warnings: orEmpty(a.Cautions), Notes: orEmpty(a.Notes), Weather: a.Weather, Assumed: assumedWire(a.Assumed), Seed: a.Seed}
	if a.OneDay {
		out.OneDay, out.Why = intervalWire(a.TheseDays), "one day only: nothing can be trusted beyond it"
	} else {
		out.These, out.Light, out.Energy, out.Season = intervalWire(a.TheseDays), intervalWire(a.Light), intervalWire(a.Energy), intervalWire(a.Season)
		out.Gain, out.GainLow, out.GainHigh = known(a.TheseDays.Value), known(a.TheseDays.Low), known(a.TheseDays.High)
	}
	for _, l := range a.Left {
		out.Excluded = append(out.Excluded, excludedJSON(l))
	}
	for i := range a.Daily {
		d := &a.Daily[i]
		out.Daily = append(out.Daily, trialDayJSON{a.Date(d.Day).Format("2006-01-02"), known(d.Gain.Value), known(d.Gain.Low), known(d.Gain.High), known(d.Clearness), d.AimedWhM2, d.Stops,
			known(d.Running.Value), known(d.Running.Low), known(d.Running.High)})
	}
	for hour, h := range a.ByHour {
		if h.Hours > 0 {
			out.ByHour = append(out.ByHour, trialHourJSON{hour, h.AimedWm2, h.StillWm2, h.Hours})
		}
	}
	return out
}

// tellTrialResult writes the answer for reading.
func tellTrialResult(w io.Writer, a *answer.TrialResult) {
	of := []string{title(a.Rig, a.Spot) + ": " + a.Log}
	if a.Setup != "" {
		of = append(of, "set-up "+a.Setup)
	}
	if a.Method != "" {
		of = append(of, a.Method, "by "+a.Measure.String())
	}
	flow(w, "", strings.Join(of, ", ")+".")
	fmt.Fprintln(w)
	say(w, "", lipgloss.NewStyle().Bold(true).Render(a.Sentences[0]))
	for _, s := range a.Sentences[1:] {
		fmt.Fprintln(w)
		say(w, "", s)
	}
	if a.PromiseWords != "" {
		say(w, "  ", a.PromiseWords)
	}
	fmt.Fprintln(w)
	for _, text := range a.Cautions {
		flow(w, "! ", text)
	}
	for _, text := range a.Notes {
		flow(w, "  ", text)
	}
	if len(a.Daily) > 0 {
		fmt.Fprintf(w, "\n%s\n", trialDaysTable(a))
		flow(w, "  ", kinds(a))
	}
	fmt.Fprintln(w)
	if len(a.Left) == 0 && a.Why == "" {
		say(w, "", "Nothing was left out.")
	}
	for _, l := range a.Left {
		say(w, "", fmt.Sprintf("Left out: %s (%d).", l.Why, l.Count))
	}
	if a.Why == "" {
		tellAssumedKeys(w, a.Assumed)
	}
}

// kinds tells the gain of these days in each of its kinds.
func kinds(a *answer.TrialResult) string {
	if a.OneDay {
		return ""
	}
	said := "In light " + gainText(a.Light) + "; in what the panel could give " + gainText(a.Energy) + "."
	if known(a.Used) != nil {
		said += fmt.Sprintf(" With the charge controller's limits, at the looks, %s: what could not be taken is in that.", answer.Signed(100*a.Used, 1)+" %")
	}
	return said
}

func gainText(i answer.TrialInterval) string {
	if known(i.Value) == nil {
		return "it cannot be told"
	}
	return answer.Signed(100*i.Value, 1) + " %"
}

func trialDaysTable(a *answer.TrialResult) string {
	t := plainTable([]string{"day", "gain", "from", "to", "clearness", "light,", "looks", "so far", "from", "to"},
		[]string{"", "%", "", "", "%", "Wh/m2", "", "%", "", ""})
	for i := range a.Daily {
		d := &a.Daily[i]
		t.Row(a.Date(d.Day).Format("2 Jan 2006"), tenths(d.Gain.Value), tenths(d.Gain.Low), tenths(d.Gain.High), shareText(d.Clearness),
			fmt.Sprintf("%.0f", d.AimedWhM2), fmt.Sprint(d.Stops), tenths(d.Running.Value), tenths(d.Running.Low), tenths(d.Running.High))
	}
	return t.String()
}

func tenths(x float64) string {
	if known(x) == nil {
		return "–"
	}
	return answer.Signed(100*x, 1)
}

func shareText(x float64) string {
	if known(x) == nil {
		return "–"
	}
	return fmt.Sprintf("%.0f", 100*x)
}
