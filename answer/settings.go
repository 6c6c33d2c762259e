package answer

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"turnsole/compass"
	"turnsole/rigfile"
	"turnsole/sensor"
)

// Settings is what is to be entered in the controller.
type Settings struct {
	Rig, Spot string
	Groups    []SettingGroup
	Warnings  []string // what of these should not be entered but changed
	Cautions  []string
	Assumed   []rigfile.Assumed
}

// SettingGroup is settings that belong together.
type SettingGroup struct {
	Name string
	Rows []ControllerSetting
}

// ControllerSetting is one of them.
type ControllerSetting struct {
	Name    string
	Value   string  // as it is entered
	Figure  float64 // the same, unrounded; NaN for a word
	Unit    string  // "" for a word or a count
	Meaning string
	From    string // the rig file's key, with "(usual)" where the file leaves it open, or what it is reckoned from
}

// Settings of a common controller that no rig file has (common practice, no
// source).
const (
	blindEnough = 10.0 // degrees of blindness above which looking for the sun makes no sense
	dimMost     = 0.3  // share of full sun up to which a sensor may be so blind
	overdue     = 1.5  // times its reckoned duration after which a move is broken off
)

// ListSettings answers what to enter in the controller at a spot ("" for the
// first).
func ListSettings(rig *rigfile.Rig, spotName string) (*Settings, error) {
	spots, err := spotsNamed(rig, spotName)
	if err != nil {
		return nil, err
	}
	d, err := LookAtDrive(rig, spots[0].Name)
	if err != nil {
		return nil, err
	}
	w, err := SizeWires(rig)
	if err != nil {
		return nil, err
	}
	frame, err := LookAtStand(rig, spots[0].Name)
	if err != nil {
		return nil, err
	}
	l := lister{rig, spots[0], d}
	s := &Settings{Rig: rig.Name, Spot: spots[0].Name, Cautions: settingsCautions(),
		Assumed: rig.AssumedFor(rigfile.ForDrive, rigfile.ForWiring, rigfile.ForAim)}
	s.Groups = []SettingGroup{
		{"Where it stands", l.place()},
		{"Steps of the motor and turns of the panel", l.steps()},
		{"How far it may turn", l.ends()},
		{"When it looks", l.looks(w)},
		{"How it aims", l.policy(w)},
		{"Motor, driver and wind", append(l.motor(), l.wind(frame)...)},
	}
	for _, p := range rig.Sensor.Problems(w.PanelA) {
		s.Warnings = append(s.Warnings, "Current sensor: "+p.Text+".")
	}
	for _, p := range rig.Train.Problems() {
		s.Warnings = append(s.Warnings, "Drive: "+p.Text+".")
	}
	if dim := stayPutA(rig.Sensor); rig.Policy != "clock" && dim > dimMost*w.PanelA { // a clock asks no sensor
		s.Warnings = append(s.Warnings, fmt.Sprintf("Current sensor: below %.3g A, %.0f %% of full sun, it cannot tell %.0f degrees. Average more readings, take a converter of more bits or a sensor of less range, or aim by the clock.", dim, 100*math.Min(1, dim/w.PanelA), blindEnough))
	}
	if d.Margin < wantedMargin {
		s.Warnings = append(s.Warnings, "Drive: "+d.judgeTorque())
	}
	return s, nil
}

// stayPutA is the current at which a sensor is blind to blindEnough degrees.
func stayPutA(c sensor.Current) float64 {
	return c.ResolutionA() / (1 - compass.Angle(blindEnough).Cos())
}

// lister writes a rig's figures as settings.
type lister struct {
	rig  *rigfile.Rig
	spot rigfile.Spot
	d    *Drive
}

// from says where a key's figure comes from.
func (l lister) from(key string) string {
	if l.rig.Gives(key) {
		return key
	}
	return key + " (usual)"
}

// ofSpot is from for a key of the spot.
func (l lister) ofSpot(key string) string {
	if len(l.rig.Spots) > 1 {
		return l.from("spot." + l.spot.Name + "." + key)
	}
	return l.from("spot." + key)
}

// figure is a setting that is a number, with so many decimals.
func figure(name string, v float64, decimals int, unit, meaning, from string) ControllerSetting {
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if v == 0 {
		text = strconv.FormatFloat(0, 'f', decimals, 64)
	}
	return ControllerSetting{name, text, v, unit, meaning, from}
}

// exact is a setting that is entered with all the digits it has.
func exact(name string, v float64, unit, meaning, from string) ControllerSetting {
	return ControllerSetting{name, strconv.FormatFloat(v, 'f', -1, 64), v, unit, meaning, from}
}

func word(name, value, meaning, from string) ControllerSetting {
	return ControllerSetting{name, value, math.NaN(), "", meaning, from}
}

