// Package stand is the wood and metal that hold the panel at a tilt.
package stand

import (
	"fmt"

	"turnsole/compass"
)

// Stand holds the panel at a tilt that is changed by hand.
type Stand struct {
	Tilt            compass.Angle // the rig's own tilt, Lowest..Highest
	Lowest, Highest compass.Angle // tilts that the stand can be set to, 0..90
	// Notches is how many tilts the stand is set to in the course of a year,
	// each for one stretch of days: 1 or more.
	Notches int
	// HandsFrom and HandsTo are the hours of the clock between which somebody
	// is there to turn the panel by hand, 0..24.
	HandsFrom, HandsTo float64
}

// Validate returns an error where a figure is outside its range.
func (s Stand) Validate() error {
	switch {
	case !(s.Lowest >= 0 && s.Lowest <= s.Highest && s.Highest <= 90):
		return fmt.Errorf("the stand's tilts must lie between 0 and 90 degrees, the lowest first")
	case !(s.Tilt >= s.Lowest && s.Tilt <= s.Highest):
		return fmt.Errorf("tilt %v degrees: this stand goes from %v to %v", s.Tilt, s.Lowest, s.Highest)
	case s.Notches < 1:
		return fmt.Errorf("a stand has at least one notch")
	case !(s.HandsFrom >= 0 && s.HandsFrom < s.HandsTo && s.HandsTo <= 24):
		return fmt.Errorf("the hours of hands must lie between 0 and 24, the earlier first")
	}
	return nil
}
