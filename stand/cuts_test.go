package stand_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/stand"
)

// bench is a stand on which a few tilts can be cut by hand: hinge 0.5 up the
// panel, leg 0.5, so that from the front stop the foot is at cos(tilt) metres.
func bench() stand.Frame {
	return stand.Frame{
		Kind: stand.Legs, PanelM: 1, HingeM: 0.5, LegM: 0.5, RailM: 1.2,
		NotchWidthM: 0.02, LeastWoodM: 0.03, FrontsM: []float64{0, 0.1, 0.2},
	}
}

func TestNotchesForTilts(t *testing.T) {
	plan, err := bench().CutFor([]compass.Angle{60, 30})
	if err != nil {
		t.Fatal(err)
	}
	// cos 60 = 0.5, cos 30 = 0.8660
	if c := plan.Cuts[0]; c.NotchM != 0.5 || c.Back != 1 || c.Front != 1 || math.Abs(float64(c.Tilt-60)) > 1e-9 {
		t.Errorf("first cut %+v", c)
	}
	c := plan.Cuts[1]
	if c.NotchM != 0.866 || c.Back != 2 || math.Abs(c.Exact-math.Sqrt(0.75)) > 1e-12 || math.Abs(c.Tilt.Cos()-0.866) > 1e-12 {
		t.Errorf("second cut %+v", c)
	}
	if plan.RailM != 0.916 || math.Abs(plan.WoodM-0.346) > 1e-12 || plan.Merged != nil {
		t.Errorf("rail %v wood %v merged %v", plan.RailM, plan.WoodM, plan.Merged)
	}
	if !slices.Equal(plan.Frame.NotchesM, []float64{0.5, 0.866}) {
		t.Errorf("notches %v", plan.Frame.NotchesM)
	}
}

func TestAnotherFrontStopKeepsNotchesApart(t *testing.T) {
	// cos 45 = 0.7071 and cos 42 = 0.7431 leave 16 mm of wood from one stop.
	plan, err := bench().CutFor([]compass.Angle{45, 42})
	if err != nil {
		t.Fatal(err)
	}
	// From 0 and 0.2: 0.707 and 0.943 stand further apart than with 0.1.
	if a, b := plan.Cuts[0], plan.Cuts[1]; a.Front != 1 || b.Front != 3 || a.NotchM != 0.707 || b.NotchM != 0.943 || plan.Merged != nil {
		t.Errorf("%+v, merged %v", plan.Cuts, plan.Merged)
	}
}

func TestTiltsShareANotchWhereNothingElseFits(t *testing.T) {
	f := bench()
	f.FrontsM = nil
	plan, err := f.CutFor([]compass.Angle{45, 30, 42})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"42 and 45 degrees share the notch at 725 mm: with notches of their own less than 30 mm of wood would be left"}
	if !slices.Equal(plan.Merged, want) {
		t.Errorf("merged %q", plan.Merged)
	}
	a, b, c := plan.Cuts[0], plan.Cuts[1], plan.Cuts[2]
	if a.Back != c.Back || a.Tilt != c.Tilt || a.Wanted != 45 || b.Back != 2 || a.Front != 0 {
		t.Errorf("%+v", plan.Cuts)
	}
}

func TestEqualTiltsAreOneNotch(t *testing.T) {
	plan, err := bench().CutFor([]compass.Angle{40, 40})
	if err != nil || len(plan.Frame.NotchesM) != 1 || plan.Cuts[1].Back != 1 || plan.Merged != nil || !math.IsInf(plan.WoodM, 1) {
		t.Errorf("%+v %v", plan, err)
	}
}

