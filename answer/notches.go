package answer

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"turnsole/compass"
	"turnsole/rigfile"
	"turnsole/season"
	"turnsole/stand"
)

// mostCompared is how many notches the fewer are compared with.
const mostCompared = 6

// asGood is the share of the year's energy below which nobody should cut
// another notch: a day's cloud is worth more.
const asGood = 0.005

// NotchesQuestion asks which tilts to cut notches for and when to change them.
type NotchesQuestion struct {
	Rig         *rigfile.Rig
	WeatherFile string // in place of the rig file's weather, "" for none
	Spot        string // the name of one spot; "" for the first
	Count       int    // notches, 1..12; 0 for as many as the rig file says
	Seed        uint64
	Open        Open
	Progress    Progress // may be nil
}

// Notches is the answer, for a panel that stands still and for one that turns:
// their best tilts differ.
type Notches struct {
	Rig, Spot, Weather string
	Count              int
	Kind               stand.Kind
	Still, Turning     NotchPlan
	Verdict            string
	Findings           []string
	Warnings, Notes    []string // of the weather
	Assumed            []rigfile.Assumed
	Seed               uint64
}

// NotchPlan is what notches bring a panel that is aimed in one way.
type NotchPlan struct {
	Best NotchYear // any tilt that lowest and highest allow, exact to a degree
	// Counts is the same with 1, 2, 3 … notches, at least six.
	Counts []NotchYear
	// AsGood is the least number of notches that bring all but half a per cent
	// of what six do.
	AsGood int
	// Cut is what the best tilts come to in wood, and the year with the tilts
	// that whole millimetres give; CutWhy says why there is none.
	Cut     *stand.CutPlan
	CutYear NotchYear
	CutWhy  string
	// AsBuilt is the year with the tilts that the stand's own settings give;
	// without notches where it has none.
	AsBuilt NotchYear
}

// NotchYear is a calendar of notches and what it brings in a year.
type NotchYear struct {
	Tilts       []compass.Angle // one for each notch, flattest first
	Swaps       []Swap          // in the order of the year
	PanelWh     float64         // at the panel's terminals
	LightKWhM2  float64
	OfDailyBest float64 // of the energy that a tilt set anew every day would bring
}

// Swap is a stretch of days spent in one notch.
type Swap struct {
	From, To MonthDay
	Notch    int // counted from 1
}

// FindNotches answers a NotchesQuestion.
func FindNotches(ctx context.Context, q NotchesQuestion) (*Notches, error) {
	if q.Count == 0 {
		q.Count = q.Rig.Stand.Notches
	}
	if q.Count < 1 || q.Count > 12 {
		return nil, bad("--count %d: a stand has 1 to 12 notches", q.Count)
	}
	spots, err := spotsNamed(q.Rig, q.Spot)
	if err != nil {
		return nil, err
	}
	spot := spots[0]
	spot.Weather.Years = min(spot.Weather.Years, season.NotchYears)
	w := WorthQuestion{Rig: q.Rig, WeatherFile: q.WeatherFile, Seed: q.Seed, Open: q.Open, Progress: q.Progress}
	s := &SpotWorth{Assumed: w.assumedAt(spot)}
	in, err := w.input(ctx, spot, s)
	if err != nil {
		return nil, err
	}
	still, turning, err := season.NotchTables(ctx, *in)
	if err != nil {
		if ctx.Err() != nil {
			return nil, err
		}
		return nil, &BadInput{err}
	}
	n := &Notches{Rig: q.Rig.Name, Spot: spot.Name, Weather: s.Weather, Count: q.Count, Kind: q.Rig.Frame.Kind, Warnings: s.Warnings, Notes: s.Notes,
		Assumed: append(s.Assumed, q.Rig.AssumedFor(rigfile.ForStand)...), Seed: q.Seed}
	n.Still, n.Turning = planNotches(still, q.Rig, q.Count), planNotches(turning, q.Rig, q.Count)
	n.judge()
	return n, nil
}

func planNotches(t *season.NotchTable, rig *rigfile.Rig, count int) NotchPlan {
	var p NotchPlan
	low, high := rig.Stand.Lowest, rig.Stand.Highest
	daily := t.Daily(low, high)
	for k := 1; k <= max(count, mostCompared); k++ {
		p.Counts = append(p.Counts, notchYear(t.Best(k, low, high), daily))
	}
	p.Best = p.Counts[count-1]
	p.AsGood = asGoodAsSix(p.Counts)
	p.cut(t, &rig.Frame, count, daily)
	if tilts := possibleTilts(&rig.Frame, low, high); len(tilts) > 0 {
		p.AsBuilt = notchYear(t.Among(tilts, count), daily)
	}
	return p
}

// asGoodAsSix is the least number of notches that bring all but asGood of what
// six do: one where six bring nothing, as in the polar night.
func asGoodAsSix(counts []NotchYear) int {
	i := slices.IndexFunc(counts, func(y NotchYear) bool {
		return y.PanelWh >= (1-asGood)*counts[mostCompared-1].PanelWh
	})
	return 1 + max(i, 0)
}

