package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"reflect"
	"strconv"
	"strings"

	"charm.land/lipgloss/v2"
	"charm.land/lipgloss/v2/table"

	"turnsole/answer"
	"turnsole/rigfile"
)

// width is what a page of text keeps to.
const width = 80

// tellWorth writes the comparison for reading: the verdict, the table, the
// months, what was assumed.
func tellWorth(w io.Writer, s *answer.SpotWorth, rig *rigfile.Rig) {
	title := rig.Name
	if s.Spot != "" {
		title += ", " + s.Spot
	}
	if !s.Window.Whole() {
		title += ", " + s.Window.String()
	}
	days := fmt.Sprintf("%d days", s.Days)
	if s.Days == 1 {
		days = "1 day"
	}
	say(w, "", fmt.Sprintf("%s, %s: %s.", title, days, s.Weather))
	fmt.Fprintln(w)
	say(w, "", lipgloss.NewStyle().Bold(true).Render(s.Verdict))
	fmt.Fprintln(w)
	for _, warning := range s.Warnings {
		say(w, "! ", warning)
	}
	for _, f := range s.Findings {
		say(w, "  ", f)
	}
	fmt.Fprintf(w, "\n%s\n\n%s\n", waysTable(s), monthsTable(s))
	if v := valueTable(s, rig.Currency); v != "" {
		fmt.Fprintf(w, "\n%s\n", v)
	}
	tellNotes(w, s.Notes)
	tellAssumed(w, s)
}

// tellNotes writes what else was found in a weather file.
func tellNotes(w io.Writer, notes []string) {
	if len(notes) > 0 {
		fmt.Fprintln(w, "\nAbout the weather file:")
	}
	for _, note := range notes {
		say(w, "  ", note)
	}
}

// spotsTable sets the spots side by side: what each way leaves over standing
// still there.
func spotsTable(a *answer.Worth) string {
	head := []string{"extra net, Wh a day"}
	still := []string{"(standing still: net)"}
	for i := range a.Spots {
		s := &a.Spots[i]
		head = append(head, s.Spot)
		still = append(still, wh(s.Way(s.Baseline).NetWh()/float64(max(s.Days, 1))))
	}
	t := plainTable(head).Row(still...)
	for _, w := range a.Spots[0].Ways {
		if w.Way == a.Spots[0].Baseline {
			continue
		}
		row := []string{w.Way}
		for i := range a.Spots {
			s := &a.Spots[i]
			row = append(row, answer.Signed(s.Way(w.Way).ExtraNetWh/float64(max(s.Days, 1)), 1))
		}
		t.Row(row...)
	}
	return t.String()
}

// say writes text folded to the width, later lines indented.
func say(w io.Writer, indent, text string) {
	lines := strings.Split(lipgloss.NewStyle().Width(width-len(indent)).Render(text), "\n")
	for _, line := range lines {
		fmt.Fprintln(w, strings.TrimRight(indent+line, " "))
	}
}

// plainTable is a table without lines whose head may have two rows; columns
// after the first stand to the right.
func plainTable(head ...[]string) *table.Table {
	right := lipgloss.NewStyle().Align(lipgloss.Right).PaddingLeft(1)
	return table.New().Border(lipgloss.HiddenBorder()).
		BorderTop(false).BorderBottom(false).BorderLeft(false).BorderRight(false).BorderColumn(false).BorderHeader(false).
		Rows(head...).
		StyleFunc(func(row, column int) lipgloss.Style {
			style := lipgloss.NewStyle()
			if column > 0 {
				style = right
			}
			return style.Faint(row < len(head))
		})
}

func waysTable(s *answer.SpotWorth) string {
	t := plainTable(
		[]string{"", "extra", "net", "gain", "nine years", "short", "own use", "panel", "light", "tilt"},
		[]string{"Wh a day", "net", "", "of net", "in ten, %", "days", "", "", "kWh/m²", ""})
	days := float64(max(s.Days, 1))
	for i := range s.Ways {
		f := &s.Ways[i]
		extra, gain, band := "", "", ""
		if f.Way != s.Baseline {
			extra, gain, band = answer.Signed(f.ExtraNetWh/days, 1), percent(f.GainNet), span(f.GainNetLow, f.GainNetHigh)
		}
		t.Row(f.Way, extra, wh(f.NetWh()/days), gain, band, fmt.Sprintf("%.0f", f.ShortDays), wh(f.OwnUseWh/days),
			wh(f.PanelWh/days), wh(f.LightKWhM2), tilts(f))
	}
	return t.String()
}

func tilts(f *answer.WayWorth) string {
	if f.Row.Tilt != nil {
		return fmt.Sprintf("%.0f°", f.Row.Tilt.Degrees())
	}
	if len(f.Row.Stretches) == 0 {
		return "all"
	}
	low, high := 90.0, 0.0
	for _, st := range f.Row.Stretches {
		low, high = min(low, st.Tilt.Degrees()), max(high, st.Tilt.Degrees())
	}
	return fmt.Sprintf("%.0f–%.0f°", low, high)
}

