package rigfile

import (
	"slices"
	"time"

	"turnsole/battery"
	"turnsole/compass"
	"turnsole/drive"
	"turnsole/place"
	"turnsole/stand"
	"turnsole/weather"
)

// sections is the whole rig file: one line for each key says what it is
// called, what it takes, where it goes, what it means and what stands in for
// it. Everything else in this package is made from this table.
func sections() *section {
	return &section{
		doc: "The builder's file, in TOML: text and quantities stand in quotes, a comment begins with #.",
		keys: []key{
			at("format", count(1, 1, "1"), func(d *draft) *int { return &d.format },
				"version of this format").or("1", ""),
			at("name", words(`"lambing hut"`), func(d *draft) *string { return &d.rig.Name },
				"what the rig is called").orNone("the name of the file"),
			at("currency", words(`"GBP"`), func(d *draft) *string { return &d.rig.Currency },
				"what prices are in").orNone("prices are printed without one"),
		},
		inner: []section{
			spotSection, weatherSection, panelSection, chargeSection, batterySection,
			loadSection, standSection, driveSection, controllerSection, trialSection,
		},
		end: (*draft).join,
	}
}

var spotSection = section{
	name: "spot", must: true, number: oneOrMany,
	doc:   "Where the rig stands. A rig that travels has several [[spot]], each with a name.",
	begin: (*draft).newSpot,
	end:   (*draft).endSpot,
	keys: []key{
		at("name", words(`"hill"`), func(d *draft) *string { return &d.spot.Name },
			"what the spot is called").orNone("needed only where there are several"),
		at("latitude", angle(-90, 90, "52.28"), func(d *draft) *compass.Angle { return &d.spot.Latitude },
			"degrees, north positive").required(),
		at("longitude", angle(-180, 180, "-3.62"), func(d *draft) *compass.Angle { return &d.spot.Longitude },
			"degrees, east positive").required(),
		at("altitude", measured(length, -430, 9000, `"310 m"`), func(d *draft) *float64 { return &d.spot.AltitudeM },
			"height above the sea").or(`"0 m"`, "sea level, where nothing is said"),
		at("zone", zone(`"Europe/London"`), zoneOf,
			"the clock on the wall, by which loads run and hands turn").orBy(zoneNearest, "the whole-hour zone nearest in longitude, without summer time"),
		at("ground", choice(`"grass"`, groundNames()...), func(d *draft) *string { return &d.spot.ground },
			"what lies around the rig, for the light that it throws back").or(`"unknown"`, "throws back 0.2 of the light, as ground usually does"),
		at("albedo", oneOrMonthly(plain(0, 1, "0.2")), func(d *draft) *[12]float64 { return &d.spot.albedo },
			"share of the light that the ground throws back, instead of naming it").orNone("as the ground"),
		at("snow_months", several(count(1, 12, ""), 1, 12, "months", "[1, 2, 12]"), func(d *draft) *[]int { return &d.spot.snow },
			"months in which old snow lies").orNone("no snow"),
		at("terrain", terrain(`"open"`), func(d *draft) *stand.Terrain { return &d.spot.Terrain },
			"how rough the country is to the wind").or(`"open"`, "low grass with few obstacles").only(ForWind),
		at("skyline", marks("[[150, 2], [225, 14], [315, 11]]"), func(d *draft) *[]place.Mark { return &d.spot.marks },
			"height of what hides the sun, by bearing; straight lines join the points").orNone("a free horizon but for the obstacles"),
	},
	inner: []section{obstacleSection, spotWeatherSection},
}

var obstacleSection = section{
	name: "obstacle", number: many,
	doc:   "Something of known height at a known distance that hides the sun: a hedge, a house.",
	begin: func(d *draft) { d.spot.obstacle = append(d.spot.obstacle, place.Obstacle{}) },
	keys: []key{
		at("name", words(`"hedge"`), func(d *draft) *string { return &d.unused },
			"what it is").orNone("its number"),
		at("from", bearing("60"), func(d *draft) *compass.Angle { return &d.spot.around().From },
			"bearing of its left end").required(),
		at("to", bearing("110"), func(d *draft) *compass.Angle { return &d.spot.around().To },
			"bearing of its right end").required(),
		at("height", measured(length, 0.01, 9000, `"2.2 m"`), func(d *draft) *float64 { return &d.spot.around().HeightM },
			"above the panel").required(),
		at("distance", measured(length, 0.1, 500e3, `"9 m"`), func(d *draft) *float64 { return &d.spot.around().DistanceM },
			"from the panel").required(),
	},
}

