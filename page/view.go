package page

import (
	"errors"
	"html/template"
	"net/url"
	"strings"

	"turnsole/chart"
	"turnsole/rigfile"
)

// view is what the templates are filled from.
type view struct {
	*asker
	Stage    *stage
	File     string // the rig file's name
	Fields   []field
	Content  *content
	Problems []problem
	LogError string
	query    url.Values
}

// problem is something that is wrong, and the key that it is wrong with.
type problem struct{ Key, Text string }

// words are the few functions that the templates need.
var words = template.FuncMap{"add": func(a, b int) int { return a + b }}

// blame tells what is wrong: beside the field where the page shows one, or above
// all.
func (v *view) blame(err error) {
	var problems rigfile.Problems
	if !errors.As(err, &problems) {
		v.Problems = append(v.Problems, problem{"", strings.TrimPrefix(err.Error(), "turnsole: ")})
		return
	}
	if file, err := v.with(nil); err == nil { // the file is sound, what was changed is not
		v.asker = file
		v.Fields = file.fields(v.Stage)
	}
	for _, p := range problems {
		if !v.atField(p) {
			v.Problems = append(v.Problems, problem{p.Key, strings.Replace(p.Error(), "--set ", "", 1)})
		}
	}
}

func (v *view) atField(p rigfile.Problem) bool {
	for i := range v.Fields {
		f := &v.Fields[i]
		key, value, _ := strings.Cut(p.Set, "=")
		if f.Path == p.Key || p.Set != "" && f.Path == key {
			if key == f.Path {
				f.Value = value
			}
			f.Error = p.Text
			return true
		}
	}
	return false
}

// FieldProblems are those that stand beside a field.
func (v *view) FieldProblems() (all []problem) {
	for _, f := range v.Fields {
		if f.Error != "" {
			all = append(all, problem{f.Path, f.Error})
		}
	}
	return all
}

// Stages are all of them, for the way through the job.
func (v *view) Stages() []stageLink {
	var all []stageLink
	for i, st := range stages {
		all = append(all, stageLink{i + 1, st.title, v.Link(st.name), st.name == v.Stage.name})
	}
	return all
}

type stageLink struct {
	Number int
	Title  string
	Link   string
	Here   bool
}

// What the templates ask of a stage.
func (st *stage) Name() string     { return st.name }
func (st *stage) Title() string    { return st.title }
func (st *stage) Question() string { return st.question }
func (st *stage) Slow() bool       { return st.slow }

// Link is the address of a stage or a file with all that was changed.
func (v *view) Link(path string) string { return withQuery("/"+path, v.query) }

// Here is a file of the stage.
func (v *view) Here(file string) string {
	q := url.Values{}
	for name, values := range v.query {
		q[name] = values
	}
	if v.Content != nil && v.Content.Partial != "" {
		q.Set("first", "1")
	}
	return withQuery("/"+v.Stage.name+"/"+file, q)
}

// Full is the stage with everything worked out, for those without the script.
func (v *view) Full() string {
	q := url.Values{"full": {"1"}}
	for name, values := range v.query {
		q[name] = values
	}
	return withQuery("/"+v.Stage.name, q)
}

// Plain is the stage as the file has it.
func (v *view) Plain() string {
	q := url.Values{}
	for name, values := range v.query {
		if name != "set" {
			q[name] = values
		}
	}
	return withQuery("/"+v.Stage.name, q)
}

// Sets are the changes, and Others those that are not on this stage's form.
func (v *view) Sets() []string { return v.query["set"] }
func (v *view) Others() (all []string) {
	for _, set := range v.Sets() {
		key, _, _ := strings.Cut(set, "=")
		here := false
		for _, f := range v.Fields {
			here = here || f.Path == key
		}
		if !here {
			all = append(all, set)
		}
	}
	return all
}

// RigName is the rig's, or the file's where that cannot be read.
func (v *view) RigName() string {
	if v.rig == nil {
		return v.File
	}
	return v.rig.Name
}

// Spots are the names of the spots, where there are several.
func (v *view) Spots() (names []string) {
	if v.rig == nil || len(v.rig.Spots) < 2 {
		return nil
	}
	for _, s := range v.rig.Spots {
		names = append(names, s.Name)
	}
	return names
}

// Spot is the name of the spot, Day the day, Log the log that is asked about.
func (v *view) Spot() string { return v.spot }
func (v *view) Day() string  { return v.day.Format("2006-01-02") }
func (v *view) Log() string  { return v.log }

// Where is the spot's place, for the title block.
func (v *view) Where() string {
	if v.rig == nil {
		return ""
	}
	for _, s := range v.rig.Spots {
		if s.Name == v.spot {
			return sided(s.Latitude, "N", "S") + ", " + sided(s.Longitude, "E", "W")
		}
	}
	return ""
}

// Number is the stage's own, and Count how many there are.
func (v *view) Number() int {
	for i := range stages {
		if stages[i].name == v.Stage.name {
			return i + 1
		}
	}
	return 0
}
func (v *view) Count() int { return len(stages) }

// Licence is that of the letters.
func (v *view) Licence() string { return chart.FontLicence() }
