package stand_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/stand"
)

const gravity = 9.80665

// board is a block in the wind: a metre square, upright on the ground over the
// middle of four feet that make a square of one metre; 100 kg.
func board() stand.Body {
	return stand.Body{Base: stand.Base{
		Feet: 4, FootRadiusM: math.Sqrt2 / 2, PanelKg: 100, PanelWidthM: 1, PanelLengthM: 1,
		Friction: 0.4, HoldingNm: 9, Terrain: stand.Open, Latched: true,
	}}
}

// propped is a panel of 10 kg, a metre square, at 45 degrees on an upright leg
// under its middle, its front edge half a metre in front of the axis.
func propped() (stand.Body, stand.Setting) {
	b := board()
	b.Frame = stand.Frame{Kind: stand.Legs, PanelM: 1, HingeM: 0.5, LegM: 0.5 * math.Sqrt2 / 2, NotchesM: []float64{0.5 * math.Sqrt2 / 2}}
	b.PanelKg, b.StandKg, b.AxisM, b.RailTopM, b.Latched = 10, 90, 0.5*math.Sqrt2/2, 0.3, false
	return b, b.Frame.Settings()[0]
}

// wind is the wind of a pressure, with the air of EN 1991-1-4.
func wind(pa float64) float64 { return math.Sqrt(2 * pa / 1.25) }

func near(t *testing.T, what string, got, wants float64) {
	t.Helper()
	if d := math.Abs(got - wants); !(d <= 1e-6*math.Abs(wants)) { // roundings, and directions to 0.01 degrees
		t.Errorf("%s: %.6f, by hand %.6f", what, got, wants)
	}
}

func TestBlockByHand(t *testing.T) {
	b := board()
	l := b.LimitsAt(b.At(90))
	// 1.8 q of force half a metre up, against the weight half a metre from the edge
	near(t, "tips", l.Tips.GustMS, wind(100*gravity/1.8))
	near(t, "slides", l.Slides.GustMS, wind(0.4*100*gravity/1.8))
	// 1.8 q a quarter of a metre from the axis
	near(t, "turns", l.Turns.GustMS, wind(9/(1.8*0.25)))
	near(t, "forecast", l.Tips.ForecastMS*stand.Open.GustPerForecast(0.5), l.Tips.GustMS)
	if l.Turns.From != 0 && l.Turns.From != 180 {
		t.Errorf("an upright panel turns first with the wind square on it, not from %v", l.Turns.From)
	}
	if name, lowest := l.Lowest(); name != "turns" || lowest != l.Turns {
		t.Errorf("lowest: %s", name)
	}
}

func TestFlatPanelLifts(t *testing.T) {
	b := board()
	l := b.LimitsAt(b.At(0))
	// uplift 1.3 q, blocked below, a quarter of a metre nearer to the wind than the axis: of
	// its arm to the lee edge 0.75 m, and over the square's corners less
	near(t, "lifts whole", l.Slides.GustMS, wind(100*gravity/1.3))
	near(t, "tips", l.Tips.GustMS, wind(100*gravity*0.5/(1.3*0.75)))
	if !math.IsInf(l.Turns.GustMS, 1) {
		t.Errorf("a flat panel turns at %v m/s", l.Turns.GustMS)
	}
}

func TestLegByHand(t *testing.T) {
	b, s := propped()
	if !s.Possible || math.Abs(float64(s.Tilt-45)) > 1e-9 {
		t.Fatalf("the stand for this test is wrong: %+v", s)
	}
	l := b.LimitsAt(s)
	// From behind 1.8 q at the panel's middle, three quarters of it on one side:
	// 0.75 x 1.8 q x 0.5 m against half the weight, 0.5 cos 45 m from the edge.
	near(t, "folds", l.LegsFold.GustMS, wind(5*gravity*math.Sqrt2/2/(0.75*1.8)))
	// The leg under the middle carries all the weight: nothing holds the edge.
	if l.LiftsOff.GustMS > 0.01 {
		t.Errorf("the front edge lifts at %v m/s", l.LiftsOff.GustMS)
	}
	b.Latched = true
	l = b.LimitsAt(s)
	if !math.IsInf(l.LiftsOff.GustMS, 1) || !math.IsInf(l.LegsFold.GustMS, 1) {
		t.Error("latches hold nothing")
	}
	// In the gust that tips it: the push on one side less half the weight.
	pull := 0.75*1.8*stand.PressurePa(l.Tips.GustMS)/(math.Sqrt2/2) - 5*gravity
	if want := fmt.Sprintf("%.0f N", pull); pull < 10 || !strings.Contains(l.LegsFold.How, want) {
		t.Errorf("the latch must hold %s: %s", want, l.LegsFold.How)
	}
}

