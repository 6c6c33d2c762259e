// Package rigfile reads the builder's file: the one place where spot, weather,
// panel, battery and stand are written down. It reads strictly. An unknown key,
// a wrong unit or an impossible value is refused with line, column and what
// would be right; everything that the file leaves open gets a stated default,
// and every default is listed.
package rigfile

import (
	"turnsole/battery"
	"turnsole/drive"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/stand"
	"turnsole/weather"
)

// Rig is all that a rig file says, in the words of the packages that reckon
// with it.
type Rig struct {
	Name     string // of the rig; the file's own name where it has none
	Currency string // that prices are in; "" where no price is given

	Spots []Spot // at least one; names differ

	Panel panel.Label // panel.Fit takes it
	Glass plane.Glass

	Charger battery.Charger
	Battery battery.Battery // endless where nothing is declared to draw on it
	Box     *battery.Box    // what a portable power box adds; nil for none
	Loads   []battery.Load

	Stand stand.Stand
	Motor drive.Motor
	Board drive.Board

	// What panel, stand and drive weigh and cost; drive is all that turning
	// adds, the controller too. Nil where the file does not say.
	PanelMassKg, StandMassKg, DriveMassKg *float64
	PanelPrice, StandPrice, DrivePrice    *float64

	Assumed []Assumed // in the order of the sections

	file   string
	places map[string]where // of the keys that the file gives
}

// Spot is one place where the rig stands, with the weather there.
type Spot struct {
	place.Spot
	OwnGround bool // the file says what the ground throws back: its word goes above the weather's
	Weather   Weather
}

// Weather says where a spot's years of sky come from: a file, or twelve
// monthly figures of which years are made.
type Weather struct {
	File    string       // as written, relative to the rig file; "" for made years
	Columns *weather.Map // of a file of no layout known by itself; nil to recognise it

	Monthly *weather.Monthly // what years are made from; nil where there is a file
	Climate string           // the built-in climate whose light Monthly has, "" where it is the file's own

	// Linke turbidity of the clear sky by month, January first; all 0 where the
	// file does not say.
	Turbidity [12]float64

	Years int       // how many years are made, or put together from the file's blocks, 1..1000
	StepS int       // length of a made year's rows: 3600 or 60 s
	Sky   plane.Sky // how the diffuse light is spread

	// A recorded year is put together anew from blocks of so many days.
	BlockDaysMin, BlockDaysMax int
}

// System returns charge controller, battery and box together.
func (r *Rig) System() battery.System {
	return battery.System{Charger: r.Charger, Battery: r.Battery, Box: r.Box}
}

// Assumed is a default that answers rest on.
type Assumed struct {
	Key   string // path of the key that the file leaves open
	Value string // as it could be written there
	Why   string // reason of the default
}

// draft is a rig while its file is read.
type draft struct {
	file     string
	rig      *Rig
	problems Problems
	format   int
	unused   string // notes that nothing reckons with
	glass    glassValue
	spot     *spotDraft
	spots    []*spotDraft
	weather  *weatherDraft // that keys go to at present
	general  weatherDraft  // of [weather]

	// of [weather.columns]
	label, separator string
	step             float64

	charge struct {
		efficiency, dropV *float64
		own               quantity
	}
	battery struct {
		capacity               quantity
		floor, coldC, indoorsC *float64
		lagS                   float64
		idle, offBelow         quantity
		given                  bool // the file has a [battery]
	}
	load  *loadDraft
	loads []*loadDraft

	awake, asleep quantity // of the board
}

// loadDraft is a load before the battery's voltage is known.
type loadDraft struct {
	battery.Load
	power quantity
}

// spotDraft is a spot before its ground and skyline are put together.
type spotDraft struct {
	Spot
	scope    scope
	ground   string
	albedo   [12]float64
	snow     []int
	marks    []place.Mark
	obstacle []place.Obstacle
}

// around is the obstacle that keys go to at present.
func (s *spotDraft) around() *place.Obstacle { return &s.obstacle[len(s.obstacle)-1] }

// weatherDraft is a source of weather before it is known for which latitude.
type weatherDraft struct {
	Weather
	scope     scope // that named the source
	sunHours  *[12]float64
	clearness *[12]float64
	air, wind *[12]float64
	sky, step string
	blocks    []int
}
