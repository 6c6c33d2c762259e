package plane_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/plane"
	"turnsole/sky"
)

// light is any light that a weather file may hold, possible or not.
func light(t *rapid.T) *sky.Series {
	n := rapid.IntRange(1, 5).Draw(t, "steps")
	s := &sky.Series{StepS: 60}
	for range n {
		up := rapid.Float64Range(0, 1).Draw(t, "up")
		if rapid.Bool().Draw(t, "twilight") {
			up = 0
		}
		azimuth := rapid.Float64Range(0, 360).Draw(t, "azimuth")
		add(s, up, azimuth,
			rapid.Float64Range(0, 1400).Draw(t, "dni"),
			rapid.Float64Range(0, 1000).Draw(t, "dhi"),
			rapid.Float64Range(0, 1).Draw(t, "albedo"))
	}
	return s
}

func add(s *sky.Series, up, azimuthDeg, dni, dhi, albedo float64) {
	h := plane.NewHeading(compass.Angle(azimuthDeg))
	flat := math.Sqrt(1 - up*up)
	s.Hour = append(s.Hour, 0)
	s.East, s.North, s.Up = append(s.East, flat*h.East), append(s.North, flat*h.North), append(s.Up, up)
	s.AzimuthDeg = append(s.AzimuthDeg, azimuthDeg)
	s.ExtraNormal = append(s.ExtraNormal, sky.SolarConstant)
	s.DNI, s.DHI, s.Albedo = append(s.DNI, dni), append(s.DHI, dhi), append(s.Albedo, albedo)
	s.AirC, s.WindMS = append(s.AirC, 10), append(s.WindMS, 2)
}

func model(t *rapid.T) plane.Sky {
	return rapid.SampledFrom([]plane.Sky{plane.Perez, plane.HayDavies, plane.Isotropic}).Draw(t, "sky")
}

func glass(t *rapid.T) plane.Glass {
	return rapid.SampledFrom([]plane.Glass{{}, plane.DefaultGlass(), plane.MartinRuiz(0.3), plane.ASHRAE(0.05), plane.ASHRAE(0.2)}).Draw(t, "glass")
}

// skyline is one with up to three things on it, and the same with all of them
// raised by a factor.
func skyline(t *rapid.T, raise float64) (low, high place.Skyline) {
	var stands, raised []place.Obstacle
	for range rapid.IntRange(1, 3).Draw(t, "obstacles") {
		from := compass.Angle(rapid.Float64Range(0, 360).Draw(t, "from"))
		o := place.Obstacle{
			From: from, To: from + compass.Angle(rapid.Float64Range(1, 60).Draw(t, "width")),
			HeightM: rapid.Float64Range(0.1, 30).Draw(t, "height"), DistanceM: 10,
		}
		stands = append(stands, o)
		o.HeightM *= raise
		raised = append(raised, o)
	}
	low, err := place.NewSkyline(nil, stands)
	if err != nil {
		t.Fatal(err)
	}
	high, err = place.NewSkyline(nil, raised)
	if err != nil {
		t.Fatal(err)
	}
	return low, high
}

func face(t *rapid.T) (heading, tilt compass.Angle) {
	return compass.Angle(rapid.Float64Range(-400, 400).Draw(t, "heading")),
		compass.Angle(rapid.Float64Range(0, 180).Draw(t, "tilt"))
}

func TestLightIsNeverNegativeAndNeverGrowsInTheGlass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := light(t)
		low, _ := skyline(t, 1)
		l := plane.Prepare(s, low, model(t), glass(t))
		heading, tilt := face(t)
		for i := range s.Len() {
			p, e := l.At(i, plane.NewHeading(heading), l.Slope(tilt))
			// 1e-4 W/m2: the glass's parabolas may pass full light by 1e-7.
			if !(p >= 0 && e >= 0 && e <= p+1e-4) || math.IsInf(p, 0) {
				t.Fatalf("step %d: %v on the plane, %v entered", i, p, e)
			}
		}
	})
}

func TestFlatSkylineChangesNothing(t *testing.T) {
	flat, err := place.NewSkyline([]place.Mark{{Bearing: 10}, {Bearing: 200}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		s, m, g := light(t), model(t), glass(t)
		heading, tilt := face(t)
		free, behind := plane.Prepare(s, place.Skyline{}, m, g), plane.Prepare(s, flat, m, g)
		for i := range s.Len() {
			p, e := free.At(i, plane.NewHeading(heading), free.Slope(tilt))
			q, f := behind.At(i, plane.NewHeading(heading), behind.Slope(tilt))
			if p != q || e != f {
				t.Fatalf("step %d: %v, %v became %v, %v", i, p, e, q, f)
			}
		}
	})
}

