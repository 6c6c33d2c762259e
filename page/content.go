package page

import (
	"encoding/csv"
	"html/template"
	"io"
	"regexp"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/rigfile"
)

// content is what a stage shows, in the order in which it is shown.
type content struct {
	Sentence string   // the answer
	More     []string // sentences that belong to it
	Partial  string   // what is not yet worked out; "" where all is
	Figures  []figure
	Warnings []string
	Pictures []picture
	Findings []string
	Tables   []table
	Steps    []string // to be done in this order
	Cautions []string
	Sheets   []sheetLink
	Assumed  []rigfile.Assumed
}

// endOfSentence is a full stop with a new sentence behind it.
var endOfSentence = regexp.MustCompile(`[.] [A-Z]`)

// First is the answer's first sentence, Then what it says beyond it.
func (c *content) First() string {
	if at := endOfSentence.FindStringIndex(c.Sentence); at != nil {
		return c.Sentence[:at[0]+1]
	}
	return c.Sentence
}

// Then is the rest of the answer.
func (c *content) Then() string { return strings.TrimSpace(strings.TrimPrefix(c.Sentence, c.First())) }

// figure is one of the sentence's figures.
type figure struct {
	Name, Unit string
	Value      float64
	Digits     int
	Text       string // "" for the value with its digits
	Saved      *saved // what it is by the rig file, where that differs
}

// saved is a figure of the rig file as it is on disk.
type saved struct{ Text, Change string }

// Shown is the figure as it is written.
func (f figure) Shown() string {
	if f.Text != "" {
		return f.Text
	}
	return decimals(f.Value, f.Digits)
}

// besides sets each figure beside that of the rig file as it is on disk.
func (c *content) besides(other *content) {
	for i := range c.Figures {
		f := &c.Figures[i]
		for _, o := range other.Figures {
			if o.Name != f.Name || o.Shown() == f.Shown() {
				continue
			}
			f.Saved = &saved{Text: o.Shown()}
			if by := answer.Signed(f.Value-o.Value, f.Digits); known(o.Value) && known(f.Value) && strings.ContainsAny(by, "+-") {
				f.Saved.Change = by // one that rounds to nothing is not told
			}
		}
	}
}

// picture is drawn twice: for a page, and for a hand's breadth.
type picture struct {
	Name, Title  string
	Wide, Narrow *chart.Picture
	About        string // in place of what the drawing says of itself
	Named        bool   // the drawing bears its title itself
	Told         bool   // and says itself what it shows
}

// The sizes of pictures, mm. A hand's breadth is what a phone shows without
// making letters smaller.
const (
	wideMM, narrowMM = 180, 92
	flatMM, tallMM   = 105, 92
)

func drawn(name, title string, draw func(wide, high float64) *chart.Picture) picture {
	return picture{Name: name, Title: title, Wide: draw(wideMM, flatMM), Narrow: draw(narrowMM, tallMM)}
}

// told is a picture of a trial, which bears its title and its words itself.
func told(name, title string, draw func(wide, high float64) *chart.Picture) picture {
	p := drawn(name, title, draw)
	p.Named, p.Told = true, true
	return p
}

// Caption says what the picture shows.
func (p picture) Caption() string {
	words := p.About
	if words == "" {
		words = p.Wide.Description
	}
	if words == "" || p.Told {
		return ""
	}
	return strings.ToUpper(words[:1]) + strings.TrimSuffix(words[1:], ".") + "."
}

// Half reports whether two such stand side by side.
func (p picture) Half() bool { return p.Wide.Width < 0.7*wideMM }

// Broad reports whether it has to be moved sideways on a phone.
func (p picture) Broad() bool { return p.Narrow.Width > narrowMM }

// SVG is the picture inside the page: its words are escaped by chart.
func (p picture) SVG() (template.HTML, error)   { return inline(p.Wide) }
func (p picture) Small() (template.HTML, error) { return inline(p.Narrow) }

func inline(p *chart.Picture) (template.HTML, error) {
	var b strings.Builder
	err := p.SVG(&b)
	return template.HTML(b.String()), err
}

// table is figures in rows. Heads has one row or two; the first column names the
// row.
type table struct {
	Name, Title string
	Heads       [][]string
	Rows        [][]string
	Notes       []string
	Words       bool // all columns are words
}

// Columns are the heads, two rows of them made one.
func (t table) Columns() []string {
	all := make([]string, len(t.Heads[0]))
	for i := range all {
		var parts []string
		for _, head := range t.Heads {
			if head[i] != "" {
				parts = append(parts, head[i])
			}
		}
		all[i] = strings.Join(parts, " ")
	}
	return all
}

// CSV writes the table for a spreadsheet.
func (t table) CSV(w io.Writer) error {
	out := csv.NewWriter(w)
	if err := out.Write(t.Columns()); err != nil {
		return err
	}
	for _, row := range t.Rows {
		safe := make([]string, len(row))
		for i, cell := range row {
			safe[i] = inert(cell)
		}
		if err := out.Write(safe); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// inert keeps a spreadsheet from taking a text for a formula. A sign before a
// figure is none.
func inert(cell string) string {
	if cell == "" || !strings.ContainsRune("=+-@\t\r", rune(cell[0])) || strings.Trim(cell, "+-0123456789.,…% ") == "" {
		return cell
	}
	return "'" + cell
}

// sheetLink is a sheet that can be printed.
type sheetLink struct{ Kind, Title string }
