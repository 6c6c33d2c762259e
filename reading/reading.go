// Package reading is one line of a log: what a rig measured at an instant,
// where the controller believed the panel to be, and what was done to the rig.
// It reads and writes the plain log, row by row, so that a log of any length
// needs no more memory than one row.
package reading

import "math"

// Look says what a reading was taken for.
type Look uint8

// The kinds of look.
const (
	NoLook    Look = iota // no look of a pair
	StillLook             // at the still heading, one of a pair
	AimedLook             // as the policy aims, one of a pair or of three points
	LowLook               // three points: counterclockwise of the aim
	HighLook              // three points: clockwise of the aim
)

func (l Look) String() string {
	return [...]string{"", "still", "aimed", "low", "high"}[min(l, HighLook)]
}

// LookNamed returns the look that String calls so.
func LookNamed(name string) (Look, bool) {
	for l := NoLook; l <= HighLook; l++ {
		if l.String() == name {
			return l, true
		}
	}
	return NoLook, false
}

// Reading is one line of a log. What was not measured, or not logged, is NaN,
// 0 or "".
type Reading struct {
	UnixS   float64 // seconds since 1970-01-01 UTC; NaN where the controller had no clock
	Boot    int     // count of the controller's power-ups, from 1; 0 where it is not logged
	UptimeS float64 // since that power-up; NaN where it is not logged

	// Setup is the name or number of the set-up: it changes whenever the rig or
	// its notch is moved.
	Setup string

	PanelA, PanelV     float64 // at the panel's terminals
	CellA              float64 // a small reference cell on the frame, with its own resistor
	StillA             float64 // a second panel or cell beside the rig that keeps still
	BatteryV, BatteryA float64

	HeadingDeg float64 // told: azimuth where the drive believes the panel points
	TiltDeg    float64 // from flat

	Look  Look
	Pair  int    // number that the looks of one pair share; 0 for none
	Event string // moved, notch, cleaned, storm, note …, as written
}

// Empty returns a reading of nothing.
func Empty() Reading {
	nan := math.NaN()
	return Reading{UnixS: nan, UptimeS: nan, PanelA: nan, PanelV: nan, CellA: nan, StillA: nan,
		BatteryV: nan, BatteryA: nan, HeadingDeg: nan, TiltDeg: nan}
}

// Measured reports whether the reading has any measure.
func (r *Reading) Measured() bool {
	return !(math.IsNaN(r.PanelA) && math.IsNaN(r.PanelV) && math.IsNaN(r.CellA) && math.IsNaN(r.StillA) &&
		math.IsNaN(r.BatteryV) && math.IsNaN(r.BatteryA))
}
