package hindsight

// Shares is the light that enters a face for each W/m2 of the two parts of any
// sky: what comes from the sun's place, beam and the brightness around it, and
// what comes evenly. Light on a face is straight in both, so that two faces
// looked at together tell the parts, and the parts the light on a third.
func (s *Scene) Shares(at *Instant, f Face) (fromSun, even float64) {
	r := s.response(at, f)
	return r.fromSun, r.even
}
