package drawing

import (
	"io"
	"strings"
	"testing"

	"turnsole/answer"
	"turnsole/rigfile"
)

func TestWorthMonthsAreLegible(t *testing.T) {
	for _, e := range rigfile.Examples() {
		rig, err := rigfile.Read(e.Name+".toml", []byte(e.TOML), []string{"weather.years=3"})
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range []answer.Window{{}, {From: answer.MonthDay{Month: 11, Day: 1}, To: answer.MonthDay{Month: 2, Day: 3}}} {
			a, err := answer.CompareWays(t.Context(), answer.WorthQuestion{Rig: rig, Ways: []string{"still", "turning"}, Seed: 1, Window: w})
			if err != nil {
				t.Fatal(err)
			}
			for _, size := range [][2]float64{{180, 105}, {92, 92}, {50, 40}} {
				p := WorthMonths(&a.Spots[0], size[0], size[1])
				low, high := p.Box()
				if clashes := p.Clashes(); len(clashes) > 0 || low.X < 0 || low.Y < 0 || high.X > size[0] || high.Y > size[1] {
					t.Errorf("%s at %v: %v, from %v to %v", e.Name, size, clashes, low, high)
				}
				if err := p.SVG(io.Discard); err != nil || !strings.HasPrefix(p.Description, "Turning brings") {
					t.Errorf("%s: %v %q", e.Name, err, p.Description)
				}
			}
		}
	}
}
