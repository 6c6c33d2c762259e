package rigfile

import (
	"errors"
	"strings"
	"testing"
)

// Each wrong file must be refused with its line and column, the key, and words
// that tell what would be right.
func TestWrongFilesAreRefused(t *testing.T) {
	list := func(n string) string { return "[" + strings.TrimSuffix(strings.Repeat(n+", ", 12), ", ") + "]" }
	for _, c := range []struct {
		name, src string
		line, col int // 0 where the fault is that something is not there
		key, text string
	}{
		{"empty", "", 0, 0, "", "the file is empty"},
		{"remarks only", "# nothing\n", 0, 0, "", "the file is empty"},
		{"binary", "\x1f\x8b\x08\x00\xff", 1, 1, "", "not text in UTF-8"},
		{"UTF-16", "[\x00s\x00p\x00", 1, 1, "", "not text in UTF-8"},
		{"huge", strings.Repeat("# remark\n", 1<<16), 1, 1, "", "at most 262144"},
		{"deep", "a = " + strings.Repeat("[", 100000), 1, 0, "", "nested"},
		{"truncated text", least + "[battery]\nchemistry = \"lifep", 8, 0, "", "unterminated"},
		{"truncated list", least + "[weather]\nmonthly_air = [1, 2,", 8, 0, "", ""},
		{"truncated header", least + "[batt", 7, 0, "", "close table name"},
		{"no quotes", least + "[stand]\nmass = 9 kg\n", 8, 0, "", "stands in quotes"},
		{"decimal comma", "[spot]\nlatitude = 52,28\n", 2, 0, "", "decimals with a point"},
		{"bare word", least + "[battery]\nchemistry = agm\n", 8, 0, "", "text stands in quotes"},
		{"colon", least + "[stand]\ntilt: 40\n", 8, 0, "", "joined by ="},
		{"duplicate key", "[spot]\nlatitude = 1\nlatitude = 2\n", 3, 1, "latitude", "already defined"},
		{"duplicate section", least + "[panel]\n", 7, 0, "panel", "double brackets"},
		{"no spot", "[panel]\npower = 80\n", 0, 0, "spot", "latitude = 52.28"},
		{"no panel", "[spot]\nlatitude = 1\nlongitude = 2\n", 0, 0, "panel", `power = "80 W"`},
		{"no latitude", "\n[spot]\nlongitude = 2\n[panel]\npower = 80\n", 2, 2, "spot.latitude", "is missing"},
		{"section as key", "spot = 3\n[panel]\npower = 80\n", 1, 8, "spot", "not a section"},
		{"key as section", least + "[panel.voc]\nx = 1\n", 7, 8, "panel.voc", "not a voltage"},
		{"fuse for cooler air", least + "cable = \"2.5 mm2\"\nfuse = \"23 A\"\n", 8, 8, "panel.fuse", "22.4 A in air of 35 C"}, // 24 A at 30 C
		{"unknown key", least + "powr = 3\n", 7, 1, "panel.powr", `perhaps "power" is meant`},
		{"key of another section", least + "tilt = 3\n", 7, 1, "panel.tilt", "perhaps stand.tilt is meant"},
		{"unknown section", least + "[diary]\ndays = 3\n", 7, 2, "diary", "known are"},
		{"looks without pause", least + "[trial]\nevery = \"20 s\"\n", 8, 9, "trial.every", "outside 60 to 86400"},
		{"measure of a trial", least + "[trial]\nmeasure = \"volts\"\n", 8, 11, "trial.measure", "not one of"},
		{"a cell that outshines panels", least + "[trial]\ncell_full_sun = \"200 A\"\n", 8, 17, "trial.cell_full_sun", "outside"},
		{"headings of a weathercock", least + "[trial]\nheading_within = 90\n", 8, 18, "trial.heading_within", "outside 0 to 45"},
		{"unknown inner section", least + "[spot.fence]\nfrom = 3\n", 7, 7, "spot.fence", "known are"},
		{"format of the future", "format = 2\n" + least, 1, 10, "format", "outside 1 to 1"},
		{"latitude 95", "[spot]\nlatitude = 95\nlongitude = 0\n[panel]\npower = 80\n", 2, 12, "spot.latitude", "outside -90 to 90 degrees"},
		{"latitude nan", "[spot]\nlatitude = nan\nlongitude = 0\n[panel]\npower = 80\n", 2, 12, "spot.latitude", "not an angle"},
		{"longitude inf", "[spot]\nlatitude = 9\nlongitude = -inf\n[panel]\npower = 80\n", 3, 13, "spot.longitude", "not an angle"},
		{"longitude as text", "[spot]\nlatitude = 9\nlongitude = \"3 W\"\n[panel]\npower = 80\n", 3, 13, "spot.longitude", "not an angle"},
		{"altitude of a satellite", strings.Replace(least, "\n\n", "\naltitude = \"400 km\"\n", 1), 4, 12, "spot.altitude", "outside -430 to 9000 m"},
		{"zone", strings.Replace(least, "\n\n", "\nzone = \"Middle/Earth\"\n", 1), 4, 8, "spot.zone", "not a time zone"},
		{"the machine's zone", strings.Replace(least, "\n\n", "\nzone = \"Local\"\n", 1), 4, 8, "spot.zone", "not a time zone"},
		{"zone out of reach", strings.Replace(least, "\n\n", "\nzone = \"../../etc/passwd\"\n", 1), 4, 8, "spot.zone", "not a time zone"},
		{"ground", strings.Replace(least, "\n\n", "\nground = \"gras\"\n", 1), 4, 10, "spot.ground", `perhaps "grass" is meant`},
		{"ground twice", strings.Replace(least, "\n\n", "\nground = \"grass\"\nalbedo = 0.2\n", 1), 4, 10, "spot.ground", "leave out"},
		{"albedo", strings.Replace(least, "\n\n", "\nalbedo = 1.2\n", 1), 4, 10, "spot.albedo", "outside 0 to 1"},
		{"eleven months", strings.Replace(least, "\n\n", "\nalbedo = [1,1,1,1,1,1,1,1,1,1,1]\n", 1), 4, 10, "spot.albedo", "holds 11"},
		{"month 13", strings.Replace(least, "\n\n", "\nsnow_months = [1, 13]\n", 1), 4, 19, "spot.snow_months", "outside 1 to 12"},
		{"skyline flat list", strings.Replace(least, "\n\n", "\nskyline = [10, 20]\n", 1), 4, 12, "spot.skyline", "not a pair"},
		{"skyline bearing", strings.Replace(least, "\n\n", "\nskyline = [[\"up\", 20]]\n", 1), 4, 13, "spot.skyline", "not a bearing"},
		{"skyline bearing twice", strings.Replace(least, "\n\n", "\nskyline = [[1, 20], [1, 30]]\n", 1), 4, 11, "spot.skyline", "given twice"},
		{"obstacle of no height", least + "[[spot.obstacle]]\nfrom = 1\nto = 2\nheight = 0\ndistance = 9\n", 10, 10, "spot.obstacle.1.height", "outside"},
		{"one bracket", least + "[load]\npower = 5\n", 7, 2, "load", "double brackets"},
		{"two brackets", least + "[[stand]]\ntilt = 5\n", 7, 3, "stand", "[stand]"},
		{"spots without a name", "[[spot]]\nlatitude = 1\nlongitude = 1\n[[spot]]\nlatitude = 1\nlongitude = 1\n[panel]\npower = 80\n", 1, 3, "spot", "needs a name"},
		{"names twice", least + "[[load]]\nname = \"a\"\npower = 5\n[[load]]\nname = \"a\"\npower = 5\n", 11, 1, "load.a.name", "another [[load]]"},
		{"wrong unit", strings.Replace(least, "80 W", "80 kg", 1), 6, 9, "panel.power", `"80 kg" is not a power; write for example "80 W"`},
		{"unit in the wrong case", strings.Replace(least, "80 W", "80 w", 1), 6, 9, "panel.power", "not a power"},
		{"negative power", strings.Replace(least, "80 W", "-80 W", 1), 6, 9, "panel.power", "outside 0.1 to 2000 W"},
		{"power of no number", strings.Replace(least, `"80 W"`, "true", 1), 6, 9, "panel.power", "not a power"},
		{"power of 400 digits", strings.Replace(least, "80 W", strings.Repeat("9", 400)+" W", 1), 6, 9, "panel.power", "not a power"},
		{"label that contradicts itself", least + "voc = \"18 V\"\nvmp = \"20 V\"\n", 5, 2, "panel", "swapped"},
		{"half a cell", least + "cells = 36.5\n", 7, 9, "panel.cells", "not a whole number"},
		{"glass", least + "glass = \"double\"\n", 7, 9, "panel.glass", "not one of"},
		{"capacity without unit", least + "[battery]\ncapacity = 40\n", 8, 12, "battery.capacity", "has no unit"},
		{"chemistry", least + "[battery]\nchemistry = \"lifepo\"\n", 8, 13, "battery.chemistry", `perhaps "lifepo4" is meant`},
		{"voltage", least + "[battery]\nvoltage = \"18 V\"\n", 8, 11, "battery.voltage", "blocks of 12 V"},
		{"start below floor", least + "[battery]\nstart = 0.1\nfloor = 0.2\n", 8, 9, "battery.start", "below the floor"},
		{"charge controller", least + "[charge]\nkind = \"mpp\"\n", 8, 8, "charge.kind", `perhaps "mppt" is meant`},
		{"efficiency of pwm", least + "[charge]\nkind = \"pwm\"\nefficiency = 0.9\n", 9, 14, "charge.efficiency", "converts nothing"},
		{"time of day", least + "[[load]]\npower = 5\nfrom = \"25:00\"\n", 9, 8, "load.1.from", "not a time of day"},
		{"minutes", least + "[[load]]\npower = 5\nfrom = \"5:60\"\n", 9, 8, "load.1.from", "not a time of day"},
		{"empty hours", least + "[[load]]\npower = 5\nfrom = \"18:00\"\nto = \"18:00\"\n", 9, 8, "load.1.from", "from 0 to 24"},
		{"tilt 120", least + "[stand]\ntilt = 120\n", 8, 8, "stand.tilt", "outside 0 to 90 degrees"},
		{"tilt out of reach", least + "[stand]\ntilt = 10\nlowest = 20\n", 8, 8, "stand.tilt", "this stand goes from 20 to 90"},
		{"notches", least + "[stand]\nnotches = 0\n", 8, 11, "stand.notches", "outside 1 to 12"},
		{"speed", least + "[drive]\nspeed = 0\n", 8, 9, "drive.speed", "outside"},
		{"price as text", least + "[drive]\nprice = \"85 GBP\"\n", 8, 9, "drive.price", "not a number"},
		{"board", least + "[controller]\nboard = \"usb\"\n", 8, 9, "controller.board", "usb-board"},
		{"beyond all numbers", strings.Replace(least, "52.28", "1e400", 1), 2, 12, "", "too large"},
		{"asleep above awake", least + "[controller]\nasleep = \"2 W\"\nawake = \"1 W\"\n", 8, 10, "controller.asleep", "more asleep"},
		{"look longer than pause", least + "[controller]\nwake_every = \"10 s\"\n", 8, 14, "controller.wake_every", "does not fit"},
		{"two sources", least + "[weather]\nfile = \"a.csv\"\nclimate = \"cloudy-maritime\"\n", 9, 11, "weather.climate", "one source"},
		{"climate", least + "[weather]\nclimate = \"martian\"\n", 8, 11, "weather.climate", "not one of"},
		{"sun in the polar night", strings.Replace(least, "52.28", "80", 1) + "[weather]\nmonthly_sun_hours = " + list("1") + "\n", 8, 21, "weather.monthly_sun_hours", "must be 0"},
		{"more sun than there is", least + "[weather]\nmonthly_sun_hours = " + list("9") + "\n", 8, 21, "weather.monthly_sun_hours", "they can be"},
		{"air beside a file", least + "[weather]\nfile = \"a\"\nmonthly_air = " + list("9") + "\n", 9, 15, "weather.monthly_air", "leave this out"},
		{"blocks in disorder", least + "[weather]\nblock_days = [15, 5]\n", 8, 14, "weather.block_days", "write [5, 15]"},
		{"columns of no file", least + "[weather.columns]\ntime = \"t\"\nghi = \"g\"\n", 7, 10, "weather.columns", "no file is named"},
		{"columns without light", least + "[weather]\nfile = \"a\"\n[weather.columns]\ntime = \"t\"\n", 9, 10, "weather.columns", "no column holds light"},
		{"columns without time", least + "[weather]\nfile = \"a\"\n[weather.columns]\nghi = \"t\"\n", 9, 10, "weather.columns", "no column holds the time"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Read("hut.toml", []byte(c.src), nil)
			var problems Problems
			if !errors.As(err, &problems) || len(problems) == 0 {
				t.Fatalf("the error is %v, not Problems", err)
			}
			p := problems[0]
			if p.Line != c.line || c.col != 0 && p.Column != c.col || p.Key != c.key || !strings.Contains(p.Text, c.text) {
				t.Errorf("%v\nwant %d:%d %s: ...%s...", err, c.line, c.col, c.key, c.text)
			}
		})
	}
}

