package sun

import (
	"math"
	"slices"

	"turnsole/compass"
)

// Day is what the sun does within one day.
//
// It rises and sets where its centre stands 0.8333 degrees below a level
// horizon, seen from the earth's centre and without air, as almanacs have it:
// half the disc and the air's usual lift. The observer's own air and altitude
// play no part. It transits where it crosses the meridian over the observer.
type Day struct {
	// NaN where it doesn't happen within the day.
	Rise, Transit, Set JulianDay

	PolarDay   bool // up all day
	PolarNight bool // down all day
}

// Rises reports whether the sun rises within the day.
func (d Day) Rises() bool { return !math.IsNaN(float64(d.Rise)) }

// Transits reports whether the sun crosses the meridian within the day. A day
// of 24 hours can fall between two transits.
func (d Day) Transits() bool { return !math.IsNaN(float64(d.Transit)) }

// Sets reports whether the sun sets within the day.
func (d Day) Sets() bool { return !math.IsNaN(float64(d.Set)) }

// horizon is the elevation at which the sun rises and sets, h0' of A.2.
const horizon = compass.Angle(-0.8333)

// none is a day on which nothing happens.
func none() Day {
	never := JulianDay(math.NaN())
	return Day{Rise: never, Transit: never, Set: never}
}

// RiseTransitSet returns the three instants by the report's appendix A.2, for
// the universal day in which jd lies. Each is brought into that day, so that
// far from Greenwich the sun may set before it rises. A.2 takes one step
// towards the answer; DayFrom goes all the way.
func RiseTransitSet(jd JulianDay, o Observer, deltaTS float64) Day {
	d := none()
	if jd.Err() != nil {
		return d
	}
	midnight := JulianDay(math.Floor(float64(jd)-0.5) + 0.5)
	s := newThreeDays(midnight, o, deltaTS)
	m0 := float64(s.alpha[1]-o.Longitude-s.nu) / 360 // (A3)
	transit := s.at(wrap(m0))
	d.Transit = midnight + JulianDay(transit.m-float64(transit.hour)/360) // (A13)

	cosH0 := (horizon.Sin() - o.Latitude.Sin()*s.delta[1].Sin()) / (o.Latitude.Cos() * s.delta[1].Cos()) // (A4)
	d.PolarDay, d.PolarNight = cosH0 < -1, cosH0 > 1
	if d.PolarDay || d.PolarNight {
		return d
	}
	half := float64(compass.Radians(math.Acos(cosH0))) / 360
	d.Rise = midnight + JulianDay(s.at(wrap(m0-half)).reach()) // (A5, A14)
	d.Set = midnight + JulianDay(s.at(wrap(m0+half)).reach())  // (A6, A15)
	return d
}

// threeDays is what A.2 starts from: sidereal time at 0 h of the day, and the
// sun at 0 h terrestrial time of the day before, the day and the day after.
type threeDays struct {
	o       Observer
	deltaTS float64
	nu      compass.Angle
	alpha   [3]compass.Angle
	delta   [3]compass.Angle
}

func newThreeDays(midnight JulianDay, o Observer, deltaTS float64) threeDays {
	s := threeDays{o: o, deltaTS: deltaTS, nu: fromCentre(midnight, deltaTS).Nu}
	for i := range 3 {
		w := fromCentre(midnight+JulianDay(i-1), 0)
		s.alpha[i], s.delta[i] = w.Alpha, w.Delta
	}
	return s
}

// moment is the sun at a fraction m of the day.
type moment struct {
	m           float64
	hour, delta compass.Angle // hour angle -180..180, declination
	height      compass.Angle
	latitude    compass.Angle
}

