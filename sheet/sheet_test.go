package sheet

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"turnsole/answer"
	"turnsole/rigfile"
)

// built are the sheets for building an example.
func built(t testing.TB, toml string, sets []string, o Options) *Document {
	t.Helper()
	rig, err := rigfile.Read("rig", []byte(toml), sets)
	if err != nil {
		t.Fatal(err)
	}
	buy, err := answer.ListShopping(rig, "")
	if err != nil {
		t.Fatal(err)
	}
	cuts, err := answer.ListCuts(rig, "")
	if err != nil {
		t.Fatal(err)
	}
	wire, err := answer.SizeWires(rig)
	if err != nil {
		t.Fatal(err)
	}
	d := New(o)
	d.Buy(buy)
	d.Cuts(cuts)
	d.Template(cuts)
	d.Wiring(wire)
	return d
}

// papers are all the ways in which sheets are printed.
func papers() (all []Options) {
	for _, paper := range []Paper{A4, Letter} {
		for _, inches := range []bool{false, true} {
			all = append(all, Options{Paper: paper, Inches: inches, Made: time.Date(2026, 3, 4, 12, 0, 0, 0, time.UTC), Version: "0.3.0"})
		}
	}
	return all
}

func TestBuildingSheetsStayInTheirFrames(t *testing.T) {
	for _, e := range rigfile.Examples() {
		for _, o := range papers() {
			t.Run(fmt.Sprintf("%s, paper %d, inches %v", e.Name, o.Paper, o.Inches), func(t *testing.T) {
				d := built(t, e.TOML, nil, o)
				sound(t, d)
				if !bytes.Equal(bytesOf(t, d), bytesOf(t, built(t, e.TOML, nil, o))) {
					t.Error("the same rig gave other bytes the second time")
				}
			})
		}
	}
}

// Rigs that ask for more than the examples do.
func TestUnusualRigs(t *testing.T) {
	const least = "[spot]\nlatitude = 50\nlongitude = 8\n[panel]\npower = \"80 W\"\n"
	for name, sets := range map[string][]string{
		"nothing given":     nil,
		"listed":            {"stand.kind=listed", "stand.tilts=[20, 50]"},
		"one-sided":         {"stand.feet=3", "stand.front_stops=[\"0 mm\"]"},
		"large panel":       {"panel.power=450 W", "panel.length=1.9 m", "panel.width=1.13 m", "stand.timber_height=95 mm", "stand.rail_height=50 cm"},
		"thin rails":        {"stand.timber_height=18 mm", "stand.timber_width=18 mm"},
		"big motor":         {"drive.motor_frame=NEMA 34", "drive.holding_torque=8 Nm"},
		"no room for feet":  {"stand.rail_height=5 cm"},
		"small twelve-volt": {"panel.power=5 W"},
	} {
		for _, o := range []Options{papers()[0], papers()[3]} {
			t.Run(fmt.Sprintf("%s, paper %d, inches %v", name, o.Paper, o.Inches), func(t *testing.T) {
				d := built(t, least, sets, o)
				sound(t, d)
				bytesOf(t, d)
			})
		}
	}
}

// What stands on the pages is text that another program finds.
func TestWordsAndFiguresAreText(t *testing.T) {
	if os.Getenv("TURNSOLE_PEERS") != "1" {
		t.Skip("NOT RUN: set TURNSOLE_PEERS=1 to read pages back with pdftotext (poppler-utils)")
	}
	for _, e := range rigfile.Examples() {
		for _, o := range papers() {
			rig, err := rigfile.Read(e.Name, []byte(e.TOML), nil)
			if err != nil {
				t.Fatal(err)
			}
			cuts, err := answer.ListCuts(rig, "")
			if err != nil {
				t.Fatal(err)
			}
			text := read(t, built(t, e.TOML, nil, o))
			wanted := []string{rig.Name, "Shopping list", "Cut list", "Template, true to size", "Wiring", "100 mm across", "100 mm along", "4 March 2026", "Turnsole 0.3.0", "3-clause BSD", "must fit"}
			if cuts.Plate.CentreM > 0 { // a worm's is its maker's affair
				wanted = append(wanted, fmt.Sprintf("%.2f mm", cuts.Plate.CentreM*1000))
			}
			for _, p := range cuts.Pieces {
				wanted = append(wanted, mm(p.LengthM))
				for _, m := range p.Marks {
					if p.Material == answer.Plywood { // to a hundredth, since gears want it
						continue
					}
					wanted = append(wanted, o.mark(m.AtM)+" "+strings.Fields(m.Name)[0])
				}
			}
			for _, words := range wanted {
				if !strings.Contains(text, words) {
					t.Errorf("%s on paper %d: %q is not in the pages' text", e.Name, o.Paper, words)
				}
			}
		}
	}
}

// read is a document's text, with every stretch of white as one blank.
func read(t *testing.T, d *Document) string {
	file := filepath.Join(t.TempDir(), "sheets.pdf")
	if err := os.WriteFile(file, bytesOf(t, d), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-raw", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(string(out)), " ")
}

func BenchmarkBuildingSheets(b *testing.B) {
	for b.Loop() {
		var out bytes.Buffer
		if err := built(b, rigfile.Examples()[0].TOML, nil, Options{}).Write(&out); err != nil {
			b.Fatal(err)
		}
	}
}
