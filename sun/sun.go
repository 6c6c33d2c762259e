// Package sun says where the sun is, and when it rises, stands highest and
// sets.
//
// It follows I. Reda and A. Andreas, Solar Position Algorithm for Solar
// Radiation Applications, NREL/TP-560-34302, revised January 2008 (Solar
// Energy 76(5):577-589, 2004). "The report" below is that one, and equation
// numbers are its own. The report states an uncertainty of 0.0003 degrees for
// the years -2000 to 6000; outside them this package answers NaN.
//
// PositionAt is the report step by step and Working shows every figure on the
// way. Path answers the same question a hundred times faster for long series.
package sun

import (
	"fmt"

	"turnsole/compass"
	"turnsole/place"
)

// Observer is who looks at the sun, and through which air.
type Observer struct {
	Latitude     compass.Angle // -90..90, north positive
	Longitude    compass.Angle // -180..180, east positive
	AltitudeM    float64       // above sea level
	PressureHPa  float64       // of the air there; 0 for no refraction
	TemperatureC float64       // of the air there
}

// At returns an observer at a spot, in air of the standard atmosphere's
// pressure for its altitude and of 10 degrees C. Ten degrees more or 30 hPa
// less move a sun on the horizon by 0.02 degrees, a sun at 10 degrees by
// 0.003.
func At(s place.Spot) Observer {
	return Observer{
		Latitude:     s.Latitude,
		Longitude:    s.Longitude,
		AltitudeM:    s.AltitudeM,
		PressureHPa:  place.PressureHPa(s.AltitudeM),
		TemperatureC: 10,
	}
}

// Err says what is impossible about an observer; nil when nothing is.
func (o Observer) Err() error {
	switch {
	case !(o.Latitude >= -90 && o.Latitude <= 90):
		return fmt.Errorf("latitude %v degrees, must be -90 to 90", o.Latitude)
	case !(o.Longitude >= -180 && o.Longitude <= 180):
		return fmt.Errorf("longitude %v degrees, must be -180 to 180", o.Longitude)
	case !(o.AltitudeM >= -430 && o.AltitudeM <= 9000):
		return fmt.Errorf("altitude %v m, must be -430 to 9000", o.AltitudeM)
	case !(o.PressureHPa >= 0 && o.PressureHPa <= 1100):
		return fmt.Errorf("pressure %v hPa, must be 0 to 1100", o.PressureHPa)
	case !(o.TemperatureC >= -90 && o.TemperatureC <= 60):
		return fmt.Errorf("temperature %v degrees C, must be -90 to 60", o.TemperatureC)
	}
	return nil
}

// Position is where the sun's centre stands for an observer at an instant.
type Position struct {
	Azimuth   compass.Angle // 0..360 from north, clockwise
	Elevation compass.Angle // as seen through the air, above the horizon
	Geometric compass.Angle // elevation without refraction

	// As seen from where the observer stands (topocentric).
	RightAscension compass.Angle // 0..360
	Declination    compass.Angle
	HourAngle      compass.Angle // 0..360, from the meridian westward

	EquationOfTimeMin float64 // sundial minus mean clock, minutes
	DistanceAU        float64 // from the earth's centre
}

// Direction returns the apparent direction as a unit vector.
func (p Position) Direction() compass.Direction { return compass.Toward(p.Azimuth, p.Elevation) }

// PositionAt returns the sun's position. deltaTS is terrestrial time minus
// universal time in seconds, as from DeltaT. Every figure is NaN outside
// Earliest..Latest.
func PositionAt(jd JulianDay, o Observer, deltaTS float64) Position {
	return Work(jd, o, deltaTS).Position()
}
