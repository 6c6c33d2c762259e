package checks_test

import (
	"os"
	"strings"
	"testing"

	"turnsole/checks"
)

const trialsPage = "../docs/TRIALS.md"

// TestLongTrials writes docs/TRIALS.md where TURNSOLE_LONG asks for it: half an hour
// of two processors.
func TestLongTrials(t *testing.T) {
	dir, ok := checks.Available(checks.Data)
	if os.Getenv("TURNSOLE_LONG") != "1" || !ok {
		t.Skip("NOT RUN: set TURNSOLE_LONG=1 and TURNSOLE_DATA to try a thousand trials of each kind, for half an hour")
	}
	page, err := checks.LongTrials(dir, func(rows string) { t.Log(rows) })
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(trialsPage, []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestTrialsPage tries some rows of docs/TRIALS.md again.
func TestTrialsPage(t *testing.T) {
	dir, ok := checks.Available(checks.Data)
	if !ok {
		t.Skip("SKIPPED, NOT CHECKED: set TURNSOLE_DATA to try some rows of docs/TRIALS.md again")
	}
	page, err := os.ReadFile(trialsPage)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := checks.LongRows(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range lines {
		if !strings.Contains(string(page), line) {
			t.Errorf("docs/TRIALS.md has no more:\n%s", line)
		}
	}
}
