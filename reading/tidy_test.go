package reading

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

func tidied(t *testing.T, log string) (*Tidy, []Reading, []string) {
	t.Helper()
	r, err := NewReader(strings.NewReader(log))
	if err != nil {
		t.Fatal(err)
	}
	tidy := NewTidy(r, "")
	kept, refused := everything(t, tidy.Next)
	return tidy, kept, refused
}

// TestShuffledAndTwice: rows a few places out of order, some of them twice, come
// out as they were.
func TestShuffledAndTwice(t *testing.T) {
	lines := strings.Split(strings.TrimSpace(string(dayLog(3000))), "\n")
	want, _, _ := strings.Cut(lines[0], "\n")
	var shuffled []string
	chance := rand.New(rand.NewPCG(1, 2))
	twice := 0
	for i := 1; i < len(lines); i += 100 {
		block := slices.Clone(lines[i:min(i+100, len(lines))])
		if chance.IntN(2) == 0 {
			block = append(block, block[7])
			twice++
		}
		chance.Shuffle(len(block), func(a, b int) { block[a], block[b] = block[b], block[a] })
		shuffled = append(shuffled, block...)
	}
	shuffled = append(shuffled, lines[500:600]...) // dumped twice
	tidy, kept, refused := tidied(t, want+"\n"+strings.Join(shuffled, "\n"))
	if len(kept) != 3000 || len(refused) > 0 || tidy.Duplicates != twice+100 {
		t.Errorf("kept %d, refused %v, %d twice", len(kept), refused, tidy.Duplicates)
	}
	if !slices.IsSortedFunc(kept, func(a, b Reading) int { return int(a.UnixS - b.UnixS) }) {
		t.Error("not in order")
	}
}

func TestOutOfOrderIsRefused(t *testing.T) {
	lines := strings.Split(strings.TrimSpace(string(dayLog(1000))), "\n")
	log := strings.Join(append(append([]string{lines[0]}, lines[101:]...), lines[1]), "\n")
	if _, kept, refused := tidied(t, log); len(kept) != 900 || len(refused) != 1 || !strings.Contains(refused[0], "line 902") || !strings.Contains(refused[0], "order of time") {
		t.Errorf("kept %d, refused %v", len(kept), refused)
	}
}

func TestPowerUps(t *testing.T) {
	tidy, kept, _ := tidied(t, "uptime_s,panel_a\n0,1\n10,1\n10,1\n3,1\n13,1\n1,1\n")
	boots := []int{}
	for _, r := range kept {
		boots = append(boots, r.Boot)
	}
	if !slices.Equal(boots, []int{1, 1, 2, 2, 3}) || tidy.Reboots != 2 || tidy.Duplicates != 1 {
		t.Errorf("boots %v, %d reboots, %d twice", boots, tidy.Reboots, tidy.Duplicates)
	}
	tidy, kept, refused := tidied(t, "boot,uptime_s,panel_a\n7,0,1\n7,10,1\n9,5,1\n7,10,1\n7,11,1\n")
	if len(kept) != 4 || tidy.Reboots != 1 || tidy.Duplicates != 1 || len(refused) > 0 || kept[2].UptimeS != 11 {
		t.Errorf("%d reboots, %d twice, kept %v, refused %v", tidy.Reboots, tidy.Duplicates, kept, refused)
	}
}

// TestSilentClock: rows before the clock was set are refused; later silent ones
// are dated by the uptime.
func TestSilentClock(t *testing.T) {
	_, kept, refused := tidied(t, "time,boot,uptime_s,panel_a\n,1,5,1\n2026-06-01T12:00:10Z,1,10,1\n,1,15.5,1\n,2,3,1\n")
	if len(kept) != 2 || math.Abs(kept[1].UnixS-instant("2026-06-01T12:00:15.5Z")) > 0 || len(refused) != 2 {
		t.Errorf("kept %v, refused %v", kept, refused)
	}
}

func TestSetups(t *testing.T) {
	const at = "2026-06-01T12:00:0"
	for name, c := range map[string]struct {
		rows string
		want []string
	}{
		"none named":         {"0Z,,1,\n1Z,,1,\n", []string{"1"}},
		"moved":              {"0Z,,1,\n1Z,,,moved\n2Z,,1,\n3Z,,1,notch\n4Z,,1,\n5Z,,1,storm\n", []string{"1", "2", "3"}},
		"named":              {"0Z,a,1,\n1Z,,1,\n2Z,b,1,\n3Z,a,1,\n", []string{"a", "b"}},
		"moved, and back":    {"0Z,a,1,\n1Z,a,,moved\n2Z,a,1,\n3Z,b,1,\n4Z,a,1,\n", []string{"a", "a (2)", "b"}},
		"moved and renamed":  {"0Z,a,1,\n1Z,a,,moved\n2Z,b,1,\n", []string{"a", "b"}},
		"moved, same name":   {"0Z,a,1,\n1Z,a,,moved\n2Z,a,1,\n3Z,a,1,\n", []string{"a", "a (2)"}},
		"as import wrote it": {"0Z,a,1,\n1Z,a,,moved\n2Z,a (2),1,\n3Z,a (2),1,\n", []string{"a", "a (2)"}},
	} {
		log := "time,setup,panel_a,event\n" + at + strings.TrimSuffix(strings.ReplaceAll(c.rows, "\n", "\n"+at), at)
		if tidy, _, refused := tidied(t, log); !slices.Equal(tidy.Setups, c.want) || len(refused) > 0 {
			t.Errorf("%s: %q, want %q; refused %v", name, tidy.Setups, c.want, refused)
		}
	}
}

func BenchmarkTidy(b *testing.B) {
	const rows = 20000
	text := string(dayLog(rows))
	b.ReportAllocs()
	for b.Loop() {
		r, err := NewReader(strings.NewReader(text))
		if err != nil {
			b.Fatal(err)
		}
		tidy := NewTidy(r, "")
		var row Reading
		for tidy.Next(&row) == nil {
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/rows, "ns/row")
}
