package stand

import (
	"fmt"
	"math"

	"turnsole/compass"
)

// triangle is what fixes the tilt: the panel's front contact, the foot, and
// the hinge between panel and leg or prop.
type triangle struct {
	hingeM    float64       // front contact to hinge
	below     compass.Angle // by how much that line is flatter than the panel's lower half
	footM     float64       // front contact to foot
	footBackM float64       // how far the foot is behind the front contact
	slope     compass.Angle // of the line to the foot, negative where it falls to the rear
	sideM     float64       // hinge to foot: the leg or prop
	side      string        // "leg" or "prop"
	// flattest and steepest are the lower half's tilts when the whole is flat
	// and when it is upright.
	flattest, steepest compass.Angle
}

func (f Frame) triangle(s Setting) triangle { return f.triangleWith(s, 0, 0) }

// triangleWith is a setting's triangle with the hinge moved along the panel
// and away from it.
func (f Frame) triangleWith(s Setting, alongM, behindM float64) triangle {
	u, v := f.hinge(alongM, behindM)
	foot := f.foot(s)
	x, y := foot[0]-s.FrontM, foot[1]-f.FrontUpM
	t := triangle{
		hingeM: math.Hypot(u, v), below: compass.Radians(math.Atan2(v, u)),
		footM: math.Hypot(x, y), footBackM: x, slope: compass.Radians(math.Atan2(y, x)),
		sideM: f.LegM, side: "leg",
	}
	if f.Kind == Prop {
		t.sideM, t.side = s.PropM, "prop"
	}
	t.flattest, _ = f.halves(0)
	t.steepest, _ = f.halves(90)
	return t
}

// lower returns the tilt of the panel's lower half with the hinge above the
// line to the foot. Where the side is too short or too long to meet, it is the
// tilt at which it comes nearest.
//
// The law of cosines in half angles, which keeps its digits where the triangle
// is nearly flat: tan²(a/2) = (c²-(b-d)²) / ((b+d)²-c²).
func (t triangle) lower() compass.Angle {
	short := (t.sideM - t.hingeM + t.footM) * (t.sideM + t.hingeM - t.footM)
	long := (t.hingeM + t.footM - t.sideM) * (t.hingeM + t.footM + t.sideM)
	corner := 2 * math.Atan2(math.Sqrt(math.Max(short, 0)), math.Sqrt(math.Max(long, 0)))
	return t.below + t.slope + compass.Radians(corner)
}

// sideAt returns how long the side must be for a tilt of the lower half.
func (t triangle) sideAt(lower compass.Angle) float64 {
	half := math.Sin((lower - t.below - t.slope).Radians() / 2)
	return math.Hypot(t.hingeM-t.footM, 2*math.Sqrt(t.hingeM*t.footM)*half)
}

// sides returns the shortest and the longest side that give a tilt of 0..90
// with the hinge above the line to the foot. The longer the side, the steeper.
func (t triangle) sides() (shortestM, longestM float64, some bool) {
	flattest := max(t.flattest, t.below+t.slope)
	steepest := min(t.steepest, t.below+t.slope+180)
	return t.sideAt(flattest), t.sideAt(steepest), flattest <= steepest
}

// reachSlack is what rounding may take from a side that just reaches, in metres.
const reachSlack = 1e-12

// apart says why the three sides make no triangle, and what would.
func (t triangle) apart() string {
	least, most, some := t.sides()
	switch {
	case t.footBackM <= 0:
		return fmt.Sprintf("the foot stands %s in front of the panel's front edge: it must stand behind it", mm(-t.footBackM))
	case !some:
		return fmt.Sprintf("no %s holds the panel up here: its hinge lies below the line from front stop to foot at every tilt", t.side)
	case t.sideM < math.Abs(t.hingeM-t.footM)-reachSlack:
		return fmt.Sprintf("the %s is %s too short for this pair: %s would just reach", t.side, mmUp(least-t.sideM), mmUp(least))
	case t.sideM > t.hingeM+t.footM+reachSlack:
		return fmt.Sprintf("the %s is %s too long for this pair: %s would stand the panel upright", t.side, mmUp(t.sideM-most), mmDown(most))
	}
	return ""
}

// outside says that a triangle's tilt is not between flat and upright, and
// which side would bring it there.
func (t triangle) outside(tilt compass.Angle) string {
	least, most, _ := t.sides()
	switch {
	case tilt < -roundingA:
		return fmt.Sprintf("the panel would fall to its rear by %s: the %s is %s too short for this pair, %s would lay it flat",
			degrees(-tilt), t.side, mmUp(least-t.sideM), mmUp(least))
	case tilt > 90+roundingA:
		return fmt.Sprintf("the panel would lean over to %s: the %s is %s too long for this pair, %s would stand it upright",
			degrees(tilt), t.side, mmUp(t.sideM-most), mmDown(most))
	}
	return ""
}

// degrees writes an angle to a tenth of a degree.
func degrees(a compass.Angle) string {
	return fmt.Sprintf("%.4g degrees", math.Round(float64(a)*10)/10)
}

// mmUp and mmDown write a length in whole millimetres, rounded to the side on
// which it still does what is said of it.
func mmUp(m float64) string { return mm(math.Ceil(m*1000-1e-6) / 1000) }

func mmDown(m float64) string { return mm(math.Floor(m*1000+1e-6) / 1000) }
