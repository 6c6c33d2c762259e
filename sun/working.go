package sun

import (
	"math"

	"turnsole/compass"
)

// Working is a position with every figure on the way to it, in the report's
// order and by its names.
type Working struct {
	// 3.1 Time: days, then Julian centuries and millennia from J2000.0. JDE,
	// JCE and JME count terrestrial time.
	JD, JDE      JulianDay
	JC, JCE, JME float64

	// 3.2 The earth as seen from the sun.
	LSum [6]float64 // sums of Table A4.2, 1e-8 rad
	BSum [2]float64
	RSum [5]float64 // 1e-8 au
	L, B compass.Angle
	RAU  float64

	// 3.3 The sun as seen from the earth's centre.
	Theta, Beta compass.Angle

	// 3.4-3.7 Nutation, obliquity, aberration, apparent longitude.
	X                  [5]compass.Angle
	DeltaPsi, DeltaEps compass.Angle
	Eps0Arcsec         float64
	Eps, DeltaTau      compass.Angle
	Lambda             compass.Angle

	// 3.8-3.10 Sidereal time, right ascension and declination.
	Nu0, Nu, Alpha, Delta compass.Angle

	// 3.11-3.13 The observer: hour angle and parallax.
	H, Xi, U                       compass.Angle
	XEarth, YEarth                 float64 // observer's place in earth radii
	DeltaAlpha                     compass.Angle
	AlphaPrime, DeltaPrime, HPrime compass.Angle

	// 3.14-3.15 Elevation without air, refraction, elevation, zenith angle;
	// azimuth westward from south, and from north eastward.
	E0, DeltaE, E, Zenith compass.Angle
	Gamma, Azimuth        compass.Angle

	// A.1 The mean sun, and the equation of time in minutes.
	M                 compass.Angle
	EquationOfTimeMin float64
}

// Work goes through the report's steps. Every figure is NaN outside
// Earliest..Latest.
func Work(jd JulianDay, o Observer, deltaTS float64) Working {
	if jd.Err() != nil {
		jd = JulianDay(math.NaN()) // from here on everything is NaN
	}
	w := fromCentre(jd, deltaTS)
	w.topocentric(o)
	w.horizontal(o)
	w.equationOfTime()
	return w
}

// Position returns the result without its working.
func (w Working) Position() Position {
	return Position{
		Azimuth: w.Azimuth, Elevation: w.E, Geometric: w.E0,
		RightAscension: w.AlphaPrime, Declination: w.DeltaPrime, HourAngle: w.HPrime,
		EquationOfTimeMin: w.EquationOfTimeMin, DistanceAU: w.RAU,
	}
}

// fromCentre does the part that no observer has a hand in.
func fromCentre(jd JulianDay, deltaTS float64) Working {
	var w Working
	w.time(jd, deltaTS)
	w.heliocentric()
	w.nutation()
	w.apparent()
	return w
}

const j2000 = 2451545 // 1 January 2000, 12 h

func (w *Working) time(jd JulianDay, deltaTS float64) {
	w.JD = jd
	w.JDE = jd + JulianDay(deltaTS/86400) // (5)
	w.JC = float64(jd-j2000) / 36525      // (6)
	// (7), from the difference: adding first would round to 40 microseconds.
	w.JCE = (float64(jd-j2000) + deltaTS/86400) / 36525
	w.JME = w.JCE / 10 // (8)
}

func (w *Working) heliocentric() {
	addWaves(w.LSum[:], longitudeTerms[:], w.JME)
	addWaves(w.BSum[:], latitudeTerms[:], w.JME)
	addWaves(w.RSum[:], radiusTerms[:], w.JME)
	w.L = compass.Radians(polynomial(w.JME, w.LSum[:]...) / 1e8).Azimuth() // (11, 12)
	w.B = compass.Radians(polynomial(w.JME, w.BSum[:]...) / 1e8)
	w.RAU = polynomial(w.JME, w.RSum[:]...) / 1e8
	w.Theta = (w.L + 180).Azimuth() // (13)
	w.Beta = -w.B                   // (14)
}

