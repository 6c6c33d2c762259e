package rigfile

import (
	"fmt"
	"math"

	"turnsole/compass"
	"turnsole/stand"
)

// panelSizeKeys are the panel's body: what the wind pushes and the stand carries.
var panelSizeKeys = []key{
	at("length", measured(length, 0.05, 5, `"78 cm"`), func(d *draft) *float64 { return &d.rig.Base.PanelLengthM },
		"along the slope, as it lies on the stand").orBy(usualLength, "half as long again as wide, 180 W to the square metre (common practice, no source)").only(ForStand),
	at("width", measured(length, 0.05, 5, `"56 cm"`), func(d *draft) *float64 { return &d.rig.Base.PanelWidthM },
		"across the slope").orBy(usualWidth, "half as long again as wide, 180 W to the square metre (common practice, no source)").only(ForWind),
	at("fold_at", measured(length, 0, 5, `"39 cm"`), func(d *draft) *float64 { return &d.rig.Frame.FoldM },
		"where a folding panel folds across the slope, from its front edge").orNone("it does not fold"),
	at("fold", angle(-30, 30, "1.5"), func(d *draft) *compass.Angle { return &d.rig.Frame.Fold },
		"by how many degrees its upper half stands steeper than its lower").orNone("its halves are in one plane"),
}

// frameKeys are what makes the tilt.
var frameKeys = []key{
	at("kind", choice(`"legs"`, "legs", "prop", "listed"), func(d *draft) *string { return &d.frame.kind },
		"\"legs\" of fixed length whose feet stand in notches along rails; a \"prop\" of adjustable length under a hinged frame; or \"listed\", tilts that were measured").or(`"legs"`, "a kind that is built with a saw and a drill").only(ForStand),
	at("tilts", several(angle(0, 90, ""), 1, 24, "tilts", "[22, 38, 61]"), func(d *draft) *[]compass.Angle { return &d.rig.Frame.Tilts },
		"the measured tilts of a listed stand").orNone("they follow from the measures below"),
	at("hinge_at", measured(length, 0.02, 5, `"51 cm"`), func(d *draft) *float64 { return &d.rig.Frame.HingeM },
		"where leg or prop is hinged, from the panel's front edge along the panel").orBy(share65, "at 0.65 of the panel's length").only(ForStand),
	at("hinge_offset", measured(length, -0.2, 0.5, `"20 mm"`), func(d *draft) *float64 { return &d.rig.Frame.HingeOffsetM },
		"of that hinge's axis from the line on which the front edge rests, measured square to the panel's back").or(`"20 mm"`, "a hinge screwed under a batten").only(ForStand),
	at("leg_length", measured(length, 0.02, 5, `"51 cm"`), func(d *draft) *float64 { return &d.rig.Frame.LegM },
		"from the hinge's axis to where the foot touches in its notch").orBy(share65, "as long as the hinge is from the front edge").only(ForStand),
	at("rail_length", measured(length, 0.05, 10, `"105 cm"`), func(d *draft) *float64 { return &d.rig.Frame.RailM },
		"of the rails that carry the notches").orBy(railRule, "leg and hinge in one line, and 110 mm for the ends: room for the flattest tilt").only(ForStand),
	at("front_stops", several(measured(length, 0, 10, ""), 1, 6, "lengths", `["30 mm"]`), func(d *draft) *[]float64 { return &d.rig.Frame.FrontsM },
		"where the panel's front edge may rest, from the rails' front end").or(`["30 mm"]`, "one stop, near the front end").only(ForStand),
	at("front_height", measured(length, -0.2, 1, `"0 mm"`), func(d *draft) *float64 { return &d.rig.Frame.FrontUpM },
		"of the front edge's rest above the rails' top").or(`"0 mm"`, "it rests on the rails").only(ForStand),
	at("notches_at", several(measured(length, 0, 10, ""), 1, 24, "lengths", `["35 cm", "64 cm", "97 cm"]`), func(d *draft) *[]float64 { return &d.rig.Frame.NotchesM },
		"front edge of each notch's mouth, from the rails' front end").orNone("cut for the stand's tilts"),
	at("notch_width", measured(length, 0.002, 0.2, `"20 mm"`), func(d *draft) *float64 { return &d.rig.Frame.NotchWidthM },
		"of a notch's mouth along the rail").or(`"20 mm"`, "room for a leg's rounded end").only(ForStand),
	at("contact_back", measured(length, 0, 0.2, `"15 mm"`), func(d *draft) *float64 { return &d.rig.Frame.ContactBackM },
		"how far behind the mouth's front edge the foot touches: that, not the mouth, makes the tilt").or(`"15 mm"`, "against the notch's rear wall").only(ForStand),
	at("contact_down", measured(length, 0, 0.2, `"10 mm"`), func(d *draft) *float64 { return &d.rig.Frame.ContactDownM },
		"how far below the rails' top it touches").or(`"10 mm"`, "the notch's depth").only(ForStand),
	at("least_wood", measured(length, 0, 0.5, `"15 mm"`), func(d *draft) *float64 { return &d.rig.Frame.LeastWoodM },
		"that must stay between two notches").or(`"15 mm"`, "less splits out (common practice, no source)").only(ForStand),
	at("prop_foot", measured(length, 0.02, 10, `"60 cm"`), func(d *draft) *float64 { return &d.rig.Frame.PropFootM },
		"of a prop: its lower pin, behind the front hinge").orNone("needed for a prop"),
	at("prop_foot_height", measured(length, -0.5, 1, `"0 mm"`), func(d *draft) *float64 { return &d.rig.Frame.PropFootUpM },
		"of that pin above the front hinge").orNone("level with it"),
	at("prop_lengths", several(measured(length, 0.02, 5, ""), 1, 24, "lengths", `["30 cm", "42 cm", "55 cm"]`), func(d *draft) *[]float64 { return &d.rig.Frame.PropsM },
		"that a prop can be set to, pin to hinge").orNone("set for the stand's tilts"),
	at("rail_friction", plain(0, 2, "0.2"), func(d *draft) *float64 { return &d.rig.Frame.Friction },
		"of a foot on its rail, were there no notch").or("0.2", "wet wood on wood, from memory").only(ForStand),
	at("latched", truth("false"), func(d *draft) *bool { return &d.rig.Base.Latched },
		"front edge and feet are held down by latches").or("false", "they only lie in their stops and notches").only(ForWind),
}

