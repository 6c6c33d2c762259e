package stand

import "slices"

// Footing is what the feet stand on and what they are made of.
type Footing struct {
	Name     string  // as in the rig file: "rubber-on-wet-concrete"
	Title    string  // in words
	Friction float64 // sideways force before it slips, per weight on it
}

// Footings returns the pairs of foot and ground that a builder meets, the most
// slippery first. The friction is the low end of what handbooks give for a
// stand at rest (from memory, no one publication): grass and wet wood vary so
// much that only a pull test on the spot tells.
func Footings() []Footing { return slices.Clone(footings) }

// FootingNamed returns a footing by its name, and whether there is one.
func FootingNamed(name string) (Footing, bool) {
	i := slices.IndexFunc(footings, func(f Footing) bool { return f.Name == name })
	if i < 0 {
		return Footing{}, false
	}
	return footings[i], true
}

var footings = []Footing{
	{"rubber-on-wet-grass", "rubber feet on wet grass", 0.15},
	{"wood-on-wet-wood", "wooden feet on wet boards", 0.2},
	{"steel-on-wood", "steel feet on boards", 0.2},
	{"wood-on-wood", "wooden feet on dry boards", 0.25},
	{"wood-on-grass", "wooden feet on grass", 0.25},
	{"steel-on-soil", "steel feet on grass or soil", 0.25},
	{"rubber-on-grass", "rubber feet on dry grass", 0.3},
	{"steel-on-concrete", "steel feet on concrete", 0.3},
	{"rubber-on-wet-concrete", "rubber feet on wet concrete", 0.45},
	{"wood-on-concrete", "wooden feet on concrete", 0.5},
	{"rubber-on-asphalt", "rubber feet on dry asphalt", 0.6},
	{"rubber-on-concrete", "rubber feet on dry concrete", 0.6},
}
