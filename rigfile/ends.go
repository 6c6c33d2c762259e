package rigfile

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/weather"
)

// The functions below run when a section's keys are filled and sound. They
// join keys that belong together and refuse those that do not.

func (d *draft) newSpot() {
	d.spot = &spotDraft{}
	d.spots = append(d.spots, d.spot)
}

func (d *draft) endSpot(s *scope) {
	p := d.spot
	p.scope = *s
	p.OwnGround = s.has("ground") || s.has("albedo") || s.has("snow_months")
	p.Albedo = p.albedo
	switch {
	case s.has("albedo") && s.has("ground"):
		d.clash(s, []string{"ground", "albedo"}, "the ground is given twice: leave out ground or albedo")
	case !s.has("albedo"):
		for i := range p.Albedo {
			p.Albedo[i] = albedoOf(p.ground)
		}
	default:
		d.forget(s.of("ground"))
	}
	for _, month := range p.snow {
		p.Albedo[month-1] = max(p.Albedo[month-1], oldSnow)
	}
	var err error
	if p.Skyline, err = place.NewSkyline(p.marks, p.obstacle); err != nil {
		d.clash(s, []string{"skyline", "obstacle"}, "%v", err)
	}
	if len(p.marks) == 0 && len(p.obstacle) == 0 {
		d.assume(s.of("skyline"), "free horizon", "none is given, and a hill or hedge takes light that turning would gather")
	}
}

// sources of weather, of which there is at most one.
var sources = []string{"file", "monthly_sun_hours", "monthly_clearness", "climate"}

func (d *draft) endWeather(s *scope) {
	w := d.weather
	var given []string
	for _, key := range sources {
		if s.has(key) {
			given = append(given, key)
		}
	}
	switch {
	case len(given) > 1 && !(len(given) == 2 && given[1] == "climate" && given[0] != "file"):
		d.clash(s, given[1:], "the weather comes from one source: leave out %s", strings.Join(given[1:], ", or "))
	case w.File != "" && (s.has("monthly_air") || s.has("monthly_wind")):
		d.clash(s, []string{"monthly_air", "monthly_wind"}, "air and wind come from the weather file: leave this out")
	case w.File == "" && w.Columns != nil:
		d.clash(s, []string{"columns"}, "columns are those of a weather file, and no file is named")
	case w.blocks[0] > w.blocks[1]:
		d.clash(s, []string{"block_days"}, "the shorter block comes first: write [%d, %d]", w.blocks[1], w.blocks[0])
	}
	if len(given) > 0 || w.scope.table == nil {
		w.scope = *s
	}
	w.StepS = map[string]int{"1 h": 3600, "1 min": 60}[w.step]
	w.Sky = skyModel(w.sky)
	w.BlockDaysMin, w.BlockDaysMax = w.blocks[0], w.blocks[1]
}

func (d *draft) endColumns(s *scope) {
	c := d.weather.Columns
	c.Label = map[string]weather.Label{"left": weather.Left, "right": weather.Right, "centre": weather.Centre}[d.label]
	c.StepS = int(d.step)
	c.Separator = map[string]rune{",": ',', ";": ';', "tab": '\t', "blanks": ' '}[d.separator]
	d.step, d.separator = 0, ""
	seen := map[string]bool{}
	for _, name := range []string{c.GHI, c.DNI, c.DHI, c.AirC, c.WindMS, c.Albedo} {
		if name != "" && seen[name] {
			d.problem(s.path, s.table.at, "the column %q is named twice, for two different measures", name)
		}
		seen[name] = true
	}
	switch {
	case c.GHI == "" && c.DNI == "" && c.DHI == "":
		d.problem(s.path, s.table.at, "no column holds light: name one of ghi, dni, dhi")
	case c.Time+c.Date+c.Year+c.DayOfYear+c.Hour+c.HHMM+c.SecondsOfDay == "":
		d.problem(s.path, s.table.at, "no column holds the time: name time, or date and clock, or year, month, day and hour")
	}
}

func (d *draft) endPanel(s *scope) {
	d.rig.Glass = d.glass.Glass
	if _, _, err := panel.Fit(d.rig.Panel); err != nil {
		d.problem(s.path, s.table.at, "%v", err)
	}
}

func (d *draft) endCharge(s *scope) {
	switch {
	case d.rig.Charger.Kind == battery.PWM && s.has("efficiency"):
		d.clash(s, []string{"efficiency"}, "a pwm controller converts nothing: leave this out, or write kind = \"mppt\"")
	case d.rig.Charger.Kind == battery.MPPT && s.has("drop"):
		d.clash(s, []string{"drop"}, "an mppt controller is described by its efficiency: leave this out, or write kind = \"pwm\"")
	}
}

