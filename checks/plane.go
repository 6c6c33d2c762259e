package checks

import (
	"fmt"
	"math"
	"slices"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/sky"
)

func planeRooms() []Room {
	return slices.Concat([]Room{
		{
			Title:  "Loss of glass at a slant",
			Source: "Martin & Ruiz 2001 and 2005 (beam, and diffuse from sky and ground); ASHRAE's one coefficient, 0.05; computed from the printed formulas by an independent program",
			Reason: "one unit of the last digit given; the figures are those of the plane's own tables, as a year uses them",
			Run:    glassChecks,
		},
		{
			Title:  "Light on a tilted plane, textbook examples",
			Source: "Duffie & Beckman, Solar Engineering of Thermal Processes, 4th edition 2013, examples 1.6.1, 1.8.1 to 1.8.3, 2.15.1 (isotropic) and 2.16.2 (Perez; its total from a recomputation with the book's figures)",
			Reason: "one unit of the last digit printed; Rb 0.01; the Perez total 0.005, since the example takes the air mass as 1/cos z",
			Run:    textbookPlaneChecks,
		},
	}, exactRooms(), trackedRooms())
}

// alone makes the light of one step ready.
func alone(sun compass.Direction, dni, dhi, extraNormal, albedo float64, model plane.Sky, glass plane.Glass) *plane.Light {
	s := &sky.Series{StepS: 3600}
	addStep(s, sun, dni, dhi, extraNormal, albedo)
	return plane.Prepare(s, place.Skyline{}, model, glass)
}

func glassChecks(string) ([]Check, error) {
	rows, err := modelRows("IAM ASHRAE")
	if err != nil {
		return nil, err
	}
	var checks []Check
	overhead := compass.Direction{Up: 1}
	for _, r := range rows {
		tilt := compass.Angle(r.inputs["aoi_deg"])
		for i, g := range []struct {
			name string
			plane.Glass
		}{{"ASHRAE b0 0.05", plane.ASHRAE(0.05)}, {"Martin-Ruiz ar 0.16", plane.MartinRuiz(0.16)}} {
			l := alone(overhead, 1, 0, 1361, 0, plane.Isotropic, g.Glass)
			on, entered := l.At(0, plane.NewHeading(0), l.Slope(tilt))
			what := fmt.Sprintf("%s, beam at %.0f degrees", g.name, tilt)
			checks = append(checks, Check{what, r.values[i], entered / on, "", 1e-5, 5})
		}
	}
	diffuse, err := diffuseGlassChecks()
	return append(checks, diffuse...), err
}

func diffuseGlassChecks() ([]Check, error) {
	rows, err := modelRows("Martin-Ruiz diffuse")
	if err != nil {
		return nil, err
	}
	var checks []Check
	behind := compass.Direction{North: -0.8, Up: 0.6}
	for _, r := range rows {
		glass, tilt := plane.MartinRuiz(r.inputs["a_r"]), compass.Angle(r.inputs["tilt_deg"])
		// The sky alone, then sky and ground, of which the difference is the
		// ground's.
		dark := alone(behind, 0, 100, 1361, 0, plane.Isotropic, glass)
		bright := alone(behind, 0, 100, 1361, 1, plane.Isotropic, glass)
		north := plane.NewHeading(compass.North)
		skyOn, skyIn := dark.At(0, north, dark.Slope(tilt))
		bothOn, bothIn := bright.At(0, north, bright.Slope(tilt))
		what := fmt.Sprintf("Martin-Ruiz ar %.2f, tilt %.0f degrees: ", r.inputs["a_r"], tilt)
		checks = append(checks,
			Check{what + "sky", r.values[0], skyIn / skyOn, "", 1e-5, 5},
			Check{what + "ground", r.values[1], (bothIn - skyIn) / (bothOn - skyOn), "", 1e-5, 5})
	}
	return checks, nil
}

// beamOn returns the cosine of incidence that a plane's light shows for a beam
// of one.
func beamOn(sun compass.Direction, heading, tilt compass.Angle) float64 {
	l := alone(sun, 1, 0, 1361, 0, plane.Isotropic, plane.Glass{})
	on, _ := l.At(0, plane.NewHeading(heading), l.Slope(tilt))
	return on
}

func textbookPlaneChecks(string) ([]Check, error) {
	// 13 February, 10:30 by the sun; the surface looks 15 degrees west of south.
	sun161 := sunAt(43, cooper(44), -22.5)
	// 16 February, 9 to 10 h, the book's declination.
	sun182 := sunAt(40, -13, -37.5)
	rb := func(sun compass.Direction, tilt compass.Angle) float64 {
		return beamOn(sun, compass.South, tilt) / beamOn(sun, compass.South, 0)
	}
	// 20 February, 9 to 10 h: light of the hour as means, in MJ/m2 and hour.
	sun215 := sunAt(40, cooper(51), -37.5)
	const beam, diffuse = 0.244, 0.796
	extra := 1367 * (1 + 0.033*math.Cos(2*math.Pi*51/365)) * 3600 / 1e6
	total := func(m plane.Sky) float64 {
		l := alone(sun215, beam/sun215.Up, diffuse, extra, 0.6, m, plane.Glass{})
		on, _ := l.At(0, plane.NewHeading(compass.South), l.Slope(60))
		return on
	}
	return []Check{
		{"1.6.1: cosine of incidence", 0.817, beamOn(sun161, 195, 45), "", 0.001, 3},
		{"1.8.1: Rb of the same", 1.66, beamOn(sun161, 195, 45) / beamOn(sun161, 195, 0), "", 0.01, 3},
		{"1.8.2: Rb, latitude 40, slope 30", 1.61, rb(sun182, 30), "", 0.01, 3},
		{"1.8.3: Rb, latitude 40, slope 50", 1.79, rb(sun182, 50), "", 0.01, 3},
		{"2.15.1: isotropic total, slope 60, albedo 0.6", 1.17, total(plane.Isotropic), "MJ/m2", 0.01, 3},
		{"2.16.2: Perez total of the same", 1.370, total(plane.Perez), "MJ/m2", 0.005, 3},
	}, nil
}
