package answer

import (
	"math"
	"slices"

	"turnsole/season"
)

// Figures are what one way brings in a stretch of time, beside the baseline in
// the same stretch and the same weather. A nil gain is one that means nothing
// there; Why says why.
type Figures struct {
	season.Sum
	GainLight, GainPanel, GainNet *float64 // fraction over the baseline's own figure
	GainNetLow, GainNetHigh       *float64 // 5th and 95th percentile of one coming year
	ExtraNetWh                    float64  // over the baseline
	ExtraNetLowWh, ExtraNetHighWh *float64 // 5th and 95th percentile of one coming year
	Why                           string   // why a gain is nil, "" when none is
}

// Baselines under these are too small to divide by: what is left of a polar
// December would make any gain look endless.
const (
	leastWhPerDay       = 1.0
	leastLightKWhPerDay = 0.001
)

func figures(s, base season.Sum) Figures {
	f := Figures{Sum: s, ExtraNetWh: s.NetWh() - base.NetWh()}
	days := max(base.Days, 1)
	f.GainLight = gain(s.LightKWhM2, base.LightKWhM2, leastLightKWhPerDay*days)
	f.GainPanel = gain(s.PanelWh, base.PanelWh, leastWhPerDay*days)
	f.GainNet = gain(s.NetWh(), base.NetWh(), leastWhPerDay*days)
	switch {
	case f.GainLight == nil:
		f.Why = "no light to speak of on the still panel"
	case f.GainPanel == nil:
		f.Why = "the still panel gives under 1 Wh a day"
	case f.GainNet == nil:
		f.Why = "the still panel leaves under 1 Wh a day"
	}
	return f
}

func gain(x, base, least float64) *float64 {
	if !(base >= least) {
		return nil
	}
	g := x/base - 1
	return &g
}

// spread sets the percentiles from runs of the way and of the baseline through
// the same weather.
func (f *Figures) spread(runs, base []season.Sum) {
	if len(runs) < 2 {
		return
	}
	gains := make([]float64, 0, len(runs))
	extras := make([]float64, 0, len(runs))
	for i, r := range runs {
		extras = append(extras, r.NetWh()-base[i].NetWh())
		if g := gain(r.NetWh(), base[i].NetWh(), leastWhPerDay*max(base[i].Days, 1)); g != nil {
			gains = append(gains, *g)
		}
	}
	least, most := percentile(extras, 0.05), percentile(extras, 0.95)
	f.ExtraNetLowWh, f.ExtraNetHighWh = &least, &most
	if f.GainNet == nil || len(gains) < len(runs) {
		return // in some years there is nothing to divide by
	}
	low, high := percentile(gains, 0.05), percentile(gains, 0.95)
	f.GainNetLow, f.GainNetHigh = &low, &high
}

// percentile sorts x and returns its p-th part, 0..1, between the two nearest
// by straight line.
func percentile(x []float64, p float64) float64 {
	slices.Sort(x)
	at := p * float64(len(x)-1)
	low := int(math.Floor(at))
	high := min(low+1, len(x)-1)
	return x[low] + (at-float64(low))*(x[high]-x[low])
}
