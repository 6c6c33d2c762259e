package rigfile

import (
	"fmt"
	"strconv"

	"turnsole/compass"
	"turnsole/drive"
)

// motorKeys are the motor and what it has to move; gears stand in
// [[drive.stage]].
var motorKeys = []key{
	at("motor_frame", choice(`"NEMA 17"`, frameNames()...), func(d *draft) *string { return &d.rig.MotorFrame },
		"size of the motor's face by NEMA ICS 16").or(`"NEMA 17"`, "the size that small stands are mostly turned with").only(ForDrive),
	at("full_step", angle(0.05, 90, "1.8"), func(d *draft) *compass.Angle { return &d.rig.Train.Stepper.FullStep },
		"of the motor's shaft, degrees").or("1.8", "200 steps a turn, as most steppers have").only(ForDrive),
	at("microsteps", count(1, 256, "16"), func(d *draft) *int { return &d.rig.Train.Stepper.Microsteps },
		"to a full step, as the driver is set").or("16", "a usual setting").only(ForDrive),
	at("holding_torque", measured(torque, 0.001, 100, `"0.4 Nm"`), func(d *draft) *float64 { return &d.rig.Train.Stepper.HoldingNm },
		"of the motor with its coils on").orBy(usualMotor("Nm", func(s drive.Stepper) float64 { return s.HoldingNm }), "a small stepper (common practice, no source)").only(ForDrive),
	at("detent_torque", measured(torque, 0, 10, `"0.02 Nm"`), func(d *draft) *float64 { return &d.rig.Train.Stepper.DetentNm },
		"of the motor with its coils off").orBy(detentRule, "5 % of the holding torque, from memory").only(ForDrive),
	at("phase_current", measured(current, 0.01, 20, `"1.2 A"`), func(d *draft) *float64 { return &d.rig.Train.Stepper.PhaseA },
		"that the driver is set to").orBy(usualMotor("A", func(s drive.Stepper) float64 { return s.PhaseA }), "a small stepper (common practice, no source)").only(ForDrive),
	at("phase_resistance", measured(resistance, 0.05, 500, `"3 ohm"`), func(d *draft) *float64 { return &d.rig.Train.Stepper.PhaseOhm },
		"of one coil").orBy(usualMotor("ohm", func(s drive.Stepper) float64 { return s.PhaseOhm }), "a small stepper (common practice, no source)").only(ForDrive),
	at("phase_inductance", measured(inductance, 1e-5, 1, `"4 mH"`), func(d *draft) *float64 { return &d.rig.Train.Stepper.PhaseH },
		"of one coil").orBy(usualMotor("H", func(s drive.Stepper) float64 { return s.PhaseH }), "a small stepper (common practice, no source)").only(ForDrive),
	at("supply_voltage", measured(voltage, 3, 60, `"12.8 V"`), func(d *draft) *float64 { return &d.rig.Train.Stepper.SupplyV },
		"at the driver").orBy(func(d *draft) string { return quoted(d.volts(), "V") }, "the battery's").only(ForDrive),
	at("coils_when_still", choice(`"off"`, "off", "on"), func(d *draft) *string { return &d.coils },
		"whether the coils stay on between moves").or(`"off"`, "on costs more than it earns").only(ForDrive),
	at("backlash", maybe(angle(0, 45, "0.6")), func(d *draft) **compass.Angle { return &d.rig.Train.Measured },
		"degrees of play at the panel, as measured by hand").orNone("worked out from the gears"),
	at("brake", measured(torque, 0, 1000, `"1.5 Nm"`), func(d *draft) *float64 { return &d.rig.Train.BrakeNm },
		"of a friction brake, at the panel").orNone("no brake"),
	at("bearing_friction", measured(torque, 0, 100, `"0.15 Nm"`), func(d *draft) *float64 { return &d.rig.Axle.BearingNm },
		"torque that just turns the panel by hand in still air, motor unmeshed").or(`"0.15 Nm"`, "a greased disc bearing under ten kilograms or so (common practice, no source); a spring balance tells yours").only(ForDrive),
	at("acceleration", plain(0.01, 1000, "5"), func(d *draft) *float64 { return &d.rig.Axle.AccelDegPerS2 },
		"of the panel at the start of a move, degrees per second squared").or("5", "gentle: full speed within a second").only(ForDrive),
	at("off_plumb", angle(0, 30, "3"), func(d *draft) *compass.Angle { return &d.rig.Axle.Plumb },
		"how far the axle may be out of plumb").or("3", "set up by eye on rough ground").only(ForDrive),
	at("off_axis", maybe(measured(length, 0, 3, `"4 cm"`)), func(d *draft) **float64 { return &d.offAxis },
		"of the turning part's centre of mass from the axle").orNone("worked out from the setting nearest to the stand's own tilt"),
	at("move_wind", measured(speed, 0, 60, `"8 m/s"`), func(d *draft) *float64 { return &d.rig.MoveWindMS },
		"gust in which it should still move").or(`"8 m/s"`, "in more it may wait").only(ForDrive),
	at("cable_range", several(plain(-720, 720, ""), 2, 2, "headings", "[45, 315]"), func(d *draft) *[]float64 { return &d.cable },
		"headings between which cable and end stops let it turn, counted on past 360 or below 0 where they must").orNone("what the year asks for"),
}

