package circuits

import (
	"fmt"
	"strings"
)

// ReadingKey names a reading by what is done, without its value: two readings of one key are the same measurement.
func ReadingKey(r Reading) string {
	key := fmt.Sprintf("%s %s %s %s", r.Quantity, r.At, r.To, StateKey(r.State))
	if r.Wiggle != "" {
		key += " moving " + r.Wiggle
	}
	if r.Sound {
		key += " on a sound machine"
	}
	return key
}

// StateKey names what the machine is put into.
func StateKey(s State) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s %q", s.Key, s.Unplugged)
	for _, j := range s.Jumpers {
		fmt.Fprintf(&b, " %s=%s", j[0], j[1])
	}
	for _, x := range s.Loads {
		fmt.Fprintf(&b, " %s-%g-%s", x.From, x.Ohms, x.To)
	}
	for _, x := range s.Set {
		fmt.Fprintf(&b, " %s:%g", x.Device, x.Set)
	}
	return b.String()
}
