package aim

// park is where the panel waits for the morning.
type park int

const (
	parkUnknown park = iota
	parkMorning      // where the sun will rise, or as near as the cable lets it
	parkStill        // at the still heading
	parkStay         // where the evening left it
)

func parkNamed(name string) park {
	switch name {
	case "morning":
		return parkMorning
	case "still":
		return parkStill
	case "stay":
		return parkStay
	}
	return parkUnknown
}