func TestHigherSkylineNeverAddsLight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, m, g := light(t), model(t), glass(t)
		heading, tilt := face(t)
		low, high := skyline(t, rapid.Float64Range(1, 5).Draw(t, "raise"))
		last := math.Inf(1)
		for _, line := range []place.Skyline{{}, low, high} {
			l := plane.Prepare(s, line, m, g)
			sum := 0.0
			for i := range s.Len() {
				p, _ := l.At(i, plane.NewHeading(heading), l.Slope(tilt))
				sum += p
			}
			if sum > last+1e-9 { // rounding in the tables' sums
				t.Fatalf("the skyline added light: %v after %v", sum, last)
			}
			last = sum
		}
	})
}

func TestNothingPassesTheBeamOfAFaceSquareToTheSun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := light(t)
		for i := range s.Len() {
			s.DHI[i], s.Albedo[i] = 0, 0
		}
		l := plane.Prepare(s, place.Skyline{}, model(t), glass(t))
		heading, tilt := face(t)
		for i := range s.Len() {
			zenith := compass.Radians(math.Acos(s.Up[i]))
			best, bestIn := l.At(i, l.SunHeading(i), l.Slope(zenith))
			p, e := l.At(i, plane.NewHeading(heading), l.Slope(tilt))
			// 1e-9 W/m2 rounding; 2e-4 the glass's parabolas (1e-7 of full light).
			if p > best+1e-9 || e > bestIn+2e-4 {
				t.Fatalf("step %d: %v, %v passes %v, %v", i, p, e, best, bestIn)
			}
			if math.Abs(best-s.DNI[i]) > 1e-9 { // rounding
				t.Fatalf("square to the sun gives %v of a beam of %v", best, s.DNI[i])
			}
		}
	})
}

func TestStillEqualsTurningWhenItFacesTheSun(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := light(t)
		line, _ := skyline(t, 1)
		l := plane.Prepare(s, line, model(t), glass(t))
		_, tilt := face(t)
		for i := range s.Len() {
			p, e := l.At(i, l.SunHeading(i), l.Slope(tilt))
			q, f := l.At(i, plane.NewHeading(compass.Angle(s.AzimuthDeg[i])), l.Slope(tilt))
			if math.Abs(p-q) > 1e-9 || math.Abs(e-f) > 1e-9 { // rounding
				t.Fatalf("step %d: turning %v, %v; still %v, %v", i, p, e, q, f)
			}
		}
	})
}

func TestAWholeWayIsItsSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := light(t)
		line, _ := skyline(t, 1)
		l := plane.Prepare(s, line, model(t), glass(t))
		n := s.Len()
		headings, tilts := make([]float32, n), make([]float32, n)
		for i := range n {
			headings[i] = rapid.SampledFrom([]float32{0, 90, 171.5, 360}).Draw(t, "heading")
			tilts[i] = rapid.SampledFrom([]float32{0, 33.3, 90}).Draw(t, "tilt")
		}
		on, entered := make([]float64, n), make([]float64, n)
		l.On(headings, tilts, on, entered)
		for i := range n {
			p, e := l.At(i, plane.NewHeading(compass.Angle(headings[i])), l.Slope(compass.Angle(tilts[i])))
			if p != on[i] || e != entered[i] {
				t.Fatalf("step %d: %v, %v; alone %v, %v", i, on[i], entered[i], p, e)
			}
		}
	})
}

func TestFlatFaceGetsWhatTheGroundGets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := light(t)
		l := plane.Prepare(s, place.Skyline{}, plane.Isotropic, plane.Glass{})
		for i := range s.Len() {
			p, e := l.At(i, plane.NewHeading(0), l.Slope(0))
			if math.Abs(p-s.GHI(i)) > 1e-9 || p != e { // rounding
				t.Fatalf("flat %v, entered %v, of %v", p, e, s.GHI(i))
			}
		}
	})
}

