package rigfile

import (
	"fmt"
	"path/filepath"
	"strings"
	"unicode"
)

// Read reads a rig file. Name is used in messages and for a rig without a name
// of its own. Each of sets overrides or adds one key, such as "stand.tilt=55",
// "spot.NAME.latitude=50" or "load.NAME.power=2 W"; where there is one spot its
// name may be left out.
//
// The error is of type Problems and tells all that is wrong.
func Read(name string, src []byte, sets []string) (*Rig, error) {
	d := &draft{file: name, rig: &Rig{file: name, places: map[string]where{}, written: map[string]string{}}}
	root, bad := parse(src)
	if bad != nil {
		bad.File, bad.Severity = name, Error
		return nil, Problems{*bad}
	}
	for _, s := range sets {
		d.override(root, s)
	}
	if len(root.names) == 0 && len(d.problems) == 0 {
		d.problem("", where{}, "the file is empty; the least that it needs is a [spot] and a [panel] (turnsole new writes one)")
	} else {
		d.fill(sections(), &scope{"", root})
	}
	if len(d.problems) > 0 {
		return nil, inOrder(d.problems)
	}
	if d.rig.Name == "" {
		d.rig.Name = strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
	}
	return d.rig, nil
}

// override lays one --set over the tree.
func (d *draft) override(root *table, s string) {
	at := where{set: s}
	path, value, found := strings.Cut(s, "=")
	steps := splitPath(strings.TrimSpace(path))
	if !found || len(steps) == 0 || strings.TrimSpace(value) == "" {
		d.problem("", at, "must be key=value, such as stand.tilt=55")
		return
	}
	last := len(steps) - 1
	t, bad := reach(root, steps[:last], at)
	if bad == "" {
		if old := t.nodes[steps[last]]; old != nil && (old.sort == isTable || old.sort == isList && old.tables()) {
			bad = "is a section; name a key in it"
		}
	}
	if bad != "" {
		d.problem(path, at, "%s", bad)
		return
	}
	n := written(strings.TrimSpace(value))
	n.setPlace(at)
	t.put(steps[last], at, n)
}

// reach goes down a path of sections and makes those that are missing; bad
// says why there is no way.
func reach(t *table, steps []string, at where) (end *table, bad string) {
	for len(steps) > 0 {
		n, used := t.nodes[steps[0]], 0
		switch {
		case n == nil:
			n = &node{at: at, sort: isTable, table: newTable(at)}
			t.put(steps[0], at, n)
		case n.sort == isList && n.tables():
			var err error
			if n, used, err = n.choose(steps[0], steps[1:]); err != nil {
				return nil, err.Error()
			}
		case n.sort != isTable:
			return nil, steps[0] + " is a key, not a section"
		}
		t, steps = n.table, steps[1+used:]
		if len(steps) > 0 && used == 0 && t.nodes["name"] != nil && t.nodes[steps[0]] == nil && t.label(0) == steps[0] {
			steps = steps[1:] // a lone section may be called by its name
		}
	}
	return t, ""
}

// choose finds one of several sections by its name or number; used is how
// many steps of the path that took.
func (n *node) choose(section string, steps []string) (found *node, used int, err error) {
	var labels []string
	for i, item := range n.list {
		label := item.table.label(i)
		if len(steps) > 0 && label == steps[0] {
			return item, 1, nil
		}
		labels = append(labels, section+"."+label)
	}
	if len(n.list) == 1 {
		return n.list[0], 0, nil
	}
	return nil, 0, fmt.Errorf("there are several; write one of %s", strings.Join(labels, ", "))
}

// splitPath cuts a path at its dots; a step in double quotes may hold dots.
func splitPath(path string) (steps []string) {
	quoted := false
	step := ""
	for _, r := range path {
		switch {
		case r == '"':
			quoted = !quoted
		case r == '.' && !quoted:
			steps = append(steps, step)
			step = ""
		case unicode.IsControl(r):
			return nil
		default:
			step += string(r)
		}
	}
	steps = append(steps, step)
	for _, s := range steps {
		if s == "" {
			return nil
		}
	}
	return steps
}
