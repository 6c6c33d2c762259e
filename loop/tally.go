package loop

import (
	"math"

	"turnsole/battery"
)

// Brightness parts the day by the light that exact turning would get.
type Brightness int

// Classes of brightness, W/m2 on an exactly turned panel.
const (
	Dim    Brightness = iota // 50 to 150
	Hazy                     // 150 to 500
	Bright                   // from 500
	brightnesses
)

// worthWm2 is the light below which nobody asks where the panel points.
const worthWm2 = 50

func brightness(turningWm2 float32) Brightness {
	switch {
	case turningWm2 < 150:
		return Dim
	case turningWm2 < 500:
		return Hazy
	}
	return Bright
}

// sunshineWm2 is the beam from which the sun is said to shine (WMO Guide to
// Instruments and Methods of Observation, WMO-No. 8).
const sunshineWm2 = 120

// OwnUse is what the stand asks for, Wh.
type OwnUse struct{ MotorWh, AwakeWh, AsleepWh float64 }

// Wh is all of it.
func (o OwnUse) Wh() float64 { return o.MotorWh + o.AwakeWh + o.AsleepWh }

// Errors is how far the panel points from the sun's azimuth, degrees, over the
// hours in which exact turning would get 50 W/m2 or more.
type Errors struct{ MeanDeg, P95Deg, Hours float64 }

// Sum is what a stretch of days brings under a policy. Everything is 0 or more.
type Sum struct {
	Days float64

	LightWhM2, TurningLightWhM2, StillLightWhM2 float64 // on the panel; turning exactly; keeping still
	PanelWh, TurningPanelWh, StillPanelWh       float64 // at the panel's terminals, taken or not
	DeliverWh                                   float64 // what the charge controller could deliver of PanelWh into an endless battery
	Battery                                     battery.Flow
	Own                                         OwnUse // asked for, got or not

	Error        Errors
	ByBrightness [brightnesses]Errors

	Wakes, Moves, NightMoves float64
	DegreesTurned, MotorS    float64
	AwakeS                   float64 // motor's time with it
	HuntS                    float64 // of it, by day without sunshine
	FalsePeaks               float64 // wakes that ended 5 degrees or more further from the sun than they began
	MorningsMissed           float64 // not within 30 degrees of the sun in the first two hours of light
	StopsHit                 float64 // moves that ran into an end stop
	LostDeg                  float64 // turns that the drive believes in and that were not made
	BlownDeg                 float64 // turned by wind or lean while at rest
	Blows, Reboots           float64
	DarkControllerH          float64 // without supply
}

// NetWh is what is left of DeliverWh for the builder.
func (s *Sum) NetWh() float64 { return s.DeliverWh - s.Own.Wh() }

// ShareOfTurning is the light against exact turning's, NaN without light.
func (s *Sum) ShareOfTurning() float64 {
	if !(s.TurningLightWhM2 > 0) {
		return math.NaN()
	}
	return s.LightWhM2 / s.TurningLightWhM2
}

// add adds everything but Error and ByBrightness, which come from the chart of
// errors.
func (s *Sum) add(o *Sum) {
	s.Days += o.Days
	s.LightWhM2 += o.LightWhM2
	s.TurningLightWhM2 += o.TurningLightWhM2
	s.StillLightWhM2 += o.StillLightWhM2
	s.PanelWh += o.PanelWh
	s.TurningPanelWh += o.TurningPanelWh
	s.StillPanelWh += o.StillPanelWh
	s.DeliverWh += o.DeliverWh
	s.Battery.Add(o.Battery)
	s.Own.MotorWh += o.Own.MotorWh
	s.Own.AwakeWh += o.Own.AwakeWh
	s.Own.AsleepWh += o.Own.AsleepWh
	s.Wakes += o.Wakes
	s.Moves += o.Moves
	s.NightMoves += o.NightMoves
	s.DegreesTurned += o.DegreesTurned
	s.MotorS += o.MotorS
	s.AwakeS += o.AwakeS
	s.HuntS += o.HuntS
	s.FalsePeaks += o.FalsePeaks
	s.MorningsMissed += o.MorningsMissed
	s.StopsHit += o.StopsHit
	s.LostDeg += o.LostDeg
	s.BlownDeg += o.BlownDeg
	s.Blows += o.Blows
	s.Reboots += o.Reboots
	s.DarkControllerH += o.DarkControllerH
}

// errorBins are a quarter of a degree wide.
const (
	errorBins   = 720
	binsPerDeg  = errorBins / 180.0
	p95         = 0.95
	secondsHour = 3600.0
)

// scatter is how the errors of pointing are spread, in seconds by bin.
type scatter struct {
	seconds [brightnesses][errorBins]float32
	sum     [brightnesses]float64 // degrees times seconds
	time    [brightnesses]float64
}

func (c *scatter) note(b Brightness, errorDeg, seconds float64) {
	c.seconds[b][min(int(errorDeg*binsPerDeg), errorBins-1)] += float32(seconds)
	c.sum[b] += errorDeg * seconds
	c.time[b] += seconds
}

// pour adds a day's errors to those of a longer time, and empties them.
func (c *scatter) pour(into ...*scatter) {
	for b := range c.seconds {
		if c.time[b] == 0 {
			continue
		}
		for _, o := range into {
			for k, s := range c.seconds[b] {
				o.seconds[b][k] += s
			}
			o.sum[b] += c.sum[b]
			o.time[b] += c.time[b]
		}
	}
	*c = scatter{}
}

// tell fills in a sum's errors.
func (c *scatter) tell(s *Sum) {
	var sum, time float64
	for b := range brightnesses {
		s.ByBrightness[b] = errorsOf(c.sum[b], c.time[b], c.seconds[b:b+1])
		sum, time = sum+c.sum[b], time+c.time[b]
	}
	s.Error = errorsOf(sum, time, c.seconds[:])
}

func errorsOf(sum, time float64, bins [][errorBins]float32) Errors {
	if !(time > 0) {
		return Errors{}
	}
	e := Errors{MeanDeg: sum / time, Hours: time / secondsHour, P95Deg: 180}
	below := 0.0
	for k := range errorBins {
		for b := range bins {
			below += float64(bins[b][k])
		}
		if below >= p95*time*(1-1e-6) { // the bins are coarse sums
			e.P95Deg = math.Min(float64(k+1)/binsPerDeg, 180)
			break
		}
	}
	return e
}

// Season of the year by the months, Outcome's order.
func seasonOf(month int) int { return month % 12 / 3 }
