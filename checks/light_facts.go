package checks

import (
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"

	"turnsole/compass"
)

// lightTable returns the rows of a table below its header, for those whose
// columns are told by their place.
func lightTable(name string) ([][]string, error) {
	f, err := facts.Open("facts/" + name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return rows[1:], nil
}

// modelRow is one row of irradiance_check_values.csv.
type modelRow struct {
	inputs map[string]float64
	text   string
	values []float64
}

// modelRows returns the rows of the model whose name begins with prefix.
func modelRows(prefix string) ([]modelRow, error) {
	table, err := lightTable("irradiance_check_values.csv")
	if err != nil {
		return nil, err
	}
	var rows []modelRow
	for _, t := range table {
		if !strings.HasPrefix(t[0], prefix) {
			continue
		}
		r := modelRow{inputs: map[string]float64{}, text: t[1]}
		for _, word := range strings.Fields(t[1]) {
			key, value, _ := strings.Cut(word, "=")
			if v, err := strconv.ParseFloat(value, 64); err == nil {
				r.inputs[key] = v
			}
		}
		if r.values, err = numbers(strings.Split(t[2], ";")); err != nil {
			return nil, fmt.Errorf("%s, %s: %w", t[0], t[1], err)
		}
		rows = append(rows, r)
	}
	return rows, nil
}

func numbers(words []string) ([]float64, error) {
	values := make([]float64, len(words))
	for i, w := range words {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil {
			return nil, err
		}
		values[i] = v
	}
	return values, nil
}

// sunAt is the sun by textbook geometry: declination, and hour angle counted
// from noon, afternoon positive (Duffie & Beckman, equations 1.6.2 to 1.6.6).
func sunAt(latitude, declination, hourAngle compass.Angle) compass.Direction {
	return compass.Direction{
		East:  -declination.Cos() * hourAngle.Sin(),
		North: declination.Sin()*latitude.Cos() - declination.Cos()*latitude.Sin()*hourAngle.Cos(),
		Up:    declination.Sin()*latitude.Sin() + declination.Cos()*latitude.Cos()*hourAngle.Cos(),
	}
}

// cooper is the textbooks' declination by the day of the year (Cooper 1969).
func cooper(day float64) compass.Angle {
	return compass.Angle(23.45 * math.Sin(2*math.Pi*(284+day)/365))
}
