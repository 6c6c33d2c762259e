package drawing_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/compass"
	"turnsole/drawing"
	"turnsole/rigfile"
)

// sizes from the least that a picture should bear to a full page, mm.
var sizes = [][2]float64{{50, 40}, {88, 56}, {120, 85}, {186, 250}, {270, 60}}

// sound holds one picture to what every picture must be: whole, within its
// canvas, no letters over others, an SVG that parses.
func sound(t *testing.T, name string, p *chart.Picture) {
	t.Helper()
	if err := p.Err(); err != nil {
		t.Errorf("%s: %v", name, err)
		return
	}
	for _, clash := range p.Clashes() {
		t.Errorf("%s: %s", name, clash)
	}
	least, most := p.Box()
	const hair = 1e-6 // rounding
	if least.X < -hair || least.Y < -hair || most.X > p.Width+hair || most.Y > p.Height+hair {
		t.Errorf("%s: %.1f, %.1f to %.1f, %.1f on a canvas of %g by %g", name, least.X, least.Y, most.X, most.Y, p.Width, p.Height)
	}
	if p.Title == "" || p.Description == "" {
		t.Errorf("%s: nothing for those who listen", name)
	}
	var svg bytes.Buffer
	if err := p.SVG(&svg); err != nil {
		t.Errorf("%s: %v", name, err)
		return
	}
	keep(t, name, svg.Bytes())
	for d := xml.NewDecoder(&svg); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Errorf("%s: %v", name, err)
			return
		}
	}
}

// keep writes pictures to TURNSOLE_DRAWINGS, to be looked at.
func keep(t *testing.T, name string, svg []byte) {
	dir := os.Getenv("TURNSOLE_DRAWINGS")
	if dir == "" {
		return
	}
	file := strings.NewReplacer(" ", "-", "/", "-", ",", "", ":", "").Replace(name) + ".svg"
	if err := os.WriteFile(filepath.Join(dir, file), svg, 0o644); err != nil {
		t.Fatal(err)
	}
}

// rigs are the examples and stands of every other shape.
func rigs(t *testing.T) map[string]*rigfile.Rig {
	t.Helper()
	all := map[string]*rigfile.Rig{}
	for _, e := range rigfile.Examples() {
		rig, err := rigfile.Read(e.Name, []byte(e.TOML), nil)
		if err != nil {
			t.Fatal(err)
		}
		all[e.Name] = rig
	}
	for name, change := range others {
		rig, err := rigfile.Read("hut", []byte(hut(t)), nil)
		if err != nil {
			t.Fatal(err)
		}
		change(rig)
		all[name] = rig
	}
	return all
}

func hut(t *testing.T) string {
	for _, e := range rigfile.Examples() {
		if e.Name == "hut" {
			return e.TOML
		}
	}
	t.Fatal("no hut")
	return ""
}

func stands(t *testing.T) map[string]*answer.Stand {
	t.Helper()
	all := map[string]*answer.Stand{}
	for name, rig := range rigs(t) {
		s, err := answer.LookAtStand(rig, "")
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		all[name] = s
	}
	return all
}

// each draws a picture in all sizes.
func each(t *testing.T, name string, draw func(width, height float64) *chart.Picture) {
	t.Helper()
	for _, size := range sizes {
		sound(t, fmt.Sprintf("%s %gx%g", name, size[0], size[1]), draw(size[0], size[1]))
	}
}

func TestStandsFromTheSide(t *testing.T) {
	for name, s := range stands(t) {
		for i := -1; i < len(s.Settings); i++ {
			each(t, fmt.Sprintf("side %s %d", name, i), func(w, h float64) *chart.Picture { return drawing.Side(s, i, w, h) })
			each(t, fmt.Sprintf("small %s %d", name, i), func(w, h float64) *chart.Picture { return drawing.SmallSide(s, i, w, h) })
		}
		for tilt := compass.Angle(0); tilt <= 90; tilt += 18 {
			each(t, fmt.Sprintf("tilt %s %v", name, tilt), func(w, h float64) *chart.Picture { return drawing.SideAt(s, tilt, w, h) })
		}
	}
}

func TestStandsFromAbove(t *testing.T) {
	for name, s := range stands(t) {
		for i := -1; i < len(s.Settings); i++ {
			each(t, fmt.Sprintf("plan %s %d", name, i), func(w, h float64) *chart.Picture { return drawing.Plan(s, i, w, h) })
		}
	}
}