func wh(x float64) string {
	if math.Abs(x) < 9.95 {
		return fmt.Sprintf("%.1f", x)
	}
	return fmt.Sprintf("%.0f", x)
}

func percent(g *float64) string {
	if g == nil {
		return "–"
	}
	return answer.Signed(*g*100, 0) + " %"
}

func span(low, high *float64) string {
	if low == nil || high == nil {
		return "–"
	}
	return answer.Signed(*low*100, 0) + "…" + answer.Signed(*high*100, 0)
}

// bars are eighths of a line, lowest first; nothing is a dot.
var bars = []rune("▁▂▃▄▅▆▇█")

// monthsTable shows each way's year as twelve small bars, all to one scale.
func monthsTable(s *answer.SpotWorth) string {
	most := 0.0
	for _, w := range s.Ways {
		for _, m := range w.Months {
			most = max(most, m.NetWh()/max(m.Days, 1), m.PanelWh/max(m.Days, 1))
		}
	}
	t := plainTable(
		[]string{"month by month", "at the panel", "net", "least", "most"},
		[]string{"█ is " + wh(most) + " Wh a day", "JFMAMJJASOND", "JFMAMJJASOND", "net", "net"})
	for _, w := range s.Ways {
		var panel, net strings.Builder
		low, high := math.Inf(1), math.Inf(-1)
		for _, m := range w.Months {
			if m.Days == 0 {
				panel.WriteByte(' ')
				net.WriteByte(' ')
				continue
			}
			x := m.NetWh() / m.Days
			low, high = min(low, x), max(high, x)
			panel.WriteRune(bar(m.PanelWh/m.Days, most))
			net.WriteRune(bar(x, most))
		}
		t.Row(w.Way, panel.String(), net.String(), wh(low), wh(high))
	}
	return t.String()
}

func bar(x, most float64) rune {
	if !(x > 0.005*most) {
		return '·'
	}
	return bars[min(len(bars)-1, int(x/most*float64(len(bars))))]
}

func valueTable(s *answer.SpotWorth, currency string) string {
	if len(s.Value) == 0 {
		return ""
	}
	unit := currency
	if unit == "" {
		unit = "money"
	}
	per := "a year"
	if !s.Window.Whole() {
		per = "then"
	}
	t := plainTable(
		[]string{"for what it adds", "extra", "price", "Wh " + per, "mass", "Wh " + per, "turns"},
		[]string{"", "Wh " + per, unit, "per " + unit, "kg", "per kg", "by hand"})
	for _, v := range s.Value {
		t.Row(v.Way, answer.Signed(v.ExtraNetWh, 0), amount(v.ExtraPrice), amount(v.WhPerMoney),
			amount(v.ExtraMassKg), amount(v.WhPerKg), fmt.Sprintf("%.0f", v.TurnsByHand))
	}
	return t.String()
}

func amount(x *float64) string {
	if x == nil {
		return "–"
	}
	return strconv.FormatFloat(math.Round(*x*10)/10, 'f', -1, 64)
}

// tellAssumed lists the defaults; those that are whole sentences stand alone.
func tellAssumed(w io.Writer, s *answer.SpotWorth) {
	if len(s.Assumed) == 0 {
		return
	}
	fmt.Fprintln(w)
	var keys, sentences []string
	for _, a := range s.Assumed {
		if a.Why == "" {
			sentences = append(sentences, a.Value)
			continue
		}
		keys = append(keys, a.Key+" "+a.Value)
	}
	say(w, "", "Assumed, where the rig file is silent: "+strings.Join(keys, "; ")+". --json gives the reasons.")
	for _, sentence := range sentences {
		say(w, "  ", sentence)
	}
}

// writeWorthCSV writes a line for each way and month, and one for the whole.
// Its head is the keys of the figures.
func writeWorthCSV(w io.Writer, a *answer.Worth) error {
	out := csv.NewWriter(w)
	head := []string{"spot", "way", "month", "days"}
	for i := range reflect.TypeFor[figuresJSON]().NumField() {
		head = append(head, reflect.TypeFor[figuresJSON]().Field(i).Tag.Get("json"))
	}
	out.Write(head)
	for _, s := range a.Spots {
		for i := range s.Ways {
			way := &s.Ways[i]
			out.Write(csvRow(s.Spot, way.Way, "all", &way.Figures))
			for m := range way.Months {
				out.Write(csvRow(s.Spot, way.Way, strconv.Itoa(m+1), &way.Months[m]))
			}
		}
	}
	out.Flush()
	return out.Error()
}

func csvRow(spot, way, month string, f *answer.Figures) []string {
	row := []string{spot, way, month, strconv.FormatFloat(f.Days, 'g', -1, 64)}
	figures := reflect.ValueOf(figuresWire(*f))
	for i := range figures.NumField() {
		row = append(row, csvCell(figures.Field(i)))
	}
	return row
}

func csvCell(v reflect.Value) string {
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() {
			return ""
		}
		return csvCell(v.Elem())
	case reflect.Float64:
		return strconv.FormatFloat(v.Float(), 'g', -1, 64)
	}
	return v.String()
}
