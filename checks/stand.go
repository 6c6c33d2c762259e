package checks

import (
	"fmt"
	"math"

	"turnsole/compass"
	"turnsole/stand"
)

func standRooms() []Room {
	return []Room{{
		Title:  "Tilt: triangles of the handbook",
		Source: "solution of triangles by the law of cosines (Euclid, Elements II.12 and II.13): right-angled triangles of whole sides, those of whole sides with an angle of 60 degrees, and the golden triangle (Elements IV.10); angles from memory, as any table of them has",
		Reason: "half of the last digit that is given; for 2 mm on a leg, 1 % for the bend of the curve over those 2 mm",
		Run:    tiltOfTriangles,
	}, solvedTilts()}
}

// legged is a stand on legs with front edge and foot on the rails' top and the
// hinge in the panel's back plane.
func legged(panelToHinge, leg float64) stand.Frame {
	return stand.Frame{Kind: stand.Legs, PanelM: panelToHinge, HingeM: panelToHinge, LegM: leg, Friction: 0.4}
}

func tiltOfTriangles(string) ([]Check, error) {
	golden := (math.Sqrt(5) - 1) / 2
	var rows []Check
	for _, c := range []struct{ hinge, foot, leg, tilt float64 }{
		{3, 5, 4, 53.130102}, {4, 5, 3, 36.869898}, {5, 3, 4, 53.130102}, {5, 13, 12, 67.380135},
		{12, 13, 5, 22.619865}, {8, 17, 15, 61.927513}, {7, 25, 24, 73.739795}, {3, 4, 5, 90},
		{8, 5, 7, 60}, {8, 3, 7, 60}, {15, 8, 13, 60}, {1, 1, golden, 36}, {1, golden, 1, 72},
	} {
		f := legged(c.hinge, c.leg)
		tilt, err := f.TiltOf(0, c.foot, c.leg)
		if err != nil {
			return nil, err
		}
		rows = append(rows, Check{
			What:      fmt.Sprintf("hinge %.4g up the panel, foot %.4g behind its edge, leg %.4g", c.hinge, c.foot, c.leg),
			Published: c.tilt, Ours: tilt.Degrees(), Unit: "deg", Tolerance: 5e-7, Digits: 6,
		})
	}
	notch, err := legged(1, golden).NotchOf(0, 36)
	if err != nil {
		return nil, err
	}
	prop := stand.Frame{Kind: stand.Prop, PanelM: 5, HingeM: 5, PropFootM: 8}
	sixty, err := prop.PropOf(60)
	if err != nil {
		return nil, err
	}
	even := legged(0.4, 0.4)
	even.NotchesM = []float64{0.4}
	// The leg opposite an angle A between b and c: dA = a da / (b c sin A).
	slope := compass.Radians(0.002 * 0.4 / (0.4 * 0.4 * compass.Angle(60).Sin())).Degrees()
	return append(rows,
		Check{"golden triangle: where the foot belongs for 36 degrees", 1, notch, "m", 5e-7, 6},
		Check{"5-8-7: the prop for 60 degrees", 7, sixty, "m", 5e-7, 6},
		Check{"equilateral triangle of 400 mm: 2 mm on the leg, by the slope", slope, even.Settings()[0].Error.Degrees(), "deg", 0.01 * slope, 4}), nil
}
