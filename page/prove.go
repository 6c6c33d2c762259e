package page

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"sync"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/drawing"
)

// Logs that are held, and the size of one, bytes: a fortnight of readings every
// ten seconds is 7 MB.
const (
	mostLogs   = 4
	biggestLog = 32 << 20
)

// shelf holds the logs that were handed in last, by what is in them.
type shelf struct {
	lock sync.Mutex
	most int
	logs []heldLog
}

type heldLog struct {
	id, name string
	raw      []byte
}

func newShelf(most int) *shelf { return &shelf{most: most} }

// put takes a log and returns the name by which it is asked for.
func (s *shelf) put(name string, raw []byte) string {
	sum := sha256.Sum256(append([]byte(name+"\x00"), raw...))
	id := hex.EncodeToString(sum[:16])
	s.lock.Lock()
	defer s.lock.Unlock()
	for _, l := range s.logs {
		if l.id == id {
			return id
		}
	}
	s.logs = append(s.logs, heldLog{id, name, raw})
	s.logs = s.logs[max(0, len(s.logs)-s.most):]
	return id
}

func (s *shelf) get(id string) (heldLog, bool) {
	s.lock.Lock()
	defer s.lock.Unlock()
	for _, l := range s.logs {
		if l.id == id {
			return l, true
		}
	}
	return heldLog{}, false
}

