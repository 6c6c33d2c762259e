package checks

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"os/exec"

	"turnsole/compass"
	"turnsole/sun"
)

//go:embed peers/sun_peers.py
var sunPeers []byte

// askPeers runs the other programs for places given as "lat,lon" and returns
// their rows, and the measured delta T.
func askPeers(places ...string) ([]fact, error) {
	// Debian's modules belong to Debian's Python; a dash means standard input.
	run := exec.Command("/usr/bin/python3", append([]string{"-"}, places...)...)
	run.Stdin = bytes.NewReader(sunPeers)
	return told(run)
}

// told runs another program and returns the rows that it writes.
func told(run *exec.Cmd) ([]fact, error) {
	out, err := run.Output()
	if failed := new(exec.ExitError); errors.As(err, &failed) {
		return nil, fmt.Errorf("the other program failed: %s", failed.Stderr)
	}
	if err != nil {
		return nil, err
	}
	return factsFrom(csv.NewReader(bytes.NewReader(out)))
}

func peersOverAYear(string) ([]Check, error) {
	rows, err := askPeers("-72,0", "-33.9,18.4", "0,-78.5", "23.4,88.4", "52.28,-3.62")
	if err != nil {
		return nil, err
	}
	apart := map[string]*worst{"ephem": {}, "astropy": {}, "erfa": {}}
	for _, r := range rows {
		w := apart[r["program"]]
		if w == nil {
			continue
		}
		v, err := r.numbers("lat_deg", "lon_deg", "jd", "delta_t_s", "azimuth_deg", "elevation_deg")
		if err != nil {
			return nil, err
		}
		o := sun.Observer{Latitude: compass.Angle(v[0]), Longitude: compass.Angle(v[1])}
		ours := sun.PositionAt(sun.JulianDay(v[2]), o, v[3]).Direction()
		w.add(where(o), degreesApart(ours, compass.Toward(compass.Angle(v[4]), compass.Angle(v[5]))))
	}
	all := apart["erfa"].checks("ERFA, ", "deg", 0.0003, 5)
	all = append(all, apart["astropy"].checks("astropy, ", "deg", 0.0003, 5)...)
	return append(all, apart["ephem"].checks("ephem, ", "deg", 0.001, 5)...), nil
}

// degreesApart is the angle between two directions, exact where it is small.
func degreesApart(a, b compass.Direction) float64 {
	return float64(compass.Radians(math.Hypot(math.Hypot(a.East-b.East, a.North-b.North), a.Up-b.Up)))
}

func deltaTMeasured(string) ([]Check, error) {
	rows, err := askPeers()
	if err != nil {
		return nil, err
	}
	var all []Check
	for _, r := range rows {
		v, err := r.numbers("lat_deg", "jd", "delta_t_s")
		if err != nil {
			return nil, err
		}
		tolerance := 0.3
		if v[0] > 2015 {
			tolerance = 1
		}
		all = append(all, Check{fmt.Sprintf("1 January %.0f", v[0]), v[2], sun.DeltaT(sun.JulianDay(v[1])), "s", tolerance, 2})
	}
	return all, nil
}
