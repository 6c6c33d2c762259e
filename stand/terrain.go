package stand

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Terrain is the kind of ground for a few hundred metres upwind, which says how
// much wind comes down to a panel near it: the categories 0 to IV of
// EN 1991-1-4, Table 4.1.
type Terrain int

// Terrains, from the windiest to the most sheltered.
const (
	Sea     Terrain = iota // category 0: open sea, a coast that faces it
	Flat                   // I: lake shore, bare flat land
	Open                   // II: grass, a few trees and houses far apart
	Village                // III: houses, hedges or forest all round
	Town                   // IV: mostly built over, houses of five floors
)

// ground is a row of EN 1991-1-4, Table 4.1.
type ground struct {
	name    string
	roughM  float64 // roughness length z0
	lowestM float64 // zmin: below it the wind is taken as at it
}

var grounds = [...]ground{
	Sea:     {name: "sea", roughM: 0.003, lowestM: 1},
	Flat:    {name: "flat", roughM: 0.01, lowestM: 1},
	Open:    {name: "open", roughM: 0.05, lowestM: 2},
	Village: {name: "village", roughM: 0.3, lowestM: 5},
	Town:    {name: "town", roughM: 1, lowestM: 10},
}

// TerrainNames returns the names of the terrains, the windiest first.
func TerrainNames() []string {
	names := make([]string, len(grounds))
	for i, g := range grounds {
		names[i] = g.name
	}
	return names
}

// TerrainNamed returns the terrain of a name, or an error that lists the names.
func TerrainNamed(name string) (Terrain, error) {
	if i := slices.Index(TerrainNames(), name); i >= 0 {
		return Terrain(i), nil
	}
	return 0, fmt.Errorf("%q is no terrain: it is one of %s", name, strings.Join(TerrainNames(), ", "))
}

// Name returns the terrain's name, such as "open".
func (t Terrain) Name() string { return t.ground().name }

// ground returns the terrain's row; what is not in the table counts as the
// windiest.
func (t Terrain) ground() ground {
	if t < 0 || int(t) >= len(grounds) {
		t = Sea
	}
	return grounds[t]
}

// MeanPerForecast returns the mean wind at a height per mean wind at 10 m in
// open country, which is what a forecast gives: the roughness factor cr(z) of
// EN 1991-1-4, 4.3.2, without hills. The height is in metres, up to 200.
func (t Terrain) MeanPerForecast(heightM float64) float64 {
	g := t.ground()
	k := 0.19 * math.Pow(g.roughM/grounds[Open].roughM, 0.07) // (4.5)
	return k * g.logHeight(heightM)                           // (4.4)
}

// Turbulence returns how much the wind at a height comes in gusts: its standard
// deviation over its mean, Iv(z) of EN 1991-1-4, (4.7), with kI = 1.
func (t Terrain) Turbulence(heightM float64) float64 {
	return 1 / t.ground().logHeight(heightM)
}

// GustPerForecast returns the peak gust at a height per mean wind at 10 m in
// open country: cr(z) √(1 + 7 Iv(z)), so that the gust's pressure is the peak
// pressure of EN 1991-1-4, (4.8).
func (t Terrain) GustPerForecast(heightM float64) float64 {
	return t.MeanPerForecast(heightM) * math.Sqrt(1+7*t.Turbulence(heightM))
}

// logHeight is ln(z/z0), with z kept between the lowest height of the table and
// the 200 m to which it is valid.
func (g ground) logHeight(heightM float64) float64 {
	z := g.lowestM
	if heightM > z {
		z = min(heightM, 200)
	}
	return math.Log(z / g.roughM)
}

// airKgM3 is the density of air, EN 1991-1-4, 4.5 (recommended value).
const airKgM3 = 1.25

// PressurePa returns the pressure of a wind that is brought to rest, ρv²/2
// (EN 1991-1-4, 4.5), in N/m².
func PressurePa(windMS float64) float64 { return airKgM3 / 2 * windMS * windMS }

// windOf is the wind whose pressure is given: the inverse of PressurePa.
func windOf(pressurePa float64) float64 { return math.Sqrt(2 * pressurePa / airKgM3) }

// Beaufort is a step of the Beaufort scale.
type Beaufort struct {
	Force int    // 0..12
	Name  string // such as "fresh breeze"
	Sign  string // what is to be seen ashore
}

// BeaufortOf returns the step of a mean wind 10 m above open country, in m/s.
func BeaufortOf(meanMS float64) Beaufort {
	force := 0
	for force < len(beauforts)-1 && meanMS >= beauforts[force+1].fromMS {
		force++
	}
	b := beauforts[force]
	return Beaufort{Force: force, Name: b.name, Sign: b.sign}
}

// beauforts are the limits and names of the scale as weather services give
// them; the signs are in our own words.
var beauforts = [...]struct {
	fromMS     float64
	name, sign string
}{
	{0, "calm", "smoke rises like a thread"},
	{0.3, "light air", "smoke leans, no leaf stirs"},
	{1.6, "light breeze", "you feel it on your cheeks, leaves whisper"},
	{3.4, "gentle breeze", "twigs bob, a small flag lifts"},
	{5.5, "moderate breeze", "paper blows about, dust flies"},
	{8.0, "fresh breeze", "young trees rock, small waves on a pond"},
	{10.8, "strong breeze", "thick branches heave, an umbrella turns inside out"},
	{13.9, "near gale", "trees bend from the trunk, you lean to walk"},
	{17.2, "gale", "twigs snap off, it is hard to walk against"},
	{20.8, "strong gale", "roof tiles and garden chairs begin to fly"},
	{24.5, "storm", "trees go over, roofs are torn"},
	{28.5, "violent storm", "damage everywhere"},
	{32.7, "hurricane", "nothing light stays where it was"},
}
