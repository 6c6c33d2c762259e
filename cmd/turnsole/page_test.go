package main

import (
	"bytes"
	"context"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"turnsole/page"
	"turnsole/rigfile"
)

func rigOnDisk(t *testing.T, toml string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "rig.toml")
	if err := os.WriteFile(path, []byte(toml), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestPageHasTheCommandsDigits looks every figure that a command prints up on
// its page.
func TestPageHasTheCommandsDigits(t *testing.T) {
	const few = "weather.years=2"
	for _, e := range rigfile.Examples() {
		path := rigOnDisk(t, e.TOML)
		h, err := page.New(page.Options{Name: path, Read: func() ([]byte, error) { return os.ReadFile(path) }, Open: besideRig(path), Sets: []string{few}, Hosts: []string{"example.com"}, Now: time.Now})
		if err != nil {
			t.Fatal(err)
		}
		for stage, commands := range map[string][]string{"worth": {"worth"}, "stand": {"stand", "notches"}, "drive": {"drive", "wire"}} {
			w := httptest.NewRecorder()
			h.ServeHTTP(w, httptest.NewRequest("GET", "/"+stage+"?full=1", nil))
			shown := figuresOf(visible(w.Body.String()))
			for _, name := range commands {
				var out, errOut bytes.Buffer
				args := []string{name, path, "--set", few}
				if spots := spotsOf(t, e.TOML); len(spots) > 1 && name == "worth" { // which else tells of all
					args = append(args, "--spot", spots[0])
				}
				if code := run(t.Context(), args, &out, &errOut); code != exitDone {
					t.Fatalf("%s: %d %s", name, code, errOut.String())
				}
				text, _, _ := strings.Cut(out.String(), "\nAssumed,")
				text = scale.ReplaceAllString(text, "")
				for figure := range figuresOf(text) {
					if !shown[figure] {
						t.Errorf("%s: %s prints %s, which is not on the page's stage %s", e.Name, name, figure, stage)
					}
				}
			}
		}
	}
}

// A log that is handed in is told as the command tells it, in the same figures.
func TestPageReadsALog(t *testing.T) {
	const host = "127.0.0.1:8080"
	rows, _ := newSite(t, trialRig).rows(150, 7)
	log := logged(t, rows)
	path := rigOnDisk(t, trialRig)
	h, err := page.New(page.Options{Name: path, Read: func() ([]byte, error) { return os.ReadFile(path) }, Open: besideRig(path), Hosts: []string{host}, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	raw, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	part, _ := form.CreateFormFile("log", "log.csv")
	_, _ = part.Write(raw)
	form.Close()
	post := httptest.NewRequest("POST", "http://"+host+"/prove", &body)
	post.Header.Set("Content-Type", form.FormDataContentType())
	post.Header.Set("Origin", "http://"+host)
	taken := httptest.NewRecorder()
	h.ServeHTTP(taken, post)
	shown := httptest.NewRecorder()
	h.ServeHTTP(shown, httptest.NewRequest("GET", "http://"+host+taken.Header().Get("Location"), nil))
	var out, errOut bytes.Buffer
	if code := run(t.Context(), []string{"trial", "result", path, log}, &out, &errOut); code != exitDone {
		t.Fatal(code, errOut.String())
	}
	text, _, _ := strings.Cut(out.String(), "\nAssumed,")
	text = strings.ReplaceAll(text, filepath.Dir(log), "")
	figures := figuresOf(visible(shown.Body.String()))
	for figure := range figuresOf(text) {
		if !figures[figure] {
			t.Errorf("trial result prints %s, which is not on the page", figure)
		}
	}
	if got := strings.Count(shown.Body.String(), "<figure"); got != 4 || len(figuresOf(text)) < 50 {
		t.Errorf("%d pictures, %d figures", got, len(figuresOf(text)))
	}
}

var (
	aTag    = regexp.MustCompile(`<[^>]*>`)
	scale   = regexp.MustCompile(`█ is \S+`) // of the small bars, which the page does not have
	aFigure = regexp.MustCompile(`[-+]?\d[\d.]*`)
)

func spotsOf(t *testing.T, toml string) (names []string) {
	t.Helper()
	rig, err := rigfile.Read("rig.toml", []byte(toml), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range rig.Spots {
		names = append(names, s.Name)
	}
	return names
}

// visible is what stands between the tags.
func visible(html string) string {
	return strings.NewReplacer("&#39;", "'", "&#43;", "+", "&#34;", `"`).Replace(aTag.ReplaceAllString(html, " "))
}

func figuresOf(text string) map[string]bool {
	all := map[string]bool{}
	for _, f := range aFigure.FindAllString(text, -1) {
		all[strings.TrimRight(f, ".")] = true
	}
	return all
}

// lines hands over what is written as it comes.
type lines struct {
	sync.Mutex
	bytes.Buffer
}

func (l *lines) Write(b []byte) (int, error) {
	l.Lock()
	defer l.Unlock()
	return l.Buffer.Write(b)
}

func (l *lines) text() string {
	l.Lock()
	defer l.Unlock()
	return l.String()
}

func TestPageIsServedAndStopped(t *testing.T) {
	path := rigOnDisk(t, rigfile.Examples()[0].TOML)
	ctx, interrupt := context.WithCancel(t.Context())
	var out, errOut lines
	code := make(chan int, 1)
	go func() { code <- run(ctx, []string{"page", path}, &out, &errOut) }()
	deadline := time.Now().Add(10 * time.Second)
	for !strings.Contains(out.text(), "\n") && time.Now().Before(deadline) {
		time.Sleep(5 * time.Millisecond)
	}
	address, _, _ := strings.Cut(out.text(), "\n")
	answer, err := http.Get(address + "/spot")
	if err != nil {
		t.Fatal(err, errOut.text())
	}
	body, _ := io.ReadAll(answer.Body)
	answer.Body.Close()
	if answer.StatusCode != 200 || !bytes.Contains(body, []byte("lambing hut")) {
		t.Error(answer.StatusCode)
	}
	slow := make(chan error, 1) // a long question under way does not keep it
	go func() {
		r, err := http.Get(address + "/worth?full=1")
		if err == nil {
			r.Body.Close()
		}
		slow <- err
	}()
	time.Sleep(100 * time.Millisecond)
	interrupt()
	select {
	case got := <-code:
		if got != exitDone {
			t.Error(got, errOut.text())
		}
	case <-time.After(5 * time.Second):
		t.Fatal("it does not stop")
	}
	<-slow
}

func TestPageThatCannotBeServed(t *testing.T) {
	path := rigOnDisk(t, rigfile.Examples()[0].TOML)
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	_, port, _ := net.SplitHostPort(taken.Addr().String())
	for _, c := range []struct {
		args []string
		code int
		says string
	}{
		{[]string{"page", path, "--port", port}, exitMachine, "port " + port + " cannot be had"},
		{[]string{"page", path + "x"}, exitBadInput, "there is no such file"},
		{[]string{"page", path, "--port", "70000"}, exitBadInput, "--port 70000"},
		{[]string{"page", path, "--set", "stand.tilt=steep"}, exitBadInput, "stand.tilt"},
		{[]string{"page"}, exitBadInput, "file"},
	} {
		var out, errOut bytes.Buffer
		if code := run(t.Context(), c.args, &out, &errOut); code != c.code || !strings.Contains(errOut.String(), c.says) || out.Len() > 0 {
			t.Errorf("%v: %d %q %q", c.args, code, out.String(), errOut.String())
		}
	}
}
