// Package loop runs a rig in closed loop: a policy that knows only what its
// sensors read turns a panel that points where gears, wind and lost steps leave
// it, under a sky with clouds, before a charge controller that does not always
// want what the panel gives.
//
// It steps by events. Asleep, the energy is summed at the light's own steps
// with the panel held; awake, from command to command, and second by second
// through a move. Energies are those of each step's mean light. How light comes
// and goes within a step is seen by the sensors only: that keeps chance out of
// the sums, and no policy knows a step's clouds in advance, so the mean is what
// it gets.
package loop

import (
	"fmt"
	"math"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/season"
	"turnsole/sensor"
)

// Rig is a whole rig: what season knows of it, and what only a closed loop asks
// for.
type Rig struct {
	Season season.Rig
	Train  drive.Train
	Axle   drive.Axle
	Sail   Sail // what the wind turns it by; the zero Sail for a rig out of the wind
	Sensor sensor.Current

	// Low and High are the end stops and the cable's limits, unwrapped headings
	// with Low < High and the still heading between them. Both 0: 170 degrees to
	// either side of still.
	Low, High compass.Angle

	Eyes       bool // two light sensors with a shade between them
	Home       bool // a magnet and its switch at the still heading
	HomeWithin compass.Angle
	StopSwitch bool // switches at the end stops: the drive knows that it has run into one
	WindSensor bool
	Clock      bool // that keeps its time while the supply fails
	DaySupply  bool // the controller lives on the panel's own power and dies each night

	BootS          float64 // awake at each wake before the first reading, >= 0
	TrackerWander  float64 // spread of the panel's current about its best, as a share, 0..0.5
	TrackerSettleS float64 // in which the tracker makes good 63 % of a change, >= 0
}

// Common sets what a rig has where nothing is known of it: half a second to
// start up, a tracker that wanders by 2 % and needs 3 s to settle, a switch that
// closes within 3 degrees (common practice, no source).
func (r *Rig) Common() {
	r.BootS, r.TrackerWander, r.TrackerSettleS, r.HomeWithin = 0.5, 0.02, 3, 3
}

// Still is the heading of the panel at rest.
func (r *Rig) Still() compass.Angle { return compass.Equatorward(r.Season.Spot.Latitude) }

// limits are the end stops as the builder set them.
func (r *Rig) limits() (low, high compass.Angle) {
	if r.Low == 0 && r.High == 0 {
		return r.Still() - 170, r.Still() + 170
	}
	return r.Low, r.High
}

// BestA is the panel's current in full sun.
func (r *Rig) BestA() float64 {
	_, bestA := r.Season.Diode.MaximumPower(1000, 25)
	return bestA
}

// Validate returns an error for the first figure that is out of its range.
func (r *Rig) Validate() error {
	checks := []func() error{r.Train.Validate, r.Axle.Validate, r.Sensor.Validate,
		r.Season.Motor.Validate, r.Season.Board.Validate, r.Season.Battery.Validate, r.own}
	for _, check := range checks {
		if err := check(); err != nil {
			return err
		}
	}
	return nil
}

func (r *Rig) own() error {
	low, high := r.limits()
	still := r.Still()
	switch {
	case !(low < high && low >= -1080 && high <= 1080):
		return fmt.Errorf("the end stops are at %g and %g degrees: the low one must be the smaller", low, high)
	case !(low <= still && still <= high):
		return fmt.Errorf("the still heading, %g degrees, is not between the end stops, %g and %g degrees", still, low, high)
	case !(r.BootS >= 0 && r.BootS <= 60):
		return fmt.Errorf("the controller needs %g s to start up, must be 0 to 60", r.BootS)
	case !(r.TrackerWander >= 0 && r.TrackerWander <= 0.5):
		return fmt.Errorf("the tracker wanders by %g, must be 0 to 0.5", r.TrackerWander)
	case !(r.TrackerSettleS >= 0 && r.TrackerSettleS <= 600):
		return fmt.Errorf("the tracker settles in %g s, must be 0 to 600", r.TrackerSettleS)
	case !(r.HomeWithin >= 0 && r.HomeWithin <= 90):
		return fmt.Errorf("the switch closes within %g degrees, must be 0 to 90", r.HomeWithin)
	}
	for k, nm := range r.Sail {
		if math.IsNaN(nm) || math.IsInf(nm, 0) {
			return fmt.Errorf("the wind's moment from %d degrees is %g, must be a number", 5*k, nm)
		}
	}
	return nil
}

// Site is what the controller was told of the rig when it was set up.
func (r *Rig) Site(g *Ground) aim.Site {
	low, high := r.limits()
	s := aim.Site{Spot: r.Season.Spot, Still: r.Still(), Low: low, High: high,
		StepDeg: r.Train.StepAtPanel(), BestA: r.BestA(), Home: r.Home}
	if r.Clock {
		s.Path = g.path
	}
	return s
}
