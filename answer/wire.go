package answer

import (
	"fmt"
	"math"

	"turnsole/panel"
	"turnsole/rigfile"
	"turnsole/sensor"
	"turnsole/wiring"
)

// What a run of cable may lose of its voltage (common practice, no source).
const (
	chargingDrop = 0.02 // on the way from the panel to the battery
	otherDrop    = 0.03
	motorDrop    = 0.05
)

// Wire is every run of cable with its size and fuse, and what the controller's
// current sensor can see.
type Wire struct {
	Rig      string
	Runs     []WireRun
	Sensor   sensor.Current
	PanelA   float64            // short-circuit current in full sun
	Blind    []sensor.Blindness // by brightness
	ColdVocV float64            // open voltage at -10 C, what the charge controller must bear
	ColderV  float64            // what each 10 degrees colder add to it
	Problems []wiringProblem    // what must not be built so
	Verdict  string
	Findings []string
	Cautions []string
	Assumed  []rigfile.Assumed
}

// WireRun is one run.
type WireRun struct {
	wiring.Sized
	Key      string  // its section of the rig file
	CarriesA float64 // that its cable may carry for good, in air of wiring.WarmAirC
}

type wiringProblem struct{ Key, Text string }

// SizeWires answers which cables and fuses the rig wants.
func SizeWires(rig *rigfile.Rig) (*Wire, error) {
	diode, _, err := panel.Fit(rig.Panel)
	if err != nil {
		return nil, bad("panel: %v", err)
	}
	w := &Wire{Rig: rig.Name, Sensor: rig.Sensor, Cautions: wiringCautions(), Assumed: rig.AssumedFor(rigfile.ForWiring),
		PanelA: diode.ShortCircuitA(1000, 25), ColdVocV: diode.OpenCircuitV(1000, -10)}
	w.ColderV = diode.OpenCircuitV(1000, -20) - w.ColdVocV
	for _, r := range w.runs(rig, diode) {
		sized, err := wiring.Size(r.Run)
		if err != nil {
			return nil, &BadInput{fmt.Errorf("[%s]: %w", r.Key, err)}
		}
		w.Runs = append(w.Runs, WireRun{sized, r.Key, sized.Cable.MaxAAt(wiring.WarmAirC)})
		for _, p := range sized.Problems {
			w.Problems = append(w.Problems, wiringProblem{r.Key + "." + p.Key, p.Text})
		}
	}
	for _, p := range rig.Sensor.Problems(w.PanelA) {
		w.Problems = append(w.Problems, wiringProblem{"controller." + p.Key, p.Text})
	}
	w.Blind = rig.Sensor.BlindTable([]float64{w.PanelA, w.PanelA * 0.75, w.PanelA / 2, w.PanelA / 4, w.PanelA / 10})
	w.judge()
	return w, nil
}

type wantedRun struct {
	wiring.Run
	Key string
}

// runs lists the cables from the panel to the loads.
func (w *Wire) runs(rig *rigfile.Rig, diode panel.Diode) []wantedRun {
	volts := rig.Battery.NominalV * float64(rig.Battery.Blocks)
	bestV, _ := diode.MaximumPower(1000, 25)
	charge := rig.Panel.PowerW / volts
	if most := rig.Charger.MaxCurrentA; most > 0 {
		charge = math.Min(charge, most)
	}
	all := []wantedRun{
		{wire(rig.Wires.Panel, "panel to charge controller", w.PanelA, bestV, chargingDrop,
			"in the plus lead beside the charge controller, so that a fault there cannot feed the battery back into the cable", wiring.PanelFactor), "panel"},
		{wire(rig.Wires.Battery, "charge controller to battery", charge, volts, chargingDrop,
			"in the plus lead, within a hand's breadth of the battery's pole", wiring.BatteryFactor), "battery"},
		{wire(rig.Wires.Controller, "battery to controller and driver", (rig.Motor.PowerW+rig.Board.AwakeW)/volts, volts, otherDrop,
			"in the plus lead, within a hand's breadth of the battery's pole", wiring.BatteryFactor), "controller"},
		{wire(rig.Wires.Motor, "driver to motor, each coil", rig.Train.Stepper.PhaseA, rig.Train.Stepper.SupplyV, motorDrop,
			"the driver limits the current itself: set it before the motor is connected", wiring.BatteryFactor), "drive"},
	}
	all[3].NeedsFuse = false
	for i, l := range rig.Loads {
		if l.PowerW > 0 {
			all = append(all, wantedRun{wire(rig.Wires.Loads[i], "battery to "+l.Name, l.PowerW/volts, volts, otherDrop,
				"in the plus lead, at the battery or its distribution", wiring.BatteryFactor), "load." + l.Name})
		}
	}
	return all
}

