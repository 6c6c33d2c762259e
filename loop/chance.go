package loop

import "math"

// Everything that happens by chance hangs on the seed and on the time at which
// it happens, not on how often chance was asked before: so every policy meets
// the same gusts, the same wander and the same noise, whatever it does.

// Streams of chance.
const (
	gustPeak = iota + 1
	gustSecond
	windDay
	windVeer
	windFlutter
	gustWhen
	wander
	noise
	eyesNoise
	startHeading
)

// hash mixes three numbers (splitmix64's mixing: Steele, Lea & Flood 2014, Fast
// Splittable Pseudorandom Number Generators).
func hash(seed uint64, stream int, number int64) uint64 {
	x := seed + uint64(stream)*0x9E3779B97F4A7C15
	x ^= uint64(number) * 0xD1B54A32D192ED03
	x = (x ^ x>>30) * 0xBF58476D1CE4E5B9
	x = (x ^ x>>27) * 0x94D049BB133111EB
	return x ^ x>>31
}

// even is spread evenly over 0..1, both ends left out.
func even(seed uint64, stream int, number int64) float64 {
	return (float64(hash(seed, stream, number)>>12) + 0.5) / (1 << 52)
}

// bell is nearly normal, mean 0 and spread 1: the sum of four even numbers.
func bell(seed uint64, stream int, number int64) float64 {
	x := hash(seed, stream, number)
	sum := x&0xFFFF + x>>16&0xFFFF + x>>32&0xFFFF + x>>48
	return (float64(sum)/0xFFFF - 2) * math.Sqrt(3)
}

// drifting is a noise that wanders from knot to knot, spread about 1 at them.
func drifting(seed uint64, stream int, knots float64) float64 {
	at := math.Floor(knots)
	left, right := bell(seed, stream, int64(at)), bell(seed, stream, int64(at)+1)
	return left + (knots-at)*(right-left)
}
