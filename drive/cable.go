package drive

import (
	"fmt"
	"math"
	"slices"

	"turnsole/compass"
)

// Arc is how the panel turns through one day. Headings are unwrapped: To -
// From is the whole turn, clockwise positive.
type Arc struct {
	Day      int           // of the year, from 1; only carried along
	From, To compass.Angle // headings in the morning and in the evening

	// How far the panel swings beyond its morning's and evening's headings,
	// away from the turn between them, >= 0. Only inside the tropics.
	BeyondFrom, BeyondTo compass.Angle
}

// Turn returns the whole turn of the day, clockwise positive.
func (a Arc) Turn() compass.Angle { return a.To - a.From }

// ends returns the least and the greatest heading of the day.
func (a Arc) ends() (low, high compass.Angle) {
	if a.To < a.From {
		return a.To - a.BeyondTo, a.From + a.BeyondFrom
	}
	return a.From - a.BeyondFrom, a.To + a.BeyondTo
}

// moved shifts the arc by whole turns.
func (a Arc) moved(turns float64) Arc {
	a.From += compass.Angle(360 * turns)
	a.To += compass.Angle(360 * turns)
	return a
}

// Wrap is what a year's turning asks of the cable from the panel down.
type Wrap struct {
	Low, High compass.Angle // unwrapped headings that it must reach, Low in 0 <= Low < 360
	Degrees   compass.Angle // High - Low
	StopAt    compass.Angle // heading of the end stops: middle of what is never visited, or of what is visited from both ends
	Days      []Arc         // the days as they were given, moved by whole turns into Low..High
	Why       string
}

// WrapOf finds the least range of headings within which all days can be turned
// through. Between two days the panel may unwind, so each day may be moved by
// whole turns. Without days there is nothing to wrap.
func WrapOf(days []Arc) Wrap {
	if len(days) == 0 {
		return Wrap{Why: "the sun does not rise high enough on any day"}
	}
	lows := make([]float64, len(days))
	lengths := make([]float64, len(days))
	for i, d := range days {
		low, high := d.ends()
		lows[i], lengths[i] = float64(low.Azimuth()), float64(high-low)
	}
	low, degrees := leastRange(lows, lengths)
	w := Wrap{Low: compass.Angle(low), High: compass.Angle(low + degrees), Degrees: compass.Angle(degrees), Days: make([]Arc, len(days))}
	for i, d := range days {
		from, _ := d.ends()
		w.Days[i] = d.moved(math.Round((low + above(lows[i], low) - float64(from)) / 360))
	}
	w.StopAt = (w.High + (360-w.Degrees)/2).Azimuth()
	w.Why = w.why()
	return w
}

// leastRange tries each day's lower end as the end of the range: the least
// range surely begins with one. Lower ends are 0 <= low < 360.
func leastRange(lows, lengths []float64) (low, degrees float64) {
	tries := slices.Clone(lows)
	slices.Sort(tries)
	degrees = math.Inf(1)
	for _, start := range slices.Compact(tries) {
		reach := 0.0
		for i, l := range lows {
			reach = max(reach, above(l, start)+lengths[i])
		}
		if reach < degrees {
			low, degrees = start, reach
		}
	}
	return low, degrees
}

// above returns how far low lies above start, or its next turn does.
func above(low, start float64) float64 {
	if low < start {
		low += 360
	}
	return low - start
}

// fullTurn is what a day under a sun that does not set turns, less what a step
// along the sun's path may lose.
const fullTurn = 359.99

// roomForStops is the least gap in which a stop and its play have room.
const roomForStops = 5

func (w Wrap) why() string {
	gap := 360 - w.Degrees
	if gap >= roomForStops {
		return fmt.Sprintf("%s; the stops belong near %.0f degrees, in the middle of the %.0f degrees that are never visited", w.habit(), wholeHeading(w.StopAt), gap)
	}
	return fmt.Sprintf("%s; every heading is visited, so a plain stop will not do: it must let the panel turn by %.0f degrees, as a stop on a loose ring does, with its middle at %.0f", w.habit(), w.Degrees, wholeHeading(w.StopAt))
}

// habit says how the panel turns and unwinds through the year.
func (w Wrap) habit() string {
	var full, clockwise, counter int
	for _, d := range w.Days {
		switch turn := d.Turn(); {
		case math.Abs(float64(turn)) >= fullTurn:
			full++
		case turn >= 0:
			clockwise++
		default:
			counter++
		}
	}
	switch {
	case full > 0:
		return fmt.Sprintf("on %d days the sun stays up: the panel goes full circle and unwinds once a day, at the lowest sun", full)
	case clockwise > 0 && counter > 0:
		return fmt.Sprintf("the sun passes north of the zenith on some days and south of it on others: the panel turns clockwise on %d days, the other way on %d, and turns back each night the way it came", clockwise, counter)
	}
	return "the panel turns back each night the way it came"
}

// wholeHeading rounds a heading to 0..359.
func wholeHeading(a compass.Angle) float64 { return math.Mod(math.Round(float64(a)), 360) }

// Within reports whether the range fits between two limits of the builder's
// own, unwrapped headings, when it is moved by whole turns.
func (w Wrap) Within(low, high compass.Angle) bool {
	up := compass.Angle(360 * math.Ceil(float64(low-w.Low)/360))
	return w.Low+up >= low && w.High+up <= high
}
