package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"charm.land/lipgloss/v2"

	"turnsole/answer"
	"turnsole/rigfile"
)

type trialPlanCommand struct {
	rigFlags
	spotFlag
	Days      *int   `help:"How long it may last; the rig file's if not given." placeholder:"N"`
	Halfwidth string `help:"How well the gain is to be known, such as \"2%\" for 2 points up or down: says how many days that takes." placeholder:"P"`
	From      string `help:"First day that it may lie on, month-day; today if neither is given." placeholder:"MM-DD"`
	To        string `help:"Last day; 30 days later if neither is given." placeholder:"MM-DD"`
	Weather   string `help:"Weather-year file in place of the rig file's weather." placeholder:"FILE"`
	Draw      string `help:"Folder to write the picture of it into, as SVG; made where it is not there." placeholder:"DIR"`
	Seed      uint64 `default:"1" help:"Seed of all chance."`
}

type trialPlanJSON struct {
	Spot    string   `json:"spot" doc:"name of the spot, empty where the rig file has one without a name"`
	Weather string   `json:"weather" doc:"what the days are drawn from"`
	From    string   `json:"from" doc:"first day that the trial may lie on, month-day"`
	To      string   `json:"to"`
	Wanted  *float64 `json:"halfwidth" doc:"as asked, as a share; null where none was"`
	Gain    *float64 `json:"gain" doc:"mean of these days, as simulated"`
	Measure string   `json:"measure" doc:"light, power or current"`
	EveryS  float64  `json:"every_s" doc:"between brackets of looks, as the rig file has it"`
	SettleS float64  `json:"settle_s"`
	RecordS float64  `json:"record_s"`
	designJSON
	Alternatives []designJSON  `json:"alternatives" doc:"all designs, the recommended one among them"`
	Trials       int           `json:"trials" doc:"simulated for each"`
	Confidence   float64       `json:"confidence"`
	Verdict      string        `json:"verdict" doc:"in words"`
	Protocol     []string      `json:"protocol" doc:"what to do, step by step"`
	Cautions     []string      `json:"cautions"`
	Assumed      []assumedJSON `json:"assumed" doc:"every default that the answer rests on"`
	Seed         uint64        `json:"seed" doc:"seed of all chance"`
}

type designJSON struct {
	Name      string   `json:"name"`
	Method    string   `json:"method" doc:"by which trial result tells it"`
	Needs     string   `json:"needs" doc:"what it takes beyond the rig, empty for nothing"`
	Days      int      `json:"days"`
	GapS      float64  `json:"gap_s" doc:"from look to look"`
	Halfwidth *float64 `json:"expected_halfwidth" doc:"of the interval, the median, as a share of what the still panel gives"`
	Error     *float64 `json:"expected_error" doc:"root mean square"`
	Bias      *float64 `json:"bias"`
	Needed    *int     `json:"days_needed" doc:"for the half-width asked; null where none was, or where more would be needed than are tried"`
	CostWh    float64  `json:"cost_wh_per_day" doc:"what looking costs"`
	Degrees   float64  `json:"degrees_per_day" doc:"turned for looking alone"`
	Moves     float64  `json:"moves_per_day"`
}

func (c *trialPlanCommand) Run(d *desk) error {
	rig, err := c.read()
	if err == nil {
		err = isFolder(c.Draw)
	}
	if err != nil {
		return err
	}
	p, err := c.ask(d, rig)
	if err == nil {
		err = drawTrialPlan(c.Draw, p)
	}
	if err != nil {
		return err
	}
	return put(d, c.JSON, p, trialPlanWire, tellTrialPlan)
}

// ask is the plan that the flags ask for.
func (c *trialPlanCommand) ask(d *desk, rig *rigfile.Rig) (p *answer.TrialPlan, err error) {
	q := answer.TrialPlanQuestion{Rig: rig, Spot: c.Spot, Seed: c.Seed, Open: besideRig(c.File)}
	if n := c.Days; n != nil {
		if *n < 2 || *n > answer.MostTrialDays {
			return nil, &answer.BadInput{Err: fmt.Errorf("--days %d: a trial lasts 2 to %d days; three at least say something", *n, answer.MostTrialDays)}
		}
		q.Days = *n
	}
	if c.Halfwidth != "" {
		if q.Halfwidth, err = share("--halfwidth", c.Halfwidth, 0.0001, 0.99); err != nil {
			return nil, err
		}
	}
	if q.WeatherFile, err = fromHere(c.Weather); err != nil {
		return nil, err
	}
	if q.Window, err = c.window(d); err != nil {
		return nil, err
	}
	bar := newProgress(d.errOut)
	q.Progress = bar.tell
	p, err = answer.PlanTrial(d.ctx, q)
	bar.finish()
	if err == nil {
		err = d.ctx.Err()
	}
	return p, err
}

