package reading

import (
	"slices"
	"strings"
	"unicode"
)

// bareHeading parts a heading from a unit in brackets behind it.
func bareHeading(heading string) (bare, unit string) {
	heading = strings.TrimSpace(heading)
	for _, pair := range []string{"()", "[]", "{}"} {
		open := strings.LastIndexByte(heading, pair[0])
		if open > 0 && heading[len(heading)-1] == pair[1] {
			return strings.TrimSpace(heading[:open]), strings.TrimSpace(heading[open+1 : len(heading)-1])
		}
	}
	return heading, ""
}

// wordsOf cuts a heading into lower-case words: at blanks and marks, and where a
// capital follows a small letter.
func wordsOf(heading string) []string {
	var b strings.Builder
	before := rune(0)
	for _, c := range heading {
		if unicode.IsUpper(c) && unicode.IsLower(before) && !unitAhead(b.String(), c) {
			b.WriteByte(' ')
		}
		b.WriteRune(c)
		before = c
	}
	return strings.FieldsFunc(strings.ToLower(b.String()), func(c rune) bool { return !unicode.IsLetter(c) && !unicode.IsDigit(c) && c != 'µ' && c != '°' })
}

// unitAhead keeps the capital of mA and mV with what stands before it.
func unitAhead(before string, c rune) bool {
	return (c == 'A' || c == 'V') && (strings.HasSuffix(before, "m") || strings.HasSuffix(before, "µ") || strings.HasSuffix(before, "u")) &&
		(len(before) == 1 || !unicode.IsLetter(rune(before[len(before)-2])))
}

// What words of a heading say.
var (
	ofPanel   = []string{"panel", "pv", "solar", "module", "array"}
	ofBattery = []string{"battery", "batt", "bat", "accu", "akku", "storage", "charge"}
	ofCell    = []string{"cell", "ref", "reference"}
	ofStill   = []string{"still", "fixed", "static", "second"}
	ofElse    = []string{"load", "motor", "sun", "output", "out", "grid", "supply", "target", "want", "wanted", "servo", "limit", "max", "min", "temperature", "temp", "power", "energy", "state", "soc"}

	isCurrent = []string{"current", "curr", "amps", "amp", "ampere", "amperes", "i", "a", "ma"}
	isVoltage = []string{"voltage", "volts", "volt", "v", "u", "mv"}
)

// single are words that alone say what a column is.
var single = map[slot][]string{
	heading:  {"heading", "azimuth", "bearing", "az"},
	tilt:     {"tilt", "slope", "inclination"},
	atUptime: {"uptime", "millis", "elapsed", "runtime"},
	atBoot:   {"boot", "boots", "bootcount", "reboots", "restarts"},
	atSetup:  {"setup", "site"},
	atLook:   {"look"},
	atPair:   {"pair"},
	atEvent:  {"event", "events", "note", "notes", "remark", "remarks", "comment", "comments"},
}

// meaning tells from a heading what a column is: its slot, and where the words
// leave open of what it is a current or a voltage, panelA or panelV and unsure.
func meaning(heading string) (s slot, unsure bool) {
	bare, unit := bareHeading(heading)
	if s := slotOf(strings.ToLower(bare)); s != nothing {
		return s, false
	}
	words := wordsOf(bare)
	words = unglue(words)
	has := func(list []string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) })
	}
	if has(ofElse) {
		return nothing, false
	}
	for s := atTime; s <= atEvent; s++ {
		if has(single[s]) {
			return s, false
		}
	}
	_, amperes := factorOf(panelA, unit)
	_, volts := factorOf(panelV, unit)
	amperes, volts = unit != "" && amperes || has(isCurrent), unit != "" && volts || has(isVoltage)
	if amperes == volts {
		return nothing, false
	}
	pick := func(current, voltage slot) slot {
		if amperes {
			return current
		}
		return voltage
	}
	switch {
	case has(ofStill):
		return pick(stillA, nothing), false
	case has(ofCell):
		return pick(cellA, nothing), false
	case has(ofBattery):
		return pick(batteryA, batteryV), false
	case has(ofPanel):
		return pick(panelA, panelV), false
	}
	return pick(panelA, panelV), true
}

// unglue parts words such as ipv and vbat.
func unglue(words []string) []string {
	var out []string
	for _, w := range words {
		if subject, quantity, ok := parted(w); ok {
			out = append(out, subject, quantity)
		} else {
			out = append(out, w)
		}
	}
	return out
}

func parted(word string) (subject, quantity string, ok bool) {
	for _, subject := range slices.Concat(ofPanel, ofBattery, ofCell, ofStill) {
		quantity, found := strings.CutSuffix(word, subject)
		if !found {
			quantity, found = strings.CutPrefix(word, subject)
		}
		if !found {
			continue
		}
		if quantity == "i" || quantity == "u" || quantity == "v" || quantity == "a" {
			return subject, quantity, true
		}
	}
	return "", "", false
}

// unitIn returns the unit that a heading names for a slot: in brackets, or as
// its last word.
func unitIn(heading string, s slot) (unit, bool) {
	bare, named := bareHeading(heading)
	if named != "" {
		if u, ok := factorOf(s, named); ok {
			return u, true
		}
	}
	if slotOf(strings.ToLower(bare)) != nothing {
		return unit{}, false // the plain log's own name, not a unit behind it
	}
	words := strings.FieldsFunc(bare, func(c rune) bool { return c == ' ' || c == '_' || c == '-' || c == '.' || c == '/' })
	if len(words) < 2 {
		if strings.EqualFold(bare, "millis") {
			return unit{"ms", 1e-3}, s == atUptime
		}
		return unit{}, false
	}
	return factorOf(s, words[len(words)-1])
}
