package trial

import (
	"fmt"
	"math"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/hindsight"
	"turnsole/season"
)

// Rig is what a trial asks of a rig.
type Rig struct {
	Season season.Rig
	Still  compass.Angle // heading of the baseline
	SleepS float64       // between two aimings, s

	// HeadingWithin is the standard deviation of what the told headings are
	// wrong by: small where a switch at the still heading or an encoder tells,
	// some degrees where nothing does.
	HeadingWithin compass.Angle

	// AirC and WindMS are the usual air about the panel by day at this time of
	// year; both 0 for 15 degrees C and 2 m/s. Only differences of warmth
	// between two headings rest on them.
	AirC, WindMS float64

	SensorA   float64 // largest current that the sensor reads; 0 where it is not known
	CellFullA float64 // current of the reference cell in full sun (1000 W/m2), A; 0 where it is not known
}

// air is the usual air.
func (r *Rig) air() (airC, windMS float64) {
	if r.AirC == 0 && r.WindMS == 0 {
		return 15, 2
	}
	return r.AirC, r.WindMS
}

// Headings' usual errors (common practice, no source).
const (
	HomedWithin   compass.Angle = 1 // a switch or an encoder at the axle
	UnhomedWithin compass.Angle = 4 // set up by compass or by shadow, and nothing that tells since
)

// fullA is the panel's current in full sun, as its charge controller draws it,
// and shortA the most that it can give at all.
func (r *Rig) fullA() (fullA, shortA float64) {
	d := &r.Season.Diode
	shortA = d.ShortCircuitA(1000, 25)
	if r.held() {
		low, high := r.Season.Battery.PinnedV()
		return d.CurrentA((low+high)/2, 1000, 45), shortA
	}
	_, fullA = d.MaximumPower(1000, 25)
	return fullA, shortA
}

// panel is the panel as its charge controller uses it.
func (r *Rig) panel() *hindsight.Panel {
	if r.held() {
		low, high := r.Season.Battery.PinnedV()
		return hindsight.HeldPanel(r.Season.Diode, r.Season.Warmth, (low+high)/2)
	}
	return hindsight.TrackedPanel(r.Season.Diode, r.Season.Warmth)
}

// held reports whether the battery holds the panel's voltage.
func (r *Rig) held() bool { return r.Season.Battery.Charger.Kind == battery.PWM }

func (r *Rig) validate() error {
	switch {
	case !(r.SleepS >= 1 && r.SleepS <= 86400):
		return fmt.Errorf("the controller sleeps %g s, must be 1 to 86400", r.SleepS)
	case !(r.HeadingWithin >= 0 && r.HeadingWithin <= 45):
		return fmt.Errorf("headings that are good to %g degrees: must be 0 to 45", r.HeadingWithin)
	case math.IsNaN(float64(r.Still)):
		return fmt.Errorf("the still heading is no number")
	}
	return nil
}
