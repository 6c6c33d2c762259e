package sun

// DeltaT returns terrestrial time minus universal time in seconds, how far the
// turning earth lags behind even clocks. Before 2005 it is F. Espenak and J.
// Meeus, Five Millennium Canon of Solar Eclipses, NASA/TP-2006-214141; from
// 2005 to 3000 Espenak's revision of 2014; beyond it their long-term parabola,
// which joins with a jump of about 150 s. The years -2000 to 6000 are meant.
//
// Nobody can foretell the earth's turning: for 2026 it says 72 s where about 69
// are measured, a difference of 0.00004 degrees in the sun's place.
func DeltaT(jd JulianDay) float64 {
	// Years are counted evenly, where the paper counts months.
	year := 2000 + float64(jd-2451544.5)/365.25
	for _, p := range deltaTPieces {
		if year < p.before {
			return polynomial((year-p.from)/p.per, p.c...)
		}
	}
	return polynomial((year-1820)/100, longTerm...)
}

// deltaTPiece is a polynomial in (year - from) / per for the years before one.
type deltaTPiece struct {
	before, from, per float64
	c                 []float64
}

var longTerm = []float64{-20, 0, 32}

var deltaTPieces = []deltaTPiece{
	{-500, 1820, 100, longTerm},
	{500, 0, 100, []float64{10583.6, -1014.41, 33.78311, -5.952053, -0.1798452, 0.022174192, 0.0090316521}},
	{1600, 1000, 100, []float64{1574.2, -556.01, 71.23472, 0.319781, -0.8503463, -0.005050998, 0.0083572073}},
	{1700, 1600, 1, []float64{120, -0.9808, -0.01532, 1.0 / 7129}},
	{1800, 1700, 1, []float64{8.83, 0.1603, -0.0059285, 0.00013336, -1.0 / 1174000}},
	{1860, 1800, 1, []float64{13.72, -0.332447, 0.0068612, 0.0041116, -0.00037436, 0.0000121272, -0.0000001699, 0.000000000875}},
	{1900, 1860, 1, []float64{7.62, 0.5737, -0.251754, 0.01680668, -0.0004473624, 1.0 / 233174}},
	{1920, 1900, 1, []float64{-2.79, 1.494119, -0.0598939, 0.0061966, -0.000197}},
	{1941, 1920, 1, []float64{21.20, 0.84493, -0.076100, 0.0020936}},
	{1961, 1950, 1, []float64{29.07, 0.407, -1.0 / 233, 1.0 / 2547}},
	{1986, 1975, 1, []float64{45.45, 1.067, -1.0 / 260, -1.0 / 718}},
	{2005, 2000, 1, []float64{63.86, 0.3345, -0.060374, 0.0017275, 0.000651814, 0.00002373599}},
	{2015, 2005, 1, []float64{64.69, 0.2930}},
	{3000, 2015, 1, []float64{67.62, 0.3645, 0.0039755}},
}
