package view

import (
	"strings"
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
)

// What was moved is said with both its ends, a switch in its own words.
func TestSetWords(t *testing.T) {
	for name, want := range map[string]string{"throttle-potentiometer": "TPS at 0.1", "oil-pressure-switch": "open, moved to closed"} {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range c.Devices {
			if !d.Kind.HasStimulus() {
				continue
			}
			s := circuits.SetDevice{Device: d.Name, Set: 0.1, To: 0.9, Moved: true}
			if d.Kind.TwoState() {
				s.Set, s.To = 0, 1
			}
			if got := strings.ReplaceAll(Set(c, s), nbsp, " "); !strings.Contains(got, want) || !strings.Contains(got, "moved to ") {
				t.Errorf("%s: %q does not say %q", name, got, want)
			}
		}
	}
}
