package answer

import (
	"fmt"
	"math"
	"slices"
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/rigfile"
	"turnsole/stand"
	"turnsole/sun"
)

// SetupQuestion asks how to set the stand up square at a spot.
type SetupQuestion struct {
	Rig    *rigfile.Rig
	Spot   string      // the name of one spot; "" for the first
	Dates  []time.Time // the days for which it is wanted, 1..6; only year, month and day count
	StickM float64     // length of the stick whose shadow is looked at, 0.05..5; 0 for half a metre
	EveryH float64     // hours between two rows of the table, 0.25..6; 0 for 1
	Season *Notches    // the year's calendar, for the notch of each day; nil where it is not known
}

// Setup is a card for a spot and some days: where the stand must face by the
// true north and by a compass, how level it must stand, and where the shadow
// of a stick must fall.
type Setup struct {
	Rig, Spot           string
	Latitude, Longitude compass.Angle
	AltitudeM           float64
	Clock               string // the zone that clock times are told in

	Still      compass.Angle // heading towards the equator, true
	Field      place.Field   // of the earth's magnet there, in the middle of the dates; zero with a FieldWhy
	FieldYear  float64       // decimal year for which it holds
	FieldWhy   string        // why no compass is gone by, "" where one is
	CompassDeg compass.Angle // what a compass shows when the stand faces Still; Still with a FieldWhy
	StickM     float64
	Days       []SetupDay
	Level      []LevelCost
	LevelDeg   compass.Angle // how far out of plumb the drive is reckoned to bear
	HoldNm     float64       // what holds the panel against its own lean with the motor off; may be infinite
	Settings   []stand.Setting
	Own        stand.Setting // the possible one nearest to the rig's own tilt
	Findings   []string      // how to find the heading
	Leaning    []string      // what it means to stand out of level
	Cautions   []string
	Assumed    []rigfile.Assumed
}

// SetupDay is one day's shadows.
type SetupDay struct {
	Date            time.Time  // its midnight by the spot's clock
	Zone            string     // what the clock on the wall is called that day, as "BST, UTC+1"
	Rise, Noon, Set *time.Time // by the spot's clock; nil where there is none
	Never           string     // that the sun does not rise, or not set; "" where it does both
	AtNoon          *Shadow    // along the meridian; nil where the sun is not up then
	Shadows         []Shadow   // while the sun is high enough for one, by the clock
	Check           string     // when in the day the check is good: a sentence without its capital
	Notch           *DayNotch  // by the season's calendar; nil where that is not known
}

// DayNotch is the notch that a turning panel is in on a day.
type DayNotch struct {
	Notch    int // counted from 1, the flattest first
	Tilt     compass.Angle
	From, To MonthDay
}

// Shadow is where the shadow of an upright stick lies.
type Shadow struct {
	At           time.Time
	SunAzimuth   compass.Angle
	SunElevation compass.Angle // as seen through the air
	Bearing      compass.Angle // true, of the shadow from the stick's foot
	CompassDeg   compass.Angle // what a compass shows along it; as Bearing where there is no Field
	LengthM      float64
	PerMinute    compass.Angle // by how much it turns in a minute, clockwise positive
	PlumbError   compass.Angle // how far a stick that leans by a degree makes it point wrong
	Steep        bool          // the sun is too high for it to tell a direction well
}

// LevelCost is what it costs to stand out of level, or off the true heading.
type LevelCost struct {
	OffDeg float64
	Loss   float64 // share of the beam that is lost by a panel otherwise aimed at the sun, 1 - cos
	// Aside is the share lost at most where the sun stands Beside degrees off
	// the panel's face already, as it mostly does with a tilt that is set by hand.
	Aside float64
	DropM float64 // of one end of a batten of a metre, by that slope
	// PullNm is the greatest torque with which the panel's own weight turns it
	// on an axle that far out of plumb.
	PullNm float64
}

// Beside is how far the sun is taken to stand off the panel's face for
// LevelCost.Aside, in degrees.
const Beside = 30.0

const (
	usualStickM  = 0.5
	lowestShadow = 5.0  // degrees of the sun below which a shadow is 11 times the stick and blurred
	steepSun     = 70.0 // degrees above which a stick that leans by one turns its shadow by three
)

