package weather

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"turnsole/compass"
	"turnsole/place"
	"turnsole/sky"
)

// madeYear is the calendar year that made years are laid on.
const madeYear = 2025

// Maker makes years of sky by chance from monthly figures. It is built once
// for a spot and is then cheap to call; several goroutines may call it at the
// same time, each with its own generator and year.
//
// Days follow one another by the chains of Aguiar, Collares-Pereira and Conde
// (Solar Energy 40(3), 1988), the hours of a day by Graham and Hollands (Solar
// Energy 44, 1990), scaled to the day and kept below the clearest sky; the beam
// of an hour is split off by Erbs; minutes come from Clouds.
//
// The years of a long row have the wanted clearness on the mean; single years
// and months stray as the chains do: a year's global light by 1 % (deserts) to
// 4 % (cloudy coasts), its beam by 2 to 8 %, a month's light by 3 to 17 %. Real
// years stray by 2 to 6 % in global light (Gueymard & Wilcox 2011, Solar Energy
// 85:1068, from memory), as slow swings of the climate come on top of the
// weather: intervals from made years are rather too narrow than too wide.
type Maker struct {
	calendar Calendar
	source   string
	notes    []string
	monthly  Monthly
	chains   [12]dayChain
	days     []madeDay
	hours    []rowLight // each hour of the year
	rows     []rowLight // each row of the year where rows are finer than hours

	windAtPanel float64 // over the wind at 10 m
}

// NewMaker prepares to make years for a spot. stepS is the length of a row:
// 3600 for hours or 60 for minutes. Figures that no sky has are refused; a
// clearness above what the clearest sky gives at this latitude is lowered to
// it, and Notes of the years say so.
func NewMaker(spot place.Spot, m Monthly, stepS int) (*Maker, error) {
	if stepS != 3600 && stepS != 60 {
		return nil, fmt.Errorf("years are made in rows of 3600 s or 60 s, not %d s", stepS)
	}
	if err := m.Check(spot.Latitude); err != nil {
		return nil, err
	}
	mk := &Maker{calendar: madeCalendar(spot, stepS), monthly: m, source: "twelve monthly figures"}
	mk.layLight(spot)
	mk.layDays(spot)
	mk.notes = append(mk.notes, "This year was made by chance from monthly figures; nobody measured it.")
	mk.chooseChains(spot.Latitude)
	return mk, nil
}

// madeCalendar returns a year without 29 February on the standard clock of the
// whole-hour zone nearest in longitude.
func madeCalendar(spot place.Spot, stepS int) Calendar {
	offset := time.Duration(math.Round(spot.Longitude.Degrees()/15)) * time.Hour
	c := Calendar{UTCOffset: offset, StepS: stepS, Midnight: make([]int64, 365)}
	first := time.Date(madeYear, 1, 1, 0, 0, 0, 0, time.UTC).Add(-offset).Unix()
	for day := range c.Midnight {
		c.Midnight[day] = first + int64(day)*86400
	}
	return c
}

// Calendar returns the calendar on which the years are laid: 2025 on the
// standard clock of the whole-hour zone nearest in longitude.
func (m *Maker) Calendar() Calendar { return m.calendar }

// Make fills y with a new year. It uses y's slices where they are long enough
// and allocates nothing then.
func (m *Maker) Make(rng *rand.Rand, y *Year) {
	m.prepare(y)
	walk := m.start(rng)
	for day := range m.days {
		hours := m.hoursOf(&walk, day)
		if m.rows == nil {
			m.writeHours(y, day, &hours)
		} else {
			m.layDay(&walk.minute, y, day, &hours)
		}
		m.writeAir(&walk, y, day)
	}
}

func (m *Maker) prepare(y *Year) {
	n := m.calendar.Rows()
	y.Calendar, y.Kind, y.Source, y.Notes = m.calendar, Made, m.source, m.notes
	y.Warnings, y.Albedo, y.ClockOffset = nil, nil, 0
	for _, column := range []*[]float32{&y.GHI, &y.DNI, &y.DHI, &y.AirC, &y.WindMS} {
		if cap(*column) < n {
			*column = make([]float32, n)
		}
		*column = (*column)[:n]
	}
}

// walk is where chance stands between one day and the next.
type walk struct {
	rng       *rand.Rand
	clearness float64 // of the day, as its month's chain draws it
	hourly    float64 // of the hourly process, standard normal
	warmth    float64 // of the day's air against its month, standard normal
	wind      float64 // of the day's wind, standard normal
	minute    minuteWalk
}

// start lets the chain forget where it began before 1 January.
func (m *Maker) start(rng *rand.Rand) walk {
	december := &m.chains[11]
	w := walk{
		rng: rng, minute: newMinuteWalk(rng, UsualClouds()), clearness: december.mean,
		hourly: rng.NormFloat64(), warmth: rng.NormFloat64(), wind: rng.NormFloat64(),
	}
	for range 5 {
		w.clearness = december.next(rng, w.clearness)
	}
	return w
}

// hourSky is the light of one hour, means over the whole hour in W/m2, the
// beam facing the sun.
type hourSky struct{ ghi, dni, dhi float64 }

// hoursOf draws a day and its hours.
func (m *Maker) hoursOf(w *walk, day int) (hours [24]hourSky) {
	chain := &m.chains[monthOf(day)]
	w.clearness = chain.next(w.rng, w.clearness)
	d := &m.days[day]
	if d.outside == 0 {
		return hours
	}
	light := m.hours[day*24 : day*24+24]
	clearness := w.clearness * min(1, d.brightest/chain.high())
	ghi := drawHours(w, clearness, light)
	scaleTo(&ghi, clearness*d.outside, light)
	for h := range hours {
		if light[h].outside > 0 {
			hours[h] = split(ghi[h], &light[h])
		}
	}
	return hours
}

