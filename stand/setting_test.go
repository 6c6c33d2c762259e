package stand_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/stand"
)

// legs is a stand whose triangle is written down: front edge and foot on the
// rails' top, the hinge on the panel's back plane.
func legs(hingeM, footM, legM float64) stand.Frame {
	return stand.Frame{Kind: stand.Legs, PanelM: 1, HingeM: hingeM, NotchesM: []float64{footM}, LegM: legM, Friction: 0.4}
}

// Angles of the 3-4-5 triangle.
var (
	small = compass.Radians(math.Atan2(3, 4))
	large = compass.Radians(math.Atan2(4, 3))
)

func TestTrianglesByHand(t *testing.T) {
	raised := legs(0.5, 0.4, 0.6) // front edge 0.3 up, hinge above the foot at (0.4, 0.6)
	raised.FrontUpM = 0.3
	offset := legs(0.4, 0.3, 0.4) // the line to the hinge is 0.5 long and 36.87 degrees flatter than the panel
	offset.HingeOffsetM = 0.3
	notched := legs(0.5, 0.25, 0.4) // foot at (0.3, -0.1), hinge at (0.3, 0.3) from a front edge at -0.1
	notched.ContactBackM, notched.ContactDownM, notched.FrontUpM = 0.05, 0.1, -0.1
	folded := legs(0.7, 0.6, 0.2*math.Sin(math.Pi/3)) // lower half flat, upper half at 60, leg upright
	folded.FoldM, folded.Fold = 0.5, 60
	moved := legs(0.3, 0.7, 0.4)
	moved.FrontsM = []float64{0.2}
	prop := stand.Frame{Kind: stand.Prop, PanelM: 1, HingeM: 0.5, PropFootM: 0.3, PropsM: []float64{0.4}}
	pin := prop // pin 0.1 up: the prop is upright and 0.1 shorter
	pin.PropFootUpM, pin.PropsM = 0.1, []float64{0.3}

	for name, c := range map[string]struct {
		frame      stand.Frame
		tilt, lean compass.Angle
	}{
		"right angle at the hinge":   {legs(0.3, 0.5, 0.4), large, large}, // the leg's foot angle is small, so it leans by large
		"right angle at the hinge 2": {legs(0.4, 0.5, 0.3), small, small},
		"leg upright":                {legs(0.5, 0.3, 0.4), large, 0},
		"equal sides":                {legs(0.5, 0.6, 0.5), large, small},
		"equilateral":                {legs(0.4, 0.4, 0.4), 60, 30},
		"foot in front of its hinge": {legs(0.5, 0.2, math.Sqrt(0.17)), large, -compass.Radians(math.Atan2(1, 4))},
		"raised front edge":          {raised, small, 0},
		"hinge behind the panel":     {offset, 90, 0},
		"contact within the notch":   {notched, large, 0},
		"hinge on the upper half":    {folded, 30, 0},
		"front stop":                 {moved, large, large},
		"prop":                       {prop, large, 0},
		"prop's pin raised":          {pin, large, 0},
	} {
		s := c.frame.Settings()[0]
		// 1e-9 degrees: rounding, where no side is stretched out.
		if !s.Possible || math.Abs(float64(s.Tilt-c.tilt)) > 1e-9 || math.Abs(float64(s.LegLean-c.lean)) > 1e-9 {
			t.Errorf("%s: tilt %v lean %v (%q), want %v and %v", name, s.Tilt, s.LegLean, s.Why, c.tilt, c.lean)
		}
		if legged := c.frame.Kind == stand.Legs; s.PastUpright != (legged && c.lean < -1e-9) {
			t.Errorf("%s: past upright %v at a lean of %v", name, s.PastUpright, s.LegLean)
		}
	}
}

func TestSlidesWithoutANotch(t *testing.T) {
	f := legs(0.5, 0.6, 0.5) // leans by 36.87 degrees, tangent 0.75
	for friction, slides := range map[float64]bool{0.74: true, 0.76: false} {
		f.Friction = friction
		s := f.Settings()[0]
		if s.Slides != slides || math.Abs(s.FrictionNeeded-0.75) > 1e-12 {
			t.Errorf("friction %v: slides %v, needs %v", friction, s.Slides, s.FrictionNeeded)
		}
	}
}

