package answer

import (
	"fmt"
	"math"
	"strings"

	"turnsole/rigfile"
	"turnsole/stand"
)

// Shopping is everything to be got for a rig, with what each thing must bear
// and what it must fit.
type Shopping struct {
	Rig       string
	Groups    []ShoppingGroup
	Cables    []CableToBuy
	Carried   []Weight // what somebody has to carry to the spot
	CarriedKg float64  // all of that
	Findings  []string
	Cautions  []string
	Assumed   []rigfile.Assumed
}

// ShoppingGroup is things that are got at one place.
type ShoppingGroup struct {
	Name  string
	Items []ShoppingItem
}

// ShoppingItem is one kind of thing.
type ShoppingItem struct {
	What, Many string
	Rating     string // what it must bear or be
	MustFit    string // what it must go together with
}

// CableToBuy is the cable of one run.
type CableToBuy struct {
	Run, Size string
	LengthM   float64 // one way, as the run is long
	BuyM      float64 // of each core, a tenth more
	Cores     string  // "red and black", "4 cores"
}

// Weight is one thing that is carried, and where its mass comes from.
type Weight struct {
	What string
	Kg   float64
	From string
}

// spareShare is how much more cable is bought than runs are long (common
// practice, no source).
const spareShare = 0.10

// shopper gathers the answers that a shopping list is made of.
type shopper struct {
	rig   *rigfile.Rig
	stand *Stand
	drive *Drive
	wire  *Wire
	cuts  *CutList
	list  *Shopping
	group *ShoppingGroup
}

// ListShopping answers what to get for one spot ("" for the first).
func ListShopping(rig *rigfile.Rig, spotName string) (*Shopping, error) {
	s := &shopper{rig: rig, list: &Shopping{Rig: rig.Name, Cautions: shoppingCautions(),
		Assumed: rig.AssumedFor(rigfile.ForStand, rigfile.ForDrive, rigfile.ForWiring)}}
	var err error
	if s.stand, err = LookAtStand(rig, spotName); err != nil {
		return nil, err
	}
	if s.drive, err = LookAtDrive(rig, spotName); err != nil {
		return nil, err
	}
	if s.wire, err = SizeWires(rig); err != nil {
		return nil, err
	}
	if s.cuts, err = ListCuts(rig, spotName); err != nil {
		return nil, err
	}
	s.panelAndBattery()
	s.driveParts()
	s.controllerParts()
	s.cables()
	s.timber()
	s.ground()
	s.weigh()
	s.warn()
	return s.list, nil
}

func (s *shopper) in(name string) {
	s.list.Groups = append(s.list.Groups, ShoppingGroup{Name: name})
	s.group = &s.list.Groups[len(s.list.Groups)-1]
}

func (s *shopper) get(what, many, rating, fit string) {
	s.group.Items = append(s.group.Items, ShoppingItem{what, many, rating, fit})
}

// run finds a run of cable by its section of the rig file.
func (s *shopper) run(key string) WireRun {
	for _, r := range s.wire.Runs {
		if r.Key == key {
			return r
		}
	}
	return WireRun{}
}

// volts is the battery's nominal voltage.
func (s *shopper) volts() float64 {
	return s.rig.Battery.NominalV * float64(max(s.rig.Battery.Blocks, 1))
}

// highestV is what the charge controller gives at most.
func (s *shopper) highestV() float64 {
	return s.rig.Battery.AbsorptionV * float64(max(s.rig.Battery.Blocks, 1))
}

// cables lists every run's cable, and what ends it.
func (s *shopper) cables() {
	s.in("Cable, fuses and connectors")
	fuses, order := map[float64][]string{}, []float64{}
	for _, r := range s.wire.Runs {
		cores := "red and black"
		if r.Key == "drive" {
			cores = "4 cores"
		}
		s.list.Cables = append(s.list.Cables, CableToBuy{r.Name, CableText(r.Cable), r.LengthM, math.Ceil(r.LengthM*(1+spareShare)*10) / 10, cores})
		if r.FuseA > 0 {
			if fuses[r.FuseA] == nil {
				order = append(order, r.FuseA)
			}
			fuses[r.FuseA] = append(fuses[r.FuseA], r.Name)
		}
	}
	for _, a := range order {
		s.get(fmt.Sprintf("fuse %g A, with a holder in the lead", a), fmt.Sprint(len(fuses[a])), fmt.Sprintf("for direct current, at least %.0f V; three spare fuses", math.Ceil(max(s.highestV(), s.wire.ColdVocV)/10)*10),
			"must fit the cable of: "+strings.Join(fuses[a], "; "))
	}
	s.get("weatherproof plugs for the panel's leads", "1 pair", fmt.Sprintf("at least %.1f A", s.wire.PanelA*1.25), fmt.Sprintf("must fit the plugs on the panel's own leads, same make, and cable of %s", s.run("panel").Cable.Name))
	s.get("plug with 4 poles for the motor", "1 pair", fmt.Sprintf("at least %.1f A", s.rig.Train.Stepper.PhaseA), "must fit the motor's cable; it is only parted with the power off")
	s.get("cable rings for the battery, sleeves for wire ends", "a bag", "tinned copper, pressed on with the tool for them", "must fit the battery's poles and each cable's size")
}