// SetUp answers a SetupQuestion.
func SetUp(q SetupQuestion) (*Setup, error) {
	if err := q.check(); err != nil {
		return nil, err
	}
	spots, err := spotsNamed(q.Rig, q.Spot)
	if err != nil {
		return nil, err
	}
	spot := spots[0]
	s := &Setup{Rig: q.Rig.Name, Spot: spot.Name, Latitude: spot.Latitude, Longitude: spot.Longitude, AltitudeM: spot.AltitudeM,
		Clock: spot.Clock().String(), Still: compass.Equatorward(spot.Latitude), StickM: q.StickM,
		LevelDeg: q.Rig.Axle.Plumb, Cautions: setupCautions(), Assumed: q.Rig.AssumedFor(rigfile.ForStand)}
	s.magnet(spot.Spot, q.Dates)
	for _, date := range q.Dates {
		s.Days = append(s.Days, s.day(spot.Spot, date, q.EveryH, q.Season))
	}
	s.level(q.Rig)
	s.settings(q.Rig)
	s.judge()
	return s, nil
}

// check sets what is left open and refuses what makes no sense.
func (q *SetupQuestion) check() error {
	if q.StickM == 0 {
		q.StickM = usualStickM
	}
	if q.EveryH == 0 {
		q.EveryH = 1
	}
	switch {
	case len(q.Dates) < 1 || len(q.Dates) > 6:
		return bad("%d dates: a card is made for 1 to 6 of them", len(q.Dates))
	case !(q.StickM >= 0.05 && q.StickM <= 5):
		return bad("a stick of %v m: take one between 0.05 and 5 m; half a metre is handy", q.StickM)
	case !(q.EveryH >= 0.25 && q.EveryH <= 6):
		return bad("a row every %v hours: give a quarter of an hour to 6 hours", q.EveryH)
	}
	for _, date := range q.Dates {
		if y := date.Year(); y < 1800 || y > 2200 {
			return bad("the year %d: a card is made for the years 1800 to 2200", y)
		}
	}
	return nil
}

// magnet finds the compass's error for the middle of the dates.
func (s *Setup) magnet(spot place.Spot, dates []time.Time) {
	first, last := slices.MinFunc(dates, time.Time.Compare), slices.MaxFunc(dates, time.Time.Compare)
	s.FieldYear = (place.DecimalYear(first) + place.DecimalYear(last)) / 2
	s.CompassDeg = s.Still
	field, err := place.MagneticField(spot, s.FieldYear)
	switch {
	case err != nil:
		s.FieldWhy = err.Error()
	case field.Caution() != "":
		s.FieldWhy = field.Caution()
	default:
		s.Field, s.CompassDeg = field, field.Bearing(s.Still)
	}
}

func (s *Setup) day(spot place.Spot, date time.Time, everyH float64, season *Notches) SetupDay {
	midnight := time.Date(date.Year(), date.Month(), date.Day(), 0, 0, 0, 0, spot.Clock())
	start := sun.JulianDayOf(midnight)
	l := sunlight{sun.At(spot), sun.DeltaT(start), s}
	d := sun.DayFrom(start, l.observer, l.deltaT)
	day := SetupDay{Date: midnight, Zone: zoneText(midnight.Add(12 * time.Hour))}
	day.Rise, day.Noon, day.Set = clock(d.Rise, spot.Clock()), clock(d.Transit, spot.Clock()), clock(d.Set, spot.Clock())
	switch {
	case d.PolarNight:
		day.Never = "the sun does not rise on this day"
	case d.PolarDay:
		day.Never = "the sun does not set on this day"
	}
	if day.Noon != nil {
		if noon := l.shadow(*day.Noon); noon.SunElevation > 0 {
			day.AtNoon = &noon
		}
	}
	for h := 0.0; h < 24; h += everyH {
		at := atHour(midnight, h)
		if len(day.Shadows) > 0 && !at.After(day.Shadows[len(day.Shadows)-1].At) {
			continue // the clock was put back over it
		}
		if shadow := l.shadow(at); shadow.SunElevation > lowestShadow {
			day.Shadows = append(day.Shadows, shadow)
		}
	}
	day.Check = day.checked()
	day.Notch = notchOn(season, midnight)
	return day
}

// atHour is an hour by the clock of a day, whatever is put forward or back in it.
func atHour(midnight time.Time, h float64) time.Time {
	minutes := int(math.Round(h * 60))
	return time.Date(midnight.Year(), midnight.Month(), midnight.Day(), minutes/60, minutes%60, 0, 0, midnight.Location())
}

// clock is an instant on the spot's clock, nil for one that is not.
func clock(jd sun.JulianDay, zone *time.Location) *time.Time {
	if math.IsNaN(float64(jd)) {
		return nil
	}
	t := jd.Time().In(zone)
	return &t
}

