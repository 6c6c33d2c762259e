package checks

//go:generate go run ./write

import (
	"fmt"
	"os"
	"strings"
)

// Available reports whether this machine has what a room needs, and the folder
// of the measured data. An environment that promises a need is held to it by
// the test.
func Available(n Need) (dir string, ok bool) {
	switch n {
	case Data:
		dir = os.Getenv("TURNSOLE_DATA")
		return dir, dir != ""
	case Peers:
		return "", os.Getenv("TURNSOLE_PEERS") == "1"
	}
	return "", true
}

// Section renders one room of docs/CHECKS.md.
func Section(r Room, checks []Check) string {
	var b strings.Builder
	fmt.Fprintf(&b, "## %s\n\nSource: %s\n\nTolerance: %s\n\n", r.Title, r.Source, r.Reason)
	b.WriteString("| what | published | ours | tolerance | unit |\n|---|---:|---:|---:|---|\n")
	for _, c := range checks {
		fmt.Fprintf(&b, "| %s | %.*f | %.*f | %.4g | %s |\n", c.What, c.Digits, c.Published, c.Digits, c.Ours, c.Tolerance, c.Unit)
	}
	return b.String()
}

// Preface is the head of docs/CHECKS.md.
const Preface = `# Checks against the world

Each table names a source outside this project, the figure it gives, ours, how
far they may lie apart and why. The page is written by ` + "`go generate ./checks`" + `
and the test in ` + "`checks`" + ` measures every row again and holds the page to it.
"Published" is the source's figure: printed, measured, or computed by the other
program.

`
