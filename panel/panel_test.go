package panel_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/panel"
)

// eighty is a common 12 V panel.
var eighty = panel.Label{
	PowerW: 80, VocV: 22.0, IscA: 4.72, VmpV: 18.0, ImpA: 4.44,
	PowerPerK: -0.0041, VocPerK: -0.003, IscPerK: 0.0005, Cells: 36,
}

func fit(t interface{ Fatal(...any) }, l panel.Label) panel.Diode {
	d, _, err := panel.Fit(l)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// anyLabel draws labels from poor thin cells to the best on sale, of any size.
func anyLabel(t *rapid.T) panel.Label {
	voc := rapid.Float64Range(2, 60).Draw(t, "Voc")
	isc := rapid.Float64Range(0.2, 20).Draw(t, "Isc")
	vmp := voc * rapid.Float64Range(0.70, 0.87).Draw(t, "Vmp/Voc")
	imp := isc * rapid.Float64Range(0.82, 0.97).Draw(t, "Imp/Isc")
	vocPerK := rapid.Float64Range(-0.0038, -0.0022).Draw(t, "Voc per K")
	return panel.Label{
		PowerW: vmp * imp * rapid.Float64Range(0.97, 1.03).Draw(t, "rounding"),
		VocV:   voc, IscA: isc, VmpV: vmp, ImpA: imp,
		VocPerK:   vocPerK,
		PowerPerK: vocPerK + rapid.Float64Range(-0.0018, 0.0002).Draw(t, "power per K less Voc per K"),
		IscPerK:   rapid.Float64Range(0.0002, 0.001).Draw(t, "Isc per K"),
	}
}

func near(t *rapid.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Fatalf("%s: got %v, want %v within %g", what, got, want, relative)
	}
}

func TestTheCurvePassesThroughTheLabel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLabel(t)
		d := fit(t, l)
		// The three points are solved, not sought: only rounding is left. At
		// maximum power the curve is flat, so that rounding shows in volts and
		// amperes as its square root.
		near(t, "Voc", d.OpenCircuitV(1000, 25), l.VocV, 1e-9)
		near(t, "Isc", d.ShortCircuitA(1000, 25), l.IscA, 1e-9)
		v, i := d.MaximumPower(1000, 25)
		near(t, "power", v*i, l.PowerW, 1e-9)
		share := math.Sqrt(l.PowerW / (l.VmpV * l.ImpA))
		near(t, "Vmp", v, l.VmpV*share, 1e-5)
		near(t, "Imp", i, l.ImpA*share, 1e-5)
		near(t, "Voc ten kelvin up", d.OpenCircuitV(1000, 35), l.VocV*(1+10*l.VocPerK), 1e-9)
		if d.SeriesOhm < 0 || d.ShuntS < 0 || !(d.SaturationA > 0) || !(d.LightA > 0) {
			t.Fatalf("not of this world: %+v", d)
		}
	})
}

func TestTheMaximumIsOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := fit(t, anyLabel(t))
		irradiance := rapid.Float64Range(1, 1600).Draw(t, "irradiance")
		cellC := rapid.Float64Range(-50, 110).Draw(t, "cell")
		v, i := d.MaximumPower(irradiance, cellC)
		if !(v > 0 && i > 0) {
			t.Fatalf("no power in the light: %v V, %v A", v, i)
		}
		// Two solvers, each good to about 1e-12 of the open voltage; the knee
		// of the steepest curves makes up to a thousand times that of current.
		near(t, "the curve at its own maximum", d.CurrentA(v, irradiance, cellC), i, 1e-8)
		for _, step := range []float64{0.5, 0.9, 0.99, 1.01, 1.1} {
			if p := v * step * d.CurrentA(v*step, irradiance, cellC); p > v*i {
				t.Fatalf("at %.2f of the voltage %v W, more than %v W", step, p, v*i)
			}
		}
	})
}

func TestTheCurveFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := fit(t, anyLabel(t))
		irradiance := rapid.Float64Range(0, 1600).Draw(t, "irradiance")
		cellC := rapid.Float64Range(-50, 110).Draw(t, "cell")
		a := rapid.Float64Range(0, 80).Draw(t, "V")
		b := a + rapid.Float64Range(0, 20).Draw(t, "more V")
		low, high := d.CurrentA(a, irradiance, cellC), d.CurrentA(b, irradiance, cellC)
		if !(high >= 0 && high <= low+1e-9) { // rounding on up to 30 A
			t.Fatalf("%v A at %v V, %v A at %v V", low, a, high, b)
		}
		if open := d.OpenCircuitV(irradiance, cellC); d.CurrentA(open+1e-6, irradiance, cellC) != 0 {
			t.Fatalf("a blocking diode lets current back above %v V", open)
		}
	})
}

