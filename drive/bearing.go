package drive

import (
	"fmt"
	"strings"
)

// Bearing is a kind of bearing that the panel turns on.
type Bearing struct {
	Name     string
	Friction float64 // coefficient, at the bore's or the shaft's radius
}

// Bearings returns the kinds of bearing with handbook coefficients (from
// memory). A small rubber seal adds some 0.01-0.05 Nm; cold grease adds more.
func Bearings() []Bearing {
	return []Bearing{
		{"ball", 0.0015},
		{"self-aligning ball", 0.001},
		{"ball thrust", 0.0013},
		{"roller", 0.0011},
		{"tapered roller", 0.0018},
		{"roller thrust", 0.005},
		{"plain bronze", 0.1},
		{"plain polymer", 0.2},
	}
}

// BearingNamed returns a kind of bearing.
func BearingNamed(name string) (Bearing, error) {
	var known []string
	for _, b := range Bearings() {
		if b.Name == name {
			return b, nil
		}
		known = append(known, b.Name)
	}
	return Bearing{}, fmt.Errorf("no bearing is called %q; known are %s", name, strings.Join(known, ", "))
}

// FrictionNm returns the friction of a bearing under a force in newtons, with a
// bore or shaft of a diameter in metres: mu F d/2.
func (b Bearing) FrictionNm(forceN, diameterM float64) float64 {
	return b.Friction * forceN * diameterM / 2
}
