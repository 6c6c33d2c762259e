package answer

import (
	"fmt"
	"math"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/stand"
)

// panelAndBattery are the parts of the energy's way.
func (s *shopper) panelAndBattery() {
	r, b := s.rig, s.rig.Battery
	s.in("Panel, charge controller and battery")
	s.get("panel", "1", fmt.Sprintf("%.0f W, short-circuit current %.1f A, no more than %.1f kg", r.Panel.PowerW, s.wire.PanelA, r.Base.PanelKg),
		fmt.Sprintf("must fit the stand: %.0f mm up the slope, %.0f mm across", r.Base.PanelLengthM*1000, r.Base.PanelWidthM*1000))
	s.charger()
	what, needs := "battery, "+batteryWords(b.Name), fmt.Sprintf("%.3g V, %.0f Ah (%.0f Wh)", s.volts(), b.CapacityWh/s.volts(), b.CapacityWh)
	if r.Box != nil {
		what = "portable power box"
	}
	if b.ColdLimitC > -50 {
		needs += fmt.Sprintf(", with a protection circuit that stops charging below %.0f C", b.ColdLimitC)
	}
	s.get(what, "1", needs, fmt.Sprintf("must take %.1f A of charge for good, and give %.1f A to loads and motor at once", s.run("battery").CurrentA, s.drawA()))
}

func batteryWords(chemistry string) string {
	if chemistry == "lifepo4" {
		return "LiFePO4"
	}
	return "lead-acid, " + chemistry
}

// drawA is what everything draws at once.
func (s *shopper) drawA() (a float64) {
	for _, r := range s.wire.Runs {
		if r.Key == "controller" || len(r.Key) > 5 && r.Key[:5] == "load." {
			a += r.CurrentA
		}
	}
	return a
}

// charger must bear what the panel gives in the cold, with a tenth in hand.
func (s *shopper) charger() {
	c := s.rig.Charger
	kind := "with a tracker for the panel's best voltage (MPPT)"
	if c.Kind == battery.PWM {
		kind = "switching (PWM)"
	}
	what, bear := "charge controller, "+kind, fmt.Sprintf("input of at least %.0f V and %.1f A; %.1f A or more to the battery", math.Ceil(s.wire.ColdVocV*1.1), s.wire.PanelA*1.25, s.run("battery").CurrentA)
	if s.rig.Box != nil {
		what += ", as in the power box"
	}
	s.get(what, "1", bear, fmt.Sprintf("must fit a %.3g V battery, %s, and the panel's open voltage in the cold, %.1f V at -10 C (colder where you are: %.1f V more for each 10 degrees), with 10 %% in hand", s.volts(), batteryWords(s.rig.Battery.Name), s.wire.ColdVocV, s.wire.ColderV))
}

// driveParts are motor, driver, gears and what they turn on.
func (s *shopper) driveParts() {
	s.in("What turns it")
	m, size := s.rig.Train.Stepper, s.drive.Size
	shaft := motorShaft(size.Name)
	s.get("stepper motor "+size.Name, "1", fmt.Sprintf("%.3g Nm holding torque or more, %.3g A a phase, %.3g ohm, %.3g degrees a step", m.HoldingNm, m.PhaseA, m.PhaseOhm, m.FullStep.Degrees()),
		fmt.Sprintf("must fit a face of %.0f mm with bolts %.0f mm apart; shaft mostly %.4g mm", size.FaceM*1000, size.BoltsM*1000, shaft*1000))
	s.get("stepper driver", "1", fmt.Sprintf("at least %.3g A a phase, %d microsteps, %.0f to %.0f V", m.PhaseA, m.Microsteps, math.Floor(s.rig.Battery.EmptyV*float64(max(s.rig.Battery.Blocks, 1))), math.Ceil(s.highestV()+0.5)),
		"must fit the motor's phase current (set by its own screw or resistor) and the battery's highest voltage")
	s.stages(shaft)
	s.bearing()
	s.get("axle", "1", fmt.Sprintf("steel, %.0f mm thick, about %.0f mm long", axleM*1000, 1000*(2*plyM+bearingGapM+s.rig.Timber.HeightM)), "must fit bearing, driven wheel and both plates")
	if p := s.cuts.Plate.Motor; p != nil {
		s.get("motor plate", "1", fmt.Sprintf("aluminium or steel, 3 mm, %.0f x %.0f mm", 1000*p.FaceM+60, 1000*p.FaceM+40), fmt.Sprintf("must fit the motor's four bolts (holes %.1f mm, as slots of 5 mm towards the axle)", p.HoleM*1000))
	}
	s.stops()
	s.get("cable loop", "1", "flexible cable with fine strands, outdoors, and two cable clamps", fmt.Sprintf("must fit %.0f degrees of turn and never pull tight", s.drive.Wrap.Degrees.Degrees()))
	for _, way := range s.drive.Remedies {
		if way.BrakeNm == 0 {
			continue
		}
		what, rating := "friction brake, or a worm in place of the gears", nm(way.BrakeNm)+" at the axle"
		if s.drive.marginWith(way) < wantedMargin {
			what, rating = "worm in place of the gears", "a lead under 5 degrees; a brake of "+nm(way.BrakeNm)+" would be too much for this motor"
		}
		s.get(what, "1", rating, fmt.Sprintf("must hold the panel in a forecast of %.0f m/s; with the motor off these gears hold %s", s.rig.WantedWindMS, nm(s.drive.Hold.OffNm)))
	}
}

