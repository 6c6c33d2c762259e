package checks

func seasonRooms() []Room { return nil }
