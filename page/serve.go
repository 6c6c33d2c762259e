package page

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"turnsole/answer"
	"turnsole/rigfile"
)

// contentOf is what a stage shows, its figures beside those of the file.
func (a *asker) contentOf(st *stage, first bool) (*content, error) {
	c, err := a.stageContent(st, first)
	if err != nil || len(a.sets) == 0 {
		return c, err
	}
	file, err := a.with(nil)
	if err != nil {
		return c, nil // there is nothing to compare with
	}
	saved, err := file.stageContent(st, first)
	if err != nil {
		return c, a.ctx.Err()
	}
	beside := *c
	beside.Figures = slices.Clone(c.Figures)
	beside.besides(saved)
	return &beside, nil
}

func contentName(st *stage, first bool) string { return fmt.Sprint("content ", st.name, first) }

func (a *asker) stageContent(st *stage, first bool) (*content, error) {
	return ask(a, contentName(st, first), func(ctx context.Context) (*content, error) {
		inner := *a
		inner.ctx = ctx
		return st.content(&inner, first)
	})
}

// ready reports whether all of a stage is worked out already.
func (a *asker) ready(st *stage) bool {
	_, ready := a.found.has(a.base + "\x00" + contentName(st, false))
	return ready
}

// stage serves a whole stage, or the part of it that a change renews.
func (s *server) stage(w http.ResponseWriter, r *http.Request) {
	st := stageNamed(r.PathValue("stage"))
	if st == nil {
		http.NotFound(w, r)
		return
	}
	q := r.URL.Query()
	if submitted(q) {
		s.settle(w, r, st, q)
		return
	}
	v, status := s.look(r.Context(), st, q)
	if r.Context().Err() != nil {
		return // whoever asked has gone
	}
	name := map[string]string{"answer": "answer", "stage": "stage"}[q.Get("part")]
	if name == "" {
		name = "page"
	}
	s.write(w, status, name, v)
}

func (s *server) write(w http.ResponseWriter, status int, name string, v *view) {
	var page bytes.Buffer
	if err := s.pages.ExecuteTemplate(&page, name+".html", v); err != nil {
		http.Error(w, "this page could not be written: "+err.Error(), http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = page.WriteTo(w)
}

// look works out what a stage shows.
func (s *server) look(ctx context.Context, st *stage, q url.Values) (v *view, status int) {
	a, err := s.asked(ctx, q)
	v = &view{Stage: st, File: s.Name, asker: a, query: kept(q)}
	if err != nil {
		v.blame(err)
		return v, statusOf(err)
	}
	v.Fields = a.fields(st)
	first := st.slow && (q.Get("first") != "" || q.Get("part") != "answer" && q.Get("full") == "" && !a.ready(st))
	if v.Content, err = a.contentOf(st, first); err != nil {
		v.blame(err)
		return v, statusOf(err)
	}
	return v, http.StatusOK
}

// statusOf tells a mistake that the person can mend from a failure of the
// machine.
func statusOf(err error) int {
	var problems rigfile.Problems
	var input *answer.BadInput
	if errors.As(err, &problems) || errors.As(err, &input) {
		return http.StatusUnprocessableEntity
	}
	return http.StatusInternalServerError
}

// submitted reports whether a form without the script was sent: its fields are
// named as keys, with a dot in them.
func submitted(q url.Values) bool {
	for name := range q {
		if strings.Contains(name, ".") {
			return true
		}
	}
	return false
}

// settle turns a form's fields into overrides, for those that were changed.
func (s *server) settle(w http.ResponseWriter, r *http.Request, st *stage, q url.Values) {
	saved, err := s.asked(r.Context(), url.Values{"spot": q["spot"]})
	if err != nil {
		http.Redirect(w, r, "/"+st.name, http.StatusSeeOther)
		return
	}
	to := kept(q)
	sets := slices.DeleteFunc(slices.Clone(q["set"]), func(set string) bool {
		key, _, _ := strings.Cut(set, "=")
		return q.Has(key)
	})
	for _, key := range saved.paths(st) {
		if value := strings.TrimSpace(q.Get(key)); value != "" && value != saved.rig.Written(key) {
			sets = append(sets, key+"="+value)
		}
	}
	to["set"] = sets
	if len(sets) == 0 {
		to.Del("set")
	}
	http.Redirect(w, r, withQuery("/"+st.name, to), http.StatusSeeOther)
}

// kept is what of a query goes on from stage to stage.
func kept(q url.Values) url.Values {
	out := url.Values{}
	for _, name := range []string{"set", "spot", "day", "log"} {
		if len(q[name]) > 0 && q.Get(name) != "" {
			out[name] = q[name]
		}
	}
	return out
}

// takeLog takes a log in and leads to what it says.
func (s *server) takeLog(w http.ResponseWriter, r *http.Request) {
	q := kept(r.URL.Query())
	name, raw, err := readLog(w, r)
	if err != nil {
		st := stageNamed("prove")
		v, _ := s.look(r.Context(), st, url.Values{"spot": q["spot"], "set": q["set"], "first": {"1"}})
		v.LogError = err.Error()
		s.write(w, http.StatusUnprocessableEntity, "page", v)
		return
	}
	q.Set("log", s.logs.put(logName(name), raw))
	http.Redirect(w, r, withQuery("/prove", q), http.StatusSeeOther)
}

// readLog reads the file that was handed in, without keeping any of it on disk.
func readLog(w http.ResponseWriter, r *http.Request) (name string, raw []byte, err error) {
	r.Body = http.MaxBytesReader(w, r.Body, biggestLog+1<<16)
	parts, err := r.MultipartReader()
	if err != nil {
		return "", nil, errors.New("no log came: choose a file first")
	}
	for {
		part, err := parts.NextPart()
		if err != nil {
			return "", nil, tooBig(err, "no log came: choose a file first")
		}
		if part.FormName() != "log" {
			continue
		}
		raw, err := io.ReadAll(part)
		switch {
		case err != nil:
			return "", nil, tooBig(err, "the log did not come whole: hand it in again")
		case len(bytes.TrimSpace(raw)) == 0:
			return "", nil, errors.New("the log is empty, or no file was chosen")
		}
		return part.FileName(), raw, nil
	}
}

func tooBig(err error, otherwise string) error {
	var big *http.MaxBytesError
	if errors.As(err, &big) {
		return fmt.Errorf("this log is larger than %d MB, the most that a page takes; turnsole trial result takes any", biggestLog>>20)
	}
	return errors.New(otherwise)
}
