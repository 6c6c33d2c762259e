package checks

func panelRooms() []Room { return nil }
