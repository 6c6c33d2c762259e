package answer

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"turnsole/hindsight"
	"turnsole/reading"
)

// write goes through the log again and writes it as a plain one.
func (i *importing) write() error {
	in, err := i.open()
	if err != nil {
		return err
	}
	defer in.Close()
	i.a.Written = i.names(in)
	out, err := reading.NewWriter(i.q.To, i.a.Written)
	if err != nil {
		return err
	}
	if err := i.remark(out); err != nil {
		return err
	}
	var row reading.Reading
	for n := 1; ; n++ {
		if n%restEvery == 0 {
			if err := i.rest("writing", in); err != nil {
				return err
			}
		}
		err := in.Tidy.Next(&row)
		if err == io.EOF {
			return out.Flush()
		}
		if _, refused := err.(*reading.RowError); refused {
			continue // told already
		}
		if err != nil {
			return fmt.Errorf("%s: %w", i.q.Log, err)
		}
		i.mend(&row)
		if err := out.Write(&row); err != nil {
			return err
		}
	}
}

// names are the columns written: those read, the time, and the set-up where
// there is more than one.
func (i *importing) names(in *source) (names []string) {
	has := in.Columns()
	if i.q.Setup != "" || len(i.a.Setups) > 1 {
		has = append(has, "setup")
	}
	if slices.Contains(has, "uptime_s") {
		has = append(has, "boot") // counted where it was not logged
	}
	for _, name := range reading.PlainColumns() {
		if name == "time" || slices.Contains(has, name) {
			names = append(names, name)
		}
	}
	return names
}

// mend gives a row its time and takes off what the sensors show at night.
func (i *importing) mend(r *reading.Reading) {
	if i.clocked {
		r.UnixS -= i.q.ClockAheadS
	} else {
		k := slices.IndexFunc(i.a.PowerUps, func(p hindsight.Anchored) bool { return p.Boot == r.Boot })
		r.UnixS = i.a.PowerUps[k].At(r.UptimeS)
	}
	if i.q.TakeOffNight { // a sensor without a night has none to take off
		r.PanelA = toMicroamperes(r.PanelA - i.a.Night["panel_a"].A)
		r.CellA = toMicroamperes(r.CellA - i.a.Night["cell_a"].A)
		r.StillA = toMicroamperes(r.StillA - i.a.Night["still_a"].A)
	}
}

// toMicroamperes rounds a difference to what no sensor tells.
func toMicroamperes(a float64) float64 { return math.Round(a*1e6) / 1e6 }

// remark writes at the log's head what was done to it.
func (i *importing) remark(out *reading.Writer) error {
	var done []string
	if i.q.ClockAheadS != 0 {
		done = append(done, fmt.Sprintf("times set back by %g s", i.q.ClockAheadS))
	}
	if !i.clocked {
		done = append(done, fmt.Sprintf("times told from dawn, dusk and the dump, good to %.0f s", i.a.WithinS))
	}
	if i.q.TakeOffNight {
		for _, name := range []string{"panel_a", "cell_a", "still_a"} {
			if n, ok := i.a.Night[name]; ok {
				done = append(done, fmt.Sprintf("%s less %.4g A, which it showed at night", name, n.A))
			}
		}
	}
	if len(done) == 0 {
		return nil
	}
	return out.Remark(strings.Join(done, "; "))
}

// tell puts into words what was found.
func (i *importing) tell() {
	a := i.a
	a.Verdict = fmt.Sprintf("%s kept, %s refused.", rowCount(a.Kept), rowCount(len(a.Rejected)))
	zone := i.spot.Clock()
	when := func(unixS float64) string { return time.Unix(int64(unixS), 0).In(zone).Format("2 January 2006 15:04") }
	i.findf("From %s to %s (%s), a row every %.4g s.", when(a.FromUnixS), when(a.ToUnixS), zone, a.EveryS)
	if a.Zone != "" {
		i.findf("Its times carry no offset: they are read by the clock of %s. Say --zone if it was another.", a.Zone)
	}
	if a.Duplicates > 0 {
		i.findf("%s that were there twice are left out.", rowCount(a.Duplicates))
	}
	if a.Sorted > 0 {
		i.findf("%s out of place were put in order.", rowCount(a.Sorted))
	}
	if a.Reboots != nil && *a.Reboots > 0 {
		i.findf("The controller powered up anew %d times.", *a.Reboots)
	}
	if len(a.Setups) > 1 {
		i.findf("It has %d set-ups: %s. A trial never runs across a change.", len(a.Setups), strings.Join(firstFew(a.Setups), ", "))
	}
	i.tellGaps(when)
	i.tellNight()
	i.tellClock()
	i.tellAnchor()
	if back := i.outOfOrder(); 10*back > a.Kept {
		i.a.Cautions = append(i.a.Cautions, "Many rows stand behind later ones: put the parts of the log in order of time, the oldest first, and import it again.")
	}
	if len(a.Others) > 0 {
		i.findf("Left aside: %s.", strings.Join(a.Others, ", "))
	}
}

