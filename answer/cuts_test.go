package answer_test

import (
	"math"
	"strings"
	"testing"

	"turnsole/answer"
	"turnsole/rigfile"
)

// benchRig has measures that are easily checked by hand.
const benchRig = `
[spot]
latitude = 50
longitude = 8
[panel]
power = "80 W"
length = "800 mm"
width = "560 mm"
isc = "4.8 A"
[stand]
tilt = 60
hinge_at = "510 mm"
leg_length = "510 mm"
rail_length = "700 mm"
front_stops = ["30 mm"]
notches_at = ["400 mm", "490 mm"]
foot_radius = "450 mm"
[[drive.stage]]
driver = 17
driven = 170
module = "1 mm"
`

func cutsOf(t *testing.T, toml string, sets ...string) (*answer.CutList, *rigfile.Rig) {
	t.Helper()
	rig, err := rigfile.Read("bench", []byte(toml), sets)
	if err != nil {
		t.Fatal(err)
	}
	cuts, err := answer.ListCuts(rig, "")
	if err != nil {
		t.Fatal(err)
	}
	return cuts, rig
}

func pieceNamed(t *testing.T, c *answer.CutList, name string) answer.Piece {
	t.Helper()
	for _, p := range c.Pieces {
		if p.Name == name {
			return p
		}
	}
	t.Fatalf("no %s among the pieces", name)
	return answer.Piece{}
}

func TestCutListByHand(t *testing.T) {
	c, _ := cutsOf(t, benchRig)
	for name, want := range map[string]struct {
		count int
		mm    float64
	}{
		"rail":                      {2, 700},
		"cross bar under the rails": {2, 420}, // three quarters of 560
		"base beam":                 {2, 944}, // 2 x 450 and half a batten beyond each foot's middle
		"tie between the legs":      {1, 240}, // 420 less two rails, two legs and 2 mm of air each
		"foot bar":                  {1, 450}, // 15 mm beyond each rail
		"foot":                      {4, 94},  // 250 less rail 44, plates 2 x 18, gap 32 and beam 44
		"axle plate":                {1, 260}, // 120 to its edge, 93.5 to the shaft, half a face of 42.3 and 20, to the next 10
	} {
		if p := pieceNamed(t, c, name); p.Count != want.count || math.Abs(p.LengthM*1000-want.mm) > 1e-6 {
			t.Errorf("%d x %s of %g mm, want %d of %g", p.Count, name, p.LengthM*1000, want.count, want.mm)
		}
	}
	if m := c.Plate.Motor; m == nil || math.Abs(m.AtM-0.0935) > 1e-12 { // (17 + 170) / 2, rounding
		t.Errorf("the motor stands at %+v", m)
	}
}

// A leg with its bar gives what the rig file's leg gives: exactly so but for
// whole millimetres at the rig's own tilt, and nearly so at the others.
func TestCutTiltsAreThoseAskedFor(t *testing.T) {
	for _, e := range rigfile.Examples() {
		c, rig := cutsOf(t, e.TOML)
		nearest := math.Inf(1)
		for _, tilt := range c.Tilts {
			off := math.Abs((tilt.Tilt - tilt.Asked).Degrees())
			if off > 0.3 { // a bar turns in its notch and a point does not: some 2 mm
				t.Errorf("%s: notch %d from stop %d gives %v, asked %v", e.Name, tilt.Back, tilt.Front, tilt.Tilt, tilt.Asked)
			}
			if math.Abs(float64(tilt.Asked-rig.Stand.Tilt)) < nearest {
				nearest = math.Abs(float64(tilt.Asked - rig.Stand.Tilt))
				if off > tilt.Error.Degrees()/2+0.01 { // half a millimetre of two, and more leg than Error is for
					t.Errorf("%s: its own tilt comes out %v, asked %v", e.Name, tilt.Tilt, tilt.Asked)
				}
			}
		}
		if len(c.Tilts) == 0 {
			t.Errorf("%s: no tilts", e.Name)
		}
	}
}

