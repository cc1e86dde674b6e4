package plan

import (
	"testing"

	"ohmtrail/circuits"
	"ohmtrail/circuits/library"
	"ohmtrail/solver/safety"
)

// No reading that is offered on a circuit of the library hurts anything on a sound machine; what a meter does not bear wants a clamp.
func TestCandidatesHurtNothing(t *testing.T) {
	looked, clamps := 0, 0
	for _, name := range library.Names() {
		c, err := library.Circuit(name)
		if err != nil {
			t.Fatal(err)
		}
		j := &circuits.Job{Circuit: c, Meter: circuits.DefaultMeter(), Assume: map[string]float64{}}
		for _, r := range Candidates(j) {
			if len(r.State.Jumpers)+len(r.State.Loads) == 0 && r.Quantity != circuits.Amps {
				continue
			}
			looked++
			for _, d := range safety.Look(c, r, nil) {
				if d.Kind == safety.MeterAmps {
					clamps++
				} else {
					t.Errorf("%s: %s at %s, %+v: %+v", name, r.Quantity, r.At, r.State, d)
				}
			}
		}
	}
	t.Logf("%d with leads or in amps, %d want a clamp", looked, clamps)
	if looked < 100 {
		t.Errorf("%d looked at", looked)
	}
}