var stageSection = section{
	name: "stage", number: many,
	doc:   "A pair of gears, a belt or a worm, from the motor to the panel.",
	begin: func(d *draft) { d.rig.Train.Stages = append(d.rig.Train.Stages, drive.Stage{}) },
	end:   (*draft).endStage,
	keys: []key{
		at("kind", choice(`"spur"`, "spur", "belt", "worm"), func(d *draft) *string { return &d.stage.kind },
			"two spur gears, a toothed belt, or a worm and its wheel").or(`"spur"`, "what is mostly cut or printed").only(ForDrive),
		at("driver", count(1, 500, "17"), func(d *draft) *int { return &d.stageNow().Driver },
			"teeth of the wheel on the motor's side; of a worm its starts").required(),
		at("driven", count(2, 2000, "170"), func(d *draft) *int { return &d.stageNow().Driven },
			"teeth of the wheel on the panel's side").required(),
		at("module", measured(length, 1e-4, 0.05, `"1 mm"`), func(d *draft) *float64 { return &d.stageNow().ModuleM },
			"of gears: pitch diameter over teeth; of a belt: its pitch over pi").or(`"1 mm"`, "a size that is sold and printed").only(ForDrive),
		at("centre", measured(length, 0, 5, `"93.5 mm"`), func(d *draft) *float64 { return &d.stageNow().CentreM },
			"distance of the two axles").orNone("as module and teeth ask"),
		at("efficiency", maybe(measured(share, 0.05, 1, `"90 %"`)), func(d *draft) **float64 { return &d.stage.efficiency },
			"of the stage").orNone("as usual for its kind, from memory"),
		at("lead", angle(0, 60, "4"), func(d *draft) *compass.Angle { return &d.stageNow().Lead },
			"lead angle of a worm").orNone("as its kind"),
	},
}

// wire is a cable with its fuse as the builder has them.
func wireKeys(of func(d *draft) *Wire, usualLength, what string) []key {
	return []key{
		at("cable_length", measured(length, 0.01, 500, usualLength), func(d *draft) *float64 { return &of(d).LengthM },
			"of the cable "+what+", one way").or(usualLength, "measure yours").only(ForWiring),
		at("cable", maybe(cable(`"2.5 mm2"`)), func(d *draft) **cableValue { return &of(d).cable },
			"its cross-section, in mm2 or AWG").orNone("the thinnest that will do"),
		at("fuse", maybe(measured(current, 0.1, 500, `"10 A"`)), func(d *draft) **float64 { return &of(d).FuseA },
			"in it").orNone("the one that fits"),
	}
}

