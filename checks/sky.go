package checks

func skyRooms() []Room { return nil }
