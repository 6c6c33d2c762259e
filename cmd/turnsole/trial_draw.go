package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/drawing"
)

// The size of pictures that are written as files, mm.
const drawnWide, drawnHigh = 180, 110

// drawTrialResult writes every picture of a trial's result into a folder.
func drawTrialResult(dir string, a *answer.TrialResult) error {
	return writePictures(dir, map[string]*chart.Picture{
		"days":    drawing.TrialDays(a, drawnWide, drawnHigh),
		"looks":   drawing.TrialLooks(a, drawnWide, drawnHigh),
		"running": drawing.TrialRunning(a, drawnWide, drawnHigh),
		"hours":   drawing.TrialHours(a, drawnWide, drawnHigh),
	})
}

// drawTrialPlan writes the picture of a plan into a folder.
func drawTrialPlan(dir string, p *answer.TrialPlan) error {
	return writePictures(dir, map[string]*chart.Picture{"designs": drawing.TrialDesigns(p, drawnWide, drawnHigh)})
}

// isFolder refuses a flag that was taken for a folder's name.
func isFolder(dir string) error {
	if strings.HasPrefix(dir, "-") {
		return &answer.BadInput{Err: fmt.Errorf("--draw %s: give a folder first; one of such a name is ./%s", dir, dir)}
	}
	return nil
}

// writePictures writes each picture as an SVG of its name into a folder, which is
// made where it is not there; "" for no folder writes none.
func writePictures(dir string, pictures map[string]*chart.Picture) error {
	if dir == "" {
		return nil
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return &answer.BadInput{Err: fmt.Errorf("--draw %s: %w", dir, errors.Unwrap(err))}
	}
	for name, picture := range pictures {
		var svg bytes.Buffer
		if err := picture.SVG(&svg); err != nil {
			return err
		}
		if err := replaceFile(filepath.Join(dir, name+".svg"), "SVG", "<svg", svg.Bytes()); err != nil {
			return err
		}
	}
	return nil
}
