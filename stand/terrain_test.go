package stand_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"turnsole/stand"
)

func TestTerrainByHand(t *testing.T) {
	// ln(2/0.05) = 3.6889: cr = 0.19 x 3.6889, Iv = 1/3.6889, qp/qb = cr²(1 + 7 Iv) = 1.4234
	const tolerance = 1e-4 // of figures worked with five digits
	for _, c := range []struct {
		what       string
		got, wants float64
	}{
		{"open, 2 m, mean", stand.Open.MeanPerForecast(2), 0.70089},
		{"open, 2 m, turbulence", stand.Open.Turbulence(2), 0.27109},
		{"open, 2 m, gust squared", math.Pow(stand.Open.GustPerForecast(2), 2), 1.42344},
		{"open, below the lowest height", stand.Open.GustPerForecast(0.3), stand.Open.GustPerForecast(2)},
		{"village, below the lowest height", stand.Village.GustPerForecast(1), stand.Village.GustPerForecast(5)},
		{"above the table", stand.Town.MeanPerForecast(1000), stand.Town.MeanPerForecast(200)},
		{"no height", stand.Sea.MeanPerForecast(math.NaN()), stand.Sea.MeanPerForecast(1)},
		{"no terrain counts as the windiest", stand.Terrain(9).MeanPerForecast(3), stand.Sea.MeanPerForecast(3)},
		{"pressure at 20 m/s", stand.PressurePa(20), 250},
	} {
		if math.Abs(c.got-c.wants) > tolerance {
			t.Errorf("%s: %.5f, by hand %.5f", c.what, c.got, c.wants)
		}
	}
}

func TestHigherAndBarerIsWindier(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(0, 150).Draw(t, "low")
		high := low + rapid.Float64Range(0, 50).Draw(t, "more")
		for k := range stand.TerrainNames() {
			at := stand.Terrain(k)
			if at.GustPerForecast(high) < at.GustPerForecast(low) {
				t.Errorf("%s: less wind at %v m than at %v m", at.Name(), high, low)
			}
			if k > 0 && at.GustPerForecast(low) > stand.Terrain(k-1).GustPerForecast(low) {
				t.Errorf("%s: more wind than by the %s", at.Name(), stand.Terrain(k-1).Name())
			}
		}
	})
}

func TestTerrainNames(t *testing.T) {
	for _, name := range stand.TerrainNames() {
		if of, err := stand.TerrainNamed(name); err != nil || of.Name() != name {
			t.Errorf("%s: %v, %v", name, of.Name(), err)
		}
	}
	if _, err := stand.TerrainNamed("desert"); err == nil || !strings.Contains(err.Error(), "open, village") {
		t.Errorf("an unknown terrain: %v", err)
	}
}

func TestBeaufort(t *testing.T) {
	for force := range 13 {
		// the scale's own mean, 0.836 B^1.5, lies within its step
		b := stand.BeaufortOf(0.836 * math.Pow(float64(force), 1.5))
		if b.Force != force || b.Name == "" || b.Sign == "" {
			t.Errorf("force %d: %+v", force, b)
		}
	}
	for wind, force := range map[float64]int{-1: 0, math.NaN(): 0, 0.29: 0, 0.3: 1, 7.99: 4, 8: 5, 32.6: 11, 32.7: 12, 90: 12, math.Inf(1): 12} {
		if b := stand.BeaufortOf(wind); b.Force != force {
			t.Errorf("%v m/s is force %d, not %d", wind, b.Force, force)
		}
	}
}

func TestFootings(t *testing.T) {
	seen, last := map[string]bool{}, 0.0
	for _, f := range stand.Footings() {
		named, ok := stand.FootingNamed(f.Name)
		if !ok || named != f || seen[f.Name] || f.Friction < last || strings.ContainsAny(f.Name, " _") || f.Title == "" {
			t.Errorf("%+v is out of order, twice there or not found", f)
		}
		seen[f.Name], last = true, f.Friction
	}
	if _, ok := stand.FootingNamed("ice"); ok {
		t.Error("a footing that is not in the list")
	}
	stand.Footings()[0].Friction = 9
	if stand.Footings()[0].Friction == 9 {
		t.Error("the caller can change the list")
	}
}
