package answer

import (
	"math"
	"testing"

	"turnsole/season"
)

func TestPercentileIsLinearBetweenNeighbours(t *testing.T) {
	x := []float64{4, 1, 3, 2, 5}
	for _, c := range []struct{ p, want float64 }{{0, 1}, {0.5, 3}, {1, 5}, {0.05, 1.2}, {0.95, 4.8}} {
		if got := percentile(x, c.p); math.Abs(got-c.want) > 1e-12 { // rounding
			t.Errorf("percentile %v is %v, want %v", c.p, got, c.want)
		}
	}
	if percentile([]float64{7}, 0.95) != 7 {
		t.Error("one value is every percentile")
	}
}

func TestNoGainOverNothing(t *testing.T) {
	dark := figures(season.Sum{LightKWhM2: 1, PanelWh: 40, UsedWh: 40, Days: 30}, season.Sum{Days: 30})
	if dark.GainLight != nil || dark.GainPanel != nil || dark.GainNet != nil || dark.Why == "" {
		t.Errorf("a gain over a dark month: %+v", dark)
	}
	if dark.ExtraNetWh != 40 {
		t.Errorf("extra %v Wh, want 40", dark.ExtraNetWh)
	}
	bright := figures(season.Sum{LightKWhM2: 130, PanelWh: 9000, UsedWh: 8000, OwnUseWh: 300, Days: 30},
		season.Sum{LightKWhM2: 100, PanelWh: 8000, UsedWh: 7000, Days: 30})
	if math.Abs(*bright.GainLight-0.3) > 1e-12 || math.Abs(*bright.GainNet-0.1) > 1e-12 || bright.Why != "" { // rounding
		t.Errorf("%+v", bright)
	}
}

func TestSpreadComparesTheSameWeather(t *testing.T) {
	var runs, base []season.Sum
	for i := range 101 { // a year's luck moves both; turning brings 10 to 20 %
		luck := 1000 + 10*float64((i*37)%101)
		base = append(base, season.Sum{UsedWh: luck, Days: 100})
		runs = append(runs, season.Sum{UsedWh: luck * (1.1 + 0.001*float64(i)), Days: 100})
	}
	f := figures(runs[50], base[50])
	f.spread(runs, base)
	if math.Abs(*f.GainNetLow-0.105) > 1e-9 || math.Abs(*f.GainNetHigh-0.195) > 1e-9 { // rounding
		t.Errorf("gains from %v to %v, want 0.105 to 0.195", *f.GainNetLow, *f.GainNetHigh)
	}
	base[3].UsedWh = 0
	f = figures(runs[50], base[50])
	f.spread(runs, base)
	if f.GainNetLow != nil {
		t.Error("a year with nothing to divide by still gave an interval")
	}
}