var weatherSection = section{
	name:  "weather",
	doc:   "The years of sky: at most one of file, monthly_sun_hours, monthly_clearness and climate.",
	begin: func(d *draft) { d.weather = &d.general },
	end:   (*draft).endWeather,
	keys:  weatherKeys,
	inner: []section{columnsSection},
}

// spotWeatherSection is laid over [weather] once that is known.
var spotWeatherSection = section{
	name: "weather", later: true,
	doc:   "Weather of this spot alone; what it leaves open is as in [weather].",
	end:   (*draft).endWeather,
	keys:  weatherKeys,
	inner: []section{columnsSection},
}

var weatherKeys = []key{
	at("file", words(`"year.csv.gz"`), func(d *draft) *string { return &d.weather.File },
		"a recorded or typical year, plain or gzipped, looked for from where this file lies").orNone("years are made"),
	at("monthly_sun_hours", maybe(monthly(plain(0, 15, "2.5"), "[0.6, 1.2, 2.3, 3.7, 4.7, 4.9, 4.7, 4.0, 2.9, 1.6, 0.8, 0.5]")), func(d *draft) **[12]float64 { return &d.weather.sunHours },
		"peak sun hours: kWh/m2 a day on the flat, by month").orNone("as the climate"),
	at("monthly_clearness", maybe(monthly(plain(0, 0.85, "0.45"), "[0.33, 0.36, 0.39, 0.43, 0.44, 0.43, 0.42, 0.42, 0.41, 0.37, 0.34, 0.31]")), func(d *draft) **[12]float64 { return &d.weather.clearness },
		"light on the flat over what would fall there without air, by month").orNone("as the climate"),
	at("climate", choice(`"cloudy-maritime"`, climateNames()...), func(d *draft) *string { return &d.weather.Climate },
		"a kind of climate built in").orNone("the one nearest in latitude"),
	at("monthly_air", maybe(monthly(measured(warmth, -90, 60, "9"), "[4, 4, 6, 8, 11, 14, 16, 15, 13, 10, 7, 5]")), func(d *draft) **[12]float64 { return &d.weather.air },
		"mean air temperature by month, C, for made years").orNone("as the climate"),
	at("monthly_wind", maybe(monthly(plain(0, 40, "4"), "[6, 5, 5, 4, 4, 4, 3, 3, 4, 5, 5, 6]")), func(d *draft) **[12]float64 { return &d.weather.wind },
		"mean wind by month, m/s at 10 m, for made years").orNone("as the climate"),
	at("turbidity", oneOrMonthly(plain(1, 10, "3.5")), func(d *draft) *[12]float64 { return &d.weather.Turbidity },
		"Linke turbidity of the clear sky: 2 pure cold air, 3 clean warm air, 4 to 6 moist or dusty").orNone("as usual at this latitude in each month"),
	at("years", count(1, 1000, "200"), func(d *draft) *int { return &d.weather.Years },
		"how many years are run").or("200", "enough for the 5th and 95th percentile"),
	at("step", choice(`"1 h"`, "1 h", "1 min"), func(d *draft) *string { return &d.weather.step },
		"how finely years are made").or(`"1 h"`, "minutes change a year's sums little and take longer"),
	at("sky_model", choice(`"perez"`, "perez", "hay-davies", "isotropic"), func(d *draft) *string { return &d.weather.sky },
		"how the diffuse light is spread over the sky").or(`"perez"`, "the one that fits measurements best, Perez et al. 1990"),
	at("block_days", several(count(2, 60, ""), 2, 2, "numbers of days", "[5, 15]"), func(d *draft) *[]int { return &d.weather.blocks },
		"a recorded year is put together anew from blocks of so many days, from shortest to longest").or("[5, 15]", "as long as spells of weather last"),
}

