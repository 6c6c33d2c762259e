package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"time"

	"charm.land/lipgloss/v2"

	"turnsole/answer"
	"turnsole/rigfile"
)

type worthFlags struct {
	Weather string   `help:"Weather-year file in place of the rig file's weather." placeholder:"FILE"`
	Ways    []string `help:"Only these ways, by commas." placeholder:"A,B"`
	Spot    string   `help:"Only the spot of this name." placeholder:"NAME"`
	From    string   `help:"First day that counts, month-day." placeholder:"MM-DD"`
	To      string   `help:"Last day that counts; before --from it lies in the next year." placeholder:"MM-DD"`
	Seed    uint64   `default:"1" help:"Seed of all chance."`
	CSV     bool     `name:"csv" help:"A table for a spreadsheet on standard output."`
}

type worthCommand struct {
	rigFlags
	worthFlags
}

func (c *worthCommand) Run(d *desk) error {
	rig, err := c.read()
	if err != nil {
		return err
	}
	return c.worthFlags.compare(d, rig, besideRig(c.File), c.JSON)
}

// besideRig opens files whose paths are relative to the rig file.
func besideRig(rigPath string) answer.Open {
	return func(path string) (io.ReadCloser, error) {
		if !filepath.IsAbs(path) {
			path = filepath.Join(filepath.Dir(rigPath), path)
		}
		return openInput(path)
	}
}

func (c *worthFlags) window() (answer.Window, error) {
	var w answer.Window
	if c.From == "" && c.To == "" {
		return w, nil
	}
	w = answer.Window{From: answer.MonthDay{Month: 1, Day: 1}, To: answer.MonthDay{Month: 12, Day: 31}}
	var err error
	if c.From != "" {
		if w.From, err = parseMonthDay("--from", c.From); err != nil {
			return w, err
		}
	}
	if c.To != "" {
		if w.To, err = parseMonthDay("--to", c.To); err != nil {
			return w, err
		}
	}
	return w, c.withinAYear()
}

// withinAYear refuses dates with years that are more than a year apart: the
// weather is one year, and would be told as some weeks of it.
func (c *worthFlags) withinAYear() error {
	from, err := time.Parse("2006-1-2", c.From)
	if err != nil {
		return nil
	}
	to, err := time.Parse("2006-1-2", c.To)
	if err != nil {
		return nil
	}
	if to.Before(from) || !to.Before(from.AddDate(1, 0, 0)) {
		return &answer.BadInput{Err: fmt.Errorf("--from %s --to %s: give the earlier day first, and less than a year", c.From, c.To)}
	}
	return nil
}

func (c *worthFlags) compare(d *desk, rig *rigfile.Rig, open answer.Open, asJSON bool) error {
	window, err := c.window()
	if err != nil {
		return err
	}
	if asJSON && c.CSV {
		return &answer.BadInput{Err: fmt.Errorf("--json and --csv: choose one of them")}
	}
	for i := range c.Ways {
		c.Ways[i] = strings.TrimSpace(c.Ways[i])
	}
	q := answer.WorthQuestion{Rig: rig, Ways: c.Ways, Spot: c.Spot, Window: window, Seed: c.Seed, Open: open}
	if q.WeatherFile, err = fromHere(c.Weather); err != nil {
		return err
	}
	bar := newProgress(d.errOut)
	q.Progress = bar.tell
	worth, err := answer.CompareWays(d.ctx, q)
	bar.finish()
	if err == nil {
		err = d.ctx.Err()
	}
	switch {
	case err != nil:
		return err
	case asJSON:
		return writeJSON(d.out, worthWire(worth))
	case c.CSV:
		return writeWorthCSV(d.out, worth)
	}
	var text strings.Builder
	if len(worth.Spots) > 1 {
		fmt.Fprintf(&text, "%s\n", spotsTable(worth))
	}
	for i := range worth.Spots {
		if i > 0 {
			fmt.Fprintln(&text)
		}
		tellWorth(&text, &worth.Spots[i], rig)
	}
	_, err = lipgloss.Fprint(d.out, text.String())
	return err
}

// fromHere makes a path given on the command line absolute: it is relative to
// where the person stands, not to the rig file.
func fromHere(path string) (string, error) {
	if path == "" {
		return "", nil
	}
	return filepath.Abs(path)
}

type demoCommand struct {
	Example string `arg:"" optional:"" default:"hut" help:"hut, mast or surf."`
	Seed    uint64 `default:"1" help:"Seed of all chance."`
	JSON    bool   `name:"json" help:"One JSON object on standard output."`
}

func (c *demoCommand) Run(d *desk) error {
	var names []string
	for _, e := range rigfile.Examples() {
		names = append(names, e.Name)
		if e.Name != c.Example {
			continue
		}
		rig, err := rigfile.Read(e.Name+".toml", []byte(e.TOML), nil)
		if err != nil {
			return err
		}
		if !c.JSON {
			fmt.Fprintf(d.out, "%s\nEverything in this example is invented, its weather too.\n\n", e.Title)
		}
		flags := worthFlags{Seed: c.Seed}
		if err := flags.compare(d, rig, noFiles, c.JSON); err != nil {
			return err
		}
		if !c.JSON {
			fmt.Fprint(d.out, nextSteps)
		}
		return nil
	}
	return &answer.BadInput{Err: fmt.Errorf("no example is called %q; there are %s", c.Example, strings.Join(names, ", "))}
}

func noFiles(path string) (io.ReadCloser, error) {
	return nil, fmt.Errorf("%s: the examples have no files", path)
}

const nextSteps = `
What to try next:
  turnsole new my.toml            a rig file of your own, with comments
  turnsole check my.toml          what is wrong or odd in it
  turnsole worth my.toml          the same comparison for your spot
  turnsole worth my.toml --from 11-01 --to 02-28      the dark months only
  turnsole worth my.toml --set stand.tilt=55          another tilt
  turnsole notches my.toml        which notches to cut, and when to change them
  turnsole stand my.toml          the tilts it gives and the wind it stands
  turnsole aim my.toml            how your controller does, under clouds and gusts
  turnsole sheet all my.toml -o my.pdf                sheets for the bench
  turnsole demo mast              a school roof at 6 S
  turnsole demo surf              a beach at 45 S
`
