package reading

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"
)

// TestGuess: logs as people have them. What is wanted is the first row as the
// plain log has it, and a word from the notes.
func TestGuess(t *testing.T) {
	noon := "2026-06-25T12:00:00Z"
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		log    string
		wishes []string
		want   func(*Reading)
		note   string
	}{
		"plain names in milliamperes": {log: "time,panel_a (mA)\n" + noon + ",19.6\n" + noon + ",2350\n", want: func(r *Reading) { r.PanelA = 0.0196 }},
		"semicolons and commas": {log: "Zeile 1;\nDate Time;PV current [mA];Battery Voltage (V);Heading\n25.06.2026 14:00;2340,5;13,1;181\n26.06.2026 14:00;2340,5;13,1;181\n",
			want: func(r *Reading) { r.PanelA, r.BatteryV, r.HeadingDeg = 2.3405, 13.1, 181 }, note: "day first"},
		"month first": {log: "when,I_pv\n06/25/2026 02:00:00 PM,2.5\n06/26/2026 02:00:00 PM,2.5\n", want: func(r *Reading) { r.PanelA = 2.5 }, note: "month first"},
		"day first by its run": {log: "date,time,Ipv,Vbat\n01/06/2026,14:00:00,2.5,13\n02/06/2026,14:00:00,2.5,13\n03/06/2026,14:00:00,2.5,13\n",
			want: func(r *Reading) { r.UnixS, r.PanelA, r.BatteryV = instant("2026-06-01T12:00:00Z"), 2.5, 13 }, note: "day by day"},
		"tabs and seconds":  {log: "unixtime\tsolar amps\tsolar volts\tload amps\n1782388800\t2.5\t17\t1\n1782388860\t2.5\t17\t1\n", want: func(r *Reading) { r.PanelA, r.PanelV = 2.5, 17 }, note: "seconds since 1970"},
		"milliseconds":      {log: "ts;panelCurrent mA\n1782388800000;2500\n1782388801000;2500\n", want: func(r *Reading) { r.PanelA = 2.5 }, note: "milliseconds"},
		"blanks, headless":  {log: "2026-06-25 14:00:00 2.5 181\n2026-06-25 14:01:00 2.5 181\n", wishes: []string{"date=#1", "clock=#2", "panel_a=#3", "heading_deg=#4"}, want: func(r *Reading) { r.PanelA, r.HeadingDeg = 2.5, 181 }, note: "no headings"},
		"a row of units":    {log: "stamp,panel current,panel voltage\n,mA,V\n2026-06-25T12:00:00Z,2500,17\n2026-06-25T12:01:00Z,2500,17\n", want: func(r *Reading) { r.PanelA, r.PanelV = 2.5, 17 }},
		"no clock":          {log: "boot,millis,I\n3,1500,2.5\n3,2500,2.5\n", want: func(r *Reading) { r.UnixS, r.Boot, r.UptimeS, r.PanelA = math.NaN(), 3, 1.5, 2.5 }, note: "taken for the panel's current"},
		"a person's word":   {log: "t,x\n25.06.2026 14:00,2500\n25.06.2026 14:01,2500\n", wishes: []string{"panel_a=x:mA", "time=t"}, want: func(r *Reading) { r.PanelA = 2.5 }},
		"names of months":   {log: "time,panel A,still panel A,ref cell mA\n25-Jun-2026 14:00,2.5,2,31\n25-Jun-2026 14:01,2.5,2,31\n", want: func(r *Reading) { r.PanelA, r.StillA, r.CellA = 2.5, 2, 0.031 }},
		"remarks and blank": {log: "# made\n\nlogger 7\n\ntime,panel_a,note\n25.06.2026 14:00,2.5,\"moved, again\"\n25.06.2026 14:01,2.5,\n", want: func(r *Reading) { r.PanelA, r.Event = 2.5, "moved, again" }},
	} {
		t.Run(name, func(t *testing.T) {
			var wishes []Wish
			for _, text := range c.wishes {
				w, err := ParseWish(text)
				if err != nil {
					t.Fatal(err)
				}
				wishes = append(wishes, w)
			}
			m, notes, needsZone, err := Guess([]byte(c.log), wishes)
			if err != nil {
				t.Fatal(err)
			}
			if needsZone {
				m.Zone = berlin
			}
			r, err := m.Reader(strings.NewReader(c.log))
			if err != nil {
				t.Fatal(err)
			}
			kept, refused := everything(t, r.Next)
			want := Empty()
			want.UnixS = instant(noon)
			c.want(&want)
			if len(refused) > 0 || len(kept) < 2 || !same(kept[0], want) {
				t.Errorf("%+v\nkept %+v\nrefused %v", m, kept, refused)
			}
			if !strings.Contains(strings.Join(notes, "\n"), c.note) {
				t.Errorf("%q is not among the notes %q", c.note, notes)
			}
		})
	}
}

