package page

import (
	"strings"

	"turnsole/rigfile"
)

// stage is one question of the job. First content is what is known at once, and
// all of it is what may take a while; slow says that they differ.
type stage struct {
	name, title, question string
	slow                  bool
	keys                  []string // of the rig file, that matter here
	content               func(a *asker, first bool) (*content, error)
}

// stages are in the order of the job.
var stages = []stage{
	{"spot", "Spot", "Where will it stand, and what hides the sun there?", false,
		[]string{"spot.latitude", "spot.longitude", "spot.altitude", "spot.zone", "spot.ground", "spot.terrain", "weather.climate"}, spotStage},
	{"worth", "Worth", "Is turning worth it here?", true,
		[]string{"stand.tilt", "panel.power", "battery.capacity", "load.power", "panel.price", "drive.price", "stand.lowest", "stand.highest"}, worthStage},
	{"stand", "Stand", "Does it tilt right, and does it stand?", true,
		[]string{"stand.tilt", "stand.hinge_at", "stand.leg_length", "stand.prop_foot", "stand.foot_radius", "stand.rail_height", "stand.ballast", "stand.ballast_radius", "stand.wanted_wind", "panel.length", "panel.width", "panel.mass", "stand.notches", "spot.terrain"}, standStage},
	{"drive", "Drive", "Which gears, motor, cables and fuses?", false,
		[]string{"drive.holding_torque", "drive.microsteps", "drive.speed", "drive.brake", "drive.bearing_friction", "drive.move_wind", "controller.wake_every", "panel.cable_length", "battery.cable_length", "drive.cable_length", "controller.sensor_range"}, driveStage},
	{"aim", "Aim", "How should the controller aim, and how long may it sleep?", true,
		[]string{"controller.policy", "controller.wake_every", "controller.awake_for", "drive.speed", "drive.brake"}, aimStage},
	{"build", "Build", "What is bought, cut, drilled and wired?", false,
		[]string{"stand.timber_width", "stand.timber_height", "stand.leg_length", "stand.rail_length", "panel.cable_length"}, buildStage},
	{"setup", "Set up", "Is it square to the world at this spot?", true,
		[]string{"spot.latitude", "spot.longitude", "stand.tilt"}, setupStage},
	{"prove", "Prove", "What did turning bring, really?", true,
		[]string{"trial.every", "trial.settle", "trial.days"}, proveStage},
}

func stageNamed(name string) *stage {
	for i := range stages {
		if stages[i].name == name {
			return &stages[i]
		}
	}
	return nil
}

// field is one quantity that can be changed.
type field struct {
	rigfile.Key
	ID, Label     string
	Value, Saved  string
	Low, High     float64 // of its slider, in the unit that it is written in
	Step          float64
	Slides, Given bool
	Error         string
}

// fields are the quantities of a stage that this rig has.
func (a *asker) fields(st *stage) (all []field) {
	onDisk, err := a.with(nil)
	if err != nil {
		onDisk = a
	}
	for _, key := range a.paths(st) {
		k, ok := rigfile.KeyAt(key)
		value := a.rig.Written(key)
		if !ok || value == "" {
			continue
		}
		f := field{Key: k, ID: "k-" + strings.NewReplacer(".", "-", " ", "_").Replace(key), Label: label(key), Value: value, Saved: onDisk.rig.Written(key), Given: a.rig.Gives(key)}
		f.slide(key)
		all = append(all, f)
	}
	return all
}

// paths are the keys of a stage in this rig: those of its spot, and of each load.
func (a *asker) paths(st *stage) (all []string) {
	for _, key := range st.keys {
		switch name, isSpot := strings.CutPrefix(key, "spot."); {
		case isSpot && len(a.rig.Spots) > 1:
			all = appendNamed(all, "spot", a.spot, name)
		case key == "load.power":
			for _, l := range a.rig.Loads {
				all = appendNamed(all, "load", l.Name, "power")
			}
		default:
			all = append(all, key)
		}
	}
	return all
}

// appendNamed adds the path of a key of one of several sections. A name that no
// path can hold is changed in the rig file.
func appendNamed(all []string, section, name, key string) []string {
	if name == "" || len(name) > 40 || strings.ContainsAny(name, `."=`) {
		return all
	}
	return append(all, section+"."+name+"."+key)
}

// label is a key in words: its last step, and before it what it belongs to.
func label(key string) string {
	i := strings.LastIndex(key, ".")
	return strings.ReplaceAll(strings.ReplaceAll(key[:i], ".", " ")+": "+key[i+1:], "_", " ")
}
