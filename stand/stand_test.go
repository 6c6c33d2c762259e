package stand_test

import (
	"testing"

	"turnsole/stand"
)

func TestValidate(t *testing.T) {
	good := stand.Stand{Tilt: 40, Highest: 90, Notches: 2, HandsFrom: 7, HandsTo: 22}
	if err := good.Validate(); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(*stand.Stand){
		"tilt too high":   func(s *stand.Stand) { s.Highest = 30 },
		"past upright":    func(s *stand.Stand) { s.Highest = 120 },
		"no notch":        func(s *stand.Stand) { s.Notches = 0 },
		"hands backwards": func(s *stand.Stand) { s.HandsFrom = 23 },
	} {
		s := good
		spoil(&s)
		if s.Validate() == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}