func TestSunPaths(t *testing.T) {
	for name, rig := range rigs(t) {
		if others[name] != nil {
			continue // one sky is enough for the stands at one spot
		}
		for _, spot := range rig.Spots {
			k, err := answer.PathOverSkyline(rig, spot.Name, nil)
			if err != nil {
				t.Fatal(err)
			}
			each(t, "sky "+name+" "+spot.Name, func(w, h float64) *chart.Picture { return drawing.SunPath(k, w, h) })
		}
	}
	for _, latitude := range []float64{0, 23.4, 40, 68, 90, -12, -34, -75} {
		rig := rigs(t)["hut"]
		rig.Spots[0].Latitude, rig.Spots[0].Longitude = compass.Angle(latitude), 0
		k, err := answer.PathOverSkyline(rig, "", nil)
		if err != nil {
			t.Fatal(err)
		}
		each(t, fmt.Sprintf("sky at %g", latitude), func(w, h float64) *chart.Picture { return drawing.SunPath(k, w, h) })
	}
}

func TestShadowDials(t *testing.T) {
	spring := time.Date(2026, 3, 20, 0, 0, 0, 0, time.UTC)
	days := []time.Time{spring, spring.AddDate(0, 3, 1), spring.AddDate(0, 9, 1), spring.AddDate(0, 5, 0)}
	for _, latitude := range []compass.Angle{0, 23.4, 52, 80, 90, -12, -34} {
		rig := rigs(t)["hut"]
		rig.Spots[0].Latitude, rig.Spots[0].Longitude = latitude, 0
		for n := 1; n <= len(days); n++ {
			s, err := answer.SetUp(answer.SetupQuestion{Rig: rig, Dates: days[:n], EveryH: []float64{1, 0.5, 2, 1}[n-1]})
			if err != nil {
				t.Fatal(err)
			}
			each(t, fmt.Sprintf("dial at %g, %d days", latitude.Degrees(), n), func(w, h float64) *chart.Picture { return drawing.ShadowDial(s, w, h) })
		}
	}
}

// Stands of any measures, most of which could never be built.
func TestAnyStand(t *testing.T) {
	rig := rigs(t)["hut"]
	rapid.Check(t, func(t *rapid.T) {
		m := func(name string, least, most float64) float64 { return rapid.Float64Range(least, most).Draw(t, name) }
		f := legs()
		f.PanelM, f.LegM, f.RailM = m("panel", 0.05, 3), m("leg", 0.02, 3), m("rail", 0.05, 4)
		f.HingeM, f.HingeOffsetM = m("hinge", 0.02, 3), m("offset", -0.2, 0.3)
		f.FoldM, f.Fold = m("fold at", 0, f.PanelM), compass.Angle(m("fold", -30, 30))
		f.FrontsM = []float64{m("front", 0, 0.3)}
		f.NotchesM = []float64{m("notch", 0, 4)}
		rig.Frame, rig.Base.Feet = f, rapid.IntRange(3, 4).Draw(t, "feet")
		rig.Base.RailTopM, rig.Base.FootRadiusM = m("rail top", 0.01, 2), m("foot radius", 0.05, 3)
		s, err := answer.LookAtStand(rig, "")
		if err != nil {
			t.Skip(err) // the stand package has its own tests
		}
		w, h := m("width", 50, 300), m("height", 40, 300)
		for _, p := range []*chart.Picture{drawing.Side(s, 0, w, h), drawing.Side(s, -1, w, h), drawing.SmallSide(s, 0, w, h), drawing.Plan(s, 0, w, h)} {
			least, most := p.Box()
			const hair = 1e-6 // rounding
			if p.Err() != nil || len(p.Clashes()) > 0 || least.X < -hair || least.Y < -hair || most.X > w+hair || most.Y > h+hair {
				t.Fatalf("%g by %g: %v, %v, from %v to %v", w, h, p.Err(), p.Clashes(), least, most)
			}
		}
	})
}

// words are all texts of a picture.
func words(t *testing.T, p *chart.Picture) string {
	t.Helper()
	var svg bytes.Buffer
	if err := p.SVG(&svg); err != nil {
		t.Fatal(err)
	}
	return svg.String()
}

func TestWhatTheDrawingsSay(t *testing.T) {
	all := stands(t)
	for _, c := range []struct {
		name string
		draw *chart.Picture
		says []string
	}{
		{"legs", drawing.Side(all["legs on three feet"], 1, 180, 120), []string{">leg 510<", ">notch 640<", ">stop 30<", ">rail 1050<", "Notch 2: tilt 53.5°", "faces a sun 36° high"}},
		{"legs that do not meet", drawing.Side(all["short legs"], 2, 180, 120), []string{"Notch 3: not possible", "too short", "reach of the leg"}},
		{"prop", drawing.Side(all["prop"], 2, 180, 120), []string{"Prop 420 mm", ">prop 420<", ">prop foot 650<"}},
		{"a tilt to be cut for", drawing.SideAt(all["legs on three feet"], 40, 180, 120), []string{"Tilt 40°", ">notch "}},
		{"a tilt that cannot be", drawing.SideAt(all["short legs"], 80, 180, 120), []string{"Not possible: ", "leg"}},
		{"folding", drawing.Side(all["folding"], 1, 180, 120), []string{"Lower half", "upper half"}},
		{"plan", drawing.Plan(all["listed"], 2, 180, 120), []string{"Tips first", "ballast 20 kg", "heading"}},
		{"small", drawing.SmallSide(all["hut"], 0, 50, 40), []string{"tilt"}},
	} {
		got := words(t, c.draw)
		for _, want := range c.says {
			if !strings.Contains(got, want) {
				t.Errorf("%s: nowhere %q", c.name, want)
			}
		}
	}
	if got := words(t, drawing.SmallSide(all["hut"], 0, 50, 40)); strings.Contains(got, ">leg ") {
		t.Error("a small side has the leg's dimension")
	}
}

