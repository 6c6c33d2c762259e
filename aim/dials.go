package aim

// Dial is one setting that is a number, with the range that it may have.
type Dial struct {
	Knob
	Least, Most float64 // Most is infinite where the panel's current is the limit
}

// Dials returns every setting that is a number but the seed, in the order of
// Settings.
func Dials() []Dial {
	all := make([]Dial, len(dials))
	for i, d := range dials {
		all[i] = Dial{d.Knob, d.least, d.most}
	}
	return all
}
