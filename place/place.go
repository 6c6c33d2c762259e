// Package place says where the rig stands: coordinates, clock, ground, and the
// skyline that hides the sun there.
package place

import (
	"fmt"
	"math"
	"sort"
	"time"

	"turnsole/compass"
)

// Spot is one place where the rig stands.
type Spot struct {
	Name      string
	Latitude  compass.Angle // -90..90, north positive
	Longitude compass.Angle // -180..180, east positive
	AltitudeM float64       // above sea level, -430..9000

	// Zone is the clock on the builder's wall: loads and turning by hand go by
	// it. Nil means the whole-hour zone nearest in longitude.
	Zone *time.Location

	// Albedo is the share of light that the ground throws back, by month,
	// January first, each 0..1.
	Albedo [12]float64

	Skyline Skyline
}

// Clock returns the spot's clock: Zone, or where that is nil the whole-hour
// zone nearest in longitude, without summer time.
func (s Spot) Clock() *time.Location {
	if s.Zone != nil {
		return s.Zone
	}
	hours := int(math.Round(float64(s.Longitude) / 15))
	return time.FixedZone(fmt.Sprintf("UTC%+d", hours), hours*3600)
}

// Mark is one measured point of a skyline.
type Mark struct {
	Bearing   compass.Angle // true azimuth
	Elevation compass.Angle // of the skyline there, 0..90
}

// Obstacle is something of a known height at a known distance: a hedge, a
// hill, a house.
type Obstacle struct {
	From, To  compass.Angle // bearings of its ends, clockwise from From to To; 0 and 360 for all round
	HeightM   float64       // above the panel, > 0
	DistanceM float64       // > 0
}

// Skyline is the height of what hides the sun, by bearing. The zero Skyline is
// a free horizon.
type Skyline struct {
	// elevation at each whole degree of azimuth; nil for a free horizon.
	elevation []float64
}

// NewSkyline joins marks by straight lines from bearing to bearing, all the
// way round, and raises it where an obstacle stands higher. No marks and no
// obstacles give a free horizon.
func NewSkyline(marks []Mark, obstacles []Obstacle) (Skyline, error) {
	if len(marks) == 0 && len(obstacles) == 0 {
		return Skyline{}, nil
	}
	s := Skyline{elevation: make([]float64, 360)}
	if err := s.join(marks); err != nil {
		return Skyline{}, err
	}
	for i, o := range obstacles {
		if !(o.HeightM > 0) || !(o.DistanceM > 0) || math.IsInf(o.HeightM, 0) || math.IsInf(o.DistanceM, 0) {
			return Skyline{}, fmt.Errorf("obstacle %d: height and distance must be more than 0 m", i+1)
		}
		s.raise(o)
	}
	return s, nil
}

func (s *Skyline) join(marks []Mark) error {
	if len(marks) == 0 {
		return nil
	}
	m := append([]Mark(nil), marks...)
	for i := range m {
		if !(m[i].Elevation >= 0 && m[i].Elevation <= 90) {
			return fmt.Errorf("skyline mark %d: elevation %v degrees, must be 0 to 90", i+1, m[i].Elevation)
		}
		m[i].Bearing = m[i].Bearing.Azimuth()
	}
	sort.SliceStable(m, func(i, j int) bool { return m[i].Bearing < m[j].Bearing })
	for i := 1; i < len(m); i++ {
		if m[i].Bearing == m[i-1].Bearing {
			return fmt.Errorf("skyline: bearing %v is given twice", m[i].Bearing)
		}
	}
	for deg := range s.elevation {
		a := compass.Angle(deg)
		k := sort.Search(len(m), func(i int) bool { return m[i].Bearing > a })
		before, after := m[(k+len(m)-1)%len(m)], m[k%len(m)]
		gap := (after.Bearing - before.Bearing).Azimuth()
		share := 0.0
		if gap > 0 {
			share = float64((a - before.Bearing).Azimuth() / gap)
		}
		s.elevation[deg] = float64(before.Elevation) + share*float64(after.Elevation-before.Elevation)
	}
	return nil
}

func (s *Skyline) raise(o Obstacle) {
	top := float64(compass.Radians(math.Atan2(o.HeightM, o.DistanceM)))
	// A bearing stands for the half degree either side of it, so that nothing
	// is too narrow to be seen.
	width := (o.To - o.From).Azimuth() + 1
	if o.To-o.From >= 359 {
		width = 360
	}
	for deg := range s.elevation {
		if (compass.Angle(deg) - o.From + 0.5).Azimuth() <= width {
			s.elevation[deg] = max(s.elevation[deg], top)
		}
	}
}

// Free reports whether nothing stands above the horizon.
func (s Skyline) Free() bool {
	for _, e := range s.elevation {
		if e > 0 {
			return false
		}
	}
	return true
}

// At returns the skyline's elevation at an azimuth.
func (s Skyline) At(azimuth compass.Angle) compass.Angle {
	if s.elevation == nil {
		return 0
	}
	whole, share := math.Modf(float64(azimuth.Azimuth()))
	i := int(whole)
	return compass.Angle(s.elevation[i] + share*(s.elevation[(i+1)%360]-s.elevation[i]))
}
