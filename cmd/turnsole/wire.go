package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"time"

	"turnsole/answer"
)

// The structs in this file are what --json writes. docs/formats.md is written
// from their doc tags.

type worthJSON struct {
	Spot      string        `json:"spot" doc:"name of the spot, empty where the rig file has one without a name"`
	Baseline  string        `json:"baseline" doc:"the way that gains are counted from"`
	Days      int           `json:"days" doc:"days that count"`
	From      string        `json:"from" doc:"first of them, month-day; empty for all the weather has"`
	To        string        `json:"to" doc:"last of them"`
	Ways      []wayJSON     `json:"ways" doc:"one for each way of aiming"`
	Value     []valueJSON   `json:"value" doc:"what the extra costs and weighs; empty where the rig file gives no prices or masses"`
	Verdict   string        `json:"verdict" doc:"one sentence"`
	Findings  []string      `json:"findings" doc:"what stands behind the verdict, a sentence each"`
	Weather   string        `json:"weather" doc:"what the years are"`
	Warnings  []string      `json:"warnings" doc:"what in the weather makes the figures doubtful, a sentence each"`
	Notes     []string      `json:"notes" doc:"what else was found and mended in the weather, a sentence each"`
	Assumed   []assumedJSON `json:"assumed" doc:"every default that the answer rests on"`
	ModelsPts float64       `json:"models_points" doc:"the models' own uncertainty of a gain, in percentage points, on top of the spread over years"`
	Runs      int           `json:"runs" doc:"years behind the spread"`
	Seed      uint64        `json:"seed" doc:"seed of all chance; the same seed gives the same answer"`
}

type spotsJSON struct {
	Spots []worthJSON `json:"spots"`
}

type wayJSON struct {
	Way      string        `json:"way" doc:"name of the way"`
	TiltDeg  *float64      `json:"tilt_deg" doc:"tilt from flat; null where it changes"`
	Notches  []stretchJSON `json:"notches" doc:"where the tilt changes: from one day of the year to another"`
	Visits   []visitJSON   `json:"visits" doc:"where somebody turns it by hand: when and to what heading"`
	NoSpread string        `json:"no_spread" doc:"why the gain of net has no low and high; empty where it has"`
	figuresJSON
	Months [12]figuresJSON `json:"months" doc:"the same figures by month, January first"`
}

type stretchJSON struct {
	From    string  `json:"from" doc:"month-day"`
	To      string  `json:"to" doc:"month-day"`
	TiltDeg float64 `json:"tilt_deg"`
}

type visitJSON struct {
	Clock      string  `json:"clock" doc:"hour and minute by the clock on the wall"`
	HeadingDeg float64 `json:"heading_deg" doc:"from true north, clockwise"`
}

type figuresJSON struct {
	LightKWhM2   float64  `json:"light_kwh_m2" doc:"irradiation of the panel's plane"`
	EnteredKWhM2 float64  `json:"entered_kwh_m2" doc:"what of it passes the glass"`
	PanelWh      float64  `json:"panel_wh" doc:"at the panel's terminals"`
	StoredWh     float64  `json:"stored_wh" doc:"out of the charge controller into the battery and what hangs on it"`
	FullWh       float64  `json:"lost_full_wh" doc:"not taken because the battery was full"`
	ColdWh       float64  `json:"lost_cold_wh" doc:"not taken because the battery was too cold"`
	LimitWh      float64  `json:"lost_limit_wh" doc:"not taken because it was over a limit of the charge controller or the power box"`
	ChargerWh    float64  `json:"lost_charger_wh" doc:"lost in the charge controller; panel is stored and the four losses"`
	UsedWh       float64  `json:"used_wh" doc:"what the loads got, the stand's own use among them"`
	OwnUseWh     float64  `json:"own_use_wh" doc:"what controller, driver, their supply and the motor drew"`
	OwnShortWh   float64  `json:"own_short_wh" doc:"what the stand asked beyond that and did not get: the battery was empty"`
	NetWh        float64  `json:"net_wh" doc:"used less own use"`
	ShortDays    float64  `json:"short_days" doc:"days on which a load was not fully met"`
	GainLight    *float64 `json:"gain_light" doc:"fraction over the baseline's own figure; null where that is too small to divide by"`
	GainPanel    *float64 `json:"gain_panel" doc:"the same"`
	GainNet      *float64 `json:"gain_net" doc:"the same"`
	GainNetLow   *float64 `json:"gain_net_low" doc:"5th percentile of one coming year"`
	GainNetHigh  *float64 `json:"gain_net_high" doc:"95th percentile of one coming year"`
	ExtraNetWh   float64  `json:"extra_net_wh" doc:"net watt-hours over the baseline"`
	ExtraLowWh   *float64 `json:"extra_net_low_wh" doc:"5th percentile of one coming year"`
	ExtraHighWh  *float64 `json:"extra_net_high_wh" doc:"95th percentile of one coming year"`
	Why          string   `json:"why" doc:"why a gain is null; empty where none is"`
}