// Hay & Davies by hand with the figures of Duffie & Beckman's example 2.15.1
// (MJ/m2 and hour): beam 0.244 and diffuse 0.796 on the horizontal, Rb 1.713,
// beam share 0.1045 of the light outside the air, slope 60, albedo 0.6:
// (0.244 + 0.796*0.1045)*1.713 + 0.796*0.8955*0.75 + 1.04*0.6*0.25 = 1.251.
func TestHayDaviesByHand(t *testing.T) {
	const up = 0.46638 // zenith 62.20 degrees
	s := &sky.Series{StepS: 3600}
	add(s, up, 0, 0.244/up, 0.796, 0.6)
	s.ExtraNormal[0] = s.DNI[0] / 0.1045
	// The heading from which Rb is 1.713.
	cos := 1.713 * up
	turn := compass.Radians(math.Acos((cos - up*0.5) / (math.Sqrt(1-up*up) * math.Sqrt(0.75))))
	l := plane.Prepare(s, place.Skyline{}, plane.HayDavies, plane.Glass{})
	got, _ := l.At(0, plane.NewHeading(turn), l.Slope(60))
	if math.Abs(got-1.251) > 0.001 { // the last digit worked out
		t.Errorf("%.4f, want 1.251", got)
	}
}

func TestRelightIsPrepareAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := light(t)
		line, _ := skyline(t, 1)
		m, g := model(t), glass(t)
		l := plane.Prepare(s, line, m, g)
		other := *s
		other.DNI, other.DHI = append([]float64(nil), s.DHI...), append([]float64(nil), s.DNI...)
		if !l.Relight(&other) {
			t.Fatal("the same steps were refused")
		}
		fresh := plane.Prepare(&other, line, m, g)
		for i := range s.Len() {
			p, e := l.At(i, plane.NewHeading(200), l.Slope(40))
			q, f := fresh.At(i, plane.NewHeading(200), fresh.Slope(40))
			if p != q || e != f {
				t.Fatalf("step %d: %v, %v; anew %v, %v", i, p, e, q, f)
			}
		}
		if add(&other, 0.5, 100, 1, 1, 0); l.Relight(&other) {
			t.Fatal("other steps were accepted")
		}
	})
}

// An even sky cut off at one height all round has a view factor that can be
// written down for a flat face and, before a wall, by symmetry: cos² of the
// height, and (1 - (2h + sin 2h)/pi)/2.
func TestEvenSkyBehindAnEvenSkyline(t *testing.T) {
	s := &sky.Series{StepS: 60}
	add(s, 0.9, 180, 0, 100, 0)
	for _, h := range []compass.Angle{5, 20, 45, 80} {
		line, err := place.NewSkyline([]place.Mark{{Bearing: 0, Elevation: h}}, nil)
		if err != nil {
			t.Fatal(err)
		}
		l := plane.Prepare(s, line, plane.Isotropic, plane.Glass{})
		flat, _ := l.At(0, plane.NewHeading(77), l.Slope(0))
		if want := 100 * h.Cos() * h.Cos(); math.Abs(flat-want) > 1e-9 { // rounding
			t.Errorf("flat face behind %v degrees gets %v, want %v", h, flat, want)
		}
		wall, _ := l.At(0, plane.NewHeading(77), l.Slope(90))
		want := 50 * (1 - (2*h.Radians()+math.Sin(2*h.Radians()))/math.Pi)
		// 0.01: the sum over whole degrees and straight lines between headings
		// (the sum of positive cosines at 1 degree is off by 1e-4).
		if math.Abs(wall-want) > 0.01 {
			t.Errorf("wall behind %v degrees gets %v, want %v", h, wall, want)
		}
	}
}

// The tables of the skyline against a sum over the sky in small pieces.
func TestSkylineTableAgainstBruteForce(t *testing.T) {
	line, err := place.NewSkyline([]place.Mark{{Bearing: 30, Elevation: 5}, {Bearing: 120, Elevation: 35}, {Bearing: 250, Elevation: 0}},
		[]place.Obstacle{{From: 200, To: 220, HeightM: 5, DistanceM: 6}})
	if err != nil {
		t.Fatal(err)
	}
	s := &sky.Series{StepS: 60}
	add(s, 0.9, 180, 0, 100, 0)
	l := plane.Prepare(s, line, plane.Isotropic, plane.Glass{})
	r := rand.New(rand.NewPCG(1, 2))
	for range 12 {
		heading, tilt := compass.Angle(r.Float64()*360), compass.Angle(r.Float64()*180)
		got, _ := l.At(0, plane.NewHeading(heading), l.Slope(tilt))
		normal, sum := compass.Normal(heading, tilt), 0.0
		const d = 0.5
		for az := d / 2; az < 360; az += d {
			for el := d / 2; el < 90; el += d {
				if compass.Angle(el) < line.At(compass.Angle(az)) {
					continue
				}
				dir := compass.Toward(compass.Angle(az), compass.Angle(el))
				sum += max(0, dir.Dot(normal)) * compass.Angle(el).Cos()
			}
		}
		want := 100 * sum * math.Pow(d*math.Pi/180, 2) / math.Pi
		// 0.15 of 100 W/m2: the table's promise of 0.001 of the sky, and the
		// pieces of half a degree.
		if math.Abs(got-want) > 0.15 {
			t.Errorf("heading %.0f tilt %.0f: %.3f, brute force %.3f", heading, tilt, got, want)
		}
	}
}