func TestFoldingHalves(t *testing.T) {
	f := legs(0.3, 0.5, 0.4) // lower half at large
	f.FoldM, f.Fold = 0.6, -5
	s := f.Settings()[0]
	// 0.4 of the area is 5 degrees flatter.
	for what, d := range map[string]compass.Angle{"lower": s.Lower - large, "upper": s.Upper - large + 5, "tilt": s.Tilt - large + 2} {
		if math.Abs(float64(d)) > 1e-9 {
			t.Errorf("%s is off by %v", what, d)
		}
	}
	shape := f.ShapeAt(s)
	if d := distance(shape.Front, shape.Fold) - 0.6; math.Abs(d) > 1e-12 {
		t.Errorf("the fold is off by %v", d)
	}
	if rise := shape.Top[1] - shape.Fold[1]; math.Abs(rise-0.4*(large-5).Sin()) > 1e-12 {
		t.Errorf("the upper half rises by %v", rise)
	}
}

// Every sentence must say what would work; the figures are worked by hand.
func TestWhyNot(t *testing.T) {
	with := func(f stand.Frame, change func(*stand.Frame)) stand.Frame { change(&f); return f }
	for name, c := range map[string]struct {
		frame stand.Frame
		why   string
	}{
		"short":       {legs(0.3, 0.8, 0.462), "the leg is 38 mm too short for this pair: 500 mm would just reach"},
		"short hinge": {legs(0.8, 0.3, 0.462), "the leg is 38 mm too short for this pair: 500 mm would just reach"},
		// sides of 300 and 400 stand at a right angle with 500
		"long":    {legs(0.3, 0.4, 0.8), "the leg is 300 mm too long for this pair: 500 mm would stand the panel upright"},
		"leaning": {legs(0.3, 0.4, 0.6), "the panel would lean over to 117.3 degrees: the leg is 100 mm too long for this pair, 500 mm would stand it upright"},
		// lying flat the hinge is 0.3 above the foot and 0.4 in front of it
		"falling":      {with(legs(0.3, 0.7, 0.48), func(f *stand.Frame) { f.FrontUpM = 0.3 }), "the panel would fall to its rear by 7.4 degrees: the leg is 20 mm too short for this pair, 500 mm would lay it flat"},
		"behind":       {with(legs(0.3, 0.2, 0.4), func(f *stand.Frame) { f.FrontsM = []float64{0.25} }), "the foot stands 50 mm in front of the panel's front edge: it must stand behind it"},
		"off the rail": {with(legs(0.3, 0.5, 0.4), func(f *stand.Frame) { f.RailM, f.NotchWidthM, f.LeastWoodM = 0.51, 0.02, 0.01 }), "the notch ends at 520 mm, off a rail of 510 mm: a rail of 530 mm would hold it"},
		"before it":    {with(legs(0.3, 0.2, 0.4), func(f *stand.Frame) { f.FrontsM = []float64{-0.3} }), "the front stop is 300 mm before the rail's front end"},
		"stop off it":  {with(legs(0.3, 0.5, 0.4), func(f *stand.Frame) { f.RailM, f.FrontsM, f.NotchesM = 0.1, []float64{0.2}, []float64{0.7} }), "the front stop is at 200 mm, off a rail of 100 mm: a rail of 200 mm would hold it"},
		"held by none": {with(legs(0.1, 0.2, 0.2), func(f *stand.Frame) { f.HingeOffsetM, f.FrontUpM = 0.9, -0.5 }), "no leg holds the panel up here: its hinge lies below the line from front stop to foot at every tilt"},
		"not a frame":  {with(legs(0.3, 0.5, 0.4), func(f *stand.Frame) { f.HingeM = 2 }), "the hinge is 2000 mm along a panel of 1000 mm: it must lie on the panel, behind its front edge"},
		"a list":       {stand.Frame{Kind: stand.Listed, Tilts: []compass.Angle{95}}, "tilt 1 of the list is 95 degrees: it must lie between 0 and 90"},
	} {
		if s := c.frame.Settings()[0]; s.Possible || s.Why != c.why {
			t.Errorf("%s: possible %v\n got %q\nwant %q", name, s.Possible, s.Why, c.why)
		}
	}
}

func distance(a, b [2]float64) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

func metres(t *rapid.T, name string, low, high float64) float64 {
	return rapid.Float64Range(low, high).Draw(t, name)
}

