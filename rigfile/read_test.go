package rigfile

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/plane"
	"turnsole/weather"
)

const least = `[spot]
latitude = 52.28
longitude = -3.62

[panel]
power = "80 W"
`

func mustRead(t *testing.T, src string, sets ...string) *Rig {
	t.Helper()
	r, err := Read("rig.toml", []byte(src), sets)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestTemplateAndExamplesReadWell(t *testing.T) {
	files := append(Examples(), Example{Name: "template", TOML: string(Template())}, Example{Name: "least", TOML: least})
	for _, e := range files {
		r, err := Read(e.Name+".toml", []byte(e.TOML), nil)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		for _, p := range Check(r) {
			t.Errorf("%s: %v", e.Name, p)
		}
	}
}

// With every # before a key taken away the template must still read, but for
// the keys of which only one may stand.
func TestTemplateReadsWithEveryKeyLive(t *testing.T) {
	var lines []string
	for _, line := range strings.Split(string(Template()), "\n") {
		if strings.HasPrefix(line, "#") && !strings.HasPrefix(line, "# ") {
			line = line[1:]
		}
		lines = append(lines, line)
	}
	_, err := Read("all.toml", []byte(strings.Join(lines, "\n")), nil)
	var problems Problems
	errors.As(err, &problems)
	for _, p := range problems {
		if !strings.Contains(p.Text, "leave") {
			t.Errorf("%v", p)
		}
	}
	if len(problems) == 0 {
		t.Error("ground and albedo together, and every source of weather at once, were taken")
	}
}

func TestValuesReachTheirFields(t *testing.T) {
	r := mustRead(t, `
name = "all"
currency = "EUR"
[[spot]]
name = "here"
latitude = -41.5
longitude = 174
altitude = "1000 ft"
zone = "Pacific/Auckland"
ground = "sand"
snow_months = [7]
skyline = [["N", 10], [180, 20]]
[[spot.obstacle]]
from = "E"
to = 100
height = "10 m"
distance = "10 m"
[[spot]]
name = "there"
latitude = 10
longitude = 20
albedo = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1, 0, 0.05]
[spot.weather]
file = "there.csv"
block_days = [7, 7]
[spot.weather.columns]
time = "stamp"
ghi = "#2"
zone = "UTC-3:30"
label = "centre"
step = "10 min"
separator = "tab"
[weather]
monthly_clearness = [0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5]
monthly_air = [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, "50 F"]
years = 20
step = "1 min"
sky_model = "isotropic"
turbidity = 4
[panel]
power = "0.1 kW"
voc = "22 V"
cells = 36
power_per_k = "-0.4 %/K"
glass = "ashrae"
mass = "2 lb"
price = 99.5
[charge]
kind = "pwm"
drop = "400 mV"
own_draw = "0.24 W"
[battery]
chemistry = "agm"
capacity = "20 Ah"
voltage = "24 V"
start = "80 %"
floor = 0.4
indoors = "10 C"
charge_above = "5 C"
idle_draw = "100 mA"
[[load]]
name = "lamp"
power = "0.5 A"
from = "18:30"
to = 7.25
[stand]
tilt = 35
hands_from = 06:45
[drive]
speed = "1 rpm"
[controller]
board = "bare-chip"
awake = "10 mA"
`)
	here, there := r.Spots[0], r.Spots[1]
	for what, pair := range map[string][2]any{
		"spots":         {len(r.Spots), 2},
		"altitude":      {here.AltitudeM, 304.8},
		"zone":          {here.Zone.String(), "Pacific/Auckland"},
		"albedo June":   {here.Albedo[5], 0.4},
		"albedo July":   {here.Albedo[6], 0.65},
		"skyline north": {here.Skyline.At(0), compass.Angle(10)},
		"skyline hedge": {math.Round(float64(here.Skyline.At(95))), 45.0},
		"albedo list":   {there.Albedo[3], 0.4},
		"years":         {there.Weather.Years, 20},
		"file":          {there.Weather.File, "there.csv"},
		"made":          {there.Weather.Monthly == nil, true},
		"blocks":        {there.Weather.BlockDaysMin, 7},
		"blocks here":   {here.Weather.BlockDaysMax, 15},
		"column":        {there.Weather.Columns.GHI, "#2"},
		"label":         {there.Weather.Columns.Label, weather.Centre},
		"row":           {there.Weather.Columns.StepS, 600},
		"separator":     {there.Weather.Columns.Separator, '\t'},
		"file's zone":   {there.Weather.Columns.Zone.String(), "UTC-3:30"},
		"own file":      {here.Weather.File, ""},
		"clearness":     {here.Weather.Monthly.Clearness[0], 0.5},
		"air":           {math.Round(here.Weather.Monthly.AirC[11]*1e9) / 1e9, 10.0},
		"climate":       {here.Weather.Climate, ""},
		"step":          {here.Weather.StepS, 60},
		"sky":           {here.Weather.Sky, plane.Isotropic},
		"turbidity":     {here.Weather.Turbidity[7], 4.0},
		"power":         {r.Panel.PowerW, 100.0},
		"per K":         {r.Panel.PowerPerK, -0.004},
		"glass":         {r.Glass, plane.ASHRAE(0.05)},
		"mass":          {*r.PanelMassKg, 2 * 0.45359237},
		"price":         {*r.PanelPrice, 99.5},
		"no price":      {r.DrivePrice == nil, true},
		"charger":       {r.Charger.Kind, battery.PWM},
		"drop":          {r.Charger.DropV, 0.4},
		"own draw":      {r.Charger.OwnA, 0.01},
		"capacity":      {r.Battery.CapacityWh, 480.0},
		"blocks of 12":  {r.Battery.Blocks, 2},
		"start":         {r.Battery.StartShare, 0.8},
		"floor":         {r.Battery.FloorShare, 0.4},
		"indoors":       {r.Battery.IndoorsC, 10.0},
		"cold":          {r.Battery.ColdLimitC, 5.0},
		"box":           {math.Round(r.Box.IdleW*1e9) / 1e9, 2.4},
		"not endless":   {r.Battery.Endless, false},
		"load":          {r.Loads[0], battery.Load{Name: "lamp", PowerW: 12, FromHour: 18.5, ToHour: 7.25}},
		"tilt":          {r.Stand.Tilt, compass.Angle(35)},
		"hands":         {r.Stand.HandsFrom, 6.75},
		"speed":         {r.Motor.DegreesPerS, 6.0},
		"awake":         {r.Board.AwakeW, 0.24},
		"asleep":        {r.Board.AsleepW, 0.0026},
	} {
		if got, want := pair[0], pair[1]; got != want {
			t.Errorf("%s is %v, want %v", what, got, want)
		}
	}
}

func TestDefaultsAreListed(t *testing.T) {
	r := mustRead(t, least)
	var listed []string
	for _, a := range r.Assumed {
		if a.Value == "" || a.Why == "" {
			t.Errorf("%+v says too little", a)
		}
		listed = append(listed, a.Key)
	}
	all := " " + strings.Join(listed, " ") + " "
	for _, key := range []string{"spot.skyline", "spot.ground", "weather.climate", "charge.kind", "battery", "stand.tilt", "controller.board"} {
		if !strings.Contains(all, " "+key+" ") {
			t.Errorf("%s is not listed: %s", key, all)
		}
	}
	if !r.Battery.Endless {
		t.Error("a battery without loads fills")
	}
	withLoad := mustRead(t, least+"[[load]]\npower = 5\n")
	if withLoad.Battery.Endless || withLoad.Battery.CapacityWh != 40*12.8 {
		t.Errorf("with a load the default battery should be 40 Ah at 12.8 V, not %v Wh", withLoad.Battery.CapacityWh)
	}
	if given := mustRead(t, least+"[stand]\ntilt = 40\n"); fmt.Sprint(given.Assumed) == fmt.Sprint(r.Assumed) {
		t.Error("a tilt that is given is still listed as assumed")
	}
}

func TestTiltFollowsTheLatitude(t *testing.T) {
	for latitude, want := range map[string]compass.Angle{"0": 0, "-20": 17, "52.28": 43, "-45": 37, "90": 72} {
		if r := mustRead(t, least, "spot.latitude="+latitude); r.Stand.Tilt != want {
			t.Errorf("latitude %s: tilt %v, want %v", latitude, r.Stand.Tilt, want)
		}
	}
}

func TestEveryLatitudeHasADefaultClimate(t *testing.T) {
	for latitude := -90; latitude <= 90; latitude++ {
		r := mustRead(t, least, fmt.Sprintf("spot.latitude=%d", latitude))
		if err := r.Spots[0].Weather.Monthly.Check(compass.Angle(latitude)); err != nil {
			t.Errorf("%d: %v", latitude, err)
		}
	}
}

func TestSet(t *testing.T) {
	surf := Examples()[2].TOML
	r := mustRead(t, surf, "spot.yard.latitude=-40", "load.radio.power=3 W", "load.siren and lamp.to=\"21:00\"",
		"stand.tilt=55", "name=another", "spot.yard.obstacle.shed.height=3 m", "spot.beach.weather.years=7", "drive.mass=1")
	switch {
	case r.Spots[0].Latitude != -45.9 || r.Spots[1].Latitude != -40:
		t.Errorf("latitudes %v and %v", r.Spots[0].Latitude, r.Spots[1].Latitude)
	case r.Loads[0].PowerW != 3 || r.Loads[1].ToHour != 21:
		t.Errorf("loads %v", r.Loads)
	case r.Stand.Tilt != 55 || r.Name != "another" || *r.DriveMassKg != 1:
		t.Errorf("tilt %v, name %q, mass %v", r.Stand.Tilt, r.Name, *r.DriveMassKg)
	case r.Spots[0].Weather.Years != 7 || r.Spots[1].Weather.Years != 200:
		t.Errorf("years %v and %v", r.Spots[0].Weather.Years, r.Spots[1].Weather.Years)
	}
	for set, want := range map[string]string{
		"stand.tilt=155":        "--set stand.tilt=155: stand.tilt: 155 is outside",
		"stand.tlt=5":           `perhaps "tilt" is meant`,
		"spot.latitude=5":       "write one of spot.beach, spot.yard",
		"spot.moon.latitude=5":  "write one of spot.beach, spot.yard",
		"spot.yard=5":           "write one of spot.beach, spot.yard",
		"spot=5":                "name a key in it",
		"panel.power.more=5":    "is a key, not a section",
		"tilt":                  "must be key=value",
		"=5":                    "must be key=value",
		"stand..tilt=5":         "must be key=value",
		"tilt=5":                "perhaps stand.tilt is meant",
		"stand.tilt=5\n[panel]": "is not an angle",
	} {
		_, err := Read("rig.toml", []byte(surf), []string{set})
		if err == nil || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), "--set ") {
			t.Errorf("--set %s gives %v, want ...%s...", set, err, want)
		}
	}
}