// stops keep the cable from being wound up.
func (s *shopper) stops() {
	w := s.drive.Wrap
	turn := w.Degrees.Degrees()
	if turn >= 350 {
		s.get("end stop on a loose ring", "1", "solid; every heading is visited, so a plain stop will not do", fmt.Sprintf("must let it turn %.0f degrees, its middle at heading %.0f", turn, w.StopAt.Degrees()))
		return
	}
	s.get("end stops", "2", "solid: a bolt in the turning plate against blocks on the axle plate", fmt.Sprintf("must let it turn %.0f degrees, clockwise from heading %.0f to %.0f; they stand near %.0f", turn, w.Low.Azimuth().Degrees(), w.High.Azimuth().Degrees(), math.Mod(math.Round(w.StopAt.Degrees()), 360)))
}

// motorShaft is the usual shaft of a size of motor (from memory).
func motorShaft(name string) float64 {
	switch name {
	case "NEMA 11", "NEMA 14", "NEMA 17":
		return 0.005
	case "NEMA 34":
		return 0.014
	}
	return 0.00635
}

// stages lists each pair of wheels with its bores.
func (s *shopper) stages(shaftM float64) {
	stages := s.rig.Train.Stages
	for i, g := range stages {
		from, to := fmt.Sprintf("the motor's shaft, %.4g mm", shaftM*1000), "the shaft between the stages"
		if i > 0 {
			from = "the shaft between the stages"
		}
		if i == len(stages)-1 {
			to = fmt.Sprintf("the axle, %.0f mm", axleM*1000)
		}
		s.stage(g, from, to)
	}
}

func (s *shopper) stage(g drive.Stage, from, to string) {
	module, centre := g.ModuleM*1000, g.CentreAsBuiltM()
	apart := "centre distance by the maker's sheet"
	if centre > 0 {
		apart = fmt.Sprintf("centre distance %.2f mm", centre*1000)
	}
	switch g.Kind {
	case drive.Worm:
		s.get(fmt.Sprintf("worm, %d starts", g.Driver), "1", fmt.Sprintf("module %.3g mm; a lead under 5 degrees holds by itself", module), "must fit "+from+"; "+apart)
		s.get(fmt.Sprintf("worm wheel, %d teeth", g.Driven), "1", fmt.Sprintf("module %.3g mm, made for this worm", module), "bore must fit "+to)
	case drive.Belt:
		s.get(fmt.Sprintf("belt pulley, %d teeth", g.Driver), "1", fmt.Sprintf("pitch %.3g mm", math.Pi*module), "bore must fit "+from)
		s.get(fmt.Sprintf("belt pulley, %d teeth", g.Driven), "1", fmt.Sprintf("pitch %.3g mm", math.Pi*module), "bore must fit "+to)
		s.get("toothed belt", "1", fmt.Sprintf("pitch %.3g mm, same profile as the pulleys", math.Pi*module), "must fit both pulleys; "+apart)
	default:
		s.get(fmt.Sprintf("pinion, %d teeth", g.Driver), "1", toothed(g.Driver, g.ModuleM), "bore must fit "+from+"; "+apart)
		s.get(fmt.Sprintf("gear wheel, %d teeth", g.Driven), "1", toothed(g.Driven, g.ModuleM), "bore must fit "+to+"; same module and pressure angle as the pinion")
	}
}

