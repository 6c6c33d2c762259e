package checks

import (
	"fmt"
	"math"
	"strconv"

	"turnsole/compass"
	"turnsole/stand"
)

func windRooms() []Room {
	return []Room{
		{
			Title:  "Wind: how much of a forecast comes down to the panel",
			Source: "EN 1991-1-4:2005, Table 4.1 and 4.3-4.5: roughness lengths and lowest heights; terrain factors and the exposure chart (Figure 4.2) at 10 m from memory; open country at 2 m worked by hand from the same formulas",
			Reason: "roundings for the table's own figures, of which the program has a copy: they guard against typing slips only; half the last digit given for the others, half a tenth for what is read off a chart",
			Run:    terrainRows,
		},
		{
			Title:  "Wind: pressure",
			Source: "EN 1991-1-4:2005, 4.5: half of 1.25 kg/m3 times the wind squared",
			Reason: "half the last digit",
			Run:    pressureRows,
		},
		{
			Title:  "Wind: the code's forces on a panel",
			Source: "EN 1991-1-4:2005, Table 7.6 (monopitch canopy, overall coefficients, down for any blockage, up the stronger of without blockage and fully blocked) and 7.4.3 (signboard: 1.80, a quarter of the width off the middle). These are the code's part; the loads take the larger of it and a flat plate's",
			Reason: "roundings; the program's figures are a copy of these, which guards against typing slips only",
			Run:    coefficientRows,
		},
		{
			Title:  "Wind: a flat plate",
			Source: "S. F. Hoerner, Fluid-Dynamic Drag, 1965, and O. Flachsbart, 1932: a square plate's peak and its drag face-on, from memory; R. T. Jones, NACA Report 835, 1946: a slender plate nearly along the wind lifts pi/2 x aspect ratio x angle",
			Reason: "roundings for the plate's own figures, of which the program has a copy: they guard against typing slips only; a fifth for the theory of slender plates, which leaves out what the edges' vortices add to a square one",
			Run:    plateRows,
		},
		{
			Title:  "Wind: where a stand tips, and what ballast it wants",
			Source: "geometry: the line between two of n feet at R is R cos(180/n) from the axis. EN 1990:2002, Table A1.2(A): 0.9 of the weight that holds against 1.5 times the wind. A panel of 10 kg and a metre square, upright on the ground over four feet half a metre from each edge, open country, a forecast of 10 m/s, by hand: 1.8 x 62.5 x 1.4234 = 160.14 N half a metre up",
			Reason: "half the last digit of a working with five digits",
			Run:    footRows,
		},
		{
			Title:  "Wind: the Beaufort scale",
			Source: "the scale of the World Meteorological Organization: limits of each force in m/s, and its mean 0.836 B^1.5",
			Reason: "a force is a whole number; the limits are a copy of these, which guards against typing slips only, the means are not",
			Run:    beaufortRows,
		},
	}
}

// atTenMetres is what EN 1991-1-4 gives for each terrain: the terrain factor
// k_r and the exposure factor at 10 m.
var atTenMetres = []struct{ factor, exposure float64 }{{0.156, 3.0}, {0.170, 2.8}, {0.190, 2.35}, {0.215, 1.7}, {0.234, 1.2}}

func terrainRows(string) ([]Check, error) {
	table, err := readFacts("en1991_terrain")
	if err != nil {
		return nil, err
	}
	open := stand.Open
	rows := []Check{
		{"open country, 2 m: mean wind, c_r", 0.70, open.MeanPerForecast(2), "", 0.005, 3},
		{"open country, 2 m: turbulence, I_v", 0.271, open.Turbulence(2), "", 0.0005, 4},
		{"open country, 2 m: peak pressure over the forecast's", 1.42, exposure(open, 2), "", 0.005, 3},
	}
	for i, f := range table {
		v, err := f.numbers("z0_m", "zmin_m")
		if err != nil {
			return nil, err
		}
		t, name := stand.Terrain(i), "category "+f["category"]+", "+stand.Terrain(i).Name()
		roughM := 10 / math.Exp(1/t.Turbulence(10)) // I_v = 1/ln(z/z0)
		rows = append(rows,
			Check{name + ": roughness length", v[0], roughM, "m", 1e-9, 4},
			Check{name + ": lowest height", v[1], roughM * math.Exp(1/t.Turbulence(0)), "m", 1e-9, 2},
			Check{name + ": terrain factor k_r", atTenMetres[i].factor, t.MeanPerForecast(10) * t.Turbulence(10), "", 0.0005, 4},
			Check{name + ": exposure at 10 m, c_e", atTenMetres[i].exposure, exposure(t, 10), "", 0.05, 2})
	}
	return rows, nil
}

// exposure is the gust's pressure over that of the forecast's mean wind.
func exposure(t stand.Terrain, heightM float64) float64 {
	g := t.GustPerForecast(heightM)
	return g * g
}

