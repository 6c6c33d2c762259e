package weather

import (
	"slices"
	"testing"
)

func TestGraveFindingsStandApartAndInOrder(t *testing.T) {
	var f findings
	f.tellf(small, "wind")
	f.tellf(disagree, "sums")
	f.tellf(leftOut, "%d days", 3)
	f.tellf(clockOff, "clock")
	f.tellf(small, "albedo")
	warnings, notes := f.told()
	if !slices.Equal(warnings, []string{"clock", "sums"}) || !slices.Equal(notes, []string{"3 days", "wind", "albedo"}) {
		t.Errorf("warnings %q, notes %q", warnings, notes)
	}
}
