package page

import (
	"context"
	"fmt"
	"sync"
)

// mostKept is how many answers are held.
const mostKept = 200

// memo holds answers by what was asked. Whoever asks while the same is being
// worked out waits for it; when all who wait have gone, the work is stopped.
type memo struct {
	lock  sync.Mutex
	most  int
	found map[string]*job
	order []string // the oldest first
}

type job struct {
	done    chan struct{}
	stop    context.CancelFunc
	waiting int
	value   any
	err     error
}

func newMemo(most int) *memo { return &memo{most: most, found: map[string]*job{}} }

// has returns what is held already.
func (m *memo) has(key string) (any, bool) {
	m.lock.Lock()
	defer m.lock.Unlock()
	j := m.found[key]
	if j == nil {
		return nil, false
	}
	select {
	case <-j.done:
		return j.value, j.err == nil
	default:
		return nil, false
	}
}

// ask returns what is held, or works it out.
func (m *memo) ask(ctx context.Context, key string, work func(context.Context) (any, error)) (any, error) {
	j := m.join(key, work)
	select {
	case <-j.done:
		m.leave(key, j)
		return j.value, j.err
	case <-ctx.Done():
		m.leave(key, j)
		return nil, ctx.Err()
	}
}

// join waits for a job of that key, and begins it where there is none.
func (m *memo) join(key string, work func(context.Context) (any, error)) *job {
	m.lock.Lock()
	defer m.lock.Unlock()
	j := m.found[key]
	if j == nil {
		ctx, stop := context.WithCancel(context.Background())
		j = &job{done: make(chan struct{}), stop: stop, waiting: 1}
		m.found[key] = j
		m.order = append(m.order, key)
		m.shorten()
		go j.run(ctx, work)
		return j
	}
	j.waiting++
	return j
}

func (j *job) run(ctx context.Context, work func(context.Context) (any, error)) {
	defer close(j.done)
	defer j.stop()
	defer func() {
		if r := recover(); r != nil { // one question must not take the page down
			j.err = fmt.Errorf("this question could not be worked out: %v", r)
		}
	}()
	j.value, j.err = work(ctx)
	if j.err == nil {
		j.err = ctx.Err()
	}
}

// leave stops a job that nobody waits for, and forgets what has failed: it may
// do better next time.
func (m *memo) leave(key string, j *job) {
	m.lock.Lock()
	defer m.lock.Unlock()
	j.waiting--
	over := false
	select {
	case <-j.done:
		over = j.err != nil
	default:
		over = j.waiting == 0
	}
	if over {
		j.stop()
		m.forget(key, j)
	}
}

func (m *memo) forget(key string, j *job) {
	if m.found[key] != j {
		return
	}
	delete(m.found, key)
	for i, k := range m.order {
		if k == key {
			m.order = append(m.order[:i:i], m.order[i+1:]...)
			return
		}
	}
}

// shorten forgets the oldest answers that nobody waits for.
func (m *memo) shorten() {
	for i := 0; len(m.order) > m.most && i < len(m.order); {
		key := m.order[i]
		if j := m.found[key]; j.waiting == 0 {
			m.forget(key, j)
			continue
		}
		i++
	}
}