var panelSection = section{
	name: "panel", must: true,
	doc: "The label on the panel's back, measured at 1000 W/m2 and 25 C.",
	end: (*draft).endPanel,
	keys: slices.Concat([]key{
		at("power", measured(power, 0.1, 2000, `"80 W"`), func(d *draft) *float64 { return &d.rig.Panel.PowerW },
			"greatest power (Pmax)").required(),
		at("voc", measured(voltage, 0.3, 1000, `"22.3 V"`), func(d *draft) *float64 { return &d.rig.Panel.VocV },
			"voltage with nothing connected (Voc)").orNone(asUsual),
		at("isc", measured(current, 0.001, 100, `"4.7 A"`), func(d *draft) *float64 { return &d.rig.Panel.IscA },
			"short-circuit current (Isc)").orNone(asUsual),
		at("vmp", measured(voltage, 0.2, 1000, `"18.4 V"`), func(d *draft) *float64 { return &d.rig.Panel.VmpV },
			"voltage at greatest power (Vmp)").orNone(asUsual),
		at("imp", measured(current, 0.001, 100, `"4.35 A"`), func(d *draft) *float64 { return &d.rig.Panel.ImpA },
			"current at greatest power (Imp)").orNone(asUsual),
		at("cells", count(1, 1000, "36"), func(d *draft) *int { return &d.rig.Panel.Cells },
			"cells in series; half-cut cells count one of their two strings").orNone(asUsual),
		at("power_per_k", measured(perK, -0.01, 0, `"-0.4 %/K"`), func(d *draft) *float64 { return &d.rig.Panel.PowerPerK },
			"change of power with temperature").orNone(asUsual),
		at("voc_per_k", measured(perK, -0.008, 0, `"-0.3 %/K"`), func(d *draft) *float64 { return &d.rig.Panel.VocPerK },
			"change of open voltage with temperature").orNone(asUsual),
		at("isc_per_k", measured(perK, -0.001, 0.003, `"0.05 %/K"`), func(d *draft) *float64 { return &d.rig.Panel.IscPerK },
			"change of short-circuit current with temperature").orNone(asUsual),
		at("glass", glass(`"clean"`), func(d *draft) *glassValue { return &d.glass },
			"the cover, for what it loses at a slant; a number is the angular loss coefficient of Martin & Ruiz").or(`"usual"`, "between clean and anti-reflective, as most panels are"),
		at("mass", maybe(measured(mass, 0.001, 500, `"6.2 kg"`)), func(d *draft) **float64 { return &d.rig.PanelMassKg },
			"what the panel weighs").orNone("no figures per kilogram"),
		at("price", maybe(plain(0, 1e6, "70")), func(d *draft) **float64 { return &d.rig.PanelPrice },
			"what a second one would cost").orNone("no figures per unit of money"),
	}, panelSizeKeys, wireKeys(func(d *draft) *Wire { return &d.rig.Wires.Panel }, `"5 m"`, "to the charge controller")),
}

const asUsual = "as usual for a panel of these watts"

