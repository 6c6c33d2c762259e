package checks

import "turnsole/sensor"

func sensorRooms() []Room {
	return []Room{{
		Title:  "Current sensor: what it is blind to",
		Source: "a 5 A sensor of 185 mV for an ampere on a converter of 10 bits and 5 V: blind below about 6 degrees at 4.6 A and 13 at 1 A (common practice, no source); one step is 5 V / 1024 / 0.185 V/A = 26.4 mA, and the cosine falls by a step of the current at acos(1 - step / current)",
		Reason: "half the last digit stated: half a degree, 0.05 mA",
		Run:    blindness,
	}}
}

func blindness(string) ([]Check, error) {
	c := sensor.Common()
	return []Check{
		{"one step", 26.4, 1000 * c.StepA(), "mA", 0.05, 2},
		{"blind below, at 4.6 A", 6, float64(c.Blind(4.6)), "deg", 0.5, 2},
		{"blind below, at 1 A", 13, float64(c.Blind(1)), "deg", 0.5, 2},
	}, nil
}
