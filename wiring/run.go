package wiring

import (
	"fmt"
	"math"
)

// Run is one length of cable from something that gives current to something
// that takes it.
//
// The run from a driver to its motor carries chopped current, and more of it
// than the driver draws: its cable goes by the current of a phase, and it has
// no fuse, which belongs into the driver's supply.
type Run struct {
	Name     string
	LengthM  float64 // one way, > 0
	CurrentA float64 // the largest that lasts, > 0; for a panel its short-circuit current, for a motor the current of one phase
	SourceV  float64 // at the giving end, > 0
	AmbientC float64 // of the air round the cable, -60..60
	MaxDrop  float64 // share of SourceV that may be lost, 0..1 without its ends

	Cable *Cable   // as the builder has it; nil to have it chosen
	FuseA *float64 // as the builder has it, > 0; nil to have it chosen

	// NeedsFuse is false where the source cannot give much more than CurrentA:
	// a single panel, a driver that limits its motor's current. Every run that
	// leaves a battery needs one.
	NeedsFuse bool
	Where     string // a sentence on where its fuse sits, or why it has none

	// ContinuousFactor is what the fuse and the cable must carry, as a multiple
	// of CurrentA: BatteryFactor or PanelFactor, 1 or more; 0 for BatteryFactor.
	ContinuousFactor float64
}

// Sized is a run with its cable and its fuse.
type Sized struct {
	Run
	Cable Cable // chosen, or as the builder has it

	// At the run's current, with the conductor as warm as it then is.
	DropV, DropFraction, LossW float64
	RiseC                      float64 // of the conductor above the air, kelvin: see Cable.RiseK

	FuseA    float64 // 0 for none
	FuseWhy  string
	Why      string // why this cable
	Problems []Problem
}

// Problem is something that must not be built so.
type Problem struct {
	Key  string // of the rig file: "cable", "fuse" or "cable_length"
	Text string // what is wrong and what would work
}

// Size chooses cable and fuse: the smallest standard fuse that carries the
// run's current for good, and the thinnest metric cable that loses no more
// than MaxDrop, stays within its insulation's limit, and carries more than its
// fuse. What the builder has is kept, and Problems say where it does not do.
// An error is a figure out of its range, or a current for which there is no
// fuse.
func Size(r Run) (Sized, error) {
	if err := r.validate(); err != nil {
		return Sized{}, err
	}
	if r.ContinuousFactor == 0 {
		r.ContinuousFactor = BatteryFactor
	}
	s := Sized{Run: r}
	if err := s.fuse(); err != nil {
		return Sized{}, fmt.Errorf("%s: %w", r.Name, err)
	}
	if r.Cable == nil {
		s.choose()
	} else {
		s.keep()
	}
	s.measure()
	s.explainFuse()
	return s, nil
}

func (r Run) validate() error {
	bad := func(what string, v float64, right string) error {
		return fmt.Errorf("%s: %s %v, must be %s", r.Name, what, v, right)
	}
	positive := func(v float64) bool { return v > 0 && !math.IsInf(v, 1) }
	switch {
	case !positive(r.LengthM):
		return bad("length", r.LengthM, "more than 0 m")
	case !positive(r.CurrentA):
		return bad("current", r.CurrentA, "more than 0 A")
	case !positive(r.SourceV):
		return bad("voltage", r.SourceV, "more than 0 V")
	case !(r.AmbientC >= -60 && r.AmbientC <= 60):
		return bad("air temperature", r.AmbientC, "-60 to 60 C")
	case !(r.MaxDrop > 0 && r.MaxDrop < 1):
		return bad("allowed drop", r.MaxDrop, "more than 0 and less than 1, such as 0.03")
	case r.ContinuousFactor != 0 && !(r.ContinuousFactor >= 1 && r.ContinuousFactor <= 10):
		return bad("continuous factor", r.ContinuousFactor, "1 to 10, such as 1.25")
	case r.FuseA != nil && !positive(*r.FuseA):
		return bad("fuse", *r.FuseA, "more than 0 A")
	case r.Cable != nil && !(positive(r.Cable.AreaMM2) && positive(r.Cable.OhmPerKm20) && positive(r.Cable.MaxA)):
		return fmt.Errorf("%s: cable %q has no area, resistance or current; take one of Sizes, AWGSizes or Named", r.Name, r.Cable.Name)
	}
	return nil
}

// lasting is the current that cable and fuse must carry for good.
func (r Run) lasting() float64 { return r.CurrentA * r.ContinuousFactor }

// conductorC is how warm the conductor is. Above the insulation's limit, where
// Problems speak, it is taken at the limit.
func (r Run) conductorC(c Cable) float64 {
	return math.Min(insulationC, r.AmbientC+c.RiseK(r.CurrentA))
}

func (r Run) dropV(c Cable) float64 { return c.DropV(r.LengthM, r.CurrentA, r.conductorC(c)) }

func (s *Sized) problem(key, format string, a ...any) {
	s.Problems = append(s.Problems, Problem{key, fmt.Sprintf(format, a...)})
}

// fuse takes the builder's fuse, or the smallest that carries the current.
func (s *Sized) fuse() error {
	switch {
	case s.Run.FuseA != nil:
		s.FuseA = *s.Run.FuseA
		if !atLeast(s.FuseA, s.lasting()) {
			s.fuseTooSmall()
		}
	case s.NeedsFuse:
		var err error
		s.FuseA, err = FuseFor(s.lasting())
		return err
	}
	return nil
}

func (s *Sized) fuseTooSmall() {
	cure := "split the run, or go to a higher voltage"
	if fit, err := FuseFor(s.lasting()); err == nil {
		cure = fmt.Sprintf("%g A would hold", fit)
	}
	s.problem("fuse", "a fuse of %g A may blow at %.4g A that last (%.4g times that is %.4g A); %s", s.FuseA, s.CurrentA, s.ContinuousFactor, s.lasting(), cure)
}

