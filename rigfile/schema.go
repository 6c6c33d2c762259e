package rigfile

import (
	"slices"
	"strconv"
	"strings"
)

// section is one [section] of the rig file: what may stand in it and where it
// goes. The table of all sections is in keys.go; reading, the commented
// template and the documents are all made from it.
type section struct {
	name   string // "" for the keys above the first section
	doc    string
	number number
	must   bool
	later  bool                     // filled at the end, with no defaults of its own
	begin  func(d *draft)           // makes room for one more
	keys   []key                    // in the order in which they are filled
	inner  []section                // sections inside
	end    func(d *draft, s *scope) // joins keys that belong together, where all are sound
}

// number says how often a section may stand in the file.
type number int

const (
	one       number = iota // [name]
	oneOrMany               // [name], or [[name]] with a name in each
	optional                // [name], with no defaults where it is absent
	many                    // [[name]], any number or none
)

// key is one key of a section.
type key struct {
	name, doc      string
	takes, example string
	must           bool
	usual          string // default as written in the file, "" where there is none or it is worked out
	rule           func(d *draft) (usual string)
	why            string // the reason of the default, or what its absence means
	part           string // of the job, whose answers alone rest on the default
	take           func(d *draft, n *node) *amiss
}

// at says that a key of some kind goes into a field of the draft.
func at[T any](name string, takes kind[T], field func(d *draft) *T, doc string) key {
	return key{name: name, doc: doc, takes: takes.takes, example: takes.example,
		take: func(d *draft, n *node) *amiss {
			v, bad := takes.read(n)
			if bad == nil {
				*field(d) = v
			}
			return bad
		}}
}

// required marks a key that has no default.
func (k key) required() key { k.must = true; return k }

// or gives the default, as it would be written in the file, and its reason.
func (k key) or(usual, why string) key { k.usual, k.why = usual, why; return k }

// orBy gives a rule for the default, and says what it is.
func (k key) orBy(rule func(d *draft) string, why string) key { k.rule, k.why = rule, why; return k }

// only says that answers about one part of the job alone rest on the default.
func (k key) only(part string) key { k.part = part; return k }

// orNone says what it means that the key is absent.
func (k key) orNone(why string) key { k.why = why; return k }

// scope is one table of the file while its section is filled.
type scope struct {
	path  string // "spot", or "spot.hut" where there are several
	table *table
}

// has reports whether the file itself gives a key.
func (s *scope) has(name string) bool { return s.table.nodes[name] != nil }

// hasAny reports whether the file gives one of some keys.
func (s *scope) hasAny(names ...string) bool { return slices.ContainsFunc(names, s.has) }

// of returns the path of a key in the scope.
func (s *scope) of(name string) string { return join(s.path, name) }

func join(path, name string) string {
	if path == "" || name == "" {
		return path + name
	}
	return path + "." + name
}

// fill fills the draft from one table of a section.
func (d *draft) fill(sec *section, s *scope) {
	before := len(d.problems)
	if sec.begin != nil {
		sec.begin(d)
	}
	d.refuseUnknown(sec, s)
	for i := range sec.keys {
		d.fillKey(sec, &sec.keys[i], s)
	}
	for i := range sec.inner {
		d.fillSection(&sec.inner[i], s)
	}
	if sec.end != nil && len(d.problems) == before {
		sec.end(d, s)
	}
}

// fillKey takes one key from the file, or its default.
func (d *draft) fillKey(sec *section, k *key, s *scope) {
	n := s.table.nodes[k.name]
	if n != nil {
		d.rig.places[s.of(k.name)] = n.at
		if bad := k.take(d, n); bad != nil {
			d.wrong(s.of(k.name), bad, k.example)
		}
		d.rig.note(s.of(k.name), n)
		return
	}
	usual := k.usual
	switch {
	case k.must:
		d.problem(s.of(k.name), s.table.at, "is missing; write for example %s = %s", k.name, k.example)
		return
	case sec.later:
		return
	case k.rule != nil:
		usual = k.rule(d)
	}
	if usual == "" {
		return
	}
	n = written(usual)
	if bad := k.take(d, n); bad != nil {
		d.wrong(s.of(k.name), bad, k.example)
		return
	}
	d.rig.note(s.of(k.name), n)
	if k.why != "" {
		d.rig.Assumed = append(d.rig.Assumed, Assumed{Key: s.of(k.name), Value: strings.Trim(usual, `"`), Why: k.why, For: k.part})
	}
}

// written gives the node of a value as it would stand in the file; text where
// it is no TOML.
func written(value string) *node {
	if t, bad := parse([]byte("x = " + value + "\n")); bad == nil && len(t.names) == 1 && t.nodes["x"] != nil {
		n := t.nodes["x"]
		n.setPlace(where{})
		return n
	}
	return &node{sort: isText, text: value, raw: `"` + short(value) + `"`}
}

// setPlace gives a node and all in it one place.
func (n *node) setPlace(at where) {
	n.at = at
	for _, one := range n.list {
		one.setPlace(at)
	}
	if n.table != nil {
		n.table.at = at
		for name, one := range n.table.nodes {
			n.table.keys[name] = at
			one.setPlace(at)
		}
	}
}

// fillSection finds the tables of a section inside a table and fills each.
func (d *draft) fillSection(sec *section, outer *scope) {
	path, n := outer.of(sec.name), outer.table.nodes[sec.name]
	switch {
	case sec.later: // the sections that it leans on come first
	case n == nil && sec.must:
		d.problem(path, where{}, "there is no [%s] section; the least that it needs is %s", path, sec.least())
	case n == nil && sec.number == one:
		d.fill(sec, &scope{path, newTable(where{})}) // all defaults
	case n == nil: // optional
	case n.sort == isTable && sec.number != many:
		d.fill(sec, &scope{path, n.table})
	case n.sort == isList && (sec.number == oneOrMany || sec.number == many) && n.tables():
		d.fillEach(sec, path, n)
	case sec.number == many:
		d.problem(path, n.at, "each one begins with [[%s]] in double brackets on a line of its own, its keys below", path)
	default:
		d.problem(path, n.at, "is not a section: it begins with [%s] on a line of its own, its keys below", path)
	}
}

// tables reports whether a list holds sections only, at least one.
func (n *node) tables() bool {
	for _, one := range n.list {
		if one.sort != isTable {
			return false
		}
	}
	return len(n.list) > 0
}

// fillEach fills every one of several [[sections]].
func (d *draft) fillEach(sec *section, path string, n *node) {
	seen := map[string]bool{}
	for i, item := range n.list {
		inner := &scope{join(path, item.table.label(i)), item.table}
		switch name := item.table.label(i); {
		case sec.number == oneOrMany && len(n.list) == 1:
			inner.path = path
		case sec.number == oneOrMany && !inner.has("name"):
			d.problem(path, item.at, "there are several: each needs a name, such as name = \"%s %d\"", sec.name, i+1)
		case seen[name]:
			d.problem(inner.of("name"), item.table.keys["name"], "%q is the name of another [[%s]] already", name, path)
		default:
			seen[name] = true
		}
		d.fill(sec, inner)
	}
}

// label returns the name that a table of several goes by: its own, or its
// number counted from 1.
func (t *table) label(i int) string {
	if n := t.nodes["name"]; n != nil && n.sort == isText {
		return short(n.text)
	}
	return strconv.Itoa(i + 1)
}

// least writes the least that a section needs.
func (sec *section) least() string {
	var all []string
	for _, k := range sec.keys {
		if k.must {
			all = append(all, k.name+" = "+k.example)
		}
	}
	return strings.Join(all, ", ")
}
