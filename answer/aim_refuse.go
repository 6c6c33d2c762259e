package answer

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"turnsole/aim"
	"turnsole/rigfile"
)

// refusal lays what package aim or loop refuses at the key of the rig file that
// is at fault: they name a setting first.
func (c *closedLoop) refusal(err error) error {
	text := err.Error()
	name, _, _ := strings.Cut(text, " ")
	key := ""
	switch {
	case name == "wake_every" || name == "park_heading":
		key = "controller." + name
	case slices.ContainsFunc(aim.Dials(), func(d aim.Dial) bool { return d.Name == name }):
		key = "controller.settings." + name
	case strings.HasPrefix(text, "the policy "):
		key = "controller.policy"
	}
	return &BadInput{c.q.Rig.Problem(key, rigfile.Error, text)}
}

// fits refuses headings of the cable that the controller cannot go by, in the
// numbers of the rig file.
func (c *closedLoop) fits() error {
	given := c.q.Rig.CableRange
	if given == nil {
		return nil
	}
	refuse := func(form string, args ...any) error {
		text := fmt.Sprintf("[%g, %g]: ", given[0], given[1]) + fmt.Sprintf(form, args...)
		return &BadInput{c.q.Rig.Problem("drive.cable_range", rigfile.Error, text)}
	}
	still := float64(c.rig.Still())
	turn := 360 * math.Floor((given[1]-still)/360)
	switch {
	case given[1]-given[0] > 720:
		return refuse("that is %g degrees, and a controller counts two turns, 720 degrees, at most", given[1]-given[0])
	case still+turn < given[0]:
		return refuse("the still heading, %g degrees, lies outside; take a range that it lies in, such as [%g, %g]", still, still-135, still+135)
	}
	return nil
}
