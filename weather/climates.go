package weather

import (
	"fmt"
	"math"

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

var climates = []Climate{}

// Climates returns the climates built in, from the arctic to the equator.
func Climates() []Climate { return append([]Climate(nil), climates...) }

// ClimateNamed returns a climate by its name.
func ClimateNamed(name string) (Climate, error) {
	names := ""
	for _, c := range climates {
		if c.Name == name {
			return c, nil
		}
		names += " " + c.Name
	}
	return Climate{}, fmt.Errorf("no climate is named %q; there are:%s", name, names)
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
