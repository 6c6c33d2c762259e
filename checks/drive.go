package checks

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"turnsole/aim"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/place"
)

func driveRooms() []Room {
	return slices.Concat(motorRooms(), gearRooms(), arcRooms())
}

func motorRooms() []Room {
	return []Room{
		{
			Title:  "Drive: what the trade expects of a stepper",
			Source: "common practice, no source: a full step of 1.8 degrees, 200 to a turn; 10 W for 20 s are 200 J; 1 W through a quarter of an hour is 900 J, 4.5 times that; one phase alone holds 1/1.41 of both",
			Reason: "rounding; 0.3 % where the trade says 1.41 for the square root of 2",
			Run:    stepperFacts,
		},
		{
			Title:  "Drive: torque of a microstep",
			Source: "the sine of a two-phase motor's torque, holding x sin(90 degrees/m): the table that makers of drivers print, from memory",
			Reason: "half of the last digit printed",
			Run:    microstepTable,
		},
		{
			Title:  "Drive: sizes that are made",
			Source: "ISO 54:1996 series I and DIN 780 modules; the standard faces of steppers after NEMA ICS 16. All from memory",
			Reason: "a list has no tolerance; the program's is a copy of this one, which guards against typing slips only",
			Run:    madeSizes,
		},
	}
}

// gearRooms hold what lies between motor and panel.
func gearRooms() []Room {
	return []Room{
		{
			Title:  "Drive: least backlash of gears",
			Source: "ISO/TR 10064-2:1996, table A.1, least backlash along the line of action, from memory",
			Reason: "half of the last digit printed",
			Run:    backlashTable,
		},
		{
			Title:  "Drive: a textbook's pair of gears",
			Source: "R. G. Budynas and J. K. Nisbett, Shigley's Mechanical Engineering Design, 9th edition, example 13-1: 16 teeth drive 40, diametral pitch 2 (module 12.7 mm), pressure angle 20 degrees; then a quarter of an inch too far apart. Its results from memory",
			Reason: "half of the last digit printed; 0.05 degrees for the pressure angle, which the book works out from a base radius rounded by 0.0012 in 3.76",
			Run:    textbookGears,
		},
		{
			Title:  "Drive: efficiency by kind of stage",
			Source: "handbook ranges, from memory",
			Reason: "half the width of the range; the figure beside ours is its middle",
			Run:    stageEfficiencies,
		},
		{
			Title:  "Drive: friction of bearings",
			Source: "bearing makers' M = mu F d/2 with their handbook coefficients, from memory: 200 N on a diameter of 30 mm",
			Reason: "rounding; the coefficients are a copy of these, which guards against typing slips only",
			Run:    bearingFrictions,
		},
	}
}

// arcRooms hold how far the panel turns.
func arcRooms() []Room {
	return []Room{
		{
			Title:  "Drive: where a follower's day begins and ends",
			Source: "spherical astronomy: cos A = (sin d - sin p sin h)/(cos p cos h) with the declination d of the solstice, 23.436 degrees, or of the equinox, 0; the horizon as seen lies at h = -34 minutes of arc, the almanacs' refraction",
			Reason: "a minute of arc of refraction, which formulas and almanacs give to whole minutes, and 0.01 degrees of declination; at an equinox 0.3, as the sun's declination changes by 0.4 degrees a day. Refraction moves the sun along the horizon by the sine of the latitude; all of it counts 1/(cos p sin A) times",
			Run:    dayEnds,
		},
		{
			Title:  "Drive: turn of the cable over a year",
			Source: "geometry of the sun's path at the solstices: 360 - 2 A from rise to set; 360 in the polar summer",
			Reason: "as for the ends of the day, twice; a full circle is exact but for the rounding of 360 sums",
			Run:    yearsWrap,
		},
	}
}

func stepperFacts(string) ([]Check, error) {
	m, motor := drive.DefaultStepper(), drive.DefaultMotor()
	move := 3600 * motor.MoveWh(compass.Angle(20*motor.DegreesPerS))
	idle := 3600 * drive.Board{AwakeW: 1, AsleepW: 1, WakeEveryS: 900}.HourWh(1) / 4
	direct := drive.Train{Stepper: m}
	m.Microsteps = 2
	const exact = 1e-9
	return []Check{
		{"full steps of 1.8 degrees in a turn", 200, m.StepsPerTurn(), "", exact, 0},
		{"ten full steps without gears", 18, 10 * float64(direct.FullStepAtPanel()), "degrees", exact, 1},
		{"10 W for 20 s", 200, move, "J", exact, 1},
		{"1 W for 900 s", 900, idle, "J", exact, 1},
		{"the second in terms of the first", 4.5, idle / move, "", exact, 2},
		{"both phases hold, of one alone", 1.41, m.HoldingNm / m.MicrostepNm(), "", 0.0043, 2},
	}, nil
}

