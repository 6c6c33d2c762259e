package hindsight_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/hindsight"
	"turnsole/sky"
)

// possible reports whether light keeps within the bounds of nature.
func possible(at *hindsight.Instant, l sky.Light) bool {
	sum := l.DNI*max(at.Sun.Up, 0) + l.DHI
	most := math.Nextafter(at.MostDNI, 2e3)
	return l.DNI >= 0 && l.DHI >= 0 && l.DNI <= most && math.Abs(sum-l.GHI) <= 1e-9*(1+l.GHI) && !math.IsInf(l.GHI, 0) // rounding
}

// lookAt draws faces and reads the light that enters them.
func lookAt(t *rapid.T, s *hindsight.Scene, at *hindsight.Instant, dni, dhi float64, n int) (faces []hindsight.Face, looks []float64) {
	for range n {
		faces = append(faces, s.Face(anyFace(t)))
		_, e := s.Light(at, faces[len(faces)-1], dni, dhi)
		looks = append(looks, e)
	}
	return faces, looks
}

func anySky(t *rapid.T, at *hindsight.Instant) (dni, dhi float64) {
	return rapid.Float64Range(0, at.MostDNI).Draw(t, "dni"), rapid.Float64Range(5, 600).Draw(t, "dhi")
}

// A prior that is right agrees with the looks, however little they tell.
func TestSplitOfItsOwnLight(t *testing.T) {
	s := scene(t, hill)
	rapid.Check(t, func(t *rapid.T) {
		at := daylight(t, s)
		dni, dhi := anySky(t, &at)
		faces, looks := lookAt(t, s, &at, dni, dhi, rapid.IntRange(1, 3).Draw(t, "faces"))
		l, told := s.Split(&at, faces, looks, sky.Light{DNI: dni, DHI: dhi})
		// Two equations in figures of some thousand W/m2 and weights of up to
		// 1e-6: ten digits and more are left.
		if math.Abs(l.DNI-dni) > 1e-5*(1+dni) || math.Abs(l.DHI-dhi) > 1e-5*(1+dhi) || !(told >= 0 && told <= 1) {
			t.Fatalf("beam %v and diffuse %v came back as %+v, told %v", dni, dhi, l, told)
		}
	})
}

// What the faces tell well, a wrong prior cannot spoil.
func TestSplitAgainstAWrongPrior(t *testing.T) {
	s := scene(t, hill)
	at := s.At(newYear + june)
	still := s.Face(compass.South, 40)
	faces := []hindsight.Face{still, still.Turned(at.Sun.Azimuth())}
	for _, c := range []struct{ dni, dhi float64 }{{800, 70}, {400, 250}, {30, 300}, {0, 200}} {
		for _, prior := range []sky.Light{{DNI: 900, DHI: 60}, {DNI: 0, DHI: 300}, {}} {
			looks := make([]float64, 2)
			for i, f := range faces {
				_, looks[i] = s.Light(&at, f, c.dni, c.dhi)
			}
			l, told := s.Split(&at, faces, looks, prior)
			// The prior pulls by the part that the faces don't tell.
			pull := 2 * (1 - told) * (looks[0] + looks[1])
			if math.Abs(l.DNI-c.dni) > pull || !(told > 0.8) {
				t.Errorf("beam %v, diffuse %v, prior %v: %+v, told %.3f", c.dni, c.dhi, prior, l, told)
			}
		}
	}
}

// At noon the aimed face is the still one: only the sum is told, and the prior
// shares it out.
func TestSplitAtNoon(t *testing.T) {
	s := scene(t, hill)
	noon := s.At(newYear + 160*day + 12.22*3600)
	if math.Abs(noon.SunHour-12) > 0.1 {
		t.Fatalf("the sun's hour is %v", noon.SunHour)
	}
	still := s.Face(compass.South, 40)
	faces := []hindsight.Face{still, still.Turned(noon.Sun.Azimuth())}
	for _, prior := range []sky.Light{{DNI: 700, DHI: 100}, {DNI: 300, DHI: 300}} {
		_, entered := s.Light(&noon, still, prior.DNI, prior.DHI)
		for _, off := range []float64{0, 4} { // a sensor's trembling
			l, told := s.Split(&noon, faces, []float64{entered, entered + off}, prior)
			if told > 0.05 || math.Abs(l.DNI-prior.DNI) > 0.03*prior.DNI { // the trembling is 0.5 % of the light
				t.Errorf("off by %v: %+v of %+v, told %.3f", off, l, prior, told)
			}
		}
	}
}

