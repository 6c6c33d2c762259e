package answer

import (
	"fmt"
	"math"

	"turnsole/compass"
	"turnsole/drive"
	"turnsole/rigfile"
	"turnsole/stand"
)

// CutList is every piece that is sawn, bored or notched for a stand, so that
// it stands as its rig file says.
type CutList struct {
	Rig    string
	Kind   stand.Kind
	Timber rigfile.Timber
	Pieces []Piece
	Plate  AxlePlate
	// Tilts are what the pieces come to, cut to whole millimetres; none where
	// the rig file gives no measures.
	Tilts    []BuiltTilt
	TimberM  float64  // of batten, a tenth more than its pieces together
	PlyM2    float64  // of plywood
	Work     []string // in which order, and how
	Decided  []string // what the rig file leaves open and is taken as is usual
	Missing  []string // what cannot be cut, and which measures would tell
	Cautions []string
	Assumed  []rigfile.Assumed
}

// Piece is one kind of piece, drawn with its length from left to right.
type Piece struct {
	Letter, Name string
	Count        int
	Material     Material
	LengthM      float64 // in whole millimetres
	HeightM      float64 // up the drawing; of a bar its diameter
	ThickM       float64 // away from the eye
	From         string  // the end that marks are measured from, the left one
	RoundM       float64 // radius of both ends; 0 for square ones
	Marks        []Mark  // in rising order
	Remarks      []string
	OneToOne     bool // worth a template
}

// Material is what a piece is cut from.
type Material int

// Materials.
const (
	Batten  Material = iota // of the rig's timber
	Plywood                 // as thick as the piece is
	Bar                     // a round bar or tube of steel, or a hardwood dowel
)

// MarkKind is what is done at a mark.
type MarkKind int

// Kinds of mark.
const (
	HoleMark  MarkKind = iota // bored square through the face that is drawn
	NotchMark                 // sawn out from the upper edge
	StopMark                  // where the panel's front edge rests
	LineMark                  // a line across, where another piece lies or ends
)

// Mark is something to be marked out on a piece.
type Mark struct {
	Kind MarkKind
	Name string
	AtM  float64 // from the left end: middle of a hole, front edge of a notch's mouth
	// Of a hole: its diameter, and its middle below the upper edge. Of a hole
	// bored from above, Upright, only its diameter.
	DiameterM, DownM float64
	Upright          bool
	WidthM, DepthM   float64    // of a notch
	TouchM           [2]float64 // of a notch: where the foot touches, behind its front edge and below the upper one
}

// BuiltTilt is one setting as cut.
type BuiltTilt struct {
	stand.Setting               // with the pieces as cut
	Asked         compass.Angle // as the rig file's measures give it
}

// What is usual where the rig file says nothing (common practice, no source).
const (
	plyM        = 0.018 // plates
	bearingGapM = 0.030 // between the plates: bearing and wheel
	axleM       = 0.020
	railShare   = 0.75  // of the panel's width from rail to rail
	besideM     = 0.002 // air between pieces that turn past each other
	pegM        = 0.010 // of front stops
	kerfShare   = 0.10  // timber lost to saw, knots and splits
)

// joiner makes the pieces of one stand.
type joiner struct {
	rig   *rigfile.Rig
	stand *Stand
	list  *CutList

	wide, high float64 // of the batten: thickness across, height as a rail
	outer      float64 // from outer face to outer face of the rails
	boltM      float64
}

// ListCuts answers what to cut for one spot ("" for the first).
func ListCuts(rig *rigfile.Rig, spotName string) (*CutList, error) {
	s, err := LookAtStand(rig, spotName)
	if err != nil {
		return nil, err
	}
	c := &CutList{Rig: rig.Name, Kind: rig.Frame.Kind, Timber: rig.Timber, Cautions: cutCautions(),
		Assumed: rig.AssumedFor(rigfile.ForStand)}
	j := &joiner{rig: rig, stand: s, list: c, wide: rig.Timber.WidthM, high: rig.Timber.HeightM, boltM: boltFor(rig.Base.PanelKg)}
	j.outer = max(math.Round(rig.Base.PanelWidthM*railShare*200)/200, 4*j.wide)
	switch rig.Frame.Kind {
	case stand.Legs:
		j.legs()
	case stand.Prop:
		j.prop()
	default:
		c.Missing = append(c.Missing, "The rig file lists this stand's tilts and not its measures: rails, legs or prop cannot be cut from it. Give kind, hinge_at, leg_length, rail_length and notches_at (or prop_foot and prop_lengths) under [stand].")
	}
	j.turningPlate()
	j.base()
	c.Plate = axlePlate(rig)
	j.plate()
	j.sum()
	j.decide()
	return c, nil
}