func TestOnlyTheWatts(t *testing.T) {
	for _, c := range []struct{ watts, vmp float64 }{{5, 18}, {80, 18}, {170, 18}, {300, 30}, {450, 36}} {
		d, assumed, err := panel.Fit(panel.Label{PowerW: c.watts})
		if err != nil {
			t.Fatal(err)
		}
		v, i := d.MaximumPower(1000, 25)
		open := d.OpenCircuitV(1000, 25)
		if math.Abs(v-c.vmp) > 1e-4 || math.Abs(v*i-c.watts) > 1e-6 || math.Abs(open-c.vmp/0.82) > 1e-6 { // the search ends within 0.1 mV; power is flat there
			t.Errorf("%v W: %v V, %v A, %v V open", c.watts, v, i, open)
		}
		if len(assumed) != 2 || !strings.Contains(assumed[0], "common practice") || !strings.Contains(assumed[1], "usual for crystalline silicon") {
			t.Errorf("assumed %q", assumed)
		}
	}
}

func TestWhatIsGivenStands(t *testing.T) {
	for _, l := range []panel.Label{
		{PowerW: 80, VocV: 22.4},
		{PowerW: 80, IscA: 4.9},
		{PowerW: 80, VocV: 22.4, IscA: 4.9},
		{PowerW: 80, VmpV: 17.5},
		{PowerW: 80, ImpA: 4.4},
		{VmpV: 17.5, ImpA: 4.6},
		{PowerW: 20, Cells: 18},
		{PowerW: 80, PowerPerK: -0.0026},
		{PowerW: 80, PowerPerK: -0.0005},
		{PowerW: 80, VocPerK: -0.0035},
	} {
		d, assumed, err := panel.Fit(l)
		if err != nil {
			t.Errorf("%+v: %v", l, err)
			continue
		}
		v, i := d.MaximumPower(1000, 25)
		for what, pair := range map[string][2]float64{
			"power": {v * i, l.PowerW}, "Voc": {d.OpenCircuitV(1000, 25), l.VocV}, "Isc": {d.ShortCircuitA(1000, 25), l.IscA},
			"Vmp": {v, l.VmpV}, "Imp": {i, l.ImpA},
		} {
			if pair[1] != 0 && math.Abs(pair[0]/pair[1]-1) > 1e-5 { // the curve is flat at its maximum
				t.Errorf("%+v: %s is %v", l, what, pair[0])
			}
		}
		if len(assumed) == 0 {
			t.Errorf("%+v: nothing is told of what was assumed", l)
		}
	}
}

func TestAFullLabelAssumesNothing(t *testing.T) {
	if _, assumed, err := panel.Fit(eighty); err != nil || len(assumed) != 0 {
		t.Errorf("assumed %q, %v", assumed, err)
	}
	rounded := eighty
	rounded.PowerW = 81
	if _, assumed, _ := panel.Fit(rounded); len(assumed) != 1 || !strings.Contains(assumed[0], "79.92 W, not 81 W") {
		t.Errorf("assumed %q", assumed)
	}
}

func TestContradictionsAreRefused(t *testing.T) {
	for says, change := range map[string]func(*panel.Label){
		"the panel's power is missing":                   func(l *panel.Label) { *l = panel.Label{VocV: 22, IscA: 5} },
		"power is -80 W":                                 func(l *panel.Label) { l.PowerW = -80 },
		"power is NaN":                                   func(l *panel.Label) { l.PowerW = math.NaN() },
		"open-circuit voltage is +Inf":                   func(l *panel.Label) { l.VocV = math.Inf(1) },
		"below its open-circuit voltage":                 func(l *panel.Label) { l.VmpV, l.VocV = l.VocV, l.VmpV },
		"below its short-circuit current":                func(l *panel.Label) { l.ImpA, l.IscA = l.IscA, l.ImpA },
		"make 79.92 W, more than 5 %":                    func(l *panel.Label) { l.PowerW = 90 },
		"watts are 0.95":                                 func(l *panel.Label) { l.VmpV, l.ImpA, l.PowerW = 21.5, 4.6, 98.9 },
		"watts are 0.42":                                 func(l *panel.Label) { l.VocV, l.Cells = 40, 0 },
		"12 V, is too far below":                         func(l *panel.Label) { l.VmpV, l.PowerW = 12, 53.3 },
		"2.7 A, is too far below":                        func(l *panel.Label) { l.ImpA, l.PowerW = 2.7, 48.6 },
		"-0.4 % per K is -0.004":                         func(l *panel.Label) { l.PowerPerK = -0.41 },
		"-0.3 % per K is -0.003":                         func(l *panel.Label) { l.VocPerK = 0.003 },
		"half-cut":                                       func(l *panel.Label) { l.Cells = 72 },
		"number of cells in series is -1":                func(l *panel.Label) { l.Cells = -1 },
		"short-circuit current with temperature is 0.05": func(l *panel.Label) { l.IscPerK = 0.05 },
	} {
		l := eighty
		change(&l)
		if _, _, err := panel.Fit(l); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%+v: got %v, want an error about %q", l, err, says)
		}
	}
}