// anyFrame draws a stand on legs as one might be built; its leg is to be set.
func anyFrame(t *rapid.T) stand.Frame {
	f := stand.Frame{
		Kind: stand.Legs, PanelM: metres(t, "panel", 0.4, 2), FrontUpM: metres(t, "up", 0, 0.1),
		ContactBackM: metres(t, "back", 0, 0.02), ContactDownM: metres(t, "down", 0, 0.03),
		HingeOffsetM: metres(t, "offset", -0.02, 0.05), Friction: 0.4,
	}
	f.HingeM = f.PanelM * metres(t, "hinge", 0.2, 1)
	if rapid.Bool().Draw(t, "folds") {
		f.FoldM = f.PanelM * metres(t, "fold at", 0.3, 0.7)
		f.Fold = compass.Angle(metres(t, "fold", -5, 5))
	}
	return f
}

// held draws a stand on legs and a setting of it by the tilt and the leg's
// lean, so that it is possible by construction.
func held(t *rapid.T) (f stand.Frame, frontM float64, tilt compass.Angle) {
	f = anyFrame(t)
	frontM = metres(t, "front", 0, 0.3)
	tilt = compass.Angle(metres(t, "tilt", 10, 85))
	lean := compass.Angle(metres(t, "lean", 2, 70))
	f.LegM = 1 // any leg gives the same shape of the panel
	hinge := f.ShapeAt(stand.Setting{FrontM: frontM, Tilt: tilt}).Hinge
	up := hinge[1] + f.ContactDownM
	if up < 0.02 || hinge[0]+up*math.Tan(lean.Radians()) < frontM+0.01 {
		t.Skip("hinge on the ground, or foot in front of the panel")
	}
	f.LegM = up / lean.Cos()
	return f, frontM, tilt
}

func TestDimensionsToTiltAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, frontM, want := held(t)
		notchM, err := f.NotchOf(frontM, want)
		if err != nil {
			t.Fatal(err)
		}
		tilt, err := f.TiltOf(frontM, notchM, f.LegM)
		if err != nil {
			t.Fatal(err)
		}
		again, err := f.NotchOf(frontM, tilt)
		// 1e-9: the leg leans by at least 2 degrees, where a rounding of the tilt
		// moves the foot by less than a hundred times itself.
		if err != nil || math.Abs(float64(tilt-want)) > 1e-9 || math.Abs(again-notchM) > 1e-9 {
			t.Fatalf("tilt %v came back as %v, notch %v as %v (%v)", want, tilt, notchM, again, err)
		}
		f.FrontsM, f.NotchesM = []float64{frontM}, []float64{notchM}
		s := f.Settings()[0]
		shape := f.ShapeAt(s)
		if d := distance(shape.Hinge, shape.Foot) - f.LegM; math.Abs(d) > 1e-9 || s.PastUpright {
			t.Fatalf("leg off by %v, past upright %v", d, s.PastUpright)
		}
	})
}

func TestPropToTiltAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := anyFrame(t)
		f.Kind, f.PropFootM, f.PropFootUpM = stand.Prop, metres(t, "foot", 0.1, 1.5), metres(t, "foot up", -0.1, 0)
		f.HingeOffsetM = metres(t, "offset", -0.02, 0.02) // 0.08 up the panel that is 14 degrees, a fold is 4
		want := compass.Angle(metres(t, "tilt", 20, 90))
		propM, err := f.PropOf(want)
		if err != nil {
			t.Fatal(err)
		}
		f.PropsM = []float64{propM}
		set := f.Settings()[0]
		if !set.Possible {
			t.Fatal(set.Why)
		}
		tilt := set.Tilt
		again, err := f.PropOf(tilt)
		if err != nil || math.Abs(float64(tilt-want)) > 1e-9 || math.Abs(again-propM) > 1e-9 {
			t.Fatalf("tilt %v came back as %v, prop %v as %v (%v)", want, tilt, propM, again, err)
		}
	})
}

// A longer leg is steeper. A foot further back is flatter while it stands
// behind its hinge, and steeper where it stands in front of it (with front
// edge and foot at one height; by the law of cosines).
func TestWhichWayIsSteeper(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, frontM, _ := held(t)
		f.FrontUpM = -f.ContactDownM
		f.HingeOffsetM = 0
		notchM := frontM + metres(t, "foot", 0.05, 2)
		tilt, err := f.TiltOf(frontM, notchM, f.LegM)
		longer, errLonger := f.TiltOf(frontM, notchM, f.LegM+0.001)
		back, errBack := f.TiltOf(frontM, notchM+0.001, f.LegM)
		if err != nil || errLonger != nil || errBack != nil {
			t.Skip("not possible")
		}
		if longer <= tilt {
			t.Fatalf("a longer leg: %v to %v", tilt, longer)
		}
		f.FrontsM, f.NotchesM = []float64{frontM}, []float64{notchM, notchM + 0.001}
		s := f.Settings()
		if s[0].PastUpright != s[1].PastUpright {
			return // the turn lies between
		}
		if (back > tilt) != s[0].PastUpright {
			t.Fatalf("foot further back: %v to %v, past upright %v", tilt, back, s[0].PastUpright)
		}
	})
}

