// Package sky gives the light of the sun and the sky and the air it comes
// through: outside the air, under a clear sky, and split into beam and diffuse
// where only the whole was measured.
package sky

import (
	"math"

	"turnsole/compass"
	"turnsole/place"
)

// SolarConstant is the irradiance outside the air at one astronomical unit,
// W/m2 (Kopp & Lean 2011; IAU nominal value of 2015).
const SolarConstant = 1361.0

// Light is the light on open ground: global on the horizontal, beam facing the
// sun, diffuse on the horizontal; W/m2, none of them negative.
type Light struct{ GHI, DNI, DHI float64 }

// ExtraNormal returns the irradiance outside the air facing the sun, W/m2, at
// a distance from the sun in astronomical units (0.98..1.02 for the Earth).
func ExtraNormal(distanceAU float64) float64 { return SolarConstant / (distanceAU * distanceAU) }

// AirMass returns how many times the air overhead the beam passes at sea level
// when the sine of the sun's apparent elevation is up: 1 at the zenith, 37.9
// on the horizon, and that also below it (Kasten & Young 1989, Applied Optics
// 28:4735). Elsewhere multiply by place.PressureHPa(altitude)/SeaLevelHPa. It reads
// a table, since every minute of a year asks for it: off by less than 1e-6.
func AirMass(up float64) float64 {
	return airMasses.at(airMassCells * math.Sqrt(1-min(max(up, 0), 1)))
}

func kastenYoung(up float64) float64 {
	elevationDeg := float64(compass.Radians(math.Asin(up)))
	return 1 / (up + 0.50572*math.Pow(elevationDeg+6.07995, -1.6364))
}

const airMassCells = 1024

// airMasses goes by the root of 1-up, in which the air mass is smooth from the
// zenith to the horizon.
var airMasses = newCubics(airMassCells, func(x float64) float64 {
	x /= airMassCells
	return kastenYoung(max(0, 1-x*x))
})

// SeaLevelHPa is the standard pressure at sea level.
const SeaLevelHPa = 1013.25

// Clear is cloudless air over a place, after Ineichen & Perez 2002 (Solar
// Energy 73:151). The zero Clear is not usable; NewClear makes one.
type Clear struct {
	global, globalLoss float64 // c1 and c2 (f1 + f2 (TL-1))
	beam, beamLoss     float64 // 0.664 + 0.163/f1 and 0.09 (TL-1)
	diffuseFloor       float64 // least share of GHI that is diffuse
	pressure           float64 // of sea level's
}

// highest is the altitude in m up to which the model holds: its stations lie
// below; much further up it gives more light than there is.
const highest = 4500

// NewClear returns the clear air over an altitude in m (-430..9000, above 4500
// as at 4500) at a Linke turbidity, which counts how many clean dry atmospheres
// dim the beam as much (usual values from memory):
// about 2 in cold clean air, 3 in clean warm air, 4-6 in moist or dusty air.
// Values outside 1..15 are brought to the nearer end.
func NewClear(altitudeM, turbidity float64) Clear {
	haze := min(max(turbidity, 1), 15) - 1
	altitudeM = min(altitudeM, highest)
	f1, f2 := math.Exp(-altitudeM/8000), math.Exp(-altitudeM/1250)
	return Clear{
		global:       5.09e-5*altitudeM + 0.868,
		globalLoss:   (3.92e-5*altitudeM + 0.0387) * (f1 + f2*haze),
		beam:         0.664 + 0.163/f1,
		beamLoss:     0.09 * haze,
		diffuseFloor: (0.1 - 0.2*math.Exp(-1-haze)) / (0.1 + 0.882/f1),
		pressure:     place.PressureHPa(altitudeM) / SeaLevelHPa,
	}
}

// Light returns the clear light when the sine of the sun's apparent elevation
// is up and extraNormal W/m2 arrive outside the air; darkness when the sun is
// down. The global light is raised at low sun by the authors' own factor.
func (c Clear) Light(up, extraNormal float64) Light {
	if !(up > 0) {
		return Light{}
	}
	airMass := AirMass(up) * c.pressure
	return c.through(airMass, up, extraNormal, lowSuns.at(lowSunCells*min(airMass, lowSunEnd)))
}

// lowSun is the exponent 0.01 AM^1.8 of the factor that goes with the paper's
// global light. It runs away toward the horizon; beyond ten air masses it is
// held, where clear measured mornings (Tucson, Alamosa) agree with it.
func lowSun(airMass float64) float64 { return 0.01 * math.Pow(airMass, 1.8) }

const (
	lowSunEnd   = 10
	lowSunCells = 16 // to one air mass
)

var lowSuns = newCubics(lowSunEnd*lowSunCells, func(x float64) float64 { return lowSun(x / lowSunCells) })

// Through returns the clear light through a given air mass for an up above 0,
// by the paper's two formulas alone.
func (c Clear) Through(airMass, up, extraNormal float64) Light {
	return c.through(airMass, up, extraNormal, 0)
}

func (c Clear) through(airMass, up, extraNormal, raise float64) Light {
	ghi := c.global * extraNormal * up * math.Exp(raise-c.globalLoss*airMass)
	dni := c.beam * extraNormal * math.Exp(-c.beamLoss*airMass)
	// The paper's second beam: what the global leaves when the least diffuse
	// light is taken off. The lower of both holds.
	dni = min(dni, ghi*(1-c.diffuseFloor)/up)
	return Light{GHI: ghi, DNI: dni, DHI: ghi - dni*up}
}

// Haurwitz returns the clear global light in W/m2 from the sun's elevation
// alone (Haurwitz 1945, Journal of Meteorology 2:154, with the 0.059 of the
// original): a cross-check that knows nothing of the air.
func Haurwitz(up float64) float64 {
	if !(up > 0) {
		return 0
	}
	return 1098 * up * math.Exp(-0.059/up)
}

// haze is the mean Linke turbidity over the year and its swing between winter
// and summer, by latitude off the equator. Common practice, no source: from
// the ranges that handbooks give (2 for pure cold air, 3 for clean warm air,
// 4-6 for moist air; 2.5-3 in a mid-European winter, about 4 in its summer).
var haze = [...]struct{ latitude, mean, swing float64 }{
	{0, 4.2, 0.1}, {25, 3.8, 0.4}, {45, 3.3, 0.7}, {65, 2.8, 0.6}, {90, 2.3, 0.3},
}

// Turbidity returns a usual Linke turbidity for each month, January first,
// where nothing is known but the latitude: hazier toward the equator and in
// summer. A place in clean mountain air lies about one lower, a dusty or
// polluted one up to three higher.
func Turbidity(latitude compass.Angle) [12]float64 {
	l := min(math.Abs(float64(latitude)), 90)
	k := 1
	for k < len(haze)-1 && l > haze[k].latitude {
		k++
	}
	a, b := haze[k-1], haze[k]
	share := (l - a.latitude) / (b.latitude - a.latitude)
	mean, swing := a.mean+share*(b.mean-a.mean), a.swing+share*(b.swing-a.swing)
	if latitude < 0 {
		swing = -swing
	}
	var months [12]float64
	for m := range months { // haziest in July in the north, in January in the south
		months[m] = mean + swing*math.Cos(2*math.Pi*float64(m-6)/12)
	}
	return months
}
