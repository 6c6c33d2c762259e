package page

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"
)

func TestOneQuestionIsWorkedOutOnce(t *testing.T) {
	m := newMemo(10)
	var times atomic.Int32
	var all sync.WaitGroup
	for range 20 {
		all.Go(func() {
			v, err := m.ask(t.Context(), "a", func(context.Context) (any, error) { times.Add(1); return 7, nil })
			if v != 7 || err != nil {
				t.Error(v, err)
			}
		})
	}
	all.Wait()
	if v, ok := m.has("a"); times.Load() != 1 || !ok || v != 7 {
		t.Error(times.Load(), v, ok)
	}
}

func TestWhoLeavesTakesTheWorkAlong(t *testing.T) {
	m := newMemo(10)
	ctx, leave := context.WithCancel(t.Context())
	began, stopped := make(chan bool), make(chan bool)
	go func() {
		<-began
		leave()
	}()
	_, err := m.ask(ctx, "a", func(ctx context.Context) (any, error) {
		close(began)
		<-ctx.Done()
		close(stopped)
		return nil, ctx.Err()
	})
	<-stopped
	if !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	if v, err := m.ask(t.Context(), "a", func(context.Context) (any, error) { return 1, nil }); v != 1 || err != nil {
		t.Error(v, err)
	}
}

func TestFailuresAreForgottenAndPanicsAreErrors(t *testing.T) {
	m := newMemo(10)
	if _, err := m.ask(t.Context(), "a", func(context.Context) (any, error) { panic("no") }); err == nil {
		t.Error("a panic is no error")
	}
	if v, err := m.ask(t.Context(), "a", func(context.Context) (any, error) { return 2, nil }); v != 2 || err != nil {
		t.Error(v, err)
	}
}

func TestOldAnswersMakeRoom(t *testing.T) {
	m := newMemo(3)
	for _, key := range []string{"a", "b", "c", "d", "e"} {
		if _, err := m.ask(t.Context(), key, func(context.Context) (any, error) { return key, nil }); err != nil {
			t.Fatal(err)
		}
	}
	_, first := m.has("a")
	_, last := m.has("e")
	if first || !last || len(m.found) != 3 || len(m.order) != 3 {
		t.Error(first, last, len(m.found), m.order)
	}
}
