package drive_test

import (
	"math"
	"testing"

	"turnsole/drive"
)

// 10 W for 20 s is 200 J; 1 W over 900 s is 900 J, 4.5 times that. Common
// practice, no source.
func TestEnergyFactsOfTheTrade(t *testing.T) {
	move := drive.DefaultMotor().MoveWh(-60) * 3600
	if math.Abs(move-200) > 1e-9 { // rounding only
		t.Errorf("a move of 60 degrees takes %v J, want 200", move)
	}
	quarter := drive.Board{AwakeW: 1, AsleepW: 1, WakeEveryS: 900}.HourWh(1) * 3600 / 4
	if math.Abs(quarter-900) > 1e-9 || math.Abs(quarter/move-4.5) > 1e-9 { // rounding
		t.Errorf("1 W for a quarter hour is %v J, %v moves", quarter, quarter/move)
	}
}

func TestBarrelJackEatsMoreThanTenWattHoursADay(t *testing.T) {
	b, err := drive.BoardNamed("barrel-board")
	if err != nil {
		t.Fatal(err)
	}
	if got := b.AsleepDayWh(); got < 10 || got > 15 {
		t.Errorf("%v Wh a day, want a little over 10 (tens of milliamps at 12 V)", got)
	}
}

func TestPresetsAreValidAndOrdered(t *testing.T) {
	last := -1.0
	for _, p := range drive.Presets() {
		if err := p.Board.Validate(); err != nil {
			t.Errorf("%s: %v", p.Name, err)
		}
		if p.Board.AsleepW <= last {
			t.Errorf("%s is out of order", p.Name)
		}
		last = p.Board.AsleepW
	}
	if _, err := drive.BoardNamed("mains"); err == nil {
		t.Error("an unknown board gave no error")
	}
}

func TestHourOfLooks(t *testing.T) {
	b := drive.Board{AwakeW: 1, AsleepW: 0.1, WakeEveryS: 100, AwakeS: 10}
	if got := b.HourWh(0.5); math.Abs(got-(0.1+0.05*0.9)) > 1e-12 { // rounding
		t.Errorf("half an hour of looks: %v Wh", got)
	}
	for _, bad := range []drive.Board{
		{AwakeW: -1, WakeEveryS: 1}, {AwakeW: 1, AsleepW: 2, WakeEveryS: 1}, {}, {WakeEveryS: 1, AwakeS: 2},
		{AwakeW: math.NaN(), WakeEveryS: 1},
	} {
		if bad.Validate() == nil {
			t.Errorf("%+v is accepted", bad)
		}
	}
	if (drive.Motor{}).Validate() == nil || (drive.Motor{PowerW: math.Inf(1), DegreesPerS: 1}).Validate() == nil {
		t.Error("a motor without power or speed is accepted")
	}
}