func (d *draft) endBattery(s *scope) {
	b, c := &d.rig.Battery, &d.rig.Charger
	d.battery.given = len(s.table.names) > 0
	d.assumePresets(s)
	set(&b.FloorShare, d.battery.floor)
	set(&b.ColdLimitC, d.battery.coldC)
	b.CapacityWh = d.battery.capacity.number
	if d.battery.capacity.unit == charge.base {
		b.CapacityWh *= d.volts()
	}
	b.LagH = d.battery.lagS / 3600
	if t := d.battery.indoorsC; t != nil {
		b.Indoors, b.IndoorsC = true, *t
		d.forget(s.of("lag"))
	}
	if d.battery.idle.number > 0 || d.battery.offBelow.number > 0 {
		d.rig.Box = &battery.Box{IdleW: d.watts(d.battery.idle), AutoOffW: d.watts(d.battery.offBelow)}
	}
	set(&c.Efficiency, d.charge.efficiency)
	set(&c.DropV, d.charge.dropV)
	switch own := d.charge.own; own.unit {
	case power.base:
		c.OwnA = own.number / d.volts()
	case current.base:
		c.OwnA = own.number
	}
	if b.StartShare < b.FloorShare {
		d.clash(s, []string{"start", "floor"}, "the charge at the start, %.0f %%, is below the floor of %.0f %%", b.StartShare*100, b.FloorShare*100)
	}
	system := d.rig.System()
	if err := system.Validate(); err != nil {
		d.problem(s.path, s.table.at, "%v", err)
	}
}

// assumePresets tells which figures come from the kind of battery and of charge
// controller.
func (d *draft) assumePresets(s *scope) {
	b, c := &d.rig.Battery, &d.rig.Charger
	asSold := "as such batteries are, from memory: the battery's own sheet wins"
	if !s.has("floor") {
		d.assume(s.of("floor"), fmt.Sprintf("%.0f %%", b.FloorShare*100), asSold)
	}
	if !s.has("charge_above") && !math.IsInf(b.ColdLimitC, -1) {
		d.assume(s.of("charge_above"), fmt.Sprintf("%g C", b.ColdLimitC), asSold)
	}
	if d.charge.efficiency == nil && c.Kind == battery.MPPT {
		d.assume("charge.efficiency", fmt.Sprintf("%.0f %%", c.Efficiency*100),
			fmt.Sprintf("as such charge controllers have, which find %.0f %% of the greatest power, from memory", c.TrackingShare*100))
	}
	if d.charge.own.unit == "" {
		d.assume("charge.own_draw", fmt.Sprintf("%.0f mA", c.OwnA*1000), "as such charge controllers draw, from memory")
	}
}

func (d *draft) endLoad(s *scope) {
	l := d.load
	if l.Name == "" {
		l.Name = strconv.Itoa(len(d.loads))
	}
	if _, err := battery.Hourly([]battery.Load{l.Load}); err != nil {
		d.clash(s, []string{"from", "to"}, "%v", err)
	}
}

func (d *draft) endStand(s *scope) {
	st := &d.rig.Stand
	if usual := st.Tilt; !s.has("tilt") && st.Lowest <= st.Highest {
		if st.Tilt = min(max(usual, st.Lowest), st.Highest); st.Tilt != usual {
			d.forget(s.of("tilt"))
			d.assume(s.of("tilt"), fmt.Sprintf("%g", st.Tilt.Degrees()), "the nearest to the rule by latitude that the stand can be set to")
		}
	}
	if err := st.Validate(); err != nil {
		d.clash(s, []string{"tilt", "lowest", "highest", "hands_from", "hands_to"}, "%v", err)
		return
	}
	d.endFrame(s)
}

func (d *draft) endController(s *scope) {
	b := &d.rig.Board
	if d.awake.unit != "" {
		b.AwakeW = d.watts(d.awake)
	}
	if d.asleep.unit != "" {
		more := b.AwakeW - b.AsleepW // of the preset, awake
		b.AsleepW = d.watts(d.asleep)
		if d.awake.unit == "" {
			b.AwakeW = b.AsleepW + more
			d.assume(s.of("awake"), fmt.Sprintf("%.3g W", b.AwakeW), "as much more than asleep as the preset board's")
		}
	}
	if err := b.Validate(); err != nil {
		d.clash(s, []string{"asleep", "awake", "awake_for", "wake_every"}, "%v", err)
	}
	d.endAim(s)
}

// join puts together what needs more than one section.
func (d *draft) join(*scope) {
	for _, p := range d.spots {
		d.spotWeather(p)
		d.rig.Spots = append(d.rig.Spots, p.Spot)
	}
	d.forgetIdleWeather()
	for _, l := range d.loads {
		l.PowerW = d.watts(l.power)
		d.rig.Loads = append(d.rig.Loads, l.Load)
	}
	d.endWires()
	if len(d.loads) == 0 {
		d.endless()
	}
	d.sortAssumed()
}

// forgetIdleWeather takes back the defaults of made years where none are made,
// and of recorded ones where none is recorded.
func (d *draft) forgetIdleWeather() {
	files := 0
	for _, s := range d.rig.Spots {
		if s.Weather.File != "" {
			files++
		}
	}
	switch files {
	case 0:
		d.forget("weather.block_days")
	case len(d.rig.Spots):
		d.forget("weather.step")
	}
}

