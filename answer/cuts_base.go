package answer

import (
	"fmt"
	"math"

	"turnsole/compass"
	"turnsole/drive"
	"turnsole/rigfile"
	"turnsole/stand"
)

// AxlePlate is the plate on the base that the axle passes and the motor hangs
// on. X runs from its left edge along the line from axle to motor; that line is
// in the middle of its width.
type AxlePlate struct {
	LengthM, WidthM, ThickM float64
	AxleM                   float64 // middle of the axle from the left edge
	AxleHoleM               float64 // diameter
	Wheels                  []PlateWheel
	CentreM                 float64 // of the last stage, axle to the next shaft; 0 where it is not known
	Motor                   *PlateMotor
	Arms                    []compass.Angle // of the base under it, from the line to the motor
	ArmWideM                float64
	Why                     string // what is missing on it, "" where nothing is
}

// PlateWheel is a gear or pulley over the plate, as its pitch circle.
type PlateWheel struct {
	Name      string
	AtM       float64 // from the axle
	DiameterM float64 // of the pitch circle
}

// PlateMotor is where the motor's face lies.
type PlateMotor struct {
	Name         string
	AtM          float64 // shaft from the axle
	FaceM        float64 // width of the face, which the opening in the plate lets through
	BoltsM       float64 // from bolt to bolt along an edge
	BossM, HoleM float64 // raised ring round the shaft, and bolt holes
}

// Shafts are where shafts between two stages stand, from the axle.
func (p AxlePlate) Shafts() (at []float64) {
	for i, w := range p.Wheels {
		if w.AtM > 0 && i+1 < len(p.Wheels) && p.Wheels[i+1].AtM == w.AtM {
			at = append(at, w.AtM)
		}
	}
	return at
}

// axlePlate lays out axle, shafts and motor on one line.
func axlePlate(rig *rigfile.Rig) AxlePlate {
	p := AxlePlate{ThickM: plyM, AxleHoleM: axleM, ArmWideM: rig.Timber.WidthM, Arms: arms(rig.Base.Feet)}
	at := p.wheels(rig.Train.Stages)
	if size, ok := frameSize(rig.MotorFrame); ok && p.Why == "" {
		boss, hole := motorHoles(size.Name)
		p.Motor = &PlateMotor{Name: size.Name, AtM: at, FaceM: size.FaceM, BoltsM: size.BoltsM, BossM: boss, HoleM: hole}
	}
	const least = 0.12 // from the axle to an edge
	half := least
	for _, w := range p.Wheels {
		half = max(half, up10(w.DiameterM/2+0.01))
	}
	front := max(half, up10(at+0.02))
	if p.Motor != nil {
		front = max(half, up10(at+p.Motor.FaceM/2+0.02))
	}
	p.AxleM, p.LengthM, p.WidthM = half, half+front, 2*half
	return p
}

func up10(m float64) float64 { return math.Ceil(m*100-1e-9) / 100 }

// wheels lists gears and pulleys from the axle outwards and returns where the
// motor's shaft is; Why says why that is not known.
func (p *AxlePlate) wheels(stages []drive.Stage) (at float64) {
	for i := len(stages) - 1; i >= 0; i-- {
		s := stages[i]
		centre := s.CentreAsBuiltM()
		switch {
		case s.Kind == drive.Worm:
			p.Why = fmt.Sprintf("A worm lies across its wheel: its own axis passes %s, and its motor stands on an angle bracket beside the plate.", besideWheel(centre))
		case centre == 0:
			p.Why = "The rig file does not say how far apart the axles of the " + s.Kind.String() + " stage are (centre): bore a slot and tension it, or measure and print again."
		}
		if i == len(stages)-1 {
			p.CentreM = centre
		}
		p.Wheels = append(p.Wheels, PlateWheel{Name: fmt.Sprintf("%d teeth", s.Driven), AtM: at, DiameterM: s.DrivenM()})
		if p.Why != "" {
			return at
		}
		at += centre
		p.Wheels = append(p.Wheels, PlateWheel{Name: fmt.Sprintf("%d teeth", s.Driver), AtM: at, DiameterM: s.DriverM()})
	}
	return at
}

func besideWheel(centreM float64) string {
	if centreM == 0 {
		return "its wheel's axle at a distance that the rig file does not give (centre)"
	}
	return fmt.Sprintf("%.1f mm beside the axle", centreM*1000)
}

// arms are the directions of the base's beams from the line to the motor, which
// has its place between two of them.
func arms(feet int) (all []compass.Angle) {
	for i := range feet {
		all = append(all, compass.Angle((float64(i)+0.5)*360/float64(feet)))
	}
	return all
}

