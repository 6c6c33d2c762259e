package answer

import (
	"fmt"
	"math"
	"strings"
	"time"

	"turnsole/season"
)

// monthSpan says when, for months counted from 0: "from May to August", "from
// November to January", "in May and in July".
func monthSpan(months []int) string {
	in := [12]bool{}
	for _, m := range months {
		in[m] = true
	}
	if len(months) == 12 {
		return "in any month"
	}
	var spans []string
	for m := range 12 {
		if !in[m] || in[(m+11)%12] {
			continue
		}
		end := m
		for in[(end+1)%12] {
			end = (end + 1) % 12
		}
		span := "in " + monthName(m)
		if end != m {
			span = "from " + monthName(m) + " to " + monthName(end)
		}
		spans = append(spans, span)
	}
	return strings.Join(spans, " and ")
}

func monthName(m int) string { return time.Month(m + 1).String() }

// clockText writes an hour of the clock to the quarter hour.
func clockText(hour float64) string {
	quarters := int(math.Round(hour * 4))
	return fmt.Sprintf("%d:%02d", quarters/4, quarters%4*15)
}

// DayText writes a day of the year: "3 Oct".
func DayText(d season.MonthDay) string {
	return fmt.Sprintf("%d %s", d.Day, monthName(d.Month - 1)[:3])
}

func dayCount(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}

func yearCount(n int) string {
	if n == 1 {
		return "1 year"
	}
	return fmt.Sprintf("%d years", n)
}

// Signed writes a difference with its sign; what rounds to nothing has none.
func Signed(x float64, digits int) string {
	text := fmt.Sprintf("%+.*f", digits, x)
	if strings.Trim(text, "+-0.") == "" {
		return text[1:]
	}
	return text
}
