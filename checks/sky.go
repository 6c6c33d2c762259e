package checks

import (
	"fmt"
	"math"
	"time"

	"turnsole/compass"
	"turnsole/sky"
	"turnsole/sun"
)

func skyRooms() []Room {
	return append([]Room{
		{
			Title:  "Air mass and Haurwitz's clear sky",
			Source: "Kasten & Young 1989, Applied Optics 28:4735; Haurwitz 1945, Journal of Meteorology 2:154; both computed from the printed formula by an independent program",
			Reason: "one unit of the last digit given",
			Run:    airMassChecks,
		},
		{
			Title:  "Clear sky of Ineichen and Perez",
			Source: "Ineichen & Perez 2002, Solar Energy 73:151, computed from the printed formula by an independent program",
			Reason: "one unit of the last digit given",
			Run:    ineichenChecks,
		},
		{
			Title:  "Clear sky against a model of single absorbers",
			Source: "Bird & Hulstrom 1981, SERI/TR-642-761, at sea level: ozone 0.3 cm, water 1.5 cm, aerosol depths 0.15 (380 nm) and 0.10 (500 nm); the Linke turbidity of that air, 3.03, after Ineichen 2008, Solar Energy 82:1095 (from memory)",
			Reason: "6 %: two descriptions of the same air, each with an uncertainty of about 5 % (Bird & Hulstrom); 75 degrees is as far from the zenith as either was fitted well",
			Run:    birdChecks,
		},
		{
			Title:  "Usual turbidity against ASHRAE's clear day",
			Source: "ASHRAE clear-sky constants A, B (as in Handbook of Fundamentals), 21st of each month, beam with the sun at 30 and 60 degrees",
			Reason: "20 %: ASHRAE's constants describe a fairly clean North American cloudless day, our default the usual haze at 40 degrees north, which is thicker in summer; the check is that neither season nor level is out of range",
			Run:    ashraeChecks,
		},
		{
			Title:  "Distance factor",
			Source: "Spencer 1971, Search 2(5):172, (mean distance / distance) squared by day of the year",
			Reason: "0.001: the series swings 0.0009 wider than the earth's orbit, whose eccentricity of 0.0167 bounds the factor to 0.9675..1.0343",
			Run:    distanceChecks,
		},
		{
			Title:  "Light outside the air and hourly diffuse share, textbook examples",
			Source: "Duffie & Beckman, Solar Engineering of Thermal Processes, 4th edition 2013, examples 1.10.1, 1.10.2 and 2.15.1 (Erbs, Klein & Duffie 1982)",
			Reason: "1.2 %: the book's declination (9.4 degrees) is Cooper's simple fit, the sun's own that day in 2026 is 0.3 degrees higher; the book's solar constant of 1367 W/m2 is used here for the comparison. Diffuse share: one unit of the last digit printed",
			Run:    textbookSkyChecks,
		},
	}, splitRooms()...)
}

func airMassChecks(string) ([]Check, error) {
	var checks []Check
	rows, err := modelRows("air mass Kasten-Young")
	if err != nil {
		return nil, err
	}
	for _, r := range rows {
		up := compass.Angle(90 - r.inputs["zenith_deg"]).Sin()
		checks = append(checks, Check{"air mass, " + r.text, r.values[0], sky.AirMass(up), "", 1e-5, 5})
	}
	if rows, err = modelRows("Haurwitz"); err != nil {
		return nil, err
	}
	for _, r := range rows {
		up := compass.Angle(90 - r.inputs["zenith_deg"]).Sin()
		checks = append(checks, Check{"Haurwitz GHI, " + r.text, r.values[0], sky.Haurwitz(up), "W/m2", 0.01, 2})
	}
	return checks, nil
}

func ineichenChecks(string) ([]Check, error) {
	rows, err := modelRows("Ineichen-Perez")
	if err != nil {
		return nil, err
	}
	var checks []Check
	for _, r := range rows {
		up := compass.Angle(90 - r.inputs["zenith_deg"]).Sin()
		l := sky.NewClear(r.inputs["alt_m"], r.inputs["TL"]).Through(sky.AirMass(up), up, r.inputs["I0n"])
		what := fmt.Sprintf("zenith %.0f, %.0f m, turbidity %.1f: ", r.inputs["zenith_deg"], r.inputs["alt_m"], r.inputs["TL"])
		checks = append(checks,
			Check{what + "GHI", r.values[0], l.GHI, "W/m2", 0.01, 2},
			Check{what + "DNI", r.values[1], l.DNI, "W/m2", 0.01, 2},
			Check{what + "DHI", r.values[2], l.DHI, "W/m2", 0.01, 2})
	}
	return checks, nil
}

