package drawing_test

import (
	"turnsole/compass"
	"turnsole/rigfile"
	"turnsole/stand"
)

// legs is a stand on legs of plain measures.
func legs() stand.Frame {
	return stand.Frame{Kind: stand.Legs, PanelM: 0.78, HingeM: 0.51, HingeOffsetM: 0.02, RailM: 1.05,
		FrontsM: []float64{0.03}, NotchesM: []float64{0.35, 0.64, 0.97}, ContactBackM: 0.015, ContactDownM: 0.01,
		NotchWidthM: 0.02, LeastWoodM: 0.015, LegM: 0.51, Friction: 0.2}
}

// others are stands of every shape that the examples have not, made from the
// hut's.
var others = map[string]func(r *rigfile.Rig){
	"legs on three feet": func(r *rigfile.Rig) {
		r.Frame, r.Base.Feet = legs(), 3
	},
	"many stops and notches": func(r *rigfile.Rig) {
		r.Frame = legs()
		r.Frame.FrontsM = []float64{0.02, 0.09, 0.16}
		r.Frame.NotchesM = []float64{0.2, 0.35, 0.38, 0.44, 0.64, 0.71, 0.9, 0.97, 1.02}
	},
	"folding": func(r *rigfile.Rig) {
		r.Frame = legs()
		r.Frame.FoldM, r.Frame.Fold = 0.39, 6
	},
	"folding inwards": func(r *rigfile.Rig) {
		r.Frame = legs()
		r.Frame.FoldM, r.Frame.Fold = 0.2, -20
	},
	"short legs": func(r *rigfile.Rig) {
		r.Frame = legs()
		r.Frame.LegM = 0.2
	},
	"long legs": func(r *rigfile.Rig) {
		r.Frame = legs()
		r.Frame.LegM, r.Frame.RailM = 1.2, 0
	},
	"prop": func(r *rigfile.Rig) {
		r.Frame = stand.Frame{Kind: stand.Prop, PanelM: 0.78, HingeM: 0.5, HingeOffsetM: 0.02, PropFootM: 0.6, PropFootUpM: -0.05,
			PropsM: []float64{0.05, 0.25, 0.42, 0.55, 0.7, 1.3}, RailM: 0.8, FrontsM: []float64{0.05}, FrontUpM: 0.06, Friction: 0.2}
		r.Base.Feet, r.Base.BallastKg, r.Base.BallastRadiusM = 3, 15, 0.15
	},
	"listed": func(r *rigfile.Rig) {
		r.Frame = stand.Frame{Kind: stand.Listed, PanelM: 0.78, Tilts: []compass.Angle{0, 22, 38, 61, 90}}
		r.Base.BallastKg = 20
	},
	"plain": func(r *rigfile.Rig) {
		r.Frame = stand.Frame{Kind: stand.Plain, PanelM: 1.6}
	},
	"tall and narrow": func(r *rigfile.Rig) {
		r.Frame = legs()
		r.Base.RailTopM, r.Base.FootRadiusM, r.Base.PanelWidthM = 1.6, 0.2, 0.3
	},
	"low and wide": func(r *rigfile.Rig) {
		r.Frame = legs()
		r.Base.RailTopM, r.Base.FootRadiusM, r.Base.PanelWidthM, r.Base.Feet = 0.02, 1.5, 2.4, 5
	},
	"nonsense": func(r *rigfile.Rig) {
		r.Frame = legs()
		r.Frame.LegM = -3
	},
}
