package answer

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"turnsole/compass"
	"turnsole/rigfile"
	"turnsole/stand"
)

// shownGustMS is the gust by which forces are told, a gale's: they grow with
// its square.
const shownGustMS = 15.0

// galeMS is the mean wind at which a gale begins, Beaufort 8.
const galeMS = 17.2

// Stand is what the frame does: which tilts it gives, and what the wind does to
// it at each.
type Stand struct {
	Rig, Spot string
	Frame     stand.Frame
	Body      stand.Body
	Own       compass.Angle // the rig's own tilt
	Standing  stand.Setting // the setting nearest to it, or it alone where none is possible
	Settings  []StandSetting
	// Nearest is the possible setting nearest to the rig's own tilt, an index
	// of Settings; -1 where none is possible.
	Nearest    int
	Flat       WindLimits // the panel lying on its rails, tied down
	Wind       WindLimits // at the own tilt
	Headline   NamedLimit // the lowest of them
	WantedMS   float64    // mean wind of a forecast in which it is to stand
	BallastKg  float64    // more than it has now, for that; NaN where none will do
	BallastWhy string     // why none will do
	PegN       float64    // or what each peg, one at each foot, must hold instead
	Loads      []WindLoad // at the own tilt in a gust of GustMS
	GustMS     float64
	Cut        *stand.CutPlan // where to cut for tilts asked for; nil where none were
	Verdict    string
	Findings   []string
	Cautions   []string
	Assumed    []rigfile.Assumed
}

// OnLegs reports whether it stands on legs in notches.
func (s *Stand) OnLegs() bool { return s.Frame.Kind == stand.Legs }

// Propped reports whether it is a hinged frame on a prop.
func (s *Stand) Propped() bool { return s.Frame.Kind == stand.Prop }

// StandSetting is one setting with the winds that it stands.
type StandSetting struct {
	stand.Setting
	Wind   WindLimits // empty where the setting is not possible
	Lowest NamedLimit
	Loads  []WindLoad // in a gust of Stand.GustMS, by side
}

// Worst is the greatest of each that a gust does, from whatever side.
func (s *StandSetting) Worst() (worst stand.Load) {
	for _, l := range s.Loads {
		worst.NormalN = max(worst.NormalN, math.Abs(l.NormalN))
		worst.DragN = max(worst.DragN, math.Abs(l.DragN))
		worst.UpliftN = max(worst.UpliftN, l.UpliftN)
		worst.TurnNm = max(worst.TurnNm, math.Abs(l.TurnNm))
		worst.TipNm = max(worst.TipNm, l.TipNm)
	}
	return worst
}

// WindLimits are the winds at which something gives way, a Limit each; a CutPlan is
// where to cut.
type (
	WindLimits = stand.Limits
	Limit      = stand.Limit
	CutPlan    = stand.CutPlan
)

// NamedLimit is one of them with its name in words.
type NamedLimit struct {
	Name string // "tips over", "slides", …
	stand.Limit
}

// WindLoad is what one wind does.
type WindLoad struct {
	From compass.Angle // relative to the heading: 0 onto the face, 180 onto the back
	stand.Load
}

// turnsIt is the limit that a brake or a worm moves, and no ballast.
const turnsIt = "wind turns it"

var never = stand.Limit{GustMS: math.Inf(1), ForecastMS: math.Inf(1)}

// limitNames are the words for the five ways in which wind wins.
var limitNames = []string{"tips over", "slides", "panel lifts off its rest", "legs fold", turnsIt}

// NamedLimits lists the limits in the order in which they are told.
func NamedLimits(l WindLimits) []NamedLimit {
	all := []stand.Limit{l.Tips, l.Slides, l.LiftsOff, l.LegsFold, l.Turns}
	var named []NamedLimit
	for i, limit := range all {
		named = append(named, NamedLimit{limitNames[i], limit})
	}
	return named
}

func lowest(l WindLimits) NamedLimit {
	return slices.MinFunc(NamedLimits(l), func(a, b NamedLimit) int { return cmp.Compare(a.GustMS, b.GustMS) })
}

