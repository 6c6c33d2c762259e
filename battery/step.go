package battery

import "math"

// State is what a system remembers from step to step. It belongs to the system
// that made it, which must not change meanwhile.
type State struct {
	Share float64 // state of charge, 0..1

	byHours [25]rates // of steps of whole hours, and at 0 of the latest other length
}

// rates are what follows from the system and the length of a step alone.
type rates struct {
	stepH   float64
	self    float64 // share of the charge lost by itself
	idleWh  float64 // drawn by the charge controller
	floorWh float64 // charge at which loads are cut off
	inputWh float64 // most taken from the panel
	limited bool    // the charger is no plain maximum power point tracker
	whole   float64 // MPPT: watt-hours delivered for each of the panel's
	perOut  float64 // MPPT: the panel's watt-hours for each delivered
	perWh   float64 // state of charge for each watt-hour
	fall    float64 // above the knee: loss of acceptance, in capacities per hour, by share
	fade    float64 // above the knee: what is left of acceptance after a step
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
		whole:   c.Efficiency * c.TrackingShare,
		perWh:   1 / b.CapacityWh,
		fall:    (b.KneeC - b.TailC) / (1 - b.KneeShare),
	}
	r.perOut = 1 / r.whole
	r.fade = math.Exp(-b.TopEfficiency * r.fall * dtH)
	if c.InputLimitW > 0 {
		r.inputWh = c.InputLimitW * dtH
	}
	if s.Box != nil && s.Box.InputLimitW > 0 {
		r.inputWh = math.Min(r.inputWh, s.Box.InputLimitW*dtH)
	}
	r.limited = c.Kind == PWM || c.MaxCurrentA > 0 || !math.IsInf(r.inputWh, 1)
	return r
}

// endlessShare is the state of charge, and so the voltage, at which an endless
// battery stands.
const endlessShare = 0.5

// Start returns the state before the first step.
func (s *System) Start() State {
	if s.Battery.Endless {
		return State{Share: endlessShare}
	}
	return State{Share: s.Battery.StartShare}
}

// Input is what one step brings: energies in watt-hours over the step, 0 or
// more, taken as even through it.
type Input struct {
	// What the panel gives at its terminals: under MPPT both are what it gives
	// at its maximum power point; under PWM what it gives at the voltages of
	// System.PinnedV.
	OfferedLowWh, OfferedHighWh float64

	CellC  float64 // temperature of the cells, degrees C: see Battery.Lag
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
	ShortWh       float64 // asked by the builder's loads and not got
	OwnShortWh    float64 // asked by the stand and not got
}

// NetWh returns what the builder's own loads got. For an endless battery it is
// negative where the stand asks more than was stored.
func (f Flow) NetWh() float64 { return f.UsedWh - f.OwnUseWh }

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
	f.OwnShortWh += g.OwnShortWh
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
// returns what the builder's loads went short in it.
func (s *System) StepInto(sum *Flow, st *State, in *Input, dtH float64) (shortWh float64) {
	b, r := &s.Battery, &st.byHours[0]
	if n := int(dtH); float64(n) == dtH && n < len(st.byHours) {
		r = &st.byHours[n]
	}
	if r.stepH != dtH {
		*r = s.ratesFor(dtH)
	}
	outWh, perOut := 0.0, 1.0 // delivered, and the panel's watt-hours behind each
	if in.OfferedLowWh > 0 || in.OfferedHighWh > 0 {
		outWh, perOut = s.offer(sum, r, in, st.Share)
	}
	if b.Endless {
		b.storeAll(sum, in, outWh, perOut)
		return 0
	}
	lost := st.Share * r.self
	share, lossWh := st.Share-lost, lost*b.CapacityWh
	first, output := r.idleWh+in.OwnWh, in.LoadWh // in the order in which they are fed
	var box boxed
	if s.Box != nil {
		box = s.Box.asks(r, in)
		first, output = r.idleWh, box.outputWh
	}
	stored, drawn := outWh, first+output-outWh
	if drawn <= 0 {
		stored, drawn = outWh+drawn, 0
	}
	switch {
	case drawn > 0 && drawn > share*b.CapacityWh-r.floorWh:
		share, shortWh = s.runDown(sum, r, in, &box, outWh, first, output, share)
	case box.off:
		shortWh = s.enter(sum, r, in, &box, 1, 0)
		share -= drawn * r.perWh
	default:
		sum.IdleWh += r.idleWh + box.idleWh
		sum.UsedWh += in.LoadWh + in.OwnWh
		sum.OwnUseWh += in.OwnWh
		share -= drawn * r.perWh
	}
	if surplus := outWh - stored; surplus > 0 {
		taken, now := b.charge(r, surplus, share)
		if taken < surplus {
			sum.FullLossWh += (surplus - taken) * perOut
		}
		if in.CellC < b.ColdLimitC { // what it would have taken
			sum.ColdLossWh += taken * perOut
		} else {
			if heat := taken - (now-share)*b.CapacityWh; heat > 0 {
				lossWh += heat
			}
			stored, share = stored+taken, now
		}
	}
	if stored > 0 {
		sum.StoredWh += stored
		sum.ChargerLossWh += stored * (perOut - 1)
	}
	sum.BatteryLossWh += lossWh
	if share < 0 { // rounding
		share = 0
	}
	st.Share = share
	return shortWh
}