func wire(own rigfile.Wire, name string, currentA, sourceV, maxDrop float64, where string, factor float64) wiring.Run {
	return wiring.Run{Name: name, LengthM: own.LengthM, CurrentA: currentA, SourceV: sourceV, AmbientC: wiring.WarmAirC,
		MaxDrop: maxDrop, Cable: own.Cable, FuseA: own.FuseA, NeedsFuse: true, Where: where, ContinuousFactor: factor}
}

func (w *Wire) say(format string, args ...any) {
	w.Findings = append(w.Findings, fmt.Sprintf(format, args...))
}

func (w *Wire) judge() {
	thickest, worst := w.Runs[0], w.Runs[0]
	for _, r := range w.Runs {
		if r.Cable.AreaMM2 > thickest.Cable.AreaMM2 {
			thickest = r
		}
		if r.DropFraction > worst.DropFraction {
			worst = r
		}
	}
	w.Verdict = fmt.Sprintf("The thickest cable is the %s: %s. The greatest drop is %.1f %%, from %s.", thickest.Name, CableText(thickest.Cable), worst.DropFraction*100, worst.Name)
	if n := len(w.Problems); n > 0 {
		w.Verdict = fmt.Sprintf("%s must not be built as the rig file has it. ", map[bool]string{true: "One thing", false: capital(countWord(n)) + " things"}[n == 1]) + w.Verdict
	}
	w.say("The charge controller must bear the panel's open voltage in the cold: %.1f V at -10 C; colder where you are: %.1f V more for each 10 degrees.", w.ColdVocV, w.ColderV)
	full, dim := w.Blind[0], w.Blind[len(w.Blind)-1]
	w.say("One step of the converter is %s mA; averaged over %d readings the sensor tells %s mA. In full sun (%.1f A) it cannot tell a panel that is %.1f degrees off from one that is aimed; in a tenth of that light, %.0f degrees.",
		counting(w.Sensor.StepA()*1000), w.Sensor.Reads, counting(w.Sensor.ResolutionA()*1000), full.CurrentA, full.Blind.Degrees(), dim.Blind.Degrees())
	if full.Lost < 0.05 {
		w.say("The peak of a cosine is flat: %.1f degrees off loses only %s of the beam. Hunting for the brightest heading by smaller steps than that wears gears for nothing.",
			full.Blind.Degrees(), shareText(full.Lost))
	} else {
		w.say("That loses %s of the beam: this sensor cannot guide the panel by its current; take one of a smaller range, of more bits or of less noise, or aim by the clock.", shareText(full.Lost))
	}
	w.say("Mount the current sensor well away from the motor and its leads (the field of their current moves a Hall sensor's reading), and read it with the motor still, over whole periods of the charge controller's switching.")
}

// CableText names a cable in square millimetres and by gauge.
func CableText(c wiring.Cable) string {
	other, ok := c.Other()
	if !ok {
		return c.Name
	}
	return c.Name + " (" + other.Name + ")"
}

func wiringCautions() []string {
	return []string{
		"A panel in light cannot be switched off: cover it with an opaque sheet before you wire it.",
		"A battery drives hundreds of amperes through a spanner: rings off, tools insulated, and its fuse goes in last.",
		"Connect the battery to the charge controller first and the panel second; part them in the other order.",
		"An arc of direct current does not go out by itself: never part a plug under load.",
		"Nothing here touches the mains; that is a licensed electrician's work. Where a local code asks for more, the code is right.",
	}
}