func TestByteOrderMarkAndWindowsLines(t *testing.T) {
	mustRead(t, "\ufeff"+strings.ReplaceAll(least, "\n", "\r\n"))
}

func TestCheckWarns(t *testing.T) {
	for _, c := range []struct{ set, key string }{
		{"spot.longitude=171", ""}, // without a zone the clock follows the longitude
		{"panel.power=3 W", "panel.power"},
		{"charge.max_current=3 A", "charge.max_current"},
		{"charge.input_limit=20 W", "charge.input_limit"},
		{"panel.price=20", "panel.price"},
		{"stand.tilt=5", "stand.tilt"},
		{"panel.cells=20", "panel"},
	} {
		found := Check(mustRead(t, least, c.set))
		if c.key == "" && len(found) > 0 || c.key != "" && (len(found) == 0 || found[0].Key != c.key || found[0].Severity != Warning) {
			t.Errorf("%s: found %v, want a warning at %q", c.set, found, c.key)
		}
	}
	for _, c := range []struct{ sets, key string }{
		{"spot.zone=Europe/London spot.longitude=120", "spot.longitude"},
		{"spot.latitude=0 spot.longitude=0", "spot.latitude"},
		{"charge.kind=pwm panel.vmp=34V", "charge.kind"},
	} {
		found := Check(mustRead(t, least, strings.Fields(c.sets)...))
		if len(found) == 0 || found[0].Key != c.key {
			t.Errorf("%s: found %v, want a warning at %s", c.sets, found, c.key)
		}
	}
	box := mustRead(t, least+"[battery]\noutput_off_below=\"2 W\"\n[[load]]\nname=\"clock\"\npower=\"1 W\"\n")
	if found := fmt.Sprint(Check(box)); !strings.Contains(found, "load clock draws 1 W") || !strings.Contains(found, "stand stops") {
		t.Errorf("a box that switches itself off: %s", found)
	}
	heavy := mustRead(t, least+"[[load]]\nname=\"fridge\"\npower=\"60 W\"\n")
	if found := fmt.Sprint(Check(heavy)); !strings.Contains(found, "four in the afternoon") || !strings.Contains(found, "on any day") {
		t.Errorf("a load far too large for panel and battery: %s", found)
	}
}