var columnsSection = section{
	name: "columns", number: optional,
	doc:   "Which column of a measured file is what, by its heading or, from 1, as \"#3\". Needed only where the layout is not recognised.",
	begin: func(d *draft) { d.weather.Columns = new(weather.Map) },
	end:   (*draft).endColumns,
	keys: []key{
		column("time", func(m *weather.Map) *string { return &m.Time }, "date and time in one column"),
		column("date", func(m *weather.Map) *string { return &m.Date }, "date, where the time stands in a column of its own"),
		column("clock", func(m *weather.Map) *string { return &m.Clock }, "time of day beside date"),
		column("year", func(m *weather.Map) *string { return &m.Year }, "year as a number"),
		column("month", func(m *weather.Map) *string { return &m.Month }, "month as a number"),
		column("day", func(m *weather.Map) *string { return &m.Day }, "day of the month"),
		column("day_of_year", func(m *weather.Map) *string { return &m.DayOfYear }, "day of the year, from 1"),
		column("hour", func(m *weather.Map) *string { return &m.Hour }, "hour, 0 to 24"),
		column("minute", func(m *weather.Map) *string { return &m.Minute }, "minute"),
		column("second", func(m *weather.Map) *string { return &m.Second }, "second"),
		column("hhmm", func(m *weather.Map) *string { return &m.HHMM }, "hour and minute as one number, 0 to 2400"),
		column("seconds_of_day", func(m *weather.Map) *string { return &m.SecondsOfDay }, "seconds since midnight"),
		at("first_day", words(`"2025-06-01"`), func(d *draft) *string { return &d.weather.Columns.FirstDay },
			"date of the first row, where no column gives the day").orNone("a column gives it"),
		at("layout", words(`"2006-01-02 15:04:05"`), func(d *draft) *string { return &d.weather.Columns.Layout },
			"how 2 January 2006, 15:04:05 would be written in the file; or \"RFC3339\" or \"unix\"").orNone("found from the data"),
		at("zone", zone(`"UTC+1"`), func(d *draft) **time.Location { return &d.weather.Columns.Zone },
			"the file's clock").orNone("every time carries its own offset"),
		at("label", choice(`"left"`, "left", "right", "centre"), func(d *draft) *string { return &d.label },
			"what a row's time stands for: its beginning, its end or its middle").or(`"left"`, "as most loggers write"),
		at("step", measured(duration, 1, 3600, `"15 min"`), func(d *draft) *float64 { return &d.step },
			"length of a row").orNone("found from the data"),
		column("ghi", func(m *weather.Map) *string { return &m.GHI }, "global light on the flat, W/m2"),
		column("dni", func(m *weather.Map) *string { return &m.DNI }, "beam, facing the sun, W/m2"),
		column("dhi", func(m *weather.Map) *string { return &m.DHI }, "diffuse light on the flat, W/m2"),
		column("air", func(m *weather.Map) *string { return &m.AirC }, "air temperature, C"),
		column("wind", func(m *weather.Map) *string { return &m.WindMS }, "wind, m/s"),
		column("albedo", func(m *weather.Map) *string { return &m.Albedo }, "share of the light that the ground throws back, 0 to 1"),
		at("wind_height", measured(length, 0.1, 200, `"10 m"`), func(d *draft) *float64 { return &d.weather.Columns.WindHeightM },
			"how high above open ground the wind was measured").orNone("the wind is as at the panel"),
		at("separator", choice(`";"`, ",", ";", "tab", "blanks"), func(d *draft) *string { return &d.separator },
			"what stands between columns").orNone("found from the heading"),
		at("missing", several(plain(-1e12, 1e12, ""), 1, 20, "numbers", "[-9999]"), func(d *draft) *[]float64 { return &d.weather.Columns.Missing },
			"numbers that stand for no value").orNone("-9999, -999, 9999 and their like"),
	},
}

// column says that a key names a column of the weather file.
func column(name string, field func(m *weather.Map) *string, doc string) key {
	return at(name, words(`"`+name+`"`), func(d *draft) *string { return field(d.weather.Columns) }, doc).orNone("the file has none")
}

var chargeSection = section{
	name: "charge",
	doc:  "The charge controller between panel and battery, or that part of a portable power box.",
	end:  (*draft).endCharge,
	keys: []key{
		at("kind", charger(`"mppt"`), func(d *draft) *battery.Charger { return &d.rig.Charger },
			"\"mppt\" finds the panel's best voltage; \"pwm\", a plain on and off, ties the panel to the battery's").or(`"mppt"`, "turning is mostly built with one; a plain on/off controller is \"pwm\""),
		at("efficiency", maybe(measured(share, 0.1, 1, `"96 %"`)), func(d *draft) **float64 { return &d.charge.efficiency },
			"of the conversion (mppt)").orNone(asKind),
		at("drop", maybe(measured(voltage, 0, 3, `"0.5 V"`)), func(d *draft) **float64 { return &d.charge.dropV },
			"lost in switch and leads (pwm)").orNone(asKind),
		at("own_draw", draw(60, `"10 mA"`), func(d *draft) *quantity { return &d.charge.own },
			"its own draw from the battery, day and night").orNone(asKind),
		at("input_limit", measured(power, 1, 1e5, `"100 W"`), func(d *draft) *float64 { return &d.rig.Charger.InputLimitW },
			"most that it takes from the panel").orNone("no limit"),
		at("max_current", measured(current, 0.1, 1e3, `"10 A"`), func(d *draft) *float64 { return &d.rig.Charger.MaxCurrentA },
			"most that it gives to the battery").orNone("no limit"),
	},
}

const asKind = "as usual for its kind"

