package checks

import (
	"math"

	"turnsole/compass"
	"turnsole/sun"
)

func shadowRooms() []Room {
	return []Room{{
		Title:  "Shadow of a stick",
		Source: "Duffie & Beckman, Solar Engineering of Thermal Processes, 4th edition 2013, examples 1.6.2 and 1.6.3: sun at latitude 43 with the book's declination. A stick of 1 m casts the tangent of the zenith angle, away from the solar azimuth. The profile angle is from memory, and a public recalculation gives 25.6",
		Reason: "half the last digit printed: 0.05 degrees of zenith are 6 mm of shadow at 66.5 degrees, 27 mm at 79.6 and 8 mm at 70.3; the book rounds its azimuths from a declination of whole degrees (0.15); the same for the profile angle from memory",
		Run:    shadowExamples,
	}}
}

func shadowExamples(string) ([]Check, error) {
	var all []Check
	for _, e := range []struct {
		what            string
		day             float64
		hourAngle       compass.Angle // 15 for each hour of solar time after noon
		zenith, azimuth compass.Angle // as printed; azimuth from south, west positive
		toleranceM      float64
	}{
		{"1.6.2, 13 February, 9:30", 44, -37.5, 66.5, -40, 0.006},
		{"1.6.2, 1 July, 18:30", 182, 97.5, 79.6, 112, 0.027},
		{"1.6.3, 16 March, 16:00", 75, 60, 70.3, 66.8, 0.008},
	} {
		bearing, length := shadowAt43(e.day, e.hourAngle)
		all = append(all,
			Check{e.what + ": shadow's bearing", float64(e.azimuth.Azimuth()), float64(bearing), "deg", 0.15, 1},
			Check{e.what + ": shadow's length", math.Tan(e.zenith.Radians()), length, "m", e.toleranceM, 3})
	}
	// The profile angle is the sun's elevation as the shadow of a long edge
	// shows it: the stick over that part of its shadow which runs straight away
	// from a wall that faces 25 degrees west of south.
	bearing, length := shadowAt43(75, 60)
	const facing = 180 + 25
	profile := compass.Radians(math.Atan2(1, length*(bearing-(facing-180)).Cos()))
	return append(all, Check{"1.6.3: profile angle on a wall that faces 25 degrees west of south (memory)", 25.7, float64(profile), "deg", 0.15, 1}), nil
}

// shadowAt43 is the shadow of a stick of 1 m at latitude 43 under the textbook's
// sun.
func shadowAt43(day float64, hourAngle compass.Angle) (bearing compass.Angle, lengthM float64) {
	d := sunAt(43, cooper(day), hourAngle)
	return sun.Shadow(d.Azimuth(), d.Elevation(), 1)
}
