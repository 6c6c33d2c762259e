// Package checks holds Turnsole against the outside world: standards, handbook
// examples, open measured data and general-purpose programs. Each room of
// checks names its source; docs/CHECKS.md is written from them.
package checks

import (
	"fmt"
	"math"
)

// Check is one published or measured figure beside ours.
type Check struct {
	What      string  // the quantity, with its inputs
	Published float64 // the source's figure
	Ours      float64
	Unit      string
	Tolerance float64 // allowed |ours - published|, in Unit
	Digits    int     // decimals to print, chosen so that ours is the same on every machine
}

// Err returns an error where the check fails.
func (c Check) Err() error {
	if d := math.Abs(c.Ours - c.Published); !(d <= c.Tolerance) {
		return fmt.Errorf("%s: published %.*f, ours %.*f %s, off by %.3g, allowed %.3g",
			c.What, c.Digits, c.Published, c.Digits, c.Ours, c.Unit, d, c.Tolerance)
	}
	return nil
}

// Need is what a room of checks needs beyond this repository.
type Need int

// Needs.
const (
	Nothing Need = iota
	Data         // the open measured data, found through TURNSOLE_DATA
	Peers        // programs that the check script installs: see there; promised by TURNSOLE_PEERS=1
)

// Room is a group of checks against one source.
type Room struct {
	Title  string // what is checked
	Source string // the publication, dataset or program, with enough to find it
	Reason string // why the tolerance is what it is
	Need   Need
	// Run measures. For a room that needs Data, dir is the folder they lie in.
	Run func(dir string) ([]Check, error)
}

// Rooms returns every room, in the order of the data's flow.
func Rooms() []Room {
	var all []Room
	for _, floor := range [][]Room{sunRooms(), skyRooms(), planeRooms(), panelRooms(), batteryRooms(), weatherRooms(), seasonRooms(),
		standRooms(), windRooms(), driveRooms(), wiringRooms(), sensorRooms(), secondsRooms(), declinationRooms(), shadowRooms(), sheetRooms(), loopRooms(), hindsightRooms(), statisticsRooms(), trialRooms()} {
		all = append(all, floor...)
	}
	return all
}