func (s *shopper) timber() {
	t, c := s.rig.Timber, s.cuts
	s.in("Wood and iron")
	s.get("batten", fmt.Sprintf("%.1f m", math.Ceil(c.TimberM*10)/10), fmt.Sprintf("%.0f x %.0f mm, straight, dry, few knots; longest piece %.0f mm", t.WidthM*1000, t.HeightM*1000, 1000*s.longest()),
		"must fit the cut list, with a tenth for waste")
	for _, p := range c.Pieces {
		switch p.Material {
		case Plywood:
			s.get("plywood for the "+p.Name, fmt.Sprint(p.Count), fmt.Sprintf("%.0f x %.0f mm, %.0f mm thick, glued for outdoors", p.LengthM*1000, p.HeightM*1000, p.ThickM*1000), "must fit the cut list; oil or paint its edges")
		case Bar:
			s.get(p.Name+", steel tube or hardwood", fmt.Sprint(p.Count), fmt.Sprintf("%.0f mm thick, %.0f mm long", p.HeightM*1000, p.LengthM*1000), fmt.Sprintf("must fit notches of %.0f mm with 1 to 3 mm of play", s.rig.Frame.NotchWidthM*1000))
		}
	}
	s.joints()
	s.get("wood screws, stainless", "40", fmt.Sprintf("5 x %.0f mm", math.Floor(t.HeightM*1000*1.6/10)*10), "must fit a batten on a batten without coming through")
	s.get("wood screws, stainless", "40", fmt.Sprintf("5 x %.0f mm", math.Floor((plyM+0.75*t.HeightM)*200)*5), "must fit a plate on a batten without coming through")
	s.get("screws for the panel's frame", "8", "short: frame's thickness and 5 mm", "must fit the holes in the panel's frame; never its glass or cells")
	if s.rig.Base.Latched {
		s.get("latches", "4", "hook or toggle, stainless", "must fit front edge and feet of the panel's legs, both sides")
	}
}

func (s *shopper) longest() (m float64) {
	for _, p := range s.cuts.Pieces {
		if p.Material == Batten {
			m = max(m, p.LengthM)
		}
	}
	return m
}

// joints are the bolts that the stand turns on, and its pegs.
func (s *shopper) joints() {
	w, bolt := s.rig.Timber.WidthM*1000, boltFor(s.rig.Base.PanelKg)*1000
	size := fmt.Sprintf("M%.0f x %.0f mm, stainless, with two washers and a locking nut each", bolt, 10*math.Ceil((2*w+3*2+bolt+4)/10))
	switch s.cuts.Kind {
	case stand.Legs:
		s.get("hinge bolts", "2", size, "must fit batten and leg side by side, and holes of the same size")
		s.get("pegs for the front stops", fmt.Sprint(2*len(s.rig.Frame.FrontsM)), fmt.Sprintf("steel, %.0f mm thick, long enough to stand 25 mm above the rail", pegM*1000), "must fit holes bored upright into the rails")
		s.get("split pins for the foot bar", "2", "3 to 4 mm, stainless", "must fit a hole through each leg and the bar")
	case stand.Prop:
		s.get("hinges for the front edge", "2", "stainless, with a pin that does not come out", "must fit the batten's width")
		s.get("pins for the prop", "4", size, "must fit the prop's holes; two are pulled by hand, so with a ring and a split pin")
	}
}

