package weather

import "math"

// Seconds says how clouds cross the sun within one step of a weather year, of
// which only the means are known. It continues the wandering height of cloud of
// Clouds down to seconds: the sun is open where the height stands below a
// level, covered above it, and veiled in a band around it, and the level of
// each step is set so that its mean beam comes out.
//
// The height is a sum of noises whose knots lie 2 s to an hour apart, each a
// hash of the seed and the knot's number, and each growing with the cube root
// of its time. So any second can be asked for in any order, and the same seed
// and step give the same second to everyone who asks. The height runs on from
// step to step; the level does not.
//
// Nothing allocates. One goroutine at a time may use a Seconds.
type Seconds struct {
	seed   uint64
	rate   float64
	stepS  float64
	height cloudHeight

	startS     float64 // of the step, on the height's clock
	clear      float64 // W/m2
	even       bool    // the beam does not change within the step
	veil       float64
	level      float64
	beam       float64 // W/m2 where all passes
	dhi        float64 // W/m2, mean
	brightMean float64
	samples    [secondsSamples]float64
}

// secondsSamples is the most points of a step at which the height is taken to
// set its level.
const secondsSamples = 240

// NewSeconds prepares for steps of a length in seconds, 1 to 86400. rate is how
// fast clouds pass against the fitted: 1 as fitted, 0.5 and 2 bracket the days
// that were measured.
func NewSeconds(seed uint64, rate float64, stepS float64) *Seconds {
	s := &Seconds{seed: seed, rate: rate, stepS: stepS, height: newCloudHeight(seed)}
	s.Begin(0, 0, 0, 0)
	return s
}

// Begin goes to a step, counted from the first of the year, with its mean
// beam facing the sun, the beam that would come through between clouds, and its
// mean diffuse light, in W/m2.
func (s *Seconds) Begin(step int64, dniWm2, clearDNIWm2, dhiWm2 float64) {
	s.startS = float64(step) * s.stepS * s.rate
	s.clear, s.dhi = max(clearDNIWm2, dniWm2), dhiWm2
	s.beam, s.brightMean = dniWm2, 0
	share := dniWm2 / s.clear
	s.even = !(share > 0.01 && share < openThroughout)
	if s.even {
		return
	}
	day := math.Floor(float64(step) * s.stepS / 86400)
	s.veil = secondsVeil[0] * math.Pow(secondsVeil[1]/secondsVeil[0], unitHash(s.seed, walks, int64(day)))
	s.setLevel(share)
}

// setLevel finds the level at which the given share of the beam passes.
func (s *Seconds) setLevel(share float64) {
	n := min(secondsSamples, max(1, int(s.stepS)))
	z := s.samples[:n]
	for i := range z {
		z[i] = s.height.at(s.startS + (float64(i)+0.5)/float64(n)*s.stepS*s.rate)
	}
	low, high := z[0], z[0]
	for _, h := range z {
		low, high = min(low, h), max(high, h)
	}
	low, high = low-s.veil/2, high+s.veil/2
	passed := 0.0
	for range 12 { // halvings: to 1/1000 of the cloud's spread
		s.level = (low + high) / 2
		passed = 0
		for _, h := range z {
			passed += passes(h, s.level, s.veil)
		}
		if passed /= float64(n); passed < share {
			low = s.level
		} else {
			high = s.level
		}
	}
	s.beam = min(s.clear, s.beam/passed)
	for _, h := range z {
		s.brightMean += s.bright(h) / float64(n)
	}
}

// secondsVeil is the range of the band's width, as in Clouds.
var secondsVeil = [2]float64{0.3, 3}

// brightening is how much brighter the diffuse light is, as a share, where the
// sun stands open beside a cloud's edge than far from one.
const brightening = 0.3

// bright is 1 at the edge of a cloud, and 0 far from it or under it.
func (s *Seconds) bright(z float64) float64 {
	away := (s.level-z)/s.veil - 0.5
	return brightening * max(0, 1-math.Abs(away))
}

// At returns the beam facing the sun and the diffuse light, in W/m2, some
// seconds after the step's beginning, 0 to the step's length.
func (s *Seconds) At(second float64) (dniWm2, dhiWm2 float64) {
	if s.even {
		return s.beam, s.dhi
	}
	z := s.height.at(s.startS + second*s.rate)
	return s.beam * passes(z, s.level, s.veil), s.dhi * (1 + s.bright(z) - s.brightMean)
}

// octaves of the cloud's height: knots 2 s to 4096 s apart.
const octaves = 12

// cloudHeight is a wandering height with a spread of about 1, known at any
// second.
type cloudHeight struct {
	seed  uint64
	knots [octaves]knotPair
}

// knotPair is where one of the noises stood when it was last asked.
type knotPair struct {
	perS, phase, share float64
	number             int64 // of the left knot
	left, right        float64
}

func newCloudHeight(seed uint64) cloudHeight {
	h := cloudHeight{seed: seed}
	variance := 0.0
	for k := range h.knots {
		p := &h.knots[k]
		p.share = math.Exp2(float64(k) / 3) // spread grows with the cube root of the time
		p.perS = math.Exp2(-float64(k)) / 2
		p.phase = unitHash(seed, k, math.MinInt64)
		variance += p.share * p.share * 2 / 3 // between knots the mean of both varies less
	}
	for k := range h.knots {
		p := &h.knots[k]
		p.share /= math.Sqrt(variance)
		p.number = math.MinInt64
	}
	return h
}

func (h *cloudHeight) at(second float64) float64 {
	z := 0.0
	for k := range h.knots {
		p := &h.knots[k]
		x := second*p.perS + p.phase
		number := int64(math.Floor(x))
		if number != p.number {
			h.move(k, number)
		}
		z += p.left + (x-float64(number))*(p.right-p.left)
	}
	return z
}

// move goes to the knots around a place.
func (h *cloudHeight) move(k int, number int64) {
	p := &h.knots[k]
	if number == p.number+1 {
		p.left = p.right
	} else {
		p.left = p.share * bellHash(h.seed, k, number)
	}
	p.right = p.share * bellHash(h.seed, k, number+1)
	p.number = number
}

// hash mixes three numbers (splitmix64's mixing: Steele, Lea & Flood 2014, Fast
// Splittable Pseudorandom Number Generators).
func hash(seed uint64, k int, number int64) uint64 {
	x := seed + uint64(k+1)*0x9E3779B97F4A7C15
	x ^= uint64(number) * 0xD1B54A32D192ED03
	x = (x ^ x>>30) * 0xBF58476D1CE4E5B9
	x = (x ^ x>>27) * 0x94D049BB133111EB
	return x ^ x>>31
}

// unitHash is even in 0..1.
func unitHash(seed uint64, k int, number int64) float64 {
	return float64(hash(seed, k, number)>>11) / (1 << 53)
}

// bellHash is nearly normal: the sum of four even numbers of 16 bits, with mean
// 0 and spread 1.
func bellHash(seed uint64, k int, number int64) float64 {
	x := hash(seed, k, number)
	sum := x&0xFFFF + x>>16&0xFFFF + x>>32&0xFFFF + x>>48
	return (float64(sum)/0xFFFF - 2) * math.Sqrt(3)
}
