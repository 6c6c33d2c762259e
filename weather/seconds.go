package weather

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Seconds makes the seconds within the steps of a weather year, of which only
// the means are known: clouds that cross the sun. It is the sky of Clouds, down
// to seconds: the sun is open where a wandering height of cloud stands below a
// level, covered above it, and veiled in a band around it. The level of each
// step is set so that its mean beam comes out.
//
// Any second can be asked for in any order: the same seed and step have the
// same seconds for everyone who asks. The height runs on from step to step; the
// level does not, so the beam may jump where steps meet.
//
// Nothing allocates after NewSeconds. One goroutine at a time may use it.
type Seconds struct {
	seed        uint64
	rate, stepS float64
	height      cloudHeight

	// Of the step that was begun:
	startS      float64 // on the height's clock
	even        bool    // nothing changes
	veil, level float64
	beam        float64 // W/m2 where no cloud is
	dhi         float64 // W/m2 far from any edge of a cloud
	samples     [levelSamples]float64
}

// levelSamples is the most points of a step at which its level is set.
const levelSamples = 120

// The figures of the sky at seconds, fitted by trial (the check "Clouds at
// seconds" says to what, and how far they hold).
const (
	sharpestVeil, softestVeil = 0.2, 6 // as Clouds.Veil: each day has its own
	// evenTo and evenFrom are the shares of the beam up to and from which a step
	// is taken to be evenly dim or hazy: broken sky that leaves so little or so
	// much is rarer. A single minute is evenly dim up to evenTo, longer steps up
	// to less: few bursts of sun come to little.
	evenTo, evenFrom = 0.15, 0.85
	// brightening is how much more diffuse light there is in the middle of a
	// cloud's edge than far from one: minutes blur it to the 1.1 of Golden, 17
	// May 2012, and Madrid, 4 March 2020.
	brightening = 0.25
)

// NewSeconds prepares for steps of a length in seconds, 1 to 86400. rate is how
// quickly the beam is switched, 0.001 to 1000: 1 as fitted, 0.5 and 2 for the
// range that is left. Twice the rate is clouds that pass in half the time, with
// edges twice as sharp: as turbulence has no length of its own, time alone
// would change little. What is outside its range is taken as its nearest end.
func NewSeconds(seed uint64, rate float64, stepS float64) *Seconds {
	s := &Seconds{seed: seed, rate: within(rate, 0.001, 1000), stepS: within(stepS, 1, 86400), even: true}
	s.height.draw(seed)
	return s
}

// within takes what is no number as low.
func within(v, low, high float64) float64 {
	if !(v > low) {
		return low
	}
	return min(v, high)
}

// Begin goes to a step, counted from the start of the year, with its mean beam
// facing the sun, the beam that would come through between clouds, and its mean
// diffuse light, in W/m2, none below 0. The beam between clouds is best that of
// the day's own haze: too bright a one makes clouds of haze.
func (s *Seconds) Begin(step int64, dniWm2, clearDNIWm2, dhiWm2 float64) {
	s.beam, s.dhi = dniWm2, dhiWm2
	share := dniWm2 / clearDNIWm2
	dim := min(evenTo, max(0.01, evenTo*60/s.stepS))
	if s.even = !(share > dim && share < evenFrom); s.even { // also where there is no light
		return
	}
	s.startS = float64(step) * s.stepS * s.rate
	day := int64(math.Floor(float64(step) * s.stepS / 86400))
	s.veil = sharpestVeil * math.Pow(softestVeil/sharpestVeil, unitHash(s.seed, noises, day)) / s.rate
	s.setLevel(share, clearDNIWm2)
}

// setLevel finds the level at which the given share of the beam passes, and
// spreads what rounding leaves over the open seconds.
func (s *Seconds) setLevel(share, clearDNIWm2 float64) {
	z := s.samples[:min(levelSamples, int(s.stepS))]
	n := float64(len(z))
	spacing := s.stepS * s.rate / n
	s.height.fill(z, s.startS+spacing/2, spacing)
	low, high := slices.Min(z)-s.veil/2, slices.Max(z)+s.veil/2
	passed := 0.0
	for range 12 { // halvings: to 1/1000 of the cloud's spread
		s.level = (low + high) / 2
		if passed = s.passing(z) / n; passed < share {
			low = s.level
		} else {
			high = s.level
		}
	}
	s.beam = min(clearDNIWm2, s.beam/max(passed, share/2))
	edge := 0.0
	for _, h := range z {
		edge += s.edge(h) / n
	}
	s.dhi /= 1 + brightening*edge
}

func (s *Seconds) passing(z []float64) (sum float64) {
	for _, h := range z {
		sum += passes(h, s.level, s.veil)
	}
	return sum
}

// edge is 1 in the middle of a cloud's edge and falls to 0 at half a band
// beyond it on either side.
func (s *Seconds) edge(z float64) float64 { return max(0, 1-math.Abs(s.level-z)/s.veil) }

