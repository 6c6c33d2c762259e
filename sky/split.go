package sky

import "math"

// Below this sine of elevation (3.7 degrees) a clearness index is mostly the
// error of the clock and the sensor; it is computed as if the sun stood there,
// and below an elevation of 3 degrees all light counts as diffuse. Usual
// limits in the literature on diffuse fractions.
const (
	lowestForClearness = 0.065
	lowestForBeam      = 0.05233595624294383 // sin 3 degrees
)

// Clearness returns the clearness index: global light on the ground over the
// light that a horizontal plane outside the air would get. From 0; above 1
// where clouds beside the sun add light.
func Clearness(ghi, up, extraNormal float64) float64 {
	if !(ghi > 0) {
		return 0
	}
	return ghi / (extraNormal * max(up, lowestForClearness))
}

// Erbs splits an hourly mean of global light, W/m2, into beam and diffuse
// (Erbs, Klein & Duffie 1982, Solar Energy 28:293). It was fitted to hourly
// means: on minutes it gives clouds too little contrast; use Split there.
func Erbs(ghi, up, extraNormal float64) Light {
	return parted(ghi, up, extraNormal, erbsFraction(Clearness(ghi, up, extraNormal)))
}

func erbsFraction(kt float64) float64 {
	switch {
	case kt <= 0.22:
		return 1 - 0.09*kt
	case kt <= 0.80:
		return 0.9511 + kt*(-0.1604+kt*(4.388+kt*(-16.638+kt*12.336)))
	}
	return 0.165
}

// Split splits global light means over a time from a minute to an hour into
// beam and diffuse: the Engerer2 form (Engerer 2015, Solar Energy 116:215)
// with the coefficients refitted for each averaging time by Bright & Engerer
// 2019 (J. Renewable Sustainable Energy 11:033701). NewSplit makes one.
type Split struct {
	minutes            float64
	c                  float64
	b0, b1, b2, b3, b4 float64
	b5                 float64
}

var refits = [...]Split{
	{1, 0.10562, -4.1332, 8.2578, 0.010087, 0.00088801, -4.9302, 0.44378},
	{5, 0.093936, -4.5771, 8.4641, 0.010012, 0.003975, -4.3921, 0.39331},
	{10, 0.079965, -4.8539, 8.4764, 0.018849, 0.0051497, -4.1457, 0.37466},
	{15, 0.065972, -4.7211, 8.3294, 0.0095444, 0.0053493, -4.169, 0.39526},
	{30, 0.032675, -4.8681, 8.1867, 0.015829, 0.0059922, -4.0304, 0.47371},
	{60, -0.0097539, -5.3169, 8.5084, 0.013241, 0.0074356, -3.0329, 0.56403},
}

// NewSplit returns the split for means over stepS seconds: the refit whose
// averaging time is nearest in proportion.
func NewSplit(stepS float64) Split {
	best, off := refits[0], math.Inf(1)
	for _, r := range refits {
		if d := math.Abs(math.Log(stepS / 60 / r.minutes)); d < off {
			best, off = r, d
		}
	}
	return best
}

// Light splits ghi W/m2. It needs the clear light at the same time, the sine
// of the sun's elevation, the light outside the air facing the sun, and the
// hour by the sun (12 when it stands highest).
func (s Split) Light(ghi, clearGHI, up, extraNormal, sunHour float64) Light {
	return parted(ghi, up, extraNormal, s.fraction(ghi, clearGHI, up, extraNormal, sunHour))
}

func (s Split) fraction(ghi, clearGHI, up, extraNormal, sunHour float64) float64 {
	kt := Clearness(ghi, up, extraNormal)
	short := Clearness(clearGHI, up, extraNormal) - kt
	enhanced := 0.0
	if ghi > 0 {
		enhanced = max(0, 1-clearGHI/ghi)
	}
	zenithDeg := math.Acos(min(max(up, 0), 1)) * 180 / math.Pi
	logistic := 1 + math.Exp(s.b0+s.b1*kt+s.b2*sunHour+s.b3*zenithDeg+s.b4*short)
	return s.c + (1-s.c)/logistic + s.b5*enhanced
}

// parted gives the diffuse share to the diffuse light and the rest to the
// beam, so that beam and diffuse add up to ghi and the beam is never brighter
// than outside the air.
func parted(ghi, up, extraNormal, diffuseShare float64) Light {
	if !(ghi > 0) {
		return Light{}
	}
	if !(up > lowestForBeam) {
		return Light{GHI: ghi, DHI: ghi}
	}
	dni := ghi * (1 - min(max(diffuseShare, 0), 1)) / up
	dni = min(dni, extraNormal)
	return Light{GHI: ghi, DNI: dni, DHI: ghi - dni*up}
}

// Ceiling returns the most light that is physically possible by the limits of
// the Baseline Surface Radiation Network (Long & Dutton 2002, recommended QC
// tests v2): what is measured above is an error of the instrument or of its
// clock.
func Ceiling(up, extraNormal float64) Light {
	slant := math.Pow(max(up, 0), 1.2)
	return Light{
		GHI: 1.5*extraNormal*slant + 100,
		DNI: extraNormal,
		DHI: 0.95*extraNormal*slant + 50,
	}
}
