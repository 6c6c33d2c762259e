// Package battery follows a panel's watt-hours through the charge controller
// into the battery and on to the loads, step by step, and keeps the ledger of
// where each one went.
//
// The rules, all of them simple and stated:
//
//   - Charger, stand and loads hang on the battery's terminals. What the charger
//     delivers feeds first the regulator and the stand, then the loads; only what
//     is left charges the battery, and only that pays the battery's charge loss.
//     Behind a power box the stand is one of the loads.
//   - The battery takes all it is offered up to a knee. Above the knee it is
//     at its absorption voltage and the power it accepts falls in proportion to
//     the charge still missing, down to a tail at which it counts as full.
//   - All loss between charge and discharge is taken while charging; besides
//     there is self discharge. Capacity does not change with the rate or cold.
//   - A battery that must not be charged in the cold is charged only while its
//     cells are at or above that temperature; loads are still fed.
//   - Below the floor the loads are cut off. Regulator and stand go on drawing
//     until nothing is left.
package battery

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// Kind is how a charge controller treats the panel.
type Kind int

// Kinds of charge controller.
const (
	MPPT Kind = iota // finds the panel's best voltage and converts it
	PWM              // a switch: ties the panel to the battery's voltage
)

// Charger is a charge controller.
type Charger struct {
	Kind          Kind
	Efficiency    float64 // MPPT: of the conversion, over 0..1
	TrackingShare float64 // MPPT: share of the greatest power that it finds, over 0..1
	DropV         float64 // PWM: volts lost in switch and leads, 0..3
	OwnA          float64 // its own draw from the battery, day and night, 0..5
	InputLimitW   float64 // most it takes from the panel; 0 no limit
	MaxCurrentA   float64 // most it gives to the battery; 0 no limit
}

// ChargerNamed returns the usual "mppt" or "pwm" charge controller (efficiency,
// tracking, drop and own draw from memory).
func ChargerNamed(name string) (Charger, error) {
	switch strings.ToLower(name) {
	case "mppt":
		return Charger{Kind: MPPT, Efficiency: 0.96, TrackingShare: 0.99, OwnA: 0.010}, nil
	case "pwm":
		return Charger{Kind: PWM, DropV: 0.5, OwnA: 0.010}, nil
	}
	return Charger{}, fmt.Errorf("%q is not a kind of charge controller; write mppt or pwm", name)
}

// Chemistry is what a kind of battery does, by blocks of 12 V. Every preset's
// figure is from memory: common trade values. The sheet of the battery itself
// wins.
type Chemistry struct {
	Name     string
	NominalV float64 // by which ampere-hours become watt-hours

	// Voltage while charging: from EmptyV in a straight line to KneeV at the
	// knee, from there to AbsorptionV when full. Float only keeps it full.
	EmptyV, KneeV, AbsorptionV, FloatV float64

	KneeShare float64 // state of charge above which acceptance falls, over 0, below 1
	KneeC     float64 // power accepted at the knee, in capacities per hour
	TailC     float64 // power accepted when full, in capacities per hour; over 0, below KneeC

	// Share of the charged energy that can be drawn again, below and above the
	// knee, over 0..1.
	Efficiency, TopEfficiency float64

	ColdLimitC   float64 // lowest temperature at which it may be charged; -Inf for none
	FloorShare   float64 // state of charge at which loads are cut off, 0 to below 1
	SelfPerMonth float64 // share of its charge lost in a month by itself, 0..1
}

// never is the cold limit of a battery that has none.
var never = math.Inf(-1)

// ChemistryNamed returns "lifepo4", "flooded", "agm" or "gel".
func ChemistryNamed(name string) (Chemistry, error) {
	switch strings.ToLower(name) {
	case "lifepo4": // four cells in series
		return Chemistry{
			Name: "lifepo4", NominalV: 12.8,
			EmptyV: 12.6, KneeV: 13.7, AbsorptionV: 14.4, FloatV: 13.5,
			KneeShare: 0.97, KneeC: 0.5, TailC: 0.05,
			Efficiency: 0.95, TopEfficiency: 0.95,
			ColdLimitC: 0, FloorShare: 0.10, SelfPerMonth: 0.02,
		}, nil
	case "flooded": // six cells in series, these and the next two
		return leadAcid("flooded", 14.6, 13.4, 0.82, 0.62, 0.04), nil
	case "agm":
		return leadAcid("agm", 14.5, 13.6, 0.87, 0.70, 0.02), nil
	case "gel":
		return leadAcid("gel", 14.2, 13.6, 0.87, 0.70, 0.02), nil
	}
	return Chemistry{}, fmt.Errorf("%q is not a kind of battery; write lifepo4, flooded, agm or gel", name)
}

