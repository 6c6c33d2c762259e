package rigfile

import (
	"regexp"
	"strings"
)

// Key is what is known of one key of the rig file.
type Key struct {
	Path    string   // as asked for
	Meaning string   // what it is
	Takes   string   // what may be written there
	Choices []string // the words that it takes, where it takes one of a few
	LeftOut string   // what it means that the file has none
	Must    bool     // the file has to give it
}

var quotedWord = regexp.MustCompile(`"([^"]+)"`)

// KeyAt finds a key by its path, such as "stand.tilt"; the name or number of one
// of several sections may stand in it, as in "load.lamp.power".
func KeyAt(path string) (Key, bool) {
	steps := splitPath(path)
	if len(steps) == 0 {
		return Key{}, false
	}
	last := len(steps) - 1
	sec := sections()
	for i, step := range steps[:last] {
		if in := sec.within(step); in != nil {
			sec = in
		} else if i == 0 || sec.number != many && sec.number != oneOrMany {
			return Key{}, false
		}
	}
	for i := range sec.keys {
		if sec.keys[i].name == steps[last] {
			return sec.keys[i].known(path), true
		}
	}
	return Key{}, false
}

// within finds a section inside.
func (sec *section) within(name string) *section {
	for i := range sec.inner {
		if sec.inner[i].name == name {
			return &sec.inner[i]
		}
	}
	return nil
}

func (k *key) known(path string) Key {
	out := Key{Path: path, Meaning: k.doc, Takes: k.takes, LeftOut: strings.ReplaceAll(k.leftOut(), "`", ""), Must: k.must}
	switch {
	case strings.HasPrefix(k.takes, "one of "):
		for _, m := range quotedWord.FindAllStringSubmatch(k.takes, -1) {
			out.Choices = append(out.Choices, m[1])
		}
	case k.takes == "true or false":
		out.Choices = []string{"true", "false"}
	}
	return out
}

// Written is what stands at a key: as the file or an override gives it, or else
// its default. It is "" where there is neither, and for lists.
func (r *Rig) Written(key string) string { return r.written[key] }

// note keeps a key's value for Written.
func (r *Rig) note(key string, n *node) {
	switch n.sort {
	case isText, isClock, isDate:
		r.written[key] = n.text
	case isNumber, isTruth:
		r.written[key] = n.raw
	}
}
