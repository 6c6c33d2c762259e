package main

import (
	"fmt"

	"turnsole/answer"
	"turnsole/rigfile"
	"turnsole/sheet"
)

// Sheets of a trial.
const (
	trialSheet  = "trial"
	resultSheet = "result"
)

// trialSheetFlags are what turnsole trial would be asked with.
type trialSheetFlags struct {
	Days      *int   `help:"For the trial sheet: how long it may last; the rig file's if not given." placeholder:"N"`
	Halfwidth string `help:"For the trial sheet: how well the gain is to be known, such as \"2%\"." placeholder:"P"`
	From      string `help:"For the trial sheet: first day that it may lie on, month-day; today if neither is given." placeholder:"MM-DD"`
	To        string `help:"For the trial sheet: last day." placeholder:"MM-DD"`
	Setup     string `help:"For the result sheet: the set-up that counts; the one with most looks if not given." placeholder:"NAME"`
	Measure   string `help:"For the result sheet: compare by light, power or current." placeholder:"NAME"`
	Method    string `help:"For the result sheet: looks, looks-alone, blocks, beside or back." placeholder:"NAME"`
	Weather   string `help:"For the trial's sheets: weather-year file in place of the rig file's weather." placeholder:"FILE"`
}

// fitsLog reports a log that is missing, or that no sheet asks for.
func (c *sheetCommand) fitsLog() error {
	switch {
	case c.Kind == resultSheet && c.Log == "":
		return &answer.BadInput{Err: fmt.Errorf("the sheet %s is of a log: name one after the rig file", resultSheet)}
	case c.Kind != resultSheet && c.Log != "":
		return &answer.BadInput{Err: fmt.Errorf("%s: the sheet %s is of the rig file alone, and takes no log", c.Log, c.Kind)}
	}
	return nil
}

func (c *sheetCommand) trial(d *desk, rig *rigfile.Rig, doc *sheet.Document) error {
	ask := trialPlanCommand{rigFlags: rigFlags{File: c.File}, spotFlag: spotFlag{c.Spot}, Days: c.Days, Halfwidth: c.Halfwidth,
		From: c.From, To: c.To, Weather: c.Weather, Seed: c.Seed}
	p, err := ask.ask(d, rig)
	return added(p, err, doc.Trial)
}

func (c *sheetCommand) result(d *desk, rig *rigfile.Rig, doc *sheet.Document) error {
	ask := trialResultCommand{rigFlags: rigFlags{File: c.File}, spotFlag: spotFlag{c.Spot}, Log: c.Log, Setup: c.Setup, Measure: c.Measure,
		Method: c.Method, Confidence: "95%", Replicates: 10000, Weather: c.Weather, Seed: c.Seed}
	r, err := ask.ask(d, rig)
	return added(r, err, doc.Result)
}
