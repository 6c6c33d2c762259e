package trial

import (
	"context"
	"math"
	"slices"

	"turnsole/compass"
	"turnsole/reading"
)

// atStill reports whether an entry of the record was taken by a panel that stays
// at the still heading: it looks there, and the sun is farther away than a panel
// that follows it ever is. About noon nothing tells a panel that stays from one
// that follows, and both get the same.
func (x *matter) atStill(i int) bool {
	k := &x.setup.minutes[i]
	sunAway := math.Abs(float64(compass.Turn(compass.Angle(x.stillDeg), x.at[i].Sun.Azimuth())))
	return x.offStill(k) < joinDeg && sunAway > quickestSun*x.rig.SleepS/3600+3*joinDeg
}

// quickestSun is how fast the sun's azimuth changes at most outside the tropics
// when it passes the still heading, degrees an hour.
const quickestSun = 40

// offStill is how far from the still heading an entry was taken, degrees.
func (x *matter) offStill(k *kept) float64 {
	return math.Abs(float64(compass.Turn(compass.Angle(x.stillDeg), compass.Angle(k.headingDeg))))
}

// turns are the looks that a log in blocks has without meaning to: where the
// panel turns from still to the aim or back, the last minute before and the
// first after.
func (x *matter) turns() []look {
	var looks []look
	m := x.setup.minutes
	pair := 0
	for i := 1; i < len(m); i++ {
		a, b := &m[i-1], &m[i]
		jump := math.Abs(float64(compass.Turn(compass.Angle(a.headingDeg), compass.Angle(b.headingDeg))))
		if !(x.at[i].Sun.Up > 0) || x.atStill(i-1) == x.atStill(i) || b.unixS-a.unixS > mostBracketS || !(jump > 3*joinDeg) {
			continue
		}
		pair++
		for _, at := range [2]int{i - 1, i} {
			k, kind := &m[at], reading.AimedLook
			if x.atStill(at) {
				kind = reading.StillLook
			}
			looks = append(looks, look{k.unixS, kind, pair, x.value(&k.figures, k.unixS), k.headingDeg, x.limited(&k.figures), 0})
		}
	}
	if x.inBlocks = pair >= leastPairs; !x.inBlocks {
		return nil
	}
	return looks
}

// unlabelled returns the set-up with its labels taken off where they last too long
// for looks: then they name the blocks of a log, row for row.
func (s *Setup) unlabelled() *Setup {
	long := 0
	for from := 0; from < len(s.looks); {
		to := from + 1
		for to < len(s.looks) && s.looks[to].kind == s.looks[from].kind && s.looks[to].unixS-s.looks[to-1].unixS < mostBracketS {
			to++
		}
		if s.looks[to-1].unixS-s.looks[from].unixS > mostBracketS {
			long += to - from
		}
		from = to
	}
	if 2*long <= len(s.looks) {
		return s
	}
	bare := *s
	bare.looks, bare.minutes, bare.open = nil, slices.Clone(s.minutes), kept{}
	for i := range s.looks {
		l := &s.looks[i]
		bare.record(l.unixS, l.headingDeg, &l.figures)
	}
	bare.shut()
	slices.SortStableFunc(bare.minutes, func(a, b kept) int { return sign(a.unixS - b.unixS) })
	return &bare
}

// turnsBack is how many times a log without looks shows both headings.
func (x *matter) turnsBack() int {
	if !x.inBlocks {
		return 0
	}
	return x.inPairs()
}

// blocks answers from aimed and still by turns: at each turn the two are minutes
// apart, and in between the record of the aimed blocks is carried on as with
// looks; where blocks last whole days, days are set against each other by how
// clear they were.
func (r *Result) blocks(ctx context.Context, x *matter, q *Question) error {
	r.Method = Blocks
	if x.turnsBack() < leastPairs {
		return r.wholeDays(x, q)
	}
	e := x.assist(q.Confidence)
	r.take(e, q)
	r.Modelled, r.ModelledWithin = x.modelled()
	x.warm(r, e)
	r.warnOfTrial(x, e)
	return r.season(ctx, q)
}

// wholeDays sets aimed days against still ones.
func (r *Result) wholeDays(x *matter, q *Question) error {
	var clear [2]float64 // of all days, as if aimed and as if still
	var aimed, still []float64
	mixed := 0
	for _, sp := range x.record() {
		var light, own float64
		atStill := 0
		for i := range sp.minutes {
			m := &sp.minutes[i]
			at := x.scene.At(m.unixS)
			_, a := x.scene.Light(&at, x.still.Turned(at.Sun.Azimuth()), at.Clear.DNI, at.Clear.DHI)
			_, s := x.scene.Light(&at, x.still, at.Clear.DNI, at.Clear.DHI)
			_, mine := x.scene.Light(&at, x.aimedFace(&at, m.headingDeg), at.Clear.DNI, at.Clear.DHI)
			clear[0], clear[1] = clear[0]+a*m.seconds, clear[1]+s*m.seconds
			r.Hours += m.seconds / 3600
			light, own = light+m.aimed*m.seconds, own+mine*m.seconds
			if m.still {
				atStill++
			}
		}
		switch {
		case own == 0:
		case atStill > len(sp.minutes)/2: // noon cannot tell
			still = append(still, light/own)
		case atStill < len(sp.minutes)/10:
			aimed = append(aimed, light/own)
		default:
			mixed++
		}
	}
	if len(aimed) < 3 || len(still) < 3 {
		r.Why = "the log has neither looks nor blocks in which the panel stands still, of three days at least: nothing to compare with (turnsole trial plan tells how to look)"
		return nil
	}
	a, s := average(aimed), average(still)
	na, ns := float64(len(aimed)), float64(len(still))
	va, vs := autocovariance(aimed, a, 0)/(na-1)/sq(a), autocovariance(still, s, 0)/(ns-1)/sq(s)
	gain := a / s * clear[0] / clear[1]
	freedom := sq(va+vs) / (sq(va)/(na-1) + sq(vs)/(ns-1)) // Welch 1947
	r.TheseDays = spread(gain-1, sq(gain)*(va+vs), freedom, q.Confidence)
	r.Light, r.Days = r.TheseDays, len(aimed)+len(still)
	r.SE, r.Freedom, r.Parts.Sampling = gain*math.Sqrt(va+vs), freedom, 1
	if mixed > 0 {
		r.Left = append(r.Left, Left{"days neither aimed nor still for most of their light", mixed})
	}
	r.warn("Whole days are set against whole days: the weather's luck is all in the interval, and it is wide.")
	return nil
}

// record are the spells' minutes whatever the panel did.
func (x *matter) record() []*spell {
	y := *x
	y.inBlocks, y.spells = false, nil
	setup := *x.setup
	setup.looks = nil
	y.setup = &setup
	y.addRecord()
	return y.spells
}
