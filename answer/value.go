package answer

import (
	"slices"

	"turnsole/rigfile"
	"turnsole/season"
)

// Value is what a way brings over standing still for what it adds in money and
// in weight. Figures that the rig file has no price or mass for are nil.
type Value struct {
	Way         string
	ExtraNetWh  float64
	ExtraPrice  *float64 // in the rig file's currency
	ExtraMassKg *float64
	WhPerMoney  *float64 // of the window's extra; nil where nothing is paid
	WhPerKg     *float64
	TurnsByHand float64 // that it asks for
}

// values weighs turning, a second panel and turning by hand against each other.
func values(s *SpotWorth, rig *rigfile.Rig) []Value {
	nothing := 0.0
	var out []Value
	for _, w := range s.Ways {
		v := Value{Way: w.Way, ExtraNetWh: w.ExtraNetWh}
		switch w.Way {
		case season.Turning, season.TurningNotches:
			v.ExtraPrice, v.ExtraMassKg = rig.DrivePrice, rig.DriveMassKg
		case season.TwoPanels:
			v.ExtraPrice, v.ExtraMassKg = plus(rig.PanelPrice, rig.StandPrice), plus(rig.PanelMassKg, rig.StandMassKg)
		case season.ByHand2, season.ByHand4:
			v.ExtraPrice, v.ExtraMassKg = &nothing, &nothing
			v.TurnsByHand = float64(len(w.Row.Hands) * s.Days)
		default:
			continue
		}
		v.WhPerMoney, v.WhPerKg = per(v.ExtraNetWh, v.ExtraPrice), per(v.ExtraNetWh, v.ExtraMassKg)
		out = append(out, v)
	}
	if !slices.ContainsFunc(out, func(v Value) bool { return v.WhPerMoney != nil || v.WhPerKg != nil }) {
		return nil
	}
	return out
}

func per(wh float64, of *float64) *float64 {
	if of == nil || !(*of > 0) {
		return nil
	}
	x := wh / *of
	return &x
}

// plus adds what is known of a second panel's own stand to the panel; nil where
// nothing is known of the panel.
func plus(panel, stand *float64) *float64 {
	if panel == nil || stand == nil {
		return panel
	}
	sum := *panel + *stand
	return &sum
}