// addWaves sums each series of Table A4.2 (9, 10).
func addWaves(sums []float64, series [][]wave, millennia float64) {
	for k, waves := range series {
		for _, v := range waves {
			sums[k] += v.amplitude * math.Cos(v.phase+v.rate*millennia)
		}
	}
}

func (w *Working) nutation() {
	t := w.JCE
	w.X = [5]compass.Angle{
		compass.Angle(polynomial(t, 297.85036, 445267.111480, -0.0019142, 1.0/189474)), // (15) moon from sun
		compass.Angle(polynomial(t, 357.52772, 35999.050340, -0.0001603, -1.0/300000)), // (16) sun's anomaly
		compass.Angle(polynomial(t, 134.96298, 477198.867398, 0.0086972, 1.0/56250)),   // (17) moon's anomaly
		compass.Angle(polynomial(t, 93.27191, 483202.017538, -0.0036825, 1.0/327270)),  // (18) moon from its node
		compass.Angle(polynomial(t, 125.04452, -1934.136261, 0.0020708, 1.0/450000)),   // (19) moon's node
	}
	var x [5]float64
	for i := range x {
		x[i] = w.X[i].Radians()
	}
	var psi, eps float64
	for i := range nutationTerms {
		n := &nutationTerms[i]
		sin, cos := math.Sincos(x[0]*n.y[0] + x[1]*n.y[1] + x[2]*n.y[2] + x[3]*n.y[3] + x[4]*n.y[4])
		psi += (n.psi0 + n.psi1*t) * sin // (20)
		eps += (n.eps0 + n.eps1*t) * cos // (21)
	}
	w.DeltaPsi = compass.Angle(psi / 36e6) // (22)
	w.DeltaEps = compass.Angle(eps / 36e6) // (23)
}

func (w *Working) apparent() {
	w.Eps0Arcsec = polynomial(w.JME/10, 84381.448, -4680.93, -1.55, 1999.25,
		-51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45) // (24)
	w.Eps = compass.Angle(w.Eps0Arcsec/3600) + w.DeltaEps         // (25)
	w.DeltaTau = compass.Angle(-20.4898 / (3600 * w.RAU))         // (26)
	w.Lambda = (w.Theta + w.DeltaPsi + w.DeltaTau).Azimuth()      // (27)
	w.Nu0 = meanSidereal(w.JD)                                    // (28)
	w.Nu = w.Nu0 + compass.Angle(float64(w.DeltaPsi)*w.Eps.Cos()) // (29)

	sinE, cosE := math.Sincos(w.Eps.Radians())
	sinL, cosL := math.Sincos(w.Lambda.Radians())
	sinB, cosB := math.Sincos(w.Beta.Radians())
	w.Alpha = compass.Radians(math.Atan2(sinL*cosE-sinB/cosB*sinE, cosL)).Azimuth() // (30)
	w.Delta = compass.Radians(math.Asin(sinB*cosE + cosB*sinE*sinL))                // (31)
}

// meanSidereal is the mean sidereal time at Greenwich (28), 0..360. Whole turns
// are left out before they cost digits.
func meanSidereal(jd JulianDay) compass.Angle {
	days := float64(jd - j2000)
	century := days / 36525
	deg := 280.46061837 + 360*(days-math.Floor(days)) + turnPerDay*days +
		century*century*(0.000387933-century/38710000)
	return compass.Angle(deg - 360*math.Floor(deg/360))
}

// turnPerDay is how far the earth turns in a day beyond a whole turn, degrees.
const turnPerDay = 0.98564736629

const (
	earthFlat    = 0.99664719 // polar over equatorial radius
	earthRadiusM = 6378140    // equatorial
)

// parallax is the angle under which the earth's radius shows from the sun (33).
func parallax(distanceAU float64) compass.Angle { return compass.Angle(8.794 / 3600 / distanceAU) }

