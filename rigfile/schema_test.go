package rigfile

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// every calls f for each key of the schema.
func every(sec *section, path string, f func(path string, sec *section, k *key)) {
	for i := range sec.keys {
		f(join(path, sec.keys[i].name), sec, &sec.keys[i])
	}
	for i := range sec.inner {
		every(&sec.inner[i], join(path, sec.inner[i].name), f)
	}
}

func TestEveryKeyIsDescribed(t *testing.T) {
	document, template := Document(), string(Template())
	lowerCase := regexp.MustCompile(`^[a-z][a-z_]*$`)
	every(sections(), "", func(path string, sec *section, k *key) {
		switch {
		case k.doc == "" || k.takes == "" || k.example == "":
			t.Errorf("%s has no description, kind or example", path)
		case !lowerCase.MatchString(k.name):
			t.Errorf("%s is no plain name", path)
		case !k.must && k.usual == "" && k.why == "":
			t.Errorf("%s is not required, yet nothing says what stands in for it", path)
		case k.must && (k.usual != "" || k.rule != nil):
			t.Errorf("%s is required, yet has a default", path)
		case !strings.Contains(document, "| `"+k.name+"` | "+cell(k.doc)):
			t.Errorf("%s is not in the document", path)
		case !sec.later && !strings.Contains(template, k.name+" = "+k.shown()):
			t.Errorf("%s is not in the template", path)
		}
	})
}

// Examples and defaults must be what their own keys take.
func TestExamplesAndDefaultsAreTaken(t *testing.T) {
	every(sections(), "", func(path string, sec *section, k *key) {
		for _, value := range []string{k.example, k.usual} {
			if value == "" {
				continue
			}
			d := &draft{rig: &Rig{}}
			d.newSpot()
			obstacleSection.begin(d)
			loadSection.begin(d)
			stageSection.begin(d)
			d.weather = &d.general
			columnsSection.begin(d)
			if bad := k.take(d, written(value)); bad != nil {
				t.Errorf("%s = %s: %s", path, value, bad.text)
			}
		}
	})
}

func TestQuantities(t *testing.T) {
	for _, c := range []struct {
		text string
		d    dimension
		want float64
	}{
		{"35 cm", length, 0.35}, {"14 in", length, 0.3556}, {"5 ft 3 in", length, 1.6002}, {"2m", length, 2},
		{"80 W", power, 80}, {"0.08 kW", power, 80}, {"8e1 W", power, 80}, {"+80", power, 80}, {" 80 W ", power, 80},
		{"45 mA", current, 0.045}, {"3 lb", mass, 1.36077711}, {"3 lb 8 oz", mass, 1.587573295},
		{"20 s", duration, 20}, {"15 min", duration, 900}, {"1 h 30 min", duration, 5400},
		{"60 %", share, 0.6}, {"60%", share, 0.6}, {".5", share, 0.5}, {"-0.4 %/K", perK, -0.004},
		{"50 F", warmth, 10}, {"-4 °C", warmth, -4}, {"1 rpm", spin, 6}, {"40°", arc, 40}, {"12 Ah", charge, 12},
	} {
		got, err := parseQuantity(c.text, c.d)
		// A few roundings of a double are all that may come in.
		if err != nil || math.Abs(got.number-c.want) > 1e-12*math.Max(1, math.Abs(c.want)) || got.unit != c.d.base {
			t.Errorf("%q is %v %v, want %v", c.text, got, err, c.want)
		}
	}
	for _, text := range []string{"", " ", "W", "80 kg", "80 W 3", "80 W 3 kg", "3 W 80", "80,5 W", "8 0 W", "80 WW", "80 w",
		"nan W", "inf W", "1e999 W", "--3 W", "3 -", "0x10 W", "80 W!", "1 / 2 W", "½ W"} {
		if got, err := parseQuantity(text, power); err == nil {
			t.Errorf("%q was taken for %v W", text, got)
		}
	}
	if _, err := parseQuantity("40", charge, energy); err == nil {
		t.Error("a capacity without unit was taken")
	}
	if _, err := parseQuantity("40 F 2 F", warmth); err == nil {
		t.Error("temperatures were added up")
	}
}

// A quantity written in any unit of any dimension comes back in the base unit.
func TestQuantitiesComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(dimensions()).Draw(t, "dimension")
		u := rapid.SampledFrom(d.units).Draw(t, "unit")
		number := rapid.Float64Range(-1e6, 1e6).Draw(t, "number")
		if d.said && u.name == "" {
			return
		}
		gap := rapid.SampledFrom([]string{"", " ", "  "}).Draw(t, "gap")
		text := fmt.Sprintf("%v%s%s", number, gap, u.name)
		got, err := parseQuantity(text, d)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if want := number*u.times + u.offset; got.number != want {
			t.Fatalf("%q is %v, want %v", text, got.number, want)
		}
	})
}

// No text makes the parser panic or give a figure that is not finite.
func FuzzQuantity(f *testing.F) {
	f.Add("5 ft 3 in")
	f.Add("1e308 km 1e308 km")
	f.Fuzz(func(t *testing.T, text string) {
		for _, d := range dimensions() {
			got, err := parseQuantity(text, d)
			if err == nil && (math.IsNaN(got.number) || math.IsInf(got.number, 0)) {
				t.Errorf("%q is %v", text, got.number)
			}
		}
	})
}

func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"tilt", "tilt", 0}, {"tlt", "tilt", 1}, {"cels", "cells", 1}, {"kitten", "sitting", 3}, {"", "abc", 3}} {
		if got := distance(c.a, c.b); got != c.want {
			t.Errorf("%q to %q is %d, want %d", c.a, c.b, got, c.want)
		}
	}
}