// Every mark lies on its piece, every hole in the wood, all in whole
// millimetres but for gears, and the timber is what the pieces add up to.
func TestMarksLieOnTheWood(t *testing.T) {
	rigs := map[string][]string{"bench": nil, "three feet": {"stand.feet=3"}, "listed": {"stand.kind=listed", "stand.tilts=[30]"}, "high": {"stand.timber_height=95 mm", "stand.rail_height=60 cm"}}
	for name, sets := range rigs {
		c, _ := cutsOf(t, benchRig, sets...)
		sum := 0.0
		for _, p := range c.Pieces {
			if p.Material == answer.Batten {
				sum += float64(p.Count) * p.LengthM
			}
			for _, m := range p.Marks {
				if m.AtM < 0 || m.AtM+m.WidthM > p.LengthM+1e-9 {
					t.Errorf("%s: %s of the %s at %g m is off its %g m", name, m.Name, p.Name, m.AtM, p.LengthM)
				}
				if r := m.DiameterM / 2; m.Kind == answer.HoleMark && !m.Upright && (m.DownM-r < 0.003 || m.DownM+r > p.HeightM-0.003) {
					t.Errorf("%s: %s of the %s is bored %g m down, through the edge of %g m", name, m.Name, p.Name, m.DownM, p.HeightM)
				}
				if at := m.AtM * 1000; p.Material == answer.Batten && math.Abs(at-math.Round(at)) > 1e-6 {
					t.Errorf("%s: %s of the %s at %g mm", name, m.Name, p.Name, at)
				}
			}
		}
		if math.Abs(c.TimberM-1.1*sum) > 1e-9 {
			t.Errorf("%s: %g m of batten for pieces of %g m", name, c.TimberM, sum)
		}
	}
}

// No batten bridges a panel's fold: each half has its own, 5 mm short of the
// fold, and the hinge's hole is in the one that carries it.
func TestBattensEndAtTheFold(t *testing.T) {
	for _, hinge := range []string{"510", "300"} {
		c, _ := cutsOf(t, benchRig, "panel.fold_at=40 cm", "stand.hinge_at="+hinge+" mm", `stand.notches_at=["40 cm"]`, "stand.tilt=70", "stand.leg_length=400 mm")
		low, high := pieceNamed(t, c, "lower panel batten"), pieceNamed(t, c, "upper panel batten")
		if math.Abs(high.LengthM-0.375) > 1e-9 || low.LengthM > 0.395 { // 800 less 20 and 405; 400 less 5
			t.Errorf("battens of %g and %g m", low.LengthM, high.LengthM)
		}
		marked, other := high, low
		if hinge == "300" {
			marked, other = low, high
		} else if at := high.Marks[0].AtM; math.Abs(at-0.105) > 1e-9 { // 510 less 405
			t.Errorf("the bolt is %g m from the upper batten's front end", at)
		}
		if len(marked.Marks) != 1 || len(other.Marks) != 0 || len(c.Missing) != 1 {
			t.Errorf("hinge at %s: marks %v and %v, missing %q", hinge, low.Marks, high.Marks, c.Missing)
		}
	}
	if c, _ := cutsOf(t, benchRig, "panel.fold_at=51 cm"); len(c.Missing) != 2 || !strings.Contains(c.Missing[1], "hinge_at") {
		t.Errorf("a hinge on the fold: %q", c.Missing)
	}
}

func TestListedStandSaysWhatIsMissing(t *testing.T) {
	c, _ := cutsOf(t, benchRig, "stand.kind=listed", "stand.tilts=[30]")
	if len(c.Missing) == 0 || !strings.Contains(c.Missing[0], "leg_length") || len(c.Tilts) > 0 {
		t.Errorf("missing: %q, tilts: %v", c.Missing, c.Tilts)
	}
}

func TestShoppingListByHand(t *testing.T) {
	rig, err := rigfile.Read("bench", []byte(benchRig), []string{"controller.sensor_range=5 A"})
	if err != nil {
		t.Fatal(err)
	}
	s, err := answer.ListShopping(rig, "")
	if err != nil {
		t.Fatal(err)
	}
	var text []string
	for _, g := range s.Groups {
		for _, i := range g.Items {
			text = append(text, strings.Join([]string{i.What, i.Many, i.Rating, i.MustFit}, " | "))
			if i.What == "" || i.Many == "" || i.Rating == "" || i.MustFit == "" {
				t.Errorf("something is left open of %+v", i)
			}
		}
	}
	all := strings.Join(text, "\n")
	for _, want := range []string{
		"800 mm up the slope, 560 mm across",
		"19.0 mm over the tips",            // 17 + 2
		"172.0 mm over the tips",           // 170 + 2
		"centre distance 93.50 mm",         // (17 + 170) / 2
		"must bear 6.0 A",                  // 1.25 x 4.8
		"range 10 A: the 5 A one",          // the next larger one
		"a face of 42 mm with bolts 31 mm", // NEMA 17
		"IP54", "all from below",
	} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is nowhere in\n%s", want, all)
		}
	}
	sum := 0.0
	for _, w := range s.Carried {
		sum += w.Kg
	}
	if math.Abs(sum-s.CarriedKg) > 1e-9 {
		t.Errorf("%g kg together, the things weigh %g", s.CarriedKg, sum)
	}
}
