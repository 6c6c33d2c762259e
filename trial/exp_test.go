package trial

import (
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/loop"
	"turnsole/panel"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/reading"
	"turnsole/season"
	"turnsole/sensor"
	"turnsole/stand"
	"turnsole/weather"
)

type set struct {
	rig  Rig
	days []*Day
}

func loadSet(t *testing.T, spot place.Spot, climate string, sleep float64) *set {
	for m := range spot.Albedo {
		spot.Albedo[m] = 0.2
	}
	diode, _, _ := panel.Fit(panel.Label{PowerW: 80})
	charger, _ := battery.ChargerNamed("mppt")
	chem, _ := battery.ChemistryNamed("lifepo4")
	b := battery.New(chem, 512)
	b.Endless = true
	rig := season.Rig{Spot: spot, Sky: plane.Perez, Glass: plane.DefaultGlass(), Diode: diode, Warmth: panel.OpenRack(),
		Battery: battery.System{Charger: charger, Battery: b}, Stand: stand.Stand{Tilt: 40, Highest: 90, HandsFrom: 7, HandsTo: 21}, Motor: drive.DefaultMotor(), Board: drive.Board{WakeEveryS: 900}}
	f, err := os.Open("/work/shared/data/" + climate)
	if err != nil {
		t.Fatal(err)
	}
	rec, err := weather.Read(context.Background(), climate, f, nil, spot)
	if err != nil {
		t.Fatal(err)
	}
	y := rec.Years[0]
	g, err := loop.Lay(context.Background(), &rig, y)
	if err != nil {
		t.Fatal(err)
	}
	s := &set{rig: Rig{Season: rig, SleepS: sleep, Still: compass.Equatorward(spot.Latitude)}}
	st, err := NewStage(&s.rig, g, 3, 1)
	if err != nil {
		t.Fatal(err)
	}
	for d := range g.Days() {
		s.days = append(s.days, st.Day(d))
	}
	return s
}

func (s *set) collect(p *Protocol, days []*Day, rng *rand.Rand) *Log {
	var rs []reading.Reading
	first := 1
	for _, d := range days {
		first = p.Run(d, &s.rig, first, rng, func(r *reading.Reading) { rs = append(rs, *r) })
	}
	i := 0
	l, _ := Collect(func(r *reading.Reading) error {
		if i == len(rs) {
			return io.EOF
		}
		*r = rs[i]
		i++
		return nil
	})
	return l
}

func TestExperiment(t *testing.T) {
	if os.Getenv("EXP") == "" {
		t.Skip()
	}
	sets := map[string]*set{
		"golden":   loadSet(t, place.Spot{Latitude: 39.74, Longitude: -105.18, AltitudeM: 1829}, "measured-golden-2019-2020-15min.csv.gz", 900),
		"sand":     loadSet(t, place.Spot{Latitude: 55.32, Longitude: -160.52, AltitudeM: 7}, "year-sand-point-55n.tmy3.csv.gz", 900),
		"santiago": loadSet(t, place.Spot{Latitude: -33.38, Longitude: -70.78, AltitudeM: 476}, "year-santiago-33s.epw.gz", 900),
	}
	sens := sensor.Current{RangeA: 5, VPerA: 0.185, ZeroV: 2.5, NoiseA: 0.02, Bits: 10, ReferenceV: 5, Reads: 100}
	for _, m := range []Measure{ByLight, ByPower, ByCurrent} {
		for _, name := range []string{"golden", "sand", "santiago"} {
			s := sets[name]
			for _, gap := range []float64{10, 60} {
				for _, n := range []int{3, 7} {
					for _, record := range []float64{60, 0} {
						rng := rand.New(rand.NewPCG(1, 2))
						p := &Protocol{EveryS: 900, GapS: gap, RecordS: record, Measure: m, Sensor: sens}
						reps := 150
						if m != ByLight {
							reps = 40
						}
						var errs, hw, cov []float64
						begin := time.Now()
						for range reps {
							from := rng.IntN(360 - n)
							days := s.days[from : from+n]
							l := s.collect(p, days, rng)
							if len(l.Setups) != 1 {
								t.Fatal(len(l.Setups))
							}
							x, err := prepare(&s.rig, l.Setups[0], m)
							if err != nil {
								t.Fatal(err)
							}
							e := x.estimate(0.95)
							g := Gained(days).Light
							if m == ByPower {
								g = Gained(days).Light
							}
							iv := e.Interval(0.95)
							errs, hw = append(errs, e.Gain-g), append(hw, (iv.High-iv.Low)/2)
							cov = append(cov, b2f(g >= iv.Low && g <= iv.High))
						}
						fmt.Printf("%-8s %-8s gap %v days %d record %v: bias %.2f rms %.2f cov %.3f hw %.2f hw/rms %.2f  %v\n", m, name, gap, n, record,
							100*mean(errs), 100*rms(errs), mean(cov), 100*median(hw), median(hw)/rms(errs), time.Since(begin)/time.Duration(reps))
					}
				}
			}
		}
	}
}

func b2f(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
func median(x []float64) float64 { s := slices.Sorted(slices.Values(x)); return s[len(s)/2] }
func mean(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}
func rms(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	return math.Sqrt(s / float64(len(x)))
}
