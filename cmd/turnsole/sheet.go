package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"turnsole/answer"
	"turnsole/rigfile"
	"turnsole/sheet"
)

type sheetCommand struct {
	Kind   string   `arg:"" help:"buy, cuts, template, wiring, settings, first-power, setup, season, or all of these; trial or result."`
	File   string   `arg:"" help:"Rig file."`
	Log    string   `arg:"" optional:"" help:"Plain log, for the result sheet."`
	Out    string   `name:"out" short:"o" required:"" help:"PDF to write; one that is there is replaced." placeholder:"PDF"`
	Set    []string `help:"Override a key of the rig file, such as stand.tilt=55. May repeat." placeholder:"KEY=VALUE" sep:"none"`
	Spot   string   `help:"The spot of this name; the first if not given." placeholder:"NAME"`
	Paper  string   `default:"a4" enum:"a4,letter" help:"a4 or letter."`
	Inches bool     `help:"Inches and pounds beside millimetres and kilograms."`
	Date   []string `help:"Day for which the setup card is wanted, such as 2026-06-21. May repeat, up to three; today if not given." placeholder:"DATE"`
	Count  *int     `help:"Notches for the season sheet; as many as the rig file says if not given." placeholder:"K"`
	Seed   uint64   `default:"1" help:"Seed of all chance."`
	trialSheetFlags

	found *answer.Notches // once they are
}

// kinds of sheet, in the order in which they are needed, and what adds each to
// a document. Those of a trial are asked for one by one.
var sheetKinds = []struct {
	name string
	add  func(c *sheetCommand, d *desk, rig *rigfile.Rig, doc *sheet.Document) error
}{
	{"buy", func(c *sheetCommand, d *desk, rig *rigfile.Rig, doc *sheet.Document) error {
		a, err := answer.ListShopping(rig, c.Spot)
		return added(a, err, doc.Buy)
	}},
	{"cuts", func(c *sheetCommand, d *desk, rig *rigfile.Rig, doc *sheet.Document) error {
		a, err := answer.ListCuts(rig, c.Spot)
		return added(a, err, doc.Cuts)
	}},
	{"template", func(c *sheetCommand, d *desk, rig *rigfile.Rig, doc *sheet.Document) error {
		a, err := answer.ListCuts(rig, c.Spot)
		return added(a, err, doc.Template)
	}},
	{"wiring", func(c *sheetCommand, d *desk, rig *rigfile.Rig, doc *sheet.Document) error {
		a, err := answer.SizeWires(rig)
		return added(a, err, doc.Wiring)
	}},
	{"settings", func(c *sheetCommand, d *desk, rig *rigfile.Rig, doc *sheet.Document) error {
		a, err := answer.ListSettings(rig, c.Spot)
		return added(a, err, doc.Settings)
	}},
	{"first-power", func(c *sheetCommand, d *desk, rig *rigfile.Rig, doc *sheet.Document) error {
		a, err := answer.PlanFirstPower(rig, c.Spot)
		return added(a, err, doc.FirstPower)
	}},
	{"setup", (*sheetCommand).setup},
	{"season", (*sheetCommand).season},
	{trialSheet, (*sheetCommand).trial},
	{resultSheet, (*sheetCommand).result},
}

// added hands an answer to the sheet that shows it.
func added[T any](a T, err error, add func(T)) error {
	if err == nil {
		add(a)
	}
	return err
}

func (c *sheetCommand) setup(d *desk, rig *rigfile.Rig, doc *sheet.Document) error {
	q := answer.SetupQuestion{Rig: rig, Spot: c.Spot}
	for _, text := range c.Date {
		day, err := time.Parse(time.DateOnly, text)
		if err != nil {
			return &answer.BadInput{Err: fmt.Errorf("--date %q is not a day; write it as year-month-day, such as 2026-06-21", text)}
		}
		q.Dates = append(q.Dates, day)
	}
	if len(q.Dates) > 3 {
		return &answer.BadInput{Err: fmt.Errorf("--date is given %d times: a card has room for three days", len(q.Dates))}
	}
	if len(q.Dates) == 0 {
		q.Dates = []time.Time{d.now()}
	}
	var err error
	if q.Season, err = c.notches(d, rig); err != nil {
		return err
	}
	a, err := answer.SetUp(q)
	return added(a, err, doc.Setup)
}

