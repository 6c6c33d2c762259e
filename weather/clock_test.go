package weather_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"turnsole/place"
	"turnsole/weather"
)

// late returns the year as a clock that runs late by d would have recorded it.
func late(y *weather.Year, d time.Duration) *weather.Year {
	z := *y
	z.Midnight = make([]int64, len(y.Midnight))
	for i, m := range y.Midnight {
		z.Midnight[i] = m + int64(d.Seconds())
	}
	return &z
}

func TestClockOffsetOfShiftedYears(t *testing.T) {
	for _, c := range records {
		if c.days != 365 {
			continue
		}
		r, err := weather.Read(context.Background(), c.file, measured(t, c.file), c.m, c.spot)
		if err != nil {
			t.Fatal(err)
		}
		y, spot := r.Years[0], c.spot
		if r.Origin != nil {
			spot = place.Spot{Latitude: r.Origin.Latitude, Longitude: r.Origin.Longitude}
		}
		own := weather.ClockOffset(y, spot).Offset.Minutes()
		if c.stepS == 3600 && (math.Abs(own) > 1 || y.ClockOffset != 0) {
			// One minute: what the hourly years of five makers show.
			t.Errorf("%s: off by %.1f min, told %v", c.file, own, y.ClockOffset)
		}
		for _, shift := range []float64{-420, -60, -30, 15, 23, 60} {
			got := weather.ClockOffset(late(y, time.Duration(shift)*time.Minute), spot)
			if e := math.Abs(got.Offset.Minutes() - own - shift); e > got.Uncertainty.Minutes() {
				t.Errorf("%s late by %v min: found %.1f ± %.1f, unshifted %.1f", c.file, shift, got.Offset.Minutes(), got.Uncertainty.Minutes(), own)
			}
		}
	}
}

// The open 15-minute record changes the end at which its rows are labelled:
// until spring and from autumn its clear days come a row early.
func TestClockThatChangesWithinTheYearIsTold(t *testing.T) {
	r, err := weather.Read(context.Background(), "golden", measured(t, "measured-golden-2019-2020-15min.csv.gz"), nil, place.Spot{})
	if err != nil {
		t.Fatal(err)
	}
	y := r.Years[0]
	c := weather.ClockOffset(y, golden)
	if e := c.Offset.Minutes() + 15; math.Abs(e) > 3 { // a row of 15 min, told to within a few minutes
		t.Errorf("offset %v", c.Offset)
	}
	if e := c.Change.Minutes() - 15; math.Abs(e) > 5 {
		t.Errorf("change %v", c.Change)
	}
	if !noted(y, "than in the rest of the year") {
		t.Errorf("notes: %q", y.Notes)
	}
}

// table writes rows of clear light with a few cloudy days, stamped by stamp.
func table(heading string, spot place.Spot, start time.Time, days, stepS int, stamp func(time.Time) string) string {
	var b strings.Builder
	b.WriteString(heading + "\n")
	light := clearLight(spot, start, days, stepS)
	for i, g := range light {
		at := start.Add(time.Duration(i*stepS) * time.Second)
		if at.YearDay()%3 == 0 {
			g *= 0.3
		}
		fmt.Fprintf(&b, "%s,%.1f\n", stamp(at), g)
	}
	return b.String()
}

func TestMinutesShowTheirClock(t *testing.T) {
	text := table("time,ghi", roskilde, time.Date(2023, 4, 1, 0, 0, 0, 0, time.UTC), 30, 60, func(at time.Time) string {
		return at.Format("2006-01-02 15:04")
	})
	for _, late := range []time.Duration{-60, -30, 0, 15, 60} {
		// A clock that keeps another zone than is said runs late or early.
		m := weather.Map{Time: "time", GHI: "ghi", Zone: time.FixedZone("", -int(late)*60)}
		y, err := read(text, m, roskilde)
		if err != nil {
			t.Fatal(err)
		}
		got := weather.ClockOffset(y, roskilde)
		// One minute: light of the middle of each minute, and the refraction
		// that the day's clear curve leaves out.
		if e := got.Offset - late*time.Minute; e.Abs() > time.Minute {
			t.Errorf("late by %v min: found %v", int(late), got)
		}
		if told := y.ClockOffset != 0; told != (late != 0) {
			t.Errorf("late by %v min: told %v", int(late), y.ClockOffset)
		}
	}
}

func TestUntoldSummerTimeIsSeen(t *testing.T) {
	copenhagen := zone(t, "Europe/Copenhagen")
	start := time.Date(2023, 1, 1, 0, 0, 0, 0, copenhagen)
	seen := map[string]bool{}
	text := table("time,ghi", roskilde, start, 365, 3600, func(at time.Time) string {
		s := at.In(copenhagen).Format("2006-01-02 15:04")
		if seen[s] { // the hour that comes twice would be refused
			return "# " + s
		}
		seen[s] = true
		return s
	})
	m := weather.Map{Time: "time", GHI: "ghi", Zone: east(1)}
	r, err := weather.Read(context.Background(), "y", strings.NewReader(text), &m, roskilde)
	if err != nil {
		t.Fatal(err)
	}
	if !noted(r.Years[0], "summer time") {
		t.Errorf("notes: %q", r.Years[0].Notes)
	}
}
