package page

import (
	"fmt"
	"time"

	"turnsole/answer"
	"turnsole/drawing"
)

// setupStage tells where to face and where the shadow must fall. The notch of
// the day comes with the year's best notches.
func setupStage(a *asker, first bool) (*content, error) {
	var season *answer.Notches
	if !first {
		var err error
		if season, err = a.notches(); err != nil {
			return nil, err
		}
	}
	s, err := answer.SetUp(answer.SetupQuestion{Rig: a.rig, Spot: a.spot, Dates: []time.Time{a.day}, Season: season})
	if err != nil {
		return nil, err
	}
	day := &s.Days[0]
	c := &content{Sentence: facing(s), Findings: append(s.Findings[:len(s.Findings):len(s.Findings)], s.Leaning...), Cautions: s.Cautions, Assumed: s.Assumed}
	c.More = append(c.More, dayWords(day)...)
	c.Figures = []figure{{Name: "true heading", Value: s.Still.Azimuth().Degrees(), Text: bearing(s.Still)}, {Name: "by the compass", Value: s.CompassDeg.Azimuth().Degrees(), Text: bearing(s.CompassDeg)}}
	if s.FieldWhy != "" {
		c.Figures = c.Figures[:1]
	}
	if len(day.Shadows) > 0 {
		c.Pictures = append(c.Pictures, picture{Name: "shadow", Title: "Where the shadow's tip goes", Wide: drawing.ShadowDial(s, wideMM, 120), Narrow: drawing.ShadowDial(s, narrowMM, 110), Named: true})
	}
	c.Tables = append(c.Tables, shadowsTable(s, day), levelTable(s))
	if first {
		c.Partial = "The notch of the day is being worked out."
	}
	c.Sheets = []sheetLink{{"setup", "set-up card"}}
	return c, nil
}

func facing(s *answer.Setup) string {
	words := fmt.Sprintf("Face the panel to true %s, %s", answer.PointName(s.Still), bearing(s.Still))
	if s.FieldWhy != "" {
		return words + "; no compass here: " + s.FieldWhy + "."
	}
	return words + "; a compass shows " + bearing(s.CompassDeg) + "."
}

func dayWords(day *answer.SetupDay) []string {
	text := day.Date.Format("2 January 2006") + ", by " + day.Zone + ": "
	if day.Never != "" {
		text += day.Never + "; "
	}
	words := []string{text + day.Check}
	if n := day.Notch; n != nil {
		words = append(words, fmt.Sprintf("Tilt by the season's calendar: %.0f°, until %s.", n.Tilt.Degrees(), answer.DayText(n.To)))
	}
	return words
}

func shadowsTable(s *answer.Setup, day *answer.SetupDay) table {
	t := table{Name: "shadows", Title: fmt.Sprintf("The shadow of a stick of %s mm", mm(s.StickM)), Heads: [][]string{{"clock", "true bearing", "compass", "length, mm", "turns in a minute, °", "sun high, °"}}}
	for _, sh := range day.Shadows {
		clock := sh.At.Format("15:04")
		if sh.Steep {
			clock += " (steep)"
		}
		compass := none
		if s.FieldWhy == "" {
			compass = bearing(sh.CompassDeg)
		}
		t.Rows = append(t.Rows, []string{clock, bearing(sh.Bearing), compass, whole(sh.LengthM * 1000), decimals(sh.PerMinute.Degrees(), 2), decimals(sh.SunElevation.Degrees(), 0)})
	}
	return t
}

func levelTable(s *answer.Setup) table {
	t := table{Name: "level", Title: "What it costs to stand out of level", Heads: [][]string{{"out by, °", "one end of a metre lower by, mm", "loss, sun straight on, %", fmt.Sprintf("loss, sun %.0f° aslant, up to %%", answer.Beside), "pulls, Nm"}}}
	for _, l := range s.Level {
		t.Rows = append(t.Rows, []string{decimals(l.OffDeg, 0), whole(l.DropM * 1000), decimals(100*l.Loss, 1), decimals(100*l.Aside, 0), decimals(l.PullNm, 1)})
	}
	return t
}