func (l lister) place() []ControllerSetting {
	rows := []ControllerSetting{
		exact("latitude", l.spot.Latitude.Degrees(), "degrees", "north of the equator; minus is south", l.ofSpot("latitude")),
		exact("longitude", l.spot.Longitude.Degrees(), "degrees", "east of Greenwich; minus is west", l.ofSpot("longitude")),
	}
	rows = append(rows, l.clock()...)
	return append(rows,
		figure("still heading", compass.Equatorward(l.spot.Latitude).Degrees(), 0, "degrees", "from true north; the counter is 0 here", "the latitude"),
		exact("tilt", l.rig.Stand.Tilt.Degrees(), "degrees", "of the panel from flat; a new one with every notch", l.from("stand.tilt")))
}

// clock tells the zone, and how far it is from universal time in winter and in
// summer.
func (l lister) clock() []ControllerSetting {
	zone := l.spot.Clock()
	offset := func(m time.Month) int {
		_, s := time.Date(arcsYear, m, 1, 12, 0, 0, 0, zone).Zone()
		return s
	}
	january, july := offset(time.January), offset(time.July)
	from := l.ofSpot("zone")
	if january == july {
		return []ControllerSetting{exact("UTC offset", float64(january)/3600, "h", "all year; plus is ahead", from)}
	}
	return []ControllerSetting{
		word("clock", zone.String(), "the zone, for a controller that knows zones", from),
		exact("UTC offset in January", float64(january)/3600, "h", "plus is ahead; for a clock that is not UTC", from),
		exact("UTC offset in July", float64(july)/3600, "h", "as above", from),
	}
}

func (l lister) steps() []ControllerSetting {
	t, step := l.rig.Train, l.d.StepDeg.Degrees()
	turn := "of the panel; whole: no error adds up"
	if count := 360 / step; math.Abs(count-math.Round(count)) > 1e-6 {
		turn = "not a whole number: let the controller count with the fraction, or find the end stop anew each morning"
	}
	return []ControllerSetting{
		exact("full step of the motor", t.Stepper.FullStep.Degrees(), "degrees", fmt.Sprintf("of its shaft; %.6g to a turn", t.Stepper.StepsPerTurn()), l.from("drive.full_step")),
		figure("microsteps a full step", float64(t.Stepper.Microsteps), 0, "", "the same at driver and controller", l.from("drive.microsteps")),
		exact("gear ratio", round(t.Ratio(), 6), "", "turns of the motor for one of the panel", "the teeth"),
		figure("microsteps a degree", 1/step, 3, "", fmt.Sprintf("of the panel; one turns it by %.4f degrees", step), "the three above"),
		figure("microsteps a turn", 360/step, decimals(360/step), "", turn, "the three above"),
		figure("top speed", l.d.SpeedDegPerS/step, 0, "microsteps/s", fmt.Sprintf("%g degrees/s; the motor %.0f full steps/s", l.d.SpeedDegPerS, l.d.StepsPerS), l.from("drive.speed")),
		figure("acceleration", l.rig.Axle.AccelDegPerS2/step, 0, "microsteps/s²", fmt.Sprintf("%g degrees/s each second", l.rig.Axle.AccelDegPerS2), l.from("drive.acceleration")),
		figure("play (backlash)", l.d.BacklashDeg.Degrees(), 2, "degrees", "free turn, motor held; measure it", l.backlashFrom()),
		figure("play in steps", math.Ceil(l.d.BacklashDeg.Degrees()/step-1e-9), 0, "microsteps", "go beyond and come back: arrive from one side", "the play"),
		word("direction", "find it", "level of the pin that turns it clockwise", "the first-power sheet"),
	}
}

func (l lister) backlashFrom() string {
	if l.rig.Train.Measured != nil {
		return l.from("drive.backlash")
	}
	return "the gears"
}

// round takes off what only the machine's arithmetic put there.
func round(v float64, digits int) float64 {
	scale := math.Pow(10, float64(digits))
	return math.Round(v*scale) / scale
}

// decimals is 0 for a number that is whole but for rounding, else 2.
func decimals(v float64) int {
	if math.Abs(v-math.Round(v)) < 1e-6 {
		return 0
	}
	return 2
}

// reach is how far the panel may turn to either side of its still heading,
// clockwise positive, and where that comes from.
func (l lister) reach() (low, high float64, from string) {
	low, high, from = l.d.Wrap.Low.Degrees(), l.d.Wrap.High.Degrees(), "the sun's year"
	if c := l.d.CableRange; c != nil {
		low, high, from = c[0], c[1], "drive.cable_range"
	}
	still := compass.Equatorward(l.spot.Latitude).Degrees()
	turns := math.Ceil((low - still) / 360) // by which the still heading comes to lie within, where it can
	return low - still - 360*turns, high - still - 360*turns, from
}