func TestAnyFigureIsFittedOrRefused(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		odd := rapid.OneOf(rapid.Just(0.0), rapid.Float64(), rapid.Float64Range(-1, 60))
		l := panel.Label{
			PowerW: odd.Draw(t, "P"), VocV: odd.Draw(t, "Voc"), IscA: odd.Draw(t, "Isc"), VmpV: odd.Draw(t, "Vmp"), ImpA: odd.Draw(t, "Imp"),
			VocPerK: rapid.Float64Range(-0.008, 0).Draw(t, "Voc per K"), PowerPerK: rapid.Float64Range(-0.01, 0).Draw(t, "power per K"),
		}
		d, _, err := panel.Fit(l)
		if err != nil {
			return
		}
		if v, i := d.MaximumPower(800, 40); !(v > 0 && i > 0 && !math.IsInf(v*i, 0)) {
			t.Fatalf("%+v gives %v V, %v A", d, v, i)
		}
	})
}

func TestTheDarkGivesNothing(t *testing.T) {
	d := fit(t, eighty)
	s, pinned := d.Surface(), d.PinnedSurface(13)
	for _, irradiance := range []float64{0, -5, math.NaN()} {
		v, i := d.MaximumPower(irradiance, 10)
		if v != 0 || i != 0 || d.CurrentA(13, irradiance, 10) != 0 || d.OpenCircuitV(irradiance, 10) != 0 ||
			s.PowerW(irradiance, 10) != 0 || pinned.CurrentA(irradiance, 10) != 0 {
			t.Errorf("something comes out of %v W/m2", irradiance)
		}
	}
}

// The surfaces' errors against the exact model, between their nodes, for three
// panels and several voltages of a 12 V battery.
func TestSurfacesFollowTheModel(t *testing.T) {
	var worstPower, worstPinned float64
	for _, l := range []panel.Label{eighty, {PowerW: 10}, {PowerW: 400}} {
		d := fit(t, l)
		s := d.Surface()
		isc := d.ShortCircuitA(1000, 25)
		for _, volts := range []float64{0, 12.3, 13.3, 15.1} {
			pinned := d.PinnedSurface(volts)
			for g := 0.7; g < 1600; g += 7.3 {
				for c := -49.6; c < 110; c += 1.9 {
					v, i := d.MaximumPower(g, c)
					worstPower = math.Max(worstPower, math.Abs(s.PowerW(g, c)-v*i)/l.PowerW)
					worstPinned = math.Max(worstPinned, math.Abs(pinned.CurrentA(g, c)-d.CurrentA(volts, g, c))/isc)
				}
			}
		}
	}
	t.Logf("largest error: power %.5f of the label's, pinned current %.5f of the short-circuit current", worstPower, worstPinned)
	if worstPower > 0.001 || worstPinned > 0.002 { // as their documentation promises
		t.Errorf("power is off by %.5f, pinned current by %.5f", worstPower, worstPinned)
	}
}

func TestSurfacesHoldAtTheirEdges(t *testing.T) {
	s := fit(t, eighty).Surface()
	for _, c := range [][4]float64{
		{1600, 25, 2000, 25}, {800, 110, 800, 150}, {800, -50, 800, -90}, {1600, 110, math.Inf(1), math.Inf(1)},
	} {
		if in, out := s.PowerW(c[0], c[1]), s.PowerW(c[2], c[3]); in != out || !(in > 0) {
			t.Errorf("%v W inside, %v W outside %v", in, out, c)
		}
	}
}

func TestWarmth(t *testing.T) {
	w := panel.OpenRack()
	// Faiman's formula by hand: 20 + 800/(25 + 6.84).
	if got := w.SteadyC(20, 800, 1); math.Abs(got-45.1256) > 1e-4 {
		t.Errorf("800 W/m2, 20 C, 1 m/s: %v C", got)
	}
	if w.SteadyC(20, 800, -3) != w.SteadyC(20, 800, 0) || w.SteadyC(-4, 0, 5) != -4 {
		t.Error("wind below zero is still air, and the dark leaves the cells as cold as the air")
	}
	// Two half steps are one whole step; a whole lag leaves 1/e.
	if whole, half := w.Decay(60), w.Decay(30); math.Abs(whole-half*half) > 1e-15 || math.Abs(w.Decay(420)-1/math.E) > 1e-15 { // rounding
		t.Errorf("decay %v in a minute", whole)
	}
	if (panel.Warmth{U0: 25}).Decay(60) != 0 {
		t.Error("without a lag the cells follow at once")
	}
}

var sink float64

func BenchmarkMaximumPower(b *testing.B) {
	d := fit(b, eighty)
	for i := range b.N {
		v, a := d.MaximumPower(float64(i%1600), float64(i%100)-20)
		sink += v * a
	}
}

func BenchmarkFit(b *testing.B) {
	for range b.N {
		fit(b, eighty)
	}
}

func BenchmarkLayOutSurface(b *testing.B) {
	d := fit(b, eighty)
	for range b.N {
		sink += d.Surface().PowerW(500, 20)
	}
}

func BenchmarkSurface(b *testing.B) {
	s := fit(b, eighty).Surface()
	b.ReportAllocs()
	for i := range b.N {
		sink += s.PowerW(float64(i&1023), float64(i&63))
	}
}

func BenchmarkPinnedSurface(b *testing.B) {
	s := fit(b, eighty).PinnedSurface(13)
	b.ReportAllocs()
	for i := range b.N {
		sink += s.CurrentA(float64(i&1023), float64(i&63))
	}
}
