package answer

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"turnsole/reading"
	"turnsole/trial"
)

// read takes the log in.
func (t *trying) read() error {
	sample, err := t.sample()
	if err != nil {
		return err
	}
	if len(bytes.TrimSpace(sample)) == 0 {
		return bad("%s: the log is empty", t.q.Log)
	}
	if headed, read, err := isPlain(sample); err != nil {
		return bad("%s: %w", t.q.Log, err)
	} else if !read {
		return t.notPlain(headed)
	}
	file, err := t.q.OpenLog(t.q.Log)
	if err != nil {
		return err
	}
	defer file.Close()
	r, err := reading.NewReader(file)
	if err != nil {
		return bad("%s: %w", t.q.Log, err)
	}
	if t.log, err = trial.Collect(t.rows(reading.NewTidy(r, ""))); err != nil {
		return t.blame(err)
	}
	if t.log.Untimed == t.log.Readings {
		return bad("%s: its rows have no time of day. Give them one first: %s --dumped-at TIME", t.q.Log, t.command())
	}
	return nil
}

// rows hands the log's rows over; a person may interrupt.
func (t *trying) rows(tidy *reading.Tidy) func(*reading.Reading) error {
	n := 0
	return func(into *reading.Reading) error {
		if n++; n%restEvery == 0 {
			if err := t.ctx.Err(); err != nil {
				return err
			}
			t.q.Progress("reading the log", 0, 1)
		}
		return tidy.Next(into)
	}
}

func (t *trying) blame(err error) error {
	var log *reading.LogError
	switch {
	case t.ctx.Err() != nil:
		return t.ctx.Err()
	case errors.As(err, &log):
		return bad("%s: %w", t.q.Log, err)
	}
	return fmt.Errorf("%s: %w", t.q.Log, err)
}

// sample is the log's beginning.
func (t *trying) sample() ([]byte, error) {
	file, err := t.q.OpenLog(t.q.Log)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	head, err := io.ReadAll(io.LimitReader(file, sampleTail))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", t.q.Log, err)
	}
	return head, nil
}

// notPlain says how a log becomes a plain one.
func (t *trying) notPlain(headed bool) error {
	what := "this is no plain log"
	if headed {
		what = "its rows cannot be read as they stand"
	}
	return bad("%s: %s. Make one of it first: %s", t.q.Log, what, t.command())
}

// command is how to import the log.
func (t *trying) command() string {
	base := filepath.Base(t.q.Log)
	plain := strings.TrimSuffix(base, filepath.Ext(base)) + "-plain.csv"
	return fmt.Sprintf("turnsole import %s %s --out %s", quotedPath(t.q.RigPath), quotedPath(t.q.Log), quotedPath(plain))
}

// quotedPath is a path as a shell takes it.
func quotedPath(path string) string {
	if strings.ContainsAny(path, " \t'\"$&()") {
		return "'" + strings.ReplaceAll(path, "'", `'\''`) + "'"
	}
	return path
}
