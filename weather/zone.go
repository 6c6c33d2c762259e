package weather

import (
	"fmt"
	"time"
)

// wallClock turns what a clock shows into an instant. It knows clocks that are
// put forward and back: an hour that comes twice is told apart by the order of
// the rows, an hour that never comes is refused.
type wallClock struct {
	zone *time.Location

	// Between from and until, as the clock shows them, it runs at offset
	// without a change.
	from, until, offset int64

	last     int64 // the instant given last
	lastOff  int64
	skipped  bool  // the time given last can never be shown
	never    int64 // that time
	backward int   // times the clock was put back between two rows
	second   int   // rows told to lie in the second of two like hours
}

func newWallClock(zone *time.Location) *wallClock {
	return &wallClock{zone: zone, from: 1, until: 0, last: minInstant}
}

const minInstant = -1 << 60

// unix returns the instant at which the clock shows wall seconds.
func (c *wallClock) unix(wall int64) (int64, string) {
	u, off := wall-c.offset, c.offset
	if wall < c.from || wall >= c.until {
		var wrong string
		if u, off, wrong = c.search(wall); wrong != "" {
			return 0, wrong
		}
	}
	if c.skipped {
		if wall != c.never && u <= c.last {
			return 0, c.neverShows(c.never)
		}
		c.skipped = wall == c.never
	}
	if c.last != minInstant && off < c.lastOff && u-c.last < 86400 {
		c.backward++
	}
	c.last, c.lastOff = u, off
	return u, ""
}

func (c *wallClock) offsetAt(u int64) int64 {
	_, off := time.Unix(u, 0).In(c.zone).Zone()
	return int64(off)
}

// search looks at the zone's own table.
func (c *wallClock) search(wall int64) (u, off int64, wrong string) {
	// No zone is a day away from Greenwich, so these are safely before and
	// after any change that could concern the hour.
	before, after := c.offsetAt(wall-86400), c.offsetAt(wall+86400)
	first, second := wall-before, wall-after
	firstFits, secondFits := c.offsetAt(first) == before, c.offsetAt(second) == after
	switch {
	case before == after:
		c.remember(first, before)
		return first, before, ""
	case firstFits && secondFits: // put back: the hour comes twice
		if first <= c.last {
			c.second++
			return second, after, ""
		}
		return first, before, ""
	case firstFits:
		return first, before, ""
	case secondFits:
		return second, after, ""
	}
	// Put forward: the hour never comes, but its first instant is the moment
	// of the change, which an hour-ending row may carry by the old clock.
	if c.offsetAt(first-1) == before {
		c.skipped, c.never = true, wall
		return first, after, ""
	}
	return 0, 0, c.neverShows(wall)
}

// neverShows says of a time that the zone's clock passes over it.
func (c *wallClock) neverShows(wall int64) string {
	return fmt.Sprintf("the clock of %v is put forward over %s, which this file has: it does not keep the zone's summer time. "+
		"If its clock is the same all year, weather.columns.zone of the rig file should be a fixed offset, such as %q",
		c.zone, time.Unix(wall, 0).UTC().Format("15:04 on 2 January 2006"), c.standard(wall))
}

// standard writes the zone's standard time in the year of an instant as a
// fixed offset.
func (c *wallClock) standard(u int64) string {
	return utcName(standardOffset(c.zone, u))
}

// utcName writes an offset as a rig file does: UTC+5:30.
func utcName(offset time.Duration) string {
	minutes := int(offset.Abs().Minutes())
	sign := '+'
	if offset < 0 {
		sign = '-'
	}
	s := fmt.Sprintf("UTC%c%d", sign, minutes/60)
	if minutes%60 != 0 {
		s += fmt.Sprintf(":%02d", minutes%60)
	}
	return s
}

// remember keeps the stretch around u in which the clock is not changed.
func (c *wallClock) remember(u, off int64) {
	start, end := time.Unix(u, 0).In(c.zone).ZoneBounds()
	c.offset, c.from, c.until = off, minInstant, -minInstant
	if !start.IsZero() {
		c.from = start.Unix() + off + 86400
	}
	if !end.IsZero() {
		c.until = end.Unix() + off - 86400
	}
}

// standardOffset returns the zone's offset without summer time in the year of
// an instant: the smaller of midwinter's and midsummer's.
func standardOffset(zone *time.Location, u int64) time.Duration {
	year := time.Unix(u, 0).UTC().Year()
	_, january := time.Date(year, time.January, 1, 12, 0, 0, 0, zone).Zone()
	_, july := time.Date(year, time.July, 1, 12, 0, 0, 0, zone).Zone()
	return time.Duration(min(january, july)) * time.Second
}
