package reading

import (
	"fmt"
	"strings"
)

// words say what each column of the plain log is.
var words = [...]string{
	atTime:   "date and time with its offset from Greenwich, RFC 3339: `2026-06-01T12:00:00Z`, `2026-06-01 14:00:00.5+02:00`",
	atBoot:   "number of the power-up, from 1; where it is missing, power-ups are counted by the uptime",
	atUptime: "seconds since power-up",
	atSetup:  "name or number of the set-up; it changes whenever the rig or its notch is moved, and holds until it changes",
	panelA:   "A, at the panel's terminals",
	panelV:   "V, at the panel's terminals",
	cellA:    "A, of a small reference cell on the frame, with its own resistor",
	stillA:   "A, of a second panel or cell beside the rig that keeps still",
	batteryV: "V",
	batteryA: "A, positive into the battery",
	heading:  "degrees clockwise from true north: where the drive believes that the panel points",
	tilt:     "degrees from flat",
	atLook:   "`still` or `aimed` for the looks of a pair; `low`, `aimed`, `high` for a look at three points; empty otherwise",
	atPair:   "number that the looks of one pair share",
	atEvent:  "`moved`, `notch`, `cleaned`, `storm`, or any note",
}

// Document describes in Markdown the plain log, and which other logs are read
// and how.
func Document() string {
	var b strings.Builder
	b.WriteString(`Text in UTF-8, a row a line, commas between fields; a field with a comma or a
quotation mark in it stands in quotation marks, and a mark within is doubled.
Lines that begin with # are remarks: made data say there that they are made. The
first other line names the columns, in any order. One of time and uptime_s is
needed, and one measure: panel_a, panel_v, cell_a, still_a, battery_v, battery_a.
What is not known is left empty. Columns of other names are left aside.

| column | what it is | possible |
|---|---|---|
`)
	for s := atTime; s <= atEvent; s++ {
		possible := ""
		if int(s) < len(bounds) && bounds[s].unit != "" {
			possible = fmt.Sprintf("%g to %g", bounds[s].least, bounds[s].most)
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", slotNames[s], words[s], possible)
	}
	fmt.Fprintf(&b, `
A row is refused, with its line and the reason, where its time or a figure can't
be read or can't be, where it is cut off or has too much, where it has neither a
measure nor an event, or where its clock was not set (before 2001). All others
are kept. A heading may come again, as controllers write one at each power-up.

Rows up to %d lines out of place are put in order. A row that belongs further back
is left out where it is there already, as when a log was dumped twice, and
refused where it is not. A set-up begins where its name changes, and behind an
event moved or notch; then its name gets a number.

`, window)
	b.WriteString(`**Other logs** are read by turnsole import: any table of text with commas,
semicolons, tabs or blanks between its columns, with or without headings, with a
decimal comma or point. Which column is what is told from common words in its
heading, the unit from brackets or the last word ("PV current (mA)"); what was
guessed is listed, and --column NAME=HEADING:UNIT goes above it. Units are A, mA,
µA, V, mV, s, ms, min, h, degrees and rad. Times are dates with the year, the day
or the month first (which, is told from the data), in one column or with the time
of day in another, or seconds or milliseconds since 1970. Times without an offset
are by the clock of --zone, else of the rig file's spot. An uptime in
milliseconds may begin anew after 2^32 of them.

A log without a clock needs --dumped-at: its power-ups are put in time by the
dump and by each day's dawn and dusk. A clock that is off is told from dawn and
dusk, and set right only with --clock-ahead. What sensors show at night is told,
and taken off panel_a and cell_a only with --take-off-night.
`)
	return b.String()
}