// logName is a file's name without its folder, cut short.
func logName(name string) string {
	name = filepath.Base(strings.ReplaceAll(name, `\`, "/"))
	name = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return -1
		}
		return r
	}, name)
	if letters := []rune(name); len(letters) > 80 {
		name = string(letters[:80])
	}
	if name == "" || name == "." || name == "/" {
		return "log.csv"
	}
	return name
}

// proveStage tells what a log gained, or how to come by one.
func proveStage(a *asker, first bool) (*content, error) {
	if a.log != "" {
		return resultOf(a)
	}
	if first {
		return &content{Sentence: "Hand in a log of looks, and the page says what turning brought.", Partial: "How to measure it here, from today, is being worked out; that takes half a minute."}, nil
	}
	return planned(a)
}

// window is the thirty days that begin on the question's day.
func (a *asker) window() answer.Window {
	day := func(after int) answer.MonthDay {
		t := a.day.AddDate(0, 0, after)
		if t.Month() == 2 && t.Day() == 29 { // which weather years do not have
			t = t.AddDate(0, 0, -1)
		}
		return answer.MonthDay{Month: int(t.Month()), Day: t.Day()}
	}
	return answer.Window{From: day(0), To: day(30)}
}

func (a *asker) plan() (*answer.TrialPlan, error) {
	return ask(a, "plan", func(ctx context.Context) (*answer.TrialPlan, error) {
		return answer.PlanTrial(ctx, answer.TrialPlanQuestion{Rig: a.rig, Spot: a.spot, Window: a.window(), Seed: seed, Open: a.Open})
	})
}

func planned(a *asker) (*content, error) {
	p, err := a.plan()
	if err != nil {
		return nil, err
	}
	c := &content{Sentence: p.Verdict, More: []string{fmt.Sprintf("%s, %s to %s: %s.", title(p.Rig, p.Spot), answer.DayText(p.From), answer.DayText(p.To), p.Weather)},
		Cautions: p.Cautions, Steps: p.Protocol, Assumed: p.Assumed, Sheets: []sheetLink{{"trial", "protocol card"}}}
	c.Pictures = append(c.Pictures, told("designs", "Ways of measuring, side by side", func(wide, high float64) *chart.Picture { return drawing.TrialDesigns(p, wide, high) }))
	t := table{Name: "designs", Title: "Ways of measuring", Heads: [][]string{{"way of measuring", fmt.Sprintf("within, points, %d days", p.Days), "error, points", "looking, Wh a day", "turned, ° a day", "moves a day"}}, Notes: []string{"* recommended"}}
	for i := range p.Designs {
		d := &p.Designs[i]
		name := d.Name
		if i == p.Chosen {
			name += " *"
		}
		if d.Needs != "" {
			name += " (it takes " + d.Needs + ")"
		}
		t.Rows = append(t.Rows, []string{name, points(d.Halfwidth), points(d.Error), wh(d.CostWhPerDay), decimals(d.DegreesPerDay, 0), decimals(d.MovesPerDay, 0)})
	}
	c.Tables = append(c.Tables, t)
	return c, nil
}

// result asks the log. One that is no plain log is made one first.
func (a *asker) result() (*answer.TrialResult, error) {
	held, ok := a.logs.get(a.log)
	if !ok {
		return nil, &answer.BadInput{Err: fmt.Errorf("this log is no longer held: hand it in again")}
	}
	return ask(a, "result", func(ctx context.Context) (*answer.TrialResult, error) {
		raw := held.raw
		var plain bytes.Buffer
		log, err := answer.ImportLog(ctx, answer.ImportQuestion{Rig: a.rig, Spot: a.spot, Log: held.name, Open: opens(raw), To: &plain})
		if err != nil {
			return nil, err
		}
		if !log.Plain {
			raw = plain.Bytes()
		}
		r, err := answer.RunTrial(ctx, answer.TrialQuestion{Rig: a.rig, RigPath: a.Name, Spot: a.spot, Log: held.name, OpenLog: opens(raw), Replicates: 10000, Seed: seed, Open: a.Open})
		if err == nil && !log.Plain {
			r.Cautions = append(append(r.Cautions[:len(r.Cautions):len(r.Cautions)], log.Guessed...), log.Cautions...)
		}
		return r, err
	})
}

func opens(raw []byte) answer.Open {
	return func(string) (io.ReadCloser, error) { return io.NopCloser(bytes.NewReader(raw)), nil }
}

func resultOf(a *asker) (*content, error) {
	r, err := a.result()
	if err != nil {
		return nil, err
	}
	of := []string{title(r.Rig, r.Spot) + ": " + r.Log}
	if r.Setup != "" {
		of = append(of, "set-up "+r.Setup)
	}
	if r.Method != "" {
		of = append(of, r.Method, "by "+r.Measure.String())
	}
	c := &content{Sentence: r.Sentences[0], More: append(append([]string{}, r.Sentences[1:]...), r.PromiseWords, strings.Join(of, ", ")+"."), Warnings: r.Cautions, Findings: r.Notes, Sheets: []sheetLink{{"result", "result"}}}
	for _, l := range r.Left {
		c.Findings = append(c.Findings, fmt.Sprintf("Left out: %s (%d).", l.Why, l.Count))
	}
	if r.Why != "" {
		return c, nil
	}
	c.Assumed = r.Assumed
	if !r.OneDay {
		c.Findings = append([]string{kinds(r)}, c.Findings...)
	}
	if r.Sure() {
		c.Figures = []figure{{Name: "gain of these days", Unit: "%", Value: 100 * r.TheseDays.Value, Digits: 1, Text: tenths(r.TheseDays.Value)}, {Name: "at least", Unit: "%", Value: 100 * r.TheseDays.Low, Digits: 1, Text: tenths(r.TheseDays.Low)}, {Name: "at most", Unit: "%", Value: 100 * r.TheseDays.High, Digits: 1, Text: tenths(r.TheseDays.High)}}
	}
	c.Pictures = append(c.Pictures,
		told("days", "Each day's gain", func(wide, high float64) *chart.Picture { return drawing.TrialDays(r, wide, high) }),
		told("looks", "Every pair of looks", func(wide, high float64) *chart.Picture { return drawing.TrialLooks(r, wide, high) }),
		told("running", "The gain so far, day by day", func(wide, high float64) *chart.Picture { return drawing.TrialRunning(r, wide, high) }),
		told("hours", "Hour by hour", func(wide, high float64) *chart.Picture { return drawing.TrialHours(r, wide, high) }))
	c.Tables = append(c.Tables, daysTable(r))
	return c, nil
}

// kinds tells the gain of these days in each of its kinds.
func kinds(r *answer.TrialResult) string {
	words := "In light " + gainText(r.Light.Value) + "; in what the panel could give " + gainText(r.Energy.Value) + "."
	if known(r.Used) {
		words += fmt.Sprintf(" With the charge controller's limits, at the looks, %s: what could not be taken is in that.", gainText(r.Used))
	}
	return words
}

func gainText(x float64) string {
	if !known(x) {
		return "it cannot be told"
	}
	return tenths(x) + " %"
}

func daysTable(r *answer.TrialResult) table {
	t := table{Name: "days", Title: "Day by day", Heads: [][]string{{"day", "gain, %", "from", "to", "clearness, %", "light, Wh/m²", "looks", "so far, %", "from", "to"}}}
	for i := range r.Daily {
		d := &r.Daily[i]
		t.Rows = append(t.Rows, []string{r.Date(d.Day).Format("2 Jan 2006"), tenths(d.Gain.Value), tenths(d.Gain.Low), tenths(d.Gain.High), decimals(100*d.Clearness, 0),
			decimals(d.AimedWhM2, 0), fmt.Sprint(d.Stops), tenths(d.Running.Value), tenths(d.Running.Low), tenths(d.Running.High)})
	}
	return t
}
