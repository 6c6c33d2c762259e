package weather

import (
	"fmt"
	"slices"
)

// weight orders what is told of a file, the gravest first.
type weight int

const (
	clockOff weight = iota
	clockChanged
	tooBright
	deadDays
	disagree
	// What follows is mended by rule and changes little.
	leftOut
	filled
	derived
	rowsMended
	airLacks
	small
)

// finding is what was found or mended in a file, in one sentence.
type finding struct {
	weight weight
	text   string
}

// findings gathers them in the order in which they are met.
type findings []finding

func (f *findings) tellf(w weight, format string, args ...any) {
	*f = append(*f, finding{w, fmt.Sprintf(format, args...)})
}

// told parts the grave from the small, each with the gravest first.
func (f findings) told() (warnings, notes []string) {
	sorted := slices.Clone(f)
	slices.SortStableFunc(sorted, func(a, b finding) int { return int(a.weight - b.weight) })
	for _, found := range sorted {
		if found.weight < leftOut {
			warnings = append(warnings, found.text)
		} else {
			notes = append(notes, found.text)
		}
	}
	return warnings, notes
}
