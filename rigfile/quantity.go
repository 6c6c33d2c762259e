package rigfile

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// dimension is a kind of quantity: what it is called, the unit that a bare
// number is in, and the others that it may be written in.
type dimension struct {
	name  string // "a power"
	base  string // the unit that it is kept in
	units []unit // the first is the base
	said  bool   // its unit must be written: a bare number could mean another
}

// unit is worth times as many of its dimension's base, counted from offset.
type unit struct {
	name          string
	times, offset float64
}

// The inch is 0.0254 m and the pound 0.45359237 kg exactly (international yard
// and pound agreement, 1959); a kilogram weighs 9.80665 N (standard gravity).
var (
	power   = dimension{"a power", "W", []unit{{name: "W", times: 1}, {name: "mW", times: 1e-3}, {name: "kW", times: 1e3}}, false}
	energy  = dimension{"an energy", "Wh", []unit{{name: "Wh", times: 1}, {name: "kWh", times: 1e3}}, true}
	charge  = dimension{"a charge", "Ah", []unit{{name: "Ah", times: 1}, {name: "mAh", times: 1e-3}}, true}
	voltage = dimension{"a voltage", "V", []unit{{name: "V", times: 1}, {name: "mV", times: 1e-3}, {name: "kV", times: 1e3}}, false}
	current = dimension{"a current", "A", []unit{{name: "A", times: 1}, {name: "mA", times: 1e-3}, {name: "µA", times: 1e-6}, {name: "uA", times: 1e-6}}, false}
	mass    = dimension{"a mass", "kg", []unit{{name: "kg", times: 1}, {name: "g", times: 1e-3}, {name: "lb", times: 0.45359237}, {name: "oz", times: 0.45359237 / 16}}, false}
	length  = dimension{"a length", "m", []unit{{name: "m", times: 1}, {name: "cm", times: 1e-2}, {name: "mm", times: 1e-3}, {name: "km", times: 1e3},
		{name: "in", times: 0.0254}, {name: "ft", times: 0.3048}}, false}
	duration   = dimension{"a time", "s", []unit{{name: "s", times: 1}, {name: "min", times: 60}, {name: "h", times: 3600}, {name: "ms", times: 1e-3}}, false}
	warmth     = dimension{"a temperature", "C", []unit{{name: "C", times: 1}, {name: "°C", times: 1}, {name: "F", times: 5.0 / 9, offset: -160.0 / 9}, {name: "°F", times: 5.0 / 9, offset: -160.0 / 9}}, false}
	share      = dimension{"a share", "", []unit{{name: "", times: 1}, {name: "%", times: 0.01}}, false}
	perK       = dimension{"a share per kelvin", "/K", []unit{{name: "/K", times: 1}, {name: "%/K", times: 0.01}, {name: "%/°C", times: 0.01}, {name: "%/C", times: 0.01}, {name: "%", times: 0.01}}, false}
	spin       = dimension{"a speed of turning", "deg/s", []unit{{name: "deg/s", times: 1}, {name: "°/s", times: 1}, {name: "deg/min", times: 1.0 / 60}, {name: "rpm", times: 6}}, false}
	torque     = dimension{"a torque", "Nm", []unit{{name: "Nm", times: 1}, {name: "Ncm", times: 0.01}, {name: "mNm", times: 1e-3}, {name: "kgcm", times: 0.0980665}, {name: "ozin", times: 0.0070615518}}, false}
	resistance = dimension{"a resistance", "ohm", []unit{{name: "ohm", times: 1}, {name: "Ω", times: 1}, {name: "mohm", times: 1e-3}}, false}
	inductance = dimension{"an inductance", "H", []unit{{name: "H", times: 1}, {name: "mH", times: 1e-3}}, false}
	speed      = dimension{"a speed", "m/s", []unit{{name: "m/s", times: 1}, {name: "km/h", times: 1 / 3.6}, {name: "mph", times: 0.44704}, {name: "kn", times: 1852.0 / 3600}}, false}
	arc        = dimension{"an angle", "deg", []unit{{name: "deg", times: 1}, {name: "°", times: 1}}, false}
)

// quantity is a figure in the base unit of one of the dimensions that its key
// allows.
type quantity struct {
	number float64
	unit   string
}

var term = regexp.MustCompile(`^\s*([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*([^\d\s+.,-][^\d\s]*)?`)

// parseQuantity reads a number with a unit, such as "1.2 kg"; terms of the
// same dimension add up where each unit is smaller than the one before, such as
// "5 ft 3 in". A number alone is in the base
// unit of the first dimension allowed.
func parseQuantity(s string, allowed ...dimension) (quantity, error) {
	var sum quantity
	last := math.Inf(1) // worth of the unit of the term before
	rest := strings.TrimSpace(s)
	for first := true; first || rest != ""; first = false {
		m := term.FindStringSubmatch(rest)
		if m == nil {
			return quantity{}, notA(allowed)
		}
		rest = strings.TrimSpace(rest[len(m[0]):])
		d, u, ok := unitNamed(m[2], allowed)
		if m[2] == "" && first && allowed[0].said {
			return quantity{}, errNoUnit
		}
		if !ok || m[2] == "" && rest != "" || !first && (d.base != sum.unit || m[2] == "" || u.offset != 0 || m[1][0] == '-' || u.times >= last) {
			return quantity{}, notA(allowed)
		}
		number, _ := strconv.ParseFloat(m[1], 64) // out of range gives an infinity, refused below
		sum, last = quantity{sum.number + number*u.times + u.offset, d.base}, u.times
	}
	if math.IsInf(sum.number, 0) || math.IsNaN(sum.number) {
		return quantity{}, notA(allowed)
	}
	return sum, nil
}

// unitNamed finds a unit among the dimensions allowed. Without a name it is
// the base unit, if there is no doubt which.
func unitNamed(name string, allowed []dimension) (dimension, unit, bool) {
	if name == "" {
		return allowed[0], allowed[0].units[0], true
	}
	for _, d := range allowed {
		for _, u := range d.units {
			if u.name == name {
				return d, u, true
			}
		}
	}
	return dimension{}, unit{}, false
}

var errNoUnit = errors.New("has no unit")

func notA(allowed []dimension) error { return fmt.Errorf("is not %s", names(allowed)) }

// names joins dimensions: "a charge or an energy".
func names(allowed []dimension) string {
	var all []string
	for _, d := range allowed {
		all = append(all, d.name)
	}
	return strings.Join(all, " or ")
}

// unitNames lists the units that may be written: "W, mW, kW".
func unitNames(allowed []dimension) string {
	var all []string
	for _, d := range allowed {
		for _, u := range d.units {
			if u.name != "" {
				all = append(all, u.name)
			}
		}
	}
	return strings.Join(all, ", ")
}

// span writes a range in a dimension's base unit, for people.
func span(low, high float64, d dimension) string {
	switch d.base {
	case "", "/K":
		return fmt.Sprintf("%.6g to %.6g %%%s", low*100, high*100, d.base)
	case "deg":
		return fmt.Sprintf("%v to %v degrees", low, high)
	}
	return fmt.Sprintf("%v to %v %s", low, high, d.base)
}

func dimensions() []dimension {
	return []dimension{power, energy, charge, voltage, current, mass, length, duration, warmth, share, perK, spin, torque, resistance, inductance, speed, arc}
}
