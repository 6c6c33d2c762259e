package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/reading"
	"turnsole/sun"
)

// madeLog is a fortnight of an invented panel at the spot of goodRig, under
// clouds of the half day, a row every two minutes: true times and currents.
func madeLog() (unixS, amperes []float64) {
	const rows = 14 * 720
	chance := rand.New(rand.NewPCG(11, 13))
	from := sun.JulianDayOf(time.Date(2026, 4, 10, 0, 0, 0, 0, time.UTC))
	azimuth, elevation := make([]float64, rows), make([]float64, rows)
	spot := place.Spot{Latitude: 52.28, Longitude: -3.62}
	sun.NewPath(sun.At(spot), from, from+15, sun.DeltaT(from)).Positions(from, 120, azimuth, elevation)
	cloud := 1.0
	for i := range rows {
		if i%360 == 0 {
			cloud = 0.3 + 0.7*chance.Float64()
		}
		e := compass.Angle(elevation[i])
		light := 0.006*math.Pow(10, float64(min(e, 0))/3) + cloud*max(0, e.Sin())
		unixS = append(unixS, from.Time().Sub(time.Unix(0, 0)).Seconds()+120*float64(i))
		amperes = append(amperes, -0.031+4.5*light+0.003*chance.NormFloat64())
	}
	return unixS, amperes
}

// imported runs import on a log and returns its answer and what it wrote.
func imported(t *testing.T, log string, args ...string) (importJSON, string) {
	t.Helper()
	dir := t.TempDir()
	out := filepath.Join(dir, "out.csv")
	args = append([]string{"import", write(t, "rig.toml", goodRig), write(t, "log.csv", log), "--out", out, "--json"}, args...)
	code, stdout, errOut := turnsole(t, args...)
	if code != 0 || errOut != "" {
		t.Fatalf("exit %d, %s", code, errOut)
	}
	var a importJSON
	if err := json.Unmarshal([]byte(stdout), &a); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	return a, string(text)
}

