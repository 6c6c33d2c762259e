package answer

import (
	"fmt"
	"math"
	"slices"

	"turnsole/compass"
	"turnsole/rigfile"
	"turnsole/stand"
)

// checkStops warns of front stops whose pegs, which stand before them, would break out of the rail or meet.
func (s *Stand) checkStops(warn func(key, text string)) {
	if s.Frame.Kind != stand.Legs {
		return
	}
	wood := s.Frame.LeastWoodM
	stops := slices.Sorted(slices.Values(s.Frame.FrontsM))
	for i, at := range stops {
		if least := pegM + wood; at < least-1e-9 {
			warn("stand.front_stops", fmt.Sprintf("a peg at the stop of %.0f mm leaves too little wood at the rail's end: %.0f mm or more", at*1000, least*1000))
		}
		if i > 0 && at-stops[i-1] < pegM+wood-1e-9 {
			warn("stand.front_stops", fmt.Sprintf("the stops at %.0f and %.0f mm are too near for two pegs: %.0f mm apart or more", stops[i-1]*1000, at*1000, (pegM+wood)*1000))
		}
	}
}

// CheckBuild says where the parts that a rig file describes do not suit one
// another, as warnings at the keys that the file gives: what it leaves open is
// not its mistake.
func CheckBuild(rig *rigfile.Rig) (found []rigfile.Problem, err error) {
	warn := func(key, text string) {
		if rig.Gives(key) {
			found = append(found, rig.Problem(key, rigfile.Warning, text))
		}
	}
	s, err := LookAtStand(rig, "")
	if err != nil {
		return nil, err
	}
	if s.Nearest >= 0 && rig.Gives("stand.kind") {
		if own := s.Settings[s.Nearest]; math.Abs(float64(own.Tilt-s.Own)) > 5 {
			warn("stand.tilt", fmt.Sprintf("the nearest tilt that the stand can be set to is %.1f degrees", own.Tilt.Degrees()))
		}
	}
	s.checkStops(warn)
	d, err := LookAtDrive(rig, "")
	if err != nil {
		return nil, err
	}
	if d.Margin < 1 {
		warn("drive.holding_torque", fmt.Sprintf("the motor gives %s at the panel, and a move in %s needs %s: it will lose steps", nm(d.TorqueNm), d.windWhile(), nm(d.Need.TotalNm)))
	}
	for _, p := range rig.Train.Problems() {
		key := "drive." + p.Key
		if p.Stage > 0 {
			key = fmt.Sprintf("drive.stage.%d.%s", p.Stage, p.Key)
		}
		warn(key, p.Text)
	}
	if c := d.CableRange; c != nil && !d.Wrap.Within(compass.Angle(c[0]), compass.Angle(c[1])) {
		warn("drive.cable_range", fmt.Sprintf("the year asks for %.0f degrees, headings from %.0f to %.0f: on some days the panel will stand at a stop", d.Wrap.Degrees.Degrees(), d.Wrap.Low.Degrees(), d.Wrap.High.Degrees()))
	}
	w, err := SizeWires(rig)
	if err != nil {
		return nil, err
	}
	for _, p := range w.Problems {
		warn(p.Key, p.Text)
	}
	return found, nil
}
