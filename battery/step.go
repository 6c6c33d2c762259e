package battery

import "math"

// State is what a system remembers from step to step.
type State struct {
	Share float64 // state of charge, 0..1
	CellC float64 // temperature of the cells, degrees C; NaN before the first step

	stepH, decay float64 // the lag's decay for the latest length of step
}

// endlessShare is the state of charge, and so the voltage, at which an endless
// battery stands.
const endlessShare = 0.5

// Start returns the state before the first step.
func (s *System) Start() State {
	if s.Battery.Endless {
		return State{Share: endlessShare, CellC: math.NaN()}
	}
	return State{Share: s.Battery.StartShare, CellC: math.NaN()}
}

// Input is what one step brings: energies in watt-hours over the step, 0 or
// more, taken as even through it.
type Input struct {
	// What the panel gives at its terminals: under MPPT both are what it gives
	// at its maximum power point; under PWM what it gives at the voltages of
	// System.PinnedV.
	OfferedLowWh, OfferedHighWh float64

	AirC   float64 // around the battery, degrees C
	LoadWh float64 // what the builder's loads ask
	OwnWh  float64 // what the stand asks: controller, drive and their supply
}

// Flow is the ledger of a step, or of many added up, in watt-hours, none of
// them ever negative:
//
//	Panel = ChargerLoss + LimitLoss + FullLoss + ColdLoss + Stored
//	Stored + charge at the start = Used + Idle + BatteryLoss + charge at the end
//
// Light that is not taken (limit, full, cold) is counted as the panel would
// have given it at its terminals.
type Flow struct {
	PanelWh       float64 // at the panel's terminals, taken or not
	ChargerLossWh float64 // turned to heat in the charge controller, or not found by it
	LimitLossWh   float64 // not taken: over the charge controller's or the box's limit
	FullLossWh    float64 // not taken: the battery was full or near it
	ColdLossWh    float64 // not taken: the battery was too cold to be charged
	StoredWh      float64 // delivered to the battery's terminals, where the loads hang too
	BatteryLossWh float64 // lost in charging, and by self discharge
	IdleWh        float64 // drawn by the charge controller and the box themselves
	UsedWh        float64 // what all loads got, the stand among them
	OwnUseWh      float64 // what the stand got of it
	ShortWh       float64 // asked by loads or stand and not got
}

// NetWh returns what the builder's own loads got. For an endless battery it is
// negative where the stand asks more than was stored.
func (f Flow) NetWh() float64 { return f.UsedWh - f.OwnUseWh }

// Short reports whether loads got less than they asked, by more than rounding.
func (f Flow) Short() bool { return f.ShortWh > 1e-9 }

// Add adds another step's ledger.
func (f *Flow) Add(g Flow) {
	f.PanelWh += g.PanelWh
	f.ChargerLossWh += g.ChargerLossWh
	f.LimitLossWh += g.LimitLossWh
	f.FullLossWh += g.FullLossWh
	f.ColdLossWh += g.ColdLossWh
	f.StoredWh += g.StoredWh
	f.BatteryLossWh += g.BatteryLossWh
	f.IdleWh += g.IdleWh
	f.UsedWh += g.UsedWh
	f.OwnUseWh += g.OwnUseWh
	f.ShortWh += g.ShortWh
}

// Step carries the state over a step of dtH hours (over 0, up to a few) and
// returns its ledger. Shorter steps give the same sums where offer and demand
// do not change within the long one, except that within a step the loads are
// fed before the battery is charged.
//
// With an endless battery everything delivered is stored and counts as used,
// whatever the loads ask; nothing is lost as full, idle or short, and the
// stand's own use is what it asked.
func (s *System) Step(st *State, in Input, dtH float64) Flow {
	b := &s.Battery
	var f Flow
	s.selfDischarge(st, &f, dtH)
	out, perOut := s.offer(&f, st.Share, in, dtH)
	cold := b.cold(st, in.AirC, dtH)
	if b.Endless {
		if cold {
			f.ColdLossWh, out = out*perOut, 0
		}
		f.StoredWh, f.UsedWh, f.OwnUseWh = out, out, in.OwnWh
		f.ChargerLossWh = out * (perOut - 1)
		return f
	}
	direct := s.feed(&f, st, in, out, dtH)
	var taken float64
	if surplus := out - direct; surplus > 0 {
		if cold {
			f.ColdLossWh = surplus * perOut
		} else {
			taken = b.charge(st, &f, surplus, dtH)
			f.FullLossWh = (surplus - taken) * perOut
		}
	}
	f.StoredWh = direct + taken
	f.ChargerLossWh = f.StoredWh * (perOut - 1)
	return f
}

