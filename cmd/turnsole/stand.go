package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"charm.land/lipgloss/v2"

	"turnsole/answer"
	"turnsole/rigfile"
)

// spotFlag chooses among the spots of a rig file.
type spotFlag struct {
	Spot string `help:"The spot of this name; the first if not given." placeholder:"NAME"`
}

type standCommand struct {
	rigFlags
	spotFlag
	Cut []float64 `help:"Say where to cut for these tilts, degrees by commas." placeholder:"A,B"`
}

type standJSON struct {
	Spot      string        `json:"spot" doc:"name of the spot, empty where the rig file has one without a name"`
	TiltDeg   float64       `json:"tilt_deg" doc:"the rig's own tilt"`
	Settings  []settingJSON `json:"settings" doc:"every tilt that the stand can be set to, and those that it can't"`
	Wind      windJSON      `json:"wind" doc:"the winds at which something gives way, at the setting nearest to the rig's own tilt"`
	First     *string       `json:"first" doc:"what gives way first; null where no wind does anything"`
	Wanted    float64       `json:"wanted_forecast_m_s" doc:"mean wind of a forecast in which it should stand"`
	BallastKg *float64      `json:"ballast_kg" doc:"more ballast than now, so that it neither tips nor slides in that, with the usual margins; null where none would do"`
	PegN      *float64      `json:"peg_n" doc:"or what each of the pegs, one at each foot, must hold"`
	GustMS    float64       `json:"loads_gust_m_s" doc:"gust for which loads[] stand; they grow with its square"`
	Loads     []loadJSON    `json:"loads" doc:"what that gust does, by the side from which it comes"`
	Cuts      []cutJSON     `json:"cuts" doc:"where to cut for the tilts of --cut, whole millimetres"`
	Verdict   string        `json:"verdict" doc:"in words"`
	Findings  []string      `json:"findings" doc:"what stands behind it, a sentence each"`
	Cautions  []string      `json:"cautions" doc:"to be read with the figures"`
	Assumed   []assumedJSON `json:"assumed" doc:"every default that the answer rests on"`
}

type settingJSON struct {
	Front    *int       `json:"front" doc:"number of the front stop, from 1; null for a stand without"`
	Back     *int       `json:"back" doc:"number of the notch, of the prop's length or of the listed tilt, from 1"`
	FrontMM  *float64   `json:"front_mm" doc:"the stop, from the rails' front end"`
	BackMM   *float64   `json:"back_mm" doc:"front edge of the notch's mouth, from the rails' front end"`
	PropMM   *float64   `json:"prop_mm" doc:"length of the prop"`
	TiltDeg  *float64   `json:"tilt_deg" doc:"what counts for the light; null where the setting is not possible"`
	LowerDeg *float64   `json:"lower_deg" doc:"of a folding panel's lower half"`
	UpperDeg *float64   `json:"upper_deg" doc:"of its upper half"`
	Possible bool       `json:"possible"`
	Why      string     `json:"why" doc:"why it is not possible, and what would be"`
	Past     bool       `json:"past_upright" doc:"the leg leans so that its foot can leave the notch"`
	Slides   bool       `json:"slides_without_notch" doc:"the foot would slide, were there no notch"`
	ErrorDeg *float64   `json:"error_2mm_deg" doc:"change of tilt by the one cut or mark that is 2 mm off and matters most"`
	ErrorOf  string     `json:"error_of" doc:"which that is"`
	Wind     *windJSON  `json:"wind" doc:"as above, at this setting; null where it is not possible"`
	Loads    []loadJSON `json:"loads" doc:"as above, at this setting; empty where it is not possible"`
}

type windJSON struct {
	Tips     limitJSON `json:"tips" doc:"over the line between two feet"`
	Slides   limitJSON `json:"slides" doc:"on its feet"`
	LiftsOff limitJSON `json:"lifts_off" doc:"the panel's front edge off its rest"`
	LegsFold limitJSON `json:"legs_fold" doc:"a foot out of its notch"`
	Turns    limitJSON `json:"turns" doc:"the panel against what holds it between moves"`
}

type limitJSON struct {
	GustMS     *float64 `json:"gust_m_s" doc:"gust at the panel; null where no wind does it"`
	ForecastMS *float64 `json:"forecast_m_s" doc:"mean wind of a forecast (10 m above open country) that brings such gusts"`
	Beaufort   string   `json:"beaufort" doc:"that mean wind's force and name"`
	FromDeg    *float64 `json:"from_deg" doc:"where it comes from: 0 onto the panel's face, 180 onto its back"`
	How        string   `json:"how" doc:"what happens, or why it can't"`
}

