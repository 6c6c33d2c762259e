package trial

import (
	"context"
	"encoding/binary"
	"math"
	"testing"

	"turnsole/reading"
)

// rowsOf makes readings of bytes, eight each: any figures, in any order.
func rowsOf(data []byte) (rows []reading.Reading) {
	at := float64(firstNight() + 30000)
	odd := []float64{math.NaN(), math.Inf(1), -1, 0, 1e300, 1e-300}
	for ; len(data) >= 8; data = data[8:] {
		r := reading.Empty()
		at += float64(int16(binary.LittleEndian.Uint16(data))) / 8
		if r.UnixS = at; data[2]&64 != 0 {
			r.UnixS = odd[int(data[2])%len(odd)]
		}
		r.Look = []reading.Look{reading.NoLook, reading.AimedLook, reading.StillLook}[int(data[2])%3]
		r.Pair = int(data[3] % 8)
		r.HeadingDeg = float64(data[4]) * 2
		for i, to := range []*float64{&r.PanelA, &r.PanelV, &r.CellA, &r.BatteryV, &r.StillA, &r.TiltDeg} {
			if data[5]>>i&1 != 0 {
				*to = float64(data[6]) / 40
			}
			if data[7]>>i&3 == 3 {
				*to = odd[int(data[6])%len(odd)]
			}
		}
		rows = append(rows, r)
	}
	return rows
}

// FuzzEvaluate: whatever a log says, nothing panics, and a range holds its
// value.
func FuzzEvaluate(f *testing.F) {
	f.Add([]byte("12345678abcdefgh"), uint8(0))
	looked := []byte{}
	for i := range 60 {
		looked = append(looked, 80, 0, byte(1+i%2), byte(i/2), 90, 4, 40+byte(i%3), 0)
	}
	for method := range uint8(6) {
		f.Add(looked, method)
	}
	f.Fuzz(func(t *testing.T, data []byte, method uint8) {
		if len(data) > 4096 {
			return
		}
		l, err := Collect(from(rowsOf(data)))
		if err != nil {
			t.Fatal(err)
		}
		q := Question{Replicates: 100, Method: []string{"", Assisted, Plain, Blocks, Beside, LookingBack}[method%6]}
		r, err := Evaluate(context.Background(), someRig(t), l, q)
		if err != nil {
			return
		}
		for _, i := range []Interval{r.TheseDays, r.Light, r.Energy, r.Season} {
			if i.Low > i.Value || i.High < i.Value {
				t.Errorf("a range from %g to %g for %g", i.Low, i.High, i.Value)
			}
		}
		if r.Why != "" && !math.IsNaN(r.TheseDays.Value) {
			t.Errorf("%s; and yet a gain of %g", r.Why, r.TheseDays.Value)
		}
		_ = r.Year(Promise{0.3, 0.2, 0.4}, 0.95)
	})
}
