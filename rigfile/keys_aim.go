package rigfile

import (
	"math"
	"strconv"

	"turnsole/aim"
	"turnsole/compass"
)

// Dialled is a setting of the policy as the file gives it.
type Dialled struct {
	Name  string // as aim.Dials has it
	Value float64
}

// aimKeys are how the controller aims and what it has to go by.
var aimKeys = []key{
	at("policy", choice(`"clock"`, aim.Policies()...), func(d *draft) *string { return &d.rig.Policy },
		"how it aims: \"clock\" turns to the computed sun, \"climb\" hunts for the panel's greatest current, \"eyes\" balances two light sensors, \"learn\" is a clock that learns how far north and time were set wrong").or(`"clock"`, "it moves least and needs no sensor").only(ForAim),
	at("clock", truth("true"), func(d *draft) *bool { return &d.rig.HasClock },
		"it has a clock that keeps time while the supply fails").or("true", "a clock chip costs little and draws nothing").only(ForAim),
	at("eyes", truth("false"), func(d *draft) *bool { return &d.rig.HasEyes },
		"it has two light sensors with a shade between them").or("false", "none").only(ForAim),
	at("home_switch", truth("false"), func(d *draft) *bool { return &d.rig.HasHome },
		"a magnet closes a switch at the still heading").or("false", "none").only(ForAim),
	at("stop_switches", truth("false"), func(d *draft) *bool { return &d.rig.HasStops },
		"switches tell that an end stop was reached").or("false", "none").only(ForAim),
	at("wind_sensor", truth("false"), func(d *draft) *bool { return &d.rig.HasWind },
		"it measures the wind").or("false", "none").only(ForAim),
	at("day_supply", truth("false"), func(d *draft) *bool { return &d.rig.DaySupply },
		"it lives on the panel alone and dies each night").or("false", "it hangs on the battery").only(ForAim),
	at("park_heading", choice(`"morning"`, "morning", "still", "stay"), func(d *draft) *string { return &d.rig.Park },
		"where it waits for the morning").or(`"morning"`, "ready for the first light").only(ForAim),
}

// dialWords say what each setting of a policy means.
var dialWords = map[string]string{
	"night_wake":      "sleep between two wakes in the dark, without a clock",
	"look":            "rest before a reading",
	"settle_within":   "two readings agree within this share",
	"settle_most":     "longest wait for two readings to agree",
	"stay_below":      "panel's current below which it stays where it is",
	"night_below":     "panel's current that is night, without a clock",
	"night_after":     "so long too dark is dusk, without a clock",
	"clear_above":     "panel's current from which it learns and takes its daily three looks",
	"see":             "smallest difference of two readings that is no accident",
	"move_least":      "it stays where it is less than this from where it wants to be",
	"lead":            "it aims where the sun will stand after this share of the sleep",
	"step":            "one step of a hunt",
	"looks":           "most steps tried at a wake",
	"sweep":           "step of the sweep at a new spot",
	"fall_back_after": "so long without a better heading means lost; 0 never",
	"fall_back_rate":  "degrees an hour that the sun is taken to move on behind clouds",
	"wind_park":       "wind from which it turns to still and waits; 0 never",
	"home_within":     "the switch at still is closed so far to either side",
	"eyes_deadband":   "eyes this close to balance are balanced",
	"learn_step":      "how far to either side it probes",
	"learn_every":     "time between two probes",
	"learn_rate":      "weight of a new probe",
	"three_point":     "reach of the daily three-point look; 0 for none",
	"trial_every":     "time between paired looks while a trial runs; 0 for none",
}

// DialMeaning says what a setting of a policy is; "" for one that is not there.
func DialMeaning(name string) string { return dialWords[name] }

// settingsSection is the policy's settings, made from aim's own list of them.
func settingsSection() section {
	s := section{name: "settings", number: optional,
		doc: "The policy's settings; what is left open is a guess of good sense, and turnsole aim --tune finds better ones."}
	for _, d := range aim.Dials() {
		if d.Name != "wake_every" { // which is [controller]'s own
			s.keys = append(s.keys, dialKey(d))
		}
	}
	return s
}