type loadJSON struct {
	FromDeg float64 `json:"from_deg" doc:"0 onto the panel's face, 180 onto its back"`
	NormalN float64 `json:"normal_n" doc:"square to the panel, positive onto its face"`
	DragN   float64 `json:"drag_n" doc:"level part, away from the heading"`
	UpliftN float64 `json:"uplift_n" doc:"upright part, up"`
	TurnNm  float64 `json:"turn_nm" doc:"about the vertical axis"`
	TipNm   float64 `json:"tip_nm" doc:"over the line between two feet, of the wind alone"`
}

func (c *standCommand) Run(d *desk) error {
	rig, err := c.read()
	if err != nil {
		return err
	}
	s, err := answer.LookAtStand(rig, c.Spot)
	if err != nil {
		return err
	}
	if len(c.Cut) > 0 {
		if err := s.CutFor(c.Cut); err != nil {
			return err
		}
	}
	return put(d, c.JSON, s, standWire, tellStand)
}

// known is a figure, or null where there is none.
func known(x float64) *float64 {
	if math.IsInf(x, 0) || math.IsNaN(x) {
		return nil
	}
	return &x
}

func limitWire(l answer.Limit) limitJSON {
	out := limitJSON{GustMS: known(l.GustMS), ForecastMS: known(l.ForecastMS), Beaufort: answer.Beaufort(l), How: l.How}
	if out.GustMS != nil {
		out.FromDeg = known(l.From.Degrees())
	}
	return out
}

func windWire(l answer.WindLimits) windJSON {
	return windJSON{limitWire(l.Tips), limitWire(l.Slides), limitWire(l.LiftsOff), limitWire(l.LegsFold), limitWire(l.Turns)}
}

func standWire(s *answer.Stand) standJSON {
	out := standJSON{Spot: s.Spot, TiltDeg: s.Own.Degrees(), Settings: []settingJSON{}, Wind: windWire(s.Wind),
		Wanted: s.WantedMS, BallastKg: known(s.BallastKg), PegN: known(s.PegN), GustMS: s.GustMS,
		Verdict: s.Verdict, Findings: orEmpty(s.Findings), Cautions: orEmpty(s.Cautions), Assumed: assumedWire(s.Assumed)}
	if known(s.Headline.GustMS) != nil {
		out.First = &s.Headline.Name
	}
	for _, one := range s.Settings {
		out.Settings = append(out.Settings, settingWire(one))
	}
	out.Loads = loadsWire(s.Loads)
	out.Cuts = cutsWire(s.Cut)
	return out
}

func loadsWire(loads []answer.WindLoad) []loadJSON {
	out := []loadJSON{}
	for _, l := range loads {
		out = append(out, loadJSON{l.From.Degrees(), l.NormalN, l.DragN, l.UpliftN, l.TurnNm, l.TipNm})
	}
	return out
}

func settingWire(s answer.StandSetting) settingJSON {
	out := settingJSON{Front: counted(s.Front), Back: counted(s.Back), Possible: s.Possible, Why: s.Why, Past: s.PastUpright, Slides: s.Slides, ErrorOf: s.ErrorOf, Loads: loadsWire(s.Loads)}
	mm := func(m float64) *float64 { return known(m * 1000) }
	if s.Front > 0 {
		out.FrontMM = mm(s.FrontM)
	}
	switch {
	case s.PropM > 0:
		out.PropMM = mm(s.PropM)
	case s.Front > 0 && s.Back > 0:
		out.BackMM = mm(s.BackM)
	}
	if s.Possible {
		out.TiltDeg, out.LowerDeg, out.UpperDeg = known(s.Tilt.Degrees()), known(s.Lower.Degrees()), known(s.Upper.Degrees())
		out.ErrorDeg = known(s.Error.Degrees())
		wind := windWire(s.Wind)
		out.Wind = &wind
	}
	return out
}

func counted(n int) *int {
	if n == 0 {
		return nil
	}
	return &n
}

func assumedWire(all []rigfile.Assumed) []assumedJSON {
	out := []assumedJSON{}
	for _, a := range all {
		out = append(out, assumedJSON{a.Key, a.Value, a.Why})
	}
	return out
}

// tellStand writes the answer for reading.
func tellStand(w io.Writer, s *answer.Stand) {
	bold := lipgloss.NewStyle().Bold(true)
	say(w, "", title(s.Rig, s.Spot)+".")
	fmt.Fprintln(w)
	say(w, "", bold.Render(s.Verdict))
	fmt.Fprintln(w)
	for _, f := range s.Findings {
		say(w, "  ", f)
	}
	fmt.Fprintf(w, "\n%s\n\n%s\n\n%s\n", limitsTable(s), settingsTable(s), loadsTable(s))
	if s.Cut != nil {
		fmt.Fprintf(w, "\n%s\n", cutsTable(cutRow{"", s.Cut}))
		for _, m := range s.Cut.Merged {
			say(w, "  ", m)
		}
	}
	tellCautions(w, s.Cautions)
	tellAssumedKeys(w, s.Assumed)
}