func (i *importing) findf(format string, args ...any) {
	i.a.Findings = append(i.a.Findings, fmt.Sprintf(format, args...))
}

func (i *importing) outOfOrder() (n int) {
	for _, r := range i.a.Rejected {
		if strings.Contains(r.Why, "order of time") {
			n++
		}
	}
	return n
}

func firstFew(names []string) []string {
	const most = 8
	if len(names) <= most {
		return names
	}
	return append(slices.Clone(names[:most]), "and more")
}

func rowCount(n int) string {
	if n == 1 {
		return "1 row"
	}
	return fmt.Sprintf("%d rows", n)
}

func (i *importing) tellGaps(when func(float64) string) {
	for _, g := range i.a.Gaps {
		i.findf("No rows for %s from %s, %s of it by day.", spanText(g.ToUnixS-g.FromUnixS), when(g.FromUnixS), spanText(g.DayS))
	}
}

// spanText writes a span of time in its own unit.
func spanText(s float64) string {
	s = math.Abs(s)
	switch {
	case s < 120:
		return fmt.Sprintf("%.0f s", s)
	case s < 2*3600:
		return fmt.Sprintf("%.0f min", s/60)
	case s < 2*86400:
		return fmt.Sprintf("%.1f h", s/3600)
	}
	return fmt.Sprintf("%.1f days", s/86400)
}

func (i *importing) tellNight() {
	for _, name := range []string{"panel_a", "cell_a"} {
		n, ok := i.a.Night[name]
		if !ok {
			continue
		}
		done := "Add --take-off-night to take it off."
		if i.q.TakeOffNight {
			done = "It is taken off."
		} else if math.Abs(n.A) < 2*n.SpreadA/math.Sqrt(float64(n.Samples)) || n.A == 0 {
			done = "That is nothing."
		}
		i.findf("At night %s shows %.4g A (from minute to minute ± %.2g A). %s", name, n.A, n.SpreadA, done)
	}
}

func (i *importing) tellClock() {
	o := i.a.Clock
	switch {
	case o == nil && i.a.ClockWhy != "":
		i.findf("Its clock cannot be held to the sun: %s.", i.a.ClockWhy)
	case o == nil:
	case !o.Beyond():
		i.findf("Its clock agrees with the sun, as far as %d dawns and %d dusks can tell: to %s.", o.Dawns, o.Dusks, spanText((o.HighS-o.LowS)/2))
	default:
		which := "ahead"
		if o.AheadS < 0 {
			which = "behind"
		}
		text := fmt.Sprintf("By the sun its clock runs %s %s (95 %%: %s to %s ahead, from %d dawns and %d dusks). If that may be, add --clock-ahead \"%+.0f s\"; nothing was set right.",
			spanText(o.AheadS), which, signedSpan(o.LowS), signedSpan(o.HighS), o.Dawns, o.Dusks, o.AheadS+i.q.ClockAheadS)
		if hours := math.Round(o.AheadS / 3600); hours != 0 && o.LowS <= 3600*hours && 3600*hours <= o.HighS {
			text += fmt.Sprintf(" A whole %+.0f h points to another --zone, to summer time, or to another place.", hours)
		} else if math.Abs(o.AheadS) > 1800 {
			text += " So much points to another place, or another --zone."
		}
		i.a.Cautions = append(i.a.Cautions, text)
	}
}

func signedSpan(s float64) string {
	if s < 0 {
		return "-" + spanText(s)
	}
	return spanText(s)
}

func (i *importing) tellAnchor() {
	ups := i.a.PowerUps
	if len(ups) == 0 {
		return
	}
	worst, edges := 0.0, 0
	for _, u := range ups {
		worst, edges = max(worst, u.WithinS), edges+u.Dawns+u.Dusks
	}
	i.findf("It has no clock: its times are told from the dump and %d dawns and dusks. Nine minutes in ten are good to %s (95 %%), the worst to %s.", edges, spanText(i.a.WithinS), spanText(worst))
	if !ups[len(ups)-1].Dumped {
		i.a.Cautions = append(i.a.Cautions, "By dawn and dusk the last power-up ended long before the dump: its time rests on them alone.")
	}
	if len(ups) > 1 {
		i.a.Cautions = append(i.a.Cautions, "No power cut is taken to have lasted a day or longer; if one did, all before it lies that many days too late.")
	}
}