func TestNoCutSaysWhatWouldDo(t *testing.T) {
	short, high := bench(), bench()
	short.RailM = 0.7 // 30 degrees needs 0.866 and 0.05 more; a foot at 0.65 is hypot(0.217, 0.25) = 0.331 from the hinge
	short.FrontsM = nil
	high.LegM = 0.4   // at 60 degrees the hinge is 0.433 up
	before := bench() // at 89 degrees the foot is at 0.0175
	before.FrontsM, before.ContactBackM = nil, 0.02
	outside := bench()
	outside.FrontsM = []float64{-0.1}
	for name, c := range map[string]struct {
		frame stand.Frame
		tilt  compass.Angle
		want  string
	}{
		"stop":    {outside, 40, "the front stop is 100 mm before the rail's front end"},
		"rail":    {short, 30, "30 degrees needs a rail of 916 mm, this one has 700 mm; with this rail a leg of at most 331 mm would do, these have 500 mm"},
		"leg":     {high, 60, "at 60 degrees the hinge is 433 mm above the foot: the leg is 34 mm too short, 434 mm would just reach"},
		"before":  {before, 89, "89 degrees needs a notch in front of the rail: a longer leg, or a front stop further back"},
		"flat":    {bench(), -1, "a tilt of -1 degrees: it must lie between 0 and 90"},
		"kind":    {stand.Frame{Kind: stand.Prop, PanelM: 1, HingeM: 0.5}, 40, "the prop's foot must stand behind the hinge at the panel's front edge"},
		"no list": {stand.Frame{Kind: stand.Listed}, 40, "the list has no tilts to choose from"},
	} {
		if _, err := c.frame.CutFor([]compass.Angle{c.tilt}); err == nil || err.Error() != c.want {
			t.Errorf("%s:\n got %v\nwant %s", name, err, c.want)
		}
	}
	for _, n := range []int{0, 13} {
		if _, err := bench().CutFor(make([]compass.Angle, n)); err == nil {
			t.Errorf("%d tilts were accepted", n)
		}
	}
}

func TestUprightIsNotRoundedPastItself(t *testing.T) {
	f := bench() // at 90 the leg must reach 0.5 up: the foot at sqrt(0.6^2-0.5^2) = 0.33166
	f.LegM = 0.6
	plan, err := f.CutFor([]compass.Angle{90})
	if err != nil || plan.Cuts[0].NotchM != 0.332 || plan.Cuts[0].Tilt > 90 {
		t.Errorf("%+v %v", plan.Cuts, err)
	}
}

func TestPropsListsAndPlainTilts(t *testing.T) {
	prop := stand.Frame{Kind: stand.Prop, PanelM: 1, HingeM: 0.5, PropFootM: 0.5}
	plan, err := prop.CutFor([]compass.Angle{60, 30})
	// chords of a circle of 0.5: 2 x 0.5 sin(tilt/2)
	if err != nil || plan.Cuts[0].PropM != 0.5 || plan.Cuts[1].PropM != 0.259 || plan.Cuts[0].Back != 2 || plan.Cuts[1].Back != 1 {
		t.Errorf("%+v %v", plan.Cuts, err)
	}
	if want := 2 * compass.Radians(math.Asin(0.259)); math.Abs(float64(plan.Cuts[1].Tilt-want)) > 1e-9 {
		t.Errorf("the rounded prop gives %v, want %v", plan.Cuts[1].Tilt, want)
	}
	list := stand.Frame{Kind: stand.Listed, Tilts: []compass.Angle{20, 36, 60}}
	plan, err = list.CutFor([]compass.Angle{35, 62, 38})
	want := []string{"35 and 38 degrees share the listed 36 degrees: the list has nothing nearer"}
	if err != nil || plan.Cuts[0].Tilt != 36 || plan.Cuts[1].Back != 3 || !slices.Equal(plan.Merged, want) {
		t.Errorf("%+v %v", plan, err)
	}
	plan, err = stand.Frame{}.CutFor([]compass.Angle{33.3})
	if err != nil || plan.Cuts[0].Tilt != 33.3 || plan.Cuts[0].NotchM != 0 {
		t.Errorf("%+v %v", plan, err)
	}
}

