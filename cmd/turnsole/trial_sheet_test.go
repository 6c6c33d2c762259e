package main

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"turnsole/rigfile"
)

// inventedLog is a plain log of days that never were: looks every half hour from
// six to six, under a sun that is no real one.
func inventedLog(t *testing.T, days int) string {
	t.Helper()
	var log strings.Builder
	log.WriteString("time,panel_a,panel_v,heading_deg,look,pair\n")
	for day := range days {
		midnight := time.Date(2026, 6, 10+day, 0, 0, 0, 0, time.UTC)
		for k := range 25 {
			hour := 6 + float64(k)/2
			amps := 3 * math.Sin((hour-5)/14*math.Pi) * (0.6 + 0.4*math.Cos(float64(7*day+k)))
			for i, look := range []string{"aimed", "still", "aimed"} {
				heading, a := 15*hour, amps
				if look == "still" {
					heading, a = 180, 0.8*amps
				}
				at := midnight.Add(time.Duration(hour*3600+20*float64(i)) * time.Second)
				fmt.Fprintf(&log, "%s,%.3f,18,%.1f,%s,%d\n", at.Format(time.RFC3339), a, heading, look, 25*day+k+1)
			}
		}
	}
	return write(t, "invented.csv", log.String())
}

func TestTrialSheetsAndPictures(t *testing.T) {
	dir := t.TempDir()
	hut, log, out := write(t, "hut.toml", rigfile.Examples()[0].TOML), inventedLog(t, 4), filepath.Join(dir, "out.pdf")
	var first []byte
	for range 2 {
		if code, _, errOut := turnsole(t, "sheet", "result", hut, log, "-o", out); code != exitDone {
			t.Fatal(errOut)
		}
		pdf, err := os.ReadFile(out)
		if err != nil || !bytes.HasPrefix(pdf, []byte("%PDF-")) || first != nil && !bytes.Equal(pdf, first) {
			t.Fatalf("%v, %d bytes, or other ones the second time", err, len(pdf))
		}
		first = pdf
	}
	drawn := filepath.Join(dir, "drawn")
	if code, _, errOut := turnsole(t, "trial", "result", hut, log, "--draw", drawn); code != exitDone {
		t.Fatal(errOut)
	}
	for _, name := range []string{"days", "looks", "running", "hours"} {
		svg, err := os.ReadFile(filepath.Join(drawn, name+".svg"))
		if err != nil || !bytes.HasPrefix(svg, []byte("<svg")) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, args := range map[string][]string{
		"no log":        {"sheet", "result", hut, "-o", out},
		"needless log":  {"sheet", "setup", hut, log, "-o", out},
		"no such log":   {"sheet", "result", hut, filepath.Join(dir, "none.csv"), "-o", out},
		"not for all":   {"sheet", "all", hut, log, "-o", out},
		"no such day":   {"sheet", "trial", hut, "-o", out, "--from", "13-40"},
		"a day's trial": {"sheet", "trial", hut, "-o", out, "--days", "1"},
		"flag as DIR":   {"trial", "plan", hut, "--draw", "--json"},
		"a file as DIR": {"trial", "result", hut, log, "--draw", hut},
	} {
		if code, stdout, errOut := turnsole(t, args...); code != exitBadInput || errOut == "" || stdout != "" {
			t.Errorf("%s: exit %d, %q on stdout, %q on stderr", name, code, stdout, errOut)
		}
	}
	if now, err := os.ReadFile(out); err != nil || !bytes.Equal(now, first) {
		t.Error("a refused sheet touched what was there")
	}
}
