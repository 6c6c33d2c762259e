package sheet

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"
)

// sound holds every page to its frame: nothing outside, no words over words,
// and every picture within itself and within the page.
func sound(t *testing.T, d *Document) {
	t.Helper()
	for i, p := range d.pages {
		if err := p.ink.Err(); err != nil {
			t.Error(err)
		}
		x, y, wide, high := p.area()
		least, most := p.ink.Box()
		if least.X < x-1 || least.Y < y-1 || most.X > x+wide+1 || most.Y > y+high+1 {
			t.Errorf("%s, page %d: marks from %v to %v on %g by %g", p.name, i+1, least, most, p.ink.Width, p.ink.Height)
		}
		for _, clash := range append(p.ink.Clashes(), p.frame(d.options, d.numberOf(p), d.countOf(p)).Clashes()...) {
			t.Errorf("%s, page %d: %s", p.name, i+1, clash)
		}
		for _, one := range p.placed {
			name := fmt.Sprintf("%s, page %d, picture %q", p.name, i+1, one.picture.Title)
			if err := one.picture.Err(); err != nil {
				t.Error(name, err)
			}
			// A hair for rounding and half a line's width.
			const hair = 0.3
			if one.x < x-hair || one.y < y-hair || one.x+one.picture.Width > x+wide+hair || one.y+one.picture.Height > y+high+hair {
				t.Errorf("%s stands at %g, %g with %g by %g mm", name, one.x, one.y, one.picture.Width, one.picture.Height)
			}
			if least, most := one.picture.Box(); least.X < -hair || least.Y < -hair || most.X > one.picture.Width+hair || most.Y > one.picture.Height+hair {
				t.Errorf("%s of %g by %g mm has marks from %v to %v", name, one.picture.Width, one.picture.Height, least, most)
			}
			for _, clash := range one.picture.Clashes() {
				t.Errorf("%s: %s", name, clash)
			}
		}
	}
}

func bytesOf(t *testing.T, d *Document) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := d.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestLongTablesGoOnWithTheirHeading(t *testing.T) {
	for _, paper := range []Paper{A4, Letter} {
		d := New(Options{Paper: paper, Made: time.Date(2026, 3, 4, 0, 0, 0, 0, time.UTC)})
		g := d.begin("a rig with a name as long as somebody may think of, and then some more", "Trial", strings.Repeat("what it is for ", 20))
		var rows [][]string
		for i := range 120 {
			rows = append(rows, []string{fmt.Sprint(i), strings.Repeat("words ", i%30), "12.5 mm"})
		}
		g.table([]column{{head: "no", mm: 12, right: true}, {head: "words that fold"}, {head: "length of it", mm: 24, right: true}}, rows)
		g.heading("A heading")
		g.steps([]string{"first", strings.Repeat("second ", 40)})
		g.ticks([]string{"one", "two"})
		g.points([]string{"one", "two"})
		g.caution("Heed this", "one thing", strings.Repeat("another ", 60))
		g.note("small print")
		if len(d.pages) < 4 {
			t.Errorf("only %d pages", len(d.pages))
		}
		if !bytes.Equal(bytesOf(t, d), bytesOf(t, d)) {
			t.Error("the same document gave other bytes the second time")
		}
		sound(t, d)
	}
}

func TestInches(t *testing.T) {
	for m, want := range map[float64]string{0: "0 in", 0.0254: "1 in", 0.0127: "1/2 in", 0.583: "22 15/16 in", 0.0008: "1/32 in", 0.0002: "0 in", -0.0381: "-1 1/2 in"} {
		if got := inches(m); got != want {
			t.Errorf("%v m is %s, want %s", m, got, want)
		}
	}
}

func TestNothingToPrint(t *testing.T) {
	if err := New(Options{}).Write(&bytes.Buffer{}); err == nil {
		t.Error("an empty document was written")
	}
}