// A day that finds no room at its step is told above it.
func TestNoSwapIsLost(t *testing.T) {
	p := answer.NotchPlan{Best: year([]compass.Angle{10, 20, 62}, [3]int{3, 1, 2}, [3]int{3, 3, 1}, [3]int{3, 5, 3}, [3]int{3, 7, 2}, [3]int{3, 9, 1}, [3]int{3, 11, 3})}
	for _, size := range sizes {
		got := words(t, drawing.SwapCalendar(&p, size[0], size[1]))
		got = strings.NewReplacer("</text>", " ").Replace(got)
		for _, day := range []string{"1 Mar", "3 Mar", "5 Mar", "7 Mar", "9 Mar", "11 Mar"} {
			if !strings.Contains(got, ">"+day) && !strings.Contains(got, " "+day) {
				t.Errorf("%v: no %s", size, day)
			}
		}
	}
}

// year is a calendar of tilts from their first days on.
func year(tilts []compass.Angle, swaps ...[3]int) (y answer.NotchYear) {
	y.Tilts = tilts
	for i, s := range swaps {
		next := swaps[(i+1)%len(swaps)]
		last := time.Date(2026, time.Month(next[0]), next[1], 0, 0, 0, 0, time.UTC).AddDate(0, 0, -1)
		y.Swaps = append(y.Swaps, answer.Swap{From: answer.MonthDay{Month: s[0], Day: s[1]},
			To: answer.MonthDay{Month: int(last.Month()), Day: last.Day()}, Notch: s[2]})
	}
	return y
}

func TestSwapCalendars(t *testing.T) {
	for name, p := range map[string]answer.NotchPlan{
		"none": {},
		"one":  {Best: year([]compass.Angle{35}, [3]int{1, 1, 1})},
		"two":  {Best: year([]compass.Angle{28, 57}, [3]int{1, 1, 2}, [3]int{4, 2, 1}, [3]int{9, 12, 2})},
		"across New Year": {Best: year([]compass.Angle{12, 30, 66}, [3]int{2, 3, 2}, [3]int{4, 9, 1},
			[3]int{8, 30, 2}, [3]int{10, 20, 3})},
		"close days": {AsBuilt: year([]compass.Angle{10, 10.4, 11, 62.5}, [3]int{3, 1, 2}, [3]int{3, 4, 1}, [3]int{3, 8, 3},
			[3]int{3, 15, 4}, [3]int{3, 20, 1}, [3]int{12, 29, 4})},
		"twelve": {Best: year([]compass.Angle{5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 70}, [3]int{1, 10, 12}, [3]int{1, 30, 11},
			[3]int{2, 10, 10}, [3]int{2, 20, 9}, [3]int{3, 1, 8}, [3]int{3, 10, 7}, [3]int{3, 20, 6}, [3]int{4, 1, 5}, [3]int{4, 10, 4},
			[3]int{4, 20, 3}, [3]int{5, 1, 2}, [3]int{5, 10, 1}, [3]int{8, 1, 2}, [3]int{8, 10, 3}, [3]int{8, 20, 5}, [3]int{9, 10, 7},
			[3]int{10, 1, 9}, [3]int{11, 1, 12})},
	} {
		each(t, "calendar "+name, func(w, h float64) *chart.Picture { return drawing.SwapCalendar(&p, w, h) })
	}
}

func BenchmarkSide(b *testing.B) {
	rig, err := rigfile.Read("hut", []byte(rigfile.Examples()[0].TOML), nil)
	if err != nil {
		b.Fatal(err)
	}
	s, err := answer.LookAtStand(rig, "")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		drawing.Side(s, 0, 180, 120)
	}
}

func BenchmarkSunPath(b *testing.B) {
	rig, err := rigfile.Read("hut", []byte(rigfile.Examples()[0].TOML), nil)
	if err != nil {
		b.Fatal(err)
	}
	k, err := answer.PathOverSkyline(rig, "", nil)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		drawing.SunPath(k, 180, 120)
	}
}