// hoursPerMonth is a twelfth of 365.25 days.
const hoursPerMonth = 730.5

func (s *System) selfDischarge(st *State, f *Flow, dtH float64) {
	b := &s.Battery
	if b.Endless {
		return
	}
	lost := st.Share * math.Min(b.SelfPerMonth*(1/hoursPerMonth)*dtH, 1)
	st.Share -= lost
	f.BatteryLossWh = lost * b.CapacityWh
}

// offer enters what the panel gives and returns what of it the charger can
// deliver, after its limits, and the panel's watt-hours behind each delivered.
func (s *System) offer(f *Flow, share float64, in Input, dtH float64) (outWh, perOut float64) {
	c := &s.Charger
	if !(in.OfferedLowWh > 0 || in.OfferedHighWh > 0) {
		return 0, 1
	}
	var volts float64
	if c.Kind == PWM {
		blockV := s.Battery.chargingV(share)
		volts = blockV * float64(s.Battery.Blocks)
		high := (blockV - s.Battery.EmptyV) / (s.Battery.AbsorptionV - s.Battery.EmptyV)
		f.PanelWh = in.OfferedLowWh + high*(in.OfferedHighWh-in.OfferedLowWh)
		perOut = (volts + c.DropV) / volts
	} else {
		f.PanelWh = in.OfferedLowWh
		perOut = 1 / (c.Efficiency * c.TrackingShare)
	}
	takenWh := f.PanelWh
	if c.InputLimitW > 0 {
		takenWh = math.Min(takenWh, c.InputLimitW*dtH)
	}
	if s.Box != nil && s.Box.InputLimitW > 0 {
		takenWh = math.Min(takenWh, s.Box.InputLimitW*dtH)
	}
	if c.MaxCurrentA > 0 {
		volts = s.Battery.chargingV(share) * float64(s.Battery.Blocks)
		takenWh = math.Min(takenWh, c.MaxCurrentA*volts*dtH*perOut)
	}
	f.LimitLossWh = f.PanelWh - takenWh
	return takenWh / perOut, perOut
}

// chargingV is the voltage of one block while it is charged.
func (b *Battery) chargingV(share float64) float64 {
	if share < b.KneeShare {
		return b.EmptyV + (b.KneeV-b.EmptyV)*share/b.KneeShare
	}
	return b.KneeV + (b.AbsorptionV-b.KneeV)*(share-b.KneeShare)/(1-b.KneeShare)
}

// cold brings the cells' temperature over the step and reports whether they
// are too cold to be charged.
func (b *Battery) cold(st *State, airC, dtH float64) bool {
	switch {
	case b.Indoors:
		st.CellC = b.IndoorsC
	case b.LagH == 0 || st.CellC != st.CellC: // NaN: the first step
		st.CellC = airC
	default:
		if st.stepH != dtH {
			st.stepH, st.decay = dtH, math.Exp(-dtH/b.LagH)
		}
		st.CellC = airC + (st.CellC-airC)*st.decay
	}
	return st.CellC < b.ColdLimitC
}

