package battery

import "math"

// State is what a system remembers from step to step. It belongs to the system
// that made it, which must not change meanwhile.
type State struct {
	Share float64 // state of charge, 0..1
	CellC float64 // temperature of the cells, degrees C; NaN before the first step

	rates rates
}

// rates are what follows from the system and the length of a step alone,
// worked out again only where that length changes.
type rates struct {
	stepH   float64
	decay   float64 // of the cells' difference from the air
	self    float64 // share of the charge lost by itself
	idleWh  float64 // drawn by the charge controller
	floorWh float64 // charge at which loads are cut off
	inputWh float64 // most taken from the panel
	perOut  float64 // MPPT: panel's watt-hours for each delivered
	perWh   float64 // state of charge for each watt-hour
}

// hoursPerMonth is a twelfth of 365.25 days.
const hoursPerMonth = 730.5

func (s *System) ratesFor(dtH float64) rates {
	c, b := &s.Charger, &s.Battery
	r := rates{
		stepH:   dtH,
		self:    math.Min(b.SelfPerMonth/hoursPerMonth*dtH, 1),
		idleWh:  c.OwnA * b.NominalV * float64(b.Blocks) * dtH,
		floorWh: b.FloorShare * b.CapacityWh,
		inputWh: math.Inf(1),
		perOut:  1 / (c.Efficiency * c.TrackingShare),
		perWh:   1 / b.CapacityWh,
	}
	if b.LagH > 0 {
		r.decay = math.Exp(-dtH / b.LagH)
	}
	if c.InputLimitW > 0 {
		r.inputWh = c.InputLimitW * dtH
	}
	if s.Box != nil && s.Box.InputLimitW > 0 {
		r.inputWh = math.Min(r.inputWh, s.Box.InputLimitW*dtH)
	}
	return r
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
// do not change within the long one.
//
// With an endless battery everything delivered is stored and counts as used,
// whatever the loads ask; nothing is lost as full, idle or short, and the
// stand's own use is what it asked.
func (s *System) Step(st *State, in Input, dtH float64) Flow {
	var f Flow
	s.StepInto(&f, st, &in, dtH)
	return f
}

// StepInto is Step for loops of millions: it adds the step's ledger to sum and
// returns what loads and stand went short in it.
func (s *System) StepInto(sum *Flow, st *State, in *Input, dtH float64) (shortWh float64) {
	if st.rates.stepH != dtH {
		st.rates = s.ratesFor(dtH)
	}
	b := &s.Battery
	if !b.Endless {
		lost := st.Share * st.rates.self
		st.Share -= lost
		sum.BatteryLossWh += lost * b.CapacityWh
	}
	b.follow(st, in.AirC)
	var outWh, perOut float64
	if in.OfferedLowWh > 0 || in.OfferedHighWh > 0 {
		outWh, perOut = s.offer(sum, st, in)
	}
	if b.Endless {
		b.storeAll(sum, st, in, outWh, perOut)
		return 0
	}
	direct, shortWh := s.feed(sum, st, in, outWh)
	if outWh == 0 {
		return shortWh
	}
	stored, surplus := direct, outWh-direct
	switch {
	case surplus <= 0:
	case st.CellC < b.ColdLimitC:
		sum.ColdLossWh += surplus * perOut
	default:
		taken := b.charge(sum, st, surplus)
		sum.FullLossWh += (surplus - taken) * perOut
		stored += taken
	}
	sum.StoredWh += stored
	sum.ChargerLossWh += stored * (perOut - 1)
	return shortWh
}

// storeAll is the step of an endless battery.
func (b *Battery) storeAll(sum *Flow, st *State, in *Input, outWh, perOut float64) {
	if st.CellC < b.ColdLimitC {
		sum.ColdLossWh += outWh * perOut
		outWh = 0
	}
	sum.StoredWh += outWh
	sum.UsedWh += outWh
	sum.OwnUseWh += in.OwnWh
	sum.ChargerLossWh += outWh * (perOut - 1)
}

// follow brings the cells' temperature over the step.
func (b *Battery) follow(st *State, airC float64) {
	switch {
	case b.Indoors:
		st.CellC = b.IndoorsC
	case st.CellC != st.CellC: // NaN: the first step
		st.CellC = airC
	default:
		st.CellC = airC + (st.CellC-airC)*st.rates.decay
	}
}

// offer enters what the panel gives and returns what of it the charger can
// deliver, after its limits, and the panel's watt-hours behind each delivered.
func (s *System) offer(sum *Flow, st *State, in *Input) (outWh, perOut float64) {
	c := &s.Charger
	panelWh, perOut := in.OfferedLowWh, st.rates.perOut
	var volts float64
	if c.Kind == PWM || c.MaxCurrentA > 0 {
		volts = s.Battery.chargingV(st.Share)
	}
	if c.Kind == PWM {
		high := (volts - s.Battery.EmptyV) / (s.Battery.AbsorptionV - s.Battery.EmptyV)
		panelWh += high * (in.OfferedHighWh - in.OfferedLowWh)
		perOut = 1 + c.DropV/(volts*float64(s.Battery.Blocks))
	}
	sum.PanelWh += panelWh
	takenWh := panelWh
	if takenWh > st.rates.inputWh {
		takenWh = st.rates.inputWh
	}
	if c.MaxCurrentA > 0 {
		takenWh = min(takenWh, c.MaxCurrentA*volts*float64(s.Battery.Blocks)*st.rates.stepH*perOut)
	}
	sum.LimitLossWh += panelWh - takenWh
	return takenWh / perOut, perOut
}

// chargingV is the voltage of one block while it is charged.
func (b *Battery) chargingV(share float64) float64 {
	if share < b.KneeShare {
		return b.EmptyV + (b.KneeV-b.EmptyV)*share/b.KneeShare
	}
	return b.KneeV + (b.AbsorptionV-b.KneeV)*(share-b.KneeShare)/(1-b.KneeShare)
}

// feed gives the charge controller and then the loads what they ask, first of
// what the charger delivers, then of the battery, and returns how much of the
// former they took. When there is too little, all that hangs on the output
// goes short by the same share.
func (s *System) feed(sum *Flow, st *State, in *Input, outWh float64) (directWh, shortWh float64) {
	ask := in.LoadWh + in.OwnWh
	output, boxIdle := ask, 0.0
	if s.Box != nil {
		output, boxIdle = s.Box.output(ask, st.rates.stepH)
	}
	idle := st.rates.idleWh
	// What the charger's delivery leaves to be drawn from the battery.
	idleDrawn, outputDrawn := idle, output
	if outWh > 0 {
		idleDirect := min(idle, outWh)
		outputDirect := min(output, outWh-idleDirect)
		idleDrawn, outputDrawn = idle-idleDirect, output-outputDirect
		directWh = idleDirect + outputDirect
	}
	missing := 0.0
	if idleDrawn+outputDrawn > 0 {
		idleShort, outputShort := s.Battery.draw(st, idleDrawn, outputDrawn)
		idle -= idleShort
		missing = outputShort
	}
	switch {
	case output == 0:
		sum.ShortWh += ask
		shortWh = ask
	case missing == 0:
		idle += boxIdle
		sum.UsedWh += ask
		sum.OwnUseWh += in.OwnWh
	default:
		share := 1 - missing/output
		idle += boxIdle * share
		sum.UsedWh += ask * share
		sum.OwnUseWh += in.OwnWh * share
		shortWh = ask * (1 - share)
		sum.ShortWh += shortWh
	}
	sum.IdleWh += idle
	return directWh, shortWh
}

// output returns what hangs on a box's output and draws, the box's own draw in
// it, and that draw; nothing where the output has switched itself off.
func (x *Box) output(askWh, stepH float64) (outputWh, boxIdleWh float64) {
	if askWh < x.AutoOffW*stepH {
		return 0, 0
	}
	return askWh + x.IdleW*stepH, x.IdleW * stepH
}

// draw takes energy for the charge controller and for the output from the
// battery, both together down to the floor, then the controller's alone, and
// returns what is missing of each.
func (b *Battery) draw(st *State, idleWh, outputWh float64) (idleShort, outputShort float64) {
	charge := st.Share * b.CapacityWh
	spare := charge - st.rates.floorWh
	if idleWh+outputWh > spare {
		got := outputWh * max(spare, 0) / (idleWh + outputWh)
		outputShort = outputWh - got
		idleShort = max(idleWh-(charge-got), 0)
		idleWh, outputWh = idleWh-idleShort, got
	}
	st.Share = max(st.Share-(idleWh+outputWh)*st.rates.perWh, 0)
	return idleShort, outputShort
}

// charge offers the battery an energy, evenly over the step, and returns what
// it takes at its terminals. Up to the knee it takes all. Above, it takes at
// most w = tail + (knee - tail) (1 - share)/(1 - knee share), in capacities per
// hour; where that rules, w decays exponentially with time until it is down
// to the tail and the battery is full: a current that dies away at constant
// voltage. The three stretches are integrated exactly.
func (b *Battery) charge(sum *Flow, st *State, offeredWh float64) (takenWh float64) {
	before := st.Share
	offered := offeredWh * st.rates.perWh // in capacities
	if bulk := before + b.Efficiency*offered; bulk <= b.KneeShare {
		st.Share = bulk
		sum.BatteryLossWh += offeredWh * (1 - b.Efficiency)
		return offeredWh
	}
	if before == 1 {
		return 0
	}
	taken, left, power := 0.0, st.rates.stepH, offered/st.rates.stepH
	if before < b.KneeShare {
		taken = (b.KneeShare - before) / b.Efficiency
		st.Share = b.KneeShare
		left -= taken / power
	}
	taken += b.absorb(st, power, left)
	takenWh = min(taken*b.CapacityWh, offeredWh) // rounding
	sum.BatteryLossWh += max(takenWh-(st.Share-before)*b.CapacityWh, 0)
	return takenWh
}

// absorb charges above the knee with a power, in capacities per hour, for some
// hours, and returns what was taken, in capacities.
func (b *Battery) absorb(st *State, power, hours float64) (taken float64) {
	before := st.Share
	toFull := (1 - before) / b.TopEfficiency
	if toFull <= min(power, b.TailC)*hours {
		st.Share = 1
		return toFull
	}
	fall := (b.KneeC - b.TailC) / (1 - b.KneeShare) // of acceptance, by share
	// Up to here the offer rules, from here on acceptance.
	turn := min(1-(power-b.TailC)/fall, 1)
	share := before
	if share < turn {
		reached := share + b.TopEfficiency*power*hours
		if reached <= turn {
			st.Share = reached
			return power * hours
		}
		hours -= (turn - share) / (b.TopEfficiency * power)
		share = turn
	}
	w := b.TailC + fall*(1-share)
	w *= math.Exp(-b.TopEfficiency * fall * hours)
	st.Share = max(min(1-(w-b.TailC)/fall, 1), share) // but for rounding, between them
	return (st.Share - before) / b.TopEfficiency
}