// window is what the flags say, or the thirty days that begin today.
func (c *trialPlanCommand) window(d *desk) (answer.Window, error) {
	if c.From != "" || c.To != "" {
		flags := worthFlags{From: c.From, To: c.To}
		return flags.window()
	}
	now := d.now()
	day := func(after int) answer.MonthDay {
		t := now.AddDate(0, 0, after)
		if t.Month() == time.February && t.Day() == 29 { // which weather years do not have
			t = t.AddDate(0, 0, -1)
		}
		return answer.MonthDay{Month: int(t.Month()), Day: t.Day()}
	}
	return answer.Window{From: day(0), To: day(30)}, nil
}

func trialPlanWire(p *answer.TrialPlan) trialPlanJSON {
	out := trialPlanJSON{Spot: p.Spot, Weather: p.Weather, From: monthDay(p.From), To: monthDay(p.To), Gain: known(p.Gain), Measure: p.Measure.String(),
		EveryS: p.EveryS, SettleS: p.SettleS, RecordS: p.RecordS, designJSON: designWire(p.Best()), Alternatives: []designJSON{}, Trials: p.Trials, Confidence: p.Confidence,
		Verdict: p.Verdict, Protocol: orEmpty(p.Protocol), Cautions: orEmpty(p.Cautions), Assumed: assumedWire(p.Assumed), Seed: p.Seed}
	if p.Halfwidth > 0 {
		out.Wanted = &p.Halfwidth
	}
	for i := range p.Designs {
		out.Alternatives = append(out.Alternatives, designWire(&p.Designs[i]))
	}
	return out
}

func designWire(d *answer.TrialDesign) designJSON {
	out := designJSON{Name: d.Name, Method: d.Method, Needs: d.Needs, Days: d.Days, GapS: d.GapS, Halfwidth: known(d.Halfwidth), Error: known(d.Error), Bias: known(d.Bias),
		CostWh: d.CostWhPerDay, Degrees: d.DegreesPerDay, Moves: d.MovesPerDay}
	if d.DaysNeeded > 0 {
		out.Needed = &d.DaysNeeded
	}
	return out
}

// tellTrialPlan writes the answer for reading.
func tellTrialPlan(w io.Writer, p *answer.TrialPlan) {
	flow(w, "", fmt.Sprintf("%s, %s to %s: %s.", title(p.Rig, p.Spot), answer.DayText(p.From), answer.DayText(p.To), p.Weather))
	fmt.Fprintln(w)
	say(w, "", lipgloss.NewStyle().Bold(true).Render(p.Verdict))
	fmt.Fprintln(w)
	for _, text := range p.Cautions {
		flow(w, "! ", text)
	}
	fmt.Fprintf(w, "\n%s\n", designsTable(p))
	say(w, "  ", fmt.Sprintf("* recommended. %d trials of each under this spot's weather, where turning brings %s on average; the range holds the truth in %.4g cases of a hundred.", p.Trials, answer.Signed(100*p.Gain, 1)+" %", 100*p.Confidence))
	fmt.Fprintln(w)
	for i, step := range p.Protocol {
		var lines strings.Builder
		flow(&lines, "   ", step)
		fmt.Fprintf(w, "%d. %s", i+1, lines.String()[3:])
	}
	tellAssumedKeys(w, p.Assumed)
}

func designsTable(p *answer.TrialPlan) string {
	head := [][]string{{"way of measuring", "within,", "error,", "looking,", "turned,", "moves"}, {fmt.Sprintf("%d days", p.Days), "points", "points", "Wh a day", "° a day", "a day"}}
	if p.Halfwidth > 0 {
		head[0] = append(head[0], "days for")
		head[1] = append(head[1], fmt.Sprintf("%.3g points", 100*p.Halfwidth))
	}
	t := plainTable(head...)
	for i := range p.Designs {
		d := &p.Designs[i]
		name := d.Name
		if i == p.Chosen {
			name += " *"
		}
		if d.Needs != "" {
			name += " (it takes " + d.Needs + ")"
		}
		row := []string{broken(name, nameWide), unsigned(d.Halfwidth), unsigned(d.Error), wh(d.CostWhPerDay), fmt.Sprintf("%.0f", d.DegreesPerDay), fmt.Sprintf("%.0f", d.MovesPerDay)}
		if p.Halfwidth > 0 {
			row = append(row, neededText(d.DaysNeeded))
		}
		t.Row(row...)
	}
	return t.String()
}

// nameWide leaves room for the figures beside a name.
const nameWide = 33

// broken breaks a cell's text into lines so wide.
func broken(text string, wide int) string {
	return lipgloss.NewStyle().Width(wide).Render(text)
}

func unsigned(x float64) string {
	if math.IsNaN(x) {
		return "–"
	}
	return fmt.Sprintf("%.1f", 100*x)
}

func neededText(days int) string {
	if days < 0 {
		return fmt.Sprintf("over %d", answer.MostTrialDays)
	}
	return fmt.Sprint(days)
}