func TestGuessRefuses(t *testing.T) {
	for log, want := range map[string]string{
		"":     "empty",
		"hm\n": "no row of a table",
		"time,temperature\n2026-06-25T12:00:00Z,20\n":            `"temperature"`,
		"panel_a,battery_v\n1,13\n":                              "--column \"time=HEADING\"",
		"time,panel_a\n":                                         "no rows",
		"when,panel_a\n03/06/2026 12:00,1\n03/06/2026 13:00,1\n": "day-first",
		"clock,panel_a\n12:00:00,1\n12:01:00,1\n":                "which column has the date",
		"voltage,time\n13,2026-06-25T12:00:00Z\n":                "panel_v or battery_v",
	} {
		_, _, _, err := Guess([]byte(log), nil)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v; want %q", log, err, want)
		}
	}
	for text, want := range map[string]string{
		"panel_a": "NAME=HEADING", "watts=P": `"watts"`, "panel_a=I:kg": "A, mA", "event=note:s": "it has none",
	} {
		if _, err := ParseWish(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v; want %q", text, err, want)
		}
	}
	for _, w := range []Wish{{Name: "panel_a", Heading: "#9"}, {Name: "panel_a", Heading: "amps"}} {
		if _, _, _, err := Guess([]byte("time,x\n2026-06-25T12:00:00Z,20\n"), []Wish{w}); err == nil {
			t.Errorf("%+v is found", w)
		}
	}
}

// TestSummerTime: a wall clock that is put back and forward.
func TestSummerTime(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	m := Map{Separator: ',', Head: 1, Zone: berlin, Columns: []Column{{At: 0, Heading: "time", Name: "time", Factor: 1}, {At: 1, Heading: "panel_a", Name: "panel_a", Factor: 1}}}
	log := "time,panel_a\n2026-10-25 01:30:00,0\n2026-10-25 02:30:00,0\n2026-10-25 02:10:00,0\n2026-10-25 03:00:00,0\n2027-03-28 01:59:00,0\n2027-03-28 02:30:00,0\n2027-03-28 03:00:00,0\n"
	r, err := m.Reader(strings.NewReader(log))
	if err != nil {
		t.Fatal(err)
	}
	kept, refused := everything(t, r.Next)
	var got []string
	for _, row := range kept {
		got = append(got, time.Unix(int64(row.UnixS), 0).UTC().Format("01-02 15:04"))
	}
	want := []string{"10-24 23:30", "10-25 00:30", "10-25 01:10", "10-25 02:00", "03-28 00:59", "03-28 01:00"}
	if !slices.Equal(got, want) || len(refused) != 1 || !strings.Contains(refused[0], "put forward") {
		t.Errorf("%v, refused %v", got, refused)
	}
}

// TestEveryDay: dates in every order, against the standard library's calendar.
func TestEveryDay(t *testing.T) {
	for at := time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC); at.Year() < 2100; at = at.AddDate(0, 0, 1) {
		for o, layout := range map[order]string{yearFirst: "2006-01-02", dayFirst: "2.1.2006", monthFirst: "01/02/06"} {
			days, rest, ok := readDate([]byte(at.Format(layout)), o)
			if !ok || len(rest) > 0 || days != at.Unix()/86400 {
				t.Fatalf("%s in order %d: %d, %q, %v", at.Format(layout), o, days, rest, ok)
			}
		}
		if got := string(appendDate(nil, at.Unix()/86400)); got != at.Format("2006-01-02") {
			t.Fatalf("%s is written as %s", at.Format("2006-01-02"), got)
		}
	}
}

