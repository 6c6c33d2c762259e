package main

import (
	"io"
	"os"
	"sync"
	"time"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"
	"golang.org/x/term"

	"turnsole/answer"
)

// patience is how long an answer may take before progress is shown.
const patience = 700 * time.Millisecond

// progress shows on a terminal how far a long answer is; it is silent when
// errors go to a file. Call finish before anything else is written.
type progress struct {
	lock  sync.Mutex
	to    io.Writer
	began time.Time
	pool  *mpb.Progress
	bar   *mpb.Bar
	stage string
}

func newProgress(errOut io.Writer) *progress {
	p := &progress{began: time.Now()}
	if f, ok := errOut.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		p.to = f
	}
	return p
}

// tell is an answer.Progress.
func (p *progress) tell(stage string, done, total int) {
	p.lock.Lock()
	defer p.lock.Unlock()
	if p.to == nil || time.Since(p.began) < patience {
		return
	}
	if p.pool == nil {
		p.pool = mpb.New(mpb.WithOutput(p.to), mpb.WithWidth(40), mpb.WithAutoRefresh())
	}
	if stage != p.stage {
		p.drop()
		p.stage = stage
		p.bar = p.pool.New(int64(total), mpb.BarStyle().Lbound("").Filler("━").Tip("━").Padding("·").Rbound(""),
			mpb.BarRemoveOnComplete(), mpb.PrependDecorators(decor.Name(stage+" ")), mpb.AppendDecorators(decor.Percentage()))
	}
	p.bar.SetCurrent(int64(done))
}

func (p *progress) drop() {
	if p.bar != nil {
		p.bar.Abort(true)
		p.bar = nil
	}
}

// finish takes the bar off the screen.
func (p *progress) finish() {
	p.lock.Lock()
	defer p.lock.Unlock()
	p.drop()
	if p.pool != nil {
		p.pool.Wait()
		p.pool = nil
	}
	p.to = nil
}

var _ answer.Progress = (&progress{}).tell
