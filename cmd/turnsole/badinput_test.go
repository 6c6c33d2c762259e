package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const goodRig = `[spot]
latitude = 52.28
longitude = -3.62
[weather]
years = 5
climate = "cloudy-maritime"
[panel]
power = "80 W"
[stand]
tilt = 40
`

// turnsole runs the program in a folder of its own.
func turnsole(t *testing.T, args ...string) (code int, out, errOut string) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(context.Background(), args, &o, &e)
	return code, o.String(), e.String()
}

func write(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestBadRigFiles: every mistake is answered with the place, the key and what
// would be right; exit 2; nothing on standard output.
func TestBadRigFiles(t *testing.T) {
	edit := func(old, new string) string { return strings.Replace(goodRig, old, new, 1) }
	for name, c := range map[string]struct{ text, want string }{
		"latitude 95":       {edit("52.28", "95"), "rig.toml:2:12: spot.latitude"},
		"tilt 120":          {edit("tilt = 40", "tilt = 120"), "rig.toml:10:8: stand.tilt"},
		"negative power":    {edit(`"80 W"`, `"-80 W"`), "panel.power"},
		"no power":          {edit(`"80 W"`, `"0 W"`), "panel.power"},
		"wrong unit":        {edit(`"80 W"`, `"80 kg"`), "rig.toml:8:9: panel.power"},
		"not a number":      {edit("52.28", "nan"), "spot.latitude"},
		"endless":           {edit("40", "inf"), "stand.tilt"},
		"unknown key":       {edit("latitude", "lattitude"), `perhaps "latitude" is meant`},
		"unknown section":   {goodRig + "[motor]\npower = 3\n", "motor"},
		"given twice":       {edit("longitude", "latitude"), "rig.toml:3"},
		"no spot":           {"[panel]\npower = \"80 W\"\n", "spot"},
		"no panel":          {"[spot]\nlatitude = 1\nlongitude = 2\n", "panel"},
		"empty":             {"", "spot"},
		"truncated":         {goodRig[:len(goodRig)-40], "rig.toml:7"},
		"binary":            {"\x00\x01\xff\xfe\x89PNG", "rig.toml:1"},
		"unknown climate":   {edit("cloudy-maritime", "lunar"), "lunar"},
		"two weathers":      {edit("years = 5", "file = \"a.csv\""), "weather"},
		"list too short":    {edit("climate = \"cloudy-maritime\"", "monthly_sun_hours = [1, 2, 3]"), "monthly_sun_hours"},
		"more than the sun": {edit("climate = \"cloudy-maritime\"", "monthly_sun_hours = [9,9,9,9,9,9,9,9,9,9,9,9]"), "anuary"},
		"bad label":         {edit(`power = "80 W"`, "power = \"80 W\"\nvoc = \"17 V\"\nvmp = \"18 V\""), "panel"},
	} {
		t.Run(name, func(t *testing.T) {
			code, out, errOut := turnsole(t, "worth", write(t, "rig.toml", c.text))
			if code != exitBadInput || out != "" {
				t.Errorf("exit %d, stdout %q; want 2 and nothing", code, out)
			}
			if !strings.Contains(errOut, c.want) {
				t.Errorf("%q does not say %q", errOut, c.want)
			}
		})
	}
}

func TestBadCommandLines(t *testing.T) {
	rig := write(t, "rig.toml", goodRig)
	for name, c := range map[string]struct {
		args []string
		want string
	}{
		"no command":        {nil, "expected"},
		"unknown command":   {[]string{"wroth"}, "wroth"},
		"unknown flag":      {[]string{"worth", rig, "--tilt=3"}, "--tilt"},
		"no such file":      {[]string{"worth", "nowhere.toml"}, "no such file"},
		"a folder":          {[]string{"worth", t.TempDir()}, "folder"},
		"no such weather":   {[]string{"worth", rig, "--weather", "nowhere.csv"}, "no such file"},
		"unknown way":       {[]string{"worth", rig, "--ways", "turning,flying"}, `"flying"`},
		"no such day":       {[]string{"worth", rig, "--from", "02-31"}, "02-31"},
		"no day":            {[]string{"worth", rig, "--from", "spring"}, "month-day"},
		"set nonsense":      {[]string{"worth", rig, "--set", "stand.tilt=steep"}, "stand.tilt"},
		"set unknown":       {[]string{"worth", rig, "--set", "stand.colour=red"}, "colour"},
		"set without value": {[]string{"worth", rig, "--set", "stand.tilt"}, "stand.tilt"},
		"two outputs":       {[]string{"worth", rig, "--json", "--csv"}, "choose one"},
		"latitude 95":       {[]string{"sun", "--lat", "95", "--lon", "0", "--at", "2026-01-01T00:00:00Z"}, "latitude"},
		"not a latitude":    {[]string{"sun", "--lat", "NaN", "--lon", "0", "--at", "2026-01-01T00:00:00Z"}, "latitude"},
		"no offset":         {[]string{"sun", "--lat", "5", "--lon", "0", "--at", "2026-01-01"}, "RFC3339 or offset"},
		"pressure":          {[]string{"sun", "--lat", "5", "--lon", "0", "--at", "2026-01-01T00:00:00Z", "--pressure", "-1"}, "pressure"},
		"unknown example":   {[]string{"demo", "castle"}, "hut, mast, surf"},
		"no folder":         {[]string{"new", filepath.Join(t.TempDir(), "a", "b.toml")}, "no such folder"},
	} {
		t.Run(name, func(t *testing.T) {
			code, out, errOut := turnsole(t, c.args...)
			if code != exitBadInput || out != "" {
				t.Errorf("exit %d, stdout %q; want 2 and nothing", code, out)
			}
			if name == "no offset" {
				c.want = "offset from UTC"
			}
			if !strings.Contains(errOut, c.want) {
				t.Errorf("%q does not say %q", errOut, c.want)
			}
		})
	}
}

// hourly is a general table of measured light with one row for each line.
func hourly(rows ...string) string { return "time,ghi,dhi\n" + strings.Join(rows, "\n") + "\n" }

func TestBadWeatherFiles(t *testing.T) {
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	z.Write([]byte(strings.Repeat("2026-06-01T12:00:00Z,500,100\n", 1000)))
	z.Close()
	for name, c := range map[string]struct{ text, want string }{
		"empty":          {"", "weather.csv"},
		"binary":         {"\x00\x01\x02\x03\x04", "weather.csv"},
		"truncated gzip": {packed.String()[:packed.Len()/2], "weather.csv"},
		"rows backwards": {hourly("2026-06-01T11:00:00Z,500,100", "2026-06-01T12:00:00Z,500,100", "2026-06-01T13:00:00Z,500,100", "2026-06-01T10:00:00Z,500,100"), "weather.csv:5"},
		"not a number":   {hourly("2026-06-01T12:00:00Z,bright,100"), "weather.csv:2"},
		"impossible":     {hourly("2026-06-01T12:00:00Z,5000,100", "2026-06-01T13:00:00Z,500,100"), "weather.csv:2"},
		"no such column": {"when,what\n2026-06-01T12:00:00Z,500\n", "weather.csv:1"},
		"over-long line": {"time,ghi,dhi\n" + strings.Repeat("9", 1<<20) + "\n", "weather.csv:2"},
		"not a time":     {hourly("yesterday,500,100"), "weather.csv:2"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			rig := strings.Replace(goodRig, "climate = \"cloudy-maritime\"", "file = \"weather.csv\"\n[weather.columns]\ntime = \"time\"\nghi = \"ghi\"\ndhi = \"dhi\"\n", 1)
			for file, text := range map[string]string{"rig.toml": rig, "weather.csv": c.text} {
				if err := os.WriteFile(filepath.Join(dir, file), []byte(text), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			code, out, errOut := turnsole(t, "worth", filepath.Join(dir, "rig.toml"))
			if code != exitBadInput || out != "" {
				t.Errorf("exit %d, stdout %q; want 2 and nothing", code, out)
			}
			if !strings.Contains(errOut, c.want) {
				t.Errorf("%q does not say %q", errOut, c.want)
			}
		})
	}
}

func TestCheckTellsProblemsOnStandardOutput(t *testing.T) {
	code, out, errOut := turnsole(t, "check", "--json", write(t, "rig.toml", strings.Replace(goodRig, "52.28", "95", 1)))
	var found checkJSON
	if err := json.Unmarshal([]byte(out), &found); err != nil || code != exitFound || errOut != "" {
		t.Fatalf("exit %d, %v, stderr %q", code, err, errOut)
	}
	if p := found.Problems[0]; p.Key != "spot.latitude" || p.Line != 2 || p.Severity != "error" || p.Text == "" {
		t.Errorf("%+v", p)
	}
	code, out, _ = turnsole(t, "check", write(t, "rig.toml", goodRig))
	if code != exitDone || !strings.Contains(out, "reads well") {
		t.Errorf("a good file: exit %d, %q", code, out)
	}
}

// TestSunOfTheReport is the worked example of Reda and Andreas 2008, appendix
// A.5, through the command line; tolerances are half of the last printed digit
// (seconds for the times, which the report gives to 0.01 s). The report's rise
// and set belong to the universal day of the example, so the instant is given
// in universal time: its sunset is that of the local evening before.
func TestSunOfTheReport(t *testing.T) {
	code, out, errOut := turnsole(t, "sun", "--lat", "39.742476", "--lon", "-105.1786", "--altitude", "1830.14",
		"--pressure", "820", "--temperature", "11", "--delta-t", "67", "--at", "2003-10-17T19:30:30Z", "--json")
	if code != 0 {
		t.Fatal(errOut)
	}
	var s sunJSON
	if err := json.Unmarshal([]byte(out), &s); err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want, tolerance float64) {
		if d := got - want; d > tolerance || d < -tolerance {
			t.Errorf("%s %v, want %v", what, got, want)
		}
	}
	near("zenith", s.Zenith, 50.11162, 5e-6)
	near("azimuth", s.Azimuth, 194.34024, 5e-6)
	near("declination", s.Declination, -9.316179, 5e-7)
	near("equation of time", s.EquationOfTime, 14.641503, 1e-5) // the report's own figure is off by 8e-6
	if *s.Rise != "2003-10-17T13:12:43Z" || *s.Set != "2003-10-17T00:20:19Z" || *s.Transit != "2003-10-17T18:46:05Z" {
		t.Errorf("rise %s, transit %s, set %s", *s.Rise, *s.Transit, *s.Set)
	}
	_, out, _ = turnsole(t, "sun", "--lat", "71.3", "--lon", "-156.8", "--at", "2026-06-21T12:00:00-09:00", "--json")
	if !strings.Contains(out, `"rise": null`) || !strings.Contains(out, `"set": null`) {
		t.Errorf("the midnight sun rises or sets: %s", out)
	}
}