// baseKeys are what the stand stands on.
var baseKeys = []key{
	at("feet", count(3, 4, "4"), func(d *draft) *int { return &d.rig.Base.Feet },
		"of the base, 3 or 4, evenly round the vertical axis").or("4", "as most are built").only(ForWind),
	at("foot_radius", measured(length, 0.05, 5, `"45 cm"`), func(d *draft) *float64 { return &d.rig.Base.FootRadiusM },
		"from the vertical axis to each foot").orBy(footRule, "0.6 of the panel's length").only(ForWind),
	at("rail_height", measured(length, 0.01, 3, `"25 cm"`), func(d *draft) *float64 { return &d.rig.Base.RailTopM },
		"of the rails' top above the ground").or(`"25 cm"`, "a low base").only(ForWind),
	at("axis_at", measured(length, 0, 10, `"40 cm"`), func(d *draft) *float64 { return &d.rig.Base.AxisM },
		"where the vertical axis passes the rails, from their front end").orBy(axisRule, "under the panel's middle at the stand's own tilt").only(ForWind),
	at("footing", choice(`"wood-on-grass"`, footingNames()...), func(d *draft) *string { return &d.frame.footing },
		"what its feet stand on").or(`"wood-on-grass"`, "the low figure of its range; a pull with a spring balance beats it").only(ForWind),
	at("footing_friction", maybe(plain(0.02, 2, "0.3")), func(d *draft) **float64 { return &d.frame.friction },
		"coefficient of friction there, as measured by a pull").orNone("as the footing"),
	at("ballast", measured(mass, 0, 2000, `"15 kg"`), func(d *draft) *float64 { return &d.rig.Base.BallastKg },
		"that lies on the base").or(`"0 kg"`, "none").only(ForWind),
	at("ballast_radius", measured(length, 0, 5, `"15 cm"`), func(d *draft) *float64 { return &d.rig.Base.BallastRadiusM },
		"how far from the axis it lies, spread evenly").or(`"0 cm"`, "round the axis").only(ForWind),
	at("wanted_wind", measured(speed, 1, 60, `"12 m/s"`), func(d *draft) *float64 { return &d.rig.WantedWindMS },
		"mean wind of a forecast in which it should still stand").or(`"12 m/s"`, "a strong breeze; nobody should leave a panel out in more without knowing it holds").only(ForWind),
	at("timber_width", measured(length, 0.01, 0.3, `"44 mm"`), func(d *draft) *float64 { return &d.rig.Timber.WidthM },
		"of the battens that rails and legs are cut from").or(`"44 mm"`, "a batten that is sold everywhere (common practice, no source)").only(ForWind),
	at("timber_height", measured(length, 0.01, 0.3, `"44 mm"`), func(d *draft) *float64 { return &d.rig.Timber.HeightM },
		"upright, when it lies as a rail").or(`"44 mm"`, "a batten that is sold everywhere (common practice, no source)").only(ForWind),
}

func mm(m float64) string { return fmt.Sprintf(`"%.0f mm"`, m*1000) }

// usualArea is the area of a panel of so many watts.
func usualArea(d *draft) float64 { return max(d.rig.Panel.PowerW, 1) / 180 }

func usualLength(d *draft) string {
	if w := d.rig.Base.PanelWidthM; w > 0 {
		return mm(usualArea(d) / w)
	}
	return mm(math.Sqrt(usualArea(d) * 1.5))
}

func usualWidth(d *draft) string { return mm(usualArea(d) / d.rig.Base.PanelLengthM) }

func share65(d *draft) string {
	if h := d.rig.Frame.HingeM; h > 0 { // a leg that is as long as the hinge is far
		return mm(h)
	}
	return mm(0.65 * d.rig.Base.PanelLengthM)
}

func railRule(d *draft) string { return mm(d.rig.Frame.HingeM + d.rig.Frame.LegM + 0.11) }
func footRule(d *draft) string { return mm(0.6 * d.rig.Base.PanelLengthM) }

// axisRule puts the axis under the panel's middle.
func axisRule(d *draft) string {
	front := 0.0
	if len(d.rig.Frame.FrontsM) > 0 {
		front = d.rig.Frame.FrontsM[0]
	}
	return mm(max(0, front+d.rig.Base.PanelLengthM/2*d.rig.Stand.Tilt.Cos()))
}

func footingNames() (names []string) {
	for _, f := range stand.Footings() {
		names = append(names, f.Name)
	}
	return names
}
