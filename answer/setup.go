package answer

import (
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/rigfile"
	"turnsole/stand"
)

// SetupQuestion asks how to set the stand up square at a spot.
type SetupQuestion struct {
	Rig    *rigfile.Rig
	Spot   string      // the name of one spot; "" for the first
	Dates  []time.Time // the days for which it is wanted, at least one; only year, month and day count
	StickM float64     // length of the stick whose shadow is looked at; 0 for half a metre
	EveryH float64     // hours between two rows of the table; 0 for 1
}

// Setup is a card for a spot and some days: where the stand must face by the
// true north and by a compass, how level it must stand, and where the shadow
// of a stick must fall.
type Setup struct {
	Rig, Spot           string
	Latitude, Longitude compass.Angle
	AltitudeM           float64
	Clock               string // the zone that clock times are told in

	Still      compass.Angle // heading towards the equator, true
	Field      place.Field   // of the earth's magnet there, in the middle of the dates
	FieldYear  float64       // decimal year for which it holds
	FieldWhy   string        // why there is none, "" where there is
	CompassDeg compass.Angle // what a compass shows when the stand faces Still
	StickM     float64
	Days       []SetupDay
	Level      []LevelCost
	Settings   []stand.Setting
	Own        stand.Setting
	Cautions   []string
	Assumed    []rigfile.Assumed
}

// SetupDay is one day's shadows.
type SetupDay struct {
	Date            time.Time
	Rise, Noon, Set *time.Time // by the spot's clock; nil where there is none
	Shadows         []Shadow   // while the sun is high enough for one, by the clock
}

// Shadow is where the shadow of an upright stick lies.
type Shadow struct {
	At           time.Time
	SunAzimuth   compass.Angle
	SunElevation compass.Angle
	Bearing      compass.Angle // true, of the shadow from the stick's foot
	CompassDeg   compass.Angle // what a compass shows along it; as Bearing where there is no Field
	LengthM      float64
}

// LevelCost is what it costs to stand out of level, or off the true heading.
type LevelCost struct {
	OffDeg float64
	Loss   float64 // share of the beam that is lost at most
}