// endless takes the battery out of the reckoning.
func (d *draft) endless() {
	d.rig.Battery.Endless = true
	matter := []string{}
	if d.rig.Charger.Kind == battery.PWM {
		matter = append(matter, "battery.chemistry", "battery.voltage")
	}
	if d.battery.given { // it may be too cold to charge
		matter = append(matter, "battery.chemistry", "battery.charge_above", "battery.lag")
	} else {
		d.rig.Battery.ColdLimitC = math.Inf(-1)
	}
	d.rig.Assumed = slices.DeleteFunc(d.rig.Assumed, func(a Assumed) bool {
		return a.Key == "charge.own_draw" || strings.HasPrefix(a.Key, "battery.") && !slices.Contains(matter, a.Key)
	})
	d.assume("battery", "never full", "no [[load]] is declared, so all that is stored counts as used")
}

// spotWeather gives a spot the weather of [weather], with its own laid over it.
func (d *draft) spotWeather(p *spotDraft) {
	w := d.general
	d.weather = &w
	if n := p.scope.table.nodes["weather"]; n != nil && n.sort == isTable {
		own := scope{p.scope.of("weather"), n.table}
		if own.has("file") || own.has("monthly_sun_hours") || own.has("monthly_clearness") || own.has("climate") {
			w.File, w.Climate, w.Columns, w.sunHours, w.clearness = "", "", nil, nil, nil
		}
		d.fill(&spotWeatherSection, &own)
	}
	p.Weather = w.Weather
	if w.File == "" && len(d.problems) == 0 {
		d.monthly(p, &w)
	}
}

// monthly works out the twelve figures that a spot's years are made from.
func (d *draft) monthly(p *spotDraft, w *weatherDraft) {
	climate := nearestClimate(p.Latitude)
	key := "climate"
	if w.Climate != "" {
		climate, _ = weather.ClimateNamed(w.Climate) // the name has been checked
	}
	m, _ := climate.At(p.Latitude)
	var err error
	switch {
	case w.clearness != nil:
		key, m.Clearness = "monthly_clearness", *w.clearness
	case w.sunHours != nil:
		key, err = "monthly_sun_hours", m.SetSunHours(p.Latitude, *w.sunHours)
	default:
		p.Weather.Climate = climate.Name
	}
	if w.Climate == "" {
		d.assumeClimate(p, w, climate)
	}
	set(&m.AirC, w.air)
	set(&m.WindMS, w.wind)
	if err == nil {
		err = m.Check(p.Latitude)
	}
	if err != nil {
		d.clash(&w.scope, []string{key}, "does not fit the latitude of this spot: %v", err)
	}
	p.Weather.Monthly = &m
}

// nearestClimate returns the built-in climate nearest in latitude among those
// that can be there: where the sun rises every month no polar night can be.
func nearestClimate(latitude compass.Angle) weather.Climate {
	known := weather.Climates()
	off := func(c weather.Climate) float64 {
		return math.Abs(math.Abs(c.Latitude.Degrees()) - math.Abs(latitude.Degrees()))
	}
	slices.SortStableFunc(known, func(a, b weather.Climate) int { return cmp.Compare(off(a), off(b)) })
	for _, c := range known {
		if m, _ := c.At(latitude); m.Check(latitude) == nil {
			return c
		}
	}
	return weather.NearestClimate(latitude)
}

// assumeClimate tells what was taken from a climate that nobody named.
func (d *draft) assumeClimate(p *spotDraft, w *weatherDraft, c weather.Climate) {
	if p.Weather.Climate != "" {
		d.assume(p.weatherKey("climate"), c.Name, "the built-in climate nearest in latitude: "+c.Title)
		return
	}
	why := "the built-in climate nearest in latitude: " + c.Title
	if w.air == nil {
		d.assume(p.weatherKey("monthly_air"), "as in "+c.Name, why)
	}
	if w.wind == nil {
		d.assume(p.weatherKey("monthly_wind"), "as in "+c.Name, why)
	}
}

// weatherKey is the path of a key of the weather at a spot.
func (p *spotDraft) weatherKey(name string) string {
	if p.scope.path == "spot" {
		return "weather." + name
	}
	return p.scope.of("weather." + name)
}

// assume notes a default that no single key has.
func (d *draft) assume(key, value, why string) {
	d.rig.Assumed = append(d.rig.Assumed, Assumed{Key: key, Value: value, Why: why})
}

// sortAssumed brings what was worked out late to where its section stands.
func (d *draft) sortAssumed() {
	rank := map[string]int{}
	for i, sec := range sections().inner {
		rank[sec.name] = i + 1
	}
	section := func(a Assumed) int { name, _, _ := strings.Cut(a.Key, "."); return rank[name] }
	slices.SortStableFunc(d.rig.Assumed, func(a, b Assumed) int { return section(a) - section(b) })
}

// forget takes back a default that turned out not to matter.
func (d *draft) forget(key string) {
	d.rig.Assumed = slices.DeleteFunc(d.rig.Assumed, func(a Assumed) bool { return a.Key == key })
}