// Whatever is cut is in whole millimetres, on the rail, leaves the wood that
// it must, and gives the tilts that it says.
func TestCutsKeepTheirPromises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := bench()
		f.LegM = metres(t, "leg", 0.4, 0.8)
		f.LeastWoodM = metres(t, "wood", 0.005, 0.05)
		f.FrontsM = rapid.SliceOfN(rapid.Float64Range(0, 0.3), 0, 4).Draw(t, "fronts")
		var tilts []compass.Angle
		for _, d := range rapid.SliceOfN(rapid.Float64Range(10, 60), 1, 12).Draw(t, "tilts") {
			tilts = append(tilts, compass.Angle(d))
		}
		plan, err := f.CutFor(tilts)
		if err != nil {
			t.Skip("no stand for these tilts")
		}
		g := plan.Frame
		if problems := g.Problems(); len(problems) > 0 {
			t.Fatalf("%v", problems)
		}
		if plan.RailM > f.RailM+1e-9 {
			t.Fatalf("needs a rail of %v", plan.RailM)
		}
		for i, c := range plan.Cuts {
			front := 0.0
			if c.Front > 0 {
				front = f.FrontsM[c.Front-1]
			}
			tilt, err := f.TiltOf(front, c.NotchM, f.LegM)
			if err != nil || tilt != c.Tilt || c.Wanted != tilts[i] || g.NotchesM[c.Back-1] != c.NotchM {
				t.Fatalf("%+v gives %v (%v)", c, tilt, err)
			}
			if math.Abs(c.NotchM*1000-math.Round(c.NotchM*1000)) > 1e-9 || math.Abs(c.NotchM-c.Exact) > 0.001 {
				t.Fatalf("%+v is no whole millimetre", c)
			}
		}
		if len(g.NotchesM) > 1 && plan.WoodM < f.LeastWoodM-1e-9 {
			t.Fatalf("wood %v", plan.WoodM)
		}
	})
}

// Three tilts share a notch only where none of all assignments of stops fits.
func TestSharingOnlyWhereNothingElseFits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := bench()
		f.LeastWoodM = metres(t, "wood", 0.02, 0.15)
		tilts := []compass.Angle{45, 45 + compass.Angle(metres(t, "b", 1, 4)), 50 + compass.Angle(metres(t, "c", 1, 4))}
		plan, err := f.CutFor(tilts)
		if err != nil {
			t.Skip("no stand for these tilts")
		}
		fits, fewest := false, 4
		for n := range 27 {
			stops := []int{n % 3, n / 3 % 3, n / 9}
			var at []float64
			for i, tilt := range tilts {
				m, _ := f.NotchOf(f.FrontsM[stops[i]], tilt)
				at = append(at, math.Round(m*1000)/1000)
			}
			if apart(f, at) {
				fits = true
				fewest = min(fewest, len(slices.Compact(slices.Sorted(slices.Values(stops)))))
			}
		}
		if fits != (plan.Merged == nil) {
			t.Fatalf("fits %v, merged %v", fits, plan.Merged)
		}
		used := map[int]bool{}
		for _, c := range plan.Cuts {
			used[c.Front] = true
		}
		if fits && len(used) != fewest {
			t.Fatalf("%d front stops, %d would do", len(used), fewest)
		}
	})
}

func apart(f stand.Frame, at []float64) bool {
	at = slices.Sorted(slices.Values(at))
	for i := range len(at) - 1 {
		if at[i+1]-at[i] < f.NotchWidthM+f.LeastWoodM-1e-9 && at[i+1] != at[i] {
			return false
		}
	}
	return at[len(at)-1]+f.NotchWidthM+f.LeastWoodM <= f.RailM+1e-9
}

