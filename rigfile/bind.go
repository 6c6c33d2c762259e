package rigfile

import (
	"math"
	"regexp"
	"strconv"
	"time"
	_ "time/tzdata" // so that zones have names on every machine

	"turnsole/battery"
	"turnsole/drive"
	"turnsole/plane"
	"turnsole/stand"
	"turnsole/weather"
	"turnsole/wiring"
)

// ground is a surface by the share of light that it throws back: the usual
// tables of albedo, such as those of T. R. Oke, Boundary Layer Climates, and
// of solar handbooks; gravel and forest from memory.
type ground struct {
	name   string
	albedo float64
}

const oldSnow = 0.65

func grounds() []ground {
	return []ground{
		{"unknown", 0.2}, {"grass", 0.2}, {"fresh-grass", 0.26}, {"bare-soil", 0.17}, {"sand", 0.4},
		{"gravel", 0.18}, {"asphalt", 0.12}, {"concrete", 0.3}, {"town", 0.18}, {"forest", 0.15},
		{"water", 0.06}, {"old-snow", oldSnow}, {"fresh-snow", 0.75},
	}
}

func groundNames() (names []string) {
	for _, g := range grounds() {
		names = append(names, g.name)
	}
	return names
}

func albedoOf(name string) float64 {
	for _, g := range grounds() {
		if g.name == name {
			return g.albedo
		}
	}
	return 0.2
}

func climateNames() (names []string) {
	for _, c := range weather.Climates() {
		names = append(names, c.Name)
	}
	return names
}

var fixedZone = regexp.MustCompile(`^UTC(?:([+-]\d{1,2})(?::([0-5]\d))?)?$`)

// zone takes a name of the IANA time zone database or a fixed offset.
func zone(example string) kind[*time.Location] {
	return kind[*time.Location]{`a time zone such as "Europe/London", or "UTC+1"`, example, func(n *node) (*time.Location, *amiss) {
		if m := fixedZone.FindStringSubmatch(n.text); n.sort == isText && m != nil {
			hours, _ := strconv.Atoi(m[1])
			minutes, _ := strconv.Atoi(m[2])
			if hours < 0 || len(m[1]) > 0 && m[1][0] == '-' {
				minutes = -minutes
			}
			if s := hours*3600 + minutes*60; s >= -14*3600 && s <= 14*3600 {
				return time.FixedZone(n.text, s), nil
			}
		}
		if n.sort != isText || n.text == "" || n.text == "Local" {
			return nil, n.amiss("is not a time zone")
		}
		z, err := time.LoadLocation(n.text)
		if err != nil {
			return nil, n.amiss("is not a time zone of the IANA database")
		}
		return z, nil
	}}
}

func zoneNearest(d *draft) string {
	h := int(math.Round(float64(d.spot.Longitude) / 15))
	return strconv.Quote("UTC" + map[bool]string{true: "+", false: ""}[h >= 0] + strconv.Itoa(h))
}

// tiltByLatitude is the usual rule of thumb for a panel that is never moved,
// from memory.
func tiltByLatitude(d *draft) string {
	if len(d.spots) == 0 {
		return "40"
	}
	l := math.Abs(float64(d.spots[0].Latitude))
	if l < 25 {
		return strconv.Itoa(int(math.Round(0.87 * l)))
	}
	return strconv.Itoa(int(math.Round(0.76*l + 3.1)))
}

// glassValue is a cover; a type of its own so that it has one kind.
type glassValue struct{ plane.Glass }