// storeAll is the step of an endless battery.
func (b *Battery) storeAll(sum *Flow, in *Input, outWh, perOut float64) {
	if in.CellC < b.ColdLimitC {
		sum.ColdLossWh += outWh * perOut
		outWh = 0
	}
	sum.StoredWh += outWh
	sum.UsedWh += outWh
	sum.OwnUseWh += in.OwnWh
	sum.ChargerLossWh += outWh * (perOut - 1)
}

// Lag turns the air's temperatures at equal steps of dtH hours into those of the
// cells, which begin at the air's and follow it; or stand at IndoorsC.
func (b *Battery) Lag(temperaturesC []float32, dtH float64) {
	decay := 0.0
	if b.LagH > 0 {
		decay = math.Exp(-dtH / b.LagH)
	}
	for i, air := range temperaturesC {
		switch {
		case b.Indoors:
			temperaturesC[i] = float32(b.IndoorsC)
		case i > 0:
			temperaturesC[i] = air + (temperaturesC[i-1]-air)*float32(decay)
		}
	}
}

// offer enters what the panel gives and returns what of it the charger can
// deliver, after its limits, and the panel's watt-hours behind each delivered.
func (s *System) offer(sum *Flow, r *rates, in *Input, share float64) (outWh, perOut float64) {
	if !r.limited {
		sum.PanelWh += in.OfferedLowWh
		return in.OfferedLowWh * r.whole, r.perOut
	}
	c := &s.Charger
	panelWh, perOut := in.OfferedLowWh, r.perOut
	volts := s.Battery.chargingV(share) // of one block
	if c.Kind == PWM {
		high := (volts - s.Battery.EmptyV) / (s.Battery.AbsorptionV - s.Battery.EmptyV)
		panelWh += high * (in.OfferedHighWh - in.OfferedLowWh)
		perOut = 1 + c.DropV/(volts*float64(s.Battery.Blocks))
	}
	sum.PanelWh += panelWh
	outWh = panelWh / perOut
	most := r.inputWh / perOut
	if c.MaxCurrentA > 0 {
		most = min(most, c.MaxCurrentA*volts*float64(s.Battery.Blocks)*r.stepH)
	}
	if outWh > most {
		sum.LimitLossWh += (outWh - most) * perOut
		outWh = most
	}
	return outWh, perOut
}

// chargingV is the voltage of one block while it is charged.
func (b *Battery) chargingV(share float64) float64 {
	if share < b.KneeShare {
		return b.EmptyV + (b.KneeV-b.EmptyV)*share/b.KneeShare
	}
	return b.KneeV + (b.AbsorptionV-b.KneeV)*(share-b.KneeShare)/(1-b.KneeShare)
}

// boxed is what hangs on a power box's output in a step.
type boxed struct {
	outputWh float64 // loads, stand and the box's own draw
	idleWh   float64 // the box's own draw
	off      bool    // the output has switched itself off
}

func (x *Box) asks(r *rates, in *Input) boxed {
	ask := in.LoadWh + in.OwnWh
	if ask < x.AutoOffW*r.stepH {
		return boxed{off: true}
	}
	idle := x.IdleW * r.stepH
	return boxed{outputWh: ask + idle, idleWh: idle}
}

