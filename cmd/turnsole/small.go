package main

import (
	"errors"
	"fmt"
	"os"
	"runtime"
	"runtime/debug"

	"turnsole/answer"
	"turnsole/rigfile"
)

// version is the number of the release.
const version = "0.1.0"

type versionCommand struct {
	JSON bool `name:"json" help:"One JSON object on standard output."`
}

type versionJSON struct {
	Version string `json:"version" doc:"number of the release"`
	Commit  string `json:"commit" doc:"commit it was built from; empty where the build does not know"`
	Go      string `json:"go" doc:"version of Go that built it"`
}

func (c *versionCommand) Run(d *desk) error {
	v := versionJSON{Version: version, Go: runtime.Version()}
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "vcs.revision" {
				v.Commit = s.Value
			}
		}
	}
	if c.JSON {
		return writeJSON(d.out, v)
	}
	fmt.Fprintf(d.out, "turnsole %s", v.Version)
	if v.Commit != "" {
		fmt.Fprintf(d.out, " (%.12s)", v.Commit)
	}
	fmt.Fprintf(d.out, ", built with %s\n", v.Go)
	return nil
}

type newCommand struct {
	File string `arg:"" help:"Where to write it; a file that is there already is left alone."`
}

func (c *newCommand) Run(d *desk) error {
	file, err := os.OpenFile(c.File, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	switch {
	case errors.Is(err, os.ErrExist):
		return &answer.BadInput{Err: fmt.Errorf("%s: there is a file of that name already; it was left alone", c.File)}
	case errors.Is(err, os.ErrNotExist):
		return &answer.BadInput{Err: fmt.Errorf("%s: there is no such folder", c.File)}
	case err != nil:
		return fmt.Errorf("%s: %w", c.File, errors.Unwrap(err))
	}
	_, err = file.Write(rigfile.Template())
	if err = errors.Join(err, file.Close()); err != nil {
		os.Remove(c.File) // nothing half-written stays behind
		return fmt.Errorf("%s: %w", c.File, err)
	}
	fmt.Fprintf(d.out, "%s is written. Put in your spot and your panel, then:\n\n  turnsole check %s\n  turnsole worth %s\n", c.File, c.File, c.File)
	return nil
}

type checkCommand struct{ rigFlags }

type checkJSON struct {
	Problems []problemJSON `json:"problems" doc:"what is wrong or odd, in the order of the file"`
}

type problemJSON struct {
	Key      string `json:"key" doc:"path of the key, empty for the whole file"`
	Line     int    `json:"line" doc:"line of the file, 0 where it concerns no one line"`
	Severity string `json:"severity" doc:"error: the file can't be used; warning: it can, but look again"`
	Text     string `json:"text" doc:"what is wrong and what would be right"`
}

func (c *checkCommand) Run(d *desk) error {
	src, err := readInput(c.File)
	if err != nil {
		return err
	}
	rig, err := rigfile.Read(c.File, src, c.Set)
	var problems rigfile.Problems
	if err != nil && !errors.As(err, &problems) {
		return err
	}
	if err == nil {
		problems = rigfile.Check(rig)
		more, err := answer.CheckWeather(d.ctx, rig, besideRig(c.File))
		if err != nil {
			return err
		}
		build, err := answer.CheckBuild(rig)
		if err != nil {
			return err
		}
		problems = append(append(problems, more...), build...)
	}
	out := checkJSON{Problems: []problemJSON{}}
	for _, p := range problems {
		out.Problems = append(out.Problems, problemJSON{p.Key, p.Line, p.Severity, p.Text})
	}
	if err := c.tell(d, out, problems); err != nil {
		return err
	}
	if len(problems) > 0 {
		return errFound
	}
	return nil
}

func (c *checkCommand) tell(d *desk, out checkJSON, problems rigfile.Problems) error {
	if c.JSON {
		return writeJSON(d.out, out)
	}
	for _, p := range problems {
		fmt.Fprintf(d.out, "%s: %s\n", p.Severity, p.Error())
	}
	if len(problems) == 0 {
		fmt.Fprintf(d.out, "%s reads well. Next: turnsole worth %s\n", c.File, c.File)
	}
	return nil
}