func TestAllProblemsAreTold(t *testing.T) {
	_, err := Read("hut.toml", []byte("[spot]\nlatitude = 95\nlongitude = 200\n[panel]\npower = \"80 kg\"\ncels = 36\n[stand]\ntilt = 120\n"), []string{"drive.speed=0"})
	const want = `hut.toml:2:12: spot.latitude: 95 is outside -90 to 90 degrees; write for example 52.28
hut.toml:3:13: spot.longitude: 200 is outside -180 to 180 degrees; write for example -3.62
hut.toml:5:9: panel.power: "80 kg" is not a power; write for example "80 W"
hut.toml:6:1: panel.cels: is not known here; perhaps "cells" is meant
hut.toml:8:8: stand.tilt: 120 is outside 0 to 90 degrees; write for example 40
--set drive.speed=0: drive.speed: 0 is outside 0.001 to 360 deg/s; write for example "3 deg/s"`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	many := Problems(make([]Problem, 50))
	if n := strings.Count(many.Error(), "\n") + 1; n != 21 {
		t.Errorf("50 problems take %d lines, want 21", n)
	}
}

// Whatever the file holds, Read does not panic and every problem has a place
// or names the key that is missing.
func FuzzRead(f *testing.F) {
	f.Add([]byte(least), "stand.tilt=55")
	f.Add([]byte(least+"[[load]]\npower='5 W'\n[[spot.obstacle]]\nfrom=1"), "load.1.power=2")
	f.Add([]byte("spot=[{latitude=1,longitude=2}]\npanel.power=80\nweather.climate='x'"), "a=[")
	f.Fuzz(func(t *testing.T, src []byte, set string) {
		var sets []string
		if set != "" {
			sets = []string{set}
		}
		r, err := Read("f.toml", src, sets)
		if err == nil {
			Check(r)
			return
		}
		var problems Problems
		if !errors.As(err, &problems) || len(problems) == 0 {
			t.Fatalf("%T", err)
		}
		for _, p := range problems {
			if p.Text == "" || p.Severity != Error || p.Line == 0 && p.Set == "" && p.Key == "" && !strings.Contains(p.Text, "empty") {
				t.Errorf("%+v tells no place", p)
			}
		}
	})
}
