package rigfile

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"turnsole/compass"
	"turnsole/place"
)

// kind is what a key takes: how a value becomes a T, and how that is told.
type kind[T any] struct {
	takes   string // for the documents: "a power, 1 W to 2000 W"
	example string // as it would be written in the file
	read    func(n *node) (T, *amiss)
}

// amiss says what is wrong with a value, in words that follow it.
type amiss struct {
	n    *node
	text string
}

func (n *node) amiss(form string, args ...any) *amiss { return &amiss{n, fmt.Sprintf(form, args...)} }

// measured takes a quantity within a range, in the base unit of d.
func measured(d dimension, low, high float64, example string) kind[float64] {
	q := either(example, bound{d, low, high})
	return kind[float64]{q.takes, q.example, func(n *node) (float64, *amiss) {
		v, bad := q.read(n)
		return v.number, bad
	}}
}

// bound is a dimension with the range that its figure must lie in.
type bound struct {
	dimension
	low, high float64
}

// either takes a quantity of one of several dimensions.
func either(example string, bounds ...bound) kind[quantity] {
	var allowed []dimension
	var takes []string
	for _, b := range bounds {
		allowed = append(allowed, b.dimension)
		takes = append(takes, fmt.Sprintf("%s, %s", b.name, span(b.low, b.high, b.dimension)))
	}
	return kind[quantity]{strings.Join(takes, "; or "), example, func(n *node) (quantity, *amiss) {
		v, bad := n.quantity(allowed)
		if bad != nil {
			return v, bad
		}
		for _, b := range bounds {
			if b.base == v.unit && !(v.number >= b.low && v.number <= b.high) {
				return v, n.amiss("is outside %s", span(b.low, b.high, b.dimension))
			}
		}
		return v, nil
	}}
}

// quantity reads a text with a unit or a bare number.
func (n *node) quantity(allowed []dimension) (quantity, *amiss) {
	var v quantity
	var err error
	switch {
	case n.sort == isText:
		v, err = parseQuantity(n.text, allowed...)
	case n.sort != isNumber || math.IsNaN(n.number) || math.IsInf(n.number, 0):
		err = notA(allowed)
	case allowed[0].said:
		err = errNoUnit
	default:
		v = quantity{n.number, allowed[0].base}
	}
	if err != nil {
		return v, n.amiss("%v", err)
	}
	return v, nil
}

// angle takes degrees, as a number or with their sign.
func angle(low, high float64, example string) kind[compass.Angle] {
	m := measured(arc, low, high, example)
	return kind[compass.Angle]{span(low, high, arc), example, func(n *node) (compass.Angle, *amiss) {
		v, bad := m.read(n)
		return compass.Angle(v), bad
	}}
}

// bearing takes degrees clockwise from true north or a point of the compass.
func bearing(example string) kind[compass.Angle] {
	degrees := angle(0, 360, example)
	return kind[compass.Angle]{`degrees clockwise from true north, or a point such as "WNW"`, example, func(n *node) (compass.Angle, *amiss) {
		if n.sort == isText {
			if a, err := compass.ParsePoint(n.text); err == nil {
				return a, nil
			}
		}
		a, bad := degrees.read(n)
		if bad != nil && n.sort == isText {
			bad.text = "is not a bearing"
		}
		return a, bad
	}}
}

// plain takes a number without unit.
func plain(low, high float64, example string) kind[float64] {
	return kind[float64]{fmt.Sprintf("a number, %v to %v", low, high), example, func(n *node) (float64, *amiss) {
		switch {
		case n.sort != isNumber:
			return 0, n.amiss("is not a number")
		case !(n.number >= low && n.number <= high):
			return 0, n.amiss("is outside %v to %v", low, high)
		}
		return n.number, nil
	}}
}

// count takes a whole number.
func count(low, high int, example string) kind[int] {
	return kind[int]{fmt.Sprintf("a whole number, %d to %d", low, high), example, func(n *node) (int, *amiss) {
		switch {
		case n.sort != isNumber || n.number != math.Trunc(n.number):
			return 0, n.amiss("is not a whole number")
		case !(n.number >= float64(low) && n.number <= float64(high)):
			return 0, n.amiss("is outside %d to %d", low, high)
		}
		return int(n.number), nil
	}}
}

// truth takes true or false.
func truth(example string) kind[bool] {
	return kind[bool]{"true or false", example, func(n *node) (bool, *amiss) {
		if n.sort != isTruth {
			return false, n.amiss("is neither true nor false")
		}
		return n.truth, nil
	}}
}

