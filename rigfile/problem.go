package rigfile

import (
	"fmt"
	"slices"
	"strings"
)

// Severities of a Problem.
const (
	Error   = "error"   // the file cannot be used
	Warning = "warning" // the file reads, but what it says is odd
)

// Problem is one thing that is wrong with a rig file.
type Problem struct {
	File string // name of the file, as given to Read
	Set  string // the argument of --set that is at fault, "" for the file itself

	Line, Column int // counted from 1; 0 where it concerns something that is not there

	Key      string // path of the key, such as "panel.power"; "" for the file as a whole
	Severity string // Error or Warning
	Text     string // what is wrong and what would be right
}

// Error gives the problem in the form file:line:column: key: text.
func (p Problem) Error() string {
	s := ""
	switch {
	case p.Set != "":
		s = "--set " + short(p.Set) + ": "
	case p.Line > 0:
		s = fmt.Sprintf("%s:%d:%d: ", p.File, p.Line, p.Column)
	case p.File != "":
		s = p.File + ": "
	}
	if p.Key != "" {
		s += p.Key + ": "
	}
	return s + p.Text
}

// Problems are all that was found wrong, in the order of the file.
type Problems []Problem

// most is how many problems are told at once.
const most = 20

// Error gives one problem a line.
func (ps Problems) Error() string {
	var lines []string
	for i, p := range ps {
		if i == most {
			lines = append(lines, fmt.Sprintf("and %d more", len(ps)-most))
			break
		}
		lines = append(lines, p.Error())
	}
	return strings.Join(lines, "\n")
}

// problem notes an error.
func (d *draft) problem(key string, at where, form string, args ...any) {
	d.problems = append(d.problems, Problem{
		File: d.file, Set: at.set, Line: at.line, Column: at.column,
		Key: key, Severity: Error, Text: fmt.Sprintf(form, args...),
	})
}

// wrong notes that a value is not what its key takes.
func (d *draft) wrong(key string, bad *amiss, example string) {
	d.problem(key, bad.n.at, "%s %s; write for example %s", bad.n.written(), bad.text, example)
}

// written shows a value as it stands in the file.
func (n *node) written() string {
	switch {
	case n.sort == isList:
		return "the list"
	case n.sort == isTable:
		return "the section"
	case n.raw != "":
		return n.raw
	}
	return "the value"
}

// clash notes that keys do not go together; the place is that of the first
// that the file gives.
func (d *draft) clash(s *scope, keys []string, form string, args ...any) {
	at := s.table.at
	key := s.of(keys[0])
	for _, k := range keys {
		if n := s.table.nodes[k]; n != nil {
			at, key = n.at, s.of(k)
			break
		}
	}
	d.problem(key, at, form, args...)
}

// inOrder sorts problems by their place, those without one last.
func inOrder(ps Problems) Problems {
	place := func(p Problem) int {
		if p.Line == 0 {
			return 1 << 30
		}
		return p.Line<<10 + min(p.Column, 1<<10-1)
	}
	slices.SortStableFunc(ps, func(a, b Problem) int { return place(a) - place(b) })
	return ps
}

// refuseUnknown notes every key of a table that its section does not know.
func (d *draft) refuseUnknown(sec *section, s *scope) {
	known := map[string]bool{}
	var names []string
	for _, k := range sec.keys {
		names = append(names, k.name)
	}
	for _, in := range sec.inner {
		names = append(names, in.name)
	}
	for _, name := range names {
		known[name] = true
	}
	for _, name := range s.table.names {
		if !known[name] {
			d.problem(s.of(short(name)), s.table.keys[name], "is not known here%s", suggestion(name, names))
		}
	}
}

// suggestion says which known key was likely meant, or lists them all.
func suggestion(name string, names []string) string {
	if hint := meant(name, names); hint != "" {
		return hint
	}
	if homes := homesOf(name); len(homes) > 0 {
		return "; perhaps " + strings.Join(homes, " or ") + " is meant"
	}
	return "; known are " + strings.Join(names, ", ")
}

// meant says which of some words was likely meant, or nothing.
func meant(word string, known []string) string {
	best, least := "", 1+len(word)/3
	for _, k := range known {
		if n := distance(strings.ToLower(word), k); n <= least && len(word) <= 40 {
			best, least = k, n-1
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf("; perhaps %q is meant", best)
}

// distance counts the letters to put in, take out or change to make b of a
// (Levenshtein 1966).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		left := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := left
			if a[i] != b[j] {
				change++
			}
			left = row[j+1]
			row[j+1] = min(change, left+1, row[j]+1)
		}
	}
	return row[len(b)]
}

// homesOf returns the paths of the sections' keys that have a name.
func homesOf(name string) (paths []string) {
	for _, sec := range sections().inner {
		for _, k := range sec.keys {
			if k.name == name {
				paths = append(paths, join(sec.name, name))
			}
		}
		if sec.name == name {
			paths = append(paths, "["+name+"]")
		}
	}
	return paths
}
