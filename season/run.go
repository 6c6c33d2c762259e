package season

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"turnsole/plane"
	"turnsole/sky"
	"turnsole/weather"
)

// Run lays the light out, searches what is to be searched, and runs every way
// through the window, once as recorded and then through as many years as the
// spread asks for. Ctrl-C (ctx) stops it between two years.
func Run(ctx context.Context, in Input) (*Outcome, error) {
	if err := in.validate(); err != nil {
		return nil, err
	}
	in.Ways = inOrder(in.Ways)
	in.Progress = oneAtATime(in.Progress)
	if len(in.Years) > 0 {
		return recorded(ctx, &in)
	}
	return made(ctx, &in)
}

// oneAtATime lets goroutines report one after another and leaves out a report
// that a later one has overtaken.
func oneAtATime(tell func(stage string, done, total int)) func(string, int, int) {
	var lock sync.Mutex
	last, most := "", -1
	return func(stage string, done, total int) {
		lock.Lock()
		defer lock.Unlock()
		if stage == last && done <= most || tell == nil {
			return
		}
		last, most = stage, done
		tell(stage, done, total)
	}
}

// inOrder puts ways in their order, the baseline among them.
func inOrder(asked []string) []string {
	var out []string
	for _, w := range Ways() {
		if w == Still || slices.Contains(asked, w) {
			out = append(out, w)
		}
	}
	return out
}

// laidYear is one weather year laid out, with what belongs to it.
type laidYear struct {
	light *plane.Light
	grid  *weather.Grid
	aimed Aimed     // where the way Controller is run, once it is there
	clock []float32 // hour of the wall clock of each step
	cells []float32 // temperature of the battery's cells in each hour
}

func (in *Input) lay(ctx context.Context, y *weather.Year) (laidYear, weather.Lost, error) {
	g, err := weather.NewGrid(ctx, in.Rig.Spot, y.Calendar, in.Rig.Turbidity, 0)
	if err != nil {
		return laidYear{}, weather.Lost{}, err
	}
	var s sky.Series
	if err := g.Lay(y, &s); err != nil {
		return laidYear{}, weather.Lost{}, err
	}
	lost, err := g.Lost(y)
	if err != nil {
		return laidYear{}, weather.Lost{}, err
	}
	cells := make([]float32, 24*len(y.Midnight))
	cellsOf(y, &in.Rig.Battery.Battery, cells)
	laid := laidYear{light: plane.Prepare(&s, in.Rig.Spot.Skyline, in.Rig.Sky, in.Rig.Glass),
		clock: g.ClockHours(in.Rig.Spot.Clock()), cells: cells}
	laid.grid = g
	return laid, lost, nil
}

// aimAll has the years run by the controller beside everything else.
func (in *Input) aimAll(ctx context.Context, years []laidYear) *errgroup.Group {
	group, ctx := errgroup.WithContext(ctx)
	for i := range years {
		group.Go(func() (err error) {
			years[i].aimed, err = in.aim(ctx, in.Years[i], years[i].grid, years[i].light)
			return err
		})
	}
	return group
}

// aim asks for a year under the controller, where that way is run.
func (in *Input) aim(ctx context.Context, y *weather.Year, g *weather.Grid, light *plane.Light) (Aimed, error) {
	if !slices.Contains(in.Ways, Controller) {
		return Aimed{}, nil
	}
	a, err := in.Aimed(ctx, y, g, light)
	if err == nil && (len(a.HeadingDeg) != light.Len() || len(a.OwnWh) != 24*len(y.Midnight)) {
		err = fmt.Errorf("the controller's year has %d steps and %d hours, the light has %d and %d", len(a.HeadingDeg), len(a.OwnWh), light.Len(), 24*len(y.Midnight))
	}
	return a, err
}

// layAll lays every recorded year out, and notes in out what light could not be.
func (in *Input) layAll(ctx context.Context, out *Outcome) ([]laidYear, error) {
	var years []laidYear
	for i, y := range in.Years {
		laid, lost, err := in.lay(ctx, y)
		if err != nil {
			return nil, err
		}
		years = append(years, laid)
		out.LostBeamWhM2 += lost.BeamWhM2 / float64(len(in.Years))
		in.Progress("laying out the light", i+1, len(in.Years))
	}
	return years, nil
}

// recorded runs years that are there, and then years put together from them.
func recorded(ctx context.Context, in *Input) (*Outcome, error) {
	c := in.Years[0].Calendar
	days := in.Window.Days(c)
	hh, err := newHousehold(&in.Rig, days, c)
	if err != nil {
		return nil, err
	}
	out := &Outcome{Days: len(days)}
	years, err := in.layAll(ctx, out)
	if err != nil {
		return nil, err
	}
	aiming := in.aimAll(ctx, years)
	defer aiming.Wait() // it is not left behind, whatever happens
	g := newGenerator(&in.Rig, years[0].light.StepS)
	need := needsOf(in.Ways)
	found := newSearch(days, c, need)
	for i := range years {
		if err := found.runAll(ctx, &years[i], c, g, &in.Rig, need); err != nil {
			return nil, err
		}
	}
	plans := drawAll(in, days, c, found)
	sources := in.sources(days, len(years), len(c.Midnight))
	out.Rows = make([]Row, len(plans))
	var done atomic.Int32
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i := range plans {
		group.Go(func() error {
			if plans[i].aimed {
				if err := aiming.Wait(); err != nil {
					return err
				}
			}
			row, err := runRecorded(ctx, &plans[i], years, g, in, hh, sources)
			out.Rows[i] = row
			in.Progress("running the ways", int(done.Add(1)), len(plans))
			return err
		})
	}
	return out, group.Wait()
}

// sources is, for each run, the day of the record that each day of the window
// takes its weather from: first each year as it was, then those put together.
func (in *Input) sources(days []int, years, daysPerYear int) [][]int32 {
	out := make([][]int32, years+in.Runs)
	for r := range out {
		out[r] = make([]int32, len(days))
		if r < years {
			for i, d := range days {
				out[r][i] = int32(r*daysPerYear + d)
			}
			continue
		}
		rng := rand.New(rand.NewPCG(in.Seed, uint64(r-years)))
		resample(rng, days, years, daysPerYear, in.BlockMin, in.BlockMax, out[r])
	}
	return out
}

func runRecorded(ctx context.Context, p *plan, years []laidYear, g *generator, in *Input, hh *household, sources [][]int32) (Row, error) {
	perYear := len(years[0].cells) / 24
	all := newHarvest(perYear*len(years), g.pinned)
	var cells []float32
	var s scratch
	for i := range years {
		g.reap(p, years[i].light, &in.Rig, years[i].clock, &years[i].aimed, &s, all.part(i*perYear, (i+1)*perYear))
		cells = append(cells, years[i].cells...)
	}
	row := p.row()
	var l lived
	asIs := &tally{}
	for r, source := range sources {
		if err := ctx.Err(); err != nil {
			return row, err
		}
		hh.live(all, cells, source, &l)
		if r < len(years) {
			asIs.add(&l)
		} else {
			row.Runs = append(row.Runs, l.months)
		}
	}
	asIs.close(&row)
	return row, nil
}