// words takes any text of at most 200 bytes without control characters.
func words(example string) kind[string] {
	return kind[string]{"text", example, func(n *node) (string, *amiss) {
		switch {
		case n.sort != isText:
			return "", n.amiss("is not text")
		case strings.TrimSpace(n.text) == "":
			return "", n.amiss("is empty")
		case len(n.text) > 200 || strings.ContainsFunc(n.text, func(r rune) bool { return r < ' ' || r == 0x7f }):
			return "", n.amiss("is not one line of at most 200 bytes")
		}
		return n.text, nil
	}}
}

// choice takes one of a few words.
func choice(example string, known ...string) kind[string] {
	takes := "one of " + quoteAll(known)
	return kind[string]{takes, example, func(n *node) (string, *amiss) {
		for _, k := range known {
			if n.sort == isText && n.text == k {
				return k, nil
			}
		}
		return "", n.amiss("is not %s%s", takes, meant(n.text, known))
	}}
}

func quoteAll(known []string) string {
	var all []string
	for _, k := range known {
		all = append(all, strconv.Quote(k))
	}
	return strings.Join(all, ", ")
}

// clockTime takes a time of day as text or bare, or a number of hours; it
// returns hours, 0..24.
func clockTime(example string) kind[float64] {
	return kind[float64]{`a time of day such as "18:30", or hours 0 to 24`, example, func(n *node) (float64, *amiss) {
		if n.sort == isNumber && n.number >= 0 && n.number <= 24 {
			return n.number, nil
		}
		var h, m int
		left := ""
		if c, _ := fmt.Sscanf(n.text+" .", "%2d:%2d%s", &h, &m, &left); n.sort != isText && n.sort != isClock ||
			c != 3 || left != "." && left != ":00" || h < 0 || m < 0 || m > 59 || h*60+m > 24*60 {
			return 0, n.amiss("is not a time of day")
		}
		return float64(h) + float64(m)/60, nil
	}}
}

// several takes a list of low to high items; of says what they are.
func several[T any](item kind[T], low, high int, of, example string) kind[[]T] {
	many := fmt.Sprintf("%d to %d", low, high)
	if low == high {
		many = strconv.Itoa(low)
	}
	takes := fmt.Sprintf("a list of %s %s (each %s)", many, of, item.takes)
	return kind[[]T]{takes, example, func(n *node) ([]T, *amiss) {
		if n.sort != isList {
			return nil, n.amiss("is not a list of %s %s", many, of)
		}
		if len(n.list) < low || len(n.list) > high {
			return nil, n.amiss("holds %d %s, not %s", len(n.list), of, many)
		}
		all := make([]T, len(n.list))
		for i, one := range n.list {
			var bad *amiss
			if all[i], bad = item.read(one); bad != nil {
				return nil, bad
			}
		}
		return all, nil
	}}
}

// monthly takes twelve items, January first.
func monthly[T any](item kind[T], example string) kind[[12]T] {
	list := several(item, 12, 12, "figures", example)
	takes := fmt.Sprintf("a list of 12 figures, January first (each %s)", item.takes)
	return kind[[12]T]{takes, example, func(n *node) (twelve [12]T, bad *amiss) {
		all, bad := list.read(n)
		copy(twelve[:], all)
		return twelve, bad
	}}
}

// oneOrMonthly takes one item for all months or twelve.
func oneOrMonthly[T any](item kind[T]) kind[[12]T] {
	twelve := monthly(item, "")
	takes := item.takes + "; or a list of 12 of them, January first"
	return kind[[12]T]{takes, item.example, func(n *node) (all [12]T, bad *amiss) {
		if n.sort == isList {
			return twelve.read(n)
		}
		one, bad := item.read(n)
		for i := range all {
			all[i] = one
		}
		return all, bad
	}}
}

// marks takes a measured skyline.
func marks(example string) kind[[]place.Mark] {
	from, above := bearing(""), angle(0, 90, "")
	pair := kind[place.Mark]{"[bearing, degrees above the horizon]", "", func(n *node) (m place.Mark, bad *amiss) {
		if n.sort != isList || len(n.list) != 2 {
			return m, n.amiss("is not a pair [bearing, degrees above the horizon]")
		}
		if m.Bearing, bad = from.read(n.list[0]); bad != nil {
			return m, bad
		}
		m.Elevation, bad = above.read(n.list[1])
		return m, bad
	}}
	return several(pair, 1, 720, "pairs", example)
}

// maybe takes what k takes; the pointer is nil where the key is absent.
func maybe[T any](k kind[T]) kind[*T] {
	return kind[*T]{k.takes, k.example, func(n *node) (*T, *amiss) {
		v, bad := k.read(n)
		return &v, bad
	}}
}