// drawHours draws the hours of a day of a given clearness, W/m2.
func drawHours(w *walk, clearness float64, light []rowLight) (ghi [24]float64) {
	c := courseOf(clearness)
	fresh := math.Sqrt(1 - hourKept*hourKept)
	for h := range ghi {
		l := &light[h]
		if l.outside == 0 {
			continue
		}
		w.hourly = hourKept*w.hourly + fresh*w.rng.NormFloat64()
		sin := float64(l.sinUp / l.up)
		kt := c.mean(sin) + c.sigma*w.hourly
		ghi[h] = max(kt, 0.02*clearness) * float64(l.outside) // some light comes through any cloud
	}
	return ghi
}

// course is how the clearness of hours runs through a day of a given
// clearness, with the names of Graham & Hollands 1990, Solar Energy 44:333.
// They map the normal walk to a beta distribution between darkness and a clear
// sky; here it is cut off there, and the day's total restored.
type course struct{ lambda, epsilon, kappa, sigma float64 }

// hourKept is how much of an hour's stray is left in the next (the same paper's,
// from memory).
const hourKept = 0.54

func courseOf(k float64) course {
	return course{
		lambda:  k - 1.167*k*k*k*(1-k),
		epsilon: 0.979 * (1 - k),
		kappa:   1.141 * (1 - k) / k,
		sigma:   0.16 * math.Sin(math.Pi*k/0.9),
	}
}

// mean is that of the clearness when the sine of the sun's elevation is sin.
func (c *course) mean(sin float64) float64 { return c.lambda + c.epsilon*math.Exp(-c.kappa/sin) }

// scaleTo scales the hours to a day's total, while none exceeds the clearest
// sky: what one hour may not have the others get.
func scaleTo(ghi *[24]float64, total float64, light []rowLight) {
	var full [24]bool
	for range ghi {
		free, rest := 0.0, total
		for h, g := range ghi {
			if full[h] {
				rest -= g
			} else {
				free += g
			}
		}
		if free <= 0 {
			return
		}
		again := false
		for h := range ghi {
			if full[h] {
				continue
			}
			ghi[h] *= max(rest, 0) / free // rounding may leave less than nothing
			if limit := float64(light[h].ghi); ghi[h] > limit {
				ghi[h], full[h], again = limit, true, true
			}
		}
		if !again {
			return
		}
	}
}

// split parts the light of an hour into beam and diffuse, the beam no brighter
// than under the clearest sky. Clearness is counted at the sun's mean height
// while it is up.
func split(ghi float64, l *rowLight) hourSky {
	sin, up := float64(l.sinUp/l.up), float64(l.up)
	normal := float64(l.outside / l.sinUp)
	facing := min(sky.Erbs(ghi/up, sin, normal).DNI, float64(l.dni))
	return hourSky{ghi: ghi, dni: facing * up, dhi: ghi - facing*float64(l.sinUp)}
}

// writeHours writes a day in hours.
func (m *Maker) writeHours(y *Year, day int, hours *[24]hourSky) {
	for h, s := range hours {
		i := day*24 + h
		y.GHI[i], y.DNI[i], y.DHI[i] = float32(s.ghi), float32(s.dni), float32(s.dhi)
	}
}

// chooseChains finds for each month the chain whose days, under this spot's
// clearest sky, have the wanted clearness in the long run.
func (m *Maker) chooseChains(latitude compass.Angle) {
	first, sunHours := 0, m.monthly.SunHours(latitude)
	for month, n := range daysIn {
		days := m.days[first : first+n]
		first += n
		// Sun hours are counted without the air's bending of light, the days'
		// light with it.
		wanted := 0.0
		if outside := sumOutside(days); outside > 0 {
			wanted = sunHours[month] * 1000 * float64(n) / outside
		}
		if limit := haziest * monthBrightest(days); wanted > limit {
			if given := m.monthly.Clearness[month]; wanted-limit > 0.01 && limit > 0 {
				m.notes = append(m.notes, fmt.Sprintf("%s: clearness lowered from %.2f to %.2f, so that it stays below the clearest sky.",
					time.Month(month+1), given, given*limit/wanted))
			}
			wanted = limit
		}
		m.chains[month] = chainFor(wanted, days)
	}
}

// haziest is how near a month's mean may come to the clearest sky: no month
// is without haze and cloud.
const haziest = 0.95

func monthBrightest(days []madeDay) float64 {
	ghi, outside := 0.0, sumOutside(days)
	for _, d := range days {
		ghi += d.brightest * d.outside
	}
	if outside == 0 {
		return 0
	}
	return ghi / outside
}

func sumOutside(days []madeDay) (sum float64) {
	for _, d := range days {
		sum += d.outside
	}
	return sum
}

// chainFor bisects the shelf of chains.
func chainFor(wanted float64, days []madeDay) dayChain {
	low, high := darkestChain, brightestChain
	for range 20 { // to a millionth of the shelf
		place := (low + high) / 2
		c := newDayChain(place)
		if c.meanUnder(days) < wanted {
			low = place
		} else {
			high = place
		}
	}
	return newDayChain((low + high) / 2)
}

// meanUnder returns the light that a chain brings in the long run over the
// light outside, when its brightest day is held under the clearest sky.
func (c *dayChain) meanUnder(days []madeDay) float64 {
	sum, outside := 0.0, 0.0
	for _, d := range days {
		sum += d.outside * c.mean * min(1, d.brightest/c.high())
		outside += d.outside
	}
	if outside == 0 {
		return c.mean
	}
	return sum / outside
}
