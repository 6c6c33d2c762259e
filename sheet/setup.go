package sheet

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"turnsole/answer"
	"turnsole/compass"
	"turnsole/drawing"
)

// cardDays is how many days one card holds.
const cardDays = 3

// Setup adds the card to be taken to the spot, one for each three days: where
// to face, how level, and where a stick's shadow falls.
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
		name = "Set-up: " + s.Spot
	}
	g := d.begin(s.Rig, name, fmt.Sprintf("%s, %s; clock: %s. For %s.", latitude(s.Latitude), longitude(s.Longitude), s.Clock, daysOf(s)))
	g.caution("First", s.Cautions[0], s.Cautions[1])
	g.facing(s)
	g.shadows(s)
	g.picture(drawing.ShadowDial(s, min(g.width, 150), 92))
	g.byDay(s)
	g.levels(s)
	g.tiltsToSet(s)
	g.caution("Before you leave it", d.options.allWords(s.Cautions[2:])...)
}

func latitude(a compass.Angle) string {
	if a < 0 {
		return figure(-a.Degrees(), 4) + "° S"
	}
	return figure(a.Degrees(), 4) + "° N"
}

func longitude(a compass.Angle) string {
	if a < 0 {
		return figure(-a.Degrees(), 4) + "° W"
	}
	return figure(a.Degrees(), 4) + "° E"
}

func daysOf(s *answer.Setup) string {
	var names []string
	for _, day := range s.Days {
		names = append(names, day.Date.Format("2 January 2006"))
	}
	return strings.Join(names, ", ")
}

// bearing is whole degrees, 000 to 359, as a compass is read.
func bearing(a compass.Angle) string {
	return fmt.Sprintf("%03.0f°", math.Mod(math.Round(a.Azimuth().Degrees()), 360))
}

// facing says where the still heading lies.
func (g *galley) facing(s *answer.Setup) {
	g.heading("Face the panel " + bearing(s.Still) + " true" + byCompass(s))
	if s.FieldWhy != "" {
		g.say("No compass here: " + s.FieldWhy + ".")
	} else {
		side, drift := "east", "east"
		if s.Field.DeclinationDeg < 0 {
			side = "west"
		}
		if s.Field.YearlyDeg < 0 {
			drift = "west"
		}
		g.say(fmt.Sprintf("The needle points %.1f° %s of true north in %.1f (give or take %.1f°; it wanders %.1f° a year to the %s). A compass set to correct for that shows %s.",
			math.Abs(s.Field.DeclinationDeg.Degrees()), side, s.FieldYear, s.Field.UncertaintyDeg.Degrees(), math.Abs(s.Field.YearlyDeg.Degrees()), drift, bearing(s.Still)))
	}
	g.say(fmt.Sprintf("By the sun: stand a straight stick of %s upright beside the base (a thread with a nut shows it), and read the clock. The table says where its shadow points and how long it is. Turn the base until both agree; a washer on the tip makes the end plain.", g.doc.options.length(s.StickM)))
}

func byCompass(s *answer.Setup) string {
	if s.FieldWhy != "" {
		return ""
	}
	return ", " + bearing(s.CompassDeg) + " by compass"
}

