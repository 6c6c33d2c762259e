package place

import "math"

// PressureHPa returns the air pressure of the U.S. Standard Atmosphere 1976 at
// an altitude, -430..9000 m.
func PressureHPa(altitudeM float64) float64 {
	return math.Pow((44331.514-altitudeM)/11880.516, 1/0.1902632)
}
