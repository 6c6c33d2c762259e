package stand

import (
	"math"

	"turnsole/compass"
)

// Limit is the wind that brings something about, over every direction of the
// wind and every heading of the panel over its feet. It is without safety
// factors, but with cautious coefficients.
type Limit struct {
	GustMS     float64       // at the panel; +Inf where no wind does it
	ForecastMS float64       // the forecast's mean wind, 10 m above open country, in which that gust comes
	From       compass.Angle // where it comes from, 0 onto the face to 180 onto the back, from the right or the left alike
	How        string        // what happens, or why it cannot
}

// Limits are the winds in which a setting fails.
type Limits struct {
	Tips     Limit // over the line between two neighbouring feet
	Slides   Limit // on its feet, or lifted as a whole
	LiftsOff Limit // the panel's front edge leaves its stop; without dimensions, the panel its rest
	LegsFold Limit // the legs are unloaded and leave their notches
	Turns    Limit // the panel turns about the vertical axis
}

// Lowest returns the limit that comes first, and its name: tips, slides,
// lifts_off, legs_fold or turns. The name is empty where no wind does anything.
func (l Limits) Lowest() (name string, limit Limit) {
	limit = Limit{GustMS: math.Inf(1), ForecastMS: math.Inf(1)}
	for _, of := range []struct {
		name string
		Limit
	}{{"tips", l.Tips}, {"slides", l.Slides}, {"lifts_off", l.LiftsOff}, {"legs_fold", l.LegsFold}, {"turns", l.Turns}} {
		if of.GustMS < limit.GustMS {
			name, limit = of.name, of.Limit
		}
	}
	return name, limit
}

// LimitsAt returns the limits of a setting. All loads grow with the wind
// squared, so each is solved for its pressure, direction by direction.
func (b Body) LimitsAt(s Setting) Limits {
	p, err := b.poseAt(s)
	if err != nil {
		n := never(err.Error())
		return Limits{n, n, n, n, n}
	}
	w := windRose(p, b.Terrain.GustPerForecast(p.upM))
	l := Limits{Tips: b.tips(w), Slides: b.slides(w), Turns: b.turns(w)}
	l.LiftsOff, l.LegsFold = b.letsGo(w, l.Tips.GustMS)
	return l
}

func never(why string) Limit {
	return Limit{GustMS: math.Inf(1), ForecastMS: math.Inf(1), How: why}
}

const (
	roseStep = 5 // degrees
	roseLen  = 180/roseStep + 1
)

// rose is every push of every direction on one side; the other is its mirror
// image.
type rose struct {
	pose
	gustPerForecast float64
	pushes          [roseLen][4]push
}

func windRose(p pose, gustPerForecast float64) *rose {
	w := &rose{pose: p, gustPerForecast: gustPerForecast}
	for i := range w.pushes {
		w.pushes[i] = p.pushes(compass.Angle(i * roseStep))
	}
	return w
}

// least returns the smallest value of any push and its direction: on the grid,
// then by golden section on both sides of the best of it.
func (w *rose) least(value func(push) float64) (least float64, from compass.Angle) {
	best := func(pushes [4]push) float64 {
		return min(value(pushes[0]), value(pushes[1]), value(pushes[2]), value(pushes[3]))
	}
	least = math.Inf(1)
	for i := range w.pushes {
		if v := best(w.pushes[i]); v < least {
			least, from = v, compass.Angle(i*roseStep)
		}
	}
	if math.IsInf(least, 1) {
		return least, 0
	}
	for _, side := range []compass.Angle{from - roseStep, from + roseStep} {
		if side < 0 || side > 180 {
			continue
		}
		at, v := golden(from, side, func(a compass.Angle) float64 { return best(w.sail.pushes(a)) })
		if v < least {
			least, from = v, at
		}
	}
	return least, from
}

// golden narrows down the least value between two directions to a hundredth of
// a degree.
func golden(a, b compass.Angle, value func(compass.Angle) float64) (at compass.Angle, least float64) {
	const share = 1 / math.Phi
	c, d := b-(b-a)*share, a+(b-a)*share
	atC, atD := value(c), value(d)
	for math.Abs(float64(b-a)) > 0.01 {
		if atC < atD {
			b, d, atD = d, c, atC
			c = b - (b-a)*share
			atC = value(c)
		} else {
			a, c, atC = c, d, atD
			d = a + (b-a)*share
			atD = value(d)
		}
	}
	if atC < atD {
		return c, atC
	}
	return d, atD
}

// strongestMS is above every gust on record near the ground, 113 m/s (World
// Meteorological Organization, Barrow Island 1996, from memory).
const strongestMS = 150

// limit is the least pressure that brings something about, as a wind.
func (w *rose) limit(pressurePa func(push) float64, how string) Limit {
	pa, from := w.least(pressurePa)
	gust := windOf(pa)
	if !(gust < strongestMS) {
		return never("no wind on earth does that")
	}
	l := Limit{GustMS: gust, From: from, How: how + ", " + w.windOn(from)}
	l.ForecastMS = l.GustMS / w.gustPerForecast
	if pa == 0 {
		l.How = how + " without any wind"
	}
	return l
}

// windOn says how a wind from a side meets the panel.
func (s sail) windOn(from compass.Angle) string {
	words := [...]string{"wind on its face", "wind slantwise on its face", "wind along it", "wind slantwise on its back", "wind on its back"}
	if s.flat() {
		return "wind from any side"
	}
	return words[min(int(math.Round(float64(from)/45)), len(words)-1)]
}

// flat is a panel that lies level as near as makes no difference.
func (s sail) flat() bool { return s.sin < 0.01 }
