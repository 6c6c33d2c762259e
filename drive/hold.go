package drive

import (
	"fmt"
	"math"
)

// Hold is what keeps the panel where it is between moves. Torques may be
// infinite: a worm that locks is not turned by wind.
type Hold struct {
	Kind  string  // what holds most with the motor off: "worm", "brake", "detent" or "bearing"
	OffNm float64 // that turns the panel with the motor off
	OnNm  float64 // that turns it with the coils left on
	NowNm float64 // whichever of the two this train does

	CoilsW        float64 // what coils left on burn
	CoilsWhPerDay float64 // in 24 hours
}

// BackDriveNm returns the torque at the panel that turns it with the motor off,
// beside a bearing's friction: the motor's detent through the gears, brake and
// bearing. Infinite where a worm locks.
func (t Train) BackDriveNm(bearingNm float64) float64 {
	return t.backwardNm(t.Stepper.DetentNm) + t.BrakeNm + bearingNm
}

// Hold returns what holds the panel. An off-centre panel on an axle out of
// plumb pulls on it all the time, and that much less is left against wind.
func (t Train) Hold(a Axle) Hold {
	detentNm := t.backwardNm(t.Stepper.DetentNm)
	onNm := t.backwardNm(t.Stepper.PullOutNm(0)) + t.BrakeNm + a.BearingNm
	h := Hold{
		Kind:   strongest(detentNm, t.BrakeNm, a.BearingNm),
		OffNm:  max(0, t.BackDriveNm(a.BearingNm)-a.PlumbNm()),
		OnNm:   max(0, onNm-a.PlumbNm()),
		CoilsW: t.Stepper.CoilsW(),
	}
	h.CoilsWhPerDay = 24 * h.CoilsW
	h.NowNm = h.OffNm
	if t.Stepper.CoilsOn {
		h.NowNm = h.OnNm
	}
	return h
}

// nm writes a torque with two digits that count, or all before its point.
func nm(x float64) string {
	if x >= 10 {
		return fmt.Sprintf("%.0f Nm", x)
	}
	return fmt.Sprintf("%.2g Nm", x)
}

func strongest(detentNm, brakeNm, bearingNm float64) string {
	switch {
	case math.IsInf(detentNm, 1):
		return "worm"
	case brakeNm >= detentNm && brakeNm >= bearingNm:
		return "brake"
	case detentNm >= bearingNm:
		return "detent"
	}
	return "bearing"
}

// Remedy is one way to hold a panel that the wind would turn.
type Remedy struct {
	What     string
	HoldsNm  float64 // infinite for a worm
	WhPerDay float64 // that it burns at standstill
	BrakeNm  float64 // of the brake to fit, where it is one; every move must overcome it too
}

// Remedies returns what would hold the panel against a torque, where the motor
// switched off does not; none where it does.
func (t Train) Remedies(a Axle, neededNm float64) []Remedy {
	h := t.Hold(a)
	if h.OffNm >= neededNm {
		return nil
	}
	brakeNm := neededNm - (t.BackDriveNm(a.BearingNm) - a.PlumbNm())
	all := []Remedy{
		{What: "a worm with a lead angle under about 5 degrees", HoldsNm: math.Inf(1)},
		{What: "a friction brake of " + nm(brakeNm) + " more on the axle", HoldsNm: neededNm, BrakeNm: brakeNm},
	}
	if h.OnNm >= neededNm {
		all = append(all, Remedy{What: fmt.Sprintf("coils left on, %.3g W", h.CoilsW), HoldsNm: h.OnNm, WhPerDay: h.CoilsWhPerDay})
	}
	return all
}