func title(rig, spot string) string {
	if spot != "" {
		return rig + ", " + spot
	}
	return rig
}

func tellCautions(w io.Writer, cautions []string) {
	fmt.Fprintln(w)
	for _, c := range cautions {
		say(w, "! ", c)
	}
}

func tellAssumedKeys(w io.Writer, all []rigfile.Assumed) {
	if len(all) == 0 {
		return
	}
	var keys []string
	for _, a := range all {
		keys = append(keys, a.Key+" "+a.Value)
	}
	fmt.Fprintln(w)
	say(w, "", "Assumed, where the rig file is silent: "+strings.Join(keys, "; ")+". --json gives the reasons.")
}

func limitsTable(s *answer.Stand) string {
	t := plainTable([]string{"what gives way", "gust at", "forecast's", "Beaufort", "wind", ""},
		[]string{"", "the panel, m/s", "mean, m/s", "", "from", ""})
	for _, l := range answer.NamedLimits(s.Wind) {
		from := ""
		if known(l.GustMS) != nil {
			from = side(l.From.Degrees())
		}
		t.Row(l.Name, metres(l.GustMS), metres(l.ForecastMS), answer.Beaufort(l.Limit), from, "")
	}
	return t.String()
}

// side says from where the wind comes, as somebody behind the panel would.
func side(deg float64) string {
	switch {
	case deg < 22.5:
		return "its face"
	case deg < 67.5:
		return "face, slanting"
	case deg < 112.5:
		return "the side"
	case deg < 157.5:
		return "back, slanting"
	}
	return "its back"
}

// metres writes a wind that must not be reached: never more than it is.
func metres(x float64) string {
	if known(x) == nil {
		return "–"
	}
	return fmt.Sprintf("%.1f", math.Floor(x*10)/10)
}

func settingsTable(s *answer.Stand) string {
	t := plainTable([]string{"setting", "tilt", "2 mm off", "first to give way", "gust", "forecast"},
		[]string{"", "°", "moves it, °", "", "m/s", "m/s"})
	for i, one := range s.Settings {
		name := settingName(one)
		if i == s.Nearest {
			name += " *"
		}
		if !one.Possible {
			t.Row(name, "–", "", "not possible", "", "")
			continue
		}
		first := one.Lowest.Name
		if known(one.Lowest.GustMS) == nil {
			first = "nothing"
		}
		t.Row(name, fmt.Sprintf("%.1f", one.Tilt.Degrees()), fmt.Sprintf("%.2f", one.Error.Degrees()), first, metres(one.Lowest.GustMS), metres(one.Lowest.ForecastMS))
	}
	text := t.String()
	for _, one := range s.Settings {
		switch {
		case !one.Possible:
			text += "\n  " + settingName(one) + ": " + one.Why
		case one.PastUpright:
			text += "\n  " + settingName(one) + ": the leg stands past upright"
		}
	}
	if s.Nearest >= 0 {
		text += "\n  * nearest to the rig's own tilt"
	}
	return text
}

func settingName(s answer.StandSetting) string {
	switch {
	case s.PropM > 0:
		return fmt.Sprintf("prop %d, %.0f mm", s.Back, s.PropM*1000)
	case s.Front > 0 && s.Back > 0:
		return fmt.Sprintf("stop %d, notch %d (%.0f mm)", s.Front, s.Back, s.BackM*1000)
	}
	return fmt.Sprintf("tilt %d", s.Back)
}

func loadsTable(s *answer.Stand) string {
	t := plainTable([]string{fmt.Sprintf("a gust of %.0f m/s onto", s.GustMS), "force on", "pushes", "lifts", "turns", "tips"},
		[]string{"", "the panel, N", "level, N", "up, N", "Nm", "Nm"})
	for _, l := range s.Loads {
		t.Row(side(l.From.Degrees()), whole(math.Abs(l.NormalN)), whole(l.DragN), whole(l.UpliftN), fmt.Sprintf("%.1f", math.Abs(l.TurnNm)), whole(l.TipNm))
	}
	for i := range s.Settings {
		if one := &s.Settings[i]; one.Possible && i != s.Nearest {
			w := one.Worst()
			t.Row(fmt.Sprintf("at %.0f°, the worst side", one.Tilt.Degrees()), whole(w.NormalN), whole(w.DragN), whole(w.UpliftN), fmt.Sprintf("%.1f", w.TurnNm), whole(w.TipNm))
		}
	}
	return t.String()
}

func whole(x float64) string { return fmt.Sprintf("%.0f", math.Round(x)+0) }