func BenchmarkCutsForTwelveTilts(b *testing.B) {
	f := bench()
	f.FrontsM = []float64{0, 0.04, 0.09, 0.15, 0.22, 0.3, 0.36, 0.41}
	f.RailM = 2
	var tilts []compass.Angle
	for i := range 12 {
		tilts = append(tilts, compass.Angle(15+4*i))
	}
	for b.Loop() {
		if _, err := f.CutFor(tilts); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkSettings(b *testing.B) {
	f := bench()
	f.NotchesM = []float64{0.3, 0.4, 0.5, 0.6, 0.7, 0.8}
	for b.Loop() {
		f.Settings()
	}
}

func TestProblems(t *testing.T) {
	with := func(change func(*stand.Frame)) stand.Frame {
		f := bench()
		f.FrontsM, f.NotchesM = []float64{0}, []float64{0.5, 0.7}
		change(&f)
		return f
	}
	if p := with(func(*stand.Frame) {}).Problems(); p != nil {
		t.Errorf("a good frame has %v", p)
	}
	for want, f := range map[string]stand.Frame{
		"notches_at: the notches at 500 mm and 530 mm leave 10 mm of wood between them: at least 30 mm, so that the mouths begin 50 mm apart":                                 with(func(f *stand.Frame) { f.NotchesM = []float64{0.53, 0.5} }),
		"notches_at: notch 2: the notch ends at 1220 mm, off a rail of 1200 mm: a rail of 1250 mm would hold it":                                                              with(func(f *stand.Frame) { f.NotchesM = []float64{0.5, 1.2} }),
		"leg_length: notch 2 at 1100 mm goes with no front stop; the leg is 100 mm too short for this pair: 600 mm would just reach":                                          with(func(f *stand.Frame) { f.NotchesM = []float64{0.5, 1.1} }),
		"front_stops: front stop 1: the front stop is 50 mm before the rail's front end":                                                                                      with(func(f *stand.Frame) { f.FrontsM = []float64{-0.05, 0} }),
		"leg_length: no pair of front stop and notch holds the panel up; with the front edge at 0 mm and the notch at 500 mm, legs of 0 mm to 707 mm would: these are 900 mm": with(func(f *stand.Frame) { f.LegM, f.NotchesM = 0.9, []float64{0.5} }),
		"notches_at: a stand on legs without a notch: name where the feet stand":                                                                                              with(func(f *stand.Frame) { f.NotchesM = nil }),
		"prop_lengths: prop length 2: the prop is 300 mm too long for this pair: 707 mm would stand the panel upright":                                                        {Kind: stand.Prop, PanelM: 1, HingeM: 0.5, PropFootM: 0.5, PropsM: []float64{0.5, 1.007}},
		"prop_lengths: a prop without a length: name those that it can be set to":                                                                                             {Kind: stand.Prop, PanelM: 1, HingeM: 0.5, PropFootM: 0.5},
		"tilts: a list of tilts without a tilt: name those that the stand can be set to":                                                                                      {Kind: stand.Listed},
	} {
		var got []string
		for _, p := range f.Problems() {
			got = append(got, fmt.Sprintf("%s: %s", p.Key, p.Text))
		}
		if !slices.Contains(got, want) {
			t.Errorf("want %q\n got %q", want, strings.Join(got, "\n     "))
		}
	}
}

func TestValidateFrames(t *testing.T) {
	for name, change := range map[string]func(*stand.Frame){
		"not a number":         func(f *stand.Frame) { f.RailM = math.NaN() },
		"endless":              func(f *stand.Frame) { f.ContactDownM = math.Inf(1) },
		"notch":                func(f *stand.Frame) { f.NotchesM = []float64{0.1, 1e9} },
		"front":                func(f *stand.Frame) { f.FrontsM = []float64{math.NaN()} },
		"too many fronts":      func(f *stand.Frame) { f.FrontsM = make([]float64, 9) },
		"kind":                 func(f *stand.Frame) { f.Kind = 7 },
		"no leg":               func(f *stand.Frame) { f.LegM = 0 },
		"negative leg":         func(f *stand.Frame) { f.LegM = -1 },
		"hinge off the panel":  func(f *stand.Frame) { f.HingeM = 1.1 },
		"fold off the panel":   func(f *stand.Frame) { f.FoldM = 1 },
		"folded right over":    func(f *stand.Frame) { f.Fold = 170 },
		"friction":             func(f *stand.Frame) { f.Friction = -0.1 },
		"prop without a foot":  func(f *stand.Frame) { f.Kind = stand.Prop },
		"prop of no length":    func(f *stand.Frame) { f.Kind, f.PropFootM, f.PropsM = stand.Prop, 1, []float64{-1} },
		"list past upright":    func(f *stand.Frame) { f.Kind, f.Tilts = stand.Listed, []compass.Angle{91} },
		"list without figures": func(f *stand.Frame) { f.Kind, f.Tilts = stand.Listed, []compass.Angle{compass.Angle(math.NaN())} },
	} {
		f := bench()
		if err := f.Validate(); err != nil {
			t.Fatal(err)
		}
		change(&f)
		if f.Validate() == nil {
			t.Errorf("%s: accepted", name)
		}
		if f.Problems() != nil {
			t.Errorf("%s: problems of an invalid frame", name)
		}
	}
}

func TestKindsByName(t *testing.T) {
	for _, k := range []stand.Kind{stand.Plain, stand.Legs, stand.Prop, stand.Listed} {
		if got, err := stand.KindNamed(k.String()); got != k || err != nil {
			t.Errorf("%v came back as %v (%v)", k, got, err)
		}
	}
	if _, err := stand.KindNamed("tripod"); err == nil || stand.Kind(9).String() != "unknown" {
		t.Error("unknown kinds are not refused")
	}
}
