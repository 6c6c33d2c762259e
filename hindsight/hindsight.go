// Package hindsight looks back from what a panel gave to the sky that it must
// have had: beam and diffuse light from looks at two headings, or from one
// heading and what is known of skies; the light on any other plane at the same
// instant; and the time at which a clock that ran wrong, or none at all, must
// have taken its readings.
package hindsight
