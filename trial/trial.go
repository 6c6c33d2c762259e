// Package trial measures what turning gains with one panel under a sky that
// never holds still: how to look, how long, and what the looks say, with an
// interval.
//
// Three questions are kept apart. These days: aimed over still in the trial's
// own hours; its interval covers what lies between the looks, and the sensor.
// The season: what such days bring on average; only for this are days drawn
// anew. The year: what a typical one would bring, from a sky and panel model
// that the trial has corrected.
package trial
