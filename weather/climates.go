package weather

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"turnsole/compass"
)

// Climate is a kind of climate built in: what a builder may start from who
// knows nothing of a spot but where it lies.
type Climate struct {
	Name     string        // a plain word, as the rig file names it
	Title    string        // what kind of sky it is
	From     string        // the data that the figures come from
	Latitude compass.Angle // of that place, north positive
	Monthly                // at that place: January of its own hemisphere
}

// climates are summed up by MonthlyOf from open years and rounded; the checks
// sum them up again. Only the equator's is from memory: no open year was at
// hand; and the arctic December, when the sun stays down, lies between its
// neighbours, for use further south.
var climates = [...]Climate{
	{
		Name: "arctic", Title: "polar coast, dark in winter", Latitude: 71.286,
		From: "a typical year of Barrow, Alaska (light modelled from cloud)",
		Monthly: Monthly{
			Clearness: [12]float64{0.21, 0.37, 0.51, 0.54, 0.46, 0.39, 0.41, 0.37, 0.31, 0.39, 0.41, 0.31},
			AirC:      [12]float64{-23.8, -26.0, -23.8, -18.3, -6.4, 0.7, 3.6, 4.2, -0.1, -9.8, -20.4, -22.7},
			AirSwingC: [12]float64{0.0, 0.4, 1.5, 2.8, 2.0, 1.3, 1.5, 1.2, 0.5, 0.0, 0.0, 0.4},
			WindMS:    [12]float64{5.3, 5.1, 4.7, 4.2, 6.2, 5.2, 5.4, 5.6, 7.0, 5.7, 5.2, 5.6},
		},
	},
	{
		Name: "cloudy-lowland", Title: "cloudy lowland near the sea", Latitude: 55.696,
		From: "one year measured at Roskilde, Denmark, 2019-2020 (air by day only)",
		Monthly: Monthly{
			Clearness: [12]float64{0.26, 0.32, 0.52, 0.63, 0.47, 0.55, 0.51, 0.49, 0.41, 0.39, 0.25, 0.27},
			AirC:      [12]float64{6.4, 6.0, 6.2, 10.3, 12.3, 18.9, 19.2, 19.6, 15.3, 11.3, 7.3, 5.8},
			AirSwingC: [12]float64{0.6, 0.7, 1.8, 3.6, 2.6, 3.3, 3.2, 2.6, 1.6, 1.0, 0.7, 0.4},
			WindMS:    [12]float64{3.7, 4.4, 3.5, 3.1, 2.9, 2.6, 2.5, 2.3, 2.8, 2.7, 2.9, 3.6},
		},
	},
	{
		Name: "cloudy-maritime", Title: "ocean coast, cloudy all year", Latitude: 55.317,
		From: "a typical year of Sand Point, Alaska",
		Monthly: Monthly{
			Clearness: [12]float64{0.34, 0.32, 0.33, 0.37, 0.31, 0.33, 0.46, 0.30, 0.47, 0.41, 0.36, 0.36},
			AirC:      [12]float64{0.6, 1.2, 1.7, 2.1, 3.2, 8.1, 11.8, 11.9, 7.9, 4.5, 0.4, -0.6},
			AirSwingC: [12]float64{0.2, 0.3, 0.6, 1.4, 1.1, 1.5, 1.6, 1.0, 0.8, 0.4, 0.3, 0.0},
			WindMS:    [12]float64{5.0, 4.8, 5.5, 5.1, 4.2, 5.2, 3.1, 4.0, 5.4, 5.8, 6.3, 6.5},
		},
	},
	{
		Name: "high-plains", Title: "dry high plains", Latitude: 39.742,
		From: "one year measured at Golden, Colorado, 2019-2020",
		Monthly: Monthly{
			Clearness: [12]float64{0.61, 0.60, 0.60, 0.61, 0.61, 0.59, 0.57, 0.58, 0.61, 0.62, 0.60, 0.60},
			AirC:      [12]float64{2.9, -0.4, 6.0, 8.3, 14.9, 21.3, 23.7, 24.5, 18.6, 10.8, 4.4, 3.4},
			AirSwingC: [12]float64{2.6, 2.6, 3.5, 4.5, 5.2, 4.8, 4.5, 4.9, 4.4, 3.4, 2.0, 1.6},
			WindMS:    [12]float64{2.3, 1.9, 2.1, 2.1, 1.8, 2.1, 1.9, 1.9, 1.7, 1.8, 2.0, 2.0},
		},
	},
	{
		Name: "desert", Title: "high desert", Latitude: 35.04,
		From: "a typical year of Albuquerque, New Mexico",
		Monthly: Monthly{
			Clearness: [12]float64{0.61, 0.63, 0.61, 0.68, 0.65, 0.67, 0.66, 0.68, 0.66, 0.65, 0.63, 0.63},
			AirC:      [12]float64{2.6, 4.3, 8.8, 13.9, 17.8, 23.2, 25.6, 24.1, 20.5, 13.7, 7.0, 2.1},
			AirSwingC: [12]float64{5.3, 5.7, 6.1, 5.8, 5.5, 6.4, 5.8, 5.5, 5.2, 5.1, 4.2, 4.2},
			WindMS:    [12]float64{3.3, 3.8, 4.7, 4.6, 4.7, 4.3, 4.0, 4.0, 3.5, 3.5, 3.4, 3.0},
		},
	},
	{
		Name: "mediterranean-south", Title: "dry summers, mild wet winters", Latitude: -33.393,
		From: "a typical year of Santiago, Chile",
		Monthly: Monthly{
			Clearness: [12]float64{0.71, 0.69, 0.67, 0.62, 0.52, 0.51, 0.46, 0.49, 0.54, 0.60, 0.65, 0.67},
			AirC:      [12]float64{21.7, 21.4, 19.6, 15.2, 11.7, 8.5, 8.3, 9.5, 12.4, 14.5, 17.9, 20.4},
			AirSwingC: [12]float64{7.1, 6.7, 6.6, 6.7, 5.3, 4.8, 5.1, 4.5, 5.8, 6.1, 6.5, 6.5},
			WindMS:    [12]float64{3.5, 3.9, 3.1, 2.6, 2.2, 1.9, 1.8, 2.2, 2.2, 3.2, 3.9, 3.9},
		},
	},
	{
		Name: "monsoon", Title: "hot, with a cloudy rainy season", Latitude: 28.567,
		From: "a typical year of New Delhi, India",
		Monthly: Monthly{
			Clearness: [12]float64{0.59, 0.64, 0.66, 0.66, 0.67, 0.57, 0.45, 0.48, 0.56, 0.66, 0.67, 0.61},
			AirC:      [12]float64{13.6, 18.0, 23.7, 29.9, 33.3, 33.0, 31.0, 30.0, 29.7, 27.7, 21.2, 15.1},
			AirSwingC: [12]float64{5.0, 6.1, 6.1, 6.0, 5.3, 3.7, 2.7, 2.2, 3.6, 5.2, 5.7, 4.9},
			WindMS:    [12]float64{2.1, 2.0, 2.4, 3.3, 3.3, 2.9, 2.7, 2.7, 2.2, 1.5, 1.6, 1.9},
		},
	},
	{
		Name: "equatorial", Title: "warm and moist, two rainy seasons", Latitude: 0,
		From: "typical figures from memory, no data",
		Monthly: Monthly{
			Clearness: [12]float64{0.50, 0.52, 0.49, 0.46, 0.46, 0.49, 0.51, 0.53, 0.52, 0.50, 0.46, 0.47},
			AirC:      [12]float64{26, 26, 27, 27, 26, 26, 25, 25, 26, 26, 26, 26},
			AirSwingC: [12]float64{4, 4, 4, 3.5, 3.5, 4, 4, 4, 4, 4, 3.5, 3.5},
			WindMS:    [12]float64{2.5, 2.5, 2.5, 2.5, 2.5, 3, 3, 3, 3, 2.5, 2.5, 2.5},
		},
	},
}