func dialKey(dial aim.Dial) key {
	most := math.Min(dial.Most, 1e3)
	usual := (dial.Low + dial.High) / 2
	if usual > 1 {
		usual = math.Round(usual)
	}
	takes := plain(dial.Least, most, strconv.FormatFloat(usual, 'g', 3, 64))
	switch dial.Unit {
	case "s":
		takes = measured(duration, dial.Least, dial.Most, `"60 s"`)
	case "A":
		takes = measured(current, dial.Least, most, `"100 mA"`)
	case "m/s":
		takes = measured(speed, dial.Least, dial.Most, `"12 m/s"`)
	case "degrees":
		takes = measured(arc, dial.Least, dial.Most, "5")
	}
	return key{name: dial.Name, doc: dialWords[dial.Name], takes: takes.takes, example: takes.example, why: "as usual for the policy",
		take: func(d *draft, n *node) *amiss {
			v, bad := takes.read(n)
			if bad == nil {
				d.rig.Dialled = append(d.rig.Dialled, Dialled{dial.Name, v})
			}
			return bad
		}}
}

// faultsSection are faults to be tried out.
var faultsSection = section{
	name: "faults", number: optional,
	doc: "What may be wrong with it, to see what that does: turnsole aim and worth's row controller heed it.",
	keys: []key{
		at("compass", angle(-180, 180, "8"), func(d *draft) *compass.Angle { return &d.rig.Faults.CompassDeg },
			"north was set so many degrees too far clockwise").orNone("set true"),
		at("level", angle(0, 45, "3"), func(d *draft) *compass.Angle { return &d.rig.Faults.LevelDeg },
			"the base leans by so many degrees").orNone("level"),
		at("level_toward", bearing(`"NE"`), func(d *draft) *compass.Angle { return &d.rig.Faults.LevelToward },
			"bearing that it leans toward").orNone("north"),
		at("tilt_by", angle(-90, 90, "10"), func(d *draft) *compass.Angle { return &d.rig.Faults.TiltBy },
			"a hand made the panel so much steeper, untold").orNone("as the stand's tilt"),
		at("clock_ppm", plain(-1e6, 1e6, "50"), func(d *draft) *float64 { return &d.rig.Faults.ClockPPM },
			"millionths by which the clock is fast").orNone("right"),
		at("clock_lost", truth("false"), func(d *draft) *bool { return &d.rig.Faults.NoClock },
			"the clock has lost the time").orNone("it runs"),
		at("sleep_error", plain(-0.5, 2, "0.1"), func(d *draft) *float64 { return &d.rig.Faults.SleepError },
			"share by which a sleep is longer than asked").orNone("exact"),
		at("offset", measured(current, -10, 10, `"50 mA"`), func(d *draft) *float64 { return &d.rig.Faults.OffsetA },
			"that the current sensor reads at none").orNone("none"),
		at("gain", plain(0.1, 10, "1.05"), func(d *draft) *float64 { return &d.rig.Faults.Gain },
			"the current sensor's reading over the truth").orNone("true"),
		at("drift", measured(current, -1, 1, `"5 mA"`), func(d *draft) *float64 { return &d.rig.Faults.DriftAPerDay },
			"by which its offset grows each day").orNone("none"),
	},
}

// endAim refuses a policy without what it needs.
func (d *draft) endAim(s *scope) {
	r := d.rig
	for _, given := range r.Dialled {
		if given.Name == "wind_park" && given.Value > 0 && !r.HasWind {
			d.clash(s, []string{"settings"}, "settings.wind_park needs a wind sensor: fit one and write wind_sensor = true, or leave it out")
		}
	}
	switch {
	case !r.HasClock && (r.Policy == "clock" || r.Policy == "learn"):
		d.clash(s, []string{"policy", "clock"}, `the policy %q needs a clock: fit one and write clock = true, or take policy = "climb", which needs only the panel's current`, r.Policy)
	case r.Faults.NoClock && (r.Policy == "clock" || r.Policy == "learn"):
		d.clash(s, []string{"faults", "policy"}, `with faults.clock_lost the policy %q does not know the time: take policy = "climb", which needs only the panel's current`, r.Policy)
	case r.Policy == "eyes" && !r.HasEyes:
		d.clash(s, []string{"policy"}, `the policy "eyes" needs two light sensors: fit them and write eyes = true, or take policy = "climb"`)
	}
}
