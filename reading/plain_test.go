package reading

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// everything reads a log to its end: what was kept, and what was refused.
func everything(t testing.TB, next func(*Reading) error) (kept []Reading, refused []string) {
	t.Helper()
	for {
		var row Reading
		err := next(&row)
		var wrong *RowError
		switch {
		case err == nil:
			kept = append(kept, row)
		case errors.As(err, &wrong):
			refused = append(refused, err.Error())
		case err == io.EOF:
			return kept, refused
		default:
			t.Fatal(err)
		}
	}
}

// same reports whether two readings are equal; what is unknown in both is.
func same(a, b Reading) bool {
	for s := atUptime; s <= tilt; s++ {
		if s == atSetup {
			continue
		}
		x, y := a.field(s), b.field(s)
		if *x != *y && !(math.IsNaN(*x) && math.IsNaN(*y)) {
			return false
		}
		*x, *y = 0, 0
	}
	if math.IsNaN(a.UnixS) && math.IsNaN(b.UnixS) {
		a.UnixS, b.UnixS = 0, 0
	}
	return a == b
}

func instant(text string) float64 {
	at, err := time.Parse(time.RFC3339Nano, text)
	if err != nil {
		panic(err) // a mistake of the test's
	}
	return float64(at.UnixMilli()) / 1000
}

func TestPlainLog(t *testing.T) {
	const log = `# a remark
time,boot,uptime_s,setup,panel_a,panel_v,cell_a,still_a,battery_v,battery_a,heading_deg,tilt_deg,look,pair,event,mood

2026-06-01T12:00:00Z,2,15.5,north meadow,4.21,17.9,0.31,3.3,13.1,-0.5,181.5,40,aimed,7,,fine
 2026-06-01 14:00:10.25+02:00 , , ,"a ""b"", c",-0.01,,,,,,,,,,"moved, notched",
2026-06-01T12:00:20Z,,,,NaN,,,,,,,,,,note
`
	r, err := NewReader(strings.NewReader(log))
	if err != nil {
		t.Fatal(err)
	}
	kept, refused := everything(t, r.Next)
	full := Reading{UnixS: instant("2026-06-01T12:00:00Z"), Boot: 2, UptimeS: 15.5, Setup: "north meadow", PanelA: 4.21, PanelV: 17.9,
		CellA: 0.31, StillA: 3.3, BatteryV: 13.1, BatteryA: -0.5, HeadingDeg: 181.5, TiltDeg: 40, Look: AimedLook, Pair: 7}
	sparse := Empty()
	sparse.UnixS, sparse.Setup, sparse.PanelA, sparse.Event = instant("2026-06-01T12:00:10.25Z"), `a "b", c`, -0.01, "moved, notched"
	if !slices.EqualFunc(kept, []Reading{full, sparse}, same) {
		t.Errorf("%+v", kept)
	}
	if want := []string{"line 6: 15 fields where the others have 16: the line was cut off"}; !slices.Equal(refused, want) {
		t.Errorf("refused %q", refused)
	}
	if !slices.Equal(r.Columns(), PlainColumns()) || !slices.Equal(r.Others(), []string{"mood"}) {
		t.Errorf("columns %v, others %v", r.Columns(), r.Others())
	}
}

func TestRowsRefused(t *testing.T) {
	for row, want := range map[string]string{
		"2026-06-01T12:00:00,1,":           "does not say by which clock",
		"2026-06-31T12:00:00Z,1,":          "is not a time such as",
		"yesterday,1,":                     "column time",
		",1,":                              "no time",
		"2026-06-01T12:00:00Z,,":           "no measure",
		"2026-06-01T12:00:00Z,1e,":         `column panel_a: "1e" is not a number`,
		"2026-06-01T12:00:00Z,1;5,":        "is not a number",
		"2026-06-01T12:00:00Z,2340,":       "-100 to 1000 A are possible",
		"2026-06-01T12:00:00Z,1,inf":       "column heading_deg",
		"2026-06-01T12:00:00Z,1,5000":      "degrees are possible",
		"1970-01-01T00:00:09Z,1,":          "clock was not set",
		"2185-01-01T00:00:09Z,1,":          "before 2100",
		"2026-06-01T12:00:00Z,1":           "cut off",
		"2026-06-01T12:00:00Z,1,2,3":       "comma too many",
		"2026-06-01T12:00:00Z,1,\x00\x00":  "power failed",
		"\x00\x00\x00":                     "power failed",
		"2026-06-01T12:00:00Z,\"1,2":       "quotation mark",
		strings.Repeat("9", mostLine+1):    "longer than",
		strings.Repeat("9", 2*bufferSize):  "longer than",
		"2026-06-01T12:00:00Z,1_0,":        "is not a number",
		"2026-06-01T12:00:00Z,0x10,":       "is not a number",
		"2026-06-01T12:00:00Z,1e999,":      "is not a number",
		"2026-06-01T12:00:00Z,,note\n,,,x": "column heading_deg",
	} {
		r, err := NewReader(strings.NewReader("time,panel_a,heading_deg\n" + row + "\n2026-06-01T12:00:01Z,1,\n"))
		if err != nil {
			t.Fatal(err)
		}
		kept, refused := everything(t, r.Next)
		if len(kept) != 1 || len(refused) == 0 || !strings.Contains(refused[0], want) || !strings.HasPrefix(refused[0], "line 2") {
			t.Errorf("%.40q: kept %d, refused %q; want one of each and %q", row, len(kept), refused, want)
		}
	}
}

