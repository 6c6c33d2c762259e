package aim

import (
	"fmt"
	"strings"
)

// New returns the policy of a name, "clock", "climb", "eyes" or "learn". Its
// error names the setting that cannot work and what would.
func New(policy string, s Settings, site Site) (Policy, error) {
	m := &mind{set: s, site: site}
	switch policy {
	case "clock", "climb", "eyes", "learn":
	default:
		return nil, fmt.Errorf("there is no policy %q: take one of %s", policy, strings.Join(policies, ", "))
	}
	if err := refuse(policy, &s, &site); err != nil {
		return nil, err
	}
	return m, nil
}

// mind is what all policies share.
type mind struct {
	set  Settings
	site Site
}

// Next sleeps.
func (m *mind) Next(s *Sight) Command { return Command{Verb: Sleep, Seconds: m.set.WakeEveryS} }