func zoneText(t time.Time) string {
	name, offset := t.Zone()
	utc := "UTC" + offsetText(offset)
	if offset == 0 {
		utc = "UTC"
	}
	if name == "" || name == "UTC" || name == "UTC+0" || name == utc || name == t.Format("-07") || name == t.Format("-0700") {
		return utc
	}
	return name + ", " + utc
}

// offsetText writes seconds east of Greenwich: +1, -3:30, and nothing for none.
func offsetText(seconds int) string {
	if seconds == 0 {
		return ""
	}
	minutes := seconds / 60
	text := fmt.Sprintf("%+d", minutes/60)
	if minutes < 0 && minutes > -60 {
		text = "-0"
	}
	if rest := minutes % 60; rest != 0 {
		text += fmt.Sprintf(":%02d", max(rest, -rest))
	}
	return text
}

// sunlight casts shadows of the card's stick.
type sunlight struct {
	observer sun.Observer
	deltaT   float64
	card     *Setup
}

func (l sunlight) shadow(at time.Time) Shadow {
	jd := sun.JulianDayOf(at)
	p := sun.PositionAt(jd, l.observer, l.deltaT)
	const minute = 1.0 / 1440
	next := sun.PositionAt(jd+minute, l.observer, l.deltaT)
	bearing, length := sun.Shadow(p.Azimuth, p.Elevation, l.card.StickM)
	shadow := Shadow{At: at, SunAzimuth: p.Azimuth, SunElevation: p.Elevation, Bearing: bearing, CompassDeg: bearing, LengthM: length,
		PerMinute: compass.Turn(p.Azimuth, next.Azimuth), Steep: p.Elevation > steepSun}
	// A tip that is out sideways by tan 1° of the stick, seen along a shadow of
	// the stick over tan of the elevation.
	shadow.PlumbError = compass.Radians(math.Atan(math.Tan(math.Pi/180) * math.Max(0, p.Elevation.Sin()/p.Elevation.Cos())))
	if l.card.FieldWhy == "" {
		shadow.CompassDeg = l.card.Field.Bearing(bearing)
	}
	return shadow
}

// checked says in words when a day's shadows tell a direction.
func (d *SetupDay) checked() string {
	steep := 0
	for _, s := range d.Shadows {
		if s.Steep {
			steep++
		}
	}
	switch {
	case len(d.Shadows) == 0:
		return fmt.Sprintf("no check: at none of these times does the sun stand %.0f degrees high.", lowestShadow)
	case steep == len(d.Shadows):
		return "the sun is too high at all these times: take one nearer to its rise or set."
	case steep > 0:
		return fmt.Sprintf("while the sun stands above %.0f degrees the shadow is too short: a stick that leans by 1 degree makes it point wrong by 3 or more. Check earlier or later.", steepSun)
	}
	return "good all day, surest with a low sun."
}

// notchOn finds the notch that the calendar has on a day, by the stand as it is
// built where it has settings, for a panel that turns.
func notchOn(season *Notches, day time.Time) *DayNotch {
	if season == nil {
		return nil
	}
	year := season.Turning.AsBuilt
	if len(year.Swaps) == 0 {
		year = season.Turning.Best
	}
	for _, s := range year.Swaps {
		if s.Holds(MonthDay{Month: int(day.Month()), Day: day.Day()}) {
			return &DayNotch{Notch: s.Notch, Tilt: year.Tilts[s.Notch-1], From: s.From, To: s.To}
		}
	}
	return nil
}

// Holds reports whether a day lies in the stretch, which may go over New Year.
func (s Swap) Holds(day MonthDay) bool {
	number := func(d MonthDay) int { return 100*d.Month + d.Day }
	from, to, at := number(s.From), number(s.To), number(day)
	if from <= to {
		return from <= at && at <= to
	}
	return at >= from || at <= to
}

// level sets what standing out of level costs.
func (s *Setup) level(rig *rigfile.Rig) {
	axle := rig.Axle
	s.HoldNm = rig.Train.BackDriveNm(axle.BearingNm)
	for _, off := range []float64{1, 2, 3, 5, 10, 15} {
		a := compass.Angle(off)
		axle.Plumb = a
		s.Level = append(s.Level, LevelCost{OffDeg: off, Loss: 1 - a.Cos(), DropM: a.Sin(),
			Aside: 1 - (a+Beside).Cos()/compass.Angle(Beside).Cos(), PullNm: axle.PlumbNm()})
	}
}

// settings lists what the stand can be set to.
func (s *Setup) settings(rig *rigfile.Rig) {
	s.Own, _ = rig.Frame.Nearest(rig.Stand.Tilt)
	for _, one := range rig.Frame.Settings() {
		if one.Possible {
			s.Settings = append(s.Settings, one)
		}
	}
}