// shadows lists by the clock, for every day, where the shadow lies.
func (g *galley) shadows(s *answer.Setup) {
	g.heading("Where the shadow falls")
	columns := []column{{"clock", 15, true}}
	for _, day := range s.Days {
		columns = append(columns, column{day.Date.Format("2 Jan") + ": true", 0, true})
		if s.FieldWhy == "" {
			columns = append(columns, column{"by compass", 0, true})
		}
		columns = append(columns, column{"length", g.lengthWide(), true})
	}
	var rows [][]string
	for _, at := range hours(s) {
		row := []string{at}
		for _, day := range s.Days {
			row = append(row, g.cells(s, shadowAt(day, at))...)
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		g.say("The sun does not stand high enough for a shadow on any of these days.")
		return
	}
	g.table(columns, rows)
	g.note("Degrees clockwise from north, from the stick's foot to the shadow's tip; lengths on level ground. (short): the sun is so high that a stick leaning by 1° turns the shadow by 3° or more.")
}

func (g *galley) lengthWide() float64 {
	if g.doc.options.Inches {
		return 30
	}
	return 22
}

// hours are the clock times at which any day has a shadow.
func hours(s *answer.Setup) []string {
	seen := map[string]bool{}
	var all []string
	for _, day := range s.Days {
		for _, shadow := range day.Shadows {
			if at := shadow.At.Format("15:04"); !seen[at] {
				seen[at] = true
				all = append(all, at)
			}
		}
	}
	sort.Strings(all)
	return all
}

func shadowAt(day answer.SetupDay, at string) *answer.Shadow {
	for i := range day.Shadows {
		if day.Shadows[i].At.Format("15:04") == at {
			return &day.Shadows[i]
		}
	}
	return nil
}

// cells are true bearing, compass bearing and length.
func (g *galley) cells(s *answer.Setup, shadow *answer.Shadow) []string {
	empty := []string{"", "", ""}
	if s.FieldWhy != "" {
		empty = empty[1:]
	}
	if shadow == nil {
		return empty
	}
	cells := []string{bearing(shadow.Bearing)}
	if s.FieldWhy == "" {
		cells = append(cells, bearing(shadow.CompassDeg))
	}
	length := g.doc.options.mark(shadow.LengthM)
	if shadow.Steep {
		length = "(short) " + length
	}
	return append(cells, length)
}

// byDay tells rise, noon and set, and when the check is good.
func (g *galley) byDay(s *answer.Setup) {
	g.heading("Each day")
	columns := []column{{"day", 24, false}, {"rise", 14, true}, {"noon", 14, true}, {"set", 14, true}, {"shadow at noon", 46, false}, {"the check", 0, false}}
	var rows [][]string
	for _, day := range s.Days {
		noon := "none"
		if n := day.AtNoon; n != nil {
			noon = fmt.Sprintf("points true %s, %s", pointName(n.Bearing), g.doc.options.length(n.LengthM))
		}
		check := day.Check
		if day.Never != "" {
			check = strings.ToUpper(day.Never[:1]) + day.Never[1:] + ". " + check
		}
		if n := day.Notch; n != nil {
			check += fmt.Sprintf(" Notch %d (%s) from %s to %s.", n.Notch, degrees(n.Tilt), date(n.From), date(n.To))
		}
		rows = append(rows, []string{day.Date.Format("2 Jan 2006") + ", " + day.Zone, clock(day.Rise), clock(day.Noon), clock(day.Set), noon, check})
	}
	g.table(columns, rows)
}

func clock(t *time.Time) string {
	if t == nil {
		return "–"
	}
	return t.Round(time.Minute).Format("15:04")
}

func pointName(a compass.Angle) string {
	return [4]string{"north", "east", "south", "west"}[int(math.Round(a.Azimuth().Degrees()/90))%4]
}

// levels says what standing out of level costs.
func (g *galley) levels(s *answer.Setup) {
	g.heading(fmt.Sprintf("Level to within %.0f°", s.LevelDeg.Degrees()))
	columns := []column{{"out by", 18, true}, {"one end of a metre lower by", 44, true}, {"loss, sun straight on", 40, true}, {fmt.Sprintf("loss, sun %.0f° aslant", answer.Beside), 0, true}}
	var rows [][]string
	for _, l := range s.Level {
		rows = append(rows, []string{figure(l.OffDeg, 0) + "°", g.doc.options.length(l.DropM), figure(100*l.Loss, 2) + " %", "up to " + figure(100*l.Aside, 1) + " %"})
	}
	g.table(columns, rows)
	for _, f := range s.Leaning {
		g.say(f)
	}
}

// tiltsToSet lists the stand's own settings.
func (g *galley) tiltsToSet(s *answer.Setup) {
	if len(s.Settings) == 0 {
		g.say(fmt.Sprintf("Tilt: %s from flat.", degrees(s.Own.Tilt)))
		return
	}
	var all []string
	for _, one := range s.Settings {
		name := ""
		switch {
		case one.PropM > 0:
			name = fmt.Sprintf("prop %d: %s", one.Back, degrees(one.Tilt))
		case one.Front > 0:
			name = fmt.Sprintf("stop %d with notch %d: %s", one.Front, one.Back, degrees(one.Tilt))
		default:
			name = fmt.Sprintf("setting %d: %s", one.Back, degrees(one.Tilt))
		}
		if one == s.Own {
			name += " (the rig's own)"
		}
		all = append(all, name)
	}
	g.say("Tilts that the stand has, from flat: " + strings.Join(all, "; ") + ".")
}
