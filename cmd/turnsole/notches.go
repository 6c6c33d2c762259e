package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"charm.land/lipgloss/v2"

	"turnsole/answer"
)

type notchesCommand struct {
	rigFlags
	spotFlag
	Count   *int   `help:"How many notches, 1 to 12; as many as the rig file says if not given." placeholder:"K"`
	Weather string `help:"Weather-year file in place of the rig file's weather." placeholder:"FILE"`
	Seed    uint64 `default:"1" help:"Seed of all chance."`
}

type notchesJSON struct {
	Spot    string `json:"spot" doc:"name of the spot, empty where the rig file has one without a name"`
	Count   int    `json:"count" doc:"notches asked for"`
	Way     string `json:"way" doc:"notches: the panel stands still; the same for a turning one is in turning"`
	Weather string `json:"weather" doc:"what the year is"`
	notchPlanJSON
	Turning  notchPlanJSON `json:"turning" doc:"the same for a panel that turns with the sun"`
	Verdict  string        `json:"verdict" doc:"in words"`
	Findings []string      `json:"findings" doc:"what stands behind it, a sentence each"`
	Warnings []string      `json:"warnings" doc:"what in the weather makes the figures doubtful"`
	Assumed  []assumedJSON `json:"assumed" doc:"every default that the answer rests on"`
	Seed     uint64        `json:"seed" doc:"seed of all chance"`
}

type notchPlanJSON struct {
	notchYearJSON
	AsGood  int            `json:"as_good_as_six" doc:"least number of notches that bring all but half a per cent of what six do"`
	Counts  []notchCount   `json:"counts" doc:"the same with one notch, two, three …"`
	Cuts    []cutJSON      `json:"cuts" doc:"where to cut for these tilts, whole millimetres; empty where the stand has no measures or they do not fit"`
	CutWhy  string         `json:"cuts_why" doc:"why there are none"`
	RailMM  *float64       `json:"rail_mm" doc:"length of rail that the cuts need"`
	CutYear *notchYearJSON `json:"cut_year" doc:"the year with the tilts that the whole millimetres give"`
	AsBuilt *notchYearJSON `json:"as_built" doc:"the year with the settings that the stand has now"`
}

type notchYearJSON struct {
	Notches     []notchJSON `json:"notches" doc:"flattest first"`
	Calendar    []swapJSON  `json:"calendar" doc:"which notch from which day to which, round the year"`
	LightKWhM2  float64     `json:"light_kwh_m2" doc:"irradiation of the panel's plane in the year"`
	PanelWh     float64     `json:"panel_wh" doc:"at the panel's terminals: what is made as large as can be"`
	OfDailyBest float64     `json:"of_daily_best" doc:"of the energy that a tilt set anew every day would bring"`
}

type notchJSON struct {
	TiltDeg float64 `json:"tilt_deg"`
}

type swapJSON struct {
	From  string `json:"from" doc:"first day, month-day"`
	To    string `json:"to" doc:"last day; before from where it runs across New Year"`
	Notch int    `json:"notch" doc:"number of the notch, from 1"`
}

type notchCount struct {
	Count       int     `json:"count"`
	PanelWh     float64 `json:"panel_wh"`
	OfDailyBest float64 `json:"of_daily_best"`
}

type cutJSON struct {
	WantedDeg float64  `json:"wanted_deg"`
	TiltDeg   float64  `json:"tilt_deg" doc:"what the cut gives"`
	Front     *int     `json:"front" doc:"which front stop goes with it"`
	NotchMM   *float64 `json:"notch_mm" doc:"front edge of the notch's mouth, from the rails' front end"`
	PropMM    *float64 `json:"prop_mm" doc:"length of the prop"`
	ErrorDeg  float64  `json:"error_2mm_deg" doc:"change of tilt by the one cut or mark that is 2 mm off and matters most"`
}