// Glare beside the sun, more than the cleanest air lets through, is diffuse
// light.
func TestGlareIsNoBeam(t *testing.T) {
	s := scene(t, hill)
	at := s.At(newYear + june)
	still := s.Face(compass.South, 40)
	faces := []hindsight.Face{still, still.Turned(at.Sun.Azimuth())}
	_, low := s.Light(&at, faces[0], 1.15*at.MostDNI, 30)
	_, high := s.Light(&at, faces[1], 1.15*at.MostDNI, 30)
	l, _ := s.Split(&at, faces, []float64{low, high}, sky.Light{DNI: 900, DHI: 20})
	if l.DNI != at.MostDNI || !(l.DHI > 30) {
		t.Errorf("%+v, the most is %v", l, at.MostDNI)
	}
	if one := s.FromOne(&at, faces[1], 1.9*high, 60); one.DNI != at.MostDNI || !(one.DHI > 30) {
		t.Errorf("one face: %+v, the most is %v", one, at.MostDNI)
	}
}

func TestSplitIsPossible(t *testing.T) {
	free, behind := scene(t, hill), scene(t, walled(t))
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]*hindsight.Scene{free, behind}).Draw(t, "scene")
		at := s.At(newYear + rapid.Float64Range(0, 365*day).Draw(t, "second"))
		var faces []hindsight.Face
		var looks []float64
		for range rapid.IntRange(1, 3).Draw(t, "faces") {
			faces = append(faces, s.Face(anyFace(t)))
			looks = append(looks, rapid.Float64Range(-49, 2400).Draw(t, "entered"))
		}
		prior := sky.Light{DNI: rapid.Float64Range(0, 1200).Draw(t, "dni"), DHI: rapid.Float64Range(0, 600).Draw(t, "dhi")}
		l, told := s.Split(&at, faces, looks, prior)
		if !possible(&at, l) || !(told >= 0 && told <= 1) || at.Hidden && l.DNI != 0 {
			t.Fatalf("%+v, told %v, of %v", l, told, looks)
		}
		if one := s.FromOne(&at, faces[0], looks[0], 60); !possible(&at, one) || at.Hidden && one.DNI != 0 {
			t.Fatalf("one face: %+v of %v", one, looks[0])
		}
	})
}

func TestFromOneGivesTheReadingBack(t *testing.T) {
	free, behind := scene(t, hill), scene(t, walled(t))
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]*hindsight.Scene{free, behind}).Draw(t, "scene")
		at := s.At(newYear + rapid.Float64Range(0, 365*day).Draw(t, "second"))
		f := s.Face(anyFace(t))
		entered := rapid.Float64Range(0, 1600).Draw(t, "entered")
		l := s.FromOne(&at, f, entered, rapid.SampledFrom([]float64{10, 60, 900, 3600}).Draw(t, "mean"))
		_, back := s.Light(&at, f, l.DNI, l.DHI)
		if math.Abs(back-entered) > 1e-6*(1+entered) { // rounding, also of the glass's table
			t.Fatalf("%v came back as %v from %+v", entered, back, l)
		}
	})
}