// runDown is a step in which the battery has too little: all draw it down to
// the floor, then what comes first goes on alone until nothing is left.
func (s *System) runDown(sum *Flow, r *rates, in *Input, box *boxed, outWh, first, output, share float64) (left, shortWh float64) {
	charge := share * s.Battery.CapacityWh
	firstDirect := min(first, outWh)
	outputDirect := min(output, outWh-firstDirect)
	firstDrawn, outputDrawn := first-firstDirect, output-outputDirect
	outputDrawn *= max(charge-r.floorWh, 0) / (firstDrawn + outputDrawn)
	firstDrawn = min(firstDrawn, charge-outputDrawn)
	part := func(got, asked float64) float64 {
		if asked > 0 {
			return min(got/asked, 1)
		}
		return 1
	}
	shortWh = s.enter(sum, r, in, box, part(firstDirect+firstDrawn, first), part(outputDirect+outputDrawn, output))
	return max(share-(firstDrawn+outputDrawn)*r.perWh, 0), shortWh
}

// enter books what was got, where first and output got only a part, 0..1, of
// what they asked, and returns what the builder's loads went short.
func (s *System) enter(sum *Flow, r *rates, in *Input, box *boxed, first, output float64) (shortWh float64) {
	own := first
	if s.Box != nil {
		own = output
	}
	if box.off {
		own, output = 0, 0
	}
	sum.IdleWh += r.idleWh*first + box.idleWh*output
	sum.UsedWh += in.LoadWh*output + in.OwnWh*own
	sum.OwnUseWh += in.OwnWh * own
	sum.OwnShortWh += in.OwnWh * (1 - own)
	shortWh = in.LoadWh * (1 - output)
	sum.ShortWh += shortWh
	return shortWh
}

// charge offers the battery an energy, evenly over the step, and returns what
// it takes at its terminals and its state of charge after. Up to the knee it
// takes all.
func (b *Battery) charge(r *rates, offeredWh, share float64) (takenWh, now float64) {
	if bulk := share + b.Efficiency*offeredWh*r.perWh; bulk <= b.KneeShare {
		return offeredWh, bulk
	}
	return b.top(r, offeredWh, share)
}

// top charges to and above the knee. There the battery takes at most w = tail +
// (knee - tail) (1 - share) / (1 - knee share), in capacities per hour; where
// that rules, w decays exponentially with time until it is down to the tail
// and the battery is full: a current that dies away at constant voltage. The
// three stretches are integrated exactly.
func (b *Battery) top(r *rates, offeredWh, share float64) (takenWh, now float64) {
	offered := offeredWh * r.perWh // in capacities
	taken, left, power := 0.0, r.stepH, offered/r.stepH
	if share < b.KneeShare {
		taken = (b.KneeShare - share) / b.Efficiency
		share = b.KneeShare
		left -= taken / power
	}
	more, now := b.absorb(r, power, left, share)
	takenWh = (taken + more) * b.CapacityWh
	if takenWh > offeredWh { // rounding
		takenWh = offeredWh
	}
	return takenWh, now
}

// absorb charges above the knee with a power, in capacities per hour, for some
// hours, and returns what was taken, in capacities, and the state of charge
// after.
func (b *Battery) absorb(r *rates, power, hours, share float64) (taken, now float64) {
	toFull := 1 - share
	if gain := b.TopEfficiency * hours; toFull <= gain*power && toFull <= gain*b.TailC {
		return toFull / b.TopEfficiency, 1
	}
	// While acceptance is above the offer, the offer rules.
	w := b.TailC + r.fall*toFull
	taken, now, fade := 0.0, share, r.fade
	if w > power {
		toTurn := toFull
		if power > b.TailC {
			toTurn = (w - power) / r.fall
		}
		if b.TopEfficiency*power*hours <= toTurn {
			return power * hours, share + b.TopEfficiency*power*hours
		}
		taken, now, w = toTurn/b.TopEfficiency, share+toTurn, power
		hours -= taken / power
	}
	if hours != r.stepH {
		fade = math.Exp(-b.TopEfficiency * r.fall * hours)
	}
	// From there on acceptance rules; it ends at the tail.
	gain := min(w*(1-fade)/r.fall, 1-now)
	return taken + gain/b.TopEfficiency, now + gain
}
