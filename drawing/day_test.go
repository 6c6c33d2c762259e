package drawing_test

import (
	"bytes"
	"context"
	"math"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"turnsole/answer"
	"turnsole/chart"
	"turnsole/drawing"
	"turnsole/rigfile"
)

// ran is a real answer: the hut's first days of June, with a small search.
var ran = sync.OnceValues(func() (*answer.Aim, error) {
	for _, e := range rigfile.Examples() {
		if e.Name != "hut" {
			continue
		}
		rig, err := rigfile.Read("hut", []byte(e.TOML), nil)
		if err != nil {
			return nil, err
		}
		june := answer.Window{From: answer.MonthDay{Month: 6, Day: 1}, To: answer.MonthDay{Month: 6, Day: 6}}
		return answer.RunAim(context.Background(), answer.AimQuestion{Rig: rig, Window: june, Tune: true, Trials: 40, Seed: 1, Clouds: 1})
	}
	return nil, nil
})

func realAim(t *testing.T) *answer.Aim {
	t.Helper()
	a, err := ran()
	if err != nil || a == nil {
		t.Fatal("no answer: ", err)
	}
	return a
}

// daySizes from the least that a picture of a day should bear to a page, mm.
var daySizes = [][2]float64{{80, 50}, {60, 90}, {100, 100}, {120, 85}, {186, 250}, {270, 70}}

func eachDay(t *testing.T, name string, draw func(width, height float64) *chart.Picture) {
	t.Helper()
	for _, size := range daySizes {
		sound(t, name+" "+strings.Join([]string{ftoa(size[0]), ftoa(size[1])}, "x"), draw(size[0], size[1]))
	}
}

// madeDay is a day of minutes with a sun and headings by the hour.
func madeDay(kind string, sun, faces, told, want func(hour float64) float64) *answer.AimDay {
	d := &answer.AimDay{Kind: kind, Date: answer.MonthDay{Month: 3, Day: 21}}
	t := &d.Trace
	for m := range 1440 {
		h := float64(m) / 60
		t.Hour, t.SunDeg, t.FacesDeg = append(t.Hour, h), append(t.SunDeg, sun(h)), append(t.FacesDeg, faces(h))
		t.ToldDeg, t.WantDeg = append(t.ToldDeg, told(h)), append(t.WantDeg, want(h))
		up := math.Max(math.Sin((h-6)/12*math.Pi), 0)
		t.CurrentA, t.LightWm2, t.TurnedWm2 = append(t.CurrentA, 4*up), append(t.LightWm2, 900*up), append(t.TurnedWm2, 1000*up)
		t.Awake = append(t.Awake, m%30 == 0)
	}
	d.Sum.Days, d.Sum.LightWhM2, d.Sum.TurningLightWhM2, d.Sum.Moves = 1, 6900, 7600, 40
	return d
}

// azimuth is a northern spring sun's, roughly.
func azimuth(h float64) float64 {
	if h < 6 || h > 18 {
		return math.NaN()
	}
	return 90 + 15*(h-6)
}

// northern is a sun that passes through north, as in the tropics and beyond.
func northern(h float64) float64 {
	if h < 6 || h > 18 {
		return math.NaN()
	}
	return math.Mod(360+90-15*(h-6), 360)
}

func always(v float64) func(float64) float64 { return func(float64) float64 { return v } }

// madeDays are days that a picture must bear.
func madeDays() map[string]*answer.AimDay {
	nan := always(math.NaN())
	days := map[string]*answer.AimDay{
		"nothing":    {Kind: "clear"},
		"no sun":     madeDay("dull", nan, always(180), always(180), always(180)),
		"only a sun": madeDay("clear", azimuth, nan, nan, nan),
		"nowhere":    madeDay("clear", nan, nan, nan, nan),
		"still":      madeDay("clear", azimuth, always(180), always(180), always(180)),
		"north":      madeDay("clear", northern, northern, northern, northern),
		// The cable makes the panel go round by south while the sun goes by north.
		"long way": madeDay("clear", northern, func(h float64) float64 { return min(max(90+15*(h-6), 90), 270) }, always(90), always(400)),
		"past a turn": madeDay("blown round", azimuth, func(h float64) float64 { return 90 + 40*h }, func(h float64) float64 { return 90 + 10*h },
			func(h float64) float64 { return 90 + 10*h + 360 }),
		"many turns":   madeDay("blown round", azimuth, func(h float64) float64 { return 400 * h }, always(-3000), always(1e5)),
		"midnight sun": madeDay("clear", func(h float64) float64 { return 15 * h }, func(h float64) float64 { return 15 * h }, always(0), always(0)),
		"wild":         madeDay("clear", azimuth, func(h float64) float64 { return math.Tan(h) * 1e5 }, always(math.Inf(1)), always(1e300)),
	}
	short := madeDay("clear", azimuth, azimuth, azimuth, azimuth)
	short.Trace.FacesDeg, short.Trace.LightWm2, short.Trace.Awake = short.Trace.FacesDeg[:300], nil, short.Trace.Awake[:10]
	days["short columns"] = short
	point := madeDay("clear", azimuth, azimuth, azimuth, azimuth)
	point.Trace.Hour = []float64{12}
	days["one point"] = point
	return days
}

