package page

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"turnsole/answer"
	"turnsole/rigfile"
)

const host = "127.0.0.1:8080"

// quick makes the years few, so that the tests are.
var quick = []string{"weather.years=2"}

func newPage(t testing.TB, src string) http.Handler {
	t.Helper()
	h, err := New(Options{Name: "my rig.toml", Read: func() ([]byte, error) { return []byte(src), nil }, Sets: quick, Hosts: []string{host}, Version: "0",
		Open: func(path string) (io.ReadCloser, error) { return nil, os.ErrNotExist },
		Now:  func() time.Time { return time.Date(2026, 6, 21, 9, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func example(name string) string {
	for _, e := range rigfile.Examples() {
		if e.Name == name {
			return e.TOML
		}
	}
	return ""
}

func request(h http.Handler, method, path string, body io.Reader, headers ...string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "http://"+host+path, body)
	for i := 0; i+1 < len(headers); i += 2 {
		if headers[i] == "Host" {
			r.Host = headers[i+1]
		} else {
			r.Header.Set(headers[i], headers[i+1])
		}
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

func get(t testing.TB, h http.Handler, path string) string {
	t.Helper()
	w := request(h, "GET", path, nil)
	if w.Code != http.StatusOK {
		t.Fatalf("%s: %d %s", path, w.Code, w.Body)
	}
	return w.Body.String()
}

// wellFormed reads every byte as strict XML and finds no address elsewhere.
func wellFormed(t testing.TB, name, html string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(html))
	ids := map[string]bool{}
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if start, ok := token.(xml.StartElement); ok {
			for _, a := range start.Attr {
				if a.Name.Local == "id" && ids[a.Value] {
					t.Errorf("%s: two elements are called %q", name, a.Value)
				}
				if a.Name.Local == "id" {
					ids[a.Value] = true
				}
				if a.Name.Local == "style" || strings.HasPrefix(a.Name.Local, "on") {
					t.Errorf("%s: <%s %s> which the policy forbids", name, start.Name.Local, a.Name.Local)
				}
			}
		}
	}
	noneElsewhere(t, name, html)
}

var elsewhere = regexp.MustCompile(`(?i)(https?:)?//[a-z0-9]`)

func noneElsewhere(t testing.TB, name, text string) {
	t.Helper()
	text = strings.ReplaceAll(text, `xmlns="http://www.w3.org/2000/svg"`, "") // a name, not an address
	if at := elsewhere.FindStringIndex(text); at != nil {
		t.Errorf("%s leads elsewhere: %q", name, text[max(0, at[0]-40):min(len(text), at[1]+40)])
	}
}

// The two that take longest are asked for the first example only.
func TestEveryStageOfEveryExample(t *testing.T) {
	for i, e := range rigfile.Examples() {
		h := newPage(t, e.TOML)
		for _, st := range stages {
			path := "/" + st.name
			if long := st.name == "aim" || st.name == "prove"; !long || i == 0 && st.name == "aim" && !testing.Short() {
				path += "?full=1"
			}
			html := get(t, h, path)
			wellFormed(t, e.Name+path, html)
			if strings.Count(html, "<h1") != 1 || !strings.Contains(html, `href="#main"`) || !strings.Contains(html, `aria-current="page"`) {
				t.Errorf("%s %s lacks its heading, its skip link or its mark in the way", e.Name, path)
			}
		}
	}
}

func TestFirstFiguresSayWhatTheyAre(t *testing.T) {
	h := newPage(t, example("hut"))
	for _, st := range stages {
		html := get(t, h, "/"+st.name)
		if partial := strings.Contains(html, `class="partial"`); partial != st.slow {
			t.Errorf("%s: partial %v, slow %v", st.name, partial, st.slow)
		}
	}
	get(t, h, "/worth?full=1")
	if html := get(t, h, "/worth"); strings.Contains(html, `class="partial"`) {
		t.Error("what is worked out is not shown at once")
	}
}

func TestFiguresAreTheAnswers(t *testing.T) {
	h := newPage(t, example("hut"))
	rig, err := rigfile.Read("my rig.toml", []byte(example("hut")), append(quick, "stand.tilt=40"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := answer.LookAtStand(rig, "")
	if err != nil {
		t.Fatal(err)
	}
	html := get(t, h, "/stand?set=stand.tilt%3D40")
	for _, one := range s.Settings {
		for _, want := range []string{fmt.Sprintf("<td>%.1f</td>", one.Tilt.Degrees()), "<td>" + metres(one.Lowest.ForecastMS) + "</td>"} {
			if !strings.Contains(html, want) {
				t.Errorf("the stand's %s is not on its page", want)
			}
		}
	}
	w, err := answer.CompareWays(t.Context(), answer.WorthQuestion{Rig: rig, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	html = get(t, h, "/worth?full=1&set=stand.tilt%3D40")
	for _, way := range w.Spots[0].Ways {
		net, light := wh(way.NetWh()/365), wh(way.LightKWhM2)
		row := regexp.MustCompile(`(?s)<th scope="row">` + way.Way + `</th>.*?</tr>`).FindString(html)
		if !strings.Contains(row, "<td>"+net+"</td>") || !strings.Contains(row, "<td>"+light+"</td>") {
			t.Errorf("%s: %s and %s are not in %q", way.Way, net, light, row)
		}
	}
	if !strings.Contains(html, "file: ") || !strings.Contains(html, "changed by") {
		t.Error("the page does not say what the change makes")
	}
}

func TestHostileNames(t *testing.T) {
	evil := `<script>alert(1)</script>"'&amp;`
	src := strings.Replace(example("hut"), `name = "lambing hut"`, "name = '''"+strings.ReplaceAll(evil, "'", "")+"'''", 1)
	src = strings.Replace(src, `name = "lamp"`, `name = "<img src=x onerror=alert(1)>"`, 1)
	h := newPage(t, src)
	for _, path := range []string{"/spot", "/worth", "/stand", "/drive", "/build", "/setup", "/prove", "/stand?set=%3Cscript%3Ealert(1)%3C/script%3E", "/spot?spot=%3Cscript%3E", "/setup?day=%3Cscript%3E"} {
		html := request(h, "GET", path, nil).Body.String()
		wellFormed(t, path, html)
		if strings.Contains(html, "<script>") || strings.Contains(html, "<img") {
			t.Errorf("%s: a name is taken for a part of the page", path)
		}
	}
}

func TestWhoMayAsk(t *testing.T) {
	h := newPage(t, example("hut"))
	for _, c := range []struct {
		name, method, path string
		headers            []string
		want               int
	}{
		{"the person", "GET", "/spot", []string{"Sec-Fetch-Site", "none", "Sec-Fetch-Mode", "navigate"}, 200},
		{"the page", "GET", "/spot", []string{"Sec-Fetch-Site", "same-origin"}, 200},
		{"a tool", "GET", "/spot", nil, 200},
		{"a link elsewhere", "GET", "/spot", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate"}, 200},
		{"a link elsewhere that changes", "GET", "/spot?set=stand.tilt=1", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate"}, 403},
		{"a picture elsewhere", "GET", "/worth", []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "no-cors"}, 403},
		{"another port", "GET", "/worth", []string{"Sec-Fetch-Site", "same-site", "Sec-Fetch-Mode", "cors"}, 403},
		{"another name", "GET", "/spot", []string{"Host", "evil.example"}, 421},
		{"another port's name", "GET", "/spot", []string{"Host", "127.0.0.1:81"}, 421},
		{"a form elsewhere", "POST", "/prove", []string{"Origin", "null"}, 403},
		{"a form of another origin", "POST", "/prove", []string{"Origin", "http://evil.example", "Sec-Fetch-Site", "cross-site"}, 403},
		{"a form that lies", "POST", "/prove", []string{"Origin", "http://evil.example", "Sec-Fetch-Site", "same-origin"}, 403},
		{"a form without an origin", "POST", "/prove", nil, 403},
		{"a form of ours without a file", "POST", "/prove", []string{"Origin", "http://" + host, "Sec-Fetch-Site", "same-origin"}, 422},
	} {
		w := request(h, c.method, c.path, nil, c.headers...)
		if w.Code != c.want {
			t.Errorf("%s: %d, not %d", c.name, w.Code, c.want)
		}
		if got := w.Header().Get("Content-Security-Policy"); got != policy {
			t.Errorf("%s: policy %q", c.name, got)
		}
	}
}

func TestWhatIsWrongIsSaidAtItsField(t *testing.T) {
	h := newPage(t, example("hut"))
	w := request(h, "GET", "/stand?set=stand.tilt%3Dsteep", nil)
	html := w.Body.String()
	wellFormed(t, "wrong", html)
	if w.Code != 422 || !strings.Contains(html, `aria-invalid="true"`) || !strings.Contains(html, `value="steep"`) || !strings.Contains(html, `<li data-key="stand.tilt">`) {
		t.Errorf("%d %s", w.Code, html)
	}
	if w := request(h, "GET", "/stand?set=stand.tiltt%3D4", nil); w.Code != 422 || !strings.Contains(w.Body.String(), "is not known here") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	broken := newPage(t, "[spot]\nlatitude = north\n")
	if w := request(broken, "GET", "/spot", nil); w.Code != 422 || !strings.Contains(w.Body.String(), "my rig.toml:2") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	if w := request(h, "GET", "/nowhere", nil); w.Code != 404 {
		t.Errorf("%d", w.Code)
	}
}

func TestFormWithoutTheScript(t *testing.T) {
	h := newPage(t, example("hut"))
	w := request(h, "GET", "/stand?stand.tilt=40&stand.ballast=40+kg&set=panel.power%3D100+W", nil)
	to, err := url.Parse(w.Header().Get("Location"))
	if err != nil || w.Code != http.StatusSeeOther {
		t.Fatal(w.Code, err)
	}
	if got := to.Query()["set"]; len(got) != 2 || got[0] != "panel.power=100 W" || got[1] != "stand.tilt=40" {
		t.Errorf("leads to %v", got)
	}
}

func TestWhatCanBeKept(t *testing.T) {
	h := newPage(t, example("hut"))
	for path, want := range map[string]string{
		"/spot/sky.svg": "image/svg+xml", "/spot/days.csv": "text/csv; charset=utf-8", "/build/buy.pdf": "application/pdf",
		"/stand/side.svg?first=1": "image/svg+xml", "/drive/wiring.pdf": "application/pdf", "/build/shopping.csv": "text/csv; charset=utf-8",
		"/static/page.css": "text/css; charset=utf-8", "/static/page.js": "text/javascript; charset=utf-8", "/static/go.ttf": "font/ttf",
	} {
		w := request(h, "GET", path, nil)
		if w.Code != 200 || w.Header().Get("Content-Type") != want || w.Body.Len() < 100 {
			t.Errorf("%s: %d %q, %d bytes", path, w.Code, w.Header().Get("Content-Type"), w.Body.Len())
		}
		if !strings.HasSuffix(path, ".ttf") && !strings.HasSuffix(path, ".pdf") {
			noneElsewhere(t, path, w.Body.String())
		}
	}
	for _, path := range []string{"/spot/none.svg", "/spot/none.csv", "/build/none.pdf", "/spot/sky.exe", "/spot/sky", "/none/sky.svg", "/static/none"} {
		if w := request(h, "GET", path, nil); w.Code != 404 {
			t.Errorf("%s: %d", path, w.Code)
		}
	}
}

func upload(t *testing.T, name, log string) (io.Reader, string) {
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	part, err := form.CreateFormFile("log", name)
	if err == nil {
		_, err = io.WriteString(part, log)
	}
	if err == nil {
		err = form.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return &body, form.FormDataContentType()
}

func handIn(t *testing.T, h http.Handler, name, log string) *httptest.ResponseRecorder {
	body, kind := upload(t, name, log)
	w := request(h, "POST", "/prove", body, "Content-Type", kind, "Origin", "http://"+host, "Sec-Fetch-Site", "same-origin")
	if w.Code == http.StatusSeeOther {
		return request(h, "GET", w.Header().Get("Location"), nil)
	}
	return w
}

func TestLogsThatSayNothing(t *testing.T) {
	h := newPage(t, example("hut"))
	for log, want := range map[string]string{
		"":                               "the log is empty",
		"<script>alert(1)</script>\n1\n": "log.csv",
		"time,panel_a\n2026-06-21T10:00:00Z,1.2\n2026-06-21T10:01:00Z,1.3\n": "look",
	} {
		w := handIn(t, h, "../../log.csv", log)
		wellFormed(t, "a log", w.Body.String())
		if w.Code >= 500 || !strings.Contains(w.Body.String(), want) || strings.Contains(w.Body.String(), "<script>") {
			t.Errorf("%q: %d %s", log, w.Code, w.Body)
		}
	}
	if w := request(h, "GET", "/prove?log=gone", nil); w.Code != 422 || !strings.Contains(w.Body.String(), "hand it in again") {
		t.Errorf("%d", w.Code)
	}
	if w := handIn(t, h, "big.csv", strings.Repeat("x", biggestLog+1<<17)); w.Code != 422 || !strings.Contains(w.Body.String(), "larger than 32 MB") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
}

func TestSpreadsheetsTakeNoFormulas(t *testing.T) {
	tab := table{Heads: [][]string{{"name"}}, Rows: [][]string{{"=1+1"}, {"@x"}, {"+1.5"}, {"-3…+4"}, {"-cmd"}}}
	var b strings.Builder
	if err := tab.CSV(&b); err != nil {
		t.Fatal(err)
	}
	if got, want := b.String(), "name\n'=1+1\n'@x\n+1.5\n-3…+4\n'-cmd\n"; got != want {
		t.Errorf("%q, not %q", got, want)
	}
	if tab.Rows[0][0] != "=1+1" {
		t.Error("the table itself was changed")
	}
}

// The first figures of a changed tilt, which follow the slider.
func BenchmarkFirstWorth(b *testing.B) {
	h := newPage(b, example("hut"))
	for i := 0; b.Loop(); i++ {
		get(b, h, fmt.Sprintf("/worth?part=answer&first=1&set=stand.tilt%%3D%g", 30+float64(i%4000)/100))
	}
}
