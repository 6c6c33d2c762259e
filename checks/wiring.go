package checks

import (
	"fmt"

	"turnsole/wiring"
)

func wiringRooms() []Room {
	return []Room{
		{
			Title:  "Cable: American sizes",
			Source: "ASTM B258: 36 AWG is 0.127 mm thick, each gauge below it the 39th root of 92 times thicker; diameter and area of a solid wire worked out from that apart from the program. Resistance in ohms for 1000 feet of annealed copper at 20 C: NBS Handbook 100, Copper Wire Tables, 1966 (from memory)",
			Reason: "half the last digit printed, and for resistance a tenth of a digit more where the handbook's own rounding of the diameter shows",
			Run:    awgTable,
		},
		{
			Title:  "Cable: metric sizes",
			Source: "IEC 60228, the greatest resistance at 20 C of a plain class 5 conductor (from memory), and beside it what the copper alone would have",
			Reason: "a table has no tolerance, and the program's resistances are a copy of it: that guards against typing slips only; the standard's resistance is above that of solid copper of the named area by what stranding adds and less copper spares: 10 to 20 % (common practice, no source)",
			Run:    metricTable,
		},
		{
			Title:  "Cable: currents for good",
			Source: "IEC 60364-5-52, two loaded conductors with PVC insulation in a conduit on a wall (method B1), air of 30 C; and its corrections for warmer air, table B.52.14 (from memory)",
			Reason: "a table has no tolerance, and the program's currents are a copy of it: that guards against typing slips only; corrections are reckoned and printed with two digits",
			Run:    ampacityTable,
		},
		{
			Title:  "Cable: an example of drop",
			Source: "2 L I R with IEC 60228 class 5: 6 A over 5 m one way of 2.5 mm2 (7.98 ohm/km at 20 C) at 18 V",
			Reason: "the last digit printed",
			Run:    dropExample,
		},
		{
			Title:  "Fuse: factors",
			Source: "NEC 690.8(A)(1), 690.8(B) and 690.9(B): 1.25 for light brighter than the label's, times 1.25 for a current that lasts, called 1.56; 1.25 at a battery (common practice, no source). Fuse sizes are those sold (common practice, no source)",
			Reason: "factors and sizes have no tolerance; the factors are a copy of these, which guards against typing slips only, the sizes are found with them",
			Run:    fuseFactors,
		},
	}
}

// ohmsPer1000Feet is the handbook's column, by gauge.
var ohmsPer1000Feet = map[int]struct {
	ohms, lastDigit float64
	digits          int
}{
	2: {0.1563, 1e-4, 4}, 4: {0.2485, 1e-4, 4}, 6: {0.3951, 1e-4, 4}, 8: {0.6282, 1e-4, 4}, 10: {0.9989, 1e-4, 4},
	12: {1.588, 1e-3, 3}, 14: {2.525, 1e-3, 3}, 16: {4.016, 1e-3, 3}, 18: {6.385, 1e-3, 3},
	20: {10.15, 1e-2, 2}, 22: {16.14, 1e-2, 2}, 24: {25.67, 1e-2, 2}, 26: {40.81, 1e-2, 2},
}

func awgTable(string) ([]Check, error) {
	rows, err := readFacts("wire_awg")
	if err != nil {
		return nil, err
	}
	var all []Check
	for _, r := range rows {
		v, err := r.numbers("awg", "diameter_mm", "area_mm2")
		if err != nil {
			return nil, err
		}
		c, err := wiring.Named(fmt.Sprintf("%.0f AWG", v[0]))
		if err != nil {
			return nil, err
		}
		handbook := ohmsPer1000Feet[c.AWG]
		const thousandFeetKm = 0.3048
		all = append(all,
			Check{c.Name + ", diameter", v[1], wiring.DiameterMM(c.AWG), "mm", 0.00005, 4},
			Check{c.Name + ", area", v[2], c.AreaMM2, "mm2", 0.00005, 4},
			Check{c.Name + ", 1000 feet", handbook.ohms, c.OhmPerKm20 * thousandFeetKm, "ohm", 0.6 * handbook.lastDigit, handbook.digits})
	}
	return all, nil
}

func metricTable(string) ([]Check, error) {
	rows, err := readFacts("wire_iec60228")
	if err != nil {
		return nil, err
	}
	var all []Check
	for _, r := range rows {
		v, err := r.numbers("area_mm2", "max_ohm_per_km_20C_class5_plain")
		if err != nil {
			return nil, err
		}
		c, err := wiring.Named(fmt.Sprintf("%g mm2", v[0]))
		if err != nil {
			return nil, err
		}
		solid := wiring.RhoOhmM * 1e9 / c.AreaMM2
		all = append(all,
			Check{c.Name + ", resistance", v[1], c.OhmPerKm20, "ohm/km", 0, 3},
			Check{c.Name + ", resistance over that of solid copper", 1.15, c.OhmPerKm20 / solid, "", 0.05, 3})
	}
	return all, nil
}

func ampacityTable(string) ([]Check, error) {
	rows, err := readFacts("wire_ampacity")
	if err != nil {
		return nil, err
	}
	var all []Check
	for _, r := range rows {
		v, err := r.numbers("area_mm2", "iec60364_5_52_B1_2loaded_PVC70_30C")
		if err != nil {
			return nil, err
		}
		c, err := wiring.Named(fmt.Sprintf("%g mm2", v[0]))
		if err != nil {
			return nil, err
		}
		all = append(all, Check{c.Name, v[1], c.MaxA, "A", 0, 1})
	}
	c, err := wiring.Named("2.5 mm2")
	if err != nil {
		return nil, err
	}
	for _, k := range []struct{ airC, share float64 }{{30, 1}, {35, 0.94}, {40, 0.87}, {45, 0.79}, {50, 0.71}, {55, 0.61}, {60, 0.50}} {
		all = append(all, Check{fmt.Sprintf("share of it in air of %g C", k.airC), k.share, c.MaxAAt(k.airC) / c.MaxA, "", 0.0051, 2})
	}
	return all, nil
}

func dropExample(string) ([]Check, error) {
	c, err := wiring.Named("2.5 mm2")
	drop := c.DropV(5, 6, 20)
	return []Check{
		{"drop", 0.479, drop, "V", 0.0005, 3},
		{"share of 18 V", 2.7, 100 * drop / 18, "%", 0.05, 1},
	}, err
}

func fuseFactors(string) ([]Check, error) {
	panel := wiring.Run{Name: "panel", LengthM: 1, CurrentA: 4.8, SourceV: 18, AmbientC: 30, MaxDrop: 0.03, NeedsFuse: true, ContinuousFactor: wiring.PanelFactor}
	battery := panel
	battery.CurrentA, battery.ContinuousFactor = 6.1, wiring.BatteryFactor
	ofPanel, err := wiring.Size(panel)
	if err != nil {
		return nil, err
	}
	ofBattery, err := wiring.Size(battery)
	return []Check{
		{"factor on a panel's short-circuit current", 1.5625, wiring.PanelFactor, "", 0, 4},
		{"fuse of a panel of 4.8 A: 7.5 A", 7.5, ofPanel.FuseA, "A", 0, 1},
		{"fuse at a battery for 6.1 A that last: 7.63 A, so 10 A", 10, ofBattery.FuseA, "A", 0, 1},
	}, err
}
