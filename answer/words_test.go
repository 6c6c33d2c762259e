package answer

import "testing"

func TestMonthSpan(t *testing.T) {
	for _, c := range []struct {
		months []int
		want   string
	}{
		{[]int{4, 5, 6, 7}, "from May to August"},
		{[]int{0, 10, 11}, "from November to January"},
		{[]int{4, 6}, "in May and in July"},
		{[]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}, "in any month"},
	} {
		if got := monthSpan(c.months); got != c.want {
			t.Errorf("%v: %q, want %q", c.months, got, c.want)
		}
	}
}

func TestClockText(t *testing.T) {
	for hour, want := range map[float64]string{11: "11:00", 10.9: "11:00", 9.3: "9:15", 23.99: "24:00"} {
		if got := clockText(hour); got != want {
			t.Errorf("%v: %q, want %q", hour, got, want)
		}
	}
}
