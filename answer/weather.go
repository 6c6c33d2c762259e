package answer

import (
	"fmt"
	"math"

	"turnsole/place"
	"turnsole/weather"
)

func recordedTitle(r *weather.Record) string {
	y := r.Years[0]
	kind := "recorded"
	if y.Kind == weather.Typical {
		kind = "a typical year put together by a weather service"
	}
	title := fmt.Sprintf("%s, %s, %s in steps of %s", y.Source, kind, dayCount(len(y.Midnight)), stepName(y.StepS))
	if n := len(r.Years); n > 1 {
		title += fmt.Sprintf(" (the first of %d years)", n)
	}
	return title
}

func stepName(s int) string {
	if s == 3600 {
		return "1 h"
	}
	return fmt.Sprintf("%d min", s/60)
}

// Distances beyond which a weather file is said to be from elsewhere: within a
// degree or so the light of a year differs by a few per cent, height matters
// for snow and cloud.
const (
	farKm     = 100.0
	farHeight = 400.0
)

// elsewhere returns a sentence where the file's own place is not the spot's,
// and whether it is so far away that the file's own sun must be used.
func elsewhere(o *weather.Origin, s place.Spot) (note string, far bool) {
	if o == nil {
		return "", false
	}
	const kmPerDegree = 111.2
	north := float64(o.Latitude-s.Latitude) * kmPerDegree
	east := math.Remainder(float64(o.Longitude-s.Longitude), 360) * kmPerDegree * s.Latitude.Cos()
	km := math.Hypot(north, east)
	switch {
	case km > farKm:
		return fmt.Sprintf("The weather file is from %s, about %.0f km from the spot: everything is reckoned as if the rig stood there, under that sun and those clouds and by the file's own clock (with your summer time where your zone is the same), which loads and hands go by.", o.Name, km), true
	case math.Abs(o.AltitudeM-s.AltitudeM) > farHeight:
		return fmt.Sprintf("The weather file is from %.0f m, the spot lies at %.0f m.", o.AltitudeM, s.AltitudeM), false
	}
	return "", false
}