func leadAcid(name string, absorptionV, floatV, efficiency, topEfficiency, selfPerMonth float64) Chemistry {
	return Chemistry{
		Name: name, NominalV: 12,
		EmptyV: 12.0, KneeV: 13.8, AbsorptionV: absorptionV, FloatV: floatV,
		KneeShare: 0.80, KneeC: 0.25, TailC: 0.02,
		Efficiency: efficiency, TopEfficiency: topEfficiency,
		ColdLimitC: never, FloorShare: 0.50, SelfPerMonth: selfPerMonth,
	}
}

// Battery is a battery where it stands.
type Battery struct {
	Chemistry
	CapacityWh float64 // at nominal voltage, over 0
	Blocks     int     // of 12 V in series: 1 for 12 V, 2 for 24 V, 4 for 48 V
	StartShare float64 // state of charge at the start, 0..1

	// The cells follow the air with this lag in hours, 0 at once; or stay at
	// IndoorsC where the battery stands indoors.
	LagH     float64
	Indoors  bool
	IndoorsC float64

	// Endless is a battery that never fills, empties or loses anything, but for
	// what it refuses in the cold: for a rig that declares no load. What is
	// stored counts as used.
	Endless bool
}

// New returns a 12 V battery of a chemistry, full at the start, whose cells
// follow the air by four hours (common practice for a small one in a box, no
// source).
func New(c Chemistry, capacityWh float64) Battery {
	return Battery{Chemistry: c, CapacityWh: capacityWh, Blocks: 1, StartShare: 1, LagH: 4}
}

// Box is what a portable power box adds to the charger and the battery in it.
// Its output feeds the loads and the stand.
type Box struct {
	InputLimitW float64 // most it takes from the panel; 0 no limit
	IdleW       float64 // its own draw while its output is on, 0 or more

	// AutoOffW is the draw below which the output switches itself off: loads
	// that together draw less are not served. 0 stays on. The output is taken
	// to be on again as soon as the draw is enough; many boxes want a hand.
	AutoOffW float64
}

// Load is something fed for some hours of each day.
type Load struct {
	Name             string
	PowerW           float64 // while it is on, 0 or more
	FromHour, ToHour float64 // by the clock, 0..24; it may run over midnight
}

// Hourly returns what all loads ask in watt-hours in each hour of the day.
func Hourly(loads []Load) ([24]float64, error) {
	var wh [24]float64
	for _, l := range loads {
		switch {
		case !(l.PowerW >= 0) || math.IsInf(l.PowerW, 0):
			return wh, fmt.Errorf("load %q: power is %v W; it must be 0 or more", l.Name, l.PowerW)
		case !(l.FromHour >= 0 && l.FromHour < 24 && l.ToHour >= 0 && l.ToHour <= 24):
			return wh, fmt.Errorf("load %q: runs from %v to %v; hours are 0 to 24 by the clock", l.Name, l.FromHour, l.ToHour)
		case l.FromHour == l.ToHour:
			return wh, fmt.Errorf("load %q: begins and ends at %v; for the whole day write from 0 to 24", l.Name, l.FromHour)
		}
		to := l.ToHour
		if to < l.FromHour {
			to += 24
		}
		for h := range 48 {
			on := math.Min(to, float64(h+1)) - math.Max(l.FromHour, float64(h))
			wh[h%24] += l.PowerW * math.Max(on, 0)
		}
	}
	return wh, nil
}

// System is a charge controller, a battery and perhaps the box around them.
type System struct {
	Charger Charger
	Battery Battery
	Box     *Box // nil for none
}

