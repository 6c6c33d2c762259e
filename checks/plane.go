package checks

func planeRooms() []Room { return nil }