func microstepTable(string) ([]Check, error) {
	rows, err := readFacts("microstep_torque")
	if err != nil {
		return nil, err
	}
	var all []Check
	for _, r := range rows {
		v, err := r.numbers("microsteps_per_full_step", "incremental_torque_percent_of_holding")
		if err != nil {
			return nil, err
		}
		m := drive.Stepper{HoldingNm: 1, Microsteps: int(v[0])}
		all = append(all, Check{fmt.Sprintf("%d microsteps to a full step", m.Microsteps), v[1], 100 * m.MicrostepNm(), "% of holding", 0.005001, 2})
	}
	return all, nil
}

func backlashTable(string) ([]Check, error) {
	rows, err := readFacts("gear_backlash_min")
	if err != nil {
		return nil, err
	}
	var all []Check
	for _, r := range rows {
		v, err := r.numbers("module_mm", "centre_distance_mm", "j_bn_min_mm")
		if err != nil {
			return nil, err
		}
		// Teeth that just fill the distance: m (z1 + z2)/2 to within half a
		// tooth, and the distance as built for the rest.
		teeth := int(2 * v[1] / v[0])
		s := drive.Stage{Kind: drive.Spur, Driver: teeth / 4, Driven: teeth - teeth/4, ModuleM: v[0] * 1e-3, CentreM: v[1] * 1e-3}
		all = append(all, Check{fmt.Sprintf("module %s, axes %s mm apart", r["module_mm"], r["centre_distance_mm"]), v[2], 1e3 * s.LeastPlayM(), "mm", 0.000501, 3})
	}
	return all, nil
}

func textbookGears(string) ([]Check, error) {
	const inch = 0.0254
	s := drive.Stage{Kind: drive.Spur, Driver: 16, Driven: 40, ModuleM: inch / 2}
	cos20 := compass.Angle(20).Cos()
	built := s
	built.CentreM = s.StandardCentreM() + inch/4
	// Base circles stay; the pitch circles grow with the cosine.
	grown := cos20 / built.PressureAsBuilt().Cos()
	return []Check{
		{"pitch diameter of the pinion", 8, s.DriverM() / inch, "in", 1e-9, 3},
		{"pitch diameter of the gear", 20, s.DrivenM() / inch, "in", 1e-9, 3},
		{"distance between the axes", 14, s.StandardCentreM() / inch, "in", 1e-9, 3},
		{"base radius of the pinion", 3.76, s.DriverM() / 2 * cos20 / inch, "in", 0.005, 2},
		{"base radius of the gear", 9.40, s.DrivenM() / 2 * cos20 / inch, "in", 0.005, 2},
		{"pitch diameter of the pinion at 14.25 in", 8.143, grown * s.DriverM() / inch, "in", 0.0005, 3},
		{"pitch diameter of the gear at 14.25 in", 20.357, grown * s.DrivenM() / inch, "in", 0.0005, 3},
		{"pressure angle at 14.25 in", 22.56, float64(built.PressureAsBuilt()), "degrees", 0.05, 2},
	}, nil
}

func madeSizes(string) ([]Check, error) {
	modules, err := readFacts("gear_modules_ISO54")
	if err != nil {
		return nil, err
	}
	missing := 0.0
	for _, r := range modules {
		mm, err := r.number("module_mm")
		if err != nil {
			return nil, err
		}
		listed := slices.ContainsFunc(drive.StandardModulesM(), func(m float64) bool { return math.Abs(1e3*m-mm) < 1e-9 })
		if r["series"] != "II" && mm <= 10 && !listed {
			missing++
		}
	}
	all := []Check{{"modules up to 10 mm that are missing", 0, missing, "", 0, 0}}
	frames, err := readFacts("stepper_frames")
	if err != nil {
		return nil, err
	}
	sizes := drive.FrameSizes()
	if len(sizes) != len(frames) {
		return nil, fmt.Errorf("%d sizes of stepper, want %d", len(sizes), len(frames))
	}
	for i, r := range frames {
		v, err := r.numbers("face_mm", "bolt_pitch_mm", "holding_torque_low_Nm", "holding_torque_high_Nm")
		if err != nil {
			return nil, err
		}
		f := sizes[i]
		off := math.Abs(1e3*f.FaceM-v[0]) + math.Abs(1e3*f.BoltsM-v[1]) + math.Abs(f.LowNm-v[2]) + math.Abs(f.HighNm-v[3])
		all = append(all, Check{r["frame"] + ": face, bolts and holding torques, sum of differences", 0, off, "mm, Nm", 1e-9, 3})
	}
	return all, nil
}

func stageEfficiencies(string) ([]Check, error) {
	stages := map[string]drive.Stage{
		"spur gear pair, lubricated": {Kind: drive.Spur, Driver: 17, Driven: 170},
		"toothed belt":               {Kind: drive.Belt, Driver: 20, Driven: 60},
		"worm, single start":         {Kind: drive.Worm, Driver: 1, Driven: 60},
		"worm, multi start":          {Kind: drive.Worm, Driver: 3, Driven: 60},
	}
	rows, err := readFacts("drive_efficiency")
	if err != nil {
		return nil, err
	}
	var all []Check
	for _, r := range rows {
		s, known := stages[r["stage"]]
		if !known {
			continue
		}
		v, err := r.numbers("eff_low", "eff_high")
		if err != nil {
			return nil, err
		}
		all = append(all, Check{r["stage"], (v[0] + v[1]) / 2, s.Forward(), "", (v[1]-v[0])/2 + 1e-9, 3})
	}
	if len(all) != len(stages) {
		return nil, fmt.Errorf("%d of %d kinds found", len(all), len(stages))
	}
	return all, nil
}

