package answer

import (
	"fmt"
	"math"

	"turnsole/compass"
)

// judge says in words how to go about it.
func (s *Setup) judge() {
	s.say("Standing still the panel faces true %s, %.0f degrees.", PointName(s.Still), s.Still.Degrees())
	if s.FieldWhy != "" {
		s.say("No bearing by compass: %s.", s.FieldWhy)
	} else {
		s.say("A compass shows %.0f degrees along that heading: its needle points %s true north here in %.1f, give or take %.1f.",
			math.Mod(math.Round(s.CompassDeg.Degrees()), 360), declinationText(s.Field.DeclinationDeg), s.FieldYear, s.Field.UncertaintyDeg.Degrees())
	}
	for i := range s.Days {
		s.sayNoon(&s.Days[i])
	}
	s.leaning()
}

// leaning says what it means to stand out of level.
func (s *Setup) leaning() {
	lean := func(format string, args ...any) { s.Leaning = append(s.Leaning, fmt.Sprintf(format, args...)) }
	three, five := s.Level[2], s.Level[3]
	lean("Out of level or off the heading by %.0f degrees a panel that looks straight at the sun loses only %.1f %% of the beam; one at which the sun shines %.0f degrees aslant, as it mostly does, loses up to %.0f %%.",
		five.OffDeg, five.Loss*100, Beside, five.Aside*100)
	lean("On an axle that leans east or west a turning panel is too steep on the one side of the day and too flat on the other, which nearly evens out; a lean to the north or south is a wrong tilt all day.")
	if three.PullNm >= 0.01 {
		lean("Leaning by %.0f degrees the panel's own weight turns it with %s; with the motor off %s.", three.OffDeg, nm(three.PullNm), s.holdText())
	}
}

func (s *Setup) holdText() string {
	if math.IsInf(s.HoldNm, 1) {
		return "the worm holds it"
	}
	return nm(s.HoldNm) + " hold it"
}

func (s *Setup) sayNoon(d *SetupDay) {
	date := d.Date.Format("2 January 2006")
	switch n := d.AtNoon; {
	case n == nil:
		s.say("On %s there is no shadow to go by: %s.", date, d.whyNone())
	case n.Steep:
		s.say("On %s the sun stands %.0f degrees high at solar noon (%s): the shadow is too short to show the meridian. Take the morning or the evening.", date, n.SunElevation.Degrees(), n.At.Format("15:04"))
	default:
		s.say("On %s the easiest check is solar noon, %s by the clock: then the shadow of anything upright points along the meridian, to true %s.", date, n.At.Format("15:04"), PointName(n.Bearing))
	}
}

func (d *SetupDay) whyNone() string {
	if d.Never != "" {
		return d.Never
	}
	return "the sun is not up at solar noon"
}

func (s *Setup) say(format string, args ...any) {
	s.Findings = append(s.Findings, fmt.Sprintf(format, args...))
}

// PointName is north, east, south or west, whichever is nearest.
func PointName(a compass.Angle) string {
	return [4]string{"north", "east", "south", "west"}[int(math.Round(a.Azimuth().Degrees()/90))%4]
}

// declinationText says on which side of true north a needle points.
func declinationText(d compass.Angle) string {
	side := "east"
	if d < 0 {
		side = "west"
	}
	if math.Abs(d.Degrees()) < 0.05 {
		return "along"
	}
	return fmt.Sprintf("%.1f degrees %s of", math.Abs(d.Degrees()), side)
}

// setupCautions stand on the card for the spot.
func setupCautions() []string {
	return []string{
		"Never look at the sun, nor along the panel's edge towards it: you look at the ground, at the shadow.",
		"Iron and motors upset a compass: keep it two metres from car, tools, motor, loaded cables and a steel frame, and trust the shadow where the two differ.",
		"Lock the axle before you change the tilt by hand; gears and end stops pinch.",
		"Left alone in the open a panel meets wind, thieves, animals and people: fasten it, put up a sign and a barrier where it can reach nobody, and lay it flat or take it in before the wind comes.",
	}
}