// glass takes a named cover or the angular loss coefficient of Martin & Ruiz.
func glass(example string) kind[glassValue] {
	known := []string{"usual", "clean", "anti-reflective", "dusty", "ashrae"}
	covers := []plane.Glass{plane.DefaultGlass(), plane.MartinRuiz(0.17), plane.MartinRuiz(0.14), plane.MartinRuiz(0.20), plane.ASHRAE(0.05)}
	named, byNumber := choice(example, known...), plain(0.05, 0.5, "0.17")
	return kind[glassValue]{named.takes + "; or " + byNumber.takes, example, func(n *node) (glassValue, *amiss) {
		if n.sort == isNumber {
			ar, bad := byNumber.read(n)
			return glassValue{plane.MartinRuiz(ar)}, bad
		}
		name, bad := named.read(n)
		for i, k := range known {
			if k == name {
				return glassValue{covers[i]}, bad
			}
		}
		return glassValue{}, bad
	}}
}

// terrain takes the name of a kind of country.
func terrain(example string) kind[stand.Terrain] {
	return preset(example, stand.TerrainNamed, stand.TerrainNames()...)
}

// cableValue is a cable; a type of its own so that it has one kind.
type cableValue struct{ wiring.Cable }

// cable takes a standard cross-section.
func cable(example string) kind[cableValue] {
	return kind[cableValue]{`a standard cross-section such as "2.5 mm2" or "14 AWG"`, example, func(n *node) (cableValue, *amiss) {
		if n.sort != isText {
			return cableValue{}, n.amiss("is not a cross-section in quotes")
		}
		c, err := wiring.Named(n.text)
		if err != nil {
			return cableValue{}, n.amiss("is no cable: %v", err)
		}
		return cableValue{c}, nil
	}}
}

// preset takes the name of something that another package knows.
func preset[T any](example string, find func(string) (T, error), known ...string) kind[T] {
	named := choice(example, known...)
	return kind[T]{named.takes, example, func(n *node) (found T, bad *amiss) {
		name, bad := named.read(n)
		if bad != nil {
			return found, bad
		}
		found, err := find(name)
		if err != nil {
			return found, n.amiss("cannot be used: %v", err)
		}
		return found, nil
	}}
}

func charger(example string) kind[battery.Charger] {
	return preset(example, battery.ChargerNamed, "mppt", "pwm")
}

func chemistry(example string) kind[battery.Chemistry] {
	return preset(example, battery.ChemistryNamed, "lifepo4", "flooded", "agm", "gel")
}

func board(example string) kind[drive.Board] {
	var known []string
	for _, p := range drive.Presets() {
		known = append(known, p.Name)
	}
	return preset(example, drive.BoardNamed, known...)
}

// blocks takes a battery's voltage and gives its blocks of 12 V in series.
func blocks(example string) kind[int] {
	volts := measured(voltage, 11, 60, example)
	return kind[int]{"12, 24, 36 or 48 V, or 12.8 V and its multiples", example, func(n *node) (int, *amiss) {
		v, bad := volts.read(n)
		if bad != nil {
			return 0, bad
		}
		b := math.Round(v / 12.4)
		if math.Abs(v-12.4*b) > 0.5*b {
			return 0, n.amiss("is not the voltage of blocks of 12 V in series")
		}
		return int(b), nil
	}}
}

// draw takes a power, or a current at the battery's voltage.
func draw(most float64, example string) kind[quantity] {
	return either(example, bound{power, 0, most}, bound{current, 0, most / 5})
}

// volts is the battery's voltage, by which amperes become watts.
func (d *draft) volts() float64 {
	return d.rig.Battery.NominalV * float64(max(d.rig.Battery.Blocks, 1))
}

// watts turns a draw into watts.
func (d *draft) watts(q quantity) float64 {
	if q.unit == current.base {
		return q.number * d.volts()
	}
	return q.number
}

func zoneOf(d *draft) **time.Location { return &d.spot.Zone }

func set[T any](to *T, from *T) {
	if from != nil {
		*to = *from
	}
}

// skyModel returns the model of a name that has been checked.
func skyModel(name string) plane.Sky {
	return map[string]plane.Sky{"perez": plane.Perez, "hay-davies": plane.HayDavies, "isotropic": plane.Isotropic}[name]
}