func TestGlassTableFollowsItsFormula(t *testing.T) {
	s := &sky.Series{StepS: 60}
	add(s, 1, 0, 1, 0, 0)
	worst := 0.0
	for _, g := range []plane.Glass{plane.DefaultGlass(), plane.ASHRAE(0.05)} {
		l := plane.Prepare(s, place.Skyline{}, plane.Perez, g)
		for tilt := compass.Angle(0); tilt < 90; tilt += 0.0137 {
			_, entered := l.At(0, plane.NewHeading(0), l.Slope(tilt))
			worst = max(worst, math.Abs(entered-tilt.Cos()*g.Beam(tilt.Cos())))
		}
	}
	if worst > 1e-7 { // what the comment at cells promises
		t.Errorf("the table is off by %v of full light", worst)
	}
}

func day(n int) *sky.Series {
	s := &sky.Series{StepS: 60}
	for i := range n {
		x := math.Pi * (float64(i%720) + 0.5) / 720
		add(s, 0.8*math.Sin(x), 90+180*float64(i%720)/720, 700, 100, 0.2)
	}
	return s
}

func BenchmarkAt(b *testing.B) {
	line, _ := place.NewSkyline([]place.Mark{{Bearing: 90, Elevation: 10}, {Bearing: 270, Elevation: 3}}, nil)
	for name, k := range map[string]place.Skyline{"free": {}, "skyline": line} {
		b.Run(name, func(b *testing.B) {
			l := plane.Prepare(day(200000), k, plane.Perez, plane.DefaultGlass())
			slope, heading, sum := l.Slope(40), plane.NewHeading(180), 0.0
			for i := range b.N {
				p, e := l.At(i%200000, heading, slope)
				sum += p + e
			}
			if !(sum > 0) {
				b.Fatal("dark")
			}
		})
	}
}

func BenchmarkOn(b *testing.B) {
	const n = 100000
	l := plane.Prepare(day(n), place.Skyline{}, plane.Perez, plane.DefaultGlass())
	heading, tilt, p, e := make([]float32, n), make([]float32, n), make([]float64, n), make([]float64, n)
	for _, way := range []struct {
		name        string
		turn, nodes bool
	}{{"still", false, false}, {"turning", true, false}, {"facing", true, true}} {
		b.Run(way.name, func(b *testing.B) {
			for i := range n {
				heading[i], tilt[i] = 180, 40
				if way.turn {
					heading[i] = float32(l.AzimuthDeg[i])
				}
				if way.nodes {
					tilt[i] = float32(math.Acos(l.Up[i]) * 180 / math.Pi)
				}
			}
			for b.Loop() {
				l.On(heading, tilt, p, e)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/step")
		})
	}
}

func BenchmarkPrepare(b *testing.B) {
	s := day(100000)
	line, _ := place.NewSkyline([]place.Mark{{Bearing: 90, Elevation: 10}}, nil)
	b.Run("free", func(b *testing.B) {
		for b.Loop() {
			plane.Prepare(s, place.Skyline{}, plane.Perez, plane.DefaultGlass())
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/100000, "ns/step")
	})
	b.Run("skyline", func(b *testing.B) {
		for b.Loop() {
			plane.Prepare(s, line, plane.Perez, plane.DefaultGlass())
		}
	})
	b.Run("again", func(b *testing.B) {
		l := plane.Prepare(s, place.Skyline{}, plane.Perez, plane.DefaultGlass())
		for b.Loop() {
			l.Relight(s)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/100000, "ns/step")
	})
}
