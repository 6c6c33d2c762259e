package weather

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
)

// published reads a table of the checks: rows of numbers under a heading.
func published(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open("../checks/facts/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]float64
	for _, line := range lines[1:] {
		row := make([]float64, len(line))
		for i, word := range line {
			if row[i], err = strconv.ParseFloat(word, 64); err != nil {
				t.Fatal(err)
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// TestDayMatricesArePublished holds the literals to the table, and the table to
// what its authors say of it: rows add up to one, and a chain settles in the
// class of months that it stands for.
func TestDayMatricesArePublished(t *testing.T) {
	for i, row := range published(t, "markov_daily_kt.csv") {
		m, state := dayMatrices[i/states], i%states
		sum := 0.0
		for j, p := range row[2 : 2+states] {
			if m.chance[state][j] != p {
				t.Errorf("matrix %d, state %d to %d: %v, published %v", i/states+1, state+1, j+1, m.chance[state][j], p)
			}
			sum += p
		}
		if math.Abs(sum-1) > 0.0036 { // ten figures rounded to 0.001 and one slip of the press
			t.Errorf("matrix %d, state %d: row adds up to %v", i/states+1, state+1, sum)
		}
	}
	for i, row := range published(t, "markov_daily_kt_ranges.csv") {
		if m := dayMatrices[i]; m.low != row[3] || m.high != row[4] {
			t.Errorf("matrix %d spans %v to %v, published %v to %v", i+1, m.low, m.high, row[3], row[4])
		}
		if c := newDayChain(float64(i)); !(c.mean > row[1] && c.mean <= row[2]) {
			t.Errorf("matrix %d settles at %.4f, outside its class %v to %v", i+1, c.mean, row[1], row[2])
		}
	}
}

func TestChainsAreASteadyShelf(t *testing.T) {
	last := 0.0
	for place := darkestChain; place <= brightestChain; place += 0.05 {
		c := newDayChain(place)
		if !(c.mean > last) || c.mean-last > 0.02 {
			t.Fatalf("the chain at %.2f has mean %.4f after %.4f: not a small step up", place, c.mean, last)
		}
		last = c.mean
	}
	if first := newDayChain(darkestChain).mean; first > darkestMonth || last < brightestSky {
		t.Errorf("chains reach from %.3f to %.3f; months may be %v to %v", first, last, darkestMonth, brightestSky)
	}
}

func TestChainDrawsItsMean(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, place := range []float64{-0.5, 0, 1.5, 4, 8.7, 9.5} {
		c := newDayChain(place)
		const n = 200000
		sum, k := 0.0, c.mean
		for range n {
			if k = c.next(rng, k); !(k >= c.low && k <= c.high()) {
				t.Fatalf("drew %v outside %v..%v", k, c.low, c.high())
			}
			sum += k
		}
		// Four standard errors: a spread below 0.17, of which 0.4 is kept a day.
		if got := sum / n; math.Abs(got-c.mean) > 4*0.17*math.Sqrt(1.4/0.6/n) {
			t.Errorf("chain at %v drew a mean of %.4f, not %.4f", place, got, c.mean)
		}
	}
}

// TestHoursAddUpToTheirDay checks the hourly course of Graham & Hollands 1990
// against its purpose: the hours' mean clearness, weighted by the sun's height
// over a day, is about the day's clearness. A slip in its figures would show.
func TestHoursAddUpToTheirDay(t *testing.T) {
	for _, highest := range []float64{0.5, 0.7, 0.9} { // sine of the noon sun at an equinox
		for k := 0.25; k <= 0.7; k += 0.05 {
			c := courseOf(k)
			got, sum := 0.0, 0.0
			for hour := 6.25; hour < 18; hour += 0.5 {
				sin := highest * math.Sin(math.Pi*(hour-6)/12)
				got += sin * c.mean(sin)
				sum += sin
			}
			// The authors fitted to many days; 0.05 is the width of a class.
			if math.Abs(got/sum-k) > 0.05 {
				t.Errorf("noon sine %v, day %.2f: hours give %.3f", highest, k, got/sum)
			}
		}
	}
}

func TestScaleToKeepsTheTotalUnderTheClearestSky(t *testing.T) {
	light := make([]rowLight, 24)
	var ghi [24]float64
	for h := 6; h < 18; h++ {
		light[h].ghi = 800
		ghi[h] = float64(50 * h)
	}
	for _, total := range []float64{0, 1, 5000, 9000, 9600} {
		hours := ghi
		scaleTo(&hours, total, light)
		sum := 0.0
		for h, g := range hours {
			if g < 0 || g > float64(light[h].ghi)+1e-9 {
				t.Errorf("total %v: hour %d has %v", total, h, g)
			}
			sum += g
		}
		if math.Abs(sum-total) > 1e-6 { // rounding
			t.Errorf("hours add up to %v, not %v", sum, total)
		}
	}
}

func TestAirShape(t *testing.T) {
	for _, coldest := range []float64{3, 6, 10.5} {
		sum := 0.0
		for i := range 2400 {
			sum += airShape((float64(i)+0.5)/100, coldest)
		}
		if math.Abs(sum/2400) > 1e-4 { // the sum is not quite the integral
			t.Errorf("coldest at %v: mean %v", coldest, sum/2400)
		}
		if low, high := airShape(coldest, coldest), airShape(warmestHour, coldest); math.Abs(low+1) > 1e-9 || math.Abs(high-1) > 1e-9 {
			t.Errorf("coldest at %v: from %v to %v", coldest, low, high)
		}
	}
}

// TestCloudsHaveThePublishedLengths counts how long the cloud's height stays on
// one side of its mean. Among lengths that follow a power law with the exponent
// 1.66 (Wood & Field 2011), each doubling of the length leaves 2^-0.66 of them.
func TestCloudsHaveThePublishedLengths(t *testing.T) {
	clouds := UsualClouds()
	clouds.QuickMin = [2]float64{1, 1}
	w := newMinuteWalk(rand.New(rand.NewPCG(4, 4)), clouds)
	w.day(&[24]hourSky{}, make([]rowLight, 24))
	var octaves [12]float64
	var height [60]float64
	run, above := 0, false
	for range 20000 {
		w.heights(&height)
		for _, z := range height {
			if (z > 0) != above {
				octaves[min(int(math.Log2(float64(max(run, 1)))), 11)]++
				run, above = 0, z > 0
			}
			run++
		}
	}
	// From 4-7 to 16-31 minutes: away from the grain of a minute and from the
	// slowest walk's hour. 0.15 in the exponent, as steps of a factor of two
	// are only nearly a fractal.
	exponent := 1 + math.Log2(octaves[2]/octaves[4])/2
	if math.Abs(exponent-1.66) > 0.15 {
		t.Errorf("lengths fall with the exponent %.2f: %v", exponent, octaves)
	}
}
