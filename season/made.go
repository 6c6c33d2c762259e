package season

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"turnsole/plane"
	"turnsole/sky"
	"turnsole/weather"
)

// searchedYears is how many made years the best tilts, headings and days are
// searched on: enough that none of them fits one year's luck.
const searchedYears = 20

// madeStepS is how finely a made hour is cut. Twenty minutes move a year's
// energy by less than 0.1 % against ten, and chance moves it by some per cent.
const madeStepS = 1200

// workshop is where made years are made and run, on one grid for all.
type workshop struct {
	in    *Input
	grid  *weather.Grid
	clock []float32
}

// bench is one worker's memory, filled again with every year.
type bench struct {
	year    weather.Year
	series  sky.Series
	laid    laidYear
	gen     *generator
	scratch scratch
	harvest *harvest
}

// made runs years of chance, each whole.
func made(ctx context.Context, in *Input) (*Outcome, error) {
	c := in.Maker.Calendar()
	days := in.Window.Days(c)
	hh, err := newHousehold(&in.Rig, days, c)
	if err != nil {
		return nil, err
	}
	grid, err := weather.NewGrid(ctx, in.Rig.Spot, c, in.Rig.Turbidity, min(c.StepS, madeStepS))
	if err != nil {
		return nil, err
	}
	w := &workshop{in: in, grid: grid, clock: grid.ClockHours(in.Rig.Spot.Clock())}
	found, err := w.search(ctx, days, needsOf(in.Ways))
	if err != nil {
		return nil, err
	}
	plans := drawAll(in, days, c, found)
	runs, err := w.run(ctx, plans, hh)
	if err != nil {
		return nil, err
	}
	out := &Outcome{Days: len(days)}
	for p := range plans {
		out.Rows = append(out.Rows, plans[p].row())
		var mean tally
		for i := range runs {
			mean.add(&runs[i][p])
			out.Rows[p].Runs = append(out.Rows[p].Runs, runs[i][p].months)
		}
		mean.close(&out.Rows[p])
	}
	return out, nil
}

func (w *workshop) search(ctx context.Context, days []int, n needs) (*search, error) {
	found := newSearch(days, w.grid.Calendar, n)
	if n == (needs{}) {
		return found, nil
	}
	parts := make([]*search, min(searchedYears, w.in.Runs))
	err := w.each(ctx, "searching tilts and headings", len(parts), func(b *bench, i int) error {
		parts[i] = newSearch(days, w.grid.Calendar, n)
		parts[i].run(b.laid.light, b.gen, &w.in.Rig, w.clock, 0, b.laid.light.Len())
		return nil
	})
	if err != nil {
		return nil, err
	}
	for _, part := range parts { // always in this order: sums must come out the same
		found.merge(part)
	}
	return found, nil
}

// run returns what each plan came to in each year.
func (w *workshop) run(ctx context.Context, plans []plan, hh *household) ([][]lived, error) {
	runs := make([][]lived, w.in.Runs)
	asIs := make([]int32, len(hh.days))
	for i, d := range hh.days {
		asIs[i] = int32(d)
	}
	err := w.each(ctx, "running the years", len(runs), func(b *bench, i int) (err error) {
		if b.laid.aimed, err = w.in.aim(ctx, &b.year, w.grid, b.laid.light); err != nil {
			return err
		}
		runs[i] = make([]lived, len(plans))
		for p := range plans {
			b.gen.reap(&plans[p], b.laid.light, &w.in.Rig, w.clock, &b.laid.aimed, &b.scratch, b.harvest)
			hh.live(b.harvest, b.laid.cells, asIs, &runs[i][p])
		}
		return nil
	})
	return runs, err
}

// each makes count years, the same ones every time, and does something with
// each on some bench.
func (w *workshop) each(ctx context.Context, stage string, count int, do func(b *bench, i int) error) error {
	var next, done atomic.Int32
	group, ctx := errgroup.WithContext(ctx)
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() error {
			var b bench
			for {
				i := int(next.Add(1)) - 1
				if i >= count {
					return nil
				}
				if err := ctx.Err(); err != nil {
					return err
				}
				if err := w.make(&b, i); err != nil {
					return err
				}
				if err := do(&b, i); err != nil {
					return err
				}
				w.in.Progress(stage, int(done.Add(1)), count)
			}
		})
	}
	return group.Wait()
}

// make puts made year number i on the bench.
func (w *workshop) make(b *bench, i int) error {
	w.in.Maker.Make(rand.New(rand.NewPCG(w.in.Seed, uint64(i))), &b.year)
	if err := w.grid.Lay(&b.year, &b.series); err != nil {
		return err
	}
	if b.laid.light == nil {
		rig := &w.in.Rig
		days := len(w.grid.Midnight)
		b.gen = newGenerator(rig, b.series.StepS)
		b.laid = laidYear{light: plane.Prepare(&b.series, rig.Spot.Skyline, rig.Sky, rig.Glass), clock: w.clock, cells: make([]float32, 24*days)}
		b.harvest = newHarvest(days, b.gen.pinned)
	} else if !b.laid.light.Relight(&b.series) {
		return fmt.Errorf("made year %d does not lie on the steps of the one before", i)
	}
	cellsOf(&b.year, &w.in.Rig.Battery.Battery, b.laid.cells)
	return nil
}