// Climates returns the climates built in, from the arctic to the equator.
func Climates() []Climate { return slices.Clone(climates[:]) }

// ClimateNamed returns a climate by its name.
func ClimateNamed(name string) (Climate, error) {
	var names []string
	for _, c := range climates {
		if c.Name == name {
			return c, nil
		}
		names = append(names, c.Name)
	}
	return Climate{}, fmt.Errorf("no climate is named %q; there are %s", name, strings.Join(names, ", "))
}

// NearestClimate returns the climate nearest in latitude, whatever the
// hemisphere.
func NearestClimate(latitude compass.Angle) Climate {
	distance := func(c Climate) float64 {
		return math.Abs(math.Abs(c.Latitude.Degrees()) - math.Abs(latitude.Degrees()))
	}
	nearest := climates[0]
	for _, c := range climates[1:] {
		if distance(c) < distance(nearest) {
			nearest = c
		}
	}
	return nearest
}

// At returns the climate's figures for a latitude. On the other hemisphere
// the year is shifted by six months, so that midsummer stays midsummer; shifted
// says so. The climate of the equator has no hemisphere.
func (c Climate) At(latitude compass.Angle) (m Monthly, shifted bool) {
	if float64(c.Latitude)*float64(latitude) >= 0 {
		return c.Monthly, false
	}
	for i := range 12 {
		j := (i + 6) % 12
		m.Clearness[i], m.AirC[i] = c.Clearness[j], c.AirC[j]
		m.AirSwingC[i], m.WindMS[i] = c.AirSwingC[j], c.WindMS[j]
	}
	return m, true
}
