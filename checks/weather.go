package checks

func weatherRooms() []Room { return nil }