// notches finds the year's notches, once for all sheets that show them.
func (c *sheetCommand) notches(d *desk, rig *rigfile.Rig) (*answer.Notches, error) {
	if c.found != nil {
		return c.found, nil
	}
	count, err := counting(c.Count)
	if err != nil {
		return nil, err
	}
	bar := newProgress(d.errOut)
	n, err := answer.FindNotches(d.ctx, answer.NotchesQuestion{Rig: rig, Spot: c.Spot, Count: count, Seed: c.Seed, Open: besideRig(c.File), Progress: bar.tell})
	bar.finish()
	c.found = n
	return n, err
}

func (c *sheetCommand) season(d *desk, rig *rigfile.Rig, doc *sheet.Document) error {
	n, err := c.notches(d, rig)
	if err != nil {
		return err
	}
	s, err := answer.LookAtStand(rig, c.Spot)
	if err == nil {
		doc.Season(n, s)
	}
	return err
}

func (c *sheetCommand) Run(d *desk) error {
	wanted := []string{c.Kind}
	var names []string
	for _, k := range sheetKinds {
		names = append(names, k.name)
	}
	if c.Kind == "all" {
		wanted = names[:slices.Index(names, trialSheet)]
	} else if !slices.Contains(names, c.Kind) {
		return &answer.BadInput{Err: fmt.Errorf("no sheet is called %q; there are %s, and all", c.Kind, strings.Join(names, ", "))}
	}
	rig, err := rigFlags{File: c.File, Set: c.Set}.read()
	if err != nil {
		return err
	}
	if err := answer.CheckSpot(rig, c.Spot); err != nil {
		return err
	}
	if err := c.fitsLog(); err != nil {
		return err
	}
	doc := sheet.New(sheet.Options{Paper: map[string]sheet.Paper{"a4": sheet.A4, "letter": sheet.Letter}[c.Paper],
		Inches: c.Inches, Made: d.now(), Version: version})
	for _, k := range sheetKinds {
		if !slices.Contains(wanted, k.name) {
			continue
		}
		if err := k.add(c, d, rig, doc); err != nil {
			return err
		}
		if err := d.ctx.Err(); err != nil {
			return err
		}
	}
	var pdf bytes.Buffer
	if err := doc.Write(&pdf); err != nil {
		return err
	}
	if err := replaceFile(c.Out, "PDF", "%PDF-", pdf.Bytes()); err != nil {
		return err
	}
	fmt.Fprintf(d.out, "%s is written: %s. Print it at full size (100 %%, no fitting to the page)", c.Out, strings.Join(wanted, ", "))
	if slices.Contains(wanted, "template") {
		fmt.Fprint(d.out, " and hold a ruler to its check bars before you cut")
	}
	fmt.Fprintln(d.out, ".")
	return nil
}

// begins reports whether a file begins with its kind's head, or is empty, or not
// there.
func begins(path, head string) bool {
	file, err := os.Open(path)
	if err != nil {
		return errors.Is(err, os.ErrNotExist)
	}
	defer file.Close()
	is := make([]byte, len(head))
	n, _ := io.ReadFull(file, is)
	return n == 0 || string(is) == head
}

// replaceFile writes a whole file or none: what was there stays until the new
// one is complete, and what is no file of this kind stays for good.
func replaceFile(path, kind, head string, content []byte) error {
	dir := filepath.Dir(path)
	if path == "" {
		return &answer.BadInput{Err: fmt.Errorf("-o names no file: name a %s to write", kind)}
	}
	if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
		return &answer.BadInput{Err: fmt.Errorf("%s: this is no ordinary file; name a %s to write", path, kind)}
	}
	if !begins(path, head) {
		return &answer.BadInput{Err: fmt.Errorf("%s: there is a file of that name that is no %s; it was left alone", path, kind)}
	}
	file, err := os.CreateTemp(dir, ".turnsole-*")
	switch {
	case errors.Is(err, os.ErrNotExist):
		return &answer.BadInput{Err: fmt.Errorf("%s: there is no such folder", path)}
	case err != nil:
		return fmt.Errorf("%s: %w", path, errors.Unwrap(err))
	}
	_, err = file.Write(content)
	if err == nil {
		err = file.Chmod(0o644)
	}
	if err = errors.Join(err, file.Close()); err == nil {
		err = os.Rename(file.Name(), path)
	}
	if err != nil {
		os.Remove(file.Name())
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}