// Of a bright reading on the sun's face most is beam, of a dim one nothing.
func TestFromOneKnowsUsualSkies(t *testing.T) {
	s := scene(t, hill)
	at := s.At(newYear + june)
	f := s.Face(at.Sun.Azimuth(), 40)
	_, clear := s.Light(&at, f, at.Clear.DNI, at.Clear.DHI)
	// 10 %: the split's clear sky is not quite the clear sky's own split.
	if l := s.FromOne(&at, f, clear, 60); math.Abs(l.DNI-at.Clear.DNI) > 0.1*at.Clear.DNI {
		t.Errorf("clear %+v came back as %+v", at.Clear, l)
	}
	// Twenty minutes after sunrise no sky alone puts 150 W/m2 on a face.
	early := s.At(newYear + 160*day + 4.3*3600)
	if e := early.Sun.Elevation(); e < 2 || e > 3 { // where the split knows no beam
		t.Fatalf("the sun stands at %v", e)
	}
	if l := s.FromOne(&early, f.Turned(early.Sun.Azimuth()), 150, 60); l.DNI < 100 || l.DHI > 60 {
		t.Errorf("at sunrise: %+v", l)
	}
	// 10 W/m2 of beam would still be one twentieth of what entered.
	if l := s.FromOne(&at, f, clear/5, 60); l.DNI > 10 {
		t.Errorf("under thick cloud: %+v", l)
	}
}

func TestSplitWithoutSense(t *testing.T) {
	s := scene(t, hill)
	at := s.At(newYear + june)
	f := s.Face(100, 40)
	two := []hindsight.Face{f, f}
	for what, c := range map[string]struct {
		faces []hindsight.Face
		looks []float64
	}{
		"no face": {}, "one reading for two faces": {two, []float64{1}}, "not a number": {two, []float64{300, math.NaN()}},
		"no end": {two, []float64{300, math.Inf(1)}}, "negative": {two, []float64{300, -200}}, "ten suns": {two, []float64{300, 1e4}},
	} {
		if l, told := s.Split(&at, c.faces, c.looks, sky.Light{}); !math.IsNaN(l.DNI) || !math.IsNaN(l.DHI) || !math.IsNaN(told) {
			t.Errorf("%s: %+v, told %v", what, l, told)
		}
	}
	// A prior that cannot be is none.
	for _, bad := range []float64{math.NaN(), math.Inf(1), -5} {
		got, _ := s.Split(&at, two[:1], []float64{500}, sky.Light{DNI: bad, DHI: bad})
		if want, _ := s.Split(&at, two[:1], []float64{500}, sky.Light{}); got != want {
			t.Errorf("prior %v: %+v, without one %+v", bad, got, want)
		}
	}
}

func FuzzSplit(f *testing.F) {
	f.Add(float64(june), 180.0, 40.0, 100.0, 40.0, 400.0, 800.0, 500.0, 100.0)
	f.Add(0.0, math.NaN(), math.Inf(1), -400.0, 181.0, -1.0, 1e-300, math.Inf(1), -1.0)
	s := scene(f, walled(f))
	f.Fuzz(func(t *testing.T, second, h1, t1, h2, t2, y1, y2, dni, dhi float64) {
		at := s.At(newYear + second)
		faces := []hindsight.Face{s.Face(compass.Angle(h1), compass.Angle(t1)), s.Face(compass.Angle(h2), compass.Angle(t2))}
		l, told := s.Split(&at, faces, []float64{y1, y2}, sky.Light{DNI: dni, DHI: dhi})
		if !math.IsNaN(l.GHI) && !possible(&at, l) || told < 0 || told > 1 {
			t.Errorf("%+v, told %v", l, told)
		}
		if one := s.FromOne(&at, faces[0], y1, dni); !math.IsNaN(one.GHI) && !possible(&at, one) && t1 < 170 {
			t.Errorf("one face: %+v", one)
		}
		s.Light(&at, faces[0], dni, dhi)
	})
}

func BenchmarkSplit(b *testing.B) {
	s := scene(b, hill)
	at := s.At(newYear + june)
	still := s.Face(compass.South, 40)
	faces := []hindsight.Face{still, still.Turned(at.Sun.Azimuth())}
	looks := make([]float64, 2)
	for i, f := range faces {
		_, looks[i] = s.Light(&at, f, 700, 120)
	}
	for name, prior := range map[string]sky.Light{"prior": {DNI: 500, DHI: 200}, "no prior": {}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				s.Split(&at, faces, looks, prior)
			}
		})
	}
}

func BenchmarkFromOne(b *testing.B) {
	s := scene(b, hill)
	at := s.At(newYear + june)
	f := s.Face(100, 40)
	for b.Loop() {
		s.FromOne(&at, f, 640, 60)
	}
}
