package rigfile

import (
	_ "embed"
	"fmt"
	"strings"

	"turnsole/weather"
)

// Example is a rig file that comes with the program.
type Example struct {
	Name  string // one word
	Title string // what it is, in one line
	TOML  string
}

var (
	//go:embed examples/hut.toml
	hut string
	//go:embed examples/mast.toml
	mast string
	//go:embed examples/surf.toml
	surf string
)

// Examples returns the rigs that come with the program. All are invented.
func Examples() []Example {
	return []Example{
		{"hut", "a lambing hut on a hillside in mid-Wales", hut},
		{"mast", "a weather mast on a school roof at 6 degrees south", mast},
		{"surf", "a surf club's beach stand at 45 degrees south", surf},
	}
}

// Template returns a rig file to start from. The keys that are required are
// live, with figures to be replaced; all others are commented out and show
// their defaults.
func Template() []byte {
	var b strings.Builder
	b.WriteString(fold("# ", "A rig file. Lines that begin with # are remarks. A key behind #, without a blank between, is left out: take the # away to use it. Replace the figures of the live keys by your own.") + "\n")
	writeSection(&b, sections(), "", true)
	return []byte(b.String())
}

// writeSection writes one section; what lies in a section that is commented
// out is commented out too.
func writeSection(b *strings.Builder, sec *section, path string, live bool) {
	live = live && sec.number != many && sec.number != optional
	if path != "" {
		header := "[" + path + "]"
		if sec.number == many {
			header = "[" + header + "]"
		}
		b.WriteString("\n" + fold("# ", sec.doc) + unless(live && !sec.later, "#") + header + "\n")
	}
	if sec.later {
		return // its keys are told elsewhere
	}
	for i := range sec.keys {
		k := &sec.keys[i]
		used := live && (k.must || k.name == "format")
		line := fmt.Sprintf("%s%s = %s", unless(used, "#"), k.name, k.shown())
		if remark := k.describe(used); len(line) <= 31 && len(remark) <= 46 {
			fmt.Fprintf(b, "%-31s # %s\n", line, remark)
		} else {
			b.WriteString(fold("# ", remark) + line + "\n")
		}
	}
	for i := range sec.inner {
		writeSection(b, &sec.inner[i], join(path, sec.inner[i].name), live)
	}
}

func unless(condition bool, s string) string {
	if condition {
		return ""
	}
	return s
}

// shown is the value that stands for a key in the template: its default, or an
// example where it has none.
func (k *key) shown() string {
	if k.usual != "" {
		return k.usual
	}
	return k.example
}

// describe says what a key is: its choices where they are words, and what it
// means to leave it out unless the default says so.
func (k *key) describe(used bool) string {
	s := k.doc
	if strings.HasPrefix(k.takes, "one of") {
		s += ": " + k.takes
	}
	if !used && k.usual == "" && k.why != "" {
		s += "; left out: " + k.why
	}
	return s
}

// fold breaks text into lines of at most 80 columns, each behind a prefix.
func fold(prefix, text string) string {
	var b strings.Builder
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len(prefix)+len(line)+1+len(word) > 80 {
			b.WriteString(prefix + line + "\n")
			line = ""
		}
		line = strings.TrimPrefix(line+" "+word, " ")
	}
	return b.String() + prefix + line + "\n"
}

// Document returns the description of the rig file in Markdown.
func Document() string {
	var b strings.Builder
	b.WriteString("## The rig file\n\nA quantity is text with its unit, such as `\"80 W\"`; terms add up, such as `\"5 ft 3 in\"`. ")
	b.WriteString("A number alone is in the unit named first. Units, as they may be written:\n\n")
	for _, d := range dimensions() {
		fmt.Fprintf(&b, "- %s: %s\n", strings.TrimPrefix(strings.TrimPrefix(d.name, "a "), "an "), unitNames([]dimension{d}))
	}
	b.WriteString("\nAny key can be overridden with `--set`, such as `--set stand.tilt=55`; where there are several of a section, `--set spot.NAME.latitude=50`.\n")
	documentSection(&b, sections(), "")
	b.WriteString("\n## Weather files\n\n" + weather.Document())
	return b.String()
}

func documentSection(b *strings.Builder, sec *section, path string) {
	title := "Above the first section"
	if path != "" {
		title = "`[" + path + "]`"
	}
	if sec.number == many {
		title = "`[[" + path + "]]`"
	}
	if sec.number == oneOrMany {
		title += " or `[[" + path + "]]`"
	}
	fmt.Fprintf(b, "\n### %s\n\n%s\n", title, sec.doc)
	if sec.later {
		return
	}
	b.WriteString("\n| key | meaning | takes | left out |\n|---|---|---|---|\n")
	for i := range sec.keys {
		k := &sec.keys[i]
		fmt.Fprintf(b, "| `%s` | %s | %s | %s |\n", k.name, cell(k.doc), cell(k.takes), cell(k.leftOut()))
	}
	for i := range sec.inner {
		documentSection(b, &sec.inner[i], join(path, sec.inner[i].name))
	}
}

// leftOut says what it means that a key is absent.
func (k *key) leftOut() string {
	switch {
	case k.must:
		return "refused: it is required"
	case k.usual == "":
		return k.why
	case k.why == "":
		return "`" + k.usual + "`"
	}
	return "`" + k.usual + "`: " + k.why
}

// cell makes text safe inside a Markdown table.
func cell(s string) string { return strings.ReplaceAll(s, "|", `\|`) }