func (c *notchesCommand) Run(d *desk) error {
	rig, err := c.read()
	if err != nil {
		return err
	}
	q := answer.NotchesQuestion{Rig: rig, Spot: c.Spot, Seed: c.Seed, Open: besideRig(c.File)}
	if q.Count, err = counting(c.Count); err != nil {
		return err
	}
	if q.WeatherFile, err = fromHere(c.Weather); err != nil {
		return err
	}
	bar := newProgress(d.errOut)
	q.Progress = bar.tell
	n, err := answer.FindNotches(d.ctx, q)
	bar.finish()
	if err == nil {
		err = d.ctx.Err()
	}
	if err != nil {
		return err
	}
	return put(d, c.JSON, n, notchesWire, tellNotches)
}

// counting is a number of notches that is asked for; 0 leaves it to the rig file.
func counting(n *int) (int, error) {
	switch {
	case n == nil:
		return 0, nil
	case *n == 0:
		return 0, &answer.BadInput{Err: errors.New("--count 0: a stand has 1 to 12 notches")}
	}
	return *n, nil
}

func notchesWire(n *answer.Notches) notchesJSON {
	return notchesJSON{Spot: n.Spot, Count: n.Count, Way: "notches", Weather: n.Weather, notchPlanJSON: notchPlanWire(&n.Still), Turning: notchPlanWire(&n.Turning),
		Verdict: n.Verdict, Findings: orEmpty(n.Findings), Warnings: orEmpty(n.Warnings), Assumed: assumedWire(n.Assumed), Seed: n.Seed}
}

func notchPlanWire(p *answer.NotchPlan) notchPlanJSON {
	out := notchPlanJSON{notchYearJSON: notchYearWire(&p.Best), AsGood: p.AsGood, Cuts: []cutJSON{}, CutWhy: p.CutWhy}
	for i, y := range p.Counts {
		out.Counts = append(out.Counts, notchCount{i + 1, y.PanelWh, y.OfDailyBest})
	}
	out.Cuts = cutsWire(p.Cut)
	if p.Cut != nil {
		if p.Cut.RailM > 0 {
			out.RailMM = known(p.Cut.RailM * 1000)
		}
		year := notchYearWire(&p.CutYear)
		out.CutYear = &year
	}
	if len(p.AsBuilt.Tilts) > 0 {
		year := notchYearWire(&p.AsBuilt)
		out.AsBuilt = &year
	}
	return out
}

func cutsWire(plan *answer.CutPlan) []cutJSON {
	out := []cutJSON{}
	if plan == nil {
		return out
	}
	for _, c := range plan.Cuts {
		one := cutJSON{WantedDeg: c.Wanted.Degrees(), TiltDeg: c.Tilt.Degrees(), Front: counted(c.Front), ErrorDeg: c.Error.Degrees()}
		if c.PropM > 0 {
			one.PropMM = known(math.Round(c.PropM * 1000))
		} else {
			one.NotchMM = known(math.Round(c.NotchM * 1000))
		}
		out = append(out, one)
	}
	return out
}

func notchYearWire(y *answer.NotchYear) notchYearJSON {
	out := notchYearJSON{Notches: []notchJSON{}, Calendar: []swapJSON{}, LightKWhM2: y.LightKWhM2, PanelWh: y.PanelWh, OfDailyBest: y.OfDailyBest}
	for _, t := range y.Tilts {
		out.Notches = append(out.Notches, notchJSON{t.Degrees()})
	}
	for _, s := range y.Swaps {
		out.Calendar = append(out.Calendar, swapJSON{monthDay(s.From), monthDay(s.To), s.Notch})
	}
	return out
}

func tellNotches(w io.Writer, n *answer.Notches) {
	say(w, "", title(n.Rig, n.Spot)+": "+n.Weather+".")
	fmt.Fprintln(w)
	say(w, "", lipgloss.NewStyle().Bold(true).Render(n.Verdict))
	fmt.Fprintln(w)
	for _, warning := range n.Warnings {
		say(w, "! ", warning)
	}
	for _, f := range n.Findings {
		say(w, "  ", f)
	}
	fmt.Fprintf(w, "\n%s\n\n%s\n", countsTable(n), calendarTable(n))
	if cuts := cutsTable(cutRow{"still", n.Still.Cut}, cutRow{"turning", n.Turning.Cut}); cuts != "" {
		fmt.Fprintf(w, "\n%s\n", cuts)
	}
	tellNotes(w, n.Notes)
	tellAssumedKeys(w, n.Assumed)
}

