package wiring_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/wiring"
)

// lead is the charging lead of an 80 W panel.
func lead() wiring.Run {
	return wiring.Run{Name: "panel to charge controller", LengthM: 5, CurrentA: 4.6, SourceV: 18, AmbientC: 30, MaxDrop: 0.03, ContinuousFactor: wiring.PanelFactor}
}

func cable(t *testing.T, name string) *wiring.Cable {
	c, err := wiring.Named(name)
	if err != nil {
		t.Fatal(err)
	}
	return &c
}

func amperes(a float64) *float64 { return &a }

func size(t *testing.T, r wiring.Run) wiring.Sized {
	s, err := wiring.Size(r)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestEachDemandCanRule(t *testing.T) {
	short := lead()
	short.LengthM = 0.1
	short.CurrentA, short.ContinuousFactor = 1, 0
	warm := lead()
	warm.LengthM, warm.CurrentA = 0.5, 9
	fused := warm
	fused.CurrentA, fused.NeedsFuse = 10.3, true
	for _, c := range []struct {
		name, cable, why string
		fuseA            float64
		run              wiring.Run
	}{
		{"nothing", "0.5 mm2", "thinnest", 0, short},
		{"drop", "2.5 mm2", "lose more than 3 %", 0, lead()},      // 1.5 mm2 loses 3.4 %
		{"heat", "1.5 mm2", "too hot at 14.1 A", 0, warm},         // 14.06 A: more than 10, less than 17.5
		{"fuse", "2.5 mm2", "fuse of 20 A", 20, fused},            // 16.1 A, which 1.5 mm2 carries, but no fuse from there to its 17.5 A
		{"own fuse", "4 mm2", "fuse of 30 A", 30, own(fused, 30)}, // 2.5 mm2 carries 24 A
	} {
		s := size(t, c.run)
		if s.Cable.Name != c.cable || !strings.Contains(s.Why, c.why) || s.FuseA != c.fuseA || len(s.Problems) > 0 {
			t.Errorf("%s: %s with %g A because %s, problems %v; want %s with %g A because of %q", c.name, s.Cable.Name, s.FuseA, s.Why, s.Problems, c.cable, c.fuseA, c.why)
		}
	}
}

func own(r wiring.Run, fuseA float64) wiring.Run {
	r.FuseA = &fuseA
	return r
}

func TestWhatTheBuilderHasIsHeldToTheDemands(t *testing.T) {
	base := lead()
	base.NeedsFuse = true
	with := func(change func(*wiring.Run)) wiring.Run { r := base; change(&r); return r }
	for _, c := range []struct {
		name, key, says string
		run             wiring.Run
	}{
		{"too thin for the drop", "cable", "2.5 mm2 would do, or 4.20 m of 1.5 mm2", with(func(r *wiring.Run) { r.Cable = cable(t, "1.5 mm2") })},
		{"too thin for the heat", "cable", "may carry 6 A", with(func(r *wiring.Run) { r.LengthM, r.Cable = 0.5, cable(t, "0.75 mm2") })},
		{"no fuse between current and cable", "cable", "fuse of 7.5 A lets 0.75 mm2 burn, which may carry 6 A in air of 30 C; 1 mm2 would do", with(func(r *wiring.Run) {
			r.LengthM, r.CurrentA, r.ContinuousFactor, r.Cable = 0.5, 5.5, 1, cable(t, "0.75 mm2")
		})},
		{"fuse larger than the cable", "fuse", "a fuse of 7.5 A would do, or 4 mm2 would do", with(func(r *wiring.Run) { r.Cable, r.FuseA = cable(t, "2.5 mm2"), amperes(30) })},
		{"fuse and cable far apart", "fuse", "a fuse of 7.5 A with 2.5 mm2 would do, or 4 mm2 would do", with(func(r *wiring.Run) {
			r.ContinuousFactor, r.Cable, r.FuseA = wiring.BatteryFactor, cable(t, "18 AWG"), amperes(30)
		})},
		{"fuse too small", "fuse", "7.5 A would hold", with(func(r *wiring.Run) { r.FuseA = amperes(5) })},
		{"a current that no fuse carries", "fuse", "split the run", with(func(r *wiring.Run) { r.CurrentA, r.FuseA = 90, amperes(100) })},
		{"fuse larger than every cable", "fuse", "a fuse of 7.5 A would do", with(func(r *wiring.Run) { r.FuseA = amperes(500) })},
		{"too long for every cable", "cable_length", "m of 50 mm2 would do", with(func(r *wiring.Run) { r.LengthM = 500 })},
	} {
		s := size(t, c.run)
		found := false
		for _, p := range s.Problems {
			found = found || p.Key == c.key && strings.Contains(p.Text, c.says)
		}
		if !found {
			t.Errorf("%s: %+v, want %s: %q", c.name, s.Problems, c.key, c.says)
		}
	}
}

func TestTheLengthThatWouldDoDoes(t *testing.T) {
	r := lead()
	r.Cable, r.LengthM = cable(t, "1.5 mm2"), 4.20 // as told in the message above
	if s := size(t, r); len(s.Problems) > 0 {
		t.Error(s.Problems)
	}
	r.LengthM = 4.22
	if s := size(t, r); len(s.Problems) != 1 {
		t.Errorf("two centimetres more: %v", s.Problems)
	}
}

func TestHotAirTakesMoreCopper(t *testing.T) {
	r := lead()
	r.LengthM, r.CurrentA = 0.5, 10 // 15.6 A
	cool := size(t, r)
	r.AmbientC = 55
	if hot := size(t, r); hot.Cable.AreaMM2 <= cool.Cable.AreaMM2 || hot.RiseC+r.AmbientC > 70 {
		t.Errorf("%s at 30 C and %s at 55 C, where it is at %.0f C", cool.Cable.Name, hot.Cable.Name, hot.RiseC+r.AmbientC)
	}
}

func TestImpossibleFiguresAreRefused(t *testing.T) {
	for name, change := range map[string]func(*wiring.Run){
		"length":          func(r *wiring.Run) { r.LengthM = 0 },
		"current":         func(r *wiring.Run) { r.CurrentA = math.NaN() },
		"voltage":         func(r *wiring.Run) { r.SourceV = math.Inf(1) },
		"air temperature": func(r *wiring.Run) { r.AmbientC = 70 },
		"drop":            func(r *wiring.Run) { r.MaxDrop = 1 },
		"factor":          func(r *wiring.Run) { r.ContinuousFactor = 0.5 },
		"fuse":            func(r *wiring.Run) { r.FuseA = amperes(-1) },
		"area":            func(r *wiring.Run) { r.Cable = &wiring.Cable{Name: "string"} },
		"no fuse here":    func(r *wiring.Run) { r.CurrentA, r.NeedsFuse = 90, true },
	} {
		r := lead()
		change(&r)
		if _, err := wiring.Size(r); err == nil || !strings.Contains(err.Error(), r.Name) || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A chosen cable and fuse meet every rule, and the size below breaks one.
func TestChosenIsEnoughAndNoMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := wiring.Run{
			Name:      "run",
			LengthM:   rapid.Float64Range(0.1, 15).Draw(t, "length"),
			CurrentA:  rapid.Float64Range(0.05, 40).Draw(t, "current"),
			SourceV:   rapid.Float64Range(5, 48).Draw(t, "volts"),
			AmbientC:  rapid.Float64Range(-30, 50).Draw(t, "air"),
			MaxDrop:   rapid.Float64Range(0.01, 0.1).Draw(t, "drop"),
			NeedsFuse: rapid.Bool().Draw(t, "fused"),
		}
		s, err := wiring.Size(r)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Problems) > 0 { // too much for the thickest cable
			if s.Cable.AreaMM2 != 50 {
				t.Fatalf("%s has problems %v", s.Cable.Name, s.Problems)
			}
			return
		}
		need := r.CurrentA * wiring.BatteryFactor
		const slack = 1 + 1e-9 // the package's own, for products of round numbers
		if s.DropFraction > r.MaxDrop*slack || need > s.Cable.MaxAAt(r.AmbientC)*slack || s.FuseA > s.Cable.MaxAAt(r.AmbientC)*slack {
			t.Errorf("%+v", s)
		}
		if r.NeedsFuse && s.FuseA*slack < need {
			t.Errorf("a fuse of %g A for %g A", s.FuseA, need)
		}
		for i, c := range wiring.Sizes() {
			if i+1 < len(wiring.Sizes()) && wiring.Sizes()[i+1] == s.Cable {
				r.Cable = &c
				if s, err := wiring.Size(r); err != nil || len(s.Problems) == 0 {
					t.Errorf("%s would have done as well (%v)", c.Name, err)
				}
			}
		}
	})
}

func TestFuses(t *testing.T) {
	for need, want := range map[float64]float64{0.1: 1, 1: 1, 1.01: 2, 1.5625 * 4.8: 7.5, 1.25 * 12: 15, 26: 30, 31: 40} {
		if got, err := wiring.FuseFor(need); err != nil || got != want {
			t.Errorf("FuseFor(%v) = %v, %v, want %v", need, got, err, want)
		}
	}
	wiring.Fuses()[0] = 99
	if wiring.Fuses()[0] != 1 {
		t.Error("a caller can change the table")
	}
}

func BenchmarkSize(b *testing.B) {
	r := lead()
	for b.Loop() {
		if _, err := wiring.Size(r); err != nil {
			b.Fatal(err)
		}
	}
}