func TestLogsRefused(t *testing.T) {
	for text, want := range map[string]string{
		"":                        "empty",
		"# only a remark\n\n":     "empty",
		"panel_a,heading_deg\n":   "no time",
		"time,heading_deg\n":      "no measure",
		"time,time,panel_a\n":     `"time" twice`,
		"time,\"panel_a\n":        "quotation mark",
		"t\x00me,panel_a\n":       "not text",
		"PK\x03\x04":              "save the table as CSV",
		"\xff\xfet\x00i\x00":      "UTF-16",
		"2026-06-01T12:00:00Z,1,": "no time",
	} {
		_, err := NewReader(strings.NewReader(text))
		var wrong *LogError
		if !errors.As(err, &wrong) || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v; want %q", text, err, want)
		}
	}
}

// TestHeadingsAgain: a controller that writes its heading at each power-up, even
// another one after a change of its program, is read on.
func TestHeadingsAgain(t *testing.T) {
	r, err := NewReader(strings.NewReader("\xef\xbb\xbftime,panel_a\r\n2026-06-01T12:00:00Z,1\r\ntime,panel_a\r\n2026-06-01T12:01:00Z,2\r\npanel_v,time,panel_a\r\n17,2026-06-01T12:02:00Z,3\r\n"))
	if err != nil {
		t.Fatal(err)
	}
	kept, refused := everything(t, r.Next)
	if len(kept) != 3 || len(refused) > 0 || kept[2].PanelA != 3 || kept[2].PanelV != 17 {
		t.Errorf("%v, %v", kept, refused)
	}
}

// anyReading draws a reading that a plain log can hold: times to the
// millisecond, texts on one line.
func anyReading(t *rapid.T) Reading {
	r := Empty()
	figure := func(least, most float64, into *float64) {
		if rapid.Bool().Draw(t, "has") {
			*into = rapid.Float64Range(least, most).Draw(t, "figure")
			if rapid.Bool().Draw(t, "short") {
				*into = math.Round(*into*1000) / 1000
			}
		}
	}
	text := func() string {
		return strings.TrimSpace(rapid.StringOfN(rapid.RuneFrom([]rune(`ab ,"#;é-'0`)), 0, 8, -1).Draw(t, "text"))
	}
	r.UnixS = float64(rapid.Int64Range(earliest*1000, latest*1000-1).Draw(t, "ms")) / 1000
	figure(0, 1e9, &r.UptimeS)
	r.PanelA = 0
	figure(-100, 1000, &r.PanelA)
	for _, into := range []*float64{&r.CellA, &r.StillA} {
		figure(-100, 1000, into)
	}
	for _, into := range []*float64{&r.PanelV, &r.BatteryV} {
		figure(-50, 1000, into)
	}
	figure(-1000, 1000, &r.BatteryA)
	figure(-1080, 1080, &r.HeadingDeg)
	figure(-90, 180, &r.TiltDeg)
	r.Boot, r.Pair = rapid.IntRange(0, 999999999).Draw(t, "boot"), rapid.IntRange(0, 999999999).Draw(t, "pair")
	r.Look = Look(rapid.IntRange(0, int(HighLook)).Draw(t, "look"))
	r.Setup, r.Event = text(), text()
	return r
}

