package sheet

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"turnsole/answer"
	"turnsole/compass"
	"turnsole/drawing"
)

const (
	cardDays   = 3  // that one card holds
	levelsHigh = 58 // mm that the table of levels takes
)

// Setup adds the card to be taken to the spot, one for each three days: on its
// face where to look and where a stick's shadow falls, on its back how level it
// must stand, which tilts there are and what to write down.
func (d *Document) Setup(s *answer.Setup) {
	for from := 0; from < len(s.Days); from += cardDays {
		card := *s
		card.Days = s.Days[from:min(from+cardDays, len(s.Days))]
		d.card(&card)
	}
}

func (d *Document) card(s *answer.Setup) {
	name := "Set-up"
	if s.Spot != "" {
		name += ": " + s.Spot
	}
	g := d.begin(s.Rig, name, fmt.Sprintf("%s, %s, clock %s.", sided(s.Latitude, "N", "S"), sided(s.Longitude, "E", "W"), s.Clock))
	g.caution("First", s.Cautions[0], s.Cautions[1])
	g.facing(s)
	g.shadows(s)
	onFace := g.left() >= levelsHigh
	if onFace {
		g.levels(s)
	}
	g.dial(s)
	if !onFace {
		g.levels(s)
	}
	g.checks(s)
	g.tiltsToSet(s)
	g.heading("Write down")
	g.table([]column{{"date", 20, false}, {"clock", 16, false}, {"shadow here", 27, false}, {"by the card", 27, false}, {"compass", 20, false}, {"tilt", 16, false}, {"battery, V", 22, false}, {"who", 0, false}},
		[][]string{{" "}, {" "}, {" "}})
	g.caution("Before you leave it", d.options.allWords(s.Cautions[2:])...)
}

// sided is a coordinate with its side of the world in place of a sign.
func sided(a compass.Angle, plus, minus string) string {
	side := plus
	if a < 0 {
		side = minus
	}
	return strconv.FormatFloat(math.Abs(a.Degrees()), 'f', -1, 64) + "° " + side
}

// bearing is whole degrees, 000 to 359, as a compass is read.
func bearing(a compass.Angle) string {
	return fmt.Sprintf("%03.0f°", math.Mod(math.Round(a.Azimuth().Degrees()), 360))
}

// facing says where the still heading lies, and how to find it.
func (g *galley) facing(s *answer.Setup) {
	title := fmt.Sprintf("Face the panel to true %s, %s", answer.PointName(s.Still), bearing(s.Still))
	if s.FieldWhy != "" {
		g.heading(title)
		g.say("No compass here: " + s.FieldWhy + ".")
	} else {
		g.heading(title + "; a compass shows " + bearing(s.CompassDeg))
		g.say(fmt.Sprintf("The needle points %s of true north in %.1f, give or take %.1f°, and wanders %s a year.",
			eastOrWest(s.Field.DeclinationDeg), s.FieldYear, s.Field.UncertaintyDeg.Degrees(), eastOrWest(s.Field.YearlyDeg)))
	}
	g.say(fmt.Sprintf("By the sun: stand a straight stick of %s upright (hang a nut on a thread to see it). Lay the drawing flat, its stick at the foot of yours, and turn the paper until the line from there to the present hour lies along the shadow. Its N is now true north: turn the base until the panel faces along its still heading.", g.doc.options.length(s.StickM)))
}

func eastOrWest(a compass.Angle) string {
	side := "east"
	if a < 0 {
		side = "west"
	}
	return fmt.Sprintf("%.1f° %s", math.Abs(a.Degrees()), side)
}

// dial draws where the shadow's tip goes, as large as the card's back has room.
func (g *galley) dial(s *answer.Setup) {
	shadows := 0
	for _, day := range s.Days {
		shadows += len(day.Shadows)
	}
	if shadows == 0 {
		return
	}
	const below, least, most = 138.0, 80.0, 120.0 // what else stands on that page
	g.need(least + below)
	g.picture(drawing.ShadowDial(s, min(g.width, 176), min(max(g.left()-below, least), most)))
}

// checks says when in each day the check is good, and which notch is in use.
func (g *galley) checks(s *answer.Setup) {
	g.heading("How good the check is, and the level")
	for _, day := range s.Days {
		text := day.Date.Format("2 January") + ": "
		if day.Never != "" {
			text += day.Never + "; "
		}
		text += day.Check
		if n := day.Notch; n != nil {
			text += fmt.Sprintf(" Tilt by the season's calendar: %s, until %s.", degrees(n.Tilt), date(n.To))
		}
		g.say(text)
	}
	for _, f := range s.Leaning[1:] { // the first tells a row of the table of levels
		g.say(f)
	}
}

// levels says what standing out of level costs.
func (g *galley) levels(s *answer.Setup) {
	g.heading(fmt.Sprintf("Level to within %.0f°", s.LevelDeg.Degrees()))
	columns := []column{{"out by", 20, true}, {"one end of a metre lower by", 0, true}, {"loss, sun straight on", 0, true}, {fmt.Sprintf("loss, sun %.0f° aslant", answer.Beside), 0, true}}
	var rows [][]string
	for _, l := range s.Level {
		rows = append(rows, []string{figure(l.OffDeg, 0) + "°", g.doc.options.length(l.DropM), figure(100*l.Loss, 1) + " %", "up to " + figure(100*l.Aside, 0) + " %"})
	}
	g.table(columns, rows)
}

// tiltsToSet lists the stand's own settings.
func (g *galley) tiltsToSet(s *answer.Setup) {
	g.heading("Tilts")
	if len(s.Settings) == 0 {
		g.say(fmt.Sprintf("%s from flat.", degrees(s.Own.Tilt)))
		return
	}
	var all []string
	for _, one := range s.Settings {
		name := fmt.Sprintf("setting %d", one.Back)
		switch {
		case one.PropM > 0:
			name = fmt.Sprintf("prop %d", one.Back)
		case one.Front > 0:
			name = fmt.Sprintf("stop %d, notch %d", one.Front, one.Back)
		}
		if one == s.Own {
			name += " (the rig's own)"
		}
		all = append(all, degrees(one.Tilt)+" "+name)
	}
	g.say(strings.Join(all, "; ") + ".")
}

func clock(t *time.Time) string {
	if t == nil {
		return "–"
	}
	return t.Round(time.Minute).Format("15:04")
}
