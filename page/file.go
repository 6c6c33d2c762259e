package page

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	"turnsole/answer"
	"turnsole/sheet"
)

// file serves one picture, table or sheet of a stage to be kept.
func (s *server) file(w http.ResponseWriter, r *http.Request) {
	st := stageNamed(r.PathValue("stage"))
	name, kind, found := strings.Cut(r.PathValue("file"), ".")
	if st == nil || !found {
		http.NotFound(w, r)
		return
	}
	a, err := s.asked(r.Context(), r.URL.Query())
	var out bytes.Buffer
	if err == nil {
		err = a.make(&out, st, name, kind, r.URL.Query().Get("first") != "")
	}
	var none *missing
	switch {
	case r.Context().Err() != nil:
	case errors.As(err, &none):
		http.NotFound(w, r)
	case err != nil:
		http.Error(w, err.Error(), statusOf(err))
	default:
		w.Header().Set("Content-Type", map[string]string{"svg": "image/svg+xml", "csv": "text/csv; charset=utf-8", "pdf": "application/pdf"}[kind])
		w.Header().Set("Content-Disposition", fmt.Sprintf(`attachment; filename="turnsole-%s-%s.%s"`, st.name, name, kind))
		_, _ = out.WriteTo(w)
	}
}

// missing is what there is none of.
type missing struct{ what string }

func (m *missing) Error() string { return "there is no " + m.what }

func (a *asker) make(out *bytes.Buffer, st *stage, name, kind string, first bool) error {
	if kind == "pdf" {
		return a.sheet(out, name)
	}
	c, err := a.stageContent(st, first && st.slow)
	if err != nil {
		return err
	}
	for _, p := range c.Pictures {
		if kind == "svg" && p.Name == name {
			return p.Wide.SVG(out)
		}
	}
	for _, t := range c.Tables {
		if kind == "csv" && t.Name == name {
			return t.CSV(out)
		}
	}
	return &missing{name + "." + kind}
}

// sheets are what can be printed, in the order in which all of them are.
var sheets = []struct {
	kind string
	add  func(a *asker, doc *sheet.Document) error
}{
	{"buy", func(a *asker, doc *sheet.Document) error {
		s, err := answer.ListShopping(a.rig, a.spot)
		return added(s, err, doc.Buy)
	}},
	{"cuts", func(a *asker, doc *sheet.Document) error {
		c, err := answer.ListCuts(a.rig, a.spot)
		return added(c, err, doc.Cuts)
	}},
	{"template", func(a *asker, doc *sheet.Document) error {
		c, err := answer.ListCuts(a.rig, a.spot)
		return added(c, err, doc.Template)
	}},
	{"wiring", func(a *asker, doc *sheet.Document) error {
		w, err := answer.SizeWires(a.rig)
		return added(w, err, doc.Wiring)
	}},
	{"settings", func(a *asker, doc *sheet.Document) error {
		s, err := answer.ListSettings(a.rig, a.spot)
		return added(s, err, doc.Settings)
	}},
	{"first-power", func(a *asker, doc *sheet.Document) error {
		f, err := answer.PlanFirstPower(a.rig, a.spot)
		return added(f, err, doc.FirstPower)
	}},
	{"setup", (*asker).setupSheet},
	{"season", func(a *asker, doc *sheet.Document) error {
		n, err := a.notches()
		if err != nil {
			return err
		}
		s, err := a.stand()
		return added(n, err, func(n *answer.Notches) { doc.Season(n, s) })
	}},
	{"trial", func(a *asker, doc *sheet.Document) error { p, err := a.plan(); return added(p, err, doc.Trial) }},
	{"result", func(a *asker, doc *sheet.Document) error { r, err := a.result(); return added(r, err, doc.Result) }},
}

// added hands an answer to the sheet that shows it.
func added[T any](found T, err error, add func(T)) error {
	if err == nil {
		add(found)
	}
	return err
}

func (a *asker) setupSheet(doc *sheet.Document) error {
	n, err := a.notches()
	if err != nil {
		return err
	}
	s, err := answer.SetUp(answer.SetupQuestion{Rig: a.rig, Spot: a.spot, Dates: []time.Time{a.day}, Season: n})
	return added(s, err, doc.Setup)
}

// sheet prints one sheet, or all that need no trial.
func (a *asker) sheet(out *bytes.Buffer, kind string) error {
	printed, err := ask(a, "sheet "+kind, func(ctx context.Context) ([]byte, error) {
		inner := *a
		inner.ctx = ctx
		doc := sheet.New(sheet.Options{Made: a.Now(), Version: a.Version})
		found := false
		for _, k := range sheets {
			if k.kind != kind && (kind != "all" || k.kind == "trial" || k.kind == "result") {
				continue
			}
			found = true
			if err := k.add(&inner, doc); err != nil {
				return nil, err
			}
		}
		if !found {
			return nil, &missing{"sheet " + kind}
		}
		var pdf bytes.Buffer
		err := doc.Write(&pdf)
		return pdf.Bytes(), err
	})
	out.Write(printed)
	return err
}