// LookAtStand answers what the frame does, at one spot ("" for the first).
func LookAtStand(rig *rigfile.Rig, spotName string) (*Stand, error) {
	spots, err := spotsNamed(rig, spotName)
	if err != nil {
		return nil, err
	}
	s := &Stand{Rig: rig.Name, Spot: spots[0].Name, Frame: rig.Frame, Own: rig.Stand.Tilt,
		WantedMS: rig.WantedWindMS, GustMS: shownGustMS, Cautions: windCautions(),
		Assumed: rig.AssumedFor(rigfile.ForStand, rigfile.ForWind)}
	s.Body = bodyAt(rig, spots[0])
	s.Body.HoldingNm = rig.Train.Hold(rig.Axle).NowNm
	for _, setting := range rig.Frame.Settings() {
		s.Settings = append(s.Settings, s.at(setting))
	}
	own, i := rig.Frame.Nearest(s.Own)
	s.Standing, s.Nearest = own, i
	s.Wind = s.Body.LimitsAt(own)
	s.Headline = lowest(s.Wind)
	lying := stand.Body{Base: s.Body.Base, Frame: stand.Frame{Kind: stand.Plain}}
	lying.Latched = true
	s.Flat = lying.LimitsAt(stand.Setting{Possible: true})
	s.ballast(own)
	s.Loads = loads(s.Body, own)
	s.judge()
	return s, nil
}

// CutFor finds where to cut this stand, or how long to make its prop, for tilts
// in degrees from flat.
func (s *Stand) CutFor(tiltsDeg []float64) error {
	if s.Frame.Kind != stand.Legs && s.Frame.Kind != stand.Prop {
		return bad("the rig file gives this stand's tilts and not its measures: write kind = \"legs\" or \"prop\" under [stand], with its lengths")
	}
	var tilts []compass.Angle
	for _, t := range tiltsDeg {
		if !(t >= 0 && t <= 90) {
			return bad("a tilt of %v degrees: it must lie between 0 and 90", t)
		}
		tilts = append(tilts, compass.Angle(t))
	}
	plan, err := s.Frame.CutFor(tilts)
	if err != nil {
		return &BadInput{err}
	}
	s.Cut = &plan
	return nil
}

// at is what the wind does at one setting.
func (s *Stand) at(setting stand.Setting) StandSetting {
	one := StandSetting{Setting: setting}
	if setting.Possible {
		one.Wind = s.Body.LimitsAt(setting)
		one.Lowest = lowest(one.Wind)
		one.Loads = loads(s.Body, setting)
	}
	return one
}

// bodyAt is the stand as the wind at a spot finds it.
func bodyAt(rig *rigfile.Rig, spot rigfile.Spot) stand.Body {
	b := stand.Body{Base: rig.Base, Frame: rig.Frame}
	b.Terrain = spot.Terrain
	return b
}

// loads tells what a gust does from sides 45 degrees apart.
func loads(b stand.Body, s stand.Setting) (all []WindLoad) {
	for from := compass.Angle(0); from <= 180; from += 45 {
		all = append(all, WindLoad{from, b.LoadAt(s, from, shownGustMS)})
	}
	return all
}

func (s *Stand) ballast(own stand.Setting) {
	kg, err := s.Body.BallastFor(own, s.WantedMS)
	if err != nil {
		s.BallastKg, s.BallastWhy = math.NaN(), err.Error()
	} else {
		s.BallastKg = kg
	}
	s.PegN = s.Body.PegN(own, s.WantedMS)
}

// WindSpeed writes a wind that must not be reached: never more than it is.
func WindSpeed(ms float64) string {
	if ms < 10 {
		return fmt.Sprintf("%.1f m/s", math.Floor(ms*10)/10)
	}
	return fmt.Sprintf("%.0f m/s", math.Floor(ms))
}

// nm writes a torque with two digits that count.
func nm(x float64) string { return counting(x) + " Nm" }

// counting writes a figure with two digits that count, or all before its point.
func counting(x float64) string {
	if math.Abs(x) >= 10 {
		return fmt.Sprintf("%.0f", x)
	}
	return fmt.Sprintf("%.2g", x)
}

// windText gives a limit twice: at the panel, and as a forecast would say it.
func windText(l stand.Limit) string {
	if math.IsInf(l.GustMS, 1) {
		return "no wind"
	}
	b := stand.BeaufortOf(l.ForecastMS)
	return fmt.Sprintf("a gust of %s at the panel, which comes with a forecast of %s mean wind (Beaufort %d, %s: %s)",
		WindSpeed(l.GustMS), WindSpeed(l.ForecastMS), b.Force, b.Name, b.Sign)
}