var batterySection = section{
	name: "battery",
	doc:  "The battery, or the one in a portable power box. It matters where a load is declared: with none it never fills, and all that is stored counts as used (but one named here still takes no charge in the cold).",
	end:  (*draft).endBattery,
	keys: slices.Concat([]key{
		at("chemistry", chemistry(`"lifepo4"`), func(d *draft) *battery.Chemistry { return &d.rig.Battery.Chemistry },
			"what it is made of").or(`"lifepo4"`, "what small rigs are mostly built with"),
		at("capacity", either(`"40 Ah"`, bound{charge, 0.1, 1e4}, bound{energy, 1, 1e6}), func(d *draft) *quantity { return &d.battery.capacity },
			"what it holds").or(`"40 Ah"`, "a size that small rigs often have; say yours"),
		at("voltage", blocks(`"12 V"`), func(d *draft) *int { return &d.rig.Battery.Blocks },
			"of the whole battery: 12, 24, 36 or 48 V").or(`"12 V"`, "what small rigs have"),
		at("start", measured(share, 0, 1, `"100 %"`), func(d *draft) *float64 { return &d.rig.Battery.StartShare },
			"its charge at the start").or(`"100 %"`, "it is charged before it is put out"),
		at("floor", maybe(measured(share, 0, 0.99, `"10 %"`)), func(d *draft) **float64 { return &d.battery.floor },
			"charge at which the loads are cut off").orNone("10 % for lifepo4, 50 % for lead"),
		at("charge_above", maybe(measured(warmth, -60, 30, `"0 C"`)), func(d *draft) **float64 { return &d.battery.coldC },
			"lowest temperature of its cells at which it may be charged").orNone("0 C for lifepo4, none for lead"),
		at("indoors", maybe(measured(warmth, -60, 80, `"15 C"`)), func(d *draft) **float64 { return &d.battery.indoorsC },
			"its temperature where it stands indoors").orNone("it stands outside and follows the air"),
		at("lag", measured(duration, 0, 3.6e6, `"4 h"`), func(d *draft) *float64 { return &d.battery.lagS },
			"by how long its cells follow the air outside").or(`"4 h"`, "a small battery in a box (common practice, no source)"),
		at("idle_draw", draw(1e4, `"4 W"`), func(d *draft) *quantity { return &d.battery.idle },
			"of a power box: its own draw while its output is on").orNone("it is no power box"),
		at("output_off_below", draw(1e4, `"2 W"`), func(d *draft) *quantity { return &d.battery.offBelow },
			"of a power box: it switches its output off when less is drawn").orNone("its output stays on"),
	}, wireKeys(func(d *draft) *Wire { return &d.rig.Wires.Battery }, `"0.5 m"`, "to the charge controller")),
}

var loadSection = section{
	name: "load", number: many,
	doc:   "Something that is fed for some hours of each day. Loads that run twice a day are two.",
	begin: func(d *draft) { d.load = &loadDraft{}; d.loads = append(d.loads, d.load) },
	end:   (*draft).endLoad,
	keys: slices.Concat([]key{
		at("name", words(`"lamp"`), func(d *draft) *string { return &d.load.Name },
			"what it is").orNone("its number"),
		at("power", draw(1e5, `"5 W"`), func(d *draft) *quantity { return &d.load.power },
			"while it is on, in W, or in A at the battery's voltage").required(),
		at("from", clockTime(`"18:30"`), func(d *draft) *float64 { return &d.load.FromHour },
			"when it goes on, by the clock on the wall").or("0", "all day"),
		at("to", clockTime(`"22:00"`), func(d *draft) *float64 { return &d.load.ToHour },
			"when it goes off; it may run over midnight").or("24", "all day"),
	}, wireKeys(func(d *draft) *Wire { return &d.load.wire }, `"3 m"`, "from the battery")),
}

