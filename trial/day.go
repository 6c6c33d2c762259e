package trial

import (
	"turnsole/loop"
	"turnsole/panel"
	"turnsole/plane"
)

// Day is one day as it really is, turned and still at the same time, every
// StepS seconds: what a trial is tried out on. All slices are as long.
type Day struct {
	Date      int64   // Unix time of its midnight, by the calendar's clock
	FirstS    float64 // seconds after midnight of the first step's middle
	StepS     float64
	AimedDeg  []float32 // heading, a sleep old at most
	AimedWm2  []float32 // light that has entered the glass
	StillWm2  []float32
	AimedC    []float32 // cells
	StillC    []float32
	AimedFree []float32 // what the panel could give, W
	StillFree []float32
}

// Gains are what turning brought over keeping still, as a share of the latter.
type Gains struct{ Light, Energy float64 }

// dayStepS is how long a day's steps are: clouds' edges pass in seconds.
const dayStepS = 5

// Stage lays out days as they really are.
type Stage struct {
	rig     *Rig
	ground  *loop.Ground
	eye     *loop.Eye
	slope   *plane.Slope
	still   plane.Heading
	surface *panel.Surface
	stepS   float64
}

// NewStage prepares for the days of a ground. Rate is how fast clouds pass, as
// loop.Input's.
func NewStage(rig *Rig, g *loop.Ground, seed uint64, rate float64) (*Stage, error) {
	if err := rig.validate(); err != nil {
		return nil, err
	}
	return &Stage{rig: rig, ground: g, eye: g.Eye(seed, rate), slope: g.Slope(rig.Season.Stand.Tilt),
		still: plane.NewHeading(rig.Still), surface: rig.Season.Diode.Surface(), stepS: dayStepS}, nil
}

// Day lays out a day of the ground's year. A day without light has no steps.
func (s *Stage) Day(day int) *Day {
	d := &Day{Date: s.ground.Calendar().Midnight[day], StepS: s.stepS}
	warmth := s.rig.Season.Warmth
	decay := warmth.Decay(s.stepS)
	var aimed plane.Heading
	aimedC, stillC := 0.0, 0.0 // above the air
	for second, wakeS := s.stepS/2, 0.0; second < 86400; second += s.stepS {
		if !s.eye.Open(day, second) {
			if len(d.AimedWm2) > 0 && second > 43200 {
				break
			}
			continue
		}
		if len(d.AimedWm2) == 0 {
			d.FirstS, wakeS = second, second
		}
		if second >= wakeS {
			aimed, wakeS = s.eye.Sun(), wakeS+s.rig.SleepS
		}
		airC, windMS := s.eye.Air()
		fallen, entered := s.eye.Light(aimed, s.slope)
		fallenStill, enteredStill := s.eye.Light(s.still, s.slope)
		steady, steadyStill := warmth.SteadyC(0, fallen, windMS), warmth.SteadyC(0, fallenStill, windMS)
		aimedC, stillC = steady+(aimedC-steady)*decay, steadyStill+(stillC-steadyStill)*decay
		d.add(aimed, entered, enteredStill, airC+aimedC, airC+stillC, s.surface)
	}
	return d
}

func (d *Day) add(aimed plane.Heading, entered, still, aimedC, stillC float64, surface *panel.Surface) {
	d.AimedDeg = append(d.AimedDeg, float32(aimed.Azimuth))
	d.AimedWm2 = append(d.AimedWm2, float32(entered))
	d.StillWm2 = append(d.StillWm2, float32(still))
	d.AimedC = append(d.AimedC, float32(aimedC))
	d.StillC = append(d.StillC, float32(stillC))
	d.AimedFree = append(d.AimedFree, float32(surface.PowerW(entered, aimedC)))
	d.StillFree = append(d.StillFree, float32(surface.PowerW(still, stillC)))
}

// Gained is what turning really brought on some days.
func Gained(days []*Day) Gains {
	var light, still, power, stillPower float64
	for _, d := range days {
		for i := range d.AimedWm2 {
			light += float64(d.AimedWm2[i])
			still += float64(d.StillWm2[i])
			power += float64(d.AimedFree[i])
			stillPower += float64(d.StillFree[i])
		}
	}
	return Gains{light/still - 1, power/stillPower - 1}
}
