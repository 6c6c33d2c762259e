package drawing

import (
	"fmt"
	"math"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/compass"
)

// Sizes of what the rig file does not measure, metres: only the drawing rests
// on them.
const (
	panelThickM = 0.03
	legThickM   = 0.03
	railThickM  = 0.044
	postThickM  = 0.06
	ballastM    = 0.12
	stopM       = 0.02
)

// pose is a stand at a setting in metres: x from the rails' front end to the
// rear, y up from the ground.
type pose struct {
	*answer.Stand
	one                     answer.StandSetting
	front, fold, top        chart.Point // of the panel's back
	hinge, foot             chart.Point // of the leg or prop, where jointed
	jointed                 bool        // whether the rig file says how it is held
	apart                   bool        // leg and panel do not meet
	unknown                 bool        // nothing can be drawn of the panel
	railFrom, railTo, railY float64     // the rails' ends and their top
	railThick, axis         float64
}

// settingOf is a setting by its index, or, for any other index, the one that
// gives the stand's own tilt.
func settingOf(s *answer.Stand, i int) answer.StandSetting {
	if i >= 0 && i < len(s.Settings) {
		return s.Settings[i]
	}
	return settingFor(s, s.Own)
}

// settingFor is the setting that gives a tilt: one of the stand's own, or one
// that would have to be made.
func settingFor(s *answer.Stand, tilt compass.Angle) answer.StandSetting {
	for _, one := range s.Settings {
		if one.Possible && math.Abs(float64(one.Tilt-tilt)) < 0.05 {
			return one
		}
	}
	f := s.Frame
	one := answer.StandSetting{}
	switch {
	case s.OnLegs():
		one = legsFor(s, tilt)
	case s.Propped():
		m, err := f.PropOf(tilt)
		if err != nil {
			one.Tilt, one.FrontM, one.Why = tilt, stopsOf(s)[0], err.Error()
			break
		}
		f.PropsM = []float64{m}
		one.Setting = f.Settings()[0]
	default:
		one.Setting = f.At(tilt)
	}
	one.Front, one.Back = 0, 0
	return one
}

// legsFor seeks a notch for a tilt, from any of the front stops.
func legsFor(s *answer.Stand, tilt compass.Angle) (best answer.StandSetting) {
	best.Tilt, best.FrontM = tilt, stopsOf(s)[0]
	for _, stop := range stopsOf(s) {
		m, err := s.Frame.NotchOf(stop, tilt)
		if err != nil {
			if best.Why == "" {
				best.Why = err.Error()
			}
			continue
		}
		f := s.Frame
		f.FrontsM, f.NotchesM = []float64{stop}, []float64{m}
		one := answer.StandSetting{Setting: f.Settings()[0]}
		if one.Possible {
			return one
		}
		if best.BackM == 0 {
			best = one
		}
	}
	return best
}

func stopsOf(s *answer.Stand) []float64 {
	if len(s.Frame.FrontsM) == 0 {
		return []float64{0}
	}
	return s.Frame.FrontsM
}

// poseOf works out where everything is.
func poseOf(s *answer.Stand, one answer.StandSetting) pose {
	shape := s.Frame.ShapeAt(one.Setting)
	up := s.Body.RailTopM
	at := func(q [2]float64) chart.Point { return chart.Point{X: q[0], Y: q[1] + up} }
	p := pose{Stand: s, one: one, front: at(shape.Front), fold: at(shape.Fold), top: at(shape.Top),
		hinge: at(shape.Hinge), foot: at(shape.Foot), railY: up, axis: s.Body.AxisM}
	p.unknown = shape.Front == shape.Top
	p.jointed = p.measured() && !p.unknown
	if p.jointed {
		p.joint()
	} else {
		p.centre()
	}
	p.rails()
	return p
}

// joint sees whether the leg reaches from its foot to its hinge.
func (p *pose) joint() {
	leg := p.legM()
	switch {
	case p.OnLegs() && p.one.BackM == 0 && p.one.Front == 0 && !p.one.Possible:
		p.jointed = false // no notch gives this tilt
	case p.one.Front == 0 && p.one.PropM == 0 && p.Propped():
		p.jointed = false
	default:
		p.apart = math.Abs(distance(p.hinge, p.foot)-leg) > 1e-3
	}
}