// sensorKeys are the controller's eye on the panel.
var sensorKeys = []key{
	at("sensor_range", measured(current, 0.1, 200, `"5 A"`), func(d *draft) *float64 { return &d.rig.Sensor.RangeA },
		"of the current sensor in the panel's lead").orBy(sensorRange, "the smallest common one that the panel cannot overrun at the edge of a cloud").only(ForWiring),
	at("sensor_mv_per_a", plain(0.1, 1e4, "185"), func(d *draft) *float64 { return &d.sensorMVPerA },
		"what it gives, millivolts per ampere").orBy(sensorGain, "as common sensors of that range give").only(ForWiring),
	at("sensor_zero", measured(voltage, 0, 24, `"2.5 V"`), func(d *draft) *float64 { return &d.rig.Sensor.ZeroV },
		"what it gives at no current; 0 V for a shunt").or(`"2.5 V"`, "half of the sensor's supply of 5 V (common practice, no source)").only(ForWiring),
	at("sensor_noise", measured(current, 0, 10, `"20 mA"`), func(d *draft) *float64 { return &d.rig.Sensor.NoiseA },
		"root mean square of a single reading").or(`"20 mA"`, "a common sensor without a filter (common practice, no source)").only(ForWiring),
	at("sensor_bits", count(6, 24, "10"), func(d *draft) *int { return &d.rig.Sensor.Bits },
		"of the analogue-to-digital converter").or("10", "as small 8-bit boards have").only(ForWiring),
	at("sensor_reference", measured(voltage, 0.5, 24, `"5 V"`), func(d *draft) *float64 { return &d.rig.Sensor.ReferenceV },
		"that fill the converter's range").or(`"5 V"`, "the board's supply").only(ForWiring),
	at("sensor_reads", count(1, 100000, "64"), func(d *draft) *int { return &d.rig.Sensor.Reads },
		"readings averaged to one look").or("64", "some milliseconds' worth").only(ForWiring),
}

func frameNames() (names []string) {
	for _, f := range drive.FrameSizes() {
		names = append(names, f.Name)
	}
	return names
}

// quoted writes a figure with its unit, as it would stand in the file.
func quoted(x float64, unit string) string { return fmt.Sprintf(`"%.4g %s"`, x, unit) }

// usualMotor takes a figure of the stepper that small stands are built with.
func usualMotor(unit string, figure func(drive.Stepper) float64) func(*draft) string {
	return func(*draft) string { return quoted(figure(drive.DefaultTrain().Stepper), unit) }
}

func detentRule(d *draft) string { return quoted(0.05*d.rig.Train.Stepper.HoldingNm, "Nm") }

// hallSensors are current sensors that are sold everywhere: range in A and what
// they give in mV/A (common practice, no source).
var hallSensors = [][2]float64{{5, 185}, {20, 100}, {30, 66}, {50, 40}, {100, 20}, {200, 10}}

// usualSensor is the smallest of them that the panel cannot overrun: 1.25 of a
// short-circuit current that, where the label is silent, is a 17 V panel's.
func usualSensor(d *draft) [2]float64 {
	most := d.rig.Panel.IscA
	if most == 0 {
		most = d.rig.Panel.PowerW / 17
	}
	for _, s := range hallSensors {
		if s[0] >= 1.25*most {
			return s
		}
	}
	return hallSensors[len(hallSensors)-1]
}

func sensorRange(d *draft) string { return quoted(usualSensor(d)[0], "A") }

// sensorGain goes by the range that the file gives, or is given for it.
func sensorGain(d *draft) string {
	for _, s := range hallSensors {
		if s[0] >= d.rig.Sensor.RangeA {
			return strconv.FormatFloat(s[1], 'g', -1, 64)
		}
	}
	return "10"
}
