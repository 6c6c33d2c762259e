package rigfile

import (
	"fmt"
	"math"
	"slices"
	"time"

	"turnsole/battery"
	"turnsole/panel"
)

// Check looks over a rig that reads well for sizes that do not fit one
// another: each is a warning, since a rig may well be odd. The marks that it
// goes by are common practice, no source.
func Check(r *Rig) []Problem {
	var found []Problem
	warn := func(key, form string, args ...any) {
		found = append(found, r.Problem(key, Warning, fmt.Sprintf(form, args...)))
	}
	r.checkSpots(warn)
	r.checkPanel(warn)
	r.checkCharging(warn)
	r.checkLoads(warn)
	r.checkMoney(warn)
	return inOrder(found)
}

// Problem is one about a key of this rig, at its place in the file where the
// file gives it.
func (r *Rig) Problem(key, severity, text string) Problem {
	at := r.places[key]
	return Problem{File: r.file, Set: at.set, Line: at.line, Column: at.column, Key: key, Severity: severity, Text: text}
}

// Gives reports whether the file itself gives a key.
func (r *Rig) Gives(key string) bool { _, given := r.places[key]; return given }

type warner func(key, form string, args ...any)

func (r *Rig) checkSpots(warn warner) {
	for _, s := range r.Spots {
		key := "spot"
		if len(r.Spots) > 1 {
			key = join("spot", short(s.Name))
		}
		if s.Latitude == 0 && s.Longitude == 0 {
			warn(join(key, "latitude"), "latitude 0 and longitude 0 is a spot in the sea off Africa: is it meant?")
		}
		// Winter and summer, whichever clock is nearer to the sun's.
		off := math.Min(clockOff(s.Spot.Clock(), s.Longitude.Degrees(), 1), clockOff(s.Spot.Clock(), s.Longitude.Degrees(), 7))
		if off > 3 {
			warn(join(key, "longitude"), "the clock %s is %.1f hours from the sun at longitude %v: east is positive, west negative",
				s.Spot.Clock(), off, s.Longitude.Degrees())
		}
		lean := math.Abs(math.Abs(s.Latitude.Degrees()) - r.Stand.Tilt.Degrees())
		if lean > 40 {
			warn("stand.tilt", "a tilt of %v degrees from flat is far from the latitude of %v: is it counted from upright?", r.Stand.Tilt.Degrees(), s.Latitude.Degrees())
		}
	}
}

// clockOff returns how many hours a clock is from the mean sun in a month.
func clockOff(z *time.Location, longitude float64, month time.Month) float64 {
	_, seconds := time.Date(2025, month, 15, 12, 0, 0, 0, time.UTC).In(z).Zone()
	return math.Abs(math.Remainder(float64(seconds)/3600-longitude/15, 24))
}

func (r *Rig) checkPanel(warn warner) {
	if p := r.Panel.PowerW; p < 5 || p > 500 {
		warn("panel.power", "%v W is an uncommon size for a stand that is turned: most are 50 to 200 W", p)
	}
}

func (r *Rig) checkCharging(warn warner) {
	c, b := &r.Charger, &r.Battery
	volts := b.NominalV * float64(b.Blocks)
	diode, _, err := panel.Fit(r.Panel)
	if err != nil {
		return // a rig that was read has a label that fits
	}
	bestV, _ := diode.MaximumPower(1000, 25)
	full := b.AbsorptionV * float64(b.Blocks)
	switch hot, _ := diode.MaximumPower(800, 55); {
	case hot < full:
		warn("panel", "in the heat the panel's best voltage is %.1f V; a battery that charges at up to %.1f V gets little from it", hot, full)
	case c.Kind == battery.PWM && bestV > 1.7*volts:
		warn("charge.kind", "a pwm controller ties the panel, best at %.1f V, to the battery's %.1f V and loses more than a third: take mppt", bestV, volts)
	}
	if c.InputLimitW > 0 && c.InputLimitW < r.Panel.PowerW {
		warn("charge.input_limit", "the %v W panel can give more than the %v W that are let in; it is cut off then", r.Panel.PowerW, c.InputLimitW)
	}
	if c.MaxCurrentA > 0 && c.MaxCurrentA*volts < 0.8*r.Panel.PowerW {
		warn("charge.max_current", "%v A at %.1f V is less than the %v W panel gives in full sun", c.MaxCurrentA, volts, r.Panel.PowerW)
	}
}

func (r *Rig) checkLoads(warn warner) {
	hourly, err := battery.Hourly(r.Loads)
	if err != nil || r.Battery.Endless {
		return
	}
	day, night := 0.0, 0.0
	for h, wh := range hourly {
		day += wh
		if h < 8 || h >= 16 { // dark in the winter of middle latitudes
			night += wh
		}
	}
	usable := r.Battery.CapacityWh * (1 - r.Battery.FloorShare)
	switch {
	case night > usable:
		warn("battery.capacity", "the loads draw %.0f Wh from four in the afternoon to eight in the morning; the battery gives %.0f Wh down to its floor", night, usable)
	case day > usable:
		warn("battery.capacity", "the loads draw %.0f Wh a day; the battery gives %.0f Wh down to its floor: one dark day empties it", day, usable)
	}
	// Eight hours of full sun a day are hardly reached anywhere, by a panel
	// that is turned.
	if day > 8*r.Panel.PowerW {
		warn("panel.power", "the loads draw %.0f Wh a day; a %v W panel cannot give that on any day", day, r.Panel.PowerW)
	}
	r.checkBox(warn, hourly)
}

// checkBox warns where a box would switch itself off although something is to
// be fed.
func (r *Rig) checkBox(warn warner, hourly [24]float64) {
	if r.Box == nil {
		return
	}
	const key = "battery.output_off_below"
	for _, l := range r.Loads {
		if l.PowerW < r.Box.AutoOffW {
			warn(key, "the load %s draws %.3g W: running alone it lets the box switch itself off", l.Name, l.PowerW)
		}
	}
	if least := slices.Min(hourly[:]); least+r.Board.AsleepW < r.Box.AutoOffW {
		warn(key, "in some hours only %.3g W are drawn, the sleeping controller included: the box switches off and the stand stops", least+r.Board.AsleepW)
	}
}

func (r *Rig) checkMoney(warn warner) {
	for _, p := range []struct {
		key   string
		price *float64
	}{{"panel.price", r.PanelPrice}, {"stand.price", r.StandPrice}, {"drive.price", r.DrivePrice}} {
		if p.price != nil && r.Currency == "" {
			warn(p.key, "no currency is named; write for example currency = \"EUR\" above the first section")
		}
	}
}