// feed gives the charge controller and then the loads what they ask, first of
// what the charger delivers, then of the battery, and returns how much of the
// former they took. When there is too little, all that hangs on the output
// goes short by the same share.
func (s *System) feed(f *Flow, st *State, in Input, outWh, dtH float64) (directWh float64) {
	b := &s.Battery
	idle := s.Charger.OwnA * b.NominalV * float64(b.Blocks) * dtH
	ask := in.LoadWh + in.OwnWh
	output, boxIdle := ask, 0.0
	if x := s.Box; x != nil {
		if ask >= x.AutoOffW*dtH {
			boxIdle = x.IdleW * dtH
			output += boxIdle
		} else {
			output = 0
		}
	}
	charge := st.Share * b.CapacityWh
	idleDirect := min(idle, outWh)
	outputDirect := min(output, outWh-idleDirect)
	idleDrawn, outputDrawn := idle-idleDirect, output-outputDirect
	// Both draw the charge down to the floor, then the controller alone.
	if spare := max(charge-b.FloorShare*b.CapacityWh, 0); idleDrawn+outputDrawn > spare {
		outputDrawn *= spare / (idleDrawn + outputDrawn)
		idleDrawn = min(idleDrawn, charge-outputDrawn)
	}
	if drawn := idleDrawn + outputDrawn; drawn > 0 {
		st.Share = max(st.Share-drawn/b.CapacityWh, 0)
	}
	f.IdleWh = idleDirect + idleDrawn
	switch got := outputDirect + outputDrawn; {
	case output == 0:
		f.ShortWh = ask
	case got >= output:
		f.IdleWh += boxIdle
		f.UsedWh, f.OwnUseWh = ask, in.OwnWh
	default:
		share := got / output
		f.IdleWh += boxIdle * share
		f.UsedWh, f.OwnUseWh = ask*share, in.OwnWh*share
		f.ShortWh = ask - f.UsedWh
	}
	return idleDirect + outputDirect
}

// charge offers the battery an energy, evenly over the step, and returns what
// it takes at its terminals. Up to the knee it takes all. Above, it takes at
// most w = tail + (knee - tail) (1 - share)/(1 - knee share), in capacities per
// hour; where that rules, w decays exponentially with time until it is down
// to the tail and the battery is full: a current that dies away at constant
// voltage. The three stretches are integrated exactly.
func (b *Battery) charge(st *State, f *Flow, offeredWh, dtH float64) (takenWh float64) {
	before := st.Share
	power := offeredWh / (dtH * b.CapacityWh) // in capacities per hour
	left := dtH
	if st.Share < b.KneeShare {
		hours := (b.KneeShare - st.Share) / (b.Efficiency * power)
		if hours >= left {
			st.Share = min(st.Share+b.Efficiency*power*left, b.KneeShare)
			f.BatteryLossWh += offeredWh * (1 - b.Efficiency)
			return offeredWh
		}
		st.Share = b.KneeShare
		takenWh = power * hours * b.CapacityWh
		left -= hours
	}
	above := b.absorb(st, power, left)
	takenWh = min(takenWh+above, offeredWh) // rounding
	f.BatteryLossWh += max(takenWh-(st.Share-before)*b.CapacityWh, 0)
	return takenWh
}

// absorb charges above the knee for some hours and returns what was taken.
func (b *Battery) absorb(st *State, power, hours float64) (takenWh float64) {
	before := st.Share
	toFull := (1 - st.Share) / b.TopEfficiency // capacities still to be taken
	if toFull <= min(power, b.TailC)*hours {
		st.Share = 1
		return toFull * b.CapacityWh
	}
	fall := (b.KneeC - b.TailC) / (1 - b.KneeShare) // of acceptance, by share
	// Up to here the offer rules, from here on acceptance.
	turn := min(1-(power-b.TailC)/fall, 1)
	if st.Share < turn {
		h := min((turn-st.Share)/(b.TopEfficiency*power), hours)
		st.Share = min(st.Share+b.TopEfficiency*power*h, turn)
		hours -= h
	}
	if hours > 0 && st.Share < 1 {
		w := b.TailC + fall*(1-st.Share)
		w *= math.Exp(-b.TopEfficiency * fall * hours)
		st.Share = min(1-(w-b.TailC)/fall, 1)
	}
	return (st.Share - before) / b.TopEfficiency * b.CapacityWh
}
