package main

import (
	"fmt"
	"os"
	"reflect"
	"strings"

	"turnsole/reading"
	"turnsole/rigfile"
)

//go:generate go run . formats ../../docs/formats.md

// formatsCommand writes docs/formats.md from the program's own definitions.
type formatsCommand struct {
	File string `arg:"" help:"Where to write it."`
}

func (c *formatsCommand) Run(*desk) error {
	return os.WriteFile(c.File, []byte(formats()), 0o644)
}

// wireParts are the objects that commands write, in the order of the page.
var wireParts = []struct {
	title string
	of    any
}{
	{"turnsole worth, turnsole demo", worthJSON{}},
	{"each of ways[]", wayJSON{}},
	{"figures of a way, and of each of its months[12]", figuresJSON{}},
	{"each of notches[]", stretchJSON{}},
	{"each of visits[]", visitJSON{}},
	{"each of value[]", valueJSON{}},
	{"each of assumed[]", assumedJSON{}},
	{"turnsole sun", sunJSON{}},
	{"turnsole notches", notchesJSON{}},
	{"the plan of notches, for a still panel and as turning", notchPlanJSON{}},
	{"a year of notches, also as cut_year and as_built", notchYearJSON{}},
	{"each of calendar[]", swapJSON{}},
	{"each of counts[]", notchCount{}},
	{"each of cuts[]", cutJSON{}},
	{"turnsole stand", standJSON{}},
	{"each of settings[]", settingJSON{}},
	{"wind", windJSON{}},
	{"each of its limits", limitJSON{}},
	{"each of loads[]", loadJSON{}},
	{"turnsole drive", driveJSON{}},
	{"need", needJSON{}},
	{"wh_per_day, and each of seasons[]", whPerDayJSON{}},
	{"turnsole wire", wireJSON{}},
	{"each of runs[]", runJSON{}},
	{"sensor", sensorJSON{}},
	{"each of blind[]", blindJSON{}},
	{"turnsole aim", aimJSON{}},
	{"figures of a policy", aimRunJSON{}},
	{"pointing_error_deg", errorJSON{}},
	{"each of policies[]", policyJSON{}},
	{"each of its seasons[4]", seasonShareJSON{}},
	{"each of sleeps[]", sleepJSON{}},
	{"tune", tuneJSON{}},
	{"present and best", triedJSON{}},
	{"each of sweeps[]", sweepJSON{}},
	{"turnsole import", importJSON{}},
	{"each of rejected[]", rejectedJSON{}},
	{"each of columns[]", columnJSON{}},
	{"each of gaps[]", gapJSON{}},
	{"each of night[]", nightJSON{}},
	{"clock_offset", clockJSON{}},
	{"each of power_ups[]", powerUpJSON{}},
	{"turnsole trial plan", trialPlanJSON{}},
	{"each of alternatives[]", designJSON{}},
	{"turnsole trial result", trialResultJSON{}},
	{"one_day, these_days, light, energy, season", intervalJSON{}},
	{"year", trialYearJSON{}},
	{"parts", trialPartsJSON{}},
	{"each of excluded[]", excludedJSON{}},
	{"each of daily[]", trialDayJSON{}},
	{"each of by_hour[]", trialHourJSON{}},
	{"turnsole check", checkJSON{}},
	{"each of problems[]", problemJSON{}},
	{"turnsole version", versionJSON{}},
}

// formats describes everything that is read and written.
func formats() string {
	var b strings.Builder
	b.WriteString(`# Formats

Written by the program from its own definitions (go generate ./cmd/turnsole).

`)
	b.WriteString(strings.TrimSpace(rigfile.Document()))
	b.WriteString("\n\n## The plain log\n\n" + strings.TrimSpace(reading.Document()))
	b.WriteString(`

## What the commands write with --json

One object on standard output. Keys are fixed and more may come; figures are not
rounded; what is unknown or means nothing is null.

`)
	for _, part := range wireParts {
		fmt.Fprintf(&b, "### %s\n\n| key | kind | meaning |\n|---|---|---|\n", part.title)
		writeKeys(&b, reflect.TypeOf(part.of))
		b.WriteString("\n")
	}
	b.WriteString("With several spots `turnsole worth` writes `{\"spots\": [...]}`, one such object for each.\n\n")
	b.WriteString("`turnsole worth --csv` writes a line for each way and month and one (`all`) for the whole, with the keys of the figures as its head.\n\n")
	b.WriteString(exitCodes)
	return b.String()
}

const exitCodes = `## Exit codes

| code | meaning |
|---|---|
| 0 | done, a verdict against building included |
| 1 | check found problems, or trial result has no number to give; they, or the reason, are on standard output |
| 2 | bad input: the reason is on standard error, nothing is on standard output, nothing was written |
| 3 | this machine failed: a disk, a permission |
| 130 | interrupted |
`

func writeKeys(b *strings.Builder, t reflect.Type) {
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Anonymous {
			writeKeys(b, f.Type)
			continue
		}
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		fmt.Fprintf(b, "| `%s` | %s | %s |\n", name, kindOf(f.Type), f.Tag.Get("doc"))
	}
}

func kindOf(t reflect.Type) string {
	switch t.Kind() {
	case reflect.Pointer:
		return kindOf(t.Elem()) + " or null"
	case reflect.Slice:
		return "list of " + kindOf(t.Elem())
	case reflect.Array:
		return fmt.Sprintf("%d of %s", t.Len(), kindOf(t.Elem()))
	case reflect.String:
		return "text"
	case reflect.Bool:
		return "true or false"
	case reflect.Struct, reflect.Map:
		return "object"
	}
	return "number"
}
