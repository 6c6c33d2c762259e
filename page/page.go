// Package page serves the whole job in a browser: a stage for each question,
// the answer in one sentence, then the pictures, the figures and what was
// assumed. Every figure is answer's own. It is served to this machine alone,
// asks nothing of any other, and works without scripts; a small module makes it
// answer while a quantity is changed.
package page

import (
	"embed"
	"errors"
	"html/template"
	"io/fs"
	"net/http"
	"time"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"turnsole/answer"
)

// Options are what a page is made of.
type Options struct {
	Name    string                 // of the rig file, as the person wrote it
	Read    func() ([]byte, error) // reads the rig file anew
	Open    answer.Open            // opens what the rig file names
	Sets    []string               // overrides, as of --set, that hold throughout
	Hosts   []string               // what the browser may call this server, with the port, such as "127.0.0.1:8080"
	Version string                 // of the program, printed on sheets
	Now     func() time.Time
}

//go:embed static templates
var files embed.FS

// server is the page.
type server struct {
	Options
	pages *template.Template
	found *memo
	logs  *shelf
}

// New returns the page as a handler. It holds answers in memory, so that one
// question is worked out once; whoever leaves takes his work with him.
func New(o Options) (http.Handler, error) {
	if o.Read == nil || o.Open == nil || o.Now == nil || len(o.Hosts) == 0 {
		return nil, errors.New("page: Read, Open, Now and Hosts are needed")
	}
	pages, err := template.New("").Funcs(words).ParseFS(files, "templates/*.html")
	if err != nil {
		return nil, err
	}
	s := &server{Options: o, pages: pages, found: newMemo(mostKept), logs: newShelf(mostLogs)}
	return s.guard(s.routes()), nil
}

func (s *server) routes() http.Handler {
	mux := http.NewServeMux()
	static, _ := fs.Sub(files, "static") // it is embedded
	mux.Handle("GET /static/{file}", http.StripPrefix("/static/", http.FileServerFS(static)))
	mux.Handle("GET /static/go.ttf", font(goregular.TTF))
	mux.Handle("GET /static/go-bold.ttf", font(gobold.TTF))
	mux.HandleFunc("GET /{$}", s.first)
	mux.HandleFunc("GET /{stage}", s.stage)
	mux.HandleFunc("GET /{stage}/{file}", s.file)
	mux.HandleFunc("POST /prove", s.takeLog)
	return mux
}

// font serves a face of the letters that drawings are measured in.
func font(ttf []byte) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "font/ttf")
		w.Header().Set("Cache-Control", "max-age=86400")
		_, _ = w.Write(ttf)
	})
}

func (s *server) first(w http.ResponseWriter, r *http.Request) {
	http.Redirect(w, r, withQuery("/"+stages[0].name, r.URL.Query()), http.StatusSeeOther)
}
