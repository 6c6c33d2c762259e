package checks

import (
	"fmt"
	"math"
	"math/rand/v2"

	"turnsole/battery"
	"turnsole/panel"
)

func batteryRooms() []Room {
	return []Room{
		{
			Title:  "Battery: what the trade expects of one",
			Source: "common trade values, from memory, no publication: whole-cycle energy efficiency 0.70-0.87 of lead-acid and 0.92-0.98 of LiFePO4, 2-4 hours of absorption for lead-acid, 1-8 % of self discharge in a month",
			Reason: "half the width of the range that the trade names; the figure beside ours is its middle",
			Run:    tradeValues,
		},
		{
			Title:  "Battery: arithmetic of charging",
			Source: "definitions: hours of bulk charge = missing charge / (power x efficiency); what the charge controller delivers = panel x efficiency x tracking; an exponential absorption from knee to tail lasts ln(knee/tail)/rate",
			Reason: "rounding",
			Run:    chargingArithmetic,
		},
		{
			Title:  "Battery: a switching charge controller beside one that tracks",
			Source: "common trade value, from memory, no publication: a 36-cell panel tied to a 12 V battery gives 0.65-0.85 of its greatest power at its terminals",
			Reason: "half the width of that range; it is meant for cells at their label's 25 C or cooler: warmer, the panel's best voltage comes down to the battery's and the share rises, to 0.89 at 45 C and 800 W/m2",
			Run:    pulseWidth,
		},
		{
			Title:  "Battery: charging in the cold",
			Source: "common trade rule, from memory, no publication: no charging of lithium iron phosphate cells below 0 C; lead-acid may be charged",
			Reason: "a rule has no tolerance",
			Run:    coldCharging,
		},
		{
			Title:  "Battery: conservation of energy",
			Source: "first law of thermodynamics: the panel's watt-hours are stored, lost in the charge controller or not taken; stored and initial charge are used, drawn idle, lost or left. A year of hours of chance weather and loads for each kind of battery and charge controller",
			Reason: "a hundred thousand roundings of 1e-16",
			Run:    conservation,
		},
	}
}

var batteryKinds = []string{"lifepo4", "flooded", "agm", "gel"}

// perfect is a system that loses nothing but what its battery's chemistry does.
func perfect(kind string) (battery.System, error) {
	c, err := battery.ChemistryNamed(kind)
	b := battery.New(c, 1000)
	b.FloorShare = 0
	return battery.System{Charger: battery.Charger{Kind: battery.MPPT, Efficiency: 1, TrackingShare: 1}, Battery: b}, err
}

// pour offers watts for some hours, by minutes, until the state of charge is
// reached, and returns the hours it took.
func pour(s *battery.System, st *battery.State, sum *battery.Flow, watts, share, mostHours float64) float64 {
	const stepH = 1.0 / 60
	hours := 0.0
	for ; st.Share < share && hours < mostHours; hours += stepH {
		s.StepInto(sum, st, &battery.Input{OfferedLowWh: watts * stepH, OfferedHighWh: watts * stepH, CellC: 20}, stepH)
	}
	return hours
}

func tradeValues(string) ([]Check, error) {
	var rows []Check
	for _, kind := range batteryKinds {
		s, err := perfect(kind)
		if err != nil {
			return nil, err
		}
		cycle, absorption, month := 0.785, 3.0, 4.5
		cycleWide, absorptionWide, monthWide := 0.085, 1.0, 3.5
		if kind == "lifepo4" {
			cycle, cycleWide = 0.95, 0.03
		}
		s.Battery.StartShare = 0
		st, sum := s.Start(), battery.Flow{}
		pour(&s, &st, &sum, 100, 1, 100)
		stored := sum.StoredWh
		s.StepInto(&sum, &st, &battery.Input{LoadWh: 1e6, CellC: 20}, 1)
		rows = append(rows, Check{What: kind + ", drawn again of what was charged, empty to full and back", Published: cycle, Ours: sum.UsedWh / stored, Tolerance: cycleWide, Digits: 3})

		if kind != "lifepo4" {
			s.Battery.StartShare = s.Battery.KneeShare
			st := s.Start()
			rows = append(rows, Check{What: kind + ", absorption with light enough", Published: absorption, Ours: pour(&s, &st, &sum, 1000, 1, 100), Unit: "h", Tolerance: absorptionWide, Digits: 1})
		}
		s.Battery.StartShare = 1
		st = s.Start()
		for range 730 { // hours in a month
			s.StepInto(&sum, &st, &battery.Input{CellC: 20}, 1)
		}
		rows = append(rows, Check{What: kind + ", self discharge in a month", Published: month, Ours: 100 * (1 - st.Share), Unit: "%", Tolerance: monthWide, Digits: 2})
	}
	return rows, nil
}