// The centre of mass is off the axis as the setting has it that gives the
// stand's own tilt, whichever stop that is.
func TestCentreOffAxisGoesByTheSetting(t *testing.T) {
	const src = least + `
length = "80 cm"
[stand]
kind = "legs"
hinge_at = "40 cm"
hinge_offset = "0 cm"
leg_length = "40 cm"
rail_length = "120 cm"
front_height = "0 cm"
contact_back = "0 cm"
contact_down = "0 cm"
front_stops = ["5 cm", "25 cm"]
notches_at = ["65 cm"]
axis_at = "30 cm"
`
	for _, tilt := range []string{"41", "60"} {
		r := mustRead(t, src, "stand.tilt="+tilt)
		// hinge and leg of 40 cm each over 60 or 40 cm of rail: cos is half of
		// that over 40 cm; the panel's middle is its hinge.
		base := map[string]float64{"41": 0.60, "60": 0.40}[tilt]
		front := 0.65 - base
		if want := math.Abs(front + base/2 - 0.30); math.Abs(r.Axle.OffsetM-want) > 1e-9 { // rounding
			t.Errorf("at %s degrees the middle is %v m off the axis, want %v", tilt, r.Axle.OffsetM, want)
		}
		if cos := r.Axle.Tilt.Cos(); math.Abs(cos-base/2/0.40) > 1e-9 {
			t.Errorf("at %s degrees the axle turns a panel at %v", tilt, r.Axle.Tilt)
		}
	}
	if r := mustRead(t, src, "drive.off_axis=3 cm"); r.Axle.OffsetM != 0.03 {
		t.Errorf("the file's own 3 cm became %v m", r.Axle.OffsetM)
	}
}
