package weather

func (m *mender) checkClock() {}