// TestWrittenIsRead: what a Writer writes, in any order of columns, a Reader
// gives back to the bit.
func TestWrittenIsRead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		wrote := rapid.SliceOfN(rapid.Custom(anyReading), 0, 5).Draw(t, "rows")
		columns := rapid.Permutation(PlainColumns()).Draw(t, "columns")
		var text bytes.Buffer
		w, err := NewWriter(&text, columns)
		if err != nil {
			t.Fatal(err)
		}
		for i := range wrote {
			if err := w.Write(&wrote[i]); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Flush(); err != nil {
			t.Fatal(err)
		}
		r, err := NewReader(&text)
		if err != nil {
			t.Fatal(err)
		}
		for i := range wrote {
			var got Reading
			if err := r.Next(&got); err != nil {
				t.Fatal(err)
			}
			if !same(wrote[i], got) {
				t.Fatalf("wrote %+v\nread %+v", wrote[i], got)
			}
		}
		if err := r.Next(new(Reading)); err != io.EOF {
			t.Fatalf("after the last row: %v", err)
		}
	})
}

func TestWriterRefuses(t *testing.T) {
	for want, columns := range map[string][]string{
		"no column": {"time", "panel_a", "amps"}, "twice": {"time", "panel_a", "time"}, "no time": {"panel_a"}, "no measure": {"time", "event"},
	} {
		if _, err := NewWriter(io.Discard, columns); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v: %v; want %q", columns, err, want)
		}
	}
	w, err := NewWriter(io.Discard, []string{"time", "panel_a"})
	if err != nil {
		t.Fatal(err)
	}
	for name, change := range map[string]func(*Reading){
		"no time": func(r *Reading) { r.UnixS = math.NaN() }, "no measure": func(r *Reading) { r.PanelA = math.NaN() },
		"endless": func(r *Reading) { r.PanelA = math.Inf(1) }, "long ago": func(r *Reading) { r.UnixS = 1 },
	} {
		r := Empty()
		r.UnixS, r.PanelA = earliest, 1
		change(&r)
		if w.Write(&r) == nil {
			t.Errorf("%s is written", name)
		}
	}
}

func FuzzPlain(f *testing.F) {
	f.Add([]byte("time,panel_a\n2026-06-01T12:00:00Z,1\n"))
	f.Add([]byte("boot,uptime_s,panel_a,event\n1,0.5,-1e-3,\"a,\"\"b\"\n#\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := NewReader(bytes.NewReader(text))
		if err != nil {
			return
		}
		w, err := NewWriter(io.Discard, PlainColumns())
		if err != nil {
			t.Fatal(err)
		}
		for {
			var row Reading
			err := r.Next(&row)
			var wrong *RowError
			var log *LogError
			switch {
			case err == io.EOF, errors.As(err, &log):
				return
			case err == nil: // what is kept can be written
				if err := w.Write(&row); err != nil {
					t.Fatalf("%+v: %v", row, err)
				}
			case !errors.As(err, &wrong) || wrong.Line < 2 || wrong.Why == "":
				t.Fatal(err)
			}
		}
	})
}

// dayLog is a log of n seconds with the columns that a rig usually has.
func dayLog(n int) []byte {
	var b bytes.Buffer
	b.WriteString("time,boot,uptime_s,setup,panel_a,panel_v,battery_v,heading_deg,tilt_deg,look,pair,event\n")
	start := time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
	for i := range n {
		fmt.Fprintf(&b, "%s,1,%d,1,%.3f,%.2f,%.2f,%.1f,40,,,\n", start.Add(time.Duration(i)*time.Second).Format(time.RFC3339), i,
			2+2*math.Sin(float64(i)/5000), 17+math.Sin(float64(i)/777), 13.2, float64(i%3600)/10)
	}
	return b.Bytes()
}

func BenchmarkRead(b *testing.B) {
	const rows = 20000
	text := dayLog(rows)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		r, err := NewReader(bytes.NewReader(text))
		if err != nil {
			b.Fatal(err)
		}
		var row Reading
		for r.Next(&row) == nil {
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/rows, "ns/row")
}

func BenchmarkWrite(b *testing.B) {
	const rows = 20000
	r, err := NewReader(bytes.NewReader(dayLog(rows)))
	if err != nil {
		b.Fatal(err)
	}
	kept, _ := everything(b, r.Next)
	b.ReportAllocs()
	for b.Loop() {
		w, err := NewWriter(io.Discard, r.Columns())
		if err != nil {
			b.Fatal(err)
		}
		for i := range kept {
			if err := w.Write(&kept[i]); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/rows, "ns/row")
}