// Validate says what in the system cannot be, and what would be right. The
// other methods take a valid system for granted.
func (s *System) Validate() error {
	for _, f := range s.figures() {
		if !(f.value >= f.least && f.value <= f.most) {
			return fmt.Errorf("%s is %g; it must lie between %g and %g", f.name, f.value, f.least, f.most)
		}
	}
	b := &s.Battery
	switch {
	case s.Charger.Kind != MPPT && s.Charger.Kind != PWM:
		return errors.New("the charge controller is of no known kind; write mppt or pwm")
	case b.TailC >= b.KneeC:
		return fmt.Errorf("the battery's tail, %g of its capacity an hour, must be less than what it accepts at the knee, %g", b.TailC, b.KneeC)
	case !(b.EmptyV < b.KneeV && b.KneeV <= b.AbsorptionV):
		return fmt.Errorf("the battery's charging voltages must rise: empty %g V, at the knee %g V, absorption %g V", b.EmptyV, b.KneeV, b.AbsorptionV)
	case math.IsNaN(b.ColdLimitC) || b.ColdLimitC > 30:
		return fmt.Errorf("the battery's lowest charging temperature is %g C; it must be at most 30 C", b.ColdLimitC)
	}
	return nil
}

type figure struct {
	name               string
	value, least, most float64
}

func (s *System) figures() []figure {
	const tiny = 1e-6
	c, b := &s.Charger, &s.Battery
	all := []figure{
		{"the charge controller's own draw (A)", c.OwnA, 0, 5},
		{"the charge controller's input limit (W)", c.InputLimitW, 0, 1e6},
		{"the charge controller's greatest current (A)", c.MaxCurrentA, 0, 1e4},
		{"the battery's capacity (Wh)", b.CapacityWh, 0.1, 1e6},
		{"the number of 12 V blocks in series", float64(b.Blocks), 1, 64},
		{"the battery's charge at the start", b.StartShare, 0, 1},
		{"the battery's nominal voltage (V)", b.NominalV, 1, 100},
		{"the battery's charging voltage when empty (V)", b.EmptyV, 1, 100},
		{"the battery's absorption voltage (V)", b.AbsorptionV, 1, 100},
		{"the battery's knee", b.KneeShare, 0.1, 0.999},
		{"what the battery accepts at the knee (capacities an hour)", b.KneeC, 0.001, 20},
		{"the battery's tail (capacities an hour)", b.TailC, 0.0001, 10},
		{"the battery's efficiency", b.Efficiency, 0.1, 1},
		{"the battery's efficiency near full", b.TopEfficiency, 0.1, 1},
		{"the battery's floor", b.FloorShare, 0, 0.99},
		{"the battery's self discharge in a month", b.SelfPerMonth, 0, 1},
		{"the battery's lag behind the air (h)", b.LagH, 0, 1000},
		{"the temperature indoors (C)", b.IndoorsC, -60, 80},
	}
	if c.Kind == MPPT {
		all = append(all, figure{"the charge controller's efficiency", c.Efficiency, tiny, 1},
			figure{"the share of the power that the charge controller finds", c.TrackingShare, tiny, 1})
	} else {
		all = append(all, figure{"the charge controller's voltage drop (V)", c.DropV, 0, 3})
	}
	if x := s.Box; x != nil {
		all = append(all, figure{"the box's input limit (W)", x.InputLimitW, 0, 1e6},
			figure{"the box's idle draw (W)", x.IdleW, 0, 1e4}, figure{"the box's least draw (W)", x.AutoOffW, 0, 1e4})
	}
	return all
}

// PinnedV returns the two voltages at which the panel's power must be offered
// to Step: those at which a PWM charge controller holds the panel when the
// battery is empty and when it is full. Under MPPT they mean nothing and are 0.
func (s *System) PinnedV() (lowV, highV float64) {
	if s.Charger.Kind == MPPT {
		return 0, 0
	}
	blocks := float64(s.Battery.Blocks)
	return s.Battery.EmptyV*blocks + s.Charger.DropV, s.Battery.AbsorptionV*blocks + s.Charger.DropV
}