func chargingArithmetic(string) ([]Check, error) {
	var rows []Check
	for _, kind := range batteryKinds {
		s, err := perfect(kind)
		if err != nil {
			return nil, err
		}
		b := &s.Battery
		b.SelfPerMonth, b.StartShare = 0, 0
		st := s.Start()
		s.Step(&st, battery.Input{OfferedLowWh: 300, CellC: 20}, 3)
		rows = append(rows, Check{What: kind + ", state of charge after three hours at a tenth of the capacity", Published: 0.3 * b.Efficiency, Ours: st.Share, Tolerance: 1e-12, Digits: 6})

		b.StartShare = b.KneeShare
		rate := b.TopEfficiency * (b.KneeC - b.TailC) / (1 - b.KneeShare)
		hours := math.Log(b.KneeC/b.TailC) / rate
		early, late := s.Start(), s.Start()
		plenty := battery.Input{OfferedLowWh: 1e5, CellC: 20}
		s.Step(&early, plenty, hours*0.999)
		s.Step(&late, plenty, hours*1.001)
		rows = append(rows,
			Check{What: kind + ", still missing just before absorption ends", Published: (math.Exp(0.001*rate*hours) - 1) * b.TailC / (b.KneeC - b.TailC) * (1 - b.KneeShare), Ours: 1 - early.Share, Tolerance: 1e-12, Digits: 8},
			Check{What: kind + ", still missing just after", Published: 0, Ours: 1 - late.Share, Tolerance: 0, Digits: 8})
	}
	s, err := perfect("lifepo4")
	if err != nil {
		return nil, err
	}
	s.Charger.Efficiency, s.Charger.TrackingShare = 0.96, 0.99
	s.Battery.StartShare = 0.5
	st := s.Start()
	f := s.Step(&st, battery.Input{OfferedLowWh: 100, CellC: 20}, 1)
	return append(rows, Check{What: "delivered of 100 Wh at 0.96 and 0.99", Published: 95.04, Ours: f.StoredWh, Unit: "Wh", Tolerance: 1e-9, Digits: 2}), nil
}

func pulseWidth(string) ([]Check, error) {
	d, _, err := panel.Fit(panel.Label{PowerW: 80})
	if err != nil {
		return nil, err
	}
	var rows []Check
	for _, c := range []struct {
		what          string
		volts, cellC  float64
		irradianceWm2 float64
	}{
		{"battery low, 12.6 V, cells at 25 C, 1000 W/m2", 12.6, 25, 1000},
		{"battery charging, 13.4 V, cells at 25 C, 1000 W/m2", 13.4, 25, 1000},
		{"battery charging, 13.4 V, cells at 10 C, 500 W/m2", 13.4, 10, 500},
	} {
		const drop = 0.5
		v, i := d.MaximumPower(c.irradianceWm2, c.cellC)
		pinned := (c.volts + drop) * d.CurrentA(c.volts+drop, c.irradianceWm2, c.cellC)
		rows = append(rows, Check{What: c.what, Published: 0.75, Ours: pinned / (v * i), Tolerance: 0.10, Digits: 3})
	}
	return rows, nil
}

func coldCharging(string) ([]Check, error) {
	var rows []Check
	for _, c := range []struct {
		kind        string
		airC, share float64
	}{{"lifepo4", -0.1, 0}, {"lifepo4", 0.1, 1}, {"flooded", -10, 1}, {"agm", -10, 1}, {"gel", -10, 1}} {
		s, err := perfect(c.kind)
		if err != nil {
			return nil, err
		}
		s.Battery.StartShare = 0.5
		st := s.Start()
		f := s.Step(&st, battery.Input{OfferedLowWh: 50, CellC: c.airC}, 1)
		rows = append(rows, Check{What: c.kind + ", share of the light taken with cells at " + fmt.Sprintf("%+.1f", c.airC) + " C", Published: c.share, Ours: f.StoredWh / f.PanelWh, Tolerance: 0, Digits: 1})
	}
	return rows, nil
}

func conservation(string) ([]Check, error) {
	var rows []Check
	for _, kind := range batteryKinds {
		for _, charger := range []string{"mppt", "pwm"} {
			c, err := battery.ChemistryNamed(kind)
			if err != nil {
				return nil, err
			}
			k, err := battery.ChargerNamed(charger)
			if err != nil {
				return nil, err
			}
			s := battery.System{Charger: k, Battery: battery.New(c, 500)}
			panelOff, batteryOff, least := yearOfChance(&s)
			name := kind + " on " + charger
			rows = append(rows,
				Check{What: name + ", share unaccounted for of the panel's or the battery's watt-hours, whichever is more", Ours: math.Max(panelOff, batteryOff), Tolerance: 1e-9, Digits: 9},
				Check{What: name + ", entries of the ledger below zero", Ours: least, Tolerance: 0})
		}
	}
	return rows, nil
}

// yearOfChance runs a year of hours and returns what its ledger leaves
// unaccounted for on either side, relative to the panel's sum, and how many
// entries were below zero.
func yearOfChance(s *battery.System) (panelOff, batteryOff, negative float64) {
	chance := rand.New(rand.NewPCG(1, 2))
	st := s.Start()
	start := st.Share * s.Battery.CapacityWh
	var sum battery.Flow
	for hour := range 8760 {
		low := math.Max(0, 100*chance.Float64()*math.Sin(float64(hour%24-6)*math.Pi/12))
		f := s.Step(&st, battery.Input{
			OfferedLowWh: low, OfferedHighWh: 1.1 * low,
			CellC: 30*chance.Float64() - 8, LoadWh: 20 * chance.Float64(), OwnWh: chance.Float64(),
		}, 1)
		for _, wh := range []float64{f.PanelWh, f.ChargerLossWh, f.LimitLossWh, f.FullLossWh, f.ColdLossWh, f.StoredWh, f.BatteryLossWh, f.IdleWh, f.UsedWh, f.OwnUseWh, f.ShortWh} {
			if !(wh >= 0) {
				negative++
			}
		}
		sum.Add(f)
	}
	end := st.Share * s.Battery.CapacityWh
	panelOff = sum.PanelWh - sum.ChargerLossWh - sum.LimitLossWh - sum.FullLossWh - sum.ColdLossWh - sum.StoredWh
	batteryOff = sum.StoredWh + start - sum.UsedWh - sum.IdleWh - sum.BatteryLossWh - end
	return math.Abs(panelOff) / sum.PanelWh, math.Abs(batteryOff) / sum.PanelWh, negative
}
