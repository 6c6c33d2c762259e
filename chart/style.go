package chart

import "strings"

// Ink is a colour of the drawing. All of them differ in lightness, so that a
// drawing reads the same printed in grey and to colour-blind eyes.
type Ink int

// The inks, from none to the white of the paper.
const (
	None   Ink = iota
	Pen        // near black: outlines, letters, dimensions
	Pencil     // grey: what is behind, hidden or secondary
	Light      // the one warm accent: light, and nothing else
	Faint      // light grey: grids
	Glow       // the accent washed thin, for areas of light
	Shade      // pale grey: areas in shadow, surfaces
	Paper      // white: covers what lies under it
)

// inks holds each ink's name (the class it has in SVG) and colour.
var inks = [...]struct {
	name    string
	r, g, b int
}{
	Pen:    {"pen", 0x20, 0x26, 0x2b},
	Pencil: {"pencil", 0x61, 0x67, 0x6c},
	Light:  {"light", 0xd9, 0x7a, 0x06},
	Faint:  {"faint", 0xb6, 0xb9, 0xba},
	Glow:   {"glow", 0xf4, 0xc9, 0x7c},
	Shade:  {"shade", 0xea, 0xea, 0xe6},
	Paper:  {"paper", 0xff, 0xff, 0xff},
}

// RGB is the ink's colour, each part 0..255; None and inks that do not exist
// are white.
func (k Ink) RGB() (r, g, b int) {
	if !k.drawn() {
		k = Paper
	}
	return inks[k].r, inks[k].g, inks[k].b
}

func (k Ink) drawn() bool { return k > None && int(k) < len(inks) }

// Widths of lines in mm, each about 1.4 times the one before, as drawing
// offices rule them (the steps of ISO 128).
const (
	Hair   = 0.13 // hatching
	Thin   = 0.18 // dimension lines, grids
	Medium = 0.35 // edges
	Thick  = 0.5  // the line that the picture is about
)

// Style is how a mark is drawn. The zero Style draws nothing.
type Style struct {
	Stroke Ink
	Width  float64   // mm; 0 is Thin
	Dash   []float64 // mm drawn, mm left out, and so on; none is a whole line
	Fill   Ink
	Hatch  Hatch
}

// Hatch is parallel thin lines across an area.
type Hatch struct {
	Gap  float64 // mm between lines, 0 for no hatching
	Turn float64 // the lines' angle on paper, degrees
	Ink  Ink     // None is Pencil
}

func (s Style) width() float64 {
	if s.Width > 0 {
		return s.Width
	}
	return Thin
}

// reach is how far the ink goes beyond the path.
func (s Style) reach() float64 {
	if !s.Stroke.drawn() {
		return 0
	}
	return s.width() / 2
}

// Anchor is the part of a text that stands at its point.
type Anchor int

// A text starts, has its middle, or ends at its point.
const (
	Start Anchor = iota
	Middle
	End
)

// Lettering is how a text is written. The zero Lettering is 3 mm, upright, in
// Pen, starting at its point, with its baseline through it.
type Lettering struct {
	Size     float64 // mm from line to line; capitals are 0.72 of it; 0 is 3 mm
	Ink      Ink     // None is Pen
	Anchor   Anchor
	Turn     float64 // degrees
	Bold     bool
	Italic   bool // not together with Bold
	Mono     bool // all letters of one width; neither bold nor italic
	Centred  bool // the middle of the capitals, not the baseline, is at the point
	OnPaper  bool // covers with Paper what lies under it
	Enclosed bool // ruled around
}

func (l Lettering) size() float64 {
	if l.Size > 0 {
		return l.Size
	}
	return 3
}

func (l Lettering) ink() Ink {
	if l.Ink.drawn() {
		return l.Ink
	}
	return Pen
}

// printable puts a space for every control character and the replacement
// character for whatever the fonts' format cannot hold (they end at U+FFFF).
func printable(words string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r < ' ' || r >= 0x7f && r < 0xa0:
			return ' '
		case r >= 0xfffe:
			return '\ufffd'
		}
		return r
	}, strings.ToValidUTF8(words, "\ufffd"))
}
