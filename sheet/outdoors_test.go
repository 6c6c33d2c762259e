package sheet

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"turnsole/answer"
	"turnsole/compass"
	"turnsole/rigfile"
)

// outdoors are the answers that go out with the stand, for one spot.
type outdoors struct {
	settings *answer.Settings
	power    *answer.FirstPower
	notches  *answer.Notches
	stand    *answer.Stand
	setup    *answer.Setup
}

func must[T any](t *testing.T) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// takenOut answers for a rig's last spot.
func takenOut(t *testing.T, rig *rigfile.Rig) outdoors {
	spot := rig.Spots[len(rig.Spots)-1].Name
	var dates []time.Time
	for _, month := range []time.Month{3, 6, 9, 12} {
		dates = append(dates, time.Date(2026, month, 21, 0, 0, 0, 0, time.UTC))
	}
	o := outdoors{
		settings: must[*answer.Settings](t)(answer.ListSettings(rig, spot)),
		power:    must[*answer.FirstPower](t)(answer.PlanFirstPower(rig, spot)),
		notches:  must[*answer.Notches](t)(answer.FindNotches(context.Background(), answer.NotchesQuestion{Rig: rig, Spot: spot})),
		stand:    must[*answer.Stand](t)(answer.LookAtStand(rig, spot)),
	}
	o.setup = must[*answer.Setup](t)(answer.SetUp(answer.SetupQuestion{Rig: rig, Spot: spot, Dates: dates, Season: o.notches}))
	return o
}

func (a outdoors) sheets(o Options) *Document {
	d := New(o)
	d.Settings(a.settings)
	d.FirstPower(a.power)
	d.Season(a.notches, a.stand)
	d.Setup(a.setup)
	return d
}

var made = time.Date(2026, 3, 4, 0, 0, 0, 0, time.UTC)

func exampleRig(t *testing.T, name string) *rigfile.Rig {
	for _, e := range rigfile.Examples() {
		if e.Name == name {
			return must[*rigfile.Rig](t)(rigfile.Read(e.Name, []byte(e.TOML), nil))
		}
	}
	t.Fatalf("no example %q", name)
	return nil
}

func TestOutdoorSheetsOnEveryPaper(t *testing.T) {
	for _, e := range rigfile.Examples() {
		a := takenOut(t, exampleRig(t, e.Name))
		for _, paper := range []Paper{A4, Letter} {
			for _, inch := range []bool{false, true} {
				o := Options{Paper: paper, Inches: inch, Made: made, Version: "1.0"}
				d := a.sheets(o)
				first := bytesOf(t, d)
				sound(t, d)
				if inch { // once for each paper
					if again := bytesOf(t, a.sheets(o)); !bytes.Equal(first, again) {
						t.Errorf("%s: other bytes the second time", e.Name)
					}
				}
			}
		}
	}
}

// Where there is neither sun nor compass a card still says what there is.
func TestCardsWithoutSunOrCompass(t *testing.T) {
	for _, c := range []struct {
		spot  string
		dates []time.Time
	}{
		{"latitude = 71.3\nlongitude = -156.8\nzone = \"America/Anchorage\"", []time.Time{time.Date(2026, 12, 21, 0, 0, 0, 0, time.UTC)}},
		{"latitude = 71.3\nlongitude = -156.8\nzone = \"America/Anchorage\"", []time.Time{time.Date(2026, 6, 21, 0, 0, 0, 0, time.UTC), time.Date(2026, 12, 21, 0, 0, 0, 0, time.UTC)}},
		{"latitude = 85.8\nlongitude = 139", []time.Time{time.Date(2026, 6, 21, 0, 0, 0, 0, time.UTC)}},
		{"latitude = 0\nlongitude = 0.1", []time.Time{time.Date(2034, 3, 20, 0, 0, 0, 0, time.UTC)}},
	} {
		rig := must[*rigfile.Rig](t)(rigfile.Read("rig.toml", []byte("[spot]\n"+c.spot+"\n[panel]\npower = \"80 W\"\n"), nil))
		for _, every := range []float64{0.25, 1, 3} {
			s := must[*answer.Setup](t)(answer.SetUp(answer.SetupQuestion{Rig: rig, Dates: c.dates, EveryH: every}))
			d := New(Options{Made: made, Inches: every == 1})
			d.Setup(s)
			bytesOf(t, d)
			sound(t, d)
		}
	}
}

func TestLengthsInWords(t *testing.T) {
	for text, want := range map[string]string{
		"an arm, 300 mm out":      "an arm, 300 mm (11 13/16 in) out",
		"0.3 mm of play":          "0.3 mm (0.012 in) of play",
		"a cable of 2.5 mm2":      "a cable of 2.5 mm2",
		"a cable of 2.5 mm²":      "a cable of 2.5 mm²",
		"300 mm":                  "300 mm (11 13/16 in)",
		"185 mV and 16 microstep": "185 mV and 16 microstep",
	} {
		if got := (Options{Inches: true}).words(text); got != want {
			t.Errorf("%q, want %q", got, want)
		}
		if got := (Options{}).words(text); got != text {
			t.Errorf("%q without inches", got)
		}
	}
}

func TestBearingsAreReadAsOnACompass(t *testing.T) {
	for a, want := range map[compass.Angle]string{0: "000°", 5.4: "005°", 359.6: "000°", -10: "350°", 180: "180°"} {
		if got := bearing(a); got != want {
			t.Errorf("%v: %s, want %s", a, got, want)
		}
	}
}

// readBack is a document's text as another program reads it.
func readBack(t *testing.T, d *Document) string {
	if os.Getenv("TURNSOLE_PEERS") != "1" {
		t.Skip("NOT RUN: set TURNSOLE_PEERS=1 to read pages back with pdftotext (poppler-utils)")
	}
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, bytesOf(t, d), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(string(out)), " ")
}

func TestOutdoorSheetsSayTheirFigures(t *testing.T) {
	a := takenOut(t, exampleRig(t, "hut"))
	text := readBack(t, a.sheets(Options{Made: made, Version: "1.0"}))
	for _, g := range a.settings.Groups {
		for _, row := range g.Rows {
			if !strings.Contains(text, row.Value) {
				t.Errorf("settings: no %s for %s", row.Value, row.Name)
			}
		}
	}
	for _, s := range a.notches.Turning.AsBuilt.Swaps {
		want := fmt.Sprintf("%s %s %s %d", date(s.From), degrees(a.notches.Turning.AsBuilt.Tilts[s.Notch-1]), date(s.To), stretchDays(s))
		if !strings.Contains(text, want) {
			t.Errorf("season: no %q", want)
		}
	}
	for _, day := range a.setup.Days {
		for _, s := range day.Shadows {
			if want := fmt.Sprintf("%s %s %s", bearing(s.Bearing), bearing(s.CompassDeg), mm(s.LengthM)); !strings.Contains(text, want) {
				t.Errorf("set-up: no %q", want)
			}
		}
	}
	for _, want := range []string{"live driver", "Never two supplies at once", "Never look at the sun", "put up a sign and a barrier", "trust the shadow",
		"1.5 A a coil", "Level to within 3°", "tilts are as good as 6"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q", want)
		}
	}
}