func pressureRows(string) ([]Check, error) {
	var rows []Check
	for _, p := range []struct{ windMS, pa, tolerance float64 }{{10, 62.5, 0.05}, {15, 141, 0.5}, {20, 250, 0.5}, {25, 391, 0.5}, {30, 563, 0.5}} {
		rows = append(rows, Check{fmt.Sprintf("%g m/s", p.windMS), p.pa, stand.PressurePa(p.windMS), "N/m2", p.tolerance, 1})
	}
	return rows, nil
}

// pane is a square metre over the axis of a stand.
func pane() stand.Body {
	return stand.Body{Base: stand.Base{Feet: 4, FootRadiusM: math.Sqrt2 / 2, PanelKg: 10, PanelWidthM: 1, PanelLengthM: 1, Friction: 5, Terrain: stand.Open}}
}

func coefficientRows(string) ([]Check, error) {
	table, err := readFacts("en1991_monopitch_canopy")
	if err != nil {
		return nil, err
	}
	const rounding = 1e-12
	var rows []Check
	for _, f := range table {
		v, err := f.numbers("roof_angle_deg", "cf_max", "cf_min", "cf_min_blocked")
		if err != nil {
			return nil, err
		}
		press, lift := stand.CodeCoefficients(compass.Angle(v[0]))
		rows = append(rows,
			Check{fmt.Sprintf("canopy at %g degrees, down", v[0]), v[1], press, "", rounding, 2},
			Check{fmt.Sprintf("canopy at %g degrees, up", v[0]), min(v[2], v[3]), -lift, "", rounding, 2})
	}
	b := pane()
	load := b.LoadAt(b.At(90), 0, 20)
	return append(rows,
		Check{"upright panel as a signboard: force over pressure and area", 1.8, load.NormalN / stand.PressurePa(20), "", rounding, 2},
		Check{"upright panel as a signboard: off the middle, over its width", 0.25, math.Abs(load.TurnNm / load.NormalN), "", rounding, 2}), nil
}

func plateRows(string) ([]Check, error) {
	peak, _ := stand.PlateCoefficient(38)
	faceOn, middle := stand.PlateCoefficient(90)
	along, edge := stand.PlateCoefficient(10)
	_, leading := stand.PlateCoefficient(0)
	slender := math.Pi / 2 * compass.Angle(10).Radians()
	return []Check{
		{"peak, at 38 degrees", 1.45, peak, "", 1e-12, 2},
		{"face-on", 1.17, faceOn, "", 1e-12, 2},
		{"face-on: centre from the edge", 0.5, middle, "chords", 1e-12, 2},
		{"along the wind: centre from the windward edge, a quarter", 0.25, leading, "chords", 1e-12, 2},
		{"10 degrees to the wind: centre, still about a quarter", 0.25, edge, "chords", 0.02, 2},
		{"10 degrees to the wind: force, by the theory of slender plates", slender, along, "", slender / 5, 2},
	}, nil
}

func footRows(string) ([]Check, error) {
	var rows []Check
	for _, f := range []struct {
		feet   int
		radius float64
	}{{3, 0.5}, {4, 0.707}} {
		edge := stand.Base{Feet: f.feet, FootRadiusM: 1}.EdgeM()
		rows = append(rows, Check{strconv.Itoa(f.feet) + " feet: edge over foot radius", f.radius, edge, "", 0.0005, 4})
	}
	tips, slides := pane(), pane()
	slides.Base.Friction = 0.4
	againstTipping, err := tips.BallastFor(tips.At(90), 10)
	if err != nil {
		return nil, err
	}
	againstSliding, err := slides.BallastFor(slides.At(90), 10)
	if err != nil {
		return nil, err
	}
	return append(rows,
		Check{"ballast against tipping: 1.5 x 160.14 N x 0.5 m / (0.9 x 0.5 m), less the panel", 17.22, againstTipping, "kg", 0.005, 2},
		Check{"ballast against sliding at friction 0.4: 1.5 x 160.14 N / (0.9 x 0.4), less the panel", 58.04, againstSliding, "kg", 0.005, 2}), nil
}

func beaufortRows(string) ([]Check, error) {
	table, err := readFacts("beaufort")
	if err != nil {
		return nil, err
	}
	var rows []Check
	edges := 0.0
	for _, f := range table {
		force, err := f.number("force")
		if err != nil {
			return nil, err
		}
		for _, column := range []string{"from_m_s", "to_m_s", "mean_m_s"} {
			if f[column] == "" {
				continue // the last force has no upper limit
			}
			wind, err := f.number(column)
			if err != nil {
				return nil, err
			}
			ours := float64(stand.BeaufortOf(wind).Force)
			if column == "mean_m_s" {
				rows = append(rows, Check{fmt.Sprintf("force of %g m/s", wind), force, ours, "", 0, 0})
			} else {
				edges = max(edges, math.Abs(ours-force))
			}
		}
	}
	return append(rows, Check{"least and most wind of every force: largest error", 0, edges, "", 0, 0}), nil
}
