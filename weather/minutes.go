package weather

import (
	"math"
	"math/rand/v2"
)

// Clouds says how clouds cross the sun within an hour whose means are known.
//
// A wandering height of cloud drifts over the spot, a sum of walks of one
// minute to an hour that grow with the cube root of their time, as turbulence
// does (Kolmogorov's exponent H = 1/3). Where it stands below a level the sun
// is open, above it is covered, and in a band around the level veiled. The
// times between crossings of a level then follow a power law with the exponent
// 2 - H = 1.67 (Ding & Yang 1995, Physical Review E 52:207, from memory): the
// 1.66 that Wood & Field 2011 (Journal of Climate 24:4800, from memory) measured
// for the lengths of clouds.
// The level of each hour is set so that its beam comes out exactly. As a power
// law knows no length of its own, the speed of the wind aloft does not matter
// between a minute and an hour.
//
// The open data hold few broken days and they differ: on one the beam changes
// from minute to minute by four times as much as on another. So kinds of days
// are drawn from ranges, and made minutes are right for many days, not for one.
type Clouds struct {
	// Veil is the width of the band against the spread of the cloud's height,
	// above 0: small for sharp heaps, large for thin sheets. Each day has its
	// own, drawn evenly in the logarithm between the two; so with the others.
	Veil [2]float64
	// QuickMin is the time in minutes of the quickest of the seven walks, each
	// twice as long as the one before.
	QuickMin [2]float64
	// Haze is the Linke turbidity between clouds, counted from that of the
	// clearest sky, where no hour of the day is clearer.
	Haze [2]float64
	// Flutter is the relative spread of the diffuse light within an hour of
	// cloud, around its course with the sun: 0.05 to 0.35 in single hours.
	Flutter float64
}

// UsualClouds returns figures fitted to the beam of twelve days in Madrid, and
// the flutter of Golden and Madrid. Other days would have them otherwise: the
// sharp heaps over Madrid in March 2020 Veil 0.3 to 1 and QuickMin 1, the
// softer clouds over Golden in May 2012 Veil 0.6 to 5.
func UsualClouds() Clouds {
	return Clouds{Veil: [2]float64{0.3, 3}, QuickMin: [2]float64{1, 8}, Haze: [2]float64{0.5, 2}, Flutter: 0.18}
}

// Walks of the cloud's height: each forgets itself in twice the time of the
// one before, from a minute to an hour.
const walks = 7

// flutterMin is the time in which the diffuse light's flutter forgets itself.
const flutterMin = 15

// minuteWalk is where chance stands between one minute and the next.
type minuteWalk struct {
	rng     *rand.Rand
	clouds  Clouds
	veil    float64 // of the day
	haze    float64 // of the day
	height  [walks]float64
	flutter float64
	share   [walks]float64 // spread of each walk
	keep    [walks]float64 // of each walk, from one minute to the next
	fresh   [walks]float64 // that each walk is given
}

func newMinuteWalk(rng *rand.Rand, clouds Clouds) minuteWalk {
	w := minuteWalk{rng: rng, clouds: clouds, flutter: rng.NormFloat64()}
	variance := 0.0
	for i := range walks { // a walk's variance is its time to the power 2/3
		w.share[i] = math.Exp2(float64(i) / 3)
		variance += w.share[i] * w.share[i]
	}
	for i := range walks {
		w.share[i] /= math.Sqrt(variance)
		w.height[i] = w.share[i] * rng.NormFloat64()
	}
	return w
}

// day draws what kind of clouds a day has, and how hazy it is between them: no
// hazier than its clearest hour.
func (w *minuteWalk) day(hours *[24]hourSky, could []rowLight) {
	w.veil = w.even(w.clouds.Veil)
	w.haze = w.even(w.clouds.Haze)
	for h, l := range could {
		beam := hours[h].ghi - hours[h].dhi
		if l.up == 1 && l.sinUp > 0.1 && beam > 0 {
			implied := math.Log(float64(l.dni*l.sinUp)/beam) / dims(&l)
			w.haze = min(w.haze, max(implied, 0))
		}
	}
	quick := w.even(w.clouds.QuickMin)
	for i := range walks {
		w.keep[i] = math.Exp(-1 / (quick * math.Exp2(float64(i))))
		w.fresh[i] = w.share[i] * math.Sqrt(1-w.keep[i]*w.keep[i])
	}
}

// even draws evenly in the logarithm.
func (w *minuteWalk) even(between [2]float64) float64 {
	return between[0] * math.Pow(between[1]/between[0], w.rng.Float64())
}

// dims returns how much one more clean dry atmosphere dims the beam of a row,
// as a logarithm: 0.09 AM (Ineichen & Perez 2002).
func dims(l *rowLight) float64 {
	return 0.09 / (float64(l.sinUp/l.up) + 0.05)
}

