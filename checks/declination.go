package checks

import (
	"bytes"
	_ "embed"
	"fmt"
	"math"
	"os/exec"

	"turnsole/compass"
	"turnsole/place"
)

func declinationRooms() []Room {
	return []Room{
		{
			Title:  "Magnetic declination: the model's test values",
			Source: "World Magnetic Model 2025 (Chulliat et al. 2025, NOAA National Centers for Environmental Information and British Geological Survey), the report's twelve test values",
			Reason: "half the last digit printed, and a fiftieth of that for a figure on the edge",
			Run:    declinationTable,
		},
		{
			Title:  "Magnetic declination: test values with more digits",
			Source: "six rows for 2025.0 of WMM2025_TestValues.txt, which NOAA gives out with the model's coefficients",
			Reason: "the table gives 1e-6 nT; its northward parts, and only they, lie up to 3e-4 nT from ours and from the other program's below, as a frame tipped by a thirtieth of a metre on the ground would make them",
			Run:    declinationPoints,
		},
		{
			Title:  "Magnetic declination: another program over the earth",
			Source: "npm geomagnetism 0.2.0 with its own copy of the World Magnetic Model 2025: every 10 degrees of latitude from 80 S to 80 N and every 15 of longitude, at sea level and 2500 m, at the starts of 2025, 2027 and 2029",
			Reason: "the same model in two programs, apart by roundings; their semi-minor axis is cut to a tenth of a millimetre",
			Need:   Peers,
			Run:    declinationPeer,
		},
	}
}

// column is one of the table's: what it is, and ours.
type column struct {
	name, what string
	ours       func(place.Field) float64
}

var declinationAngles = []column{
	{"D_deg", "declination", func(f place.Field) float64 { return float64(f.DeclinationDeg) }},
	{"I_deg", "inclination", func(f place.Field) float64 { return float64(f.InclinationDeg) }},
	{"Ddot_deg_yr", "declination's change in a year", func(f place.Field) float64 { return float64(f.YearlyDeg) }},
}

var declinationStrengths = []column{
	{"X_nT", "northward", func(f place.Field) float64 { return f.XNT }},
	{"Y_nT", "eastward", func(f place.Field) float64 { return f.YNT }},
	{"Z_nT", "downward", func(f place.Field) float64 { return f.ZNT }},
	{"H_nT", "along the ground", func(f place.Field) float64 { return f.HorizontalNT }},
	{"F_nT", "total", func(f place.Field) float64 { return f.TotalNT }},
}

func declinationTable(string) ([]Check, error) {
	rows, err := readFacts("wmm2025_test_values")
	if err != nil {
		return nil, err
	}
	var all []Check
	for _, r := range rows {
		at, err := r.numbers("year", "height_km", "lat_deg", "lon_deg")
		if err != nil {
			return nil, err
		}
		f, err := fieldAt(at[0], at[1], at[2], at[3])
		if err != nil {
			return nil, err
		}
		where := fmt.Sprintf("%.1f, %g km, %+g %+g, ", at[0], at[1], at[2], at[3])
		for _, group := range []struct {
			columns   []column
			unit      string
			tolerance float64
			digits    int
		}{{declinationAngles, "deg", 0.0051, 2}, {declinationStrengths, "nT", 0.051, 1}} {
			for _, c := range group.columns {
				published, err := r.number(c.name)
				if err != nil {
					return nil, err
				}
				all = append(all, Check{where + c.what, published, c.ours(f), group.unit, group.tolerance, group.digits})
			}
		}
	}
	return all, nil
}

func fieldAt(year, km, lat, lon float64) (place.Field, error) {
	spot := place.Spot{Latitude: compass.Angle(lat), Longitude: compass.Angle(lon), AltitudeM: km * 1000}
	return place.MagneticField(spot, year)
}

func declinationPoints(string) ([]Check, error) {
	var all []Check
	for _, r := range []struct{ km, lat, lon, x, y, z float64 }{
		{28, 89, -121, -255.388723, -1482.460628, 56194.288771},
		{48, 80, -96, 1875.982280, -1079.269389, 55623.044051},
		{54, 82, 87, 1324.336929, 1883.428620, 56740.772059},
		{65, 43, 93, 24299.852822, 210.517066, 50037.923998},
		{18, 0, 21, 29274.811882, 659.800118, -14316.722540},
		{51, -33, 109, 21737.778822, -2090.274098, -52710.003920},
	} {
		f, err := fieldAt(2025, r.km, r.lat, r.lon)
		if err != nil {
			return nil, err
		}
		where := fmt.Sprintf("%g km, %+g %+g, ", r.km, r.lat, r.lon)
		for _, c := range []struct {
			what            string
			published, ours float64
		}{{"northward", r.x, f.XNT}, {"eastward", r.y, f.YNT}, {"downward", r.z, f.ZNT}} {
			all = append(all, Check{where + c.what, c.published, c.ours, "nT", 5e-4, 3})
		}
	}
	return all, nil
}

//go:embed peers/declination.js
var declinationScript []byte

// askNode runs a script under Node with the packages of checks/peers, which
// `npm ci` puts there, and returns its rows. Tests run in this folder.
func askNode(script []byte) ([]fact, error) {
	run := exec.Command("node", "-")
	run.Dir = "peers"
	run.Stdin = bytes.NewReader(script)
	return told(run)
}

func declinationPeer(string) ([]Check, error) {
	rows, err := askNode(declinationScript)
	if err != nil {
		return nil, err
	}
	var angle, strength worst
	for _, r := range rows {
		v, err := r.numbers("year", "height_km", "lat_deg", "lon_deg", "declination_deg", "horizontal_nT")
		if err != nil {
			return nil, err
		}
		f, err := fieldAt(v[0], v[1], v[2], v[3])
		if err != nil {
			return nil, err
		}
		band := latitudeBand(v[2])
		angle.add(band, float64(compass.Turn(compass.Angle(v[4]), f.DeclinationDeg)))
		strength.add(band, f.HorizontalNT-v[5])
	}
	return append(angle.checks("declination, ", "deg", 1e-6, 6), strength.checks("strength along the ground, ", "nT", 1e-5, 5)...), nil
}

// latitudeBand parts the grid by how well a compass works there.
func latitudeBand(lat float64) string {
	switch lat = math.Abs(lat); {
	case lat >= 70:
		return "70 and 80 degrees north or south"
	case lat >= 40:
		return "40 to 60"
	}
	return "0 to 30"
}
