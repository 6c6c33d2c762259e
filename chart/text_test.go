package chart_test

import (
	"encoding/binary"
	"math"
	"os"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/goregular"
	"turnsole/chart"
)

// needed are the letters beyond ASCII that drawings and sheets use.
const needed = "°²³–—…→←↑↓↔×÷≥≤≈±½¼¾µΩ−′″·√ΔπλαβθσφéüñßÆøç‘’“”•€"

var fonts = map[string][]byte{"": goregular.TTF, "B": gobold.TTF, "I": goitalic.TTF, "M": gomono.TTF}

func hand(face string) chart.Lettering {
	return chart.Lettering{Size: 10, Bold: face == "B", Italic: face == "I", Mono: face == "M"}
}

func TestTheFontsHaveTheLetters(t *testing.T) {
	for face, ttf := range fonts {
		for _, r := range needed {
			if readGlyph(ttf, r) == 0 {
				t.Errorf("font %q has no %c", face, r)
			}
		}
	}
	for _, r := range "⌀∠✓" {
		if readGlyph(goregular.TTF, r) != 0 {
			t.Errorf("%c is there, unlike what Fonts says", r)
		}
	}
}

// What is measured is what the font's own tables say.
func TestWidthIsTheFonts(t *testing.T) {
	for face, ttf := range fonts {
		for r := ' '; r < 0x250; r++ {
			glyph := readGlyph(ttf, r)
			if glyph == 0 || !unicode.IsPrint(r) {
				continue
			}
			got, want := hand(face).Width(string(r)), 10*readAdvance(ttf, glyph)
			// The writer of PDFs rounds to thousandths of the size.
			if math.Abs(got-want) > 0.0051 {
				t.Errorf("font %q: %c is %g mm wide, %g measured", face, r, want, got)
			}
		}
	}
	if a, b := chart.TextWidth("Wide", 3, true), (chart.Lettering{Bold: true}).Width("Wide"); a != b {
		t.Errorf("the same text is %g and %g mm long", a, b)
	}
}

// table is one table of a TrueType font (Apple's and Microsoft's OpenType
// specification, "Organization of an OpenType font").
func table(ttf []byte, name string) []byte {
	for i := range int(binary.BigEndian.Uint16(ttf[4:])) {
		entry := ttf[12+16*i:]
		if string(entry[:4]) == name {
			return ttf[binary.BigEndian.Uint32(entry[8:]):]
		}
	}
	return nil
}

// readGlyph is the number of a letter's glyph by a cmap of format 4, 0 for
// none.
func readGlyph(ttf []byte, r rune) int {
	u16 := func(b []byte, at int) int { return int(binary.BigEndian.Uint16(b[at:])) }
	cmap := table(ttf, "cmap")
	for i := range u16(cmap, 2) {
		sub := cmap[binary.BigEndian.Uint32(cmap[4+8*i+4:]):]
		if u16(sub, 0) != 4 {
			continue
		}
		segments := u16(sub, 6) / 2
		for k := range segments {
			end, start := u16(sub, 14+2*k), u16(sub, 16+2*(segments+k))
			if int(r) < start || int(r) > end {
				continue
			}
			delta, at := u16(sub, 16+2*(2*segments+k)), 16+2*(3*segments+k)
			if skip := u16(sub, at); skip != 0 {
				glyph := u16(sub, at+skip+2*(int(r)-start))
				if glyph == 0 {
					return 0
				}
				return (glyph + delta) & 0xffff
			}
			return (int(r) + delta) & 0xffff
		}
	}
	return 0
}

// readAdvance is a glyph's width as a share of the size.
func readAdvance(ttf []byte, glyph int) float64 {
	measured := int(binary.BigEndian.Uint16(table(ttf, "hhea")[34:]))
	units := binary.BigEndian.Uint16(table(ttf, "head")[18:])
	return float64(binary.BigEndian.Uint16(table(ttf, "hmtx")[4*min(glyph, measured-1):])) / float64(units)
}

func TestFold(t *testing.T) {
	const text = "Drill both axle holes before the rails are glued.\nThen sand."
	lines := chart.Fold(text, 40, 3)
	if len(lines) < 3 || lines[len(lines)-1] != "Then sand." {
		t.Errorf("%q", lines)
	}
	if got := chart.Fold("one\n\ntwo", 40, 3); len(got) != 3 || got[1] != "" {
		t.Errorf("%q", got)
	}
}

func FuzzFold(f *testing.F) {
	f.Add("Drill both axle holes", 20.0)
	f.Add("Donaudampfschifffahrtsgesellschaft und mehr", 10.0)
	f.Add("\xff\xfe broken", 1.0)
	f.Add("", -1.0)
	f.Fuzz(func(t *testing.T, text string, width float64) {
		lines := chart.Fold(text, width, 3)
		bare := func(s string) string { return strings.Join(strings.Fields(s), "") }
		if bare(strings.Join(lines, "")) != bare(text) {
			t.Fatalf("%q became %q", text, lines)
		}
		for _, line := range lines {
			if utf8.RuneCountInString(line) > 1 && chart.TextWidth(line, 3, false) > width {
				t.Fatalf("%q does not fit %g mm", line, width)
			}
		}
	})
}

func TestFontLicence(t *testing.T) {
	file, err := os.ReadFile("LICENSE-go-fonts")
	if err != nil {
		t.Fatal(err)
	}
	terms := string(file)
	for _, words := range []string{"Bigelow & Holmes", "Redistribution and use", "AS IS"} {
		if !strings.Contains(terms, words) {
			t.Errorf("the licence does not say %q", words)
		}
	}
	if !strings.Contains(chart.FontLicence(), "Bigelow & Holmes") || strings.Contains(chart.FontLicence(), "\n") {
		t.Error(chart.FontLicence())
	}
}