// boltFor is the bolt that joints of wood turn on, by the panel's mass (common
// practice, no source).
func boltFor(panelKg float64) float64 {
	if panelKg > 12 {
		return 0.010
	}
	return 0.008
}

// add lists a piece under the next letter.
func (j *joiner) add(p Piece) {
	p.Letter = string(rune('A' + len(j.list.Pieces)))
	p.LengthM = wholeMM(p.LengthM)
	if p.From == "" {
		p.From = "either end"
	}
	j.list.Pieces = append(j.list.Pieces, p)
}

func wholeMM(m float64) float64 { return math.Round(m*1000) / 1000 }

// batten is a piece of the rig's timber that lies as a rail does.
func (j *joiner) batten(name string, count int, lengthM float64) Piece {
	return Piece{Name: name, Count: count, LengthM: lengthM, HeightM: j.high, ThickM: j.wide}
}

func (j *joiner) sum() {
	for _, p := range j.list.Pieces {
		switch all := float64(p.Count) * p.LengthM; p.Material {
		case Batten:
			j.list.TimberM += all * (1 + kerfShare)
		case Plywood:
			j.list.PlyM2 += all * p.HeightM * (1 + kerfShare)
		}
	}
}

// decide says what was taken as usual, common practice without a source.
func (j *joiner) decide() {
	say := func(format string, args ...any) {
		j.list.Decided = append(j.list.Decided, fmt.Sprintf(format, args...))
	}
	say("Plates are plywood of %.0f mm, glued for outdoors.", plyM*1000)
	say("Between the two plates are %.0f mm for bearing and wheel; if yours need more or less, change the feet by as much.", 1000*j.gapM())
	say("The axle is %.0f mm thick; bore for yours.", axleM*1000)
	if j.list.Kind != stand.Legs && j.list.Kind != stand.Prop {
		return
	}
	say("Side by side the rails measure %.0f mm from outer face to outer face, %.0f %% of the panel's width.", j.outer*1000, 100*j.outer/j.rig.Base.PanelWidthM)
	say("Joints that turn have bolts of M%.0f, with a washer between the pieces and a nut that locks.", j.boltM*1000)
	if j.list.Kind == stand.Legs {
		say("The legs' foot is one round bar through both legs. It lies in the notches of both rails, enters them at every lean, and ties the legs together.")
	}
}

// gapM is the room between the plates: enough that cross bars under the rails
// pass over the lower plate.
func (j *joiner) gapM() float64 { return max(bearingGapM, j.high-plyM+0.006) }

func cutCautions() []string {
	return []string{
		"Measure your panel and its frame before the first cut: these pieces follow the rig file and not the panel that is in your hands.",
		"Clamp what you saw and bore; eye protection for both. Wet or knotty wood splits at a notch.",
		"Before the panel goes on, put the empty stand on level ground and lean on it from every side.",
	}
}

// motorHoles are what a motor's face asks for beside the distance of its
// bolts: the raised ring round its shaft and the holes (from memory).
func motorHoles(name string) (bossM, holeM float64) {
	switch name {
	case "NEMA 11":
		return 0.022, 0.0028
	case "NEMA 14", "NEMA 17":
		return 0.022, 0.0034
	case "NEMA 34":
		return 0.073, 0.0066
	}
	return 0.0381, 0.0053
}

func frameSize(name string) (drive.FrameSize, bool) {
	for _, f := range drive.FrameSizes() {
		if f.Name == name {
			return f, true
		}
	}
	return drive.FrameSize{}, false
}