func TestTimesRefused(t *testing.T) {
	for _, text := range []string{"2026-02-29 12:00:00", "2026-13-01 12:00:00", "2026-06-25", "2026-06-25T", "2026-06-25T25:00:00", "2026-06-25T12:60:00",
		"2026-06-25T12:00:61", "2026-06-25T12:00:00+", "2026-06-25T12:00:00+1", "2026-06-25T12:00:00 EST", "2026-06-25T13:00 pm", "206-06-25T12:00:00", "2026-06/25 12:00", "2026-06-25T24:00:01"} {
		if s, _, ok := readStamp([]byte(text), yearFirst); ok {
			t.Errorf("%s is read as %v", text, s)
		}
	}
}

// TestCounterOfMilliseconds: 32 bits of milliseconds begin anew after 49.7
// days; a power-up begins anew too, and is another thing.
func TestCounterOfMilliseconds(t *testing.T) {
	log := "millis,panel A\n4294960000,1\n704,1\n10000,1\n5,1\n"
	m, _, _, err := Guess([]byte(log), nil)
	if err != nil {
		t.Fatal(err)
	}
	r, err := m.Reader(strings.NewReader(log))
	if err != nil {
		t.Fatal(err)
	}
	kept, _ := everything(t, r.Next)
	for i, want := range []float64{4294960, 4294968, 4294977.296, 0.005} {
		// 1e-6: sums of thousandths in binary.
		if len(kept) != 4 || math.Abs(kept[i].UptimeS-want) > 1e-6 {
			t.Fatalf("%+v", kept)
		}
	}
}

func FuzzGuess(f *testing.F) {
	f.Add([]byte("a;b\n1;2,5\n"), "panel_a=b:mA")
	f.Add([]byte("date\tclock\tI\n1.2.2026\t12:00\t3\n"), "time=#1")
	f.Fuzz(func(t *testing.T, log []byte, wish string) {
		var wishes []Wish
		if w, err := ParseWish(wish); err == nil {
			wishes = append(wishes, w)
		}
		m, _, needsZone, err := Guess(log, wishes)
		if err != nil {
			return
		}
		if needsZone {
			m.Zone = time.UTC
		}
		r, err := m.Reader(bytes.NewReader(log))
		if err != nil {
			return
		}
		for {
			var row Reading
			err := r.Next(&row)
			if err == io.EOF {
				return
			}
			if _, refused := err.(*RowError); err != nil && !refused {
				t.Fatal(err)
			}
			if err == nil && !row.Measured() && row.Event == "" {
				t.Fatalf("%+v says nothing", row)
			}
		}
	})
}

func FuzzTime(f *testing.F) {
	f.Add("2026-06-25T12:00:00.5+01:00", uint8(0))
	f.Add("25.6.26 1:00 pm", uint8(1))
	f.Fuzz(func(t *testing.T, text string, o uint8) {
		s, _, ok := readStamp([]byte(text), order(o%4))
		if ok && !(s >= -16*3600 && s < 86400*366*8100) {
			t.Fatalf("%q is read as %v", text, s)
		}
		if at, err := time.Parse(time.RFC3339, text); err == nil && ok && o%4 == 0 && math.Abs(s-float64(at.UnixMicro())/1e6) > 1e-5 {
			t.Fatalf("%q is read as %v, not %v", text, s, at)
		}
	})
}

func ExampleGuess() {
	const log = "Date;Clock;PV current (mA);Sky\n01.06.2026;12:00;2340,5;blue\n02.06.2026;12:00;2290;grey\n"
	m, notes, _, err := Guess([]byte(log), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range m.Columns {
		fmt.Printf("%q is %s\n", c.Heading, c.Name)
	}
	fmt.Println(strings.Join(notes, "\n"))
	// Output:
	// "PV current (mA)" is panel_a
	// "Date" is date
	// "Clock" is clock
	// Between columns stand semicolons.
	// Decimals have a comma.
	// Dates such as 01.06.2026 are read day first: so the log runs day by day without leaps.
}
