package weather

import "fmt"

// Document describes in Markdown which files of weather are read and how.
func Document() string {
	return fmt.Sprintf(`Plain or gzipped text; up to %d million rows, %d GiB of text and %d KiB a line.
Rows may be %d s to %d s long. They are averaged to a minute at the least, and a
step that does not divide the hour is laid on the next one that does.

- **The hourly weather-year text layout**: eight lines of headings, the first
  beginning %s, then 35 columns; the time is the end of the row in local
  standard time; fields 14 to 16 are global, beam and diffuse light in Wh/m2.
- **The typical-year table with two header lines**: number, name, state, zone,
  latitude, longitude and altitude in the first, names of columns in the second,
  which begins %s; the time is the end of the row in local standard time.
- **Any other table**, with [weather.columns] in the rig file to say which column
  is what. Separator, decimal comma, remarks and headings are found by
  themselves.

The two first are recognised by their first lines. Whole years of 365 days are
formed, 1 January first; 29 February is left out. A shorter record is used as
long as it is. Fillers such as 9999 or NaN are no values: short gaps by day are
filled by the clear sky's course, longer ones from the nearest day, and both are
said. Days without any light, though a clear sky would bring %d Wh/m2, are a dead
logger's and count as missing. A record with more than a tenth of its daylight
missing is refused, and so are rows out of order, rows that contradict each
other, rows with more columns than the headings (but for empty ones at the end),
values that cannot be, and global light under %.0f %% (in records of less than %d
days %.0f %%) or over %.0f %% of a clear sky's. Where only global light is known
it is split into beam and diffuse, by Erbs for hours and by Engerer's model for
minutes. A clock that is off is told by the clear days, and said, never silently
set right.
`, MaxRows/1_000_000, MaxBytes>>30, MaxLine>>10, minStepS, maxStepS, "`LOCATION,`", "`Date (MM/DD/YYYY)`",
		deadDayWh, 100*leastOfClear, evenOutDays, 100*leastOfClearDay, 100*mostOfClear)
}