var standSection = section{
	name: "stand",
	doc:  "The wood and metal that hold the panel at a tilt.",
	end:  (*draft).endStand,
	keys: slices.Concat([]key{
		at("tilt", angle(0, 90, "40"), func(d *draft) *compass.Angle { return &d.rig.Stand.Tilt },
			"the rig's own tilt, degrees from flat").orBy(tiltByLatitude, "by the latitude, for standing still: 0.87 of it below 25 degrees, else 0.76 of it plus 3.1 (from memory; meant for 0 to 50 degrees)"),
		at("lowest", angle(0, 90, "20"), func(d *draft) *compass.Angle { return &d.rig.Stand.Lowest },
			"least tilt that it can be set to").or("0", "any tilt can be set"),
		at("highest", angle(0, 90, "70"), func(d *draft) *compass.Angle { return &d.rig.Stand.Highest },
			"greatest tilt that it can be set to").or("90", "any tilt can be set"),
		at("notches", count(1, 12, "2"), func(d *draft) *int { return &d.rig.Stand.Notches },
			"how many tilts it is set to in the course of a year").or("2", "one for the dark half of the year and one for the bright"),
		at("hands_from", clockTime(`"07:00"`), func(d *draft) *float64 { return &d.rig.Stand.HandsFrom },
			"when somebody is there to turn the panel by hand").or(`"07:00"`, "people are up from 7"),
		at("hands_to", clockTime(`"22:00"`), func(d *draft) *float64 { return &d.rig.Stand.HandsTo },
			"until when").or(`"22:00"`, "people are up until 22"),
		at("mass", maybe(measured(mass, 0, 1000, `"9 kg"`)), func(d *draft) **float64 { return &d.rig.StandMassKg },
			"what a stand that does not turn weighs").orNone("no figures per kilogram"),
		at("price", maybe(plain(0, 1e6, "35")), func(d *draft) **float64 { return &d.rig.StandPrice },
			"what a stand that does not turn costs").orNone("no figures per unit of money"),
	}, frameKeys, baseKeys),
}

var driveSection = section{
	name:  "drive",
	doc:   "What turns the panel. Without a [[drive.stage]] it has one usual pair of gears.",
	end:   (*draft).endDrive,
	inner: []section{stageSection},
	keys: slices.Concat([]key{
		at("motor_power", measured(power, 0.01, 500, `"10 W"`), func(d *draft) *float64 { return &d.rig.Motor.PowerW },
			"while turning, at the battery, driver and all").or(`"10 W"`, "a small geared stepper with its driver (common practice, no source)"),
		at("speed", measured(spin, 0.001, 360, `"3 deg/s"`), func(d *draft) *float64 { return &d.rig.Motor.DegreesPerS },
			"how fast the panel turns").or(`"3 deg/s"`, "a small geared stepper (common practice, no source)"),
		at("mass", maybe(measured(mass, 0, 500, `"3 kg"`)), func(d *draft) **float64 { return &d.rig.DriveMassKg },
			"all that turning adds: bearing, motor, gears, controller").orNone("no figures per kilogram"),
		at("price", maybe(plain(0, 1e6, "85")), func(d *draft) **float64 { return &d.rig.DrivePrice },
			"what all that costs").orNone("no figures per unit of money"),
	}, motorKeys, wireKeys(func(d *draft) *Wire { return &d.rig.Wires.Motor }, `"1.5 m"`, "from the driver to the motor")),
}

var controllerSection = section{
	name:  "controller",
	inner: []section{settingsSection(), faultsSection},
	doc:   "The electronics that aim: the whole board with its supply and the idle driver, never the chip alone.",
	end:   (*draft).endController,
	keys: slices.Concat([]key{
		at("board", board(`"usb-board"`), func(d *draft) *drive.Board { return &d.rig.Board },
			"a kind of board to start from").or(`"usb-board"`, "a hobby board fed through its USB socket by a 5 V converter; measure your own"),
		at("awake", draw(200, `"0.29 W"`), func(d *draft) *quantity { return &d.awake },
			"its draw while it looks and thinks, in W, or in mA at the battery's voltage").orNone(asBoard),
		at("asleep", draw(200, `"0.18 W"`), func(d *draft) *quantity { return &d.asleep },
			"its draw the rest of day and night").orNone(asBoard),
		at("wake_every", measured(duration, 1, 86400, `"15 min"`), func(d *draft) *float64 { return &d.rig.Board.WakeEveryS },
			"time between two looks while the sun is up").orNone(asBoard),
		at("awake_for", measured(duration, 0, 86400, `"20 s"`), func(d *draft) *float64 { return &d.rig.Board.AwakeS },
			"how long a look keeps it awake").orNone(asBoard),
	}, aimKeys, sensorKeys, wireKeys(func(d *draft) *Wire { return &d.rig.Wires.Controller }, `"1 m"`, "from the battery to controller and driver")),
}

const asBoard = "as the board"