// toothed describes a standard spur gear: its tips stand one module beyond the
// pitch circle (ISO 53), its teeth are ten modules wide (common practice, no
// source).
func toothed(teeth int, moduleM float64) string {
	if moduleM == 0 {
		return "module as the other wheel's"
	}
	m := moduleM * 1000
	return fmt.Sprintf("module %.3g mm, 20 degrees, %.1f mm over the tips, teeth %.0f mm wide or more", m, m*float64(teeth+2), math.Ceil(10*m))
}

// bearing carries the turning part and the gust for which the stand is built.
func (s *shopper) bearing() {
	st := s.stand
	own := st.Standing
	gust := s.rig.WantedWindMS * st.Body.GustPerForecast(own)
	down, tip := 0.0, 0.0
	arm := st.Body.PanelUpM(own) - max(0, s.rig.Base.RailTopM-s.rig.Timber.HeightM-plyM)
	for from := compass.Angle(0); from <= 180; from += 15 {
		l := st.Body.LoadAt(own, from, gust)
		down, tip = max(down, -l.UpliftN), max(tip, math.Abs(l.DragN)*arm)
	}
	down += stand.GravityMS2 * (s.rig.Base.PanelKg + s.rig.Base.StandKg)
	s.get("bearing: a flat ball turntable, or two flanged bearings on the axle", "1", fmt.Sprintf("at least %.0f N down and %.0f Nm of tipping; turns by %s or less under the panel", math.Ceil(down/10)*10, math.Ceil(tip), nm(s.rig.Axle.BearingNm)),
		fmt.Sprintf("must fit between the plates, %.0f mm, round or beside the driven wheel", 1000*(&joiner{high: s.rig.Timber.HeightM}).gapM()))
}

// controllerParts aim it.
func (s *shopper) controllerParts() {
	r := s.rig
	s.in("What aims it")
	s.get("controller board with its supply", "1", fmt.Sprintf("draws no more than %.2g W awake and %.2g W asleep, the whole board", r.Board.AwakeW, r.Board.AsleepW), fmt.Sprintf("must take %.0f to %.0f V, or have a converter that does; %d bits for the sensor", math.Floor(s.volts()*0.9), math.Ceil(s.highestV()), r.Sensor.Bits))
	least := 1.25 * s.wire.PanelA
	has := fmt.Sprintf("range %g A, %.0f mV an ampere", r.Sensor.RangeA, r.Sensor.VPerA*1000)
	if r.Sensor.RangeA < least {
		has = fmt.Sprintf("range %g A: the %g A one in the rig file is too small", largerSensor(least), r.Sensor.RangeA)
	}
	s.get("current sensor", "1", has, fmt.Sprintf("must bear %.1f A, a quarter more than the panel's short-circuit current; must fit a converter of %g V", least, r.Sensor.ReferenceV))
	s.get("box", "1", "IP54 or better, of a light colour, in the panel's shade", fmt.Sprintf("must fit charge controller, controller and driver with a hand's breadth round each; %d cable entries, all from below", 3+len(r.Loads)))
	s.get("switch for motor and controller", "1", fmt.Sprintf("direct current, at least %.1f A at %.0f V", max(1, math.Ceil(s.run("controller").CurrentA*1.25)), math.Ceil(s.highestV())), "must fit the box where a hand reaches it")
}

// problemTexts are a train's faults that are not grave enough to be refused.
func problemTexts(t drive.Train) (all []string) {
	for _, p := range t.Problems() {
		all = append(all, "Gears: "+p.Text+".")
	}
	return all
}
