package checks

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"turnsole/trial"
)

// longSeed is the seed of docs/TRIALS.md.
const longSeed = 2026

// longTries are the plans behind docs/TRIALS.md: by light more than a thousand
// with each gap and of each kind of days; by power fewer and shorter ones.
func longTries() []tryPlan {
	return []tryPlan{
		{trialKinds, trialGaps, trial.ByLight, []int{400, 400, 150, 80}, longSeed},
		{trialKinds, trialGaps, trial.ByPower, []int{150, 100, 0, 0}, longSeed},
	}
}

// LongTrials tries a thousand trials of each kind and gap and returns what
// they come to as a page. Progress is told each row as it comes.
func LongTrials(dir string, progress func(string)) (string, error) {
	all, err := skies(dir, longSeed)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	fmt.Fprintf(&b, longHead, kindRule, longSeed)
	for _, p := range longTries() {
		t, err := p.tryAll(all, progress)
		if err != nil {
			return "", err
		}
		for _, method := range []string{trial.Assisted, trial.Plain} {
			fmt.Fprintf(&b, "\n## By %s: %s\n\n%s%s", p.measure, method, longTableHead, p.table(t, method))
		}
	}
	faults, err := longFaults(dir, all)
	return b.String() + faults, err
}

// longFaults is the page's part of what else may befall a trial, on some skies
// that are laid out; nil lays them out.
func longFaults(dir string, all []trialSky) (page string, err error) {
	if all == nil {
		if all, err = skies(dir, longSeed); err != nil {
			return "", err
		}
	}
	rows, err := minuteDayChecks(dir, 500)
	if err != nil {
		return "", err
	}
	faults, err := faultChecks(all, 100, 3)
	if err != nil {
		return "", err
	}
	years, err := yearChecks(dir, 30)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString("\n## What else may befall a trial\n\n| what | found | unit |\n|---|---:|---|\n")
	for _, c := range slices.Concat(rows, faults, years) {
		fmt.Fprintf(&b, "| %s | %.*f | %s |\n", c.What, c.Digits+1, c.Ours, c.Unit)
	}
	return b.String(), nil
}

// LongRows tries a few of the page's cases again and returns their rows, which
// the page must have.
func LongRows(dir string) (lines []string, err error) {
	all, err := skies(dir, longSeed)
	if err != nil {
		return nil, err
	}
	p := longTries()[0]
	p.kinds, p.gaps, p.tries = []string{allClear, allMixed}, trialGaps[:1], []int{p.tries[0], 0, 0, 0}
	t, err := p.try(all)
	for c, of := range t {
		lines = append(lines, longRow(c, of))
	}
	return lines, err
}

// tryAll tries one kind of days with one gap after the other.
func (p tryPlan) tryAll(all []trialSky, progress func(string)) (tried, error) {
	whole := tried{}
	for _, kind := range p.kinds {
		for _, gapS := range p.gaps {
			one := p
			one.kinds, one.gaps = []string{kind}, []float64{gapS}
			t, err := one.try(all)
			if err != nil {
				return nil, err
			}
			maps.Copy(whole, t)
			for _, method := range []string{trial.Assisted, trial.Plain} {
				progress(one.table(t, method))
			}
		}
	}
	return whole, nil
}

// table has a row for each case of a method, and one for all.
func (p *tryPlan) table(t tried, method string) string {
	var b strings.Builder
	var pooled []outcome
	for _, kind := range p.kinds {
		for _, gapS := range p.gaps {
			for _, days := range trialDays {
				c := trialCase{kind, days, gapS, p.measure, method}
				if o := t[c]; len(o) > 0 {
					b.WriteString(longRow(c, o))
					pooled = append(pooled, o...)
				}
			}
		}
	}
	b.WriteString(longLine("all", "", "", tell(pooled)))
	return b.String()
}

const longTableHead = "| days | | apart, s | trials | true gain, % | bias | error (rms) | half-width, median | held, % |\n|---|---:|---:|---:|---:|---:|---:|---:|---:|\n"

const longHead = `# Trials of known gain

What trials told whose true gain is known, in percentage points of gain: days
measured in Golden, 2019-2020 (15 minutes) and Roskilde, 2019 (hours), and made
for a cloudy lowland and high plains (minutes), with clouds at seconds that
change as much as those measured every 2 s in Livermore; looks each quarter
hour, 60 W at a tilt of 40, headings right, a sensor of 10 bits with 20 mA of
noise and a hundred reads in a reading. Held is how many intervals of 95 %%
held the truth. Assisted has a reading a minute between the looks; plain has the
looks alone.

Kinds of days: %s. Days of one kind are drawn from a half of a year and keep
their dates.

Seed %d. Written anew by

    TURNSOLE_LONG=1 TURNSOLE_DATA=... go test ./checks -run TestLongTrials -timeout 4h
`

func longRow(c trialCase, o []outcome) string {
	return longLine(c.kind, fmt.Sprint(c.days), fmt.Sprintf("%.0f", c.gapS), tell(o))
}

func longLine(kind, days, gap string, t telling) string {
	return fmt.Sprintf("| %s | %s | %s | %d | %.1f | %+.2f | %.2f | %.2f | %.1f |\n", kind, days, gap, t.n, t.meanTrue, t.bias, t.rms, t.halfwidth, t.coverage)
}
