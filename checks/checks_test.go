package checks_test

import (
	"os"
	"strings"
	"testing"

	"turnsole/checks"
)

// TestTheWorld measures every room again, holds each figure to its tolerance,
// and holds docs/CHECKS.md to what was measured.
func TestTheWorld(t *testing.T) {
	page, err := os.ReadFile("../docs/CHECKS.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range checks.Rooms() {
		t.Run(r.Title, func(t *testing.T) {
			dir, ok := checks.Available(r.Need)
			if !ok {
				t.Skipf("SKIPPED, NOT CHECKED: set TURNSOLE_DATA and TURNSOLE_PEERS=1 to measure this room (./check does)")
			}
			rows, err := r.Run(dir)
			if err != nil {
				t.Fatal(err)
			}
			if len(rows) == 0 {
				t.Fatal("a room without checks")
			}
			for _, c := range rows {
				if err := c.Err(); err != nil {
					t.Error(err)
				}
			}
			if !strings.Contains(string(page), checks.Section(r, rows)) {
				t.Errorf("docs/CHECKS.md no longer says what is measured; run go generate ./checks\n%s", checks.Section(r, rows))
			}
		})
	}
}
