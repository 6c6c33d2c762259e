package checks

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/optimize"

	"turnsole/compass"
	"turnsole/stand"
)

func solvedTilts() Room {
	return Room{
		Title:  "Tilt: a general-purpose solver finds the same hinge",
		Source: "gonum.org/v1/gonum/optimize v0.17 (BFGS): the point whose distances to front contact and foot are those of panel and leg, by least squares of the two circles' equations, from the best of a ring of starts above the line between them. Five hundred stands of each sort by chance",
		Reason: "1e-6 degrees: the solver stops where the slope of the squares is 1e-13, which leaves about 1e-10 of the hinge's position",
		Run:    tiltBySolver,
	}
}

type point = [2]float64

// meetingPoint asks the solver for the point at distances fromA and fromB of a
// and b, above the line from a to b.
func meetingPoint(a, b point, fromA, fromB float64) (point, error) {
	residuals := func(x []float64) (ra, rb float64) {
		ra = (x[0]-a[0])*(x[0]-a[0]) + (x[1]-a[1])*(x[1]-a[1]) - fromA*fromA
		rb = (x[0]-b[0])*(x[0]-b[0]) + (x[1]-b[1])*(x[1]-b[1]) - fromB*fromB
		return ra, rb
	}
	problem := optimize.Problem{
		Func: func(x []float64) float64 {
			ra, rb := residuals(x)
			return ra*ra + rb*rb
		},
		Grad: func(slope, x []float64) {
			ra, rb := residuals(x)
			for i := range slope {
				slope[i] = 4 * (ra*(x[i]-a[i]) + rb*(x[i]-b[i]))
			}
		},
	}
	line, start := compass.Radians(math.Atan2(b[1]-a[1], b[0]-a[0])), []float64{a[0], a[1] + fromA}
	for above := compass.Angle(2); above < 180; above += 2 { // near enough not to fall to the mirrored point
		x := []float64{a[0] + fromA*(line+above).Cos(), a[1] + fromA*(line+above).Sin()}
		if problem.Func(x) < problem.Func(start) {
			start = x
		}
	}
	// Where a step no longer lowers the squares they are rounding: that is an
	// answer too, if they are small enough.
	found, err := optimize.Minimize(problem, start, &optimize.Settings{GradientThreshold: 1e-13}, &optimize.BFGS{})
	if found == nil || found.F > 1e-20 {
		return point{}, fmt.Errorf("the solver found no hinge at %v and %v of %v and %v: %w", fromA, fromB, a, b, err)
	}
	return point{found.X[0], found.X[1]}, nil
}

// lyingHinge walks along a panel that lies flat, its front contact at 0, to the
// hinge: to the fold, up the upper half, and square off its back.
func lyingHinge(f stand.Frame) point {
	along, tilt := f.HingeM, compass.Angle(0)
	var at point
	if f.FoldM > 0 && f.HingeM > f.FoldM {
		at[0], along, tilt = f.FoldM, f.HingeM-f.FoldM, f.Fold
	}
	at[0] += along * tilt.Cos()
	at[1] += along * tilt.Sin()
	square := tilt - 90
	return point{at[0] + f.HingeOffsetM*square.Cos(), at[1] + f.HingeOffsetM*square.Sin()}
}

// solvedTilt is the tilt of the lower half by the solver.
func solvedTilt(f stand.Frame, front, foot point, side float64) (compass.Angle, error) {
	lying := lyingHinge(f)
	hinge, err := meetingPoint(front, foot, math.Hypot(lying[0], lying[1]), side)
	if err != nil {
		return 0, err
	}
	up := math.Atan2(hinge[1]-front[1], hinge[0]-front[0])
	return compass.Radians(up - math.Atan2(lying[1], lying[0])), nil
}

// chanceFrame is a stand as one might be built.
func chanceFrame(chance *rand.Rand, kind stand.Kind, folds bool) stand.Frame {
	between := func(low, high float64) float64 { return low + (high-low)*chance.Float64() }
	f := stand.Frame{
		Kind: kind, PanelM: between(0.5, 1.5), FrontUpM: between(0, 0.05), HingeOffsetM: between(0, 0.03),
		FrontsM: []float64{between(0, 0.2)}, ContactBackM: between(0, 0.02), ContactDownM: between(0, 0.03),
		LegM: between(0.3, 0.9), PropFootM: between(0.3, 1), PropFootUpM: between(-0.05, 0.05), Friction: 0.4,
	}
	f.HingeM = f.PanelM * between(0.4, 1)
	if folds {
		f.FoldM, f.Fold = f.PanelM/2, compass.Angle(between(-4, 4))
	}
	for range 20 {
		f.NotchesM = append(f.NotchesM, between(0.3, 1.5))
		f.PropsM = append(f.PropsM, between(0.2, 1.2))
	}
	return f
}

func tiltBySolver(string) ([]Check, error) {
	const stands = 500
	var rows []Check
	for _, sort := range []struct {
		name  string
		kind  stand.Kind
		folds bool
	}{{"legs in notches", stand.Legs, false}, {"legs on a folding panel", stand.Legs, true}, {"a prop", stand.Prop, false}, {"a prop on a folding panel", stand.Prop, true}} {
		chance := rand.New(rand.NewPCG(3, 4))
		off, count := 0.0, 0
		for count < stands {
			f := chanceFrame(chance, sort.kind, sort.folds)
			for _, s := range f.Settings() {
				if !s.Possible || count == stands {
					continue
				}
				foot, side := point{s.BackM + f.ContactBackM, -f.ContactDownM}, f.LegM
				if f.Kind == stand.Prop {
					foot, side = point{s.FrontM + f.PropFootM, f.FrontUpM + f.PropFootUpM}, s.PropM
				}
				lower, err := solvedTilt(f, point{s.FrontM, f.FrontUpM}, foot, side)
				if err != nil {
					return nil, err
				}
				off = math.Max(off, math.Abs((lower - s.Lower).Degrees()))
				count++
			}
		}
		rows = append(rows, Check{fmt.Sprintf("%s: largest difference of %d tilts", sort.name, stands), 0, off, "deg", 1e-6, 6})
	}
	return rows, nil
}
