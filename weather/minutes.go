package weather

type minuteWalk struct{ covered bool }

func (m *Maker) writeMinutes(w *walk, y *Year, day int, hours *[24]hourSky) {
}