func TestDays(t *testing.T) {
	for _, d := range realAim(t).Pictures {
		eachDay(t, "day "+d.Kind, func(w, h float64) *chart.Picture { return drawing.Day(&d, w, h) })
		eachDay(t, "above "+d.Kind, func(w, h float64) *chart.Picture { return drawing.DayAbove(&d, w, h) })
	}
	for name, d := range madeDays() {
		eachDay(t, "made day "+name, func(w, h float64) *chart.Picture { return drawing.Day(d, w, h) })
		eachDay(t, "made above "+name, func(w, h float64) *chart.Picture { return drawing.DayAbove(d, w, h) })
	}
}

func TestWhatADaySays(t *testing.T) {
	d := madeDays()["past a turn"]
	d.Sum.BlownDeg = 512
	for name, c := range map[string]struct {
		draw *chart.Picture
		says []string
	}{
		"day":   {drawing.Day(d, 180, 120), []string{"21 Mar: blown round", "91 % of the light", "blown round 512°", ">sunrise 6:00", ">sunset 18:00", ">want", ">told", ">faces", ">sun", ">12", "current, A"}},
		"small": {drawing.Day(d, 80, 50), []string{">want", ">told", ">faces", ">sun", "light on the panel"}},
		"above": {drawing.DayAbove(d, 120, 120), []string{">N ", ">S ", ">12 ", "At rest furthest off", ">miss "}},
		"empty": {drawing.Day(&answer.AimDay{Kind: "dull", Date: answer.MonthDay{Month: 1, Day: 2}}, 80, 50), []string{"2 Jan: dull", "Nothing was recorded."}},
	} {
		got := strings.ReplaceAll(words(t, c.draw), "</text>", " ")
		for _, want := range c.says {
			if !strings.Contains(got, want) {
				t.Errorf("%s: nowhere %q", name, want)
			}
		}
	}
}

// A whole turn more or less in any heading is the same day.
func TestWholeTurnsChangeNothing(t *testing.T) {
	plain := madeDays()["still"]
	turned := madeDays()["still"]
	for i := range turned.Trace.Hour {
		turned.Trace.FacesDeg[i] += 720
		turned.Trace.ToldDeg[i] -= 360
		turned.Trace.WantDeg[i] -= 360
	}
	for _, draw := range []func(d *answer.AimDay, w, h float64) *chart.Picture{drawing.Day, drawing.DayAbove} {
		var a, b bytes.Buffer
		if draw(plain, 150, 100).SVG(&a) != nil || draw(turned, 150, 100).SVG(&b) != nil || a.String() != b.String() {
			t.Error("whole turns make another picture")
		}
	}
}

func TestAnyDay(t *testing.T) {
	figure := rapid.OneOf(rapid.Float64Range(-800, 800), rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), -1e300, 0}))
	column := rapid.SliceOfN(figure, 0, 40)
	rapid.Check(t, func(t *rapid.T) {
		d := &answer.AimDay{Kind: rapid.SampledFrom([]string{"clear", "", "blown round"}).Draw(t, "kind")}
		tr := &d.Trace
		for _, c := range []*[]float64{&tr.SunDeg, &tr.WantDeg, &tr.ToldDeg, &tr.FacesDeg, &tr.CurrentA, &tr.LightWm2, &tr.TurnedWm2} {
			*c = column.Draw(t, "column")
		}
		tr.Hour = rapid.SliceOfN(rapid.Float64Range(0, 24), 0, 40).Draw(t, "hours")
		tr.Awake = rapid.SliceOfN(rapid.Bool(), 0, 40).Draw(t, "awake")
		w, h := rapid.Float64Range(80, 300).Draw(t, "width"), rapid.Float64Range(50, 300).Draw(t, "height")
		whole(t, drawing.Day(d, w, h))
		whole(t, drawing.DayAbove(d, w, h))
	})
}

// whole is sound for pictures of drawn figures.
func whole(t *rapid.T, p *chart.Picture) {
	least, most := p.Box()
	const hair = 1e-6 // rounding
	if p.Err() != nil || len(p.Clashes()) > 0 || least.X < -hair || least.Y < -hair || most.X > p.Width+hair || most.Y > p.Height+hair {
		t.Fatalf("%g by %g: %v, %v, from %v to %v", p.Width, p.Height, p.Err(), p.Clashes(), least, most)
	}
}

func BenchmarkDay(b *testing.B) {
	d := madeDays()["past a turn"]
	for b.Loop() {
		drawing.Day(d, 180, 120)
	}
}