// anyBody is a stand that makes sense.
func anyBody(t *rapid.T) (stand.Body, stand.Setting) {
	number := func(low, high float64, name string) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	b := stand.Body{Base: stand.Base{
		Feet: rapid.IntRange(3, 4).Draw(t, "feet"), FootRadiusM: number(0.3, 1.5, "foot radius"),
		RailTopM: number(0, 1, "rails"), PanelKg: number(1, 30, "panel"), StandKg: number(0, 40, "stand"),
		PanelWidthM: number(0.2, 1.5, "width"), PanelLengthM: number(0.2, 1.5, "length"),
		BallastKg: number(0, 100, "ballast"), BallastRadiusM: 0.1, Friction: number(0.1, 1, "friction"),
		Latched: rapid.Bool().Draw(t, "latched"), HoldingNm: number(0, 20, "holding"),
		Terrain: stand.Terrain(rapid.IntRange(0, 4).Draw(t, "terrain")),
	}}
	if rapid.Bool().Draw(t, "plain") {
		return b, b.At(compass.Angle(number(0, 90, "tilt")))
	}
	long := b.PanelLengthM
	b.Frame = stand.Frame{Kind: stand.Legs, PanelM: long, HingeM: number(0.5, 1, "hinge") * long,
		FrontsM: []float64{0}, NotchesM: []float64{number(0.2, 1.2, "notch") * long}}
	b.LegM, b.AxisM = number(0.3, 0.8, "leg")*long, number(0.2, 0.6, "axis")*long
	if rapid.Bool().Draw(t, "prop") {
		b.Kind, b.PropFootM, b.PropsM = stand.Prop, b.NotchesM[0], []float64{b.LegM}
	}
	return b, b.Frame.Settings()[0]
}

func each(l stand.Limits) []stand.Limit {
	return []stand.Limit{l.Tips, l.Slides, l.LiftsOff, l.LegsFold, l.Turns}
}

func TestMoreHoldsMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, s := anyBody(t)
		heavier, wider, rougher, held := b, b, b, b
		heavier.BallastKg += 20
		wider.FootRadiusM += 0.2
		rougher.Base.Friction += 0.1
		held.HoldingNm += 1
		was := b.LimitsAt(s)
		const rounding = 1 + 1e-9
		for what, pair := range map[string][2]float64{
			"ballast, tips":   {was.Tips.GustMS, heavier.LimitsAt(s).Tips.GustMS},
			"ballast, slides": {was.Slides.GustMS, heavier.LimitsAt(s).Slides.GustMS},
			"feet, tips":      {was.Tips.GustMS, wider.LimitsAt(s).Tips.GustMS},
			"feet, slides":    {was.Slides.GustMS, wider.LimitsAt(s).Slides.GustMS},
			"friction":        {was.Slides.GustMS, rougher.LimitsAt(s).Slides.GustMS},
			"holding":         {was.Turns.GustMS, held.LimitsAt(s).Turns.GustMS},
		} {
			if pair[1]*rounding < pair[0] {
				t.Errorf("more %s: %v m/s, before %v", what, pair[1], pair[0])
			}
		}
	})
}