// legM is the length of leg or prop.
func (p *pose) legM() float64 {
	if p.Propped() {
		return p.one.PropM
	}
	return p.Frame.LegM
}

// centre puts a panel of which only the tilt is known over the axis.
func (p *pose) centre() {
	if p.unknown || p.measured() {
		return
	}
	shift := p.axis - (p.front.X+p.top.X)/2
	for _, q := range []*chart.Point{&p.front, &p.fold, &p.top} {
		q.X += shift
	}
}

// rails works out the rails' ends: as measured, or as far as they must reach.
func (p *pose) rails() {
	f := p.Frame
	p.railThick = min(max(railThickM, 1.4*f.ContactDownM), max(p.railY, 0.01))
	if p.measured() {
		p.railTo = f.RailM
		if f.RailM == 0 {
			for _, m := range append(append([]float64{p.one.BackM, p.foot.X}, f.NotchesM...), stopsOf(p.Stand)...) {
				p.railTo = max(p.railTo, m+f.NotchWidthM+f.LeastWoodM+0.02)
			}
		}
		return
	}
	half := max(p.Frame.PanelM/2, 0.1)
	p.railFrom, p.railTo = p.axis-half, p.axis+half
}

// measured tells whether the rig file says what the stand is made of.
func (p *pose) measured() bool {
	return p.OnLegs() || p.Propped()
}

// feet are where the feet stand, as seen along the rails (x back from the axis,
// y across), with the edge over which the wind tips the stand square to the
// heading: behind, or in front for wind that takes it from behind.
func (p *pose) feet() (feet []chart.Point, rear bool) {
	b := p.Body
	rear = p.tips().From <= 90
	side := 1.0
	if !rear {
		side = -1
	}
	for i := range b.Feet {
		sin, cos := math.Sincos((2*float64(i) + 1) * math.Pi / float64(b.Feet))
		feet = append(feet, chart.Point{X: side * b.FootRadiusM * cos, Y: b.FootRadiusM * sin})
	}
	return feet, rear
}

// name says which setting it is.
func (p *pose) name() string {
	one := p.one
	tilt := "tilt " + degrees(float64(one.Tilt))
	if p.apart || p.unknown {
		tilt = "not possible"
	}
	switch {
	case p.OnLegs() && one.Back > 0 && len(stopsOf(p.Stand)) > 1:
		return fmt.Sprintf("Stop %d, notch %d: %s", one.Front, one.Back, tilt)
	case p.OnLegs() && one.Back > 0:
		return fmt.Sprintf("Notch %d: %s", one.Back, tilt)
	case p.Propped() && one.PropM > 0:
		return fmt.Sprintf("Prop %s: %s", millimetres(one.PropM), tilt)
	case !p.measured() && one.Back > 0:
		return fmt.Sprintf("Setting %d: %s", one.Back, tilt)
	}
	return capital(tilt)
}

func capital(words string) string {
	if words == "" {
		return words
	}
	return strings.ToUpper(words[:1]) + words[1:]
}

// why says why it is not possible, and how the halves of a folding panel stand.
func (p *pose) why() []string {
	switch {
	case !p.one.Possible && p.one.Why != "" && (p.apart || p.unknown):
		return []string{capital(p.one.Why) + "."}
	case !p.one.Possible && p.one.Why != "":
		return []string{"Not possible: " + p.one.Why + "."}
	case p.Frame.FoldM > 0 && p.one.Lower != p.one.Upper:
		return []string{fmt.Sprintf("Lower half %s, upper half %s.", degrees(float64(p.one.Lower)), degrees(float64(p.one.Upper)))}
	}
	return nil
}

func distance(a, b chart.Point) float64 { return math.Hypot(a.X-b.X, a.Y-b.Y) }

func between(a, b chart.Point, share float64) chart.Point {
	return chart.Point{X: a.X + share*(b.X-a.X), Y: a.Y + share*(b.Y-a.Y)}
}

// off moves a point along a direction.
func off(q, step chart.Point, by float64) chart.Point {
	return chart.Point{X: q.X + by*step.X, Y: q.Y + by*step.Y}
}

// toward is the unit step from one point to another, right where they are one.
func toward(a, b chart.Point) chart.Point {
	long := distance(a, b)
	if long == 0 {
		return chart.Point{X: 1}
	}
	return chart.Point{X: (b.X - a.X) / long, Y: (b.Y - a.Y) / long}
}
