package aim_test

import (
	"math"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/place"
	"turnsole/sun"
)

// plant is a perfect stand under a clear sky: it turns where it is told and
// its panel gives current by the cosine. Clouds may be drawn over it.
type plant struct {
	t      tester
	site   aim.Site
	policy aim.Policy
	path   *sun.Path
	tilt   compass.Angle

	clockLateS float64       // the controller's clock minus the true time
	north      compass.Angle // true azimuth minus the controller's heading
	hunts      bool
	step       compass.Angle                // a climber's; 0 for others
	see        float64                      // and what it can see, A
	noClock    bool                         // the controller has none
	cloud      func(unixS float64) float64  // share of the beam that is left; nil for clear
	wind       func(unixS float64) float64  // m/s; nil without a sensor
	after      func(p *plant, last command) // called after each command

	startS, unixS float64
	told          compass.Angle
	slip          compass.Angle // the panel's heading minus told, by the controller's north
	stop          int
	fresh         bool
	turns         int
	turned        float64
	seen          aim.Sight
}

type command = aim.Command

// springS is 2026-03-20 00:00 UTC, summerS 2026-06-21, winterS 2026-12-21.
const (
	springS = 1773964800
	summerS = 1782000000
	winterS = 1797811200
)

// tester is a test, a benchmark, or one draw of rapid's.
type tester interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
	Logf(string, ...any)
}

func newPlant(t tester, latitude compass.Angle, policy string, from float64, change func(*aim.Settings, *aim.Site)) *plant {
	spot := place.Spot{Latitude: latitude}
	first := sun.JulianDayUnix(from)
	still := compass.Equatorward(latitude)
	site := aim.Site{
		Spot: spot, Still: still, Low: still - 135, High: still + 135, StepDeg: 0.05, BestA: 5,
		Path: sun.NewPath(sun.At(spot), first-2, first+12, 69),
	}
	set := aim.DefaultSettings(policy, site)
	path, hunts := site.Path, policy == "climb" || policy == "eyes"
	if hunts {
		site.Path = nil
	}
	if change != nil {
		change(&set, &site)
	}
	p := &plant{t: t, site: site, path: path, hunts: hunts, noClock: site.Path == nil, tilt: 45, startS: from, unixS: from, told: still}
	var err error
	if p.policy, err = aim.New(policy, set, p.site); err != nil {
		t.Fatal(err)
	}
	return p
}

func (p *plant) sun() (azimuth, elevation compass.Angle) {
	var a, e [1]float64
	p.path.Positions(sun.JulianDayUnix(p.unixS), 1, a[:], e[:])
	return compass.Angle(a[0]), compass.Angle(e[0])
}

// faces is the panel's true azimuth.
func (p *plant) faces() compass.Angle { return p.told + p.slip + p.north }

// reach is the true azimuth nearest to the sun's that the cable lets the panel
// face.
func (p *plant) reach(azimuth compass.Angle) compass.Angle {
	best := p.site.Low
	for h := p.site.Low; h <= p.site.High; h += 0.25 {
		if math.Abs(float64(compass.Turn(h+p.north, azimuth))) < math.Abs(float64(compass.Turn(best+p.north, azimuth))) {
			best = h
		}
	}
	return best + p.north
}

// off is how far clockwise of the panel the sun is.
func (p *plant) off() compass.Angle {
	azimuth, _ := p.sun()
	return compass.Turn(p.faces(), azimuth)
}

// current is a plain clear sky: a beam that the air takes by its depth, and a
// tenth of light from all sides.
func (p *plant) current() float64 { return p.currentAt(p.faces()) }

func (p *plant) currentAt(faces compass.Angle) float64 {
	azimuth, up := p.sun()
	diffuse := 0.1 * min(1, max(0, (float64(up)+2)/12))
	if up <= 0 {
		return p.site.BestA * diffuse
	}
	beam := 0.9 * math.Exp(-0.12/(up.Sin()+0.03))
	if p.cloud != nil {
		beam *= p.cloud(p.unixS)
	}
	cosine := compass.Normal(faces, p.tilt).Dot(compass.Toward(azimuth, up))
	return p.site.BestA * (diffuse + beam*max(0, cosine))
}

func (p *plant) sight() aim.Sight {
	s := aim.Sight{
		UpS: p.unixS - p.startS, HasClock: !p.noClock, UnixS: p.unixS + p.clockLateS, CurrentA: p.current(),
		Told: p.told, Stop: p.stop, Fresh: p.fresh,
		Eyes: min(max(-3*p.off().Sin(), -1), 1) * min(1, p.current()),
		Home: p.site.Home && math.Abs(float64(compass.Turn(p.told+p.slip, p.site.Still))) <= 3,
	}
	if p.wind != nil {
		s.HasWind, s.WindMS = true, p.wind(p.unixS)
	}
	p.fresh = false
	return s
}

// run carries out commands for some days.
func (p *plant) run(days float64) {
	p.t.Helper()
	end := p.unixS + days*86400
	for commands := 0; p.unixS < end; commands++ {
		if commands > int(days*20000)+1000 {
			p.t.Fatal("it hardly ever sleeps")
		}
		p.seen = p.sight()
		c := p.policy.Next(&p.seen)
		p.carryOut(c)
		if p.after != nil {
			p.after(p, c)
		}
	}
}

func (p *plant) carryOut(c aim.Command) {
	p.t.Helper()
	if c.Verb != aim.Turn {
		if !(c.Seconds > 0) || math.IsInf(c.Seconds, 1) {
			p.t.Fatalf("%+v", c)
		}
		p.unixS += c.Seconds
		p.stop = 0
		return
	}
	to := c.To
	p.stop = 0
	if h := to + p.slip; h < p.site.Low-1e-9 { // rounding of sums
		p.stop, p.slip = -1, p.site.Low-to
	} else if h > p.site.High+1e-9 {
		p.stop, p.slip = 1, p.site.High-to
	}
	turn := math.Abs(float64(to - p.told))
	p.turns++
	p.turned += turn
	p.unixS += 0.5 + turn/10
	p.told = to
}