func birdChecks(string) ([]Check, error) {
	rows, err := modelRows("Bird-Hulstrom")
	if err != nil {
		return nil, err
	}
	var checks []Check
	for _, r := range rows {
		zenith := r.inputs["zenith_deg"]
		if r.inputs["P_mb"] != 1013 || zenith > 75 {
			continue
		}
		l := sky.NewClear(0, linke(r.inputs)).Light(compass.Angle(90-zenith).Sin(), r.inputs["I0n"])
		what := fmt.Sprintf("zenith %.0f: ", zenith)
		checks = append(checks,
			Check{what + "DNI", r.values[0], l.DNI, "W/m2", 0.06 * r.values[0], 1},
			Check{what + "GHI", r.values[2], l.GHI, "W/m2", 0.06 * r.values[2], 1})
	}
	return checks, nil
}

// linke is the Linke turbidity at sea level of air whose water and aerosol are
// known (Ineichen 2008), with the aerosol's depth brought to 550 nm by the
// slope between the two depths given.
func linke(air map[string]float64) float64 {
	slope := math.Log(air["tau380"]/air["tau500"]) / math.Log(500./380)
	depth := air["tau500"] * math.Pow(500./550, slope)
	return 3.91*math.Exp(0.689)*depth + 0.376*math.Log(air["water_cm"]) + 2 + 0.54 - 0.5 + 0.16
}

func ashraeChecks(string) ([]Check, error) {
	table, err := lightTable("ashrae_clear_sky_abc.csv")
	if err != nil {
		return nil, err
	}
	turbidity := sky.Turbidity(40)
	var checks []Check
	for m, words := range table {
		v, err := numbers(words)
		if err != nil {
			return nil, err
		}
		day := time.Date(2019, time.Month(m+1), 21, 12, 0, 0, 0, time.UTC)
		for _, h := range []compass.Angle{30, 60} {
			theirs := v[1] * math.Exp(-v[2]/h.Sin())
			ours := sky.NewClear(0, turbidity[m]).Light(h.Sin(), extraNormalOn(day)).DNI
			what := fmt.Sprintf("beam, 21 %s, sun at %.0f degrees", day.Month(), h)
			checks = append(checks, Check{what, theirs, ours, "W/m2", 0.2 * theirs, 0})
		}
	}
	return checks, nil
}

func extraNormalOn(noon time.Time) float64 {
	jd := sun.JulianDayOf(noon)
	return sky.ExtraNormal(sun.PositionAt(jd, sun.Observer{}, sun.DeltaT(jd)).DistanceAU)
}

func distanceChecks(string) ([]Check, error) {
	rows, err := modelRows("Spencer distance factor")
	if err != nil {
		return nil, err
	}
	var checks []Check
	for _, r := range rows {
		noon := time.Date(2026, 1, int(dayNumber(r.text)), 12, 0, 0, 0, time.UTC)
		checks = append(checks, Check{"day " + r.text + " of 2026", r.values[0], extraNormalOn(noon) / sky.SolarConstant, "", 0.001, 4})
	}
	return checks, nil
}

func dayNumber(text string) (n float64) {
	fmt.Sscanf(text, "n=%f", &n)
	return n
}

// textbookSkyChecks integrates our sun without air over the examples' day and
// hour by solar time, which is the sun's own hour angle.
func textbookSkyChecks(string) ([]Check, error) {
	const bookOverOurs = 1367 / sky.SolarConstant
	noon := time.Date(2026, 4, 15, 12, 0, 0, 0, time.UTC)
	day, hour := 0.0, 0.0
	for minute := range 1440 {
		jd := sun.JulianDayOf(noon.Add(time.Duration(minute-720) * time.Minute))
		p := sun.PositionAt(jd, sun.Observer{Latitude: 43}, sun.DeltaT(jd))
		energy := bookOverOurs * 60 * sky.ExtraNormal(p.DistanceAU) * max(0, p.Geometric.Sin()) / 1e6
		day += energy
		if w := compass.Turn(0, p.HourAngle); w > -30 && w <= -15 {
			hour += energy
		}
	}
	// kt 0.445 by way of any light: 445 of 1000 W/m2, the sun at 62.2 degrees from the zenith.
	up := compass.Angle(90 - 62.2).Sin()
	erbs := sky.Erbs(0.445*1000*up, up, 1000)
	return []Check{
		{"1.10.1: latitude 43, 15 April, the day", 33.8, day, "MJ/m2", 0.4, 2},
		{"1.10.2: latitude 43, 15 April, 10 to 11 h", 3.79, hour, "MJ/m2", 0.045, 2},
		{"2.15.1: diffuse share at a clearness of 0.445", 0.766, erbs.DHI / erbs.GHI, "", 0.001, 3},
	}, nil
}
