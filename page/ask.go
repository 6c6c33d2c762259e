package page

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"time"

	"turnsole/rigfile"
)

// Limits on what may be asked at once.
const (
	mostSets = 100
	longest  = 400 // bytes of one override
)

// asker is one request's question: a rig with its overrides, at a spot, on a
// day.
type asker struct {
	*server
	ctx  context.Context
	rig  *rigfile.Rig
	src  []byte
	spot string
	sets []string // that the request adds
	day  time.Time
	log  string // name of a log on the shelf, "" for none
	base string // what keys of answers begin with
}

// asked reads the rig file and lays what the request changes over it.
func (s *server) asked(ctx context.Context, q url.Values) (*asker, error) {
	a := &asker{server: s, ctx: ctx, spot: q.Get("spot"), sets: q["set"], day: s.Now(), log: q.Get("log")}
	if text := q.Get("day"); text != "" {
		day, err := time.Parse(time.DateOnly, text)
		if err != nil {
			return a, fmt.Errorf("day %q: write it as year-month-day, such as 2026-06-21", text)
		}
		a.day = day
	}
	if len(a.sets) > mostSets || slices.ContainsFunc(a.sets, func(set string) bool { return len(set) > longest }) {
		return a, fmt.Errorf("more is changed than a page holds: at most %d keys, %d letters each", mostSets, longest)
	}
	var err error
	if a.src, err = s.Read(); err != nil {
		return a, err
	}
	return a, a.read()
}

func (a *asker) read() (err error) {
	all := append(slices.Clone(a.Sets), a.sets...)
	if a.rig, err = rigfile.Read(a.Name, a.src, all); err != nil {
		return err
	}
	if a.spot == "" {
		a.spot = a.rig.Spots[0].Name
	}
	sum := sha256.Sum256([]byte(fmt.Sprintf("%q %q", a.src, all)))
	a.base = strings.Join([]string{hex.EncodeToString(sum[:]), a.spot, a.day.Format(time.DateOnly), a.log}, "\x00")
	return nil
}

// with is the same question with other overrides.
func (a *asker) with(sets []string) (*asker, error) {
	other := *a
	other.sets = sets
	return &other, other.read()
}

// ask works out one answer of a question, once for all who ask it.
func ask[T any](a *asker, name string, work func(ctx context.Context) (T, error)) (found T, err error) {
	v, err := a.found.ask(a.ctx, a.base+"\x00"+name, func(ctx context.Context) (any, error) { return work(ctx) })
	if err != nil {
		return found, err
	}
	return v.(T), nil
}

// withQuery is an address with a query, where there is one.
func withQuery(path string, q url.Values) string {
	if len(q) == 0 {
		return path
	}
	return path + "?" + q.Encode()
}