// The error of a setting is the largest change found by building the stand
// with one dimension off.
func TestErrorIsTheWorstOfOneDimension(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, frontM, tilt := held(t)
		notchM, err := f.NotchOf(frontM, tilt)
		if err != nil {
			t.Fatal(err)
		}
		f.FrontsM, f.NotchesM = []float64{frontM}, []float64{notchM}
		s := f.Settings()[0]
		if f.FoldM > 0 && math.Abs(f.HingeM-f.FoldM) < 0.003 {
			t.Skip("the hinge would move across the fold")
		}
		worst := map[string]float64{}
		for _, d := range []float64{0.002, -0.002} {
			for what, change := range map[string]func(*stand.Frame){
				"leg":        func(f *stand.Frame) { f.LegM += d },
				"notch":      func(f *stand.Frame) { f.NotchesM = []float64{notchM + d} },
				"front stop": func(f *stand.Frame) { f.FrontsM = []float64{frontM + d} },
				"hinge":      func(f *stand.Frame) { f.HingeM += d },
				"hinge off":  func(f *stand.Frame) { f.HingeOffsetM += d },
			} {
				off := f
				change(&off)
				if off.Validate() != nil {
					continue // the hinge at the panel's very end
				}
				o := off.Settings()[0]
				if o.Tilt == 0 {
					t.Skip("2 mm off and it no longer meets")
				}
				name := strings.TrimSuffix(what, " off")
				worst[name] = math.Max(worst[name], math.Abs(float64(o.Tilt-s.Tilt)))
			}
		}
		most := 0.0
		for _, w := range worst {
			most = math.Max(most, w)
		}
		if f.HingeM+0.002 > f.PanelM {
			t.Skip("a hinge beyond the panel is not built here")
		}
		// Two dimensions may change the tilt alike; which is named must be one of the worst.
		if math.Abs(float64(s.Error)-most) > 1e-8 || math.Abs(worst[s.ErrorOf]-most) > 1e-8 {
			t.Fatalf("error %v of %s, by building %v", s.Error, s.ErrorOf, worst)
		}
	})
}

// The slope of the tilt over the leg's length, c/(b d sin a) by the law of
// cosines, gives the small error that 2 mm make: 3-4-5 with the right angle
// at the front edge would not be possible, so the equilateral triangle.
func TestErrorByTheSlope(t *testing.T) {
	s := legs(0.4, 0.4, 0.4).Settings()[0]
	want := compass.Radians(0.002 * 0.4 / (0.4 * 0.4 * math.Sin(math.Pi/3)))
	// 2 %: the curve bends within 2 mm of 400.
	if s.ErrorOf != "leg" || math.Abs(float64(s.Error/want)-1) > 0.02 {
		t.Errorf("error %v of %s, by the slope %v of the leg", s.Error, s.ErrorOf, want)
	}
}

func TestListsAndPlainStands(t *testing.T) {
	list := stand.Frame{Kind: stand.Listed, PanelM: 1, Tilts: []compass.Angle{30, 55}}
	s := list.Settings()
	if len(s) != 2 || s[1].Tilt != 55 || s[1].Back != 2 || s[1].Front != 0 || !s[1].Possible || s[1].Error != 0 || s[1].Upper != 55 {
		t.Errorf("list: %+v", s)
	}
	plain := stand.Frame{PanelM: 1}
	if plain.Settings() != nil {
		t.Error("a plain stand has no settings of its own")
	}
	shape := plain.ShapeAt(plain.At(30))
	if math.Abs(shape.Top[1]-0.5) > 1e-12 || shape.Foot != [2]float64{} {
		t.Errorf("shape of a plain stand: %+v", shape)
	}
	if plain.At(95).Possible {
		t.Error("95 degrees is no tilt")
	}
}