func TestLoads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, s := anyBody(t)
		from, gust := compass.Angle(rapid.Float64Range(0, 180).Draw(t, "from")), rapid.Float64Range(0, 40).Draw(t, "gust")
		l := b.LoadAt(s, from, gust)
		slack := 1e-9 * (1 + math.Abs(l.NormalN) + l.TipNm) // roundings
		same := func(what string, got, wants float64) {
			if !(math.Abs(got-wants) <= slack) {
				t.Errorf("%s: %v, not %v", what, got, wants)
			}
		}
		same("level and upright part", math.Hypot(l.DragN, l.UpliftN), math.Abs(l.NormalN))
		same("along the panel", l.DragN*s.Tilt.Cos()+l.UpliftN*s.Tilt.Sin(), 0)
		same("no wind", b.LoadAt(s, from, 0).TipNm+math.Abs(b.LoadAt(s, from, 0).NormalN), 0)
		left, twice := b.LoadAt(s, -from, gust), b.LoadAt(s, from, 2*gust)
		same("from the left", left.NormalN, l.NormalN)
		same("from the left, tipping", left.TipNm, l.TipNm)
		same("from the left, turning", math.Abs(left.TurnNm), math.Abs(l.TurnNm))
		if from > 1 && from < 179 && math.Abs(math.Abs(float64(from)-90)) > 1 {
			same("from the left, it turns the other way", left.TurnNm, -l.TurnNm)
		}
		same("twice the wind", twice.NormalN/4, l.NormalN)
		same("twice the wind, tipping", twice.TipNm/4, l.TipNm)
		same("twice the wind, turning", twice.TurnNm/4, l.TurnNm)
	})
}

// TestBallastMeetsItsFactors: with 1.5 of the wind and 0.9 of the weight, a
// stand with just enough ballast gives way at √(1.5/0.9) of the wanted gust.
func TestBallastMeetsItsFactors(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, s := anyBody(t)
		forecast := rapid.Float64Range(1, 30).Draw(t, "forecast")
		kg, err := b.BallastFor(s, forecast)
		if !s.Possible {
			if err == nil {
				t.Error("ballast for an impossible setting")
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		pegN := b.PegN(s, forecast)
		if (pegN > 1e-6) != (kg > 1e-6) {
			t.Fatalf("ballast %v kg, but pegs %v N", kg, pegN)
		}
		b.BallastKg += kg
		if peg := b.PegN(s, forecast); !(peg < 1e-4*(1+pegN)) { // directions to 0.01 degrees
			t.Errorf("with the ballast in, pegs still hold %v N", peg)
		}
		l := b.LimitsAt(s)
		first, wanted := min(l.Tips.ForecastMS, l.Slides.ForecastMS), forecast*math.Sqrt(1.5/0.9)
		// the two searches may stop at directions 0.01 degrees apart, or in a
		// kink between two of 5 degrees: a hundredth of the wind
		if first < wanted*0.99 || kg > 0 && first > wanted*1.01 {
			t.Errorf("gives way at %v m/s, wanted %v", first, wanted)
		}
	})
}

func TestPegsByHand(t *testing.T) {
	b := board()
	s := b.At(90)
	b.Base.Friction = 3 // it tips only
	const forecast = 30.0
	q := stand.PressurePa(forecast * stand.Open.GustPerForecast(0.5))
	tipping := 1.5*1.8*q*0.5 - 0.9*100*gravity*0.5
	near(t, "two pegs a metre from the edge", b.PegN(s, forecast), tipping/2)
	kg, err := b.BallastFor(s, forecast)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ballast half a metre from the edge", kg, tipping/0.5/0.9/gravity)
	b.Base.Friction, b.FootRadiusM = 0.4, 10 // it slides first
	near(t, "four pegs against sliding", b.PegN(s, forecast), (1.5*1.8*q-0.4*0.9*100*gravity)/4)
}

func TestRefusals(t *testing.T) {
	good, s := propped()
	for name, c := range map[string]struct {
		spoil    func(*stand.Body)
		forecast float64
		says     string
	}{
		"ballast outside the feet": {func(b *stand.Body) { b.BallastRadiusM = 0.6 }, 10, "outside the feet"},
		"no friction":              {func(b *stand.Body) { b.Base.Friction = 0 }, 10, "without friction"},
		"no feet":                  {func(b *stand.Body) { b.Feet = 0 }, 10, "do not make a stand"},
		"no distance":              {func(b *stand.Body) { b.FootRadiusM = math.NaN() }, 10, "do not make a stand"},
		"wind backwards":           {func(*stand.Body) {}, -1, "from 0 to 100"},
		"no wind figure":           {func(*stand.Body) {}, math.NaN(), "from 0 to 100"},
	} {
		b := good
		c.spoil(&b)
		if kg, err := b.BallastFor(s, c.forecast); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v kg, %v", name, kg, err)
		}
	}
	apart := s
	apart.Possible = false
	if _, err := good.BallastFor(apart, 10); err == nil {
		t.Error("ballast for an impossible setting")
	}
	if l := good.LimitsAt(apart); !math.IsInf(l.Tips.GustMS, 1) || l.Tips.How == "" {
		t.Errorf("limits of an impossible setting: %+v", l.Tips)
	}
}