func (l lister) ends() []ControllerSetting {
	low, high, from := l.reach()
	step := l.d.StepDeg.Degrees()
	rows := []ControllerSetting{
		figure("limit anticlockwise", math.Floor(low), 0, "degrees", fmt.Sprintf("from the still heading; %.0f on the counter", math.Floor(low)/step), from),
		figure("limit clockwise", math.Ceil(high), 0, "degrees", fmt.Sprintf("from the still heading; %.0f on the counter", math.Ceil(high)/step), from),
	}
	meaning := "true heading; built, not entered"
	if high-low > 350 { // no heading is left for a plain stop
		meaning = "built, not entered: a stop on a loose ring, for every heading is visited; its middle is here"
	}
	return append(rows,
		figure("end stops at", math.Mod(math.Round(l.stop(low, high)), 360), 0, "degrees", meaning, from))
}

// stop is the heading opposite to the middle of the reach.
func (l lister) stop(low, high float64) float64 {
	if l.d.CableRange == nil {
		return l.d.Wrap.StopAt.Azimuth().Degrees()
	}
	return compass.Angle(compass.Equatorward(l.spot.Latitude).Degrees() + (low+high)/2 + 180).Azimuth().Degrees()
}

func (l lister) looks(w *Wire) []ControllerSetting {
	b, c := l.rig.Board, l.rig.Sensor
	return []ControllerSetting{
		exact("time between two looks", b.WakeEveryS, "s", fmt.Sprintf("the sun moves on by %.1f degrees meanwhile", l.d.MoveDeg.Degrees()), l.from("controller.wake_every")),
		exact("time awake for a look", b.AwakeS, "s", "then it sleeps again", l.from("controller.awake_for")),
		exact("readings averaged", float64(c.Reads), "", "over whole periods of the charger's switching", l.from("controller.sensor_reads")),
		word("sensor's zero", "find it", fmt.Sprintf("converter's reading, panel covered; about %.0f", c.ZeroV/(c.StepA()*c.VPerA)), "the first-power sheet"),
		figure("converter steps an ampere", 1/c.StepA(), 2, "", fmt.Sprintf("%g mV an ampere, %d bits over %g V", c.VPerA*1000, c.Bits, c.ReferenceV), l.from("controller.sensor_mv_per_a")),
	}
}

func (l lister) motor() []ControllerSetting {
	m := l.rig.Train.Stepper
	low, high, _ := l.reach()
	across := l.rig.Train.MoveTime(compass.Angle(high-low), l.d.SpeedDegPerS, l.rig.Axle.AccelDegPerS2)
	coils, why := "off", "gears, bearing and brake alone hold it"
	if m.CoilsOn {
		coils, why = "on", fmt.Sprintf("burns %.1f W all the while and keeps the motor hot", m.CoilsW())
	}
	return []ControllerSetting{
		exact("driver's current limit", m.PhaseA, "A a coil", "before the motor is connected", l.from("drive.phase_current")),
		exact("driver's supply", m.SupplyV, "V", "from the battery", l.from("drive.supply_voltage")),
		word("coils between moves", coils, why, l.from("drive.coils_when_still")),
		figure("longest move", math.Ceil(overdue*across), 0, "s", fmt.Sprintf("limit to limit takes %.0f s; longer: stop", across), "reach and speed"),
	}
}

func (l lister) wind(s *Stand) []ControllerSetting {
	rows := []ControllerSetting{
		exact("gust to move in", l.rig.MoveWindMS, "m/s", fmt.Sprintf("it has %.1f times the torque for it", l.d.Margin), l.from("drive.move_wind")),
	}
	layFlatMS, takeInMS, layFlat := s.packing()
	name, ms, why := "take in before a forecast of", takeInMS, "a gale comes then, whatever else is reckoned"
	if layFlat {
		name, ms = "lay flat before a forecast of", layFlatMS
	}
	if first := s.standing(); ms == first.ForecastMS {
		why = fmt.Sprintf("Beaufort %s; at %.0f degrees, first: %s", Beaufort(first.Limit), s.Standing.Tilt.Degrees(), first.Name)
	}
	if turns := s.Wind.Turns.ForecastMS; turns < ms {
		rows = append(rows, figure("stays put to a forecast of", math.Floor(turns), 0, "m/s", "more wind turns the panel between moves", "the stand"))
	}
	return append(rows, figure(name, math.Floor(ms), 0, "m/s", why, "the stand"))
}

func settingsCautions() []string {
	return []string{
		"Enter these with the motor unplugged and the power off, or with the panel off its stand.",
		"A wrong sign of latitude or direction turns the panel away from the sun and winds up the cable: the first-power sheet tries it without the panel.",
		"Limits in the controller are forgotten when it fails: the solid end stops are not.",
		"No setting holds the panel in wind. The winds here are reckoned for level, firm ground: lay it flat or take it in before they come, and before any gale; local codes and a competent person decide where it can fall on somebody.",
	}
}