func (s *threeDays) at(m float64) moment {
	n := m + s.deltaTS/86400 // (A8)
	// (A9, A10), right ascension by the short way round.
	before, after := compass.Turn(s.alpha[0], s.alpha[1]), compass.Turn(s.alpha[1], s.alpha[2])
	alpha := s.alpha[1] + between(before, after, n)
	delta := s.delta[1] + between(s.delta[1]-s.delta[0], s.delta[2]-s.delta[1], n)
	hour := compass.Turn(0, s.nu+compass.Angle(360.985647*m)+s.o.Longitude-alpha) // (A7, A11)
	p := s.o.Latitude
	height := compass.Radians(math.Asin(p.Sin()*delta.Sin() + p.Cos()*delta.Cos()*hour.Cos())) // (A12)
	return moment{m: m, hour: hour, delta: delta, height: height, latitude: p}
}

// between interpolates from the differences to the day before and after.
func between(before, after compass.Angle, n float64) compass.Angle {
	return compass.Angle(n * float64(before+after+(after-before)*compass.Angle(n)) / 2)
}

// reach steps to where the sun meets the horizon (A14, A15).
func (v moment) reach() float64 {
	return v.m + float64(v.height-horizon)/(360*v.delta.Cos()*v.latitude.Cos()*v.hour.Sin())
}

// wrap brings a fraction of a day into 0 <= m < 1.
func wrap(m float64) float64 { return m - math.Floor(m) }

// DayFrom returns the first rise, transit and set in the 24 hours that begin at
// start, any instant; a builder's day begins at midnight by the clock on the
// wall. They are sought along the report's positions to 0.01 s; the real air
// and the real horizon often miss the almanac by a minute or more.
func DayFrom(start JulianDay, o Observer, deltaTS float64) Day {
	d := none()
	if start.Err() != nil || (start+1).Err() != nil {
		return d
	}
	w := watcher{track: newTrack(start, start+1, deltaTS), longitude: o.Longitude}
	w.sinLat, w.cosLat = math.Sincos(o.Latitude.Radians())

	times := make([]JulianDay, 0, 147)
	for tenMinutes := range 145 {
		times = append(times, start+JulianDay(tenMinutes)/144)
	}
	down := func(jd JulianDay) float64 { return -w.up(jd) }
	east := func(jd JulianDay) float64 { return -w.west(jd) }
	d.Transit = crossing(w.west, times)
	// A sun that only just clears the horizon does so at its highest or lowest.
	for _, turn := range []JulianDay{d.Transit, crossing(east, times)} {
		if !math.IsNaN(float64(turn)) {
			times = append(times, turn)
		}
	}
	slices.Sort(times)
	d.Rise, d.Set = crossing(w.up, times), crossing(down, times)
	if !d.Rises() && !d.Sets() {
		up := w.up(start)
		d.PolarDay, d.PolarNight = up > 0, up <= 0
	}
	return d
}

// watcher sees the sun from the earth's centre, turned to the observer's frame.
type watcher struct {
	track          track
	longitude      compass.Angle
	sinLat, cosLat float64
}

// west is how far the sun stands past the meridian.
func (w *watcher) west(jd JulianDay) float64 {
	n := w.track.at(jd)
	sin, cos := math.Sincos((meanSidereal(jd) + w.longitude).Radians())
	return n.x*sin - n.y*cos
}

// up is how far the sun stands above where it rises and sets.
func (w *watcher) up(jd JulianDay) float64 {
	n := w.track.at(jd)
	sin, cos := math.Sincos((meanSidereal(jd) + w.longitude).Radians())
	return n.z*w.sinLat + (n.x*cos+n.y*sin)*w.cosLat - horizon.Sin()
}

// crossing returns where f first climbs through zero along ever later times;
// NaN where it doesn't.
func crossing(f func(JulianDay) float64, times []JulianDay) JulianDay {
	for i := 1; i < len(times); i++ {
		low, high := times[i-1], times[i]
		if !(f(low) <= 0 && f(high) > 0) {
			continue
		}
		for high-low > 1e-7 {
			if mid := low + (high-low)/2; f(mid) <= 0 {
				low = mid
			} else {
				high = mid
			}
		}
		return low
	}
	return JulianDay(math.NaN())
}