// ground is what keeps it standing.
func (s *shopper) ground() {
	s.in("On the ground")
	b, st := s.rig.Base, s.stand
	own := ""
	if b.BallastKg > 0 {
		own = fmt.Sprintf("%.0f kg that the rig file has; ", b.BallastKg)
	}
	switch {
	case st.BallastWhy != "":
		s.get("pegs", fmt.Sprint(b.Feet), fmt.Sprintf("each holds %.0f N, the weight of %.0f kg, pulled by hand with a spring balance", st.PegN, math.Ceil(st.PegN/stand.GravityMS2)), "must fit the ground and the feet; ballast alone will not do here")
	case st.BallastKg > 0:
		s.get("ballast", fmt.Sprintf("%.0f kg", math.Ceil(st.BallastKg)), own+fmt.Sprintf("stones, water cans or sandbags, for a forecast of %.0f m/s; or pegs", s.rig.WantedWindMS), "must fit inside the lines from foot to foot, and not slide off")
		s.get("pegs, in place of ballast", fmt.Sprint(b.Feet), fmt.Sprintf("each holds %.0f N, the weight of %.0f kg", st.PegN, math.Ceil(st.PegN/stand.GravityMS2)), "must fit the ground; pull each one with a spring balance")
	default:
		s.get("ballast", "none", own+fmt.Sprintf("it neither tips nor slides in a forecast of %.0f m/s; what else the wind does there, the stand's answer says", s.rig.WantedWindMS), "–")
	}
	s.get("rope", fmt.Sprintf("%.0f m", math.Ceil(4*b.FootRadiusM+2*b.PanelLengthM)), "6 mm, that does not stretch when wet", "must fit from the panel's frame to the base: a panel that lifts stays on the leash")
}

// weigh adds up what is carried.
func (s *shopper) weigh() {
	known := func(what string, given *float64, otherwise float64, usual string) {
		if given != nil {
			s.carry(what, *given, "the rig file")
		} else if otherwise > 0 {
			s.carry(what, otherwise, usual)
		}
	}
	known("panel", s.rig.PanelMassKg, s.rig.Base.PanelKg, "11 kg to the square metre, from memory")
	if drive := s.rig.DriveMassKg; drive != nil {
		known("stand", s.rig.StandMassKg, s.rig.Base.StandKg-*drive, "a light stand, common practice")
	} else {
		s.carry("stand with bearing, motor and gears", s.rig.Base.StandKg, "usual where the rig file says nothing")
	}
	known("bearing, motor, gears and controller", s.rig.DriveMassKg, 0, "")
	if b := s.rig.Battery; !b.Endless && b.CapacityWh > 0 {
		s.carry("battery", batteryKg(b.Name, b.CapacityWh), "by its watt-hours, from memory; weigh yours")
	}
	s.carry("cable", s.copperKg(), "its copper, and as much again in plastic")
	if s.rig.Base.BallastKg > 0 {
		s.carry("ballast that the rig file has", s.rig.Base.BallastKg, "the rig file")
	}
}

func (s *shopper) carry(what string, kg float64, from string) {
	s.list.Carried = append(s.list.Carried, Weight{what, kg, from})
	s.list.CarriedKg += kg
}

// batteryKg is what a battery weighs, roughly: 110 Wh to the kilogram for
// LiFePO4 with its case, 35 for lead (from memory).
func batteryKg(chemistry string, wh float64) float64 {
	if chemistry == "lifepo4" {
		return wh / 110
	}
	return wh / 35
}

// copperKg is the weight of all cable: copper has 8.9 kg to the litre.
func (s *shopper) copperKg() (kg float64) {
	for _, r := range s.wire.Runs {
		cores := 2.0
		if r.Key == "drive" {
			cores = 4
		}
		kg += 2 * cores * r.LengthM * r.Cable.AreaMM2 * 8.9e-3
	}
	return kg
}

func (s *shopper) warn() {
	for _, p := range s.wire.Problems {
		s.list.Findings = append(s.list.Findings, fmt.Sprintf("%s: %s.", p.Key, p.Text))
	}
	s.list.Findings = append(s.list.Findings, problemTexts(s.rig.Train)...)
	s.list.Findings = append(s.list.Findings, s.drive.Verdict)
}

func shoppingCautions() []string {
	return []string{
		"Check every rating on the thing itself or its maker's sheet before you pay: a listing is not a sheet.",
		"A lithium battery needs a protection circuit of its own; one without it can burn.",
		"Fuses are for direct current: one made for alternating current may not break an arc.",
		"Ballast and pegs are reckoned for level, firm ground and keep the stand from tipping and sliding only. Local codes and a competent person decide where the panel can fall on somebody, on a road or on a roof.",
	}
}

// largerSensor is the least usual range of a current sensor that bears a
// current (common practice, no source).
func largerSensor(a float64) float64 {
	for _, r := range []float64{5, 10, 20, 30, 50, 100} {
		if r >= a {
			return r
		}
	}
	return math.Ceil(a/100) * 100
}