// At returns the beam facing the sun and the diffuse light, in W/m2, some
// seconds after the start of the step that was begun, from 0 to its length.
//
// The beam lies between 0 and the beam between clouds. Its mean over the step
// is kept to 0.1 % for steps to 2 minutes; for longer ones, of which 120 points are
// looked at, it strays by 0.2 % (15 minutes) or 0.8 % (an hour) of the beam
// between clouds, one step in twenty by twice that.
func (s *Seconds) At(second float64) (dniWm2, dhiWm2 float64) {
	if s.even {
		return s.beam, s.dhi
	}
	z := s.height.at(s.startS + second*s.rate)
	return s.beam * passes(z, s.level, s.veil), s.dhi * (1 + brightening*s.edge(z))
}

// noises make up the cloud's height: their knots lie quickestS seconds apart,
// and twice as far with each.
const (
	noises    = 9
	quickestS = 6
)

// cloudHeight is a wandering height with a spread of 1, known at any second. It
// is a sum of noises, straight lines between knots of chance heights, which
// grow with the cube root of their time, as turbulence does, so that runs of sun and
// of cloud follow a power law (see Clouds).
type cloudHeight struct {
	seed  uint64
	bells [1024]float32 // drawn heights, from which each knot picks one
	noise [noises]noise
	// From a second on until another, the height is a straight line.
	fromS, untilS, height, risePerS float64
}

// noise is one of the noises, and the two knots where it was last asked.
type noise struct {
	perS, phase, share float64
	number             int64 // of the left knot
	left, right        float64
}

// draw makes the heights of a seed.
func (h *cloudHeight) draw(seed uint64) {
	h.seed = seed
	rng := rand.New(rand.NewPCG(seed, 0))
	for i := range h.bells {
		h.bells[i] = float32(rng.NormFloat64())
	}
	variance := 0.0
	for k := range h.noise {
		n := &h.noise[k]
		n.share = math.Exp2(float64(k) / 3) // with the cube root of the time
		n.perS = math.Exp2(-float64(k)) / quickestS
		n.phase = unitHash(seed, k, math.MinInt64)
		variance += n.share * n.share * 2 / 3 // on the line between knots less than at them
	}
	for k := range h.noise {
		h.noise[k].share /= math.Sqrt(variance)
		h.noise[k].number = math.MinInt64
	}
}

// at returns the height at a second.
func (h *cloudHeight) at(second float64) float64 {
	if !(second >= h.fromS && second < h.untilS) {
		h.lay(second)
	}
	return h.height + (second-h.fromS)*h.risePerS
}

// lay lays the straight line that begins at a second.
func (h *cloudHeight) lay(second float64) {
	h.fromS, h.untilS, h.height, h.risePerS = second, math.Inf(1), 0, 0
	for k := range h.noise {
		along := h.find(k, second)
		n := &h.noise[k]
		h.height += n.left + along*(n.right-n.left)
		h.risePerS += (n.right - n.left) * n.perS
		h.untilS = min(h.untilS, second+(1-along)/n.perS)
	}
}

// fill gives heights at even spacing, noise by noise.
func (h *cloudHeight) fill(z []float64, fromS, spacingS float64) {
	clear(z)
	for k := range h.noise {
		n := &h.noise[k]
		for i := 0; i < len(z); {
			along := h.find(k, fromS+float64(i)*spacingS)
			height, rise := n.left+along*(n.right-n.left), spacingS*n.perS*(n.right-n.left)
			end := min(len(z), i+1+int((1-along)/(spacingS*n.perS))) // before the next knot
			for ; i < end; i++ {
				z[i] += height
				height += rise
			}
		}
	}
}

// find goes to the knots of a noise around a second, and returns how far from
// left to right it lies, 0..1.
func (h *cloudHeight) find(k int, second float64) float64 {
	n := &h.noise[k]
	x := second*n.perS + n.phase
	floor := math.Floor(x)
	switch number := int64(floor); number {
	case n.number:
	case n.number + 1:
		n.number, n.left, n.right = number, n.right, h.knot(k, number+1)
	default:
		n.number, n.left, n.right = number, h.knot(k, number), h.knot(k, number+1)
	}
	return x - floor
}

// knot returns the height of a noise's knot.
func (h *cloudHeight) knot(k int, number int64) float64 {
	i := hash(h.seed, k, number) % uint64(len(h.bells))
	return h.noise[k].share * float64(h.bells[i])
}

// hash mixes three numbers (the finish of splitmix64: Steele, Lea & Flood 2014,
// Fast Splittable Pseudorandom Number Generators).
func hash(seed uint64, k int, number int64) uint64 {
	x := seed + uint64(k+1)*0x9E3779B97F4A7C15 + uint64(number)*0xD1B54A32D192ED03
	x = (x ^ x>>30) * 0xBF58476D1CE4E5B9
	x = (x ^ x>>27) * 0x94D049BB133111EB
	return x ^ x>>31
}

// unitHash is even between 0 and 1.
func unitHash(seed uint64, k int, number int64) float64 {
	return float64(hash(seed, k, number)>>11) / (1 << 53)
}