func bearingFrictions(string) ([]Check, error) {
	names := map[string]string{
		"deep groove ball": "ball", "self-aligning ball": "self-aligning ball", "cylindrical roller with cage": "roller",
		"tapered roller": "tapered roller", "thrust ball": "ball thrust", "thrust cylindrical roller": "roller thrust",
		"plain bronze oiled, radial": "plain bronze", "plain polymer dry, radial": "plain polymer",
	}
	rows, err := readFacts("bearing_friction")
	if err != nil {
		return nil, err
	}
	var all []Check
	for _, r := range rows {
		name, known := names[r["bearing"]]
		if !known {
			continue
		}
		mu, err := r.number("mu")
		if err != nil {
			return nil, err
		}
		b, err := drive.BearingNamed(name)
		if err != nil {
			return nil, err
		}
		all = append(all, Check{strings.TrimSpace(r["bearing"]), mu * 200 * 0.030 / 2, b.FrictionNm(200, 0.030), "Nm", 1e-12, 5})
	}
	return all, nil
}

const (
	solstice  = 23.436     // obliquity of the ecliptic in 2026
	lifted    = -34.0 / 60 // the horizon as seen
	uncertain = 1.0/60 + 0.001
)

// horizonAzimuth is where a sun of a declination stands on the horizon as seen,
// east of the meridian, counted from north; and by how much it moves along the
// horizon for each degree up or of declination.
func horizonAzimuth(latitude, declination compass.Angle) (azimuth, perDegree float64) {
	h := compass.Angle(lifted)
	cosA := (declination.Sin() - latitude.Sin()*h.Sin()) / (latitude.Cos() * h.Cos())
	return float64(compass.Radians(math.Acos(cosA))), 1 / (latitude.Cos() * math.Sqrt(1-cosA*cosA))
}

// daysOf2026 with the solstices and equinoxes: 20 March 14:46, 21 June 08:24,
// 23 September 00:05 and 21 December 20:50, all universal time.
var daysOf2026 = []struct {
	name        string
	day         int
	declination compass.Angle
	moves       float64 // how far the declination may lie from that
}{
	{"March equinox", 79, 0, 0.3},
	{"June solstice", 172, solstice, 0.01},
	{"September equinox", 266, 0, 0.3},
	{"December solstice", 355, -solstice, 0.01},
}

func dayEnds(string) ([]Check, error) {
	var all []Check
	for _, latitude := range []compass.Angle{52.28, 35, 0, -6, -45} {
		arcs := aim.Arcs(place.Spot{Latitude: latitude}, 2026, 0)
		for _, d := range daysOf2026 {
			azimuth, perDegree := horizonAzimuth(latitude, d.declination)
			a := arcs[d.day-1]
			tolerance := perDegree * (uncertain*math.Abs(latitude.Sin()) + d.moves)
			what := fmt.Sprintf("%s, latitude %.2f, ", d.name, float64(latitude))
			all = append(all,
				Check{what + "first heading", azimuth, float64(a.From), "degrees", tolerance, 2},
				Check{what + "last heading", 360 - azimuth, float64(a.To.Azimuth()), "degrees", tolerance, 2})
		}
	}
	return all, nil
}

func yearsWrap(string) ([]Check, error) {
	wrap := func(latitude compass.Angle) drive.Wrap {
		var days []drive.Arc
		for _, a := range aim.Arcs(place.Spot{Latitude: latitude}, 2026, 0) {
			days = append(days, drive.Arc(a))
		}
		return drive.WrapOf(days)
	}
	var all []Check
	for _, c := range []struct {
		latitude, longest compass.Angle
	}{{52.28, solstice}, {35, solstice}, {-45, -solstice}} {
		azimuth, perDegree := horizonAzimuth(c.latitude, c.longest)
		if c.latitude < 0 { // the sun goes round the north
			azimuth = 180 - azimuth
		}
		w := wrap(c.latitude)
		what := fmt.Sprintf("latitude %.2f, ", float64(c.latitude))
		tolerance := 2 * perDegree * (uncertain*math.Abs(c.latitude.Sin()) + 0.01)
		all = append(all,
			Check{what + "range of the cable", 360 - 2*azimuth, float64(w.Degrees), "degrees", tolerance, 2},
			Check{what + "end stops, from the pole's side", 0, float64(compass.Turn(compass.Equatorward(c.latitude)+180, w.StopAt)), "degrees", tolerance / 2, 2})
	}
	for _, latitude := range []compass.Angle{70, -70, 90} {
		all = append(all, Check{fmt.Sprintf("latitude %.0f, range of the cable", float64(latitude)), 360, float64(wrap(latitude).Degrees), "degrees", 1e-9, 2})
	}
	return all, nil
}
