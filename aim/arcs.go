package aim

import (
	"math"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/sun"
)

// Arc is how a stand that follows the sun turns through one day. Headings are
// unwrapped: To - From is the whole turn, clockwise positive, and may pass
// north without a jump. A sun that stays up all day gives a full turn.
type Arc struct {
	Day      int           // of the year, 1 is the first of January
	From, To compass.Angle // headings at the day's first and last light; From is 0..360

	// Inside the tropics the sun may first swing away from where it will end,
	// and swing back after it has passed there: by how much, >= 0.
	BeyondFrom, BeyondTo compass.Angle
}

// sampleS is the step along the sun's path: a degree of the earth's turn. Where
// the sun comes within 0.002 degrees of straight up it may seem to pass on the
// other side.
const sampleS = 240

// finer is in how many parts a step is cut in which a day begins or ends. The
// refraction of the path sets in all at once just below the horizon; steps of
// 15 s keep that apart from the horizon itself, and misplace the ends by less
// than 0.001 degrees.
const finer = 16

// Arcs returns how the heading of a follower turns on each day of a year while
// the sun's centre, as seen through the air, stands higher than an elevation
// (0 or more) over a level horizon; the skyline is left out of account. A day
// runs from the sun's lowest to its next lowest. Days without such a sun are
// left out. Outside the years that package sun knows there are none.
func Arcs(spot place.Spot, year int, above compass.Angle) []Arc {
	newYear, err := sun.CalendarDay(year, 1, 1)
	if err != nil {
		return nil
	}
	nextYear, err := sun.CalendarDay(year+1, 1, 1)
	if err != nil {
		return nil
	}
	days := int(nextYear - newYear)
	// The mean sun is lowest at midnight by the spot's longitude, the true sun
	// within 17 minutes of it.
	first := newYear - sun.JulianDay(spot.Longitude/360) - halfHour
	w := walker{
		path:      sun.NewPath(sun.At(spot), first, first+sun.JulianDay(days+1), sun.DeltaT(newYear)),
		threshold: above.Sin(), days: days, arcs: make([]Arc, 0, days),
	}
	for day := range days + 1 {
		w.walk(first + sun.JulianDay(day))
	}
	return w.arcs
}

const halfHour = sun.JulianDay(1.0 / 48)

// walker goes along the sun's path and writes down each day's arc.
type walker struct {
	path      *sun.Path
	threshold float64
	days      int
	arcs      []Arc

	started         bool
	last            sample
	day             int  // 0 before the first lowest sun
	seen            bool // the sun, today
	from, low, high float64
	heading         float64 // degrees, unwrapped
}

// sample is the sun at an instant.
type sample struct {
	at sun.JulianDay
	compass.Direction
}

// walk goes through the 24 hours from an instant on.
func (w *walker) walk(from sun.JulianDay) {
	const perDay = 86400 / sampleS
	var east, north, up [perDay]float64
	w.path.Directions(from, sampleS, east[:], north[:], up[:])
	for i := range east {
		at := from + sun.JulianDay(float64(i)/perDay)
		w.step(sample{at, compass.Direction{East: east[i], North: north[i], Up: up[i]}})
	}
}

// step goes on to the next sample. Where the sun crosses the meridian from
// west to east it is at its lowest, and a day ends.
func (w *walker) step(next sample) {
	last := w.last
	w.last = next
	if !w.started {
		w.started = true
		return
	}
	if !(last.East <= 0 && next.East > 0) {
		w.follow(last, next)
		return
	}
	lowest := mix(last, next, last.East/(last.East-next.East))
	lowest.East = 0
	w.follow(last, lowest)
	w.close()
	w.follow(lowest, next)
}

// follow turns with the sun from a to b, as far as it is high enough.
func (w *walker) follow(a, b sample) {
	aUp, bUp := a.Up >= w.threshold, b.Up >= w.threshold
	switch {
	case w.day < 1 || w.day > w.days || !(aUp || bUp):
		return
	case !aUp:
		a = w.edge(a, b)
	case !bUp:
		b = w.edge(a, b)
	}
	if !w.seen {
		w.seen = true
		w.heading = float64(a.Azimuth())
		w.from, w.low, w.high = w.heading, w.heading, w.heading
	}
	turn := math.Atan2(b.East*a.North-b.North*a.East, a.North*b.North+a.East*b.East)
	w.heading += float64(compass.Radians(turn))
	w.low, w.high = min(w.low, w.heading), max(w.high, w.heading)
}

// edge returns the sun between a and b where it becomes, or ceases to be, high
// enough.
func (w *walker) edge(a, b sample) sample {
	var east, north, up [finer]float64
	step := (b.at - a.at) / finer
	w.path.Directions(a.at, float64(step)*86400, east[:], north[:], up[:])
	last := a
	for i := 1; i < finer; i++ {
		next := sample{a.at + sun.JulianDay(i)*step, compass.Direction{East: east[i], North: north[i], Up: up[i]}}
		if (last.Up >= w.threshold) != (next.Up >= w.threshold) {
			b = next
			break
		}
		last = next
	}
	return mix(last, b, (w.threshold-last.Up)/(b.Up-last.Up))
}

// close writes the day's arc and begins the next day.
func (w *walker) close() {
	if w.seen {
		arc := Arc{Day: w.day, From: compass.Angle(w.from), To: compass.Angle(w.heading)}
		arc.BeyondFrom, arc.BeyondTo = compass.Angle(w.from-w.low), compass.Angle(w.high-w.heading)
		if arc.To < arc.From {
			arc.BeyondFrom, arc.BeyondTo = compass.Angle(w.high-w.from), compass.Angle(w.heading-w.low)
		}
		w.arcs = append(w.arcs, arc)
	}
	w.day++
	w.seen = false
}

// mix goes a share of the straight way from a to b.
func mix(a, b sample, share float64) sample {
	return sample{a.at + sun.JulianDay(share)*(b.at-a.at), compass.Direction{
		East:  a.East + share*(b.East-a.East),
		North: a.North + share*(b.North-a.North),
		Up:    a.Up + share*(b.Up-a.Up),
	}}
}
