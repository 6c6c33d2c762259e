package main

import (
	"fmt"
	"math"
	"time"

	"turnsole/answer"
)

type sunCommand struct {
	Lat         float64  `required:"" help:"Latitude in degrees, north positive." placeholder:"DEG"`
	Lon         float64  `required:"" help:"Longitude in degrees, east positive." placeholder:"DEG"`
	At          string   `required:"" help:"Instant, such as 2026-06-21T12:00:00+01:00 (RFC 3339)." placeholder:"TIME"`
	Altitude    float64  `help:"Metres above the sea." placeholder:"M"`
	Pressure    *float64 `help:"Air pressure there in hPa; the standard air's if not given." placeholder:"HPA"`
	Temperature *float64 `help:"Air temperature in degrees C; 10 if not given." placeholder:"C"`
	DeltaT      *float64 `name:"delta-t" help:"Terrestrial less universal time in seconds; by the year if not given." placeholder:"S"`
	JSON        bool     `name:"json" help:"One JSON object on standard output."`
}

type sunJSON struct {
	Azimuth        float64 `json:"azimuth_deg" doc:"from true north, clockwise"`
	Elevation      float64 `json:"elevation_deg" doc:"of the sun's centre as seen through the air"`
	Zenith         float64 `json:"zenith_deg" doc:"90 less elevation"`
	Geometric      float64 `json:"elevation_without_air_deg" doc:"without refraction"`
	Declination    float64 `json:"declination_deg" doc:"as seen from the spot"`
	EquationOfTime float64 `json:"equation_of_time_min" doc:"sundial minus mean clock"`
	DistanceAU     float64 `json:"distance_au" doc:"from the earth's centre"`
	DeltaTS        float64 `json:"delta_t_s" doc:"terrestrial less universal time that was used"`
	Rise           *string `json:"rise" doc:"in the day of the instant by its own clock; null when it does not rise"`
	Transit        *string `json:"transit" doc:"the same, over the meridian"`
	Set            *string `json:"set" doc:"the same; null when it does not set"`
}

func (c *sunCommand) Run(d *desk) error {
	at, err := time.Parse(time.RFC3339, c.At)
	if err != nil {
		return &answer.BadInput{Err: fmt.Errorf("--at %q is not an instant; write it with its offset from UTC, such as 2026-06-21T12:00:00+01:00", c.At)}
	}
	s, err := answer.WhereIsTheSun(answer.SunQuestion{LatitudeDeg: c.Lat, LongitudeDeg: c.Lon,
		AltitudeM: c.Altitude, At: at, PressureHPa: c.Pressure, TemperatureC: c.Temperature, DeltaTS: c.DeltaT})
	if err != nil {
		return err
	}
	if c.JSON {
		return writeJSON(d.out, sunJSON{Azimuth: s.Azimuth.Degrees(), Elevation: s.Elevation.Degrees(),
			Zenith: 90 - s.Elevation.Degrees(), Geometric: s.Geometric.Degrees(), Declination: s.Declination.Degrees(),
			EquationOfTime: s.EquationOfTimeMin, DistanceAU: s.DistanceAU, DeltaTS: s.DeltaTS,
			Rise: instant(s.Rise), Transit: instant(s.Transit), Set: instant(s.Set)})
	}
	return c.tell(d, s)
}

func instant(t *time.Time) *string {
	if t == nil {
		return nil
	}
	text := t.Round(time.Second).Format(time.RFC3339)
	return &text
}

func (c *sunCommand) tell(d *desk, s *answer.Sun) error {
	fmt.Fprintf(d.out, "azimuth    %9.4f°  %s, from true north clockwise\n", s.Azimuth, s.Azimuth.Point())
	fmt.Fprintf(d.out, "elevation  %9.4f°  ", s.Elevation)
	switch {
	case s.Elevation >= 90:
		fmt.Fprintln(d.out, "straight overhead: no shadow")
	case s.Elevation > 0:
		fmt.Fprintf(d.out, "a 1 m stick throws a shadow of %.2f m towards %.1f°\n", 1/math.Tan(s.Elevation.Radians()), (s.Azimuth + 180).Azimuth())
	default:
		fmt.Fprintln(d.out, "below the horizon")
	}
	fmt.Fprintf(d.out, "declination%9.4f°\nequation of time %+.2f min\n", s.Declination, s.EquationOfTimeMin)
	for _, e := range []struct {
		name string
		at   *time.Time
	}{{"rise", s.Rise}, {"transit", s.Transit}, {"set", s.Set}} {
		if e.at == nil {
			fmt.Fprintf(d.out, "%-10s none in this day\n", e.name)
			continue
		}
		fmt.Fprintf(d.out, "%-10s %s\n", e.name, e.at.Round(time.Second).Format("15:04:05 -07:00"))
	}
	if s.Elevation > 0 {
		fmt.Fprintln(d.out, "Never look at the sun: use the shadow.")
	}
	return nil
}
