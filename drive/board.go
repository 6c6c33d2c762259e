package drive

import (
	"fmt"
	"math"
	"strings"
)

// Board is the whole electronic side of the stand as the battery feels it: the
// controller, its supply and the idle driver, never the chip alone.
type Board struct {
	AwakeW     float64 // while it measures, thinks and drives, >= 0
	AsleepW    float64 // the rest of day and night, >= 0
	WakeEveryS float64 // between two looks while the sun is up, > 0
	AwakeS     float64 // how long one look keeps it awake, 0..WakeEveryS
}

// HourWh returns what the board draws in an hour of which it spends the share
// sunUp (0..1) looking for the sun, the motor's moves not included.
func (b Board) HourWh(sunUp float64) float64 {
	awake := sunUp * math.Min(1, b.AwakeS/b.WakeEveryS)
	return b.AsleepW + awake*(b.AwakeW-b.AsleepW)
}

// AsleepDayWh returns what the board draws in 24 hours without a single look.
func (b Board) AsleepDayWh() float64 { return 24 * b.AsleepW }

// Preset is a kind of board that builders start from until they have measured
// their own.
type Preset struct {
	Name  string
	Title string
	Board Board
}

// Presets returns the kinds of board, thriftiest first. Figures are common
// practice, no source: a measurement of the real board, supply and all, beats
// them.
func Presets() []Preset {
	look := func(awakeW, asleepW float64) Board {
		return Board{AwakeW: awakeW, AsleepW: asleepW, WakeEveryS: 15 * 60, AwakeS: 20}
	}
	return []Preset{
		// 0.2 mA at 12.8 V for chip, regulator and a sleeping driver; 15 mA awake.
		{"bare-chip", "a bare chip with a thrifty regulator", look(0.19, 0.0026)},
		// 30 mA asleep and 50 mA awake at 5 V through a converter that gives back 85 %.
		{"usb-board", "a hobby board fed through its USB socket by a 5 V converter", look(0.29, 0.18)},
		// 40 mA asleep and 60 mA awake, burnt down from 12.8 V by the board's linear regulator.
		{"barrel-board", "a hobby board fed through its barrel jack, straight from the battery", look(0.77, 0.51)},
	}
}

// BoardNamed returns a preset's board.
func BoardNamed(name string) (Board, error) {
	var known []string
	for _, p := range Presets() {
		if p.Name == name {
			return p.Board, nil
		}
		known = append(known, p.Name)
	}
	return Board{}, fmt.Errorf("no board is called %q; known are %s", name, strings.Join(known, ", "))
}

// Validate returns an error where a figure is outside its range.
func (b Board) Validate() error {
	switch {
	case !(b.AwakeW >= 0 && b.AsleepW >= 0) || math.IsInf(b.AwakeW+b.AsleepW, 0):
		return fmt.Errorf("the board's draw must be 0 W or more, awake and asleep")
	case b.AwakeW < b.AsleepW:
		return fmt.Errorf("the board draws more asleep (%g W) than awake (%g W)", b.AsleepW, b.AwakeW)
	case !(b.WakeEveryS > 0):
		return fmt.Errorf("the time between two looks must be more than 0 s")
	case !(b.AwakeS >= 0 && b.AwakeS <= b.WakeEveryS):
		return fmt.Errorf("a look of %g s does not fit between looks that are %g s apart", b.AwakeS, b.WakeEveryS)
	}
	return nil
}