func TestOnlyWhatTheKindHas(t *testing.T) {
	leg, prop := legs(0.3, 0.5, 0.4), stand.Frame{Kind: stand.Prop, PanelM: 1, HingeM: 0.5, PropFootM: 0.3}
	errs := [3]error{}
	_, errs[0] = leg.PropOf(40)
	_, errs[1] = prop.NotchOf(0, 40)
	_, errs[2] = prop.TiltOf(0, 0.5, 0.4)
	for i, err := range errs {
		if err == nil {
			t.Errorf("question %d was answered", i)
		}
	}
}

// noNaN fails where a figure anywhere in v is not a number.
func noNaN(t interface{ Fatalf(string, ...any) }, v reflect.Value, path string) {
	switch v.Kind() {
	case reflect.Float64:
		if math.IsNaN(v.Float()) {
			t.Fatalf("%s is not a number", path)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			noNaN(t, v.Field(i), path+"."+v.Type().Field(i).Name)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			noNaN(t, v.Index(i), path)
		}
	}
}

// ask puts every question to a frame.
func ask(t interface{ Fatalf(string, ...any) }, f stand.Frame, a, b, c float64) {
	look := func(v any) { noNaN(t, reflect.ValueOf(v), reflect.TypeOf(v).String()) }
	for _, s := range f.Settings() {
		look(s)
		look(f.ShapeAt(s))
	}
	look(f.At(compass.Angle(a)))
	look(f.Problems())
	tilt, _ := f.TiltOf(a, b, c)
	notchM, _ := f.NotchOf(a, compass.Angle(b))
	propM, _ := f.PropOf(compass.Angle(a))
	plan, _ := f.CutFor([]compass.Angle{compass.Angle(a), compass.Angle(b), compass.Angle(c)})
	look([]any{tilt, notchM, propM})
	look([]float64{float64(tilt), notchM, propM})
	look(plan)
}

func TestNothingIsNotANumber(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wild := rapid.OneOf(rapid.Float64(), rapid.Float64Range(-1, 2), rapid.Float64Range(0, 90), rapid.SampledFrom([]float64{0, 1, 45, 90, -1}))
		num := func(name string) float64 { return wild.Draw(t, name) }
		some := func(name string) []float64 { return rapid.SliceOfN(wild, 0, 3).Draw(t, name) }
		f := stand.Frame{
			Kind: stand.Kind(rapid.IntRange(-1, 5).Draw(t, "kind")), PanelM: num("panel"), HingeM: num("hinge"),
			HingeOffsetM: num("offset"), FoldM: num("fold at"), Fold: compass.Angle(num("fold")), RailM: num("rail"),
			FrontsM: some("fronts"), FrontUpM: num("up"), NotchesM: some("notches"), ContactBackM: num("back"),
			ContactDownM: num("down"), NotchWidthM: num("width"), LeastWoodM: num("wood"), LegM: num("leg"),
			PropFootM: num("foot"), PropFootUpM: num("foot up"), PropsM: some("props"), Friction: num("friction"),
		}
		for _, tilt := range some("tilts") {
			f.Tilts = append(f.Tilts, compass.Angle(tilt))
		}
		ask(t, f, num("a"), num("b"), num("c"))
	})
}

func FuzzFrame(f *testing.F) {
	f.Add(1, 1.2, 0.8, 0.02, 0.6, 3.0, 1.5, 0.05, 0.7, 0.02, 0.55, 30.0, 40.0, 55.0)
	f.Add(2, 1.0, 0.5, 0.0, 0.0, 0.0, 0.0, 0.0, 0.3, 0.0, 0.4, 53.0, 60.0, 90.0)
	// a hinge far below a sunken front edge, further from the foot than the leg is long
	f.Add(1, 8.7, 0.8, 0.02, 0.6, 3.0, 1.5, -4.95, 0.7, 0.06, 0.55, 30.0, 40.0, 2.75)
	f.Fuzz(func(t *testing.T, kind int, panel, hinge, offset, foldAt, fold, rail, up, foot, wood, leg, a, b, c float64) {
		ask(t, stand.Frame{
			Kind: stand.Kind(kind), PanelM: panel, HingeM: hinge, HingeOffsetM: offset, FoldM: foldAt, Fold: compass.Angle(fold),
			RailM: rail, FrontsM: []float64{0, up}, FrontUpM: up, NotchesM: []float64{foot, foot + wood}, LeastWoodM: wood,
			NotchWidthM: wood, LegM: leg, PropFootM: foot, PropsM: []float64{leg}, Tilts: []compass.Angle{compass.Angle(a)}, Friction: offset,
		}, a, b, c)
	})
}
