package stand

import (
	"cmp"
	"math"
	"math/bits"
	"slices"

	"turnsole/compass"
)

// group is tilts that share a notch, and the notches that could serve them.
type group struct {
	tilts []compass.Angle // in rising order
	seats []seat
}

// search chooses one seat for each group so that the notches leave each other
// enough wood.
type search struct {
	pitchM float64 // least distance from one mouth to the next
	steps  int     // seats that it may still try, set by choose
}

// mostSteps bounds one search to some milliseconds. Twelve tilts from eight
// front stops have more arrangements than can be tried; what is then found is
// good, if not always the best.
const mostSteps = 200_000

// choose returns the best seats, or nil where none fit: with the fewest front
// stops, and of those with the most distance between the nearest two notches.
func (s *search) choose(groups []group) []seat {
	s.steps = mostSteps
	for fronts := 1; fronts <= mostStops; fronts++ {
		var best []seat
		widest := 0.0
		for set := range uint(1) << (mostStops + 1) {
			if bits.OnesCount(set) != fronts {
				continue
			}
			if seats, apart := s.within(groups, set); seats != nil && apart > widest+railSlack {
				best, widest = seats, apart
			}
		}
		if best != nil {
			return best
		}
	}
	return nil
}

// within searches the seats from one set of front stops, one bit each.
func (s *search) within(groups []group, set uint) (best []seat, widest float64) {
	options := make([][]seat, len(groups))
	for i, g := range groups {
		for _, o := range g.seats {
			if set>>o.index&1 == 1 {
				options[i] = append(options[i], o)
			}
		}
		if len(options[i]) == 0 {
			return nil, 0
		}
	}
	taken := make([]seat, 0, len(groups))
	var place func(nearest float64)
	place = func(nearest float64) {
		if len(taken) == len(options) {
			best, widest = slices.Clone(taken), nearest
			return
		}
		for _, o := range options[len(taken)] {
			if s.steps--; s.steps < 0 {
				return
			}
			apart := math.Min(nearest, s.distance(o, taken))
			if apart > widest+railSlack { // of equals the first: the front stops nearest to the front end
				taken = append(taken, o)
				place(apart)
				taken = taken[:len(taken)-1]
			}
		}
	}
	place(math.Inf(1))
	return best, widest
}

// distance returns how far a seat is from the nearest one taken, 0 where that
// is too near. One notch may serve two tilts from two front stops.
func (s *search) distance(o seat, taken []seat) float64 {
	nearest := math.Inf(1)
	for _, t := range taken {
		d := math.Abs(o.notchM - t.notchM)
		switch {
		case d == 0 && o.index != t.index:
		case d < s.pitchM-railSlack || d == 0:
			return 0
		default:
			nearest = math.Min(nearest, d)
		}
	}
	return nearest
}

// merge joins two neighbouring groups: the nearest two whose joining makes
// everything fit, or else the nearest two of all.
func (f Frame) merge(s *search, groups []group) ([]group, []seat) {
	order := make([]int, len(groups)-1)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Compare(gap(groups, a), gap(groups, b))
	})
	var nearest []group
	for _, i := range order {
		joined := f.joined(groups, i)
		if len(joined[i].seats) == 0 {
			continue
		}
		if chosen := s.choose(joined); chosen != nil {
			return joined, chosen
		}
		if nearest == nil {
			nearest = joined
		}
	}
	return nearest, nil
}

// gap is how far group i's mean tilt is from the next one's.
func gap(groups []group, i int) compass.Angle { return mean(groups[i+1].tilts) - mean(groups[i].tilts) }

// joined returns the groups with i and the next in one, at their mean tilt.
func (f Frame) joined(groups []group, i int) []group {
	tilts := slices.Concat(groups[i].tilts, groups[i+1].tilts)
	both := group{tilts, f.seats(mean(tilts))}
	return slices.Concat(groups[:i], []group{both}, groups[i+2:])
}

func mean(tilts []compass.Angle) compass.Angle {
	sum := compass.Angle(0)
	for _, t := range tilts {
		sum += t
	}
	return sum / compass.Angle(len(tilts))
}
