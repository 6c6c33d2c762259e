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

// sampleS is the step along the sun's path. Between two samples, a degree of
// the earth's turn, headings and heights run straight: that misplaces the ends
// of a day by less than 0.01 degrees, and mistakes the side on which the sun
// passes only where it comes within 0.002 degrees of straight up.
const sampleS = 240

// Arcs returns how the heading of a follower turns on each day of a year while
// the sun's centre, as seen through the air, stands higher than an elevation
// over a level horizon; the skyline is left out of account. A day runs from
// the sun's lowest to its next lowest. Days without such a sun are left out.
// Outside the years that package sun knows there are none.
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
	path := sun.NewPath(sun.At(spot), first, first+sun.JulianDay(days+1), sun.DeltaT(newYear))

	const perDay = 86400 / sampleS
	var east, north, up [perDay]float64
	w := walker{threshold: above.Sin(), days: days, arcs: make([]Arc, 0, days)}
	for day := range days + 1 {
		path.Directions(first+sun.JulianDay(day), sampleS, east[:], north[:], up[:])
		for i := range east {
			w.step(compass.Direction{East: east[i], North: north[i], Up: up[i]})
		}
	}
	return w.arcs
}

const halfHour = sun.JulianDay(1.0 / 48)

// walker goes along the sun's path and writes down each day's arc.
type walker struct {
	threshold float64
	days      int
	arcs      []Arc

	started         bool
	last            compass.Direction
	day             int  // 0 before the first lowest sun
	seen            bool // the sun, today
	from, low, high float64
	heading         float64 // degrees, unwrapped
}

// step goes on to the next sample. Where the sun crosses the meridian from
// west to east it is at its lowest, and a day ends.
func (w *walker) step(next compass.Direction) {
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
func (w *walker) follow(a, b compass.Direction) {
	aUp, bUp := a.Up-w.threshold, b.Up-w.threshold
	switch {
	case w.day < 1 || w.day > w.days || !(aUp >= 0 || bUp >= 0):
		return
	case aUp < 0:
		a = mix(a, b, aUp/(aUp-bUp))
	case bUp < 0:
		b = mix(a, b, aUp/(aUp-bUp))
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
func mix(a, b compass.Direction, share float64) compass.Direction {
	return compass.Direction{
		East:  a.East + share*(b.East-a.East),
		North: a.North + share*(b.North-a.North),
		Up:    a.Up + share*(b.Up-a.Up),
	}
}