func countsTable(n *answer.Notches) string {
	t := plainTable([]string{"notches", "still", "of the", "turning", "of the"}, []string{"", "kWh a year", "daily best", "kWh a year", "daily best"})
	for i := range n.Still.Counts {
		a, b := n.Still.Counts[i], n.Turning.Counts[i]
		t.Row(fmt.Sprint(i+1), fmt.Sprintf("%.2f", a.PanelWh/1000), fmt.Sprintf("%.2f %%", a.OfDailyBest*100), fmt.Sprintf("%.2f", b.PanelWh/1000), fmt.Sprintf("%.2f %%", b.OfDailyBest*100))
	}
	return t.String()
}

// calendarTable draws the year as bars, a letter for each week.
func calendarTable(n *answer.Notches) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%-9s%s\n", "", monthRuler())
	for _, p := range []struct {
		name string
		year *answer.NotchYear
	}{{"still", &n.Still.Best}, {"turning", &n.Turning.Best}} {
		fmt.Fprintf(&b, "%-9s%s  ", p.name, yearBar(p.year))
		var names []string
		for i, t := range p.year.Tilts {
			names = append(names, fmt.Sprintf("%c %.0f°", notchLetters[i], t.Degrees()))
		}
		fmt.Fprintln(&b, strings.Join(names, " "))
	}
	for _, p := range []struct {
		name string
		year *answer.NotchYear
	}{{"still", &n.Still.Best}, {"turning", &n.Turning.Best}} {
		var swaps []string
		for _, s := range p.year.Swaps {
			swaps = append(swaps, fmt.Sprintf("%.0f° from %s", p.year.Tilts[s.Notch-1].Degrees(), answer.DayText(s.From)))
		}
		if len(swaps) > 1 {
			fmt.Fprintf(&b, "%-9s%s\n", p.name, strings.Join(swaps, ", "))
		}
	}
	return strings.TrimRight(b.String(), "\n")
}

const notchLetters = "abcdefghijkl"

// weeks is how many letters a year is drawn with.
const weeks = 48

func monthRuler() string {
	var b strings.Builder
	for _, m := range "JFMAMJJASOND" {
		fmt.Fprintf(&b, "%c%s", m, strings.Repeat(" ", weeks/12-1))
	}
	return b.String()
}

// yearBar writes the notch of each quarter of a month.
func yearBar(y *answer.NotchYear) string {
	bar := make([]byte, weeks)
	for i := range bar {
		bar[i] = '?'
		for _, s := range y.Swaps {
			if s.Holds(answer.MonthDay{Month: i/4 + 1, Day: i%4*8 + 1}) {
				bar[i] = notchLetters[s.Notch-1]
			}
		}
	}
	return string(bar)
}

// cutRow is a plan to cut, with what it is for.
type cutRow struct {
	name string
	plan *answer.CutPlan
}

func cutsTable(plans ...cutRow) string {
	t := plainTable([]string{"to cut", "wanted, °", "stop", "at, mm", "gives, °", "2 mm off, °"})
	rows := 0
	for _, p := range plans {
		if p.plan == nil {
			continue
		}
		for _, c := range p.plan.Cuts {
			stop := ""
			if c.Front > 0 {
				stop = fmt.Sprint(c.Front)
			}
			t.Row(p.name, fmt.Sprintf("%.1f", c.Wanted.Degrees()), stop, fmt.Sprintf("%.0f", 1000*math.Max(c.NotchM, c.PropM)), fmt.Sprintf("%.2f", c.Tilt.Degrees()), fmt.Sprintf("%.2f", c.Error.Degrees()))
			rows++
		}
	}
	if rows == 0 {
		return ""
	}
	return t.String()
}