// heights walks on by an hour.
func (w *minuteWalk) heights(height *[60]float64) {
	for i := range height {
		sum := 0.0
		for k := range w.height {
			w.height[k] = w.keep[k]*w.height[k] + w.fresh[k]*w.rng.NormFloat64()
			sum += w.height[k]
		}
		height[i] = sum
	}
}

// minuteHour is what an hour's minutes are made from and into.
type minuteHour struct {
	sky           hourSky
	mean          rowLight   // that could fall in the hour
	could         []rowLight // that could fall in its 60 minutes
	before, after float64    // diffuse share of the outside light, of the neighbours
	ghi, dni, dhi []float32
}

// lay makes the minutes of an hour. Their means are the hour's.
func (w *minuteWalk) lay(h *minuteHour) {
	var beam, diffuse [60]float64
	// What is more than the clearest beam goes to the diffuse light: files
	// have such hours around sunrise.
	direct := min(max(h.sky.ghi-h.sky.dhi, 0), float64(h.mean.dni*h.mean.sinUp))
	if direct > 0 {
		w.layBeam(h, direct, &beam)
	}
	if rest := h.sky.ghi - direct; rest > 0 {
		w.layDiffuse(h, rest, &diffuse)
	}
	for i, l := range h.could {
		h.dni[i] = float32(beam[i])
		h.dhi[i] = float32(diffuse[i])
		h.ghi[i] = float32(beam[i]*float64(l.sinUp) + diffuse[i])
	}
}

// layBeam lays the beam facing the sun, so that the hour's mean on the
// horizontal is direct.
func (w *minuteWalk) layBeam(h *minuteHour, direct float64, beam *[60]float64) {
	for i, l := range h.could {
		beam[i] = float64(l.dni)
	}
	open := math.Exp(-w.haze * dims(&h.mean))
	if share := direct / float64(h.mean.dni*h.mean.sinUp); share < openThroughout*open {
		var height [60]float64
		w.heights(&height)
		w.cover(h, &height, beam, share/open)
	}
	sum := 0.0
	for i, l := range h.could {
		sum += beam[i] * float64(l.sinUp)
	}
	for i := range beam {
		beam[i] *= 60 * direct / sum
	}
}

// openThroughout is the share of the open beam from which on an hour is taken
// to be veiled evenly, not broken: a fit to the days in Madrid.
const openThroughout = 0.9

// cover finds the level under which the sun is open so that the given share
// of the beam is left, and takes the rest.
func (w *minuteWalk) cover(h *minuteHour, height, beam *[60]float64, share float64) {
	const levels = 14 // halvings: to 1/1000 of the cloud's spread
	var weight [60]float64
	sum := 0.0
	for i, l := range h.could {
		weight[i] = beam[i] * float64(l.sinUp)
		sum += weight[i]
	}
	low, high := -4-w.veil, 4+w.veil
	for range levels {
		level := (low + high) / 2
		passed := 0.0
		for i, z := range height {
			passed += weight[i] * passes(z, level, w.veil)
		}
		if passed < share*sum {
			low = level
		} else {
			high = level
		}
	}
	for i, z := range height {
		beam[i] *= passes(z, high, w.veil)
	}
}

// passes returns the share of the beam that cloud of height z lets through.
func passes(z, level, veil float64) float64 {
	return min(max((level-z)/veil+0.5, 0), 1)
}

// layDiffuse lays the diffuse light, whose mean is dhi: it follows the sun's
// height, runs on from hour to hour, and flutters where there is cloud.
func (w *minuteWalk) layDiffuse(h *minuteHour, dhi float64, diffuse *[60]float64) {
	now := dhi / float64(h.mean.outside)
	beamShare := 1 - dhi/h.sky.ghi
	flutter := w.clouds.Flutter * (1 - beamShare*beamShare)
	keep := math.Exp(-1.0 / flutterMin)
	fresh := math.Sqrt(1 - keep*keep)
	sum := 0.0
	for i, l := range h.could {
		w.flutter = keep*w.flutter + fresh*w.rng.NormFloat64()
		diffuse[i] = float64(l.outside) * h.course(i, now) * max(1+flutter*w.flutter, 0.2)
		sum += diffuse[i]
	}
	for i := range diffuse {
		diffuse[i] *= 60 * dhi / sum
	}
}

// course runs from halfway to the hour before, through now in the middle, to
// halfway to the hour after.
func (h *minuteHour) course(i int, now float64) float64 {
	at := (float64(i)+0.5)/60 - 0.5
	if at < 0 {
		return now - at*(h.before-now)
	}
	return now + at*(h.after-now)
}
