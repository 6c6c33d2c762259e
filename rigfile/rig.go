// Package rigfile reads the builder's file: the one place where spot, weather,
// panel, battery and stand are written down. It reads strictly. An unknown key,
// a wrong unit or an impossible value is refused with line, column and what
// would be right; everything that the file leaves open gets a stated default,
// and every default is listed.
package rigfile

import (
	"slices"

	"turnsole/battery"
	"turnsole/drive"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/sensor"
	"turnsole/stand"
	"turnsole/weather"
	"turnsole/wiring"
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

	// What the stand is built of, and what the wind is to leave standing.
	Frame        stand.Frame
	Base         stand.Base // its Terrain is each spot's own, its HoldingNm what the drive holds
	Timber       Timber
	WantedWindMS float64 // mean wind of a forecast

	// What turns it and what is in the way of that.
	Train      drive.Train
	Axle       drive.Axle // its WindNm is that of MoveWindMS
	MotorFrame string
	MoveWindMS float64        // gust
	CableRange *[2]float64    // headings, unwrapped; nil where the year says
	Sensor     sensor.Current // of the panel's current

	// How the controller aims, and by what.
	Policy                                                   string // as aim.New knows it
	HasClock, HasEyes, HasHome, HasStops, HasWind, DaySupply bool
	Park                                                     string    // heading at night: "morning", "still" or "stay"
	Dialled                                                  []Dialled // settings of the policy that the file gives
	Faults                                                   sensor.Faults

	Wires Wires
	Trial Trial

	// What panel, stand and drive weigh and cost; drive is all that turning
	// adds, the controller too. Nil where the file does not say.
	PanelMassKg, StandMassKg, DriveMassKg *float64
	PanelPrice, StandPrice, DrivePrice    *float64

	Assumed []Assumed // in the order of the sections

	file    string
	places  map[string]where  // of the keys that the file gives
	written map[string]string // by key
}

// Timber is the batten that rails and legs are cut from.
type Timber struct{ WidthM, HeightM float64 }

// Wires are the cables from part to part.
type Wires struct {
	Panel, Battery, Motor, Controller Wire
	Loads                             []Wire // in the order of Rig.Loads
}

// Wire is a cable as the builder has it, or wants it chosen.
type Wire struct {
	LengthM float64       // one way
	Cable   *wiring.Cable // nil: to be chosen
	FuseA   *float64      // nil: to be chosen

	cable *cableValue
}

// Spot is one place where the rig stands, with the weather there.
type Spot struct {
	place.Spot
	Terrain   stand.Terrain
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

// Parts of the job whose answers alone rest on some defaults.
const (
	ForStand  = "stand" // what makes the tilt
	ForWind   = "wind"  // what stands against wind
	ForDrive  = "drive"
	ForWiring = "wiring"
	ForAim    = "aim"
	ForTrial  = "trial"
)

// AssumedFor returns the defaults that answers about some parts of the job rest
// on.
func (r *Rig) AssumedFor(parts ...string) (found []Assumed) {
	for _, a := range r.Assumed {
		if slices.Contains(parts, a.For) {
			found = append(found, a)
		}
	}
	return found
}

// Assumed is a default that answers rest on.
type Assumed struct {
	Key   string // path of the key that the file leaves open
	Value string // as it could be written there
	Why   string // reason of the default
	For   string // the part of the job that alone rests on it; "" where the year's energy does
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

	frame struct {
		kind, footing string
		friction      *float64
	}
	coils        string
	cable        []float64
	offAxis      *float64
	sensorMVPerA float64
	stage        struct {
		kind       string
		efficiency *float64
	}
}

// stageNow is the stage that keys go to at present.
func (d *draft) stageNow() *drive.Stage {
	return &d.rig.Train.Stages[len(d.rig.Train.Stages)-1]
}

// loadDraft is a load before the battery's voltage is known.
type loadDraft struct {
	battery.Load
	power quantity
	wire  Wire
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