func rowsOf(t *testing.T, text string) (rows []reading.Reading) {
	t.Helper()
	r, err := reading.NewReader(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	for {
		var row reading.Reading
		if err := r.Next(&row); err != nil {
			return rows
		}
		rows = append(rows, row)
	}
}

// TestClockAndNight: a clock a quarter of an hour ahead and a sensor that shows
// -31 mA in the dark are told, and set right only where that is asked for.
func TestClockAndNight(t *testing.T) {
	const aheadS = 900
	unixS, amperes := madeLog()
	var log strings.Builder
	log.WriteString("time,panel_a\n")
	for i := range unixS {
		fmt.Fprintf(&log, "%s,%.4f\n", stamp(unixS[i]+aheadS), amperes[i])
	}
	a, text := imported(t, log.String())
	if o := a.Clock; o == nil || !(o.LowS < aheadS && aheadS < o.HighS) || !strings.Contains(strings.Join(a.Cautions, " "), "--clock-ahead \"+") {
		t.Errorf("clock %+v, cautions %q", o, a.Cautions)
	}
	// 0.2 mA: the mean error of some thousand rows of 3 mA, twice over.
	if len(a.Night) != 1 || math.Abs(a.Night[0].A+0.031) > 2e-4 || a.NightOff {
		t.Errorf("night %+v", a.Night)
	}
	if rows := rowsOf(t, text); len(rows) != len(unixS) || rows[0].UnixS != unixS[0]+aheadS || math.Abs(rows[0].PanelA-amperes[0]) > 5e-5 {
		t.Errorf("changed without being asked: %+v", rows[0])
	}
	a, text = imported(t, log.String(), "--clock-ahead", "15 min", "--take-off-night")
	if o := a.Clock; o == nil || !(o.LowS < 0 && 0 < o.HighS) || !a.NightOff {
		t.Errorf("set right: clock %+v, night off %v", o, a.NightOff)
	}
	if rows := rowsOf(t, text); rows[0].UnixS != unixS[0] || math.Abs(rows[0].PanelA-amperes[0]-0.031) > 3e-4 {
		t.Errorf("set right: %+v", rows[0])
	}
	if !strings.Contains(text, "# times set back by 900 s; panel_a less -0.03") {
		t.Error("the log does not say what was done to it")
	}
}

// TestWithoutAClock: power fails every night for some hours; the times are told
// back from dawn, dusk and the dump, as well as is claimed.
func TestWithoutAClock(t *testing.T) {
	unixS, amperes := madeLog()
	chance := rand.New(rand.NewPCG(5, 5))
	var log strings.Builder
	log.WriteString("boot,uptime_s,panel_a\n")
	var truth []float64
	boot, zero, off := 1, unixS[0]-77, 0.0
	for i, at := range unixS {
		hour := math.Mod(at/3600, 24)
		if hour > 22 && off == 0 {
			off = at + 3600*(1+3*chance.Float64())
		}
		if off > 0 && at < off {
			continue
		} else if off > 0 && hour < 22 {
			boot, zero, off = boot+1, at-5, 0
		}
		fmt.Fprintf(&log, "%d,%.0f,%.4f\n", boot, at-zero, amperes[i])
		truth = append(truth, at)
	}
	dumped := time.Unix(int64(truth[len(truth)-1])+30, 0).UTC().Format(time.RFC3339)
	a, text := imported(t, log.String(), "--dumped-at", dumped)
	rows := rowsOf(t, text)
	if len(rows) != len(truth) || a.Kept != len(truth) || a.Reboots == nil || *a.Reboots != boot-1 || len(a.PowerUps) != boot || a.WithinS == nil {
		t.Fatalf("%d rows of %d, %+v reboots of %d, %d power-ups", len(rows), len(truth), a.Reboots, boot-1, len(a.PowerUps))
	}
	square, worst := 0.0, 0.0
	for i, r := range rows {
		wrong := math.Abs(r.UnixS - truth[i])
		square, worst = square+wrong*wrong/float64(len(rows)), max(worst, wrong)
		if within := a.PowerUps[r.Boot-1].WithinS; wrong > within {
			t.Fatalf("row %d is off by %.0f s; %.0f are claimed", i, wrong, within)
		}
	}
	t.Logf("rms %.0f s, worst %.0f s, claimed %.0f s", math.Sqrt(square), worst, *a.WithinS)
	if worst > 1800 || *a.WithinS > 1800 {
		t.Errorf("worst %.0f s, claimed %.0f s", worst, *a.WithinS)
	}
}

// TestDumpedTwice: a log with its beginning appended once more, a gap by day, a
// notch changed and cleaning noted.
func TestDumpedTwice(t *testing.T) {
	unixS, amperes := madeLog()
	var lines []string
	for i := range unixS {
		event := ""
		switch i {
		case 1000:
			event = "notch"
		case 2000, 3000:
			event = "cleaned"
		}
		if night, noon := i >= 5000 && i < 5180, i >= 4650 && i < 4680; !night && !noon { // 22:40 to 4:40, and 11:00 to 12:00
			lines = append(lines, fmt.Sprintf("%s,%.4f,%s", stamp(unixS[i]), amperes[i], event))
		}
	}
	a, _ := imported(t, "time,panel_a,event\n"+strings.Join(append(lines, lines[:3000]...), "\n")+"\n")
	if a.Kept != len(lines) || a.Duplicates != 3000 || len(a.Rejected) > 0 || len(a.Setups) != 2 || a.Events["cleaned"] != 2 || a.Events["notch"] != 1 || a.EveryS != 120 {
		t.Errorf("kept %d of %d, %d twice, %d refused, set-ups %v, events %v, every %v s", a.Kept, len(lines), a.Duplicates, len(a.Rejected), a.Setups, a.Events, a.EveryS)
	}
	// 300 s: the sun is looked at as often. From the row before to the row after.
	if len(a.Gaps) != 1 || math.Abs(a.Gaps[0].DayS-3720) > 300 || !strings.HasSuffix(a.Gaps[0].From, "T10:58:00Z") {
		t.Errorf("gaps by day %+v", a.Gaps)
	}
}

func TestInterruptedImportLeavesNothing(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	var log strings.Builder
	log.WriteString("time,panel_a\n")
	for i := range 20000 {
		fmt.Fprintf(&log, "%s,1\n", stamp(1.78e9+float64(i)))
	}
	dir := t.TempDir()
	var out, errOut bytes.Buffer
	code := run(ctx, []string{"import", write(t, "rig.toml", goodRig), write(t, "log.csv", log.String()), "--out", filepath.Join(dir, "out.csv")}, &out, &errOut)
	left, err := os.ReadDir(dir)
	if code != exitInterrupted || out.Len() > 0 || err != nil || len(left) > 0 {
		t.Errorf("exit %d, stdout %q, left %v, %v", code, out.String(), left, err)
	}
}
