package aim

import (
	"turnsole/compass"
	"turnsole/place"
	"turnsole/sun"
)

// Sight is all that a policy knows when it is asked for its next command. It
// holds what a controller has counted or measured, faults and all, never what
// is true.
type Sight struct {
	UpS float64 // since power-up, by the controller's own oscillator, asleep or awake

	HasClock bool    // a clock is fitted and has been set
	UnixS    float64 // by that clock, drift and all

	CurrentA float64 // panel current as read just now, after the command's rest; NaN where nothing is read

	// Eyes is (left - right) / (left + right) of two light sensors with a shade
	// between them, -1..1. Left is the counterclockwise side, the east of a
	// panel that faces south. 0 where there are none.
	Eyes float64

	HasWind bool
	WindMS  float64

	Home  bool          // the magnet switch at the still heading is closed
	Stop  int           // the last turn ended at an end stop: -1 the low one, +1 the high one
	Fresh bool          // first call after power-up, or "new spot" was pressed
	Told  compass.Angle // where the drive believes it stands: controller's own frame, unwrapped
}

// Verb is what a command asks for.
type Verb int

// What a command can ask for.
const (
	Sleep Verb = iota // sleep for Seconds, then read and ask again
	Rest              // stay awake for Seconds without turning, then read and ask again
	Turn              // turn to To, then read and ask again
)

func (v Verb) String() string { return named(int(v), "sleep", "rest", "turn") }

// Look labels a reading that a trial or a check will want to find again.
type Look int

// The kinds of look.
const (
	NoLook    Look = iota
	StillLook      // at the still heading, one of a pair
	AimedLook      // as the policy aims, one of a pair or of three points
	LowLook        // three points: counterclockwise of the aim
	HighLook       // three points: clockwise of the aim
)

func (l Look) String() string { return named(int(l), "", "still", "aimed", "low", "high") }

func named(i int, names ...string) string {
	if i < 0 || i >= len(names) {
		return "unknown"
	}
	return names[i]
}

// Command is what a policy wants done before it is asked again.
type Command struct {
	Verb    Verb
	Seconds float64 // of Sleep and Rest: finite, > 0

	// To is where to turn, in the drive's frame (that of Sight.Told), unwrapped.
	// It lies within Site.Low..High, until the switch at the still heading or an
	// end stop has shown that the drive has lost count: then it lies as far
	// beside them as the drive is wrong.
	To compass.Angle

	// Look labels the reading that follows a Rest. Pair numbers the looks that
	// belong together, from 1, odd before the panel is aimed anew and even
	// after; 0 for none.
	Look Look
	Pair int32
}

// Policy decides what the controller does next. Next is called when the last
// command has been carried out; it allocates nothing and needs no other call.
// A Policy is for one controller and one goroutine.
type Policy interface {
	Next(s *Sight) Command
}

// Site is what was measured or set when the stand was put up.
type Site struct {
	Spot  place.Spot    // hemisphere and east side follow from it
	Still compass.Angle // heading at which the switch sits and a still panel would look, Low..High

	// Low and High are the cable's limits, unwrapped headings by the
	// controller's own north, Low < High, at most two turns apart. End stops,
	// where there are any, stand there.
	Low, High compass.Angle

	StepDeg compass.Angle // the drive's finest turn, > 0
	Path    *sun.Path     // the sun, for policies with a clock; nil without
	BestA   float64       // the panel's current in full sun, > 0
	Home    bool          // there is a magnet switch at Still
}
