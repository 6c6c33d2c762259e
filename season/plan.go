package season

import (
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/plane"
	"turnsole/weather"
)

// plan is a way ready to be run: how it comes to its heading and its tilt at
// every step.
type plan struct {
	way       string
	heading   compass.Angle   // where it is held, when not turned
	follows   bool            // heading follows the sun
	aimed     bool            // heading and own use are those of the controller, year by year
	hands     aim.Hands       // heading goes by the clock
	tilt      compass.Angle   // where it is held
	tilts     []compass.Angle // by day of the calendar, where it changes
	square    bool            // tilt follows the sun
	stretches []Stretch
	panels    float64
}

// axes is how many motors the way needs.
func (p *plan) axes() int {
	switch {
	case p.square:
		return 2
	case p.follows, p.aimed:
		return 1
	}
	return 0
}

// needs is what has to be searched before the plans can be drawn.
type needs struct {
	stillTilts, turningTilts, headings bool
	light                              bool // that falls at these tilts, besides the energy
}

func needsOf(ways []string) needs {
	has := func(names ...string) bool {
		return slices.ContainsFunc(ways, func(w string) bool { return slices.Contains(names, w) })
	}
	return needs{
		stillTilts:   has(StillBest, Notches),
		turningTilts: has(TurningNotches),
		headings:     has(ByHand2, ByHand4),
	}
}

// drawAll draws the plans side by side: some of them take a search.
func drawAll(in *Input, days []int, c weather.Calendar, found *search) []plan {
	plans := make([]plan, len(in.Ways))
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, way := range in.Ways {
		group.Go(func() error {
			plans[i] = draw(way, &in.Rig, days, c, found)
			return nil
		})
	}
	group.Wait() // nothing in it fails
	return plans
}

// draw makes the plan of one way from what was searched.
func draw(way string, rig *Rig, days []int, c weather.Calendar, found *search) plan {
	p := plan{way: way, heading: compass.Equatorward(rig.Spot.Latitude), tilt: rig.Stand.Tilt, panels: 1}
	switch way {
	case Flat:
		p.tilt = 0
	case TwoPanels:
		p.panels = 2
	case StillBest:
		p.tilt = found.bestTilt(rig.Stand)
	case Notches:
		p.notch(found.notches(found.stillByDay, rig.Stand), days, c)
	case TurningNotches:
		p.follows = true
		p.notch(found.notches(found.turningByDay, rig.Stand), days, c)
	case ByHand2:
		p.hands = found.handsOf(2, rig)
	case ByHand4:
		p.hands = found.handsOf(4, rig)
	case Turning:
		p.follows = true
	case Controller:
		p.aimed = true
	case Facing:
		p.follows, p.square = true, true
	}
	return p
}

// notch spreads the tilts found for the window's days over the calendar.
func (p *plan) notch(tilts []compass.Angle, days []int, c weather.Calendar) {
	p.tilts = make([]compass.Angle, len(c.Midnight))
	for i := range p.tilts {
		p.tilts[i] = p.tilt
	}
	for i, d := range days {
		p.tilts[d] = tilts[i]
	}
	p.stretches = stretches(tilts, days, c)
	if len(p.stretches) == 1 {
		p.tilt, p.tilts, p.stretches = tilts[0], nil, nil
	}
}

// stretches joins equal neighbours; a whole year is a circle, so its last
// stretch may run on into its first.
func stretches(tilts []compass.Angle, days []int, c weather.Calendar) []Stretch {
	var out []Stretch
	for i, d := range days {
		date := c.Date(d)
		md := MonthDay{int(date.Month()), date.Day()}
		if n := len(out); n > 0 && out[n-1].Tilt == tilts[i] {
			out[n-1].To = md
			continue
		}
		out = append(out, Stretch{From: md, To: md, Tilt: tilts[i]})
	}
	if n := len(out); n > 1 && goRound(days, c) && out[0].Tilt == out[n-1].Tilt {
		out[0].From = out[n-1].From
		out = out[:n-1]
	}
	return out
}

// fill writes the plan's headings and tilts for each step of the light.
func (p *plan) fill(l *plane.Light, clock []float32, aimed *Aimed, headings, tilts []float32) {
	switch {
	case p.aimed:
		copy(headings, aimed.HeadingDeg)
	case p.follows:
		aim.Follow(l.AzimuthDeg, headings)
	case p.hands != nil:
		for i, h := range clock {
			headings[i] = float32(p.hands.HeadingAt(float64(h)))
		}
	default:
		aim.Hold(p.heading, headings)
	}
	switch {
	case p.square:
		aim.Face(l.Up, tilts)
	case p.tilts != nil:
		for i, h := range l.Hour {
			tilts[i] = float32(p.tilts[h/24])
		}
	default:
		aim.Hold(p.tilt, tilts)
	}
}

// moved adds to turned, by hour, the degrees that the plan's motors turn: on
// with the sun, and back the same way at its next rise, so that the cable
// unwinds. Where the sun doesn't set, it is unwound after a full turn.
func (p *plan) moved(l *plane.Light, headings, tilts []float32, turned []float32) {
	if p.axes() == 0 || l.Len() == 0 {
		return
	}
	var azimuth, tilt float64 // net turns since the last unwinding
	for i := 1; i < l.Len(); i++ {
		h := l.Hour[i]
		if h-l.Hour[i-1] > 1 { // a night
			turned[h] += float32(math.Abs(azimuth) + math.Abs(tilt))
			azimuth, tilt = 0, 0
			continue
		}
		da := float64(compass.Turn(compass.Angle(headings[i-1]), compass.Angle(headings[i])))
		dt := float64(tilts[i] - tilts[i-1])
		azimuth, tilt = azimuth+da, tilt+dt
		turned[h] += float32(math.Abs(da) + math.Abs(dt))
		if math.Abs(azimuth) >= 360 {
			turned[h] += float32(math.Abs(azimuth))
			azimuth = 0
		}
	}
}
