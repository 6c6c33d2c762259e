package sky

// Series is light and air, step by step through daylight only: struct of
// arrays, so that every way of aiming runs through the same memory. Step i of
// each slice is one and the same stretch of StepS seconds; values are means
// over it.
type Series struct {
	StepS float64 // seconds that each step stands for

	// Hour is the hour that the step lies in, counted from the midnight at
	// which the first day of the weather year begins, by the weather file's
	// own clock: hour/24 is the index of the day.
	Hour []int32

	// The sun's apparent direction (refraction in), a unit vector in the local
	// frame, and its azimuth in degrees. Up is never negative: a step lit
	// while the sun's centre is on or below the horizon has Up 0.
	East, North, Up []float64
	AzimuthDeg      []float64

	ExtraNormal []float64 // irradiance outside the air, facing the sun, W/m2
	DNI         []float64 // beam, facing the sun, W/m2
	DHI         []float64 // diffuse on the horizontal, W/m2
	Albedo      []float64 // of the ground, 0..1
	AirC        []float64 // air temperature, degrees C
	WindMS      []float64 // wind at the panel, m/s
}

// Len returns the number of steps.
func (s *Series) Len() int { return len(s.Hour) }

// GHI returns the global horizontal irradiance of step i in W/m2: beam and
// diffuse added, so that all planes see the same light.
func (s *Series) GHI(i int) float64 { return s.DNI[i]*s.Up[i] + s.DHI[i] }