// cut turns the best tilts into wood.
func (p *NotchPlan) cut(t *season.NotchTable, f *stand.Frame, count int, daily float64) {
	if f.Kind == stand.Listed || f.Kind == stand.Plain {
		p.CutWhy = "the rig file gives this stand's tilts and not its measures"
		return
	}
	plan, err := f.CutFor(p.Best.Tilts)
	if err != nil {
		p.CutWhy = err.Error()
		return
	}
	p.Cut = &plan
	var tilts []compass.Angle
	for _, c := range plan.Cuts {
		tilts = append(tilts, c.Tilt)
	}
	slices.Sort(tilts)
	p.CutYear = notchYear(t.Among(tilts, count), daily)
}

// possibleTilts are those of the stand's settings that may be used.
func possibleTilts(f *stand.Frame, low, high compass.Angle) (tilts []compass.Angle) {
	for _, s := range f.Settings() {
		if s.Possible && s.Tilt >= low && s.Tilt <= high {
			tilts = append(tilts, s.Tilt)
		}
	}
	slices.Sort(tilts)
	return tilts
}

// notchYear numbers the tilts of a calendar.
func notchYear(c season.Calendar, daily float64) NotchYear {
	y := NotchYear{PanelWh: c.PanelWh, LightKWhM2: c.LightKWhM2, OfDailyBest: 1}
	if daily > 0 {
		y.OfDailyBest = c.PanelWh / daily
	}
	for _, s := range c.Stretches {
		if !slices.Contains(y.Tilts, s.Tilt) {
			y.Tilts = append(y.Tilts, s.Tilt)
		}
	}
	slices.Sort(y.Tilts)
	for _, s := range c.Stretches {
		y.Swaps = append(y.Swaps, Swap{s.From, s.To, slices.Index(y.Tilts, s.Tilt) + 1})
	}
	return y
}

// judge says in words what the figures come to.
func (n *Notches) judge() {
	p := &n.Still
	n.Verdict = enough(p) + " " + sentenceOfSwaps(&p.Best)
	if lacks := 1 - p.Best.PanelWh/p.Counts[mostCompared-1].PanelWh; n.Count < p.AsGood && lacks > 0 {
		n.Verdict += fmt.Sprintf(" With %s the year lacks %s of what six would bring.", countWord(n.Count), shareText(lacks))
	}
	n.say("A panel that turns with the sun wants other tilts than one that stands still: %s against %s degrees.", tiltList(n.Turning.Best.Tilts), tiltList(p.Best.Tilts))
	n.say("For the turning panel: %s", enough(&n.Turning))
	for _, one := range []struct {
		name string
		plan *NotchPlan
	}{{"still", p}, {"turning", &n.Turning}} {
		best := one.plan.Best.PanelWh
		if c := one.plan.Cut; c != nil {
			n.say("Cut to whole millimetres for the %s panel the tilts come to %s degrees; that costs %s of the year's energy.",
				one.name, tiltList(one.plan.CutYear.Tilts), shareText(1-one.plan.CutYear.PanelWh/best))
			n.Findings = append(n.Findings, c.Merged...)
		} else if n.Kind == stand.Legs || n.Kind == stand.Prop {
			n.say("The stand as measured cannot be cut for the %s panel's best tilts: %s.", one.name, strings.TrimSuffix(one.plan.CutWhy, "."))
		}
		if b := one.plan.AsBuilt; len(b.Tilts) > 0 {
			n.say("With the settings that it has now, the best for the %s panel are %s degrees; that costs %s against the best.", one.name, tiltList(b.Tilts), shareText(1-b.PanelWh/best))
		}
	}
}

func (n *Notches) say(format string, args ...any) {
	n.Findings = append(n.Findings, fmt.Sprintf(format, args...))
}

// enough says how many notches are worth cutting.
func enough(p *NotchPlan) string {
	six := p.Counts[mostCompared-1].PanelWh
	lost := 1 - p.Counts[p.AsGood-1].PanelWh/six
	if p.AsGood == mostCompared {
		return "Each notch up to the sixth brings something."
	}
	first := capital(countWord(p.AsGood))
	return fmt.Sprintf("%s as good as six: six would bring %s more.", first+map[bool]string{true: " tilt is", false: " notches are"}[p.AsGood == 1], shareText(lost/(1-lost)))
}

// sentenceOfSwaps tells the year in one sentence.
func sentenceOfSwaps(y *NotchYear) string {
	if len(y.Swaps) == 1 {
		return fmt.Sprintf("Hold %.0f degrees all the year.", y.Tilts[0].Degrees())
	}
	var parts []string
	for _, s := range y.Swaps {
		parts = append(parts, fmt.Sprintf("%.0f degrees from %s", y.Tilts[s.Notch-1].Degrees(), DayText(s.From)))
	}
	return "Set " + strings.Join(parts, ", ") + "."
}

func tiltList(tilts []compass.Angle) string {
	var parts []string
	for _, t := range tilts {
		parts = append(parts, strings.TrimSuffix(fmt.Sprintf("%.1f", t.Degrees()), ".0"))
	}
	return joinAnd(parts)
}

// joinAnd joins words: "a, b and c".
func joinAnd(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}

// shareText writes a small share in per cent, with as many digits as tell
// something.
func shareText(share float64) string {
	switch {
	case !(share >= 0.00005): // no share of nothing, or a little less than nothing, by the steps of a degree
		return "nothing"
	case math.Abs(share) < 0.0095:
		return fmt.Sprintf("%.2f %%", share*100)
	}
	return fmt.Sprintf("%.1f %%", share*100)
}

// capital begins a sentence with a word.
func capital(word string) string { return strings.ToUpper(word[:1]) + word[1:] }

func countWord(n int) string {
	words := []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprint(n)
}