type valueJSON struct {
	Way         string   `json:"way"`
	ExtraNetWh  float64  `json:"extra_net_wh" doc:"over the baseline"`
	ExtraPrice  *float64 `json:"extra_price" doc:"in the rig file's currency"`
	ExtraMassKg *float64 `json:"extra_mass_kg"`
	WhPerMoney  *float64 `json:"wh_per_money"`
	WhPerKg     *float64 `json:"wh_per_kg"`
	TurnsByHand float64  `json:"turns_by_hand" doc:"turns by hand that it asks for"`
}

type assumedJSON struct {
	Key   string `json:"key"`
	Value string `json:"value"`
	Why   string `json:"why"`
}

func writeJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

func worthWire(a *answer.Worth) any {
	var spots []worthJSON
	for i := range a.Spots {
		spots = append(spots, spotWire(&a.Spots[i]))
	}
	if len(spots) == 1 {
		return spots[0]
	}
	return spotsJSON{spots}
}

func spotWire(s *answer.SpotWorth) worthJSON {
	out := worthJSON{Spot: s.Spot, Baseline: s.Baseline, Days: s.Days, Verdict: s.Verdict, Weather: s.Weather,
		Findings: orEmpty(s.Findings), Warnings: orEmpty(s.Warnings), Notes: orEmpty(s.Notes), Value: []valueJSON{}, Assumed: []assumedJSON{},
		ModelsPts: answer.ModelPoints, Runs: s.Runs, Seed: s.Seed}
	if !s.Window.Whole() {
		out.From, out.To = monthDay(s.Window.From), monthDay(s.Window.To)
	}
	for i := range s.Ways {
		out.Ways = append(out.Ways, wayWire(&s.Ways[i]))
	}
	for _, v := range s.Value {
		out.Value = append(out.Value, valueJSON(v))
	}
	for _, a := range s.Assumed {
		out.Assumed = append(out.Assumed, assumedJSON{a.Key, a.Value, a.Why})
	}
	return out
}

func orEmpty(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func wayWire(w *answer.WayWorth) wayJSON {
	out := wayJSON{Way: w.Way, NoSpread: w.GainSpread, figuresJSON: figuresWire(w.Figures), Notches: []stretchJSON{}, Visits: []visitJSON{}}
	if w.Row.Tilt != nil {
		deg := w.Row.Tilt.Degrees()
		out.TiltDeg = &deg
	}
	for _, s := range w.Row.Stretches {
		out.Notches = append(out.Notches, stretchJSON{monthDay(s.From), monthDay(s.To), s.Tilt.Degrees()})
	}
	for _, v := range w.Row.Hands {
		out.Visits = append(out.Visits, visitJSON{clock(v.ClockHour), v.Heading.Degrees()})
	}
	for m, f := range w.Months {
		out.Months[m] = figuresWire(f)
	}
	return out
}

func figuresWire(f answer.Figures) figuresJSON {
	return figuresJSON{
		LightKWhM2: f.LightKWhM2, EnteredKWhM2: f.EnteredKWhM2, PanelWh: f.PanelWh, StoredWh: f.StoredWh,
		FullWh: f.FullWh, ColdWh: f.ColdWh, LimitWh: f.LimitWh, ChargerWh: f.ChargerWh, UsedWh: f.UsedWh, OwnUseWh: f.OwnUseWh, OwnShortWh: f.OwnShortWh, NetWh: f.NetWh(),
		ShortDays: f.ShortDays, GainLight: f.GainLight, GainPanel: f.GainPanel, GainNet: f.GainNet,
		GainNetLow: f.GainNetLow, GainNetHigh: f.GainNetHigh,
		ExtraNetWh: f.ExtraNetWh, ExtraLowWh: f.ExtraNetLowWh, ExtraHighWh: f.ExtraNetHighWh, Why: f.Why,
	}
}

func monthDay(d answer.MonthDay) string { return fmt.Sprintf("%02d-%02d", d.Month, d.Day) }

func clock(hour float64) string {
	minutes := int(math.Round(hour * 60))
	return fmt.Sprintf("%d:%02d", minutes/60, minutes%60)
}

// parseMonthDay reads month-day, or year-month-day, whose year is left aside.
func parseMonthDay(flag, s string) (answer.MonthDay, error) {
	for _, layout := range []string{"1-2", "2006-1-2"} {
		if t, err := time.Parse(layout, s); err == nil && !(t.Month() == time.February && t.Day() == 29) {
			return answer.MonthDay{Month: int(t.Month()), Day: t.Day()}, nil
		}
	}
	return answer.MonthDay{}, &answer.BadInput{Err: fmt.Errorf("%s %q is not a day of a weather year (which has no 29 February); write month-day, such as 11-05", flag, s)}
}
