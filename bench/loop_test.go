package bench

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"turnsole/aim"
	"turnsole/battery"
	"turnsole/drive"
	"turnsole/loop"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/season"
	"turnsole/sensor"
	"turnsole/stand"
	"turnsole/weather"
)

// cloudyYear is a small stand under a made cloudy year by the hour.
func cloudyYear(b *testing.B) (loop.Rig, *loop.Ground) {
	spot := place.Spot{Latitude: hut.Latitude, Longitude: hut.Longitude, AltitudeM: hut.AltitudeM}
	diode, _, err := panel.Fit(panel.Label{PowerW: 80})
	must(b, err)
	cells, err := battery.ChemistryNamed("lifepo4")
	must(b, err)
	charger, err := battery.ChargerNamed("mppt")
	must(b, err)
	board, err := drive.BoardNamed("bare-chip")
	must(b, err)
	rig := loop.Rig{
		Season: season.Rig{
			Spot: spot, Sky: plane.Perez, Glass: plane.DefaultGlass(), Diode: diode, Warmth: panel.OpenRack(),
			Battery: battery.System{Charger: charger, Battery: battery.New(cells, 512)},
			Stand:   stand.Stand{Tilt: 40, Highest: 90, Notches: 1, HandsFrom: 7, HandsTo: 21},
			Motor:   drive.DefaultMotor(), Board: board,
		},
		Train:  drive.DefaultTrain(),
		Axle:   drive.Axle{PanelKg: 6, WidthM: 0.7, LengthM: 0.8, Tilt: 40, BearingNm: 0.02},
		Sail:   loop.PlateSail(40, 0.7, 0.8),
		Sensor: sensor.Common(), Clock: true,
	}
	rig.Common()
	rig.BootS = 0 // so that a sleep in seconds is as long as one in one piece
	climate, _ := weather.NearestClimate(spot.Latitude).At(spot.Latitude)
	maker, err := weather.NewMaker(spot, climate, 3600)
	must(b, err)
	var y weather.Year
	maker.Make(rand.New(rand.NewPCG(1, 0)), &y)
	ground, err := loop.Lay(context.Background(), &rig.Season, &y)
	must(b, err)
	return rig, ground
}

func must(b *testing.B, err error) {
	if err != nil {
		b.Fatal(err)
	}
}

// BenchmarkLoop runs the closed loop through a year, stepping by events, and
// through one day in twelve, stepping every second all day and night. Both come
// to the same light, by the same policy on the same rig.
func BenchmarkLoop(b *testing.B) {
	rig, ground := cloudyYear(b)
	events := loop.Input{Rig: rig, Policy: "climb", Settings: aim.DefaultSettings("climb", rig.Site(ground)), Seed: 1}
	b.Run("events", func(b *testing.B) { runDays(b, ground, events) })
	for d := 0; d < ground.Days(); d += 12 {
		events.Days = append(events.Days, d)
	}
	seconds := events
	seconds.Use = func(s aim.Site) (aim.Policy, error) {
		inner, err := aim.New(events.Policy, events.Settings, s)
		return &everySecond{policy: inner}, err
	}
	b.Run("seconds", func(b *testing.B) {
		same, err := loop.Run(context.Background(), ground, events)
		must(b, err)
		b.ResetTimer()
		got := runDays(b, ground, seconds)
		// Sleeps end up to half a second apart, and a hunter may then see another cloud.
		if ratio := got.LightWhM2 / same.Total.LightWhM2; math.Abs(ratio-1) > 0.01 {
			b.Errorf("stepping every second brings %.4f times the light", ratio)
		}
	})
}

func runDays(b *testing.B, ground *loop.Ground, in loop.Input) loop.Sum {
	var sum loop.Sum
	for b.Loop() {
		out, err := loop.Run(context.Background(), ground, in)
		must(b, err)
		sum = out.Total
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/sum.Days, "ns/day")
	return sum
}

// everySecond cuts each sleep of a policy into seconds.
type everySecond struct {
	policy aim.Policy
	leftS  float64
}

func (e *everySecond) Next(s *aim.Sight) aim.Command {
	if e.leftS < 0.5 {
		c := e.policy.Next(s)
		if c.Verb != aim.Sleep {
			return c
		}
		e.leftS = c.Seconds
	}
	e.leftS--
	return aim.Command{Verb: aim.Sleep, Seconds: 1}
}
