package page

import (
	"context"
	"fmt"
	"math"
	"strconv"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/compass"
	"turnsole/drawing"
	"turnsole/rigfile"
)

// spotStage tells what hides the sun.
func spotStage(a *asker, _ bool) (*content, error) {
	k, err := ask(a, "sky", func(context.Context) (*answer.SkyPath, error) { return answer.PathOverSkyline(a.rig, a.spot, nil) })
	if err != nil {
		return nil, err
	}
	c := &content{Sentence: k.Verdict, Assumed: ofSpot(a.rig)}
	c.Pictures = append(c.Pictures, drawn("sky", "The sun over the skyline", func(wide, high float64) *chart.Picture { return drawing.SunPath(k, wide, high) }))
	c.Pictures[0].Named = true
	t := table{Name: "days", Title: "The sun on these days", Heads: [][]string{{"day", "up, h", "over the skyline, h", "highest, °"}}}
	for _, d := range k.Days {
		name := fmt.Sprintf("%d %s", d.Date.Day(), d.Date.Month())
		t.Rows = append(t.Rows, []string{name, decimals(d.UpH, 1), decimals(d.FreeH, 1), decimals(d.Highest.Degrees(), 0)})
		c.Figures = append(c.Figures, figure{Name: "over the skyline on " + name, Unit: "h", Value: d.FreeH, Digits: 1})
	}
	c.Tables = append(c.Tables, t, where(k))
	return c, nil
}

func where(k *answer.SkyPath) table {
	return table{Name: "place", Title: "The spot", Words: true, Heads: [][]string{{"what", "here"}}, Rows: [][]string{
		{"latitude", sided(k.Latitude, "N", "S")}, {"longitude", sided(k.Longitude, "E", "W")}, {"towards the equator", bearing(k.Equator)}, {"clock", k.Clock}}}
}

// sided is a coordinate with its side of the world in place of a sign.
func sided(a compass.Angle, plus, minus string) string {
	side := plus
	if a < 0 {
		side = minus
	}
	return strconv.FormatFloat(math.Abs(a.Degrees()), 'f', -1, 64) + "° " + side
}

// ofSpot are the defaults about the spot.
func ofSpot(rig *rigfile.Rig) (found []rigfile.Assumed) {
	for _, as := range rig.Assumed {
		if len(as.Key) > 5 && as.Key[:5] == "spot." {
			found = append(found, as)
		}
	}
	return found
}