// plate lists the axle plate among the pieces.
func (j *joiner) plate() {
	p := j.list.Plate
	piece := Piece{Name: "axle plate", Count: 1, Material: Plywood, LengthM: p.LengthM, HeightM: p.WidthM, ThickM: p.ThickM, From: "the edge away from the motor", OneToOne: true,
		Marks: []Mark{{Kind: HoleMark, Name: "axle", AtM: p.AxleM, DiameterM: p.AxleHoleM, DownM: p.WidthM / 2}}}
	piece.Remarks = []string{"lies on the base and does not turn; the bearing sits on it, the motor hangs below with its shaft up, between two beams"}
	if len(p.Shafts()) > 0 {
		piece.Remarks = append(piece.Remarks, "at \"shaft\" bore for the bearing of the shaft between the stages")
	}
	if m := p.Motor; m != nil && m.AtM > 0 {
		piece.Marks = append(piece.Marks, Mark{Kind: HoleMark, Name: "motor shaft", AtM: p.AxleM + m.AtM, DiameterM: m.BossM, DownM: p.WidthM / 2})
		piece.Remarks = append(piece.Remarks, fmt.Sprintf("a motor's shaft is too short for plywood: saw an opening of %.0f x %.0f mm for its body, and screw a metal plate of 3 mm over it that carries the motor; slots of 5 mm along the line let the mesh be set", 1000*m.FaceM+10, 1000*m.FaceM+4))
	}
	if p.Why != "" {
		piece.Remarks = append(piece.Remarks, p.Why)
		j.list.Missing = append(j.list.Missing, p.Why)
	}
	j.add(piece)
}

// turningPlate joins the rails over the bearing.
func (j *joiner) turningPlate() {
	long := 0.24
	if r := j.rig.Frame.RailM; j.list.Kind == stand.Legs && r > 0 {
		long = max(0.12, min(long, 2*j.rig.Base.AxisM, 2*(r-j.rig.Base.AxisM)))
	}
	if j.list.Kind != stand.Legs && j.list.Kind != stand.Prop {
		return
	}
	long = math.Floor(long*100) / 100
	j.add(Piece{Name: "turning plate", Count: 1, Material: Plywood, LengthM: long, HeightM: j.outer, ThickM: plyM, From: "the front edge",
		Marks:   []Mark{{Kind: HoleMark, Name: "axle", AtM: long / 2, DiameterM: axleM, DownM: j.outer / 2}},
		Remarks: []string{"lies under both " + map[bool]string{true: "rails", false: "base sides"}[j.list.Kind == stand.Legs] + ", its middle at their axle mark; four screws into each from below; the driven wheel is bolted under it, true to the axle"}})
}

// base lists beams or arms and the feet under them.
func (j *joiner) base() {
	b := j.rig.Base
	if b.Feet == 3 {
		j.arms()
	} else {
		j.beams()
	}
	foot := b.RailTopM - (2*j.high + 2*plyM + j.gapM())
	switch {
	case j.list.Kind != stand.Legs && j.list.Kind != stand.Prop:
		j.list.Missing = append(j.list.Missing, "How high the feet must be follows from what stands between the axle plate and your frame.")
	case foot < 0.02:
		j.list.Missing = append(j.list.Missing, fmt.Sprintf("With beams, plates and bearing under them the rails stand %.0f mm above the ground even without feet; the rig file says %.0f. Set rail_height to what you measure.", 1000*(b.RailTopM-foot), 1000*b.RailTopM))
	default:
		j.add(j.batten("foot", b.Feet, foot).with("stands upright under a beam's end, glued and screwed from above; its end grain wants oil or a rubber cap"))
	}
}

// beams cross under the axle plate, halved into each other.
func (j *joiner) beams() {
	long := wholeMM(2*j.rig.Base.FootRadiusM + j.wide)
	beam := j.batten("base beam", 2, long)
	beam.Marks = []Mark{
		{Kind: LineMark, Name: "foot", AtM: j.wide / 2},
		{Kind: NotchMark, Name: "halving", AtM: long/2 - j.wide/2, WidthM: j.wide, DepthM: j.high / 2},
		{Kind: LineMark, Name: "foot", AtM: long - j.wide/2},
	}
	j.add(beam.with("halved into each other in the middle: one is notched from above, the other from below; bore for the axle through both once they are glued"))
}

// arms meet at the axle at 120 degrees.
func (j *joiner) arms() {
	r := j.rig.Base.FootRadiusM
	start := wholeMM(j.wide) // two arms at 120 degrees touch 0.58 of their width from the middle
	arm := j.batten("base arm", 3, r+j.wide/2-start)
	arm.From = "the inner end"
	arm.Marks = []Mark{{Kind: LineMark, Name: "foot", AtM: wholeMM(r - start)}}
	j.add(arm.with(fmt.Sprintf("its inner end %.0f mm from the axle's middle, at 120 degrees to the others; glued and screwed under the axle plate, four screws each", start*1000)))
}