func TestBaseProblems(t *testing.T) {
	good := board().Base
	if p := good.Problems(); len(p) > 0 {
		t.Fatalf("a good base: %v", p)
	}
	for key, spoil := range map[string]func(*stand.Base){
		"feet":             func(b *stand.Base) { b.Feet = 2 },
		"foot_radius":      func(b *stand.Base) { b.FootRadiusM = math.Inf(1) },
		"width":            func(b *stand.Base) { b.PanelWidthM = 0 },
		"length":           func(b *stand.Base) { b.PanelLengthM = math.NaN() },
		"mass":             func(b *stand.Base) { b.StandKg = -1 },
		"ballast":          func(b *stand.Base) { b.BallastKg = -1 },
		"footing_friction": func(b *stand.Base) { b.Friction = -0.1 },
		"rail_height":      func(b *stand.Base) { b.RailTopM = -1 },
		"ballast_radius":   func(b *stand.Base) { b.BallastRadiusM = 0.51 },
	} {
		b := good
		spoil(&b)
		if p := b.Problems(); len(p) != 1 || p[0].Key != key || p[0].Text == "" {
			t.Errorf("%s: %+v", key, p)
		}
	}
}

// TestNoWindIsNotANumber: whatever stand it is, every limit is a wind from
// nothing to never, with words.
func TestNoWindIsNotANumber(t *testing.T) {
	odd := []float64{0, -1, math.NaN(), math.Inf(1), 1e9}
	rapid.Check(t, func(t *rapid.T) {
		b, s := anyBody(t)
		fields := []*float64{&b.FootRadiusM, &b.RailTopM, &b.PanelKg, &b.StandKg, &b.PanelWidthM, &b.PanelLengthM, &b.BallastKg, &b.Base.Friction, &b.HoldingNm}
		if rapid.Bool().Draw(t, "odd") {
			*rapid.SampledFrom(fields).Draw(t, "field") = rapid.SampledFrom(odd).Draw(t, "figure")
			b.Feet = rapid.IntRange(-1, 5).Draw(t, "odd feet")
		}
		for i, l := range each(b.LimitsAt(s)) {
			if !(l.GustMS >= 0 && l.ForecastMS >= 0 && l.From >= 0 && l.From <= 180) || l.How == "" || strings.Contains(l.How, "NaN") {
				t.Errorf("limit %d of %+v: %+v", i, b, l)
			}
		}
		b.BallastFor(s, 12) // must not panic
		b.PegN(s, 12)
	})
}

func TestCoefficientsJoin(t *testing.T) {
	const rounding, steepest = 1e-12, 0.0301 // the table's steepest is 0.3 in 5 degrees
	for tilt := compass.Angle(0); tilt <= 90; tilt += 0.5 {
		press, lift := stand.CodeCoefficients(tilt)
		plate, centre := stand.PlateCoefficient(tilt)
		force := func(from compass.Angle) float64 { // on a square metre
			b := board()
			return math.Abs(b.LoadAt(b.At(tilt), from, 10).NormalN) / stand.PressurePa(10)
		}
		if face := force(0); face < press-rounding || face < plate-rounding {
			t.Errorf("%v degrees: %v onto the face, code %v, plate %v", tilt, face, press, plate)
		}
		if back := force(180); back < lift-rounding || back < plate-rounding {
			t.Errorf("%v degrees: %v from behind, code %v, plate %v", tilt, back, lift, plate)
		}
		next, more := stand.CodeCoefficients(tilt + 0.5)
		if next < press-rounding || more < lift-rounding || next-press > steepest || more-lift > steepest || centre < 0.25 || centre > 0.5 {
			t.Errorf("a jump or a drop at %v degrees", tilt)
		}
	}
	if c, _ := stand.PlateCoefficient(34); math.Abs(c-1.3) > 1e-12 {
		t.Errorf("between 1.15 at 30 and 1.45 at 38 there is 1.3 at 34, not %v", c)
	}
}

func BenchmarkLimitsAt(b *testing.B) {
	body, s := propped()
	for b.Loop() {
		body.LimitsAt(s)
	}
}