// Beaufort returns the forecast of a limit in words, "" where no wind does it.
func Beaufort(l stand.Limit) string {
	if math.IsInf(l.ForecastMS, 1) || math.IsNaN(l.ForecastMS) {
		return ""
	}
	b := stand.BeaufortOf(l.ForecastMS)
	return fmt.Sprintf("%d, %s", b.Force, b.Name)
}

func (s *Stand) say(format string, args ...any) {
	s.Findings = append(s.Findings, fmt.Sprintf(format, args...))
}

// judge says in words what the figures come to.
func (s *Stand) judge() {
	own := s.Standing
	still := s.standing()
	switch {
	case math.IsInf(s.Headline.GustMS, 1):
		s.Verdict = fmt.Sprintf("At %.0f degrees no wind that is reckoned here moves it. ", own.Tilt.Degrees())
	default:
		s.Verdict = fmt.Sprintf("First to give way at %.0f degrees: %s, in %s. ", own.Tilt.Degrees(), s.Headline.Name, windText(s.Headline.Limit))
		if s.Headline.Name == turnsIt {
			s.Verdict += fmt.Sprintf("Held against that, the next: %s, in %s. ", still.Name, windText(still.Limit))
		}
	}
	s.Verdict += "The figures hold for level, firm ground and sound wood, and not for yours until you have tried it."
	s.sayGeometry(own)
	s.sayWind()
	s.sayBallast()
}

// standing is the first limit at the own tilt apart from being turned.
func (s *Stand) standing() NamedLimit { return unturned(s.Wind) }

// unturned is the first limit apart from being turned.
func unturned(l WindLimits) NamedLimit {
	l.Turns = never
	return lowest(l)
}

// packing says before which forecasts the panel is laid flat, where there is
// something to be won by that, and before which it is taken in: never later
// than before a gale.
func (s *Stand) packing() (layFlatMS, takeInMS float64, layFlat bool) {
	return s.packingAt(s.Standing.Tilt, s.standing())
}

// packingAt is packing for a tilt that gives way at a limit.
func (s *Stand) packingAt(tilt compass.Angle, first NamedLimit) (layFlatMS, takeInMS float64, layFlat bool) {
	layFlatMS, takeInMS = first.ForecastMS, min(unturned(s.Flat).ForecastMS, galeMS)
	layFlat = tilt >= 5 && layFlatMS < takeInMS-1
	if !layFlat {
		takeInMS = min(layFlatMS, galeMS)
	}
	return layFlatMS, takeInMS, layFlat
}

// EveryTilt says which of the stand's settings is the first to give way, being
// turned apart, and before which forecasts a panel at any of them is laid flat
// and taken in.
func (s *Stand) EveryTilt() string {
	weakest, first := s.Standing, s.standing()
	for _, one := range s.Settings {
		if l := unturned(one.Wind); one.Possible && l.ForecastMS < first.ForecastMS {
			weakest, first = one.Setting, l
		}
	}
	text := "No wind that is reckoned here moves it at any tilt. "
	layFlatMS, takeInMS, layFlat := s.packingAt(weakest.Tilt, first)
	if !math.IsInf(first.ForecastMS, 1) {
		text = fmt.Sprintf("First to give way of all its tilts, at %.0f degrees: %s, in a forecast of %s mean wind. ", weakest.Tilt.Degrees(), first.Name, WindSpeed(first.ForecastMS))
	}
	if layFlat {
		text += fmt.Sprintf("Lay it flat and tie it down before a forecast of %s. ", WindSpeed(layFlatMS))
	}
	return text + takeInText(takeInMS)
}

// takeInText says before which forecast a panel is taken in.
func takeInText(takeInMS float64) string {
	return fmt.Sprintf("Take it in before a forecast of %s, and before any gale (Beaufort 8) whatever the figures say.", WindSpeed(takeInMS))
}