// earthRadii gives the observer's distance from the axis and from the plane of
// the equator in earth radii (34-36).
func (o Observer) earthRadii() (u compass.Angle, x, y float64) {
	u = compass.Radians(math.Atan(earthFlat * math.Tan(o.Latitude.Radians())))
	x = u.Cos() + o.AltitudeM/earthRadiusM*o.Latitude.Cos()
	y = earthFlat*u.Sin() + o.AltitudeM/earthRadiusM*o.Latitude.Sin()
	return u, x, y
}

func (w *Working) topocentric(o Observer) {
	w.H = (w.Nu + o.Longitude - w.Alpha).Azimuth() // (32)
	w.Xi = parallax(w.RAU)
	w.U, w.XEarth, w.YEarth = o.earthRadii()

	sinH, cosH := math.Sincos(w.H.Radians())
	sinD, cosD := math.Sincos(w.Delta.Radians())
	sinXi := w.Xi.Sin()
	toward := cosD - w.XEarth*sinXi*cosH
	w.DeltaAlpha = compass.Radians(math.Atan2(-w.XEarth*sinXi*sinH, toward))                     // (37)
	w.AlphaPrime = (w.Alpha + w.DeltaAlpha).Azimuth()                                            // (38)
	w.DeltaPrime = compass.Radians(math.Atan2((sinD-w.YEarth*sinXi)*w.DeltaAlpha.Cos(), toward)) // (39)
	w.HPrime = (w.H - w.DeltaAlpha).Azimuth()                                                    // (40)
}

func (w *Working) horizontal(o Observer) {
	sinP, cosP := math.Sincos(o.Latitude.Radians())
	sinD, cosD := math.Sincos(w.DeltaPrime.Radians())
	sinH, cosH := math.Sincos(w.HPrime.Radians())
	// Rounding can carry the sine past 1 where the sun is straight overhead.
	w.E0 = compass.Radians(math.Asin(min(1, max(-1, sinP*sinD+cosP*cosD*cosH)))) // (41)
	w.DeltaE = o.refraction(w.E0)                                                // (42)
	w.E = w.E0 + w.DeltaE                                                        // (43)
	w.Zenith = 90 - w.E                                                          // (44)
	// (45), multiplied through by cos(delta') so that the pole needs no tangent.
	w.Gamma = compass.Radians(math.Atan2(sinH*cosD, cosH*cosD*sinP-sinD*cosP))
	w.Azimuth = (w.Gamma + 180).Azimuth() // (46)
}

// semidiameter and horizonRefraction are the report's: the sun counts as up
// until its upper limb, lifted by the air, is gone.
const (
	semidiameter      = 0.26667
	horizonRefraction = 0.5667
)

// refraction returns how far the air lifts a sun that stands at an elevation
// (42): nothing once the whole disc is below the horizon.
func (o Observer) refraction(e compass.Angle) compass.Angle {
	if e < -(semidiameter + horizonRefraction) {
		return 0
	}
	return compass.Angle(o.airFactor() * standardRefraction(float64(e)))
}

// airFactor is how much this observer's air bends light, against 1010 hPa and
// 10 degrees C.
func (o Observer) airFactor() float64 {
	return o.PressureHPa / 1010 * 283 / (273 + o.TemperatureC)
}

// standardRefraction is refraction in degrees for 1010 hPa and 10 degrees C.
func standardRefraction(elevationDeg float64) float64 {
	return 1.02 / 60 / math.Tan(compass.Angle(elevationDeg+10.3/(elevationDeg+5.11)).Radians())
}

func (w *Working) equationOfTime() {
	w.M = compass.Angle(polynomial(w.JME, 280.4664567, 360007.6982779, 0.03032028,
		1.0/49931, -1.0/15300, -1.0/2000000)).Azimuth() // (A2)
	e := w.M - 0.0057183 - w.Alpha + (w.Nu - w.Nu0) // (A1)
	w.EquationOfTimeMin = 4 * float64(compass.Turn(0, e))
}

// polynomial is c[0] + c[1] x + c[2] x^2 + ...
func polynomial(x float64, c ...float64) float64 {
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = sum*x + c[i]
	}
	return sum
}
