// Command write measures every check and writes docs/CHECKS.md. It needs the
// measured data and the other programs, so that no room is left out.
package main

import (
	"fmt"
	"os"
	"strings"

	"turnsole/checks"
)

func main() {
	if err := write("../docs/CHECKS.md"); err != nil {
		fmt.Fprintln(os.Stderr, "write:", err)
		os.Exit(1)
	}
}

func write(path string) error {
	var sections []string
	for _, r := range checks.Rooms() {
		dir, ok := checks.Available(r.Need)
		if !ok {
			return fmt.Errorf("%s: set TURNSOLE_DATA and TURNSOLE_PEERS=1 so that every room can be measured", r.Title)
		}
		rows, err := r.Run(dir)
		if err != nil {
			return fmt.Errorf("%s: %w", r.Title, err)
		}
		sections = append(sections, checks.Section(r, rows))
	}
	return os.WriteFile(path, []byte(checks.Preface+strings.Join(sections, "\n")), 0o644)
}