func (s *Stand) sayGeometry(own stand.Setting) {
	if s.Nearest >= 0 && math.Abs(float64(own.Tilt-s.Own)) > 0.5 {
		s.say("The rig's own tilt is %.0f degrees; the nearest that the stand can be set to is %.1f.", s.Own.Degrees(), own.Tilt.Degrees())
	}
	impossible, past, slides := 0, 0, 0
	worst := stand.Setting{}
	for _, one := range s.Settings {
		switch {
		case !one.Possible:
			impossible++
			continue
		case one.PastUpright:
			past++
		}
		if one.Slides {
			slides++
		}
		if one.Error > worst.Error {
			worst = one.Setting
		}
	}
	if impossible > 0 {
		s.say("%d of %d settings are not possible; the table says why.", impossible, len(s.Settings))
	}
	if past > 0 {
		s.say("In %d settings the leg stands past upright: its foot pushes forwards and can leave its notch; don't use them in wind.", past)
	}
	if slides > 0 {
		s.say("In %d settings the foot would slide were it not for its notch (friction %.2g): cut the notch's rear wall upright and keep it sound.", slides, s.Frame.Friction)
	}
	if worst.Error > 0 {
		s.say("A cut or mark that is 2 mm off moves the tilt by up to %.1f degrees (%s, at %.0f degrees).", worst.Error.Degrees(), worst.ErrorOf, worst.Tilt.Degrees())
	}
}

// sayWind says what to do before which forecast: hold it, lay it flat, take it
// in, each no later than the next.
func (s *Stand) sayWind() {
	layFlatMS, takeInMS, layFlat := s.packing()
	first := min(layFlatMS, takeInMS)
	if l := s.Wind.Turns; l.ForecastMS < first {
		s.say("Between moves the panel is held by %s: a forecast of %s turns it. Up to %s that costs only the aim, as long as end stops and the cable's loop are sound; a brake, a worm or a locked axle holds it.",
			nm(s.Body.HoldingNm), WindSpeed(l.ForecastMS), WindSpeed(first))
	}
	if layFlat {
		s.say("Lay the panel flat on its rails and tie it down before a forecast of %s mean wind; so laid, with rails, legs or grass stopping the air beneath it, %s.", WindSpeed(layFlatMS), flatText(unturned(s.Flat)))
	}
	s.say("%s", takeInText(takeInMS))
}

func flatText(l NamedLimit) string {
	if math.IsInf(l.GustMS, 1) {
		return "no wind that is reckoned here moves it"
	}
	return fmt.Sprintf("the first to give way is: %s, in a gust of %s at the panel, a forecast of %s", l.Name, WindSpeed(l.GustMS), WindSpeed(l.ForecastMS))
}

func (s *Stand) sayBallast() {
	b := stand.BeaufortOf(s.WantedMS)
	switch {
	case s.BallastWhy != "":
		s.say("For a forecast of %.0f m/s (Beaufort %d, %s) ballast alone will not do: %s. Pegs would each have to hold %.0f N (the weight of %s kg).",
			s.WantedMS, b.Force, b.Name, s.BallastWhy, s.PegN, counting(s.PegN/stand.GravityMS2))
	case s.BallastKg > 0:
		s.say("To neither tip nor slide in a forecast of %.0f m/s (Beaufort %d, %s), with the usual margins, it wants %.0f kg more ballast on the base, or a peg at each foot that holds %.0f N (the weight of %s kg). Legs, panel and drive are not helped by ballast.",
			s.WantedMS, b.Force, b.Name, math.Ceil(s.BallastKg), s.PegN, counting(s.PegN/stand.GravityMS2))
	default:
		s.say("It neither tips nor slides in a forecast of %.0f m/s (Beaufort %d, %s), with the usual margins.", s.WantedMS, b.Force, b.Name)
	}
}

// windCautions stand beside every figure about wind.
func windCautions() []string {
	return []string{
		"These figures come from flat plates in steady tunnels; real gusts swirl round houses and hills. They tell which part is weakest, not that it is safe.",
		"Local codes and a competent person decide where the panel can fall on somebody, on a road or on a roof.",
		"Lay it flat or take it in before the wind comes, not while it blows, and never alone with a panel that is lifting.",
		"Keep the downwind side free of people and animals; children and dogs pull on stands.",
		"Ballast must not slide off; pegs hold as much as the ground does: pull each one by hand with a spring balance.",
	}
}
