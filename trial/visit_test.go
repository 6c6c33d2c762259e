package trial

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/reading"
)

func lookAt(unixS float64, kind reading.Look, pair int, value float64) look {
	heading := 150.0
	if kind == reading.StillLook {
		heading = 180
	}
	return look{unixS: unixS, kind: kind, pair: pair, value: value, heading: heading}
}

// TestBracketsCancelDrift: light that drifts along a straight line falls on both
// headings alike, whatever the order and the gaps.
func TestBracketsCancelDrift(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 7).Draw(t, "looks")
		ratio := rapid.Float64Range(0.2, 5).Draw(t, "aimed over still")
		level, slope := rapid.Float64Range(1, 10).Draw(t, "light"), rapid.Float64Range(-0.01, 0.01).Draw(t, "drift")
		kind := rapid.SampledFrom([]reading.Look{reading.AimedLook, reading.StillLook}).Draw(t, "first")
		at := 1e9
		var looks []look
		for range n {
			value := level + slope*(at-1e9)
			if kind == reading.AimedLook {
				value *= ratio
			}
			looks = append(looks, lookAt(at, kind, 1, value))
			at += rapid.Float64Range(1, 40).Draw(t, "gap")
			kind = reading.AimedLook + reading.StillLook - kind
		}
		v, ok := bracket(looks)
		if !ok || !v.bracketed {
			t.Fatalf("%d looks make no bracket", n)
		}
		near(t, "aimed over still", v.aimed/v.still, ratio, rounding)
		// A time of 1e9 s has digits to 1.2e-7 s, and the light drifts by up to a
		// hundredth a second: some 1e-9 for each time that is added up.
		near(t, "light at its instant", v.still, level+slope*(v.unixS-1e9), 2e-8)
	})
}

func TestVisitsByNumber(t *testing.T) {
	a, s := reading.AimedLook, reading.StillLook
	for _, c := range []struct {
		name        string
		looks       []look
		made, alone int
	}{
		{"numbered, close by", []look{lookAt(0, a, 1, 1), lookAt(10, s, 1, 1), lookAt(20, a, 2, 1), lookAt(30, s, 2, 1)}, 2, 0},
		{"numbered, far apart", []look{lookAt(0, a, 1, 1), lookAt(200, s, 1, 1)}, 1, 0},
		{"numbered, too far", []look{lookAt(0, a, 1, 1), lookAt(400, s, 1, 1)}, 0, 2},
		{"without numbers", []look{lookAt(0, a, 0, 1), lookAt(10, s, 0, 1), lookAt(20, a, 0, 1), lookAt(900, s, 0, 1), lookAt(910, a, 0, 1)}, 2, 0},
		{"a lone one", []look{lookAt(0, a, 0, 1), lookAt(900, s, 0, 1), lookAt(910, a, 0, 1)}, 1, 1},
		{"out of order", []look{lookAt(910, a, 2, 1), lookAt(0, a, 1, 1), lookAt(900, s, 2, 1), lookAt(10, s, 1, 1)}, 2, 0},
		{"one heading", []look{lookAt(0, a, 1, 1), lookAt(10, a, 1, 1)}, 0, 2},
		{"none", nil, 0, 0},
	} {
		made, alone := visits(c.looks)
		if len(made) != c.made || alone != c.alone {
			t.Errorf("%s: %d visits and %d alone, must be %d and %d", c.name, len(made), alone, c.made, c.alone)
		}
	}
}

// TestStaysSettle: of a stay of many looks the later half counts.
func TestStaysSettle(t *testing.T) {
	var looks []look
	for i := range 10 {
		value := 5.0
		if i < 5 {
			value = 1 // still settling
		}
		looks = append(looks, lookAt(float64(i), reading.AimedLook, 1, value))
	}
	looks = append(looks, lookAt(20, reading.StillLook, 1, 2))
	v, ok := bracket(looks)
	if !ok || v.aimed != 5 || v.still != 2 || v.bracketed {
		t.Errorf("%+v", v)
	}
	if rs := runs(looks); len(rs) != 2 || rs[0].unixS != 7 {
		t.Errorf("%+v", rs)
	}
}

// TestLimitedLookSpoilsItsPair: one is enough.
func TestLimitedLookSpoilsItsPair(t *testing.T) {
	looks := []look{lookAt(0, reading.AimedLook, 1, 3), lookAt(10, reading.StillLook, 1, 2)}
	looks[0].limited = true
	if v, _ := bracket(looks); !v.limited {
		t.Error("a limited look makes no limited pair")
	}
	looks[1].value = math.NaN()
	if _, ok := bracket(looks); ok {
		t.Error("a pair without a figure")
	}
}
