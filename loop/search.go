package loop

import (
	"context"
	"math"

	"turnsole/aim"
)

// search tries settings: a half of them spread over all that the knobs allow,
// the rest closer and closer around the best so far. The present settings come
// first.
func (t *tuner) search(ctx context.Context, days []int) ([]Point, error) {
	const rounds = 4
	points := []Point{{Settings: t.in.Settings}}
	for k := range t.in.Trials/2 - 1 {
		points = append(points, Point{Settings: t.anywhere(k)})
	}
	points, err := t.tryOn(ctx, points, nil, days)
	if err != nil {
		return nil, err
	}
	for round := range rounds {
		best := top(points, 8)
		if len(best) == 0 {
			best = points[:1]
		}
		left := (t.in.Trials - len(points)) / (rounds - round)
		var near []Point
		for k := range left {
			near = append(near, Point{Settings: t.near(best[k%len(best)].Settings, 0.25*math.Pow(0.6, float64(round)))})
		}
		if points, err = t.tryOn(ctx, near, points, days); err != nil {
			return nil, err
		}
	}
	return points, nil
}

// tryOn tries points and adds them to those that were tried before.
func (t *tuner) tryOn(ctx context.Context, points, before []Point, days []int) ([]Point, error) {
	tried, err := t.try(ctx, stage{"trying settings", len(before), t.in.Trials, 0}, points, days)
	return append(before, tried...), err
}

// anywhere is point k of a sequence that fills the knobs' ranges evenly: each
// knob goes on by a root of the plastic number's kin (M. Roberts 2018, The
// unreasonable effectiveness of quasirandom sequences). Settings that clash are
// passed over.
func (t *tuner) anywhere(k int) aim.Settings {
	n := float64(len(t.knobs))
	root := 2.0
	for range 30 { // the root of x^(n+1) = x + 1, by its own iteration
		root = math.Pow(1+root, 1/(n+1))
	}
	return t.possible(func(attempt int) aim.Settings {
		s := t.in.Settings
		for j, knob := range t.knobs {
			_, x := math.Modf(0.5 + float64(k+1)*math.Pow(root, -float64(j+1)))
			if attempt > 0 {
				x = t.chance.Float64()
			}
			knob.Set(&s, at01(&knob, x))
		}
		return s
	})
}

// near moves some knobs of a setting by a share of their ranges.
func (t *tuner) near(s aim.Settings, spread float64) aim.Settings {
	return t.possible(func(int) aim.Settings {
		moved := s
		for _, knob := range t.knobs {
			if t.chance.Float64() < 0.5 {
				x := share01(&knob, knob.Get(&s)) + spread*t.chance.NormFloat64()
				knob.Set(&moved, at01(&knob, min(max(x, 0), 1)))
			}
		}
		return moved
	})
}

// possible draws until the policy accepts; the present settings where it never
// does.
func (t *tuner) possible(draw func(attempt int) aim.Settings) aim.Settings {
	for attempt := range 100 {
		s := draw(attempt)
		if _, err := aim.New(t.in.Policy, s, t.site); err == nil {
			return s
		}
	}
	return t.in.Settings
}

// at01 is the value of a knob at a share of its range, and share01 the share of
// a value.
func at01(k *aim.Knob, x float64) float64 {
	if k.Log && k.Low > 0 {
		return k.Low * math.Pow(k.High/k.Low, x)
	}
	return k.Low + x*(k.High-k.Low)
}

func share01(k *aim.Knob, value float64) float64 {
	x := 0.0
	switch {
	case !(k.High > k.Low):
	case k.Log && k.Low > 0:
		x = math.Log(max(value, k.Low)/k.Low) / math.Log(k.High/k.Low)
	default:
		x = (value - k.Low) / (k.High - k.Low)
	}
	return min(max(x, 0), 1)
}

// sweep turns each knob by itself through its range, with the chosen value
// among the steps.
func (t *tuner) sweep(ctx context.Context, chosen Point, days []int) ([]Sweep, error) {
	var sweeps []Sweep
	points := []Point{chosen}
	var of []int // sweep of each point but the first
	for i := range t.knobs {
		knob := &t.knobs[i]
		sweeps = append(sweeps, Sweep{Knob: *knob})
		for _, x := range stepsAround(share01(knob, knob.Get(&chosen.Settings))) {
			s := chosen.Settings
			knob.Set(&s, at01(knob, x))
			if _, err := aim.New(t.in.Policy, s, t.site); err == nil {
				points, of = append(points, Point{Settings: s}), append(of, i)
			}
		}
	}
	tried, err := t.try(ctx, stage{"turning each knob", 0, len(points), 0}, points, days)
	if err != nil {
		return nil, err
	}
	for k, i := range of {
		sweeps[i].add(&tried[k+1])
	}
	for i := range sweeps {
		sweeps[i].flatten(&tried[0])
	}
	return sweeps, nil
}

// stepsAround are even steps over 0..1 with x in place of the nearest.
func stepsAround(x float64) []float64 {
	steps := make([]float64, sweepSteps)
	for k := range steps {
		steps[k] = float64(k) / (sweepSteps - 1)
	}
	steps[int(math.Round(x*(sweepSteps-1)))] = x
	return steps
}

func (s *Sweep) add(p *Point) {
	s.Values = append(s.Values, s.Knob.Get(&p.Settings))
	s.NetWh = append(s.NetWh, p.NetWh)
	s.Degrees = append(s.Degrees, p.DegreesTurned)
}

// flatten finds the region around the chosen value where it does not matter.
func (s *Sweep) flatten(chosen *Point) {
	value := s.Knob.Get(&chosen.Settings)
	s.Low, s.High = value, value
	least := chosen.NetWh - flatShare*math.Abs(chosen.NetWh)
	at := 0
	for k, v := range s.Values {
		if math.Abs(v-value) < math.Abs(s.Values[at]-value) {
			at = k
		}
	}
	for k := at; k >= 0 && k < len(s.Values) && s.NetWh[k] >= least; k-- {
		s.Low = min(s.Low, s.Values[k])
	}
	for k := at; k < len(s.Values) && s.NetWh[k] >= least; k++ {
		s.High = max(s.High, s.Values[k])
	}
}
