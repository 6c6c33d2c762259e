package trial

import (
	"context"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"turnsole/aim"
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

// closedRig is a rig for the loop at 48 degrees north, and a made year on it.
func closedRig(t *testing.T) (loop.Rig, *loop.Ground) {
	t.Helper()
	spot := place.Spot{Latitude: 48, Longitude: 11, AltitudeM: 500}
	for m := range spot.Albedo {
		spot.Albedo[m] = 0.2
	}
	climate, err := weather.ClimateNamed("cloudy-maritime")
	if err != nil {
		t.Fatal(err)
	}
	maker, err := weather.NewMaker(spot, climate.Monthly, 3600)
	if err != nil {
		t.Fatal(err)
	}
	var year weather.Year
	maker.Make(rand.New(rand.NewPCG(4, 0)), &year)
	diode, _, err := panel.Fit(panel.Label{PowerW: 80})
	if err != nil {
		t.Fatal(err)
	}
	charger, err := battery.ChargerNamed("mppt")
	if err != nil {
		t.Fatal(err)
	}
	cells, err := battery.ChemistryNamed("agm")
	if err != nil {
		t.Fatal(err)
	}
	b := battery.New(cells, 512)
	b.Endless = true
	board, err := drive.BoardNamed("bare-chip")
	if err != nil {
		t.Fatal(err)
	}
	rig := loop.Rig{
		Season: season.Rig{Spot: spot, Sky: plane.Perez, Glass: plane.DefaultGlass(), Diode: diode, Warmth: panel.OpenRack(),
			Battery: battery.System{Charger: charger, Battery: b},
			Stand:   stand.Stand{Tilt: 40, Lowest: 0, Highest: 90, Notches: 2, HandsFrom: 7, HandsTo: 21},
			Motor:   drive.Motor{PowerW: 5, DegreesPerS: 12}, Board: board},
		Train:  drive.DefaultTrain(),
		Axle:   drive.Axle{PanelKg: 6, WidthM: 0.7, LengthM: 0.8, Tilt: 40, BearingNm: 0.02},
		Sensor: sensor.Current{RangeA: 20, VPerA: 0.2, Bits: 16, ReferenceV: 5, Reads: 1},
		Clock:  true, Home: true, HomeWithin: 3, BootS: 0.5, TrackerWander: 0.01, TrackerSettleS: 1,
	}
	ground, err := loop.Lay(context.Background(), &rig.Season, &year)
	if err != nil {
		t.Fatal(err)
	}
	return rig, ground
}

// The very controller takes the looks, through gears, a tracker that wanders
// and a sensor; the gain that they tell must be the one that the loop knows,
// which the trial never sees.
func TestTheControllersOwnLooksTellTheTrueGain(t *testing.T) {
	rig, ground := closedRig(t)
	site := rig.Site(ground)
	settings := aim.DefaultSettings("clock", site)
	settings.TrialEveryS = 900
	var rows []reading.Reading
	var days []int
	for d := 150; d < 164; d++ {
		days = append(days, d)
	}
	out, err := loop.Run(context.Background(), ground, loop.Input{Rig: rig, Policy: "clock", Settings: settings, Days: days, Seed: 5,
		LogEveryS: 60, Log: func(r *reading.Reading) { rows = append(rows, *r) }})
	if err != nil {
		t.Fatal(err)
	}
	k := 0
	log, err := Collect(func(r *reading.Reading) error {
		if k == len(rows) {
			return io.EOF
		}
		*r, k = rows[k], k+1
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	own := &Rig{Season: rig.Season, Still: compass.Equatorward(rig.Season.Spot.Latitude), SleepS: settings.WakeEveryS, HeadingWithin: HomedWithin}
	r, err := Evaluate(context.Background(), own, log, Question{})
	if err != nil || r.Why != "" {
		t.Fatal(err, r.Why)
	}
	// Every day's looks start at another minute of the quarter hour, evenly
	// spread: fourteen of them leave no gap of half a quarter hour but once in
	// 500 times (14 x 0.5^13).
	starts := []float64{}
	for i, row := range rows {
		if row.Pair != 0 && (i == 0 || row.UnixS-lastPair(rows[:i]) > 4*3600) {
			starts = append(starts, math.Mod(row.UnixS, 900))
		}
	}
	slices.Sort(starts)
	widest := starts[0] + 900 - starts[len(starts)-1]
	for i := 1; i < len(starts); i++ {
		widest = max(widest, starts[i]-starts[i-1])
	}
	if len(starts) != 14 || widest > 450 {
		t.Errorf("%d days' looks start at %.0f s past the quarter", len(starts), starts)
	}
	truth := out.Total.PanelWh/out.Total.StillPanelWh - 1
	t.Logf("%s: %.2f %% (%.2f to %.2f), true %.2f %%, %d pairs on %d days", r.Method, 100*r.Energy.Value, 100*r.Energy.Low, 100*r.Energy.High, 100*truth, r.Pairs, r.Days)
	if r.Method != Assisted || r.Days != 14 {
		t.Errorf("answered by %q from %d days", r.Method, r.Days)
	}
	// An interval holds the truth in 19 cases of 20; twice as wide, in all but
	// one of ten thousand.
	if half := r.Energy.High - r.Energy.Value; !(half < 0.03) || !(r.Energy.Value-2*half < truth && truth < r.Energy.Value+2*half) {
		t.Errorf("gain %.4f, half-width %.4f, true %.4f", r.Energy.Value, half, truth)
	}
}

// lastPair is when the last look of a pair was taken; long ago where none was.
func lastPair(rows []reading.Reading) float64 {
	for i := len(rows) - 1; i >= 0; i-- {
		if rows[i].Pair != 0 {
			return rows[i].UnixS
		}
	}
	return math.Inf(-1)
}
