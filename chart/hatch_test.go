package chart

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Lines every gap mm across an area add up to the area divided by the gap.
func TestHatchMeasuresTheArea(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		radius := rapid.Float64Range(10, 60).Draw(r, "radius")
		turn := rapid.Float64Range(-180, 180).Draw(r, "turn")
		p := New(200, 200)
		p.Circle(100, 100, radius, Style{Hatch: Hatch{Gap: 0.5, Turn: turn}})
		sum := 0.0
		for _, m := range p.marks {
			if m.style.Stroke != Pencil {
				continue
			}
			for _, line := range m.path.flat() {
				sum += line[1].less(line[0]).length()
				for _, end := range line {
					// A piece of curve is within 5e-6 of the radius.
					if end.less(Point{100, 100}).length() > radius*(1+1e-5) {
						t.Fatalf("hatching outside the area at %v", end)
					}
				}
			}
		}
		// The sum is the trapezium rule for the area. Where the chords end as
		// square roots its error is of the order (gap/radius)^1.5, and twice
		// that is allowed; the straight pieces of the curves take 0.03 %.
		tolerance := 2*math.Pow(0.5/radius, 1.5) + 3e-4
		if area := math.Pi * radius * radius; math.Abs(sum*0.5/area-1) > tolerance {
			t.Fatalf("hatching %g mm long, %g wanted", sum, area/0.5)
		}
	})
}

func TestHatchLeavesHolesOut(t *testing.T) {
	var frame Path
	for _, half := range []float64{20, 10} {
		frame.Move(50-half, 50-half).Line(50+half, 50-half).Line(50+half, 50+half).Line(50-half, 50+half).Close()
	}
	p := New(100, 100)
	p.Path(frame, Style{Hatch: Hatch{Gap: 1}})
	for _, line := range p.marks[1].path.flat() {
		y, a, b := line[0].Y, line[0].X, line[1].X
		if y > 40.5 && y < 59.5 && a < 50 && b > 50 {
			t.Errorf("a line from %g to %g crosses the hole at %g", a, b, y)
		}
	}
}

func TestApart(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		places := rapid.SliceOfN(rapid.Float64Range(0, 100), 1, 20).Draw(r, "places")
		gap := rapid.Float64Range(0, 8).Draw(r, "gap")
		moved := apart(places, gap)
		shift := 0.0
		order := make([]int, len(places))
		for i := range places {
			order[i] = i
			shift += moved[i] - places[i]
		}
		slices.SortStableFunc(order, func(a, b int) int { return compare(places[a], places[b]) })
		for i := 1; i < len(order); i++ {
			// Rounding of sums of 20 figures up to 250.
			if moved[order[i]]-moved[order[i-1]] < gap-1e-9 {
				t.Fatalf("%v became %v", places, moved)
			}
		}
		if math.Abs(shift) > 1e-8 { // least squares leaves the mean where it is
			t.Fatalf("%v drifted by %g to %v", places, shift, moved)
		}
	})
	for _, c := range []struct{ places, want []float64 }{
		{[]float64{9, 0, 4}, []float64{9, 0, 4}},
		{[]float64{10, 10}, []float64{8.5, 11.5}},
		{[]float64{20, 10, 11}, []float64{20, 9, 12}},
		{nil, nil},
	} {
		if got := apart(c.places, 3); !slices.Equal(got, c.want) && len(c.want) > 0 {
			t.Errorf("%v became %v, wanted %v", c.places, got, c.want)
		}
	}
}

func TestReadable(t *testing.T) {
	for angle, want := range map[float64]float64{0: 0, 90: -90, -90: -90, 180: 0, 135: -45, -135: 45, 270: -90, 45: 45, 359: -1} {
		if got := readable(angle); math.Abs(got-want) > 1e-9 {
			t.Errorf("letters along %g degrees stand at %g, wanted %g", angle, got, want)
		}
	}
}

func TestAngleMarkIsTheAngle(t *testing.T) {
	p := New(100, 100)
	p.AtUp(10, 90, 0.5, func() { p.AngleMark(Point{20, 20}, 0, 30, 40, "30°") })
	arc := p.marks[0].path.flat()[0]
	centre := Point{20, 80}
	first, last := arc[0].less(centre), arc[len(arc)-1].less(centre)
	if math.Abs(first.length()-40) > 1e-9 || math.Abs(angleOf(first)) > 1e-9 || math.Abs(angleOf(last)+30) > 1e-9 {
		t.Errorf("an arc from %v to %v", first, last)
	}
	label := p.marks[len(p.marks)-1]
	if d := label.at.less(centre).length(); label.words != "30°" || d < 40 {
		t.Errorf("%q stands %g mm from the centre", label.words, d)
	}
}