// A demand is one thing that a cable must meet.
type demand struct {
	met func(Cable) bool
	why string // of a cable that is as thick as this demand wants it
}

func (s *Sized) demands(fuseA float64) []demand {
	all := []demand{
		{func(c Cable) bool { return atLeast(s.MaxDrop*s.SourceV, s.dropV(c)) },
			fmt.Sprintf("a thinner one would lose more than %.3g %% on the way", 100*s.MaxDrop)},
		{func(c Cable) bool { return atLeast(c.MaxAAt(s.AmbientC), s.lasting()) },
			fmt.Sprintf("a thinner one would grow too hot at %.3g A in air of %.3g C", s.lasting(), math.Max(tableAirC, s.AmbientC))},
	}
	if fuseA > 0 {
		all = append(all, demand{func(c Cable) bool { return atLeast(c.MaxAAt(s.AmbientC), fuseA) },
			fmt.Sprintf("a thinner one would burn before a fuse of %g A blows", fuseA)})
	}
	return all
}

// thinnest returns the thinnest metric cable that meets every demand with a
// fuse, 0 for none, and why it is not thinner.
func (s *Sized) thinnest(fuseA float64) (c Cable, why string, ok bool) {
	why = "the thinnest size is enough"
	for _, c := range Sizes() {
		unmet := ""
		for _, d := range s.demands(fuseA) {
			if !d.met(c) {
				unmet = d.why
				break
			}
		}
		if unmet == "" {
			return c, why, true
		}
		why = unmet
	}
	return Cable{}, why, false
}

// choose takes the thinnest cable that does, or the thickest there is.
func (s *Sized) choose() {
	var ok bool
	if s.Cable, s.Why, ok = s.thinnest(s.FuseA); ok {
		return
	}
	all := Sizes()
	s.Cable = all[len(all)-1]
	s.Why = "it is the thickest size here, and not enough"
	s.tooThin("cable_length")
}

// keep holds the builder's own cable to every demand.
func (s *Sized) keep() {
	s.Cable = *s.Run.Cable
	s.Why = "it is the one you have"
	s.tooThin("cable")
}

// tooThin says which demands the cable does not meet; too much drop is told
// under dropKey.
func (s *Sized) tooThin(dropKey string) {
	cure := ""
	if fit, _, ok := s.thinnest(s.FuseA); ok {
		cure = fit.Name + " would do"
	}
	c, limit := s.Cable, s.Cable.MaxAAt(s.AmbientC)
	if drop := s.dropV(c) / s.SourceV; !atLeast(s.MaxDrop, drop) {
		s.problem(dropKey, "%s loses %.3g %% of %.3g V over %.3g m at %.3g A, more than %.3g %%; %s", c.Name, 100*drop, s.SourceV, s.LengthM, s.CurrentA, 100*s.MaxDrop,
			either(cure, fmt.Sprintf("%s m of %s would do", shortM(s.LengthM*s.MaxDrop/drop), c.Name)))
	}
	if !atLeast(limit, s.lasting()) {
		s.problem("cable", "%s may carry %.3g A in air of %.3g C, and needs %.3g A; %s", c.Name, limit, s.AmbientC, s.lasting(), either(cure, "split the run, or go to a higher voltage"))
		return
	}
	if s.FuseA > 0 && !atLeast(limit, s.FuseA) {
		s.fuseTooLarge(limit, cure)
	}
}

// fuseTooLarge tells what to do where the cable carries its current but would
// burn before its fuse blows: a smaller fuse, with more copper where the cable
// does not carry even that, or as much copper as this fuse wants.
func (s *Sized) fuseTooLarge(limit float64, cure string) {
	key, smaller := "cable", ""
	if s.Run.FuseA != nil {
		key = "fuse"
	}
	if fit, err := FuseFor(s.lasting()); err == nil && fit < s.FuseA {
		smaller = fmt.Sprintf("a fuse of %g A would do", fit)
		if c, _, ok := s.thinnest(fit); ok && !atLeast(limit, fit) {
			smaller = fmt.Sprintf("a fuse of %g A with %s would do", fit, c.Name)
		}
	}
	s.problem(key, "a fuse of %g A lets %s burn, which may carry %.3g A in air of %.3g C; %s", s.FuseA, s.Cable.Name, limit, s.AmbientC, either(smaller, cure))
}

// either joins the ways out that there are.
func either(a, b string) string {
	switch {
	case a == "":
		return b
	case b == "":
		return a
	}
	return a + ", or " + b
}

// shortM cuts a length to what can be measured out: centimetres.
func shortM(m float64) string { return fmt.Sprintf("%.2f", math.Floor(m*100)/100) }

func (s *Sized) measure() {
	s.DropV = s.dropV(s.Cable)
	s.DropFraction = s.DropV / s.SourceV
	s.LossW = s.DropV * s.CurrentA
	s.RiseC = s.Cable.RiseK(s.CurrentA)
}

func (s *Sized) explainFuse() {
	switch {
	case s.FuseA == 0:
		s.FuseWhy = "no fuse of its own"
	case s.Run.FuseA != nil:
		s.FuseWhy = "the one you have"
	default:
		s.FuseWhy = fmt.Sprintf("%.4g times %.3g A is %.3g A, and %s carries %.3g A", s.ContinuousFactor, s.CurrentA, s.lasting(), s.Cable.Name, s.Cable.MaxAAt(s.AmbientC))
	}
	if s.Where != "" {
		s.FuseWhy += "; " + s.Where
	}
}
