package checks

import (
	"embed"
	"encoding/csv"
	"errors"
	"fmt"
	"strconv"
)

// facts are tables of published figures; each room that reads one names its
// source.
//
//go:embed facts/*.csv
var facts embed.FS

// fact is one row of a table of facts, by column.
type fact map[string]string

// number returns a column as a number.
func (f fact) number(column string) (float64, error) {
	v, err := strconv.ParseFloat(f[column], 64)
	if err != nil {
		return 0, fmt.Errorf("column %s: %w", column, err)
	}
	return v, nil
}

// numbers returns several columns as numbers.
func (f fact) numbers(columns ...string) ([]float64, error) {
	v := make([]float64, len(columns))
	for i, c := range columns {
		var err error
		if v[i], err = f.number(c); err != nil {
			return nil, err
		}
	}
	return v, nil
}

// readFacts reads facts/name.csv, whose first line names the columns.
func readFacts(name string) ([]fact, error) {
	f, err := facts.Open("facts/" + name + ".csv")
	if err != nil {
		return nil, err
	}
	defer f.Close()
	rows, err := factsFrom(csv.NewReader(f))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return rows, nil
}

func factsFrom(table *csv.Reader) ([]fact, error) {
	lines, err := table.ReadAll()
	if err != nil {
		return nil, err
	}
	if len(lines) == 0 {
		return nil, errors.New("an empty table")
	}
	var rows []fact
	for _, line := range lines[1:] {
		row := fact{}
		for i, column := range lines[0] {
			row[column] = line[i]
		}
		rows = append(rows, row)
	}
	return rows, nil
}
