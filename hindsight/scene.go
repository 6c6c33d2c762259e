package hindsight

import (
	"fmt"
	"math"
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/sky"
	"turnsole/sun"
)

// Scene is a spot over a stretch of time, with all that its light depends on.
// Several goroutines may read it at once.
//
// Its diffuse light is spread as Hay & Davies 1980 have it, evenly but for a
// part around the sun that grows with the beam. That is straight in two
// figures (see beamed), so that the light on two faces gives beam and diffuse
// without any search. Perez's sky, which package plane also has, is a little
// truer but jumps between eight kinds of sky.
type Scene struct {
	spot           place.Spot
	glass          plane.Glass
	path           *sun.Path
	sinLat, cosLat float64
	air            [12]sky.Clear // by month
	cleanest       sky.Clear
	light          *plane.Light // an even sky of 1 W/m2 over each month's ground
}

// longest is the longest stretch in days: a path of it takes some megabytes.
const longest = 100 * 366

// NewScene returns a scene from one Unix time to another, both in seconds and
// at most a hundred years apart. The turbidity is Linke's, by month; where it
// is not above 0 sky.Turbidity stands in. The ground's albedo and the skyline
// are the spot's.
func NewScene(spot place.Spot, turbidity [12]float64, glass plane.Glass, fromUnixS, toUnixS float64) (*Scene, error) {
	from, to := sun.JulianDayUnix(fromUnixS), sun.JulianDayUnix(toUnixS)
	if err := possible(spot, from, to); err != nil {
		return nil, err
	}
	s := &Scene{
		spot: spot, glass: glass, path: sun.NewPath(sun.At(spot), from-1, to+1, sun.DeltaT(from)),
		sinLat: spot.Latitude.Sin(), cosLat: spot.Latitude.Cos(),
		cleanest: sky.NewClear(spot.AltitudeM, cleanestAir),
	}
	usual := sky.Turbidity(spot.Latitude)
	even := &sky.Series{StepS: 1}
	for m := range s.air {
		if !(turbidity[m] > 0) {
			turbidity[m] = usual[m]
		}
		s.air[m] = sky.NewClear(spot.AltitudeM, turbidity[m])
		addEven(even, spot.Albedo[m])
	}
	s.light = plane.Prepare(even, spot.Skyline, plane.Isotropic, glass)
	return s, nil
}

// possible says what is impossible about a spot or a stretch of time.
func possible(spot place.Spot, from, to sun.JulianDay) error {
	if err := sun.At(spot).Err(); err != nil {
		return err
	}
	for _, jd := range []sun.JulianDay{from, to} {
		if err := jd.Err(); err != nil {
			return err
		}
	}
	if !(from <= to && to-from <= longest) {
		return fmt.Errorf("the log runs from %s to %s; it must run forward, and for a hundred years at most",
			from.Time().Format(time.DateOnly), to.Time().Format(time.DateOnly))
	}
	for m, a := range spot.Albedo {
		if !(a >= 0 && a <= 1) {
			return fmt.Errorf("the ground's albedo in %s is %v; it is a share, 0 to 1", time.Month(m+1), a)
		}
	}
	return nil
}

// addEven adds a step with nothing but an even sky of 1 W/m2.
func addEven(s *sky.Series, albedo float64) {
	s.Hour = append(s.Hour, 0)
	s.East, s.North, s.Up = append(s.East, 0), append(s.North, 0), append(s.Up, 1)
	s.AzimuthDeg, s.ExtraNormal = append(s.AzimuthDeg, 0), append(s.ExtraNormal, sky.SolarConstant)
	s.DNI, s.DHI, s.Albedo = append(s.DNI, 0), append(s.DHI, 1), append(s.Albedo, albedo)
}

// Instant is the sun over a scene at one time.
type Instant struct {
	UnixS       float64
	Sun         compass.Direction // as seen through the air
	SunHour     float64           // 12 when the sun stands highest, 0..24
	Hidden      bool              // below the horizon or behind the skyline
	ExtraNormal float64           // irradiance outside the air, facing the sun, W/m2
	Clear       sky.Light         // without a cloud, and without a skyline
	MostDNI     float64           // what the cleanest air lets through, W/m2

	month int // 0..11
}

// At returns the scene's instant at a Unix time within the stretch that it was
// made for, give or take a day; elsewhere every figure is NaN.
func (s *Scene) At(unixS float64) Instant {
	var east, north, up [1]float64
	jd := sun.JulianDayUnix(unixS)
	s.path.Directions(jd, 1, east[:], north[:], up[:])
	at := Instant{UnixS: unixS, Sun: compass.Direction{East: east[0], North: north[0], Up: up[0]}}
	at.ExtraNormal = sky.ExtraNormal(s.path.DistanceAU(jd))
	if math.IsNaN(up[0] + at.ExtraNormal) {
		return nowhere(unixS)
	}
	at.month = int(time.Unix(int64(unixS), 0).UTC().Month()) - 1
	at.Hidden = !(up[0] > 0) || !s.spot.Skyline.Free() && up[0] <= s.spot.Skyline.At(at.Sun.Azimuth()).Sin()
	at.Clear = s.air[at.month].Light(up[0], at.ExtraNormal)
	at.MostDNI = brighter * s.cleanest.Light(up[0], at.ExtraNormal).DNI
	// By the components of the sun's direction toward the equator's east and up.
	hourAngle := math.Atan2(-east[0], up[0]*s.cosLat-north[0]*s.sinLat)
	at.SunHour = 12 + hourAngle*(12/math.Pi)
	return at
}

// nowhere is an instant outside a scene.
func nowhere(unixS float64) Instant {
	nan := math.NaN()
	return Instant{
		UnixS: unixS, Sun: compass.Direction{East: nan, North: nan, Up: nan}, SunHour: nan, Hidden: true,
		ExtraNormal: nan, Clear: unknown, MostDNI: nan,
	}
}

// The beam's ceiling: air so clean is found on high mountains in winter only
// (common practice, no source), and the formula may be a few per cent off.
const (
	cleanestAir = 1.5
	brighter    = 1.05
)
